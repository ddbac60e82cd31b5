package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"shakedown/quantity"
)

// ChartLine is a curve in a chart.
type ChartLine struct {
	Name      string
	X, Y      []float64 // [-] in the units of the axes; where y is not a number the line is broken
	Low, High []float64 // [-] range; nil for none
	Closed    bool      // a loop: its name stands where it is farthest right
}

// Chart is lines over one axis.
type Chart struct {
	Title, XLabel, YLabel string
	Lines                 []ChartLine
	XStep                 float64 // [-] between the marks of the axis; 0 for one that fits
	Mark                  float64 // [-] a line across at this x, with MarkText; 0 for none
	MarkText              string
}

// SVG draws the chart, 520 wide: thin grid, values at the axes, names at the lines' ends.
func (c Chart) SVG() template.HTML {
	const left, right, top, bottom, wide, high = 46.0, 428.0, 18.0, 216.0, 520.0, 252.0
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), 0.0, math.Inf(-1)
	for _, l := range c.Lines {
		for i := range l.X {
			if math.IsNaN(l.Y[i]) {
				continue
			}
			x0, x1 = math.Min(x0, l.X[i]), math.Max(x1, l.X[i])
			y0, y1 = math.Min(y0, l.Y[i]), math.Max(y1, l.Y[i])
			if len(l.High) == len(l.X) {
				y1 = math.Max(y1, l.High[i])
			}
		}
	}
	if !(x1 > x0) || !(y1 > y0) {
		return ""
	}
	step, xstep := tidy((y1-y0)/5), tidy((x1-x0)/7)
	if c.XStep > 0 {
		xstep = c.XStep
	}
	y0, y1 = step*math.Floor(y0/step), step*math.Ceil(y1/step)
	px := func(x float64) float64 { return left + (x-x0)/(x1-x0)*(right-left) }
	py := func(y float64) float64 { return bottom - (y-y0)/(y1-y0)*(bottom-top) }
	var b strings.Builder
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s" class="chart">`, wide, high, template.HTMLEscapeString(c.Title))
	for y := y0; y <= y1+step/2; y += step {
		fmt.Fprintf(&b, `<line x1="%g" x2="%g" y1="%.1f" y2="%.1f" class="grid"/><text x="%g" y="%.1f" text-anchor="end">%s</text>`, left, right, py(y), py(y), left-6, py(y)+4, quantity.Number(y, places(step)))
	}
	for x := xstep * math.Ceil(x0/xstep); x <= x1+1e-9; x += xstep {
		fmt.Fprintf(&b, `<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" class="axis"/><text x="%.1f" y="%g" text-anchor="middle">%s</text>`, px(x), px(x), bottom, bottom+5, px(x), bottom+18, quantity.Number(x, places(xstep)))
	}
	fmt.Fprintf(&b, `<line x1="%g" x2="%g" y1="%g" y2="%g" class="axis"/><text x="%g" y="11">%s</text><text x="%g" y="%g" text-anchor="end">%s</text>`, left, right, bottom, bottom, left, template.HTMLEscapeString(c.YLabel), right, high-5, template.HTMLEscapeString(c.XLabel))
	if c.MarkText != "" && c.Mark > x0 && c.Mark < x1 {
		fmt.Fprintf(&b, `<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" class="mark"/><text x="%.1f" y="%g" text-anchor="end">%s</text>`, px(c.Mark), px(c.Mark), top, bottom, px(c.Mark)-4, top+9, template.HTMLEscapeString(c.MarkText))
	}
	var taken []float64 // heights that have a line's name
	for i, l := range c.Lines {
		class := fmt.Sprintf("s%d", len(c.Lines)-i)
		if len(l.High) == len(l.X) && len(l.X) > 0 {
			b.WriteString(`<polygon class="span" points="`)
			for k := range l.X {
				fmt.Fprintf(&b, "%.1f,%.1f ", px(l.X[k]), py(l.High[k]))
			}
			for k := len(l.X) - 1; k >= 0; k-- {
				fmt.Fprintf(&b, "%.1f,%.1f ", px(l.X[k]), py(l.Low[k]))
			}
			b.WriteString(`"/>`)
		}
		b.WriteString(`<polyline class="` + class + `" points="`)
		named := len(l.X) - 1
		for k := range l.X {
			if math.IsNaN(l.Y[k]) {
				if k > 0 && !math.IsNaN(l.Y[k-1]) {
					b.WriteString(`"/><polyline class="` + class + `" points="`)
				}
				continue
			}
			fmt.Fprintf(&b, "%.1f,%.1f ", px(l.X[k]), py(l.Y[k]))
			if l.Closed && l.X[k] > l.X[named] {
				named = k
			}
		}
		b.WriteString(`"/>`)
		if len(l.X) > 0 && !math.IsNaN(l.Y[named]) {
			y := free(py(l.Y[named])+4, bottom-2, taken)
			taken = append(taken, y)
			at := px(l.X[named])
			if l.Closed { // beyond the other loops too
				at = right
			}
			fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" class="l%d">%s</text>`, at+8, y, len(c.Lines)-i, template.HTMLEscapeString(l.Name))
		}
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // numbers, and text that was escaped
}

// free is the height nearest to one wanted, not below a lowest, at which a name runs into none that is there.
func free(wanted, lowest float64, taken []float64) float64 {
	const line = 13.0
	for n := range 4 * (len(taken) + 1) {
		for _, y := range []float64{wanted + float64(n)*line/2, wanted - float64(n)*line/2} {
			fits := y <= lowest
			for _, t := range taken {
				fits = fits && math.Abs(y-t) >= line-1e-9
			}
			if fits {
				return y
			}
		}
	}
	return wanted
}

// tidy is the step of 1, 2 or 5 times a power of ten next above.
func tidy(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5} {
		if k*p >= v*0.999 {
			return k * p
		}
	}
	return 10 * p
}

// places are the decimals that numbers at such steps want.
func places(step float64) int { return max(0, int(math.Ceil(-math.Log10(step)-1e-9))) }
