package main

import (
	"shakedown/internal/app"
)

type standingStartCommand struct {
	asking
	CSV bool `name:"csv" help:"Print one line for each row of the table, comma-separated."`
}

// Help is the example shown by shakedown standing-start --help.
func (standingStartCommand) Help() string {
	return `Example:

  shakedown standing-start examples/fenmoor-t285.yaml --build full

finds the gear and the crank speed that reach the course's first corner soonest from rest, whether the front lifts, and what the clutch
takes.`
}

// Run computes the start.
func (c standingStartCommand) Run(s *streams) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	answer, err := app.StartTo(ctx, question, s.results)
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
