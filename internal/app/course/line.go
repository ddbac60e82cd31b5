package course

import (
	"context"

	"shakedown/forecast"
	"shakedown/internal/app/asked"
)

// Line is what a build does from the line and in its gears: the sprockets that fit, and the start. Either may be
// impossible, and says why.
type Line struct {
	Gearing    *Sprockets
	GearingWhy string
	Start      *Start
	StartWhy   string
}

// LineOf works out sprockets and start of the answer's build.
func LineOf(ctx context.Context, a *asked.Answer, known *forecast.Results, done func(ready, total int)) (*Line, error) {
	l := &Line{}
	var err error
	if l.Gearing, err = SprocketsOf(ctx, a, known, done); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		l.Gearing, l.GearingWhy = nil, err.Error()
	}
	if l.Start, err = StartOf(ctx, a, known); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		l.Start, l.StartWhy = nil, err.Error()
	}
	return l, nil
}
