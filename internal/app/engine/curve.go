package engine

import (
	"context"
	"errors"
	"fmt"
	"math"

	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
)

// Curve is the torque curve of a build, and of its baseline when that is another.
type Curve struct {
	Build, Against string
	Curve          *torque.Curve
	Before         *torque.Curve  // nil when the build is its own baseline, or that has no curve
	BeforeWhy      string         // why the baseline has none
	Spread         *torque.Spread // how sure the curve is; nil when that was not worked out
	SpreadBefore   *torque.Spread
	Sure           bool // both ranges are there
	Parts          *Parts
	Typical        int // of the inputs that the build's curve follows from
	Inputs         int
	Corrected      string // to which air torque and power were corrected, in words; "" for none
	System         quantity.System
	Redline        float64 // [rpm]
	Printed        string  // power and its speed by the data sheet, in words; "" for none

	laid *machine.Build // the build; nil where nobody asks what its range rests on
}

// Compute is Curve with ranges and parts when wanted.
func Compute(ctx context.Context, a *asked.Answer, known *forecast.Results, against, ranges, parts bool, done func(ready, total int)) (*Curve, error) {
	c, err := CurveOf(ctx, a, known, against, done)
	if err != nil {
		return nil, err
	}
	if ranges {
		if err := c.sure(ctx, a, known, done); err != nil {
			return nil, err
		}
	}
	if parts && c.Before != nil {
		parts, err := PartsOf(ctx, a, known, done)
		if err != nil {
			return nil, err
		}
		c.Take(parts)

	}
	return c, nil
}

// Take takes in what the parts do, nil for nothing yet. The range of the change of torque between the two curves, where
// the build's is highest, stands in place of the usual one when it was worked out: that of one part alone is not
// larger.
func (c *Curve) Take(parts *Parts) {
	c.Parts = parts
	if parts == nil || c.Spread == nil || c.SpreadBefore == nil {
		return
	}
	if half := c.Spread.HalfOfChange(c.SpreadBefore, c.Curve.Torque.Speed); half > 0 {
		parts.Range, parts.Usual = half, false
	}
}

// Begun is the answer on a build before its curve is known.
func Begun(a *asked.Answer) *Curve {
	c := &Curve{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	c.Typical, c.Inputs = torque.CurveTypical(a.Build)
	c.laid = a.Build
	if v, ok := a.Build.Values["engine.claimed_power"]; ok {
		c.Printed = shownIn(a.Build.Project.Number(v)/1000, "kW", a.System)
		if v, ok := a.Build.Values["engine.claimed_power_speed"]; ok {
			c.Printed += fmt.Sprintf(" at %.0f rpm", a.Build.Project.Number(v)*30/math.Pi)
		}
	}
	if v, ok := a.Build.Values["engine.redline"]; ok {
		c.Redline = a.Build.Project.Number(v) * 30 / math.Pi
	}
	return c
}

// CurveOf computes the torque curve of the answer's build and, against its baseline when wanted, of that.
func CurveOf(ctx context.Context, a *asked.Answer, known *forecast.Results, against bool, done func(ready, total int)) (*Curve, error) {
	c := Begun(a)
	against = against && a.Baseline.Name != a.Build.Name
	part := func(from, of int) func(ready, total int) {
		return func(ready, total int) {
			if done != nil {
				done(from*total+ready, of*total)
			}
		}
	}
	of := 1
	if against {
		of = 2
	}
	var err error
	if c.Curve, err = known.Curve(ctx, a.Build, part(0, of)); err != nil {
		return nil, err
	}
	if !against {
		return c, nil
	}
	if c.Before, err = known.Curve(ctx, a.Baseline, part(1, of)); err != nil {
		if !errors.Is(err, torque.ErrNoCurve) {
			return nil, err
		}
		c.BeforeWhy = err.Error()
	}
	return c, nil
}

// sure works out how sure the curves are.
func (c *Curve) sure(ctx context.Context, a *asked.Answer, known *forecast.Results, done func(ready, total int)) error {
	of := 1
	if c.Before != nil {
		of = 2
	}
	part := func(from int) func(ready, total int) {
		return func(ready, total int) {
			if done != nil {
				done(from*total+ready, of*total)
			}
		}
	}
	var err error
	if c.Spread, err = known.Spread(ctx, a.Build, part(0)); err != nil || c.Before == nil {
		return err
	}
	c.SpreadBefore, err = known.Spread(ctx, a.Baseline, part(1))
	return err
}

// Exit is the exit code: CannotCompute when a speed is missing.
func (c *Curve) Exit() int {
	for _, p := range c.Curve.Points {
		if !p.Converged {
			return asked.CannotCompute
		}
	}
	return asked.Fine
}

// trustedTorque is how far a torque curve may be off, as a share of itself, before the machine has been measured on a
// dynamometer: no fired engine of this kind with its whole geometry was at hand to compare with. Set by judgement from
// the spread of the models it is made of: friction 5 %, burning and heat 6 %, flow 5 %.
const trustedTorque = 0.10

// Correct puts torque and power in a standard's air, by one of the names of torque.Standards, those of both builds by
// the factors of their own airs. The error is Mendable.
func (c *Curve) Correct(a *asked.Answer, standard string) error {
	k, err := torque.CorrectionTo(a.Build, standard)
	if err != nil {
		return faults.Mendable(err)
	}
	c.Corrected = fmt.Sprintf(", corrected to the air of %s (× %.3f)", k.Name, k.Factor)
	if k.Outside {
		c.Corrected += ", for which the standard does not hold: it is more than 7 % off"
	}
	c.Curve = c.Curve.Corrected(k.Factor)
	if c.Spread != nil {
		c.Spread = c.Spread.Corrected(k.Factor)
	}
	if c.Before != nil {
		if k, err = torque.CorrectionTo(a.Baseline, standard); err != nil {
			return faults.Mendable(err)
		}
		c.Before = c.Before.Corrected(k.Factor)
		if c.SpreadBefore != nil {
			c.SpreadBefore = c.SpreadBefore.Corrected(k.Factor)
		}
	}
	return nil
}
