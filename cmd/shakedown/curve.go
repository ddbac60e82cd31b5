package main

import (
	"fmt"

	"shakedown/internal/app"
	"shakedown/report"
)

type curveCommand struct {
	asking
	CSV   bool `name:"csv" help:"Print one line for each speed, comma-separated."`
	Range bool `help:"Work out how sure the curve is as well; takes some ten seconds."`
	Parts bool `help:"Work out what each part does to the torque, alone and with the others; half a second for each curve."`

	Standard string `help:"Correct torque and power to the air of iso-1585, sae-j1349, sae-j607 or din-70020; the sheet's own air unless asked." enum:",iso-1585,sae-j1349,sae-j607,din-70020" default:"" placeholder:"NAME"`
}

// Help is the example shown by shakedown curve --help.
func (curveCommand) Help() string {
	return `Examples:

  shakedown curve examples/fenmoor-t285.yaml --build full
  shakedown curve examples/fenmoor-t285.yaml --build full --against as-found --csv > curve.csv
  shakedown curve examples/fenmoor-t285.yaml --build full --against as-found --parts

computes the torque curve of a build from the unsteady flow of its gases: full throttle, spark for best torque, at the crank.
ctrl-C stops it at once. Exit code 3 says that a speed could not be computed.`
}

// Run computes and prints the curve.
func (c curveCommand) Run(s *streams, code *int) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	progress, end := s.progress()
	answer, err := app.Curve(ctx, question, s.results, c.Range, c.Parts, c.Standard, progress)
	end()
	if err != nil {
		return err
	}
	*code = answer.Exit()
	return s.write(answer.Answer(), c.JSON, c.CSV)
}

// write writes an answer in the way that was asked for.
func (s *streams) write(answer report.Answer, asJSON, asCSV bool) error {
	switch {
	case asJSON:
		return answer.WriteJSON(s.out, version)
	case asCSV:
		return answer.WriteCSV(s.out)
	}
	return answer.WriteText(s.out)
}

// progress tells a person at a terminal how far long work is; end wipes it away.
func (s *streams) progress() (tell func(ready, total int), end func()) {
	if !s.watched {
		return nil, func() {}
	}
	return func(ready, total int) { fmt.Fprintf(s.err, "\r\033[K%d of %d worked out", ready, total) }, func() { fmt.Fprint(s.err, "\r\033[K") }
}
