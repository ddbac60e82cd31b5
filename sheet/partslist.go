package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"shakedown/machine"
)

// listColumns are the columns that a parts list may have, in any order; id is needed.
var listColumns = []string{"id", "kind", "name", "price", "core_charge", "lead", "time", "from", "warranty", "sets", "adds", "removes", "needs", "excludes", "waits_for", "keeps_busy"}

// listed is a part as a line of a parts list gives it.
type listed struct {
	id   string
	line int // in the list
	text []string
}

// AddParts puts the parts of a list, as a spreadsheet saves it, at the end of a sheet's parts; all else stays byte for
// byte. The list is comma-, semicolon- or tab-separated with a head of the columns' names; sets and adds hold
// "engine.bore: 75.5 mm; engine.chamber.dome: 8.6 cc", lists of parts names separated by blanks. Nothing is added when
// anything is wrong: the errors name the line of the list.
//
// A vendor's list has other headings: told says which of them is which column (ParseColumns); columns that are not told
// are left out, and where none is the id, it is made of the name. The error is *UnknownColumns when nothing is told and
// there are other headings.
func AddParts(text []byte, listName string, list []byte, told map[string]string) ([]byte, int, error) {
	before, err := Parse(&File{Name: "the sheet", Text: text})
	if err != nil {
		return nil, 0, fmt.Errorf("the sheet must be in order first:\n%w", err)
	}
	parts, err := readList(listName, list, before.Project, told)
	if err != nil {
		return nil, 0, err
	}
	body := bytes.TrimPrefix(text, orderMark)
	changed, first, err := insertParts(string(body), parts)
	if err != nil {
		return nil, 0, err
	}
	changed = string(text[:len(text)-len(body)]) + changed
	_, err = Parse(&File{Name: listName, Text: []byte(changed)})
	var bad Errors
	switch {
	case errors.As(err, &bad):
		return nil, 0, inList(bad, listName, parts, first)
	case err != nil:
		return nil, 0, err
	}
	return []byte(changed), len(parts), nil
}

// inList words errors of the inserted text by the lines of the list.
func inList(bad Errors, name string, parts []listed, first int) error {
	var messages []string
	for _, d := range bad {
		at := first
		place := fmt.Sprintf("%s: %s", name, d.Problem)
		for _, p := range parts {
			if d.Line >= at && d.Line < at+len(p.text) {
				place = fmt.Sprintf("%s:%d: part %s: %s", name, p.line, p.id, d.Problem)
			}
			at += len(p.text)
		}
		messages = append(messages, fmt.Sprintf("%s\n      expected: %s\n      remedy:   %s", place, d.Expected, d.Remedy))
	}
	return errors.New(strings.Join(messages, "\n\n"))
}

func readList(name string, list []byte, p *machine.Project, told map[string]string) ([]listed, error) {
	list = bytes.TrimPrefix(list, orderMark)
	if len(list) > MaxBytes {
		return nil, fmt.Errorf("%s has %d bytes; at most %d are read", name, len(list), MaxBytes)
	}
	head, _, _ := bytes.Cut(list, []byte("\n"))
	reader := csv.NewReader(bytes.NewReader(list))
	reader.Comma = ','
	for _, comma := range []rune{';', '\t'} {
		if bytes.ContainsRune(head, comma) && !bytes.ContainsRune(head, ',') {
			reader.Comma = comma
		}
	}
	reader.TrimLeadingSpace = true
	columns, err := reader.Read()
	if err != nil {
		return nil, fmt.Errorf("%s is no list: the first line must name the columns, such as id,name,price,lead,sets", name)
	}
	cells, next := reader.Read()
	heads := columns
	if columns, err = assign(name, heads, cells, told); err != nil {
		return nil, err
	}
	named := !slices.Contains(columns, "id") && len(told) > 0 && slices.Contains(columns, "name")
	if !slices.Contains(columns, "id") && !named {
		return nil, fmt.Errorf("%s:1: there is no column id; each part needs a short name for builds, such as wide-axle, or a column told to be its name", name)
	}
	var parts []listed
	seen := map[string]int{}
	for ; !errors.Is(next, io.EOF); cells, next = reader.Read() {
		if next != nil { // csv errors name the line
			return nil, fmt.Errorf("%s: %w; each line needs %d cells", name, next, len(heads))
		}
		line, _ := reader.FieldPos(0)
		if at := slices.Index(columns, "name"); named && strings.TrimSpace(cells[at]) != "" {
			id := idFrom(cells[at], func(id string) bool { return p.Part(id) != nil || seen[id] > 0 })
			columns, cells = append(slices.Clip(columns), "id"), append(slices.Clip(cells), id)
		}
		part, err := fromCells(columns, cells)
		if named {
			columns = columns[:len(heads)]
		}
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, line, err)
		}
		part.line = line
		if p.Part(part.id) != nil {
			return nil, fmt.Errorf("%s:%d: the sheet has a part %q already; give this one another id, or edit that one", name, line, part.id)
		}
		if first, ok := seen[part.id]; ok {
			return nil, fmt.Errorf("%s:%d: the part %q stands in line %d already", name, line, part.id, first)
		}
		seen[part.id] = line
		parts = append(parts, part)
	}
	if len(parts) == 0 {
		return nil, fmt.Errorf("%s holds no parts; each line below the head is one", name)
	}
	return parts, nil
}

// fromCells makes a part's lines, indented by one step of two blanks.
func fromCells(columns, cells []string) (listed, error) {
	var part listed
	for i, column := range columns {
		cell := strings.TrimSpace(cells[i])
		if strings.ContainsAny(cell, "\n\r") {
			return part, fmt.Errorf("the cell under %s has more than one line", column)
		}
		switch {
		case cell == "" || column == "":
		case column == "id":
			part.id = cell
		case column == "sets", column == "adds":
			part.text = append(part.text, "    "+column+":")
			for entry := range strings.SplitSeq(cell, ";") {
				path, value, ok := strings.Cut(entry, ":")
				if !ok {
					return part, fmt.Errorf("%q under %s; write input: value, such as engine.bore: 75.5 mm", clip(strings.TrimSpace(entry)), column)
				}
				value = strings.TrimSpace(value)
				if !strings.HasPrefix(value, "{") {
					value = quoted(value)
				}
				part.text = append(part.text, "      "+strings.TrimSpace(path)+": "+value)
			}
		case slices.Contains([]string{"removes", "needs", "excludes", "waits_for"}, column):
			part.text = append(part.text, "    "+column+": ["+strings.Join(strings.FieldsFunc(cell, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }), ", ")+"]")
		default:
			part.text = append(part.text, "    "+column+": "+quoted(cell))
		}
	}
	if part.id == "" {
		return part, errors.New("the cell under id is empty; each part needs a short name for builds")
	}
	if strings.ContainsAny(part.id, " .[]:#{}\"'&*!|>%@`,") {
		return part, fmt.Errorf("the id %q; use letters, digits and hyphens", clip(part.id))
	}
	part.text = append([]string{"  " + part.id + ":"}, part.text...)
	return part, nil
}

// insertParts puts the lines behind the last part of the sheet, and says on which line the first of them stands.
func insertParts(text string, parts []listed) (string, int, error) {
	end := "\n"
	if strings.Contains(text, "\r\n") {
		end = "\r\n"
	}
	lines := strings.SplitAfter(text, "\n")
	bare := func(i int) string { return strings.TrimRight(lines[i], "\r\n") }
	at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "parts:") })
	insert := len(lines)
	var head []string
	switch {
	case at < 0:
		insert = slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "builds:") })
		head = []string{"parts:"}
	default:
		rest, comment, _ := strings.Cut(strings.TrimPrefix(bare(at), "parts:"), "#")
		switch strings.TrimSpace(rest) {
		case "":
		case "{}":
			lines[at] = "parts:"
			if comment != "" {
				lines[at] += "   #" + comment
			}
			lines[at] += end
		default:
			return "", 0, errors.New("the sheet's parts stand in braces on one line; write each part on lines of its own, then repeat")
		}
		for i := at + 1; i < len(lines); i++ {
			if l := bare(i); l != "" && l[0] != ' ' && l[0] != '#' {
				insert = i
				break
			}
		}
		for insert > at+1 && strings.TrimSpace(bare(insert-1)) == "" {
			insert--
		}
	}
	var added strings.Builder
	if insert == len(lines) && !strings.HasSuffix(text, "\n") {
		added.WriteString(end)
	}
	for _, l := range head {
		added.WriteString(l + end)
	}
	for _, p := range parts {
		for _, l := range p.text {
			added.WriteString(l + end)
		}
	}
	if indent := indentOf(lines[max(0, at):insert]); indent != 2 && at >= 0 {
		shifted := strings.ReplaceAll(added.String(), end+"  ", end+strings.Repeat(" ", indent))
		added.Reset()
		added.WriteString(strings.Replace(shifted, "  ", strings.Repeat(" ", indent), 1))
	}
	return strings.Join(lines[:insert], "") + added.String() + strings.Join(lines[insert:], ""), insert + 1 + len(head), nil
}

// indentOf is by how much the entries below the first line are indented; 2 when there are none.
func indentOf(lines []string) int {
	for _, l := range lines[1:] {
		if trimmed := strings.TrimLeft(l, " "); strings.TrimSpace(l) != "" && !strings.HasPrefix(trimmed, "#") {
			return len(l) - len(trimmed)
		}
	}
	return 2
}
