package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"shakedown/forecast"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/worth"
	"shakedown/internal/workshop"
	"shakedown/machine"
)

// What the workshop file keeps of the Track page: how sure a lap is, what the parts are worth, sprockets and start.
// Each stands under a hash of all that it follows from, so a changed sheet, recording or program finds nothing old.

// results are those of the workshop file: what it lacks is computed and kept there, under the program's name, so that
// another program finds nothing of it.
func (w *Workshop) results(program string) *Results {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.byProgram[program] == nil {
		if w.byProgram == nil {
			w.byProgram = map[string]*Results{}
		}
		w.byProgram[program] = forecast.NewResults(shelf{w.Bench, program})
	}
	return w.byProgram[program]
}

// shelf is where the workshop file keeps results.
type shelf struct {
	bench   *workshop.Bench
	program string
}

// Kept is the result under a key; false for none.
func (s shelf) Kept(ctx context.Context, key string) ([]byte, bool) {
	v := workshop.ResultAt[json.RawMessage](ctx, s.bench, s.program+" "+key)
	if v == nil {
		return nil, false
	}
	return *v, true
}

// Keep puts a result under a key.
func (s shelf) Keep(ctx context.Context, key string, value []byte) error {
	return s.bench.KeepResult(ctx, s.program+" "+key, json.RawMessage(value))
}

// lapModel is counted up whenever laps come out otherwise of the same inputs, so that nothing old is served.
const lapModel = 16

// lapKey names what a result on the course follows from: the inputs of both builds, the course, the program and the
// model; for the worth of the parts also what is on offer, and for how much. A comment in the sheet leaves it alone,
// and so does a price where none is asked for.
func lapKey(what, program string, a *asked.Answer, more string) string {
	return lapKeyOf(lapModel, what, program, a, more)
}

func lapKeyOf(model int, what, program string, a *asked.Answer, more string) string {
	digest := machine.Digest
	if what == "value" {
		digest = machine.DigestOfOffers
	}
	sum := sha256.New()
	fmt.Fprintf(sum, "%s %d %s %q %q %q %s %s", what, model, program, a.Build.Name, a.Baseline.Name, more, a.Along().Key, digest(a.Build, a.Baseline))
	return hex.EncodeToString(sum.Sum(nil))
}

// TrackKey names a piece of the Track page's work: lap, value under a budget, or line.
func TrackKey(a *asked.Answer, what, program, budget string) string {
	if what != "value" {
		budget = ""
	}
	return lapKey(what, program, a, budget)
}

// LapKept is a lap from the curves that the workshop file has, with its range as far as that is there; nil when a curve
// is missing. The error says that none can be computed, and why.
func (w *Workshop) LapKept(ctx context.Context, a *asked.Answer, program string) (*course.Lap, error) {
	l, err := course.LapOf(ctx, a, w.results(program).Only())
	if errors.Is(err, ranges.ErrWaiting) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	l.Range = workshop.ResultAt[course.Range](ctx, w.Bench, lapKey("lap", program, a, w.sureness(ctx, a, program)))
	return l, nil
}

// Sharpen puts the lap with its range in place of the rough one of an answer, where the workshop file has it.
func (w *Workshop) Sharpen(ctx context.Context, a *asked.Answer, program string) {
	if l, err := w.LapKept(ctx, a, program); err == nil && l != nil && l.Range != nil {
		a.Put(l.Figure())
	}
}

// sureness tells a lap whose range knows how sure the torque is from one that takes a tenth of it.
func (w *Workshop) sureness(ctx context.Context, a *asked.Answer, program string) string {
	if known, _ := course.OnCourse(a, w.results(program)); known.Together(ctx, a.Build, a.Baseline).Rough() {
		return "rough"
	}
	return "sure"
}

// KeepLapRange works out how sure the lap is, and keeps it in the workshop file.
func (w *Workshop) KeepLapRange(ctx context.Context, a *asked.Answer, program string) error {
	r, err := course.RangeOf(ctx, a, w.results(program))
	if err != nil {
		return err
	}
	return w.KeepResult(ctx, lapKey("lap", program, a, w.sureness(ctx, a, program)), r)
}

// KeepValue finds what the parts are worth, and keeps it in the workshop file.
func (w *Workshop) KeepValue(ctx context.Context, a *asked.Answer, program, budget string, done func(ready, total int)) error {
	v, err := worth.ValueOf(ctx, a, budget, w.results(program), done)
	if err != nil {
		return err
	}
	return w.KeepResult(ctx, lapKey("value", program, a, budget), v)
}

// ValueKept is what the workshop file has of the worth of the parts; nil for nothing.
func (w *Workshop) ValueKept(ctx context.Context, a *asked.Answer, program, budget string) *worth.Value {
	v := workshop.ResultAt[worth.Value](ctx, w.Bench, lapKey("value", program, a, budget))
	if v != nil {
		v.System = a.System
	}
	return v
}

// Decide makes the advice as whole as what the workshop file knows of the worth of the parts, and says whether that has
// to be worked out.
func (w *Workshop) Decide(ctx context.Context, a *asked.Answer, program string) (waits bool) {
	if !a.Advice.Waits {
		return false
	}
	if v := w.ValueKept(ctx, a, program, ""); v != nil {
		worth.Advise(a, v, "")
	} else if _, err := w.LapKept(ctx, a, program); err != nil && ctx.Err() == nil {
		worth.Advise(a, nil, err.Error())
	}
	return a.Advice.Waits
}

// KeepLine works out sprockets and start, and keeps them in the workshop file.
func (w *Workshop) KeepLine(ctx context.Context, a *asked.Answer, program string, done func(ready, total int)) error {
	l, err := course.LineOf(ctx, a, w.results(program), done)
	if err != nil {
		return err
	}
	return w.KeepResult(ctx, lapKey("line", program, a, ""), l)
}

// LineKept is what the workshop file has of sprockets and start; nil for nothing.
func (w *Workshop) LineKept(ctx context.Context, a *asked.Answer, program string) *course.Line {
	l := workshop.ResultAt[course.Line](ctx, w.Bench, lapKey("line", program, a, ""))
	if l == nil {
		return nil
	}
	if l.Gearing != nil {
		l.Gearing.System = a.System
	}
	if l.Start != nil {
		l.Start.System = a.System
	}
	return l
}

// RideKept adds the laps that the workshop file knows to a comparison, and says whether all are there. A build that can
// have none is not waited for.
func (w *Workshop) RideKept(ctx context.Context, c *Comparison, program string) bool {
	c.Laps = make([]*course.Lap, len(c.Answers))
	whole := true
	for i, a := range c.Answers {
		l, err := w.LapKept(ctx, a, program)
		if err != nil {
			continue
		}
		if l == nil || l.Range == nil {
			whole = false
		}
		c.Laps[i] = l
	}
	return whole
}

// KeepRides works out the laps of a comparison with their ranges, and keeps them in the workshop file.
func (w *Workshop) KeepRides(ctx context.Context, c *Comparison, program string, done func(ready, total int)) error {
	for i, a := range c.Answers {
		if l, err := w.LapKept(ctx, a, program); err != nil || l != nil && l.Range != nil {
			continue
		}
		if err := w.KeepLapRange(ctx, a, program); err != nil && (ctx.Err() != nil || !errors.Is(err, track.ErrNoLap) && !errors.Is(err, torque.ErrNoCurve)) {
			return err
		}
		done(i+1, len(c.Answers))
	}
	return nil
}
