package asked

import (
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"shakedown/examples"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// counting are sheets that count what they compute.
func counting() (k *Sheets, figures, answers *atomic.Int64) {
	k, figures, answers = NewSheets(), new(atomic.Int64), new(atomic.Int64)
	k.forecast = func(build, baseline *machine.Build) []figure.Figure {
		figures.Add(1)
		return forecast.Forecast(build, baseline)
	}
	k.answer = func(s *sheet.Sheet, q Question) (*Answer, error) { // the rules are run once in each
		answers.Add(1)
		return Of(s, q)
	}
	return k, figures, answers
}

// results are kept results that go by a number.
type results struct{ is atomic.Int64 }

func (r *results) kept() *Kept {
	return &Kept{Name: "test", Slow: func() (SlowOf, func() bool) {
		at := r.is.Load()
		return func(build, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
			return []figure.Figure{{ID: "test", Value: float64(at)}}, nil
		}, func() bool { return r.is.Load() == at }
	}}
}

var morning = time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC)

// A part is switched while three windows show the build. The judgement at the save and all pages that follow have one
// answer: figures and rules are computed once. The rules were run twice for one window, and once more for each other.
func TestAChangedTextIsAnsweredOnce(t *testing.T) {
	k, figures, answers := counting()
	var kept results
	text, err := examples.Text("fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, err := k.Read(text)
	if err != nil {
		t.Fatal(err)
	}
	for _, build := range []string{"full", "club"} { // the last of the sheet, and another
		t.Run(build, func(t *testing.T) {
			show := func(s *sheet.Sheet, windows int) (list []*Answer) {
				t.Helper()
				var all sync.WaitGroup
				var mu sync.Mutex
				for range windows {
					all.Go(func() {
						a, err := k.Of(s, Question{Build: build, Now: morning, Kept: kept.kept()})
						if err != nil {
							t.Error(err)
							return
						}
						mu.Lock()
						list = append(list, a)
						mu.Unlock()
					})
				}
				all.Wait()
				if len(list) != windows {
					t.FailNow()
				}
				return list
			}
			count := func(what string, f, a int64) {
				t.Helper()
				if figures.Load() != f || answers.Load() != a {
					t.Errorf("%s: figures computed %d times, answers made %d times; want %d and %d", what, figures.Load(), answers.Load(), f, a)
				}
				figures.Store(0)
				answers.Store(0)
			}
			for _, other := range []string{build, "as-found"} { // another window looked at another build last
				if _, err := k.Of(before, Question{Build: other, Now: morning, Kept: kept.kept()}); err != nil {
					t.Fatal(err)
				}
			}
			figures.Store(0)
			answers.Store(0)
			text, err := sheet.Switch(text, build, "wide-axle", false)
			if err != nil {
				t.Fatal(err)
			}
			now, err := k.Read(text)
			if err != nil {
				t.Fatal(err)
			}
			if err := k.Save(now, before); err != nil {
				t.Fatal(err)
			}
			list := show(now, 3)
			count("a switch and three windows", 1, 1)
			if list[0].Build.Has("wide-axle") || list[0].Build != list[2].Build {
				t.Error("that is not the answer on the changed text")
			}

			// Who asked may add to an answer; the others do not see it.
			f := list[0].Figures[0]
			f.Value++
			list[0].Put(f)
			if list[1].Figures[0].Value == f.Value || show(now, 1)[0].Figures[0].Value == f.Value {
				t.Error("one window sees what another has put into its answer")
			}
			count("once more", 0, 0)

			// What it follows from: other results, another day, other units.
			kept.is.Add(1)
			last := func(a *Answer) float64 { return a.Figures[len(a.Figures)-1].Value }
			if a := show(now, 2)[1]; last(a) != float64(kept.is.Load()) {
				t.Errorf("it goes by the results %v, and they are %v", last(a), kept.is.Load())
			}
			count("other results", 0, 1)
			for what, q := range map[string]Question{
				"another day":      {Build: build, Today: morning, Kept: kept.kept()},
				"other units":      {Build: build, Now: morning, System: quantity.US, Kept: kept.kept()},
				"no results":       {Build: build, Now: morning},
				"results of other": {Build: build, Now: morning, Kept: &Kept{Name: "other", Slow: kept.kept().Slow}},
			} {
				for range 2 {
					if _, err := k.Of(now, q); err != nil {
						t.Fatal(err)
					}
				}
				count(what, 0, 1)
			}
			if _, err := k.Of(now, Question{Build: build, Against: build, Now: morning}); err != nil {
				t.Fatal(err)
			}
			count("another baseline", 1, 1)
			slow, _ := kept.kept().Slow()
			for range 2 {
				if _, err := k.Of(now, Question{Build: build, Now: morning, Slow: slow}); err != nil {
					t.Fatal(err)
				}
			}
			count("results that may change", 0, 2)
		})
	}
}

// An answer that has an error is not held, and what cannot be answered is not saved.
func TestErrorsAreNotHeld(t *testing.T) {
	k, _, answers := counting()
	s, err := k.Read([]byte("sheet: 1\nmachine: {layout: quad}\nbuilds: {as-found: []}\n"))
	if err != nil {
		t.Fatal(err)
	}
	broken := errors.New("the file is gone")
	kept := &Kept{Name: "test", Slow: func() (SlowOf, func() bool) {
		return func(build, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) { return nil, broken }, func() bool { return true }
	}}
	for range 2 {
		if _, err := k.Of(s, Question{Kept: kept}); !errors.Is(err, broken) {
			t.Error(err)
		}
	}
	if answers.Load() != 2 {
		t.Errorf("%d answers were begun", answers.Load())
	}
	if _, err := k.Of(s, Question{Now: morning}); err != nil {
		t.Fatal(err)
	}
	bad, err := k.Read([]byte("sheet: 1\nmachine: {layout: quad}\nparts: {pipe: {claims: [{says: more, of: engine.peak_torqu, value: 3 Nm}]}}\nbuilds: {as-found: []}\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, before := range []*sheet.Sheet{nil, s} {
		if err := k.Save(bad, before); err == nil {
			t.Error("a claim of no figure was saved")
		}
	}
}

// A fault that would end the page that shows a save ends the save, for the build that is looked at.
func TestAFaultOfThePageEndsTheSave(t *testing.T) {
	k := NewSheets()
	read := func(text string) *sheet.Sheet {
		s, err := k.Read([]byte("sheet: 1\nmachine: {layout: quad" + text + "}\nbuilds: {as-found: [], as-it-is: []}\n"))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	before, now := read(""), read(", name: other")
	if _, err := k.Of(before, Question{Build: "as-found", Now: morning}); err != nil {
		t.Fatal(err)
	}
	k.answer = func(s *sheet.Sheet, q Question) (*Answer, error) {
		if q.Build == "as-found" {
			panic("no such rule")
		}
		return Of(s, q)
	}
	defer func() {
		if recover() == nil {
			t.Error("it was saved")
		}
	}()
	_ = k.Save(now, before)
}
