package engine

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Answer is what is said of it: the peaks, the curves, where a change of torque comes from, what the parts do, and the
// points.
func (c *Curve) Answer() report.Answer {
	none := report.NoBaseline(c.Against, c.BeforeWhy)
	var sure []string
	if c.Spread != nil {
		sure = []string{fmt.Sprintf("The band is the 95 %% range of %s: what is not measured, and what the model takes from the literature.", machine.TheBuild(c.Build))}
	}
	points := c.points()
	out := report.Answer{Lead: c.lead(), Object: func() any { return c.object() }, Lines: c.lines, Blocks: []report.Block{
		{Only: report.Terminal, Notes: none},
		{Only: report.Terminal, Table: points},
		{ID: "curves", Only: report.Page, Charts: c.charts(), Notes: append(sure, none...)},
	}}
	if why := c.reasons(); len(why.Rows) > 0 {
		out.Blocks = append(out.Blocks, report.Block{ID: "reasons", Only: report.Page, Heading: "Where the change of torque comes from", Table: why, Notes: []string{"The parts add up. Filling is what gets in; compression, burning and heat are what each filling gives."}})
	}
	if c.Parts != nil {
		parts := report.Block{ID: "each", Heading: "What each part does alone and together"}
		of := c.Parts.Answer()
		if parts.Words = of.Lead; len(of.Blocks) == 0 {
			parts.Only = report.Terminal // a page is silent where no part does anything
		} else {
			parts.Table, parts.Notes = of.Blocks[0].Table, of.Blocks[0].Notes
		}
		out.Blocks = append(out.Blocks, parts)
	}
	out.Blocks = append(out.Blocks, report.Block{ID: "points", Only: report.Page, Heading: "The points", Table: points})
	return out
}

// lead is one sentence: what the curve says, against the baseline when there is one, and how sure that is.
func (c *Curve) lead() string {
	nm := func(v float64) string { return c.shown(v, "Nm") }
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
			text += fmt.Sprintf("; %s makes %s and %s", machine.TheBuild(c.Against), nm(b.Torque.Value), c.shown(b.Power.Value, "kW"))
		case gain >= 0:
			text += fmt.Sprintf("; against %s (%s, %s) it differs most at %.0f rpm, by %s", machine.TheBuild(c.Against), nm(b.Torque.Value), c.shown(b.Power.Value, "kW"), where, c.signed(most))
		default:
			text += fmt.Sprintf("; it loses against %s (%s, %s), most at %.0f rpm, %s", machine.TheBuild(c.Against), nm(b.Torque.Value), c.shown(b.Power.Value, "kW"), where, c.signed(most))
		}
	}
	if s := c.Spread; s != nil {
		at := k.Torque.Speed
		what := "the peak"
		if !k.Torque.Known() {
			what = fmt.Sprintf("the torque at %.0f rpm", at)
		}
		text += fmt.Sprintf(". How sure: "+what+" lies between %s and %s (95 %% range)", nm(k.Torque.Value-s.Half(at)), nm(k.Torque.Value+s.Half(at)))
		if c.Before != nil && c.SpreadBefore != nil {
			d, half := k.Torque.Value-c.Before.TorqueAt(at), s.HalfOfChange(c.SpreadBefore, at)
			switch {
			case math.IsNaN(d):
			case math.Abs(d) <= half:
				text += fmt.Sprintf(", and its change there, %s ± %s, is too small to tell", c.signed(d), nm(half))
			default:
				text += fmt.Sprintf(", and its change there between %s and %s", c.signed(d-half), c.signed(d+half))
			}
		}
		if most := s.Largest(at, 2); len(most) == 2 {
			text += fmt.Sprintf("; most of that is the %s and the %s", machine.Spoken(most[0]), machine.Spoken(most[1]))
		}
		text += c.notYours() + ". "
		if narrow := figure.TooNarrow(c.lost()); narrow != "" {
			text += narrow + " "
		}
		return text + c.next() + " Full throttle, spark for best torque, at the crank" + c.Corrected + "."
	}
	if 4*c.Typical > c.Inputs {
		return text + fmt.Sprintf(". How sure: %d of the %d inputs that it follows from are typical values, so this is a machine of that kind, not yours, and %s; put your own in their place; its range shows which matters most. Full throttle, spark for best torque, at the crank%s.", c.Typical, c.Inputs, levelWords, c.Corrected)
	}
	guessed := ""
	if c.Typical > 0 {
		guessed = fmt.Sprintf(" (%d of its %d inputs typical)", c.Typical, c.Inputs)
	}
	return text + fmt.Sprintf(". How sure: within about %.0f %% until a dynamometer has measured it%s; a difference between two builds is surer than either. %s Full throttle, spark for best torque, at the crank%s.", 100*trustedTorque, guessed, c.next(), c.Corrected)
}

// notYours says how much of the range rests on typical values; "" for none of it.
func (c *Curve) notYours() string {
	if c.laid == nil {
		return ""
	}
	switch share := c.Spread.Typical(c.laid, c.Curve.Torque.Speed); {
	case share > strangersShare:
		return fmt.Sprintf(". Typical values make %.0f %% of that range, so this is a machine of that kind, not yours, and %s; put your own in their place", 100*share, levelWords)
	case share > 0.01:
		return fmt.Sprintf("; typical values make %.0f %% of it", 100*share)
	}
	return ""
}

// levelWords is what came of fourteen published engines that were known by their data sheets
// (docs/theory/level.md).
const levelWords = "engines known by their data sheet alone mostly come out too strong at the top, by 3 to 23 %"

// strangersShare is the share of the variance [-] above which what typical values make of an engine is nobody's.
const strangersShare = 0.25

// peaks say where torque and power are greatest; where the sweep ends before that, that they still rise there, which is
// no peak.
func (c *Curve) peaks() string {
	k := c.Curve
	most, power := c.shown(k.Torque.Value, "Nm"), c.shown(k.Power.Value, "kW")
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
	if c.Printed != "" {
		text += fmt.Sprintf(" (printed for the machine as sold: %s)", c.Printed)
	}
	return text + fmt.Sprintf("; it pulls above nine tenths of %s from %.0f to %.0f rpm", that, k.From, k.To)
}

// lost are the doubts that the ranges leave out, in words.
func (c *Curve) lost() []string {
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
func (c *Curve) next() string {
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

// shown is a torque or a power for people, in a metric unit's counterpart.
func (c *Curve) shown(v float64, metric string) string { return shownIn(v, metric, c.System) }

func (c *Curve) signed(v float64) string { return signedIn(v, "Nm", c.System) }

// shownIn is a number of a metric unit for people, in their units.
func shownIn(v float64, metric string, system quantity.System) string {
	u := quantity.MustUnit(metric)
	to := u.In(system)
	return quantity.WithUnit(quantity.Number(to.FromSI(u.ToSI(v)), 1), to)
}

// signedIn is shownIn of a change, with its sign.
func signedIn(v float64, metric string, system quantity.System) string {
	if v > 0 {
		return "+" + shownIn(v, metric, system)
	}
	return shownIn(v, metric, system)
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

// object is what programs read, the baseline's curve inside it.
func (c *Curve) object() *curveJSON {
	out := curveOut(c.Build, c.Curve, c.Spread)
	out.Lead, out.Air = c.lead(), strings.TrimPrefix(c.Corrected, ", corrected to ")
	if c.Before != nil {
		out.Against = curveOut(c.Against, c.Before, c.SpreadBefore)
	}
	if c.Parts != nil {
		out.Parts = c.Parts.object()
	}
	return out
}

// lines are one for each speed of each build.
func (c *Curve) lines() [][]string {
	lines := [][]string{append([]string{"build"}, curveHeads...)}
	number := func(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }
	add := func(name string, k *torque.Curve) {
		for _, p := range k.Points {
			line := []string{name, number(p.Speed, 0), "", "", "", "", "", "", "", "", "", strconv.Itoa(p.Cycles), strconv.FormatBool(p.Converged)}
			if p.Converged {
				copy(line[2:], []string{number(p.Torque, 3), number(p.Power, 3), number(p.Filling, 4), number(p.Residual, 4), number(p.Indicated, 1), number(p.Pumping, 1), number(p.Friction, 1), "", number(p.Exhaust, 0)})
				if p.Fuel > 0 {
					line[9] = number(p.Fuel, 1)
				}
			}
			lines = append(lines, line)
		}
	}
	add(c.Build, c.Curve)
	if c.Before != nil {
		add(c.Against, c.Before)
	}
	return lines
}

// points are the curve's points as people read them, the baseline's torque beside.
func (c *Curve) points() report.Table {
	power := quantity.MustUnit("kW")
	to, pto := quantity.MustUnit("Nm").In(c.System), power.In(c.System)
	t := report.Table{Heads: []string{"rpm", "torque, " + to.Label()}}
	before := func(torque.Point) float64 { return math.NaN() }
	if c.Before != nil {
		before = func(p torque.Point) float64 { return c.Before.TorqueAt(p.Speed) }
	}
	compared := slices.ContainsFunc(c.Curve.Points, func(p torque.Point) bool { return !math.IsNaN(before(p)) })
	if compared {
		t.Heads = append(t.Heads, c.Against)
	}
	t.Heads = append(t.Heads, "power, "+pto.Label(), "filling", "residual", "imep, bar", "pumping", "friction", "g/kWh", "exhaust, °C")
	for _, p := range c.Curve.Points {
		if p.Why != "" {
			t.Rows = append(t.Rows, report.Cells(quantity.Number(p.Speed, 0), "cannot be computed: "+p.Why))
			continue
		}
		line := []string{quantity.Number(p.Speed, 0), quantity.Number(to.FromSI(p.Torque), 1)}
		if compared {
			was := "–"
			if v := before(p); !math.IsNaN(v) {
				was = quantity.Number(to.FromSI(v), 1)
			}
			line = append(line, was)
		}
		fuel := "–"
		if p.Fuel > 0 {
			fuel = quantity.Number(p.Fuel, 0)
		}
		line = append(line, quantity.Number(pto.FromSI(power.ToSI(p.Power)), 1), quantity.Number(p.Filling, 2), quantity.Number(100*p.Residual, 0)+" %", quantity.Number(p.Indicated/100, 1), quantity.Number(p.Pumping/100, 2), quantity.Number(p.Friction/100, 2), fuel, quantity.Number(celsius(p.Exhaust), 0))
		t.Rows = append(t.Rows, report.Cells(line...))
	}
	return t
}

// charts are torque, power and filling over the engine's speed.
func (c *Curve) charts() []report.Picture {
	return []report.Picture{
		c.chart("Torque against engine speed", "Nm", "torque", func(p torque.Point) float64 { return p.Torque }),
		c.chart("Power against engine speed", "kW", "power", func(p torque.Point) float64 { return p.Power }),
		c.chart("Filling against engine speed", "%", "filling", func(p torque.Point) float64 { return 100 * p.Filling }),
	}
}

func (c *Curve) chart(title, unit, name string, of func(torque.Point) float64) report.Chart {
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

// reasons split the change of torque against the baseline, at a few speeds. The parts add up to the whole.
func (c *Curve) reasons() report.Table {
	t := report.Table{Heads: []string{"rpm", "in all", "displacement", "filling", "compression, burning and heat", "pumping", "friction"}}
	if c.Before == nil {
		return t
	}
	for _, i := range []int{1, 5, 9, 13, 17} {
		if i >= len(c.Curve.Points) || i >= len(c.Before.Points) {
			break
		}
		p, q := c.Curve.Points[i], c.Before.Points[i]
		if !p.Converged || !q.Converged || math.Abs(p.Speed-q.Speed) > 1 {
			continue
		}
		line := []string{quantity.Number(p.Speed, 0)}
		for _, part := range torque.SplitTorque(q, p) {
			line = append(line, c.signed(part))
		}
		t.Rows = append(t.Rows, report.Cells(line...))
	}
	return t
}
