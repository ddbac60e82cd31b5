// Package jobs runs long work in the background: each piece once for all who wait for it, with progress, the time that is
// left, and an end when it is cancelled or nobody waits any more.
//
// A key and a function go in; a Job that tells its state comes out. It knows nothing of what is worked out.
package jobs

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"shakedown/internal/faults"
)

// Work is what a job does. It ends soon when the context does, and says how far it is; results go where the function puts
// them.
type Work func(ctx context.Context, progress func(done, total int)) error

// State is how a job stands.
type State struct {
	Done, Total int
	Left        time.Duration // estimated; 0 when it cannot be said yet
	Ended       bool
	Cancelled   bool
	Err         error // of an ended job that did not end well
}

// Desk knows the jobs that run. The zero value is ready.
type Desk struct {
	Log *slog.Logger // gets the trace of work that a fault ended; nil for none

	mu   sync.Mutex
	jobs map[string]*Job
	now  func() time.Time // time.Now but in tests
}

// Job is one piece of work that runs or has ended.
type Job struct {
	desk    *Desk
	key     string
	cancel  context.CancelFunc
	ended   chan struct{}
	mu      sync.Mutex
	waiting int
	given   bool // up: cancelled, and not to be joined any more
	began   time.Time
	state   State
	news    chan struct{} // closed and replaced at every change
}

// Join waits for the job of that key, starting it when it does not run. Every Join wants one Leave.
func (d *Desk) Join(key string, work Work) *Job {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.jobs == nil {
		d.jobs = map[string]*Job{}
	}
	if d.now == nil {
		d.now = time.Now
	}
	if j := d.jobs[key]; j != nil {
		j.mu.Lock()
		defer j.mu.Unlock()
		if !j.given {
			j.waiting++
			return j
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	j := &Job{desk: d, key: key, cancel: cancel, ended: make(chan struct{}), waiting: 1, began: d.now(), news: make(chan struct{})}
	d.jobs[key] = j
	go func() {
		err := faults.Catch(func() error { return work(ctx, j.progress) })
		if fault, ok := errors.AsType[*faults.Fault](err); ok && d.Log != nil {
			d.Log.Error("a fault ended work in the background", "error", fault, "trace", fault.Trace)
		}
		d.mu.Lock()
		if d.jobs[key] == j {
			delete(d.jobs, key)
		}
		d.mu.Unlock()
		j.change(func(s *State) {
			s.Ended, s.Left = true, 0
			if fault, ok := errors.AsType[*faults.Fault](err); ok { // told even when nobody waited for it any more
				s.Err = fault
			} else if ctx.Err() != nil {
				s.Cancelled = true
			} else {
				s.Err = err
			}
		})
		cancel()
		close(j.ended)
	}()
	return j
}

// Cancel ends the job of that key for all who wait; nothing happens when there is none.
func (d *Desk) Cancel(key string) {
	d.mu.Lock()
	j := d.jobs[key]
	d.mu.Unlock()
	if j != nil {
		j.give()
	}
}

// give gives the job up.
func (j *Job) give() {
	j.mu.Lock()
	j.given = true
	j.mu.Unlock()
	j.cancel()
}

// Running says whether the job of that key runs.
func (d *Desk) Running(key string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.jobs[key] != nil
}

// Stop cancels all jobs and waits until they have ended, or the context has.
func (d *Desk) Stop(ctx context.Context) {
	d.mu.Lock()
	list := make([]*Job, 0, len(d.jobs))
	for _, j := range d.jobs {
		list = append(list, j)
	}
	d.mu.Unlock()
	for _, j := range list {
		j.give()
		select {
		case <-j.ended:
		case <-ctx.Done():
		}
	}
}

// Leave says that one waits no longer; the last one's leaving cancels the job.
func (j *Job) Leave() {
	j.mu.Lock()
	j.waiting--
	last := j.waiting == 0
	j.mu.Unlock()
	if last {
		j.give()
	}
}

// State is how the job stands now, and a channel that is closed at the next change.
func (j *Job) State() (State, <-chan struct{}) {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.state, j.news
}

func (j *Job) progress(done, total int) {
	j.change(func(s *State) {
		s.Done, s.Total = done, total
		if done > 0 {
			spent := j.desk.now().Sub(j.began)
			s.Left = spent / time.Duration(done) * time.Duration(total-done)
		}
	})
}

func (j *Job) change(do func(s *State)) {
	j.mu.Lock()
	defer j.mu.Unlock()
	do(&j.state)
	close(j.news)
	j.news = make(chan struct{})
}
