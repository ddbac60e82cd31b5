package workshop

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Setting is one value that a person typed: in place of an old one, where none stood, or nothing to take one out.
type Setting struct {
	Path string // of the input, or of anything in the sheet from its root
	Old  string // as the person saw it; "" when the sheet had none
	New  string // "" takes the entry out, and a typical value stands in again
}

// Set changes values, all of them or none. Numbers may have a decimal comma. When the sheet has another value than the
// person saw, the error is an EditClash.
func (w *Bench) Set(ctx context.Context, id string, settings ...Setting) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text := now.Text
		var words []string
		for _, s := range settings {
			if s.Path == "" {
				return nil, "", faults.Mendable(errors.New("say which input is to be changed"))
			}
			written, err := s.Written()
			if err != nil {
				return nil, "", faults.Mendable(fmt.Errorf("%s: %w", s.Path, err))
			}
			if written.New == s.Old {
				continue
			}
			if text, err = written.In(text); err != nil {
				return nil, "", clashed(err, now, s.Path, s.New)
			}
			words = append(words, written.words())
		}
		return text, strings.Join(words, "; "), nil
	})
}

// Written is the setting as the sheet writes it: what a person typed without blanks about it, and a number with a
// decimal point.
func (s Setting) Written() (Setting, error) {
	s.New = strings.TrimSpace(s.New)
	field := machine.FieldAt(InputOf(s.Path))
	if s.New == "" || field == nil || field.Shape != machine.Number {
		return s, nil
	}
	var err error
	s.New, err = quantity.DecimalPoint(s.New)
	return s, err
}

// In is a text with a written setting in it, as it stands there. The error is sheet.ErrChanged when the text has
// another value than the old one.
func (s Setting) In(text []byte) ([]byte, error) {
	switch {
	case s.New == "":
		return sheet.Remove(text, s.Path, s.Old)
	case s.Old == "":
		return sheet.Put(text, s.Path, s.New)
	}
	return sheet.Edit(text, s.Path, s.Old, s.New)
}

// words say what a written setting changes.
func (s Setting) words() string {
	switch {
	case s.New == "":
		return fmt.Sprintf("%s taken out (was %s)", s.Path, s.Old)
	case s.Old == "":
		return fmt.Sprintf("%s: %s", s.Path, s.New)
	}
	return fmt.Sprintf("%s: %s → %s", s.Path, s.Old, s.New)
}

// InputOf is the input that a path in the sheet sets: itself, or what a part's patch names.
func InputOf(path string) string {
	if rest, ok := strings.CutPrefix(path, "parts."); ok {
		for _, patch := range []string{".sets.", ".adds."} {
			if _, input, ok := strings.Cut(rest, patch); ok {
				return input
			}
		}
	}
	return strings.TrimPrefix(path, "machine.")
}

// clashed turns a change that found another value into an EditClash.
func clashed(err error, now Revision, path, yours string) error {
	if !errors.Is(err, sheet.ErrChanged) {
		return faults.Mendable(err)
	}
	theirs, _ := sheet.Get(now.Text, path)
	return &EditClash{What: path, Theirs: theirs, Yours: yours, Now: now}
}

// Measure enters the readings of a worksheet into the sheet, all of them or none, and takes the inputs out whose place
// its results take.
func (w *Bench) Measure(ctx context.Context, id, worksheet string, readings map[string]Setting, replace []string) (Revision, error) {
	known := slices.IndexFunc(machine.Worksheets, func(m machine.Worksheet) bool { return m.Name == worksheet })
	if known < 0 {
		return Revision{}, faults.Mendable(fmt.Errorf("there is no worksheet %q", worksheet))
	}
	var settings []Setting
	var missing []string
	for _, f := range machine.Fields() {
		s, ok := readings[f.Path]
		if !ok || !strings.HasPrefix(f.Path, "measure."+worksheet+".") {
			continue
		}
		if s.New = strings.TrimSpace(s.New); s.New == "" && s.Old == "" {
			missing = append(missing, f.Doc)
		}
		settings = append(settings, s)
	}
	blank := 0
	for _, s := range settings {
		if s.New == "" {
			blank++
		}
	}
	if blank > 0 && blank < len(settings) && len(missing) > 0 {
		return Revision{}, faults.Mendable(fmt.Errorf("a reading is missing: %s", strings.Join(missing, "; ")))
	}
	head, err := w.file.Head(ctx, id)
	if err != nil {
		return Revision{}, err
	}
	for _, path := range replace {
		if old, err := sheet.Get(head.Text, path); err == nil && slices.Contains(machine.Worksheets[known].Gives, path) {
			settings = append([]Setting{{Path: path, Old: old}}, settings...)
		}
	}
	return w.Set(ctx, id, slices.DeleteFunc(settings, func(s Setting) bool { return s.New == s.Old })...)
}
