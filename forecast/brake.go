package forecast

import (
	"shakedown/vehicle/brake"
	"shakedown/vehicle/chassis"
)

var brakeFigures = []definition{
	frontWheel.lever("brakes.front.lever_force", "Lever force for 0.3 g by the front brake"), rearWheel.lever("brakes.rear.lever_force", "Lever force for 0.3 g by the rear brake"),
}

// lever is the force at the lever or pedal of one end for 0.3 g of machine, rider and fuel by that brake alone.
func (w wheel) lever(id, title string) definition {
	return definition{id, title, "N", "0.3 g x mass x loaded radius = torque; disc 2 mu F r a calliper, F = pressure x piston area; drum force x shoe factor x radius",
		"Pascal; torque of disc and drum; Limpert, Brake Design and Safety", "docs/theory/brake.md#lever-force", hydraulics,
		func(in *inputs) (float64, error) {
			radius, err := loadedRadius(in, w)
			torque := 0.3 * chassis.Gravity * laden(in).Mass * radius
			if in.text(w.path("brakes.%s.kind")) == "drum" {
				return brake.Drum{
					LeverRatio: in.num(w.path("brakes.%s.lever_ratio")), ShoeFactor: in.num(w.path("brakes.%s.shoe_factor")), Diameter: in.num(w.path("brakes.%s.diameter")),
				}.LeverFor(torque), err
			}
			return w.disc(in).LeverFor(torque), err
		}}
}

// torqueAt is what a force at the lever [N] holds at the wheels of one end [Nm]; a drum's at one wheel.
func (w wheel) torqueAt(in *inputs, lever float64) float64 {
	if in.text(w.path("brakes.%s.kind")) == "drum" {
		return brake.Drum{
			LeverRatio: in.num(w.path("brakes.%s.lever_ratio")), ShoeFactor: in.num(w.path("brakes.%s.shoe_factor")), Diameter: in.num(w.path("brakes.%s.diameter")),
		}.Torque(lever)
	}
	return w.disc(in).Torque(lever)
}

// disc is the disc brake of one end.
func (w wheel) disc(in *inputs) brake.Hydraulic {
	disc := brake.Hydraulic{
		Master: in.num(w.path("brakes.%s.master")), LeverRatio: in.num(w.path("brakes.%s.lever_ratio")), PistonDiameter: in.num(w.path("brakes.%s.calliper.diameter")),
		Pistons: in.count(w.path("brakes.%s.calliper.pistons")), Floating: in.text(w.path("brakes.%s.calliper.type")) == "floating",
		PadFriction: in.num(w.path("brakes.%s.pad_friction")), EffectiveRadius: in.num(w.path("brakes.%s.effective_radius")), Count: 1,
	}
	if w == frontWheel {
		disc.Count = in.count("brakes.front.count")
	}
	return disc
}
