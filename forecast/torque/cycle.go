package torque

import (
	"context"
	"fmt"
	"math"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// Cycle is one cycle of one cylinder at one engine speed, in the units of the trade; one entry for each sample.
type Cycle struct {
	Speed           float64     // [rpm]
	Angle           []float64   // [deg] of the crank after top dead centre of the overlap
	Pressure        []float64   // [bar] in the cylinder
	Volume          []float64   // [cm3]
	Temperature     []float64   // [K] mean of the cylinder's gas
	Ahead, Behind   []float64   // [K] ahead of the flame and behind it; not a number when there is none
	LiftIn, LiftOut []float64   // [mm]
	FlowIn, FlowOut []float64   // [g/s] into the cylinder through the intake valves, out of it through the exhaust valves
	Intake, Exhaust [][]float64 // [bar] at each angle along the pipe: mouth to valve, valve to end
	IntakeLong      float64     // [mm]
	ExhaustLong     float64     // [mm]
	Ambient         float64     // [bar]
	BackFlow        float64     // [-] share of the intake's inflow that is pushed back through the intake valve
	SuckedBack      float64     // [-] share of the outflow that comes back in through the exhaust valve
	LatePush        float64     // [bar] mean pressure above the air's in front of the intake valve in the last 40 degrees before it shuts
	OverlapPull     float64     // [bar] mean pressure above the air's behind the exhaust valve while both valves are open; not a number without overlap
	Overlap         float64     // [deg] in which both are open
	Peak, PeakAt    float64     // [bar] [deg after top dead centre of firing]
	EndGas, Flame   float64     // [K] hottest ahead of the flame, until the last twentieth burns, and behind it
	Past            float64     // [-] share of what the cylinder takes in that goes past the rings
}

// ComputeCycle is one cycle of a build at an engine speed [rpm]. The error is ErrNoCurve, with the reason, or the
// context's.
func ComputeCycle(ctx context.Context, b *machine.Build, speed float64) (*Cycle, error) {
	in := &ranges.Inputs{Build: b}
	spec, err := breathing(in)
	if err != nil {
		return nil, err
	}
	if limit := 2 * curveTo * in.Num("engine.redline") / RPM; !(speed >= lowestSpeed && speed <= limit) {
		return nil, fmt.Errorf("%w at %.4g rpm; ask for a speed between %.0f and %.0f rpm", ErrNoCurve, speed, lowestSpeed, limit)
	}
	t, err := engine.Look(ctx, spec, speed*RPM)
	if err != nil {
		if ctx.Err() != nil {
			return nil, err
		}
		return nil, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	return cycleOf(t, spec.Ambient.Pressure), nil
}

// lowestSpeed is the slowest that a cycle is computed at [rpm].
const lowestSpeed = 500.0

// latePart is how long before the intake valve shuts the push in front of it counts [deg].
const latePart = 40.0

func cycleOf(t *engine.Trace, ambient float64) *Cycle {
	c := &Cycle{
		Speed: t.Point.Speed / RPM, Angle: scaled(t.Angle, 180/math.Pi), Pressure: scaled(t.Pressure, 1e-5), Volume: scaled(t.Volume, 1e6), Temperature: t.Temperature, Ahead: t.Ahead, Behind: t.Behind, EndGas: t.Point.EndGas, Flame: t.Point.Flame, Past: t.Point.Past, LiftIn: scaled(t.LiftIn, 1e3), LiftOut: scaled(t.LiftOut, 1e3),
		FlowIn: scaled(t.FlowIn, 1e3), FlowOut: scaled(t.FlowOut, 1e3), IntakeLong: t.IntakeLong * 1e3, ExhaustLong: t.ExhaustLong * 1e3, Ambient: ambient * 1e-5, OverlapPull: math.NaN(),
	}
	for i := range t.Angle {
		c.Intake, c.Exhaust = append(c.Intake, scaled(t.Intake[i], 1e-5)), append(c.Exhaust, scaled(t.Exhaust[i], 1e-5))
	}
	shuts := 0.0
	for i, a := range c.Angle {
		if c.LiftIn[i] > 0 && a < 540 {
			shuts = math.Max(shuts, a)
		}
		if c.Pressure[i] > c.Peak {
			c.Peak, c.PeakAt = c.Pressure[i], a-360
		}
	}
	var inflow, back, outflow, sucked, push, pushFor, pull float64
	from := 0.0
	for i, a := range c.Angle {
		turn := a - from
		from = a
		inflow += math.Max(0, c.FlowIn[i]) * turn
		back += math.Max(0, -c.FlowIn[i]) * turn
		outflow += math.Max(0, c.FlowOut[i]) * turn
		sucked += math.Max(0, -c.FlowOut[i]) * turn
		if c.LiftIn[i] > 0 && a > shuts-latePart && a <= shuts {
			at := c.Intake[i]
			push += (at[len(at)-1] - c.Ambient) * turn
			pushFor += turn
		}
		if c.LiftIn[i] > 0 && c.LiftOut[i] > 0 {
			pull += (c.Exhaust[i][0] - c.Ambient) * turn
			c.Overlap += turn
		}
	}
	if inflow > 0 {
		c.BackFlow = back / inflow
	}
	if outflow > 0 {
		c.SuckedBack = sucked / outflow
	}
	if pushFor > 0 {
		c.LatePush = push / pushFor
	}
	if c.Overlap > 0 {
		c.OverlapPull = pull / c.Overlap
	}
	return c
}

func scaled(list []float64, by float64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = v * by
	}
	return out
}
