package app

import (
	"context"
	"io"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/running"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/report"
)

// Drawing is what the machine of the build is drawn from, the baseline's outline behind it.
func (a *Answer) Drawing() report.Drawing {
	now, before := running.ShapeOf(a.Build), running.ShapeOf(a.Baseline)
	return report.Drawing{
		Wheelbase: now.Wheelbase, Rake: now.Rake, ForkOffset: now.ForkOffset, FrontRadius: now.FrontRadius, RearRadius: now.RearRadius,
		FrontRim: now.FrontRim, RearRim: now.RearRim, FrontWide: now.FrontWide, RearWide: now.RearWide, Layout: now.Layout, Fork: now.Fork, Track: now.Track, TrackBefore: before.Track, TrackFront: now.TrackFront, TrackFrontBefore: before.TrackFront, Lean: now.Lean, LeanBefore: before.Lean,
		SeatX: now.SeatX, SeatZ: now.SeatZ, PegX: now.PegX, PegZ: now.PegZ, BarX: now.BarX, BarZ: now.BarZ, TankX: now.TankX, TankZ: now.TankZ,
		Clearance: now.Clearance, Stature: now.Stature, HangsOff: now.HangsOff, Shift: now.Shift, Machine: report.Point(now.Machine), Laden: report.Point(now.Laden), LadenBefore: report.Point(before.Laden),
		FrontWideBefore: before.FrontWide, FrontRadiusBefore: before.FrontRadius, WheelbaseBefore: before.Wheelbase, RearWideBefore: before.RearWide, RearRadiusBefore: before.RearRadius, System: a.System, Build: a.Build.Name, Baseline: a.Baseline.Name,
	}
}

// Computed is what of a report takes long, as far as it was asked for; nil for what was not.
type Computed struct {
	Curve  *CurveAnswer
	Lap    *LapAnswer
	Charts []report.Chart // of the machine on the course's ground
	Value  *ValueAnswer
	Line   *Line
}

// Compute works out what of a report takes long: the torque curve with its range and what the parts do to it, the lap and what the
// parts are worth on it.
func Compute(ctx context.Context, a *Answer, curves *Curves, curve, ranges, parts, lap bool, done func(ready, total int)) (c Computed, err error) {
	if curve || ranges || parts {
		if c.Curve, err = curveWith(ctx, a, true, ranges, parts, done); err != nil {
			return c, err
		}
		curves.know(a.Build, c.Curve.Curve)
		curves.know(a.Baseline, c.Curve.Before)
	}
	if !lap {
		return c, nil
	}
	if c.Lap, err = lapOf(ctx, a, curves.compute); err != nil {
		return c, err
	}
	if c.Lap.Range, err = lapRangeOf(ctx, a, curves.compute); err != nil {
		return c, err
	}
	c.Charts, _ = trackCharts(ctx, a, curves.compute)
	if c.Value, err = valueOf(ctx, a, "", curves.compute, done); err != nil {
		return c, err
	}
	c.Line, err = lineOf(ctx, a, curves.compute, done)
	return c, err
}

// WriteReport writes an answer as one HTML page.
func WriteReport(w io.Writer, a *Answer, program string, c Computed) error {
	name := a.Build.Text("name")
	if name == "" {
		name = a.Sheet.Project.File
	}
	return report.WritePage(w, report.Contents{
		Title: a.Sheet.Project.Title, Machine: name, Build: a.Build.Name, Baseline: a.Baseline.Name, Advice: a.Advice.Text, OrderFirst: a.OrderFirst(), System: a.System,
		Figures: a.Figures, Findings: a.Findings, Verdicts: a.Verdicts, Parts: a.partRows(), Plan: a.Plan, Cost: a.CostText(), RaceDay: a.Sheet.Project.RaceDay,
		Typical: a.Typical, Inputs: a.Inputs, Measure: a.Measure, Drawing: a.Drawing(), Program: program, Sheet: a.Sheet.Project.File, Today: a.Today, Free: a.class(), Engine: c.Curve.forReport(), Course: c.course(), Tips: tipsPart(a),
	})
}

// tipsPart is the report's part about sliding and tipping; nil for a bike.
func tipsPart(a *Answer) *report.Answer {
	t, err := TipsOf(a)
	if err != nil {
		return nil
	}
	part := t.Answer().Part()
	return &part
}

// course is the report's part about the lap; nil without one.
func (c Computed) course() *report.Course {
	l := c.Lap
	if l == nil {
		return nil
	}
	out := &report.Course{Lead: l.Summary(), Notes: sentences(l.Notes()), Sections: report.TableOf(l.Heads(), l.Rows()), Charts: l.Charts()}
	for _, chart := range c.Charts {
		out.Charts = append(out.Charts, chart.SVG())
	}
	if c.Line != nil && c.Line.Gearing != nil {
		out.Chapters = append(out.Chapters, report.Chapter{Heading: "Sprockets", Answer: c.Line.Gearing.Answer().Part()})
	}
	if c.Line != nil && c.Line.Start != nil {
		out.Chapters = append(out.Chapters, report.Chapter{Heading: "The start", Answer: c.Line.Start.Answer().Part()})
	}
	if v := c.Value; v != nil {
		out.Worth, out.Gains, out.Parts, out.Beside = v.Summary(), v.Gains().SVG(), report.TableOf(v.Heads(), v.Rows()), v.Notes()
		if len(v.NoPrice) > 0 {
			out.NoPriceLead, out.NoPrice = v.NoPriceLead(), report.TableOf(v.NoPriceHeads(), v.NoPriceRows())
		}
		if len(v.Packages) > 0 {
			out.Together, out.Packages = v.PackageLead(), report.TableOf(v.PackageHeads(), v.PackageRows())
		}
	}
	return out
}

// class lists what the sheet says of the class.
func (a *Answer) class() []report.Line {
	var lines []report.Line
	place, err := machine.Top().At("class_rules")
	if err != nil {
		panic(err)
	}
	for _, name := range place.Names() {
		if v, ok := a.Build.Values["class_rules."+name]; ok && v.Origin.Line > 0 {
			lines = append(lines, report.Line{Name: strings.ReplaceAll(name, "_", " "), Text: v.Text})
		}
	}
	return lines
}

func (a *Answer) partRows() []report.PartRow {
	rows := make([]report.PartRow, 0, len(a.Build.Parts))
	for _, part := range a.Build.Parts {
		row := report.PartRow{ID: part.ID, Name: part.Name, Kind: part.Kind, From: part.From, Price: "no price"}
		if part.Priced {
			row.Price = money.Amount{Minor: part.Price, Currency: a.Cost.Currency}.String()
		}
		var waits []string
		if part.Lead != nil {
			waits = append(waits, part.Lead.Text)
		}
		if part.Time != nil {
			waits = append(waits, part.Time.Text+" of work")
		}
		row.Lead = strings.Join(waits, ", then ")
		if part.Warranty != nil {
			row.Warranty = part.Warranty.Text
		}
		row.Note = a.remark(part)
		rows = append(rows, row)
	}
	return rows
}

func (a *Answer) remark(part *machine.Part) string {
	var notes []string
	if a.Build.PulledIn[part.ID] {
		notes = append(notes, "also needed")
	}
	var waits []string
	for _, ref := range part.WaitsFor {
		if a.Build.Has(ref.Name) {
			waits = append(waits, ref.Name)
		}
	}
	if len(waits) > 0 {
		notes = append(notes, "after "+strings.Join(waits, ", "))
	}
	if part.Keeps != "" {
		notes = append(notes, "at the shop: the "+part.Keeps)
	}
	if slices.ContainsFunc(a.Findings, func(f figure.Finding) bool { return slices.Contains(f.Where, "parts."+part.ID) }) {
		notes = append(notes, "see conflicts and cautions")
	}
	return strings.Join(notes, "; ")
}

// sentences are notes as they stand alone.
func sentences(notes []string) []string {
	list := make([]string, 0, len(notes))
	for _, n := range notes {
		list = append(list, report.Sentence(n))
	}
	return list
}
