package track

import (
	"math"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/lap"
)

// A course of one section of each kind, in the numbers of the lap room.
func TestSectionsByHand(t *testing.T) {
	const course = "track: {sections: [{straight: 80 m, climb: 5 %}, {corner: left, radius: 10 m, angle: 90 deg, bank: 10 deg}, {name: hairpin, corner: right, radius: 6 m, angle: 180 deg}, " +
		"{whoops: 30 m, pitch: 4 m, height: 300 mm}, {jump: {take_off: 20 deg, height: 1 m, gap: 8 m, landing: 15 deg}}, {straight: 20 m, crest: 25 m}, {straight: 15 m, dip: 40 m, climb: -2 %}], peak_grip"
	in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", "track: {peak_grip", course)}
	want := []lap.Section{
		{Name: "1 straight", Length: 80, Climb: 0.05},
		{Name: "2 left", Length: 5 * math.Pi, Turn: math.Pi / 2, Bank: math.Pi / 18}, // 10 m x pi/2
		{Name: "hairpin", Length: 6 * math.Pi, Turn: -math.Pi},
		{Name: "4 whoops", Length: 30, Whoops: lap.Whoops{Pitch: 4, Height: 0.3}},
		{Name: "5 jump", Length: 8, Jump: lap.Jump{TakeOff: math.Pi / 9, Landing: math.Pi / 12}}, // the gap is its length
		{Name: "6 straight", Length: 20, Bend: 0.04},
		{Name: "7 straight", Length: 15, Bend: -0.025, Climb: -0.02},
	}
	got := sectionsOf(in)
	if len(got) != len(want) || len(in.Missing) > 0 {
		t.Fatalf("%d sections, missing %v", len(got), in.Missing)
	}
	for i := range want {
		a, b := ranges.Flat(got[i]), ranges.Flat(want[i])
		if got[i].Name != want[i].Name || len(a) != len(b) {
			t.Errorf("section %d is %+v, by hand %+v", i+1, got[i], want[i])
			continue
		}
		for k := range b {
			if math.Abs(a[k]-b[k]) > 1e-12 {
				t.Errorf("section %d is %+v, by hand %+v", i+1, got[i], want[i])
				break
			}
		}
	}
	c, err := courseOf(in)
	if err != nil || math.Abs(c.Length()-(80+5*math.Pi+6*math.Pi+30+8+20+15)) > 1e-9 {
		t.Errorf("a course of %g m (%v)", c.Length(), err)
	}
	// 80 x 0.05 - 15 x 0.02 = 3.7 m up; 90 to the left and 180 to the right.
	if turn, climb := c.Closing(); math.Abs(climb-3.7) > 0.02 || math.Abs(math.Mod(turn-3*math.Pi/2, 2*math.Pi)) > 1e-9 && math.Abs(turn+math.Pi/2) > 1e-9 {
		t.Errorf("it ends %g m up, turned by %g rad", climb, turn)
	}
}

// A corner without its angle and a course without sections say what is missing.
func TestCourseWithout(t *testing.T) {
	for course, missing := range map[string]string{
		"track: {sections: [{straight: 80 m}, {corner: left, radius: 10 m}], peak_grip": "track.sections[1].angle",
		"track: {sections: [{name: road}], peak_grip":                                   "track.sections[0].straight",
	} {
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", "track: {peak_grip", course)}
		if _, err := courseOf(in); err != nil || strings.Join(in.Missing, " ") != missing {
			t.Errorf("%s: missing %v (%v)", course, in.Missing, err)
		}
	}
}
