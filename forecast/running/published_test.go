package running

import (
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/internal/outside"
	"shakedown/vehicle/chassis"
)

// Published values through the text of a sheet: what it says reaches the formula in its place and unit.
func TestOutsideFiguresOfASheet(t *testing.T) {
	figure := func(text, id string, changes ...string) float64 {
		b := byhand.Build(t, text, "as-found", changes...)
		values, why := figuresOf(b)
		if _, ok := values[id]; !ok {
			t.Errorf("no %s: %s", id, why[id])
		}
		return values[id]
	}
	// A machine of 130 kg and a rider of 75 kg with the same centre, 480 mm ahead of the rear axle and 550 mm above
	// ground.
	at := []string{"{mass: 64 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, seat_to_cg: {x: 100 mm, z: 200 mm}}", "{mass: 65 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, cg: {x: 480 mm, z: 550 mm}}",
		"dry: 120 kg, front_share: 0.40, cg_height: 450 mm", "dry: 130 kg, front_share: 0.40, cg_height: 550 mm", "capacity: 8 l", "capacity: 0 l", "track_rear: 800 mm", "track_rear: 900 mm"}
	four := []string{"{mass: 84 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 150 mm, cg: {x: 400 mm, z: 800 mm}}", "{mass: 65 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 150 mm, cg: {x: 480 mm, z: 550 mm}}",
		"dry: 150 kg, front_share: 0.50, cg_height: 400 mm", "dry: 130 kg, front_share: 0.40, cg_height: 550 mm", "capacity: 8 l", "capacity: 0 l", "track_front: 900 mm, track_rear: 800 mm", "track_front: 780 mm, track_rear: 900 mm"}
	apart := []string{at[0], "{mass: 65 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, cg: {x: 400 mm, z: 950 mm}}", at[2], "dry: 130 kg, front_share: 0.38333333333333333, cg_height: 420 mm", "capacity: 8 l", "capacity: 0 l"} // 0.74 and 0.80 m behind the front axle of 1.2
	short := []string{at[0], "{mass: 65 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, cg: {x: 550 mm, z: 750 mm}}", at[2], "dry: 130 kg, front_share: 0.39285714285714286, cg_height: 750 mm", "capacity: 8 l", "capacity: 0 l", "wheelbase: 1200 mm", "wheelbase: 1400 mm"}
	const tip = "statics; scope of Huston, Graves and Johnson, SAE 820139 (1982)"
	const cossalter = "Cossalter, Motorcycle Dynamics, ch. 3"
	c, sc, mc := []outside.Known{outside.Computed}, []outside.Known{outside.Seen, outside.Computed}, []outside.Known{outside.Memory, outside.Computed}
	for _, k := range []outside.Check{
		{ID: "chassis 1.08", Name: "height of machine and rider of a sheet", Unit: "mm", Got: figure(trike, "chassis.cg_z", apart...), Want: 613.9, Tol: 0.1, Source: "statics", Known: c},
		{ID: "chassis 1.08", Name: "machine and rider of a sheet behind the front axle", Unit: "mm", Got: 1200 - figure(trike, "chassis.cg_x", apart...), Want: 762.0, Tol: 0.1, Source: "statics", Known: c},
		{ID: "chassis 2.04", Name: "tip-over of a sheet's three-wheeler", Unit: "g", Got: figure(trike, "chassis.tip_lateral", at...), Want: 0.49091, Tol: 1e-5, Source: tip, Known: sc},
		{ID: "chassis 2.07", Name: "the same braking at 0.3 g", Unit: "g", Got: figure(trike, "chassis.tip_lateral_braking", at...), Want: 0.37841, Tol: 1e-5, Source: tip, Known: sc},
		{ID: "chassis 2.09", Name: "the same, 75 kg of 205 moved 200 mm inside", Unit: "g", Got: figure(trike, "chassis.tip_lateral_hung", at...), Want: 0.62395, Tol: 1e-5, Source: "statics", Known: c},
		{ID: "chassis 2.06", Name: "lateral coefficient of a sheet's four-wheeler", Unit: "1", Got: figure(quad, "chassis.tip_lateral", four...), Want: 0.77455, Tol: 1e-5, Source: "US CPSC 1988 consent decree (Kst)", Known: mc},
		{ID: "chassis 2.23", Name: "wheelie limit of a sheet", Unit: "g", Got: figure(trike, "chassis.wheelie_limit", short...), Want: 0.73333, Tol: 1e-5, Source: cossalter, Known: mc},
		{ID: "chassis 2.24", Name: "stoppie limit of a sheet", Unit: "g", Got: figure(trike, StoppieLimit, short...), Want: 1.13333, Tol: 1e-5, Source: cossalter, Known: mc},
		{ID: "chassis 3.01", Name: "trail of a sheet", Unit: "mm", Got: figure(trike, "chassis.trail", "loaded_radius: 280 mm", "loaded_radius: 345 mm", "rake: 25 deg, fork_offset: 50 mm", "rake: 27 deg, fork_offset: 55 mm"), Want: 114.06, Tol: 0.01, Source: "Cossalter, Motorcycle Dynamics, ch. 1", Known: mc},
		{ID: "chassis 5.01", Name: "80/100-21 of a sheet", Unit: "mm", Got: figure(bike, "tyres.front.diameter"), Want: 693.4, Tol: 0.1, Source: "ETRTO and UN R75 design rule", Known: sc},
		{ID: "chassis 5.03", Name: "AT25x8-12 of a sheet", Unit: "mm", Got: figure(trike, "tyres.front.diameter", `"24x8-10"`, `"AT25x8-12"`), Want: 635.0, Tol: 0.1, Source: "ATV size in inches", Known: c},
		{ID: "chassis 8.10", Name: "lever travel by the swelling of 0.90 m of rubber hose, of a sheet", Unit: "mm", Got: figure(trike, "brakes.front.hose_swell", "kind: braided, length: 1000 mm", "kind: rubber, length: 900 mm", "lever_ratio: 5", "lever_ratio: 6"), Want: 92.3, Tol: 0.1, Source: "FMVSS 106, table I", Known: mc},
		{ID: "chassis 8.10", Name: "the same of braided hose", Unit: "mm", Got: figure(trike, "brakes.front.hose_swell", "length: 1000 mm", "length: 900 mm", "lever_ratio: 5", "lever_ratio: 6"), Want: 46.2, Tol: 0.1, Source: "FMVSS 106, table I", Known: mc},
		{ID: "chassis 9.01", Name: "road speed of a sheet", Unit: "km/h", Got: figure(trike, "driveline.speed.2", "redline: 6000 rpm", "redline: 8000 rpm", "front: 12, rear: 36", "front: 13, rear: 40", `"22x11-9", loaded_radius: 250 mm`, `"20x11-9"`, "wheels:\n", "wheels:\n    loaded_radius_share: 0.95\n"), Want: 78.84, Tol: 0.01, Source: "kinematics", Known: c},
		{ID: "chassis 9.02", Name: "chain of a sheet, 13 and 40 teeth at 560 mm", Unit: "1", Got: figure(trike, "driveline.chain_pitches", "front: 12, rear: 36", "front: 13, rear: 40", "shortest: 480 mm, longest: 520 mm", "shortest: 540 mm, longest: 580 mm"), Want: 97.5753, Tol: 1e-4, Source: "tangents and arcs on the pitch circles", Known: c},
		{ID: "chassis 9.03", Name: "centres of a sheet's chain of 98 pitches", Unit: "mm", Got: figure(trike, "driveline.chain_centres", "front: 12, rear: 36", "front: 13, rear: 40", "pitches: 86", "pitches: 98", "shortest: 480 mm, longest: 520 mm", "shortest: 540 mm, longest: 580 mm"), Want: 563.401, Tol: 0.01, Source: "ANSI B29.1, length in pitches solved for the centres", Known: sc},
		{ID: "chassis 9.12", Name: "clutch of a sheet, uniform wear", Unit: "Nm", Got: figure(trike, "driveline.clutch_capacity", "outer_diameter: 120 mm, inner_diameter: 100 mm, spring_force_total: 1000 N", "outer_diameter: 120 mm, inner_diameter: 90 mm, spring_force_total: 1500 N"), Want: 113.40, Tol: 0.01, Source: "Shigley, Mechanical Engineering Design, ch. 16", Known: c},
		{ID: "chassis 10.04", Name: "axle of 30 mm with a bore of 18, over a solid one: bending strength", Unit: "1", Got: figure(trike, "axle.section_strength", "bore: 10 mm", "bore: 18 mm") / figure(trike, "axle.section_strength", "bore: 10 mm", "bore: 0 mm"), Want: 0.8704, Tol: 1e-4, Source: "bending of a round bar", Known: c},
		{ID: "chassis 10.04", Name: "the same: mass", Unit: "1", Got: figure(trike, "axle.bar_mass", "bore: 10 mm", "bore: 18 mm") / figure(trike, "axle.bar_mass", "bore: 10 mm", "bore: 0 mm"), Want: 0.640, Tol: 1e-4, Source: "bending of a round bar", Known: c},
	} {
		k.Run(t)
	}
	in := &ranges.Inputs{Build: byhand.Build(t, trike, "as-found", append([]string{"effective_radius: 90 mm, calliper: {type: floating, pistons: 1, diameter: 30 mm}, master: 12.7 mm, lever_ratio: 5", "effective_radius: 105 mm, calliper: {type: floating, pistons: 2, diameter: 27 mm}, master: 12.7 mm, lever_ratio: 6",
		"loaded_radius: 280 mm", "loaded_radius: 300 mm"}, at...)...)}
	force, err := FrontWheel.BrakeForce(in, 120, "")
	if err != nil {
		t.Fatal(err)
	}
	outside.Check{ID: "chassis 8.04", Name: "120 N at a sheet's lever, at the ground", Unit: "N", Got: force, Want: 1822.4, Tol: 0.1, Source: "Pascal; two pads, F on each", Known: c}.Run(t)
	outside.Check{ID: "chassis 8.04", Name: "the same over the weight of 205 kg", Unit: "g", Got: force / (Laden(in).Mass * chassis.Gravity), Want: 0.9065, Tol: 1e-4, Source: "Pascal; two pads, F on each", Known: c}.Run(t)
}
