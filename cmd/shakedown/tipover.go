package main

import "shakedown/internal/app"

type tipOverCommand struct {
	asking
	CSV bool `name:"csv" help:"Print one line for each row of the table, comma-separated."`
}

// Help is the example shown by shakedown tip-over --help.
func (tipOverCommand) Help() string {
	return `Example:

  shakedown tip-over examples/fenmoor-t285.yaml --build full

says whether a build slides before it tips, and by how much: on the sheet's ground and on others, with the rider centred, hung off and
on the brakes.`
}

// Run looks at a build on each ground.
func (c tipOverCommand) Run(s *streams) error {
	question, err := c.question(s)
	if err != nil {
		return err
	}
	answer, err := app.Tips(question)
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
