package app

import (
	"fmt"
	"slices"
	"strings"

	"shakedown/check"
	"shakedown/forecast"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Topic is a table that help prints: a sentence, the heads of the columns, the rows.
type Topic struct {
	Words string
	Heads []string
	Rows  [][]string
}

// TopicNames are the tables that help knows.
var TopicNames = []string{"tolerances", "units", "figures", "rules", "inputs", "claims", "measuring", "grounds", "catalogue"}

// HelpTopic is the table of that name.
func HelpTopic(name string) (Topic, error) {
	switch name {
	case "tolerances":
		return tolerances(), nil
	case "units":
		return units(), nil
	case "figures":
		return figures(), nil
	case "rules":
		return rules(), nil
	case "inputs":
		return inputs(), nil
	case "claims":
		return claims(), nil
	case "measuring":
		return measuring(), nil
	case "grounds":
		return grounds(), nil
	case "catalogue":
		return catalogue(), nil
	}
	return Topic{}, faults.Mendable(fmt.Errorf("there is no help on %q; there is on %s", name, quantity.AnyOf(TopicNames)))
}

func tolerances() Topic {
	t := Topic{Words: "Half-width that holds a value with 95 %, where the sheet gives none. From memory, common practice: write ± behind a value where you know better, such as bore: 74.00 mm ± 0.01 measured.", Heads: []string{"quantity", "measured", "claimed", "estimated", "typical"}}
	for _, r := range quantity.ToleranceTable() {
		t.Rows = append(t.Rows, []string{r.What, r.Measured, r.Claimed, r.Estimated, r.TypicalA})
	}
	return t
}

func units() Topic {
	t := Topic{Words: "Units that the sheet takes, by what is measured. Waiting times also take months and working days; 4 x 110 mm is a bolt circle. What catalogues write for them is read too, such as 46.5\", 12 lbs, 0.7 kg/mm: shakedown help catalogue. Example: wheelbase: 1235 mm ± 3 measured.", Heads: []string{"quantity", "units"}}
	for kind := quantity.Ratio; kind <= quantity.Time; kind++ {
		var symbols []string
		for _, u := range quantity.Units(kind) {
			symbols = append(symbols, u.Symbol)
		}
		if kind == quantity.Ratio {
			symbols = append(symbols, "or none")
		}
		t.Rows = append(t.Rows, []string{kind.String(), strings.Join(symbols, ", ")})
	}
	return t
}

func figures() Topic {
	t := Topic{Words: "What is computed. shakedown figures SHEET --explain ID shows how one was made.", Heads: []string{"id", "unit", "figure"}}
	for _, f := range forecast.Describe() {
		if !f.Detail {
			t.Rows = append(t.Rows, []string{f.ID, f.Shown, f.Title})
		}
	}
	t.Rows = append(t.Rows, []string{"money.cost", "", "Cost of the build, needs included"}, []string{"plan.days", "days", "Days until it is ready"})
	return t
}

func rules() Topic {
	t := Topic{Words: "What is looked at in every build. docs/rules.md has the basis of each.", Heads: []string{"rule", "looks at"}}
	for _, r := range check.Rules() {
		t.Rows = append(t.Rows, []string{r.ID, r.LooksAt})
	}
	return t
}

func inputs() Topic {
	t := Topic{Words: "What a sheet can hold, and how to get it.", Heads: []string{"input", "what it is; how to get it"}}
	for _, f := range machine.Fields() {
		words := f.Doc
		if f.How != "" {
			words += "; " + f.How
		}
		t.Rows = append(t.Rows, []string{f.Path, words})
	}
	return t
}

func claims() Topic {
	t := Topic{Words: "What a maker says of a part, written under claims in the part and held against the figures: claims: [{says: \"2 hp more\", of: engine.peak_power, gain: 2 hp, at: rear wheel, with: [race-cam]}].", Heads: []string{"key or verdict", "what it says"}}
	t.Rows = [][]string{
		{"says", "The maker's words, for the reader."},
		{"of", "The figure; shakedown help figures lists them. Any figure of the machine, also one that follows from the torque curve or the lap."},
		{machine.ClaimValue.String(), "What the figure is, in any unit of what it measures; or"},
		{machine.ClaimFactor.String(), "how many times the baseline's it is; or"},
		{machine.ClaimGain.String(), "by how much it is more than the baseline's, below zero for less."},
		{"at", "Where torque or power was measured: " + quantity.AnyOf(machine.ClaimPlaces()) + ". A total that does not say so cannot be judged, for the two lie about a tenth apart; a gain can where it comes to the same at both."},
		{"with", "Parts that were fitted too; a build without one of them does not let the claim be judged."},
		{"holds", "The range of the figure, or of its change, holds the number."},
		{"does not hold", "It does not."},
		{"inside the range", "The range of the change holds the number, and no change at all too."},
		{"cannot be judged", "The words say why. A gain or a factor counts against a baseline that has all but the part and what it needs; where other parts change the figure too, the words say what the change is of."},
		{"not judged yet", "The figure takes long and was not computed."},
	}
	return t
}

func grounds() Topic {
	t := Topic{Words: "What ground usually is, where the sheet names it (track.surface) and gives no reading. Road and farm tyres were measured, not yours: pull the machine with a spring scale.", Heads: []string{"ground", "grip", "rolling drag", "words for it, and source"}}
	for i := range machine.Grounds {
		g := &machine.Grounds[i]
		words := g.Source
		if len(g.Names) > 1 {
			words = strings.Join(g.Names[1:], ", ") + "; " + words
		}
		t.Rows = append(t.Rows, []string{g.Name(), g.Grip, g.Rolling, words})
	}
	return t
}

func measuring() Topic {
	t := Topic{Words: "How to measure what nobody can look up. Write the readings under measure in the sheet; what they give then follows, with its tolerance, and replaces the typical value. docs/measuring.md has an example of each. Block the wheels, tie the machine down, work in pairs.", Heads: []string{"measure", "what to do"}}
	for _, w := range machine.Worksheets {
		t.Rows = append(t.Rows, []string{w.Name, "Gives " + strings.Join(w.Gives, " and ") + ". Tools: " + w.Tools + ". " + w.Steps + " Take care: " + w.Care})
	}
	for _, id := range append(slices.Clone(machine.MeasuringCares), "rules") {
		t.Rows = append(t.Rows, []string{"take care", machine.CareNamed(id).Text})
	}
	return t
}

// SheetSchema is the JSON Schema of a sheet.
func SheetSchema() []byte { return sheet.Schema() }
