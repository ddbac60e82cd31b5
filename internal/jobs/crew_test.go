package jobs

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"shakedown/internal/faults"
)

// stand looks at a desk once nothing moves any more.
func stand(t *testing.T, d *Desk, when string, computing, waiting int) {
	t.Helper()
	synctest.Wait()
	if c, w := d.Load(); c != computing || w != waiting {
		t.Errorf("%s: %d compute and %d wait in turn; want %d and %d", when, c, w, computing, waiting)
	}
}

// held is work that computes until it is let go.
type held struct {
	began atomic.Int32 // how often
	let   chan struct{}
}

func hold() *held { return &held{let: make(chan struct{})} }

func (h *held) find(ctx context.Context, progress func(done, total int)) (any, error) {
	h.began.Add(1)
	select {
	case <-h.let:
		progress(1, 1)
		return h, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (h *held) work(ctx context.Context, progress func(done, total int)) error {
	_, err := h.find(ctx, progress)
	return err
}

// needs is work that waits for a run of a book, then computes until it is let go.
func needs(book *Desk, key string, run, rest *held) Work {
	return func(ctx context.Context, progress func(done, total int)) error {
		if found, err := book.Do(ctx, key, run.find, progress); err != nil {
			return err
		} else if found != run {
			return fmt.Errorf("found %v", found)
		}
		return rest.work(ctx, progress)
	}
}

// Of three jobs two need the same curve: it is computed once, the one that only waits for it holds no worker, and the
// third begins. Who goes on comes before who has not begun.
func TestWhoWaitsHoldsNoWorker(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		curve, a, b, other, late := hold(), hold(), hold(), hold(), hold()
		ja := d.Join("a", needs(&book, "curve", curve, a))
		synctest.Wait() // it has begun the curve
		jb := d.Join("b", needs(&book, "curve", curve, b))
		jo := d.Join("other", other.work)
		stand(t, &d, "the curve and the third compute", 2, 0)
		if curve.began.Load() != 1 || other.began.Load() != 1 {
			t.Errorf("the curve began %d times, the third job %d times", curve.began.Load(), other.began.Load())
		}
		jl := d.Join("late", late.work)
		stand(t, &d, "the fourth waits", 2, 1)
		close(curve.let)
		stand(t, &d, "who began the curve has the worker back, who waited for it waits for one", 2, 2)
		for j, place := range map[*Job]int{ja: 0, jb: 1, jo: 0, jl: 2} {
			if s, _ := j.State(); s.Place != place || s.Ended {
				t.Errorf("%s: %+v, want place %d", j.key, s, place)
			}
		}
		if s, _ := jb.State(); s.Done != 1 || s.Total != 1 {
			t.Errorf("who waited was told %+v of the curve", s)
		}
		close(other.let)
		stand(t, &d, "the second goes on", 2, 1)
		if a.began.Load() != 1 || b.began.Load() != 1 || late.began.Load() != 0 {
			t.Errorf("begun: %d %d, and late %d", a.began.Load(), b.began.Load(), late.began.Load())
		}
		for _, h := range []*held{a, b, late} {
			close(h.let)
		}
		stand(t, &d, "all have ended", 0, 0)
		for _, j := range []*Job{ja, jb, jo, jl} {
			if s, _ := j.State(); !s.Ended || s.Err != nil || s.Cancelled || s.Place != 0 {
				t.Errorf("%s: %+v", j.key, s)
			}
		}
	})
}

// Who began a run leaves while another waits for it: the run goes on with the worker that it has, so that no third
// computes, and the other gets what it finds.
func TestWhoBeganItLeaves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		curve, a, b, other, late := hold(), hold(), hold(), hold(), hold()
		ja := d.Join("a", needs(&book, "curve", curve, a))
		synctest.Wait()
		jb := d.Join("b", needs(&book, "curve", curve, b))
		synctest.Wait()
		ja.Leave()
		stand(t, &d, "the curve goes on", 1, 0)
		if s, _ := ja.State(); !s.Cancelled {
			t.Errorf("who left: %+v", s)
		}
		d.Join("other", other.work)
		d.Join("late", late.work)
		stand(t, &d, "the curve and one more", 2, 1)
		close(curve.let)
		stand(t, &d, "who waited goes on before who has not begun", 2, 1)
		if curve.began.Load() != 1 || b.began.Load() != 1 || late.began.Load() != 0 {
			t.Errorf("the curve began %d times, who waited %d, who came late %d", curve.began.Load(), b.began.Load(), late.began.Load())
		}
		jb.Leave()
		stand(t, &d, "the last begins", 2, 0)
		close(other.let)
		close(late.let)
		stand(t, &d, "all have ended", 0, 0)
	})
}

// A run that nobody waits for stops, and its worker is free; who comes in that moment begins it anew.
func TestARunThatNobodyWaitsFor(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		stubborn, again := hold(), hold()
		j := d.Join("a", func(ctx context.Context, _ func(done, total int)) error {
			_, err := book.Do(ctx, "curve", func(ctx context.Context, _ func(done, total int)) (any, error) {
				<-stubborn.let // it looks at the context late
				return nil, ctx.Err()
			}, nil)
			return err
		})
		synctest.Wait()
		j.Leave()
		stand(t, &d, "it has not stopped yet and has its worker", 1, 0)
		b := d.Join("b", needs(&book, "curve", again, again))
		stand(t, &d, "it is begun anew", 2, 0)
		if again.began.Load() != 1 {
			t.Errorf("begun %d times", again.began.Load())
		}
		close(stubborn.let)
		stand(t, &d, "the old one is over", 1, 0)
		close(again.let)
		stand(t, &d, "so is the new one", 0, 0)
		if s, _ := b.State(); !s.Ended || s.Err != nil || s.Cancelled {
			t.Errorf("%+v", s)
		}
		if len(book.jobs) != 0 || len(d.jobs) != 0 {
			t.Errorf("known: %d runs, %d jobs", len(book.jobs), len(d.jobs))
		}
	})
}

// A panic in a run is told to all who wait for it; nobody's worker is lost.
func TestAPanicInARun(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		let := make(chan struct{})
		work := func(ctx context.Context, _ func(done, total int)) error {
			_, err := book.Do(ctx, "curve", func(context.Context, func(done, total int)) (any, error) { <-let; panic("no such speed") }, nil)
			return err
		}
		list := []*Job{d.Join("a", work), d.Join("b", work), d.Join("c", work)}
		stand(t, &d, "three wait", 1, 0)
		close(let)
		stand(t, &d, "it has ended", 0, 0)
		for _, j := range list {
			s, _ := j.State()
			if fault, ok := errors.AsType[*faults.Fault](s.Err); !ok || !strings.Contains(fault.Error(), "no such speed") {
				t.Errorf("%s: %+v", j.key, s)
			}
		}
	})
}

// A full turn: two jobs have both workers, each has begun a run and waits for that of the other, and others stand in
// turn behind them. The runs go on with the two workers.
func TestEachWaitsForTheOther(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		x, y, cross := hold(), hold(), make(chan struct{})
		both := func(first, second string) Work {
			runs := map[string]*held{"x": x, "y": y}
			return func(ctx context.Context, _ func(done, total int)) error {
				other := make(chan error)
				go func() {
					_, err := book.Do(ctx, first, runs[first].find, nil)
					other <- err
				}()
				<-cross
				_, err := book.Do(ctx, second, runs[second].find, nil)
				return errors.Join(err, <-other)
			}
		}
		a := d.Join("a", both("x", "y"))
		synctest.Wait()
		b := d.Join("b", both("y", "x"))
		c := hold()
		jc := d.Join("c", c.work)
		stand(t, &d, "both runs compute", 2, 1)
		close(cross)
		stand(t, &d, "and each job waits for both", 2, 1)
		if x.began.Load() != 1 || y.began.Load() != 1 || c.began.Load() != 0 {
			t.Errorf("begun: x %d, y %d, the third %d", x.began.Load(), y.began.Load(), c.began.Load())
		}
		close(y.let)
		close(x.let)
		synctest.Wait()
		close(c.let)
		stand(t, &d, "all have ended", 0, 0)
		for _, j := range []*Job{a, b, jc} {
			if s, _ := j.State(); !s.Ended || s.Err != nil {
				t.Errorf("%s: %+v", j.key, s)
			}
		}
	})
}

// Runs within runs have the one worker of the job that began the first, one after the other; it comes back the same
// way.
func TestRunsWithinRuns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		inner := hold()
		var within func(depth int) Find
		within = func(depth int) Find {
			return func(ctx context.Context, progress func(done, total int)) (any, error) {
				if depth == 0 {
					return inner.find(ctx, progress)
				}
				return book.Do(ctx, fmt.Sprint(depth-1), within(depth-1), progress)
			}
		}
		work := func(ctx context.Context, progress func(done, total int)) error {
			_, err := book.Do(ctx, "5", within(5), progress)
			return err
		}
		a, b := d.Join("a", work), d.Join("b", work)
		stand(t, &d, "the innermost computes", 1, 0)
		close(inner.let)
		stand(t, &d, "all have ended", 0, 0)
		for _, j := range []*Job{a, b} {
			if s, _ := j.State(); s.Err != nil || s.Done != 1 {
				t.Errorf("%s: %+v", j.key, s)
			}
		}
		if inner.began.Load() != 1 {
			t.Errorf("it began %d times", inner.began.Load())
		}
	})
}

// A run that was begun outside of the desk counts as work of the job that waits for it too, and goes on when whoever
// began it leaves.
func TestARunFromOutside(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d, book Desk
		curve, rest := hold(), hold()
		ctx, cancel := context.WithCancel(t.Context())
		left := make(chan error, 1)
		go func() {
			_, err := book.Do(ctx, "curve", curve.find, nil)
			left <- err
		}()
		stand(t, &d, "no worker", 0, 0)
		for _, key := range []string{"a", "b", "c"} {
			d.Join(key, needs(&book, "curve", curve, rest))
		}
		stand(t, &d, "one worker for the run", 1, 0)
		cancel()
		if err := <-left; !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
		stand(t, &d, "it goes on", 1, 0)
		close(curve.let)
		stand(t, &d, "two of three go on", 2, 1)
		close(rest.let)
		stand(t, &d, "all have ended", 0, 0)
		if curve.began.Load() != 1 || rest.began.Load() != 3 {
			t.Errorf("the curve began %d times, the rest %d", curve.began.Load(), rest.began.Load())
		}
	})
}

// Sixty jobs that wait for one another's runs, runs within runs, and leave when it suits them: never do more than two
// compute, each gets what it asked for unless it left, and nothing is left.
func TestManyWaitForEachOther(t *testing.T) {
	for seed := range uint64(20) {
		synctest.Test(t, func(t *testing.T) {
			random := rand.New(rand.NewPCG(1, seed))
			var d, book Desk
			computing, most := 0, 0
			lock := make(chan struct{}, 1)
			count := func(by int) {
				lock <- struct{}{}
				computing += by
				most = max(most, computing)
				<-lock
			}
			compute := func(ctx context.Context, long time.Duration) error {
				count(1)
				defer count(-1)
				select {
				case <-time.After(long):
					return nil
				case <-ctx.Done():
					return ctx.Err()
				}
			}
			long := make([]time.Duration, 8)
			for i := range long {
				long[i] = time.Duration(1+random.IntN(9)) * time.Second
			}
			var run func(key int) Find // each needs two of those below it
			run = func(key int) Find {
				return func(ctx context.Context, _ func(done, total int)) (any, error) {
					for _, below := range []int{key - 3, key - 2} {
						if below < 0 {
							continue
						}
						if v, err := book.Do(ctx, fmt.Sprint(below), run(below), nil); err != nil || v != below {
							return nil, fmt.Errorf("%v of %d: %w", v, below, err)
						}
					}
					return key, compute(ctx, long[key])
				}
			}
			jobs, patience := make([]*Job, 60), make([]time.Duration, 60)
			for i := range jobs {
				key, before := random.IntN(len(long)), time.Duration(random.IntN(5))*time.Second
				if patience[i] = time.Hour; random.IntN(3) == 0 {
					patience[i] = time.Duration(random.IntN(60)) * time.Second
				}
				jobs[i] = d.Join(fmt.Sprint("job ", i), func(ctx context.Context, _ func(done, total int)) error {
					if err := compute(ctx, before); err != nil {
						return err
					}
					if v, err := book.Do(ctx, fmt.Sprint(key), run(key), nil); err != nil || v != key {
						return fmt.Errorf("%v of %d: %w", v, key, err)
					}
					return compute(ctx, time.Second)
				})
			}
			for i, j := range jobs {
				time.AfterFunc(patience[i], j.Leave)
			}
			time.Sleep(50 * time.Minute)
			for i, j := range jobs {
				if s, _ := j.State(); !s.Ended || s.Err != nil || s.Cancelled && patience[i] == time.Hour {
					t.Errorf("seed %d, job %d: %+v", seed, i, s)
				}
			}
			stand(t, &d, fmt.Sprint("seed ", seed), 0, 0)
			if most > atOnce || len(d.jobs)+len(book.jobs) != 0 {
				t.Errorf("seed %d: %d computed at once; %d jobs and %d runs are left", seed, most, len(d.jobs), len(book.jobs))
			}
			time.Sleep(time.Hour) // the last leave
		})
	}
}
