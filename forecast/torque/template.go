package torque

import (
	"fmt"
	"math"

	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// shapeOf is the usual shape of a torque curve: torque over its peak at shares of the redline, both [-], with the mean
// effective pressure of the peak [Pa], the half-width that holds it as a share, the mean pressure of friction [Pa], and
// what the fuel comes to [g/kWh].
type shapeOf struct {
	speed, torque  []float64
	pressure, half float64
	friction       float64
	fuel           float64
}

// Shapes of the two cycles. Source: mean effective pressures of Heywood, Internal Combustion Engine Fundamentals, ch.
// 2, and Blair, Design and Simulation of Two-Stroke Engines, ch. 1 and 5 (a two-stroke on rolling bearings rubs with
// some 0.8 bar), from memory; the shapes and the four-stroke's friction by judgement.
var (
	fourStrokeShape = shapeOf{[]float64{0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.93, 1, 1.06}, []float64{0.78, 0.86, 0.93, 0.98, 1, 0.99, 0.94, 0.88, 0.80, 0.70}, 9.5e5, 0.20, 1.6e5, 350}
	twoStrokeShape  = shapeOf{[]float64{0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.82, 0.90, 1, 1.06}, []float64{0.45, 0.52, 0.60, 0.72, 0.88, 0.98, 1, 0.95, 0.75, 0.55}, 7.5e5, 0.30, 0.8e5, 480}
)

// TemplateCurve is the curve that an engine of such a displacement, cycle and redline usually has. It stands in on the
// lap where none can be computed, and says so: what chassis, tyres, gearing and brakes do there can be compared on it;
// what the engine's parts do it cannot know, beyond displacement. The error is ErrNoCurve.
func TemplateCurve(b *machine.Build) (*Curve, error) {
	in := &ranges.Inputs{Build: b}
	swept, err := SweptVolume(in)
	redline := in.Num("engine.redline") / RPM
	shape, turns := fourStrokeShape, 2.0
	if IsTwoStroke(in) {
		shape, turns = twoStrokeShape, 1
	}
	if len(in.Missing) > 0 {
		return nil, fmt.Errorf("%w, not even a usual one: %s", ErrNoCurve, ranges.Why(in.Missing, nil))
	}
	if err != nil {
		return nil, fmt.Errorf("%w, not even a usual one: %w", ErrNoCurve, err)
	}
	c := &Curve{Template: true, Half: shape.half}
	for i, share := range shape.speed {
		p := Point{Speed: share * redline, Torque: shape.torque[i] * shape.pressure * swept / (2 * math.Pi * turns), Fuel: shape.fuel, Friction: shape.friction / 1000, Converged: true}
		p.Power = p.Torque * p.Speed * RPM / 1000
		p.Indicated = (shape.torque[i]*shape.pressure + shape.friction) / 1000
		if p.Torque > c.Torque.Value {
			c.Torque = Peak{Speed: p.Speed, Value: p.Torque}
		}
		if p.Power > c.Power.Value {
			c.Power = Peak{Speed: p.Speed, Value: p.Power}
		}
		c.Points = append(c.Points, p)
	}
	c.From, c.To = span(c.Points, 0.9*c.Torque.Value, c.Torque.Speed)
	return c, nil
}
