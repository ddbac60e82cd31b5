package running

import (
	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/vehicle/chassis"
)

// SagTarget is what the sags of an end usually are, as shares of its travel [-].
type SagTarget struct {
	RiderLow, RiderHigh float64 // [-] with the rider
	FreeLow, FreeHigh   float64 // [-] without
}

// RiderAimed is the rider sag that a spring is chosen for [-]: the middle of its range.
func (s SagTarget) RiderAimed() float64 { return (s.RiderLow + s.RiderHigh) / 2 }

// freeInset is how far inside its range the free sag must lie before a spring is left as it is, of the range [-].
const freeInset = 0.1

func (s SagTarget) freeLeast() float64 { return s.FreeLow + freeInset*(s.FreeHigh-s.FreeLow) }
func (s SagTarget) freeMost() float64  { return s.FreeHigh - freeInset*(s.FreeHigh-s.FreeLow) }

// UsualUse is what springs are set for where the sheet does not say.
const UsualUse = "motocross"

// sagTargets are what is usual by layout and use, front and rear. Common practice, from memory; decision 39 says how
// far.
var sagTargets = map[Layout]map[string][2]SagTarget{
	threeWheeler: {
		UsualUse:     {{0.12, 0.25, 0.03, 0.12}, {0.20, 0.33, 0.03, 0.12}},
		"trail":      {{0.18, 0.30, 0.05, 0.15}, {0.25, 0.35, 0.05, 0.15}},
		"flat track": {{0.15, 0.30, 0.03, 0.15}, {0.20, 0.35, 0.03, 0.15}},
	},
	Quad: {
		UsualUse:     {{0.25, 0.35, 0.05, 0.20}, {0.25, 0.35, 0.05, 0.20}},
		"trail":      {{0.28, 0.38, 0.08, 0.22}, {0.28, 0.38, 0.08, 0.22}},
		"flat track": {{0.25, 0.40, 0.05, 0.20}, {0.25, 0.40, 0.05, 0.20}},
	},
	Bike: {
		UsualUse:     {{0.20, 0.33, 0.05, 0.15}, {0.28, 0.35, 0.05, 0.15}},
		"trail":      {{0.25, 0.35, 0.05, 0.15}, {0.30, 0.38, 0.05, 0.15}},
		"flat track": {{0.25, 0.35, 0.05, 0.15}, {0.25, 0.35, 0.05, 0.15}},
	},
}

// useOf is what the springs of a build are set for.
func useOf(b *machine.Build) string {
	if use := b.Text("suspension.use"); use != "" {
		return use
	}
	return UsualUse
}

// SagFor is what the sags of an end of a build usually are, and the use that they are of.
func (w Wheel) SagFor(b *machine.Build) (SagTarget, string) {
	end := 0
	if w == RearWheel {
		end = 1
	}
	use := useOf(b)
	return sagTargets[layoutOf(b)][use][end], use
}

// sagIn is the same, noted as read.
func (w Wheel) sagIn(in *ranges.Inputs) SagTarget {
	LayoutIn(in)
	if in.Has("suspension.use") {
		in.Text("suspension.use")
	}
	target, _ := w.SagFor(in.Build)
	return target
}

// Of a tyre that is the only spring, how far it usually gives with the rider, of its sidewall [-]: less jars, more puts
// the rim on the ground. By judgement.
const (
	GiveLeast = 0.06
	GiveMost  = 0.20
)

// give is how far a tyre gives under machine and rider, of its sidewall's height: by its rate where that is given, else
// by its loaded radius.
func (w Wheel) give() ranges.Definition {
	return ranges.Definition{ID: w.Path("tyres.%s.give"), Detail: true, Title: w.Path("How far a %s tyre gives with rider, of its sidewall"), Unit: "1", Formula: "(half the outside diameter - loaded radius, or load / rate) / ((outside - rim diameter)/2)", Source: "definition; ETRTO and TRA size designations", Theory: tyreTheory + "tyres-as-springs", Model: byDesignation,
		Compute: func(in *ranges.Inputs) (float64, error) {
			size, err := TyreSize(in, w)
			side := (size.Outside - size.Rim) / 2
			if rate := w.Path("wheels.%s.tyre_rate"); in.Has(rate) {
				return w.WheelLoad(in) * chassis.Gravity / in.Num(rate) / side, err
			}
			radius, radiusErr := LoadedRadius(in, w)
			if err == nil {
				err = radiusErr
			}
			return (size.Outside/2 - radius) / side, err
		}}
}
