package forecast

import (
	"errors"
	"fmt"
	"strings"

	"shakedown/engine"
	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

// worksheet computes one input from readings.
type worksheet struct {
	name    string // of the group under measure
	input   string
	compute func(in *inputs) (float64, error) // [SI unit of the input]
}

// worksheets stand in the order of machine.Worksheets.
var worksheets = []worksheet{
	{"weights", "mass.dry", func(in *inputs) (float64, error) {
		return in.num("measure.weights.front") + in.num("measure.weights.rear"), nil
	}},
	{"weights", "mass.front_share", func(in *inputs) (float64, error) {
		front := in.num("measure.weights.front")
		return front / (front + in.num("measure.weights.rear")), nil
	}},
	{"raised", "mass.cg_height", func(in *inputs) (float64, error) {
		return chassis.Raised{
			Wheelbase: in.num("geometry.wheelbase"), FrontRadius: in.num("measure.raised.front_radius"), RearRadius: in.num("measure.raised.rear_radius"),
			FrontLoad: in.num("measure.weights.front") * chassis.Gravity, RearLoad: in.num("measure.weights.rear") * chassis.Gravity,
			RearRaised: in.num("measure.raised.rear") * chassis.Gravity, Lift: in.num("measure.raised.lift"),
		}.Height()
	}},
	{"twisted", "mass.yaw_inertia", func(in *inputs) (float64, error) {
		return chassis.TwoWires(in.num("mass.dry"), in.num("measure.twisted.apart"), in.num("measure.twisted.wires"), in.num("measure.twisted.period")), nil
	}},
	{"swung", "mass.pitch_inertia", func(in *inputs) (float64, error) {
		return chassis.Hung(in.num("mass.dry"), in.num("measure.swung.above"), in.num("measure.swung.period")), nil
	}},
	{"chamber", "engine.chamber.head", func(in *inputs) (float64, error) {
		// What was filled is the whole chamber: head = whole - gasket disc - deck disc + dome.
		rest := engine.Chamber{GasketBore: in.num("engine.chamber.gasket_bore"), GasketThickness: in.num("engine.chamber.gasket_thickness"), Deck: in.num("engine.chamber.deck"), Dome: in.num("engine.chamber.dome")}
		return in.num("measure.chamber.filled") - in.num("measure.chamber.plug_hole") - rest.Volume(in.num("engine.bore")), nil
	}},
	{"dome", "engine.chamber.dome", func(in *inputs) (float64, error) {
		return engine.SweptVolume(in.num("engine.bore"), in.num("measure.dome.depth"), 1) - in.num("measure.dome.filled"), nil
	}},
	{"fork", "suspension.front.spring_rate", forkRate},
	{"flywheel", "engine.flywheel_inertia", func(in *inputs) (float64, error) {
		return chassis.ThreeWires(in.num("measure.flywheel.mass"), in.num("measure.flywheel.circle"), in.num("measure.flywheel.wires"), in.num("measure.flywheel.period")), nil
	}},
	{"front_roll_out", "wheels.front.loaded_radius", frontWheel.rollOut}, {"rear_roll_out", "wheels.rear.loaded_radius", rearWheel.rollOut},
	{"front_tyre", "wheels.front.tyre_rate", frontWheel.tyreRate}, {"rear_tyre", "wheels.rear.tyre_rate", rearWheel.tyreRate},
	{"front_shoes", "brakes.front.shoe_factor", frontWheel.shoeFactor}, {"rear_shoes", "brakes.rear.shoe_factor", rearWheel.shoeFactor},
	{"front_pads", "brakes.front.pad_friction", frontWheel.padFriction}, {"rear_pads", "brakes.rear.pad_friction", rearWheel.padFriction},
	{"grip", "track.peak_grip", func(in *inputs) (float64, error) {
		return in.num("measure.grip.pull") / (in.num("measure.grip.mass") * chassis.Gravity), nil
	}},
	{"rolling", "track.rolling_resistance", func(in *inputs) (float64, error) {
		return in.num("measure.rolling.pull") / (in.num("measure.rolling.mass") * chassis.Gravity), nil
	}},
}

// forkRate is the rate of one spring from two loads and the travels they use; the air carries its part of the difference.
func forkRate(in *inputs) (float64, error) {
	f, err := fork(in)
	in.forget("suspension.front.spring_rate", "suspension.front.preload")
	if err != nil || len(in.missing) > 0 {
		return 0, err
	}
	light, heavy := in.num("measure.fork.light_travel"), in.num("measure.fork.heavy_travel")
	if heavy <= light || heavy > f.Travel {
		return 0, errors.New("the heavy reading must use more travel than the light one, and no more than there is")
	}
	f.Rate = 0
	carried := func(load, s float64) float64 { return f.SpringForceFor(load*chassis.Gravity, s) }
	return (carried(in.num("measure.fork.heavy"), heavy) - carried(in.num("measure.fork.light"), light)) / (heavy - light), nil
}

func (w wheel) rollOut(in *inputs) (float64, error) {
	turns := in.num(w.path("measure.%s_roll_out.turns"))
	return tyre.RollingRadius(in.num(w.path("measure.%s_roll_out.distance")), turns), nil
}

func (w wheel) tyreRate(in *inputs) (float64, error) {
	drop := in.num(w.path("measure.%s_tyre.light_axle")) - in.num(w.path("measure.%s_tyre.heavy_axle"))
	if drop <= 0 && len(in.missing) == 0 {
		return 0, errors.New("the axle must stand lower under the heavy load")
	}
	return (in.num(w.path("measure.%s_tyre.heavy")) - in.num(w.path("measure.%s_tyre.light"))) * chassis.Gravity / drop, nil
}

// shoeFactor and padFriction come from the pull that turns one braked wheel; with others on the same lever it is held by its share of the torque.
func (w wheel) shoeFactor(in *inputs) (float64, error) {
	drums := w.drums(in)
	in.forget(w.path("brakes.%s.shoe_factor"))
	return drums.ShoeFactorFrom(in.num(w.path("measure.%s_shoes.pull")), in.num(w.path("measure.%s_shoes.at")), in.num(w.path("measure.%s_shoes.lever")), w.brakedWheels(in)), nil
}

func (w wheel) padFriction(in *inputs) (float64, error) {
	discs := w.discs(in)
	in.forget(w.path("brakes.%s.pad_friction"))
	discs.PadFriction = 1
	return w.brakedWheels(in) * in.num(w.path("measure.%s_pads.pull")) * in.num(w.path("measure.%s_pads.at")) / discs.Torque(in.num(w.path("measure.%s_pads.lever"))), nil
}

// Mismeasured is what is wrong with a worksheet of a sheet.
type Mismeasured struct {
	Origin                 figure.Origin
	What, Expected, Remedy string
}

// FillMeasured computes the inputs that a project's worksheets give, with the half-widths that follow from those of the
// readings, and puts them in place of typical values. What is wrong with a worksheet is told; the others still count.
func FillMeasured(p *machine.Project) []Mismeasured {
	var bad []Mismeasured
	for _, w := range worksheets {
		origin, given := firstReading(p, w.name)
		if !given {
			continue
		}
		if old, ok := p.Base[w.input]; ok && old.Origin.Line > 0 {
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s gives %s, which stands in the sheet already (line %d)", w.name, w.input, old.Origin.Line), "one of the two", "take the line of " + w.input + " out, or the worksheet"})
			continue
		}
		build := p.Bare()
		e := &evaluator{build: build, delta: make([]float64, len(p.Atoms))}
		d := definition{compute: w.compute}
		s := side{build: build}
		value, missing, err := e.at(d, build, &s.trace)
		field := machine.FieldAt(w.input)
		switch {
		case len(missing) > 0:
			if n := len(bad); n > 0 && bad[n-1].Origin == origin {
				continue // said already for another input of the same worksheet
			}
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s is not complete", w.name), "also " + strings.Join(missing, ", "), "shakedown help measuring says how to take each reading"})
			continue
		case err != nil:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s: %v", w.name, err), "readings that belong together", "take the readings again; look at the units"})
			continue
		case !field.Allows(value):
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s makes %s come to %.4g (%s)", w.name, w.input, value, field.Spec.Kind.SI()), field.Allowed(), "take the readings again; look for swapped ones and wrong units"})
			continue
		}
		s.value = value
		atoms := uncertain(p, []*side{&s})
		e.slopes(d, []*side{&s}, atoms)
		origin.Part = "measure." + w.name
		put(p, w.input, value, coverage*norm(s.slope), origin)
	}
	return append(bad, fillLobes(p)...)
}

// put sets an input of the machine to a measured value with its half-width [SI unit of the input].
func put(p *machine.Project, path string, value, half float64, origin figure.Origin) {
	field := machine.FieldAt(path)
	q := quantity.Quantity{Value: value, Half: half, Kind: field.Spec.Kind, Known: quantity.Measured}
	p.Base[path] = machine.Value{Field: field, Terms: []int{p.AddAtom(machine.Atom{Path: path, Q: q, Origin: origin})}, Origin: origin}
}

// firstReading is the first line of a worksheet in the sheet.
func firstReading(p *machine.Project, name string) (first figure.Origin, given bool) {
	for path, v := range p.Base {
		if (strings.HasPrefix(path, "measure."+name+".") || strings.HasPrefix(path, "measure."+name+"[")) && (!given || v.Origin.Line < first.Line || v.Origin.Line == first.Line && v.Origin.Column < first.Column) {
			first, given = v.Origin, true
		}
	}
	return first, given
}

// fillLobes puts the smoothed readings of a lobe in place of the lobe law.
func fillLobes(p *machine.Project) []Mismeasured {
	var bad []Mismeasured
	for _, v := range []valve{intake, exhaust} {
		name := v.path("%s_lobe")
		origin, given := firstReading(p, name)
		if !given {
			continue
		}
		table := v.path("engine.cam.%s.table")
		build := p.Bare()
		if build.Len(table) > 0 {
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s gives %s, which stands in the sheet already", name, table), "one of the two", "take the table out, or the worksheet"})
			continue
		}
		in := &inputs{build: build}
		angles, r, err := v.readings(in)
		switch {
		case len(in.missing) > 0:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s has a reading without angle or lift", name), "{angle: -120, lift: 0.21 mm} in every line", "fill it in, or take the line out"})
			continue
		case err != nil:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s: %v", name, err), "readings that belong together", "take the readings again; look at the order of the lines"})
			continue
		}
		origin.Part = "measure." + name
		for i, angle := range angles {
			put(p, entry(table, i, "angle"), angle, 0, origin)
			put(p, entry(table, i, "lift"), max(0, r.Lifts[i]), 0, origin)
		}
	}
	return bad
}
