package app

import (
	"context"
	"errors"
	"fmt"
	"math"

	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
)

// CurveAnswer is the torque curve of a build, and of its baseline when that is another.
type CurveAnswer struct {
	Build, Against string
	Curve          *torque.Curve
	Before         *torque.Curve  // nil when the build is its own baseline, or that has no curve
	BeforeWhy      string         // why the baseline has none
	Spread         *torque.Spread // how sure the curve is; nil when that was not worked out
	SpreadBefore   *torque.Spread
	Sure           bool // both ranges are there
	Parts          *TorqueOfParts
	Typical        int // of the inputs that the build's curve follows from
	Inputs         int
	Corrected      string // to which air torque and power were corrected, in words; "" for none
	System         quantity.System
	Redline        float64 // [rpm]
}

// Curve computes the torque curves of a question's build and, when the question names a baseline, of that. Done is told how much of
// the work is ready. Ranges takes the time to work out how sure they are, parts what each part does against the baseline.
// Standard is the air that torque and power are corrected to, "" for that of the sheet.
func Curve(ctx context.Context, q asked.Question, known *Results, ranges, parts bool, standard string, done func(ready, total int)) (*CurveAnswer, error) {
	against := q.Against != "" || parts
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	if parts && standard != "" {
		return nil, faults.Mendable(errors.New("what each part does is told in the sheet's own air; leave --standard away"))
	}
	c, err := curveWith(ctx, a, known, against, ranges, parts, done)
	if err != nil || standard == "" {
		return c, err
	}
	return c, c.Correct(a, standard)
}

// curveWith is Curve with ranges and parts when wanted.
func curveWith(ctx context.Context, a *asked.Answer, known *Results, against, ranges, parts bool, done func(ready, total int)) (*CurveAnswer, error) {
	c, err := curveOf(ctx, a, known, against, done)
	if err != nil {
		return nil, err
	}
	if ranges {
		if err := c.sure(ctx, a, known, done); err != nil {
			return nil, err
		}
	}
	if parts && c.Before != nil {
		if c.Parts, err = torqueOfParts(ctx, a, known, done); err != nil {
			return nil, err
		}
		c.Parts.worked(c.changeRange())
	}
	return c, nil
}

// changeRange is the range of the change of torque between the two curves [Nm], where the build's is highest; 0 when it was not
// worked out. That of one part alone is not larger.
func (c *CurveAnswer) changeRange() float64 {
	if c.Spread == nil || c.SpreadBefore == nil {
		return 0
	}
	return c.Spread.HalfOfChange(c.SpreadBefore, c.Curve.Torque.Speed)
}

// curveOf computes the torque curve of the answer's build and, against its baseline when wanted, of that.
func curveOf(ctx context.Context, a *asked.Answer, known *Results, against bool, done func(ready, total int)) (*CurveAnswer, error) {
	c := &CurveAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	c.Typical, c.Inputs = torque.CurveTypical(a.Build)
	if v, ok := a.Build.Values["engine.redline"]; ok {
		c.Redline = a.Build.Project.Number(v) * 30 / math.Pi
	}
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
func (c *CurveAnswer) sure(ctx context.Context, a *asked.Answer, known *Results, done func(ready, total int)) error {
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
func (c *CurveAnswer) Exit() int {
	for _, p := range c.Curve.Points {
		if !p.Converged {
			return asked.CannotCompute
		}
	}
	return asked.Fine
}

// trustedTorque is how far a torque curve may be off, as a share of itself, before the machine has been measured on a dynamometer: no
// fired engine of this kind with its whole geometry was at hand to compare with. Set by judgement from the spread of the models
// it is made of: friction 5 %, burning and heat 6 %, flow 5 %.
const trustedTorque = 0.10

// Correct puts torque and power in a standard's air, by one of the names of torque.Standards, those of both builds by the factors
// of their own airs. The error is Mendable.
func (c *CurveAnswer) Correct(a *asked.Answer, standard string) error {
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

// Curve is the torque curves of an answer's two builds. What the workshop file has of the same inputs is not computed again; what
// is computed is kept there.
func (w *Workshop) Curve(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) (*CurveAnswer, error) {
	c, missing, err := w.CurveKept(ctx, a, program)
	if err != nil || len(missing) == 0 {
		return c, err
	}
	for i, b := range missing {
		_, err := w.results(program).Curve(ctx, b, func(ready, total int) {
			if done != nil {
				done(i*total+ready, len(missing)*total)
			}
		})
		if errors.Is(err, torque.ErrNoCurve) && b != a.Build {
			continue // the baseline's want is told by CurveKept
		}
		if err != nil {
			return nil, err
		}
	}
	c, _, err = w.CurveKept(ctx, a, program)
	return c, err
}

// CurveKept is what the workshop file has of the torque curves of an answer's builds and their ranges, and the builds that it has
// no curve of. The error says that none can be computed, and why.
func (w *Workshop) CurveKept(ctx context.Context, a *asked.Answer, program string) (*CurveAnswer, []*machine.Build, error) {
	c := &CurveAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System}
	c.Typical, c.Inputs = torque.CurveTypical(a.Build)
	if v, ok := a.Build.Values["engine.redline"]; ok {
		c.Redline = a.Build.Project.Number(v) * 30 / math.Pi
	}
	if err := torque.CanCurve(a.Build); err != nil {
		return nil, nil, err
	}
	var missing []*machine.Build
	fetch := func(b *machine.Build) *torque.Curve {
		k, err := w.results(program).Only().Curve(ctx, b, nil)
		if err != nil {
			missing = append(missing, b)
		}
		return k
	}
	c.Curve = fetch(a.Build)
	if a.Baseline.Name != a.Build.Name {
		if err := torque.CanCurve(a.Baseline); err != nil {
			c.BeforeWhy = err.Error()
		} else {
			c.Before = fetch(a.Baseline)
		}
	}
	c.Sure = w.rangeKept(ctx, a, c, program)
	return c, missing, nil
}

// ComputedKept is what the workshop file has of what a report takes long for.
func (w *Workshop) ComputedKept(ctx context.Context, a *asked.Answer, program string) (c Computed, err error) {
	k, missing, err := w.CurveKept(ctx, a, program)
	switch {
	case errors.Is(err, torque.ErrNoCurve): // a usual one serves the lap
	case err != nil:
		return c, err
	case k.Curve == nil || len(missing) > 0:
		return c, nil
	default:
		if k.Before != nil {
			if k.Parts, err = w.TorqueOfPartsKept(ctx, a, program); err != nil {
				return c, err
			}
		}
		c.Curve = k
	}
	if c.Lap, err = w.LapKept(ctx, a, program); err != nil || c.Lap == nil { // why there is none stands on the Track page
		return c, ctx.Err()
	}
	c.Value, c.Line = w.ValueKept(ctx, a, program, ""), w.LineKept(ctx, a, program)
	return c, nil
}

// Range is how sure the curves of an answer are, from the workshop file or worked out and kept there.
func (w *Workshop) Range(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) error {
	for i, b := range []*machine.Build{a.Build, a.Baseline} {
		if i == 1 && (b.Name == a.Build.Name || torque.CanCurve(b) != nil) {
			break
		}
		if _, err := w.results(program).Spread(ctx, b, func(ready, total int) { done(i*total+ready, 2*total) }); err != nil {
			return err
		}
	}
	return nil
}

// rangeKept puts the ranges that the workshop file has into a curve's answer, and says whether all are there.
func (w *Workshop) rangeKept(ctx context.Context, a *asked.Answer, c *CurveAnswer, program string) bool {
	fetch := func(b *machine.Build) *torque.Spread {
		s, _ := w.results(program).Only().Spread(ctx, b, nil) // none yet
		return s
	}
	c.Spread = fetch(a.Build)
	if c.Before != nil {
		c.SpreadBefore = fetch(a.Baseline)
	}
	return c.Spread != nil && (c.Before == nil || c.SpreadBefore != nil)
}

// CurveKey names the work of the two curves of an answer.
func CurveKey(a *asked.Answer) string {
	return torque.CurveKey(a.Build) + torque.CurveKey(a.Baseline)
}
