package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"
	"time"

	"shakedown/check"
	"shakedown/figure"
	"shakedown/plan"
	"shakedown/quantity"
)

//go:embed page.html
var pageText string

// pageTemplate is read when the first page is written: most runs write none.
var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.Must(template.New("page").Parse(AnswerTemplate)).Parse(pageText))
})

// Contents is what the page is made of.
type Contents struct {
	Title, Machine  string
	Build, Baseline string
	Advice          string
	OrderFirst      string // what to order first; "" when nothing is waited for
	System          quantity.System
	Figures         []figure.Figure
	Findings        []figure.Finding
	Verdicts        []check.Verdict
	Parts           []PartRow
	Plan            plan.Plan
	Cost            string
	RaceDay         time.Time
	Typical         []figure.Input
	Inputs          int
	Measure         []figure.Wanted
	Drawing         Drawing
	Program         string
	Sheet           string
	Today           time.Time
	Free            []Line    // text of the sheet that is shown, not judged
	Engine          *Answer   // about the torque curve; nil without one
	Course          []Chapter // the lap and what the machine does on its course; none without a lap
	Tips            *Answer   // about sliding and tipping; nil for a bike
}

// Chapter is an answer as a part of a report, under a heading of its own; "" for none.
type Chapter struct {
	Heading string
	Answer  Answer
}

// Line is a name and a text.
type Line struct{ Name, Text string }

// PartRow is a part as the report lists it.
type PartRow struct {
	ID, Name, Kind, From, Price, Lead, Warranty, Note string
}

// Findings are findings sorted for a page: most serious first, cautions that always stand apart.
type Findings struct {
	Conflicts, Cautions, Notes []figure.Finding
	Open                       []Open
	Care                       []string
}

// Sort sorts findings for a page.
func Sort(findings []figure.Finding) Findings {
	s := Findings{Open: OpenRows(findings)}
	for _, f := range findings {
		switch {
		case f.Rule == "cautions":
			s.Care = append(s.Care, f.Text)
		case f.Severity == figure.Conflict:
			s.Conflicts = append(s.Conflicts, f)
		case f.Severity == figure.Caution:
			s.Cautions = append(s.Cautions, f)
		case f.Severity == figure.Note:
			s.Notes = append(s.Notes, f)
		}
	}
	return s
}

// Claim is what a maker says of a part, judged.
type Claim = check.Verdict

// StepRow is a task of the longest wait.
type StepRow struct{ Name, End, By string }

// LongestWait are the tasks of the longest chain of waiting, in order.
func LongestWait(p plan.Plan) []StepRow {
	var rows []StepRow
	for _, s := range p.Steps {
		if s.Critical {
			rows = append(rows, StepRow{s.Name, day(s.End), day(s.LatestStart)})
		}
	}
	return rows
}

// pageData is Contents as the template wants it: everything worded.
type pageData struct {
	Contents
	Groups      []Group
	Sorted      Findings
	Steps       []stepRow
	Ready, Race string
	RaceAt      float64 // [-] hundredths of the calendar's width; -1 for none
	Calendar    []mark
	TypicalRows []InputRow
	WantedRows  []Wanted
	Bases       []BasisText
	Views       []View
	Printed     string
	Limit       string // what the coloured line in the drawing is
	LimitNote   string
}

// stepRow is a task on the calendar.
type stepRow struct {
	Name, Start, End, By string
	From, Width          float64 // [-] hundredths of the calendar's width
	Critical, Late       bool
}

// mark is the first of a month on the calendar.
type mark struct {
	At   float64 // [-] hundredths of the calendar's width
	Text string
}

// BasisText is how a figure was made, in words.
type BasisText struct {
	ID, Title, Value               string
	Formula, Source, Model, Theory string
	Sampled                        bool
	Rows                           []InputRow
}

// WritePage writes the report as one HTML page that needs nothing else.
func WritePage(w io.Writer, c Contents) error {
	d := pageData{
		Contents: c, Groups: Groups(c.Figures, false, c.System), Ready: day(c.Plan.Ready), RaceAt: -1,
		TypicalRows: TypicalRows(c.Typical, c.System), WantedRows: WantedRows(c.Measure, c.Figures), Views: c.Drawing.Views(), Printed: day(c.Today),
	}
	d.Limit, d.LimitNote = "tip-over line", "The further the line leans, the later it tips; from above, the lines are those over which it tips."
	if c.Drawing.Layout == "bike" {
		d.Limit, d.LimitNote = "lean at 0.5 g", ""
	}
	d.Sorted = Sort(c.Findings)
	d.calendar()
	for _, f := range c.Figures {
		if !f.Detail {
			d.Bases = append(d.Bases, BasisOf(f, c.System))
		}
	}
	var b strings.Builder
	if err := pageTemplate().Execute(&b, d); err != nil {
		return fmt.Errorf("the report's template: %w", err)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// calendar places the tasks between the first day and the last of interest.
func (d *pageData) calendar() {
	from, to := d.Plan.Start, d.Plan.Ready
	if d.RaceDay.After(to) {
		to = d.RaceDay
	}
	days := float64(max(1, plan.DaysBetween(from, to)))
	at := func(t time.Time) float64 { return 100 * float64(plan.DaysBetween(from, t)) / days }
	for _, s := range d.Plan.Steps {
		d.Steps = append(d.Steps, stepRow{
			Name: s.Name, Start: day(s.Start), End: day(s.End), By: day(s.LatestStart),
			From: at(s.Start), Width: max(0.6, at(s.End)-at(s.Start)), Critical: s.Critical, Late: s.Slack < 0,
		})
	}
	if !d.RaceDay.IsZero() {
		d.Race, d.RaceAt = day(d.RaceDay), at(d.RaceDay)
	}
	for month := time.Date(from.Year(), from.Month()+1, 1, 0, 0, 0, 0, time.UTC); !month.After(to); month = month.AddDate(0, 1, 0) {
		d.Calendar = append(d.Calendar, mark{at(month), month.Format("Jan")})
	}
}

// BasisOf words how a figure was made.
func BasisOf(f figure.Figure, system quantity.System) BasisText {
	b := f.Basis
	return BasisText{ID: f.ID, Title: f.Title, Value: valueText(f, system), Formula: b.Formula, Source: b.Source, Theory: b.Theory, Sampled: b.Sampled, Model: ModelText(f), Rows: BasisRows(f, system)}
}
