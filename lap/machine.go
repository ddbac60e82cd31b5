package lap

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"shakedown/vehicle/tyre"
)

// gravity is the standard one [m/s2].
const gravity = 9.80665

// Machine is what of a machine and its rider decides a lap.
type Machine struct {
	Mass       float64 // [kg] with rider and fuel
	Wheelbase  float64 // [m]
	Ahead      float64 // [m] centre of gravity ahead of the rear axle
	Height     float64 // [m] centre of gravity above ground
	TrackRear  float64 // [m] 0 for a bike, which leans and cannot tip
	TrackFront float64 // [m] 0 for one wheel in front
	SolidAxle  bool    // both rear wheels turn alike
	HungOff    float64 // [m] by which the rider moves the common centre of gravity into the turn
	Give       float64 // [-] share of the tip-over that tyres and springs take
	Lean       float64 // [rad] greatest, of a bike

	Grip     float64 // [-] greatest force over load
	SlipPeak float64 // [-] slip at which it is reached; the wheels of a bike lean and want none across
	Fall     float64 // [-] share of it that is left when all slides
	Holds    float64 // [-] share of a solid axle's moment that the rider leaves it: he breaks the wheels loose with the throttle
	Rolling  float64 // [-] drag over weight
	DragArea float64 // [m2]
	Air      float64 // [kg/m3]

	BrakeFront, BrakeRear float64 // [N] at the ground that a hand and a foot can hold

	Thrust Thrust

	Ride    float64 // [Hz] in which the body swings on its springs; 0 for one without springs
	Travel  float64 // [m] of the suspension, the lesser end
	Absorbs float64 // [J/kg] that the suspension takes of a landing before it is through
}

// Pull is the force at the driven tyres against speed in one gear, at the steps of the Thrust it belongs to.
type Pull struct {
	Force []float64 // [N]
	Mass  []float64 // [kg]
	Top   float64   // [m/s] the redline; above it there is no force
}

// Thrust is the force at the driven tyres against speed, in the gear that pushes most, at equal steps of speed from 0.
type Thrust struct {
	Step  float64   // [m/s]
	Force []float64 // [N]
	Mass  []float64 // [kg] machine and what turns with it, as one that does not turn
	Gear  []int     // from 1
	Shut  []float64 // [N] that the engine holds back with its throttle shut; nil for nothing
	Each  []Pull    // the same of each gear, first gear first; nil when the rider takes the gears as they are above
	Shift float64   // [s] without thrust in a change
}

// ErrMachine says what of a machine cannot be.
var ErrMachine = errors.New("the lap cannot be computed")

// Validate says what cannot be.
func (m *Machine) Validate() error {
	for _, c := range []struct {
		ok   bool
		what string
	}{
		{m.Mass > 0, "a mass"}, {m.Wheelbase > 0, "a wheelbase"}, {m.Ahead > 0 && m.Ahead < m.Wheelbase, "a centre of gravity between the axles"}, {m.Height > 0, "a height of the centre of gravity"},
		{m.TrackRear > 0 || m.Lean > 0, "a rear track, or the lean of a bike"}, {m.Grip > 0, "a grip"}, {m.Rolling >= 0 && m.DragArea >= 0 && m.Air >= 0, "drags of zero or more"},
		{m.BrakeFront+m.BrakeRear > 0, "a brake"}, {m.Thrust.Step > 0 && len(m.Thrust.Force) > 1 && len(m.Thrust.Mass) == len(m.Thrust.Force) && len(m.Thrust.Gear) == len(m.Thrust.Force) && (m.Thrust.Shut == nil || len(m.Thrust.Shut) == len(m.Thrust.Force)) && m.Thrust.Shift >= 0 && !slices.ContainsFunc(m.Thrust.Each, func(p Pull) bool {
			return len(p.Force) != len(m.Thrust.Force) || len(p.Mass) != len(p.Force) || !(p.Top > 0)
		}), "a thrust"},
		{m.TrackRear == 0 || m.SlipPeak > 0, "the slip at the greatest grip"}, {m.TrackRear == 0 || m.Fall >= 0.5 && m.Fall <= 1, "a sliding grip of half to all of the greatest"}, {m.Give >= 0 && m.Give < 1, "what tyres and springs take of the tip-over"},
	} {
		if !c.ok {
			return fmt.Errorf("%w: it needs %s", ErrMachine, c.what)
		}
	}
	return nil
}

// corner is what a turn of one curvature allows.
type corner struct {
	grip float64 // [-] lateral over normal load at which front or rear lets go
	drag float64 // [-] over the weight at that: tyres that slip across point their force backwards, and the two wheels of a solid axle scrub
}

// Of the search for what a solid axle allows.
const (
	leastDrift = 0.2 // [-] slip across over that of the greatest grip, and
	mostDrift  = 6.0 // [-] at which no more is looked for
	drifts     = 10  // steps of the search
	settles    = 3   // rounds for load and slip to agree
	falls      = 4   // steps to where both wheels pull alike
)

// cornerOf finds it: the two wheels of a solid axle turn alike and so slip against each other by the track over the
// radius; their forces along turn the machine out of the corner, and the front must hold it in beside its own share.
// Without drive both are equal, so the lighter wheel slips more. The rear may drift: the more it slides across, the
// less is left along. The drift that allows most is taken. Source: combined slip, tyre room; solid axle, chassis room;
// statics.
func (m *Machine) cornerOf(curvature float64) corner {
	k := math.Abs(curvature)
	if k == 0 || m.TrackRear == 0 { // a bike leans: camber, not slip, holds it in the turn
		return corner{grip: m.Grip}
	}
	if !m.SolidAxle {
		return corner{m.Grip, m.Grip * math.Sin(math.Atan(m.SlipPeak))}
	}
	slide, half := tyre.NewSlide(m.Fall), m.TrackRear*k/2/m.SlipPeak
	try := func(log float64) drift { return m.drifting(slide, half, math.Exp(log)) }
	// Golden section over the logarithm: with the drift the rear's hold rises and falls, the front's need of it falls.
	const golden = 0.6180339887498949
	low, high := math.Log(leastDrift), math.Log(mostDrift)
	a, b := high-golden*(high-low), low+golden*(high-low)
	before, after := try(a), try(b)
	for range drifts {
		if before.holds < after.holds {
			low, a, before = a, b, after
			b = low + golden*(high-low)
			after = try(b)
		} else {
			high, b, after = b, a, before
			a = high - golden*(high-low)
			before = try(a)
		}
	}
	if after.holds > before.holds {
		before = after
	}
	return corner{min(m.Grip, before.holds), before.drag + before.moment*k}
}

// drift is what a machine holds with its rear sliding across.
type drift struct {
	holds  float64 // [-] lateral over the normal load
	drag   float64 // [-] over the weight: the forces across of both ends, as far as they point backwards
	moment float64 // [m] of the axle over the weight, out of the corner
}

// drifting is what the machine holds with its rear sliding across by so much of the slip of the greatest grip, its
// wheels slipping along by half of the difference either way.
func (m *Machine) drifting(slide tyre.Slide, half, across float64) drift {
	front := m.Ahead / m.Wheelbase
	rear := 1 - front
	taken := rear // share of the roll moment that the rear takes
	if m.TrackFront == 0 {
		taken = 1
	}
	d := drift{holds: m.Grip}
	side := 0.0
	for range settles {
		moved := max(0, d.holds*m.Height-m.HungOff) / m.TrackRear * taken
		inner, outer := max(0, rear/2-moved), min(rear, rear/2+moved)
		// The common slip along of both wheels, at which they push as much as they hold: by false position, an end that
		// stays counted half (Illinois).
		most, _ := slide.Combined(2*half, across)
		low, high, under, over := -half, half, -outer*most, inner*most
		var along float64
		for range falls {
			free := low
			if over > under {
				free += (high - low) * under / (under - over)
			}
			x1, y1 := slide.Combined(half+free, across)
			x2, y2 := slide.Combined(free-half, across)
			along, side = inner*x1, inner*y1+outer*y2
			if both := along + outer*x2; both > 0 {
				high, over, under = free, both, under/2
			} else {
				low, under, over = free, both, over/2
			}
		}
		d.moment = m.Holds * m.Grip * along * m.TrackRear
		d.holds = max(0, min((m.Grip*side+d.moment/m.Wheelbase)/rear, (m.Grip*front-d.moment/m.Wheelbase)/front))
	}
	rearward := func(across float64) float64 { return math.Sin(math.Atan(across * m.SlipPeak)) }
	steers := d.holds*front + d.moment/m.Wheelbase // what the front holds, over the weight
	d.drag = steers * rearward(slide.Needs(steers/(m.Grip*front)))
	d.drag += m.Grip * side * rearward(across)
	return d
}

// tips is the lateral over the normal load at which the inner wheel lifts [-] while braking [of the normal load]; a
// bike's is its lean.
func (m *Machine) tips(braking float64) float64 {
	if m.TrackRear == 0 {
		return math.Tan(m.Lean)
	}
	ahead := (m.Ahead + braking*m.Height) / m.Wheelbase
	half := (m.TrackRear + (m.TrackFront-m.TrackRear)*ahead) / 2
	return max(0, (1-m.Give)*(half+m.HungOff)/m.Height)
}

// brakesInTurn is the greatest braking over the normal load [-] at which the machine does not tip with so much lateral
// load.
func (m *Machine) brakesInTurn(lateral float64) float64 {
	if m.TrackRear == 0 || m.TrackFront >= m.TrackRear {
		return math.Inf(1)
	}
	none := m.tips(0)
	slope := (1 - m.Give) * (m.TrackRear - m.TrackFront) / (2 * m.Wheelbase)
	return max(0, (none-lateral)/slope)
}

// at is the thrust at a speed [m/s]: force [N], mass [kg] and gear.
func (t *Thrust) at(v float64) (force, mass float64, gear int) {
	x := v / t.Step
	i := int(x)
	if i >= len(t.Force)-1 {
		return 0, t.Mass[len(t.Mass)-1], t.Gear[len(t.Gear)-1]
	}
	f := x - float64(i)
	return t.Force[i] + f*(t.Force[i+1]-t.Force[i]), t.Mass[i] + f*(t.Mass[i+1]-t.Mass[i]), t.Gear[i]
}

// in is the thrust in a gear, counted from 0, at a speed [m/s]: force [N] and mass [kg].
func (t *Thrust) in(gear int, v float64) (force, mass float64) {
	p := &t.Each[gear]
	x := v / t.Step
	i := int(x)
	if i >= len(p.Force)-1 || v > p.Top {
		return 0, p.Mass[min(i, len(p.Mass)-1)]
	}
	f := x - float64(i)
	return p.Force[i] + f*(p.Force[i+1]-p.Force[i]), p.Mass[i] + f*(p.Mass[i+1]-p.Mass[i])
}

// shut is what the engine holds back [N] at a speed [m/s].
func (t *Thrust) shut(v float64) float64 {
	if t.Shut == nil {
		return 0
	}
	x := v / t.Step
	i := int(x)
	if i >= len(t.Shut)-1 {
		return t.Shut[len(t.Shut)-1]
	}
	return t.Shut[i] + (x-float64(i))*(t.Shut[i+1]-t.Shut[i])
}

// revvedOut says that a speed [m/s] in a gear, counted from 1, is that of the redline in top gear. A speed is held
// there up to one step below it, for the force falls to nothing over a step.
func (t *Thrust) revvedOut(gear int, v float64) bool {
	if gear != t.Gear[len(t.Gear)-1] {
		return false
	}
	top := 0.0
	if len(t.Each) > 0 {
		top = t.Each[len(t.Each)-1].Top
	} else {
		for i, force := range t.Force {
			if force > 0 {
				top = t.Step * float64(i+1)
			}
		}
		if top > t.Top() {
			return false // it pushes at all speeds
		}
	}
	return v >= top-t.Step
}

// Top is the fastest that the thrust is given for [m/s].
func (t *Thrust) Top() float64 { return t.Step * float64(len(t.Force)-1) }

// LevelDrag is what holds the machine back on the level [N] at a speed [m/s]: rolling and air.
func (m *Machine) LevelDrag(v float64) float64 {
	return m.Rolling*m.Mass*gravity + 0.5*m.Air*m.DragArea*v*v
}
