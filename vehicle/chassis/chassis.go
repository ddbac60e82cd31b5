// Package chassis is mass, centre of gravity, tip-over and steering geometry of a machine on the ground.
//
// Masses, places and lengths go in; centres of gravity, the lateral acceleration at which an inner wheel lifts, wheelie
// and stoppie limits, rake and trail come out. The machine is rigid: tyres, springs and soil are not known here.
// Axes after ISO 8855: x forward, y left, z up, origin on the ground below the rear axle.
package chassis

import (
	"errors"
	"math"
)

// Gravity is the standard acceleration of free fall [m/s2], exact (3rd CGPM, 1901).
const Gravity = 9.80665

// Body is a mass and where its centre sits.
type Body struct {
	Mass float64 // [kg] negative for something taken off
	X    float64 // [m] ahead of the rear axle
	Z    float64 // [m] above ground
}

// Combine is the bodies taken together: sum of the masses and their common centre, sum(m x)/sum(m). With no mass in all
// the centre is the origin. Source: statics.
func Combine(bodies ...Body) Body {
	var all Body
	for _, b := range bodies {
		all.Mass += b.Mass
		all.X += b.Mass * b.X
		all.Z += b.Mass * b.Z
	}
	if all.Mass == 0 {
		return Body{}
	}
	all.X /= all.Mass
	all.Z /= all.Mass
	return all
}

// AxleLoads is the weight on the front and the rear axle [N] of a mass [kg] whose centre is x ahead of the rear axle
// [m].
func AxleLoads(mass, x, wheelbase float64) (front, rear float64) {
	front = mass * Gravity * x / wheelbase
	return front, mass*Gravity - front
}

// Along is how far the centre of gravity is behind the front contact and ahead of the rear contact [m], from the loads
// of the two axles on level ground: a = L Wr/W, b = L - a. Loads in any one unit.
// Source: Milliken and Milliken, Race Car Vehicle Dynamics, 1995, ch. 18.
func Along(wheelbase, front, rear float64) (behindFront, aheadOfRear float64) {
	behindFront = wheelbase * rear / (front + rear)
	return behindFront, wheelbase - behindFront
}

// Raised is a weighing with the front raised and the rear on the scale.
type Raised struct {
	Wheelbase   float64 // [m]
	FrontRadius float64 // [m] loaded radius of the front wheel
	RearRadius  float64 // [m] loaded radius of the rear wheel
	FrontLoad   float64 // [N] on level ground
	RearLoad    float64 // [N] on level ground
	RearRaised  float64 // [N] with the front raised
	Lift        float64 // [m] by how much the front contact was raised
}

// Height is the height of the centre of gravity above ground [m], exact for unequal wheels: with the axles' line
// raised, the rear load's moment about the rear axle gives the centre's height above that axle. The error is for a lift
// that cannot be, or no load. Source: statics of a rigid body; for equal wheels it is Milliken and Milliken, Race Car
// Vehicle Dynamics, 1995, ch. 18: h = r + (Wr' - Wr) L / (W tan theta).
func (r Raised) Height() (float64, error) {
	angle, err := r.Angle()
	weight := r.FrontLoad + r.RearLoad
	if err != nil {
		return 0, err
	}
	if weight <= 0 {
		return 0, errors.New("the wheels carry no load; weigh them on level ground first")
	}
	_, ahead := Along(r.Wheelbase, r.FrontLoad, r.RearLoad)
	// Axle line in the machine's own frame: from (0, rr) to (L, rf). Raised by the angle, the horizontal distance of
	// the axles is dx; the centre stands dx (1 - Wr'/W) ahead of the rear axle.
	dx := r.Wheelbase*math.Cos(angle) - (r.FrontRadius-r.RearRadius)*math.Sin(angle)
	above := (ahead*math.Cos(angle) - dx*(1-r.RearRaised/weight)) / math.Sin(angle)
	return r.RearRadius + above, nil
}

// Angle is by how much the machine is turned when the front is raised [rad]. The wheels turn on their axles, so the
// front axle rises by the lift.
func (r Raised) Angle() (float64, error) {
	step := r.FrontRadius - r.RearRadius
	axles := math.Hypot(r.Wheelbase, step)
	rise := (step + r.Lift) / axles
	if r.Lift <= 0 || rise >= 1 {
		return 0, errors.New("the front must be raised by more than nothing and less than the wheelbase")
	}
	return math.Asin(rise) - math.Atan2(step, r.Wheelbase), nil
}

// Stance is a machine on level ground as tip-over sees it.
type Stance struct {
	Wheelbase  float64 // [m]
	TrackFront float64 // [m] 0 for one wheel in front
	TrackRear  float64 // [m]
	Along      float64 // [m] centre of gravity ahead of the rear axle
	Height     float64 // [m] centre of gravity above ground
}

// HalfTrack is half the width between the tipping axes under the centre of gravity [m], when braking [g0] leans on the
// front: the axis runs from the front to the rear contact of the outer side, and braking acts as if the centre stood
// braking x height further forward.
func (s Stance) HalfTrack(braking float64) float64 {
	ahead := (s.Along + braking*s.Height) / s.Wheelbase
	return (s.TrackRear + (s.TrackFront-s.TrackRear)*ahead) / 2
}

// TipLateral is the lateral acceleration at which the inner wheel lifts [g0], the centre of gravity moved into the turn
// by shift [m], while braking [g0, negative when driving]:
//
//	one wheel in front: [(T/2)(a/L - braking h/L) + shift]/h, a = centre of gravity behind the front contact
//
// With two tracks and no braking it is the lateral stability coefficient Kst. The error is for a machine without height
// or wheelbase, or braking that lifts the rear. Source: statics of the line from the front to the outer rear contact;
// scope of Huston, Graves and Johnson, SAE 820139 (1982).
func (s Stance) TipLateral(shift, braking float64) (float64, error) {
	if s.Height <= 0 || s.Wheelbase <= 0 {
		return 0, errors.New("tip-over needs a wheelbase and a height of the centre of gravity above zero")
	}
	half := s.HalfTrack(braking)
	if half <= 0 {
		return 0, errors.New("the rear lifts under this braking before it can tip; give less braking")
	}
	return (half + shift) / s.Height, nil
}

// WheelieLimit is the acceleration at which the front lifts [g0], the centre of gravity ahead of the rear axle and
// above ground [m], uphill on a slope [rad]: (b/h) cos - sin. Source: Cossalter, Motorcycle Dynamics, ch. 3.
func WheelieLimit(ahead, height, slope float64) float64 {
	return ahead/height*math.Cos(slope) - math.Sin(slope)
}

// StoppieLimit is the deceleration at which the rear lifts [g0]: p/h, p the centre of gravity behind the front contact.
// Source: Cossalter, Motorcycle Dynamics, ch. 3.
func StoppieLimit(behindFront, height float64) float64 { return behindFront / height }

// LeanAngle is how far a bike leans [rad] in a steady turn of a lateral acceleration [g0] on tyres whose crown has a
// radius [m], the centre of gravity at a height [m] when upright: phi + asin(t sin(phi)/(h - t)), phi = atan(ay). Round
// tyres move the contact inwards, so the machine leans further than its resultant. The error is for a crown that is not
// below the centre of gravity. Gyroscopic moments of the wheels are left out (below a degree). Source: Cossalter,
// Motorcycle Dynamics, ch. 4 (steady turning).
func LeanAngle(lateral, height, crown float64) (float64, error) {
	if !(height > 2*crown) || crown < 0 {
		return 0, errors.New("the tyres' crown must be well below the centre of gravity; look at tyre size and height")
	}
	phi := math.Atan(lateral)
	return phi + math.Asin(crown*math.Sin(phi)/(height-crown)), nil
}
