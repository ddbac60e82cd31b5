package report

import (
	"cmp"
	"slices"
	"strconv"

	"shakedown/figure"
	"shakedown/quantity"
)

// Column is one build of a comparison; the first is the baseline.
type Column struct {
	Build     string
	Figures   []figure.Figure // with changes against the baseline
	Conflicts int
}

func (c Column) figure(id string) (figure.Figure, bool) {
	i := slices.IndexFunc(c.Figures, func(f figure.Figure) bool { return f.ID == id })
	if i < 0 {
		return figure.Figure{}, false
	}
	return c.Figures[i], true
}

// together lists the figures that any column has, by their rooms and in each in the order in which they come, details
// left out unless all are wanted.
func together(columns []Column, all bool) []figure.Figure {
	var list []figure.Figure
	seen := map[string]bool{}
	for _, c := range columns {
		for _, f := range c.Figures {
			if !seen[f.ID] && (all || !f.Detail) {
				seen[f.ID] = true
				list = append(list, f)
			}
		}
	}
	order := groupsOf(list)
	slices.SortStableFunc(list, func(a, b figure.Figure) int {
		return cmp.Compare(slices.Index(order, groupOf(a.ID)), slices.Index(order, groupOf(b.ID)))
	})
	return list
}

// cell is a figure of one build in a table of several: the number with a mark against the baseline.
func cell(c Column, id string, unit quantity.Unit, decimals int, baseline bool) string {
	f, ok := c.figure(id)
	switch {
	case !ok:
		return "–"
	case f.State != figure.Ready:
		return "?"
	}
	text := quantity.Number(unit.FromSI(f.Value), decimals)
	switch {
	case baseline || f.Change == nil:
		return text + "  "
	case f.Change.None():
		return text + " ="
	case f.Change.Inside():
		return text + " ~"
	case f.Change.Value > 0:
		return text + " ▲"
	}
	return text + " ▼"
}

// Compared is builds side by side: a line for each figure, under headings, and the conflicts.
func Compared(columns []Column, all bool, system quantity.System) Table {
	t := Table{Heads: []string{"figure", "unit"}, Caption: "Builds side by side",
		Key: []string{"▲ ▼ surely more or less than " + columns[0].Build, "~ too small to tell", "= the same", "? cannot be computed", "– does not apply"}}
	group := ""
	for _, f := range together(columns, all) {
		if name := groupOf(f.ID); name != group {
			group = name
			t.Rows = append(t.Rows, Cells(name))
		}
		unit := f.Unit.In(system)
		decimals := 0
		for _, c := range columns {
			if g, ok := c.figure(f.ID); ok && g.State == figure.Ready {
				decimals = max(decimals, decimalsOf(g, unit))
			}
		}
		row := []Cell{{Text: f.Title}, {Text: unit.Label(), Class: Unit}}
		for i, c := range columns {
			row = append(row, Cell{Text: cell(c, f.ID, unit, decimals, i == 0)})
		}
		t.Rows = append(t.Rows, row)
	}
	totals := Cells("Conflicts", "")
	for _, c := range columns {
		t.Heads = append(t.Heads, c.Build)
		totals = append(totals, Cell{Text: strconv.Itoa(c.Conflicts) + "  "})
	}
	t.Rows = append(t.Rows, Cells("Findings"), totals)
	return t
}

// ComparedLines are one line for each figure of each build, SI values as in JSON.
func ComparedLines(columns []Column, all bool) [][]string {
	lines := [][]string{{"id", "figure", "unit", "build", "value", "low", "high", "change", "change_low", "change_high", "state"}}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	for _, f := range together(columns, all) {
		for _, c := range columns {
			g, ok := c.figure(f.ID)
			if !ok {
				continue
			}
			line := []string{g.ID, g.Title, g.Unit.Kind.SI(), c.Build, "", "", "", "", "", "", string(g.State)}
			if g.State == figure.Ready {
				line[4], line[5], line[6] = number(g.Value), number(g.Low), number(g.High)
				if g.Change != nil {
					line[7], line[8], line[9] = number(g.Change.Value), number(g.Change.Low), number(g.Change.High)
				}
			}
			lines = append(lines, line)
		}
	}
	return lines
}
