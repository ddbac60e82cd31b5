package worth

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
	"shakedown/sheet"
)

// Effect is what one part does alone, with what it needs, laid over the baseline.
type Effect struct {
	Part      string
	With      []string       // pulled in because it needs them
	Changes   []EffectChange // beyond their range, the largest against the range first
	Within    int            // figures that change inside their range
	Conflicts []string       // rules that it brings
	Solves    []string       // rules that stood against the baseline and do not any more
	Cost      string         // of the part and what it needs
	Days      int            // until all of it is there
	Err       string         // why it cannot be said
}

// EffectChange is one figure that changes.
type EffectChange struct {
	ID, Title, Text string // Text is "▲ +0.053 g (+0.048 to +0.058)"
}

// mostChanges is how many changed figures of a part are told.
const mostChanges = 6

// EffectOf finds what a part does alone, with what it needs, laid over the baseline of an answer about that baseline.
func EffectOf(s *sheet.Sheet, before *asked.Answer, part *machine.Part, q asked.Question) Effect {
	e := Effect{Part: part.ID}
	alone := *s.Project // a copy with one more build; atoms and inputs are only read
	list := slices.Clone(before.Sheet.Project.BuildNamed(before.Baseline.Name).Parts)
	list = append(slices.DeleteFunc(list, func(r machine.Reference) bool { return r.Name == part.ID }), machine.Reference{Name: part.ID, Origin: part.Origin})
	const name = "with it"
	alone.Builds = append(slices.Clone(s.Project.Builds), machine.BuildList{Name: name, Parts: list, Origin: part.Origin})
	a, err := asked.Of(&sheet.Sheet{Files: s.Files, Project: &alone}, asked.Question{Build: name, Against: before.Baseline.Name, Now: q.Now, System: q.System})
	if err != nil {
		e.Err = err.Error()
		return e
	}
	for _, p := range a.Build.Parts {
		if a.Build.PulledIn[p.ID] {
			e.With = append(e.With, p.ID)
		}
	}
	cost := *a
	for _, f := range a.Figures {
		switch f.ID {
		case "money.cost":
			if f.Change != nil {
				cost.Cost.Minor = int64(math.Round(f.Change.Value))
			}
			continue
		case "plan.days":
			if f.Change != nil {
				e.Days = int(f.Change.Value)
			}
			continue
		}
		if f.State != figure.Ready || f.Change == nil || f.Change.None() || f.Detail {
			continue
		}
		if f.Change.Inside() {
			e.Within++
		}
	}
	e.Cost = cost.Cost.String()
	e.Changes = largest(a.Figures, q.System)
	e.Conflicts = newConflicts(a.Findings, before.Findings)
	e.Solves = newConflicts(before.Findings, a.Findings)
	return e
}

// largest are the figures that change most for the size of what is known, with their changes in words.
func largest(figures []figure.Figure, system quantity.System) []EffectChange {
	var moved []figure.Figure
	for _, f := range figures {
		if f.State == figure.Ready && f.Change != nil && !f.Change.Inside() && !f.Detail && f.ID != "money.cost" && f.ID != "plan.days" {
			moved = append(moved, f)
		}
	}
	share := func(f figure.Figure) float64 {
		before, _ := f.Before()
		return math.Abs(f.Change.Value) / math.Max(math.Abs(before), math.Abs(f.Value))
	}
	slices.SortStableFunc(moved, func(a, b figure.Figure) int { return cmp.Compare(share(b), share(a)) })
	rows := map[string]report.Row{}
	for _, g := range report.Groups(moved, true, system) {
		for _, row := range g.Rows {
			rows[row.ID] = row
		}
	}
	var list []EffectChange
	for _, f := range moved[:min(mostChanges, len(moved))] {
		row := rows[f.ID]
		list = append(list, EffectChange{ID: f.ID, Title: f.Title, Text: strings.TrimSpace(row.Change + " " + row.Unit)})
	}
	return list
}

// newConflicts are the rules that conflict in one list of findings and not in the other.
func newConflicts(now, before []figure.Finding) []string {
	var list []string
	for _, f := range now {
		if f.Severity == figure.Conflict && !slices.Contains(list, f.Rule) && !slices.ContainsFunc(before, func(g figure.Finding) bool { return g.Severity == figure.Conflict && g.Rule == f.Rule }) {
			list = append(list, f.Rule)
		}
	}
	return list
}
