package torque

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// read is the engine with readings of its intake lobe every 10 degrees, which law gives the lift [mm] for.
func read(t *testing.T, law func(degrees float64) float64) *ranges.Inputs {
	t.Helper()
	var lines strings.Builder
	for d := -140.0; d <= 140; d += 10 {
		fmt.Fprintf(&lines, ", {angle: %g, lift: %.4f mm}", d, law(d))
	}
	return &ranges.Inputs{Build: byhand.Build(t, single, "as-found", byhand.NoParts, "measure: {intake_lobe: ["+lines.String()[2:]+"]}\n"+byhand.NoParts)}
}

// The acceleration of the lobe law changes its sign twice, where 3 x^2 = 1. A wave of 1 mm and 60 degrees laid over it
// has accelerations of up to 1 mm x (6 deg)^-2 = 11 um/deg2, beside which the law's own, at most 8 x 9/140.8457^2 =
// 3.6, moves the changes of sign and makes none: those at +-15, 45, 75 and 105 degrees lie between the first second
// difference and the last, at -130 and 130.
func TestTurnsOfALobe(t *testing.T) {
	clean := func(d float64) float64 { x := d / 140.8457; return 9 * math.Pow(1-x*x, 2) }
	for name, c := range map[string]struct {
		law   func(d float64) float64
		turns float64
	}{
		"clean": {clean, 2},
		"wavy":  {func(d float64) float64 { return clean(d) + math.Cos(2*math.Pi*d/60) }, 8},
	} {
		in := read(t, c.law)
		values, why := byhand.Figures(Figures, in.Build)
		if got, ok := values["engine.lobe_turns.intake"]; !ok || got != c.turns {
			t.Errorf("%s: %g turns, by hand %g %s", name, got, c.turns, why["engine.lobe_turns.intake"])
		}
		angles, r, err := Intake.Readings(in)
		if err != nil || len(angles) != 29 || math.Abs(angles[0]+140*math.Pi/180) > 1e-12 || math.Abs(r.Lifts[14]-c.law(0)/1000) > 0.2e-3 {
			t.Errorf("%s: %d angles from %g, %g m in the middle (%v)", name, len(angles), angles[0], r.Lifts[14], err)
		}
		byhand.HasNot(t, name, Figures, in.Build, "engine.lobe_turns.exhaust")
	}
}

// One cycle of eight samples of 90 degrees: the intake open from 0 to 180 with 20 and 10 g/s in and 5 back at 270, the
// exhaust open at 0 and 720 with 40 and -8 g/s. By hand:
//
//	back 5/(20 + 20 + 10) of the inflow, 8/(40 + 40) of the outflow; both open at 90 and 720, 180 degrees in all
//	there the pipe behind the exhaust valve has 0.9 and 0.8 bar where outside is 1: -0.15 on the mean
//	the intake shuts at 270; of the last 40 degrees before that there is the sample at 270, with 1.3 bar in front of
//	it
func TestCycleByHand(t *testing.T) {
	deg := math.Pi / 180
	trace := &engine.Trace{
		Point: engine.Point{Speed: 200 * math.Pi, EndGas: 900, Flame: 2500, Past: 0.01},
		Angle: []float64{90 * deg, 180 * deg, 270 * deg, 360 * deg, 450 * deg, 540 * deg, 630 * deg, 720 * deg}, Pressure: []float64{1e5, 1e5, 2e5, 20e5, 50e5, 10e5, 4e5, 1e5}, Volume: []float64{1e-4, 3e-4, 2e-4, 4e-5, 2e-4, 3e-4, 2e-4, 4e-5},
		Temperature: make([]float64, 8), Ahead: make([]float64, 8), Behind: make([]float64, 8),
		LiftIn: []float64{0.005, 0.008, 0.001, 0, 0, 0, 0, 0.001}, LiftOut: []float64{0.001, 0, 0, 0, 0, 0.004, 0.008, 0.002},
		FlowIn: []float64{0.020, 0.020, -0.005, 0, 0, 0, 0, 0.010}, FlowOut: []float64{-0.008, 0, 0, 0, 0, 0.040, 0.040, 0},
		Intake: [][]float64{{1e5, 1e5}, {1e5, 1.1e5}, {1e5, 1.3e5}, {1e5, 1e5}, {1e5, 1e5}, {1e5, 1e5}, {1e5, 1e5}, {1e5, 1e5}}, Exhaust: [][]float64{{0.9e5}, {1e5}, {1e5}, {1e5}, {1e5}, {1e5}, {1e5}, {0.8e5}}, IntakeLong: 0.25, ExhaustLong: 0.75,
	}
	c := cycleOf(trace, 1e5)
	for name, pair := range map[string][2]float64{
		"speed": {c.Speed, 6000}, "angle": {c.Angle[3], 360}, "pressure": {c.Pressure[4], 50}, "volume": {c.Volume[3], 40}, "lift": {c.LiftIn[1], 8}, "flow": {c.FlowOut[5], 40}, "intake pipe": {c.Intake[2][1], 1.3}, "long": {c.IntakeLong, 250}, "exhaust long": {c.ExhaustLong, 750},
		"peak": {c.Peak, 50}, "at": {c.PeakAt, 90}, "back": {c.BackFlow, 0.1}, "sucked": {c.SuckedBack, 0.1}, "overlap": {c.Overlap, 180}, "pull": {c.OverlapPull, -0.15}, "push": {c.LatePush, 0.3}, "air": {c.Ambient, 1}, "past": {c.Past, 0.01}, "end gas": {c.EndGas, 900}, "flame": {c.Flame, 2500},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9*math.Abs(pair[1]) {
			t.Errorf("%s is %.9g, by hand %g", name, pair[0], pair[1])
		}
	}
	trace.LiftOut[0], trace.LiftOut[7] = 0, 0
	if c := cycleOf(trace, 1e5); c.Overlap != 0 || !math.IsNaN(c.OverlapPull) {
		t.Errorf("without overlap: %g deg, %g bar", c.Overlap, c.OverlapPull)
	}
}

// What a curve does not follow from leaves its key as it is, what it follows from does not.
func TestKeysOfCurves(t *testing.T) {
	key := func(changes ...string) string { return CurveKey(byhand.Build(t, single, "as-found", changes...)) }
	own := key()
	for _, c := range []struct {
		old, new string
		same     bool
	}{
		{"liner_outer: 90 mm", "liner_outer: 91 mm", true}, {"piston_mass: 250 g", "piston_mass: 260 g", true}, {"seat_load: 200 N, coil_bind_lift: 11 mm", "seat_load: 210 N, coil_bind_lift: 11 mm", true},
		{"bore: 80 mm", "bore: 81 mm", false}, {"redline: 6000 rpm", "redline: 6100 rpm", false}, {"name: pump 95", "name: methanol", false}, {"humidity: 0", "humidity: 40 %", false}, {"lash: 0.2 mm", "lash: 0.1 mm", false}, {"count: 1, venturi", "count: 2, venturi", false},
		{"filter_area: 150 cm2", "filter_area: 160 cm2", false}, {"bore: 38 mm", "bore: 39 mm", false},
	} {
		if got := key(c.old, c.new) == own; got != c.same {
			t.Errorf("%s: the same key is %v", c.new, got)
		}
	}
	if _, all := CurveTypical(byhand.Build(t, single, "as-found")); all < 30 {
		t.Errorf("a curve follows from %d inputs", all)
	}
	typical, all := CurveTypical(byhand.Build(t, single, "as-found"))
	fewer, allOfThem := CurveTypical(byhand.Build(t, single, "as-found", "    stroke: 60 mm\n", ""))
	if fewer != typical+1 || allOfThem != all {
		t.Errorf("%d of %d are typical, without the stroke %d of %d", typical, all, fewer, allOfThem)
	}
}
