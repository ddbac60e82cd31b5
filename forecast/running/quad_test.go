package running

import (
	"testing"

	"shakedown/internal/byhand"
)

// quad is a four-wheeler of round numbers: with rider, kit and 8 l of fuel 250 kg, 527.2 mm ahead of the rear axle and
// 558.8 mm above ground:
//
//	dry 150 kg at 0.50 x 1200 = 600 and 400 mm, fuel 6 kg at 700 and 750, rider 94 kg as weighed at 400 and 800
//	(150 x 600 + 6 x 700 + 94 x 400)/250 = 131800/250 = 527.2; (150 x 400 + 6 x 750 + 94 x 800)/250 = 139700/250 =
//	558.8
//
// On the front wheels stand 250 x 527.2/1200 = 109.83333 kg, on the rear ones 140.16667; without the rider 156 x
// 603.8462/1200 = 78.5 and 77.5 kg.
const quad = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
rider: {mass: 84 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 150 mm, cg: {x: 400 mm, z: 800 mm}}
track: {peak_grip: 0.8}
machine:
  layout: quad
  mass: {dry: 150 kg, front_share: 0.50, cg_height: 400 mm}
  tank: {capacity: 8 l, x: 700 mm, z: 750 mm}
  geometry: {wheelbase: 1200 mm, track_front: 900 mm, track_rear: 800 mm, rake: 10 deg, fork_offset: 0 mm, ground_clearance: 240 mm, lowest_x: 500 mm, seat: {x: 200 mm, z: 750 mm}, peg: {x: 500 mm, z: 330 mm}, bar: {x: 800 mm, z: 950 mm}}
  engine: {cycle: two-stroke, cylinders: 1, bore: 70 mm, stroke: 64 mm, redline: 7500 rpm, fuel: {density: 750 kg/m3}}
  driveline:
    primary: 3
    gears: [2.5, 1]
    sprockets: {front: 12, rear: 36}
    chain: {size: "520", pitches: 86}
    sprocket_centres: {shortest: 480 mm, longest: 520 mm}
    clutch: {friction_faces: 14, friction: 0.1, outer_diameter: 130 mm, inner_diameter: 90 mm, spring_force_total: 1200 N}
  wheels:
    loaded_radius_share: 0.95
    front: {tyre: "21x7-10", clearance: 18 mm, tyre_rate: 60 N/mm}
    rear: {tyre: "20x10-9", clearance: 12 mm, tyre_rate: 120 N/mm}
    axle: {diameter: 32 mm, bore: 0 mm, yield: 500 MPa, bearing_spacing: 200 mm, weakest: {kind: spline, diameter: 28 mm, from_centre: 150 mm}}
  suspension:
    front: {kind: A-arms, legs: 2, travel: 200 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 200 mm, ratio: 1.6}], spring_rate: 25 N/mm, preload: 10 mm, spring_free: 260 mm, spring_solid: 120 mm, shock_stroke: 115 mm, shaft: 12 mm, gas_pressure: 10 bar}
    rear: {kind: single shock, travel: 200 mm, leverage: [{travel: 0 mm, ratio: 2.5}, {travel: 100 mm, ratio: 2.5}, {travel: 200 mm, ratio: 2}], spring_rate: 90 N/mm, preload: 10 mm, spring_free: 230 mm, spring_solid: 120 mm, shock_stroke: 90 mm, shaft: 14 mm, gas_pressure: 0 bar}
    unsprung: {front: 30 kg, rear: 35 kg}
  brakes:
    front: {kind: disc, count: 2, effective_radius: 80 mm, calliper: {type: fixed, pistons: 2, diameter: 25 mm}, master: 14 mm, lever_ratio: 6, pad_friction: 0.4, disc_mass: 1 kg, hose: {kind: braided, length: 1200 mm}}
    rear: {kind: disc, effective_radius: 85 mm, calliper: {type: floating, pistons: 1, diameter: 32 mm}, master: 12.7 mm, lever_ratio: 5, pad_friction: 0.4}
builds: {as-found: []}
`

var quadByHand = []byHand{
	{"driveline.overall_top", 9, "3 x 1 x 36/12"},
	{"driveline.chain_pitches", 87.45593, "as the three-wheeler's"},
	{"driveline.chain_centres", 488.3556, "as the three-wheeler's"},
	{"driveline.adjuster_left", 31.64445, "520 - 488.3556"},
	{"driveline.chain_wrap", 165.7898, "as the three-wheeler's"},
	{"driveline.rear_sprocket_clearance", 142.2899, "241.3 - 91.07260 - 15.875/2"},
	{"driveline.clutch_capacity", 92.4, "14 x 0.1 x 1200 x (65 + 45)/2 mm"},
	{"driveline.speed.1", 30.32265, "75.80663/2.5"},
	{"driveline.speed.2", 75.80663, "250 pi/9 x 0.2413 m x 3.6, the radius 0.95 x 508/2"},

	{"chassis.mass", 250, "150 + 6 + 84 + 10"},
	{"chassis.cg_x", 527.2, "131800/250"},
	{"chassis.cg_z", 558.8, "139700/250"},
	{"chassis.tip_lateral", 0.7551300, "(800 + 100 x 527.2/1200)/2 = 421.9667; /558.8"},
	{"chassis.tip_lateral_hung", 0.8560606, "(421.9667 + 94 x 150/250)/558.8"},
	{"chassis.tip_lateral_braking", 0.7676300, "(800 + 100 (527.2 + 0.3 x 558.8)/1200)/2/558.8"},
	{"chassis.tip_lateral_swaying", 0.7298726, "rear 120 x 0.8^2/2 = 38.4 kNm; front tyres 60 x 0.9^2/2 = 24.3, arms 14.12446/2 x 0.9^2/2 = 2.860203, one on the other 2.558999: 0.7551300 (1 - 250 g x 0.5588/40959.00)"},
	{"chassis.wheelie_limit", 0.9434503, "527.2/558.8"},
	{"chassis.stoppie_limit", 1.204009, "672.8/558.8"},
	{"chassis.clearance_at_sag", 199.8304, "behind 46.62033, in front 31.13864: 240 - 46.62033 + 15.48169 x 500/1200"},
	{"chassis.clearance_at_bump", 40, "240 - 200 at both ends"},
	{"chassis.break_over", 36.84074, "2 atan(2 x 199.8304/1200)"},
	{"rider.knee_angle", 76.24932, "hip 750 + 90, peg 300 ahead and 510 below: 591.6925; as the three-wheeler's"},
	{"rider.reach", 0.3333333, "(800 - 200)/1800"},
	{"chassis.rake", 10, "as measured"},
	{"chassis.trail", 44.67509, "253.365 tan 10, the radius 0.95 x 533.4/2"},

	{"suspension.front.wheel_rate", 14.12446, "ratio 2 - 0.002 s = 1.937723; stroke 500 ln(2/1.937723) = 15.81687; 2 x 25/1.937723^2 + 2 (25 x 25.81687 + 113.0973) x 0.002/1.937723^2"},
	{"suspension.front.rider_sag", 31.13864, "79.83333 g = 782.8976 N = 2 (25 (15.81687 + 10) + 1 x pi/4 x 12^2)/1.937723"},
	{"suspension.front.free_sag", 8.635915, "the same with 48.5 g = 475.6225 N; 363.0973 hold it up extended"},
	{"suspension.front.frequency", 2.116966, "root(14124.46/79.83333)/(2 pi)"},
	{"suspension.front.rate_for_sag", 15.21400, "at 60 mm 782.8976 x 1.88/2 - 113.0973 = 622.8264 N on a stroke of 30.93770; /(30.93770 + 10): more than 13 mm is left, less than 37"},
	{"suspension.front.preload_for_sag", 10, "what there is"},
	{"suspension.front.stroke_needed", 111.5718, "500 ln(2/1.6)"},
	{"suspension.front.spring_left", 15, "260 - 120 - 10 - 115"},
	{"suspension.rear.wheel_rate", 14.4, "90/2.5^2"},
	{"suspension.rear.rider_sag", 46.62033, "105.16667 g = 1031.333 N; 90 (s/2.5 + 10)/2.5 = 14.4 s + 360"},
	{"suspension.rear.free_sag", 3.943238, "the same with 42.5 g = 416.7826 N"},
	{"suspension.rear.frequency", 1.862354, "root(14400/105.16667)/(2 pi)"},
	{"suspension.rear.rate_for_sag", 81.72208, "2578.332/(24 + 10) = 75.83329 would leave less than 13 mm, which is a tenth of 5 to 20 % above 5: 75.83329 x 15.2 > 1041.957; (2578.332 - 1041.957)/(24 - 5.2)"},
	{"suspension.rear.preload_for_sag", 7.55, "1041.957/81.72208 - 5.2"},
	{"suspension.rear.stroke_needed", 84.62871, "100/2.5 + 200 ln(2.5/2)"},
	{"suspension.rear.spring_left", 10, "230 - 120 - 10 - 90"},

	{"brakes.front.lever_force", 76.09277, "0.3 x 250 g x 0.253365/(two discs x 2 x 0.4 x 0.08 x 6 (25/14)^2, one piston on each pad)"},
	{"brakes.rear.lever_force", 82.21817, "0.3 x 250 g x 0.2413/(2 x 0.4 x 0.085 x 5 (32/12.7)^2)"},
	{"brakes.front.stop_rise", 48.91210, "21.05740 m/s; share (527.2 + 0.8 x 558.8)/1200 = 0.8118667; x 125 x 21.05740^2/(two discs of 1 kg x 460)"},
	{"brakes.front.hose_swell", 50.63905, "0.33 cm3/0.3048 m x 1.2 m /(pi/4 x 14^2) x 6"},

	{"axle.section_strength", 1077.566, "500 x pi/32 x 28^3"},
	{"axle.bar_mass", 5.050676, "pi/4 x 32^2 x 800 mm3 x 7850 kg/m3"},
	{"axle.yield_load", 4310.265, "the spline 1077.566/(0.4 - 0.15) m; at the bearing 500 x pi/32 x 32^3/0.3 = 5362"},

	{"tyres.front.diameter", 533.4, "21 in"},
	{"tyres.rear.diameter", 508, "20 in"},
	{"tyres.front.rim_narrowest", 5, "0.72 x 7 = 5.04"},
	{"tyres.front.rim_widest", 5.5, "0.81 x 7 = 5.67"},
	{"tyres.rear.rim_narrowest", 7, "0.72 x 10 = 7.2"},
	{"tyres.rear.rim_widest", 8, "0.81 x 10 = 8.1"},
	{"tyres.front.clearance_left", 18, "the tyre that it was measured with"},
	{"tyres.rear.clearance_left", 12, "the tyre that it was measured with"},
	{"tyres.front.give", 0.06425060, "8.975809/139.7"},
	{"tyres.rear.give", 0.04099754, "5.727356/139.7"},
	{"tyres.front.squash", 8.975809, "109.83333/2 g/60"},
	{"tyres.rear.squash", 5.727356, "140.16667/2 g/120"},
	{"chassis.width_over_tyres", 1077.8, "in front 900 + 177.8; behind 800 + 254"},
}

func TestQuadByHand(t *testing.T) {
	b := byhand.Build(t, quad, "as-found")
	holdsTo(t, "quad", b, quadByHand)
	hasNot(t, "quad", b, "chassis.lean_at_half_g", "suspension.front.air_pressure", "suspension.front.bend_load", "driveline.clutch_torque", "driveline.chain_slack", "driveline.front_sprocket_room",
		"chassis.pitch_index", "chassis.yaw_index", "tyres.front.load_share", "tyres.rear.load_share")
}

// What is otherwise of the same quad.
func TestQuadOtherwise(t *testing.T) {
	for _, c := range []struct {
		name    string
		changes []string
		rows    []byHand
	}{
		{"narrow in front", []string{"track_front: 900 mm", "track_front: 700 mm"}, []byHand{
			{"chassis.tip_lateral", 0.6765092, "(800 - 100 x 527.2/1200)/2 = 378.0333; /558.8"}, {"chassis.tip_lateral_braking", 0.6640092, "0.3 g takes 100 x 0.3/1200/2 = 0.0125"}, {"chassis.width_over_tyres", 1054, "behind 800 + 254"},
		}},
		{"one shock for both arms", []string{"legs: 2", "legs: 1"}, []byHand{{"suspension.front.stroke_needed", 111.5718, "as before"}, {"suspension.front.rate_for_sag", 33.19068, "at 60 mm 782.8976 x 1.88 - 113.0973 = 1358.750 N; it would leave more than 13 mm and less than 37: /40.93770 = 33.19068"}}},
		{"solid in front", []string{"front: {kind: A-arms, legs: 2, travel: 200 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 200 mm, ratio: 1.6}], spring_rate: 25 N/mm, preload: 10 mm, spring_free: 260 mm, spring_solid: 120 mm, shock_stroke: 115 mm, shaft: 12 mm, gas_pressure: 10 bar}", "front: {kind: solid}"}, []byHand{
			{"chassis.tip_lateral_swaying", 0.7386304, "the tyres alone: 38.4 + 24.3 kNm: 0.7551300 (1 - 1369.989/62700)"},
		}},
		{"spline inside", []string{"from_centre: 150 mm", "from_centre: 50 mm"}, []byHand{{"axle.yield_load", 4789.183, "1077.566/(0.3 x (50 + 100)/200): one wheel's moment falls to nothing at the far bearing"}}},
		{"floating with two", []string{"type: fixed", "type: floating"}, []byHand{{"brakes.front.lever_force", 38.04638, "both pistons press each pad: half"}}},
		{"one disc", []string{"kind: disc, count: 2", "kind: disc, count: 1"}, []byHand{{"brakes.front.lever_force", 152.1855, "twice"}, {"brakes.front.stop_rise", 97.82419, "twice"}}},
		{"drums", []string{"kind: disc, count: 2, effective_radius: 80 mm, calliper: {type: fixed, pistons: 2, diameter: 25 mm}, master: 14 mm, lever_ratio: 6, pad_friction: 0.4, disc_mass: 1 kg", "kind: drum, count: 2, diameter: 150 mm, shoe_factor: 2, lever_ratio: 10, master: 14 mm"}, []byHand{
			{"brakes.front.lever_force", 124.2331, "0.3 x 250 g x 0.253365/(10 x 2 x 0.075): however many share the lever"},
		}},
	} {
		holdsTo(t, c.name, byhand.Build(t, quad, "as-found", c.changes...), c.rows)
	}
}
