package main

import (
	"shakedown/internal/app"
)

type valueCommand struct {
	riding
	CSV    bool   `name:"csv" help:"Print one line for each part, comma-separated."`
	Range  bool   `help:"Work out how sure the torque is, in place of taking a tenth of it; takes a minute more."`
	Budget string `help:"Say in which order to buy under this sum, such as 500." placeholder:"SUM"`
}

// Help is the example shown by shakedown value --help.
func (valueCommand) Help() string {
	return `Examples:

  shakedown value examples/fenmoor-t285.yaml
  shakedown value examples/fenmoor-t285.yaml --budget 600

lays each part of the sheet, with what it needs, over the baseline and rides a lap: seconds gained with their range, and seconds for a
hundred of the currency. A gain whose range holds zero is said to be too small to tell. A part that breaks a rule of fit by itself is ridden with what mends it.
--build names the build whose parts are also ridden together, area by area and all at once.`
}

// Run computes and prints what the parts are worth.
func (c valueCommand) Run(s *streams) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	progress, end := s.progress()
	answer, err := app.Value(ctx, question, c.Budget, s.known(c.Range), progress)
	end()
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
