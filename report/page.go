package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"

	"shakedown/check"
	"shakedown/figure"
	"shakedown/plan"
	"shakedown/quantity"
)

//go:embed page.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// Contents is what the page is made of.
type Contents struct {
	Title, Machine  string
	Build, Baseline string
	Advice          string
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
	Free            []Line // text of the sheet that is shown, not judged
}

// Line is a name and a text.
type Line struct{ Name, Text string }

// PartRow is a part as the report lists it.
type PartRow struct {
	ID, Name, Kind, From, Price, Lead, Warranty, Note string
}

// pageData is Contents as the template wants it: everything worded.
type pageData struct {
	Contents
	Groups      []Group
	Conflicts   []figure.Finding
	Cautions    []figure.Finding
	Notes       []figure.Finding
	Open        []Open
	Care        []string
	Steps       []stepRow
	Ready, Race string
	RaceAt      float64 // [-] hundredths of the calendar's width; -1 for none
	Calendar    []mark
	TypicalRows []InputRow
	WantedRows  []Wanted
	Bases       []basisData
	SVG         template.HTML
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

type basisData struct {
	figure.Figure
	Value, Model string
	Rows         []InputRow
}

// WritePage writes the report as one HTML page that needs nothing else.
func WritePage(w io.Writer, c Contents) error {
	d := pageData{
		Contents: c, Groups: Groups(c.Figures, false, c.System), Ready: day(c.Plan.Ready), RaceAt: -1,
		TypicalRows: TypicalRows(c.Typical, c.System), WantedRows: WantedRows(c.Measure, c.Figures), SVG: c.Drawing.SVG(), Printed: day(c.Today),
	}
	d.Limit, d.LimitNote = "tip-over line", "The further the line leans, the later it tips; from above, the lines are those over which it tips."
	if c.Drawing.Layout == "bike" {
		d.Limit, d.LimitNote = "lean at 0.5 g", ""
	}
	d.sortFindings()
	d.Open = OpenRows(d.Findings)
	d.calendar()
	for _, f := range c.Figures {
		if !f.Detail {
			d.Bases = append(d.Bases, basisOf(f, c.System))
		}
	}
	var b strings.Builder
	if err := pageTemplate.Execute(&b, d); err != nil {
		return fmt.Errorf("the report's template: %w", err)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (d *pageData) sortFindings() {
	for _, f := range d.Findings {
		switch {
		case f.Rule == "cautions":
			d.Care = append(d.Care, f.Text)
		case f.Severity == figure.Conflict:
			d.Conflicts = append(d.Conflicts, f)
		case f.Severity == figure.Caution:
			d.Cautions = append(d.Cautions, f)
		case f.Severity == figure.Note:
			d.Notes = append(d.Notes, f)
		}
	}
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

func basisOf(f figure.Figure, system quantity.System) basisData {
	return basisData{Figure: f, Rows: BasisRows(f, system), Value: valueText(f, system), Model: ModelText(f)}
}
