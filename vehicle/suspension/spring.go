// Package suspension is springs, leverage, air columns and sag: what carries the machine between wheel and frame.
//
// Rates, lengths and loads go in; wheel rates, sag, natural frequencies and air pressures come out. Friction and
// damping are not known here yet.
package suspension

import "math"

// Frequency is the natural frequency [Hz] of a mass [kg] on a rate [N/m]: sqrt(k/m)/2 pi.
func Frequency(rate, mass float64) float64 { return math.Sqrt(rate/mass) / (2 * math.Pi) }

// SpringThrough is the rate [N/m] and preload [m] of the spring that gives two forces [N] at two squashes beyond its
// preload [m]. A negative preload means that no spring with any preload can do both.
func SpringThrough(squash1, force1, squash2, force2 float64) (rate, preload float64) {
	rate = (force2 - force1) / (squash2 - squash1)
	return rate, force1/rate - squash1
}

// LeastGap is the least gap between two parts [m] over a travel [m], by a straight line through two readings of gap and
// travel [m]. Negative where they would run into each other. Source: straight line; good for parts that a link or
// swingarm moves through a small angle.
func LeastGap(firstAt, first, secondAt, second, travel float64) float64 {
	slope := (second - first) / (secondAt - firstAt)
	return math.Min(first-slope*firstAt, first+slope*(travel-firstAt))
}
