package forecast

import (
	"math"

	"shakedown/machine"
	"shakedown/vehicle/brake"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
)

// Of brakes, what no sheet gives.
const (
	steelHeat  = 460.0            // [J/(kg K)] cast iron and steel
	hoseSwells = 0.66e-6 / 0.3048 // [m3/m] at 6.9 MPa, the most that FMVSS 106 allows a hose of 3 mm
)

var brakeFigures = []definition{
	frontWheel.lever("brakes.front.lever_force", "Lever force for 0.3 g by the front brake"), rearWheel.lever("brakes.rear.lever_force", "Lever force for 0.3 g by the rear brake"),
	{id: "brakes.front.stop_rise", only: given("brakes.front.disc_mass"), title: "Front disc warmer after one stop from top speed", unit: "K", formula: "share x m v^2/2 / (mass of the discs x 460 J/(kg K)), share = (b + grip h)/L", source: "Limpert, Brake Design and Safety", theory: "docs/theory/brake.md#heat", model: hydraulics,
		compute: func(in *inputs) (float64, error) {
			b := laden(in)
			radius, err := loadedRadius(in, rearWheel)
			top := in.build.Len("driveline.gears")
			if top == 0 {
				in.miss(gearPath(0))
				return 0, nil
			}
			speed := driveline.RoadSpeed(in.num("engine.redline"), in.num("driveline.primary"), in.num(gearPath(top-1)), final(in), radius)
			share := math.Min(1, (b.X+in.num("track.peak_grip")*b.Z)/wheelbase(in))
			return brake.BulkRise(b.Mass, speed, share, in.num("brakes.front.disc_mass")*in.num("brakes.front.count"), steelHeat), err
		}},
	{id: "brakes.front.hose_swell", only: given("brakes.front.hose.length"), title: "Lever travel that the hose may take, front", unit: "mm", formula: "0.66 cm3 a foot, half of it braided, x length / area of the master x lever ratio", source: "FMVSS 106, table I", theory: "docs/theory/brake.md#heat", model: hydraulics,
		compute: func(in *inputs) (float64, error) {
			swells := hoseSwells
			if in.has("brakes.front.hose.kind") && in.text("brakes.front.hose.kind") == "braided" {
				swells /= 2
			}
			return brake.HoseSwell(swells, in.num("brakes.front.hose.length"), in.num("brakes.front.master"), in.num("brakes.front.lever_ratio")), nil
		}},
}

// lever is the force at the lever or pedal of one end for 0.3 g of machine, rider and fuel by that brake alone.
func (w wheel) lever(id, title string) definition {
	return definition{id: id, only: w.isBraked, detail: w == rearWheel, title: title, unit: "N", formula: "0.3 g x mass x loaded radius = torque; disc 2 mu F r a calliper, F = pressure x piston area; drums, sharing the force, force x shoe factor x radius",
		source: "Pascal; torque of disc and drum; Limpert, Brake Design and Safety", theory: "docs/theory/brake.md#lever-force", model: hydraulics,
		compute: func(in *inputs) (float64, error) {
			radius, err := loadedRadius(in, w)
			return brake.LeverForForce(w.brake(in), 0.3*chassis.Gravity*laden(in).Mass, radius), err
		}}
}

// isBraked says that a build has a brake at an end; one in front is asked for where nobody said.
func (w wheel) isBraked(b *machine.Build) bool {
	return w == frontWheel || b.Given(w.path("brakes.%s.kind"))
}

// brake is all that the lever or pedal of one end works. It is the one place that says what brakes a machine has: figures, laps and worksheets ask it.
func (w wheel) brake(in *inputs) brake.Brake {
	if in.text(w.path("brakes.%s.kind")) == "drum" {
		return w.drums(in)
	}
	return w.discs(in)
}

// drums are the drum brakes of one end; however many, they share the lever's force.
func (w wheel) drums(in *inputs) brake.Drum {
	return brake.Drum{LeverRatio: in.num(w.path("brakes.%s.lever_ratio")), ShoeFactor: in.num(w.path("brakes.%s.shoe_factor")), Diameter: in.num(w.path("brakes.%s.diameter"))}
}

// discs are the disc brakes of one end.
func (w wheel) discs(in *inputs) brake.Hydraulic {
	return brake.Hydraulic{
		Master: in.num(w.path("brakes.%s.master")), LeverRatio: in.num(w.path("brakes.%s.lever_ratio")), PistonDiameter: in.num(w.path("brakes.%s.calliper.diameter")),
		Pistons: in.count(w.path("brakes.%s.calliper.pistons")), Floating: in.text(w.path("brakes.%s.calliper.type")) == "floating",
		PadFriction: in.num(w.path("brakes.%s.pad_friction")), EffectiveRadius: in.num(w.path("brakes.%s.effective_radius")), Count: w.brakes(in),
	}
}

// brakes is how many brakes one end has; the rear one stands on its axle.
func (w wheel) brakes(in *inputs) int {
	if w == frontWheel {
		return in.count("brakes.front.count")
	}
	return 1
}

// brakedWheels is how many wheels of one end share its brakes, so that one of them is held by that share of their torque.
func (w wheel) brakedWheels(in *inputs) float64 {
	return max(1, min(float64(w.brakes(in)), w.count(in)))
}

// brakeForce is what a force at the lever [N] holds at the ground [N]; one that is not known locks its wheels.
func (w wheel) brakeForce(all *inputs, lever float64, name string) (float64, error) {
	in := all.apart()
	radius, err := loadedRadius(in, w)
	b := w.brake(in)
	if len(in.missing) > 0 {
		all.assume(name)
		return locks, nil
	}
	if !(radius > 0) {
		return 0, err
	}
	return brake.Force(b, lever, radius), err
}
