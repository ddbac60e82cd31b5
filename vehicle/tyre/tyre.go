// Package tyre reads the sizes moulded on tyres: outside diameter, width, rim, and the rims a tyre is usually fitted
// to.
//
// A designation goes in; lengths in metres come out. Real tyres are within about 3 % of their designation. Grip and
// rolling resistance are not known here yet.
package tyre

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

const inch = 0.0254

// Size is what a designation says.
type Size struct {
	Outside float64 // [m] outside diameter, new, unloaded
	Width   float64 // [m] section width
	Rim     float64 // [m] rim diameter
	inches  bool    // an ATV size: outside x width - rim in inches
}

// ParseSize reads a designation: ATV sizes in inches ("22x11-9", "AT23.5x8-11", "22x11.00-9"), metric motorcycle sizes
// ("80/100-21") and old inch sizes ("3.00-21"; low sections such as "5.10-18" are taken with 85 % of the width as their
// height). The error says which forms are read. Source: ETRTO and TRA designations; old low sections from memory.
func ParseSize(text string) (Size, error) {
	wrong := fmt.Errorf("%q is no tyre size; sizes are read as 22x11-9 (outside x width - rim, inches), 80/100-21 (width/height-rim) or 3.00-21 (width-rim, inches)", text)
	body := strings.TrimPrefix(strings.ToUpper(strings.ReplaceAll(text, " ", "")), "AT")
	front, rimText, ok := strings.Cut(body, "-")
	rim, err := strconv.ParseFloat(rimText, 64)
	if !ok || err != nil || rim < 4 || rim > 30 {
		return Size{}, wrong
	}
	rim *= inch
	var s Size
	if first, second, ok := strings.Cut(front, "X"); ok {
		outside, width, good := pair(first, second)
		s = Size{Outside: outside * inch, Width: width * inch, Rim: rim, inches: true}
		ok = good
		if !ok || s.Outside <= rim || s.Outside > 2 || s.Width <= 0 || s.Width > 1 {
			return Size{}, wrong
		}
		return s, nil
	}
	if first, second, ok := strings.Cut(front, "/"); ok {
		width, aspect, good := pair(first, second)
		if !good || width < 20 || width > 400 || aspect < 20 || aspect > 120 {
			return Size{}, wrong
		}
		return Size{Outside: rim + 2*width/1000*aspect/100, Width: width / 1000, Rim: rim}, nil
	}
	width, err := strconv.ParseFloat(front, 64)
	if err != nil || width < 1.5 || width > 8 {
		return Size{}, wrong
	}
	return Size{Outside: rim + 2*width*inch*oldAspect(width), Width: width * inch, Rim: rim}, nil
}

func pair(first, second string) (a, b float64, ok bool) {
	a, err1 := strconv.ParseFloat(first, 64)
	b, err2 := strconv.ParseFloat(second, 64)
	return a, b, err1 == nil && err2 == nil && !math.IsNaN(a) && !math.IsNaN(b)
}

// oldAspect is the height over the width of an old inch size: normal sections end in quarters of an inch, low ones in
// tenths.
func oldAspect(width float64) float64 {
	if quarters := width * 4; math.Abs(quarters-math.Round(quarters)) < 1e-9 {
		return 1
	}
	return 0.85
}

// RimRange is the narrowest and widest rim a tyre is usually fitted to [m]: 0.72 to 0.81 of the width for ATV sizes,
// 0.45 to 0.60 for motorcycle sizes, rounded to half and quarter inches. The tyre maker's word goes before it.
// Source: measuring rims of ETRTO and TRA as the trade quotes them (width 7 on 5 to 5.5 in, 11 on 8 to 9 in); common
// practice.
func RimRange(s Size) (low, high float64) {
	from, to, step := 0.45, 0.60, inch/4
	if s.inches {
		from, to, step = 0.72, 0.81, inch/2
	}
	return math.Round(from*s.Width/step) * step, math.Round(to*s.Width/step) * step
}

// RollingRadius is the radius [m] of a wheel that runs a distance [m] in so many turns. Source: definition.
func RollingRadius(distance, turns float64) float64 { return distance / (2 * math.Pi * turns) }

// LoadOf is the load that a load index stands for [kg], within 2 % of the printed table: 45 x 10^(index/80).
// Source: the preferred numbers R80 on which the table of ETRTO rests.
func LoadOf(index float64) float64 { return 45 * math.Pow(10, index/80) }
