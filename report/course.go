package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"
)

// CourseLimit is something that limits a machine on a course: its name, and what it comes from, which the map and the
// table of the sections tell apart by the line.
type CourseLimit struct {
	Name string
	Kind uint8 // 0 to 4
}

// Class is the style of the line: colour and dash.
func (l CourseLimit) Class() string { return fmt.Sprintf("k%d", l.Kind+1) }

// CoursePlace is where a step of a course begins, and what limits the machine in it.
type CoursePlace struct {
	X, Y    float64 // [m]
	Section int
	Limit   CourseLimit
}

// CourseMap is a course from above, drawn by what limits.
type CourseMap struct {
	Title  string
	Limits []CourseLimit // of the places, those of one kind side by side
	Places []CoursePlace // the last is the end
}

// SVG draws the map, 520 wide, with its key.
func (m CourseMap) SVG() template.HTML {
	const wide, highest, edge = 520.0, 330.0, 26.0
	if len(m.Places) < 2 {
		return ""
	}
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range m.Places {
		x0, x1, y0, y1 = math.Min(x0, p.X), math.Max(x1, p.X), math.Min(y0, p.Y), math.Max(y1, p.Y)
	}
	scale := math.Min((wide-2*edge)/math.Max(1, x1-x0), (highest-2*edge)/math.Max(1, y1-y0))
	high, left := (y1-y0)*scale+2*edge, (wide-(x1-x0)*scale)/2
	at := func(p CoursePlace) (float64, float64) { return left + (p.X-x0)*scale, high - edge - (p.Y-y0)*scale }
	var b strings.Builder
	foot := m.key(&strings.Builder{}, high+12, wide) + 12
	fmt.Fprintf(&b, `<svg class="chart course" viewBox="0 0 %g %.0f" role="img" aria-label="%s"><title>%s</title>`, wide, foot, template.HTMLEscapeString(m.Title), template.HTMLEscapeString(m.Title))
	for i := 0; i < len(m.Places)-1; {
		kind := m.Places[i].Limit.Kind
		var points []string
		j := i
		for ; j < len(m.Places)-1 && m.Places[j].Limit.Kind == kind; j++ {
			x, y := at(m.Places[j])
			points = append(points, fmt.Sprintf("%.1f,%.1f", x, y))
		}
		x, y := at(m.Places[j])
		fmt.Fprintf(&b, `<polyline class="%s" points="%s %.1f,%.1f"/>`, m.Places[i].Limit.Class(), strings.Join(points, " "), x, y)
		i = j
	}
	last := -1
	for _, p := range m.Places[:len(m.Places)-1] {
		if p.Section == last {
			continue
		}
		last = p.Section
		x, y := at(p)
		fmt.Fprintf(&b, `<circle class="dot" cx="%.1f" cy="%.1f" r="2.4"/><text x="%.1f" y="%.1f">%d</text>`, x, y, x+5, y-5, p.Section+1)
	}
	m.key(&b, high+12, wide)
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // #nosec: every text in it is escaped or a number
}

// keyRow is the height of a line of the map's key [px].
const keyRow = 17.0

// keys are the map's key: what limits on this course, in the words that the sections are told in, by kind.
func (m CourseMap) keys() (classes, words []string) {
	for i, l := range m.Limits {
		if i > 0 && m.Limits[i-1].Kind == l.Kind {
			words[len(words)-1] += ", " + l.Name
			continue
		}
		classes, words = append(classes, l.Class()), append(words, l.Name)
	}
	return classes, words
}

// key writes the key from a height [px] on, and gives the height of its last line.
func (m CourseMap) key(b *strings.Builder, y, wide float64) float64 {
	const left = 26.0
	x := left
	classes, words := m.keys()
	for i, class := range classes {
		room := 40 + 6.2*float64(len(words[i]))
		if x > left && x+room > wide {
			x, y = left, y+keyRow
		}
		fmt.Fprintf(b, `<line class="%s" x1="%g" x2="%g" y1="%.1f" y2="%.1f"/><text x="%g" y="%.1f">%s</text>`, class, x, x+22, y, y, x+26, y+4, template.HTMLEscapeString(words[i]))
		x += room
	}
	return y
}

// Gain is a bar of a chart of gains: a value with its range.
type Gain struct {
	Name             string
	Value, Low, High float64 // [s]
	Sure             bool    // it is not nothing
}

// Gains is a chart of values with their ranges, one line each.
type Gains struct {
	Title, Label string
	List         []Gain
}

// SVG draws the chart, 520 wide: a line for each range, a dot at the value, filled where it is surely not nothing.
func (g Gains) SVG() template.HTML {
	const wide, left, right, row, top = 520.0, 150.0, 505.0, 20.0, 16.0
	if len(g.List) == 0 {
		return ""
	}
	low, high := 0.0, 0.0
	for _, v := range g.List {
		low, high = math.Min(low, v.Low), math.Max(high, v.High)
	}
	span := math.Max(1e-9, high-low)
	at := func(v float64) float64 { return left + (v-low)/span*(right-left) }
	bottom := top + row*float64(len(g.List))
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="chart" viewBox="0 0 %g %g" role="img" aria-label="%s"><title>%s</title><line class="axis" x1="%.1f" x2="%.1f" y1="%g" y2="%g"/>`, wide, bottom+34, template.HTMLEscapeString(g.Title), template.HTMLEscapeString(g.Title), at(0), at(0), top-6, bottom+4)
	step := tidy(span / 6)
	for v := math.Ceil(low/step) * step; v <= high+1e-9; v += step {
		fmt.Fprintf(&b, `<line class="grid" x1="%.1f" x2="%.1f" y1="%g" y2="%g"/><text x="%.1f" y="%g" text-anchor="middle">%.4g</text>`, at(v), at(v), top-6, bottom+4, at(v), bottom+18, v+0)
	}
	for i, v := range g.List {
		y := top + row*(float64(i)+0.5)
		class := "unsure"
		if v.Sure {
			class = "sure"
		}
		fmt.Fprintf(&b, `<text x="%g" y="%.1f" text-anchor="end">%s</text><line class="reach" x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f"/><circle class="%s" cx="%.1f" cy="%.1f" r="4"/>`, left-8, y+4, template.HTMLEscapeString(v.Name), at(v.Low), at(v.High), y, y, class, at(v.Value), y)
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="end">%s</text></svg>`, right, bottom+32, template.HTMLEscapeString(g.Label))
	return template.HTML(b.String()) // #nosec: every text in it is escaped or a number
}
