package machine

import (
	"slices"
	"strings"
)

// only lists the inputs that some layouts do not have, by the beginning of their paths.
var only = []struct {
	prefix  string
	layouts []string
}{
	{"geometry.track_front", []string{"quad"}},
	{"geometry.track_rear", []string{"three-wheeler", "quad"}},
	{"wheels.axle.", []string{"three-wheeler", "quad"}},
	{"wheels.rear.beadlock", []string{"three-wheeler", "quad"}},
	{"wheels.rear.offset", []string{"three-wheeler", "quad"}},
	{"class_rules.max_width", []string{"three-wheeler", "quad"}},
	{"rider.hangs_off", []string{"three-wheeler", "quad"}},
}

// Fits says whether machines of a layout have the input at all.
func Fits(layout, path string) bool {
	for _, o := range only {
		if strings.HasPrefix(path, o.prefix) {
			return slices.Contains(o.layouts, layout)
		}
	}
	return true
}

// TwoStroke is the word of the sheet for that cycle.
const TwoStroke = "two-stroke"

// TwoStroke says that a build's engine is a two-stroke.
func (b *Build) TwoStroke() bool { return b.Text("engine.cycle") == TwoStroke }

// layoutWords are what people call a layout.
var layoutWords = map[string]string{
	"trike": "three-wheeler", "3-wheeler": "three-wheeler", "three wheeler": "three-wheeler", "3 wheeler": "three-wheeler", "atc": "three-wheeler", "tricycle": "three-wheeler",
	"atv": "quad", "four-wheeler": "quad", "4-wheeler": "quad", "four wheeler": "quad", "4 wheeler": "quad", "quad bike": "quad", "quadbike": "quad",
	"motorcycle": "bike", "motorbike": "bike", "dirt bike": "bike", "dirtbike": "bike", "two-wheeler": "bike", "mx bike": "bike", "enduro": "bike",
}

// Meant is the layout that somebody most likely meant by a word; "" where it says none.
func Meant(word string) string { return layoutWords[strings.ToLower(strings.TrimSpace(word))] }
