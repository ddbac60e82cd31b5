package app

import (
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// LapAnswer is one lap of a build with a flying start, and of its baseline when that is another and has one.
type LapAnswer struct {
	Build, Against string
	Lap            *forecast.LapResult
	Before         *forecast.LapResult
	BeforeWhy      string    // why the baseline has none
	Range          *LapRange // how sure it is; nil when that was not worked out
	System         quantity.System
}

// LapRange is how sure a lap is.
type LapRange struct {
	Low, High float64        // [s]
	Change    *figure.Change // [s] against the baseline; nil without one
	First     string         // path of the input that makes most of the lap's range
	Typical   int            // of its inputs
	Inputs    int
}

// LapAlong is Lap along a recording, GPX or CSV by its name's ending, in place of the sheet's course.
func LapAlong(ctx context.Context, q Question, name string, recording io.Reader, curves *Curves) (*LapAnswer, error) {
	ride, err := forecast.ReadRide(name, recording)
	if err != nil {
		return nil, InputError(fmt.Errorf("%s: %w", name, err))
	}
	return lapAlong(ctx, q, ride, curves)
}

// Lap computes a lap of a question's build, against the baseline.
func Lap(ctx context.Context, q Question, curves *Curves) (*LapAnswer, error) {
	return lapAlong(ctx, q, nil, curves)
}

func lapAlong(ctx context.Context, q Question, ride *forecast.Ride, curves *Curves) (*LapAnswer, error) {
	a, err := Ask(q)
	if err != nil {
		return nil, err
	}
	l, err := a.lap(ctx, ride, curves.compute)
	if err != nil {
		return nil, err
	}
	l.Range, err = a.lapRange(ctx, ride, curves.compute)
	return l, err
}

// Lap computes a lap of the answer's build, and one of its baseline.
func (a *Answer) Lap(ctx context.Context, curve curveSource) (*LapAnswer, error) {
	return a.lap(ctx, nil, curve)
}

func (a *Answer) lap(ctx context.Context, ride *forecast.Ride, curve curveSource) (*LapAnswer, error) {
	l := &LapAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	now, err := curve(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	if l.Lap, err = forecast.ComputeLap(a.Build, now, ride); err != nil || a.Baseline.Name == a.Build.Name {
		return l, err
	}
	before, err := curve(ctx, a.Baseline)
	if err == nil {
		l.Before, err = forecast.ComputeLap(a.Baseline, before, ride)
	}
	if err != nil {
		if ctx.Err() != nil || !errors.Is(err, forecast.ErrNoLap) && !errors.Is(err, forecast.ErrNoCurve) {
			return nil, err
		}
		l.BeforeWhy = err.Error()
	}
	return l, nil
}

// LapRange works out how sure the lap of the answer's build is, and its change.
func (a *Answer) LapRange(ctx context.Context, curve curveSource) (*LapRange, error) {
	return a.lapRange(ctx, nil, curve)
}

func (a *Answer) lapRange(ctx context.Context, ride *forecast.Ride, curve curveSource) (*LapRange, error) {
	now, err := curve(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	var against *machine.Build
	var before *forecast.TorqueCurve
	if a.Baseline.Name != a.Build.Name {
		if k, err := curve(ctx, a.Baseline); err == nil {
			against, before = a.Baseline, k
		} else if ctx.Err() != nil {
			return nil, err
		}
	}
	f, err := forecast.LapTime(ctx, a.Build, against, now, before, ride, trustedTorque, usualChange)
	if err != nil {
		return nil, err
	}
	r := &LapRange{Low: f.Low, High: f.High, Change: f.Change, Inputs: len(f.Basis.Inputs)}
	for i, in := range f.Basis.Inputs {
		if i == 0 && in.Share > 0 {
			r.First = in.Path
		}
		if in.Known == quantity.Typical {
			r.Typical++
		}
	}
	return r, nil
}

// Exit is the exit code.
func (l *LapAnswer) Exit() int { return Fine }

// most are the limits by the time that they take of the lap, the longest first, and their shares.
func (l *LapAnswer) most() (names []string, share map[string]float64) {
	share = map[string]float64{}
	for i, by := range l.Lap.Limit {
		share[by] += 2 * (l.Lap.Way[i+1] - l.Lap.Way[i]) / (l.Lap.Speed[i] + l.Lap.Speed[i+1]) / l.Lap.Time
		if !slices.Contains(names, by) {
			names = append(names, by)
		}
	}
	slices.SortStableFunc(names, func(a, b string) int { return int(math.Copysign(1, share[b]-share[a])) })
	return names, share
}

// tryNext is what helps against a limit, as the trade knows it.
var tryNext = map[string]string{
	"power": "look at torque and gearing first", "drive grip": "tyres, and weight over the driven wheels, come first", "wheelie": "weight forward or a longer wheelbase comes first",
	"corner grip": "tyres come first", "tipping": "a lower seat, a wider track and hanging off come first", "braking grip": "tyres come first", "brake at the hand's limit": "brakes come first",
	"stoppie": "weight back and down comes first", "tipping under braking": "brake upright and earlier; a lower seat and a wider track come first", "whoops": "suspension comes first", "jump": "suspension comes first",
}

// Lead says what to try, how the build laps, and how sure that is.
func (l *LapAnswer) Lead() string {
	names, share := l.most()
	text := fmt.Sprintf("%s laps in %s s", l.Build, quantity.Number(l.Lap.Time, 1))
	if l.Before != nil {
		d := l.Lap.Time - l.Before.Time
		switch r := l.Range; {
		case r == nil || r.Change == nil:
			text += fmt.Sprintf(", %s s against %s", signedSeconds(d), l.Against)
		case r.Change.Inside():
			text += fmt.Sprintf(", %s s against %s, which is inside its range (%s to %s)", signedSeconds(d), l.Against, signedSeconds(r.Change.Low), signedSeconds(r.Change.High))
		default:
			text += fmt.Sprintf(", %s s against %s (%s to %s)", signedSeconds(d), l.Against, signedSeconds(r.Change.Low), signedSeconds(r.Change.High))
		}
	}
	text += fmt.Sprintf("; for %.0f %% of the lap it is %s that limits: %s. ", 100*share[names[0]], names[0], tryNext[names[0]])
	if r := l.Range; r != nil {
		text += fmt.Sprintf("How sure: the lap itself lies between %s and %s s with 95 %%", quantity.Number(r.Low, 1), quantity.Number(r.High, 1))
		if r.First != "" {
			text += fmt.Sprintf("; measure %s first, which makes most of that", r.First)
		}
		text += fmt.Sprintf(". %d of the %d inputs are typical. ", r.Typical, r.Inputs)
	}
	return text + "One line, a rider who uses all there is, no ruts: laps compare, they do not promise."
}

func signedSeconds(v float64) string { return signedNumber(v, 2) }

// signedNumber is a number with its sign, as people write it.
func signedNumber(v float64, places int) string {
	text := quantity.Number(v, places)
	if v > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// WriteText prints the lead and the sections.
func (l *LapAnswer) WriteText(w io.Writer) error {
	if err := report.WriteParagraph(w, l.Lead()); err != nil {
		return err
	}
	if l.BeforeWhy != "" {
		if err := report.WriteParagraph(w, l.Against+": "+l.BeforeWhy); err != nil {
			return err
		}
	}
	if err := report.WriteColumns(w, append([][]string{l.Heads()}, l.Rows()...)); err != nil {
		return err
	}
	for _, note := range l.Lap.Notes {
		if err := report.WriteParagraph(w, "Note: "+note+"."); err != nil {
			return err
		}
	}
	return nil
}

// Heads are the columns of the sections.
func (l *LapAnswer) Heads() []string {
	v := quantity.MustUnit("km/h").In(l.System).Label()
	heads := []string{"section", "time, s"}
	if l.Before != nil {
		heads = append(heads, l.Against)
	}
	return append(heads, "in, "+v, "out", "limited by")
}

// Rows are the sections as people read them, and the lap.
func (l *LapAnswer) Rows() [][]string {
	v := quantity.MustUnit("km/h").In(l.System)
	speed := func(ms float64) string { return quantity.Number(v.FromSI(ms), 0) }
	var rows [][]string
	row := func(name string, time, before float64, rest ...string) {
		cells := []string{name, quantity.Number(time, 2)}
		if l.Before != nil {
			cells = append(cells, quantity.Number(before, 2))
		}
		rows = append(rows, append(cells, rest...))
	}
	for i, s := range l.Lap.Sections {
		before := 0.0
		if l.Before != nil && i < len(l.Before.Sections) {
			before = l.Before.Sections[i].Time
		}
		row(s.Name, s.Time, before, speed(s.Entry), speed(s.Exit), s.Limit)
	}
	before := 0.0
	if l.Before != nil {
		before = l.Before.Time
	}
	row("lap", l.Lap.Time, before, "", "", fmt.Sprintf("%.0f m, fastest %s %s", l.Lap.Length, speed(l.Lap.Top/3.6), v.Label()))
	return rows
}

// WriteCSV writes a line for each step of the course.
func (l *LapAnswer) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"build", "way_m", "x_m", "y_m", "speed_m_s", "gear", "limit"}); err != nil {
		return err
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
	for i, by := range l.Lap.Limit {
		p := l.Lap.Course[i]
		if err := out.Write([]string{l.Build, number(l.Lap.Way[i]), number(p.X), number(p.Y), number(l.Lap.Speed[i]), strconv.Itoa(l.Lap.Gear[i]), by}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

type lapJSON struct {
	Program  string           `json:"program,omitempty"`
	Build    string           `json:"build"`
	Against  string           `json:"against,omitempty"`
	Advice   string           `json:"advice,omitempty"`
	Time     float64          `json:"lap_time_s"`       // [s]
	Low      float64          `json:"low"`              // [s]
	High     float64          `json:"high"`             // [s]
	Change   *changeJSON      `json:"change,omitempty"` // [s]
	Length   float64          `json:"length_m"`         // [m]
	Top      float64          `json:"fastest_km_h"`     // [km/h]
	Sections []lapSectionJSON `json:"sections"`
	Notes    []string         `json:"notes,omitempty"`
}

type lapSectionJSON struct {
	Name  string  `json:"name"`
	Time  float64 `json:"time_s"` // [s]
	Limit string  `json:"limit"`
	Entry float64 `json:"entry_m_s"` // [m/s]
	Exit  float64 `json:"exit_m_s"`  // [m/s]
}

// WriteJSON writes the lap as one JSON object.
func (l *LapAnswer) WriteJSON(w io.Writer, program string) error {
	out := lapJSON{Program: program, Build: l.Build, Advice: l.Lead(), Time: l.Lap.Time, Length: l.Lap.Length, Top: l.Lap.Top, Notes: l.Lap.Notes}
	if r := l.Range; r != nil {
		out.Low, out.High = r.Low, r.High
		if c := r.Change; c != nil && l.Before != nil {
			out.Against, out.Change = l.Against, &changeJSON{c.Value, c.Low, c.High, c.Inside()}
		}
	}
	for _, s := range l.Lap.Sections {
		out.Sections = append(out.Sections, lapSectionJSON(s))
	}
	return writeJSON(w, out)
}

// Map is the course from above, by what limits the build.
func (l *LapAnswer) Map() report.CourseMap {
	m := report.CourseMap{Title: "The course from above, by what limits " + l.Build}
	for i, p := range l.Lap.Course {
		limit := ""
		if i < len(l.Lap.Limit) {
			limit = l.Lap.Limit[i]
		}
		m.Places = append(m.Places, report.CoursePlace{X: p.X, Y: p.Y, Section: p.Section, Limit: limit})
	}
	return m
}

// Speeds is the chart of road speed along the lap, both builds.
func (l *LapAnswer) Speeds() report.Chart {
	v := quantity.MustUnit("km/h").In(l.System)
	c := report.Chart{Title: "Road speed along the lap", XLabel: "m from the start", YLabel: "road speed, " + v.Label()}
	line := func(name string, r *forecast.LapResult) {
		one := report.ChartLine{Name: name, X: r.Way}
		for _, ms := range r.Speed {
			one.Y = append(one.Y, v.FromSI(ms))
		}
		c.Lines = append(c.Lines, one)
	}
	if l.Before != nil {
		line(l.Against, l.Before)
	}
	line(l.Build, l.Lap)
	return c
}

// TrackCharts are what a machine can do on the ground of its course: thrust in each gear, and whether it slides before it tips; the
// notes say what cannot be drawn, and when to change up.
func (a *Answer) TrackCharts(k *forecast.TorqueCurve) (charts []report.Chart, notes []string) {
	v := quantity.MustUnit("km/h").In(a.System)
	kmh := func(list []float64) []float64 {
		var out []float64
		for _, x := range list {
			out = append(out, v.FromSI(x/3.6))
		}
		return out
	}
	lines, drag, change, err := forecast.GearLines(a.Build, k)
	if err != nil {
		notes = append(notes, err.Error())
	} else {
		c := report.Chart{Title: "Thrust in each gear against road speed", XLabel: "road speed, " + v.Label(), YLabel: "thrust at the tyres, N"}
		c.Lines = append(c.Lines, report.ChartLine{Name: "drag", X: kmh(drag.Speed), Y: drag.Force})
		for _, g := range lines {
			c.Lines = append(c.Lines, report.ChartLine{Name: "gear " + strconv.Itoa(g.Gear), X: kmh(g.Speed), Y: g.Force})
		}
		charts = append(charts, c)
		if len(change) > 0 {
			var at []string
			for _, x := range kmh(change) {
				at = append(at, quantity.Number(x, 0))
			}
			notes = append(notes, fmt.Sprintf("Change up at %s %s: there the next gear pushes as well, or the redline is reached", strings.Join(at, ", "), v.Label()))
		}
	}
	if start, err := forecast.ComputeStart(a.Build, k); err == nil {
		notes = append(notes, strings.TrimSuffix((&StartAnswer{a.Build.Name, start, a.System}).Lead(), "."))
	}
	return charts, notes
}

// TrackCharts are the charts of an answer's machine on the ground of its course, from the curve that the workshop file has.
func (w *Workshop) TrackCharts(ctx context.Context, a *Answer, program string) (charts []report.Chart, notes []string) {
	k, err := w.curveKept(ctx, a.Build, program)
	if err != nil {
		return nil, nil
	}
	return a.TrackCharts(k)
}

// lapKey names what a lap's range or the worth of parts follow from, for the workshop file.
func lapKey(what, program string, head Revision, a *Answer, more string) string {
	sum := sha256.New()
	fmt.Fprintf(sum, "%s 1 %s %s %s %s\n%s", what, program, a.Build.Name, a.Baseline.Name, more, head.Text)
	return hex.EncodeToString(sum.Sum(nil))
}

// LapKept is a lap from the curves that the workshop file has, with its range as far as that is there; nil when a curve is missing. The
// error says that none can be computed, and why.
func (w *Workshop) LapKept(ctx context.Context, a *Answer, head Revision, program string) (*LapAnswer, error) {
	if err := forecast.CanCurve(a.Build); err != nil {
		return nil, err
	}
	l, err := a.Lap(ctx, func(ctx context.Context, b *machine.Build) (*forecast.TorqueCurve, error) {
		if err := forecast.CanCurve(b); err != nil {
			return nil, err
		}
		return w.curveKept(ctx, b, program)
	})
	if errors.Is(err, errNotKept) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	kept, err := w.file.Result(ctx, lapKey("lap", program, head, a, ""))
	var r LapRange
	if err == nil && json.Unmarshal(kept, &r) == nil {
		l.Range = &r
	}
	return l, nil
}

// KeepLapRange works out how sure the lap is, and keeps it in the workshop file.
func (w *Workshop) KeepLapRange(ctx context.Context, a *Answer, head Revision, program string) error {
	r, err := a.LapRange(ctx, w.source(program))
	if err != nil {
		return err
	}
	kept, err := json.Marshal(r)
	if err != nil {
		return err
	}
	return w.file.KeepResult(ctx, lapKey("lap", program, head, a, ""), kept)
}

// source finds curves in the workshop file, or computes and keeps them there.
func (w *Workshop) source(program string) curveSource {
	return func(ctx context.Context, b *machine.Build) (*forecast.TorqueCurve, error) {
		if k, err := w.curveKept(ctx, b, program); err == nil {
			return k, nil
		}
		return w.computeCurve(ctx, b, program, nil)
	}
}

// KeepValue finds what the parts are worth, and keeps it in the workshop file.
func (w *Workshop) KeepValue(ctx context.Context, a *Answer, head Revision, program, budget string, done func(ready, total int)) error {
	v, err := a.Value(ctx, budget, w.source(program), done)
	if err != nil {
		return err
	}
	kept, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return w.file.KeepResult(ctx, lapKey("value", program, head, a, budget), kept)
}

// ValueKept is what the workshop file has of the worth of the parts; nil for nothing.
func (w *Workshop) ValueKept(ctx context.Context, a *Answer, head Revision, program, budget string) *ValueAnswer {
	kept, err := w.file.Result(ctx, lapKey("value", program, head, a, budget))
	var v ValueAnswer
	if err != nil || json.Unmarshal(kept, &v) != nil {
		return nil
	}
	v.System = a.System
	return &v
}

// Advises is what to buy next for the lap, as far as the workshop file knows what the parts are worth; "" for nothing.
func (w *Workshop) Advises(ctx context.Context, a *Answer, head Revision, program string) string {
	if v := w.ValueKept(ctx, a, head, program, ""); v != nil {
		return v.Lead()
	}
	return ""
}

// Gains is the chart of what the parts are worth.
func (v *ValueAnswer) Gains() report.Gains {
	g := report.Gains{Title: "What each part gains on this course", Label: "s a lap gained, with 95 % range; filled: surely not nothing"}
	for _, w := range v.Parts {
		if w.Why == "" {
			g.List = append(g.List, report.Gain{Name: w.Part, Value: w.Seconds, Low: w.Low, High: w.High})
		}
	}
	return g
}
