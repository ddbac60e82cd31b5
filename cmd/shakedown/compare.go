package main

import (
	"fmt"

	"shakedown/internal/app"
)

type compareCommand struct {
	Sheet   string   `arg:"" help:"Build sheet: a file, or a folder of files that are merged."`
	Builds  []string `help:"Builds to set side by side, separated by commas; all in the sheet unless said." placeholder:"NAME"`
	Against string   `help:"Baseline to compare against; the first in the sheet unless said." placeholder:"NAME"`
	JSON    bool     `name:"json" help:"Print one JSON object with SI values." xor:"form"`
	CSV     bool     `name:"csv" help:"Print comma-separated values, one line for each figure of each build, SI values." xor:"form"`
	All     bool     `help:"Also print the figures that only stand behind a rule."`
	Quick   bool     `help:"Do without the torque curves and what the parts are worth; the rules that go by the curves fall back on rough ones."`
	Units   string   `help:"Units for people: metric or us." enum:"metric,us" default:"metric"`
	Today   string   `help:"Day from which the plan counts, such as 2027-05-03." placeholder:"DATE"`
}

// Help is the example shown by shakedown compare --help.
func (compareCommand) Help() string {
	return `Example:

  shakedown compare examples/fenmoor-t285.yaml --builds club,full

sets the builds side by side. A mark says whether a figure surely differs from the baseline's: what the builds share
cancels, so it may differ surely although the ranges overlap.`
}

// Run prints builds side by side.
func (c compareCommand) Run(s *streams, code *int) error {
	question, err := asking{Sheet: c.Sheet, Against: c.Against, Units: c.Units, Today: c.Today}.question(s)
	if err != nil {
		return err
	}
	ctx := s.interruptible()
	if !c.Quick {
		question.Slow = app.Slow(ctx, s.results)
	}
	compared, err := app.Compare(question, c.Builds)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return err
	}
	if !c.Quick {
		progress, end := s.progress()
		err := compared.Ride(ctx, s.results, progress)
		end()
		if err != nil {
			return err
		}
		if !c.CSV { // which has no advice
			if err := s.decide(ctx, compared.Aim()); err != nil {
				return err
			}
		}
	}
	*code = compared.Exit()
	if !c.JSON {
		for _, b := range compared.Broken {
			fmt.Fprintln(s.err, b)
		}
	}
	compared.All = c.All
	if err := s.write(compared.Answer(), c.JSON, c.CSV); err != nil || c.JSON || c.CSV {
		return err
	}
	for _, b := range compared.Broken {
		fmt.Fprintf(s.out, "Build %q cannot be computed and is left out; see shakedown check --build %s.\n", b.Build, b.Build)
	}
	for _, a := range compared.Answers {
		if n := a.Conflicts(); n > 0 {
			fmt.Fprintf(s.out, "Build %q: %s; see shakedown check --build %s.\n", a.Build.Name, a.Count(), a.Build.Name)
		}
	}
	return nil
}
