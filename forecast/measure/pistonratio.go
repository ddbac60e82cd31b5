package measure

import (
	"math"

	"shakedown/engine"
	"shakedown/machine"
)

// pistonLaw gives the dome that a piston must have for the ratio that it is sold with: on the machine as found, its
// head uncut, its own stroke, gasket and deck, in the bore that the piston is for. What else a build changes is not in
// it.
var pistonLaw = machine.Law{
	Gives: []string{"engine.chamber.dome"}, From: []string{machine.PistonRatio}, Beside: []string{"engine.bore"},
	Sum: func(in machine.Reading) []float64 {
		found := func(path string) float64 { return numberOr(in.Found, path) }
		bore, ratio := numberOr(in.Number, "engine.bore"), numberOr(in.Number, machine.PistonRatio)
		if !(ratio > 1) || in.Given("engine.chamber.dome") {
			return []float64{math.NaN()}
		}
		flat := engine.Chamber{
			Head: found("engine.chamber.head"), GasketBore: found("engine.chamber.gasket_bore"),
			GasketThickness: found("engine.chamber.gasket_thickness"), Deck: found("engine.chamber.deck"),
		}.Volume(bore)
		return []float64{flat - engine.SweptVolume(bore, found("engine.stroke"), 1)/(ratio-1)}
	},
}
