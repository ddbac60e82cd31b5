package report

import (
	"cmp"
	"fmt"
	"slices"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// InputRow is one input of a figure as people read it.
type InputRow struct {
	Path, Value, Known, Origin string
	Line                       int    // in the sheet; 0 when nobody wrote it
	Share                      string // of the range, in %; empty when next to nothing
	Doubt                      bool   // no input but something that the model is not sure of; Path is its name
}

// BasisRows lists the inputs of a figure and the doubts of its model, those that make most of its range first.
func BasisRows(f figure.Figure, system quantity.System) []InputRow {
	type rest struct {
		row   InputRow
		share float64 // [-]
	}
	list := make([]rest, 0, len(f.Basis.Inputs)+len(f.Basis.Doubts))
	for _, in := range f.Basis.Inputs {
		list = append(list, rest{inputRow(in, system), in.Share})
	}
	for _, d := range f.Basis.Doubts {
		if text := shareText(d.Share); text != "" {
			list = append(list, rest{InputRow{Path: d.Name, Known: "by the model", Share: text, Doubt: true}, d.Share})
		}
	}
	slices.SortStableFunc(list, func(a, b rest) int { return cmp.Compare(b.share, a.share) })
	rows := make([]InputRow, len(list))
	for i := range list {
		rows[i] = list[i].row
	}
	return rows
}

// shareText is a share of a range; "" for next to nothing.
func shareText(share float64) string {
	if share < 0.005 {
		return ""
	}
	return quantity.Number(100*share, 0) + " %"
}

func inputRow(in figure.Input, system quantity.System) InputRow {
	r := InputRow{Path: in.Path, Value: inputText(in, system), Known: in.Known.String(), Origin: in.Origin.String(), Line: in.Origin.Line}
	if !in.Word && in.Half == 0 && in.Known == quantity.Estimated {
		r.Known = "as set" // a count or a setting: decided, not guessed
	}
	if in.Word {
		r.Known = "given"
		if in.Origin.Line == 0 {
			r.Known = "typical"
		}
	}
	r.Share = shareText(in.Share)
	return r
}

// TypicalRows lists typical inputs as people read them.
func TypicalRows(inputs []figure.Input, system quantity.System) []InputRow {
	rows := make([]InputRow, 0, len(inputs))
	for _, in := range inputs {
		rows = append(rows, inputRow(in, system))
	}
	return rows
}

// ModelText words the model's own error of a figure; "" when nothing is said of it.
func ModelText(f figure.Figure) string {
	switch {
	case f.Basis.ModelNote == "":
		return ""
	case f.Basis.ModelInside:
		return f.Basis.ModelNote
	case f.Basis.ModelError == 0:
		return "no error of its own in the range: " + f.Basis.ModelNote
	}
	return fmt.Sprintf("±%s %%: %s", quantity.Number(100*f.Basis.ModelError, 1), f.Basis.ModelNote)
}

// Wanted is an input worth measuring, in words.
type Wanted struct {
	Path string // to stand small beside Name
	Name string
	Why  string // how to get it and what it narrows
}

// Text is the whole sentence.
func (w Wanted) Text() string { return beside(w.Name+" "+w.Why, []string{w.Path}) }

// WantedRows words what is worth measuring.
func WantedRows(wanted []figure.Wanted, figures []figure.Figure) []Wanted {
	titles := map[string]string{}
	for _, f := range figures {
		titles[f.ID] = f.Title
	}
	rows := make([]Wanted, 0, len(wanted))
	for _, m := range wanted {
		name := machine.Spoken(m.Path)
		rows = append(rows, Wanted{m.Path, quantity.Capital(name), fmt.Sprintf("(%s now): %s. It narrows \"%s\" from ±%s %% to ±%s %%.", m.Known, m.How, titles[m.Figure], quantity.Number(100*m.From, 0), quantity.Number(100*m.To, 0))})
	}
	return rows
}
