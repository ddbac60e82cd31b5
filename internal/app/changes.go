package app

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
// person saw, the error is a Clash.
func (w *Workshop) Set(ctx context.Context, id string, settings ...Setting) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text := now.Text
		var words []string
		for _, s := range settings {
			if s.Path == "" {
				return nil, "", faults.Mendable(errors.New("say which input is to be changed"))
			}
			value, err := asWritten(s)
			if err != nil {
				return nil, "", faults.Mendable(fmt.Errorf("%s: %w", s.Path, err))
			}
			if value == s.Old {
				continue
			}
			if text, err = set(text, s.Path, s.Old, value); err != nil {
				return nil, "", clashed(err, now, s.Path, s.New)
			}
			words = append(words, s.words(value))
		}
		return text, strings.Join(words, "; "), nil
	})
}

func set(text []byte, path, old, value string) ([]byte, error) {
	switch {
	case value == "":
		return sheet.Remove(text, path, old)
	case old == "":
		return sheet.Put(text, path, value)
	}
	return sheet.Edit(text, path, old, value)
}

func (s Setting) words(value string) string {
	switch {
	case value == "":
		return fmt.Sprintf("%s taken out (was %s)", s.Path, s.Old)
	case s.Old == "":
		return fmt.Sprintf("%s: %s", s.Path, value)
	}
	return fmt.Sprintf("%s: %s → %s", s.Path, s.Old, value)
}

// asWritten is what a person typed as the sheet writes it.
func asWritten(s Setting) (string, error) {
	value := strings.TrimSpace(s.New)
	field := machine.FieldAt(InputOf(s.Path))
	if value == "" || field == nil || field.Shape != machine.Number {
		return value, nil
	}
	return quantity.DecimalPoint(value)
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

// clashed turns a change that found another value into a Clash.
func clashed(err error, now Revision, path, yours string) error {
	if !errors.Is(err, sheet.ErrChanged) {
		return faults.Mendable(err)
	}
	theirs, _ := sheet.Get(now.Text, path)
	return &Clash{What: path, Theirs: theirs, Yours: yours, Now: now}
}

// SwitchPart puts a part into a build or takes it out.
func (w *Workshop) SwitchPart(ctx context.Context, id, build, part string, on bool) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text, err := sheet.Switch(now.Text, build, part, on)
		if errors.Is(err, sheet.ErrChanged) {
			return now.Text, "", nil // it is as it was asked for
		}
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		if on {
			return text, fmt.Sprintf("%s into build %q", part, build), nil
		}
		return text, fmt.Sprintf("%s out of build %q", part, build), nil
	})
}

// AddBuild adds a build behind the last one, with the parts of another or none.
func (w *Workshop) AddBuild(ctx context.Context, id, name, like string) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		s, err := sheet.Parse(&sheet.File{Name: "sheet", Text: now.Text})
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		var parts []string
		summary := fmt.Sprintf("build %q added", name)
		if like != "" {
			i := slices.IndexFunc(s.Project.Builds, func(b machine.BuildList) bool { return b.Name == like })
			if i < 0 {
				return nil, "", faults.Mendable(fmt.Errorf("there is no build %q; %s", like, nearestOf(like, s.Project.BuildNames())))
			}
			for _, ref := range s.Project.Builds[i].Parts {
				parts = append(parts, ref.Name)
			}
			summary += fmt.Sprintf(", like %q", like)
		}
		text, err := sheet.AddBuild(now.Text, strings.TrimSpace(name), parts)
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		return text, summary, nil
	})
}

// RemoveBuild takes a build out; one must stay.
func (w *Workshop) RemoveBuild(ctx context.Context, id, name string) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text, err := sheet.Remove(now.Text, "builds."+name, "")
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		return text, fmt.Sprintf("build %q deleted", name), nil
	})
}

// AddList adds the parts of a list, as a spreadsheet saves it, to a machine's sheet.
func (w *Workshop) AddList(ctx context.Context, id, name string, list []byte) (Revision, int, error) {
	added := 0
	r, err := w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text, n, err := sheet.AddParts(now.Text, name, list)
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		added = n
		return text, fmt.Sprintf("%d %s of %s", n, quantity.Plural(n, "part", "parts"), name), nil
	})
	return r, added, err
}
