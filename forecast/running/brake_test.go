package running

import (
	"fmt"
	"math"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/sheet"
	"shakedown/vehicle/chassis"
)

const (
	discSheet = "{kind: disc, count: %d, effective_radius: 88 mm, calliper: {type: floating, pistons: 1, diameter: 32 mm}, master: 12.7 mm, lever_ratio: 5.8, pad_friction: 0.38}"
	drumSheet = "{kind: drum, count: %d, diameter: 140 mm, shoe_factor: 2, lever_ratio: 9}"
)

// braked is a machine of a layout with a front brake, its loaded radii 250 mm.
func braked(t *testing.T, layout, front string) *ranges.Inputs {
	t.Helper()
	text := fmt.Sprintf("sheet: 1\nmachine:\n  layout: %s\n  wheels: {front: {loaded_radius: 250 mm}, rear: {loaded_radius: 250 mm}}\n  brakes:\n    front: %s\n    rear: {kind: drum, diameter: 140 mm, shoe_factor: 2, lever_ratio: 9}\nbuilds: {a: []}\n", layout, front)
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return &ranges.Inputs{Build: s.Project.Bare()}
}

// What a lever holds at the ground is one number, in the figure and in the lap, for every layout. By hand, 100 N at the
// lever, radius 0.25 m:
//
//	drums, however many share the lever: 100 x 9 x 2 x 0.07 = 126 Nm, 504 N
//	a disc: 100 x 5.8/126.677 mm2 = 4.57858 MPa, x 804.248 mm2 = 3682.31 N on each pad, 2 x 0.38 x 3682.31 x
//	0.088 = 246.273 Nm, 985.091 N; two: 1970.18 N
func TestBrakeForceOfAnAxle(t *testing.T) {
	for _, c := range []struct {
		layout, kind string
		count        int
		want         float64 // [N] at the ground for 100 N at the lever
	}{
		{"three-wheeler", discSheet, 1, 985.091}, {"three-wheeler", drumSheet, 1, 504},
		{"quad", discSheet, 1, 985.091}, {"quad", discSheet, 2, 1970.18}, {"quad", drumSheet, 1, 504}, {"quad", drumSheet, 2, 504},
		{"bike", discSheet, 1, 985.091}, {"bike", discSheet, 2, 1970.18}, {"bike", drumSheet, 1, 504},
	} {
		in := braked(t, c.layout, fmt.Sprintf(c.kind, c.count))
		if got, err := FrontWheel.BrakeForce(in, 100, ""); err != nil || math.Abs(got/c.want-1) > 1e-5 {
			t.Errorf("%s, %d x %.13s: %g N in the lap, by hand %g (%v)", c.layout, c.count, c.kind, got, c.want, err)
		}
		lever, err := FrontWheel.lever("", "").Compute(in)
		if err != nil {
			t.Fatal(err)
		}
		weight := Laden(in).Mass * chassis.Gravity
		if want := 0.3 * weight / c.want * 100; math.Abs(lever/want-1) > 1e-5 {
			t.Errorf("%s, %d x %.13s: %g N at the lever for 0.3 g by the figure, by hand %g", c.layout, c.count, c.kind, lever, want)
		}
		if got, _ := FrontWheel.BrakeForce(in, lever, ""); math.Abs(got/weight-0.3) > 1e-9 {
			t.Errorf("%s, %d x %.13s: the lever force for 0.300 g gives %.3f g in the lap", c.layout, c.count, c.kind, got/weight)
		}
		if got, _ := RearWheel.BrakeForce(in, 100, ""); math.Abs(got-504) > 1e-9 {
			t.Errorf("%s: the rear drum holds %g N, by hand 504", c.layout, got)
		}
	}
}
