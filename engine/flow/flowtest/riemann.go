// Package flowtest holds problems of gas flow whose answers are known: the Riemann problem solved exactly, and the
// simple wave. Only tests use it.
//
// Left and right states of an ideal gas go in; the state at any place and time comes out. It knows nothing of the
// scheme that it judges.
package flowtest

import "math"

// Side is one side of a Riemann problem.
type Side struct {
	Density  float64 // [kg/m3]
	Velocity float64 // [m/s]
	Pressure float64 // [Pa]
}

// Riemann is two states that meet at x = 0 when t = 0, an ideal gas.
type Riemann struct {
	Left, Right Side
	Ratio       float64 // [-] of heats
}

func (s Side) sound(ratio float64) float64 { return math.Sqrt(ratio * s.Pressure / s.Density) }

// wave is the change of velocity over the wave of one side to a pressure, and its slope.
func (s Side) wave(p, g float64) (f, slope float64) {
	c := s.sound(g)
	if p > s.Pressure { // shock
		a, b := 2/((g+1)*s.Density), (g-1)/(g+1)*s.Pressure
		root := math.Sqrt(a / (p + b))
		return (p - s.Pressure) * root, root * (1 - (p-s.Pressure)/(2*(b+p)))
	}
	return 2 * c / (g - 1) * (math.Pow(p/s.Pressure, (g-1)/(2*g)) - 1), 1 / (s.Density * c) * math.Pow(p/s.Pressure, -(g+1)/(2*g))
}

// Star is pressure [Pa] and velocity [m/s] between the waves. Source: Toro, Riemann Solvers and Numerical Methods for
// Fluid Dynamics, ch. 4.
func (r Riemann) Star() (pressure, velocity float64) {
	p := math.Max(1e-9*math.Min(r.Left.Pressure, r.Right.Pressure), (r.Left.Pressure+r.Right.Pressure)/2)
	for range 500 {
		fl, dl := r.Left.wave(p, r.Ratio)
		fr, dr := r.Right.wave(p, r.Ratio)
		next := p - (fl+fr+r.Right.Velocity-r.Left.Velocity)/(dl+dr)
		if next <= 0 {
			next = p / 10
		}
		if math.Abs(next-p) < 1e-14*p {
			p = next
			break
		}
		p = next
	}
	fl, _ := r.Left.wave(p, r.Ratio)
	fr, _ := r.Right.wave(p, r.Ratio)
	return p, (r.Left.Velocity+r.Right.Velocity)/2 + (fr-fl)/2
}

// Densities between the waves, left and right of the contact [kg/m3].
func (r Riemann) Densities() (left, right float64) {
	p, _ := r.Star()
	of := func(s Side) float64 {
		q := p / s.Pressure
		if q > 1 {
			k := (r.Ratio - 1) / (r.Ratio + 1)
			return s.Density * (q + k) / (k*q + 1)
		}
		return s.Density * math.Pow(q, 1/r.Ratio)
	}
	return of(r.Left), of(r.Right)
}

// At is the state at x/t [m/s].
func (r Riemann) At(speed float64) Side {
	p, u := r.Star()
	if speed > u { // look at the mirror image
		m := Riemann{Left: Side{r.Right.Density, -r.Right.Velocity, r.Right.Pressure}, Right: Side{r.Left.Density, -r.Left.Velocity, r.Left.Pressure}, Ratio: r.Ratio}.left(p, -u, -speed)
		m.Velocity = -m.Velocity
		return m
	}
	return r.left(p, u, speed)
}

// left is the state left of the contact.
func (r Riemann) left(p, u, speed float64) Side {
	s, g := r.Left, r.Ratio
	c := s.sound(g)
	if p > s.Pressure {
		q := p / s.Pressure
		if speed < s.Velocity-c*math.Sqrt((g+1)/(2*g)*q+(g-1)/(2*g)) {
			return s
		}
		k := (g - 1) / (g + 1)
		return Side{s.Density * (q + k) / (k*q + 1), u, p}
	}
	star := c * math.Pow(p/s.Pressure, (g-1)/(2*g))
	switch {
	case speed < s.Velocity-c:
		return s
	case speed > u-star:
		return Side{s.Density * math.Pow(p/s.Pressure, 1/g), u, p}
	}
	v := 2 / (g + 1) * (c + (g-1)/2*s.Velocity + speed)
	a := 2 / (g + 1) * (c + (g-1)/2*(s.Velocity-speed))
	return Side{s.Density * math.Pow(a/c, 2/(g-1)), v, s.Pressure * math.Pow(a/c, 2*g/(g-1))}
}
