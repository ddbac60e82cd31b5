package report

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"shakedown/machine"
	"shakedown/quantity"
)

// Answer is what was found, in the one shape that all answers have: its writers print it as text, CSV and JSON, and the
// template "answer" of AnswerTemplate shows it on a page. What computes something gives its result one function that
// makes this of it, and needs no more.
type Answer struct {
	Advice string            // what to do next; "" where this answer gives none
	Lead   string            // what was found, and how sure that is
	Blocks []Block           // what stands below, in order
	Care   []string          // cautions, under a heading of their own
	Object func() any        // for programs: what encoding/json writes as one object; the program's name is put in front
	Lines  func() [][]string // for spreadsheets: the names of the columns, then a line for each row; nil takes the first table
	Dense  bool              // the object is long lists of numbers: it is written on one line
}

// Block is a piece of an answer: what it has of these stands in this order. A chart and a table of one block stand side
// by side on a page that is wide enough.
type Block struct {
	ID      string // of the block on a page; "" for none
	Only    Place  // where it is shown; everywhere unless said
	Heading string
	Words   string    // a paragraph
	Charts  []Picture // on pages; a terminal has none
	Table   Table
	Notes   []string // sentences that stand small under it
}

// Place is where a block is shown.
type Place int

// The places.
const (
	Everywhere Place = iota
	Terminal         // in text only
	Page             // on pages only
)

// Picture is what a page can show as a drawing; "" when there is nothing to draw.
type Picture interface{ SVG() template.HTML }

// AnswerTemplate has the templates that show an answer on a page: "answer" for all of it, "block" for a piece, "table"
// and "care". The page that takes them in has a template "heading" for what stands over a block.
//
//go:embed answer.html
var AnswerTemplate string

// OnPage says that a page shows the block.
func (b Block) OnPage() bool { return b.Only != Terminal }

// Cut parts an answer before the block of an id, so that a page can put something of its own between: the first has all
// that is not a block too. An id that no block has leaves the second empty.
func (a Answer) Cut(id string) (before, rest Answer) {
	i := slices.IndexFunc(a.Blocks, func(b Block) bool { return b.ID == id })
	if i < 0 {
		return a, Answer{}
	}
	before, rest.Blocks = a, a.Blocks[i:]
	before.Blocks = a.Blocks[:i:i]
	return before, rest
}

// Part is the answer as a part of a page that has its own advice and cautions.
func (a Answer) Part() Answer {
	a.Advice, a.Care = "", nil
	return a
}

// NoBaseline says why a baseline has none of what its build has; nothing where it has.
func NoBaseline(against, why string) []string {
	if why == "" {
		return nil
	}
	return []string{quantity.Capital(machine.TheBuild(against)) + ": " + why + "."}
}

// WriteText prints the answer for a terminal.
func (a Answer) WriteText(w io.Writer) error {
	var b strings.Builder
	for _, text := range []string{a.Advice, a.Lead} {
		if text == "" {
			continue
		}
		b.WriteString(paragraph(text))
		if a.Advice != "" { // two paragraphs that must not run into one another
			b.WriteString("\n")
		}
	}
	for _, k := range a.Blocks {
		if k.Only == Page {
			continue
		}
		if k.Heading != "" {
			b.WriteString("\n" + paragraph(k.Heading))
		}
		if k.Words != "" {
			b.WriteString(paragraph(k.Words))
		}
		b.WriteString(k.Table.text())
		for _, note := range k.Notes {
			b.WriteString(paragraph(note))
		}
	}
	if len(a.Care) > 0 {
		b.WriteString(careText(a.Care))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteCSV writes the lines for spreadsheets as comma-separated values by RFC 4180, but for the ends of lines, which
// are single line feeds. A line shorter than the names of the columns is filled up; a longer one is an error, and so is
// an answer that has no table.
func (a Answer) WriteCSV(w io.Writer) error {
	lines := a.lines()
	if len(lines) == 0 {
		return errors.New("this answer has no table to write as comma-separated values")
	}
	out := csv.NewWriter(w)
	for i, line := range lines {
		whole := make([]string, len(lines[0]))
		if len(line) > len(whole) {
			return fmt.Errorf("line %d of the table has %d fields under %d names", i, len(line), len(whole))
		}
		for k, field := range line {
			whole[k] = printable(field)
		}
		if err := out.Write(whole); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// lines are those for spreadsheets; none when there is no table.
func (a Answer) lines() [][]string {
	if a.Lines != nil {
		return a.Lines()
	}
	for _, b := range a.Blocks {
		if len(b.Table.Rows) == 0 {
			continue
		}
		lines := [][]string{b.Table.Heads}
		for _, row := range b.Table.Rows {
			line := make([]string, 0, len(row))
			for _, c := range row {
				line = append(line, strings.TrimSpace(c.Text))
			}
			lines = append(lines, line)
		}
		return lines
	}
	return nil
}

// WriteJSON writes the object for programs, with the name of this program in front. The error is that of what
// encoding/json cannot write, or of what is no object.
func (a Answer) WriteJSON(w io.Writer, program string) error {
	var body, name, out bytes.Buffer
	if err := encode(&name, program); err != nil {
		return err
	}
	if a.Object == nil {
		return errors.New("this answer has no object for programs")
	}
	if err := encode(&body, a.Object()); err != nil {
		return err
	}
	inside, ok := bytes.CutPrefix(body.Bytes(), []byte("{"))
	if !ok {
		return fmt.Errorf("what an answer has for programs is no object: %.20s", body.Bytes())
	}
	out.WriteString(`{"program":` + strings.TrimSpace(name.String()))
	if !bytes.HasPrefix(inside, []byte("}")) {
		out.WriteString(",")
	}
	out.Write(inside)
	if a.Dense {
		_, err := out.WriteTo(w)
		return err
	}
	var set bytes.Buffer
	if err := json.Indent(&set, out.Bytes(), "", "  "); err != nil {
		return err
	}
	_, err := set.WriteTo(w)
	return err
}

// encode writes a value as JSON whose text is not guarded for HTML, and a line feed.
func encode(b *bytes.Buffer, v any) error {
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
