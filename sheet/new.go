package sheet

import (
	"fmt"
	"slices"
	"strings"

	"shakedown/machine"
)

// New is the text of a sheet for a machine of a layout: the answers as given, everything else typical, each with what
// it is and how to get it in a comment. What has no typical value stands as a comment, ready to be filled in. Answers
// are texts by input path, as the sheet writes them; the paths must be known and fit the layout.
func New(layout string, answers map[string]string, date string) ([]byte, error) {
	for path := range answers {
		switch {
		case machine.FieldAt(path) == nil:
			return nil, fmt.Errorf("there is no input %q", path)
		case !machine.Fits(layout, path):
			return nil, fmt.Errorf("a %s has no %s", layout, path)
		}
	}
	w := newWriter{layout: layout, answers: answers}
	w.line("# yaml-language-server: $schema=shakedown.schema.json")
	w.line("# (editors use it: shakedown schema > shakedown.schema.json)")
	w.line("#")
	w.line("# A build sheet for shakedown, begun on %s. Lines marked typical are what machines of this kind usually have:", date)
	w.line("# replace each by your own, and write measured, claimed or estimated behind it. A line that begins with # is not given: take the")
	w.line("# # away when you fill it in. Until then it follows from other lines where its comment says so, else it has no value.")
	w.line("# docs/sheet-format.md explains the form.")
	w.line("sheet: 1")
	w.line("currency: EUR                      # ISO 4217 code of your money")
	w.line("# race_day: 2027-09-11             # the day by which it must be ready")
	w.line("")
	top := machine.Top()
	for _, name := range []string{"air", "rider", "class_rules"} {
		w.group(top, name, name, 0)
	}
	w.line("machine:")
	for _, name := range machineKeys() {
		w.group(top, name, name, 1)
	}
	w.line("")
	w.line("# Parts on offer. Each is a patch over the machine: what it sets, what it adds, what it needs.")
	w.line("parts: {}")
	w.line("#  wide-axle:")
	w.line("#    kind: axle")
	w.line("#    price: 310.00")
	w.line("#    lead: 10 days")
	w.line("#    sets: {wheels.axle.diameter: 30 mm}")
	w.line("")
	w.line("builds:                            # the first is the baseline, the last the aim")
	w.line("  as-found: []")
	w.line("")
	w.group(top, "track", "track", 0)
	return []byte(w.String()), nil
}

type newWriter struct {
	strings.Builder
	layout  string
	answers map[string]string
}

func (w *newWriter) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

// value is what stands for an input, and whether anything does.
func (w *newWriter) value(path string) (string, bool) {
	field := machine.FieldAt(path)
	text, given := w.answers[path]
	if !given {
		text = machine.Typical(w.layout, path)
	}
	if text == "" {
		return "", false
	}
	if field.Shape == machine.Word && strings.ContainsAny(text, ":#{}[],&*!|>'\"%@`") || field.Path == "driveline.chain.size" {
		return fmt.Sprintf("%q", text), true
	}
	if !given && field.Shape == machine.Number && (!field.Spec.Exact || strings.HasPrefix(path, "track.")) { // whose course it is must be seen
		text += " typical"
	}
	return text, true
}

// any says that something stands under a place: a value, or a line to be filled in.
func (w *newWriter) fits(place machine.Place, path string) bool {
	if !place.IsGroup() {
		return machine.Fits(w.layout, path)
	}
	return slices.ContainsFunc(place.Names(), func(name string) bool {
		child, _ := place.Child(name)
		return w.fits(child, path+"."+name)
	})
}

// filled says that a value stands somewhere under a place.
func (w *newWriter) filled(place machine.Place, path string) bool {
	switch {
	case place.IsList():
		item := place.Item()
		if !item.IsGroup() {
			_, ok := w.value(path + "[0]")
			return ok
		}
		return w.filled(item, path+"[0]")
	case place.IsGroup():
		return slices.ContainsFunc(place.Names(), func(name string) bool {
			child, _ := place.Child(name)
			return w.filled(child, path+"."+name)
		})
	}
	_, ok := w.value(path)
	return ok && machine.Fits(w.layout, path)
}

// group writes what stands at a name below a place.
func (w *newWriter) group(parent machine.Place, name, path string, level int) {
	place, ok := parent.Child(name)
	if !ok || !w.fits(place, path) {
		return
	}
	indent := strings.Repeat("  ", level)
	mark := ""
	if !w.filled(place, path) {
		mark = "# "
	}
	switch {
	case place.IsList():
		w.list(place, name, path, indent, mark)
	case place.IsGroup():
		w.line("%s%s%s:", indent, mark, name)
		for _, inner := range place.Names() {
			if mark != "" {
				w.hints(place, inner, path+"."+inner, level+1)
				continue
			}
			w.group(place, inner, path+"."+inner, level+1)
		}
	default:
		field := place.Field()
		text, _ := w.value(path)
		w.line("%s", comment(fmt.Sprintf("%s%s%s: %s", indent, mark, name, text), field))
	}
}

// hints writes a group of which nothing is known, as comments.
func (w *newWriter) hints(parent machine.Place, name, path string, level int) {
	place, ok := parent.Child(name)
	if !ok || !w.fits(place, path) {
		return
	}
	indent := strings.Repeat("  ", level)
	switch {
	case place.IsList():
		w.list(place, name, path, indent, "# ")
	case place.IsGroup():
		w.line("%s# %s:", indent, name)
		for _, inner := range place.Names() {
			w.hints(place, inner, path+"."+inner, level+1)
		}
	default:
		w.line("%s", comment(fmt.Sprintf("%s# %s:", indent, name), place.Field()))
	}
}

// list writes a list: its typical entries, or the form of one as a comment.
func (w *newWriter) list(place machine.Place, name, path, indent, mark string) {
	item := place.Item()
	if !item.IsGroup() {
		w.line("%s", comment(fmt.Sprintf("%s%s%s: [...]", indent, mark, name), item.Field()))
		return
	}
	if mark != "" {
		var form, docs []string
		for _, inner := range item.Names() {
			child, _ := item.Child(inner)
			if f := child.Field(); f != nil {
				form = append(form, inner+": ...")
				docs = append(docs, f.Doc)
			}
		}
		w.line("%s", pad(fmt.Sprintf("%s# %s: [{%s}, ...]", indent, name, strings.Join(form, ", ")))+"# "+strings.Join(docs, "; "))
		return
	}
	w.line("%s%s:", indent, name)
	for i := 0; ; i++ {
		var entries []string
		for _, inner := range item.Names() {
			if text, ok := w.value(fmt.Sprintf("%s[%d].%s", path, i, inner)); ok {
				entries = append(entries, inner+": "+text)
			}
		}
		if len(entries) == 0 {
			return
		}
		w.line("%s  - {%s}", indent, strings.Join(entries, ", "))
	}
}

func pad(text string) string {
	const column = 44
	return text + strings.Repeat(" ", max(1, column-len([]rune(text))))
}

// comment puts behind a line what the input is, what it may be, and how to get it.
func comment(text string, field *machine.Field) string {
	words := field.Doc
	if field.Shape == machine.Choice {
		words += ": " + strings.Join(field.Words, ", ")
	}
	if field.How != "" {
		words += "; " + field.How
	}
	if machine.Follows(field.Path) != nil && strings.HasSuffix(strings.TrimSpace(text), ":") {
		words += "; left out it follows from other lines"
	}
	return pad(text) + "# " + words
}
