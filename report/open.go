package report

import (
	"slices"
	"strings"

	"shakedown/figure"
)

// Open is a run of rules that could not be judged because the same inputs are missing or for the same reason, or one
// rule with a reason of its own.
type Open struct {
	Rules []string
	Wants []string // inputs by their paths; docs/inputs.md says how to get each
	Text  string   // the reason where no input is missing
	why   string   // the same without the rule
}

// Rule is the names of the rules in one text.
func (o Open) Rule() string { return strings.Join(o.Rules, ", ") }

// Reason is what is missing in one text; Wants stands small beside it.
func (o Open) Reason() string {
	if len(o.Wants) == 0 {
		return o.Text
	}
	return needs(o.Wants)
}

// OpenRows gathers the findings of rules that could not be judged: each rule once, with all that it needs.
func OpenRows(findings []figure.Finding) []Open {
	var rows []Open
	for _, f := range findings {
		if f.Severity != figure.NotComputed {
			continue
		}
		if len(f.Wants) == 0 {
			if i := slices.IndexFunc(rows, func(o Open) bool { return f.Why != "" && o.why == f.Why }); i >= 0 {
				rows[i].Rules, rows[i].Text = append(rows[i].Rules, f.Rule), f.Why+"."
				continue
			}
			rows = append(rows, Open{Rules: []string{f.Rule}, Text: f.Text, why: f.Why})
			continue
		}
		i := slices.IndexFunc(rows, func(o Open) bool { return o.Rules[0] == f.Rule && len(o.Wants) > 0 })
		if i < 0 {
			i = len(rows)
			rows = append(rows, Open{Rules: []string{f.Rule}})
		}
		for _, path := range f.Wants {
			if !slices.Contains(rows[i].Wants, path) {
				rows[i].Wants = append(rows[i].Wants, path)
			}
		}
	}
	var merged []Open
	for _, o := range rows {
		i := slices.IndexFunc(merged, func(m Open) bool { return len(o.Wants) > 0 && slices.Equal(m.Wants, o.Wants) })
		if i < 0 {
			merged = append(merged, o)
			continue
		}
		merged[i].Rules = append(merged[i].Rules, o.Rules...)
	}
	return merged
}
