// Package plan says when a build is ready: tasks with waiting times, what they wait for and what they keep busy go in;
// start and end dates, the longest chain of waiting and the latest dates for a race day come out.
//
// Whole calendar days are planned; two tasks that keep the same thing busy never overlap. It knows nothing of parts,
// prices or machines, and no public holidays.
package plan

import (
	"cmp"
	"container/heap"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Task is something that takes time: a part on order, or work at a shop.
type Task struct {
	ID    string
	Name  string
	Takes Span
	After []string // ids of tasks that must be over first
	Busy  string   // what it keeps busy; "" for nothing
}

// Step is a task with its dates.
type Step struct {
	Task
	Start, End  time.Time // End is the day on which it is over
	LatestStart time.Time // for the goal: race day, or the day all is ready when there is none
	Slack       int       // days between Start and LatestStart; negative when it is late
	Critical    bool      // on the longest chain of waiting
}

// Plan is the dates of all tasks.
type Plan struct {
	Start, Ready time.Time
	Days         int    // calendar days from Start to Ready
	Steps        []Step // in the order of their start
	Chain        []string
	Late         int // days by which the race day is missed; 0 when it is not, or there is none
}

// Circle is the error for tasks that wait for one another.
type Circle struct{ IDs []string }

// Error names the circle.
func (c *Circle) Error() string { return "a circle of waiting: " + strings.Join(c.IDs, " -> ") }

// Schedule plans the tasks from a day on. Race day may be zero. Tasks that keep the same thing busy are put one after
// the other, the one with the longer chain behind it first: a rule of thumb that is good for a handful of tasks, not
// proven the shortest. The error is a *Circle, or says which task is not planned.
func Schedule(tasks []Task, start, race time.Time) (Plan, error) {
	after, err := predecessors(tasks)
	if err != nil {
		return Plan{}, err
	}
	order, err := priorityOrder(tasks, after)
	if err != nil {
		return Plan{}, err
	}
	last := map[string]int{} // the task that kept a thing busy last
	for _, i := range order {
		if busy := tasks[i].Busy; busy != "" {
			if before, ok := last[busy]; ok && !slices.Contains(after[i], before) {
				after[i] = append(after[i], before)
			}
			last[busy] = i
		}
	}
	p := Plan{Start: start, Ready: start}
	steps := make([]Step, len(tasks))
	for _, i := range order {
		steps[i] = Step{Task: tasks[i], Start: start}
		for _, before := range after[i] {
			if steps[before].End.After(steps[i].Start) {
				steps[i].Start = steps[before].End
			}
		}
		steps[i].End = tasks[i].Takes.After(steps[i].Start)
		if steps[i].End.After(p.Ready) {
			p.Ready = steps[i].End
		}
	}
	goal := p.Ready
	if !race.IsZero() {
		goal = race
		p.Late = max(0, DaysBetween(race, p.Ready))
	}
	latest(steps, after, order, goal)
	p.Chain = chain(steps, after, p.Ready, start)
	critical := map[string]bool{}
	for _, id := range p.Chain {
		critical[id] = true
	}
	for i := range steps {
		steps[i].Critical = critical[steps[i].ID]
	}
	p.Days = DaysBetween(start, p.Ready)
	p.Steps = steps
	slices.SortStableFunc(p.Steps, func(a, b Step) int { return a.Start.Compare(b.Start) })
	return p, nil
}

// predecessors lists for each task those it waits for.
func predecessors(tasks []Task) ([][]int, error) {
	byID := make(map[string]int, len(tasks))
	for i, t := range tasks {
		if _, twice := byID[t.ID]; twice {
			return nil, fmt.Errorf("two tasks are called %s", t.ID)
		}
		byID[t.ID] = i
	}
	after := make([][]int, len(tasks))
	for i, t := range tasks {
		for _, id := range t.After {
			before, ok := byID[id]
			if !ok {
				return nil, fmt.Errorf("%s waits for %s, which is not planned", t.ID, id)
			}
			after[i] = append(after[i], before)
		}
	}
	return after, nil
}

// priorityOrder puts each task after all it waits for; of those that could come next, the one with the longest chain of
// days behind it first, then the one that was entered first.
func priorityOrder(tasks []Task, after [][]int) ([]int, error) {
	tail, err := tails(tasks, after)
	if err != nil {
		return nil, err
	}
	open := make([]int, len(tasks)) // how many are still waited for
	behind := followers(after)
	ready := &free{tail: tail}
	for i := range tasks {
		if open[i] = len(after[i]); open[i] == 0 {
			heap.Push(ready, i)
		}
	}
	order := make([]int, 0, len(tasks))
	for ready.Len() > 0 {
		next := heap.Pop(ready).(int)
		order = append(order, next)
		for _, i := range behind[next] {
			if open[i]--; open[i] == 0 {
				heap.Push(ready, i)
			}
		}
	}
	return order, nil
}

// free is the heap of the tasks that wait for nothing any more: the longest tail first, then the order of the sheet.
type free struct {
	tail  []int
	tasks []int
}

// Len, Less, Swap, Push and Pop are what container/heap needs.
func (f *free) Len() int { return len(f.tasks) }
func (f *free) Less(a, b int) bool {
	return cmp.Or(cmp.Compare(f.tail[f.tasks[b]], f.tail[f.tasks[a]]), cmp.Compare(f.tasks[a], f.tasks[b])) < 0
}
func (f *free) Swap(a, b int) { f.tasks[a], f.tasks[b] = f.tasks[b], f.tasks[a] }
func (f *free) Push(task any) { f.tasks = append(f.tasks, task.(int)) }
func (f *free) Pop() any {
	last := f.tasks[len(f.tasks)-1]
	f.tasks = f.tasks[:len(f.tasks)-1]
	return last
}

// followers turns the lists of what each task waits for round: what waits for it.
func followers(after [][]int) [][]int {
	behind := make([][]int, len(after))
	for i := range after {
		for _, before := range after[i] {
			behind[before] = append(behind[before], i)
		}
	}
	return behind
}

// rough is a span in days, good enough to rank tasks.
func (s Span) rough() int { return s.Months*30 + s.Days + s.WorkingDays*7/5 }

// tails is the longest chain of days from the start of each task to the end of all.
func tails(tasks []Task, after [][]int) ([]int, error) {
	behind := followers(after)
	const open, done = 1, 2
	state := make([]int, len(tasks))
	tail := make([]int, len(tasks))
	var path []int
	var visit func(i int) error
	visit = func(i int) error {
		switch state[i] {
		case done:
			return nil
		case open:
			circle := &Circle{}
			for _, j := range path[slices.Index(path, i):] {
				circle.IDs = append(circle.IDs, tasks[j].ID)
			}
			circle.IDs = append(circle.IDs, tasks[i].ID)
			return circle
		}
		state[i] = open
		path = append(path, i)
		longest := 0
		for _, next := range behind[i] {
			if err := visit(next); err != nil {
				return err
			}
			longest = max(longest, tail[next])
		}
		path = path[:len(path)-1]
		tail[i], state[i] = longest+tasks[i].Takes.rough(), done
		return nil
	}
	for i := range tasks {
		if err := visit(i); err != nil {
			return nil, err
		}
	}
	return tail, nil
}

// latest is the backward pass: the last day on which each task can begin and the goal still hold.
func latest(steps []Step, after [][]int, order []int, goal time.Time) {
	end := make([]time.Time, len(steps))
	for i := range end {
		end[i] = goal
	}
	for _, i := range slices.Backward(order) {
		steps[i].LatestStart = steps[i].Takes.Before(end[i])
		steps[i].Slack = DaysBetween(steps[i].Start, steps[i].LatestStart)
		for _, before := range after[i] {
			if steps[i].LatestStart.Before(end[before]) {
				end[before] = steps[i].LatestStart
			}
		}
	}
}

// chain is the longest chain of waiting: back from a task that ends last, each time to what it had to wait for.
func chain(steps []Step, after [][]int, ready, start time.Time) []string {
	at := slices.IndexFunc(steps, func(s Step) bool { return s.End.Equal(ready) && s.End.After(start) })
	var ids []string
	for at >= 0 {
		ids = append(ids, steps[at].ID)
		next := -1
		for _, before := range after[at] {
			if steps[before].End.Equal(steps[at].Start) && steps[before].End.After(steps[before].Start) {
				next = before
				break
			}
		}
		at = next
	}
	slices.Reverse(ids)
	return ids
}
