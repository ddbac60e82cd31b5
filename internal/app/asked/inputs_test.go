package asked

import (
	"testing"
	"time"

	"shakedown/examples"
	"shakedown/quantity"
	"shakedown/sheet"
)

// The inputs, parts and worksheets of the examples: what the sheet gives stands there as it is shown, and all belongs
// somewhere.
func TestInputsAndParts(t *testing.T) {
	for _, x := range examples.List {
		text, err := examples.Text(x.Name)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Ask(Question{Text: &sheet.File{Name: x.Name, Text: text}, Now: time.Now()})
		if err != nil {
			t.Fatal(err)
		}
		groups, err := Inputs(a.Sheet, text, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		given := 0
		for _, g := range groups {
			if g.ID == "more" && len(g.Inputs) > 0 {
				t.Errorf("%s: %d inputs have no group: %v", x.Name, len(g.Inputs), g.Inputs[0].Path)
			}
			for _, in := range g.Inputs {
				if in.Given() {
					given++
					if got, err := sheet.Get(text, in.Path); err != nil || got != in.Text {
						t.Errorf("%s: %s is %q, in the sheet %q (%v)", x.Name, in.Path, in.Text, got, err)
					}
				} else if in.Known != "typical" && in.From == "" {
					t.Errorf("%s: %s stands nowhere and is %s", x.Name, in.Path, in.Known)
				}
			}
		}
		if given < 100 {
			t.Errorf("%s: only %d inputs given", x.Name, given)
		}
		parts, err := PartViews(a, text)
		if err != nil || len(parts) < 5 {
			t.Errorf("%d kinds of parts, %v", len(parts), err)
		}
		sheets, err := Worksheets(a.Sheet, text, quantity.Metric)
		if err != nil || len(sheets) < 10 {
			t.Errorf("%d worksheets, %v", len(sheets), err)
		}
	}
}
