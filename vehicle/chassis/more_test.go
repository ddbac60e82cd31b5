package chassis

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestInertiaAgainstOutside(t *testing.T) {
	ok := func(v float64, err error) float64 {
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	seen, computed := outside.Seen, outside.Computed
	disc := 0.5 * 10 * 0.30 * 0.30
	for _, c := range []outside.Check{
		{ID: "chassis 1.09", Name: "three wires", Got: ThreeWires(12, 0.250, 1.80, 2.10), Want: 0.45644, Tol: 1e-5, Unit: "kg.m2", Source: "trifilar pendulum; small swings of a rigid body", Known: []outside.Known{computed}},
		{ID: "chassis 1.10", Name: "three wires: period of a disc, put back in", Got: ThreeWires(10, 0.30, 2.0, 2.00641), Want: disc, Tol: 1e-5, Unit: "kg.m2", Source: "trifilar pendulum; I = m r^2/2", Known: []outside.Known{computed}},
		{ID: "chassis 1.11", Name: "two wires", Got: TwoWires(140, 0.80, 2.50, 3.60) * 9.81 / Gravity, Want: 28.855, Tol: 1e-3, Unit: "kg.m2", Source: "ISO 9129:2008 (method), bifilar pendulum; g = 9.81", Known: []outside.Known{seen, computed}},
		{ID: "sway", Name: "loss of tip-over of a four-wheeler on usual tyres, share", Unit: "1", Got: 1 - ok(TipSwaying(1, 250*Gravity, 0.58, RollStiffness(45e3, 0.9)+InSeries(RollStiffness(45e3, 0.85), RollStiffness(12e3, 0.85)))), Want: 0.125, Tol: 0.075,
			Source: "chassis 2.15: tilt tables read 10 to 15 % below Kst, band 5 to 20 %; tyre and wheel rates from memory", Known: []outside.Known{seen, outside.Memory}},
		{ID: "chassis 1.12", Name: "physical pendulum", Got: ReferTo(Hung(160, 1.10, 2.45), 160, 1.10)*9.81/Gravity - 160*1.1*1.1, Want: 68.91, Tol: 0.01, Unit: "kg.m2", Source: "ISO 9129 (method), physical pendulum; g = 9.81", Known: []outside.Known{seen, computed}},
	} {
		c.Run(t)
	}
}

// A bike leans at least as far as its resultant, further on fatter tyres, and not at all when it goes straight on.
func TestLean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lateral, height := rapid.Float64Range(0, 1.2).Draw(t, "lateral"), rapid.Float64Range(0.5, 1).Draw(t, "height")
		thin, fat := rapid.Float64Range(0, 0.05).Draw(t, "thin"), rapid.Float64Range(0.05, 0.09).Draw(t, "fat")
		a, err1 := LeanAngle(lateral, height, thin)
		b, err2 := LeanAngle(lateral, height, fat)
		if err1 != nil || err2 != nil || a < math.Atan(lateral)-1e-12 || b < a {
			t.Fatalf("%g %g: %g %g %v %v", lateral, height, a, b, err1, err2)
		}
	})
	if lean, err := LeanAngle(0.7, 0.8, 0); err != nil || math.Abs(lean-math.Atan(0.7)) > 1e-15 {
		t.Errorf("on knife edges: %g %v", lean, err)
	}
	// The geometry itself: the contact lies below the crown's centre, and weight and side force meet in the contact.
	lean, err := LeanAngle(0.5, 0.75, 0.055)
	if err != nil {
		t.Fatal(err)
	}
	crownX, crownZ := 0.0, 0.055
	cgX, cgZ := crownX+(0.75-0.055)*math.Sin(lean), crownZ+(0.75-0.055)*math.Cos(lean)
	if got := cgX / cgZ; math.Abs(got-0.5) > 1e-12 {
		t.Errorf("the resultant through the contact leans by %g, want 0.5", got)
	}
	for _, bad := range [][2]float64{{0.1, 0.06}, {0, 0}, {math.NaN(), 0.05}, {0.7, -0.01}} {
		if _, err := LeanAngle(0.5, bad[0], bad[1]); err == nil {
			t.Errorf("height %g, crown %g: no error", bad[0], bad[1])
		}
	}
}

// A quad between its two tracks: the tip-over of the mean of the two where the centre of gravity lies midway.
func TestTwoTracks(t *testing.T) {
	s := Stance{Wheelbase: 1.2, TrackFront: 0.8, TrackRear: 0.9, Along: 0.6, Height: 0.6}
	got, err := s.TipLateral(0, 0)
	if err != nil || math.Abs(got-0.85/2/0.6) > 1e-12 {
		t.Errorf("%g %v", got, err)
	}
}

// A frame that comes down level keeps its clearance less that; one that pitches turns about the end that stays.
func TestClearance(t *testing.T) {
	if got := ClearanceAt(0.25, 0.6, 1.2, 0.1, 0.1); math.Abs(got-0.15) > 1e-15 {
		t.Errorf("level: %g", got)
	}
	if got := ClearanceAt(0.25, 0.3, 1.2, 0.1, 0); math.Abs(got-0.225) > 1e-15 {
		t.Errorf("front down: %g", got)
	}
	// The crest's two sides touch both tyres' contacts: tan of half the angle is clearance over half the wheelbase.
	if got := math.Tan(BreakOver(0.2, 1.2) / 2); math.Abs(got-0.2/0.6) > 1e-12 {
		t.Errorf("crest: %g", got)
	}
	if BreakOver(-0.1, 1.2) != 0 {
		t.Error("a crest below the ground")
	}
}

func TestKnee(t *testing.T) {
	for _, c := range []struct{ distance, want float64 }{
		{0.53 * 1.8, math.Pi}, {1.5, math.Pi}, // straight, and out of reach
		{math.Hypot(0.245, 0.285) * 1.8, math.Pi / 2},
		{0, 0},
	} {
		if got := KneeAngle(1.8, c.distance); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("foot at %g m: %g rad, want %g", c.distance, got, c.want)
		}
	}
}
