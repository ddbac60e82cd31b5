package sheet

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"shakedown/quantity"
)

// Diagnostic is one error in a sheet: its place, what is wrong, what was expected and what to do.
type Diagnostic struct {
	File     string `json:"file"`
	Line     int    `json:"line"`   // from 1
	Column   int    `json:"column"` // from 1, in characters
	Length   int    `json:"length"` // characters under the caret
	Excerpt  string `json:"excerpt"`
	Problem  string `json:"problem"`
	Expected string `json:"expected"`
	Remedy   string `json:"remedy"`
}

// widest is how much of a long line an excerpt shows.
const widest = 110

// longestCaret is how many characters are underlined at most.
const longestCaret = 40

// String prints the diagnostic as people read it, over several lines.
func (d Diagnostic) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: %s\n", d.File, d.Line, d.Column, d.Problem)
	excerpt, column := window(d.Excerpt, d.Column)
	if strings.TrimSpace(excerpt) != "" {
		number := fmt.Sprintf("%5d | ", d.Line)
		length := min(max(1, d.Length), longestCaret, max(1, utf8.RuneCountInString(excerpt)-column+1))
		fmt.Fprintf(&b, "%s%s\n%s%s%s\n", number, excerpt, strings.Repeat(" ", len(number)-2)+"| ", strings.Repeat(" ", quantity.Width(string([]rune(excerpt)[:min(column-1, utf8.RuneCountInString(excerpt))]))), strings.Repeat("^", length))
	}
	fmt.Fprintf(&b, "      expected: %s\n      remedy:   %s\n", d.Expected, d.Remedy)
	return b.String()
}

// window cuts a long line to the part around the column.
func window(line string, column int) (string, int) {
	runes := []rune(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == utf8.RuneError {
			return '?'
		}
		return r
	}, line))
	column = min(max(1, column), len(runes)+1)
	if len(runes) <= widest {
		return string(runes), column
	}
	from := max(0, column-widest/2)
	to := min(len(runes), from+widest)
	text, column := string(runes[from:to]), column-from
	if from > 0 {
		text, column = "…"+text, column+1
	}
	if to < len(runes) {
		text += "…"
	}
	return text, column
}

// Errors are all the errors of a sheet, in the order of the text.
type Errors []Diagnostic

// Error prints them all.
func (e Errors) Error() string {
	texts := make([]string, len(e))
	for i, d := range e {
		texts[i] = d.String()
	}
	return strings.Join(texts, "\n")
}

// maxErrors is how many errors of a sheet are told one by one.
const maxErrors = 200

// few are the first of them in the order of the text, and how many follow, at the place of the next.
func (e Errors) few() Errors {
	e.sort()
	if len(e) <= maxErrors {
		return e
	}
	next := e[maxErrors]
	next.Problem, next.Expected = fmt.Sprintf("and %d more errors from here on", len(e)-maxErrors), "what the errors above this one expect"
	next.Remedy = "mend those above first; many may come from one"
	return append(e[:maxErrors:maxErrors], next)
}

func (e Errors) sort() {
	slices.SortStableFunc(e, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
}

// File is the name and text of one file of a sheet.
type File struct {
	Name string
	Text []byte

	lines []string
}

// orderMark is what some editors put before a text in UTF-8. It stays where it is and says nothing.
var orderMark = []byte("\ufeff")

// body is the text without a byte order mark.
func (f *File) body() []byte { return bytes.TrimPrefix(f.Text, orderMark) }

func (f *File) line(n int) string {
	if f.lines == nil {
		f.lines = strings.Split(string(f.body()), "\n")
	}
	if n < 1 || n > len(f.lines) {
		return ""
	}
	return strings.TrimSuffix(f.lines[n-1], "\r")
}

// at makes a diagnostic. The YAML library counts a lone carriage return as a line and can point behind the end, so the
// place is kept inside the text.
func (f *File) at(line, column, length int, problem, expected, remedy string) Diagnostic {
	excerpt := f.line(line) // splits the text
	if last := max(1, len(f.lines)); line < 1 || line > last {
		line = min(max(1, line), last)
		excerpt = f.line(line)
	}
	return Diagnostic{
		File: f.Name, Line: line, Column: max(1, column), Length: max(1, length), Excerpt: excerpt,
		Problem: problem, Expected: expected, Remedy: remedy,
	}
}
