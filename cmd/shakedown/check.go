package main

import (
	"context"
	"fmt"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/report"
)

type checkCommand struct {
	asking
	Quick bool `help:"Do without the torque curve and what the parts are worth, which take seconds; the rules that go by the curve fall back on rough ones and say so."`
}

// Help is the example shown by shakedown check --help.
func (checkCommand) Help() string {
	return `Example:

  shakedown check examples/fenmoor-t285.yaml --build overdone

prints the advice, the conflicts worst first with what to do about each, cost and dates. Exit code 1 when a conflict
stands.`
}

// Run prints the findings of a build.
func (c checkCommand) Run(s *streams, code *int) error {
	ask := c.askWithCurves
	if c.Quick {
		ask = c.ask
	}
	a, err := ask(s)
	if err != nil {
		return err
	}
	var lap *course.Lap
	if !c.Quick {
		ctx := s.interruptible()
		if lap, err = app.RideToo(ctx, a, s.results); err != nil {
			return err
		}
		if err := s.decide(ctx, a); err != nil {
			return err
		}
	}
	*code = a.Exit()
	if c.JSON {
		return a.WriteJSON(s.out, version)
	}
	if err := report.WriteParagraph(s.out, a.Advice.Text); err != nil {
		return err
	}
	if lap != nil {
		fmt.Fprintln(s.out)
		if err := report.WriteParagraph(s.out, lap.OnTrack(a.CostText())); err != nil {
			return err
		}
	}
	fmt.Fprintf(s.out, "\n%s: build %q against build %q, %s\n\n", a.Named(), a.Build.Name, a.Baseline.Name, a.Count())
	for _, b := range a.Judge() {
		fmt.Fprintf(s.out, "Build %q of this sheet cannot be computed; see shakedown check --build %s.\n\n", b.Build, b.Build)
	}
	if err := report.WriteFindings(s.out, a.Findings, s.style()); err != nil {
		return err
	}
	fmt.Fprintln(s.out)
	if err := report.WritePlan(s.out, a.Plan, a.CostText(), a.Sheet.Project.RaceDay); err != nil {
		return err
	}
	if words := a.OrderFirst(); words != "" {
		if err := report.WriteParagraph(s.out, words); err != nil {
			return err
		}
	}
	fmt.Fprintln(s.out)
	return report.WriteMeasure(s.out, report.WantedRows(a.Measure, a.Figures), len(a.Typical), a.Inputs)
}

// decide makes the advice of an answer whole and tells a person at a terminal how far that is.
func (s *streams) decide(ctx context.Context, a *asked.Answer) error {
	progress, end := s.progress()
	defer end()
	return app.Decide(ctx, a, s.results, progress)
}
