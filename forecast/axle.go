package forecast

import "shakedown/vehicle/axle"

const (
	axleTheory = "docs/theory/axle.md#"
	beamTheory = "bending of a round bar; Shigley, Mechanical Engineering Design, ch. 3"
)

var axleFigures = []definition{
	{id: "axle.section_strength", only: notBike, title: "Bending moment at which the axle's weakest section yields", unit: "Nm", formula: "yield x pi/32 (d^4 - bore^4)/d, without the stress factor", source: beamTheory, theory: axleTheory + "section-strength", model: definitional,
		compute: func(in *inputs) (float64, error) {
			diameter := in.num("wheels.axle.diameter")
			if in.has("wheels.axle.weakest.diameter") {
				diameter = min(diameter, in.num("wheels.axle.weakest.diameter"))
			}
			return axle.SectionStrength(diameter, in.num("wheels.axle.bore"), in.num("wheels.axle.yield")), nil
		}},
	{id: "axle.bar_mass", only: notBike, detail: true, title: "Steel between the wheels' middles", unit: "kg", formula: "pi/4 (d^2 - bore^2) x track x 7850 kg/m3", source: beamTheory, theory: axleTheory + "section-strength", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return axle.SectionArea(in.num("wheels.axle.diameter"), in.num("wheels.axle.bore")) * in.num("geometry.track_rear") * axle.SteelDensity, nil
		}},
	{id: "axle.yield_load", only: notBike, title: "Load at one wheel at which the axle yields", unit: "N", formula: "least of section strength / arm; arm = half the track - distance of the section from the centre", source: beamTheory, theory: axleTheory + "yield-load", model: beam,
		compute: func(in *inputs) (float64, error) {
			load, _, err := rearAxle(in).YieldLoad()
			return load, err
		}},
}

func rearAxle(in *inputs) axle.Axle {
	a := axle.Axle{
		Diameter: in.num("wheels.axle.diameter"), Bore: in.num("wheels.axle.bore"), Yield: in.num("wheels.axle.yield"),
		HalfTrack: in.num("geometry.track_rear") / 2, BearingHalfSpacing: in.num("wheels.axle.bearing_spacing") / 2,
	}
	if in.has("wheels.axle.weakest.diameter") {
		a.WeakDiameter, a.WeakFromCentre = in.num("wheels.axle.weakest.diameter"), in.num("wheels.axle.weakest.from_centre")
	}
	return a
}
