package main

import (
	"context"
	"os"
	"os/signal"

	"shakedown/internal/app"
)

// riding is where laps go.
type riding struct {
	Course string `help:"Ride along this recording, GPX or CSV, in place of the sheet's course." placeholder:"FILE" type:"path"`
}

type lapCommand struct {
	asking
	riding
	CSV bool `name:"csv" help:"Print one line for each step of the course, comma-separated."`
}

// Help is the example shown by shakedown lap --help.
func (lapCommand) Help() string {
	return `Examples:

  shakedown lap examples/fenmoor-t285.yaml --build full
  shakedown lap examples/fenmoor-t285.yaml --build full --json
  shakedown lap examples/fenmoor-t285.yaml --course saturday.gpx

rides one lap of the sheet's course with a flying start: what the ground, the balance, the engine and the brakes allow, section by
section, against the baseline.`
}

// Run computes and prints a lap.
func (c lapCommand) Run(s *streams, code *int) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	question.Course = c.Course
	answer, err := app.Lap(ctx, question, s.curves)
	if err != nil {
		return err
	}
	*code = answer.Exit()
	return s.print(answer, c.JSON, c.CSV)
}
