package torque

import (
	"fmt"
	"testing"

	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
	"shakedown/internal/outside"
	"shakedown/sheet"
)

// begun are the inputs of a sheet that was just begun.
func begun(t *testing.T) *ranges.Inputs {
	t.Helper()
	text, err := sheet.New("three-wheeler", map[string]string{"layout": "three-wheeler"}, "2027-05-03")
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x", Text: text})
	if err != nil {
		t.Fatal(err)
	}
	return &ranges.Inputs{Build: s.Project.Bare()}
}

// The usual discharge coefficients, at the lift over the valve's head where the figure of the books has them.
func TestOutsideUsualValveFlow(t *testing.T) {
	in := begun(t)
	for _, side := range []struct {
		valve Valve
		book  []float64
	}{{Intake, []float64{0.65, 0.60, 0.50}}, {Exhaust, []float64{0.72}}} {
		v, err := side.valve.valves(in)
		if err != nil {
			t.Fatal(err)
		}
		for i, book := range side.book {
			over := 0.05 + 0.1*float64(i)
			outside.Check{ID: "engine 3.28", Name: fmt.Sprintf("usual discharge coefficient, %s, lift %g of the head (band)", side.valve.Path("%s"), over), Unit: "1",
				Got: valvetrain.CoefficientAt(v.Flow, over*v.Head), Want: book, Tol: 0.07, Source: "Heywood 1988 fig. 6-15; Annand and Roe", Known: []outside.Known{outside.Memory}}.Run(t)
		}
	}
}
