package forecast

import (
	"slices"
	"strings"

	"shakedown/machine"
)

// layout says where a machine's wheels are.
type layout string

const (
	threeWheeler layout = "three-wheeler" // one wheel in front
	quad         layout = "quad"
	bike         layout = "bike"
)

func layoutOf(b *machine.Build) layout { return layout(b.Text("layout")) }

// layoutIn is the layout of the build, noted as an input.
func layoutIn(in *inputs) layout { return layout(in.text("layout")) }

// A bike has no tip-over; three wheels and four do not lean.
func onlyBike(b *machine.Build) bool { return layoutOf(b) == bike }
func notBike(b *machine.Build) bool  { return layoutOf(b) != bike }

// withFork says that a build has a telescopic fork in front.
func withFork(b *machine.Build) bool { return b.Text("suspension.front.kind") == "telescopic fork" }

// isSprung says that an end has springs.
func (w wheel) isSprung(b *machine.Build) bool {
	return b.Text(w.path("suspension.%s.kind")) != "solid"
}

// strokeMatters says that the stroke of an end's shocks has to go with its travel: a fork is its own.
func (w wheel) strokeMatters(b *machine.Build) bool {
	return b.Text(w.path("suspension.%s.kind")) == "A-arms" || w == rearWheel && w.isSprung(b)
}

// given says of a build whether the owner gives an input: nothing is asked where he does not care.
func given(path string) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return b.Given(path) }
}

// listed says of a build whether a list has entries.
func listed(list string) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return b.Len(list) > 0 }
}

// both says of a build whether two conditions hold.
func both(one, other func(*machine.Build) bool) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return one(b) && other(b) }
}

// applies says whether a build has the figure at all.
func (d definition) applies(b *machine.Build) bool {
	return !(d.fourStroke && b.TwoStroke()) && (d.only == nil || d.only(b))
}

// FourStrokeOnly says that the figure of that id does not hold for a two-stroke, which is without it: its sum reckons with valves and a cam, or with one charge in two
// turns of the crank. A two-stroke breathes through its case and ports, in every turn, and what share of that stays in the cylinder no sheet gives.
func FourStrokeOnly(id string) bool {
	return slices.ContainsFunc(fixed, func(d definition) bool { return d.id == id && d.fourStroke })
}

// isTwoStroke says that the engine is one, noted as an input.
func isTwoStroke(in *inputs) bool { return in.text("engine.cycle") == machine.TwoStroke }

// IsFigure says whether a figure of that id exists for some machine.
func IsFigure(id string) bool {
	return strings.HasPrefix(id, "driveline.speed.") || strings.HasPrefix(id, "fit.") || slices.ContainsFunc(fixed, func(d definition) bool { return d.id == id })
}
