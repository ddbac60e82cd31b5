package torque

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/internal/outside"
	"shakedown/machine"
)

// Published values through the text of a sheet: what it says reaches the formula in its place and unit.
func TestOutsideFiguresOfASheet(t *testing.T) {
	const stroke, bore = "stroke: 60 mm\n    rod_length: 120 mm", "bore: 80 mm"
	computed, seen := []outside.Known{outside.Computed}, []outside.Known{outside.Seen, outside.Computed}
	figure := func(id string, changes ...string) float64 {
		values, why := byhand.Figures(Figures, byhand.Build(t, single, "as-found", changes...))
		if _, ok := values[id]; !ok {
			t.Errorf("no %s: %s", id, why[id])
		}
		return values[id]
	}
	for _, c := range []outside.Check{
		{ID: "engine 3.1", Name: "swept volume of a sheet, 82.55 x 114.3 mm", Unit: "cc",
			Got:  figure("engine.swept_volume", bore, "bore: 82.55 mm", stroke, "stroke: 114.3 mm\n    rod_length: 254 mm"),
			Want: 611.745, Tol: 1e-3, Source: "definition; CFR engine", Known: computed},
		{ID: "engine 3.2", Name: "compression ratio of a sheet", Unit: "1",
			Got:  figure("engine.compression_ratio", bore, "bore: 87 mm", stroke, "stroke: 84 mm\n    rod_length: 137 mm", "head: 30 cc, gasket_bore: 82 mm, gasket_thickness: 1 mm, deck: 0.5 mm, dome: 2 cc", "head: 58 cc, gasket_bore: 88 mm, gasket_thickness: 1 mm, deck: 0.5 mm, dome: 6 cc"),
			Want: 9.179, Tol: 1e-3, Source: "arithmetic: swept volume over chamber, gasket, deck and dome", Known: computed},
		{ID: "engine 3.4", Name: "acceleration at top dead centre of a sheet", Unit: "m/s2",
			Got:  figure("engine.peak_piston_acceleration", stroke, "stroke: 84 mm\n    rod_length: 137 mm", "redline: 6000 rpm", "redline: 6500 rpm"),
			Want: 25425.28, Tol: 1e-5, Relative: true, Source: "Heywood 1988 section 2.2", Known: computed},
		{ID: "engine 3.7", Name: "mean piston speed of a sheet", Unit: "m/s",
			Got:  figure("engine.mean_piston_speed", stroke, "stroke: 84 mm\n    rod_length: 137 mm", "redline: 6000 rpm", "redline: 6500 rpm"),
			Want: 18.2, Tol: 0.05, Source: "definition: twice the stroke a turn", Known: computed},
		{ID: "engine 6.1", Name: "inertia load of 500 g, of a sheet", Unit: "kN",
			Got:  figure("engine.rod_inertia_load", stroke, "stroke: 84 mm\n    rod_length: 137 mm", "redline: 6000 rpm", "redline: 7500 rpm", "piston_mass: 250 g", "piston_mass: 335 g"),
			Want: 16.9251, Tol: 1e-5, Relative: true, Source: "slider-crank: m r w^2 (1 + r/l)", Known: computed},
		{ID: "engine 3.25", Name: "mean inlet Mach index of a sheet whose mean flow coefficient is 0.35", Unit: "1", // 0.35 x 47/(4 x 9 x 8/15)
			Got:  figure("engine.inlet_mach_index", bore, "bore: 87 mm", stroke, "stroke: 84 mm\n    rod_length: 137 mm", "redline: 6000 rpm", "redline: 6500 rpm", "temperature: 15 C", "temperature: 25 C", "checking_lift: 1 mm", "checking_lift: 0 mm", "intake_valve: {count: 1, head: 36 mm", "intake_valve: {count: 1, head: 47 mm", "intake: [{lift: 2 mm, cd: 0.5}]", "intake: [{lift: 2 mm, cd: 0.856771}]"),
			Want: 0.5147, Tol: 1e-3, Source: "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", Known: seen},
		{ID: "engine 4.9", Name: "density of a sheet's moist air", Unit: "kg/m3",
			Got:  figure("engine.air_density", "temperature: 15 C, humidity: 0, pressure: 1 bar", "temperature: 25 C, humidity: 30 %, pressure: 1000 hPa"),
			Want: 1.16461, Tol: 5e-5, Source: "CIPM-2007, Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149", Known: computed},
		{ID: "engine 4.9", Name: "density of a sheet's hot, moist air", Unit: "kg/m3",
			Got:  figure("engine.air_density", "temperature: 15 C, humidity: 0, pressure: 1 bar", "temperature: 35 C, humidity: 80 %, pressure: 98 kPa"),
			Want: 1.08900, Tol: 5e-5, Source: "CIPM-2007, Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149", Known: computed},
		{ID: "engine 4.3", Name: "power correction of a sheet, 95 kPa dry, 35 C", Unit: "1",
			Got:  figure("engine.power_correction", "temperature: 15 C, humidity: 0, pressure: 1 bar", "temperature: 35 C, humidity: 0, pressure: 95 kPa"),
			Want: 1.07015, Tol: 1e-5, Source: "SAE J1349", Known: []outside.Known{outside.Memory, outside.Computed}},
		{ID: "engine 4.11", Name: "main jet 100 of a sheet in air of 0.8 of the density it was found right in", Unit: "1", // 1.209489/0.8
			Got:  figure("engine.jet_for_air", "main_jet: 120, jetted_density: 1.2 kg/m3", "main_jet: 100, jetted_density: 1.511861 kg/m3"),
			Want: 94.57, Tol: 5e-3, Source: "Heywood 1988, section 7.2 (elementary carburettor)", Known: computed},
	} {
		c.Run(t)
	}
}

// The centres of the lobes of a sheet by the arithmetic of the trade.
func TestOutsideLobeCentres(t *testing.T) {
	b := byhand.Build(t, single, "as-found", "intake: {opens: 10 deg, closes: 40 deg", "intake: {opens: 32 deg, closes: 68 deg", "exhaust: {opens: 45 deg, closes: 5 deg", "exhaust: {opens: 70 deg, closes: 36 deg")
	for _, v := range []Valve{Intake, Exhaust} {
		in := &ranges.Inputs{Build: b}
		_, open, err := v.Lobe(in)
		if err != nil {
			t.Fatal(err)
		}
		centre, duration := map[Valve]float64{Intake: 108, Exhaust: -107}[v], map[Valve]float64{Intake: 280, Exhaust: 286}[v]
		outside.Check{ID: "engine 5.6", Name: v.title("lobe centre of a sheet"), Unit: "deg", Got: v.centre(in) * 180 / math.Pi, Want: centre, Tol: 1e-9, Source: "arithmetic of the trade", Known: []outside.Known{outside.Computed}}.Run(t)
		outside.Check{ID: "engine 5.6", Name: v.title("duration of a sheet"), Unit: "deg", Got: open * 180 / math.Pi, Want: duration, Tol: 1e-9, Source: "arithmetic of the trade", Known: []outside.Known{outside.Computed}}.Run(t)
	}
}

// A chain that has stretched turns both lobes of one cam late by the same angle.
func TestLateCamMovesBothLobes(t *testing.T) {
	for text, late := range map[string]float64{"4 deg": 4, "-3 deg": -3} {
		right, wrong := &ranges.Inputs{Build: byhand.Build(t, single, "as-found")}, &ranges.Inputs{Build: byhand.Build(t, single, "as-found", "checking_lift: 1 mm", "checking_lift: 1 mm\n      late: "+text)}
		for _, v := range []Valve{Intake, Exhaust} {
			_, before, err1 := v.Lobe(right)
			_, after, err2 := v.Lobe(wrong)
			if err := errors.Join(err1, err2); err != nil || math.Abs(before-after) > 1e-12 {
				t.Errorf("%s late, %s: open for %g, was %g (%v)", text, v, after, before, err)
			}
			if d := (v.centre(wrong) - v.centre(right)) * 180 / math.Pi; math.Abs(d-late) > 1e-9 {
				t.Errorf("%s late moves the %s lobe by %.6f deg", text, v, d)
			}
		}
		was, err1 := breathing(right)
		b, err2 := breathing(wrong)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		if in, out := b.Intake.Centre-was.Intake.Centre, b.Exhaust.Centre-was.Exhaust.Centre; math.Abs(in-out) > 1e-12 || in == 0 {
			t.Errorf("the engine's lobes move by %g and %g", in, out)
		}
	}
}

// tabled is the engine with a cycloidal intake lobe of 9 mm, a rise over 65 degrees of the cam, as a table of the
// crank.
func tabled(t *testing.T) *machine.Build {
	t.Helper()
	var table strings.Builder
	for d := -130.0; d <= 130; d += 2.5 {
		x := 1 - math.Abs(d)/130
		fmt.Fprintf(&table, ", {angle: %g, lift: %.6f mm}", d, 9*(x-math.Sin(2*math.Pi*x)/(2*math.Pi)))
	}
	return byhand.Build(t, single, "as-found", "closes: 40 deg, lift: 9 mm}", "closes: 40 deg, lift: 9 mm, table: ["+table.String()[2:]+"]}", "moving_mass: 100 g, spring_rate: 30 N/mm, seat_load: 200 N", "moving_mass: 130 g, spring_rate: 28 N/mm, seat_load: 250 N")
}

// A lobe that is given as a table floats where the closed form says.
func TestOutsideFloatOfATable(t *testing.T) {
	values, why := byhand.Figures(Figures, tabled(t))
	if len(why) > 0 {
		t.Fatal(why)
	}
	outside.Check{ID: "engine 5.16", Name: "float of a cycloidal lobe given as a table every 2.5 degrees", Unit: "rpm", Got: values["engine.valve_float.intake"], Want: 5520.6, Tol: 1e-3, Relative: true, Source: "force balance", Known: []outside.Known{outside.Computed}}.Run(t)
}
