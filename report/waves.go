package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"

	"shakedown/quantity"
)

// Waves is the pressure along a pipe through a cycle: crank angle across, distance from the valve upwards.
type Waves struct {
	Title    string
	Angle    []float64   // [deg]
	Pressure [][]float64 // [bar] for each angle along the pipe, from the valve
	Ambient  float64     // [bar]
	Long     float64     // [mm]
	Open     []float64   // [-] above 0 while the valve is open
	System   quantity.System
}

// lowShade, airShade and highShade are the colours of the lowest pressure, that of the air and the highest: told apart
// with any eyesight.
var lowShade, airShade, highShade = color.RGBA{0, 86, 160, 255}, color.RGBA{250, 247, 240, 255}, color.RGBA{176, 70, 0, 255}

func blend(a, b color.RGBA, share float64) color.RGBA {
	mix := func(x, y uint8) uint8 { return uint8(math.Round(float64(x) + share*(float64(y)-float64(x)))) }
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

// shade is the colour of a pressure some way from the air's, as a share of the greatest.
func shade(share float64) color.RGBA {
	if share < 0 {
		return blend(airShade, lowShade, math.Min(1, -share))
	}
	return blend(airShade, highShade, math.Min(1, share))
}

// SVG draws the picture, 520 wide; "" when there is nothing to draw.
func (w Waves) SVG() template.HTML {
	if len(w.Angle) < 2 || len(w.Pressure) != len(w.Angle) || len(w.Pressure[0]) == 0 {
		return ""
	}
	most := 0.0
	for _, row := range w.Pressure {
		for _, p := range row {
			most = math.Max(most, math.Abs(p-w.Ambient))
		}
	}
	most = math.Max(0.01, most)
	const across = 480
	cells := len(w.Pressure[0])
	picture := image.NewRGBA(image.Rect(0, 0, across, cells))
	end := w.Angle[len(w.Angle)-1]
	at := 0
	for x := range across {
		a := (float64(x) + 0.5) / across * end
		for at+1 < len(w.Angle) && math.Abs(w.Angle[at+1]-a) <= math.Abs(w.Angle[at]-a) {
			at++
		}
		for k, p := range w.Pressure[at] {
			picture.SetRGBA(x, cells-1-k, shade((p-w.Ambient)/most))
		}
	}
	var file bytes.Buffer
	if err := png.Encode(&file, picture); err != nil { // a picture in memory of at least one cell can be written
		return ""
	}
	const left, right, top, bottom, wide, high = 46.0, 428.0, 18.0, 188.0, 520.0, 236.0
	px := func(a float64) float64 { return left + a/end*(right-left) }
	var b strings.Builder
	text := func(x, y float64, anchor, words string) {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`, x, y, anchor, template.HTMLEscapeString(words))
	}
	fmt.Fprintf(&b, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s" class="chart">`, wide, high, template.HTMLEscapeString(w.Title))
	fmt.Fprintf(&b, `<image x="%g" y="%g" width="%g" height="%g" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`, left, top, right-left, bottom-top, base64.StdEncoding.EncodeToString(file.Bytes()))
	unit := quantity.MustUnit("mm").In(w.System)
	text(left, 11, "start", "distance from the valve, "+unit.Label())
	for _, share := range []float64{0, 0.5, 1} {
		y := bottom - share*(bottom-top)
		fmt.Fprintf(&b, `<line x1="%g" x2="%g" y1="%.1f" y2="%.1f" class="axis"/>`, left-4, left, y, y)
		text(left-6, y+4, "end", quantity.Number(unit.FromSI(quantity.MustUnit("mm").ToSI(share*w.Long)), map[bool]int{true: 1, false: 0}[w.System == quantity.US]))
	}
	// The valve's open time is a thick line where the valve is.
	from := -1
	for i := range w.Open {
		open := w.Open[i] > 0
		if open && from < 0 {
			from = i
		}
		if from >= 0 && (!open || i == len(w.Open)-1) {
			fmt.Fprintf(&b, `<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" class="open"/>`, px(w.Angle[from]), px(w.Angle[i]), bottom+3, bottom+3)
			from = -1
		}
	}
	for a := 0.0; a <= end+1; a += 90 {
		fmt.Fprintf(&b, `<line x1="%.1f" x2="%.1f" y1="%g" y2="%g" class="axis"/>`, px(a), px(a), bottom+6, bottom+10)
		text(px(a), bottom+22, "middle", quantity.Number(a, 0))
	}
	text(right, high-8, "end", "degrees after top dead centre of the overlap; thick: the valve is open")
	const steps = 40
	for i := range steps {
		c := shade(1 - 2*(float64(i)+0.5)/steps)
		fmt.Fprintf(&b, `<rect x="%g" y="%.2f" width="12" height="%.2f" fill="#%02x%02x%02x"/>`, right+14, top+float64(i)*(bottom-top)/steps, (bottom-top)/steps+0.3, c.R, c.G, c.B)
	}
	for _, share := range []float64{1, 0, -1} {
		text(right+30, top+(1-share)/2*(bottom-top)+4, "start", quantity.Number(w.Ambient+share*most, 2)+map[bool]string{true: " bar", false: ""}[share == 1])
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // numbers, and text that was escaped
}
