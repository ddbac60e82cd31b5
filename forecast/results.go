package forecast

import (
	"context"
	"errors"
	"slices"

	"shakedown/forecast/ranges"
	"shakedown/forecast/result"
	"shakedown/forecast/torque"
	"shakedown/internal/faults"
	"shakedown/machine"
)

// Results are what takes long to compute of builds: their torque curves, and how sure those are. It may be used from
// several goroutines.
type Results struct {
	book  *result.Book
	only  bool           // what is there counts, nothing is computed
	usual bool           // the torque is that of usual engines
	wide  bool           // how sure a curve is is worked out with it
	rough bool           // how sure a curve is does not count where it is there
	like  *machine.Build // whose curve all others are much like; nil for none
	seen  *Seen          // what is looked for without being computed; nil for nobody who minds
}

// NewResults computes what is asked for and holds it, in memory and with a keeper; nil for none. Without a keeper, how
// sure curves are counts with Wide alone, so that one run of the program says the same whatever it was asked before.
func NewResults(keeper result.Keeper) *Results {
	return &Results{book: &result.Book{Keeper: keeper}, rough: keeper == nil}
}

// Only gives what is there and computes nothing: what would have to be computed is ranges.ErrWaiting.
func (r *Results) Only() *Results {
	k := *r
	k.only = true
	return &k
}

// Usual gives every build the torque that engines of its kind usually have.
func (r *Results) Usual() *Results {
	k := *r
	k.usual = true
	return &k
}

// Wide works out with each curve how sure it is, which takes several times as long as the curve. Without it that counts
// where a keeper has it.
func (r *Results) Wide() *Results {
	k := *r
	k.wide, k.rough = true, false
	return &k
}

// Prepare works out how sure the curves of builds are where that is wanted; done is told how much is ready. The error
// is the context's: where it cannot be worked out, a rough one serves.
func (r *Results) Prepare(ctx context.Context, done func(ready, total int), builds ...*machine.Build) error {
	if !r.wide {
		return nil
	}
	for i, b := range builds {
		_, err := r.Spread(ctx, b, func(ready, total int) {
			if done != nil {
				done(i*total+ready, len(builds)*total)
			}
		})
		if ctx.Err() != nil {
			return ctx.Err()
		}
		faults.Raise(err)
	}
	return nil
}

// Together is for builds that are held against each other: where how sure a curve is is not there for all of them
// (Prepare works it out), it counts for none, for what they share must cancel.
func (r *Results) Together(ctx context.Context, builds ...*machine.Build) *Results {
	k := *r
	for _, b := range builds {
		if _, err := r.Only().Spread(ctx, b, nil); errors.Is(err, ranges.ErrWaiting) {
			k.rough = true
		}
	}
	return &k
}

// Rough says that how sure curves are does not count.
func (r *Results) Rough() bool { return r.rough }

// Like is for trials over a build: with Wide, of what a trial shares with it, how sure the torque is follows in
// proportion, and only what is its own is worked out; without, how sure curves are does not count.
func (r *Results) Like(b *machine.Build) *Results {
	k := *r
	k.like, k.rough = b, !r.wide
	return &k
}

// Curve is the torque curve of a build. Done is told how many of its speeds are ready; nil for nobody. The error is
// torque.ErrNoCurve with the reason, ranges.ErrWaiting or the context's.
func (r *Results) Curve(ctx context.Context, b *machine.Build, done func(ready, total int)) (*torque.Curve, error) {
	if r.usual {
		return torque.TemplateCurve(b)
	}
	return found(ctx, r, torque.CurveKey(b), func(ctx context.Context, done result.Progress) (*torque.Curve, error) {
		return torque.ComputeCurve(ctx, b, done)
	}, done, torque.CanCurve, b)
}

// Spread is how sure the torque curve of a build is. Done and the error are as for Curve.
func (r *Results) Spread(ctx context.Context, b *machine.Build, done func(ready, total int)) (*torque.Spread, error) {
	return found(ctx, r, torque.SpreadKey(b), func(ctx context.Context, done result.Progress) (*torque.Spread, error) {
		return torque.ComputeSpread(ctx, b, done)
	}, done, torque.CanCurve, b)
}

// found is a result that is there, or is computed.
func found[T any](ctx context.Context, r *Results, key string, compute func(context.Context, result.Progress) (*T, error), done result.Progress, can func(*machine.Build) error, b *machine.Build) (*T, error) {
	if err := can(b); err != nil {
		return nil, err
	}
	if r.only {
		r.seen.note(ctx, key) // before it is read: what comes in between is another
		if v, ok := result.Has[*T](ctx, r.book, key); ok && v != nil {
			return v, nil
		}
		return nil, ranges.ErrWaiting
	}
	return result.Of(ctx, r.book, key, compute, done)
}

// Sure is the torque curve of a build with how sure it is, as far as that is known and can be worked out: else a rough
// one. The error is as for Curve.
func (r *Results) Sure(ctx context.Context, b *machine.Build) (*torque.Sure, error) {
	k, err := r.Curve(ctx, b, nil)
	if err != nil {
		return nil, err
	}
	if r.usual || r.rough {
		return torque.NewSure(b, k, nil), nil
	}
	s, err := r.spread(ctx, b, k)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	faults.Raise(err)
	return torque.NewSure(b, k, s), nil
}

// spread is how sure a curve is: what is there, or worked out where that is wanted.
func (r *Results) spread(ctx context.Context, b *machine.Build, k *torque.Curve) (*torque.Spread, error) {
	own, err := r.Only().Spread(ctx, b, nil)
	if !errors.Is(err, ranges.ErrWaiting) || !r.wide || r.only {
		return own, err
	}
	if r.like == nil || torque.CanCurve(r.like) != nil {
		return r.Spread(ctx, b, nil)
	}
	before, err := r.Curve(ctx, r.like, nil)
	if err != nil {
		return nil, err
	}
	base, err := r.Spread(ctx, r.like, nil)
	if err != nil {
		return nil, err
	}
	return base.Like(ctx, b, k, before, nil)
}

// knownOf are the results of a few builds as far as they are there, for figures to read.
func (r *Results) knownOf(ctx context.Context, builds ...*machine.Build) known {
	k := known{}
	r = r.Together(ctx, slices.DeleteFunc(slices.Clone(builds), func(b *machine.Build) bool { return b == nil })...)
	for _, b := range builds {
		if b == nil {
			continue
		}
		s, err := r.Only().Sure(ctx, b)
		k[b] = one{s, err}
	}
	return k
}

type known map[*machine.Build]one

type one struct {
	sure *torque.Sure
	err  error
}

// Of is the result of that name.
func (k known) Of(b *machine.Build, name string) (any, error) {
	of, ok := k[b]
	if !ok || name != torque.CurveResult {
		return nil, ranges.ErrWaiting
	}
	return of.sure, of.err
}
