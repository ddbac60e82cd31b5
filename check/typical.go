package check

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// looked is what one rule has looked at.
type looked struct{ inputs, figures []string }

func (l *looked) input(path string) {
	if l != nil && !slices.Contains(l.inputs, path) {
		l.inputs = append(l.inputs, path)
	}
}

func (l *looked) figure(id string) {
	if l != nil && !slices.Contains(l.figures, id) {
		l.figures = append(l.figures, id)
	}
}

// moves are what is added to inputs and figures by path or id [SI].
type moves map[string]float64

// measureFirst turns a conflict into a caution to measure first where it would be none with typical values elsewhere in
// their ranges: what machines of a kind have is no finding about this one. A conflict that holds over the whole range
// stays. The rule is judged again with each typical value at its ends, alone and together.
func (c *Context) measureFirst(rule *Rule, findings []figure.Finding, saw *looked) {
	if !slices.ContainsFunc(findings, func(f figure.Finding) bool { return f.Severity == figure.Conflict }) {
		return
	}
	reach, measure := c.typicalReach(saw)
	if len(reach) == 0 {
		return
	}
	stands := func(m moves) map[string]bool {
		trial := *c
		trial.moved, trial.looked = m, nil
		r := &report{rule: rule}
		rule.judge(&trial, r)
		list := map[string]bool{}
		for _, f := range r.findings {
			if f.Severity == figure.Conflict {
				list[strings.Join(f.Where, " ")] = true
			}
		}
		return list
	}
	ids := slices.Sorted(maps.Keys(reach))
	var alone, together []moves // each alone decides more than all of them
	for _, sign := range []float64{1, -1} {
		all, against := moves{}, moves{} // figures the other way than inputs: a limit may lie on either side
		for _, id := range ids {
			alone = append(alone, moves{id: sign * reach[id]})
			all[id], against[id] = sign*reach[id], sign*reach[id]
			if slices.Contains(saw.figures, id) {
				against[id] = -against[id]
			}
		}
		together = append(together, all, against)
	}
	for _, m := range slices.Concat(alone, together) {
		still := stands(m)
		for i := range findings {
			f := &findings[i]
			if f.Severity != figure.Conflict || still[strings.Join(f.Where, " ")] {
				continue
			}
			decides := measure[slices.Sorted(maps.Keys(m))[0]]
			f.Severity, f.Measure = figure.Caution, decides
			f.Text += " That is by a typical value, which is not your machine's."
			how := ""
			if field := machine.FieldAt(decides); field != nil && field.How != "" {
				how = " (" + field.How + ")"
			}
			f.Remedy = fmt.Sprintf("Measure this first: the %s%s. If it is so: %s", machine.Spoken(decides), how, f.Remedy)
		}
	}
}

// typicalReach is how far what a rule has looked at may be off by its typical values alone [SI], by path or id, and of
// each the input to measure.
func (c *Context) typicalReach(saw *looked) (reach moves, measure map[string]string) {
	reach, measure = moves{}, map[string]string{}
	for _, path := range saw.inputs {
		sum := 0.0
		v := c.Build.Values[path]
		for k, i := range v.Terms {
			if q := c.Build.Project.Atoms[i].Q; q.Known == quantity.Typical {
				sum += math.Pow(v.Weight(k)*q.Half, 2)
			}
		}
		if sum > 0 {
			reach[path], measure[path] = math.Sqrt(sum), path
		}
	}
	for _, id := range saw.figures {
		f := c.Figures[id]
		share := 0.0
		for _, in := range f.Basis.Inputs { // those that make most of the range first
			if in.Known != quantity.Typical || !(in.Share > 0) {
				continue
			}
			share += in.Share
			if was, ok := measure[id]; !ok || !machine.Measurable(was) && machine.Measurable(in.Path) {
				measure[id] = in.Path
			}
		}
		if share > 0 {
			reach[id] = math.Sqrt(share) * f.Half()
		}
	}
	return reach, measure
}
