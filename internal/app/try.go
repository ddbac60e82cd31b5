package app

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Trial is a value that is looked at without being saved.
type Trial struct {
	workshop.Setting        // what a save would change
	What             string // the input in words
	Value            string // what the input comes to
	Where            string // what gives it its value in this build, in words
}

// Try lays a value of an input over the newest text of a machine without saving it. It goes where the value is made in
// this build: into the last part of the build that sets the input, else into the last that adds to it, else into the
// machine as found. What others add stays, so that the whole comes to the value that was asked for.
func (w *Workshop) Try(ctx context.Context, id string, q asked.Question, input, value string) (Trial, *sheet.File, error) {
	a, head, err := w.Ask(ctx, id, q)
	if err != nil {
		return Trial{}, nil, err
	}
	field := machine.FieldAt(input)
	if field == nil {
		return Trial{}, nil, faults.Mendable(fmt.Errorf("there is no input %q", input))
	}
	path, own, where := aim(a, input)
	t := Trial{What: field.Doc, Where: where}
	if t.Setting, err = (workshop.Setting{Path: path, New: value}).Written(); err != nil {
		return t, nil, faults.Mendable(err)
	}
	t.Value = t.New
	t.Old, _ = sheet.Get(head.Text, t.Path)
	if t.New, err = ownShare(a, field, own, t.Value); err != nil {
		return t, nil, faults.Mendable(err)
	}
	text, err := t.In(head.Text)
	if err != nil {
		return t, nil, faults.Mendable(err)
	}
	return t, &sheet.File{Name: "sheet", Text: text}, nil
}

// aim is where in the sheet an input of a build gets its value: the path, what stands there, and what that is in words.
func aim(a *asked.Answer, input string) (path string, own machine.Value, where string) {
	for _, patch := range []string{"sets", "adds"} {
		for _, part := range slices.Backward(a.Build.Parts) {
			list := part.Sets
			if patch == "adds" {
				list = part.Adds
			}
			if i := slices.IndexFunc(list, func(e machine.Entry) bool { return e.Path == input }); i >= 0 {
				return "parts." + part.ID + "." + patch + "." + input, list[i].Value, "the part " + cmp.Or(part.Name, part.ID) + ", in every build that has it"
			}
		}
	}
	return input, a.Sheet.Project.Base[input], "the machine as found, under every build"
}

// numberFirst is the number that a quantity begins with.
var numberFirst = regexp.MustCompile(`^\s*[-+\x{2212}]?[0-9.]+([eE][-+]?[0-9]+)?\s*`)

// ownShare is what has to stand in one place so that the input comes to a value with what others of the build put to
// it: the value as it was typed when there is nothing else.
func ownShare(a *asked.Answer, field *machine.Field, own machine.Value, value string) (string, error) {
	now := a.Build.Values[field.Path]
	if field.Shape != machine.Number || len(now.Terms) <= len(own.Terms) {
		return value, nil
	}
	wanted, err := quantity.Parse(value, field.Spec)
	if err != nil {
		return "", fmt.Errorf("%s: %w", field.Doc, err)
	}
	others := a.Sheet.Project.Number(now) - a.Sheet.Project.Number(own)
	rest := numberFirst.ReplaceAllString(value, "")
	symbol, _, _ := strings.Cut(rest, " ")
	unit, ok := quantity.UnitNamed(cmp.Or(field.Spec.Bare, symbol))
	if !ok {
		unit = quantity.MustUnit("1")
	}
	number := strconv.FormatFloat(math.Round(unit.FromSI(wanted.Value-others)*1000)/1000, 'f', -1, 64)
	if own.Over { // it counts from the machine as found
		number = "+" + strings.TrimPrefix(number, "+")
	}
	return strings.TrimSpace(number + " " + rest), nil
}
