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
