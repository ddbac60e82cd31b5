package workshop

import (
	"context"
	"errors"
	"fmt"
	"time"

	"shakedown/examples"
	"shakedown/internal/faults"
	"shakedown/internal/store"
	"shakedown/quantity"
	"shakedown/sheet"
)

// The nouns of a workshop file.
type (
	// Machine is one machine of the file.
	Machine = store.Machine
	// Revision is one saved text of a machine's sheet.
	Revision = store.Revision
	// Draft is text of a machine's sheet that is not saved.
	Draft = store.Draft
)

// Judge is what a bench is told of the things that it keeps, because it does not know what they mean. All three are
// called from several goroutines.
type Judge struct {
	// Read is the sheet of a text, as every question will read it. The error is sheet.Errors for a text that cannot be
	// read.
	Read func(text []byte) (*sheet.Sheet, error)
	// Save says why a sheet must not be the newest of its machine, nil when it may. Before is the one that it takes the
	// place of, nil for none.
	Save func(s, before *sheet.Sheet) error
	// Recording says why no course can be made of a recording, nil when one can.
	Recording func(ctx context.Context, name string, data []byte) error
}

// Bench is the machines of one workshop file and what a person can do with their texts and recordings. It may be used
// from several goroutines.
type Bench struct {
	file  *store.File
	now   func() time.Time
	judge Judge
	watch *watch
}

// Open opens a workshop file, or makes it. Errors are for the owner to read; nothing is touched when there is one.
func Open(ctx context.Context, path string, now func() time.Time, judge Judge) (*Bench, error) {
	file, err := store.Open(ctx, path, now)
	return over(file, now, judge, err)
}

// OpenToRead opens a workshop file of which nothing will be changed, also one that cannot be written.
func OpenToRead(ctx context.Context, path string, now func() time.Time, judge Judge) (*Bench, error) {
	file, err := store.OpenToRead(ctx, path, now)
	return over(file, now, judge, err)
}

// over is a bench over its file.
func over(file *store.File, now func() time.Time, judge Judge, err error) (*Bench, error) {
	if err != nil {
		return nil, faults.Mendable(err)
	}
	return &Bench{file: file, now: now, judge: judge, watch: newWatch(file)}, nil
}

// Now is the time by the clock that the bench was opened with.
func (w *Bench) Now() time.Time { return w.now() }

// ErrNothing says that there is no such machine or revision, or nothing to undo or redo.
var ErrNothing = store.ErrNothing

// Close lets the file go; everything acknowledged is in it.
func (w *Bench) Close() error {
	w.watch.close()
	return w.file.Close()
}

// Path is where the file is.
func (w *Bench) Path() string { return w.file.Path() }

// CopyDaily keeps today's copy beside the file when there is none yet.
func (w *Bench) CopyDaily(ctx context.Context) (string, error) { return w.file.CopyDaily(ctx) }

// Backup writes a consistent copy of the file while it is in use.
func (w *Bench) Backup(ctx context.Context, file string) error {
	if err := w.file.Copy(ctx, file); err != nil {
		return faults.Mendable(err)
	}
	return nil
}

// Machines lists the machines, the last saved first.
func (w *Bench) Machines(ctx context.Context) ([]Machine, error) { return w.file.Machines(ctx) }

// PutAway puts a machine out of sight, or back; nothing of it is lost. ErrNothing when there is no such machine.
func (w *Bench) PutAway(ctx context.Context, id string, away bool) error {
	return w.file.PutAway(ctx, id, away)
}

// Examples are the invented machines that can be opened.
func Examples() []Example { return examples.List }

// AddExample puts an invented machine into the workshop.
func (w *Bench) AddExample(ctx context.Context, name string) (Revision, error) {
	text, err := examples.Text(name)
	if err != nil {
		return Revision{}, faults.Mendable(fmt.Errorf("there is no example %q", name))
	}
	return w.add(ctx, text, "example "+name)
}

// AddSheet puts the machine of a sheet into the workshop. Errors in the text are sheet.Errors; then nothing is added.
func (w *Bench) AddSheet(ctx context.Context, name string, text []byte) (Revision, error) {
	return w.add(ctx, text, "sheet "+name)
}

// AddNew begins a machine from what its owner answered; see NewSheet.
func (w *Bench) AddNew(ctx context.Context, layout string, answers map[string]string) (Revision, error) {
	text, err := NewSheet(layout, answers, w.now())
	if err != nil {
		return Revision{}, err
	}
	return w.add(ctx, text, "begun with "+fmt.Sprint(len(answers))+" answers")
}

func (w *Bench) add(ctx context.Context, text []byte, summary string) (Revision, error) {
	name, err := w.trusted(text, nil)
	if err != nil {
		return Revision{}, faults.Mendable(err)
	}
	return w.file.Add(ctx, name, text, summary)
}

// named reads a text and gives the machine's name.
func (w *Bench) named(text []byte) (string, error) {
	s, err := w.judge.Read(text)
	if err != nil {
		return "", err
	}
	return s.Project.Called(), nil
}

// trusted reads a text as every question will, has it judged, and gives the machine's name. Before is the text that it
// takes the place of, nil where there was none.
func (w *Bench) trusted(text, before []byte) (string, error) {
	s, err := w.judge.Read(text)
	if err != nil {
		return "", err
	}
	var old *sheet.Sheet
	if before != nil {
		old, _ = w.judge.Read(before) // one that cannot be read counts as none
	}
	if err := w.judge.Save(s, old); err != nil {
		return "", err
	}
	return s.Project.Called(), nil
}

// Head is the newest revision of a machine.
func (w *Bench) Head(ctx context.Context, id string) (Revision, error) {
	return w.file.Head(ctx, id)
}

// Revision is one revision of a machine.
func (w *Bench) Revision(ctx context.Context, id string, number int) (Revision, error) {
	return w.file.Revision(ctx, id, number)
}

// History lists the revisions, the newest first, without texts.
func (w *Bench) History(ctx context.Context, id string) ([]Revision, error) {
	return w.file.History(ctx, id)
}

// Undo goes back to the text before the newest change.
func (w *Bench) Undo(ctx context.Context, id string) (Revision, error) {
	return w.told(w.file.Undo(ctx, id))
}

// Redo brings back what Undo took away.
func (w *Bench) Redo(ctx context.Context, id string) (Revision, error) {
	return w.told(w.file.Redo(ctx, id))
}

// Restore makes the text of an earlier revision the newest.
func (w *Bench) Restore(ctx context.Context, id string, number int) (Revision, error) {
	old, err := w.file.Revision(ctx, id, number)
	if err != nil {
		return Revision{}, err
	}
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		return old.Text, fmt.Sprintf("revision %d restored", number), nil
	})
}

// EditClash says that what a change started from is not there any more: somebody changed the same thing meanwhile.
// Nothing was saved; both values are here for a person to choose.
type EditClash struct {
	What   string // path or part
	Theirs string
	Yours  string
	Now    Revision // the newest
}

// Error says what happened.
func (c *EditClash) Error() string {
	return fmt.Sprintf("%s was changed meanwhile: it is %q now (revision %d); yours is %q. Nothing was saved; choose one", c.What, c.Theirs, c.Now.Number, c.Yours)
}

// save applies a change to the newest revision, however often another save comes first. Text that cannot be trusted is
// refused.
func (w *Bench) save(ctx context.Context, id string, change func(now Revision) ([]byte, string, error)) (Revision, error) {
	for {
		now, err := w.file.Head(ctx, id)
		if err != nil {
			return Revision{}, err
		}
		text, summary, err := change(now)
		if err != nil {
			return Revision{}, err
		}
		if string(text) == string(now.Text) {
			return now, nil
		}
		name, err := w.trusted(text, now.Text)
		if err != nil {
			return Revision{}, faults.Mendable(err)
		}
		r, err := w.file.Save(ctx, id, now.Number, name, text, summary)
		if errors.Is(err, store.ErrStale) {
			continue
		}
		return w.told(r, err)
	}
}

// FileName is the file name, without its ending, of a machine's sheet.
func (w *Bench) FileName(r Revision) string {
	name, err := w.named(r.Text)
	if err != nil {
		return "machine"
	}
	return quantity.Slug(name)
}

// Example is an invented machine that can be opened.
type Example = examples.Example

// Diagnostic is one error in a sheet's text, with its place and remedy.
type Diagnostic = sheet.Diagnostic

// FaultsOf are the errors in a sheet's text behind an error; nil when it is about something else.
func FaultsOf(err error) []Diagnostic {
	var bad sheet.Errors
	errors.As(err, &bad)
	return bad
}

// HistoryLead says how far the history goes.
func HistoryLead(list []Revision) string {
	first, last := list[len(list)-1], list[0]
	if len(list) == 1 {
		return fmt.Sprintf("One revision: %s, %s.", first.Summary, Moment(first.Saved))
	}
	return fmt.Sprintf("%d revisions since %s. The newest: %s.", len(list), Moment(first.Saved), last.Summary)
}

// Moment is a time of day as people write it, on this machine's clock.
func Moment(t time.Time) string { return t.Local().Format("2 January 2006, 15:04") }
