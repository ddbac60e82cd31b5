package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"shakedown/figure"
	"shakedown/quantity"
)

// Column is one build of a comparison; the first is the baseline.
type Column struct {
	Build     string
	Figures   []figure.Figure // with changes against the baseline
	Conflicts int
	Cost      string
	Ready     time.Time
}

func (c Column) figure(id string) (figure.Figure, bool) {
	i := slices.IndexFunc(c.Figures, func(f figure.Figure) bool { return f.ID == id })
	if i < 0 {
		return figure.Figure{}, false
	}
	return c.Figures[i], true
}

// together lists the figures that any column has, in order, details left out unless all are wanted.
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

// CompareRow is a line of builds side by side; a heading has no cells.
type CompareRow struct {
	ID, Title, Unit string
	Cells           []string // one for each build, with a mark against the baseline
}

// CompareRows are the lines of builds side by side, under headings.
func CompareRows(columns []Column, all bool, system quantity.System) []CompareRow {
	var lines []CompareRow
	group := ""
	for _, f := range together(columns, all) {
		if name := groupOf(f.ID); name != group {
			group = name
			lines = append(lines, CompareRow{Title: name})
		}
		unit := f.Unit.In(system)
		decimals := 0
		for _, c := range columns {
			if g, ok := c.figure(f.ID); ok && g.State == figure.Ready {
				decimals = max(decimals, decimalsOf(g, unit))
			}
		}
		l := CompareRow{ID: f.ID, Title: f.Title, Unit: unit.Label()}
		for i, c := range columns {
			l.Cells = append(l.Cells, cell(c, f.ID, unit, decimals, i == 0))
		}
		lines = append(lines, l)
	}
	totals := CompareRow{Title: "Conflicts"}
	for _, c := range columns {
		totals.Cells = append(totals.Cells, strconv.Itoa(c.Conflicts)+"  ")
	}
	return append(lines, CompareRow{Title: "Findings"}, totals)
}

// WriteComparison prints builds side by side.
func WriteComparison(w io.Writer, columns []Column, all bool, system quantity.System) error {
	var b strings.Builder
	lines := CompareRows(columns, all, system)
	for i := range lines {
		if lines[i].Cells != nil {
			lines[i].Title = "  " + lines[i].Title
		}
	}
	titles, units := 0, 0
	widths := make([]int, len(columns))
	for i, c := range columns {
		widths[i] = width(c.Build) + 2
	}
	for _, l := range lines {
		titles, units = max(titles, width(l.Title)), max(units, width(l.Unit))
		for i, text := range l.Cells {
			widths[i] = max(widths[i], width(text))
		}
	}
	head := padRight("", titles+units+2)
	for i, c := range columns {
		head += "  " + padLeft(c.Build+"  ", widths[i])
	}
	b.WriteString(strings.TrimRight(head, " ") + "\n")
	for _, l := range lines {
		if l.Cells == nil {
			fmt.Fprintf(&b, "\n%s\n", l.Title)
			continue
		}
		text := padRight(l.Title, titles) + "  " + padRight(l.Unit, units)
		for i, c := range l.Cells {
			text += "  " + padLeft(c, widths[i])
		}
		b.WriteString(strings.TrimRight(text, " ") + "\n")
	}
	fmt.Fprintf(&b, "\n▲ ▼ surely more or less than %s   ~ too small to tell   = the same   ? cannot be computed   – does not apply\n", columns[0].Build)
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteComparisonCSV writes one line for each figure of each build, SI values as in JSON.
func WriteComparisonCSV(w io.Writer, columns []Column, all bool) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"id", "figure", "unit", "build", "value", "low", "high", "change", "change_low", "change_high", "state"}}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	for _, f := range together(columns, all) {
		for _, c := range columns {
			g, ok := c.figure(f.ID)
			if !ok {
				continue
			}
			row := []string{g.ID, g.Title, g.Unit.Kind.SI(), c.Build, "", "", "", "", "", "", string(g.State)}
			if g.State == figure.Ready {
				row[4], row[5], row[6] = number(g.Value), number(g.Low), number(g.High)
				if g.Change != nil {
					row[7], row[8], row[9] = number(g.Change.Value), number(g.Change.Low), number(g.Change.High)
				}
			}
			rows = append(rows, row)
		}
	}
	return out.WriteAll(rows)
}

// groupOf is the heading under which a figure stands.
func groupOf(id string) string {
	for _, g := range groupNames {
		if strings.HasPrefix(id, g.prefix+".") {
			return g.name
		}
	}
	return ""
}
