// Package axle is the bending strength of a rear axle between bearings and wheels.
//
// Diameters, yield strength and where the bearings sit go in; the moment and the load at a wheel at which the steel
// first yields come out. Fatigue, torsion from the chain and the wheel hubs are not known here.
package axle

import (
	"errors"
	"math"
)

// SectionModulus is that of a round bar [m3] with an outside diameter and a bore [m]: pi/32 (d^4 - bore^4)/d.
// Source: Shigley, Mechanical Engineering Design, ch. 3.
func SectionModulus(diameter, bore float64) float64 {
	return math.Pi / 32 * (math.Pow(diameter, 4) - math.Pow(bore, 4)) / diameter
}

// SectionArea is the area of a round bar [m2] with an outside diameter and a bore [m].
func SectionArea(diameter, bore float64) float64 {
	return math.Pi / 4 * (diameter*diameter - bore*bore)
}

// SteelDensity is that of carbon and alloy steel [kg/m3]. Source: Shigley, Mechanical Engineering Design, table A-5
// (7850).
const SteelDensity = 7850.0

// SectionStrength is the bending moment at which a round section first yields [Nm], without stress concentration.
func SectionStrength(diameter, bore, yield float64) float64 {
	return yield * SectionModulus(diameter, bore)
}

// Axle is a rear axle carried in two bearings with a wheel at each end.
type Axle struct {
	Diameter           float64 // [m] at the bearings
	Bore               float64 // [m] 0 when solid
	Yield              float64 // [Pa]
	HalfTrack          float64 // [m] centre line to the middle of the tyre
	BearingHalfSpacing float64 // [m] centre line to the middle of a bearing
	WeakDiameter       float64 // [m] diameter left at the weakest section; 0 when there is none
	WeakFromCentre     float64 // [m] centre line to the weakest section
}

// YieldLoad is the vertical load at one wheel's middle at which the axle first yields [N], and whether it does so at
// the weakest section rather than at the bearing. The moment rises with the arm from the wheel inwards up to the
// bearing; the arm is half the track less the section's distance from the centre. Inside the bearings the moment of one
// loaded wheel falls in a straight line to nothing at the far bearing. The error is for a wheel that is not outside the
// bearings or a bore that leaves no wall. Source: beam theory, elastic to the first yield.
func (a Axle) YieldLoad() (load float64, atWeakest bool, err error) {
	arm := a.HalfTrack - a.BearingHalfSpacing
	switch {
	case arm <= 0:
		return 0, false, errors.New("the wheels stand inside the axle's bearings; look at track and bearing spacing")
	case a.Bore >= a.Diameter || (a.WeakDiameter > 0 && a.Bore >= a.WeakDiameter):
		return 0, false, errors.New("the axle's bore leaves no wall; look at diameter and bore")
	}
	load = SectionStrength(a.Diameter, a.Bore, a.Yield) / arm
	if a.WeakDiameter <= 0 || a.WeakFromCentre >= a.HalfTrack {
		return load, false, nil
	}
	weakArm := a.HalfTrack - a.WeakFromCentre
	if a.WeakFromCentre < a.BearingHalfSpacing {
		weakArm = arm * (a.WeakFromCentre + a.BearingHalfSpacing) / (2 * a.BearingHalfSpacing)
	}
	if weak := SectionStrength(a.WeakDiameter, a.Bore, a.Yield) / weakArm; weak < load {
		return weak, true, nil
	}
	return load, false, nil
}
