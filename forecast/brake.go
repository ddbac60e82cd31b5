package forecast

import (
	"errors"

	"shakedown/vehicle/brake"
	"shakedown/vehicle/chassis"
)

var brakeFigures = []definition{
	{"brakes.front.lever_force", "Lever force for 0.3 g by the front brake", "N", "0.3 g x mass x loaded front radius = 2 mu F r; F = pressure x piston area", "Pascal; disc torque of two pads; Limpert, Brake Design and Safety", "docs/theory/brake.md#lever-force", hydraulics,
		func(in *inputs) (float64, error) {
			if kind := in.text("brakes.front.kind"); kind != "" && kind != "disc" {
				return 0, errors.New("the front brake is no disc; a drum's lever force needs its shoe factor measured")
			}
			radius, err := loadedRadius(in, frontWheel)
			if err != nil {
				return 0, err
			}
			disc := brake.Hydraulic{
				Master: in.num("brakes.front.master"), LeverRatio: in.num("brakes.front.lever_ratio"), PistonDiameter: in.num("brakes.front.calliper.diameter"),
				Pistons: in.count("brakes.front.calliper.pistons"), Floating: in.text("brakes.front.calliper.type") == "floating",
				PadFriction: in.num("brakes.front.pad_friction"), EffectiveRadius: in.num("brakes.front.effective_radius"),
			}
			return disc.LeverFor(0.3 * chassis.Gravity * laden(in).Mass * radius), nil
		}},
}
