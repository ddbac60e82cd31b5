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
