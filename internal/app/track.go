package app

import (
	"context"

	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/worth"
)

// Lap computes a lap of a question's build, against the baseline, with its range, and the advice unless quick leaves it
// out as far as it takes long.
func Lap(ctx context.Context, q asked.Question, known *Results, quick bool, done func(ready, total int)) (*course.Lap, error) {
	q.Slow = slowOf(ctx, known)
	a, err := asked.Ask(q)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	if err := known.Prepare(ctx, done, a.Build, a.Baseline); err != nil {
		return nil, err
	}
	l, err := course.LapOf(ctx, a, known)
	if err != nil {
		return nil, err
	}
	if l.Range, err = course.RangeOf(ctx, a, known); err != nil {
		return nil, err
	}
	if !quick {
		err = Decide(ctx, a, known, done)
	}
	l.Advice = a.Advice
	return l, err
}

// StartTo computes the best standing start of a question's build to its first corner.
func StartTo(ctx context.Context, q asked.Question, known *Results) (*course.Start, error) {
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	return course.StartOf(ctx, a, known)
}

// Gearing rides a lap of a question's build with every pair of sprockets that is sold and fits.
func Gearing(ctx context.Context, q asked.Question, known *Results, done func(ready, total int)) (*course.Sprockets, error) {
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	return course.SprocketsOf(ctx, a, known, done)
}

// Tips looks whether a question's build slides before it tips.
func Tips(q asked.Question) (*course.Tips, error) {
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	return course.TipsOf(a)
}

// Value finds what each part of the question's sheet is worth on its course, over the baseline, and, under a budget
// above zero, in which order to buy. The error is Mendable, or that of a lap or a curve that cannot be computed.
func Value(ctx context.Context, q asked.Question, budget string, known *Results, done func(ready, total int)) (*worth.Value, error) {
	q.Slow = slowOf(ctx, known)
	a, err := asked.Ask(q)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	v, err := worth.ValueOf(ctx, a, budget, known, done)
	if err != nil {
		return nil, err
	}
	worth.Advise(a, v, "")
	v.Advice = a.Advice
	return v, nil
}
