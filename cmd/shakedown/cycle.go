package main

import (
	"shakedown/internal/app"
)

type cycleCommand struct {
	asking
	Speed float64 `help:"Engine speed in rpm; that of the torque's peak unless said." placeholder:"RPM"` // [rpm]
	CSV   bool    `name:"csv" help:"Print one line for each sample, about one a degree, comma-separated."`
}

// Help is the example shown by shakedown cycle --help.
func (cycleCommand) Help() string {
	return `Examples:

  shakedown cycle examples/fenmoor-t285.yaml --build full --speed 5500
  shakedown cycle examples/fenmoor-t285.yaml --build full --against as-found --speed 5500 --csv > cycle.csv

shows one cycle of one cylinder at an engine speed: pressures in the cylinder and at the valves, lifts and flows, and what the
waves in the pipes do for the filling. With --json the pressure along both pipes comes too. The page Engine draws it.`
}

// Run computes and prints the cycle.
func (c cycleCommand) Run(s *streams) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	answer, err := app.Cycle(ctx, question, c.Speed)
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
