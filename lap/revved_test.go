package lap

import (
	"math"
	"testing"

	"shakedown/internal/outside"
)

// revving is a point machine with one gear: an even push [N] up to its redline [m/s], and nothing above.
func revving(push, redline float64, each bool) *Machine {
	m := point(200, 1, 0.5)
	m.Thrust = Thrust{Step: 0.05}
	for i := range 1600 {
		force := push
		if 0.05*float64(i) > redline {
			force = 0
		}
		m.Thrust.Force, m.Thrust.Mass, m.Thrust.Gear = append(m.Thrust.Force, force), append(m.Thrust.Mass, 200), append(m.Thrust.Gear, 1)
	}
	if each {
		m.Thrust.Each = []Pull{{Force: m.Thrust.Force, Mass: m.Thrust.Mass, Top: redline}}
	}
	return m
}

// How long top gear is held at the redline on two straights of 300 m between half circles of 20 m, by the sums of a
// body: the corners are ridden at root(0.5 g 20), 400 N on 200 kg give 2 m/s2 up to the redline of 20 m/s, and braking
// is by 0.5 g. What is left of a straight is ridden at 20 m/s.
func TestOutsideRevvedOut(t *testing.T) {
	corner := 0.5 * gravity * 20 // its square
	speedsUp, slowsDown := (400-corner)/(2*2), (400-corner)/(2*0.5*gravity)
	want := 2 * (300 - speedsUp - slowsDown) / 20
	sections := []Section{{Length: 300}, {Length: 20 * math.Pi, Turn: math.Pi}, {Length: 300}, {Length: 20 * math.Pi, Turn: math.Pi}}
	for name, m := range map[string]*Machine{"gears to choose": revving(400, 20, true), "gears given": revving(400, 20, false)} {
		c, err := NewCourse(sections, 0.25)
		if err != nil {
			t.Fatal(err)
		}
		l, err := Run(m, c)
		if err != nil {
			t.Fatal(err)
		}
		outside.Check{ID: "lap: redline", Name: "top gear at the redline, two straights, " + name, Unit: "s", Got: l.Revved, Want: want, Tol: 0.01, Relative: true, Source: "uniform acceleration and circular motion; the steps' own error is the tolerance", Known: computed}.Run(t)
	}
	for name, redline := range map[string]float64{"a redline that is not reached": 60, "a redline beyond what the thrust is given for": 1e3} {
		c, err := NewCourse(sections, 0.25)
		if err != nil {
			t.Fatal(err)
		}
		if l, err := Run(revving(400, redline, false), c); err != nil || l.Revved != 0 {
			t.Errorf("%s: %g s (%v)", name, l.Revved, err)
		}
	}
}
