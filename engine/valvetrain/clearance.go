package valvetrain

import "math"

// PistonValve is a valve over a piston near top dead centre of the overlap.
type PistonValve struct {
	Given        float64 // [m] clearance along the valve, piston at top dead centre, valve shut
	HalfIncluded float64 // [rad] half the angle between the valve stems
	Lash         float64 // [m] running clearance, taken off the lift
	Lobe         Lobe
	Centre       float64 // [rad] lobe centre, crank angle after top dead centre
}

// overlapHalf is the crank angle to each side of top dead centre that is searched [rad].
const overlapHalf = 60 * math.Pi / 180

// Least is the least clearance along the valve [m] over 60 degrees to each side of top dead centre, and the crank angle
// at which it occurs [rad]: given + (drop - lift cos)/cos, cos of half the included angle, lift less the lash. Drop is
// the piston's drop below top dead centre [m] by crank angle. A scan in steps of five degrees and golden-section search
// in the best one; accurate to below a micrometre. A negative result is how far they would run into each other.
func (p PistonValve) Least(drop func(theta float64) float64) (clearance, angle float64) {
	cos := math.Cos(p.HalfIncluded)
	at := func(theta float64) float64 {
		lift := math.Max(0, p.Lobe.Lift(theta-p.Centre)-p.Lash)
		return p.Given + (drop(theta)-lift*cos)/cos
	}
	const steps = 24
	const step = 2 * overlapHalf / steps
	best, least := 0, math.Inf(1)
	for k := range steps + 1 {
		if c := at(-overlapHalf + float64(k)*step); c < least {
			best, least = k, c
		}
	}
	low := math.Max(-overlapHalf, -overlapHalf+float64(best-1)*step)
	high := math.Min(overlapHalf, -overlapHalf+float64(best+1)*step)
	golden := (math.Sqrt(5) - 1) / 2
	a, b := high-golden*(high-low), low+golden*(high-low)
	ca, cb := at(a), at(b)
	for high-low > 1e-3 { // the clearance is flat there: this leaves less than 0.1 micrometre
		if ca < cb {
			high, b, cb = b, a, ca
			a = high - golden*(high-low)
			ca = at(a)
		} else {
			low, a, ca = a, b, cb
			b = low + golden*(high-low)
			cb = at(b)
		}
	}
	if middle := (low + high) / 2; at(middle) < least {
		return at(middle), middle
	}
	return least, -overlapHalf + float64(best)*step
}

// ValvePair is an intake and an exhaust valve over one cylinder near top dead centre of the overlap.
type ValvePair struct {
	Gap                         float64 // [m] edge to edge of the heads, both shut
	HalfIncluded                float64 // [rad] half the angle between the valve stems
	Intake, Exhaust             Lobe
	IntakeCentre, ExhaustCentre float64 // [rad] lobe centres, crank angle after top dead centre
	IntakeLash, ExhaustLash     float64 // [m] running clearances, taken off the lifts
}

// Least is the least gap between the two heads' nearest edges [m] over 60 degrees to each side of top dead centre: each
// head moves along its stem, so they approach by (sum of lifts) sin and part in height by (difference of lifts) cos of
// half the included angle. Negative where they would pass through each other. In steps of half a degree; within a
// micrometre. Source: plane geometry.
func (v ValvePair) Least() float64 {
	sin, cos := math.Sincos(v.HalfIncluded)
	least := math.Inf(1)
	const steps = 240
	for k := range steps + 1 {
		theta := -overlapHalf + 2*overlapHalf*float64(k)/steps
		in := math.Max(0, v.Intake.Lift(theta-v.IntakeCentre)-v.IntakeLash)
		out := math.Max(0, v.Exhaust.Lift(theta-v.ExhaustCentre)-v.ExhaustLash)
		beside, apart := v.Gap-(in+out)*sin, math.Abs(in-out)*cos
		gap := math.Hypot(beside, apart)
		if beside < 0 {
			gap = beside + apart // one head under the other's edge: what is left between them is the step in height
		}
		least = math.Min(least, gap)
	}
	return least
}
