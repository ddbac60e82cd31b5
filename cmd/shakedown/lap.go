package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"

	"shakedown/internal/app"
)

type lapCommand struct {
	asking
	Course string `help:"Ride along this recording, GPX or CSV, in place of the sheet's course." placeholder:"FILE" type:"path"`

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
	answer, err := c.ride(ctx, s, question)
	if err != nil {
		return err
	}
	*code = answer.Exit()
	return s.print(answer, c.JSON, c.CSV)
}

// ride is a lap of the sheet's course, or along a recording.
func (c lapCommand) ride(ctx context.Context, s *streams, question app.Question) (*app.LapAnswer, error) {
	if c.Course == "" {
		return app.Lap(ctx, question, s.curves)
	}
	f, err := os.Open(c.Course)
	if err != nil {
		return nil, app.InputError(fmt.Errorf("the ride: %w", err))
	}
	defer f.Close()
	return app.LapAlong(ctx, question, filepath.Base(c.Course), f, s.curves)
}
