// Package jobs runs long work: each piece once under its key for all who wait for it, with progress, the time that is
// left, and an end when it is cancelled or nobody waits any more. A panic in it is told as an error. A desk has two
// workers: the rest of its work waits in turn, and work that only waits for other work holds none.
//
// A key and a function go in; a Job that tells its state comes out, or what the function found. It knows nothing of
// what is worked out.
package jobs

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"shakedown/internal/faults"
)

// Work is what a job does. It ends soon when the context does, and says how far it is; results go where the function
// puts them.
type Work func(ctx context.Context, progress func(done, total int)) error

// Find is work that finds something for all who wait for it. A context that has ended is an error.
type Find func(ctx context.Context, progress func(done, total int)) (any, error)

// State is how a job stands.
type State struct {
	Place       int // in turn for a worker: 1 is the next to have one, 0 needs none
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

// Desk knows the jobs that go on, and has the workers of those that Join puts in turn. The zero value is ready.
type Desk struct {
	Log *slog.Logger // gets the trace of work that a fault ended; nil for none

	mu   sync.Mutex
	jobs map[string]*Job
	crew crew
	now  func() time.Time // time.Now but in tests
}

// Job is one piece of work that waits in turn, goes on or has ended.
type Job struct {
	desk   *Desk
	key    string
	work   Find
	ctx    context.Context
	cancel context.CancelFunc
	ended  chan struct{}
	found  any   // once it has ended
	err    error // the same

	crew atomic.Pointer[crew] // whose workers it computes with; nil for work outside of any desk
	seat seat

	mu      sync.Mutex
	waiting int
	given   bool // up: cancelled, and not to be joined any more
	began   time.Time
	state   State
	news    chan struct{} // closed and replaced at every change
}

// Join waits for the job of that key, putting it in turn when it is not there. Every Join needs one Leave.
func (d *Desk) Join(key string, work Work) *Job {
	find := func(ctx context.Context, progress func(done, total int)) (any, error) {
		return nil, work(ctx, progress)
	}
	j, begun := d.enter(context.Background(), key, find, &d.crew)
	if begun {
		d.crew.apply(j, false)
		go j.run()
	}
	return j
}

// Do is what the work of that key finds, once for all who wait for it at a time: it begins here, or goes on already.
// Whoever waits within a job holds no worker meanwhile; see crew. Done is told how far it is, from this goroutine; nil
// for nobody. The error is that of the work, a *faults.Fault among them, or the context's.
func (d *Desk) Do(ctx context.Context, key string, find Find, done func(done, total int)) (any, error) {
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	waiter, _ := ctx.Value(within{}).(*Job)
	j, begun := d.enter(ctx, key, find, waiter.crewOf())
	defer j.Leave()
	waiter.rest(j)
	if begun {
		if c := j.crew.Load(); c != nil {
			c.apply(j, true)
		}
		go j.run()
	}
	var told State
	for {
		s, news := j.State()
		if done != nil && (s.Done != told.Done || s.Total != told.Total) {
			done(s.Done, s.Total)
		}
		if told = s; s.Ended {
			break
		}
		select {
		case <-ctx.Done():
			waiter.away(j)
			return nil, ctx.Err()
		case <-news:
		}
	}
	if err := waiter.resume(ctx); err != nil {
		return nil, err
	}
	return j.found, j.err
}

// within is the key of a context under which the job stands that does the work in it.
type within struct{}

// enter adds one who waits for the job of a key, and makes it when it is not there.
func (d *Desk) enter(ctx context.Context, key string, find Find, with *crew) (j *Job, begun bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.jobs == nil {
		d.jobs = map[string]*Job{}
	}
	if d.now == nil {
		d.now = time.Now
	}
	if j := d.jobs[key]; j != nil && j.joined() {
		return j, false
	}
	j = &Job{desk: d, key: key, work: find, ended: make(chan struct{}), waiting: 1, seat: seat{wants: true}, news: make(chan struct{})}
	j.ctx, j.cancel = context.WithCancel(context.WithValue(context.WithoutCancel(ctx), within{}, j))
	j.crew.Store(with)
	d.jobs[key] = j
	return j, true
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

// run does the work once there is a worker for it.
func (j *Job) run() {
	err := j.get(j.ctx)
	if err == nil {
		j.mu.Lock()
		j.began = j.desk.now()
		j.mu.Unlock()
		err = faults.Catch(func() (err error) {
			j.found, err = j.work(j.ctx, j.progress)
			return err
		})
	}
	if fault, ok := errors.AsType[*faults.Fault](err); ok && j.desk.Log != nil {
		j.desk.Log.Error("a fault ended work in the background", "error", fault, "trace", fault.Trace)
	}
	j.desk.mu.Lock()
	if j.desk.jobs[j.key] == j {
		delete(j.desk.jobs, j.key)
	}
	j.desk.mu.Unlock()
	j.release()
	j.end(err)
}

// end tells all who wait that the work is over.
func (j *Job) end(err error) {
	j.err = err
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

// give gives the job up.
func (j *Job) give() {
	j.mu.Lock()
	j.given = true
	j.mu.Unlock()
	j.cancel()
}

// Load is how many workers compute and how many jobs wait in turn for one.
func (d *Desk) Load() (computing, waiting int) {
	d.crew.mu.Lock()
	defer d.crew.mu.Unlock()
	return d.crew.busy, len(d.crew.turn)
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
	j.given = j.given || last // before anybody else can join
	j.mu.Unlock()
	if last {
		j.cancel()
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
