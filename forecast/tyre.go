package forecast

import (
	"cmp"
	"strings"

	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

const tyreTheory = "docs/theory/tyre.md#"

// wheel names the inputs of one end of the machine.
type wheel string

const (
	frontWheel wheel = "front"
	rearWheel  wheel = "rear"
)

// path fills the end into an input path with one %s.
func (w wheel) path(format string) string { return filled(format, string(w)) }

// filled puts a word in place of the %s of a format; half the cost of strings.Replace, which ranges call often.
func filled(format, word string) string {
	before, after, _ := strings.Cut(format, "%s")
	return before + word + after
}

var tyreFigures = []definition{
	frontWheel.diameter(), rearWheel.diameter(),
	frontWheel.rim("narrowest", func(low, _ float64) float64 { return low }), frontWheel.rim("widest", func(_, high float64) float64 { return high }),
	rearWheel.rim("narrowest", func(low, _ float64) float64 { return low }), rearWheel.rim("widest", func(_, high float64) float64 { return high }),
	frontWheel.clearanceLeft(), rearWheel.clearanceLeft(), frontWheel.squash(), rearWheel.squash(), frontWheel.loadShare(), rearWheel.loadShare(),
	{id: "chassis.width_over_tyres", only: notBike, detail: true, title: "Width over the tyres", unit: "mm", formula: "track + width of the tyre by its designation, the wider end", source: "definition; real tyres are within 3 % of their designation", theory: tyreTheory + "size-designation", model: byDesignation,
		compute: func(in *inputs) (float64, error) {
			size, err := tyreSize(in, rearWheel)
			width := in.num("geometry.track_rear") + size.Width
			if layoutIn(in) == quad && err == nil {
				size, err = tyreSize(in, frontWheel)
				width = max(width, in.num("geometry.track_front")+size.Width)
			}
			return width, err
		}},
}

func (w wheel) diameter() definition {
	return definition{id: w.path("tyres.%s.diameter"), title: w.path("Outside diameter of the %s tyre"), unit: "mm", formula: "from the designation", source: "ETRTO and TRA size designations", theory: tyreTheory + "size-designation", model: byDesignation,
		compute: func(in *inputs) (float64, error) {
			size, err := tyreSize(in, w)
			return size.Outside, err
		}}
}

// rim is one end of the range of rim widths that the tyre is usually fitted to.
func (w wheel) rim(end string, pick func(low, high float64) float64) definition {
	return definition{id: w.path("tyres.%s.rim_") + end, detail: true, title: w.path("Rim for the %s tyre, ") + end, unit: "in", formula: "share of the tyre's width, rounded to half an inch", source: "measuring rims of ETRTO and TRA; common practice", theory: tyreTheory + "rim-width", model: definitional,
		compute: func(in *inputs) (float64, error) {
			size, err := tyreSize(in, w)
			return pick(tyre.RimRange(size)), err
		}}
}

// squash is how far a tyre gives under its share of machine, rider and fuel.
func (w wheel) squash() definition {
	return definition{id: w.path("tyres.%s.squash"), only: given(w.path("wheels.%s.tyre_rate")), title: w.path("How far a %s tyre gives under machine and rider"), unit: "mm", formula: "load on the wheel / rate of the tyre", source: "linear spring about the readings", theory: tyreTheory + "tyre-rate", model: springsOnly,
		compute: func(in *inputs) (float64, error) {
			return w.wheelLoad(in) * chassis.Gravity / in.num(w.path("wheels.%s.tyre_rate")), nil
		}}
}

// wheelLoad is what one wheel of an end carries [kg], rider and fuel aboard.
func (w wheel) wheelLoad(in *inputs) float64 {
	b := laden(in)
	front, rear := chassis.AxleLoads(b.Mass, b.X, wheelbase(in))
	load, wheels := front, 1.0
	if w == rearWheel {
		load = rear
	}
	if layout := layoutIn(in); layout == quad || layout == threeWheeler && w == rearWheel {
		wheels = 2
	}
	return load / wheels / chassis.Gravity
}

// loadShare is what a wheel carries over what its tyre may.
func (w wheel) loadShare() definition {
	return definition{id: w.path("tyres.%s.load_share"), only: given(w.path("wheels.%s.load_index")), detail: true, title: w.path("Load on a %s wheel over what its tyre may carry"), unit: "1", formula: "load on the wheel / 45 x 10^(index/80) kg", source: "ETRTO load index; R80 series", theory: tyreTheory + "load-index", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return w.wheelLoad(in) / tyre.LoadOf(in.num(w.path("wheels.%s.load_index"))), nil
		}}
}

// clearanceLeft is what is left between the tyre and the nearest fixed part. The sheet's clearance was measured with
// the tyre that the machine had when it was measured; a part that gives a clearance gives it with its own tyre.
func (w wheel) clearanceLeft() definition {
	return definition{id: w.path("tyres.%s.clearance_left"), detail: true, title: w.path("Left around the %s tyre at full bump"), unit: "mm", formula: "clearance measured - half of what the tyre grows", source: definitionOnly, theory: tyreTheory + "clearance", model: definitional,
		compute: func(in *inputs) (float64, error) {
			path := w.path("wheels.%s.clearance")
			left := in.num(path)
			now, err := tyreSize(in, w)
			if err != nil || in.build.Values[path].Origin.Part != "" {
				return left, err
			}
			before, err := tyre.ParseSize(in.build.Project.Base[w.path("wheels.%s.tyre")].Text)
			return left - (now.Outside-before.Outside)/2, err
		}}
}

func tyreSize(in *inputs, w wheel) (tyre.Size, error) {
	text := in.text(w.path("wheels.%s.tyre"))
	if text == "" {
		return tyre.Size{}, nil
	}
	return tyre.ParseSize(text)
}

// loadedRadius is the given loaded radius, or the share of half the outside diameter. One that was measured on the tyre that the machine had, when a part brings another
// tyre and no radius of its own, is as large a share of the new one's outside.
func loadedRadius(in *inputs, w wheel) (float64, error) {
	size, err := tyre.Size{}, error(nil)
	path, sizeAt := w.path("wheels.%s.loaded_radius"), w.path("wheels.%s.tyre")
	if in.has(path) {
		radius := in.num(path)
		before := in.build.Project.Base[sizeAt].Text
		if in.build.Values[sizeAt].Text == before || in.reset(path) {
			return radius, nil
		}
		size, err = tyreSize(in, w)
		was, wasErr := tyre.ParseSize(before)
		if err = cmp.Or(err, wasErr); err != nil {
			return radius, err
		}
		return radius * size.Outside / was.Outside, nil
	}
	size, err = tyreSize(in, w)
	return in.num("wheels.loaded_radius_share") * size.Outside / 2, err
}
