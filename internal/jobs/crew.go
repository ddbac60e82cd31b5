package jobs

import (
	"context"
	"slices"
	"sync"
)

// atOnce is how many workers a desk has. Each computes on all processors where it can: more would only make every piece
// of work later and hold the memory of all.
const atOnce = 2

// crew is the workers of a desk, and the jobs that wait in turn for one. A job has a worker while it computes. One that
// waits for another job gives it its worker where that one has none; else the worker goes to the next in turn. Once
// what it waits for has ended it takes a place in turn again, before all that has not begun. So none that waits holds a
// worker, and jobs that wait for each other's work go on. A job that several goroutines work on has one worker for all
// of them, and none from when the first of them waits until the first goes on.
type crew struct {
	mu   sync.Mutex
	busy int    // workers that jobs have
	turn []*Job // the next one first
}

// seat is what a crew knows of a job. The crew's lock guards it.
type seat struct {
	wants  bool          // a worker: it computes, or would
	has    bool          // one
	begun  bool          // before it took its place in turn
	over   bool          // it has ended
	called chan struct{} // closed when the worker comes; nil for a job that is not in turn
	heard  int           // goroutines that wait for that
	guests []*Job        // that wait for it to end
}

// crewOf is whose workers a job computes with; nil for no job, and outside of any desk.
func (j *Job) crewOf() *crew {
	if j == nil {
		return nil
	}
	return j.crew.Load()
}

// apply puts a job in turn for a worker unless it has one.
func (c *crew) apply(j *Job, begun bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.queue(j, begun)
	c.next()
}

// queue puts a job in turn, before all that has not begun when it has. The crew is locked.
func (c *crew) queue(j *Job, begun bool) {
	if j.seat.over {
		return
	}
	j.seat.wants = true
	if j.seat.has || j.seat.called != nil {
		return
	}
	j.seat.begun, j.seat.called = begun, make(chan struct{})
	at := len(c.turn)
	if begun {
		if i := slices.IndexFunc(c.turn, func(other *Job) bool { return !other.seat.begun }); i >= 0 {
			at = i
		}
	}
	c.turn = slices.Insert(c.turn, at, j)
}

// next gives the workers that are free to those in turn, and tells the others their places. The crew is locked.
func (c *crew) next() {
	for c.busy < atOnce && len(c.turn) > 0 {
		c.busy++
		c.hand(c.turn[0])
	}
	for i, j := range c.turn {
		j.placed(i + 1)
	}
}

// hand gives a job a worker that is counted already. The crew is locked.
func (c *crew) hand(j *Job) {
	j.seat.has, j.seat.wants = true, true
	c.strike(j)
}

// strike takes a job out of the turn. The crew is locked.
func (c *crew) strike(j *Job) {
	if j.seat.called == nil {
		return
	}
	close(j.seat.called)
	j.seat.called = nil
	c.turn = slices.DeleteFunc(c.turn, func(other *Job) bool { return other == j })
	j.placed(0)
}

// placed tells a job its place in turn.
func (j *Job) placed(place int) {
	j.mu.Lock()
	same := j.state.Place == place
	j.mu.Unlock()
	if !same {
		j.change(func(s *State) { s.Place = place })
	}
}

// get waits until the job has its worker. The error is the context's; then it is in turn no longer.
func (j *Job) get(ctx context.Context) error {
	c := j.crewOf()
	if c == nil {
		return ctx.Err()
	}
	c.mu.Lock()
	called := j.seat.called
	if called == nil {
		c.mu.Unlock()
		return ctx.Err()
	}
	j.seat.heard++
	c.mu.Unlock()
	select {
	case <-called:
	case <-ctx.Done():
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if j.seat.heard--; j.seat.heard == 0 && j.seat.called != nil {
		j.seat.wants = false
		c.strike(j)
		c.next()
	}
	return ctx.Err()
}

// rest gives the worker of a job that waits for a run away: to the run when that has none, else to the next in turn.
func (j *Job) rest(run *Job) {
	c := j.crewOf()
	if c == nil {
		return
	}
	run.crew.CompareAndSwap(nil, c) // one that was begun outside of the desk is counted while somebody of the desk waits
	c.mu.Lock()
	defer c.mu.Unlock()
	ours := run.crew.Load() == c
	if ours && !run.seat.over {
		run.seat.guests = append(run.seat.guests, j)
	}
	j.seat.wants = false
	if !j.seat.has {
		return
	}
	j.seat.has = false
	if ours && run.seat.wants && !run.seat.has {
		c.hand(run)
	} else {
		c.busy--
	}
	c.next()
}

// resume waits in turn for a worker again, unless the job has it back already. The error is the context's.
func (j *Job) resume(ctx context.Context) error {
	c := j.crewOf()
	if c == nil {
		return nil
	}
	c.apply(j, true)
	return j.get(ctx)
}

// away says that a job waits for a run no longer, though that may go on: then it keeps the worker.
func (j *Job) away(run *Job) {
	c := j.crewOf()
	if c == nil || run.crew.Load() != c {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if i := slices.Index(run.seat.guests, j); i >= 0 {
		run.seat.guests = slices.Delete(run.seat.guests, i, i+1)
	}
	if j.seat.called != nil && j.seat.heard == 0 { // the run has just put it in turn
		j.seat.wants = false
		c.strike(j)
		c.next()
	}
}

// release gives the worker of a job that has ended to the next in turn. Those that have waited for the job, who lent it
// the worker first, stand there too.
func (j *Job) release() {
	j.crew.CompareAndSwap(nil, &crew{}) // nobody lends to it from here on
	c := j.crewOf()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.strike(j)
	was := j.seat
	j.seat = seat{over: true}
	if was.has {
		c.busy--
	}
	for _, g := range was.guests {
		c.queue(g, true)
	}
	c.next()
}
