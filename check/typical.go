package check

import (
	"fmt"
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
	reach, path := c.typicalReach(saw)
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
	ids := make([]string, 0, len(reach))
	for id := range reach {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	var trials []moves
	for _, sign := range []float64{1, -1} {
		all, inputs, figures := moves{}, moves{}, moves{}
		for _, id := range ids {
			trials = append(trials, moves{id: sign * reach[id]})
			all[id], inputs[id], figures[id] = sign*reach[id], sign*reach[id], -sign*reach[id]
			if slices.Contains(saw.figures, id) {
				inputs[id], figures[id] = figures[id], inputs[id]
			}
		}
		trials = append(trials, all, inputs)
	}
	for _, m := range trials {
		still := stands(m)
		for i := range findings {
			f := &findings[i]
			if f.Severity != figure.Conflict || still[strings.Join(f.Where, " ")] {
				continue
			}
			decides := ""
			for _, id := range ids {
				if _, moved := m[id]; moved && decides == "" {
					decides = path[id]
				}
			}
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
		share, largest := 0.0, 0.0
		for _, in := range f.Basis.Inputs {
			if in.Known != quantity.Typical || !(in.Share > 0) {
				continue
			}
			share += in.Share
			if in.Share > largest && machine.Measurable(in.Path) {
				largest, measure[id] = in.Share, in.Path
			}
		}
		if largest > 0 {
			reach[id] = math.Sqrt(share) * f.Half()
		}
	}
	return reach, measure
}
