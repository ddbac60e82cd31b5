package torque

import (
	"math"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/outside"
	"shakedown/machine"
	"shakedown/sheet"
)

// The usual engines of both cycles lie where the books have them.
func TestOutsideTemplateCurve(t *testing.T) {
	b := full(t)
	remembered := []outside.Known{outside.Memory}
	in := &ranges.Inputs{Build: b}
	swept, err := SweptVolume(in)
	if err != nil {
		t.Fatal(err)
	}
	pressure := func(c *Curve, turns float64) float64 { return c.Torque.Value * 2 * math.Pi * turns / swept / 1e5 }
	four, err := TemplateCurve(b)
	if err != nil {
		t.Fatal(err)
	}
	word := b.Values["engine.cycle"]
	word.Text = "two-stroke"
	b.Values["engine.cycle"] = word
	two, err := TemplateCurve(b)
	if err != nil {
		t.Fatal(err)
	}
	outside.Check{ID: "template four-stroke", Name: "mean effective pressure at the peak of the torque, naturally aspirated, 8.5 to 10.5 bar", Unit: "bar", Got: pressure(four, 2), Want: 9.5, Tol: 1.0, Source: "Heywood, Internal Combustion Engine Fundamentals, ch. 2", Known: remembered}.Run(t)
	outside.Check{ID: "template two-stroke", Name: "mean effective pressure at the peak of the torque, off-road, 6 to 9 bar", Unit: "bar", Got: pressure(two, 1), Want: 7.5, Tol: 1.5, Source: "Blair, Design and Simulation of Two-Stroke Engines, ch. 1", Known: remembered}.Run(t)
	for _, c := range []*Curve{four, two} {
		if !c.Template || !(c.Half > 0) || !(c.Power.Speed > c.Torque.Speed) {
			t.Errorf("%+v", c)
		}
	}
	delete(b.Values, "engine.bore")
	if _, err := TemplateCurve(b); err == nil {
		t.Error("a curve without a bore")
	}
}

// full is the build of that name of the first example.
func full(t *testing.T) *machine.Build {
	t.Helper()
	s, err := sheet.Read("../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Project.Resolve("full")
	if err != nil {
		t.Fatal(err)
	}
	return b
}
