package main

import (
	"fmt"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/report"
)

type figuresCommand struct {
	asking
	All     bool   `help:"Also print the figures that only stand behind a rule."`
	Quick   bool   `help:"Leave what takes seconds waiting: torque curve, lap and start with their ranges."`
	Explain string `help:"Print how one figure was made." placeholder:"ID"`
}

// Help is the example shown by shakedown figures --help.
func (figuresCommand) Help() string {
	return `Example:

  shakedown figures examples/fenmoor-t285.yaml --build full --against club --units us

Each line is the baseline, the build, its 95 % range, and the change with a range of its own: what both builds
share cancels, so two ranges that overlap prove nothing; a change whose range holds zero is said to be too small to tell.`
}

// explained says that the figure to be explained is there already, or that there is none of that name.
func (c figuresCommand) explained(a *asked.Answer) bool {
	f, err := a.Figure(c.Explain)
	return c.Explain != "" && (err != nil || !f.Slow)
}

// answer works out what takes long too.
func (c figuresCommand) answer(s *streams) (*asked.Answer, error) {
	question, err := c.question(s)
	if err != nil {
		return nil, err
	}
	ctx := s.interruptible()
	progress, end := s.progress()
	defer end()
	question.Slow = app.SlowSure(ctx, s.results, progress)
	a, err := asked.Ask(question)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return a, err
}

// Run prints the figures of a build.
func (c figuresCommand) Run(s *streams, code *int) error {
	a, err := c.ask(s)
	if err == nil && !c.Quick && !c.explained(a) {
		a, err = c.answer(s)
	}
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
