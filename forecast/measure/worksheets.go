package measure

import (
	"errors"
	"fmt"
	"strings"

	"shakedown/engine"
	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/tyre"
)

// worksheet computes one input from readings.
type worksheet struct {
	name    string // of the group under measure
	input   string
	compute func(in *ranges.Inputs) (float64, error) // [SI unit of the input]
}

// worksheets stand in the order of machine.Worksheets.
var worksheets = []worksheet{
	{"weights", "mass.dry", func(in *ranges.Inputs) (float64, error) {
		return in.Num("measure.weights.front") + in.Num("measure.weights.rear"), nil
	}},
	{"weights", "mass.front_share", func(in *ranges.Inputs) (float64, error) {
		front := in.Num("measure.weights.front")
		return front / (front + in.Num("measure.weights.rear")), nil
	}},
	{"raised", "mass.cg_height", func(in *ranges.Inputs) (float64, error) {
		return chassis.Raised{
			Wheelbase: in.Num("geometry.wheelbase"), FrontRadius: in.Num("measure.raised.front_radius"), RearRadius: in.Num("measure.raised.rear_radius"),
			FrontLoad: in.Num("measure.weights.front") * chassis.Gravity, RearLoad: in.Num("measure.weights.rear") * chassis.Gravity,
			RearRaised: in.Num("measure.raised.rear") * chassis.Gravity, Lift: in.Num("measure.raised.lift"),
		}.Height()
	}},
	{"twisted", "mass.yaw_inertia", func(in *ranges.Inputs) (float64, error) {
		return chassis.TwoWires(in.Num("mass.dry"), in.Num("measure.twisted.apart"), in.Num("measure.twisted.wires"), in.Num("measure.twisted.period")), nil
	}},
	{"swung", "mass.pitch_inertia", func(in *ranges.Inputs) (float64, error) {
		return chassis.Hung(in.Num("mass.dry"), in.Num("measure.swung.above"), in.Num("measure.swung.period")), nil
	}},
	{"chamber", "engine.chamber.head", func(in *ranges.Inputs) (float64, error) {
		// What was filled is the whole chamber: head = whole - gasket disc - deck disc + dome.
		rest := engine.Chamber{GasketBore: in.Num("engine.chamber.gasket_bore"), GasketThickness: in.Num("engine.chamber.gasket_thickness"), Deck: in.Num("engine.chamber.deck"), Dome: in.Num("engine.chamber.dome")}
		return in.Num("measure.chamber.filled") - in.Num("measure.chamber.plug_hole") - rest.Volume(in.Num("engine.bore")), nil
	}},
	{"dome", "engine.chamber.dome", func(in *ranges.Inputs) (float64, error) {
		return engine.SweptVolume(in.Num("engine.bore"), in.Num("measure.dome.depth"), 1) - in.Num("measure.dome.filled"), nil
	}},
	{"fork", "suspension.front.spring_rate", forkRate},
	{"flywheel", "engine.flywheel_inertia", func(in *ranges.Inputs) (float64, error) {
		return chassis.ThreeWires(in.Num("measure.flywheel.mass"), in.Num("measure.flywheel.circle"), in.Num("measure.flywheel.wires"), in.Num("measure.flywheel.period")), nil
	}},
	{"motored", "engine.friction_factor", func(in *ranges.Inputs) (float64, error) {
		return torque.FrictionFactor(in, in.Num("measure.motored.pull")*in.Num("measure.motored.arm"), in.Num("measure.motored.speed"))
	}},
	{"front_roll_out", "wheels.front.loaded_radius", rollOut(running.FrontWheel)}, {"rear_roll_out", "wheels.rear.loaded_radius", rollOut(running.RearWheel)},
	{"front_tyre", "wheels.front.tyre_rate", tyreRate(running.FrontWheel)}, {"rear_tyre", "wheels.rear.tyre_rate", tyreRate(running.RearWheel)},
	{"front_shoes", "brakes.front.shoe_factor", shoeFactor(running.FrontWheel)}, {"rear_shoes", "brakes.rear.shoe_factor", shoeFactor(running.RearWheel)},
	{"front_pads", "brakes.front.pad_friction", padFriction(running.FrontWheel)}, {"rear_pads", "brakes.rear.pad_friction", padFriction(running.RearWheel)},
	{"grip", "track.peak_grip", func(in *ranges.Inputs) (float64, error) {
		return in.Num("measure.grip.pull") / (in.Num("measure.grip.mass") * chassis.Gravity), nil
	}},
	{"rolling", "track.rolling_resistance", func(in *ranges.Inputs) (float64, error) {
		return in.Num("measure.rolling.pull") / (in.Num("measure.rolling.mass") * chassis.Gravity), nil
	}},
}

// forkRate is the rate of one spring from two loads and the travels they use; the air carries its part of the
// difference.
func forkRate(in *ranges.Inputs) (float64, error) {
	f, err := running.Fork(in)
	in.Forget("suspension.front.spring_rate", "suspension.front.preload")
	if err != nil || len(in.Missing) > 0 {
		return 0, err
	}
	light, heavy := in.Num("measure.fork.light_travel"), in.Num("measure.fork.heavy_travel")
	if heavy <= light || heavy > f.Travel {
		return 0, errors.New("the heavy reading must use more travel than the light one, and no more than there is")
	}
	f.Rate = 0
	carried := func(load, s float64) float64 { return f.SpringForceFor(load*chassis.Gravity, s) }
	return (carried(in.Num("measure.fork.heavy"), heavy) - carried(in.Num("measure.fork.light"), light)) / (heavy - light), nil
}

func rollOut(w running.Wheel) func(in *ranges.Inputs) (float64, error) {
	return func(in *ranges.Inputs) (float64, error) {
		turns := in.Num(w.Path("measure.%s_roll_out.turns"))
		return tyre.RollingRadius(in.Num(w.Path("measure.%s_roll_out.distance")), turns), nil
	}
}

func tyreRate(w running.Wheel) func(in *ranges.Inputs) (float64, error) {
	return func(in *ranges.Inputs) (float64, error) {
		drop := in.Num(w.Path("measure.%s_tyre.light_axle")) - in.Num(w.Path("measure.%s_tyre.heavy_axle"))
		if drop <= 0 && len(in.Missing) == 0 {
			return 0, errors.New("the axle must stand lower under the heavy load")
		}
		return (in.Num(w.Path("measure.%s_tyre.heavy")) - in.Num(w.Path("measure.%s_tyre.light"))) * chassis.Gravity / drop, nil
	}
}

// shoeFactor and padFriction come from the pull that turns one braked wheel; with others on the same lever it is held
// by its share of the torque.
func shoeFactor(w running.Wheel) func(in *ranges.Inputs) (float64, error) {
	return func(in *ranges.Inputs) (float64, error) {
		drums := w.Drums(in)
		in.Forget(w.Path("brakes.%s.shoe_factor"))
		return drums.ShoeFactorFrom(in.Num(w.Path("measure.%s_shoes.pull")), in.Num(w.Path("measure.%s_shoes.at")), in.Num(w.Path("measure.%s_shoes.lever")), w.BrakedWheels(in)), nil
	}
}

func padFriction(w running.Wheel) func(in *ranges.Inputs) (float64, error) {
	return func(in *ranges.Inputs) (float64, error) {
		discs := w.Discs(in)
		in.Forget(w.Path("brakes.%s.pad_friction"))
		discs.PadFriction = 1
		return w.BrakedWheels(in) * in.Num(w.Path("measure.%s_pads.pull")) * in.Num(w.Path("measure.%s_pads.at")) / discs.Torque(in.Num(w.Path("measure.%s_pads.lever"))), nil
	}
}

// Mismeasured is what is wrong with a worksheet of a sheet.
type Mismeasured struct {
	Origin                 figure.Origin
	What, Expected, Remedy string
}

// Fill computes the inputs that a project's worksheets give, with the half-widths that follow from those of the
// readings, and puts them in place of typical values, and has the project follow what cam cards and piston makers say.
// What is wrong with a worksheet or a card is told; the others still count.
func Fill(p *machine.Project) []Mismeasured {
	bad := misread(p)
	p.SetLaws(laws())
	p.Relate()
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
		e := ranges.NewEvaluator(build, nil)
		d := ranges.Definition{Compute: w.compute}
		s := ranges.Side{Build: build}
		value, missing, err := e.At(d, build, &s.Trace)
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
		s.Value = value
		atoms := ranges.Uncertain(p, []*ranges.Side{&s})
		e.Slopes(d, []*ranges.Side{&s}, atoms)
		origin.Part = "measure." + w.name
		put(p, w.input, value, ranges.Coverage*ranges.Norm(s.Slope), origin)
		p.Relate()
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
	for _, v := range []torque.Valve{torque.Intake, torque.Exhaust} {
		name := v.Path("%s_lobe")
		origin, given := firstReading(p, name)
		if !given {
			continue
		}
		table := v.Path("engine.cam.%s.table")
		build := p.Bare()
		if build.Len(table) > 0 {
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s gives %s, which stands in the sheet already", name, table), "one of the two", "take the table out, or the worksheet"})
			continue
		}
		in := &ranges.Inputs{Build: build}
		angles, r, err := v.Readings(in)
		switch {
		case len(in.Missing) > 0:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s has a reading without angle or lift", name), "{angle: -120, lift: 0.21 mm} in every line", "fill it in, or take the line out"})
			continue
		case err != nil:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s: %v", name, err), "readings that belong together", "take the readings again; look at the order of the lines"})
			continue
		}
		origin.Part = "measure." + name
		for i, angle := range angles {
			put(p, ranges.Entry(table, i, "angle"), angle, 0, origin)
			put(p, ranges.Entry(table, i, "lift"), max(0, r.Lifts[i]), 0, origin)
		}
	}
	return bad
}
