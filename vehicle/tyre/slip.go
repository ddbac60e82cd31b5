package tyre

import "math"

// SlipCurve is force against slip of a tyre on firm ground: D sin(C atan(B phi)), phi = (1 - E) x + (E/B) atan(B x).
// Source: Bakker, Nyborg and Pacejka, SAE 870421.
type SlipCurve struct {
	B, C, D, E float64 // [1/unit of slip] [-] [N] [-]
}

// At is the force [N] at a slip in the curve's unit.
func (c SlipCurve) At(x float64) float64 {
	phi := x
	if c.E != 0 {
		phi = (1-c.E)*x + c.E/c.B*math.Atan(c.B*x)
	}
	return c.D * math.Sin(c.C*math.Atan(c.B*phi))
}

// Slide is how a tyre's grip goes with slip, over the greatest grip and over the slip at which it is reached.
type Slide struct{ curve SlipCurve }

// NewSlide is a tyre of which so much of its greatest grip is left when it slides [-], from a half to all but a
// thousandth of it: beyond, the nearest of these is taken. Source: Bakker, Nyborg and Pacejka, SAE 870421, E = 0: the
// sine of C times an arctangent, which goes to sin(C pi/2).
func NewSlide(left float64) Slide {
	c := 2 - 2/math.Pi*math.Asin(math.Min(0.999, math.Max(0.5, left)))
	return Slide{SlipCurve{B: math.Tan(math.Pi / (2 * c)), C: c, D: 1}}
}

// Needs is the slip over that of the greatest grip [-] at which so much of it is reached [-], on the side where more
// slip gives more; 1 from all of it on.
func (s Slide) Needs(share float64) float64 {
	return math.Tan(math.Asin(math.Min(1, share))/s.curve.C) / s.curve.B
}

// Combined is the share of the greatest grip along and across [-] at slips along and across, each over the slip at
// which it is greatest on its own [-]: the curve at the length of both, in their direction. Source: similarity for a
// tyre that is alike in all directions, Pacejka, Tyre and Vehicle Dynamics, section 3.3.
func (s Slide) Combined(along, across float64) (fx, fy float64) {
	length := math.Hypot(along, across)
	if length == 0 {
		return 0, 0
	}
	share := s.curve.At(length) / length
	return share * along, share * across
}
