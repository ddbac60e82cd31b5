package engine

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// usualChange is how wide the range of a change usually is, as a share of the torque: what was worked out for the
// invented three-wheeler between its builds, 0.6 to 1.1 Nm of 24 to 27 Nm, at its upper end.
const usualChange = 0.04

// Gain is a change of a torque curve in two numbers.
type Gain struct {
	Mean  float64 // [Nm] of the mean torque over the speeds where the build pulls
	Power float64 // [kW] of the peak
}

func (g Gain) plus(h Gain) Gain { return Gain{g.Mean + h.Mean, g.Power + h.Power} }

func (g Gain) less(h Gain) Gain { return Gain{g.Mean - h.Mean, g.Power - h.Power} }

// PartTorque is what one part does to the torque curve.
type PartTorque struct {
	Part     string
	Name     string
	With     []string // pulled in because it needs them
	Alone    Gain     // laid over the baseline
	AloneWhy string   // why that cannot be said
	Last     Gain     // what the build loses without it
	LastWhy  string
}

// Parts is what the parts of a build do to its torque curve, each alone and all together.
type Parts struct {
	Build, Against string
	From, To       float64 // [rpm] over which torque is averaged: where the build pulls above nine tenths of its peak
	Parts          []PartTorque
	Whole          Gain
	Range          float64 // [Nm] within which a change is not told from none
	Usual          bool    // that range is a usual one; it was not worked out
	Peak           Gain    // torque [Nm] and power [kW] of the build at their peaks
	Open           bool    // some power has no peak in the sweep: the largest in it stands there, and no part is judged by it
	System         quantity.System
}

// PartsOf finds what each part that a build has over its baseline does to the torque. Parts that the engine does not
// see are left out. Done is told of each curve that is ready.
func PartsOf(ctx context.Context, a *asked.Answer, known *forecast.Results, done func(ready, total int)) (*Parts, error) {
	p := a.Sheet.Project
	before, after := p.BuildNamed(a.Baseline.Name), p.BuildNamed(a.Build.Name)
	resolve := func(parts []machine.Reference) (*machine.Build, error) { return p.Lay(parts) }
	has := func(list []machine.Reference, id string) bool {
		return slices.ContainsFunc(list, func(r machine.Reference) bool { return r.Name == id })
	}
	type try struct {
		part        machine.Part
		alone, less *machine.Build
		errs        [2]error
	}
	from, to := torque.CurveKey(a.Baseline), torque.CurveKey(a.Build)
	var tries []try
	for _, part := range a.Build.Parts {
		if has(before.Parts, part.ID) || a.Baseline.PulledIn[part.ID] {
			continue
		}
		t := try{part: *part}
		t.alone, t.errs[0] = resolve(append(slices.Clone(before.Parts), machine.Reference{Name: part.ID, Origin: part.Origin}))
		if has(after.Parts, part.ID) {
			t.less, t.errs[1] = resolve(slices.DeleteFunc(slices.Clone(after.Parts), func(r machine.Reference) bool { return r.Name == part.ID }))
		}
		if t.errs[0] == nil && torque.CurveKey(t.alone) == from && (t.less == nil || torque.CurveKey(t.less) == to) {
			continue // the engine does not see it
		}
		tries = append(tries, t)
	}
	total, ready := 2+2*len(tries), 0
	get := func(b *machine.Build) (*torque.Curve, error) {
		k, err := known.Curve(ctx, b, nil)
		ready++
		if done != nil && err == nil {
			done(ready, total)
		}
		return k, err
	}
	base, err := get(a.Baseline)
	if err != nil {
		return nil, err
	}
	whole, err := get(a.Build)
	if err != nil {
		return nil, err
	}
	out := &Parts{Build: a.Build.Name, Against: a.Baseline.Name, From: whole.From, To: whole.To, System: a.System}
	gain := func(k, over *torque.Curve) Gain {
		out.Open = out.Open || !k.Power.Known() || !over.Power.Known()
		return Gain{k.MeanTorque(out.From, out.To) - over.MeanTorque(out.From, out.To), k.Power.Value - over.Power.Value}
	}
	out.Whole, out.Range, out.Usual = gain(whole, base), usualChange*whole.Torque.Value, true
	out.Peak = Gain{whole.Torque.Value, whole.Power.Value}
	for _, t := range tries {
		row := PartTorque{Part: t.part.ID, Name: t.part.Name}
		k, why, err := orWhy(t.alone, t.errs[0], get)
		if err != nil {
			return nil, err
		}
		if row.AloneWhy = why; why == "" {
			row.Alone = gain(k, base)
			for _, q := range t.alone.Parts {
				if t.alone.PulledIn[q.ID] && !a.Baseline.PulledIn[q.ID] {
					row.With = append(row.With, q.ID)
				}
			}
		}
		switch {
		case t.less == nil && t.errs[1] == nil:
			row.LastWhy = "another part needs it"
		case t.less != nil && t.less.PulledIn[t.part.ID]:
			row.LastWhy = "another part needs it"
		default:
			if k, row.LastWhy, err = orWhy(t.less, t.errs[1], get); err != nil {
				return nil, err
			}
			if row.LastWhy == "" {
				row.Last = gain(whole, k)
			}
		}
		out.Parts = append(out.Parts, row)
	}
	slices.SortStableFunc(out.Parts, func(a, b PartTorque) int { return cmp.Compare(math.Abs(b.Alone.Mean), math.Abs(a.Alone.Mean)) })
	return out, nil
}

// orWhy is a build's curve, or why it has none; the error ends the work.
func orWhy(b *machine.Build, bad error, get func(*machine.Build) (*torque.Curve, error)) (k *torque.Curve, why string, err error) {
	if bad != nil {
		return nil, bad.Error(), nil
	}
	k, err = get(b)
	if errors.Is(err, torque.ErrNoCurve) {
		return nil, err.Error(), nil
	}
	return k, "", err
}

// Sum is what the parts would give if none minded the others.
func (t *Parts) Sum() Gain {
	var sum Gain
	for _, p := range t.Parts {
		if p.AloneWhy == "" {
			sum = sum.plus(p.Alone)
		}
	}
	return sum
}

// lead says which part does most alone, and what they do together.
func (t *Parts) lead() string {
	if len(t.Parts) == 0 {
		return fmt.Sprintf("No part that %s has over %s changes its torque.", machine.TheBuild(t.Build), machine.TheBuild(t.Against))
	}
	where := fmt.Sprintf("from %.0f to %.0f rpm", t.From, t.To)
	text := fmt.Sprintf("Together the parts change the mean torque %s by %s", where, t.torque(t.Whole.Mean))
	first := t.Parts[0]
	if first.AloneWhy == "" {
		text = fmt.Sprintf("%s does most alone, %s of mean torque %s; together the parts give %s", first.Part, t.torque(first.Alone.Mean), where, t.torque(t.Whole.Mean))
	}
	if rest := t.Whole.less(t.Sum()); len(t.Parts) > 1 {
		switch {
		case math.Abs(rest.Mean) < 0.05:
			text += ", the sum of each alone"
		case rest.Mean > 0:
			text += fmt.Sprintf(", %s more than the sum of each alone: they help each other", shownIn(rest.Mean, "Nm", t.System))
		default:
			text += fmt.Sprintf(", %s less than the sum of each alone: they hinder each other", shownIn(-rest.Mean, "Nm", t.System))
		}
	}
	if p := t.worst(); p != nil {
		text += fmt.Sprintf(". Look again at %s: without it %s makes %s more at the peak", p.Part, machine.TheBuild(t.Build), strings.TrimPrefix(t.power(-p.Last.Power), "+"))
	}
	text += fmt.Sprintf(". A change of less than about %s is too small to tell", shownIn(t.Range, "Nm", t.System))
	if t.Usual {
		text += "; that is what such ranges usually are, it was not worked out here"
	}
	return text + "."
}

// worst is the part without which the build makes more peak power, by more than the range of a change; nil for none.
// Power has the torque's share for its range.
func (t *Parts) worst() *PartTorque {
	var worst *PartTorque
	if t.Open {
		return nil
	}
	for i := range t.Parts {
		p := &t.Parts[i]
		if p.LastWhy == "" && -p.Last.Power > t.Range/t.Peak.Mean*t.Peak.Power && (worst == nil || p.Last.Power < worst.Last.Power) {
			worst = p
		}
	}
	return worst
}

func (t *Parts) torque(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return signedIn(v, "Nm", t.System)
}

func (t *Parts) power(v float64) string { return signedIn(v, "kW", t.System) }

// Answer is what is said of it: which part does most, and the parts.
func (t *Parts) Answer() report.Answer {
	out := report.Answer{Lead: t.lead(), Object: func() any { return t.object() }}
	if len(t.Parts) > 0 {
		alone := fmt.Sprintf("Alone: laid over %s. Last: what %s would lose without it.", machine.TheBuild(t.Against), machine.TheBuild(t.Build))
		out.Blocks = []report.Block{{Table: t.table(), Notes: append([]string{alone}, t.unsaid()...)}}
	}
	return out
}

// table has the parts, their sum, and all together.
func (t *Parts) table() report.Table {
	power := "peak power"
	if t.Open {
		power = "largest power"
	}
	table := report.Table{Heads: []string{"part", "alone: mean torque", power, "last: mean torque", power}}
	pair := func(g Gain, why string) []string {
		if why != "" {
			return []string{"–", "–"}
		}
		inside := ""
		if math.Abs(g.Mean) < t.Range {
			inside = ", " + report.TooSmall
		}
		return []string{t.torque(g.Mean) + inside, t.power(g.Power)}
	}
	row := func(name string, cells ...string) {
		table.Rows = append(table.Rows, report.Cells(append([]string{name}, cells...)...))
	}
	for _, p := range t.Parts {
		name := p.Part
		if len(p.With) > 0 {
			name += " with " + strings.Join(p.With, ", ")
		}
		row(name, slices.Concat(pair(p.Alone, p.AloneWhy), pair(p.Last, p.LastWhy))...)
	}
	sum := t.Sum()
	row("sum of each alone", t.torque(sum.Mean), t.power(sum.Power), "", "")
	row("together", t.torque(t.Whole.Mean), t.power(t.Whole.Power), "", "")
	return table
}

// unsaid says what could not be said.
func (t *Parts) unsaid() []string {
	var list []string
	if t.Open {
		list = append(list, "Some of these have no peak of power in the sweep: the largest in it stands in its place, and no part is judged by it.")
	}
	for _, p := range t.Parts {
		if p.AloneWhy != "" {
			list = append(list, p.Part+" alone: "+p.AloneWhy+".")
		}
		if p.LastWhy != "" {
			list = append(list, p.Part+" last: "+p.LastWhy+".")
		}
	}
	return list
}

type partTorqueJSON struct {
	Part       string   `json:"part"`
	With       []string `json:"with,omitempty"`
	AloneMean  *float64 `json:"alone_mean_torque_nm"`
	AlonePower *float64 `json:"alone_peak_power_kw"`
	LastMean   *float64 `json:"last_mean_torque_nm"`
	LastPower  *float64 `json:"last_peak_power_kw"`
	Why        string   `json:"why,omitempty"`
}

type partsTorqueJSON struct {
	Lead  string           `json:"lead"`
	Span  [2]float64       `json:"mean_over_rpm"`
	Parts []partTorqueJSON `json:"parts"`
	Mean  float64          `json:"together_mean_torque_nm"`
	Power float64          `json:"together_peak_power_kw"`
	Open  bool             `json:"powers_without_peak,omitempty"`
}

func (t *Parts) object() *partsTorqueJSON {
	o := &partsTorqueJSON{Lead: t.lead(), Span: [2]float64{t.From, t.To}, Mean: t.Whole.Mean, Power: t.Whole.Power, Open: t.Open, Parts: []partTorqueJSON{}}
	for _, p := range t.Parts {
		q := partTorqueJSON{Part: p.Part, With: p.With, Why: strings.TrimSpace(p.AloneWhy + " " + p.LastWhy)}
		if p.AloneWhy == "" && !math.IsNaN(p.Alone.Mean) {
			q.AloneMean, q.AlonePower = &p.Alone.Mean, &p.Alone.Power
		}
		if p.LastWhy == "" && !math.IsNaN(p.Last.Mean) {
			q.LastMean, q.LastPower = &p.Last.Mean, &p.Last.Power
		}
		o.Parts = append(o.Parts, q)
	}
	return o
}
