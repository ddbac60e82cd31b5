package app

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/sheet"
)

// Workshop is the machines of one workshop file and what a person can do with them: a bench, and answers on what lies
// on it. It may be used from several goroutines.
type Workshop struct {
	*workshop.Bench
	sheets    *asked.Sheets
	mu        sync.Mutex
	byProgram map[string]*Results
	rides     map[string]asked.Along // the last few recorded courses that were read, by machine and name
}

// mostRides is how many recorded courses stay as they were read.
const mostRides = 32

// BrokenBuilds are the builds of an answer's sheet that physics forbids.
func (w *Workshop) BrokenBuilds(a *asked.Answer) (names []string) {
	for _, b := range w.sheets.Broken(a.Sheet) {
		names = append(names, b.Build)
	}
	return names
}

// OpenWorkshop opens a workshop file, or makes it. Errors are for the owner to read; nothing is touched when there is
// one.
func OpenWorkshop(ctx context.Context, path string, now func() time.Time) (*Workshop, error) {
	return over(func(judge workshop.Judge) (*workshop.Bench, error) { return workshop.Open(ctx, path, now, judge) })
}

// ReadWorkshop opens a workshop file of which nothing will be changed, also one that cannot be written.
func ReadWorkshop(ctx context.Context, path string, now func() time.Time) (*Workshop, error) {
	return over(func(judge workshop.Judge) (*workshop.Bench, error) { return workshop.OpenToRead(ctx, path, now, judge) })
}

// over is a workshop over its bench, which it judges for.
func over(open func(judge workshop.Judge) (*workshop.Bench, error)) (*Workshop, error) {
	w := &Workshop{sheets: asked.NewSheets(), rides: map[string]asked.Along{}}
	var err error
	w.Bench, err = open(workshop.Judge{Read: w.sheets.Read, Save: w.sheets.Save, Recording: func(ctx context.Context, name string, data []byte) error {
		_, _, err := asked.ReadRide(ctx, name, data)
		return err
	}})
	if err != nil {
		return nil, err
	}
	return w, nil
}

// Ask answers a question about the newest revision of a machine, or about a text laid over it.
func (w *Workshop) Ask(ctx context.Context, id string, q asked.Question) (*asked.Answer, workshop.Revision, error) {
	head, err := w.Head(ctx, id)
	if err != nil {
		return nil, head, err
	}
	if q.Text == nil {
		q.Text = &sheet.File{Name: "sheet", Text: head.Text}
	}
	q.Now = w.Now()
	q.Rides = w.rideOf(context.WithoutCancel(ctx), id) // another who asks the same has the answer too
	s, err := w.sheets.Read(q.Text.Text)
	if err != nil {
		return nil, head, faults.Mendable(err)
	}
	a, err := w.sheets.Of(s, q)
	return a, head, err
}

// Compare answers for several builds of the newest revision; none named means all.
func (w *Workshop) Compare(ctx context.Context, id string, q asked.Question, builds []string) (*Comparison, error) {
	head, err := w.Head(ctx, id)
	if err != nil {
		return nil, err
	}
	s, err := w.sheets.Read(head.Text)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	q.Now, q.Build, q.Rides = w.Now(), "", w.rideOf(context.WithoutCancel(ctx), id)
	return compare(s, q, builds, w.sheets.Of)
}

// DropRecording takes a recorded course from a machine; RestoreRecording puts it back. ErrNothing when there is none of
// that name.
func (w *Workshop) DropRecording(ctx context.Context, machine, name string) error {
	err := w.Bench.DropRecording(ctx, machine, name)
	w.mu.Lock()
	delete(w.rides, machine+"/"+name)
	w.mu.Unlock()
	return err
}

// rideOf finds the recorded courses of a machine in the workshop file; the last few stay as they were read.
func (w *Workshop) rideOf(ctx context.Context, machine string) asked.RideOf {
	return func(name string) (*track.Ride, string, error) {
		at := machine + "/" + name
		w.mu.Lock()
		known, ok := w.rides[at]
		w.mu.Unlock()
		if ok {
			return known.Ride, known.Key, nil
		}
		data, err := w.RecordingFile(ctx, machine, name)
		if errors.Is(err, workshop.ErrNothing) {
			return nil, "", fmt.Errorf("there is no recording %q with this machine; bring it in on the Track page", name)
		}
		if err != nil {
			return nil, "", err
		}
		ride, key, err := asked.ReadRide(ctx, name, data)
		if err != nil {
			return nil, "", err
		}
		w.mu.Lock()
		defer w.mu.Unlock()
		if len(w.rides) >= mostRides {
			clear(w.rides)
		}
		w.rides[at] = asked.Along{Ride: ride, Key: key}
		return ride, key, nil
	}
}
