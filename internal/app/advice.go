package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"shakedown/figure"
	"shakedown/money"
	"shakedown/plan"
	"shakedown/quantity"
)

// advise is the one sentence that opens every answer: what to do next, why, and how sure that is. It goes by conflicts, cost and dates; what
// the build does on the track is said behind it (OnTrack, ValueAnswer.Lead).
func (a *Answer) advise() string {
	var parts []string
	if n := a.Conflicts(); n > 0 {
		first := a.Findings[slices.IndexFunc(a.Findings, func(f figure.Finding) bool { return f.Severity == figure.Conflict })]
		parts = append(parts, fmt.Sprintf("Do not build %s as it stands: %s", a.Build.Name, lower(first.Text)), first.Remedy)
		if n > 1 {
			parts = append(parts, fmt.Sprintf("%s more %s below.", countWord(n-1), plural(n-1, "conflict stands", "conflicts stand")))
		}
		parts = append(parts, a.sureOf(first))
		return strings.Join(parts, " ")
	}
	if len(a.Build.Parts) == 0 {
		parts = append(parts, fmt.Sprintf("Nothing is bought in %s and no conflict stands against it.", a.Build.Name))
	} else {
		parts = append(parts, a.orderFirst())
	}
	if n := a.unjudged(); n > 0 {
		parts = append(parts, fmt.Sprintf("But %d %s not be judged for want of inputs: fill them in before you trust that.", n, plural(n, "rule could", "rules could")))
	}
	return strings.Join(append(parts, a.measureFirst()), " ")
}

// unjudged counts the rules that could not be judged because the sheet leaves out what they need.
func (a *Answer) unjudged() int {
	seen := map[string]bool{}
	for _, f := range a.Findings {
		if len(f.Wants) > 0 {
			seen[f.Rule] = true
		}
	}
	return len(seen)
}

// orderFirst says what to order next and what the whole costs.
func (a *Answer) orderFirst() string {
	lead := fmt.Sprintf("No conflict stands against %s", a.Build.Name)
	if len(a.Plan.Chain) > 0 {
		i := slices.IndexFunc(a.Plan.Steps, func(s plan.Step) bool { return s.ID == a.Plan.Chain[0] })
		step := a.Plan.Steps[i]
		lead = fmt.Sprintf("Next, order %s", strings.TrimSuffix(step.Name, ordered))
		if part := a.Build.Project.Part(strings.TrimSuffix(step.ID, ordered)); part != nil && part.Priced {
			lead += fmt.Sprintf(" (%s)", money.Amount{Minor: part.Price, Currency: a.Cost.Currency})
		}
		if race := a.Sheet.Project.RaceDay; !race.IsZero() && a.Plan.Late == 0 {
			lead += fmt.Sprintf(", by %s at the latest", Date(step.LatestStart))
		}
		lead += fmt.Sprintf(": it leads the longest wait of %s (%d days), and no conflict stands against it", a.Build.Name, a.Plan.Days)
	}
	text := fmt.Sprintf("%s; the whole costs %s and is ready on %s", lead, a.CostText(), Date(a.Plan.Ready))
	switch race := a.Sheet.Project.RaceDay; {
	case race.IsZero():
	case a.Plan.Late > 0:
		text += fmt.Sprintf(", %d days too late for the race on %s", a.Plan.Late, Date(race))
	case a.Plan.Ready.Equal(race):
		text += ", the day of the race itself"
	default:
		text += fmt.Sprintf(", %d %s before the race", plan.DaysBetween(a.Plan.Ready, race), plural(plan.DaysBetween(a.Plan.Ready, race), "day", "days"))
	}
	return text + "."
}

// measureFirst says which measurement would narrow the answer most.
func (a *Answer) measureFirst() string {
	if len(a.Measure) == 0 {
		return "Every input is measured as well as it usually can be."
	}
	w := a.Measure[0]
	title := w.Figure
	for _, f := range a.Figures {
		if f.ID == w.Figure {
			title = lower(f.Title)
		}
	}
	return fmt.Sprintf("How sure: %d of the %d inputs in use are typical values; measure %s first (%s): it is only %s and would narrow %s from ±%s %% to ±%s %%.",
		len(a.Typical), a.Inputs, w.Path, w.How, w.Known, title, quantity.Number(100*w.From, 0), quantity.Number(100*w.To, 0))
}

// sureOf says how well the figure behind a finding is known.
func (a *Answer) sureOf(f figure.Finding) string {
	for _, where := range f.Where {
		i := slices.IndexFunc(a.Figures, func(g figure.Figure) bool { return g.ID == where && g.State == figure.Ready })
		if i < 0 {
			continue
		}
		g := a.Figures[i]
		if len(g.Basis.Inputs) == 0 || g.Half() == 0 {
			break
		}
		unit := g.Unit.In(a.System)
		decimals := quantity.Decimals(unit.FromSI(g.Value), unit.Difference(g.Half()))
		return fmt.Sprintf("How sure: the figure lies between %s and %s with 95 %%, and %s (%s) makes most of that.",
			quantity.Number(unit.FromSI(g.Low), decimals), quantity.WithUnit(quantity.Number(unit.FromSI(g.High), decimals), unit), g.Basis.Inputs[0].Path, g.Basis.Inputs[0].Known)
	}
	return "How sure: it follows from the sheet alone."
}

// Date is a day as people write it.
func Date(day time.Time) string { return day.Format("2 January 2006") }

// lower makes the first letter small, unless the word is an abbreviation.
func lower(text string) string {
	if len(text) > 1 && strings.ToUpper(text[:2]) == text[:2] {
		return text
	}
	return strings.ToLower(text[:1]) + text[1:]
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func countWord(n int) string {
	words := []string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}
