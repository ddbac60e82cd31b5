package asked

import (
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

// Class lists what the sheet says of the class.
func (a *Answer) Class() []report.Line {
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

// PartRows are the parts of the build as a report lists them.
func (a *Answer) PartRows() []report.PartRow {
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
