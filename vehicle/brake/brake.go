// Package brake is a hydraulic disc brake, or a drum, from the hand to the wheel.
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
	Count           int     // callipers that the lever works together; 0 is taken as 1
}

// Area is the area of a round piston [m2] of a diameter [m].
func Area(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

// Pressure is the fluid pressure [Pa] for a force at the lever [N]. Source: Pascal.
func (h Hydraulic) Pressure(lever float64) float64 { return lever * h.LeverRatio / Area(h.Master) }

// Clamp is the force on each pad [N] at a pressure [Pa]. A floating calliper's pistons press both pads with the force
// of all of them; in a fixed one each pad has half of the pistons.
func (h Hydraulic) Clamp(pressure float64) float64 {
	return pressure * Area(h.PistonDiameter) * h.perPad()
}

func (h Hydraulic) perPad() float64 {
	if h.Floating {
		return float64(h.Pistons)
	}
	return float64(h.Pistons) / 2
}

// Torque is the brake torque of all callipers together [Nm] for a force at the lever [N]: 2 mu F r each.
// Source: Limpert, Brake Design and Safety (two pads, F on each).
func (h Hydraulic) Torque(lever float64) float64 {
	return float64(max(1, h.Count)) * pads * h.PadFriction * h.Clamp(h.Pressure(lever)) * h.EffectiveRadius
}

// AreaRatio is the area that presses a pad over that of the master cylinder [-].
func (h Hydraulic) AreaRatio() float64 { return h.perPad() * Area(h.PistonDiameter) / Area(h.Master) }

// LeverFor is the force at the lever [N] that gives a torque [Nm]. Torque is linear in the force.
func (h Hydraulic) LeverFor(torque float64) float64 { return torque / h.Torque(1) }

// Brake is all that one lever or pedal works at one end of a machine: its discs, or its drums.
type Brake interface {
	Torque(lever float64) float64    // [Nm] of all wheels of that end together, for a force at the lever [N]
	LeverFor(torque float64) float64 // [N] at the lever, for a torque [Nm] of all wheels together
}

// Force is what a force at the lever [N] holds at the ground [N] on wheels of a loaded radius [m]: torque / radius.
func Force(b Brake, lever, radius float64) float64 { return b.Torque(lever) / radius }

// LeverForForce is the force at the lever [N] that holds a force at the ground [N] on wheels of a loaded radius [m].
func LeverForForce(b Brake, force, radius float64) float64 { return b.LeverFor(force * radius) }

// Drum is the drum brakes of one end, worked by cable or rod.
type Drum struct {
	LeverRatio float64 // [-] force that spreads the shoes, of all drums together, over the force at the lever
	ShoeFactor float64 // [-] drag at the drum's inside over the force that spreads the shoes, both shoes together
	Diameter   float64 // [m] inside
}

// Torque is the brake torque of all drums together [Nm] for a force at the lever [N]: the spreading force is shared by
// the drums, so their number does not change it: lever x ratio x shoe factor x radius. Source: Limpert, Brake Design
// and Safety (brake factor of a drum).
func (d Drum) Torque(lever float64) float64 {
	return lever * d.LeverRatio * d.ShoeFactor * d.Diameter / 2
}

// LeverFor is the force at the lever [N] that gives a torque [Nm].
func (d Drum) LeverFor(torque float64) float64 { return torque / d.Torque(1) }

// ShoeFactorFrom is the shoe factor [-] of the drums when a pull at a radius [m] just turns one of so many braked
// wheels: wheels x pull [N] x radius over lever x ratio x drum radius, for the wheels share the lever's force. Source:
// torque balance.
func (d Drum) ShoeFactorFrom(pull, radius, lever, wheels float64) float64 {
	return wheels * pull * radius / (lever * d.LeverRatio * d.Diameter / 2)
}
