package main

import (
	"fmt"

	"shakedown/internal/app/asked"
	"shakedown/report"
)

type figuresCommand struct {
	asking
	All     bool   `help:"Also print the figures that only stand behind a rule."`
	Explain string `help:"Print how one figure was made." placeholder:"ID"`
}

// Help is the example shown by shakedown figures --help.
func (figuresCommand) Help() string {
	return `Example:

  shakedown figures examples/fenmoor-t285.yaml --build full --against club --units us

Each line is the baseline, the build, its 95 % range, and the change with a range of its own: what both builds
share cancels, so two ranges that overlap prove nothing; a change whose range holds zero is said to be too small to tell.`
}

// Run prints the figures of a build.
func (c figuresCommand) Run(s *streams, code *int) error {
	a, err := c.ask(s)
	if err != nil {
		return err
	}
	*code = a.Exit()
	switch {
	case c.Explain != "":
		f, err := a.Figure(c.Explain)
		if err != nil {
			return err
		}
		return report.WriteBasis(s.out, f, a.System)
	case c.JSON:
		return a.WriteJSON(s.out, version)
	}
	baseline := a.Baseline.Name
	if baseline == a.Build.Name {
		baseline = "" // nothing to compare with
	}
	if *code == asked.ConflictsFound {
		defer fmt.Fprintf(s.out, "\n%s; see shakedown check.\n", a.Count())
	}
	if err := report.WriteFigures(s.out, report.Groups(a.Figures, c.All, a.System), a.Build.Name, baseline); err != nil {
		return err
	}
	fmt.Fprintln(s.out)
	return report.WriteMeasure(s.out, report.WantedRows(a.Measure, a.Figures), len(a.Typical), a.Inputs)
}
