package main

import (
	"shakedown/internal/app"
	"shakedown/internal/app/asked"
)

// riding is a question about laps, with where they go.
type riding struct {
	asking
	Course string `help:"Ride along this recording, GPX or a table, in place of the sheet's course." placeholder:"FILE" type:"path"`
}

func (r riding) question(s *streams) (asked.Question, error) {
	q, err := r.asking.question(s)
	q.Course = r.Course
	return q, err
}

type lapCommand struct {
	riding
	Range bool `help:"Work out how sure the torque is, in place of taking a tenth of it; takes some ten seconds more."`
	CSV   bool `name:"csv" help:"Print one line for each step of the course, comma-separated."`
	Quick bool `help:"Leave what the parts are worth out, which the advice may hang on and which takes seconds."`
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
func (c lapCommand) Run(s *streams) error {
	ctx := s.interruptible()
	question, err := c.question(s)
	if err != nil {
		return err
	}
	progress, end := s.progress()
	answer, err := app.Lap(ctx, question, s.known(c.Range), c.Quick || c.CSV, progress)
	end()
	if err != nil {
		return err
	}
	return s.write(answer.Answer(), c.JSON, c.CSV)
}
