package app

import (
	"context"
	"slices"
	"sync"
	"time"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/sheet"
)

// Workshop is the machines of one workshop file and what a person can do with them: a bench, and answers on what lies on it. It may be used from several
// goroutines.
type Workshop struct {
	*workshop.Bench
	mu      sync.Mutex
	texts   map[string]*sheet.Sheet     // the last few texts that were read without an error
	figures map[ofSheet][]figure.Figure // of those
	judged  map[*sheet.Sheet][]*Broken  // builds of those that physics forbids
	rides   map[string]along            // the last few recorded courses that were read, by machine and name
}

// textsKept is how many read sheets are kept: a save reads the text that the next page shows, and several people look at several machines.
const textsKept = 32

// ofSheet names the figures of a build against a baseline of a sheet that was read.
type ofSheet struct {
	sheet           *sheet.Sheet
	build, baseline string
}

// figuresOf gives the figures of a sheet's builds, worked out once for all pages that show them: only the sheet makes them.
func (w *Workshop) figuresOf(s *sheet.Sheet) forecastOf {
	return func(build, baseline *machine.Build) []figure.Figure {
		key := ofSheet{s, build.Name, baseline.Name}
		w.mu.Lock()
		list := w.figures[key]
		w.mu.Unlock()
		if list == nil {
			list = forecast.Forecast(build, baseline)
			w.mu.Lock()
			if len(w.figures) >= 4*textsKept {
				clear(w.figures)
			}
			w.figures[key] = list
			w.mu.Unlock()
		}
		return slices.Clone(list) // an answer adds its own
	}
}

// read is the sheet of a text, read once.
func (w *Workshop) read(text []byte) (*sheet.Sheet, error) {
	w.mu.Lock()
	s := w.texts[string(text)]
	w.mu.Unlock()
	if s != nil {
		return s, nil
	}
	s, err := Question{Text: &sheet.File{Name: "sheet", Text: text}}.read()
	if err != nil {
		return nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.texts) >= textsKept {
		clear(w.texts)
		clear(w.figures)
		clear(w.judged)
	}
	w.texts[string(text)] = s
	return s, nil
}

// judge looks at every build of a sheet, once.
func (w *Workshop) judge(s *sheet.Sheet) []*Broken {
	w.mu.Lock()
	list, ok := w.judged[s]
	w.mu.Unlock()
	if !ok {
		list = judge(s)
		w.mu.Lock()
		w.judged[s] = list
		w.mu.Unlock()
	}
	return list
}

// BrokenBuilds are the builds of an answer's sheet that physics forbids.
func (w *Workshop) BrokenBuilds(a *Answer) (names []string) {
	for _, b := range w.judge(a.Sheet) {
		names = append(names, b.Build)
	}
	return names
}

// OpenWorkshop opens a workshop file, or makes it. Errors are for the owner to read; nothing is touched when there is one.
func OpenWorkshop(ctx context.Context, path string, now func() time.Time) (*Workshop, error) {
	return over(func(judge workshop.Judge) (*workshop.Bench, error) { return workshop.Open(ctx, path, now, judge) })
}

// ReadWorkshop opens a workshop file of which nothing will be changed, also one that cannot be written.
func ReadWorkshop(ctx context.Context, path string, now func() time.Time) (*Workshop, error) {
	return over(func(judge workshop.Judge) (*workshop.Bench, error) { return workshop.OpenToRead(ctx, path, now, judge) })
}

// over is a workshop over its bench, which it judges for.
func over(open func(judge workshop.Judge) (*workshop.Bench, error)) (*Workshop, error) {
	w := &Workshop{texts: map[string]*sheet.Sheet{}, figures: map[ofSheet][]figure.Figure{}, judged: map[*sheet.Sheet][]*Broken{}, rides: map[string]along{}}
	var err error
	w.Bench, err = open(workshop.Judge{Read: w.read, Save: w.saves, Recording: func(ctx context.Context, name string, data []byte) error {
		_, _, err := readRide(ctx, name, data)
		return err
	}})
	if err != nil {
		return nil, err
	}
	return w, nil
}

// saves says why a sheet must not be saved: builds that physics forbids and that were not so in the sheet before, which is nil where there was none; or what
// no question would get an answer on.
func (w *Workshop) saves(s, before *sheet.Sheet) error {
	var was []*Broken
	if before != nil {
		was = w.judge(before)
	}
	if err := refused(w.judge(s), was, len(s.Project.Builds)); err != nil {
		return err
	}
	if _, err := answer(s, Question{Now: time.Unix(0, 0), known: w.figuresOf(s)}); err != nil {
		if _, broken := IsBroken(err); !broken { // it was so before
			return err
		}
	}
	return nil
}

// Named is what the machine is called.
func (a *Answer) Named() string { return a.Sheet.Project.Called() }

// Ask answers a question about the newest revision of a machine, or about a text laid over it.
func (w *Workshop) Ask(ctx context.Context, id string, q Question) (*Answer, workshop.Revision, error) {
	head, err := w.Head(ctx, id)
	if err != nil {
		return nil, head, err
	}
	if q.Text == nil {
		q.Text = &sheet.File{Name: "sheet", Text: head.Text}
	}
	q.Now = w.Now()
	q.Rides = w.rideOf(ctx, id)
	s, err := w.read(q.Text.Text)
	if err != nil {
		return nil, head, faults.Mendable(err)
	}
	q.known = w.figuresOf(s)
	a, err := answer(s, q)
	return a, head, err
}
