package track

import (
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/internal/byhand"
	"shakedown/lap"
	"shakedown/vehicle/driveline"
)

// small is a three-wheeler of round numbers: with rider, kit and 8 l of fuel 200 kg, 398.5 mm ahead of the rear axle
// and 627 mm above ground, as worked out in package running.
const small = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
rider: {mass: 64 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 200 mm, drag_area: 0.7 m2, seat_to_cg: {x: 100 mm, z: 200 mm}}
track: {peak_grip: 0.6, rolling_resistance: 0.05, slip_at_peak: 0.15, slide_share: 0.85, axle_holds: 0.5}
machine:
  layout: three-wheeler
  mass: {dry: 120 kg, front_share: 0.40, cg_height: 450 mm}
  tank: {capacity: 8 l, x: 600 mm, z: 800 mm}
  geometry: {wheelbase: 1200 mm, track_rear: 800 mm, rake: 25 deg, fork_offset: 50 mm, seat: {x: 150 mm, z: 700 mm}}
  engine: {cycle: four-stroke, cylinders: 1, bore: 80 mm, stroke: 60 mm, flywheel_inertia: 0.005 kg.m2, redline: 6000 rpm, fuel: {name: pump 95, density: 750 kg/m3}}
  driveline:
    primary: 3
    gears: [2, 1]
    efficiency: 0.9
    sprockets: {front: 12, rear: 36}
    clutch: {friction_faces: 12, friction: 0.12, outer_diameter: 120 mm, inner_diameter: 100 mm, spring_force_total: 1000 N}
  wheels:
    front: {tyre: "24x8-10", loaded_radius: 280 mm, mass: 8 kg}
    rear: {tyre: "22x11-9", loaded_radius: 250 mm, mass: 10 kg}
  suspension:
    front: {kind: telescopic fork, legs: 2, travel: 200 mm, tube_outer: 40 mm, tube_bore: 30 mm, spring_rate: 4 N/mm, preload: 20 mm, oil_air_gap: 150 mm}
    rear: {kind: single shock, travel: 160 mm, leverage: [{travel: 0 mm, ratio: 2}], spring_rate: 60 N/mm, preload: 10 mm, shaft: 14 mm, gas_pressure: 0 bar}
    unsprung: {front: 15 kg, rear: 30 kg}
  brakes:
    front: {kind: disc, count: 1, effective_radius: 90 mm, calliper: {type: floating, pistons: 1, diameter: 30 mm}, master: 12.7 mm, lever_ratio: 5, pad_friction: 0.4}
    rear: {kind: drum, diameter: 140 mm, shoe_factor: 2, lever_ratio: 8}
builds: {as-found: []}
`

// even is a curve of 20 Nm at 2000, 4000, 6000 and 6360 rpm that burns 360 g/kWh and rubs with 120 kPa.
func even() *torque.Curve {
	c := &torque.Curve{}
	for _, rpm := range []float64{2000, 4000, 6000, 6360} {
		c.Points = append(c.Points, torque.Point{Speed: rpm, Torque: 20, Power: 20 * rpm * torque.RPM / 1000, Fuel: 360, Friction: 120, Converged: true})
	}
	return c
}

// stronger is that curve with so many times the torque.
func stronger(times float64) *torque.Curve {
	c := even()
	for i := range c.Points {
		c.Points[i].Torque *= times
	}
	return c
}

// near says that numbers are as by hand, to seven digits.
func near(t *testing.T, name string, pairs map[string][2]float64) {
	t.Helper()
	for what, pair := range pairs {
		if !(math.Abs(pair[0]-pair[1]) <= 1e-6*math.Abs(pair[1])) && pair[0] != pair[1] {
			t.Errorf("%s: %s is %.9g, by hand %.9g", name, what, pair[0], pair[1])
		}
	}
}

// What of a machine decides a lap, field by field. By hand:
//
//	hung off 74 x 0.2/200 = 0.074 m; hand 200 N x 7.174300, foot 350 N x 8 x 2 x 0.07/0.25
//	springs: fork 200 cos 25 = 181.26 mm of travel at 2.388290 Hz, rear 160 at 1.915230: the lesser of both
//	landing: 3 + 2 (11578.11 (0.2 - 0.03187280)^2 cos^2 25/2 + 15000 (0.16 - 0.04772037)^2/2)/200 = 3 + 2 x
//	228.9615/200
//	first gear 3 x 2 x 3/0.25 = 72 rad/m: 20 x 72 x 0.9 = 1296 N, 200 + 0.6 (8 + 2 x 10) + 0.005 x 72^2 = 242.72 kg,
//	up to 200 pi/72 = 8.726646 m/s
//	second half of it: 648 N, 223.28 kg, 17.45329 m/s
//	shut: (120 + 40) kPa x 301.5929 cc/(4 pi) = 3.84 Nm: 3.84 x 72/0.9 = 307.2 N and 153.6 N
//	at 1 m/s first gear turns 72 of the 209.4395 rad/s from which there is a torque: 20 x 72/209.4395 = 6.875494 Nm,
//	445.5320 N
func TestLapMachineByHand(t *testing.T) {
	in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found")}
	m, err := lapMachine(in, even())
	if err != nil || len(in.Missing) > 0 || len(in.Assumed) > 0 {
		t.Fatal(err, in.Missing, in.Assumed)
	}
	first, second := m.Thrust.Each[0], m.Thrust.Each[1]
	near(t, "three-wheeler", map[string][2]float64{
		"mass": {m.Mass, 200}, "wheelbase": {m.Wheelbase, 1.2}, "ahead": {m.Ahead, 0.3985}, "height": {m.Height, 0.627}, "track": {m.TrackRear, 0.8}, "track in front": {m.TrackFront, 0}, "hung off": {m.HungOff, 0.074}, "give": {m.Give, 0.12},
		"grip": {m.Grip, 0.6}, "slip": {m.SlipPeak, 0.15}, "fall": {m.Fall, 0.85}, "holds": {m.Holds, 0.5}, "rolling": {m.Rolling, 0.05}, "drag": {m.DragArea, 0.7}, "air": {m.Air, 1.209489}, "hand": {m.BrakeFront, 1434.860}, "foot": {m.BrakeRear, 1568},
		"travel": {m.Travel, 0.16}, "ride": {m.Ride, 1.915230}, "landing": {m.Absorbs, 5.289615},
		"step": {m.Thrust.Step, 0.25}, "steps": {float64(len(m.Thrust.Force)), 240}, "shift": {m.Thrust.Shift, 0.2}, "gears": {float64(len(m.Thrust.Each)), 2},
		"first": {first.Force[20], 1296}, "its mass": {first.Mass[20], 242.72}, "its top": {first.Top, 8.726646}, "slow": {first.Force[4], 445.5320}, "second": {second.Force[40], 648}, "mass of the second": {second.Mass[40], 223.28}, "top of the second": {second.Top, 17.45329},
		"pulls in first": {m.Thrust.Force[16], 1296}, "in gear": {float64(m.Thrust.Gear[16]), 1}, "pulls in second": {m.Thrust.Force[60], 648}, "in the next": {float64(m.Thrust.Gear[60]), 2}, "shut in first": {m.Thrust.Shut[16], 307.2}, "shut in second": {m.Thrust.Shut[60], 153.6},
	})
	if !m.SolidAxle || m.Validate() != nil {
		t.Errorf("%+v: %v", m, m.Validate())
	}
	for name, c := range map[string]struct {
		changes []string
		curve   *torque.Curve
		check   func(m *lap.Machine) map[string][2]float64
	}{
		"torque a tenth more": {nil, stronger(1.1), func(m *lap.Machine) map[string][2]float64 { // what holds it back with the throttle shut does not grow with it
			return map[string][2]float64{"first": {m.Thrust.Each[0].Force[20], 1425.6}, "shut": {m.Thrust.Shut[60], 153.6}}
		}},
		"a clutch of half the springs": {[]string{"spring_force_total: 1000 N", "spring_force_total: 500 N"}, even(), func(m *lap.Machine) map[string][2]float64 { // 12 x 0.12 x 500 x 0.055 = 39.6 Nm, 13.2 at the crank
			return map[string][2]float64{"first": {m.Thrust.Each[0].Force[20], 855.36}}
		}},
		"no clutch known": {[]string{", spring_force_total: 1000 N", ""}, stronger(10), func(m *lap.Machine) map[string][2]float64 {
			return map[string][2]float64{"first": {m.Thrust.Each[0].Force[20], 12960}}
		}},
		"wheels not weighed": {[]string{", mass: 8 kg", "", ", mass: 10 kg", ""}, even(), func(m *lap.Machine) map[string][2]float64 {
			return map[string][2]float64{"its mass": {m.Thrust.Each[0].Mass[20], 225.92}}
		}},
		"two-stroke": {[]string{"cycle: four-stroke", "cycle: two-stroke"}, even(), func(m *lap.Machine) map[string][2]float64 { // 120 kPa x 301.5929 cc/(2 pi) = 5.76 Nm
			return map[string][2]float64{"shut": {m.Thrust.Shut[60], 230.4}}
		}},
		"two cylinders": {[]string{"cylinders: 1", "cylinders: 2"}, even(), func(m *lap.Machine) map[string][2]float64 {
			return map[string][2]float64{"shut": {m.Thrust.Shut[60], 307.2}}
		}},
		"solid behind": {[]string{"rear: {kind: single shock, travel: 160 mm, leverage: [{travel: 0 mm, ratio: 2}], spring_rate: 60 N/mm, preload: 10 mm, shaft: 14 mm, gas_pressure: 0 bar}", "rear: {kind: solid}"}, even(), func(m *lap.Machine) map[string][2]float64 {
			return map[string][2]float64{"travel": {m.Travel, 0.03}, "ride": {m.Ride, 0}, "landing": {m.Absorbs, 4.344111}} // 3 + 2 x 134.4111/200
		}},
		"no rear brake": {[]string{"    rear: {kind: drum, diameter: 140 mm, shoe_factor: 2, lever_ratio: 8}\n", ""}, even(), func(m *lap.Machine) map[string][2]float64 {
			return map[string][2]float64{"foot": {m.BrakeRear, 0}, "hand": {m.BrakeFront, 1434.860}}
		}},
		"quad": {[]string{"layout: three-wheeler", "layout: quad", "track_rear: 800 mm", "track_rear: 800 mm, track_front: 900 mm"}, even(), func(m *lap.Machine) map[string][2]float64 { // a fourth wheel turns: 0.6 x 8 kg more
			return map[string][2]float64{"track in front": {m.TrackFront, 0.9}, "track": {m.TrackRear, 0.8}, "its mass": {m.Thrust.Each[0].Mass[20], 247.52}}
		}},
		"bike": {[]string{"layout: three-wheeler", "layout: bike"}, even(), func(m *lap.Machine) map[string][2]float64 { // one rear wheel less, nobody hangs off
			return map[string][2]float64{"track": {m.TrackRear, 0}, "hung off": {m.HungOff, 0}, "lean": {m.Lean, 50 * math.Pi / 180}, "its mass": {m.Thrust.Each[0].Mass[20], 236.72}}
		}},
	} {
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", c.changes...)}
		m, err := lapMachine(in, c.curve)
		if err != nil || len(in.Missing) > 0 {
			t.Errorf("%s: %v, missing %v", name, err, in.Missing)
			continue
		}
		near(t, name, c.check(m))
		if m.SolidAxle != (name != "bike") {
			t.Errorf("%s: a solid axle: %v", name, m.SolidAxle)
		}
	}
}

// Where the sheet leaves out what only the lap needs, a usual one stands in and is told.
func TestUsualOnesStandIn(t *testing.T) {
	for name, c := range map[string]struct {
		changes []string
		assumed string
		check   func(m *lap.Machine) bool
	}{
		"gears":   {[]string{"    gears: [2, 1]\n", ""}, "the gears", func(m *lap.Machine) bool { return len(m.Thrust.Each) == len(usualGears) }},
		"brake":   {[]string{", effective_radius: 90 mm", ""}, "the front brake", func(m *lap.Machine) bool { return m.BrakeFront == 1e6 && math.Abs(m.BrakeRear-1568) < 1e-9 }},
		"springs": {[]string{", spring_rate: 60 N/mm", ""}, "springs and travel", func(m *lap.Machine) bool { return m.Ride == 1.8 && m.Travel == 0.18 && m.Absorbs == 5 }},
	} {
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", c.changes...)}
		m, err := lapMachine(in, even())
		if err != nil || len(in.Missing) > 0 || !slices.Equal(in.Assumed, []string{c.assumed}) || !c.check(m) {
			t.Errorf("%s: assumed %v, missing %v (%v)", name, in.Assumed, in.Missing, err)
		}
	}
}

// Of a curve those speeds count that were computed, up to the redline, which is one of them: at 5000 rpm 20 Nm at 4000
// and 10 at 6000 are 15. Torque below nothing is none. Two speeds are too few.
func TestCrankTorqueByHand(t *testing.T) {
	c := even()
	c.Points[0].Torque, c.Points[2].Torque = -3, 10
	for name, k := range map[string]struct {
		redline  string
		lost     int
		speeds   []float64
		torques  []float64
		complain string
	}{
		"between two":  {"5000 rpm", -1, []float64{2000, 4000, 5000}, []float64{0, 20, 15}, ""},
		"above all":    {"7000 rpm", -1, []float64{2000, 4000, 6000, 6360}, []float64{0, 20, 10, 20}, ""},
		"on one":       {"6000 rpm", -1, []float64{2000, 4000, 6000}, []float64{0, 20, 10}, ""},
		"one is lost":  {"6360 rpm", 2, []float64{2000, 4000, 6360}, []float64{0, 20, 20}, ""},
		"beside a gap": {"5000 rpm", 2, nil, nil, "too few speeds"},
	} {
		c := &torque.Curve{Points: slices.Clone(c.Points)}
		if k.lost >= 0 {
			c.Points[k.lost].Converged = false
		}
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", "redline: 6000 rpm", "redline: "+k.redline)}
		speeds, torques, err := crankTorque(in, c)
		if k.complain != "" {
			if err == nil || !strings.Contains(err.Error(), k.complain) {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if err != nil || len(speeds) != len(k.speeds) {
			t.Errorf("%s: %v and %v (%v)", name, speeds, torques, err)
			continue
		}
		for i := range speeds {
			if math.Abs(speeds[i]/torque.RPM-k.speeds[i]) > 1e-9 || math.Abs(torques[i]-k.torques[i]) > 1e-9 {
				t.Errorf("%s: %g Nm at %g rpm, by hand %g at %g", name, torques[i], speeds[i]/torque.RPM, k.torques[i], k.speeds[i])
			}
		}
	}
}

// The gearbox as its room needs it; the clutch holds 12 x 0.12 x 1000 x 0.055 = 79.2 Nm.
func TestGearboxByHand(t *testing.T) {
	in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found")}
	g, err := gearbox(in)
	want := driveline.Gearbox{Primary: 3, Gears: []float64{2, 1}, Final: 3, Radius: 0.25, Efficiency: 0.9, Crank: 0.005, Wheels: 16.8, Clutch: 79.2, Shift: 0.2}
	a, b := ranges.Flat(g), ranges.Flat(want)
	if err != nil || len(a) != len(b) {
		t.Fatalf("%+v (%v)", g, err)
	}
	for i := range b {
		if math.Abs(a[i]-b[i]) > 1e-12 {
			t.Errorf("%+v, by hand %+v", g, want)
		}
	}
}

// Wider rear tyres on sand, their pressures unknown, stay round and sink less. By hand with Bekker's sum of package
// tyre for dry sand, k = 0.99/b + 1528.43 kN/m^3.1:
//
//	front 651.325 N on 203 x 610 mm: 32.833 mm deep, 113.652 N of drag, 0.0279626 m2; rear 655.002 N each on 279 x 559
//	mm: 27.761 mm, 109.770 N, 0.0339242 m2;
//	on 330 mm: 25.015 mm, 104.198 N, 0.0381555 m2
//	drag (113.652 + 2 x 104.198)/(113.652 + 2 x 109.770) = 0.9665545
//	hold 1.04 kPa x area + load x tan 28: (375.396 + 2 x 387.952)/(375.396 + 2 x 383.551) = 1.007703
func TestOtherTyresOnSoil(t *testing.T) {
	parts := "  wide: {kind: tyre, sets: {wheels.rear.tyre: \"22x13-9\", wheels.rear.loaded_radius: 250 mm}}\n"
	for name, c := range map[string]struct {
		surface, build string
		rolling, grip  float64
	}{
		"sand":        {", surface: dune sand", "wide", 0.9665545, 1.007703},
		"as found":    {", surface: dune sand", "as-found", 1, 1},
		"no soil":     {", surface: hard pack", "wide", 1, 1},
		"not a word":  {"", "wide", 1, 1},
		"sinks in it": {", surface: snow", "wide", 1, 1},
	} {
		in := &ranges.Inputs{Build: byhand.WithParts(t, small, parts, "wide: [wide]", c.build, "axle_holds: 0.5", "axle_holds: 0.5"+c.surface)}
		rolling, grip, err := againstFormer(in)
		if err != nil || math.Abs(rolling/c.rolling-1) > 1e-6 || math.Abs(grip/c.grip-1) > 1e-6 {
			t.Errorf("%s: %.7g and %.7g, by hand %.7g and %.7g (%v)", name, rolling, grip, c.rolling, c.grip, err)
		}
		m, err := lapMachine(in, even())
		if err != nil || math.Abs(m.Rolling/(0.05*c.rolling)-1) > 1e-6 || math.Abs(m.Grip/(0.6*c.grip)-1) > 1e-6 {
			t.Errorf("%s: the lap rolls with %.7g and grips with %.7g", name, m.Rolling, m.Grip)
		}
	}
}

// Pressures count with what the carcass presses, 10 kPa; unless both, now and before, are known, neither does.
func TestPressuresByHand(t *testing.T) {
	parts := "  soft: {kind: tyre, sets: {wheels.rear.pressure: 0.2 bar}}\n"
	for name, c := range map[string]struct {
		build, given string
		want         [2]float64
	}{
		"softer": {"soft", ", pressure: 0.3 bar", [2]float64{30e3, 40e3}}, "as found": {"as-found", ", pressure: 0.3 bar", [2]float64{40e3, 40e3}}, "none before": {"soft", "", [2]float64{}},
	} {
		in := &ranges.Inputs{Build: byhand.WithParts(t, small, parts, "soft: [soft]", c.build, "rear: {tyre: \"22x11-9\"", "rear: {tyre: \"22x11-9\""+c.given)}
		if got := pressures(in, "rear"); math.Abs(got[0]-c.want[0]) > 1e-9 || math.Abs(got[1]-c.want[1]) > 1e-9 {
			t.Errorf("%s: %v Pa, by hand %v", name, got, c.want)
		}
	}
}
