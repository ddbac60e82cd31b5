package app

import (
	"context"
	"errors"

	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/worth"
	"shakedown/internal/faults"
)

// Decide makes the advice whole: when it hangs on what the parts are worth, that is worked out.
func Decide(ctx context.Context, a *asked.Answer, known *Results, done func(ready, total int)) error {
	if !a.Advice.Waits {
		return nil
	}
	v, err := worth.ValueOf(ctx, a, "", known, done)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, track.ErrNoLap) || errors.Is(err, torque.ErrNoCurve) || faults.IsMendable(err):
		worth.Advise(a, nil, err.Error())
	case err != nil:
		return err
	default:
		worth.Advise(a, v, "")
	}
	return nil
}
