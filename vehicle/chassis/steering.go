package chassis

import (
	"errors"
	"math"
)

// Steering is the front end seen from the side.
type Steering struct {
	Rake        float64 // [rad] steering axis from the vertical
	Offset      float64 // [m] axis to front axle, square to the axis: clamps and axle lead together
	FrontRadius float64 // [m] loaded
}

// NormalTrail is the front contact's distance from the steering axis [m], square to the axis: R sin(rake) - offset.
// Source: Cossalter, Motorcycle Dynamics, ch. 1.
func (s Steering) NormalTrail() float64 { return s.FrontRadius*math.Sin(s.Rake) - s.Offset }

// Trail is the front contact behind the point where the steering axis meets the ground [m]: normal trail / cos(rake).
// Source: Cossalter, Motorcycle Dynamics, ch. 1.
func (s Steering) Trail() float64 { return s.NormalTrail() / math.Cos(s.Rake) }

// Standing is a machine seen from the side, as the geometry of its front end needs it.
type Standing struct {
	Steering
	RearRadius float64 // [m] loaded
	Wheelbase  float64 // [m]
}

// With is the machine standing on its wheels after the fork tubes were raised in the clamps by so much [m, negative for
// lowered] and the front wheel was changed for one of another loaded radius [m]: rake, trail and wheelbase turn with it.
// Exact planar geometry of a rigid frame: frame and rear axle keep their shape, the front axle moves along the fork.
// The error is for a machine that cannot stand so.
func (s Standing) With(raised, frontRadius float64) (Standing, error) {
	// In the frame as it stood: the front axle relative to the rear axle.
	ax := s.Wheelbase + raised*(-math.Sin(s.Rake))
	az := s.FrontRadius - s.RearRadius + raised*math.Cos(s.Rake)
	reach := math.Hypot(ax, az)
	drop := (frontRadius - s.RearRadius) / reach
	if math.Abs(drop) >= 1 || frontRadius <= 0 {
		return Standing{}, errors.New("the machine cannot stand on such wheels; look at radius and fork length")
	}
	turned := math.Asin(drop) - math.Atan2(az, ax) // nose up is positive
	after := s
	after.Rake = s.Rake + turned
	after.FrontRadius = frontRadius
	after.Wheelbase = reach * math.Cos(math.Asin(drop))
	return after, nil
}
