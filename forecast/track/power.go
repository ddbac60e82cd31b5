package track

import (
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
)

// CurveFigures are figures of the whole machine that follow from its torque curve.
var CurveFigures = []ranges.Definition{
	{ID: "chassis.power_to_weight", FourStroke: true, Title: "Peak power over mass, with rider and fuel", Unit: "W/kg", Formula: "peak power at the crank / mass with rider and fuel", Source: torque.DefinitionOnly, Theory: lapTheory + "thrust", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			power, err := torque.PeakOf(in, func(c *torque.Curve) torque.Peak { return c.Power }, 1000)
			return power / running.Laden(in).Mass, err
		}},
}
