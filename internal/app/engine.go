package app

import (
	"context"
	"errors"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/engine"
	"shakedown/internal/faults"
	"shakedown/machine"
)

// Curve computes the torque curves of a question's build and, when the question names a baseline, of that. Done is told
// how much of the work is ready. Ranges takes the time to work out how sure they are, parts what each part does against
// the baseline. Standard is the air that torque and power are corrected to, "" for that of the sheet.
func Curve(ctx context.Context, q asked.Question, known *Results, ranges, parts bool, standard string, done func(ready, total int)) (*engine.Curve, error) {
	against := q.Against != "" || parts
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	if parts && standard != "" {
		return nil, faults.Mendable(errors.New("what each part does is told in the sheet's own air; leave --standard away"))
	}
	c, err := engine.Compute(ctx, a, known, against, ranges, parts, done)
	if err != nil || standard == "" {
		return c, err
	}
	return c, c.Correct(a, standard)
}

// Curve is the torque curves of an answer's two builds. What the workshop file has of the same inputs is not computed
// again; what is computed is kept there.
func (w *Workshop) Curve(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) (*engine.Curve, error) {
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

// CurveKept is what the workshop file has of the torque curves of an answer's builds and their ranges, and the builds
// that it has no curve of. The error says that none can be computed, and why.
func (w *Workshop) CurveKept(ctx context.Context, a *asked.Answer, program string) (*engine.Curve, []*machine.Build, error) {
	c := engine.Begun(a)
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
func (w *Workshop) rangeKept(ctx context.Context, a *asked.Answer, c *engine.Curve, program string) bool {
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

// Cycle computes one cycle of a question's build at an engine speed [rpm]; 0 takes that of the torque's peak, for which
// the whole curve is computed first.
func Cycle(ctx context.Context, q asked.Question, speed float64) (*engine.Cycle, error) {
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	if speed == 0 {
		k, err := torque.ComputeCurve(ctx, a.Build, nil)
		if err != nil {
			return nil, err
		}
		speed = k.Torque.Speed
	}
	return engine.CycleOf(ctx, a, speed, q.Against != "")
}

// Cycle computes one cycle of an answer's builds at an engine speed [rpm]; 0 takes that of the torque's peak, as far as
// the workshop file has the curve, or else a usual one. The speeds of the curve's peaks are given beside, 0 for none.
func (w *Workshop) Cycle(ctx context.Context, a *asked.Answer, program string, speed float64) (c *engine.Cycle, torque, power float64, err error) {
	k, _, err := w.CurveKept(ctx, a, program)
	if err != nil {
		return nil, 0, 0, err
	}
	if k.Curve != nil {
		if speed == 0 {
			speed = k.Curve.Torque.Speed
		}
		if k.Curve.Torque.Known() {
			torque = k.Curve.Torque.Speed
		}
		if k.Curve.Power.Known() {
			power = k.Curve.Power.Speed
		}
	}
	if speed == 0 {
		speed = usualSpeed * k.Redline
	}
	c, err = engine.CycleOf(ctx, a, speed, true)
	return c, torque, power, err
}

// usualSpeed is the engine speed that is looked at before the curve is known, as a share of the redline.
const usualSpeed = 0.6

// TorqueOfParts is what the parts of an answer's build do to its torque; curves that the workshop file lacks are
// computed and kept.
func (w *Workshop) TorqueOfParts(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) error {
	_, err := engine.PartsOf(ctx, a, w.results(program), done)
	return err
}

// TorqueOfPartsKept puts the same into the answer on the curve, as far as the workshop file has every curve that it
// takes, and says whether it has.
func (w *Workshop) TorqueOfPartsKept(ctx context.Context, a *asked.Answer, c *engine.Curve, program string) (there bool, err error) {
	t, err := engine.PartsOf(ctx, a, w.results(program).Only(), nil)
	if errors.Is(err, ranges.ErrWaiting) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	c.Take(t)
	return true, nil
}
