package report

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"regexp"
	"testing"
)

// The picture has the valve at the bottom and the first angle at the left: a high pressure at the valve at first is
// brown there and nowhere else, one at the far end at last is blue.
func TestWavesStandWhereTheyBelong(t *testing.T) {
	w := Waves{Title: "Pressure along a pipe", Angle: []float64{0, 360, 720}, Ambient: 1, Long: 300, Open: []float64{0, 1, 0},
		Pressure: [][]float64{{1.5, 1, 1}, {1, 1, 1}, {1, 1, 0.5}}}
	svg := w.SVG()
	whole(t, string(svg))
	data := regexp.MustCompile(`base64,([^"]+)"`).FindStringSubmatch(string(svg))
	file, err := base64.StdEncoding.DecodeString(data[1])
	if err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	b := picture.Bounds()
	for _, c := range []struct {
		x, y int
		want any
	}{{0, b.Max.Y - 1, highShade}, {0, 0, airShade}, {b.Max.X - 1, 0, lowShade}, {b.Max.X - 1, b.Max.Y - 1, airShade}, {b.Max.X / 2, 1, airShade}} {
		if got := picture.At(c.x, c.y); got != c.want {
			t.Errorf("at %d, %d it is %v, wanted %v", c.x, c.y, got, c.want)
		}
	}
	if svg := (Waves{Title: "nothing"}).SVG(); svg != "" {
		t.Error("a picture of nothing was drawn")
	}
}

// A line with gaps is drawn in pieces, and no name of a line covers another.
func TestChartWithGapsAndNames(t *testing.T) {
	nan := math.NaN()
	c := Chart{Title: "t", XLabel: "x", YLabel: "y", Lines: []ChartLine{
		{Name: "a", X: []float64{0, 1, 2, 3}, Y: []float64{1, nan, 1, 1}}, {Name: "b", X: []float64{0, 3}, Y: []float64{1, 1}}, {Name: "c", X: []float64{0, 3}, Y: []float64{0, 0.01}}, {Name: "d", X: []float64{0, 3}, Y: []float64{1, 0}},
	}}
	svg := string(c.SVG())
	whole(t, svg)
	if regexp.MustCompile(`NaN|Inf`).MatchString(svg) {
		t.Error("a gap is drawn")
	}
	var heights []float64
	for _, y := range regexp.MustCompile(`<text x="[\d.]+" y="([\d.]+)" class="l`).FindAllStringSubmatch(svg, -1) {
		var v float64
		if err := xml.Unmarshal([]byte("<y>"+y[1]+"</y>"), &v); err != nil {
			t.Fatal(err)
		}
		for _, other := range heights {
			if math.Abs(v-other) < 12.9 {
				t.Errorf("names stand at %g and %g", v, other)
			}
		}
		heights = append(heights, v)
	}
	if len(heights) != 4 {
		t.Errorf("%d of 4 lines are named", len(heights))
	}
}

// whole says that text is well-formed XML.
func whole(t *testing.T, text string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader([]byte(text)))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
