package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"html/template"
	"io"
	"math"
	"strings"
	"testing"
)

// dot is a picture that is told from others by its name.
type dot string

// SVG implements Picture.
func (d dot) SVG() template.HTML { return template.HTML(`<svg class="chart" id="` + string(d) + `"/>`) }

// sprung is an answer laid out by hand: its writers are held against what stands in the tests below.
func sprung() Answer {
	return Answer{
		Lead: `Fit the "stiff" spring.`,
		Blocks: []Block{
			{ID: "springs", Words: "Three were tried.", Charts: []Picture{dot("one")}, Notes: []string{"In brackets: beside the present one."}, Table: Table{
				Heads: []string{"spring", "rate, N/mm", "unit", "sag"},
				Key:   []string{"~ too small to tell", "? cannot be computed"},
				Rows: [][]Cell{
					Cells("Present"),
					{{Text: "soft"}, {Text: "4"}, {Text: "%", Class: Unit}, {Text: "31 ~", Swatch: "k2"}},
					Cells("Others"),
					{{Text: "stiff, red"}, {Text: "12.5"}, {Text: "%", Class: Unit}, {Text: "24"}},
					Cells("odd", "cannot be computed: no length"),
				},
			}},
			{Only: Terminal, Heading: "On paper", Notes: []string{"Printed only."}},
			{Only: Page, ID: "drawn", Heading: "Drawn", Charts: []Picture{dot("two")}, Notes: []string{"Seen on a page only."}},
		},
		Care:   []string{"A spring under load can fly."},
		Object: func() any { return map[string]any{"spring": "<stiff>", "rates": []float64{4, 12.5}} },
	}
}

func written(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestAnswerAsText(t *testing.T) {
	a := sprung()
	const want = `Fit the "stiff" spring.
Three were tried.
  spring      rate, N/mm  unit   sag

Present
  soft                 4  %     31 ~

Others
  stiff, red        12.5  %       24
  odd         cannot be computed: no length

~ too small to tell   ? cannot be computed
In brackets: beside the present one.

On paper
Printed only.

Take care
  - A spring under load can fly.
`
	if got := written(t, a.WriteText); got != want {
		t.Errorf("it prints\n%s\nnot\n%s", got, want)
	}
	a.Advice, a.Blocks, a.Care = "Ride first.", nil, nil
	if got := written(t, a.WriteText); got != "Ride first.\n\nFit the \"stiff\" spring.\n\n" {
		t.Errorf("advice and lead run into one another: %q", got)
	}
	a.Advice, a.Lead = "", strings.Repeat("long words ", 30)
	for _, line := range strings.Split(written(t, a.WriteText), "\n") {
		if width(line) > textWidth {
			t.Errorf("a line of %d columns: %s", width(line), line)
		}
	}
}

// RFC 4180: lines of as many fields as the names, fields with a comma, a quote or an end of a line in quotes, a quote
// doubled.
func TestAnswerAsCSV(t *testing.T) {
	a := sprung()
	const table = `spring,"rate, N/mm",unit,sag
Present,,,
soft,4,%,31 ~
Others,,,
"stiff, red",12.5,%,24
odd,cannot be computed: no length,,
`
	if got := written(t, a.WriteCSV); got != table {
		t.Errorf("the first table as CSV is\n%s\nnot\n%s", got, table)
	}
	a.Lines = func() [][]string {
		return [][]string{{"part", "seconds"}, {`the "red" one`, "0.25"}, {"short"}, {"a\r\nb\x1b[31m", "1"}}
	}
	const own = "part,seconds\n\"the \"\"red\"\" one\",0.25\nshort,\na  b\ufffd[31m,1\n"
	if got := written(t, a.WriteCSV); got != own {
		t.Errorf("lines of its own are %q, not %q", got, own)
	}
	a.Lines = func() [][]string { return [][]string{{"part"}, {"one", "two"}} }
	if err := a.WriteCSV(io.Discard); err == nil || !strings.Contains(err.Error(), "line 1 of the table has 2 fields under 1") {
		t.Errorf("a line longer than the names of the columns: %v", err)
	}
	if err := (Answer{Lead: "Nothing."}).WriteCSV(io.Discard); err == nil {
		t.Error("an answer without a table is written as CSV")
	}
	if err := (Answer{Blocks: []Block{{Table: Table{Heads: []string{"a"}}}}}).WriteCSV(io.Discard); err == nil {
		t.Error("an empty table is written as CSV")
	}
}

func TestAnswerAsJSON(t *testing.T) {
	a := sprung()
	write := func(w io.Writer) error { return a.WriteJSON(w, `test "1"`) }
	const want = `{
  "program": "test \"1\"",
  "rates": [
    4,
    12.5
  ],
  "spring": "<stiff>"
}
`
	if got := written(t, write); got != want {
		t.Errorf("as JSON it is\n%s\nnot\n%s", got, want)
	}
	a.Dense = true
	if got := written(t, write); got != `{"program":"test \"1\"","rates":[4,12.5],"spring":"<stiff>"}`+"\n" {
		t.Errorf("on one line it is %s", got)
	}
	a.Object = func() any { return struct{}{} }
	if got := written(t, write); got != `{"program":"test \"1\""}`+"\n" || !json.Valid([]byte(got)) {
		t.Errorf("nothing but the program: %s", got)
	}
	for name, object := range map[string]func() any{"no object": nil, "a list": func() any { return []int{1} }, "no number": func() any { return map[string]float64{"x": math.NaN()} }} {
		a.Object = object
		if err := a.WriteJSON(io.Discard, "test"); err == nil {
			t.Errorf("%s is written as an object", name)
		}
	}
}

// page is an answer as a page shows it.
func page(t *testing.T, a Answer) string {
	t.Helper()
	shown := template.Must(template.Must(template.New("").Parse(AnswerTemplate)).Parse(`{{define "heading"}}<h2>{{.}}</h2>{{end}}<main>{{template "answer" .}}</main>`))
	return written(t, func(w io.Writer) error { return shown.Execute(w, a) })
}

func TestAnswerOnAPage(t *testing.T) {
	const want = `<main><p>Fit the &#34;stiff&#34; spring.</p>
<div id="springs"><p>Three were tried.</p><div class="charts"><div><svg class="chart" id="one"/></div><div class="wide" tabindex="0"><table>` +
		`<thead><tr><th scope="col">spring</th><th scope="col" class="num">rate, N/mm</th><th scope="col" class="words">unit</th><th scope="col" class="num">sag</th></tr></thead><tbody>` +
		`<tr class="group"><th scope="rowgroup" colspan="4">Present</th></tr>` +
		`<tr><th scope="row">soft</th><td class="num">4</td><td class="unit">%</td><td class="num"><svg class="swatch" viewBox="0 0 22 4" aria-hidden="true"><line class="k2" x1="0" x2="22" y1="2" y2="2"/></svg> 31 ~</td></tr>` +
		`<tr class="group"><th scope="rowgroup" colspan="4">Others</th></tr>` +
		`<tr><th scope="row">stiff, red</th><td class="num">12.5</td><td class="unit">%</td><td class="num">24</td></tr>` +
		`<tr><th scope="row">odd</th><td class="num" colspan="3">cannot be computed: no length</td></tr>` +
		`</tbody></table><p class="foot">~ too small to tell; ? cannot be computed.</p></div></div><p class="foot">In brackets: beside the present one.</p></div>
<section id="drawn"><h2>Drawn</h2><div class="charts"><div><svg class="chart" id="two"/></div></div><p class="foot">Seen on a page only.</p></section>
<section class="care" id="care"><h2>Take care</h2><ul><li>A spring under load can fly.</li></ul></section></main>`
	got := page(t, sprung())
	if got != want {
		t.Errorf("on a page it is\n%s\nnot\n%s", got, want)
	}
	d := xml.NewDecoder(strings.NewReader(got))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("it is not well formed: %v", err)
		}
	}
	if part := page(t, Answer{Advice: "Ride.", Care: []string{"Careful."}}.Part()); part != "<main></main>" {
		t.Errorf("a part of a page repeats advice and cautions: %s", part)
	}
}

// What an owner types cannot break out of its place: neither by ends of lines and marks for a terminal, nor by the
// signs of HTML.
func TestNamesInAnswers(t *testing.T) {
	a := Answer{Lead: "Fit \x1b[31m\"red\"\nnow.", Blocks: []Block{{Table: Table{Heads: []string{"part", "s"}, Rows: [][]Cell{Cells("a\nb\tc", "1"), Cells("<b>\x07", "2"), nil, Cells("long", "3", "and more")}}}}}
	text := written(t, a.WriteText)
	const want = "Fit \ufffd[31m\"red\" now.\n  part   s\n  a b c  1\n  <b>\ufffd   2\n  long   3  and more\n"
	if text != want {
		t.Errorf("it prints %q, not %q", text, want)
	}
	if got := page(t, a); strings.Count(got, "<tr>") != 4 || strings.Contains(got, "<b>") || !strings.Contains(got, "&lt;b&gt;") {
		t.Errorf("a name is taken for markup: %s", got)
	}
	if got := written(t, Answer{Lead: "Nothing.", Blocks: []Block{{Table: Table{Heads: []string{"part"}}}}}.WriteText); got != "Nothing.\n" {
		t.Errorf("an empty table prints %q", got)
	}
}

func TestAnswerCut(t *testing.T) {
	a := sprung()
	before, rest := a.Cut("drawn")
	if len(before.Blocks) != 2 || before.Lead != a.Lead || len(rest.Blocks) != 1 || rest.Blocks[0].ID != "drawn" || rest.Lead != "" || rest.Care != nil {
		t.Errorf("cut before the drawing it is %+v and %+v", before, rest)
	}
	if before, rest = a.Cut("no such"); len(before.Blocks) != 3 || len(rest.Blocks) != 0 {
		t.Errorf("cut where there is nothing it is %+v and %+v", before, rest)
	}
}
