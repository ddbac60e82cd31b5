package valvetrain

import (
	"errors"
	"math"
)

// ErrNeverFloats says that the lobe has no part on which the valve could leave it.
var ErrNeverFloats = errors.New("the lobe has no nose on which the valve could float; look at lift and events")

// FloatSpeed is the lowest crank speed [rad/s] at which the spring no longer holds the valve on the lobe anywhere on
// its nose, and the lift there [m]: seat load + rate x lift = moving mass x w^2 x |curvature|. Rigid valve train, no
// surge: it reads high. Source: force balance; Norton, Design of Machinery, ch. 15.
func FloatSpeed(l Lobe, movingMass, rate, seatLoad float64) (omega, lift float64, err error) {
	from := 0.0 // the lobe law is the same on both flanks
	if l.table != nil {
		from = -l.HalfWidth
	}
	return lowestFloat(from, l.HalfWidth, l.liftAndCurvature, movingMass, rate, seatLoad)
}

// lowestFloat searches a lobe for the angle at which the valve leaves it first: 32 steps, and halving of the best one
// to a millionth of the range.
func lowestFloat(from, to float64, law func(phi float64) (lift, curvature float64), mass, rate, seat float64) (omega, at float64, err error) {
	square := func(phi float64) float64 {
		lift, curvature := law(phi)
		if !(curvature < 0) {
			return math.Inf(1)
		}
		return (seat + rate*lift) / (mass * -curvature)
	}
	const steps = 32
	step := (to - from) / steps
	best, least := from, math.Inf(1)
	for k := range steps {
		phi := from + float64(k)*step
		if s := square(phi); s < least {
			best, least = phi, s
		}
	}
	if math.IsInf(least, 1) {
		return 0, 0, ErrNeverFloats
	}
	for end := step * steps * 1e-6; step > end; step /= 2 {
		for _, phi := range [2]float64{best - step, best + step} {
			if phi < from || phi > to {
				continue
			}
			if s := square(phi); s < least {
				best, least = phi, s
			}
		}
	}
	lift, _ := law(best)
	return math.Sqrt(least), lift, nil
}

// NoseForce is the force between lobe nose and follower [N] at a crank speed [rad/s]:
// rocker ratio x (seat load + rate x lift - moving mass x w^2 x |curvature|), lift and curvature at the valve by crank
// angle, rocker ratio = valve lift over lobe lift. Zero when the valve floats. Source: force balance.
func NoseForce(seatLoad, rate, lift, movingMass, omega, curvature, rockerRatio float64) float64 {
	return math.Max(0, rockerRatio*(seatLoad+rate*lift+movingMass*omega*omega*math.Min(0, curvature)))
}

// NoseRadius is the radius of the lobe at its nose [m]: base circle radius, lift of the lobe, its second derivative by
// cam angle [m/rad2, negative], follower radius (+Inf for a flat one):
//
//	flat: base + lift + s"; curved: Rp^2/(Rp - s") - follower, Rp = base + follower + lift
//
// The error is for a nose that would be pointed or undercut. Source: Norton, Design of Machinery, ch. 8.
func NoseRadius(base, lift, curvature, follower float64) (float64, error) {
	radius := base + lift + curvature
	if !math.IsInf(follower, 1) {
		pitch := base + follower + lift
		radius = pitch*pitch/(pitch-curvature) - follower
	}
	if radius <= 0 {
		return 0, errors.New("the lobe's nose would be pointed; look at base circle, lift, events and follower radius")
	}
	return radius, nil
}

// Elastic constants of hardened steel. Source: Shigley, Mechanical Engineering Design, table A-5 (207 GPa, 0.292).
const (
	SteelModulus = 206e9 // Pa
	SteelPoisson = 0.29
)

// ReducedModulus is E* of two bodies in contact [Pa]: 1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2.
// Source: Johnson, Contact Mechanics, eq. 4.2.
func ReducedModulus(e1, nu1, e2, nu2 float64) float64 {
	return 1 / ((1-nu1*nu1)/e1 + (1-nu2*nu2)/e2)
}

// LineContact is a force pressed through two parallel cylinders.
type LineContact struct {
	Force   float64 // [N]
	Length  float64 // [m] of the line
	R1, R2  float64 // [m] radii; +Inf for a flat
	Reduced float64 // [Pa] ReducedModulus
}

func (c LineContact) radius() float64 { return 1 / (1/c.R1 + 1/c.R2) }

// Peak is the greatest contact stress [Pa]: sqrt(F E*/(pi L R)), 1/R = 1/R1 + 1/R2.
// Source: Johnson, Contact Mechanics, ch. 4.
func (c LineContact) Peak() float64 {
	return math.Sqrt(c.Force * c.Reduced / (math.Pi * c.Length * c.radius()))
}

// Surface is what a follower's face can be made of.
type Surface struct {
	Name      string
	Treated   bool
	Modulus   float64 // [Pa] Young's modulus of the body
	Poisson   float64 // [-]
	Low, High float64 // [Pa] contact stress that it stands with care, and that it does not stand for long
	Source    string
}

// Surfaces lists the follower faces by what they stand, weakest first. The limits are rough: pushes, not laws.
func Surfaces() []Surface {
	const book = "Tribology Handbook B10; Rothbart, Cam Design Handbook, ch. 9 and 16; from memory, within 20 %"
	const trade = "common practice, from memory; the shop that treats it knows its own"
	const ironModulus, ironPoisson = 110e9, 0.26
	return []Surface{
		{"chilled iron", false, ironModulus, ironPoisson, 0.8e9, 1.1e9, book},
		{"case-hardened steel", false, SteelModulus, SteelPoisson, 1.2e9, 1.6e9, book},
		{"hard-faced", true, SteelModulus, SteelPoisson, 1.3e9, 1.6e9, trade},
		{"nitrided", true, SteelModulus, SteelPoisson, 1.3e9, 1.7e9, trade},
		{"DLC", true, SteelModulus, SteelPoisson, 1.4e9, 1.8e9, trade},
	}
}

// SurfaceNamed is the surface of that name.
func SurfaceNamed(name string) (Surface, bool) {
	for _, s := range Surfaces() {
		if s.Name == name {
			return s, true
		}
	}
	return Surface{}, false
}
