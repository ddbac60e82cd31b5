package report

import (
	"fmt"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// InputRow is one input of a figure as people read it.
type InputRow struct {
	Path, Value, Known, Origin string
	Line                       int    // in the sheet; 0 when nobody wrote it
	Share                      string // of the range, in %; empty when next to nothing
}

// BasisRows lists the inputs of a figure, those that make most of its range first.
func BasisRows(f figure.Figure, system quantity.System) []InputRow {
	rows := make([]InputRow, 0, len(f.Basis.Inputs))
	for _, in := range f.Basis.Inputs {
		rows = append(rows, inputRow(in, system))
	}
	return rows
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
	if in.Share >= 0.005 {
		r.Share = quantity.Number(100*in.Share, 0) + " %"
	}
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
