// Command lists writes the pages of docs that list what the code knows: every figure, every rule, every input.
//
// The tables of packages forecast, check, machine and quantity go in; docs/figures.md, docs/rules.md, docs/inputs.md,
// docs/typical.md and docs/measuring.md come out in the folder named. It is run by make lists; a test says when the
// pages are no longer what it would write.
package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"shakedown/check"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: lists FOLDER")
		os.Exit(2)
	}
	for name, text := range pages() {
		if err := os.WriteFile(filepath.Join(os.Args[1], name), []byte(text), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// pages are the texts by file name.
func pages() map[string]string {
	return map[string]string{"figures.md": figures(), "rules.md": rules(), "inputs.md": inputs(), "measuring.md": measuring(), "typical.md": typicals()}
}

// page gathers lines of Markdown.
type page struct{ strings.Builder }

func (p *page) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

// prose is a paragraph, its lines no longer than a page of docs has them; first and more stand before its first line
// and the others.
func (p *page) prose(first, more, text string) {
	const most = 120
	line := first
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
			line += word
		case len([]rune(line))+1+len([]rune(word)) > most:
			p.line("%s", line)
			line = more + word
		default:
			line += " " + word
		}
	}
	p.line("%s", line)
}

// row is a line of a table; a bar inside a cell would end it.
func (p *page) row(cells ...string) {
	for i := range cells {
		cells[i] = strings.ReplaceAll(cells[i], "|", "\\|")
	}
	p.line("| %s |", strings.Join(cells, " | "))
}

func (p *page) head(cells ...string) {
	p.row(cells...)
	p.line("|%s", strings.Repeat("---|", len(cells)))
}

func code(text string) string { return "`" + text + "`" }

func figures() string {
	var p page
	p.line("# Every figure\n")
	p.prose("", "", "Written by `make lists` from the code; do not edit. A figure is what the program computes. Its range is the 95 % range: "+
		"the tolerances of its inputs and the model's own error together. Values are SI in JSON; the unit for people is in brackets.")
	p.line("")
	p.head("id", "figure", "unit", "formula", "source", "model's own error", "basis")
	details := page{}
	for _, f := range forecast.Describe() {
		to := &p
		if f.Detail {
			to = &details
		}
		unit := f.SI
		if f.Shown != f.SI {
			unit += " (" + f.Shown + ")"
		}
		own := "none: " + f.ModelNote
		switch {
		case f.ModelInside:
			own = f.ModelNote
		case f.ModelError > 0:
			own = fmt.Sprintf("±%.3g %%: %s", 100*f.ModelError, f.ModelNote)
		}
		to.row(code(f.ID), f.Title, unit, f.Formula, f.Source, own, fmt.Sprintf("[theory](%s)", strings.TrimPrefix(f.Theory, "docs/")))
	}
	p.row(code("money.cost"), "Cost of the build, needs included", "minor units (the sheet's currency)", "sum of the prices", "the sheet", "none: prices are exact", "[theory](theory/plan.md#cost)")
	p.row(code("plan.days"), "Days until it is ready", "days", "longest chain of waiting and work; what keeps the same thing busy follows one another", "the sheet", "none: dates are as the sheet gives them", "[theory](theory/plan.md#dates)")
	p.line("\n## Figures that stand behind a rule\n")
	p.line("Tables for people leave these out; `shakedown figures --all` and `--json` have them.\n")
	p.head("id", "figure", "unit", "formula", "source", "model's own error", "basis")
	p.WriteString(details.String())
	return p.String()
}

func rules() string {
	var p page
	p.line("# Every rule\n")
	p.prose("", "", "Written by `make lists` from the code; do not edit. Each rule looks at the figures and inputs of a build and says, with "+
		"numbers, what does not go together and what to do. `conflict`: do not build it so. `caution`: be sure of what you do. `note`: "+
		"worth knowing. `not computed`: an input or a model is missing; that is never the same as fine. Findings of one severity are "+
		"told in the order of what is at stake: the rider, the machine, money and time.")
	p.line("")
	p.head("rule", "looks at", "at stake", "basis")
	for _, r := range check.Rules() {
		p.row(code(r.ID), r.LooksAt, r.Stake().String(), r.Basis)
	}
	return p.String()
}

func inputs() string {
	var p page
	p.line("# Every input\n")
	p.prose("", "", "Written by `make lists` from the code; do not edit. The words and signs are explained in [sheet-format.md](sheet-format.md). "+
		"Paths stand below `machine` in the sheet, except `air`, `rider`, `class_rules` and `track`, which stand at its top. "+
		"[measuring.md](measuring.md) has the readings. `[]` is an entry of a list. The value in the last column but one is used, "+
		"marked `typical`, when the sheet leaves the input out. A value outside of what is usual gets a caution about unit and digits: common "+
		"practice, from memory, unless a source is named. Outside of what is computed with, a value is refused; so is a tolerance as "+
		"wide as that. Nothing (0), where an input may be nothing, is always usual.")
	p.line("")
	p.head("input", "what it is", "written as", "usual", "computed with", "when left out", "how to get it")
	for _, f := range machine.Fields() {
		if strings.HasPrefix(f.Path, "measure.") {
			continue // docs/measuring.md has them
		}
		p.row(code(f.Path), f.Doc, written(f), usual(f), computed(f), typical(f.Path), f.How)
	}
	p.line("\n## Default tolerances\n")
	p.prose("", "", "The half-width of the 95 % range, where the sheet gives none. From memory, common practice: give your own where you know better.")
	p.line("")
	p.head("quantity", "measured", "claimed", "estimated", "typical")
	for _, r := range quantity.ToleranceTable() {
		p.row(r.What, r.Measured, r.Claimed, r.Estimated, r.TypicalA)
	}
	return p.String()
}

// typical says what is used when an input is left out, by layout where that differs.
func typical(path string) string {
	path = strings.ReplaceAll(path, "[]", "[0]")
	if r := machine.Follows(path); r != nil {
		return "follows from others: " + r.Formula
	}
	var texts []string
	same := true
	for _, layout := range machine.Layouts {
		text := machine.Typical(layout, path)
		same = same && text == machine.Typical(machine.Layouts[0], path)
		if text != "" {
			texts = append(texts, layout+": "+text)
		}
	}
	switch {
	case len(texts) == 0:
		return "nothing"
	case same:
		return machine.Typical(machine.Layouts[0], path)
	}
	return strings.Join(texts, "; ")
}

// typicals lists how typical values follow from other inputs.
func typicals() string {
	var p page
	p.line("# Typical values that follow from others\n")
	p.prose("", "", "Written by `make lists` from the code; do not edit. Where a sheet leaves one of these inputs out, its value follows from others of the "+
		"machine as found, and is marked `typical`. It is worked out again when the machine's own inputs are edited. A build has the machine's: "+
		"a part changes what it sets, and nothing follows from that. B is the bore, S the stroke, V the litres of one cylinder, n the "+
		"speed of the greatest power in 1/min: as printed, else from the mean piston speed at that power (13.5 m/s utility, 16 trail, 18.5 race), with half a say for "+
		"a redline that the sheet gives. The spread holds 95 % of such machines by judgement; where an input that a value follows from is "+
		"typical itself, the half-width holds that doubt too. Only the chamber in the head moves with what it follows from, so that the printed ratio stays. "+
		"Where nothing is said of the silencer, it has chambers, tuned for racing a straight core. No engine's measured torque was used to choose them. "+
		"[inputs.md](inputs.md) has the typical values that follow from nothing.")
	p.line("")
	p.head("input", "follows from", "relation", "spread", "source")
	for _, r := range machine.Relations() {
		from := make([]string, len(r.From))
		for i, path := range r.From {
			from[i] = code(path)
		}
		p.row(code(r.Path), strings.Join(from, ", "), r.Formula, r.Spread, r.Source)
	}
	return p.String()
}

// written says in what form an input stands in the sheet.
func written(f machine.Field) string {
	switch f.Shape {
	case machine.Word:
		return "text"
	case machine.Choice:
		return quantity.AnyOf(f.Words)
	case machine.YesNo:
		return "`yes` or `no`"
	case machine.Bolts:
		return "`4 x 110 mm`"
	}
	switch {
	case f.Spec.Bare != "":
		return "bare number of " + f.Spec.Bare
	case f.Spec.Whole:
		return "whole number"
	case f.Spec.Kind == quantity.Ratio:
		return "number"
	}
	var symbols []string
	for _, u := range quantity.Units(f.Spec.Kind) {
		symbols = append(symbols, u.Symbol)
	}
	return f.Spec.Kind.String() + ": " + strings.Join(symbols, ", ")
}

// usual says where an input usually lies, by layout where that differs, and the source when it is more than common
// practice.
func usual(f machine.Field) string {
	if f.Shape != machine.Number {
		return ""
	}
	text := f.Span.UsualInWords("")
	if !f.Span.SameUsual() {
		var texts []string
		for _, layout := range machine.Layouts {
			texts = append(texts, layout+": "+f.Span.UsualInWords(layout))
		}
		text = strings.Join(texts, "; ")
	}
	if f.Span.Source != machine.FromUse {
		text += " (" + f.Span.Source + ")"
	}
	return text
}

// computed says within what a value is computed with.
func computed(f machine.Field) string {
	if f.Shape != machine.Number {
		return ""
	}
	return strings.TrimPrefix(f.Allowed(), "from ")
}

// more points to where more is said.
func more(place string) string {
	if place == "" {
		return ""
	}
	return " [More](" + place + ")."
}

func measuring() string {
	var p page
	p.line("# How to measure what nobody can look up\n")
	p.line("Written by `make lists` from the code; do not edit. Write the readings under `measure` at the top of the sheet:\n")
	p.line("    measure:\n      weights: {front: 43 kg, rear: 88 kg}\n      rear_roll_out: {distance: 5.02 m, turns: 3}\n")
	p.line("What they give replaces the typical value, with the tolerance that follows from the readings (`measured` unless you say")
	p.line("otherwise; give your own behind `±`). An input that stands in the sheet is not measured over: take its line out first.")
	p.line("## Take care\n")
	p.line("Block the wheels, tie the machine down, work in pairs, engine cold and off unless it must run. Each way of measuring")
	p.line("below has its own caution; these hold for all of them.\n")
	for _, id := range machine.MeasuringCares {
		c := machine.CareNamed(id)
		p.prose("- ", "  ", c.Text+" ("+c.Source+")")
	}
	rules := machine.CareNamed("rules")
	p.prose("- ", "  ", rules.Text)
	p.line("")
	for _, w := range machine.Worksheets {
		p.line("## %s\n", w.Name)
		p.prose("", "", fmt.Sprintf("Gives `%s`: %s. Tools: %s.", strings.Join(w.Gives, "` and `"), w.Sum, w.Tools)+more(w.More))
		p.line("")
		p.prose("", "", w.Steps)
		p.line("")
		p.prose("", "", "Take care: "+w.Care)
		p.line("")
		p.head("reading", "what it is", "written as", "usual", "computed with")
		for _, f := range machine.Fields() {
			name, ok := strings.CutPrefix(f.Path, "measure."+w.Name+".")
			if !ok {
				name, ok = strings.CutPrefix(f.Path, "measure."+w.Name+"[].")
			}
			if ok {
				p.row(code(name), f.Doc, written(f), usual(f), computed(f))
			}
		}
		p.line("")
	}
	p.line("## Flow bench\n")
	p.prose("", "", "Readings stand where the coefficients would: `flow: {intake: [{lift: 5 mm, cfm: 62, inches_water: 10}, ...]}`. The coefficient is "+
		"the flow over curtain area and orifice speed, Q/(pi D L sqrt(2 dp/rho)), for each valve of the cylinder.")
	p.line("\n## Cam\n")
	p.prose("", "", "A table of angle from the lobe centre and lift, every 5 degrees of the crank or closer: `table: [{angle: -120, lift: 0.1 mm}, ...]`. It "+
		"replaces the lobe law as it stands; readings with the errors of a gauge belong under `measure.intake_lobe`, which smooths them.")
	return p.String()
}
