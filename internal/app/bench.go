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
	"time"

	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
	"shakedown/sheet"
)

// OnOffer says how many parts there are and how many are in the build.
func (a *Answer) OnOffer() string {
	n, in := len(a.Sheet.Project.Parts), len(a.Build.Parts)
	if n == 0 {
		return "No part is on offer yet: add what the makers' lists hold, and see what each does before you pay for it."
	}
	return fmt.Sprintf("%d %s on offer; %d in %s, for %s.", n, quantity.Plural(n, "part is", "parts are"), in, machine.TheBuild(a.Build.Name), a.CostText())
}

// ReportName is the file name of the answer's report.
func (a *Answer) ReportName() string {
	return workshop.Slug(a.Named()) + "-" + workshop.Slug(a.Build.Name) + ".html"
}

// TimeLeft words how long work will still take.
func TimeLeft(d time.Duration) string {
	if d < time.Second {
		return "under a second"
	}
	return d.Round(time.Second).String()
}

// Switch is one part of a build, on or off.
type Switch struct {
	ID, Name, Price, Note string
	Listed                bool // the build names it
}

// Switches are all parts of the sheet for the build, area by area.
func (a *Answer) Switches() []InArea[Switch] {
	listed := map[string]bool{}
	for _, b := range a.Sheet.Project.Builds {
		if b.Name == a.Build.Name {
			for _, ref := range b.Parts {
				listed[ref.Name] = true
			}
		}
	}
	return byArea(a.Sheet.Project.Parts, func(part *machine.Part) (Switch, bool) {
		s := Switch{ID: part.ID, Name: part.Name, Listed: listed[part.ID], Price: "no price"}
		if part.Name == "" {
			s.Name = part.ID
		}
		if part.Priced {
			s.Price = money.Amount{Minor: part.Price, Currency: a.Sheet.Project.Currency}.Decimal()
		}
		var notes []string
		if a.Build.PulledIn[part.ID] && !listed[part.ID] {
			notes = append(notes, "also needed by "+strings.Join(a.wanting(part.ID), ", "))
		}
		if part.Lead != nil {
			notes = append(notes, part.Lead.Text)
		}
		if part.Time != nil {
			notes = append(notes, part.Time.Text+" of work")
		}
		if len(part.Needs) > 0 {
			notes = append(notes, "needs "+strings.Join(names(part.Needs), ", "))
		}
		s.Note = strings.Join(notes, " · ")
		return s, true
	})
}

// wanting are the parts of the build that need a part.
func (a *Answer) wanting(id string) []string {
	var list []string
	for _, part := range a.Build.Parts {
		if slices.Contains(names(part.Needs), id) {
			list = append(list, part.ID)
		}
	}
	return list
}

// Trial is a value that is looked at without being saved.
type Trial struct {
	workshop.Setting        // what a save would change
	What             string // the input in words
	Value            string // what the input comes to
	Where            string // what gives it its value in this build, in words
}

// Try lays a value of an input over the newest text of a machine without saving it. It goes where the value is made in this build:
// into the last part of the build that sets the input, else into the last that adds to it, else into the machine as found. What
// others add stays, so that the whole comes to the value that was asked for.
func (w *Workshop) Try(ctx context.Context, id string, q Question, input, value string) (Trial, *sheet.File, error) {
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
func aim(a *Answer, input string) (path string, own machine.Value, where string) {
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

// ownShare is what has to stand in one place so that the input comes to a value with what others of the build put to it: the value as it was
// typed when there is nothing else.
func ownShare(a *Answer, field *machine.Field, own machine.Value, value string) (string, error) {
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
	return strings.TrimSpace(number + " " + rest), nil
}

// Compare answers for several builds of the newest revision; none named means all.
func (w *Workshop) Compare(ctx context.Context, id string, q Question, builds []string) (*Comparison, error) {
	head, err := w.Head(ctx, id)
	if err != nil {
		return nil, err
	}
	s, err := w.read(head.Text)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	q.Now, q.Build, q.Rides, q.known = w.Now(), "", w.rideOf(ctx, id), w.figuresOf(s)
	return compare(s, q, builds)
}

// Words are the part's lead, work and what else a buyer needs to know.
func (v PartView) Words() string {
	var words []string
	for _, pair := range [][2]string{{"", v.Lead}, {"work ", v.Time}, {"from ", v.From}, {"warranty ", v.Warranty}, {"at the shop: ", v.Keeps}} {
		if pair[1] != "" {
			words = append(words, pair[0]+pair[1])
		}
	}
	if v.PulledIn {
		words = append(words, "also needed by another part")
	}
	return strings.Join(words, " · ")
}

// partFields are what a person changes of a part beside what it sets.
func partFields(part *machine.Part, written map[string]string) []Field {
	var list []Field
	for _, f := range []struct{ name, words, example string }{{"name", "What it is", ""}, {"price", "Price", "310.00"}, {"lead", "From order to the door", "10 days"}, {"time", "Work, once all is there", "3 h"}, {"from", "From whom", ""}, {"warranty", "Warranty", "12 months"}} {
		path := "parts." + part.ID + "." + f.name
		list = append(list, Field{Path: path, Doc: f.words, Text: written[path], Example: f.example})
	}
	return list
}
