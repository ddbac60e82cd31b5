package workshop

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/aymanbagabas/go-udiff"

	"shakedown/quantity"
	"shakedown/sheet"
)

// SheetText is a machine's sheet to be edited: the unsaved text there is, or the newest revision.
type SheetText struct {
	Text   []byte
	Base   int // revision it was begun from
	Draft  bool
	Faults []Diagnostic
	Words  string
}

// TextOf is the text of a machine's sheet to be edited.
func (w *Bench) TextOf(ctx context.Context, head Revision) (SheetText, error) {
	d, err := w.file.Draft(ctx, head.Machine)
	switch {
	case errors.Is(err, ErrNothing):
		return SheetText{Text: head.Text, Base: head.Number, Words: fmt.Sprintf("The text of the sheet, revision %d, saved %s.", head.Number, Moment(head.Saved))}, nil
	case err != nil:
		return SheetText{}, err
	}
	t := SheetText{Text: d.Text, Base: d.Base, Draft: true, Faults: w.faults(d.Text, head.Text)}
	t.Words = fmt.Sprintf("Text that is not saved yet, kept %s, begun from revision %d.", Moment(d.Saved), d.Base)
	if n := len(t.Faults); n > 0 {
		t.Words += fmt.Sprintf(" It has %d %s, so it cannot be saved: see below the text.", n, quantity.Plural(n, "error", "errors"))
	}
	return t, nil
}

// Typed is a text out of a browser with the ends of lines that the revision it was begun from has.
func (w *Bench) Typed(ctx context.Context, id string, base int, text string) ([]byte, error) {
	began, err := w.file.Revision(ctx, id, base)
	if err != nil {
		return nil, err
	}
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if windows := bytes.Count(began.Text, []byte("\r\n")); windows > 0 && 2*windows >= bytes.Count(began.Text, []byte("\n")) {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	return []byte(text), nil
}

// SaveText makes a whole text the newest revision. It was begun from revision base: what others changed since is merged
// line by line; where both changed the same lines the error is an EditClash and the text is kept as a draft. A text
// with errors is kept as a draft too.
func (w *Bench) SaveText(ctx context.Context, id string, base int, text []byte) (Revision, error) {
	began, err := w.file.Revision(ctx, id, base)
	if err != nil {
		return Revision{}, err
	}
	r, err := w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		merged, err := merge(began, now, text)
		if err != nil {
			return nil, "", err
		}
		return merged, "sheet: " + Compared(now.Text, merged).Words(), nil
	})
	if err != nil {
		return r, errors.Join(err, w.file.KeepDraft(ctx, id, base, text))
	}
	return r, w.file.DropDraft(ctx, id)
}

// merge puts what a text changed since a revision on top of the newest.
func merge(began, now Revision, text []byte) ([]byte, error) {
	if began.Number == now.Number || string(began.Text) == string(now.Text) {
		return text, nil
	}
	edits, ok := udiff.Merge(udiff.Lines(string(began.Text), string(now.Text)), udiff.Lines(string(began.Text), string(text)))
	if !ok {
		return nil, &EditClash{What: "the sheet", Theirs: Compared(began.Text, now.Text).Words(), Yours: Compared(began.Text, text).Words(), Now: now}
	}
	merged, err := udiff.ApplyBytes(began.Text, edits)
	if err != nil {
		return nil, fmt.Errorf("what was changed meanwhile cannot be put together with your text: %w", err)
	}
	return merged, nil
}

// KeepText keeps an unsaved text and says what is wrong with it; nil when nothing is.
func (w *Bench) KeepText(ctx context.Context, id string, base int, text []byte) ([]Diagnostic, error) {
	began, err := w.file.Revision(ctx, id, base)
	if err != nil {
		return nil, err
	}
	if string(began.Text) == string(text) {
		return nil, w.file.DropDraft(ctx, id)
	}
	if err := w.file.KeepDraft(ctx, id, base, text); err != nil {
		return nil, err
	}
	return w.faults(text, began.Text), nil
}

// faults are the errors of a sheet's text that was begun from another.
func (w *Bench) faults(text, began []byte) sheet.Errors {
	_, err := w.trusted(text, began)
	var bad sheet.Errors
	if err == nil || errors.As(err, &bad) {
		return bad
	}
	return sheet.Errors{{File: "sheet", Line: 1, Column: 1, Problem: err.Error()}}
}

// Draft is the unsaved text of a machine; ErrNothing when there is none.
func (w *Bench) Draft(ctx context.Context, id string) (Draft, error) { return w.file.Draft(ctx, id) }

// DropDraft throws the unsaved text of a machine away.
func (w *Bench) DropDraft(ctx context.Context, id string) error { return w.file.DropDraft(ctx, id) }
