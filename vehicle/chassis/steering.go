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

// settle turns a rigid machine about its rear axle until it stands on its wheels. The front axle lies ax ahead of the
// rear axle and az above it [m] before that. It gives the turn [rad], nose up positive, and the wheelbase [m] after it.
// The error is for a machine that cannot stand so.
func settle(ax, az float64, on Wheels) (turn, wheelbase float64, err error) {
	reach := math.Hypot(ax, az)
	rise := (on.Front - on.Rear) / reach
	if !(math.Abs(rise) < 1 && on.Front > 0 && on.Rear > 0) {
		return 0, 0, errors.New("the machine cannot stand on such wheels; look at tyres, wheelbase and fork length")
	}
	return math.Asin(rise) - math.Atan2(az, ax), reach * math.Sqrt(1-rise*rise), nil
}

// Wheels are the loaded radii of the two ends of a machine.
type Wheels struct {
	Front, Rear float64 // [m]
}

// Stand is how a rigid machine stands on other wheels than those that it was measured on: it comes down or up by its
// rear axle and turns about that until the front wheel touches the ground. Springs are as far in as they were.
type Stand struct {
	Turn      float64 // [rad] nose up positive
	Wheelbase float64 // [m]
	was, now  float64 // [m] loaded radii of the rear
}

// StandOn is how a machine of a wheelbase [m], measured on some wheels, stands on others. Exact planar geometry. The
// error is for a machine that cannot stand so.
func StandOn(wheelbase float64, was, now Wheels) (Stand, error) {
	s := Stand{Wheelbase: wheelbase, was: was.Rear, now: now.Rear}
	if was == now {
		return s, nil
	}
	var err error
	s.Turn, s.Wheelbase, err = settle(wheelbase, was.Front-was.Rear, now)
	return s, err
}

// Place is where a point of the machine lies now [m], ahead of the rear axle and above ground, that was measured at x
// and z [m].
func (s Stand) Place(x, z float64) (nowX, nowZ float64) {
	if s.Turn == 0 {
		return x, z + (s.now - s.was)
	}
	sin, cos := math.Sincos(s.Turn)
	above := z - s.was
	return x*cos - above*sin, s.now + x*sin + above*cos
}

// Rake is what a rake that was measured [rad] is now [rad]: nose up leans the steering axis back.
func (s Stand) Rake(measured float64) float64 { return measured + s.Turn }
