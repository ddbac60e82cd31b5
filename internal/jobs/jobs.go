// Package jobs runs long work in the background: each piece once for all who wait for it, with progress, the time that
// is left, and an end when it is cancelled or nobody waits any more. Two pieces run at once; the others wait in turn.
//
// A key and a function go in; a Job that tells its state comes out. It knows nothing of what is worked out.
package jobs

import (
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"time"

	"shakedown/internal/faults"
)

// Work is what a job does. It ends soon when the context does, and says how far it is; results go where the function
// puts them.
type Work func(ctx context.Context, progress func(done, total int)) error

// State is how a job stands.
type State struct {
	Place       int // in turn: 1 is the next to begin, 0 has begun
	Done, Total int
	Left        time.Duration // estimated; 0 when it cannot be said yet
	Ended       bool
	Cancelled   bool
	Err         error // of an ended job that did not end well
}

// LeftText is the time that is left, for people.
func (s State) LeftText() string {
	if s.Left < time.Second {
		return "under a second"
	}
	return s.Left.Round(time.Second).String()
}

// Desk knows the jobs that run. The zero value is ready.
type Desk struct {
	Log *slog.Logger // gets the trace of work that a fault ended; nil for none

	mu      sync.Mutex
	jobs    map[string]*Job
	running int
	turn    []*Job           // that wait to begin, the next one first
	now     func() time.Time // time.Now but in tests
}

// atOnce is how many pieces of work run at the same time. Each uses all processors where it can: more would only make
// every one of them later and hold the memory of all.
const atOnce = 2

// Job is one piece of work that waits in turn, runs or has ended.
type Job struct {
	desk    *Desk
	key     string
	work    Work
	ctx     context.Context
	cancel  context.CancelFunc
	ended   chan struct{}
	mu      sync.Mutex
	waiting int
	given   bool // up: cancelled, and not to be joined any more
	began   time.Time
	state   State
	news    chan struct{} // closed and replaced at every change
}

// Join waits for the job of that key, putting it in turn when it is not there. Every Join needs one Leave.
func (d *Desk) Join(key string, work Work) *Job {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.jobs == nil {
		d.jobs = map[string]*Job{}
	}
	if d.now == nil {
		d.now = time.Now
	}
	if j := d.jobs[key]; j != nil && j.joined() {
		return j
	}
	ctx, cancel := context.WithCancel(context.Background())
	j := &Job{desk: d, key: key, work: work, ctx: ctx, cancel: cancel, ended: make(chan struct{}), waiting: 1, news: make(chan struct{})}
	d.jobs[key] = j
	d.turn = append(d.turn, j)
	d.next()
	return j
}

// joined adds one who waits, but to a job that was given up.
func (j *Job) joined() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.given {
		j.waiting++
	}
	return !j.given
}

// next begins what is next in turn while there is room, and tells the others their places. The desk is locked.
func (d *Desk) next() {
	for d.running < atOnce && len(d.turn) > 0 {
		j := d.turn[0]
		d.turn = slices.Delete(d.turn, 0, 1)
		d.running++
		j.begin()
	}
	for i, j := range d.turn {
		j.change(func(s *State) { s.Place = i + 1 })
	}
}

// begin sets the work going. The desk is locked.
func (j *Job) begin() {
	j.mu.Lock()
	j.began = j.desk.now()
	j.mu.Unlock()
	j.change(func(s *State) { s.Place = 0 })
	go func() {
		err := faults.Catch(func() error { return j.work(j.ctx, j.progress) })
		if fault, ok := errors.AsType[*faults.Fault](err); ok && j.desk.Log != nil {
			j.desk.Log.Error("a fault ended work in the background", "error", fault, "trace", fault.Trace)
		}
		j.desk.mu.Lock()
		j.desk.running--
		j.desk.forget(j)
		j.desk.next()
		j.desk.mu.Unlock()
		j.end(err)
	}()
}

// forget takes a job off the desk. The desk is locked.
func (d *Desk) forget(j *Job) {
	if d.jobs[j.key] == j {
		delete(d.jobs, j.key)
	}
}

// end tells all who wait that the work is over.
func (j *Job) end(err error) {
	j.change(func(s *State) {
		s.Ended, s.Left, s.Place = true, 0, 0
		if fault, ok := errors.AsType[*faults.Fault](err); ok { // told even when nobody waited for it any more
			s.Err = fault
		} else if j.ctx.Err() != nil {
			s.Cancelled = true
		} else {
			s.Err = err
		}
	})
	j.cancel()
	close(j.ended)
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

// give gives the job up. One that has not begun is over at once.
func (j *Job) give() {
	j.mu.Lock()
	j.given = true
	j.mu.Unlock()
	j.cancel()
	d := j.desk
	d.mu.Lock()
	i := slices.Index(d.turn, j)
	if i >= 0 {
		d.turn = slices.Delete(d.turn, i, i+1)
		d.forget(j)
		d.next()
	}
	d.mu.Unlock()
	if i >= 0 {
		j.end(nil)
	}
}

// Load is how many jobs run and how many wait in turn.
func (d *Desk) Load() (running, waiting int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.running, len(d.turn)
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
	}
	for _, j := range list {
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
