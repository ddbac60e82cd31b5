package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"shakedown/internal/app"
)

type reportCommand struct {
	asking
	Out   string `help:"File to write; the sheet's name with the build's unless said." placeholder:"FILE" type:"path"`
	Curve bool   `help:"Add the torque curve; takes a second."`
	Range bool   `help:"Add how sure the torque curve is; takes some twenty seconds."`
	Lap   bool   `help:"Add the lap and what each part is worth on it; takes some ten seconds."`
	Quick bool   `help:"Do without the torque curve and what the parts are worth where they are not asked for; the advice then says what is not computed yet."`
	Parts bool   `help:"Add what each part does to the torque; half a second for each curve."`
}

// Help is the example shown by shakedown report --help.
func (reportCommand) Help() string {
	return `Example:

  shakedown report examples/fenmoor-t285.yaml --build club --out club.html
  shakedown report examples/fenmoor-t285.yaml --build full --curve --range --parts --lap

writes one HTML file that needs nothing else and prints on A4 and Letter.`
}

// Run writes the report of a build; --json prints the answer behind it instead.
func (c reportCommand) Run(s *streams, code *int) error {
	ask := c.askWithCurves
	if c.Quick {
		ask = c.ask
	}
	a, err := ask(s)
	if err != nil {
		return err
	}
	ctx := s.interruptible()
	if !c.Quick {
		if err := s.decide(ctx, a); err != nil {
			return err
		}
	}
	*code = a.Exit()
	if c.JSON {
		return a.WriteJSON(s.out, version)
	}
	name := c.Out
	if name == "" {
		base := filepath.Base(c.Sheet)
		name = strings.TrimSuffix(base, filepath.Ext(base)) + "-" + a.Build.Name + ".html"
	}
	progress, end := s.progress()
	computed, err := app.Compute(ctx, a, s.known(c.Range), c.Curve, c.Range, c.Parts, c.Lap, progress)
	end()
	if err != nil {
		return err
	}
	if err := replaceFile(name, func(f *os.File) error { return app.WriteReport(f, a, programName(), computed) }); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%s\n", name)
	return err
}
