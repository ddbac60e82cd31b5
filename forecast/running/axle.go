package running

import (
	"shakedown/forecast/ranges"
	"shakedown/vehicle/axle"
)

const (
	axleTheory = "docs/theory/axle.md#"
	beamTheory = "bending of a round bar; Shigley, Mechanical Engineering Design, ch. 3"
)

var axleFigures = []ranges.Definition{
	{ID: "axle.section_strength", Only: notBike, Title: "Bending moment at which the axle's weakest section yields", Unit: "Nm", Formula: "yield x pi/32 (d^4 - bore^4)/d, without the stress factor", Source: beamTheory, Theory: axleTheory + "section-strength", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			diameter := in.Num("wheels.axle.diameter")
			if in.Has("wheels.axle.weakest.diameter") {
				diameter = min(diameter, in.Num("wheels.axle.weakest.diameter"))
			}
			return axle.SectionStrength(diameter, in.Num("wheels.axle.bore"), in.Num("wheels.axle.yield")), nil
		}},
	{ID: "axle.bar_mass", Only: notBike, Detail: true, Title: "Steel between the wheels' middles", Unit: "kg", Formula: "pi/4 (d^2 - bore^2) x track x 7850 kg/m3", Source: beamTheory, Theory: axleTheory + "section-strength", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return axle.SectionArea(in.Num("wheels.axle.diameter"), in.Num("wheels.axle.bore")) * in.Num("geometry.track_rear") * axle.SteelDensity, nil
		}},
	{ID: "axle.yield_load", Only: notBike, Title: "Load at one wheel at which the axle yields", Unit: "N", Formula: "least of section strength / arm; arm = half the track - distance of the section from the centre", Source: beamTheory, Theory: axleTheory + "yield-load", Model: ranges.Beam,
		Compute: func(in *ranges.Inputs) (float64, error) {
			load, _, err := rearAxle(in).YieldLoad()
			return load, err
		}},
}

func rearAxle(in *ranges.Inputs) axle.Axle {
	a := axle.Axle{
		Diameter: in.Num("wheels.axle.diameter"), Bore: in.Num("wheels.axle.bore"), Yield: in.Num("wheels.axle.yield"),
		HalfTrack: in.Num("geometry.track_rear") / 2, BearingHalfSpacing: in.Num("wheels.axle.bearing_spacing") / 2,
	}
	if in.Has("wheels.axle.weakest.diameter") {
		a.WeakDiameter, a.WeakFromCentre = in.Num("wheels.axle.weakest.diameter"), in.Num("wheels.axle.weakest.from_centre")
	}
	return a
}
