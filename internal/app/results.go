package app

import (
	"context"
	"errors"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/machine"
)

// Results are what takes long to compute, held for the time of a run or in a workshop file.
type Results = forecast.Results

// NewResults holds results for the time of a run.
func NewResults() *Results { return forecast.NewResults(nil) }

// slowOf gives an answer the figures that follow from results: curves that may be computed are, and the ranges of the
// lap stay those of the models.
func slowOf(ctx context.Context, known *Results) asked.SlowOf {
	return func(b, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
		for _, of := range []*machine.Build{b, baseline} {
			if _, err := known.Curve(ctx, of, nil); err != nil && ctx.Err() != nil {
				return nil, err // why there is no curve is said by the figures themselves
			}
		}
		return forecast.Slow(ctx, b, baseline, known, on, false)
	}
}

// Slow is what a question needs so that its rules go by torque curves, which are computed for it.
func Slow(ctx context.Context, known *Results) asked.SlowOf { return slowOf(ctx, known) }

// SlowKept is the same from what the workshop file has; whoever goes away meanwhile does not end it.
func (w *Workshop) SlowKept(ctx context.Context, program string) *asked.Kept {
	ctx = context.WithoutCancel(ctx) // another who asks the same has the answer too
	return &asked.Kept{Name: program, Slow: func() (asked.SlowOf, func() bool) {
		known, seen := w.results(program).Noted()
		return slowOf(ctx, known), func() bool { return seen.Same(ctx) }
	}}
}

// SlowSure also takes the time to work out how sure the curves, the lap and the start are.
func SlowSure(ctx context.Context, known *Results, done func(ready, total int)) asked.SlowOf {
	return func(b, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
		for _, of := range []*machine.Build{b, baseline} {
			if _, err := known.Curve(ctx, of, nil); err != nil && !errors.Is(err, torque.ErrNoCurve) {
				return nil, err
			}
		}
		known := known.Wide()
		if err := known.Prepare(ctx, done, b, baseline); err != nil {
			return nil, err
		}
		return forecast.Slow(ctx, b, baseline, known, on, true)
	}
}
