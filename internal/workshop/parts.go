package workshop

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"

	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// SwitchPart puts a part into a build or takes it out.
func (w *Bench) SwitchPart(ctx context.Context, id, build, part string, on bool) (Revision, error) {
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
func (w *Bench) AddBuild(ctx context.Context, id, name, like string) (Revision, error) {
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
func (w *Bench) RemoveBuild(ctx context.Context, id, name string) (Revision, error) {
	return w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text, err := sheet.Remove(now.Text, "builds."+name, "")
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		return text, fmt.Sprintf("build %q deleted", name), nil
	})
}

// AddList adds the parts of a list, as a spreadsheet saves it, to a machine's sheet. Columns says which of its columns
// is what, as sheet.ParseColumns reads it; "" where the headings say it.
func (w *Bench) AddList(ctx context.Context, id, name string, list []byte, columns string) (Revision, int, error) {
	told, err := sheet.ParseColumns(columns)
	if err != nil {
		return Revision{}, 0, faults.Mendable(err)
	}
	added := 0
	r, err := w.save(ctx, id, func(now Revision) ([]byte, string, error) {
		text, n, err := sheet.AddParts(now.Text, name, list, told)
		if err != nil {
			return nil, "", faults.Mendable(err)
		}
		added = n
		return text, fmt.Sprintf("%d %s of %s", n, quantity.Plural(n, "part", "parts"), name), nil
	})
	return r, added, err
}

// NewPartField is a cell of a new part.
type NewPartField struct{ Name, Words, Example string }

// NewPartFields are what is asked of a new part.
var NewPartFields = []NewPartField{
	{"id", "Short name, without blanks", "wide-axle"}, {"kind", "Kind", "axle"}, {"name", "What it is", "Wide axle, 30 mm"}, {"price", "Price", "310.00"},
	{"lead", "From order to the door", "10 days"}, {"time", "Work, once all is there", "3 h"}, {"from", "From whom", "axle maker A"},
	{"sets", "What it sets, one after the other with semicolons", "wheels.axle.diameter: 30 mm; geometry.track_rear: 890 mm"}, {"needs", "Parts it needs", "bearing-carrier"},
}

// AddPart adds one part.
func (w *Bench) AddPart(ctx context.Context, id string, cells map[string]string) (Revision, error) {
	var list bytes.Buffer
	lines := csv.NewWriter(&list)
	var head, row []string
	for _, f := range NewPartFields {
		if cell := strings.TrimSpace(cells[f.Name]); cell != "" {
			head, row = append(head, f.Name), append(row, cell)
		}
	}
	if len(head) == 0 || cells["id"] == "" {
		return Revision{}, faults.Mendable(errors.New("give the part a short name at least, such as wide-axle"))
	}
	if err := lines.WriteAll([][]string{head, row}); err != nil {
		return Revision{}, err
	}
	r, _, err := w.AddList(ctx, id, "the new part", list.Bytes(), "")
	return r, err
}

// nearestOf words a wrong name with the nearest right one.
func nearestOf(word string, names []string) string {
	if near := quantity.Nearest(word, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "there are " + quantity.AnyOf(names)
}
