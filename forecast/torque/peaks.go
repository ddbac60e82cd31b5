package torque

import (
	"errors"
	"fmt"
	"slices"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// CurveResult is the name under which the torque curve of a build stands among the results, as a *Sure.
const CurveResult = "torque curve"

// CurveIn is the torque curve of a build with the inputs moved and its peaks found again. For the basis all is noted
// that it follows from.
func CurveIn(in *ranges.Inputs) (*Curve, error) {
	if in.Trace != nil {
		if _, _, err := unfilled(in); err != nil {
			return nil, err
		}
	}
	v, err := in.Result(CurveResult)
	if err != nil {
		return nil, err
	}
	s, _ := v.(*Sure)
	if s == nil {
		return nil, ranges.ErrWaiting
	}
	if s.Curve.Template {
		return nil, fmt.Errorf("%w; a usual one has no peaks of its own", ErrNoCurve)
	}
	return s.Peaked(in), nil
}

const peakTheory = engineTheory + "torque-curve"

// speedError is how well the place of a flat top between computed speeds is known; by judgement, a quarter of their
// distance.
var speedError = ranges.ModelError{Share: 0.02, Private: 0.01, Note: "the top between computed speeds is flat"}

// curveError is what the curve's own doubts, moved like inputs, leave out.
var curveError = ranges.ModelError{Inside: true, Note: "the doubts of the engine's model are moved like inputs; until they are worked out 10 % stand in for them"}

// CurveFigures are those that follow from the torque curve among the results.
var CurveFigures = []ranges.Definition{
	{ID: "engine.peak_torque", FourStroke: true, Title: "Peak torque at the crank", Unit: "Nm", Formula: "greatest of the torque curve, a parabola through the three points about it", Source: "gas flow through one cycle until it is periodic", Theory: peakTheory, Model: curveError,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return PeakOf(in, func(c *Curve) Peak { return c.Torque }, 1)
		}},
	{ID: "engine.peak_torque_speed", FourStroke: true, Title: "Speed of the peak torque", Unit: "rpm", Formula: "where the torque curve is greatest", Source: "gas flow through one cycle until it is periodic", Theory: peakTheory, Model: speedError,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return peakSpeed(in, func(c *Curve) Peak { return c.Torque })
		}},
	{ID: "engine.peak_power", FourStroke: true, Title: "Peak power at the crank", Unit: "kW", Formula: "greatest of torque x speed, a parabola through the three points about it", Source: "gas flow through one cycle until it is periodic", Theory: peakTheory, Model: curveError,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return PeakOf(in, func(c *Curve) Peak { return c.Power }, 1000)
		}},
	{ID: "engine.peak_power_speed", FourStroke: true, Title: "Speed of the peak power", Unit: "rpm", Formula: "where torque x speed is greatest", Source: "gas flow through one cycle until it is periodic", Theory: peakTheory, Model: speedError,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return peakSpeed(in, func(c *Curve) Peak { return c.Power })
		}},
	wheelPeak("engine.peak_torque", "torque", "Nm", func(c *Curve) Peak { return c.Torque }, 1),
	wheelPeak("engine.peak_power", "power", "kW", func(c *Curve) Peak { return c.Power }, 1000),
	{ID: "engine.header_speed_at_peak", FourStroke: true, Detail: true, Title: "Mean gas speed in the head pipe at the peak of the power", Unit: "m/s", Formula: "mean piston speed x (bore/pipe)^2", Source: "as the trade reckons it", Theory: engineTheory + "gas-speeds", Model: meanGas,
		Compute: func(in *ranges.Inputs) (float64, error) {
			speed, err := peakSpeed(in, func(c *Curve) Peak { return c.Power })
			ratio := in.Num("engine.bore") / in.Num("engine.exhaust.header[0].bore")
			return engine.MeanPistonSpeed(in.Num("engine.stroke"), speed) * ratio * ratio, err
		}},
	{ID: "engine.carburettor_root_at_peak", FourStroke: true, Detail: true, Title: "Root of a carburettor's litres x speed, at the peak of the power", Unit: "mm", Formula: "root of (displacement fed in litres x rpm), in millimetres", Source: "as the trade sizes carburettors", Theory: engineTheory + "gas-speeds", Model: ranges.ModelError{Share: trustedSpeed / 2, Private: trustedSpeed / 2, Note: "goes with the root of the peak's speed"},
		Compute: func(in *ranges.Inputs) (float64, error) {
			speed, err := peakSpeed(in, func(c *Curve) Peak { return c.Power })
			if err != nil {
				return 0, err
			}
			return carburettorRoot(in, speed)
		}},
}

// atWheel are the figures at the rear wheel by those at the crank.
var atWheel = map[string]string{"engine.peak_torque": "driveline.wheel_torque", "engine.peak_power": "driveline.wheel_power"}

// AtWheel is the figure at the rear wheel of one at the crank; ok is false for a figure that has none. A build has it
// where some part of the sheet comes with a claim of the figure that may be one at the rear wheel.
func AtWheel(id string) (wheel string, ok bool) {
	wheel, ok = atWheel[id]
	return wheel, ok
}

// wheelPeak is the figure at the rear wheel of a peak at the crank.
func wheelPeak(crank, what, shown string, of func(*Curve) Peak, unit float64) ranges.Definition {
	return ranges.Definition{ID: atWheel[crank], FourStroke: true, Detail: true, Only: claimedElsewhere(crank), Title: "Peak " + what + " at the rear wheel", Unit: shown,
		Formula: "peak " + what + " at the crank x efficiency of the driveline, as a dynamometer tells it by the engine's speed", Source: "power balance of the driveline", Theory: "docs/theory/driveline.md#at-the-rear-wheel", Model: curveError,
		Compute: func(in *ranges.Inputs) (float64, error) {
			peak, err := PeakOf(in, of, unit)
			return in.Num("driveline.efficiency") * peak, err
		}}
}

// claimedElsewhere says of a build whether its sheet holds a maker's claim of a figure that may be of another place
// than the crank.
func claimedElsewhere(id string) func(*machine.Build) bool {
	return func(b *machine.Build) bool {
		return slices.ContainsFunc(b.Project.Parts, func(part machine.Part) bool {
			return slices.ContainsFunc(part.Claims, func(c machine.Claim) bool { return c.Of == id && c.At != machine.AtCrank })
		})
	}
}

// PeakOf is the value of a peak [SI], which says when an end of the sweep cuts it off.
func PeakOf(in *ranges.Inputs, of func(*Curve) Peak, unit float64) (float64, error) {
	p, err := peakIn(in, of)
	return unit * p.Value, err
}

// peakSpeed is the crank's speed at a peak [rad/s], which says when an end of the sweep cuts it off: it is no peak
// then.
func peakSpeed(in *ranges.Inputs, of func(*Curve) Peak) (float64, error) {
	p, err := peakIn(in, of)
	return p.Speed * RPM, err
}

func peakIn(in *ranges.Inputs, of func(*Curve) Peak) (Peak, error) {
	c, err := CurveIn(in)
	if err != nil {
		return Peak{}, err
	}
	p := of(c)
	if !(p.Value > 0) {
		return Peak{}, errNoTorque
	}
	if in.Trace != nil {
		in.Trace.End = p.End.words()
	}
	return p, nil
}

// errNoTorque is said of an engine that cannot even turn itself.
var errNoTorque = errors.New("the engine gives no torque at any speed that was computed")

// words say where the greatest of a sweep lies, for a figure that is cut off there; "" for a peak.
func (e End) words() string {
	switch e {
	case Rising:
		return "still rising at the end of the sweep"
	case Falling:
		return "falling from the start of the sweep"
	}
	return ""
}
