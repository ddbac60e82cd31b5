package app

import (
	"context"
	"fmt"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
	"shakedown/sheet"
)

// Comparison is several builds of one sheet side by side, each against the same baseline.
type Comparison struct {
	Baseline string
	Answers  []*asked.Answer      // in the order asked for; the baseline first
	Laps     []*course.Lap        // of each; nil where there is none, or none yet
	All      bool                 // figures that only stand behind a rule are shown too
	Broken   []*asked.BrokenBuild // builds asked for that physics forbids: they are not among the answers
}

// Ride adds a lap of each build, with its range and its change against the baseline. A build that has none goes
// without; what ends the context ends the work.
func (c *Comparison) Ride(ctx context.Context, known *Results, done func(ready, total int)) error {
	c.Laps = make([]*course.Lap, len(c.Answers))
	for i, a := range c.Answers {
		l, err := course.LapOf(ctx, a, known)
		if err == nil {
			l.Range, err = course.RangeOf(ctx, a, known)
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err == nil {
			c.Laps[i] = l
		}
		if done != nil {
			done(i+1, len(c.Answers))
		}
	}
	return nil
}

// gains are what a build takes off the baseline's lap [s]; false when that is not known.
func (c *Comparison) gains(i int) (change *figure.Change, ok bool) {
	if i == 0 || i >= len(c.Laps) || c.Laps[i] == nil || c.Laps[i].Range == nil || c.Laps[i].Range.Change == nil {
		return nil, false
	}
	return c.Laps[i].Range.Change, true
}

// priced says that it is known what a build costs above the baseline.
func (c *Comparison) priced(i int) bool {
	return !slices.ContainsFunc(c.Answers[i].Unpriced, func(id string) bool { return !slices.Contains(c.Answers[0].Unpriced, id) })
}

// Aim is the last of the builds, which is where the owner wants to go.
func (c *Comparison) Aim() *asked.Answer { return c.Answers[len(c.Answers)-1] }

// lead says what the builds lap, the quickest and the one that gains most for its money; "" without laps. It gives no
// advice.
func (c *Comparison) lead() string {
	quickest, thriftiest := -1, -1 // by the lap, and for the money
	perMoney := func(i int) float64 {
		change, _ := c.gains(i)
		cost := c.Answers[i].Cost.Minor - c.Answers[0].Cost.Minor
		if cost <= 0 {
			return math.Inf(1)
		}
		return -change.Value / float64(cost)
	}
	for i := range c.Answers {
		change, ok := c.gains(i)
		if !ok {
			continue
		}
		if quickest < 0 || change.Value < c.Laps[quickest].Range.Change.Value {
			quickest = i
		}
		if !change.Inside() && change.Value < 0 && c.priced(i) && (thriftiest < 0 || perMoney(i) > perMoney(thriftiest)) {
			thriftiest = i
		}
	}
	if quickest < 0 {
		return ""
	}
	words := func(i int) string {
		return fmt.Sprintf("%s, %s", machine.TheBuild(c.Answers[i].Build.Name), c.Laps[i].Gain(c.Answers[i].CostText()))
	}
	best := c.Laps[quickest]
	text := best.Usual()
	if best.Range.Change.Value >= 0 {
		text += fmt.Sprintf("no build here laps quicker than %s; nearest comes %s.", machine.TheBuild(c.Baseline), words(quickest))
	} else {
		text += fmt.Sprintf("of these the quickest lap, %s s, is that of %s.", quantity.Number(best.Lap.Time, 1), words(quickest))
	}
	if thriftiest >= 0 && thriftiest != quickest {
		text += fmt.Sprintf(" Most for its money gains %s.", words(thriftiest))
	}
	if n := c.Answers[quickest].Conflicts(); n > 0 {
		text += fmt.Sprintf(" %s %s against %s.", quantity.Counted(n), quantity.Plural(n, "conflict stands", "conflicts stand"), machine.TheBuild(best.Build))
	}
	return report.Sentence(text) + best.Words()
}

// RideToo adds the lap of the build, with its range, to an answer, and gives it. One that has none goes without, nil;
// what ends the context ends the work.
func RideToo(ctx context.Context, a *asked.Answer, known *Results) (*course.Lap, error) {
	l, err := course.LapOf(ctx, a, known)
	if err == nil {
		l.Range, err = course.RangeOf(ctx, a, known)
	}
	if err != nil {
		return nil, ctx.Err()
	}
	ridden := l.Figure()
	a.Ridden = &ridden
	a.Put(ridden)
	return l, nil
}

// figures are those of one build, with its lap.
func (c *Comparison) figures(i int) []figure.Figure {
	if i < len(c.Laps) && c.Laps[i] != nil {
		c.Answers[i].Put(c.Laps[i].Figure())
	}
	return c.Answers[i].Figures
}

// Compare answers for each build; none named means all of the sheet. The baseline is Against, or the sheet's first.
func Compare(q asked.Question, builds []string) (*Comparison, error) {
	s, err := asked.Read(q)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	return compare(s, q, builds, asked.Of)
}

// compare looks at several builds of a sheet that was read; of answers for one.
func compare(s *sheet.Sheet, q asked.Question, builds []string, of func(*sheet.Sheet, asked.Question) (*asked.Answer, error)) (*Comparison, error) {
	base := q
	base.Build, base.First = q.Against, true
	first, err := of(s, base)
	if err != nil {
		return nil, err
	}
	c := &Comparison{Baseline: first.Build.Name, Answers: []*asked.Answer{first}}
	if len(builds) == 0 {
		builds = first.Sheet.Project.BuildNames()
	}
	for _, name := range builds {
		if name == c.Baseline {
			continue
		}
		q.Build, q.Against = name, c.Baseline
		a, err := of(s, q)
		if broken, ok := asked.IsBroken(err); ok {
			c.Broken = append(c.Broken, broken)
			continue
		}
		if err != nil {
			return nil, err
		}
		c.Answers = append(c.Answers, a)
	}
	return c, nil
}

// Exit is the worst exit code of the builds.
func (c *Comparison) Exit() int {
	worst := asked.Fine
	if len(c.Broken) > 0 {
		worst = asked.BadInput
	}
	for _, a := range c.Answers {
		worst = max(worst, a.Exit())
	}
	return worst
}

// Answer is what is said of it: what the builds lap, and their figures side by side. The advice is for the last of the
// builds.
func (c *Comparison) Answer() report.Answer {
	columns := make([]report.Column, 0, len(c.Answers))
	for i, a := range c.Answers {
		columns = append(columns, report.Column{Build: a.Build.Name, Figures: c.figures(i), Conflicts: a.Conflicts()})
	}
	table := report.Compared(columns, c.All, c.Answers[0].System)
	narrow, ready := table, report.Cells("Ready", "")
	narrow.Heads = []string{"", ""}
	for _, a := range c.Answers {
		narrow.Heads = append(narrow.Heads, a.Build.Name+"  ") // over the numbers, not over their marks
		ready = append(ready, report.Cell{Text: asked.Date(a.Plan.Ready)})
	}
	table.Rows = append(table.Rows, ready)
	return report.Answer{Advice: c.Aim().Advice.Text, Lead: c.lead(), Object: func() any { return c.object() }, Lines: func() [][]string { return report.ComparedLines(columns, c.All) }, Blocks: []report.Block{
		{Only: report.Terminal, Table: narrow},
		{ID: "compared", Only: report.Page, Table: table},
	}}
}

type comparedJSON struct {
	Sheet    string            `json:"sheet"`
	Baseline string            `json:"baseline"`
	Advice   asked.AdviceJSON  `json:"advice"` // for the last of the builds
	Builds   []comparedBuildJS `json:"builds"`
	Broken   []brokenJSON      `json:"broken,omitempty"`
}

// brokenJSON is a build that physics forbids.
type brokenJSON struct {
	Build  string       `json:"build"`
	Errors sheet.Errors `json:"errors"`
}

type comparedBuildJS struct {
	Build     string             `json:"build"`
	Conflicts int                `json:"conflicts"`
	Figures   []asked.FigureJSON `json:"figures"`
}

// object is what programs read; figures are as in WriteJSON of an answer.
func (c *Comparison) object() any {
	out := comparedJSON{Sheet: c.Answers[0].Sheet.Project.File, Baseline: c.Baseline, Advice: asked.AdviceOut(c.Aim().Advice)}
	for i, a := range c.Answers {
		b := comparedBuildJS{Build: a.Build.Name, Conflicts: a.Conflicts()}
		for _, f := range c.figures(i) {
			b.Figures = append(b.Figures, asked.FigureOut(f))
		}
		out.Builds = append(out.Builds, b)
	}
	for _, b := range c.Broken {
		out.Broken = append(out.Broken, brokenJSON{b.Build, b.Faults})
	}
	return out
}
