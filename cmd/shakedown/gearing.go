package main

import (
	"shakedown/internal/app"
)

type gearingCommand struct {
	riding
	CSV bool `name:"csv" help:"Print one line for each row of the table, comma-separated."`
}

// Help is the example shown by shakedown gearing --help.
func (gearingCommand) Help() string {
	return `Example:

  shakedown gearing examples/fenmoor-t285.yaml --build full

rides a lap with every pair of sprockets that is usually sold for the chain's size and fits, and prints the quickest,
with the range of what they gain. It says how long top gear is held at the redline, and how far the rear sprocket stays
above the ground. Where the sheet does not know the chain, its adjuster or the swingarm, pairs are tried all the same,
and the answer says what was not kept and what to measure.`
}

// Run searches the sprockets.
func (c gearingCommand) Run(s *streams) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	progress, end := s.progress()
	answer, err := app.Gearing(ctx, question, s.results, progress)
	end()
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
