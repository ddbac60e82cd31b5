package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/aymanbagabas/go-udiff"

	"shakedown/examples"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/internal/faults"
	"shakedown/internal/store"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// The nouns of a workshop file.
type (
	Machine  = store.Machine
	Revision = store.Revision
	Draft    = store.Draft
)

// ErrNothing says that there is no such machine or revision, or nothing to undo or redo.
var ErrNothing = store.ErrNothing

// Workshop is the machines of one workshop file and what a person can do with them. It may be used from several goroutines.
type Workshop struct {
	file     *store.Workshop
	now      func() time.Time
	mu       sync.Mutex
	watchers map[string]map[chan struct{}]bool // by machine
	texts    map[string]*sheet.Sheet           // the last few texts that were read without an error
	figures  map[ofSheet][]figure.Figure       // of those
	judged   map[*sheet.Sheet][]*Broken        // builds of those that physics forbids
	rides    map[string]along                  // the last few recorded courses that were read, by machine and name
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
	file, err := store.Open(ctx, path, now)
	return over(file, now, err)
}

// ReadWorkshop opens a workshop file of which nothing will be changed, also one that cannot be written.
func ReadWorkshop(ctx context.Context, path string, now func() time.Time) (*Workshop, error) {
	file, err := store.OpenToRead(ctx, path, now)
	return over(file, now, err)
}

// over is a workshop over its file.
func over(file *store.Workshop, now func() time.Time, err error) (*Workshop, error) {
	if err != nil {
		return nil, faults.Mendable(err)
	}
	return &Workshop{file: file, now: now, watchers: map[string]map[chan struct{}]bool{}, texts: map[string]*sheet.Sheet{}, figures: map[ofSheet][]figure.Figure{}, judged: map[*sheet.Sheet][]*Broken{}, rides: map[string]along{}}, nil
}

// Close lets the file go; everything acknowledged is in it.
func (w *Workshop) Close() error { return w.file.Close() }

// Path is where the file is.
func (w *Workshop) Path() string { return w.file.Path() }

// CopyDaily keeps today's copy beside the file when there is none yet.
func (w *Workshop) CopyDaily(ctx context.Context) (string, error) { return w.file.CopyDaily(ctx) }

// Backup writes a consistent copy of the file while it is in use.
func (w *Workshop) Backup(ctx context.Context, file string) error {
	if err := w.file.Copy(ctx, file); err != nil {
		return faults.Mendable(err)
	}
	return nil
}

// Machines lists the machines, the last saved first.
func (w *Workshop) Machines(ctx context.Context) ([]Machine, error) { return w.file.Machines(ctx) }

// PutAway puts a machine out of sight, or back; nothing of it is lost. ErrNothing when there is no such machine.
func (w *Workshop) PutAway(ctx context.Context, id string, away bool) error {
	return w.file.PutAway(ctx, id, away)
}

// Examples are the invented machines that can be opened.
func Examples() []Example { return examples.List }

// AddExample puts an invented machine into the workshop.
func (w *Workshop) AddExample(ctx context.Context, name string) (Revision, error) {
	text, err := examples.Text(name)
	if err != nil {
		return Revision{}, faults.Mendable(fmt.Errorf("there is no example %q", name))
	}
	return w.add(ctx, text, "example "+name)
}

// AddSheet puts the machine of a sheet into the workshop. Errors in the text are sheet.Errors; then nothing is added.
func (w *Workshop) AddSheet(ctx context.Context, name string, text []byte) (Revision, error) {
	return w.add(ctx, text, "sheet "+name)
}

// AddNew begins a machine from what its owner answered; see NewSheet.
func (w *Workshop) AddNew(ctx context.Context, layout string, answers map[string]string) (Revision, error) {
	text, err := NewSheet(layout, answers, w.now())
	if err != nil {
		return Revision{}, err
	}
	return w.add(ctx, text, "begun with "+fmt.Sprint(len(answers))+" answers")
}

func (w *Workshop) add(ctx context.Context, text []byte, summary string) (Revision, error) {
	name, err := w.trusted(text, nil)
	if err != nil {
		return Revision{}, faults.Mendable(err)
	}
	return w.file.Add(ctx, name, text, summary)
}

// named reads a text and gives the machine's name.
func (w *Workshop) named(text []byte) (string, error) {
	s, err := w.read(text)
	if err != nil {
		return "", err
	}
	return machineName(s.Project), nil
}

// trusted reads a text as every question will, judges every build of it, and gives the machine's name. Builds that physics forbids are refused unless they
// were so in the text before, which is nil where there was none.
func (w *Workshop) trusted(text, before []byte) (string, error) {
	s, err := w.read(text)
	if err != nil {
		return "", err
	}
	var was []*Broken
	if old, err := w.read(before); before != nil && err == nil {
		was = w.judge(old)
	}
	if err := refused(w.judge(s), was, len(s.Project.Builds)); err != nil {
		return "", err
	}
	if _, err := answer(s, Question{Now: time.Unix(0, 0), known: w.figuresOf(s)}); err != nil {
		if _, broken := IsBroken(err); !broken { // it was so before
			return "", err
		}
	}
	return machineName(s.Project), nil
}

// Named is what the machine is called.
func (a *Answer) Named() string { return machineName(a.Sheet.Project) }

func machineName(p *machine.Project) string {
	if v, ok := p.Base["name"]; ok && v.Text != "" {
		return v.Text
	}
	if p.Title != "" {
		return p.Title
	}
	return "a machine without a name"
}

// Head is the newest revision of a machine.
func (w *Workshop) Head(ctx context.Context, id string) (Revision, error) {
	return w.file.Head(ctx, id)
}

// Revision is one revision of a machine.
func (w *Workshop) Revision(ctx context.Context, id string, number int) (Revision, error) {
	return w.file.Revision(ctx, id, number)
}

// History lists the revisions, the newest first, without texts.
func (w *Workshop) History(ctx context.Context, id string) ([]Revision, error) {
	return w.file.History(ctx, id)
}

// Undo goes back to the text before the newest change.
func (w *Workshop) Undo(ctx context.Context, id string) (Revision, error) {
	return w.told(w.file.Undo(ctx, id))
}

// Redo brings back what Undo took away.
func (w *Workshop) Redo(ctx context.Context, id string) (Revision, error) {
	return w.told(w.file.Redo(ctx, id))
}

// Restore makes the text of an earlier revision the newest.
func (w *Workshop) Restore(ctx context.Context, id string, number int) (Revision, error) {
	old, err := w.file.Revision(ctx, id, number)
	if err != nil {
		return Revision{}, err
	}
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		return old.Text, fmt.Sprintf("revision %d restored", number), nil
	})
}

// Ask answers a question about the newest revision of a machine, or about a text laid over it.
func (w *Workshop) Ask(ctx context.Context, id string, q Question) (*Answer, Revision, error) {
	head, err := w.file.Head(ctx, id)
	if err != nil {
		return nil, head, err
	}
	if q.Text == nil {
		q.Text = &sheet.File{Name: "sheet", Text: head.Text}
	}
	q.Now = w.now()
	q.Rides = w.rideOf(ctx, id)
	s, err := w.read(q.Text.Text)
	if err != nil {
		return nil, head, faults.Mendable(err)
	}
	q.known = w.figuresOf(s)
	a, err := answer(s, q)
	return a, head, err
}

// Clash says that what a change started from is not there any more: somebody changed the same thing meanwhile. Nothing was
// saved; both values are here for a person to choose.
type Clash struct {
	What   string // path or part
	Theirs string
	Yours  string
	Now    Revision // the newest
}

// Error says what happened.
func (c *Clash) Error() string {
	return fmt.Sprintf("%s was changed meanwhile: it is %q now (revision %d); yours is %q. Nothing was saved; choose one", c.What, c.Theirs, c.Now.Number, c.Yours)
}

// save applies a change to the newest revision, however often another save comes first. Text that cannot be trusted is
// refused.
func (w *Workshop) save(ctx context.Context, id string, change func(now Revision) ([]byte, string, error)) (Revision, error) {
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

// SaveText makes a whole text the newest revision. It was begun from revision base: what others changed since is merged
// line by line; where both changed the same lines the error is a Clash and the text is kept as a draft. A text with errors
// is kept as a draft too.
func (w *Workshop) SaveText(ctx context.Context, id string, base int, text []byte) (Revision, error) {
	began, err := w.file.Revision(ctx, id, base)
	if err != nil {
		return Revision{}, err
	}
	r, err := w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		merged, err := merge(began, now, text)
		if err != nil {
			return nil, "", err
		}
		return merged, "sheet: " + Difference(now.Text, merged).Words(), nil
	})
	if err != nil {
		return r, errors.Join(err, w.file.Keep(ctx, id, base, text))
	}
	return r, w.file.Drop(ctx, id)
}

// merge puts what a text changed since a revision on top of the newest.
func merge(began, now Revision, text []byte) ([]byte, error) {
	if began.Number == now.Number || string(began.Text) == string(now.Text) {
		return text, nil
	}
	edits, ok := udiff.Merge(udiff.Lines(string(began.Text), string(now.Text)), udiff.Lines(string(began.Text), string(text)))
	if !ok {
		return nil, &Clash{What: "the sheet", Theirs: Difference(began.Text, now.Text).Words(), Yours: Difference(began.Text, text).Words(), Now: now}
	}
	merged, err := udiff.ApplyBytes(began.Text, edits)
	if err != nil {
		return nil, fmt.Errorf("what was changed meanwhile cannot be put together with your text: %w", err)
	}
	return merged, nil
}

// KeepText keeps an unsaved text and says what is wrong with it; nil when nothing is.
func (w *Workshop) KeepText(ctx context.Context, id string, base int, text []byte) ([]Fault, error) {
	began, err := w.file.Revision(ctx, id, base)
	if err != nil {
		return nil, err
	}
	if string(began.Text) == string(text) {
		return nil, w.file.Drop(ctx, id)
	}
	if err := w.file.Keep(ctx, id, base, text); err != nil {
		return nil, err
	}
	return w.faults(text, began.Text), nil
}

// faults are the errors of a sheet's text that was begun from another.
func (w *Workshop) faults(text, began []byte) sheet.Errors {
	_, err := w.trusted(text, began)
	var bad sheet.Errors
	if err == nil || errors.As(err, &bad) {
		return bad
	}
	return sheet.Errors{{File: "sheet", Line: 1, Column: 1, Problem: err.Error()}}
}

// Kept is the unsaved text of a machine; ErrNothing when there is none.
func (w *Workshop) Kept(ctx context.Context, id string) (Draft, error) { return w.file.Kept(ctx, id) }

// Drop throws the unsaved text of a machine away.
func (w *Workshop) Drop(ctx context.Context, id string) error { return w.file.Drop(ctx, id) }

// told tells those who watch the machine of a new revision.
func (w *Workshop) told(r Revision, err error) (Revision, error) {
	if err != nil {
		return r, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for c := range w.watchers[r.Machine] {
		select {
		case c <- struct{}{}:
		default: // one word is waiting already
		}
	}
	return r, nil
}

// elsewhere is how often a watcher looks for what another program saved in the same file.
const elsewhere = 2 * time.Second

// Watch calls seen with the number of each newer revision of a machine until the context ends.
func (w *Workshop) Watch(ctx context.Context, id string, from int, seen func(number int) error) error {
	word := make(chan struct{}, 1)
	w.mu.Lock()
	if w.watchers[id] == nil {
		w.watchers[id] = map[chan struct{}]bool{}
	}
	w.watchers[id][word] = true
	w.mu.Unlock()
	defer func() {
		w.mu.Lock()
		delete(w.watchers[id], word)
		w.mu.Unlock()
	}()
	tick := time.NewTicker(elsewhere)
	defer tick.Stop()
	for {
		now, err := w.file.Head(ctx, id)
		if err != nil {
			return err
		}
		if now.Number > from {
			from = now.Number
			if err := seen(from); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-word:
		case <-tick.C:
		}
	}
}

// Changed is the difference between two texts, line by line.
type Changed struct {
	Lines        []ChangedLine
	Added, Taken int
}

// ChangedLine is one line of a difference.
type ChangedLine struct {
	Sign   string // "+", "−", "" for a line both have, "…" between hunks
	Before int    // number in the older text; 0 when it is not there
	After  int    // number in the newer text; 0 when it is not there
	Text   string
}

// aroundChange is how many lines both have are shown about a change.
const aroundChange = 2

// Difference compares two texts.
func Difference(before, after []byte) Changed {
	var c Changed
	diff, err := udiff.ToUnifiedDiff("", "", string(before), udiff.Lines(string(before), string(after)), aroundChange)
	if err != nil {
		return c // edits that were just made apply
	}
	for i, hunk := range diff.Hunks {
		if i > 0 {
			c.Lines = append(c.Lines, ChangedLine{Sign: "…"})
		}
		from, to := hunk.FromLine, hunk.ToLine
		for _, line := range hunk.Lines {
			l := ChangedLine{Text: strings.TrimRight(line.Content, "\r\n")}
			if line.Kind != udiff.Insert {
				l.Before = from
				from++
			}
			if line.Kind != udiff.Delete {
				l.After = to
				to++
			}
			switch line.Kind {
			case udiff.Insert:
				l.Sign = "+"
				c.Added++
			case udiff.Delete:
				l.Sign = "−"
				c.Taken++
			}
			c.Lines = append(c.Lines, l)
		}
	}
	return c
}

// Words says how much a difference is.
func (c Changed) Words() string {
	switch {
	case c.Added == 0 && c.Taken == 0:
		return "nothing changed"
	case c.Taken == 0:
		return fmt.Sprintf("%d %s added", c.Added, quantity.Plural(c.Added, "line", "lines"))
	case c.Added == 0:
		return fmt.Sprintf("%d %s taken out", c.Taken, quantity.Plural(c.Taken, "line", "lines"))
	}
	n := max(c.Added, c.Taken)
	return fmt.Sprintf("%d %s changed", n, quantity.Plural(n, "line", "lines"))
}

// slug makes a file name of a machine's name.
func slug(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if text := strings.Trim(b.String(), "-"); text != "" {
		return text
	}
	return "machine"
}

// nearestOf words a wrong name with the nearest right one.
func nearestOf(word string, names []string) string {
	if near := quantity.Nearest(word, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "there are " + quantity.AnyOf(names)
}
