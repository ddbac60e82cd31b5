package running

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// A mass that a part adds where the centre of gravity lies leaves it there, and what hangs on its place alone: all of
// tip-over but what the tyres' rates and the rider's share of the mass make of it. By hand, 20 kg more of 200:
// everything per mass stays, all loads are a tenth more; hung off (267.1667 + 74 x 200/220)/627 = 0.5333962 g; swaying
// 0.4261031 (1 - 1.1 x 1229.754/32000) = 0.4080906 g.
func TestMassAtTheCentreOfGravity(t *testing.T) {
	b := byhand.WithParts(t, trike, "  ballast: {kind: frame, adds: {mass.dry: {mass: 20 kg, x: 398.5 mm, z: 627 mm, unsprung: no}}}\n", "heavy: [ballast]", "heavy")
	holdsTo(t, "ballast", b, []byHand{
		{"chassis.mass", 220, "200 + 20"}, {"chassis.cg_x", 398.5, "stays"}, {"chassis.cg_z", 627, "stays"}, {"chassis.tip_lateral", 0.4261031, "stays"}, {"chassis.tip_lateral_braking", 0.3261031, "stays"},
		{"chassis.tip_lateral_hung", 0.5333962, "267.1667 + 67.27273, over 627"}, {"chassis.tip_lateral_swaying", 0.4080906, "1352.729 Nm of 32000"}, {"chassis.wheelie_limit", 0.6355662, "stays"}, {"chassis.stoppie_limit", 1.278309, "stays"},
		{"brakes.front.lever_force", 90.21631, "1.1 x 82.01483"}, {"brakes.rear.lever_force", 144.4730, "1.1 x 131.3391"}, {"brakes.front.stop_rise", 31.35095, "1.1 x 28.50086"}, {"tyres.rear.squash", 7.205028, "1.1 x 6.550025"},
		{"suspension.rear.rider_sag", 56.45373, "(1.1 x 133.58333 - 30) g = 1146.806 N; 15 s + 300"},
	})
}

// A heavier wheel, its part unsprung, is carried by the tyre and not by the springs: the sags stay, and the tyre gives
// more. By hand, 6 kg on the rear axle's line at x = 0: the front load stays 66.41667 kg, the rear one is 139.58333,
// the sprung 103.58333 as before. With unsprung left at no the springs carry them: (1015.805 + 6 g - 300)/15.
func TestUnsprungMass(t *testing.T) {
	for unsprung, rows := range map[string][]byHand{
		"yes": {{"suspension.rear.rider_sag", 47.72037, "as found"}, {"suspension.front.rider_sag", 31.87280, "as found"}, {"tyres.rear.squash", 6.844224, "139.58333/2 g/100"}},
		"no":  {{"suspension.rear.rider_sag", 51.64303, "58.8399 N more on 15 N/mm"}, {"suspension.front.rider_sag", 31.87280, "as found"}, {"tyres.rear.squash", 6.844224, "139.58333/2 g/100"}},
	} {
		parts := "  hub: {kind: wheel, adds: {mass.dry: {mass: 6 kg, x: 0 mm, z: 250 mm, unsprung: " + unsprung + "}}}\n"
		holdsTo(t, "unsprung "+unsprung, byhand.WithParts(t, trike, parts, "b: [hub]", "b"), rows)
	}
	front := "  rim: {kind: wheel, adds: {mass.dry: {mass: 6 kg, x: 1200 mm, z: 280 mm, unsprung: yes}}}\n"
	holdsTo(t, "unsprung in front", byhand.WithParts(t, trike, front, "b: [rim]", "b"), []byHand{{"suspension.front.rider_sag", 31.87280, "as found"}, {"suspension.rear.rider_sag", 47.72037, "as found"}, {"tyres.front.squash", 8.877061, "72.41667 g/80"}})
}

// What is taken off is less than nothing added: a part of minus 20 kg and one of 20 kg at the same place leave the
// machine as it was.
func TestMassesCancel(t *testing.T) {
	parts := "  off: {kind: frame, adds: {mass.dry: {mass: -20 kg, x: 700 mm, z: 300 mm, unsprung: no}}}\n  on: {kind: frame, adds: {mass.dry: {mass: 20 kg, x: 700 mm, z: 300 mm, unsprung: no}}}\n"
	same(t, "off and on", byhand.Build(t, trike, "as-found"), byhand.WithParts(t, trike, parts, "b: [off, on]", "b"), 1e-12)
}

// Parts that touch different inputs may be laid in any order.
func TestOrderOfParts(t *testing.T) {
	parts := `  tyre: {kind: tyre, sets: {wheels.rear.tyre: "20x11-9"}}
  spring: {kind: spring, sets: {suspension.rear.spring_rate: 70 N/mm}}
  axle: {kind: axle, adds: {geometry.track_rear: 100 mm, mass.dry: {mass: 5 kg, x: 0 mm, z: 250 mm, unsprung: yes}}}
  fork: {kind: fork, sets: {suspension.front.preload: 25 mm}, adds: {geometry.rake: 1 deg}}
`
	order := []string{"tyre", "spring", "axle", "fork"}
	first := byhand.WithParts(t, trike, parts, "b: ["+strings.Join(order, ", ")+"]", "b")
	for range 3 {
		order = append(order[1:], order[0])
		same(t, strings.Join(order, " "), first, byhand.WithParts(t, trike, parts, "b: ["+strings.Join(order, ", ")+"]", "b"), 1e-12)
	}
	slices.Reverse(order)
	same(t, strings.Join(order, " "), first, byhand.WithParts(t, trike, parts, "b: ["+strings.Join(order, ", ")+"]", "b"), 1e-12)
}

// Springs twice as hard, without preload, gas and air to help them, go in half as far and swing root 2 as fast; nothing
// but what hangs on them moves.
func TestSpringsTwiceAsHard(t *testing.T) {
	plain := []string{"spring_rate: 60 N/mm, preload: 10 mm", "spring_rate: 40 N/mm, preload: 0 mm"}
	soft := byhand.Build(t, trike, "as-found", plain...)
	plain[1] = "spring_rate: 80 N/mm, preload: 0 mm"
	hard := byhand.Build(t, trike, "as-found", plain...)
	a, _ := figuresOf(soft)
	b, _ := figuresOf(hard)
	for id, want := range map[string]float64{"rider_sag": 0.5, "free_sag": 0.5, "wheel_rate": 2, "frequency": math.Sqrt2, "rate_for_sag": 1, "preload_for_sag": 1} {
		if got := b["suspension.rear."+id] / a["suspension.rear."+id]; math.Abs(got-want) > 1e-7 && a["suspension.rear."+id] != 0 {
			t.Errorf("%s is %.9f times as much, want %.9f", id, got, want)
		}
	}
	same(t, "softer and harder", soft, hard, 1e-6, "suspension.rear.rider_sag", "suspension.rear.free_sag", "suspension.rear.wheel_rate", "suspension.rear.frequency", "chassis.clearance_at_sag", "chassis.break_over")
}

// mirror is a quad that is alike from both ends but for where its masses lie: seen from the other end its front is its
// rear.
const mirror = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
rider: {mass: 70 kg, kit: 10 kg, stature: 1800 mm, hangs_off: 150 mm, cg: {x: %g mm, z: 800 mm}}
machine:
  layout: quad
  mass: {dry: 150 kg, front_share: %g, cg_height: 400 mm, pitch_inertia: 20 kg.m2, yaw_inertia: 24 kg.m2}
  tank: {capacity: 8 l, x: %g mm, z: 750 mm}
  geometry: {wheelbase: 1200 mm, track_front: %g mm, track_rear: %g mm, rake: 10 deg, ground_clearance: 240 mm, lowest_x: %g mm}
  engine: {fuel: {density: 750 kg/m3}}
  wheels: {loaded_radius_share: 0.95, front: {tyre: "20x10-9", tyre_rate: %g N/mm, load_index: 40}, rear: {tyre: "20x10-9", tyre_rate: %g N/mm, load_index: 40}}
  suspension:
    front: {kind: A-arms, legs: 2, travel: 200 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 200 mm, ratio: %g}], spring_rate: %g N/mm, preload: 5 mm, spring_free: 260 mm, spring_solid: 120 mm, shock_stroke: 105 mm, shaft: 12 mm, gas_pressure: 5 bar}
    rear: {kind: twin shocks, travel: 200 mm, leverage: [{travel: 0 mm, ratio: 2}, {travel: 200 mm, ratio: %g}], spring_rate: %g N/mm, preload: 5 mm, spring_free: 260 mm, spring_solid: 120 mm, shock_stroke: 105 mm, shaft: 12 mm, gas_pressure: 5 bar}
    unsprung: {front: %g kg, rear: %g kg}
builds: {as-found: []}
`

// What is said of the front of a machine is said of the rear of the one that is turned round, where both ends have the
// same kind of wheels and springs; what is said of the whole is said of both. What brakes the one drives the other.
func TestSeenFromTheOtherEnd(t *testing.T) {
	one := byhand.Build(t, fmt.Sprintf(mirror, 450.0, 0.55, 700.0, 800.0, 840.0, 500.0, 60.0, 90.0, 1.8, 20.0, 1.9, 30.0, 28.0, 36.0), "as-found")
	turned := byhand.Build(t, fmt.Sprintf(mirror, 750.0, 0.45, 500.0, 840.0, 800.0, 700.0, 90.0, 60.0, 1.9, 30.0, 1.8, 20.0, 36.0, 28.0), "as-found")
	a, _ := figuresOf(one)
	b, _ := figuresOf(turned)
	pairs := map[string]string{"chassis.wheelie_limit": "chassis.stoppie_limit", "chassis.stoppie_limit": "chassis.wheelie_limit"}
	for _, whole := range []string{"chassis.mass", "chassis.cg_z", "chassis.tip_lateral", "chassis.tip_lateral_hung", "chassis.clearance_at_sag", "chassis.clearance_at_bump", "chassis.break_over", "chassis.pitch_index", "chassis.yaw_index", "chassis.width_over_tyres"} {
		pairs[whole] = whole
	}
	for _, ends := range []string{"suspension.%s.wheel_rate", "suspension.%s.rider_sag", "suspension.%s.free_sag", "suspension.%s.frequency", "suspension.%s.rate_for_sag", "suspension.%s.preload_for_sag", "suspension.%s.stroke_needed", "suspension.%s.spring_left", "tyres.%s.squash", "tyres.%s.load_share"} {
		pairs[FrontWheel.Path(ends)], pairs[RearWheel.Path(ends)] = RearWheel.Path(ends), FrontWheel.Path(ends)
	}
	for id, other := range pairs {
		if v, ok := a[id]; !ok || v == 0 || math.Abs(b[other]-v) > 1e-9*math.Abs(v) {
			t.Errorf("%s is %.10g, %s of the one turned round %.10g", id, v, other, b[other])
		}
	}
	in, inTurned := &ranges.Inputs{Build: one}, &ranges.Inputs{Build: turned}
	for _, braking := range []float64{-0.2, 0, 0.3} {
		ahead, err1 := Stance(in).TipLateral(0.05, braking)
		back, err2 := Stance(inTurned).TipLateral(0.05, -braking)
		if err1 != nil || err2 != nil || math.Abs(ahead-back) > 1e-12 {
			t.Errorf("braking at %g g it tips at %g g, the one turned round, driven, at %g (%v %v)", braking, ahead, back, err1, err2)
		}
	}
}

// Larger tyres eat the clearance by half of what they grow, unless their part says what is left; the trip round them
// goes with the measured radius. By hand, from 22 in to 24 in behind: 15 - 25.4 = -10.4 mm; the loaded radius 250 x
// 24/22 = 272.7273 mm and with it the speed 62.83185 x 24/22; the sprung swingarm hangs as before.
func TestOtherTyres(t *testing.T) {
	parts := `  tall: {kind: tyre, sets: {wheels.rear.tyre: "24x10-9"}}
  fitted: {kind: tyre, sets: {wheels.rear.tyre: "24x10-9", wheels.rear.clearance: 4 mm}}
  measured: {kind: tyre, sets: {wheels.rear.tyre: "24x10-9", wheels.rear.loaded_radius: 280 mm}}
  small: {kind: tyre, sets: {wheels.front.tyre: "22x8-10"}}
`
	const builds = "tall: [tall], fitted: [fitted], measured: [measured], small: [small]"
	holdsTo(t, "tall", byhand.WithParts(t, trike, parts, builds, "tall"), []byHand{
		{"tyres.rear.diameter", 609.6, "24 in"}, {"tyres.rear.clearance_left", -10.4, "15 - 50.8/2"}, {"driveline.speed.2", 68.54384, "62.83185 x 24/22"}, {"chassis.width_over_tyres", 1054, "800 + 254"},
		{"driveline.chain_slack", 20.24443, "as found"}, {"tyres.front.clearance_left", 20, "as found"}, {"chassis.rake", 23.91504, "25 + asin(7.272727/1200.375) - atan(30/1200): the front axle stood 30 mm above the rear one and now stands 7.272727"},
	})
	holdsTo(t, "fitted", byhand.WithParts(t, trike, parts, builds, "fitted"), []byHand{{"tyres.rear.clearance_left", 4, "as its part says"}})
	holdsTo(t, "measured", byhand.WithParts(t, trike, parts, builds, "measured"), []byHand{{"driveline.speed.2", 70.37168, "280/250 of 62.83185"}, {"tyres.rear.clearance_left", -10.4, "as tall"}})
	holdsTo(t, "small", byhand.WithParts(t, trike, parts, builds, "small"), []byHand{{"tyres.front.clearance_left", 45.4, "20 + 50.8/2"}, {"driveline.speed.2", 62.83185, "as found"}, {"chassis.trail", 58.98108, "256.6667 mm in front, the rake 25 + asin(6.666667/1200.375) - atan(30/1200) = 23.88612"}})
}
