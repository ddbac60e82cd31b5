package app

import (
	"io"

	"shakedown/report"
	"shakedown/sheet"
)

// Comparison is several builds of one sheet side by side, each against the same baseline.
type Comparison struct {
	Baseline string
	Answers  []*Answer // in the order asked for; the baseline first
}

// Compare answers for each build; none named means all of the sheet. The baseline is Against, or the sheet's first.
func Compare(q Question, builds []string) (*Comparison, error) {
	s, err := q.read()
	if err != nil {
		return nil, Input{err}
	}
	return compare(s, q, builds)
}

// compare looks at several builds of a sheet that was read.
func compare(s *sheet.Sheet, q Question, builds []string) (*Comparison, error) {
	first, err := answer(s, Question{Build: q.Against, Against: q.Against, System: q.System, Today: q.Today, Now: q.Now, Curve: q.Curve, first: true})
	if err != nil {
		return nil, err
	}
	c := &Comparison{Baseline: first.Build.Name, Answers: []*Answer{first}}
	if len(builds) == 0 {
		builds = first.Sheet.Project.BuildNames()
	}
	for _, name := range builds {
		if name == c.Baseline {
			continue
		}
		q.Build, q.Against = name, c.Baseline
		a, err := answer(s, q)
		if err != nil {
			return nil, err
		}
		c.Answers = append(c.Answers, a)
	}
	return c, nil
}

// Exit is the worst exit code of the builds.
func (c *Comparison) Exit() int {
	worst := Fine
	for _, a := range c.Answers {
		worst = max(worst, a.Exit())
	}
	return worst
}

// Columns are the builds as the report prints them side by side.
func (c *Comparison) Columns() []report.Column {
	columns := make([]report.Column, 0, len(c.Answers))
	for _, a := range c.Answers {
		columns = append(columns, report.Column{Build: a.Build.Name, Figures: a.Figures, Conflicts: a.Conflicts(), Cost: a.CostText(), Ready: a.Plan.Ready})
	}
	return columns
}

type comparedJSON struct {
	Program  string            `json:"program"`
	Sheet    string            `json:"sheet"`
	Baseline string            `json:"baseline"`
	Builds   []comparedBuildJS `json:"builds"`
}

type comparedBuildJS struct {
	Build     string       `json:"build"`
	Conflicts int          `json:"conflicts"`
	Advice    string       `json:"advice"`
	Figures   []figureJSON `json:"figures"`
}

// WriteJSON writes the builds as one JSON object; figures are as in WriteJSON of an answer.
func (c *Comparison) WriteJSON(w io.Writer, program string) error {
	out := comparedJSON{Program: program, Sheet: c.Answers[0].Sheet.Project.File, Baseline: c.Baseline}
	for _, a := range c.Answers {
		b := comparedBuildJS{Build: a.Build.Name, Conflicts: a.Conflicts(), Advice: a.Advice}
		for _, f := range a.Figures {
			b.Figures = append(b.Figures, figureOut(f))
		}
		out.Builds = append(out.Builds, b)
	}
	return writeJSON(w, out)
}
