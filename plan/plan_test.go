package plan

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

var monday = time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)

func date(text string) time.Time {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return day
}

// network makes tasks of days and predecessors, numbered from 1.
func network(days []int, after map[int][]int) []Task {
	tasks := make([]Task, len(days))
	for i, d := range days {
		tasks[i] = Task{ID: fmt.Sprint(i + 1), Takes: Span{Days: d}}
		for _, before := range after[i+1] {
			tasks[i].After = append(tasks[i].After, fmt.Sprint(before))
		}
	}
	return tasks
}

// steps gives the plan's steps in the order of the tasks.
func steps(p Plan, tasks []Task) []Step {
	list := make([]Step, len(tasks))
	for i, task := range tasks {
		list[i] = p.Steps[slices.IndexFunc(p.Steps, func(s Step) bool { return s.ID == task.ID })]
	}
	return list
}

func TestOutsideCriticalPath(t *testing.T) {
	seen := []outside.Known{outside.Seen, outside.Computed}
	const vanhoucke = "Vanhoucke, Integrated Project Management and Control, Springer 2014"
	const taylor = "Taylor, Introduction to Management Science, ch. 8 solutions"
	for _, n := range []struct {
		id, source string
		days       []int
		after      map[int][]int
		total      int
		early      []int // days from the start
		slack      []int
		critical   []string
	}{
		{"planning S1", vanhoucke + ", p. 6", []int{1, 2, 2, 4, 3, 3, 3, 2, 1, 1, 2, 1, 1, 1, 1, 2, 1},
			map[int][]int{2: {1}, 3: {1}, 4: {2}, 5: {2}, 6: {2}, 7: {3}, 8: {3}, 9: {3}, 10: {3}, 11: {4, 5, 6}, 12: {7}, 13: {8}, 14: {9}, 15: {10}, 16: {11, 12, 13, 14, 15}, 17: {11, 12, 13, 14, 15}},
			11, []int{0, 1, 1, 3, 3, 3, 3, 3, 3, 3, 7, 6, 5, 4, 4, 9, 9}, []int{0, 0, 2, 0, 1, 1, 2, 3, 4, 4, 0, 2, 3, 4, 4, 0, 1}, []string{"1", "2", "4", "11", "16"}},
		{"planning S2", vanhoucke + ", p. 11", []int{2, 2, 4, 3, 4, 1, 1, 1, 1, 1, 3, 2, 1, 1, 2, 1, 1},
			map[int][]int{2: {1}, 3: {2}, 4: {3}, 5: {4}, 6: {5}, 7: {6}, 8: {6}, 9: {6}, 10: {7, 8, 9}, 11: {10}, 12: {11}, 13: {10}, 14: {13}, 15: {12, 14}, 16: {15}, 17: {16}},
			27, nil, []int{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 3, 3, 0, 0, 0}, nil},
		{"planning S4", "package test of three unlinked tasks; " + vanhoucke, []int{3, 2, 4}, nil, 4, []int{0, 0, 0}, []int{1, 2, 0}, []string{"3"}},
		{"planning S5", taylor + ", prob. 1", []int{7, 10, 6, 5, 4, 3, 2}, // activities 1-2, 1-3, 2-4, 3-4, 3-5, 4-5, 5-6
			map[int][]int{3: {1}, 4: {2}, 5: {2}, 6: {3, 4}, 7: {5, 6}}, 20, nil, []int{2, 0, 2, 0, 4, 0, 0}, []string{"2", "4", "6", "7"}},
		{"planning S6", taylor + ", prob. 2", []int{8, 10, 9, 6, 4, 5, 0, 7, 12, 15, 18, 4, 7}, // 1-2 1-3 1-4 2-5 2-6 3-5 4-5(dummy) 4-7 5-7 5-8 6-9 7-8 8-9
			map[int][]int{4: {1}, 5: {1}, 6: {2}, 7: {3}, 8: {3}, 9: {4, 6, 7}, 10: {4, 6, 7}, 11: {5}, 12: {8, 9}, 13: {10, 12}}, 38, nil, []int{1, 0, 6, 1, 8, 0, 6, 11, 0, 1, 8, 0, 0}, []string{"2", "6", "9", "12", "13"}},
	} {
		tasks := network(n.days, n.after)
		p, err := Schedule(tasks, monday, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		outside.Check{ID: n.id, Name: "length of the project", Unit: "days", Got: float64(p.Days), Want: float64(n.total), Source: n.source, Known: seen}.Run(t)
		list := steps(p, tasks)
		for i := range tasks {
			if n.early != nil {
				outside.Check{ID: n.id, Name: "earliest start of " + tasks[i].ID, Unit: "days", Got: float64(DaysBetween(monday, list[i].Start)), Want: float64(n.early[i]), Source: n.source, Known: seen}.Run(t)
			}
			outside.Check{ID: n.id, Name: "slack of " + tasks[i].ID, Unit: "days", Got: float64(list[i].Slack), Want: float64(n.slack[i]), Source: n.source, Known: seen}.Run(t)
		}
		if n.critical != nil && !slices.Equal(p.Chain, n.critical) {
			t.Errorf("%s: longest chain %v, want %v", n.id, p.Chain, n.critical)
		}
	}
	for _, d := range []int{0, 3} {
		p, err := Schedule([]Task{{ID: "a", Takes: Span{Days: d}}}, monday, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		outside.Check{ID: "planning S4", Name: fmt.Sprintf("a single task of %d days", d), Unit: "days", Got: float64(p.Days), Want: float64(d), Source: "package test; " + vanhoucke, Known: seen}.Run(t)
	}
}

func TestOutsideCalendar(t *testing.T) {
	const numpy, java = "NumPy datetime guide, busday_offset", "java.time clamps to the last day of the month"
	seen := []outside.Known{outside.Seen}
	for _, row := range []struct {
		id, from string
		days     int
		want     string
	}{{"planning D4", "2011-06-23", 1, "2011-06-24"}, {"planning D4", "2011-06-23", 2, "2011-06-27"}, {"planning D5", "2011-06-25", 0, "2011-06-27"}, {"planning D5", "2011-06-25", 2, "2011-06-29"}, {"planning D6", "2011-03-20", 0, "2011-03-21"}, {"planning D6", "2011-03-20", 1, "2011-03-22"}} {
		outside.Check{ID: row.id, Name: fmt.Sprintf("%d working days from %s", row.days, row.from), Unit: "days off", Got: float64(DaysBetween(date(row.want), AddWorkingDays(date(row.from), row.days))), Want: 0, Source: numpy, Known: seen}.Run(t)
	}
	outside.Check{ID: "planning D3", Name: "31 January and a month is 28 February", Unit: "days off", Got: float64(DaysBetween(date("2026-02-28"), Span{Months: 1}.After(date("2026-01-31")))), Want: 0, Source: java, Known: []outside.Known{outside.Memory}}.Run(t)
}

func TestSpanBeforeIsTheLatest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Span{rapid.IntRange(0, 5).Draw(t, "months"), rapid.IntRange(0, 40).Draw(t, "days"), rapid.IntRange(0, 30).Draw(t, "working")}
		day := monday.AddDate(0, 0, rapid.IntRange(0, 2000).Draw(t, "day"))
		start := s.Before(day)
		if s.After(start).After(day) {
			t.Fatalf("%+v from %v is over on %v, after %v", s, start, s.After(start), day)
		}
		for later := 1; later <= 4; later++ {
			if next := start.AddDate(0, 0, later); !s.After(next).After(day) {
				t.Fatalf("%+v could start on %v and still serve %v", s, next, day)
			}
		}
	})
}

func plans() *rapid.Generator[[]Task] {
	return rapid.Custom(func(t *rapid.T) []Task {
		tasks := make([]Task, rapid.IntRange(1, 12).Draw(t, "tasks"))
		for i := range tasks {
			tasks[i] = Task{ID: fmt.Sprint(i), Takes: Span{Days: rapid.IntRange(0, 20).Draw(t, "days"), WorkingDays: rapid.IntRange(0, 5).Draw(t, "working")}, Busy: rapid.SampledFrom([]string{"", "", "frame", "head"}).Draw(t, "busy")}
			for before := range i {
				if rapid.IntRange(0, 4).Draw(t, "link") == 0 {
					tasks[i].After = append(tasks[i].After, fmt.Sprint(before))
				}
			}
		}
		return rapid.Permutation(tasks).Draw(t, "order")
	})
}

// The order is that of looking at all tasks for each place: the free one with most behind it, the first in the sheet of
// several.
func TestOrderIsThatOfLookingAtAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := plans().Draw(t, "plan")
		after, err := predecessors(tasks)
		if err != nil {
			t.Fatal(err)
		}
		got, err := priorityOrder(tasks, after)
		if err != nil {
			t.Fatal(err)
		}
		tail, err := tails(tasks, after)
		if err != nil {
			t.Fatal(err)
		}
		var want []int
		for len(want) < len(tasks) {
			next := -1
			for i := range tasks {
				free := !slices.Contains(want, i) && !slices.ContainsFunc(after[i], func(j int) bool { return !slices.Contains(want, j) })
				if free && (next < 0 || tail[i] > tail[next]) {
					next = i
				}
			}
			want = append(want, next)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

func TestPlansHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := plans().Draw(t, "plan")
		race := monday.AddDate(0, 0, rapid.IntRange(0, 200).Draw(t, "race"))
		p, err := Schedule(tasks, monday, race)
		if err != nil {
			t.Fatal(err)
		}
		byID := map[string]Step{}
		for _, s := range p.Steps {
			byID[s.ID] = s
		}
		for _, s := range p.Steps {
			if s.Start.Before(monday) || !s.End.Equal(s.Takes.After(s.Start)) || s.End.After(p.Ready) {
				t.Fatalf("%+v does not fit into the plan until %v", s, p.Ready)
			}
			for _, before := range s.After {
				if byID[before].End.After(s.Start) {
					t.Fatalf("%s starts before %s is over", s.ID, before)
				}
			}
			for _, other := range p.Steps {
				if s.Busy != "" && s.ID < other.ID && s.Busy == other.Busy && s.Start.Before(other.End) && other.Start.Before(s.End) {
					t.Fatalf("%s and %s keep the %s busy at once", s.ID, other.ID, s.Busy)
				}
			}
			if s.Takes.After(s.LatestStart).After(race) {
				t.Fatalf("%s started on %v is not over by the race on %v", s.ID, s.LatestStart, race)
			}
		}
		if late := max(0, DaysBetween(race, p.Ready)); p.Late != late {
			t.Fatalf("late by %d, said %d", late, p.Late)
		}
		if p.Days > 0 && len(p.Chain) == 0 {
			t.Fatal("there is waiting and no chain of it")
		}
	})
}

func TestCircles(t *testing.T) {
	_, err := Schedule([]Task{{ID: "a", After: []string{"c"}}, {ID: "b", After: []string{"a"}}, {ID: "c", After: []string{"b"}}}, monday, time.Time{})
	var circle *Circle
	if !errors.As(err, &circle) || len(circle.IDs) != 4 {
		t.Errorf("circle: %v", err)
	}
	if _, err := Schedule([]Task{{ID: "a", After: []string{"b"}}}, monday, time.Time{}); err == nil {
		t.Error("waiting for nothing known is taken")
	}
	if _, err := Schedule([]Task{{ID: "a"}, {ID: "a"}}, monday, time.Time{}); err == nil {
		t.Error("two tasks of one name are taken")
	}
}

func TestEmptyPlan(t *testing.T) {
	p, err := Schedule(nil, monday, time.Time{})
	if err != nil || p.Days != 0 || !p.Ready.Equal(monday) {
		t.Errorf("nothing to do: %+v (%v)", p, err)
	}
}

func BenchmarkSchedule(b *testing.B) {
	var tasks []Task
	for i := range 40 {
		task := Task{ID: fmt.Sprint(i), Takes: Span{Days: i % 7, WorkingDays: i % 3}, Busy: []string{"", "frame"}[i%2]}
		if i > 3 {
			task.After = []string{fmt.Sprint(i - 3)}
		}
		tasks = append(tasks, task)
	}
	for b.Loop() {
		if _, err := Schedule(tasks, monday, monday.AddDate(0, 6, 0)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(40*float64(b.N)/b.Elapsed().Seconds(), "tasks/s")
}
