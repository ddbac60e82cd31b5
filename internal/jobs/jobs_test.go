package jobs

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// until waits for a state of the job.
func until(t *testing.T, j *Job, want func(s State) bool) State {
	t.Helper()
	for {
		s, news := j.State()
		if want(s) {
			return s
		}
		if s.Ended {
			t.Fatalf("the job ended as %+v", s)
		}
		<-news
	}
}

func ended(s State) bool { return s.Ended }

func TestAJobRunsOnceForAllWhoWait(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d Desk
		var runs atomic.Int32
		work := func(ctx context.Context, progress func(done, total int)) error {
			runs.Add(1)
			for i := range 10 {
				select {
				case <-ctx.Done():
					return ctx.Err()
				case <-time.After(time.Second):
				}
				progress(i+1, 10)
			}
			return nil
		}
		a, b := d.Join("k", work), d.Join("k", work)
		s := until(t, a, func(s State) bool { return s.Done == 4 })
		if s.Left != 6*time.Second || s.Total != 10 {
			t.Errorf("after four of ten seconds: %+v", s)
		}
		a.Leave()
		if s := until(t, b, ended); s.Err != nil || s.Cancelled || runs.Load() != 1 {
			t.Errorf("%+v after %d runs", s, runs.Load())
		}
		b.Leave()
		d.mu.Lock()
		defer d.mu.Unlock()
		if d.jobs["k"] != nil {
			t.Error("it is still running")
		}
	})
}

func TestAJobEndsWhenNobodyWaitsOrItIsCancelled(t *testing.T) {
	for name, end := range map[string]func(d *Desk, j *Job){
		"nobody waits": func(_ *Desk, j *Job) { j.Leave() },
		"cancelled":    func(d *Desk, _ *Job) { d.Cancel("k") },
		"stopped":      func(d *Desk, _ *Job) { d.Stop(context.Background()) },
	} {
		t.Run(name, func(t *testing.T) {
			var d Desk
			j := d.Join("k", func(ctx context.Context, _ func(done, total int)) error { <-ctx.Done(); return ctx.Err() })
			end(&d, j)
			if s := until(t, j, ended); !s.Cancelled || s.Err != nil {
				t.Errorf("%+v", s)
			}
		})
	}
}

func TestAnErrorIsTold(t *testing.T) {
	var d Desk
	broken := errors.New("broken")
	j := d.Join("k", func(context.Context, func(done, total int)) error { return broken })
	if s := until(t, j, ended); !errors.Is(s.Err, broken) {
		t.Errorf("%+v", s)
	}
	j.Leave()
}

func TestAPanicEndsTheJobAndNotTheProgram(t *testing.T) {
	var log bytes.Buffer
	d := Desk{Log: slog.New(slog.NewTextHandler(&log, nil))}
	var list []int
	j := d.Join("k", func(context.Context, func(done, total int)) error { return fmt.Errorf("item %d", list[4]) })
	s := until(t, j, ended)
	if s.Err == nil || s.Cancelled || !strings.Contains(s.Err.Error(), "index out of range [4]") {
		t.Errorf("%+v", s)
	}
	if !strings.Contains(log.String(), "jobs_test.go") {
		t.Errorf("no trace in the log: %s", &log)
	}
	again := d.Join("k", func(context.Context, func(done, total int)) error { return nil })
	if s := until(t, again, ended); s.Err != nil {
		t.Errorf("the desk did not go on: %+v", s)
	}
}

// Of fifty pieces of work two run at a time, all end, in turn, and each is told its place. Who leaves or is cancelled
// before the turn comes takes no time of the others.
func TestFiftyWaitInTurn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const clients = 50
		var d Desk
		var running, most, begun atomic.Int32
		began := time.Now()
		list := make([]*Job, clients)
		order := make([]int32, clients)
		for i := range list {
			list[i] = d.Join(fmt.Sprint(i), func(ctx context.Context, _ func(done, total int)) error {
				order[i] = begun.Add(1)
				most.Store(max(most.Load(), running.Add(1)))
				defer running.Add(-1)
				select {
				case <-ctx.Done():
					return ctx.Err()
				case <-time.After(10 * time.Second):
				}
				return nil
			})
			if s, _ := list[i].State(); s.Place != max(0, i-atOnce+1) {
				t.Errorf("number %d is told place %d", i, s.Place)
			}
		}
		again := d.Join("49", nil) // the same work, once more
		again.Leave()
		list[40].Leave()
		d.Cancel("41")
		for i := 42; i < 46; i++ {
			list[i].Leave()
		}
		synctest.Wait()
		for _, i := range []int{40, 41, 42} {
			if s, _ := list[i].State(); !s.Ended || !s.Cancelled || s.Err != nil {
				t.Errorf("number %d left before its turn and is %+v", i, s)
			}
		}
		if s, _ := list[46].State(); s.Place != 46-atOnce-6+1 {
			t.Errorf("six left before number 46, which is told place %d", s.Place)
		}
		for i, j := range list {
			if i >= 40 && i < 46 {
				continue
			}
			if s := until(t, j, ended); s.Err != nil || s.Cancelled || s.Place != 0 {
				t.Errorf("number %d ended as %+v", i, s)
			}
			j.Leave()
		}
		if took := time.Since(began); took != 44/atOnce*10*time.Second {
			t.Errorf("44 pieces of ten seconds took %v, %d at a time", took, atOnce)
		}
		if most.Load() != atOnce || begun.Load() != 44 || order[49] < 43 {
			t.Errorf("at most %d ran at once, %d in all; the last came as number %d", most.Load(), begun.Load(), order[49])
		}
		if running, waiting := d.Load(); running != 0 || waiting != 0 || len(d.jobs) != 0 {
			t.Errorf("%d run, %d wait, %d are known", running, waiting, len(d.jobs))
		}
	})
}

// A desk that is stopped ends what runs and what waits.
func TestStopEndsThoseInTurn(t *testing.T) {
	var d Desk
	var list []*Job
	for i := range 10 {
		list = append(list, d.Join(fmt.Sprint(i), func(ctx context.Context, _ func(done, total int)) error { <-ctx.Done(); return ctx.Err() }))
	}
	d.Stop(t.Context())
	for i, j := range list {
		if s := until(t, j, ended); !s.Cancelled {
			t.Errorf("number %d: %+v", i, s)
		}
	}
}

// Work that was given up in its turn is joined again at the same moment: a new piece of it takes its place, and the
// desk goes on.
func TestJoinedWhileItIsGivenUp(t *testing.T) {
	d := Desk{}
	hold := func(ctx context.Context, _ func(done, total int)) error { <-ctx.Done(); return ctx.Err() }
	for i := range atOnce {
		d.Join(fmt.Sprint("running ", i), hold)
	}
	old := d.Join("k", hold)
	old.mu.Lock()
	old.given = true // as give leaves it until it has the desk
	old.mu.Unlock()
	joined := make(chan *Job)
	go func() { joined <- d.Join("k", hold) }()
	select {
	case j := <-joined:
		if j == old {
			t.Error("a job that was given up was joined")
		}
	case <-time.After(time.Minute):
		t.Fatal("the desk is locked for good")
	}
	old.give()
	if s := until(t, old, ended); !s.Cancelled {
		t.Errorf("%+v", s)
	}
	d.Stop(t.Context())
}
