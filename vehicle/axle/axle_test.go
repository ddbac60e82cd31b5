package axle

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestOutsideShafts(t *testing.T) {
	c := []outside.Known{outside.Computed}
	const scaling, bar = "bending of a round bar: strength with d^3, stiffness with d^4", "bending of a round bar"
	var checks []outside.Check
	for d, want := range map[float64]float64{22: 1.331, 25: 1.953125, 30: 3.375} {
		checks = append(checks, outside.Check{ID: "chassis 10.03", Name: fmt.Sprintf("strength of %g mm over 20 mm", d), Unit: "1", Got: SectionModulus(d/1000, 0) / SectionModulus(0.020, 0), Want: want, Tol: 1e-12, Relative: true, Source: scaling, Known: c})
	}
	checks = append(checks,
		outside.Check{ID: "chassis 10.04", Name: "hollow 30/18 mm over solid: mass", Unit: "1", Got: SectionArea(0.030, 0.018) / SectionArea(0.030, 0), Want: 0.640, Tol: 1e-4, Source: bar, Known: c},
		outside.Check{ID: "chassis 10.04", Name: "hollow 30/18 mm over solid: strength", Unit: "1", Got: SectionModulus(0.030, 0.018) / SectionModulus(0.030, 0), Want: 0.8704, Tol: 1e-4, Source: bar, Known: c},
		outside.Check{ID: "chassis 10.04", Name: "section modulus of 30/18 mm", Unit: "mm3", Got: 1e9 * SectionModulus(0.030, 0.018), Want: 2307.2, Tol: 1e-4, Relative: true, Source: bar, Known: c})
	for _, k := range checks {
		k.Run(t)
	}
}

func TestYieldLoadBehaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Axle{
			Diameter: rapid.Float64Range(20e-3, 40e-3).Draw(t, "d"), Yield: rapid.Float64Range(300e6, 1200e6).Draw(t, "yield"),
			HalfTrack: rapid.Float64Range(0.35, 0.6).Draw(t, "half track"), BearingHalfSpacing: rapid.Float64Range(0.06, 0.12).Draw(t, "bearings"),
		}
		a.Bore = a.Diameter * rapid.Float64Range(0, 0.6).Draw(t, "bore")
		plain, weakest, err := a.YieldLoad()
		if err != nil || weakest || plain <= 0 {
			t.Fatalf("plain axle: %g, %v, %v", plain, weakest, err)
		}
		if want := a.Yield * SectionModulus(a.Diameter, a.Bore) / (a.HalfTrack - a.BearingHalfSpacing); math.Abs(plain-want) > 1e-9*want {
			t.Fatalf("plain axle %g, by hand %g", plain, want)
		}
		a.WeakDiameter = a.Bore + (a.Diameter-a.Bore)*rapid.Float64Range(0.3, 1).Draw(t, "weak")
		a.WeakFromCentre = rapid.Float64Range(0, 0.34).Draw(t, "where")
		load, _, err := a.YieldLoad()
		if err != nil || load > plain*(1+1e-12) {
			t.Fatalf("a groove makes it stronger: %g over %g (%v)", load, plain, err)
		}
		wider := a
		wider.HalfTrack += 0.05
		if w, _, _ := wider.YieldLoad(); w >= load {
			t.Fatal("a wider axle carries no less at the wheel")
		}
	})
}

// Inside the bearings the moment of one loaded wheel falls to nothing at the far bearing, and is continuous at the
// near.
func TestMomentInsideTheBearings(t *testing.T) {
	a := Axle{Diameter: 30e-3, Yield: 600e6, HalfTrack: 0.45, BearingHalfSpacing: 0.09, WeakDiameter: 20e-3}
	at := func(from float64) float64 {
		a.WeakFromCentre = from
		load, weakest, err := a.YieldLoad()
		if err != nil || !weakest {
			t.Fatalf("at %g m: %v %v", from, weakest, err)
		}
		return load
	}
	if inner, outer := at(0.09-1e-9), at(0.09+1e-9); math.Abs(inner/outer-1) > 1e-6 {
		t.Errorf("a step at the bearing: %g, %g", inner, outer)
	}
	if middle, bearing := at(0), at(0.09); math.Abs(middle/bearing-2) > 1e-6 {
		t.Errorf("in the middle it carries %g times what it does at the bearing, want twice", middle/bearing)
	}
}

func TestForbiddenAxles(t *testing.T) {
	good := Axle{Diameter: 30e-3, Yield: 600e6, HalfTrack: 0.45, BearingHalfSpacing: 0.09}
	inside, hollow, groove := good, good, good
	inside.BearingHalfSpacing = 0.5
	hollow.Bore = 30e-3
	groove.Bore, groove.WeakDiameter, groove.WeakFromCentre = 20e-3, 19e-3, 0.1
	for name, a := range map[string]Axle{"wheels inside the bearings": inside, "no wall": hollow, "no wall in the groove": groove} {
		if _, _, err := a.YieldLoad(); err == nil {
			t.Errorf("%s: is taken", name)
		}
	}
}
