package report

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Table is heads over rows of cells. A row of one cell under several heads is the heading of the rows after it; another
// row shorter than the heads ends in text that runs on.
type Table struct {
	Heads   []string
	Rows    [][]Cell
	Key     []string // signs in it and what each means
	Caption string   // read out on a page, not shown
}

// Cell is a cell of a table.
type Cell struct {
	Text   string
	Class  string // its style on a page; "" for that of its column
	Swatch string // the class of a line of a chart, a piece of which stands before the text on a page; "" for none
}

// Unit is the class of a cell that holds a unit.
const Unit = "unit"

// Cells are cells of these texts.
func Cells(texts ...string) []Cell {
	row := make([]Cell, len(texts))
	for i, text := range texts {
		row[i].Text = text
	}
	return row
}

// Words says that a column holds words, which stand to the left, and not numbers, which stand to the right: most of its
// cells begin with a letter; of the first, which names the rows, some hold one.
func (t Table) Words(column int) bool {
	words, numbers := 0, 0
	for _, row := range t.Rows {
		if column >= len(row) || row[column].Text == "" {
			continue
		}
		first, _ := utf8.DecodeRuneInString(row[column].Text)
		if unicode.IsLetter(first) || row[column].Class == Unit || column == 0 && strings.ContainsFunc(row[column].Text, unicode.IsLetter) {
			words++
		} else {
			numbers++
		}
	}
	return words > numbers || column == 0 && words > 0
}

// Class is the style of a column on a page.
func (t Table) Class(column int) string {
	if t.Words(column) {
		return "words"
	}
	return "num"
}

// IsGroup says that a row is the heading of the rows after it.
func (t Table) IsGroup(row []Cell) bool { return len(row) == 1 && len(t.Heads) > 1 }

// Span is how many columns a cell of a row takes on a page, where that is more than one: the last of a row that is
// shorter than the heads runs on. It is 0 for one.
func (t Table) Span(row []Cell, column int) int {
	if n := len(t.Heads) - column; column == len(row)-1 && n > 1 {
		return n
	}
	return 0
}

// text is the table for a terminal, heads first, each column as wide as it must be; "" without rows.
func (t Table) text() string {
	if len(t.Rows) == 0 {
		return ""
	}
	lines := append([][]Cell{Cells(t.Heads...)}, t.Rows...)
	widths, pads := make([]int, len(t.Heads)), make([]func(string, int) string, len(t.Heads))
	for i := range pads {
		pads[i] = padLeft
		if t.Words(i) {
			pads[i] = padRight
		}
	}
	for _, line := range lines {
		for i, c := range line {
			if len(line) == len(widths) {
				widths[i] = max(widths[i], width(printable(c.Text)))
			}
		}
	}
	var b strings.Builder
	for n, line := range lines {
		if len(line) == 0 {
			continue
		}
		if n > 0 && t.IsGroup(line) {
			b.WriteString("\n" + printable(line[0].Text) + "\n")
			continue
		}
		text := ""
		for i, c := range line {
			cell := printable(c.Text)
			if i < len(widths) && (i == 0 || len(line) >= len(widths)) {
				cell = pads[i](cell, widths[i])
			}
			text += "  " + cell
		}
		b.WriteString(strings.TrimRight(text, " ") + "\n")
	}
	if len(t.Key) > 0 {
		b.WriteString("\n" + strings.Join(t.Key, "   ") + "\n")
	}
	return b.String()
}

// printable is a text that cannot break out of its place: an end of a line or a tab is a space, and any other control
// character a sign that stands for what cannot be shown.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case !unicode.IsControl(r):
			return r
		case unicode.IsSpace(r):
			return ' '
		}
		return utf8.RuneError
	}, text)
}
