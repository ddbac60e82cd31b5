package running

import (
	"testing"

	"shakedown/internal/byhand"
)

// bike is a bike of round numbers: with rider, kit and 8 l of fuel 200 kg, 579.6 mm ahead of the rear axle and 808.3 mm
// above ground:
//
//	dry 110 kg at 0.45 x 1400 = 630 and 550 mm, fuel 6 kg at 770 and 900, rider 84 kg at 400 + 100 = 500 and 880 + 260
//	= 1140
//	(110 x 630 + 6 x 770 + 84 x 500)/200 = 115920/200 = 579.6; (110 x 550 + 6 x 900 + 84 x 1140)/200 = 161660/200 =
//	808.3
//
// On the front wheel stand 200 x 579.6/1400 = 82.8 kg, on the rear one 117.2; without the rider 116 x 637.2414/1400 =
// 52.8 and 63.2 kg.
const bike = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
rider: {mass: 74 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 150 mm, seat_to_cg: {x: 100 mm, z: 260 mm}}
track: {peak_grip: 0.6}
machine:
  layout: bike
  mass: {dry: 110 kg, front_share: 0.45, cg_height: 550 mm}
  tank: {capacity: 8 l, x: 770 mm, z: 900 mm}
  geometry: {wheelbase: 1400 mm, rake: 28 deg, fork_offset: 60 mm, ground_clearance: 300 mm, lowest_x: 700 mm, seat: {x: 400 mm, z: 880 mm}, peg: {x: 520 mm, z: 340 mm}, bar: {x: 860 mm, z: 1100 mm}}
  engine: {cycle: four-stroke, cylinders: 2, bore: 60 mm, stroke: 50 mm, redline: 9000 rpm, fuel: {density: 750 kg/m3}}
  driveline:
    primary: 3
    gears: [2.5, 1]
    sprockets: {front: 14, rear: 14}
    chain: {size: "428", pitches: 108}
    sprocket_centres: {shortest: 590 mm, longest: 610 mm}
    clutch: {friction_faces: 10, friction: 0.1, outer_diameter: 110 mm, inner_diameter: 90 mm, spring_force_total: 1000 N}
  wheels:
    loaded_radius_share: 0.95
    front: {tyre: "80/100-21", clearance: 25 mm}
    rear: {tyre: "100/100-18", clearance: 20 mm}
  suspension:
    front: {kind: telescopic fork, legs: 2, travel: 250 mm, tube_outer: 38 mm, tube_bore: 32 mm, spring_rate: 3.5 N/mm, preload: 25 mm, spring_free: 550 mm, spring_solid: 250 mm, oil_air_gap: 180 mm}
    rear: {kind: twin shocks, travel: 220 mm, leverage: [{travel: 0 mm, ratio: 2.2}], spring_rate: 18 N/mm, preload: 12 mm, spring_free: 270 mm, spring_solid: 140 mm, shock_stroke: 102 mm, shaft: 12 mm, gas_pressure: 5 bar}
    unsprung: {front: 15 kg, rear: 18 kg}
  brakes:
    front: {kind: drum, diameter: 130 mm, shoe_factor: 2, lever_ratio: 20}
    rear: {kind: disc, effective_radius: 100 mm, calliper: {type: floating, pistons: 1, diameter: 28 mm}, master: 12.7 mm, lever_ratio: 6, pad_friction: 0.4}
builds: {as-found: []}
`

var bikeByHand = []byHand{
	{"driveline.overall_top", 3, "3 x 1 x 14/14"},
	{"driveline.chain_pitches", 108.4882, "two runs of 600/12.7 and 14 round the sprockets"},
	{"driveline.chain_centres", 596.9, "(108 - 14)/2 x 12.7"},
	{"driveline.adjuster_left", 13.1, "610 - 596.9"},
	{"driveline.chain_wrap", 180, "sprockets alike"},
	{"driveline.rear_sprocket_clearance", 277.2834, "0.95 x 328.6 - 12.7/2/sin(pi/14) - 12.7/2"},
	{"driveline.clutch_capacity", 50, "10 x 0.1 x 1000 x (55 + 45)/2 mm"},
	{"driveline.clutch_torque", 67.5, "10 bar x 2 x pi/4 x 0.06^2 x 0.05/(4 pi) x 3 = 1e6 x 0.00036/16 x 3"},
	{"driveline.speed.1", 141.2224, "353.0560/2.5"},
	{"driveline.speed.2", 353.0560, "300 pi/3 x 0.31217 m x 3.6, the radius 0.95 x 657.2/2"},

	{"chassis.mass", 200, "110 + 6 + 74 + 10"},
	{"chassis.cg_x", 579.6, "115920/200"},
	{"chassis.cg_z", 808.3, "161660/200"},
	{"chassis.lean_at_half_g", 28.25483, "26.56505 + asin(50 sin 26.56505/758.3), half of a tyre of 100 mm"},
	{"chassis.wheelie_limit", 0.7170605, "579.6/808.3"},
	{"chassis.stoppie_limit", 1.014970, "820.4/808.3"},
	{"chassis.clearance_at_sag", 228.3100, "down in front 51.98638 cos 28 = 45.90125, behind 97.47870: half of both"},
	{"chassis.clearance_at_bump", 79.63155, "300 - (250 cos 28 + 220)/2"},
	{"chassis.break_over", 36.12822, "2 atan(2 x 228.3100/1400)"},
	{"rider.knee_angle", 84.12038, "hip 880 + 90, peg 120 ahead and 630 below: 641.3267; as the three-wheeler's"},
	{"rider.reach", 0.2555556, "(860 - 400)/1800"},
	{"chassis.rake", 28, "as measured"},
	{"tyres.front.give", 0.2166875, "346.7 x 0.05/80"},
	{"tyres.rear.give", 0.1643, "328.6 x 0.05/100"},
	{"chassis.trail", 107.1723, "(329.365 sin 28 - 60)/cos 28, the radius 0.95 x 693.4/2"},

	{"suspension.front.wheel_rate", 10.38704, "2 (3.5 + 0.5488513)/cos^2 28, the air's as the three-wheeler's"},
	{"suspension.front.rider_sag", 51.98638, "67.8 g cos 28 = 587.0638 N = 7 (s + 25) = 538.9047 + air 48.15914, V = pi/4 (32^2 180 + 38^2 250)"},
	{"suspension.front.free_sag", 19.45137, "the same with 37.8 g"},
	{"suspension.front.frequency", 1.969932, "root(10387.04/67.8)/(2 pi)"},
	{"suspension.front.rate_for_sag", 2.862569, "middle of 20 to 33 %: at 66.25 mm 293.5319 - 32.32246 = 261.2095 N for one spring, /(66.25 + 25): free sag between 15 and 35 mm"},
	{"suspension.front.preload_for_sag", 25, "what there is"},
	{"suspension.front.spring_left", 25, "550 - 250 - 25 - 250"},
	{"suspension.front.air_pressure", 3.096403, "1 bar ((545320/184320)^1.3 - 1)"},
	{"suspension.rear.wheel_rate", 7.438017, "2 x 18/2.2^2"},
	{"suspension.rear.rider_sag", 97.47870, "99.2 g = 972.8197 N; x 2.2/2 - 0.5 x pi/4 x 12^2 = 1013.553; /18 - 12, x 2.2"},
	{"suspension.rear.free_sag", 26.28242, "the same with 45.2 g: 431.0380/18 - 12, x 2.2"},
	{"suspension.rear.frequency", 1.378139, "root(7438.017/99.2)/(2 pi)"},
	{"suspension.rear.rate_for_sag", 23.30007, "middle of 28 to 35 %: 1013.553/(69.3/2.2 + 12): free sag between 13.2 and 30.8 mm"},
	{"suspension.rear.preload_for_sag", 12, "what there is"},
	{"suspension.rear.stroke_needed", 100, "220/2.2"},
	{"suspension.rear.spring_left", 16, "270 - 140 - 12 - 102"},

	{"brakes.front.lever_force", 74.53771, "0.3 x 200 g x 0.329365/(20 x 2 x 0.065)"},
	{"brakes.rear.lever_force", 78.72510, "0.3 x 200 g x 0.31217/(2 x 0.4 x 0.1 x 6 (28/12.7)^2)"},

	{"tyres.front.diameter", 693.4, "533.4 + 2 x 80"},
	{"tyres.rear.diameter", 657.2, "457.2 + 2 x 100"},
	{"tyres.front.rim_narrowest", 1.5, "0.45 x 3.150 = 1.42, to the quarter inch"},
	{"tyres.front.rim_widest", 2, "0.60 x 3.150 = 1.89"},
	{"tyres.rear.rim_narrowest", 1.75, "0.45 x 3.937 = 1.77"},
	{"tyres.rear.rim_widest", 2.25, "0.60 x 3.937 = 2.36"},
	{"tyres.front.clearance_left", 25, "the tyre that it was measured with"},
	{"tyres.rear.clearance_left", 20, "the tyre that it was measured with"},
}

func TestBikeByHand(t *testing.T) {
	b := byhand.Build(t, bike, "as-found")
	holdsTo(t, "bike", b, bikeByHand)
	hasNot(t, "bike", b, "chassis.tip_lateral", "chassis.tip_lateral_hung", "chassis.tip_lateral_braking", "chassis.tip_lateral_swaying", "chassis.width_over_tyres",
		"axle.section_strength", "axle.bar_mass", "axle.yield_load", "brakes.front.stop_rise", "brakes.front.hose_swell", "tyres.front.squash", "tyres.rear.squash", "suspension.front.stroke_needed")
}

// What is otherwise of the same bike.
func TestBikeOtherwise(t *testing.T) {
	for _, c := range []struct {
		name    string
		changes []string
		rows    []byHand
	}{
		{"single shock", []string{"twin shocks", "single shock"}, []byHand{{"suspension.rear.wheel_rate", 3.719008, "18/2.2^2"}, {"suspension.rear.rate_for_sag", 47.90011, "972.8197 x 2.2 - 0.5 x pi/4 x 12^2 = 2083.655; /(69.3/2.2 + 12)"}}},
		{"two fork springs of one leg", []string{"legs: 2", "legs: 1"}, []byHand{{"suspension.front.air_pressure", 3.096403, "each leg has its own"}}},
		{"old tyre sizes", []string{"80/100-21", "3.00-21", "100/100-18", "5.10-18"}, []byHand{
			{"tyres.front.diameter", 685.8, "(21 + 2 x 3) in"}, {"tyres.rear.diameter", 677.418, "18 in + 2 x 0.85 x 5.1 in"}, {"chassis.lean_at_half_g", 28.79771, "26.56505 + asin(64.77 sin 26.56505/743.53)"},
		}},
	} {
		holdsTo(t, c.name, byhand.Build(t, bike, "as-found", c.changes...), c.rows)
	}
}
