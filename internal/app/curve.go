package app

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// CurveAnswer is the torque curve of a build, and of its baseline when that is another.
type CurveAnswer struct {
	Build, Against string
	Curve          *torque.Curve
	Before         *torque.Curve  // nil when the build is its own baseline, or that has no curve
	BeforeWhy      string         // why the baseline has none
	Spread         *torque.Spread // how sure the curve is; nil when that was not worked out
	SpreadBefore   *torque.Spread
	Sure           bool // both ranges are there
	Parts          *TorqueOfParts
	Typical        int // of the inputs that the build's curve follows from
	Inputs         int
	Corrected      string // to which air torque and power were corrected, in words; "" for none
	System         quantity.System
	Redline        float64 // [rpm]
}

// Curves computes torque curves and holds them for the time of a run, so that none is computed twice. Its zero value is ready.
type Curves struct {
	known map[string]*torque.Curve
}

func (c *Curves) compute(ctx context.Context, b *machine.Build) (*torque.Curve, error) {
	key := torque.CurveKey(b)
	if k, ok := c.known[key]; ok {
		return k, nil
	}
	k, err := torque.ComputeCurve(ctx, b, nil)
	if err != nil {
		return nil, err
	}
	c.know(b, k)
	return k, nil
}

// know takes in the curve of a build that was computed elsewhere.
func (c *Curves) know(b *machine.Build, k *torque.Curve) {
	if k == nil {
		return
	}
	if c.known == nil {
		c.known = map[string]*torque.Curve{}
	}
	c.known[torque.CurveKey(b)] = k
}

// Of computes the curves that rules ask for. A build that has none has none for them; what ends the context ends the work.
func (c *Curves) Of(ctx context.Context) asked.CurveOf {
	return func(b *machine.Build) *torque.Curve {
		k, _ := c.compute(ctx, b) // why it has none is said by the torque curve itself
		return k
	}
}

// Curve computes the torque curves of a question's build and, when the question names a baseline, of that. Done is told how much of
// the work is ready. Ranges takes the time to work out how sure they are, parts what each part does against the baseline.
// Standard is the air that torque and power are corrected to, "" for that of the sheet.
func Curve(ctx context.Context, q asked.Question, ranges, parts bool, standard string, done func(ready, total int)) (*CurveAnswer, error) {
	against := q.Against != "" || parts
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	if parts && standard != "" {
		return nil, faults.Mendable(errors.New("what each part does is told in the sheet's own air; leave --standard away"))
	}
	c, err := curveWith(ctx, a, against, ranges, parts, done)
	if err != nil || standard == "" {
		return c, err
	}
	return c, c.Correct(a, standard)
}

// curveWith is Curve with ranges and parts when wanted.
func curveWith(ctx context.Context, a *asked.Answer, against, ranges, parts bool, done func(ready, total int)) (*CurveAnswer, error) {
	c, err := curveOf(ctx, a, against, done)
	if err != nil {
		return nil, err
	}
	if ranges {
		if err := c.Range(ctx, a, done); err != nil {
			return nil, err
		}
	}
	if parts && c.Before != nil {
		if c.Parts, err = torqueOfParts(ctx, a, new(Curves).compute, done); err != nil {
			return nil, err
		}
		c.Parts.worked(c.changeRange())
	}
	return c, nil
}

// changeRange is the range of the change of torque between the two curves [Nm], where the build's is highest; 0 when it was not
// worked out. That of one part alone is not larger.
func (c *CurveAnswer) changeRange() float64 {
	if c.Spread == nil || c.SpreadBefore == nil {
		return 0
	}
	return c.Spread.HalfOfChange(c.SpreadBefore, c.Curve.Torque.Speed)
}

// curveOf computes the torque curve of the answer's build and, against its baseline when wanted, of that.
func curveOf(ctx context.Context, a *asked.Answer, against bool, done func(ready, total int)) (*CurveAnswer, error) {
	c := &CurveAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	c.Typical, c.Inputs = torque.CurveTypical(a.Build)
	if v, ok := a.Build.Values["engine.redline"]; ok {
		c.Redline = a.Build.Project.Number(v) * 30 / math.Pi
	}
	against = against && a.Baseline.Name != a.Build.Name
	part := func(from, of int) func(ready, total int) {
		return func(ready, total int) {
			if done != nil {
				done(from*total+ready, of*total)
			}
		}
	}
	of := 1
	if against {
		of = 2
	}
	var err error
	if c.Curve, err = torque.ComputeCurve(ctx, a.Build, part(0, of)); err != nil {
		return nil, err
	}
	if !against {
		return c, nil
	}
	if c.Before, err = torque.ComputeCurve(ctx, a.Baseline, part(1, of)); err != nil {
		if !errors.Is(err, torque.ErrNoCurve) {
			return nil, err
		}
		c.BeforeWhy = err.Error()
	}
	return c, nil
}

// Range works out how sure the curves are.
func (c *CurveAnswer) Range(ctx context.Context, a *asked.Answer, done func(ready, total int)) error {
	of := 1
	if c.Before != nil {
		of = 2
	}
	part := func(from int) func(ready, total int) {
		return func(ready, total int) {
			if done != nil {
				done(from*total+ready, of*total)
			}
		}
	}
	var err error
	if c.Spread, err = torque.ComputeSpread(ctx, a.Build, part(0)); err != nil || c.Before == nil {
		return err
	}
	c.SpreadBefore, err = torque.ComputeSpread(ctx, a.Baseline, part(1))
	return err
}

// Exit is the exit code: CannotCompute when a speed is missing.
func (c *CurveAnswer) Exit() int {
	for _, p := range c.Curve.Points {
		if !p.Converged {
			return asked.CannotCompute
		}
	}
	return asked.Fine
}

// trustedTorque is how far a torque curve may be off, as a share of itself, before the machine has been measured on a dynamometer: no
// fired engine of this kind with its whole geometry was at hand to compare with. Set by judgement from the spread of the models
// it is made of: friction 5 %, burning and heat 6 %, flow 5 %.
const trustedTorque = 0.10

// Lead is one sentence: what the curve says, against the baseline when there is one, and how sure that is.
func (c *CurveAnswer) Lead() string {
	torque := func(v float64) string { return c.show(v, "Nm") }
	k := c.Curve
	text := c.peaks()
	if b := c.Before; b != nil {
		gain, most, where := 0.0, 0.0, 0.0
		for i, p := range k.Points {
			if i >= len(b.Points) || math.Abs(b.Points[i].Speed-p.Speed) > 1 || !p.Converged || !b.Points[i].Converged {
				continue
			}
			if d := p.Torque - b.Points[i].Torque; math.Abs(d) > math.Abs(most) {
				most, where = d, p.Speed
			}
			gain += p.Torque - b.Points[i].Torque
		}
		switch {
		case most == 0:
			text += fmt.Sprintf("; %s makes %s and %s", machine.TheBuild(c.Against), torque(b.Torque.Value), c.show(b.Power.Value, "kW"))
		case gain >= 0:
			text += fmt.Sprintf("; against %s (%s, %s) it differs most at %.0f rpm, by %s", machine.TheBuild(c.Against), torque(b.Torque.Value), c.show(b.Power.Value, "kW"), where, c.signed(most))
		default:
			text += fmt.Sprintf("; it loses against %s (%s, %s), most at %.0f rpm, %s", machine.TheBuild(c.Against), torque(b.Torque.Value), c.show(b.Power.Value, "kW"), where, c.signed(most))
		}
	}
	if s := c.Spread; s != nil {
		at := k.Torque.Speed
		what := "the peak"
		if !k.Torque.Known() {
			what = fmt.Sprintf("the torque at %.0f rpm", at)
		}
		text += fmt.Sprintf(". How sure: "+what+" lies between %s and %s (95 %% range)", torque(k.Torque.Value-s.Half(at)), torque(k.Torque.Value+s.Half(at)))
		if c.Before != nil && c.SpreadBefore != nil {
			d, half := k.Torque.Value-c.Before.TorqueAt(at), s.HalfOfChange(c.SpreadBefore, at)
			switch {
			case math.IsNaN(d):
			case math.Abs(d) <= half:
				text += fmt.Sprintf(", and its change there, %s ± %s, is too small to tell", c.signed(d), torque(half))
			default:
				text += fmt.Sprintf(", and its change there between %s and %s", c.signed(d-half), c.signed(d+half))
			}
		}
		if most := s.Largest(at, 2); len(most) == 2 {
			text += fmt.Sprintf("; most of that is the %s and the %s", machine.Spoken(most[0]), machine.Spoken(most[1]))
		}
		text += ". "
		if narrow := figure.TooNarrow(c.lost()); narrow != "" {
			text += narrow + " "
		}
		return text + c.next() + " Full throttle, spark for best torque, at the crank" + c.Corrected + "."
	}
	if 4*c.Typical > c.Inputs {
		return text + fmt.Sprintf(". How sure: %d of the %d inputs that it follows from are typical values, so this is a machine of that kind, not yours; put your own in their place; its range shows which matters most. Full throttle, spark for best torque, at the crank%s.", c.Typical, c.Inputs, c.Corrected)
	}
	guessed := ""
	if c.Typical > 0 {
		guessed = fmt.Sprintf(" (%d of its %d inputs typical)", c.Typical, c.Inputs)
	}
	return text + fmt.Sprintf(". How sure: within about %.0f %% until a dynamometer has measured it%s; a difference between two builds is surer than either. %s Full throttle, spark for best torque, at the crank%s.", 100*trustedTorque, guessed, c.next(), c.Corrected)
}

// peaks say where torque and power are greatest; where the sweep ends before that, that they still rise there, which is no peak.
func (c *CurveAnswer) peaks() string {
	k := c.Curve
	most, power := c.show(k.Torque.Value, "Nm"), c.show(k.Power.Value, "kW")
	text := fmt.Sprintf("%s makes %s at %.0f rpm", quantity.Capital(machine.TheBuild(c.Build)), most, k.Torque.Speed)
	switch k.Torque.End {
	case torque.Rising:
		text = fmt.Sprintf("The torque of %s is still rising at %.0f rpm, the end of the sweep (%s there)", machine.TheBuild(c.Build), k.Torque.Speed, most)
	case torque.Falling:
		text = fmt.Sprintf("The torque of %s falls from %.0f rpm on, the start of the sweep (%s there)", machine.TheBuild(c.Build), k.Torque.Speed, most)
	}
	that := "that"
	switch k.Power.End {
	case torque.Inside:
		text += fmt.Sprintf(" and %s at %.0f", power, k.Power.Speed)
	case torque.Rising:
		text += fmt.Sprintf(", and its power is still rising at %.0f rpm, the end of the sweep (%s there), which is no reason to turn it faster: springs and rod set the redline", k.Power.Speed, power)
		that = "that torque"
	case torque.Falling:
		text += fmt.Sprintf(", and its power falls from %.0f rpm on, the start of the sweep (%s there)", k.Power.Speed, power)
		that = "that torque"
	}
	return text + fmt.Sprintf("; it pulls above nine tenths of %s from %.0f to %.0f rpm", that, k.From, k.To)
}

// lost are the doubts that the ranges leave out, in words.
func (c *CurveAnswer) lost() []string {
	lost := slices.Clone(c.Spread.Lost)
	if c.SpreadBefore != nil {
		for _, name := range c.SpreadBefore.Lost {
			if !slices.Contains(lost, name) {
				lost = append(lost, name)
			}
		}
	}
	return lost
}

// next is what else there is to look at.
func (c *CurveAnswer) next() string {
	if c.Spread != nil && c.Before == nil {
		for _, name := range c.Spread.Largest(c.Curve.Torque.Speed, len(c.Spread.Terms)) {
			if machine.FieldAt(name) != nil {
				return fmt.Sprintf("Of all inputs the %s moves it most.", machine.Spoken(name))
			}
		}
	}
	switch {
	case c.Parts != nil:
		return "What each part does alone stands below."
	case c.Before != nil:
		return "What each part does alone can be seen too."
	}
	return "Another build can be laid against it."
}

// Correct puts torque and power in a standard's air, by one of the names of torque.Standards, those of both builds by the factors
// of their own airs. The error is Mendable.
func (c *CurveAnswer) Correct(a *asked.Answer, standard string) error {
	k, err := torque.CorrectionTo(a.Build, standard)
	if err != nil {
		return faults.Mendable(err)
	}
	c.Corrected = fmt.Sprintf(", corrected to the air of %s (× %.3f)", k.Name, k.Factor)
	if k.Outside {
		c.Corrected += ", for which the standard does not hold: it is more than 7 % off"
	}
	c.Curve = c.Curve.Corrected(k.Factor)
	if c.Spread != nil {
		c.Spread = c.Spread.Corrected(k.Factor)
	}
	if c.Before != nil {
		if k, err = torque.CorrectionTo(a.Baseline, standard); err != nil {
			return faults.Mendable(err)
		}
		c.Before = c.Before.Corrected(k.Factor)
		if c.SpreadBefore != nil {
			c.SpreadBefore = c.SpreadBefore.Corrected(k.Factor)
		}
	}
	return nil
}

func (c *CurveAnswer) show(v float64, metric string) string {
	u := quantity.MustUnit(metric)
	to := u.In(c.System)
	return quantity.WithUnit(quantity.Number(to.FromSI(u.ToSI(v)), 1), to)
}

func (c *CurveAnswer) signed(v float64) string {
	if v > 0 {
		return "+" + c.show(v, "Nm")
	}
	return c.show(v, "Nm")
}

// curveHeads are the columns of a curve as tables name them, with their units.
var curveHeads = []string{"speed_rpm", "torque_nm", "power_kw", "volumetric_efficiency", "residual_fraction", "imep_kpa", "pmep_kpa", "fmep_kpa", "bsfc_g_per_kwh", "exhaust_temp_k", "cycles", "converged"}

type curvePointJSON struct {
	Speed     float64  `json:"speed_rpm"` // [rpm]
	Torque    *float64 `json:"torque_nm"`
	Power     *float64 `json:"power_kw"`
	Filling   *float64 `json:"volumetric_efficiency"`
	Residual  *float64 `json:"residual_fraction"`
	Indicated *float64 `json:"imep_kpa"`
	Pumping   *float64 `json:"pmep_kpa"`
	Friction  *float64 `json:"fmep_kpa"`
	Fuel      *float64 `json:"bsfc_g_per_kwh"`
	Exhaust   *float64 `json:"exhaust_temp_k"`
	Cycles    int      `json:"cycles"`
	Converged bool     `json:"converged"`
	Why       string   `json:"why,omitempty"`
	Low       *float64 `json:"torque_low_nm,omitempty"`
	High      *float64 `json:"torque_high_nm,omitempty"`
}

type curvePeakJSON struct {
	Torque *float64 `json:"nm,omitempty"`
	Power  *float64 `json:"kw,omitempty"`
	Speed  float64  `json:"rpm"`                    // [rpm]
	End    string   `json:"end_of_sweep,omitempty"` // no peak: "rising" at the upper end, "falling" from the lower
}

var endJSON = map[torque.End]string{torque.Rising: "rising", torque.Falling: "falling"}

type curveJSON struct {
	Program string           `json:"program,omitempty"`
	Build   string           `json:"build"`
	Points  []curvePointJSON `json:"points"`
	Torque  curvePeakJSON    `json:"peak_torque"`
	Power   curvePeakJSON    `json:"peak_power"`
	Span    [2]float64       `json:"above_nine_tenths_rpm"`
	Lead    string           `json:"lead,omitempty"`
	Air     string           `json:"corrected_to,omitempty"` // [-] the standard's factor in words
	Against *curveJSON       `json:"against,omitempty"`
	Parts   *partsTorqueJSON `json:"parts,omitempty"`
}

func curveOut(name string, k *torque.Curve, s *torque.Spread) *curveJSON {
	out := &curveJSON{Build: name, Torque: curvePeakJSON{Torque: &k.Torque.Value, Speed: k.Torque.Speed, End: endJSON[k.Torque.End]}, Power: curvePeakJSON{Power: &k.Power.Value, Speed: k.Power.Speed, End: endJSON[k.Power.End]}, Span: [2]float64{k.From, k.To}, Points: []curvePointJSON{}}
	for _, p := range k.Points {
		q := curvePointJSON{Speed: p.Speed, Cycles: p.Cycles, Converged: p.Converged, Why: p.Why}
		if p.Converged {
			q.Torque, q.Power, q.Filling, q.Residual, q.Indicated, q.Pumping, q.Friction, q.Exhaust = &p.Torque, &p.Power, &p.Filling, &p.Residual, &p.Indicated, &p.Pumping, &p.Friction, &p.Exhaust
			if p.Fuel > 0 {
				q.Fuel = &p.Fuel
			}
			if s != nil {
				low, high := p.Torque-s.Half(p.Speed), p.Torque+s.Half(p.Speed)
				q.Low, q.High = &low, &high
			}
		}
		out.Points = append(out.Points, q)
	}
	return out
}

// WriteJSON writes the curve as one JSON object, the baseline's inside it.
func (c *CurveAnswer) WriteJSON(w io.Writer, program string) error {
	out := curveOut(c.Build, c.Curve, c.Spread)
	out.Program, out.Lead, out.Air = program, c.Lead(), strings.TrimPrefix(c.Corrected, ", corrected to ")
	if c.Before != nil {
		out.Against = curveOut(c.Against, c.Before, c.SpreadBefore)
	}
	if c.Parts != nil {
		out.Parts = c.Parts.out()
	}
	return asked.WriteObject(w, out)
}

// WriteCSV writes one line for each speed of each build.
func (c *CurveAnswer) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(append([]string{"build"}, curveHeads...)); err != nil {
		return err
	}
	number := func(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }
	rows := func(name string, k *torque.Curve) error {
		for _, p := range k.Points {
			row := []string{name, number(p.Speed, 0), "", "", "", "", "", "", "", "", "", strconv.Itoa(p.Cycles), strconv.FormatBool(p.Converged)}
			if p.Converged {
				copy(row[2:], []string{number(p.Torque, 3), number(p.Power, 3), number(p.Filling, 4), number(p.Residual, 4), number(p.Indicated, 1), number(p.Pumping, 1), number(p.Friction, 1), "", number(p.Exhaust, 0)})
				if p.Fuel > 0 {
					row[9] = number(p.Fuel, 1)
				}
			}
			if err := out.Write(row); err != nil {
				return err
			}
		}
		return nil
	}
	if err := rows(c.Build, c.Curve); err != nil {
		return err
	}
	if c.Before != nil {
		if err := rows(c.Against, c.Before); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// WriteText prints the curve for people.
func (c *CurveAnswer) WriteText(w io.Writer) error {
	if err := report.WriteParagraph(w, c.Lead()); err != nil {
		return err
	}
	if c.BeforeWhy != "" {
		if err := report.WriteParagraph(w, c.Against+": "+c.BeforeWhy); err != nil {
			return err
		}
	}
	if err := report.WriteCurve(w, c.Rows(), c.Build, c.Against, c.System); err != nil || c.Parts == nil {
		return err
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	return c.Parts.WriteText(w)
}

// Rows are the curve's points as a table for people prints them, the baseline's torque beside.
func (c *CurveAnswer) Rows() []report.CurveRow {
	var rows []report.CurveRow
	for _, p := range c.Curve.Points {
		r := report.CurveRow{Speed: p.Speed, Torque: p.Torque, Power: p.Power, Filling: p.Filling, Residual: p.Residual, Indicated: p.Indicated, Pumping: p.Pumping, Friction: p.Friction, Fuel: p.Fuel, Exhaust: p.Exhaust, Before: math.NaN(), Why: p.Why}
		if c.Before != nil {
			r.Before = c.Before.TorqueAt(p.Speed)
		}
		rows = append(rows, r)
	}
	return rows
}

// Curve is the torque curves of an answer's two builds. What the workshop file has of the same inputs is not computed again; what
// is computed is kept there.
func (w *Workshop) Curve(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) (*CurveAnswer, error) {
	c, missing, err := w.CurveKept(ctx, a, program)
	if err != nil || len(missing) == 0 {
		return c, err
	}
	for i, b := range missing {
		_, err := w.computeCurve(ctx, b, program, func(ready, total int) {
			if done != nil {
				done(i*total+ready, len(missing)*total)
			}
		})
		if errors.Is(err, torque.ErrNoCurve) && b != a.Build {
			continue // the baseline's want is told by CurveKept
		}
		if err != nil {
			return nil, err
		}
	}
	c, _, err = w.CurveKept(ctx, a, program)
	return c, err
}

// CurveKept is what the workshop file has of the torque curves of an answer's builds and their ranges, and the builds that it has
// no curve of. The error says that none can be computed, and why.
func (w *Workshop) CurveKept(ctx context.Context, a *asked.Answer, program string) (*CurveAnswer, []*machine.Build, error) {
	c := &CurveAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	c.Typical, c.Inputs = torque.CurveTypical(a.Build)
	if v, ok := a.Build.Values["engine.redline"]; ok {
		c.Redline = a.Build.Project.Number(v) * 30 / math.Pi
	}
	if err := torque.CanCurve(a.Build); err != nil {
		return nil, nil, err
	}
	var missing []*machine.Build
	fetch := func(b *machine.Build) *torque.Curve {
		k, err := w.curveKept(ctx, b, program)
		if err != nil {
			missing = append(missing, b)
		}
		return k
	}
	c.Curve = fetch(a.Build)
	if a.Baseline.Name != a.Build.Name {
		if err := torque.CanCurve(a.Baseline); err != nil {
			c.BeforeWhy = err.Error()
		} else {
			c.Before = fetch(a.Baseline)
		}
	}
	c.Sure = w.rangeKept(ctx, a, c, program)
	return c, missing, nil
}

// ComputedKept is what the workshop file has of what a report takes long for.
func (w *Workshop) ComputedKept(ctx context.Context, a *asked.Answer, program string) (c Computed, err error) {
	k, missing, err := w.CurveKept(ctx, a, program)
	switch {
	case errors.Is(err, torque.ErrNoCurve): // a usual one serves the lap
	case err != nil:
		return c, err
	case k.Curve == nil || len(missing) > 0:
		return c, nil
	default:
		if k.Before != nil {
			if k.Parts, err = w.TorqueOfPartsKept(ctx, a, program); err != nil {
				return c, err
			}
		}
		c.Curve = k
	}
	if c.Lap, err = w.LapKept(ctx, a, program); err != nil || c.Lap == nil { // why there is none stands on the Track page
		return c, ctx.Err()
	}
	c.Charts, _ = trackCharts(ctx, a, w.kept(program))
	c.Value, c.Line = w.ValueKept(ctx, a, program, ""), w.LineKept(ctx, a, program)
	return c, nil
}

// Range is how sure the curves of an answer are, from the workshop file or worked out and kept there.
func (w *Workshop) Range(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) error {
	for i, b := range []*machine.Build{a.Build, a.Baseline} {
		if i == 1 && (b.Name == a.Build.Name || torque.CanCurve(b) != nil) {
			break
		}
		key := program + " " + torque.SpreadKey(b)
		if workshop.ResultAt[json.RawMessage](ctx, w.Bench, key) != nil {
			continue
		}
		s, err := torque.ComputeSpread(ctx, b, func(ready, total int) { done(i*total+ready, 2*total) })
		if err != nil {
			return err
		}
		if err := w.KeepResult(ctx, key, s); err != nil {
			return err
		}
	}
	return nil
}

// rangeKept puts the ranges that the workshop file has into a curve's answer, and says whether all are there.
func (w *Workshop) rangeKept(ctx context.Context, a *asked.Answer, c *CurveAnswer, program string) bool {
	fetch := func(b *machine.Build) *torque.Spread {
		return workshop.ResultAt[torque.Spread](ctx, w.Bench, program+" "+torque.SpreadKey(b))
	}
	c.Spread = fetch(a.Build)
	if c.Before != nil {
		c.SpreadBefore = fetch(a.Baseline)
	}
	return c.Spread != nil && (c.Before == nil || c.SpreadBefore != nil)
}

// CurveKey names the work of the two curves of an answer.
func CurveKey(a *asked.Answer) string {
	return torque.CurveKey(a.Build) + torque.CurveKey(a.Baseline)
}

// Torque and Power are the curves as charts.
func (c *CurveAnswer) Torque() report.Chart {
	return c.chart("Torque against engine speed", "Nm", "torque", func(p torque.Point) float64 { return p.Torque })
}

// Power is the chart of power.
func (c *CurveAnswer) Power() report.Chart {
	return c.chart("Power against engine speed", "kW", "power", func(p torque.Point) float64 { return p.Power })
}

// Filling is the chart of volumetric efficiency.
func (c *CurveAnswer) Filling() report.Chart {
	return c.chart("Filling against engine speed", "%", "filling", func(p torque.Point) float64 { return 100 * p.Filling })
}

func (c *CurveAnswer) chart(title, unit, name string, of func(torque.Point) float64) report.Chart {
	label, scale := unit, 1.0
	if u, ok := quantity.UnitNamed(unit); ok && unit != "%" {
		to := u.In(c.System)
		label, scale = to.Label(), to.FromSI(u.ToSI(1))
	}
	chart := report.Chart{Title: title, XLabel: "engine speed, rpm", YLabel: name + ", " + label, Mark: c.Redline, MarkText: "redline"}
	add := func(name string, k *torque.Curve, s *torque.Spread) {
		if k == nil {
			return
		}
		l := report.ChartLine{Name: name}
		for _, p := range k.Points {
			if p.Converged {
				l.X, l.Y = append(l.X, p.Speed), append(l.Y, scale*of(p))
				if s != nil && p.Torque > 0 && unit != "%" { // power has the torque's share
					share := s.Half(p.Speed) / p.Torque
					l.Low, l.High = append(l.Low, scale*of(p)*(1-share)), append(l.High, scale*of(p)*(1+share))
				}
			}
		}
		chart.Lines = append(chart.Lines, l)
	}
	if c.Before != nil {
		add(c.Against, c.Before, nil)
	}
	add(c.Build, c.Curve, c.Spread)
	return chart
}

// Reason is where a change of torque at one speed comes from, in words with numbers.
type Reason struct {
	Speed string
	Parts []string // whole change, then size, filling, burning, pumping, friction
}

// forReport is the curve as a report shows it; nil for none.
func (c *CurveAnswer) forReport() *report.Engine {
	if c == nil || c.Curve == nil {
		return nil
	}
	e := &report.Engine{Lead: c.Lead(), Nothing: c.BeforeWhy, Banded: c.Spread != nil, Charts: []template.HTML{c.Torque().SVG(), c.Power().SVG(), c.Filling().SVG()}, Why: report.Table{Heads: append([]string{"rpm"}, ReasonHeads...)}}
	for _, r := range c.Reasons() {
		e.Why.Rows = append(e.Why.Rows, report.Cells(append([]string{r.Speed}, r.Parts...)...))
	}
	if t := c.Parts; t != nil && len(t.Parts) > 0 {
		e.Parts, e.Each, e.Notes = t.Lead(), report.TableOf(t.Heads(), t.Rows()), t.Notes()
	}
	return e
}

// ReasonHeads name the parts of a reason.
var ReasonHeads = []string{"in all", "displacement", "filling", "compression, burning and heat", "pumping", "friction"}

// Reasons split the change of torque against the baseline, at a few speeds. The parts add up to the whole.
func (c *CurveAnswer) Reasons() []Reason {
	if c.Before == nil {
		return nil
	}
	var list []Reason
	for _, i := range []int{1, 5, 9, 13, 17} {
		if i >= len(c.Curve.Points) || i >= len(c.Before.Points) {
			break
		}
		p, q := c.Curve.Points[i], c.Before.Points[i]
		if !p.Converged || !q.Converged || math.Abs(p.Speed-q.Speed) > 1 {
			continue
		}
		r := Reason{Speed: quantity.Number(p.Speed, 0)}
		for _, part := range torque.SplitTorque(q, p) {
			r.Parts = append(r.Parts, c.signed(part))
		}
		list = append(list, r)
	}
	return list
}
