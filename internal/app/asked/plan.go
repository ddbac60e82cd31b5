package asked

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/plan"
	"shakedown/quantity"
)

// planAndCost plans the build and adds money.cost and plan.days to the figures.
func (a *Answer) planAndCost(p *machine.Project) error {
	var err error
	if a.Plan, err = plan.Schedule(tasks(a.Build), a.Today, p.RaceDay); err != nil {
		return err
	}
	before, err := plan.Schedule(tasks(a.Baseline), a.Today, p.RaceDay)
	if err != nil {
		return err
	}
	if a.Cost, a.Unpriced, err = cost(a.Build); err != nil {
		return err
	}
	was, _, err := cost(a.Baseline)
	if err != nil {
		return err
	}
	a.Figures = append(a.Figures,
		exact("money.cost", "Cost of the build, needs included", quantity.Unit{Symbol: p.Currency, Kind: quantity.Money, Factor: math.Pow10(money.Digits(p.Currency))}, float64(a.Cost.Minor), float64(was.Minor), "sum of the prices of all parts, needs included, each once", "the sheet's prices"),
		exact("plan.days", "Days until it is ready", quantity.Unit{Symbol: "days", Kind: quantity.DayCount, Factor: 1}, float64(a.Plan.Days), float64(before.Days), "longest chain of waiting; what keeps the same thing busy does not overlap", "critical path; docs/theory/plan.md"))
	return nil
}

func exact(id, title string, unit quantity.Unit, value, before float64, formula, source string) figure.Figure {
	change := &figure.Change{Value: value - before, Low: value - before, High: value - before}
	return figure.Figure{ID: id, Title: title, Unit: unit, Value: value, Low: value, High: value, Change: change, State: figure.Ready,
		Basis: figure.Basis{Formula: formula, Source: source, Theory: "docs/theory/plan.md", ModelNote: "prices and lead times are taken as given"}}
}

func cost(b *machine.Build) (money.Amount, []string, error) {
	var amounts []money.Amount
	var unpriced []string
	for _, part := range b.Parts {
		if !part.Priced {
			unpriced = append(unpriced, part.ID)
			continue
		}
		amounts = append(amounts, money.Amount{Minor: part.Price, Currency: b.Project.Currency})
	}
	total, err := money.Sum(b.Project.Currency, amounts...)
	return total, unpriced, err
}

// ordered is the suffix of the task that stands for the waiting time of a part that also takes work.
const ordered = " (on order)"

// tasks makes the plan's tasks of a build: one for what is waited for, one for what is worked. What is not in the build
// is not waited for.
func tasks(b *machine.Build) []plan.Task {
	var list []plan.Task
	for _, part := range b.Parts {
		var after []string
		for _, ref := range part.WaitsFor {
			if b.Has(ref.Name) {
				after = append(after, ref.Name)
			}
		}
		work := plan.Task{ID: part.ID, Name: part.Name, After: after, Busy: part.Keeps}
		switch {
		case part.Time != nil && part.Lead != nil:
			list = append(list, plan.Task{ID: part.ID + ordered, Name: part.Name + ordered, Takes: span(part.Lead)})
			work.After = append(work.After, part.ID+ordered)
			work.Takes = span(part.Time)
		case part.Time != nil:
			work.Takes = span(part.Time)
		case part.Lead != nil:
			work.Takes = span(part.Lead)
		}
		list = append(list, work)
	}
	return list
}

// hoursPerDay turns hours of work into days, rounded up.
const hoursPerDay = 8

func span(s *quantity.Span) plan.Span {
	switch s.Unit {
	case quantity.Hours:
		return plan.Span{Days: (s.Count + hoursPerDay - 1) / hoursPerDay}
	case quantity.WorkingDays:
		return plan.Span{WorkingDays: s.Count}
	case quantity.Weeks:
		return plan.Span{Days: 7 * s.Count}
	case quantity.Months:
		return plan.Span{Months: s.Count}
	}
	return plan.Span{Days: s.Count}
}

// CostText is the cost for people, with a word about parts that have no price.
func (a *Answer) CostText() string {
	cores := ""
	if sum := a.cores(); sum.Minor > 0 {
		cores = fmt.Sprintf(", and %s of core charges until the old parts are back", sum)
	}
	if len(a.Unpriced) == 0 {
		return a.Cost.String() + cores
	}
	return fmt.Sprintf("%s%s without %s, which %s no price", a.Cost, cores, strings.Join(a.Unpriced, ", "), quantity.Plural(len(a.Unpriced), "has", "have"))
}

// cores are the core charges of the build: they are paid with the parts and come back with the old ones, so that they
// are no cost.
func (a *Answer) cores() money.Amount {
	sum := money.Amount{Currency: a.Cost.Currency}
	for _, part := range a.Build.Parts {
		more, err := sum.Add(money.Amount{Minor: part.Core, Currency: sum.Currency})
		if err != nil {
			return sum
		}
		sum = more
	}
	return sum
}

// OrderFirst says what to order first for the build to be ready soonest; "" when nothing is waited for.
func (a *Answer) OrderFirst() string {
	if len(a.Plan.Chain) == 0 {
		return ""
	}
	step := a.Plan.Steps[slices.IndexFunc(a.Plan.Steps, func(s plan.Step) bool { return s.ID == a.Plan.Chain[0] })]
	text := fmt.Sprintf("Once you go for all of it, %s leads the longest wait", strings.TrimSuffix(step.Name, ordered))
	switch race := a.Sheet.Project.RaceDay; {
	case race.IsZero():
	case a.Plan.Late > 0:
		text += fmt.Sprintf(", and all of it comes %d %s too late for the race on %s", a.Plan.Late, quantity.Plural(a.Plan.Late, "day", "days"), Date(race))
	default:
		text += fmt.Sprintf(": order it by %s at the latest", Date(step.LatestStart))
	}
	return text + "."
}

// Date is a day as people write it.
func Date(day time.Time) string { return day.Format("2 January 2006") }
