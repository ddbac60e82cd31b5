package app

import (
	"context"
	"encoding/csv"
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
	"shakedown/quantity"
	"shakedown/report"
)

// LapAnswer is one lap of a build with a flying start, and of its baseline when that is another and has one.
type LapAnswer struct {
	Build, Against string
	Lap            *forecast.LapResult
	Before         *forecast.LapResult
	BeforeWhy      string        // why the baseline has none
	Time           figure.Figure // with its range and its change
	Guessed        int           // of the inputs of the lap that are typical
	System         quantity.System
}

// How far a torque curve may be off: what two curves of one model have in common is trustedTorque; what they have not, usualChange.

// Lap computes a lap of a question's build, against the baseline.
func Lap(ctx context.Context, q Question, curves *Curves) (*LapAnswer, error) {
	s, err := q.read()
	if err != nil {
		return nil, Input{err}
	}
	a, err := answer(s, q)
	if err != nil {
		return nil, err
	}
	return a.Lap(ctx, curves.compute)
}

// Lap computes a lap of the answer's build, against its baseline.
func (a *Answer) Lap(ctx context.Context, curve curveSource) (*LapAnswer, error) {
	l := &LapAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	now, err := curve(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	if l.Lap, err = forecast.ComputeLap(a.Build, now); err != nil {
		return nil, err
	}
	against := a.Baseline
	var before *forecast.TorqueCurve
	if a.Baseline.Name == a.Build.Name {
		against = nil
	} else if before, err = curve(ctx, a.Baseline); err == nil {
		l.Before, err = forecast.ComputeLap(a.Baseline, before)
	}
	if err != nil {
		if ctx.Err() != nil || !errors.Is(err, forecast.ErrNoLap) && !errors.Is(err, forecast.ErrNoCurve) {
			return nil, err
		}
		l.BeforeWhy, against = err.Error(), nil
	}
	if l.Time, err = forecast.LapTime(ctx, a.Build, against, now, before, trustedTorque, usualChange); err != nil {
		return nil, err
	}
	for _, in := range l.Time.Basis.Inputs {
		if in.Known == quantity.Typical {
			l.Guessed++
		}
	}
	return l, nil
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
	if c := l.Time.Change; c != nil && l.Before != nil {
		switch {
		case c.Value == 0:
			text += fmt.Sprintf(", as %s does", l.Against)
		case c.Low < 0 && c.High > 0:
			text += fmt.Sprintf(", %s s against %s, which is inside its range (%s to %s)", signedSeconds(c.Value), l.Against, signedSeconds(c.Low), signedSeconds(c.High))
		default:
			text += fmt.Sprintf(", %s s against %s (%s to %s)", signedSeconds(c.Value), l.Against, signedSeconds(c.Low), signedSeconds(c.High))
		}
	}
	text += fmt.Sprintf("; for %.0f %% of the lap it is %s that limits: %s", 100*share[names[0]], names[0], tryNext[names[0]])
	text += fmt.Sprintf(". How sure: the lap itself lies between %s and %s s with 95 %%", quantity.Number(l.Time.Low, 1), quantity.Number(l.Time.High, 1))
	if inputs := l.Time.Basis.Inputs; len(inputs) > 0 && inputs[0].Share > 0 {
		text += fmt.Sprintf("; measure %s first, which makes most of that", inputs[0].Path)
	}
	return text + fmt.Sprintf(". %d of the %d inputs are typical. One line, a rider who uses all there is, no ruts: laps compare, they do not promise.", l.Guessed, len(l.Time.Basis.Inputs))
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
	out := lapJSON{Program: program, Build: l.Build, Advice: l.Lead(), Time: l.Lap.Time, Low: l.Time.Low, High: l.Time.High, Length: l.Lap.Length, Top: l.Lap.Top, Notes: l.Lap.Notes}
	if c := l.Time.Change; c != nil && l.Before != nil {
		out.Against, out.Change = l.Against, &changeJSON{c.Value, c.Low, c.High, c.Low <= 0 && c.High >= 0}
	}
	for _, s := range l.Lap.Sections {
		out.Sections = append(out.Sections, lapSectionJSON(s))
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
