package machine

import (
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/quantity"
)

// Every number has its line, no line is left over, and what is usual lies inside what is computed with.
func TestEveryNumberHasItsSpans(t *testing.T) {
	paths := map[string]bool{"adds.mass": true, "adds.x": true, "adds.z": true}
	for _, f := range Fields() {
		if f.Shape != Number {
			continue
		}
		paths[f.Path] = true
		if !f.Span.given() || f.Span.Source == "" {
			t.Errorf("%s has no span, or none with a source", f.Path)
			continue
		}
		if f.Span.Unit.Kind != f.Spec.Kind {
			t.Errorf("%s is a %s, its span is in %s", f.Path, f.Spec.Kind, f.Span.Unit.Symbol)
		}
		if f.Bound != Any && f.Span.Least < 0 || f.Bound == Positive && f.Span.Least <= 0 || f.Bound == Share && f.Span.Most > 1 {
			t.Errorf("%s is computed with from %g, which physics forbids", f.Path, f.Span.Least)
		}
		for _, layout := range Layouts {
			if low, high := f.Span.Usual(layout); !(f.Span.Least <= low && low < high && high <= f.Span.Most) {
				t.Errorf("%s on a %s: usual %g to %g, computed with %g to %g", f.Path, layout, low, high, f.Span.Least, f.Span.Most)
			}
		}
		for layout := range f.Span.usual {
			if layout != "" && !slices.Contains(Layouts, layout) {
				t.Errorf("%s: there is no layout %q", f.Path, layout)
			}
		}
	}
	seen := map[string]bool{}
	for _, line := range spans() {
		if !paths[line.path] || seen[line.path] {
			t.Errorf("%s: no input, or two lines", line.path)
		}
		seen[line.path] = true
	}
}

// What a template fills in is usual on its layout.
func TestTypicalIsUsual(t *testing.T) {
	for _, layout := range Layouts {
		for path, text := range templates()[layout] {
			f := FieldAt(path)
			if f == nil || f.Shape != Number {
				continue
			}
			q, err := quantity.Parse(text, f.Spec)
			if err != nil {
				t.Fatal(err)
			}
			if !f.IsUsual(layout, q.Value) || f.Fault(q) != nil {
				t.Errorf("%s: %s of %s is not usual: %s", layout, path, text, f.Span.UsualInWords(layout))
			}
		}
	}
}

// What was meant, by hand: 32 psi is 220.6 kPa, 3.2 psi is 22.1 kPa; 4 in is 101.6 mm, a thousandth of that 0.1016 mm;
// 0.045 in is 1.143 mm, a tenth of that 0.114 mm; 295 lb is 133.8 kg; 6.8 N/mm of two springs is 3.4 of each; 6.63 mm
// with the point one place on is 66.3 mm.
func TestReadings(t *testing.T) {
	for _, c := range []struct{ layout, path, text, want string }{
		{"three-wheeler", "wheels.front.pressure", "32 psi", "32 kPa, 3.2 psi"},
		{"quad", "wheels.rear.pressure", "2 bar measured", "2 psi, 0.2 bar"},
		{"bike", "wheels.rear.pressure", "12 kPa", "12 psi, 120 kPa"},
		{"bike", "wheels.rear.pressure", "1 psi", "1 bar, 10 psi"},
		{"three-wheeler", "engine.clearances.piston", "4 in", "0.004 in"},
		{"three-wheeler", "engine.leak_down.lost", "95 %", "9.5 %"},
		{"three-wheeler", "engine.cranking.measured", "11 psi", "11 bar"},
		{"three-wheeler", "engine.cam.late", "40 deg", "4 deg"},
		{"three-wheeler", "engine.clearances.piston", "0.045 in", "0.045 mm, 0.0045 in"},
		{"three-wheeler", "mass.dry", "295 kg ± 2", "295 lb"},
		{"bike", "suspension.front.spring_rate", "6.8 N/mm", "3.4 N/mm for each, if that is the rate of both together"},
		{"three-wheeler", "suspension.front.spring_rate", "0.35 N/mm", "0.35 kgf/mm, 3.5 N/mm"},
		{"three-wheeler", "engine.stroke", "6.63 mm", "66.3 mm"},
		{"three-wheeler", "engine.stroke", "2.61 mm", "2.61 in"},
		{"", "engine.stroke", "663 mm", "66.3 mm"},
		{"three-wheeler", "mass.front_share", "33", "33 %"},
		{"three-wheeler", "brakes.front.effective_radius", "176 mm", "88 mm, if that is the diameter"},
		{"three-wheeler", "engine.ignition_advance[0].deg", "320", "32"},
		{"three-wheeler", "engine.piston_mass", "-262 g", "262 g"},
		{"three-wheeler", "engine.bore", "7e8 mm", ""},
	} {
		f := FieldAt(c.path)
		q, err := quantity.Parse(c.text, f.Spec)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(f.Readings(c.layout, q), ", "); !strings.HasPrefix(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%s of %s on a %s: %q, want %q", c.path, c.text, c.layout, got, c.want)
		}
		if f.IsUsual(c.layout, q.Value) {
			t.Errorf("%s of %s passes as usual on a %s", c.path, c.text, c.layout)
		}
	}
}

// What is refused: beyond what is computed with, a tolerance that is none, and what physics forbids. Both ends are
// allowed, in any unit.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ path, text, says string }{
		{"engine.stroke", "6.63 mm", "with which nothing can be computed; from 20 to 150 mm; look at the unit and the digits: did you mean 66.3 mm"},
		{"engine.stroke", "66.3 mm ± 1e300", "wider than all that it can be"},
		{"engine.stroke", "66.3 mm ± 120 mm", "larger than itself"},
		{"engine.stroke", "-66.3 mm", "physics"},
		{"driveline.chain.pitches", "1000000000000", "from 20 to 400"},
		{"engine.stroke", "150 mm", ""},
		{"engine.stroke", "20 mm", ""},
		{"wheels.front.rim_width", "20 in", ""},
		{"suspension.front.preload", "2 mm ± 4 mm", ""},
		{"engine.chamber.dome", "2 cc ± 3 cc", ""},
		{"geometry.rake", "3 deg typical", ""}, // the usual 6 degrees of a typical angle are more than it, and nobody's slip
	} {
		f := FieldAt(c.path)
		q, err := quantity.Parse(c.text, f.Spec)
		if err != nil {
			t.Fatal(err)
		}
		fault := f.Fault(q)
		if fault == nil {
			if c.says != "" {
				t.Errorf("%s of %s is allowed", c.path, c.text)
			}
			continue
		}
		if got := fault.What + "; " + fault.Expected + "; " + fault.Remedy; c.says == "" || !strings.Contains(got, c.says) {
			t.Errorf("%s of %s: %q, want %q", c.path, c.text, got, c.says)
		}
	}
	if f := FieldAt("engine.stroke"); f.Allows(math.NaN()) || f.Allows(math.Inf(1)) || FieldAt("air.altitude").Allows(math.NaN()) {
		t.Error("what is no number is allowed")
	}
	if f := FieldAt("tank.capacity"); !f.IsUsual("bike", 0) || f.IsUsual("bike", 1e-4) {
		t.Error("no tank at all is nothing to ask about, one of 0.1 l is")
	}
	if f := FieldAt("engine.stroke"); f.AddedFault(quantity.Quantity{Value: 1, Text: "1 m"}) == nil || f.AddedFault(quantity.Quantity{Value: -0.003}) != nil {
		t.Error("3 mm off the stroke may be, a metre more may not")
	}
}
