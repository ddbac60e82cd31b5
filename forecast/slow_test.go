package forecast

import (
	"math"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
)

// BenchmarkSlow is what a page waits for beside the closed figures, the curves at hand.
func BenchmarkSlow(b *testing.B) {
	builds := resolved(b, "full", "as-found")
	known := NewResults(nil)
	for _, of := range builds {
		if _, err := known.Curve(b.Context(), of, nil); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if _, err := Slow(b.Context(), builds[0], builds[1], known, Course{}, false); err != nil {
			b.Fatal(err)
		}
	}
}

// What takes long waits until it is there: all of a build's slow figures wait without results and without a curve, and
// none does once the curves are there but the start, which is worked out when it is asked for.
func TestSlowFiguresWait(t *testing.T) {
	builds := resolved(t, "full", "as-found")
	known := NewResults(nil)
	states := func(r *Results) map[figure.State]int {
		list, err := Slow(t.Context(), builds[0], builds[1], r, Course{}, false)
		if err != nil {
			t.Fatal(err)
		}
		n := map[figure.State]int{}
		for _, f := range list {
			n[f.State]++
			if !f.Slow || !IsFigure(f.ID) {
				t.Errorf("%s is not among the slow figures", f.ID)
			}
		}
		return n
	}
	all := 0 // but for those at the rear wheel, of which no maker claims anything
	for _, d := range slow {
		if d.Applies(builds[0]) {
			all++
		}
	}
	if all != len(slow)-2 {
		t.Errorf("%d of %d figures", all, len(slow))
	}
	for _, r := range []*Results{nil, known, known.Only()} {
		if n := states(r); n[figure.Waiting] != all {
			t.Errorf("without curves: %v of %d", n, all)
		}
	}
	for _, of := range builds {
		if _, err := known.Curve(t.Context(), of, nil); err != nil {
			t.Fatal(err)
		}
	}
	if n := states(known); n[figure.Waiting] != 1 || n[figure.Ready] != all-1 {
		t.Errorf("with curves: %v of %d", n, all)
	}
}

// Two curves whose spread was not worked out share their doubt but for 4 % of the torque (forecast/torque/sure.go): a
// gain of 2 kW to 20 kW, of which 10 % or 0.2 kW make the range, is sure to root(0.2^2 + (0.04 x 20)^2) = 0.824621 kW.
// The speed of a rough peak may be off by 8 % of itself.
func TestRoughCurvesAreNotAlike(t *testing.T) {
	b, baseline := &machine.Build{Project: &machine.Project{}}, &machine.Build{Project: &machine.Project{}}
	curve := func(nm float64) *torque.Curve {
		return &torque.Curve{Points: []torque.Point{{Speed: 5000, Torque: nm}}}
	}
	rough := known{b: one{torque.NewSure(b, curve(38), nil), nil}, baseline: one{torque.NewSure(baseline, curve(34), nil), nil}}
	gain := func(unit string) figure.Figure {
		return figure.Figure{State: figure.Ready, Value: 20, Low: 19, High: 21, Unit: quantity.MustUnit(unit), Change: &figure.Change{Value: 2, Low: 1.8, High: 2.2}}
	}
	for _, c := range []struct {
		name string
		f    figure.Figure
		with known
		half float64
	}{
		{"power", gain("kW"), rough, 0.824621},
		{"torque", gain("Nm"), rough, 0.824621},
		{"speed", gain("rpm"), rough, 1.612452}, // root of 0.2 squared and (8 % of 20) squared
		{"one curve", gain("kW"), known{b: rough[b], baseline: rough[b]}, 0.2},
		{"spreads known", gain("kW"), known{b: one{torque.NewSure(b, curve(38), &torque.Spread{}), nil}, baseline: one{torque.NewSure(b, curve(34), &torque.Spread{}), nil}}, 0.2},
	} {
		c.with.widen(&c.f, b, baseline)
		if got := c.f.Change; math.Abs(got.Value-got.Low-c.half) > 1e-6 || math.Abs(got.High-got.Value-c.half) > 1e-6 {
			t.Errorf("%s: %g in %g to %g, by hand %g to each side", c.name, got.Value, got.Low, got.High, c.half)
		}
	}
	same := figure.Figure{State: figure.Ready, Value: 20, Unit: quantity.MustUnit("kW"), Change: &figure.Change{}}
	if rough.widen(&same, b, baseline); !same.Change.None() {
		t.Errorf("no change at all gets a range: %+v", same.Change)
	}
}
