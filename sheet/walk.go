package sheet

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// walker goes through the syntax tree along the schema and fills the project; it goes on after an error.
type walker struct {
	files   []*File
	file    *File // being read
	project *machine.Project
	errors  Errors
	part    string // the part being read, "" outside parts
	seen    map[string]figure.Origin
	versed  bool // some file has said sheet: 1
	waits   []waiting
	full    bool // it holds more than a sheet may
}

// waiting is one line of waits_for, kept until all parts are known.
type waiting struct {
	from string
	to   machine.Reference
}

func newWalker(files []*File) *walker {
	return &walker{files: files, project: &machine.Project{Base: make(map[string]machine.Value, 256)}, seen: map[string]figure.Origin{}}
}

func (w *walker) origin(t *token.Token) figure.Origin {
	return figure.Origin{File: w.file.Name, Line: t.Position.Line, Column: t.Position.Column, Part: w.part}
}

func (w *walker) fail(t *token.Token, problem, expected, remedy string) {
	w.errors = append(w.errors, w.file.at(t.Position.Line, t.Position.Column, utf8.RuneCountInString(t.Value), problem, expected, remedy))
}

// clip keeps what a message quotes short.
func clip(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "…"
}

// unknown reports a key that is not one of the names.
func (w *walker) unknown(t *token.Token, name string, names []string) {
	remedy := "remove it, or see the list in docs/sheet-format.md"
	if near := quantity.Nearest(name, names); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	} else if cutByComma(name) {
		remedy = afterComma
	}
	w.fail(t, fmt.Sprintf("unknown key %q", clip(name)), "one of "+brief(names), remedy)
}

// afterComma is the remedy for what a decimal comma inside braces leaves behind.
const afterComma = "inside { } a comma ends an entry: write the number before it with a point, or the value in quotes"

// cutByComma says that a key is what stood behind a decimal comma.
func cutByComma(name string) bool { return name != "" && name[0] >= '0' && name[0] <= '9' }

func brief(names []string) string {
	if len(names) > 14 {
		return strings.Join(names[:14], ", ") + " and more"
	}
	return quantity.AnyOf(names)
}

// once reports an entry that was already made, naming both places.
func (w *walker) once(path string, t *token.Token) bool {
	here := w.origin(t)
	if first, ok := w.seen[path]; ok {
		w.fail(t, fmt.Sprintf("%s is written twice: first at %s:%d", clip(path), first.File, first.Line), "each entry once", "remove one of the two")
		return false
	}
	w.seen[path] = here
	return true
}

// group gives the entries of a map, or reports that there is none.
func (w *walker) group(n ast.Node, what, example string) []entry {
	list, ok := entries(n)
	if !ok {
		w.refuse(n, what, example)
	}
	return list
}

// refuse reports a node of the wrong form; anchors and aliases have a reason of their own.
func (w *walker) refuse(n ast.Node, what, example string) {
	t := n.GetToken()
	switch n.Type() {
	case ast.AnchorType, ast.AliasType, ast.MergeKeyType:
		w.fail(t, "an anchor or alias", "plain values", "write the value out where it is used")
	case ast.TagType:
		w.fail(t, "a YAML tag", "plain values", "remove the word that begins with !")
	case ast.NullType:
		w.fail(t, what+" is empty", example, "fill it in, or delete the line")
	default:
		w.fail(t, fmt.Sprintf("%s has the wrong form", what), example, "write it in the form shown")
	}
}

func (w *walker) document(n ast.Node) {
	list, ok := entries(n)
	if !ok {
		w.refuse(n, "the sheet", "a map that begins with sheet: 1")
		return
	}
	for _, e := range list {
		if !slices.Contains(sheetKeys, e.name) {
			w.unknown(e.key, e.name, sheetKeys)
			continue
		}
		switch e.name {
		case "sheet":
			w.version(e)
		case "title", "today", "race_day":
			if w.once(e.name, e.key) {
				w.header(e)
			}
		case "currency": // read already
		case "machine":
			for _, inner := range w.group(e.value, "machine", "machine: {name: ..., engine: {...}}") {
				if !slices.Contains(machineKeys(), inner.name) {
					w.unknown(inner.key, inner.name, machineKeys())
					continue
				}
				w.base(inner.name, inner)
			}
		case "parts":
			for _, inner := range w.group(e.value, "parts", "parts: {wide-axle: {price: 310.00, ...}}") {
				if !w.guardCount(inner.key, "parts", len(w.project.Parts), MaxParts) {
					break
				}
				if w.once("parts."+inner.name, inner.key) {
					w.partEntry(inner)
				}
			}
		case "builds":
			w.seen["builds"] = w.origin(e.key)
			for _, inner := range w.group(e.value, "builds", "builds: {as-found: [], full: [wide-axle]}") {
				if !w.guardCount(inner.key, "builds", len(w.project.Builds), MaxBuilds) {
					break
				}
				if w.once("builds."+inner.name, inner.key) {
					w.build(inner)
				}
			}
		default:
			w.base(e.name, e)
		}
	}
}

// currencyFirst reads the currency before any price, wherever it stands.
func (w *walker) currencyFirst(n ast.Node) {
	list, _ := entries(n)
	for _, e := range list {
		if e.name == "currency" && w.once(e.name, e.key) {
			text, t, _ := scalar(e.value)
			w.currency(text, t)
		}
	}
}

func (w *walker) version(e entry) {
	text, t, _ := scalar(e.value)
	if text != "1" {
		w.fail(t, fmt.Sprintf("sheet format %q", clip(text)), "sheet: 1", "this version of the program reads format 1; a newer sheet needs a newer program")
	}
	w.versed = true
}

func (w *walker) header(e entry) {
	text, t, ok := scalar(e.value)
	if !ok || text == "" {
		w.refuse(e.value, e.name, e.name+": a word or date")
		return
	}
	switch e.name {
	case "title":
		w.project.Title = text
	case "today":
		w.project.Today = w.date(text, t)
	case "race_day":
		w.project.RaceDay = w.date(text, t)
	}
}

func (w *walker) date(text string, t *token.Token) time.Time {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		w.fail(t, fmt.Sprintf("%q is no date", clip(text)), "year-month-day, such as 2027-05-03", "write four digits for the year, two for month and day")
	}
	return day
}

// base reads one entry of the machine, rider, air, class or track.
func (w *walker) base(path string, e entry) {
	place, _ := machine.Top().Child(e.name)
	w.value(place, path, e.key, e.value, func(path string, v machine.Value) {
		w.project.Base[path] = v
	})
}

// value reads what stands at a place of the schema and hands on each input found under it.
func (w *walker) value(place machine.Place, path string, key *token.Token, n ast.Node, found func(string, machine.Value)) {
	switch {
	case place.IsList():
		w.list(place, path, n, found)
	case place.IsGroup():
		for _, e := range w.group(n, path, fmt.Sprintf("{%s: ...}", strings.Join(place.Names()[:min(3, len(place.Names()))], ": ..., "))) {
			child, ok := place.Child(e.name)
			if !ok {
				w.unknown(e.key, e.name, place.Names())
				continue
			}
			w.value(child, joinPath(path, e.name), e.key, e.value, found)
		}
	default:
		if w.part == "" && !w.once(path, key) {
			return
		}
		w.leaf(place.Field(), path, n, found)
	}
}

func (w *walker) list(place machine.Place, path string, n ast.Node, found func(string, machine.Value)) {
	sequence, ok := n.(*ast.SequenceNode)
	if !ok {
		w.refuse(n, path, path[strings.LastIndex(path, ".")+1:]+": [..., ...]")
		return
	}
	if len(sequence.Values) == 0 {
		w.fail(n.GetToken(), path+" is an empty list", "at least one entry", "fill it in, or delete the line")
		return
	}
	if len(sequence.Values) > 1000 {
		w.fail(n.GetToken(), fmt.Sprintf("%s has %d entries", path, len(sequence.Values)), "at most 1000 entries", "leave some out")
		return
	}
	for i, item := range sequence.Values {
		w.value(place.Item(), fmt.Sprintf("%s[%d]", path, i), item.GetToken(), item, found)
	}
}

// leaf reads one input.
func (w *walker) leaf(field *machine.Field, path string, n ast.Node, found func(string, machine.Value)) {
	text, t, ok := scalar(n)
	if !ok || (text == "" && t.Type == token.ImplicitNullType) {
		w.refuse(n, path, w.wanted(field))
		return
	}
	v := machine.Value{Field: field, Text: text, Origin: w.origin(t)}
	switch field.Shape {
	case machine.Number:
		q, ok := w.number(field, text, t)
		if !ok {
			return
		}
		if fault := field.Fault(q); fault != nil {
			w.fail(t, path+" "+fault.What, w.wanted(field)+", "+fault.Expected, fault.Remedy)
			return
		}
		v.Terms = []int{w.project.AddAtom(machine.Atom{Path: path, Q: q, Origin: v.Origin})}
	case machine.Choice:
		if !slices.Contains(field.Words, text) {
			remedy := "use one of these words"
			if meant := machine.Meant(text); path == "layout" && meant != "" {
				remedy = fmt.Sprintf("did you mean %q?", meant)
			} else if near := quantity.Nearest(text, field.Words); near != "" {
				remedy = fmt.Sprintf("did you mean %q?", near)
			}
			w.fail(t, fmt.Sprintf("%q is not one of the words for %s", clip(text), path), quantity.AnyOf(field.Words), remedy)
			return
		}
	case machine.YesNo:
		if v.Yes, ok = w.truth(text, t); !ok {
			return
		}
	case machine.Bolts:
		bolts, err := quantity.ParseBoltCircle(text)
		if err != nil {
			w.problem(err, t)
			return
		}
		v.Bolts = bolts
	}
	found(path, v)
}

func (w *walker) wanted(field *machine.Field) string {
	switch field.Shape {
	case machine.Number:
		switch {
		case field.Spec.Bare != "":
			return "a bare number in " + field.Spec.Bare
		case field.Spec.Kind == quantity.Ratio:
			return "a plain number"
		}
		return fmt.Sprintf("a %s in %s", field.Spec.Kind, quantity.Symbols(field.Spec.Kind))
	case machine.Choice:
		return quantity.AnyOf(field.Words)
	case machine.YesNo:
		return "yes or no"
	case machine.Bolts:
		return "a count on a bolt circle, such as 4 x 110 mm"
	}
	return "a word"
}

func (w *walker) truth(text string, t *token.Token) (yes, ok bool) {
	switch text {
	case "yes":
		return true, true
	case "no":
		return false, true
	}
	w.fail(t, fmt.Sprintf("%q is neither yes nor no", clip(text)), "yes or no", "these two are the only truth words of the sheet")
	return false, false
}

// number reads a quantity; inside a part it is claimed unless the text says otherwise.
func (w *walker) number(field *machine.Field, text string, t *token.Token) (quantity.Quantity, bool) {
	spec := field.Spec
	if w.part != "" {
		spec.Default = quantity.Claimed
	}
	q, err := quantity.Parse(text, spec)
	if err != nil {
		w.problem(err, t)
		return q, false
	}
	return machine.Advertised(field.Path, q), true
}

// problem turns a quantity's error into one with its place in the file.
func (w *walker) problem(err error, t *token.Token) {
	p, ok := err.(*quantity.Problem)
	if !ok {
		w.fail(t, err.Error(), "a value", "mend it")
		return
	}
	before := min(p.Offset, len(t.Value))
	column := t.Position.Column + utf8.RuneCountInString(t.Value[:before])
	if t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType {
		column++
	}
	until := min(before+p.Length, len(t.Value))
	w.errors = append(w.errors, w.file.at(t.Position.Line, column, utf8.RuneCountInString(t.Value[before:until]), p.What, p.Expected, p.Remedy))
}
