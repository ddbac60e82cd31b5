package app

import (
	"bytes"
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"shakedown/examples"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Fault is one error in a sheet's text, with its place and remedy.
type Fault = sheet.Diagnostic

// Example is an invented machine that can be opened.
type Example = examples.Example

// FaultsOf are the errors in a sheet's text behind an error; nil when it is about something else.
func FaultsOf(err error) []Fault {
	var bad sheet.Errors
	errors.As(err, &bad)
	return bad
}

// Layouts are where the wheels of a machine may be.
func Layouts() []string { return slices.Clone(machine.Layouts) }

// Unacceptable are the answers to the questions for a new machine that cannot stand in a sheet, each with the reason.
func Unacceptable(answers map[string]string) map[string]error {
	bad := map[string]error{}
	for path, answer := range answers {
		value, err := asWritten(Setting{Path: path, New: answer})
		if err == nil {
			err = Acceptable(path, value)
		}
		if err != nil {
			bad[path] = err
			continue
		}
		answers[path] = value
	}
	return bad
}

// OnOffer says how many parts there are and how many are in the build.
func (a *Answer) OnOffer() string {
	n, in := len(a.Sheet.Project.Parts), len(a.Build.Parts)
	if n == 0 {
		return "No part is on offer yet: add what the makers' lists hold, and see what each does before you pay for it."
	}
	return fmt.Sprintf("%d %s on offer; %d in %s, for %s.", n, quantity.Plural(n, "part is", "parts are"), in, theBuild(a.Build.Name), a.CostText())
}

// ReportName is the file name of the answer's report.
func (a *Answer) ReportName() string { return slug(a.Named()) + "-" + slug(a.Build.Name) + ".html" }

// FileName is the file name, without its ending, of a machine's sheet.
func (w *Workshop) FileName(r Revision) string {
	name, err := w.named(r.Text)
	if err != nil {
		return "machine"
	}
	return slug(name)
}

// Moment is a time of day as people write it, on this machine's clock.
func Moment(t time.Time) string { return t.Local().Format("2 January 2006, 15:04") }

// TimeLeft words how long work will still take.
func TimeLeft(d time.Duration) string {
	if d < time.Second {
		return "under a second"
	}
	return d.Round(time.Second).String()
}

// HistoryLead says how far the history goes.
func HistoryLead(list []Revision) string {
	first, last := list[len(list)-1], list[0]
	if len(list) == 1 {
		return fmt.Sprintf("One revision: %s, %s.", first.Summary, Moment(first.Saved))
	}
	return fmt.Sprintf("%d revisions since %s. The newest: %s.", len(list), Moment(first.Saved), last.Summary)
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
	Setting        // what a save would change
	What    string // the input in words
	Value   string // what the input comes to
	Where   string // what gives it its value in this build, in words
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
	t := Trial{Setting: Setting{Path: path, New: value}, What: field.Doc, Where: where}
	if t.Value, err = asWritten(t.Setting); err != nil {
		return t, nil, faults.Mendable(err)
	}
	t.Old, _ = sheet.Get(head.Text, t.Path)
	if t.New, err = ownShare(a, field, own, t.Value); err != nil {
		return t, nil, faults.Mendable(err)
	}
	text, err := set(head.Text, t.Path, t.Old, t.New)
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
	head, err := w.file.Head(ctx, id)
	if err != nil {
		return nil, err
	}
	s, err := w.read(head.Text)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	q.Now, q.Build, q.Rides, q.known = w.now(), "", w.rideOf(ctx, id), w.figuresOf(s)
	return compare(s, q, builds)
}

// Measure enters the readings of a worksheet into the sheet, all of them or none, and takes the inputs out whose place its
// results take.
func (w *Workshop) Measure(ctx context.Context, id, worksheet string, readings map[string]Setting, replace []string) (Revision, error) {
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

// SheetText is a machine's sheet to be edited: the unsaved text there is, or the newest revision.
type SheetText struct {
	Text   []byte
	Base   int // revision it was begun from
	Draft  bool
	Faults []Fault
	Words  string
}

// TextOf is the text of a machine's sheet to be edited.
func (w *Workshop) TextOf(ctx context.Context, head Revision) (SheetText, error) {
	d, err := w.file.Kept(ctx, head.Machine)
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
func (w *Workshop) Typed(ctx context.Context, id string, base int, text string) ([]byte, error) {
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

// NewPartField is a cell of a new part.
type NewPartField struct{ Name, Words, Example string }

// NewPartFields are what is asked of a new part.
var NewPartFields = []NewPartField{
	{"id", "Short name, without blanks", "wide-axle"}, {"kind", "Kind", "axle"}, {"name", "What it is", "Wide axle, 30 mm"}, {"price", "Price", "310.00"},
	{"lead", "From order to the door", "10 days"}, {"time", "Work, once all is there", "3 h"}, {"from", "From whom", "axle maker A"},
	{"sets", "What it sets, one after the other with semicolons", "wheels.axle.diameter: 30 mm; geometry.track_rear: 890 mm"}, {"needs", "Parts it needs", "bearing-carrier"},
}

// AddPart adds one part.
func (w *Workshop) AddPart(ctx context.Context, id string, cells map[string]string) (Revision, error) {
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
	r, _, err := w.AddList(ctx, id, "the new part", list.Bytes())
	return r, err
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
