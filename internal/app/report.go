package app

import (
	"context"
	"errors"
	"io"

	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/engine"
	"shakedown/internal/app/worth"
	"shakedown/report"
)

// Computed is what of a report takes long, as far as it was asked for; nil for what was not.
type Computed struct {
	Curve *engine.Curve
	Lap   *course.Lap
	Value *worth.Value
	Line  *course.Line
}

// Compute works out what of a report takes long: the torque curve with its range and what the parts do to it, the lap
// and what the parts are worth on it.
func Compute(ctx context.Context, a *asked.Answer, known *Results, curve, ranges, parts, lap bool, done func(ready, total int)) (c Computed, err error) {
	if curve || ranges || parts {
		if c.Curve, err = engine.Compute(ctx, a, known, true, ranges, parts, done); err != nil {
			return c, err
		}
	}
	if !lap {
		return c, nil
	}
	if c.Lap, err = course.LapOf(ctx, a, known); err != nil {
		return c, err
	}
	if c.Lap.Range, err = course.RangeOf(ctx, a, known); err != nil {
		return c, err
	}
	if c.Value, err = worth.ValueOf(ctx, a, "", known, done); err != nil {
		return c, err
	}
	c.Line, err = course.LineOf(ctx, a, known, done)
	return c, err
}

// WriteReport writes an answer as one HTML page.
func WriteReport(w io.Writer, a *asked.Answer, program string, c Computed) error {
	name := a.Build.Text("name")
	if name == "" {
		name = a.Sheet.Project.File
	}
	return report.WritePage(w, report.Contents{
		Title: a.Sheet.Project.Title, Machine: name, Build: a.Build.Name, Baseline: a.Baseline.Name, Advice: a.Advice.Text, OrderFirst: a.OrderFirst(), System: a.System,
		Figures: a.Figures, Findings: a.Findings, Verdicts: a.Verdicts, Parts: a.PartRows(), Plan: a.Plan, Cost: a.CostText(), RaceDay: a.Sheet.Project.RaceDay,
		Typical: a.Typical, Inputs: a.Inputs, Measure: a.Measure, Drawing: a.Drawing(), Program: program, Sheet: a.Sheet.Project.File, Today: a.Today, Free: a.Class(), Engine: c.engine(), Course: c.course(), Tips: tipsPart(a),
	})
}

// tipsPart is the report's part about sliding and tipping; nil for a bike.
func tipsPart(a *asked.Answer) *report.Answer {
	t, err := course.TipsOf(a)
	if err != nil {
		return nil
	}
	part := t.Answer().Part()
	return &part
}

// engine is the report's part about the torque curve; nil without one.
func (c Computed) engine() *report.Answer {
	if c.Curve == nil || c.Curve.Curve == nil {
		return nil
	}
	part, _ := c.Curve.Answer().Part().Cut("points") // for which a report has no room
	return &part
}

// course are the report's parts about the lap and what the machine does on it; none without one.
func (c Computed) course() []report.Chapter {
	if c.Lap == nil {
		return nil
	}
	list := []report.Chapter{{Answer: c.Lap.Answer().Part()}}
	add := func(heading string, a report.Answer) {
		list = append(list, report.Chapter{Heading: heading, Answer: a.Part()})
	}
	if c.Value != nil {
		add("What each part gives for its money", c.Value.Answer())
	}
	if c.Line != nil && c.Line.Gearing != nil {
		add("Sprockets", c.Line.Gearing.Answer())
	}
	if c.Line != nil && c.Line.Start != nil {
		add("The start", c.Line.Start.Answer())
	}
	return list
}

// ComputedKept is what the workshop file has of what a report takes long for.
func (w *Workshop) ComputedKept(ctx context.Context, a *asked.Answer, program string) (c Computed, err error) {
	k, missing, err := w.CurveKept(ctx, a, program)
	switch {
	case errors.Is(err, torque.ErrNoCurve): // a usual one serves the lap
	case err != nil:
		return c, err
	case k.Curve == nil || len(missing) > 0:
		return c, nil
	default:
		if k.Before != nil {
			if _, err = w.TorqueOfPartsKept(ctx, a, k, program); err != nil {
				return c, err
			}
		}
		c.Curve = k
	}
	if c.Lap, err = w.LapKept(ctx, a, program); err != nil || c.Lap == nil { // why there is none stands on the Track page
		return c, ctx.Err()
	}
	c.Value, c.Line = w.ValueKept(ctx, a, program, ""), w.LineKept(ctx, a, program)
	return c, nil
}
