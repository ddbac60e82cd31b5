package running

import (
	"cmp"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

const tyreTheory = "docs/theory/tyre.md#"

// Wheel names the inputs of one end of the machine.
type Wheel string

// The ends.
const (
	FrontWheel Wheel = "front"
	RearWheel  Wheel = "rear"
)

// Path fills the end into an input path with one %s.
func (w Wheel) Path(format string) string { return ranges.Filled(format, string(w)) }

var tyreFigures = []ranges.Definition{
	FrontWheel.diameter(), RearWheel.diameter(),
	FrontWheel.rim("narrowest", func(low, _ float64) float64 { return low }), FrontWheel.rim("widest", func(_, high float64) float64 { return high }),
	RearWheel.rim("narrowest", func(low, _ float64) float64 { return low }), RearWheel.rim("widest", func(_, high float64) float64 { return high }),
	FrontWheel.clearanceLeft(), RearWheel.clearanceLeft(), FrontWheel.squash(), RearWheel.squash(), FrontWheel.give(), RearWheel.give(), FrontWheel.loadShare(), RearWheel.loadShare(),
	{ID: "chassis.width_over_tyres", Only: notBike, Detail: true, Title: "Width over the tyres", Unit: "mm", Formula: "track + width of the tyre by its designation, the wider end", Source: "definition; real tyres are within 3 % of their designation", Theory: tyreTheory + "size-designation", Model: byDesignation,
		Compute: func(in *ranges.Inputs) (float64, error) {
			size, err := TyreSize(in, RearWheel)
			width := in.Num("geometry.track_rear") + size.Width
			if LayoutIn(in) == Quad && err == nil {
				size, err = TyreSize(in, FrontWheel)
				width = max(width, in.Num("geometry.track_front")+size.Width)
			}
			return width, err
		}},
}

func (w Wheel) diameter() ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.diameter"), Title: w.Path("Outside diameter of the %s tyre"), Unit: "mm", Formula: "from the designation", Source: "ETRTO and TRA size designations", Theory: tyreTheory + "size-designation", Model: byDesignation,
		Compute: func(in *ranges.Inputs) (float64, error) {
			size, err := TyreSize(in, w)
			return size.Outside, err
		}}
}

// rim is one end of the range of rim widths that the tyre is usually fitted to.
func (w Wheel) rim(end string, pick func(low, high float64) float64) ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.rim_") + end, Detail: true, Title: w.Path("Rim for the %s tyre, ") + end, Unit: "in", Formula: "share of the tyre's width, rounded to half an inch", Source: "measuring rims of ETRTO and TRA; common practice", Theory: tyreTheory + "rim-width", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			size, err := TyreSize(in, w)
			return pick(tyre.RimRange(size)), err
		}}
}

// squash is how far a tyre gives under its share of machine, rider and fuel.
func (w Wheel) squash() ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.squash"), Only: ranges.Given(w.Path("wheels.%s.tyre_rate")), Title: w.Path("How far a %s tyre gives under machine and rider"), Unit: "mm", Formula: "load on the wheel / rate of the tyre", Source: "linear spring about the readings", Theory: tyreTheory + "tyre-rate", Model: springsOnly,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return w.WheelLoad(in) * chassis.Gravity / in.Num(w.Path("wheels.%s.tyre_rate")), nil
		}}
}

// WheelLoad is what one wheel of an end carries [kg], rider and fuel aboard.
func (w Wheel) WheelLoad(in *ranges.Inputs) float64 {
	b := Laden(in)
	front, rear := chassis.AxleLoads(b.Mass, b.X, Wheelbase(in))
	load, wheels := front, 1.0
	if w == RearWheel {
		load = rear
	}
	if layout := LayoutIn(in); layout == Quad || layout == threeWheeler && w == RearWheel {
		wheels = 2
	}
	return load / wheels / chassis.Gravity
}

// loadShare is what a wheel carries over what its tyre may.
func (w Wheel) loadShare() ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.load_share"), Only: ranges.Given(w.Path("wheels.%s.load_index")), Detail: true, Title: w.Path("Load on a %s wheel over what its tyre may carry"), Unit: "1", Formula: "load on the wheel / 45 x 10^(index/80) kg", Source: "ETRTO load index; R80 series", Theory: tyreTheory + "load-index", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return w.WheelLoad(in) / tyre.LoadOf(in.Num(w.Path("wheels.%s.load_index"))), nil
		}}
}

// clearanceLeft is what is left between the tyre and the nearest fixed part. The sheet's clearance was measured with
// the tyre that the machine had when it was measured; a part that gives a clearance gives it with its own tyre.
func (w Wheel) clearanceLeft() ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.clearance_left"), Detail: true, Title: w.Path("Left around the %s tyre at full bump"), Unit: "mm", Formula: "clearance measured - half of what the tyre grows", Source: torque.DefinitionOnly, Theory: tyreTheory + "clearance", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			path := w.Path("wheels.%s.clearance")
			left := in.Num(path)
			now, err := TyreSize(in, w)
			if err != nil || in.Build.Values[path].Origin.Part != "" {
				return left, err
			}
			before, err := tyre.ParseSize(in.Build.Project.Base[w.Path("wheels.%s.tyre")].Text)
			return left - (now.Outside-before.Outside)/2, err
		}}
}

// TyreSize is the size of the tyre of an end by its designation; zero where it is not given.
func TyreSize(in *ranges.Inputs, w Wheel) (tyre.Size, error) {
	text := in.Text(w.Path("wheels.%s.tyre"))
	if text == "" {
		return tyre.Size{}, nil
	}
	return tyre.ParseSize(text)
}

// LoadedRadius is the given loaded radius, or the share of half the outside diameter. One that was measured on the tyre
// that the machine had, when a part brings another tyre and no radius of its own, is as large a share of the new one's
// outside.
func LoadedRadius(in *ranges.Inputs, w Wheel) (float64, error) {
	size, err := tyre.Size{}, error(nil)
	path, sizeAt := w.Path("wheels.%s.loaded_radius"), w.Path("wheels.%s.tyre")
	if in.Has(path) {
		radius := in.Num(path)
		before := in.Build.Project.Base[sizeAt].Text
		if in.Build.Values[sizeAt].Text == before || in.Build.Changed(path) {
			return radius, nil
		}
		size, err = TyreSize(in, w)
		was, wasErr := tyre.ParseSize(before)
		if err = cmp.Or(err, wasErr); err != nil {
			return radius, err
		}
		return radius * size.Outside / was.Outside, nil
	}
	size, err = TyreSize(in, w)
	return in.Num("wheels.loaded_radius_share") * size.Outside / 2, err
}

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	byDesignation = ranges.ModelError{Share: 0.03, Private: 0.01, Note: "real tyres are within 3 % of the size moulded on them"}
)

// Count is how many wheels an end has.
func (w Wheel) Count(in *ranges.Inputs) float64 {
	if l := LayoutIn(in); l == Quad || l == threeWheeler && w == RearWheel {
		return 2
	}
	return 1
}
