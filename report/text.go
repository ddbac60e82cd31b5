package report

import (
	"fmt"
	"io"
	"strings"
	"time"

	"shakedown/figure"
	"shakedown/plan"
	"shakedown/quantity"
)

// Styler colours a word for a terminal; Plain leaves it as it is.
type Styler func(text string, severity figure.Severity) string

// Plain is the Styler for files and NO_COLOR.
func Plain(text string, _ figure.Severity) string { return text }

// The marks of Coloured, for a terminal (ECMA-48, select graphic rendition).
const (
	markConflict = "\x1b[1;31m"
	markCaution  = "\x1b[33m"
	markFaint    = "\x1b[2m"
	markEnd      = "\x1b[0m"
)

// Marks are all marks that Coloured puts into a text.
func Marks() []string { return []string{markConflict, markCaution, markFaint, markEnd} }

// Coloured marks conflicts and cautions for a terminal; the words carry the meaning without it.
func Coloured(text string, severity figure.Severity) string {
	switch severity {
	case figure.Conflict:
		return markConflict + text + markEnd
	case figure.Caution:
		return markCaution + text + markEnd
	}
	return markFaint + text + markEnd
}

// textWidth is how wide text for a terminal runs.
const textWidth = 100

// WriteFigures prints the figures as a table.
func WriteFigures(w io.Writer, groups []Group, build, baseline string) error {
	var b strings.Builder
	against := ""
	if baseline != "" {
		against = fmt.Sprintf(" against build %q", baseline)
	}
	fmt.Fprintf(&b, "Build %q%s\n", build, against)
	titles, values, befores := 0, 0, 6
	for _, g := range groups {
		for _, r := range g.Rows {
			titles = max(titles, width(r.Title))
			values = max(values, width(r.Value))
			befores = max(befores, width(r.Before))
		}
	}
	for _, g := range groups {
		fmt.Fprintf(&b, "\n%s\n", g.Name)
		for _, r := range g.Rows {
			if r.Waits {
				fmt.Fprintf(&b, "  %s  not computed yet\n", padRight(r.Title, titles))
				continue
			}
			if r.Cannot != "" {
				fmt.Fprintf(&b, "  %s  cannot be computed\n%s", padRight(r.Title, titles), wrap(beside(r.Cannot, r.Missing), "      "))
				continue
			}
			line := fmt.Sprintf("  %s  %s -> %s %s", padRight(r.Title, titles), padLeft(r.Before, befores), padLeft(r.Value, values), padRight(r.Unit, 7))
			if baseline == "" {
				line = fmt.Sprintf("  %s  %s %s", padRight(r.Title, titles), padLeft(r.Value, values), padRight(r.Unit, 7))
			}
			if r.Range != "" {
				line += " [" + r.Range + "]"
			}
			if r.Change != "" && baseline != "" {
				line += "  " + r.Change
			}
			b.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteFindings prints findings as sentences, worst first; the cautions of the work come last in one block.
func WriteFindings(w io.Writer, findings []figure.Finding, style Styler) error {
	var b strings.Builder
	var care []string
	for _, f := range findings {
		if f.Rule == "cautions" {
			care = append(care, f.Text)
			continue
		}
		if f.Severity == figure.NotComputed {
			continue
		}
		mark := map[figure.Severity]string{figure.Conflict: "CONFLICT", figure.Caution: "caution", figure.Note: "note"}[f.Severity]
		fmt.Fprintf(&b, "%s\n", hang(style(padRight(mark, 12), f.Severity)+" ", 13, f.Text))
		if f.Remedy != "" {
			fmt.Fprintf(&b, "%s\n", hang(strings.Repeat(" ", 13)+"-> ", 16, f.Remedy))
		}
	}
	if open := OpenRows(findings); len(open) > 0 {
		fmt.Fprintf(&b, "\nCould not be judged (shakedown help inputs says how to get each input)\n")
		for _, o := range open {
			fmt.Fprintf(&b, "%s\n", hang("  ? ", 4, beside(o.Rule()+": "+o.Reason(), o.Wants)))
		}
	}
	if _, err := io.WriteString(w, b.String()); err != nil || len(care) == 0 {
		return err
	}
	_, err := io.WriteString(w, careText(care))
	return err
}

// careText is a block of cautions.
func careText(care []string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\nTake care\n")
	for _, text := range care {
		fmt.Fprintf(&b, "%s\n", hang("  - ", 4, text))
	}
	return b.String()
}

// Sentence begins a note with a capital letter and ends it with a stop.
func Sentence(note string) string {
	return quantity.Capital(strings.TrimSuffix(note, ".")) + "."
}

// WriteParagraph prints a sentence wrapped to the width.
func WriteParagraph(w io.Writer, text string) error {
	_, err := io.WriteString(w, paragraph(text))
	return err
}

// paragraph is a text wrapped to the width, as a line or some.
func paragraph(text string) string { return hang("", 0, text) + "\n" }

func width(text string) int { return quantity.Width(text) }

func padRight(text string, n int) string { return text + strings.Repeat(" ", max(0, n-width(text))) }

func padLeft(text string, n int) string { return strings.Repeat(" ", max(0, n-width(text))) + text }

// hang wraps text after a lead, with the lines that follow indented.
func hang(lead string, indent int, text string) string {
	var b strings.Builder
	b.WriteString(lead)
	column := indent
	for i, word := range strings.Fields(printable(text)) {
		if i > 0 && column+1+width(word) > textWidth {
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		} else if i > 0 {
			b.WriteString(" ")
			column++
		}
		b.WriteString(word)
		column += width(word)
	}
	return b.String()
}

func wrap(text, indent string) string { return hang(indent, len(indent), text) + "\n" }

// WritePlan prints cost, dates and what must be ordered by when.
func WritePlan(w io.Writer, p plan.Plan, cost string, race time.Time) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Cost %s. Ready on %s, %d days from %s.", cost, day(p.Ready), p.Days, day(p.Start))
	switch {
	case race.IsZero():
	case p.Late > 0:
		fmt.Fprintf(&b, " The race on %s is missed by %d days.", day(race), p.Late)
	default:
		fmt.Fprintf(&b, " The race is on %s.", day(race))
	}
	b.WriteString("\n")
	if len(p.Steps) == 0 {
		_, err := io.WriteString(w, b.String())
		return err
	}
	names := 0
	for _, s := range p.Steps {
		names = max(names, width(s.ID))
	}
	goal := "latest start"
	if !race.IsZero() {
		goal = "start by (race)"
	}
	fmt.Fprintf(&b, "\n  %s  %s  %s  %s\n", padRight("", names), padRight("starts", 11), padRight("ready", 11), goal)
	for _, s := range p.Steps {
		mark := ""
		if s.Critical {
			mark = "  longest wait"
		}
		if s.Slack < 0 {
			mark += "  too late"
		}
		fmt.Fprintf(&b, "  %s  %s  %s  %s%s\n", padRight(s.ID, names), padLeft(day(s.Start), 11), padLeft(day(s.End), 11), padLeft(day(s.LatestStart), 11), mark)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func day(t time.Time) string { return t.Format("2 Jan 2006") }

// WriteMeasure prints the inputs that are worth measuring.
func WriteMeasure(w io.Writer, wanted []Wanted, typical, inputs int) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%d of the %d inputs in use are typical values. Measuring these would narrow the answer most:\n", typical, inputs)
	for i, m := range wanted {
		fmt.Fprintf(&b, "%s\n", hang(fmt.Sprintf("  %d. ", i+1), 5, m.Text()))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// valueText is a figure with its range and its change on one line.
func valueText(f figure.Figure, system quantity.System) string {
	r := row(f, system)
	if r.Cannot != "" {
		return beside("cannot be computed: "+f.Why, f.Missing)
	}
	text := strings.TrimSpace(r.Value + " " + r.Unit)
	if r.Range != "" {
		text += " [" + r.Range + "]"
	}
	switch r.Change {
	case "":
	case "=":
		text += "; the same in the baseline"
	default:
		text += "; baseline " + r.Before + ", change " + r.Change
	}
	if narrow := figure.TooNarrow(f.Narrow); narrow != "" {
		text += ". " + narrow
	}
	return text
}

// WriteBasis prints how a figure was made.
func WriteBasis(w io.Writer, f figure.Figure, system quantity.System) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s)\n", f.Title, f.ID)
	line := func(name, text string) { b.WriteString(hang("  "+padRight(name, 9), 11, text) + "\n") }
	line("value", valueText(f, system))
	line("formula", f.Basis.Formula)
	line("source", f.Basis.Source)
	line("theory", f.Basis.Theory)
	if note := ModelText(f); note != "" {
		line("model", note)
	}
	if f.Basis.Sampled {
		line("range", "sampled, because straight lines are not good enough here")
	}
	if len(f.Basis.Inputs) > 0 {
		fmt.Fprintf(&b, "\n  %s  %s  %s  %s  %s\n", padRight("input", 42), padRight("value", 22), padRight("known", 10), "range", "from")
	}
	for _, in := range BasisRows(f, system) {
		line := fmt.Sprintf("  %s  %s  %s  %s  %s", padRight(in.Path, 42), padRight(in.Value, 22), padRight(in.Known, 10), padLeft(in.Share, 5), in.Origin)
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteTable prints rows under heads, the last column wrapped.
func WriteTable(w io.Writer, heads []string, rows [][]string) error {
	widths := make([]int, len(heads)-1)
	for _, row := range append([][]string{heads}, rows...) {
		for i := range widths {
			widths[i] = max(widths[i], width(row[i]))
		}
	}
	var b strings.Builder
	for _, row := range append([][]string{heads}, rows...) {
		lead := ""
		for i := range widths {
			lead += padRight(row[i], widths[i]) + "  "
		}
		line := lead + row[len(row)-1]
		if width(lead) < textWidth*3/4 {
			line = hang(lead, width(lead), row[len(row)-1])
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}
