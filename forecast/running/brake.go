package running

import (
	"errors"
	"math"

	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/vehicle/brake"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
)

// Of brakes, what no sheet gives.
const (
	SteelHeat  = 460.0            // [J/(kg K)] cast iron and steel
	hoseSwells = 0.66e-6 / 0.3048 // [m3/m] at 6.9 MPa, the most that FMVSS 106 allows a hose of 3 mm
)

var brakeFigures = []ranges.Definition{
	FrontWheel.lever("brakes.front.lever_force", "Lever force for 0.3 g by the front brake"), RearWheel.lever("brakes.rear.lever_force", "Lever force for 0.3 g by the rear brake"),
	{ID: "brakes.front.stop_rise", Only: ranges.Given("brakes.front.disc_mass"), Title: "Front disc warmer after one stop from top speed", Unit: "K", Formula: "share x m v^2/2 / (mass of the discs x 460 J/(kg K)), share = (b + grip h)/L", Source: "Limpert, Brake Design and Safety", Theory: "docs/theory/brake.md#heat", Model: hydraulics,
		Compute: func(in *ranges.Inputs) (float64, error) {
			b := Laden(in)
			radius, err := LoadedRadius(in, RearWheel)
			top := in.Build.Len("driveline.gears")
			if top == 0 {
				in.Miss(GearPath(0))
				return 0, nil
			}
			speed := driveline.RoadSpeed(in.Num("engine.redline"), in.Num("driveline.primary"), in.Num(GearPath(top-1)), Final(in), radius)
			share := math.Min(1, (b.X+in.Num("track.peak_grip")*b.Z)/Wheelbase(in))
			return brake.BulkRise(b.Mass, speed, share, in.Num("brakes.front.disc_mass")*in.Num("brakes.front.count"), SteelHeat), err
		}},
	{ID: "brakes.front.fluid_boils", Only: ranges.Given("brakes.front.fluid"), Detail: true, Title: "Front brake fluid that has taken up water boils from", Unit: "C", Formula: "least wet boiling point of its class", Source: "FMVSS 116", Theory: "docs/theory/brake.md#heat", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			f := brake.FluidNamed(in.Text("brakes.front.fluid"))
			if f == nil {
				return 0, errors.New("nothing is known of that fluid")
			}
			return f.Wet, nil
		}},
	{ID: "brakes.front.hose_swell", Only: ranges.Given("brakes.front.hose.length"), Title: "Lever travel that the hose may take, front", Unit: "mm", Formula: "0.66 cm3 a foot, half of it braided, x length / area of the master x lever ratio", Source: "FMVSS 106, table I", Theory: "docs/theory/brake.md#heat", Model: hydraulics,
		Compute: func(in *ranges.Inputs) (float64, error) {
			swells := hoseSwells
			if in.Has("brakes.front.hose.kind") && in.Text("brakes.front.hose.kind") == "braided" {
				swells /= 2
			}
			return brake.HoseSwell(swells, in.Num("brakes.front.hose.length"), in.Num("brakes.front.master"), in.Num("brakes.front.lever_ratio")), nil
		}},
}

// lever is the force at the lever or pedal of one end for 0.3 g of machine, rider and fuel by that brake alone.
func (w Wheel) lever(id, title string) ranges.Definition {
	return ranges.Definition{ID: id, Only: w.isBraked, Detail: w == RearWheel, Title: title, Unit: "N", Formula: "0.3 g x mass x loaded radius = torque; disc 2 mu F r a calliper, F = pressure x piston area; drums, sharing the force, force x shoe factor x radius",
		Source: "Pascal; torque of disc and drum; Limpert, Brake Design and Safety", Theory: "docs/theory/brake.md#lever-force", Model: hydraulics,
		Compute: func(in *ranges.Inputs) (float64, error) {
			radius, err := LoadedRadius(in, w)
			return brake.LeverForForce(w.brake(in), 0.3*chassis.Gravity*Laden(in).Mass, radius), err
		}}
}

// isBraked says that a build has a brake at an end; one in front is asked for where nobody said.
func (w Wheel) isBraked(b *machine.Build) bool {
	return w == FrontWheel || b.Given(w.Path("brakes.%s.kind"))
}

// brake is all that the lever or pedal of one end works. It is the one place that says what brakes a machine has:
// figures, laps and worksheets ask it.
func (w Wheel) brake(in *ranges.Inputs) brake.Brake {
	if in.Text(w.Path("brakes.%s.kind")) == "drum" {
		return w.Drums(in)
	}
	return w.Discs(in)
}

// Drums are the drum brakes of one end; however many, they share the lever's force.
func (w Wheel) Drums(in *ranges.Inputs) brake.Drum {
	return brake.Drum{LeverRatio: in.Num(w.Path("brakes.%s.lever_ratio")), ShoeFactor: in.Num(w.Path("brakes.%s.shoe_factor")), Diameter: in.Num(w.Path("brakes.%s.diameter"))}
}

// Discs are the disc brakes of one end.
func (w Wheel) Discs(in *ranges.Inputs) brake.Hydraulic {
	return brake.Hydraulic{
		Master: in.Num(w.Path("brakes.%s.master")), LeverRatio: in.Num(w.Path("brakes.%s.lever_ratio")), PistonDiameter: in.Num(w.Path("brakes.%s.calliper.diameter")),
		Pistons: in.Count(w.Path("brakes.%s.calliper.pistons")), Floating: in.Text(w.Path("brakes.%s.calliper.type")) == "floating",
		PadFriction: in.Num(w.Path("brakes.%s.pad_friction")), EffectiveRadius: in.Num(w.Path("brakes.%s.effective_radius")), Count: w.brakes(in),
	}
}

// brakes is how many brakes one end has; the rear one stands on its axle.
func (w Wheel) brakes(in *ranges.Inputs) int {
	if w == FrontWheel {
		return in.Count("brakes.front.count")
	}
	return 1
}

// BrakedWheels is how many wheels of one end share its brakes, so that one of them is held by that share of their
// torque.
func (w Wheel) BrakedWheels(in *ranges.Inputs) float64 {
	return max(1, min(float64(w.brakes(in)), w.Count(in)))
}

// BrakeForce is what a force at the lever [N] holds at the ground [N]; one that is not known locks its wheels.
func (w Wheel) BrakeForce(all *ranges.Inputs, lever float64, name string) (float64, error) {
	in := all.Apart()
	radius, err := LoadedRadius(in, w)
	b := w.brake(in)
	if len(in.Missing) > 0 {
		all.Assume(name)
		return locks, nil
	}
	if !(radius > 0) {
		return 0, err
	}
	return brake.Force(b, lever, radius), err
}

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	hydraulics = ranges.ModelError{Share: 0.10, Private: 0.03, Note: "friction of seals and bending of the lever left out"}
)

// locks is more than any tyre holds [N].
const locks = 1e6
