package sheet

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"github.com/goccy/go-yaml/token"
)

// Limits checked before parsing: the YAML library's time grows with the square of the nesting, and with that of the
// lines of one map.
const (
	MaxBytes = 500_000 // twenty times the longest example; the library takes some 600 bytes for each
	MaxLines = 20_000
	MaxDepth = 64
)

// Limits of what a sheet holds, ten times what a workshop with one machine on the stand comes to: see
// docs/decisions/0034-limits-of-a-sheet.md.
const (
	MaxParts  = 2000
	MaxBuilds = 200
	MaxFiles  = 40
	maxNear   = 100 // unknown names for which the nearest part is looked up
)

// guard refuses text that no person wrote as a sheet, or that would take the YAML library too long.
func guard(f *File) Errors {
	text := f.Text
	lines := bytes.Count(text, []byte("\n")) + 1
	switch {
	case len(text) > MaxBytes:
		short := &File{Name: f.Name, Text: text[:min(len(text), 200)]}
		return Errors{short.at(1, 1, 1, fmt.Sprintf("the file has %d bytes", len(text)), fmt.Sprintf("at most %d bytes", MaxBytes), "split the sheet into several files in one folder")}
	case lines > MaxLines:
		return Errors{f.at(MaxLines+1, 1, 1, fmt.Sprintf("the file has %d lines", lines), fmt.Sprintf("at most %d lines", MaxLines), "split the sheet into several files in one folder")}
	case len(bytes.TrimSpace(f.body())) == 0:
		return Errors{f.at(1, 1, 1, "the file is empty", "a build sheet that begins with sheet: 1", "start from the example in the examples folder")}
	}
	if bad := guardCharacters(f); bad != nil {
		return bad
	}
	return guardDepth(f)
}

// guardCount refuses one more of what the sheet has as many of as it may have; what is left of the sheet is not judged
// then.
func (w *walker) guardCount(t *token.Token, what string, present, most int) bool {
	if present < most {
		return true
	}
	w.full = true
	w.fail(t, fmt.Sprintf("the sheet has more than %d %s", most, what), fmt.Sprintf("at most %d %s", most, what), "take out what is not needed from here on, or begin a sheet of its own for it")
	return false
}

// guardCharacters finds the first character that does not belong into a text file, and tabs used to indent.
func guardCharacters(f *File) Errors {
	line, column, indent := 1, 1, true
	var errors Errors
	text := f.body()
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		switch {
		case r == utf8.RuneError && size <= 1, r < ' ' && r != '\n' && r != '\r' && r != '\t', r == 0x7f:
			return Errors{f.at(line, column, 1, "a byte that is no text", "a plain text file in UTF-8", "open the right file, or save it as UTF-8 text")}
		case r == '\t' && indent:
			errors = append(errors, f.at(line, column, 1, "a tab in the indentation", "spaces", "replace the tab by two spaces; most editors can do it for the whole file"))
			indent = false
		case r != ' ':
			indent = false
		}
		i, column = i+size, column+1
		if r == '\n' {
			line, column, indent = line+1, 1, true
		}
	}
	return errors
}

// guardDepth counts open brackets outside quotes and comments, and levels of indentation, and refuses anchors and
// aliases: a few lines of them can stand for more text than fits in memory.
func guardDepth(f *File) (linked Errors) {
	deep := func(line, column int) Errors {
		return Errors{f.at(line, column, 1, fmt.Sprintf("nested more than %d levels deep", MaxDepth), fmt.Sprintf("at most %d levels; a sheet needs eight", MaxDepth), "close the brackets that were opened, or mend the indentation")}
	}
	depth, line := 0, 0
	var indents []int
	for rest := f.body(); len(rest) > 0; {
		row, after, _ := bytes.Cut(rest, []byte("\n"))
		rest, line = after, line+1
		start := 0
		for start < len(row) && (row[start] == ' ' || (row[start] == '-' && start+1 < len(row) && row[start+1] == ' ')) {
			if row[start] == '-' && depth == 0 {
				indents = push(indents, start)
			}
			start++
		}
		if start == len(row) || row[start] == '#' {
			continue
		}
		if depth == 0 {
			indents = push(indents, start)
			if len(indents) > MaxDepth {
				return deep(line, start+1)
			}
		}
		quote := byte(0)
		opening := true // a quote may begin here
		for i := start; i < len(row); i++ {
			c := row[i]
			switch {
			case quote != 0:
				if c == '\\' && quote == '"' {
					i++
				} else if c == quote {
					quote = 0
				}
			case opening && (c == '"' || c == '\''):
				quote = c
			case opening && (c == '&' || c == '*') && i+1 < len(row) && row[i+1] != ' ':
				if linked = append(linked, f.at(line, utf8.RuneCount(row[:i])+1, 1, "an anchor or alias", "plain values", "write the value out where it is used, or put quotes round it")); len(linked) >= 20 {
					return linked
				}
			case c == '#' && (i == 0 || row[i-1] == ' '):
				i = len(row)
			case c == '[' || c == '{':
				if depth++; depth+len(indents) > MaxDepth {
					return deep(line, utf8.RuneCount(row[:i])+1)
				}
			case (c == ']' || c == '}') && depth > 0:
				depth--
			}
			opening = bytes.IndexByte([]byte(" ,[{:-"), c) >= 0 && (c != ' ' || opening)
		}
	}
	return linked
}

// push keeps the stack of indentations that lead to the present one.
func push(indents []int, column int) []int {
	for len(indents) > 0 && indents[len(indents)-1] >= column {
		indents = indents[:len(indents)-1]
	}
	return append(indents, column)
}
