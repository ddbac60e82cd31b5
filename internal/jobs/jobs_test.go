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
		if d.Running("k") {
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
