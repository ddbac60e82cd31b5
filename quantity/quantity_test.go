package quantity

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

const sp811 = "NIST SP 811 (2008), appendix B.8"

func TestOutsideUnits(t *testing.T) {
	seen := []outside.Known{outside.Seen, outside.Computed}
	exact := []outside.Known{outside.Computed}
	rows := []struct {
		id, symbol string
		want, tol  float64 // SI, relative
		source     string
		known      []outside.Known
	}{
		{"planning U1", "in", 0.0254, 1e-15, sp811, seen}, {"planning U1", "ft", 0.3048, 1e-15, sp811, seen},
		{"planning U2", "lb", 0.45359237, 1e-15, "GNU units 2.22 definitions", exact}, {"planning U2", "oz", 0.028349523125, 1e-15, "GNU units 2.22 definitions", exact},
		{"planning U3", "kgf", 9.80665, 1e-15, sp811, seen}, {"planning U4", "lbf", 4.4482216152605, 1e-14, "GNU units 2.22 definitions", exact},
		{"planning U5", "psi", 6894.75729316836, 1e-14, "GNU units 2.22 definitions", exact}, {"planning U5", "bar", 100000, 1e-15, sp811, exact},
		{"planning U7", "hp", 745.69987158227022, 1e-14, sp811, seen}, {"planning U8", "PS", 735.49875, 1e-15, "GNU units 2.22 definitions", exact},
		{"planning U10", "lbf.ft", 1.3558179483314004, 1e-14, sp811, seen}, {"planning U11", "kgf.m", 9.80665, 1e-15, "GNU units 2.22 definitions", exact},
		{"planning U12", "lbf/in", 175.126835246476, 1e-14, "GNU units 2.22 definitions", exact}, {"planning U12", "kgf/mm", 9806.65, 1e-15, "GNU units 2.22 definitions", exact},
		{"planning U15", "in3", 16.387064e-6, 1e-14, "GNU units 2.22 definitions", exact}, {"planning U15", "cc", 1e-6, 1e-15, "definition", exact}, {"SP 811 B.8", "gal", 3.785411784e-3, 1e-14, "NIST SP 811 (2008), appendix B.8, gallon (U.S.)", exact},
		{"planning U16", "mph", 0.44704, 1e-15, "GNU units 2.22 definitions", exact}, {"planning U18", "cSt", 1e-6, 1e-15, "definition", exact},
	}
	for _, r := range rows {
		unit := MustUnit(r.symbol)
		outside.Check{ID: r.id, Name: "1 " + r.symbol, Unit: unit.Kind.SI(), Got: unit.ToSI(1), Want: r.want, Tol: r.tol, Relative: true, Source: r.source, Known: r.known}.Run(t)
	}
	fahrenheit, celsius := MustUnit("F"), MustUnit("C")
	for f, want := range map[float64]float64{212: 100, -40: -40} {
		outside.Check{ID: "planning U17", Name: fmt.Sprintf("%g F", f), Unit: "C", Got: celsius.FromSI(fahrenheit.ToSI(f)), Want: want, Tol: 1e-9, Source: "GNU units 2.22 definitions", Known: exact}.Run(t)
	}
	horsepower := MustUnit("hp").FromSI(MustUnit("lbf.ft").ToSI(1) * MustUnit("rpm").ToSI(5252.113))
	for _, c := range []outside.Check{
		{ID: "planning U17", Name: "0 F", Unit: "K", Got: fahrenheit.ToSI(0), Want: 255.372222222, Tol: 1e-8, Source: "GNU units 2.22 definitions", Known: exact},
		{ID: "planning U17", Name: "a step of 1 F", Unit: "K", Got: fahrenheit.ToSI(51) - fahrenheit.ToSI(50), Want: 5.0 / 9, Tol: 1e-9, Source: "GNU units 2.22 definitions", Known: exact},
		{ID: "planning U20", Name: "power of 1 lbf.ft at 5252.113 rpm", Unit: "hp", Got: horsepower, Want: 1, Tol: 1e-6, Source: "33000/2 pi", Known: exact},
		{ID: "planning U20", Name: "power of 1 Nm at 9549.297 rpm", Unit: "kW", Got: MustUnit("rpm").ToSI(9549.297) / 1000, Want: 1, Tol: 1e-6, Source: "30000/pi", Known: exact},
	} {
		c.Run(t)
	}
}

// Fork oil level is told in inches or millimetres; both are the same length.
func TestOutsideForkOilInTwoUnits(t *testing.T) {
	inches, err := Parse("6.3 in", Spec{Kind: Length})
	if err != nil {
		t.Fatal(err)
	}
	outside.Check{ID: "trade: fork oil", Name: "fork oil 6.3 in below the upper edge of the tube", Unit: "mm", Got: 1000 * inches.Value, Want: 160.02, Tol: 0.005, Source: "fork oil level is given as a distance below the upper edge of the tube, in inches or millimetres", Known: []outside.Known{outside.Practice}}.Run(t)
}

func TestParse(t *testing.T) {
	length, mass, ratio := Spec{Kind: Length, Default: Estimated}, Spec{Kind: Mass, Default: Estimated}, Spec{Kind: Ratio, Default: Estimated}
	for _, c := range []struct {
		text  string
		spec  Spec
		value float64
		half  float64
		known Known
	}{
		{"74.00 mm ± 0.01 measured", length, 0.074, 0.01e-3, Measured},
		{"74.00 mm +- 0.01 measured", length, 0.074, 0.01e-3, Measured},
		{"74 mm ±0.01", length, 0.074, 0.01e-3, Estimated},
		{"455 mm ± 25 mm", length, 0.455, 0.025, Estimated},
		{"455 mm ± 1 in claimed", length, 0.455, 0.0254, Claimed},
		{"455 mm ± 2 %", length, 0.455, 0.0091, Estimated},
		{"131 kg claimed", mass, 131, 3.93, Claimed},
		{"131 kg", mass, 131, 13.1, Estimated},
		{"1 lb measured", mass, 0.45359237, 0.0045359237, Measured},
		{"0.85", ratio, 0.85, 0.085, Estimated},
		{"85 % measured", ratio, 0.85, 0.0255, Measured},
		{"0.33 ± 0.02 measured", ratio, 0.33, 0.02, Measured},
		{"50 % ± 20 %", ratio, 0.5, 0.2, Estimated},
		{"-0.5 mm", length, -0.5e-3, 0.025e-3, Estimated},
		{"\u22120.5 mm", length, -0.5e-3, 0.025e-3, Estimated},
		{"20 C ± 3 F", Spec{Kind: Temperature}, 293.15, 5.0 / 3, Measured},
		{"68 F", Spec{Kind: Temperature, Default: Typical}, 293.15, 5, Typical},
		{"1500", Spec{Kind: AngularSpeed, Bare: "rpm", Exact: true}, 1500 * math.Pi / 30, 0, Measured},
		{"12", Spec{Kind: Ratio, Whole: true, Exact: true}, 12, 0, Measured},
		{"0.35 kgf/mm", Spec{Kind: Rate, Default: Claimed}, 3432.3275, 171.616375, Claimed},
		{"1e-2 m", length, 0.01, 0.0005, Estimated},
		{"41,5 mm", length, 0.0415, 0.0415 * 0.05, Estimated},
		{"0,250 in measured", length, 0.25 * 0.0254, 0.005 * 0.25 * 0.0254, Measured},
		{"1250,75 mm ± 0,5", length, 1.25075, 0.0005, Estimated},
		{"1,250.5 mm ± 1", length, 1.2505, 0.001, Estimated},
		{"1.250,5 mm ± 1", length, 1.2505, 0.001, Estimated},
		{"1,250,000 mm ± 1", length, 1250, 0.001, Estimated},
		{"-3,5e-1 mm ± 0.1", length, -0.35e-3, 0.1e-3, Estimated},
		{"46.5\" measured", length, 46.5 * 0.0254, 0.005 * 46.5 * 0.0254, Measured},
		{"46.5\u2033 ± 0.1\"", length, 46.5 * 0.0254, 0.00254, Estimated},
		{"1/2\" ± 0", length, 0.0127, 0, Estimated},
		{"1 1/2 in ± 0", length, 0.0381, 0, Estimated},
		{"-1 1/2 in ± 0", length, -0.0381, 0, Estimated},
		{"46-1/2 in ± 0", length, 46.5 * 0.0254, 0, Estimated},
		{"46\u00bd in ± 0", length, 46.5 * 0.0254, 0, Estimated},
		{"20 thou ± 0", length, 0.020 * 0.0254, 0, Estimated},
		{"12 lbs ± 0", mass, 12 * 0.45359237, 0, Estimated},
		{"12 lbs ± 0", Spec{Kind: Force}, 12 * 4.4482216152605, 0, Measured},
		{"25 kg ± 1 kg", Spec{Kind: Force}, 25 * 9.80665, 9.80665, Measured},
		{"0.35 kg/mm", Spec{Kind: Rate, Default: Claimed}, 3432.3275, 171.616375, Claimed},
		{"36 lbs/in ± 0", Spec{Kind: Rate}, 36 * 175.12683524647636, 0, Measured},
		{"17 cu in ± 0", Spec{Kind: Volume}, 17 * 16.387064e-6, 0, Measured},
		{"14 kg/cm2 ± 0", Spec{Kind: Pressure}, 14 * 98066.5, 0, Measured},
		{"10° ± 1°", Spec{Kind: Angle}, 10 * degree, degree, Measured},
		{"4 deg ATDC ± 1 deg", Spec{Kind: Angle, Sides: [2]string{"BTDC", "ATDC"}}, -4 * degree, degree, Measured},
		{"4 deg btdc", Spec{Kind: Angle, Sides: [2]string{"BTDC", "ATDC"}}, 4 * degree, degree, Measured},
		{"-4 deg", Spec{Kind: Angle, Sides: [2]string{"BTDC", "ATDC"}}, -4 * degree, degree, Measured},
		{"38/15", ratio, 38.0 / 15, 3.8 / 15, Estimated},
		{"10 mm fitted", length, 0.01, 0.05e-3, Fitted},
	} {
		q, err := Parse(c.text, c.spec)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		if math.Abs(q.Value-c.value) > 1e-12*math.Abs(c.value) || math.Abs(q.Half-c.half) > 1e-9*math.Abs(c.half) || q.Known != c.known || q.Text != c.text {
			t.Errorf("%q is %+v, want %g ± %g %v", c.text, q, c.value, c.half, c.known)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	length := Spec{Kind: Length}
	for _, c := range []struct {
		text           string
		spec           Spec
		at             int
		what, remedies string
	}{
		{"74", length, 0, "without a unit", "74 mm"},
		{"1,250 mm", length, 0, "two ways", "write 1.250, or 1250"},
		{"12,34,567 mm", length, 0, "commas", "point"},
		{"1,25.0,5 mm", length, 0, "commas", "point"},
		{"74, mm", length, 0, "commas", "point"},
		{"74 mm ± 1,000 mm", length, 9, "two ways", "1.000"},
		{"1/0 in", length, 1, "unknown unit", ""},
		{"-4 deg ATDC", Spec{Kind: Angle, Sides: [2]string{"BTDC", "ATDC"}}, 0, "a minus and ATDC", "leave one"},
		{"4 deg ABDC", Spec{Kind: Angle, Sides: [2]string{"BTDC", "ATDC"}}, 6, "ABDC", "cam card"},
		{"4 deg ATDC", Spec{Kind: Angle}, 6, "does not say", ""},
		{"", length, 0, "nothing", "delete the line"},
		{"wide", length, 0, "no number", "number first"},
		{"NaN mm", length, 0, "no number", ""},
		{"Inf", Spec{Kind: Ratio}, 0, "no number", ""},
		{"1e999 mm", length, 0, "cannot be used", "decimal"},
		{"74 mn", length, 3, "unknown unit", `"mm"`},
		{"74 kg", length, 3, "measures a mass", "mm"},
		{"0.5 mm", Spec{Kind: Ratio}, 4, "measures a length", "leave the unit"},
		{"74 mm ± -1", length, 9, "negative", "minus"},
		{"74 mm ± 1 kg", length, 11, "no unit for this tolerance", ""},
		{"74 mm mesured", length, 6, "does not say", `"measured"`},
		{"74 mm measured today", length, 15, "after the end", "comment"},
		{"20 C ± 5 %", Spec{Kind: Temperature}, 10, "on a temperature", "degrees"},
		{"1500 rpm", Spec{Kind: AngularSpeed, Bare: "rpm"}, 5, "already is one", "leave the unit"},
		{"2.5", Spec{Kind: Ratio, Whole: true}, 0, "not whole", "whole"},
	} {
		_, err := Parse(c.text, c.spec)
		var p *Problem
		if !errors.As(err, &p) {
			t.Errorf("%q is taken (%v)", c.text, err)
			continue
		}
		if p.Offset != c.at || !strings.Contains(p.What, c.what) || !strings.Contains(p.Remedy, c.remedies) || p.Expected == "" {
			t.Errorf("%q: at %d %+v, want at %d %q … %q", c.text, p.Offset, *p, c.at, c.what, c.remedies)
		}
	}
}

// The table of default tolerances as the project promises it: half-widths that hold 95 %.
func TestDefaultTolerances(t *testing.T) {
	for _, c := range []struct {
		kind  Kind
		value float64
		want  [4]float64 // measured, claimed, estimated, typical
	}{
		{Length, 0.1, [4]float64{0.0005, 0.0005, 0.005, 0.01}}, {Length, 1, [4]float64{0.005, 0.02, 0.05, 0.1}}, {Length, 0.001, [4]float64{0.02e-3, 0.005e-3, 0.05e-3, 0.1e-3}},
		{Mass, 100, [4]float64{1, 3, 10, 20}}, {Volume, 1, [4]float64{0.02, 0.03, 0.05, 0.1}}, {Rate, 100, [4]float64{3, 5, 10, 20}},
		{Force, 100, [4]float64{3, 5, 10, 20}}, {Pressure, 100, [4]float64{3, 5, 10, 20}}, {Angle, 1, [4]float64{degree, 2 * degree, 4 * degree, 6 * degree}},
		{Ratio, 1, [4]float64{0.03, 0.1, 0.1, 0.2}},
	} {
		for known, want := range c.want {
			if got := DefaultHalf(c.kind, c.value, Known(known)); math.Abs(got-want) > 1e-12 {
				t.Errorf("%v of %g, %v: %g, want %g", c.kind, c.value, Known(known), got, want)
			}
		}
	}
}

func TestUnitsThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom(units).Draw(t, "unit")
		number := rapid.Float64Range(-1e6, 1e6).Draw(t, "number")
		if back := unit.FromSI(unit.ToSI(number)); math.Abs(back-number) > 1e-9*math.Max(1, math.Abs(number)) {
			t.Fatalf("%g %s comes back as %g", number, unit.Symbol, back)
		}
		other := rapid.SampledFrom(Units(unit.Kind)).Draw(t, "other")
		if step := other.Difference(unit.ToSI(1) - unit.ToSI(0)); math.Abs(step-unit.Factor/other.Factor) > 1e-9*step {
			t.Fatalf("a step of 1 %s is %g %s", unit.Symbol, step, other.Symbol)
		}
	})
}

func TestWrittenNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom(units[2:]).Draw(t, "unit")
		if unit.Kind == Time {
			t.Skip("spans have a grammar of their own")
		}
		number := math.Round(rapid.Float64Range(0.001, 9999).Draw(t, "number")*1000) / 1000
		known := rapid.SampledFrom(knownNames[:]).Draw(t, "known")
		q, err := Parse(fmt.Sprintf("%g %s ± %g %s", number, unit.Symbol, number/10, known), Spec{Kind: unit.Kind})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(unit.FromSI(q.Value)-number) > 1e-9*number || math.Abs(unit.Difference(q.Half)-number/10) > 1e-9*number || q.Known.String() != known {
			t.Fatalf("%g %s %s comes back as %+v", number, unit.Symbol, known, q)
		}
	})
}

func TestBoltCircle(t *testing.T) {
	b, err := ParseBoltCircle("4 x 110 mm")
	if err != nil || b.Count != 4 || math.Abs(b.Diameter-0.11) > 1e-15 {
		t.Errorf("4 x 110 mm is %+v (%v)", b, err)
	}
	for _, text := range []string{"", "110 mm", "4 x", "4 x 110", "x 110 mm", "4.5 x 110 mm", "4 x -110 mm", "1 x 110 mm", "4 x 0 mm"} {
		if _, err := ParseBoltCircle(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

func TestSpan(t *testing.T) {
	for text, want := range map[string]Span{"3 weeks": {3, Weeks, "3 weeks"}, "1 week": {1, Weeks, "1 week"}, "10 working days": {10, WorkingDays, "10 working days"}, "4 h": {4, Hours, "4 h"}, "12 months": {12, Months, "12 months"},
		"4-6 weeks": {6, Weeks, "4-6 weeks"}, "4 – 6 weeks": {6, Weeks, "4 – 6 weeks"}, "2 to 3 working days": {3, WorkingDays, "2 to 3 working days"}, "10 Business Days": {10, WorkingDays, "10 Business Days"}, "6wks": {6, Weeks, "6wks"}} {
		if got, err := ParseSpan(text); err != nil || got != want {
			t.Errorf("%q is %+v (%v)", text, got, err)
		}
	}
	for _, text := range []string{"", "3", "weeks", "3.5 weeks", "-1 days", "3 fortnights", "99999 days", "6-4 weeks", "4- weeks", "4-6-8 weeks", "4-6", "1,5 weeks"} {
		if _, err := ParseSpan(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
	var p *Problem
	if _, err := ParseSpan("3 weaks"); !errors.As(err, &p) || !strings.Contains(p.Remedy, "weeks") {
		t.Errorf("3 weaks: %v", err)
	}
}

func TestNumbersForPeople(t *testing.T) {
	mm := MustUnit("mm")
	for _, c := range []struct {
		value, half float64
		unit        Unit
		want        string
	}{
		{0.2968e-3, 0.3e-6, MustUnit("cc"), "296.8 cc"}, {0.0741234, 0.0005, mm, "74.1 mm"}, {0.0741234, 0.0013, mm, "74.1 mm"}, {0.0741234, 0.003, mm, "74 mm"},
		{10.6, 0.03, MustUnit("1"), "10.60"}, {0.1524, 0, MustUnit("in"), "6 in"}, {10.9536, 0, MustUnit("1"), "10.95"}, {-0.004, 0.002, mm, "\u22124 mm"}, {0, 0, mm, "0 mm"},
		{293.15, 1.5, MustUnit("C"), "20.0 °C"}, {0.43, 0.02, MustUnit("g0"), "0.43 g"},
	} {
		if got := Show(c.value, c.half, c.unit); got != c.want {
			t.Errorf("%g ± %g %s shows as %q, want %q", c.value, c.half, c.unit.Symbol, got, c.want)
		}
	}
	if got := Number(-0.0004, 2); got != "0.00" {
		t.Errorf("a negative nothing shows as %q", got)
	}
	if u := mm.In(US); u.Symbol != "in" {
		t.Errorf("mm in US units is %s", u.Symbol)
	}
	if u := MustUnit("cc").In(US); u.Symbol != "cc" {
		t.Errorf("cc in US units is %s", u.Symbol)
	}
}

func TestNearest(t *testing.T) {
	words := []string{"engine", "driveline", "suspension", "brakes"}
	for word, want := range map[string]string{"engin": "engine", "enigne": "engine", "suspention": "suspension", "brake": "brakes", "tyres": "", "x": ""} {
		if got := Nearest(word, words); got != want {
			t.Errorf("nearest to %q is %q, want %q", word, got, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"74.00 mm ± 0.01 measured", "131 kg claimed", "+-", "± ±", "1e999", "NaN", "0x10 mm", "74,0", "1e", "\xff 3 mm", "5 working days", "3 x 110 mm", " ± 5 %", "1 % ± 2 % fitted", "41,5 mm", "1,250 mm", "1.250,5 mm", "1,250,000", "46.5\"", "1 1/2 in", "-1/2", "½ in", "9/0 mm", "17 cu in", "4 deg ATDC", "4-6 weeks", "14 kg/cm2 ± 1 kg/cm2"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for kind := Ratio; kind <= Time; kind++ {
			q, err := Parse(text, Spec{Kind: kind, Default: Estimated})
			var p *Problem
			switch {
			case err == nil:
				if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || math.IsNaN(q.Half) || math.IsInf(q.Half, 0) || q.Half < 0 {
					t.Fatalf("%q became %+v", text, q)
				}
				if again, err := Parse(q.Text, Spec{Kind: kind, Default: Estimated}); err != nil || again != q {
					t.Fatalf("%q does not read twice alike", text)
				}
			case !errors.As(err, &p):
				t.Fatalf("%q gives an error without a place: %v", text, err)
			case p.Offset < 0 || p.Offset > len(text) || p.Length < 1 || p.What == "" || p.Expected == "" || p.Remedy == "":
				t.Fatalf("%q gives the problem %+v", text, *p)
			}
		}
		_, _ = ParseBoltCircle(text)
		_, _ = ParseSpan(text)
		_, _ = ParseAny(text)
	})
}
