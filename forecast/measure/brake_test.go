package measure

import (
	"fmt"
	"math"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/sheet"
)

// One of two braked wheels is pulled round, so the pull is half of what the lever holds. By hand: two drums, lever 100
// N, factor 2: 126 Nm in all, 63 Nm at this wheel, 63/0.25 = 252 N at 250 mm. Two discs, friction 0.38: 246.273 Nm at
// each wheel, 985.091 N. Two discs on a bike's one wheel: both, 1970.18 N.
func TestPullAtOneOfTwoBrakedWheels(t *testing.T) {
	const shoes, pads = "measure:\n  front_shoes: {lever: 100 N, pull: %g N, at: 250 mm}\n", "measure:\n  front_pads: {lever: 100 N, pull: %g N, at: 250 mm}\n"
	for _, c := range []struct {
		layout, front, measure, path string
		pull, want                   float64
	}{
		{"quad", "{kind: drum, count: 2, diameter: 140 mm, lever_ratio: 9}", shoes, "brakes.front.shoe_factor", 252, 2},
		{"quad", "{kind: drum, count: 1, diameter: 140 mm, lever_ratio: 9}", shoes, "brakes.front.shoe_factor", 504, 2},
		{"bike", "{kind: drum, count: 1, diameter: 140 mm, lever_ratio: 9}", shoes, "brakes.front.shoe_factor", 504, 2},
		{"quad", "{kind: disc, count: 2, effective_radius: 88 mm, calliper: {type: floating, pistons: 1, diameter: 32 mm}, master: 12.7 mm, lever_ratio: 5.8}", pads, "brakes.front.pad_friction", 985.091, 0.38},
		{"bike", "{kind: disc, count: 2, effective_radius: 88 mm, calliper: {type: floating, pistons: 1, diameter: 32 mm}, master: 12.7 mm, lever_ratio: 5.8}", pads, "brakes.front.pad_friction", 1970.18, 0.38},
	} {
		text := fmt.Sprintf("sheet: 1\nmachine:\n  layout: %s\n  wheels: {front: {loaded_radius: 250 mm}}\n  brakes: {front: %s}\n%sbuilds: {a: []}\n", c.layout, c.front, fmt.Sprintf(c.measure, c.pull))
		s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
		if err != nil {
			t.Fatal(err)
		}
		if bad := Fill(s.Project); len(bad) > 0 {
			t.Fatal(bad)
		}
		in := &ranges.Inputs{Build: s.Project.Bare()}
		if got := in.Num(c.path); math.Abs(got/c.want-1) > 1e-5 {
			t.Errorf("%s, %s: %g, by hand %g", c.layout, c.front, got, c.want)
		}
	}
}
