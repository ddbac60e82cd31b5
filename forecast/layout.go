package forecast

import (
	"slices"
	"strings"

	"shakedown/machine"
)

// layout says where a machine's wheels are.
type layout string

const (
	threeWheeler layout = "three-wheeler" // one wheel in front
	quad         layout = "quad"
	bike         layout = "bike"
)

// optional are figures that a build has only when the owner gives the input: nothing is asked where he does not care.
var optional = map[string]string{
	"chassis.clearance_at_sag": "geometry.ground_clearance", "chassis.clearance_at_bump": "geometry.ground_clearance", "chassis.break_over": "geometry.ground_clearance",
	"chassis.tip_lateral_swaying": "wheels.rear.tyre_rate", "chassis.pitch_index": "mass.pitch_inertia", "chassis.yaw_index": "mass.yaw_inertia",
	"driveline.chain_slack": "geometry.pivot.x",
	"engine.valve_to_valve": "engine.head.valve_gap", "engine.deck_from_parts": "engine.compression_height", "engine.filter_speed": "engine.intake.filter_area",
	"engine.jet_for_air": "engine.intake.carburettor.jetted_density", "driveline.front_sprocket_room": "driveline.sprockets.front_room",
	"driveline.rear_sprocket_room": "driveline.sprockets.rear_room", "suspension.front.bend_load": "suspension.front.tube_yield",
	"tyres.front.load_share": "wheels.front.load_index", "tyres.rear.load_share": "wheels.rear.load_index",
	"tyres.front.squash": "wheels.front.tyre_rate", "tyres.rear.squash": "wheels.rear.tyre_rate", "brakes.rear.lever_force": "brakes.rear.kind", "brakes.front.stop_rise": "brakes.front.disc_mass", "brakes.front.hose_swell": "brakes.front.hose.length",
}

// fourStrokeOnly are the figures, by how their ids begin, whose sums hold for a four-stroke: they reckon with valves and a cam, or with one charge in two turns of the
// crank. A two-stroke breathes through its case and ports, in every turn, and what share of that stays in the cylinder no sheet gives.
var fourStrokeOnly = []string{
	"engine.trapped_compression_ratio", "engine.inlet_mach_index", "engine.carburettor_speed", "engine.header_speed", "engine.filter_speed",
	"engine.piston_to_valve", "engine.valve_to_valve", "engine.valve_float.", "engine.nose_stress", "engine.lobe_turns.", "engine.coil_bind_left.", "engine.retainer_left.",
	"driveline.clutch_torque",
}

// FourStrokeOnly says that the figure of that id does not hold for a two-stroke, which is without it.
func FourStrokeOnly(id string) bool {
	return slices.ContainsFunc(fourStrokeOnly, func(begins string) bool { return strings.HasPrefix(id, begins) })
}

// TwoStroke says that a build's engine is a two-stroke.
func TwoStroke(b *machine.Build) bool { return b.Text("engine.cycle") == twoStroke }

// twoStroke is the word of the sheet.
const twoStroke = "two-stroke"

// twoStroke says that the engine is one, noted as an input.
func (in *inputs) twoStroke() bool { return in.text("engine.cycle") == twoStroke }

func layoutOf(b *machine.Build) layout { return layout(b.Text("layout")) }

// layout of the build, noted as an input.
func (in *inputs) layout() layout { return layout(in.text("layout")) }

// applies says whether a build has the figure at all: a bike has no tip-over, an end without springs no sag.
func applies(id string, b *machine.Build) bool {
	onTwoWheels := layoutOf(b) == bike
	under := func(prefix string) bool { return strings.HasPrefix(id, prefix) }
	if given := optional[id]; given != "" && !b.Given(given) {
		return false
	}
	if TwoStroke(b) && FourStrokeOnly(id) {
		return false
	}
	switch {
	case id == "engine.lobe_turns.intake":
		return b.Len("measure.intake_lobe") > 0
	case id == "engine.lobe_turns.exhaust":
		return b.Len("measure.exhaust_lobe") > 0
	case under("chassis.tip_lateral"), under("axle."), id == "chassis.width_over_tyres":
		return !onTwoWheels
	case id == "chassis.lean_at_half_g":
		return onTwoWheels
	case id == "suspension.front.air_pressure", id == "suspension.front.bend_load":
		return b.Text("suspension.front.kind") == "telescopic fork"
	case id == "suspension.front.stroke_needed":
		return b.Text("suspension.front.kind") == "A-arms"
	case under("suspension.front."):
		return b.Text("suspension.front.kind") != "solid"
	case under("suspension.rear."):
		return b.Text("suspension.rear.kind") != "solid"
	}
	return true
}

// IsFigure says whether a figure of that id exists for some machine.
func IsFigure(id string) bool {
	for _, d := range fixed {
		if d.id == id {
			return true
		}
	}
	return strings.HasPrefix(id, "driveline.speed.") || strings.HasPrefix(id, "fit.")
}
