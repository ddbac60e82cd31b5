package asked

import (
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
	"shakedown/sheet"
)

// InputView is one input of the machine as a person sees and changes it.
type InputView struct {
	Path    string // in the sheet
	Doc     string
	How     string   // to get it
	Text    string   // as the sheet writes it; "" when it does not stand there
	Stands  string   // what is counted with, for people; "" for nothing
	Known   string   // how it is known
	Line    int      // in the sheet; 0 when it does not stand there
	Units   string   // that it may be written in
	Words   []string // that it may be
	From    string   // the worksheet that gives it, or ""
	Example string
}

// Given says that the sheet has the input.
func (i InputView) Given() bool { return i.Text != "" }

// InputGroup is the inputs of one part of the machine.
type InputGroup struct {
	ID, Title      string
	Inputs         []InputView // that have a value
	Absent         []InputView // that nobody has given and nothing stands in for
	Typical, Given int
}

// inputGroups are the groups by the beginnings of their paths; the first that fits takes an input.
var inputGroups = []struct{ id, title, prefixes string }{
	{"machine", "Machine", "name layout mass tank"}, {"condition", "Looked over", "condition"}, {"geometry", "Geometry", "geometry"}, {"rider", "Rider", "rider"},
	{"valves", "Head and valves", "engine.head engine.valve_train"}, {"cam", "Cam", "engine.cam"}, {"breathing", "Intake and exhaust", "engine.intake engine.exhaust"}, {"engine", "Engine", "engine"},
	{"driveline", "Driveline", "driveline"}, {"wheels", "Wheels and axle", "wheels"}, {"suspension", "Suspension", "suspension"}, {"brakes", "Brakes", "brakes"},
	{"air", "Air", "air"}, {"class", "Class", "class_rules"}, {"track", "Track", "track"}, {"more", "More", ""},
}

// groupOrder is how the groups are shown: the engine before its details.
var groupOrder = []string{"machine", "condition", "geometry", "rider", "engine", "valves", "cam", "breathing", "driveline", "wheels", "suspension", "brakes", "air", "class", "track", "more"}

// Inputs are the inputs of a machine, group by group.
func Inputs(s *sheet.Sheet, text []byte, system quantity.System) ([]InputGroup, error) {
	written, err := sheet.Values(text)
	if err != nil {
		return nil, err
	}
	p := s.Project
	layout := p.Base["layout"].Text
	groups := map[string]*InputGroup{}
	for _, g := range inputGroups {
		groups[g.id] = &InputGroup{ID: g.id, Title: g.title}
	}
	for _, f := range machine.Fields() {
		if strings.HasPrefix(f.Path, "measure.") || !machine.Fits(layout, f.Path) {
			continue
		}
		g := groups[groupOf(f.Path)]
		for _, path := range concrete(p, f.Path) {
			in := inputOf(p, &f, path, written, system)
			switch {
			case in.Stands == "" && in.Text == "":
				g.Absent = append(g.Absent, in)
				continue
			case in.Known == quantity.Typical.String():
				g.Typical++
			}
			if in.Given() {
				g.Given++
			}
			g.Inputs = append(g.Inputs, in)
		}
	}
	list := make([]InputGroup, 0, len(groupOrder))
	for _, id := range groupOrder {
		if g := groups[id]; len(g.Inputs)+len(g.Absent) > 0 {
			list = append(list, *g)
		}
	}
	return list, nil
}

func groupOf(path string) string {
	for _, g := range inputGroups {
		for prefix := range strings.FieldsSeq(g.prefixes) {
			if path == prefix || strings.HasPrefix(path, prefix+".") {
				return g.id
			}
		}
	}
	return "more"
}

// concrete are the paths of a field in a project: one for each entry of a list, in order; none of a list without
// entries.
func concrete(p *machine.Project, path string) []string {
	before, after, list := strings.Cut(path, "[]")
	if !list {
		return []string{path}
	}
	var found []string
	for i := 0; ; i++ {
		entry := before + "[" + strconv.Itoa(i) + "]"
		there := false
		for given := range p.Base {
			if given == entry || strings.HasPrefix(given, entry+".") {
				there = true
				break
			}
		}
		if !there {
			return found
		}
		if _, ok := p.Base[entry+after]; ok {
			found = append(found, concrete(p, entry+after)...)
		}
	}
}

func inputOf(p *machine.Project, f *machine.Field, path string, written map[string]string, system quantity.System) InputView {
	in := InputView{Path: path, Doc: f.Doc, How: f.How, Words: f.Words, Example: exampleOf(f)}
	switch {
	case f.Shape == machine.YesNo:
		in.Words = []string{"yes", "no"}
	case f.Shape == machine.Number && f.Spec.Bare != "":
		in.Units = "bare number in " + f.Spec.Bare
	case f.Shape == machine.Number && f.Spec.Kind != quantity.Ratio:
		in.Units = quantity.Symbols(f.Spec.Kind)
	}
	if text, ok := written[path]; ok {
		in.Text = text
	} else {
		in.Text = written["machine."+path]
	}
	v, ok := p.Base[path]
	if !ok {
		return in
	}
	in.Line = v.Origin.Line
	word := figure.Input{Path: path, Text: v.Text, Word: len(v.Terms) == 0, Kind: f.Spec.Kind, Origin: v.Origin}
	word.Value, word.Half = p.Number(v), p.Half(v)
	for _, i := range v.Terms {
		word.Known = max(word.Known, p.Atoms[i].Q.Known)
	}
	row := report.TypicalRows([]figure.Input{word}, system)[0]
	in.Stands, in.Known = row.Value, row.Known
	if in.Text == "" && v.Origin.Line > 0 {
		for _, w := range machine.Worksheets {
			if slices.Contains(w.Gives, path) {
				in.From = w.Name
			}
		}
	}
	return in
}

// exampleOf is a text as one could write it.
func exampleOf(f *machine.Field) string {
	switch {
	case len(f.Words) > 0:
		return f.Words[0]
	case f.Shape == machine.Bolts:
		return "4 x 110 mm"
	case f.Path == "track.surface":
		return machine.Grounds[0].Name()
	case f.Shape != machine.Number:
		return ""
	case f.Spec.Kind == quantity.Ratio:
		return "1"
	}
	return "12 " + quantity.Units(f.Spec.Kind)[0].Symbol + " measured"
}

// WorksheetView is a way of measuring, with the readings there are.
type WorksheetView struct {
	machine.Worksheet
	Readings []InputView
	Results  []InputView // what it gives
	List     bool        // its readings are a list, written in the sheet
	Complete bool        // it gives something now
	Replaces []InputView // inputs that stand in the sheet already and would have to go
}

// Worksheets are all that fit the machine.
func Worksheets(s *sheet.Sheet, text []byte, system quantity.System) ([]WorksheetView, error) {
	written, err := sheet.Values(text)
	if err != nil {
		return nil, err
	}
	layout := s.Project.Base["layout"].Text
	var list []WorksheetView
	for _, w := range machine.Worksheets {
		if !machine.Fits(layout, w.Gives[0]) {
			continue
		}
		sheetOf := WorksheetView{Worksheet: w}
		for _, f := range machine.Fields() {
			switch {
			case strings.HasPrefix(f.Path, "measure."+w.Name+"[]."):
				sheetOf.List = true
			case strings.HasPrefix(f.Path, "measure."+w.Name+"."):
				sheetOf.Readings = append(sheetOf.Readings, inputOf(s.Project, &f, f.Path, written, system))
			}
		}
		for _, path := range w.Gives {
			field := machine.FieldAt(path)
			if field == nil {
				continue // a list
			}
			in := inputOf(s.Project, field, path, written, system)
			sheetOf.Results = append(sheetOf.Results, in)
			if in.Given() {
				sheetOf.Replaces = append(sheetOf.Replaces, in)
			}
			sheetOf.Complete = sheetOf.Complete || in.From == w.Name
		}
		list = append(list, sheetOf)
	}
	return list, nil
}
