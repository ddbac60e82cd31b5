package track

import (
	"math"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/sheet"
)

// The gearing brought back after lower rear tyres, by hand, from 12 and 42 teeth (3.5) on 24 in:
//
//	22 in: wanted 3.5 x 22/24 = 3.2083; 42/13 = 3.2308 is 0.7 % off: 13 teeth in front
//	20 in: wanted 3.5 x 20/24 = 2.9167; 42/14 = 3.0 is 2.8 % off, 35/12 = 2.9167 is it: 35 teeth behind
//	24 in of another width: nothing to bring back; nor where the part brings a sprocket itself; nor where the
//	chain room has no place for any
func TestGearingBroughtBack(t *testing.T) {
	const text = `sheet: 1
machine:
  layout: three-wheeler
  driveline: {sprockets: {front: 12, rear: 42}}
  wheels: {rear: {tyre: "24x11-9"}}
parts:
  a: {kind: tyre, sets: {wheels.rear.tyre: "22x11-9"}}
  b: {kind: tyre, sets: {wheels.rear.tyre: "20x11-9"}}
  c: {kind: tyre, sets: {wheels.rear.tyre: "24x10-9"}}
  d: {kind: tyre, sets: {wheels.rear.tyre: "22x11-9", driveline.sprockets.front: 13}}
  e: {kind: tyre, sets: {wheels.front.tyre: "20x8-10"}}
builds: {found: [], a: [a], b: [b], c: [c], d: [d], e: [e]}
`
	for _, c := range []struct {
		build, chain string
		teeth        Teeth
		words        string
	}{
		{"a", "", Teeth{13, 42}, "with 13 teeth in front"}, {"b", "", Teeth{12, 35}, "with 35 teeth behind"}, {"c", "", Teeth{}, ""}, {"d", "", Teeth{}, ""}, {"e", "", Teeth{}, ""},
		{"a", ", chain: {pitches: 92}, sprocket_centres: {shortest: 300 mm, longest: 302 mm}", Teeth{}, ""},
	} {
		s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(strings.Replace(text, "rear: 42}", "rear: 42}"+c.chain, 1))})
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Project.Resolve(c.build)
		if err != nil {
			t.Fatal(err)
		}
		if teeth, words, ok := GearedBack(b, s.Project.Bare()); teeth != c.teeth || words != c.words || ok != (words != "") {
			t.Errorf("%s%s: %v, %q; by hand %v, %q", c.build, c.chain, teeth, words, c.teeth, c.words)
		}
	}
}

// A racer with other teeth laps as a build whose part brings them, and is not taken for the one without.
func TestRacerWithOtherTeeth(t *testing.T) {
	b, c := raced(t, "as-found")
	own := Racer{Build: b[0], Torque: torque.NewSure(b[0], c[0], nil)}
	in := &ranges.Inputs{Build: b[0]}
	same, other := own, own
	same.Teeth, other.Teeth = Teeth{in.Count(frontTeeth), in.Count(rearTeeth)}, Teeth{in.Count(frontTeeth) + 2, in.Count(rearTeeth)}
	a, err1 := NewLapTimes(nil).ridden(own, nil, nil, nil)
	d, err2 := NewLapTimes(nil).ridden(same, nil, nil, nil)
	if err1 != nil || err2 != nil || math.Abs(a.Time-d.Time) > 1e-12 {
		t.Errorf("with its own teeth %g s, with the same named %g s (%v, %v)", a.Time, d.Time, err1, err2)
	}
	f, err := NewLapTimes(nil).Time(t.Context(), other, own)
	if err != nil || f.Change == nil || f.Change.None() {
		t.Errorf("two teeth more change nothing: %+v (%v)", f.Change, err)
	}
}
