package check

import (
	"fmt"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
)

// Context is what the rules look at.
type Context struct {
	Build    *machine.Build
	Baseline *machine.Build
	Figures  map[string]figure.Figure   // of the build, with changes against the baseline
	System   quantity.System            // in which the sentences speak
	Read     map[string]bool            // inputs that rules have looked at
	looked   *looked                    // what the rule at hand looks at; nil for nobody cares
	moved    moves                      // typical values moved inside their ranges; nil for none
	changing map[string][]*machine.Part // by figure: parts that change what it hangs on, found as claims are judged
}

// NewContext gathers what the rules look at.
func NewContext(build, baseline *machine.Build, figures []figure.Figure, system quantity.System) *Context {
	c := &Context{Build: build, Baseline: baseline, Figures: make(map[string]figure.Figure, len(figures)), System: system, Read: map[string]bool{}, changing: map[string][]*machine.Part{}}
	for _, f := range figures {
		c.Figures[f.ID] = f
	}
	return c
}

// Rule is one goes-together rule.
type Rule struct {
	ID      string
	LooksAt string
	Basis   string
	judge   func(c *Context, r *report)
}

// report gathers the findings of one rule.
type report struct {
	rule     *Rule
	findings []figure.Finding
}

func (r *report) add(severity figure.Severity, remedy string, where []string, format string, args ...any) {
	r.findings = append(r.findings, figure.Finding{
		Rule: r.rule.ID, Severity: severity, Text: fmt.Sprintf(format, args...), Remedy: remedy, Basis: r.rule.Basis, Where: where,
	})
}

// setting says that the last finding is heeded by setting an input otherwise, which costs nothing.
func (r *report) setting(path string) { r.findings[len(r.findings)-1].Setting = path }

// cannot says that the rule could not be judged, why, and for want of which inputs; said once for each reason.
func (r *report) cannot(why string, wants []string, where ...string) {
	text := fmt.Sprintf("%s: %s.", r.rule.LooksAt, why)
	if slices.ContainsFunc(r.findings, func(f figure.Finding) bool { return f.Text == text }) {
		return
	}
	r.add(figure.NotComputed, "", where, "%s", text)
	r.findings[len(r.findings)-1].Wants, r.findings[len(r.findings)-1].Why = wants, why
}

// Run applies every rule and gives the findings, worst first.
func Run(c *Context) []figure.Finding {
	var all []figure.Finding
	for i := range rules {
		if fourStrokeOnly[rules[i].ID] && c.Build.TwoStroke() {
			continue // the rule "two-stroke" says so for all of them
		}
		all = append(all, rules[i].run(c)...)
	}
	slices.SortStableFunc(all, figure.Compare)
	return all
}

// Again is findings with those of one rule found anew, worst first.
func Again(c *Context, id string, findings []figure.Finding) []figure.Finding {
	all := slices.DeleteFunc(slices.Clone(findings), func(f figure.Finding) bool { return f.Rule == id })
	for i := range rules {
		if rules[i].ID == id {
			all = append(all, rules[i].run(c)...)
		}
	}
	slices.SortStableFunc(all, figure.Compare)
	return all
}

// Rules lists the rules for the generated table.
func Rules() []Rule { return slices.Clone(rules) }

func (rule *Rule) run(c *Context) []figure.Finding {
	r := &report{rule: rule}
	c.looked = &looked{}
	rule.judge(c, r)
	c.measureFirst(rule, r.findings, c.looked)
	c.looked = nil
	for i := range r.findings {
		stake, rank := rule.place()
		r.findings[i].Stake, r.findings[i].Rank = stake, rank+r.findings[i].Rank // a rule may order its own
	}
	c.unread(rule, r.findings)
	return r.findings
}

// figure is a figure that can be used; when it cannot be computed, the rule is reported as not computed.
func (c *Context) figure(r *report, id string) (figure.Figure, bool) {
	f, ok := c.Figures[id]
	if !ok {
		if !forecast.IsFigure(id) {
			panic("check: no figure " + id)
		}
		return f, false // this machine has none: the rule does not concern it
	}
	if f.State != figure.Ready {
		r.cannot(f.Why, f.Missing, id)
		return f, false
	}
	c.looked.figure(id)
	f.Value += c.moved[id]
	return f, true
}

// number is an input [SI]; ok is false when it is not given.
func (c *Context) number(path string) (float64, bool) {
	v, ok := c.Build.Values[path]
	c.Read[path] = true
	c.looked.input(path)
	return c.Build.Project.Number(v) + c.moved[path], ok
}

// input is a number that a rule needs; when it is not given the rule is reported as not computed.
func (c *Context) input(r *report, path string) (float64, bool) {
	number, ok := c.number(path)
	if !ok {
		how := ""
		if field := machine.FieldAt(path); field != nil {
			how = " (" + field.How + ")"
		}
		r.cannot("it needs the "+machine.Spoken(path)+how, []string{path}, path)
	}
	return number, ok
}

// show prints an SI value for people in the unit's kin of their system, to three or four digits.
func (c *Context) show(value float64, unit string) string {
	u := quantity.MustUnit(unit).In(c.System)
	return quantity.Show(value, u.Factor*scale(u.Difference(value)), u)
}

// showChange prints a difference of SI values for people, with its sign, as show does.
func (c *Context) showChange(change float64, unit string) string {
	u := quantity.MustUnit(unit).In(c.System)
	number := u.Difference(change)
	text := quantity.Number(number, quantity.Decimals(number, scale(number)))
	if number > 0 {
		text = "+" + text
	}
	return quantity.WithUnit(text, u)
}

// scale is the half-width that makes a number show three to four digits.
func scale(number float64) float64 {
	size := math.Abs(number) * (1 + 1e-9) // 0.99999999999 is shown as 1.00
	switch {
	case size >= 100:
		return 2
	case size >= 10:
		return 0.2
	case size >= 1:
		return 0.02
	}
	return 0.002
}

// shown prints a figure's value for people.
func (c *Context) shown(f figure.Figure) string { return c.show(f.Value, f.Unit.Symbol) }

// less says that a value is below a limit by more than rounding.
func less(value, limit float64) bool {
	return value < limit-1e-9*math.Max(math.Abs(value), math.Abs(limit))
}

func percent(share float64) string { return quantity.Number(100*share, 0) + " %" }

// Figures that follow from the torque curve: rough rules stand in until it is computed.
const (
	peakTorque      = "engine.peak_torque"
	peakTorqueSpeed = "engine.peak_torque_speed"
	peakPowerSpeed  = "engine.peak_power_speed"
)

// peak is the speed of a peak of the torque curve; not ok where an end of the sweep cuts it off, or it is not computed.
func (c *Context) peak(id string) (figure.Figure, bool) {
	f := c.Figures[id]
	return f, f.State == figure.Ready && f.End == ""
}

// ready says that the build has a figure and that it is computed.
func (c *Context) ready(id string) bool {
	f, ok := c.Figures[id]
	return ok && f.State == figure.Ready
}

// peaks are the peak torque of the build and what the baseline's was [Nm]; not ok where one of the curves is not
// computed.
func (c *Context) peaks() (peak figure.Figure, was float64, ok bool) {
	peak = c.Figures[peakTorque]
	was, ok = peak.Before()
	return peak, was, ok
}

// round is a speed of the crank for people, to the whole rpm.
func (c *Context) round(f figure.Figure) string {
	return fmt.Sprintf("%.0f rpm", quantity.MustUnit("rpm").FromSI(f.Value))
}
