package check

import (
	"math"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
)

func init() { trials = append(trials, fitTrials...) }

// give puts a figure on the bench that the example's machine does not have.
func (b *bench) give(id string, value float64, unit string) *bench {
	b.c.Figures[id] = figure.Figure{ID: id, Title: id, Unit: quantity.MustUnit(unit), Value: value, Low: value, High: value, State: figure.Ready, Change: &figure.Change{}}
	return b
}

// ofCurves are torque curves in place of computed ones.
type ofCurves map[*machine.Build]*torque.Curve

func (k ofCurves) Of(b *machine.Build, _ string) (any, error) {
	if k[b] == nil {
		return nil, ranges.ErrWaiting
	}
	return torque.NewSure(b, k[b], nil), nil
}

// curve gives the machine a torque curve: peak torque [Nm] at a speed [rpm], peak power at another.
func (b *bench) curve(most, at, powerAt float64) *bench {
	return b.curves(ofCurves{b.c.Build: {Torque: torque.Peak{Speed: at, Value: most}, Power: torque.Peak{Speed: powerAt, Value: 15}}})
}

// curves puts the figures that follow from torque curves on the bench.
func (b *bench) curves(k ofCurves) *bench {
	b.results = k
	e := ranges.NewEvaluator(b.c.Build, b.c.Baseline)
	e.Results = k
	for _, d := range torque.CurveFigures {
		b.c.Figures[d.ID] = e.Figure(d)
	}
	return b
}

// rising leaves the power of the curve rising at the end of the sweep, and peakless the torque too.
func (b *bench) rising() *bench {
	b.results[b.c.Build].Power.End = torque.Rising
	return b.curves(b.results)
}

func (b *bench) peakless() *bench {
	b.results[b.c.Build].Torque.End = torque.Rising
	return b.rising()
}

// curveBefore gives the baseline one; the build must be another.
func (b *bench) curveBefore(most float64) *bench {
	if b.c.Build == b.c.Baseline {
		b.t.Fatal("the build is its own baseline")
	}
	b.results[b.c.Baseline] = &torque.Curve{Torque: torque.Peak{Speed: 5000, Value: most}}
	return b.curves(b.results)
}

func found(t *testing.T) *bench { return on(t, "as-found") }

// tightHose closes from 36 mm at full droop to 2 mm at the end of 170 mm of travel: 30 mm at 30 mm, 10 mm at 130 mm.
const tightHose = "  fits: [{what: hose to pipe, end: rear, gap: 30 mm, at: 30 mm, second_gap: 10 mm, second_at: 130 mm}]\n  wheels:\n"

var fitTrials = []trial{
	{"pin-fit", fires, func(t *testing.T) *bench { return found(t).input("engine.pin_diameter", "18.1 mm") }, figure.Conflict, "does not go into"},
	{"pin-fit", fires, func(t *testing.T) *bench { return found(t).input("engine.pin_diameter", "17 mm") }, figure.Conflict, "would knock"},
	{"pin-fit", quiet, found, silent, ""},
	{"pin-fit", boundary, func(t *testing.T) *bench { return found(t).input("engine.pin_diameter", "17.97 mm") }, silent, ""},

	{"deck-height", fires, func(t *testing.T) *bench { return found(t).give("engine.deck_from_parts", 0.7*mm, "mm") }, figure.Caution, "make a deck of 0.700 mm"},
	{"deck-height", quiet, found, silent, ""},
	{"deck-height", boundary, func(t *testing.T) *bench { return found(t).give("engine.deck_from_parts", 0.6*mm, "mm") }, silent, ""},

	{"squish", fires, func(t *testing.T) *bench { return found(t).input("engine.clearances.squish", "0.8 mm") }, figure.Caution, "0.100 mm thicker"},
	{"squish", fires, func(t *testing.T) *bench { return found(t).input("engine.clearances.squish", "1.3 mm") }, figure.Note, "Taking 0.100 mm off"},
	{"squish", quiet, func(t *testing.T) *bench { return found(t).input("engine.clearances.squish", "1 mm") }, silent, ""},
	{"squish", boundary, func(t *testing.T) *bench { return found(t).input("engine.clearances.squish", "0.9 mm") }, silent, ""},
	{"squish", boundary, func(t *testing.T) *bench { return found(t).input("engine.clearances.squish", "1.2 mm") }, silent, ""},

	{"spigot-fit", fires, func(t *testing.T) *bench {
		return found(t).input("engine.liner_spigot", "80 mm").input("engine.case_mouth", "80.05 mm")
	}, figure.Conflict, "80.1 mm"},
	{"spigot-fit", quiet, found, silent, ""},
	{"spigot-fit", boundary, func(t *testing.T) *bench {
		return found(t).input("engine.liner_spigot", "80 mm").input("engine.case_mouth", "80.1 mm")
	}, silent, ""},

	{"valve-to-valve", fires, func(t *testing.T) *bench { return found(t).give("engine.valve_to_valve", 0.9*mm, "mm") }, figure.Conflict, "come within 0.900 mm"},
	{"valve-to-valve", fires, func(t *testing.T) *bench { return found(t).give("engine.valve_to_valve", -0.1*mm, "mm") }, figure.Conflict, "meet"},
	{"valve-to-valve", quiet, found, silent, ""},
	{"valve-to-valve", boundary, func(t *testing.T) *bench { return found(t).give("engine.valve_to_valve", 1*mm, "mm") }, silent, ""},

	{"header-fit", fires, func(t *testing.T) *bench { return found(t).input("engine.exhaust.header[0].bore", "28 mm") }, figure.Caution, "30.0 mm or more"},
	{"header-fit", fires, func(t *testing.T) *bench { return found(t).input("engine.exhaust.header[0].bore", "39 mm") }, figure.Note, "30 % wider"},
	{"header-fit", quiet, found, silent, ""},
	{"header-fit", boundary, func(t *testing.T) *bench { return found(t).input("engine.exhaust.header[0].bore", "29 mm") }, silent, ""},
	{"header-fit", boundary, func(t *testing.T) *bench { return found(t).input("engine.exhaust.header[0].bore", "37.5 mm") }, silent, ""},

	// With the curve it is the gas at the peak of the power that counts: piston speed x (bore/pipe)^2, 74 and 66.3 mm.
	{"header-fit", fires, func(t *testing.T) *bench { return found(t).curve(22, 5000, 4500) }, figure.Note, "wide for this engine"},
	{"header-fit", fires, func(t *testing.T) *bench { return found(t).curve(22, 5000, 13600) }, figure.Note, "narrow for this engine"},
	{"header-fit", quiet, func(t *testing.T) *bench {
		return found(t).input("engine.exhaust.header[0].bore", "39 mm").curve(22, 5000, 8000)
	}, silent, ""},
	{"header-fit", boundary, func(t *testing.T) *bench { return found(t).curve(22, 5000, 60*30/0.0663*35*35/(74*74.0)) }, silent, ""},
	{"header-fit", boundary, func(t *testing.T) *bench { return found(t).curve(22, 5000, 125*30/0.0663*35*35/(74*74.0)) }, silent, ""},

	// One carburettor, 285.15 cc: the root of 0.28515 x 8000 is 47.76, so 26.3 to 38.1 mm with the slack of a rough
	// rule.
	{"carburettor-size", fires, func(t *testing.T) *bench {
		return found(t).input("engine.intake.carburettor.venturi", "26 mm").curve(22, 5000, 8000)
	}, figure.Note, "holds the top back"},
	{"carburettor-size", fires, func(t *testing.T) *bench {
		return found(t).input("engine.intake.carburettor.venturi", "39 mm").curve(22, 5000, 8000)
	}, figure.Note, "signal is weak"},
	{"carburettor-size", fires, func(t *testing.T) *bench {
		return found(t).input("engine.intake.carburettor.venturi", "24 mm")
	}, figure.Note, "until a curve is computed"},
	{"carburettor-size", quiet, func(t *testing.T) *bench { return found(t).curve(22, 5000, 8000) }, silent, ""},
	{"carburettor-size", fires, func(t *testing.T) *bench {
		return found(t).input("engine.intake.carburettor.venturi", "46 mm").curve(22, 5000, 9010).rising()
	}, figure.NotComputed, "still rising at the end of the sweep, 9010 rpm"},
	{"header-fit", fires, func(t *testing.T) *bench { return found(t).curve(22, 5000, 11500).rising() }, figure.NotComputed, "still rising at the end of the sweep, 11500 rpm"},
	{"gearbox-load", fires, func(t *testing.T) *bench { return on(t, "full").curve(24.5, 9010, 9010).peakless().curveBefore(22) }, figure.Caution, "11 % more torque than the baseline's, by the largest torque in the sweeps"},
	{"carburettor-size", boundary, func(t *testing.T) *bench {
		return found(t).input("engine.intake.carburettor.venturi", "26.4 mm").curve(22, 5000, 8000)
	}, silent, ""},

	{"outlet-size", fires, func(t *testing.T) *bench {
		return found(t).input("engine.exhaust.silencer.outlet_bore", "24 mm")
	}, figure.Note, "47 % of"},
	{"outlet-size", quiet, found, silent, ""},
	{"outlet-size", boundary, func(t *testing.T) *bench {
		return found(t).input("engine.exhaust.header[0].bore", "40 mm").input("engine.exhaust.silencer.outlet_bore", "28.2842713 mm")
	}, silent, ""},

	{"filter-size", fires, func(t *testing.T) *bench { return found(t).figure("engine.filter_speed", 1.8) }, figure.Note, "about 216 cm²"},
	{"filter-size", quiet, found, silent, ""},
	{"filter-size", boundary, func(t *testing.T) *bench { return found(t).figure("engine.filter_speed", 1.5) }, silent, ""},

	{"jet-for-air", fires, func(t *testing.T) *bench { return found(t).give("engine.jet_for_air", 122, "1") }, figure.Note, "about 122 in place of 125"},
	{"jet-for-air", fires, func(t *testing.T) *bench { return found(t).give("engine.jet_for_air", 128, "1") }, figure.Note, "denser"},
	{"jet-for-air", quiet, found, silent, ""},
	{"jet-for-air", boundary, func(t *testing.T) *bench { return found(t).give("engine.jet_for_air", 126.25, "1") }, silent, ""},

	{"gearbox-load", fires, func(t *testing.T) *bench { return found(t).figure("driveline.clutch_torque", 111, 100) }, figure.Caution, "11 % more"},
	{"gearbox-load", fires, func(t *testing.T) *bench { return on(t, "full").curve(24.5, 5000, 8000).curveBefore(22) }, figure.Caution, "11 % more torque than the baseline's, by the peaks"},
	{"gearbox-load", quiet, func(t *testing.T) *bench {
		return on(t, "full").figure("driveline.clutch_torque", 120, 100).curve(24, 5000, 8000).curveBefore(22)
	}, silent, ""},
	{"gearbox-load", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"gearbox-load", boundary, func(t *testing.T) *bench { return found(t).figure("driveline.clutch_torque", 110, 100) }, silent, ""},

	{"sprocket-room", fires, func(t *testing.T) *bench { return found(t).give("driveline.rear_sprocket_room", 2*mm, "mm") }, figure.Conflict, "1.00 mm more room"},
	{"sprocket-room", quiet, found, silent, ""},
	{"sprocket-room", boundary, func(t *testing.T) *bench { return found(t).give("driveline.front_sprocket_room", 3*mm, "mm") }, silent, ""},

	{"sprocket-sold", fires, func(t *testing.T) *bench { return found(t).input("driveline.sprockets.rear", "60") }, figure.Note, "A rear sprocket of 60 teeth for a 520 chain is special order: 32 to 54 are usually sold."},
	{"sprocket-sold", fires, func(t *testing.T) *bench { return found(t).input("driveline.sprockets.front", "24") }, figure.Caution, "9 to 20 to special order"},
	{"sprocket-sold", quiet, found, silent, ""},
	{"sprocket-sold", quiet, func(t *testing.T) *bench { return found(t).without("driveline.chain.size") }, silent, ""},
	{"sprocket-sold", boundary, func(t *testing.T) *bench {
		return found(t).input("driveline.sprockets.front", "11").input("driveline.sprockets.rear", "54")
	}, silent, ""},

	{"sprocket-ground", fires, func(t *testing.T) *bench { return found(t).figure("driveline.rear_sprocket_clearance", 99*mm) }, figure.Note, "are 99.0 mm above the ground"},
	{"sprocket-ground", fires, func(t *testing.T) *bench { return found(t).figure("driveline.rear_sprocket_clearance", 59*mm) }, figure.Caution, "Fewer teeth on both"},
	{"sprocket-ground", quiet, found, silent, ""},
	{"sprocket-ground", boundary, func(t *testing.T) *bench { return found(t).figure("driveline.rear_sprocket_clearance", 100*mm) }, silent, ""},
	{"sprocket-ground", boundary, func(t *testing.T) *bench { return found(t).figure("driveline.rear_sprocket_clearance", 60*mm) }, figure.Note, "60.0 mm above"},

	{"chain-on-arm", fires, func(t *testing.T) *bench {
		return found(t).input("driveline.slider_face", "30 mm").figure("driveline.chain_over_pivot", 27*mm)
	}, figure.Note, "it presses on it by 3.00 mm"},
	{"chain-on-arm", fires, func(t *testing.T) *bench {
		return found(t).input("driveline.slider_face", "30 mm").figure("driveline.chain_over_pivot", 24*mm)
	}, figure.Caution, "more teeth in front"},
	{"chain-on-arm", quiet, func(t *testing.T) *bench { return found(t).figure("driveline.chain_over_pivot", 1*mm) }, silent, ""}, // nobody has measured the slider
	{"chain-on-arm", boundary, func(t *testing.T) *bench {
		return found(t).input("driveline.slider_face", "30 mm").figure("driveline.chain_over_pivot", 30*mm)
	}, silent, ""},

	{"top-gear", fires, found, figure.NotComputed, "until there is a lap"},
	{"top-gear", fires, func(t *testing.T) *bench { return found(t).give("track.top_gear_at_redline", 4, "s") }, figure.Note, "revved out in top gear for 4.0 s a lap"},
	{"top-gear", quiet, func(t *testing.T) *bench { return found(t).give("track.top_gear_at_redline", 0, "s") }, silent, ""},
	{"top-gear", boundary, func(t *testing.T) *bench { return found(t).give("track.top_gear_at_redline", 1, "s") }, silent, ""},

	{"fluid-class", fires, func(t *testing.T) *bench { return found(t).input("brakes.front.fluid", "DOT 5") }, figure.Caution, "DOT 5 does not mix with the DOT 4"},
	{"fluid-class", quiet, found, silent, ""},
	{"fluid-class", boundary, func(t *testing.T) *bench { return found(t).input("brakes.front.fluid", "DOT 5.1") }, silent, ""}, // glycol too

	{"wheel-offset", fires, func(t *testing.T) *bench { return found(t).input("wheels.rear.offset", "25 mm") }, figure.Caution, "840 mm"},
	{"wheel-offset", quiet, found, silent, ""},
	{"wheel-offset", boundary, func(t *testing.T) *bench { // the track follows
		return found(t).input("wheels.rear.offset", "25 mm").input("geometry.track_rear", "840 mm")
	}, silent, ""},

	{"beadlock", fires, func(t *testing.T) *bench { return found(t).input("wheels.rear.pressure", "12 kPa") }, figure.Caution, "14.0 kPa or more"},
	{"beadlock", quiet, func(t *testing.T) *bench {
		return found(t).input("wheels.rear.pressure", "12 kPa").input("wheels.rear.beadlock", "yes")
	}, silent, ""},
	{"beadlock", boundary, func(t *testing.T) *bench { return found(t).input("wheels.rear.pressure", "14 kPa") }, silent, ""},

	{"tyre-load", fires, func(t *testing.T) *bench { return found(t).give("tyres.rear.load_share", 1.02, "1") }, figure.Conflict, "102 %"},
	{"tyre-load", quiet, found, silent, ""},
	{"tyre-load", boundary, func(t *testing.T) *bench { return found(t).give("tyres.rear.load_share", 1, "1") }, silent, ""},

	{"fork-overlap", fires, func(t *testing.T) *bench { return found(t).input("suspension.front.overlap", "60 mm") }, figure.Caution, "70.0 mm, two diameters"},
	{"fork-overlap", quiet, found, silent, ""},
	{"fork-overlap", boundary, func(t *testing.T) *bench { return found(t).input("suspension.front.overlap", "70 mm") }, silent, ""},

	{"fork-bends", fires, func(t *testing.T) *bench {
		return found(t).figure("chassis.mass", 200).give("suspension.front.bend_load", 3900, "N")
	}, figure.Caution, "3923 N"},
	{"fork-bends", fires, func(t *testing.T) *bench {
		return found(t).figure("chassis.mass", 200).give("suspension.front.bend_load", 1900, "N")
	}, figure.Conflict, "bend at 1900 N"},
	{"fork-bends", quiet, found, silent, ""},
	{"fork-bends", boundary, func(t *testing.T) *bench {
		return found(t).figure("chassis.mass", 200).give("suspension.front.bend_load", 2*200*9.80665, "N")
	}, silent, ""},

	{"shock-stroke", fires, func(t *testing.T) *bench { return found(t).figure("suspension.rear.stroke_needed", 60*mm) }, figure.Conflict, "about 167 mm"},
	{"shock-stroke", quiet, found, silent, ""},
	{"shock-stroke", boundary, func(t *testing.T) *bench { return found(t).figure("suspension.rear.stroke_needed", 59.5*mm) }, silent, ""},

	{"bearing-fit", fires, func(t *testing.T) *bench { return found(t).input("wheels.axle.diameter", "30 mm") }, figure.Conflict, "bored 25.0 mm"},
	{"bearing-fit", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"bearing-fit", boundary, func(t *testing.T) *bench { return found(t).input("wheels.axle.diameter", "24.95 mm") }, silent, ""},

	{"electrics", fires, func(t *testing.T) *bench {
		return found(t).input("electrics.stator_power", "100 W").input("electrics.load", "85 W")
	}, figure.Caution, "5.00 W off"},
	{"electrics", quiet, found, silent, ""},
	{"electrics", boundary, func(t *testing.T) *bench {
		return found(t).input("electrics.stator_power", "100 W").input("electrics.load", "80 W")
	}, silent, ""},

	{"class-eligible", fires, func(t *testing.T) *bench {
		return found(t).input("class_rules.built_before", "1987").input("year", "1988")
	}, figure.Conflict, "of 1988; the class takes those built before 1987"},
	{"class-eligible", fires, func(t *testing.T) *bench { return found(t).input("class_rules.tether", "yes") }, figure.Conflict, "has none"},
	{"class-eligible", quiet, func(t *testing.T) *bench {
		return found(t).input("class_rules.tether", "yes").input("electrics.tether", "yes")
	}, silent, ""},
	{"class-eligible", boundary, func(t *testing.T) *bench {
		return found(t).input("class_rules.built_before", "1987").input("year", "1986")
	}, silent, ""},

	{"chain-slack", fires, func(t *testing.T) *bench { return found(t).figure("driveline.chain_slack", 65*mm) }, figure.Conflict, "65.0 mm or more"},
	{"chain-slack", quiet, found, silent, ""},
	{"chain-slack", boundary, func(t *testing.T) *bench { return found(t).figure("driveline.chain_slack", 60*mm) }, silent, ""},

	{"advertised-duration", fires, func(t *testing.T) *bench { return found(t).input("engine.cam.intake.advertised_duration", "290 deg") }, figure.Note, "290°, is not used"},
	{"advertised-duration", quiet, found, silent, ""},
	{"advertised-duration", boundary, func(t *testing.T) *bench { return found(t).input("engine.cam.intake.duration", "290 deg") }, silent, ""},
	{"piston-ratio", fires, func(t *testing.T) *bench { return found(t).input(machine.PistonRatio, "10.75 claimed") }, figure.Note, "reckoned with as 10.75 to 1"},
	{"piston-ratio", quiet, found, silent, ""},
	{"piston-ratio", boundary, func(t *testing.T) *bench { return found(t).input(machine.PistonRatio, "10.75 measured") }, silent, ""},
	{"regrind", fires, func(t *testing.T) *bench { // the example's lobe has a radius of 15.0 mm
		return found(t).input("engine.cam.reground", "yes").input("engine.cam.base_circle_radius", "14.4 mm")
	}, figure.Note, "of the base circle"},
	{"regrind", quiet, found, silent, ""},
	{"regrind", boundary, func(t *testing.T) *bench { return found(t).input("engine.cam.reground", "yes") }, silent, ""},
	{"lobe-readings", fires, func(t *testing.T) *bench { return found(t).give("engine.lobe_turns.intake", 4, "1") }, figure.Note, "4 times"},
	{"lobe-readings", quiet, found, silent, ""},
	{"lobe-readings", boundary, func(t *testing.T) *bench { return found(t).give("engine.lobe_turns.exhaust", 2, "1") }, silent, ""},

	{"heat", fires, func(t *testing.T) *bench { return found(t).figure("engine.trapped_compression_ratio", 9.3, 8.1) }, figure.Note, "rises by 1.2"},
	{"heat", quiet, func(t *testing.T) *bench {
		return found(t).figure("engine.trapped_compression_ratio", 9.3, 8.1).input("engine.cooling", "liquid")
	}, silent, ""},
	{"heat", boundary, func(t *testing.T) *bench { return found(t).figure("engine.trapped_compression_ratio", 9.1, 8.1) }, silent, ""},

	{"pad-on-disc", fires, func(t *testing.T) *bench {
		return found(t).input("brakes.front.pad_height", "30 mm").input("brakes.front.disc_diameter", "204 mm")
	}, figure.Conflict, "in by 1.00 mm"},
	{"pad-on-disc", quiet, found, silent, ""},
	{"pad-on-disc", boundary, func(t *testing.T) *bench {
		return found(t).input("brakes.front.pad_height", "30 mm").input("brakes.front.disc_diameter", "206 mm")
	}, silent, ""},

	{"moved-controls", fires, func(t *testing.T) *bench {
		return on(t, "club", "sets: {geometry.seat.z: 660 mm}", "sets: {geometry.seat.z: 660 mm, geometry.peg.z: 320 mm}")
	}, figure.Note, "164 kg"},
	{"moved-controls", quiet, found, silent, ""},
	{"moved-controls", boundary, func(t *testing.T) *bench { return on(t, "club") }, silent, ""}, // a lower seat moves neither

	{"tank-and-seat", fires, func(t *testing.T) *bench { return on(t, "club") }, figure.Note, "The seat is new and the tank is not"},
	{"tank-and-seat", quiet, found, silent, ""},
	{"tank-and-seat", boundary, func(t *testing.T) *bench { return on(t, "club", "kind: oil", "kind: tank") }, silent, ""},

	{"ignition-range", fires, func(t *testing.T) *bench { return found(t).input("engine.redline", "9500 rpm") }, figure.Note, "up to 9000 rpm"},
	{"ignition-range", quiet, found, silent, ""},
	{"ignition-range", boundary, func(t *testing.T) *bench { return found(t).input("engine.redline", "9000 rpm") }, silent, ""},

	{"gaps", fires, func(t *testing.T) *bench { return on(t, "as-found", "  wheels:\n", tightHose) }, figure.Conflict, "hose to pipe: it comes within 2.00 mm"},
	{"gaps", fires, func(t *testing.T) *bench {
		return on(t, "as-found", "  wheels:\n", strings.Replace(tightHose, "10 mm", "5 mm", 1))
	}, figure.Conflict, "it touches"},
	{"gaps", quiet, found, silent, ""},
	{"gaps", boundary, func(t *testing.T) *bench {
		return on(t, "as-found", "  wheels:\n", "  fits: [{what: hose to pipe, end: steering, gap: 5 mm}]\n  wheels:\n")
	}, silent, ""},

	{"ground-clearance", fires, func(t *testing.T) *bench { return found(t).figure("chassis.clearance_at_bump", -5*mm) }, figure.Caution, "5.00 mm below the ground"},
	{"ground-clearance", quiet, found, silent, ""},
	{"ground-clearance", boundary, func(t *testing.T) *bench { return found(t).figure("chassis.clearance_at_bump", 0) }, silent, ""},

	{"rider-fit", fires, func(t *testing.T) *bench { return found(t).figure("rider.knee_angle", 64*math.Pi/180) }, figure.Note, "bent to 64.0°"},
	{"rider-fit", fires, func(t *testing.T) *bench { return found(t).figure("rider.reach", 0.45) }, figure.Note, "45 % of the rider's stature"},
	{"rider-fit", quiet, found, silent, ""},
	{"rider-fit", boundary, func(t *testing.T) *bench {
		return found(t).figure("rider.knee_angle", 65*math.Pi/180).figure("rider.reach", 0.40)
	}, silent, ""},
}

// A bike and a solid rear end are not asked about what they do not have.
func TestRulesKeepToTheLayout(t *testing.T) {
	for name, changes := range map[string][]string{
		"bike":       {"layout: three-wheeler", "layout: bike"},
		"solid rear": {"kind: single shock", "kind: solid"},
		"solid ends": {"kind: single shock", "kind: solid", "kind: telescopic fork", "kind: solid"},
	} {
		b := on(t, "as-found", changes...)
		for _, f := range Run(b.c) {
			for _, word := range []string{"axle", "shock", "Tip-over"} {
				if name == "bike" && word != "shock" && strings.Contains(f.Text, word) && f.Rule != "set-twice" {
					t.Errorf("%s: %s: %s", name, f.Rule, f.Text)
				}
			}
			if name != "bike" && f.Severity == figure.NotComputed && !strings.Contains(f.Text, "until there is a lap") {
				t.Errorf("%s: %s: %s", name, f.Rule, f.Text)
			}
		}
	}
}
