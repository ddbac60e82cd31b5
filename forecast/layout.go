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

func layoutOf(b *machine.Build) layout { return layout(b.Text("layout")) }

// layout of the build, noted as an input.
func (in *inputs) layout() layout { return layout(in.text("layout")) }

// applies says whether a build has the figure at all: a bike has no tip-over, an end without springs no sag.
func applies(id string, b *machine.Build) bool {
	onTwoWheels := layoutOf(b) == bike
	under := func(prefix string) bool { return strings.HasPrefix(id, prefix) }
	switch {
	case under("chassis.tip_lateral"), under("axle."), id == "chassis.width_over_tyres":
		return !onTwoWheels
	case id == "chassis.lean_at_half_g":
		return onTwoWheels
	case id == "suspension.front.air_pressure":
		return b.Text("suspension.front.kind") == "telescopic fork"
	case under("suspension.front."):
		return b.Text("suspension.front.kind") != "solid"
	case under("suspension.rear."):
		return b.Text("suspension.rear.kind") != "solid"
	case id == "tyres.front.squash":
		return b.Given("wheels.front.tyre_rate")
	case id == "tyres.rear.squash":
		return b.Given("wheels.rear.tyre_rate")
	case id == "brakes.rear.lever_force":
		return b.Given("brakes.rear.kind")
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
	return strings.HasPrefix(id, "driveline.speed.")
}
