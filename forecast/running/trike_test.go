package running

import (
	"strings"
	"testing"

	"shakedown/internal/byhand"
)

// trike is a three-wheeler of round numbers: with rider, kit and 8 l of fuel 200 kg, 398.5 mm ahead of the rear axle
// and 627 mm above ground:
//
//	dry 120 kg at 0.40 x 1200 = 480 and 450 mm, fuel 8 x 0.750 = 6 kg at 600 and 800, rider 74 kg at 150 + 100 = 250
//	and 700 + 200 = 900
//	(120 x 480 + 6 x 600 + 74 x 250)/200 = 79700/200 = 398.5; (120 x 450 + 6 x 800 + 74 x 900)/200 = 125400/200 = 627
//
// On the front wheel stand 200 x 398.5/1200 = 66.41667 kg, on the rear ones 133.58333; without the rider 126 x
// 485.7143/1200 = 51 and 75 kg.
const trike = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
rider: {mass: 64 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, seat_to_cg: {x: 100 mm, z: 200 mm}}
track: {peak_grip: 0.6}
machine:
  layout: three-wheeler
  mass: {dry: 120 kg, front_share: 0.40, cg_height: 450 mm, pitch_inertia: 20 kg.m2, yaw_inertia: 24 kg.m2}
  tank: {capacity: 8 l, x: 600 mm, z: 800 mm}
  geometry: {wheelbase: 1200 mm, track_rear: 800 mm, rake: 25 deg, fork_offset: 50 mm, ground_clearance: 250 mm, lowest_x: 600 mm, pivot: {x: 400 mm, z: 350 mm}, sprocket: {x: 460 mm, z: 355 mm}, seat: {x: 150 mm, z: 700 mm}, peg: {x: 450 mm, z: 330 mm}, bar: {x: 750 mm, z: 950 mm}}
  engine: {cycle: four-stroke, cylinders: 1, bore: 80 mm, stroke: 60 mm, redline: 6000 rpm, fuel: {density: 750 kg/m3}}
  driveline:
    primary: 3
    gears: [2, 1]
    sprockets: {front: 12, rear: 36, front_room: 50 mm, rear_room: 130 mm}
    chain: {size: "520", pitches: 86}
    sprocket_centres: {shortest: 480 mm, longest: 520 mm}
    clutch: {friction_faces: 12, friction: 0.12, outer_diameter: 120 mm, inner_diameter: 100 mm, spring_force_total: 1000 N}
  wheels:
    front: {tyre: "24x8-10", loaded_radius: 280 mm, load_index: 40, tyre_rate: 80 N/mm, clearance: 20 mm}
    rear: {tyre: "22x11-9", loaded_radius: 250 mm, load_index: 40, tyre_rate: 100 N/mm, clearance: 15 mm}
    axle: {diameter: 30 mm, bore: 10 mm, yield: 600 MPa, bearing_spacing: 200 mm}
  suspension:
    front: {kind: telescopic fork, legs: 2, travel: 200 mm, tube_outer: 40 mm, tube_bore: 30 mm, spring_rate: 4 N/mm, preload: 20 mm, spring_free: 500 mm, spring_solid: 250 mm, oil_air_gap: 150 mm, tube_yield: 400 MPa, axle_to_clamp: 700 mm}
    rear: {kind: single shock, travel: 160 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 160 mm, ratio: 2}], spring_rate: 60 N/mm, preload: 10 mm, spring_free: 220 mm, spring_solid: 110 mm, shock_stroke: 85 mm, shaft: 14 mm, gas_pressure: 0 bar}
    unsprung: {front: 15 kg, rear: 30 kg}
  brakes:
    front: {kind: disc, fluid: DOT 4, count: 1, effective_radius: 90 mm, calliper: {type: floating, pistons: 1, diameter: 30 mm}, master: 12.7 mm, lever_ratio: 5, pad_friction: 0.4, disc_mass: 1.5 kg, hose: {kind: braided, length: 1000 mm}}
    rear: {kind: drum, diameter: 140 mm, shoe_factor: 2, lever_ratio: 8}
  fits:
    - {what: tyre to pipe, end: rear, gap: 30 mm, at: 0 mm, second_gap: 15 mm, second_at: 100 mm}
    - {what: hose to fork, end: front, gap: 12 mm}
    - {what: bar to tank, end: steering, gap: 9 mm}
builds: {as-found: []}
`

var trikeByHand = []byHand{
	{"driveline.overall_top", 9, "3 x 1 x 36/12"},
	{"driveline.chain_pitches", 87.45593, "radii 15.875/2/sin(pi/12) = 30.66815 and /sin(pi/36) = 91.07260, centres 500: asin(60.40445/500) = 0.1211043; 2 x 500 cos/15.875 + (12 + 36)/2 + 24 x 0.1211043/pi"},
	{"driveline.chain_centres", 488.3556, "the same for 86 pitches"},
	{"driveline.adjuster_left", 31.64445, "520 - 488.3556"},
	{"driveline.chain_wrap", 165.7898, "180 - 2 asin(60.40445/488.3556)"},
	{"driveline.chain_slack", 20.24443, "arm root(400^2 + (350 - 279.4)^2) = 406.1827; in line root(60^2 + 5^2) + arm = 466.3906, hanging root(460^2 + 75.6^2) = 466.1710, 0.2196854 more; 2 root((233.0855 + 0.2196854)^2 - 233.0855^2)"},
	{"driveline.chain_over_pivot", 25.75126, "hanging: the line of centres rises by atan(75.6/460) = 9.333005 deg, the run by asin(60.40445/466.1710) = 7.445078 less: 5 cos 1.887927 - 60 sin 1.887927 + 30.66815 - 15.875/2"},
	{"driveline.rear_sprocket_clearance", 150.9899, "250 - 91.07260 - 15.875/2"},
	{"driveline.front_sprocket_room", 11.39436, "50 - 30.66815 - 15.875/2"},
	{"driveline.rear_sprocket_room", 30.98990, "130 - 91.07260 - 15.875/2"},
	{"driveline.clutch_capacity", 79.2, "12 x 0.12 x 1000 x (60 + 50)/2 mm"},
	{"driveline.clutch_torque", 72, "10 bar x pi/4 x 0.08^2 x 0.06 /(4 pi) x 3 = 1e6 x 0.000384/16 x 3"},
	{"driveline.speed.1", 31.41593, "200 pi/(3 x 2 x 3) x 0.25 m x 3.6"},
	{"driveline.speed.2", 62.83185, "twice that"},

	{"chassis.mass", 200, "120 + 6 + 64 + 10"},
	{"chassis.cg_x", 398.5, "79700/200"},
	{"chassis.cg_z", 627, "125400/200"},
	{"chassis.tip_lateral", 0.4261031, "400 (1 - 398.5/1200) = 267.1667; /627"},
	{"chassis.tip_lateral_hung", 0.5441255, "(267.1667 + 74 x 200/200)/627"},
	{"chassis.tip_lateral_braking", 0.3261031, "400 (1 - (398.5 + 0.3 x 627)/1200)/627"},
	{"chassis.tip_lateral_swaying", 0.4097281, "K = 100 x 0.8^2/2 = 32 kNm; 0.4261031 (1 - 200 g x 0.627/32000)"},
	{"chassis.wheelie_limit", 0.6355662, "398.5/627"},
	{"chassis.stoppie_limit", 1.278309, "801.5/627"},
	{"chassis.clearance_at_sag", 211.6965, "down in front 31.87280 cos 25 = 28.88656, behind 47.72037: the mean at 600 of 1200: 250 - 38.30347"},
	{"chassis.clearance_at_bump", 79.36922, "250 - (200 cos 25 + 160)/2"},
	{"chassis.break_over", 38.86849, "2 atan(2 x 211.6965/1200)"},
	{"rider.knee_angle", 69.82505, "hip 700 + 90, peg 300 ahead and 460 below: 549.1812; thigh 441, lower 513: acos((441^2 + 513^2 - 549.1812^2)/(2 x 441 x 513))"},
	{"rider.reach", 0.3333333, "(750 - 150)/1800"},
	{"chassis.pitch_index", 0.5029270, "20 + 120 (81.5^2 + 177^2) + 6 (201.5^2 + 173^2) + 74 (148.5^2 + 273^2) mm = 32.12675; /(200 x 0.3985 x 0.8015)"},
	{"chassis.yaw_index", 0.4175444, "24 + 120 x 81.5^2 + 6 x 201.5^2 + 74 x 148.5^2 mm = 26.67255; /(200 x 0.3985 x 0.8015)"},
	{"chassis.rake", 25, "as measured"},
	{"chassis.trail", 75.39725, "(280 sin 25 - 50)/cos 25"},

	{"suspension.front.wheel_rate", 11.57811, "air 1.3 x 0.1 x 1256.637^2 (357356.2/317303.7)^1.3/317303.7 = 0.7550960; 2 (4 + 0.7550960)/cos^2 25"},
	{"suspension.front.rider_sag", 31.87280, "51.41667 g cos 25 = 456.9833 N = 8 (s + 20) = 414.9824 + air 2 x 1256.637 x 0.1 ((V/(V - A s))^1.3 - 1) = 42.00089, V = pi/4 (30^2 150 + 40^2 200)"},
	{"suspension.front.free_sag", 17.32100, "the same with 36 g = 353.0394 N"},
	{"suspension.front.frequency", 2.388290, "root(11578.11/51.41667)/(2 pi)"},
	{"suspension.front.rate_for_sag", 3.570652, "middle of 12 to 25 %: at 37 mm one spring 222.2040 - 18.67682 = 203.5272; /(37 + 20): free sag between 7.8 and 22.2 mm"},
	{"suspension.front.preload_for_sag", 20, "what there is"},
	{"suspension.front.spring_left", 30, "500 - 250 - 20 - 200"},
	{"suspension.rear.wheel_rate", 15, "60/2^2"},
	{"suspension.rear.rider_sag", 47.72037, "103.58333 g = 1015.805 N; 60 (s/2 + 10)/2 = 15 s + 300"},
	{"suspension.rear.free_sag", 9.419950, "45 g = 441.2993 N"},
	{"suspension.rear.frequency", 1.915230, "root(15000/103.58333)/(2 pi)"},
	{"suspension.rear.rate_for_sag", 65.11574, "middle of 20 to 33 %: at 42.4 mm 2031.611/(21.2 + 10): free sag between 6.24 and 17.76 mm"},
	{"suspension.rear.preload_for_sag", 10, "what there is"},
	{"suspension.rear.stroke_needed", 80, "160/2"},
	{"suspension.rear.spring_left", 15, "220 - 110 - 10 - 85"},
	{"suspension.front.air_pressure", 3.852672, "1 bar ((455/135)^1.3 - 1)"},
	{"suspension.front.bend_load", 11615.06, "2 x 400 x pi/32 (40^4 - 30^4)/40 /(700 sin 25)"},

	{"brakes.front.lever_force", 82.01483, "0.3 x 200 g x 0.28/(2 x 0.4 x 0.09 x 5 (30/12.7)^2)"},
	{"brakes.rear.lever_force", 131.3391, "0.3 x 200 g x 0.25/(8 x 2 x 0.07)"},
	{"brakes.front.stop_rise", 28.50086, "17.45329 m/s; share (398.5 + 0.6 x 627)/1200 = 0.6455833; x 100 x 17.45329^2/(1.5 x 460)"},
	{"brakes.front.hose_swell", 42.73381, "0.33 cm3/0.3048 m x 1 m /(pi/4 x 12.7^2) x 5"},
	{"brakes.front.fluid_boils", 155, "FMVSS 116, DOT 4 with water in it"},

	{"axle.section_strength", 1570.796, "600 x pi/32 (30^4 - 10^4)/30 = 600 x 2617.994"},
	{"axle.bar_mass", 3.945840, "pi/4 (30^2 - 10^2) x 800 mm3 x 7850 kg/m3"},
	{"axle.yield_load", 5235.988, "1570.796/0.3 m"},

	{"tyres.front.diameter", 609.6, "24 in"},
	{"tyres.rear.diameter", 558.8, "22 in"},
	{"tyres.front.rim_narrowest", 6, "0.72 x 8 = 5.76, to the half inch"},
	{"tyres.front.rim_widest", 6.5, "0.81 x 8 = 6.48"},
	{"tyres.rear.rim_narrowest", 8, "0.72 x 11 = 7.92"},
	{"tyres.rear.rim_widest", 9, "0.81 x 11 = 8.91"},
	{"tyres.front.clearance_left", 20, "the tyre that it was measured with"},
	{"tyres.rear.clearance_left", 15, "the tyre that it was measured with"},
	{"tyres.front.give", 0.04579057, "8.141563/177.8"},
	{"tyres.rear.give", 0.03967308, "6.550025/165.1"},
	{"tyres.front.squash", 8.141563, "66.41667 g/80"},
	{"tyres.rear.squash", 6.550025, "133.58333/2 g/100"},
	{"tyres.front.load_share", 0.4667288, "66.41667/(45 root 10)"},
	{"tyres.rear.load_share", 0.4693640, "66.79167/(45 root 10)"},
	{"chassis.width_over_tyres", 1079.4, "800 + 279.4"},
	{"fit.1", 6, "30 - 0.15 x 160"},
	{"fit.2", 12, "one reading"},
	{"fit.3", 9, "one reading"},
}

func TestTrikeByHand(t *testing.T) {
	b := byhand.Build(t, trike, "as-found")
	holdsTo(t, "three-wheeler", b, trikeByHand)
	hasNot(t, "three-wheeler", b, "chassis.lean_at_half_g", "suspension.front.stroke_needed")
}

// What is left out, or is otherwise, of the same three-wheeler.
func TestTrikeOtherwise(t *testing.T) {
	const rear = "rear: {kind: single shock, travel: 160 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 160 mm, ratio: 2}], spring_rate: 60 N/mm, preload: 10 mm, spring_free: 220 mm, spring_solid: 110 mm, shock_stroke: 85 mm, shaft: 14 mm, gas_pressure: 0 bar}"
	const front = "front: {kind: telescopic fork, legs: 2, travel: 200 mm, tube_outer: 40 mm, tube_bore: 30 mm, spring_rate: 4 N/mm, preload: 20 mm, spring_free: 500 mm, spring_solid: 250 mm, oil_air_gap: 150 mm, tube_yield: 400 MPa, axle_to_clamp: 700 mm}"
	const sprung = "suspension.%.wheel_rate suspension.%.rider_sag suspension.%.free_sag suspension.%.frequency suspension.%.rate_for_sag suspension.%.preload_for_sag suspension.%.spring_left suspension.%.stroke_needed"
	for _, c := range []struct {
		name    string
		changes []string
		rows    []byHand
		without string
	}{
		{"solid rear", []string{rear, "rear: {kind: solid}"}, []byHand{
			{"suspension.front.rider_sag", 31.87280, "as before"}, {"suspension.front.wheel_rate", 11.57811, "as before"},
			{"chassis.clearance_at_sag", 235.5567, "250 - 28.88656/2"}, {"chassis.clearance_at_bump", 159.3692, "250 - 200 cos 25/2"}, {"chassis.tip_lateral_swaying", 0.4097281, "the rear sways on its tyres alone either way"},
		}, "rear"},
		{"solid front", []string{front, "front: {kind: solid}"}, []byHand{
			{"suspension.rear.rider_sag", 47.72037, "as before"}, {"chassis.clearance_at_sag", 226.1398, "250 - 47.72037/2"}, {"chassis.clearance_at_bump", 170, "250 - 160/2"}, {"chassis.trail", 75.39725, "as before"},
		}, "front"},
		{"twin shocks", []string{"single shock", "twin shocks"}, []byHand{
			{"suspension.rear.wheel_rate", 30, "2 x 60/2^2"}, {"suspension.rear.rider_sag", 13.86018, "30 s + 600 = 1015.805"}, {"suspension.rear.rate_for_sag", 32.55787, "half of the 65.11574 of one"},
			{"suspension.rear.preload_for_sag", 10, "that of one"}, {"suspension.rear.stroke_needed", 80, "that of one"},
		}, ""},
		{"gas", []string{"gas_pressure: 0 bar", "gas_pressure: 10 bar"}, []byHand{
			{"suspension.rear.wheel_rate", 15, "the gas does not rise"}, {"suspension.rear.rider_sag", 42.58910, "1 x pi/4 x 14^2 = 153.9380 N: 15 s + 300 + 76.96902 = 1015.805"}, {"suspension.rear.free_sag", 4.288682, "the same with 441.2993"},
		}, ""},
		{"no air given", []string{"humidity: 0, pressure: 1 bar", "humidity: 0, altitude: 0 m"}, []byHand{
			{"suspension.front.air_pressure", 3.903720, "1.01325 x 3.852672, standard air at the sea"},
		}, ""},
		{"usual radius", []string{", loaded_radius: 250 mm", ""}, []byHand{
			{"driveline.speed.2", 66.70984, "0.95 x 558.8/2 = 265.43 mm in place of 250"}, {"brakes.rear.lever_force", 139.4454, "the same"}, {"chassis.trail", 75.39725, "the front's own is given"},
		}, ""},
		{"its own radius share", []string{", loaded_radius: 280 mm", "", "  wheels:", "  wheels:\n    loaded_radius_share: 0.9"}, []byHand{
			{"chassis.trail", 72.74862, "(274.32 sin 25 - 50)/cos 25, 274.32 = 0.9 x 609.6/2"},
		}, ""},
		{"rider weighed", []string{"seat_to_cg: {x: 100 mm, z: 200 mm}", "cg: {x: 350 mm, z: 950 mm}"}, []byHand{
			{"chassis.cg_x", 435.5, "(57600 + 3600 + 74 x 350)/200"}, {"chassis.cg_z", 645.5, "(54000 + 4800 + 74 x 950)/200"},
		}, ""},
		{"rubber hose", []string{"kind: braided, ", ""}, []byHand{{"brakes.front.hose_swell", 85.46763, "0.66 in place of 0.33 cm3"}}, ""},
		{"much grip", []string{"peak_grip: 0.6", "peak_grip: 1.4"}, []byHand{{"brakes.front.stop_rise", 44.14747, "(398.5 + 1.4 x 627)/1200 is more than all: 100 x 17.45329^2/690"}}, ""},
		{"weak outside", []string{"bearing_spacing: 200 mm", "bearing_spacing: 200 mm, weakest: {kind: thread, diameter: 24 mm, from_centre: 350 mm}"}, []byHand{
			{"axle.section_strength", 789.7571, "600 x pi/32 (24^4 - 10^4)/24"}, {"axle.yield_load", 5235.988, "789.7571/0.05 = 15793 is more than at the bearing"},
		}, ""},
		{"the front wraps less", []string{"front: 12, rear: 36, front_room", "front: 36, rear: 12, front_room", "rear_room: 130 mm", "rear_room: 40 mm", "front_room: 50 mm", "front_room: 100 mm"}, []byHand{
			{"driveline.chain_pitches", 87.45593, "a chain has no front"}, {"driveline.chain_wrap", 165.7898, "of the smaller one, wherever it is"}, {"driveline.overall_top", 1, "3 x 12/36"},
		}, ""},
		{"topped out", []string{"spring_rate: 60 N/mm", "spring_rate: 300 N/mm"}, []byHand{{"suspension.rear.rider_sag", 0, "300 x 10/2 = 1500 N stand against 1015.8"}}, ""},
		{"at its stop", []string{"spring_rate: 60 N/mm", "spring_rate: 10 N/mm"}, []byHand{{"suspension.rear.rider_sag", 160, "10 x 90/2 = 450 N stand against 1015.8"}}, ""},
	} {
		b := byhand.Build(t, trike, "as-found", c.changes...)
		holdsTo(t, c.name, b, c.rows)
		if c.without != "" {
			hasNot(t, c.name, b, strings.Fields(strings.ReplaceAll(sprung, "%", c.without))...)
			if c.without == "rear" {
				hasNot(t, c.name, b, "driveline.chain_over_pivot")
			}
		}
	}
}
