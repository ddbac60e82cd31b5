package brake

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestOutsideBrakes(t *testing.T) {
	const inch = 0.0254
	c := []outside.Known{outside.Computed}
	h := Hydraulic{Master: 12.7e-3, LeverRatio: 6, PistonDiameter: 27e-3, Pistons: 2, Floating: true, PadFriction: 0.40, EffectiveRadius: 0.105}
	p, torque := h.Pressure(120), h.Torque(120)
	const maths = "area of a circle"
	const chain = "Pascal; disc torque 2 mu F r, Limpert, Brake Design and Safety"
	for _, k := range []outside.Check{
		{ID: "chassis 8.02", Name: "area of a 2.75 in piston", Unit: "in2", Got: Area(2.75*inch) / (inch * inch), Want: 5.9396, Tol: 1e-4, Source: maths, Known: c},
		{ID: "chassis 8.02", Name: "area of a 15/16 in piston", Unit: "in2", Got: Area(15.0/16*inch) / (inch * inch), Want: 0.69029, Tol: 1e-4, Source: maths, Known: c},
		{ID: "chassis 8.03", Name: "torque over mu F r: two pads", Unit: "1", Got: torque / (h.PadFriction * h.Clamp(p) * h.EffectiveRadius), Want: 2, Tol: 1e-12, Source: "Limpert, Brake Design and Safety", Known: []outside.Known{outside.Memory}},
		{ID: "chassis 8.04", Name: "pressure for 120 N", Unit: "MPa", Got: 1e-6 * p, Want: 5.6838, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "force on a pad", Unit: "N", Got: h.Clamp(p), Want: 6508.5, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "brake torque", Unit: "Nm", Got: torque, Want: 546.72, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "braking force, tyre 300 mm", Unit: "N", Got: torque / 0.300, Want: 1822.4, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "deceleration of 205 kg", Unit: "g", Got: torque / 0.300 / 205 / 9.80665, Want: 0.9065, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "area ratio", Unit: "1", Got: h.AreaRatio(), Want: 9.0396, Tol: 1e-4, Relative: true, Source: chain, Known: c},
		{ID: "chassis 8.04", Name: "lever force for that torque", Unit: "N", Got: h.LeverFor(546.72), Want: 120, Tol: 1e-4, Relative: true, Source: chain, Known: c},
	} {
		k.Run(t)
	}
}

func TestBrakeIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := Hydraulic{
			Master: rapid.Float64Range(8e-3, 20e-3).Draw(t, "master"), LeverRatio: rapid.Float64Range(3, 10).Draw(t, "ratio"), PistonDiameter: rapid.Float64Range(20e-3, 40e-3).Draw(t, "piston"),
			Pistons: 2 * rapid.IntRange(1, 3).Draw(t, "pairs"), PadFriction: rapid.Float64Range(0.2, 0.6).Draw(t, "mu"), EffectiveRadius: rapid.Float64Range(0.06, 0.14).Draw(t, "radius"),
		}
		force := rapid.Float64Range(1, 300).Draw(t, "force")
		if back := h.LeverFor(h.Torque(force)); math.Abs(back-force) > 1e-9*force {
			t.Fatalf("%g N come back as %g", force, back)
		}
		floating := h
		floating.Floating = true
		if math.Abs(floating.Torque(force)-2*h.Torque(force)) > 1e-9*h.Torque(force) {
			t.Fatal("as many pistons on one side do not press twice as hard as on both")
		}
	})
}

// A drum's torque is linear in the lever force, and the shoe factor comes back from a pull at the tyre.
func TestDrum(t *testing.T) {
	d := Drum{LeverRatio: 9, ShoeFactor: 2.1, Diameter: 0.14}
	// by hand: 100 N x 9 x 2.1 x 0.07 m = 132.3 Nm
	if got := d.Torque(100); math.Abs(got-132.3) > 1e-9 {
		t.Errorf("torque %g Nm, by hand 132.3", got)
	}
	if got := d.LeverFor(132.3); math.Abs(got-100) > 1e-9 {
		t.Errorf("lever %g N", got)
	}
	pull := d.Torque(80) / 0.27
	if got := d.ShoeFactorFrom(pull, 0.27, 80, 1); math.Abs(got-2.1) > 1e-12 {
		t.Errorf("shoe factor %g", got)
	}
}

// At the ground a torque becomes a force by the loaded radius. By hand: 132.3 Nm on wheels of 0.27 m are 490 N, and 490
// N want the same 100 N at the lever.
func TestForceAtTheGround(t *testing.T) {
	d := Drum{LeverRatio: 9, ShoeFactor: 2.1, Diameter: 0.14}
	if got := Force(d, 100, 0.27); math.Abs(got-490) > 1e-9 {
		t.Errorf("%g N at the ground, by hand 490", got)
	}
	if got := LeverForForce(d, 490, 0.27); math.Abs(got-100) > 1e-9 {
		t.Errorf("%g N at the lever, by hand 100", got)
	}
}

// Two callipers on one lever double the torque.
func TestTwoCallipers(t *testing.T) {
	one := Hydraulic{Master: 12.7e-3, LeverRatio: 5.8, PistonDiameter: 32e-3, Pistons: 1, Floating: true, PadFriction: 0.38, EffectiveRadius: 0.088}
	two := one
	two.Count = 2
	if a, b := one.Torque(50), two.Torque(50); math.Abs(b-2*a) > 1e-9 {
		t.Errorf("%g and %g Nm", a, b)
	}
}
