package engine

import (
	"context"
	"fmt"
	"math"

	"shakedown/engine/flow"
)

// Trace is what happens in one cylinder and its pipes in one cycle of the periodic state, sampled about once a degree
// of the crank, never more than a degree and a half apart.
type Trace struct {
	Point       Point       // of the speed, all cylinders together
	Angle       []float64   // [rad] after top dead centre of the overlap, above 0 to 4 pi
	Pressure    []float64   // [Pa] in the cylinder
	Volume      []float64   // [m3]
	Temperature []float64   // [K] mean of the cylinder's gas
	Ahead       []float64   // [K] of the gas ahead of the flame; not a number when there is no flame
	Behind      []float64   // [K] of the gas behind it
	LiftIn      []float64   // [m] of the intake valve
	LiftOut     []float64   // [m]
	FlowIn      []float64   // [kg/s] through the intake valves into the cylinder, the mean since the sample before
	FlowOut     []float64   // [kg/s] through the exhaust valves out of it
	Intake      [][]float64 // [Pa] for each angle along the intake, mouth to valve
	Exhaust     [][]float64 // [Pa] for each angle along the exhaust, valve to end
	IntakeLong  float64     // [m] with the end correction at the mouth
	ExhaustLong float64     // [m]
}

// sampleTurn is how far apart the samples of a trace are [rad], at least.
const sampleTurn = 0.5 * math.Pi / 180

// Look runs an engine at one speed [rad/s] until its cycles are alike, and looks at one of them. The error is that of
// Validate, the context's, ErrNotPeriodic, or that of a flow which could not be computed.
func Look(ctx context.Context, b Breathing, speed float64) (*Trace, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	if !(speed > 0) {
		return nil, fmt.Errorf("an engine speed of %g rad/s is not above zero", speed)
	}
	p, r, err := runSpeed(ctx, &b, speed, nil)
	if err != nil {
		return nil, err
	}
	t := &Trace{Point: p, IntakeLong: float64(r.in.Cells()) * r.in.Cell(), ExhaustLong: float64(r.out.Cells()) * r.out.Cell()}
	last, in, out := 0.0, 0.0, 0.0
	err = r.cycle(ctx, func(r *rig) {
		mass, _, _, _ := r.in.Into(flow.Far)
		in -= mass
		mass, _, _, _ = r.out.Into(flow.Near)
		out += mass
		if r.theta-last < sampleTurn*(1-1e-9) && r.theta < fullCycle {
			return
		}
		time := (r.theta - last) / r.omega
		t.Angle, t.Pressure, t.Volume, t.Temperature = append(t.Angle, r.theta), append(t.Pressure, r.p), append(t.Volume, r.volume), append(t.Temperature, r.t)
		ahead, behind := math.NaN(), math.NaN()
		if r.zones.on {
			ahead, behind = r.zones.ahead, r.zones.behind
		}
		t.Ahead, t.Behind = append(t.Ahead, ahead), append(t.Behind, behind)
		t.LiftIn, t.LiftOut = append(t.LiftIn, b.Intake.Lift(r.theta)), append(t.LiftOut, b.Exhaust.Lift(r.theta))
		t.FlowIn, t.FlowOut = append(t.FlowIn, in/time), append(t.FlowOut, out/time)
		t.Intake, t.Exhaust = append(t.Intake, along(r.in)), append(t.Exhaust, along(r.out))
		last, in, out = r.theta, 0, 0
	})
	return t, err
}

// along is the pressure of each cell of a pipe [Pa].
func along(p *flow.Pipe) []float64 {
	list := make([]float64, p.Cells())
	for i := range list {
		list[i] = p.At(i).Pressure
	}
	return list
}
