package running

import (
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// Layout says where a machine's wheels are.
type Layout string

// The layouts.
const (
	threeWheeler Layout = "three-wheeler" // one wheel in front
	Quad         Layout = "quad"
	Bike         Layout = "bike"
)

func layoutOf(b *machine.Build) Layout { return Layout(b.Text("layout")) }

// LayoutIn is the layout of the build, noted as an input.
func LayoutIn(in *ranges.Inputs) Layout { return Layout(in.Text("layout")) }

// A bike has no tip-over; three wheels and four do not lean.
func onlyBike(b *machine.Build) bool { return layoutOf(b) == Bike }
func notBike(b *machine.Build) bool  { return layoutOf(b) != Bike }

// withFork says that a build has a telescopic fork in front.
func withFork(b *machine.Build) bool { return b.Text("suspension.front.kind") == "telescopic fork" }

// isSprung says that an end has springs.
func (w Wheel) isSprung(b *machine.Build) bool {
	return b.Text(w.Path("suspension.%s.kind")) != "solid"
}

// strokeMatters says that the stroke of an end's shocks has to go with its travel: a fork is its own.
func (w Wheel) strokeMatters(b *machine.Build) bool {
	return b.Text(w.Path("suspension.%s.kind")) == "A-arms" || w == RearWheel && w.isSprung(b)
}
