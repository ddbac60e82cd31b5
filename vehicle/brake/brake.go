// Package brake is a hydraulic disc brake from the hand to the wheel.
//
// Piston sizes, lever ratio and friction go in; pressure, clamping force, torque and the force at the lever come out.
// Heat, fluid and hoses are not known here yet.
package brake

import "math"

// pads is how many pads rub on a disc.
const pads = 2

// Hydraulic is a disc brake worked by a lever.
type Hydraulic struct {
	Master          float64 // [m] diameter of the master cylinder
	LeverRatio      float64 // [-] force on the master piston over force at the lever
	PistonDiameter  float64 // [m] of a calliper piston
	Pistons         int     // all pistons of the calliper
	Floating        bool    // pistons on one side only; else half of them on each side
	PadFriction     float64 // [-]
	EffectiveRadius float64 // [m] axle to the middle of the pad
}

// Area is the area of a round piston [m2] of a diameter [m].
func Area(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

// Pressure is the fluid pressure [Pa] for a force at the lever [N]. Source: Pascal.
func (h Hydraulic) Pressure(lever float64) float64 { return lever * h.LeverRatio / Area(h.Master) }

// Clamp is the force on each pad [N] at a pressure [Pa]. A floating calliper's pistons press both pads with the force of
// all of them; in a fixed one each pad has half of the pistons.
func (h Hydraulic) Clamp(pressure float64) float64 {
	return pressure * Area(h.PistonDiameter) * h.perPad()
}

func (h Hydraulic) perPad() float64 {
	if h.Floating {
		return float64(h.Pistons)
	}
	return float64(h.Pistons) / 2
}

// Torque is the brake torque [Nm] for a force at the lever [N]: 2 mu F r.
// Source: Limpert, Brake Design and Safety (two pads, F on each).
func (h Hydraulic) Torque(lever float64) float64 {
	return pads * h.PadFriction * h.Clamp(h.Pressure(lever)) * h.EffectiveRadius
}

// AreaRatio is the area that presses a pad over that of the master cylinder [-].
func (h Hydraulic) AreaRatio() float64 { return h.perPad() * Area(h.PistonDiameter) / Area(h.Master) }

// LeverFor is the force at the lever [N] that gives a torque [Nm]. Torque is linear in the force.
func (h Hydraulic) LeverFor(torque float64) float64 { return torque / h.Torque(1) }
