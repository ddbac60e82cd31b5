package asked

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"shakedown/advise"
	"shakedown/check"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/measure"
	"shakedown/forecast/torque"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/plan"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Question is what a person wants to know about a sheet.
type Question struct {
	Path    string      // file or folder
	Text    *sheet.File // in place of a file
	Build   string      // "" for the last in the sheet
	Against string      // "" for the first in the sheet
	System  quantity.System
	Today   time.Time // zero: the sheet's, else Now
	Now     time.Time // the clock
	Slow    SlowOf    // nil: what takes long waits, and rough rules stand in
	Kept    *Kept     // in place of Slow, for an answer that may be held; nil for none
	Course  string    // recording to ride along; "" for the sheet's own course
	Rides   RideOf    // nil: recordings are files
	First   bool      // an empty Build means the first in the sheet
	Figures FiguresOf // nil: they are computed
}

// FiguresOf are the figures of a build against a baseline.
type FiguresOf func(build, baseline *machine.Build) []figure.Figure

// SlowOf are the figures of a build against a baseline that follow from results; those of its lap are ridden on a
// course. The error ends the answer.
type SlowOf func(build, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error)

// Kept are results that are kept somewhere.
type Kept struct {
	Name string // of who keeps them
	// Slow gives the figures that follow from them; same says whether those would come out the same still.
	Slow func() (slow SlowOf, same func() bool)
}

// Answer is all that is known about one build against another.
type Answer struct {
	Sheet           *sheet.Sheet
	Build, Baseline *machine.Build
	System          quantity.System
	Today           time.Time
	Figures         []figure.Figure
	Findings        []figure.Finding
	Verdicts        []check.Verdict
	Plan            plan.Plan
	Cost            money.Amount
	Unpriced        []string // parts without a price
	Typical         []figure.Input
	Inputs          int             // that some figure or rule uses
	Measure         []figure.Wanted // best first, five at most
	Advice          advise.Advice
	Waits           bool           // a torque curve could be computed and was not yet: some rules are rough until then
	Ridden          *figure.Figure // the lap of the build; nil unless it was asked for
	Course          string         // recording that laps go along; "" for the sheet's sections
	along           func() Along
}

// Ask reads the sheet and answers. Errors that are faults.Mendable are the asker's to mend; sheet.Errors among them
// carry places.
func Ask(q Question) (*Answer, error) {
	s, err := Read(q)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	return Of(s, q)
}

// Read is the sheet of a question with what its worksheets give. The error is sheet.Errors for what stands in it.
func Read(q Question) (*sheet.Sheet, error) {
	var s *sheet.Sheet
	var err error
	if q.Text != nil {
		s, err = sheet.Parse(q.Text)
	} else {
		s, err = sheet.Read(q.Path)
	}
	if err != nil {
		return nil, err
	}
	var bad sheet.Errors
	for _, m := range measure.Fill(s.Project) {
		bad = append(bad, s.Diagnose(m.Origin, m.What, m.Expected, m.Remedy))
	}
	if len(bad) > 0 {
		return nil, bad
	}
	return s, nil
}

// Of looks at one build of a sheet that was read. The error is faults.Mendable, and a BrokenBuild when physics forbids
// the build.
func Of(s *sheet.Sheet, q Question) (*Answer, error) {
	a, err := begin(s, q)
	if err != nil {
		return nil, err
	}
	if err := a.addSlow(q); err != nil {
		return nil, err
	}
	c := check.NewContext(a.Build, a.Baseline, a.Figures, q.System)
	a.Findings = check.Run(c)
	a.Verdicts = check.Claims(c)
	a.Typical, a.Inputs = typical(a.Build, a.Figures, c.Read)
	wanted := slices.DeleteFunc(measure.Next(a.Build, a.Figures), func(w figure.Wanted) bool { return !machine.Measurable(w.Path) })
	a.Measure = wanted[:min(5, len(wanted))]
	a.Advice = advise.On(a.Facts(""))
	return a, nil
}

// begin is an answer with what stands before all rules: the builds, their figures, dates and cost. The error is that of
// Of.
func begin(s *sheet.Sheet, q Question) (*Answer, error) {
	var err error
	a := &Answer{Sheet: s, System: q.System, Today: today(q, s.Project)}
	if a.Build, err = s.Project.Resolve(pick(q.Build, s.Project, !q.First)); err != nil {
		return nil, faults.Mendable(err)
	}
	if a.Baseline, err = s.Project.Resolve(pick(q.Against, s.Project, false)); err != nil {
		return nil, faults.Mendable(err)
	}
	a.Course, a.along = courseOf(q, s)
	if q.Figures == nil {
		q.Figures = forecast.Forecast
	}
	a.Figures = q.Figures(a.Build, a.Baseline)
	bad, misclaimed := forbidden(s, a.Build, a.Figures), a.badClaims()
	if err := a.planAndCost(s.Project); err != nil {
		return nil, err
	}
	if len(bad) > 0 {
		return nil, faults.Mendable(&BrokenBuild{a.Build.Name, append(bad, misclaimed...), a})
	}
	if len(misclaimed) > 0 {
		return nil, faults.Mendable(misclaimed)
	}
	if a.Baseline.Name != a.Build.Name {
		if bad := forbidden(s, a.Baseline, forecast.Values(a.Baseline, nil)); len(bad) > 0 {
			return nil, faults.Mendable(&BrokenBuild{a.Baseline.Name, bad, a})
		}
	}
	return a, nil
}

// addSlow adds the figures that follow from results, those that wait too.
func (a *Answer) addSlow(q Question) error {
	if q.Kept != nil {
		q.Slow, _ = q.Kept.Slow()
	}
	if q.Slow == nil {
		q.Slow = func(build, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
			return forecast.Slow(context.Background(), build, baseline, nil, on, false)
		}
	}
	on := forecast.Course{}
	if a.Course != "" {
		course := a.Along()
		if on.Ride, on.Err = course.Ride, course.Err; on.Err != nil {
			on.Err = errors.New("the logged ride " + CourseName(a.Course) + " cannot be ridden; shakedown lap says why")
		}
	}
	list, err := q.Slow(a.Build, a.Baseline, on)
	if err != nil {
		return err
	}
	a.Figures = append(a.Figures, list...)
	a.Waits = slices.ContainsFunc(list, func(f figure.Figure) bool { return f.ID == "engine.peak_torque" && f.State == figure.Waiting }) ||
		a.Build.Name != a.Baseline.Name && torque.CanCurve(a.Baseline) == nil && slices.ContainsFunc(list, func(f figure.Figure) bool {
			return f.ID == "engine.peak_torque" && f.State == figure.Ready && f.Change == nil
		})
	return nil
}

// Put takes in a figure that is surer than the one of its id that the answer has. Makers' claims of it are judged
// again.
func (a *Answer) Put(f figure.Figure) {
	if i := slices.IndexFunc(a.Figures, func(g figure.Figure) bool { return g.ID == f.ID }); i >= 0 {
		a.Figures[i] = f
	} else {
		a.Figures = append(a.Figures, f)
	}
	if slices.ContainsFunc(a.Verdicts, func(v check.Verdict) bool { return v.Of == f.ID }) {
		c := check.NewContext(a.Build, a.Baseline, a.Figures, a.System)
		a.Findings, a.Verdicts = check.Again(c, "claims", a.Findings), check.Claims(c)
	}
}

func pick(name string, p *machine.Project, last bool) string {
	switch {
	case name != "":
		return name
	case last:
		return p.Builds[len(p.Builds)-1].Name
	}
	return p.Builds[0].Name
}

func today(q Question, p *machine.Project) time.Time {
	switch {
	case !q.Today.IsZero():
		return q.Today
	case !p.Today.IsZero():
		return p.Today
	}
	return time.Date(q.Now.Year(), q.Now.Month(), q.Now.Day(), 0, 0, 0, 0, time.UTC)
}

// badClaims gathers what is wrong with claims and only the resolved machine shows: figures that do not exist, numbers
// in the unit of something else, places where there is only one.
func (a *Answer) badClaims() (bad sheet.Errors) {
	kinds := forecast.Kinds(a.Build)
	ids := slices.Sorted(maps.Keys(kinds))
	for i := range a.Sheet.Project.Parts {
		for _, claim := range a.Sheet.Project.Parts[i].Claims {
			kind, known := kinds[claim.Of]
			switch {
			case !known && a.Build.TwoStroke() && forecast.FourStrokeOnly(claim.Of):
			case claim.Of == "money.cost" || claim.Of == "plan.days":
				bad = append(bad, a.Sheet.Diagnose(claim.Origin, fmt.Sprintf("%s is of the whole build, and no maker's claim", claim.Of), "the id of a figure of the machine, such as engine.compression_ratio", "write the part's own price, lead and time"))
			case !known:
				remedy := "see docs/figures.md for the list"
				if near := quantity.Nearest(claim.Of, ids); near != "" {
					remedy = fmt.Sprintf("did you mean %q?", near)
				}
				bad = append(bad, a.Sheet.Diagnose(claim.Origin, fmt.Sprintf("there is no figure %q", claim.Of), "the id of a figure, such as engine.compression_ratio", remedy))
			case claim.Kind != machine.ClaimFactor:
				_, err := quantity.Parse(claim.Text, quantity.Spec{Kind: kind, Exact: true})
				if p, ok := errors.AsType[*quantity.Problem](err); ok {
					bad = append(bad, a.misstated(claim, p))
				}
			}
			if _, places := torque.AtWheel(claim.Of); claim.At != machine.PlaceUnsaid && !places {
				bad = append(bad, a.Sheet.Diagnose(claim.Placed, fmt.Sprintf("the place (at: %s) of a claim of %s", claim.At, claim.Of), "a place on claims of engine.peak_torque and engine.peak_power alone", "remove it: other figures are the same wherever they are measured"))
			}
		}
	}
	return bad
}

// misstated is the error of a claim whose number does not measure what its figure is.
func (a *Answer) misstated(claim machine.Claim, p *quantity.Problem) sheet.Diagnostic {
	remedy := p.Remedy
	if claim.Kind == machine.ClaimGain && strings.Contains(claim.Text, "%") {
		remedy = "write a share as a factor: factor: 1.1 is a tenth more"
	}
	return a.Sheet.Diagnose(claim.Stated, fmt.Sprintf("the claim of %s: %s", claim.Of, p.What), p.Expected, remedy)
}

// largestOf is where the largest of the numbers that make up an input was written.
func largestOf(b *machine.Build, path string) figure.Origin {
	p, v := b.Project, b.Values[path]
	origin, size := v.Origin, 0.0
	for _, i := range v.Terms {
		if s := math.Abs(p.Atoms[i].Q.Value); s > size {
			origin, size = p.Atoms[i].Origin, s
		}
	}
	return origin
}

// typical lists the inputs in use that are typical values, in the order of their paths, and counts the inputs in use:
// those that a figure is made of or a rule has looked at.
func typical(b *machine.Build, figures []figure.Figure, read map[string]bool) (list []figure.Input, inputs int) {
	used := maps.Clone(read)
	for _, f := range figures {
		for _, in := range f.Basis.Inputs {
			used[in.Path] = true
		}
	}
	for _, path := range slices.Sorted(maps.Keys(used)) {
		v, ok := b.Values[path]
		if !ok {
			continue
		}
		inputs++
		input := figure.Input{Path: path, Text: v.Text, Word: len(v.Terms) == 0, Kind: v.Field.Spec.Kind, Origin: v.Origin}
		input.Value, input.Half = b.Project.Number(v), b.Project.Half(v)
		if v.Origin.Line == 0 || b.IsTypical(path) {
			input.Known = quantity.Typical
			list = append(list, input)
		}
	}
	return list, inputs
}

// Figure is the figure of that id; the error names the nearest.
func (a *Answer) Figure(id string) (figure.Figure, error) {
	var ids []string
	for _, f := range a.Figures {
		if f.ID == id {
			return f, nil
		}
		ids = append(ids, f.ID)
	}
	remedy := "see shakedown figures --json or docs/figures.md"
	if near := quantity.Nearest(id, ids); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	return figure.Figure{}, faults.Mendable(fmt.Errorf("there is no figure %q; %s", id, remedy))
}

// Count words how many findings there are.
func (a *Answer) Count() string {
	n := map[figure.Severity]int{}
	for _, f := range a.Findings {
		if f.Rule != "cautions" {
			n[f.Severity]++
		}
	}
	return fmt.Sprintf("%d %s, %d %s, %d %s", n[figure.Conflict], quantity.Plural(n[figure.Conflict], "conflict", "conflicts"),
		n[figure.Caution], quantity.Plural(n[figure.Caution], "caution", "cautions"), n[figure.Note], quantity.Plural(n[figure.Note], "note", "notes"))
}

// Named is what the machine is called.
func (a *Answer) Named() string { return a.Sheet.Project.Called() }

// ReportName is the file name of the answer's report.
func (a *Answer) ReportName() string {
	return quantity.Slug(a.Named()) + "-" + quantity.Slug(a.Build.Name) + ".html"
}
