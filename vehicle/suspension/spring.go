// Package suspension is springs, leverage, air columns and sag: what carries the machine between wheel and frame.
//
// Rates, lengths and loads go in; wheel rates, sag, natural frequencies and air pressures come out. Friction and damping
// are not known here yet.
package suspension

import "math"

// CoilRate is the rate of a helical compression spring [N/m]: G d^4/(8 D^3 N), shear modulus in Pa, wire and mean coil
// diameter in m, active coils. Source: Shigley, Mechanical Engineering Design, eq. 10-9.
func CoilRate(shearModulus, wire, mean, active float64) float64 {
	return shearModulus * math.Pow(wire, 4) / (8 * math.Pow(mean, 3) * active)
}

// Wahl is Wahl's factor for curvature and direct shear [-]: (4C-1)/(4C-4) + 0.615/C, C the mean diameter over the wire.
func Wahl(index float64) float64 { return (4*index-1)/(4*index-4) + 0.615/index }

// Bergstraesser is the factor (4C+2)/(4C-3) [-]. Source: Shigley, Mechanical Engineering Design, eq. 10-5.
func Bergstraesser(index float64) float64 { return (4*index + 2) / (4*index - 3) }

// ForceAtShear is the spring force [N] at which the wire's shear stress reaches a limit [Pa]:
// pi d^3 S/(8 K D) with Bergstraesser's factor. Source: Shigley, Mechanical Engineering Design, ch. 10.
func ForceAtShear(limit, wire, mean float64) float64 {
	return math.Pi * math.Pow(wire, 3) * limit / (8 * Bergstraesser(mean/wire) * mean)
}

// Series is the rate of two springs end to end [N/m].
func Series(a, b float64) float64 { return a * b / (a + b) }

// SeriesForce is the force [N] of two springs end to end squashed by so much in all [m], when the first goes solid, or
// meets its stop, after so much of its own squash [m]. Continuous with one kink.
func SeriesForce(first, second, stop, squash float64) float64 {
	kink := first * stop
	at := stop + kink/second
	if squash <= at {
		return Series(first, second) * squash
	}
	return kink + second*(squash-at)
}

// WheelRate is the rate at the wheel [N/m] of a spring of rate K through a motion ratio MR = spring travel over wheel
// travel: K MR^2 + F dMR/dz, F the spring force [N] and dMR/dz [1/m]. The second term is there whenever the leverage
// changes. Source: virtual work; Milliken and Milliken, Race Car Vehicle Dynamics, 1995, ch. 16.
func WheelRate(rate, ratio, force, slope float64) float64 { return rate*ratio*ratio + force*slope }

// Frequency is the natural frequency [Hz] of a mass [kg] on a rate [N/m]: sqrt(k/m)/2 pi.
func Frequency(rate, mass float64) float64 { return math.Sqrt(rate/mass) / (2 * math.Pi) }

// FrequencyFromSag is the natural frequency [Hz] of a linear spring that its load squashes by so much [m]: sqrt(g/s)/2 pi.
func FrequencyFromSag(sag float64) float64 { return math.Sqrt(gravity/sag) / (2 * math.Pi) }

// gravity is the standard acceleration of free fall [m/s2], exact (3rd CGPM, 1901).
const gravity = 9.80665

// CriticalDamping is the damping at which the mass returns without overshoot [N s/m]: 2 sqrt(k m).
func CriticalDamping(rate, mass float64) float64 { return 2 * math.Sqrt(rate*mass) }

// AirSpring is the force [N] of an air column of a length [m] and area [m2], shortened by x [m], over the air outside:
// p0 A ((h/(h-x))^n - 1), atmospheric p0 [Pa] when long. x stays below the length. Source: polytropic gas.
func AirSpring(atmosphere, area, length, x, exponent float64) float64 {
	return atmosphere * area * (math.Pow(length/(length-x), exponent) - 1)
}

// Energy is what a spring takes up [J] over a travel from its preload: k/2 ((s+p)^2 - p^2), lengths in m.
func Energy(rate, preload, travel float64) float64 {
	return rate / 2 * (math.Pow(travel+preload, 2) - preload*preload)
}

// DropHeight is the height above first touch [m] from which a mass falls into the spring and just uses all its travel:
// E/(m g) - s. Damping left out. Source: energy.
func DropHeight(energy, mass, travel float64) float64 { return energy/(mass*gravity) - travel }

// SpringThrough is the rate [N/m] and preload [m] of the spring that gives two forces [N] at two squashes beyond its
// preload [m]. A negative preload means that no spring with any preload can do both.
func SpringThrough(squash1, force1, squash2, force2 float64) (rate, preload float64) {
	rate = (force2 - force1) / (squash2 - squash1)
	return rate, force1/rate - squash1
}

// LeastGap is the least gap between two parts [m] over a travel [m], by a straight line through two readings of gap and
// travel [m]. Negative where they would run into each other. Source: straight line; good for parts that a link or swingarm
// moves through a small angle.
func LeastGap(firstAt, first, secondAt, second, travel float64) float64 {
	slope := (second - first) / (secondAt - firstAt)
	return math.Min(first-slope*firstAt, first+slope*(travel-firstAt))
}
