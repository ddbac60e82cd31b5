package forecast

import (
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
