package report

import (
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Table is heads over rows of cells.
type Table struct {
	Heads []string
	Rows  [][]string
}

// Words says that a column holds words, which stand to the left, and not numbers, which stand to the right: most of its cells begin with a letter; of the first,
// which names the rows, some hold one.
func (t Table) Words(column int) bool {
	words, numbers := 0, 0
	for _, row := range t.Rows {
		if column >= len(row) || row[column] == "" {
			continue
		}
		first, _ := utf8.DecodeRuneInString(row[column])
		if unicode.IsLetter(first) || column == 0 && strings.ContainsFunc(row[column], unicode.IsLetter) {
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

// WriteColumns prints a table, heads first, each column as wide as it must be. A line shorter than the heads ends in text.
func WriteColumns(w io.Writer, rows [][]string) error {
	widths, pads := make([]int, len(rows[0])), make([]func(string, int) string, len(rows[0]))
	t := Table{rows[0], rows[1:]}
	for i := range pads {
		pads[i] = padLeft
		if t.Words(i) {
			pads[i] = padRight
		}
	}
	for _, line := range rows {
		for i, c := range line {
			if len(line) == len(widths) {
				widths[i] = max(widths[i], width(c))
			}
		}
	}
	var b strings.Builder
	for _, line := range rows {
		text := ""
		for i, c := range line {
			if len(line) < len(widths) && i > 0 {
				text += "  " + c
				continue
			}
			text += "  " + pads[i](c, widths[i])
		}
		b.WriteString(strings.TrimRight(text, " ") + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}
