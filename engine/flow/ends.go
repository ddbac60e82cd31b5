package flow

import (
	"errors"
	"math"
)

// ErrFlow says that a flow came out of what the equations hold for.
var ErrFlow = errors.New("flow: the gas has lost its pressure")

// Prepare works out the states at all faces for a step of dt [s]; then the ends are solved, then Advance is called.
func (p *Pipe) Prepare(dt float64) { p.reconstruct(dt) }

// seen is the state of the pipe at an end half a step on, looking out of it: velocity outwards.
type seen struct {
	sides
	out  float64 // [m/s] towards the outside
	c    float64 // [m/s]
	z    float64 // [kg/(m2 s)] impedance rho c
	sign float64 // of outwards along the pipe
}

func (p *Pipe) look(s Side) seen {
	i, st, sign := 1, &p.left[1], -1.0
	if s == Far {
		i, st, sign = p.n, &p.right[p.n], 1.0
	}
	c := math.Sqrt(p.rc2[i] / p.rho[i])
	return seen{*st, sign * st.u, c, st.rho * c, sign}
}

// wall is the pressure [Pa] with the end closed: what arrives is stopped, to first order.
func (v *seen) wall() float64 { return v.p + v.z*v.out }

// set fixes the state at an end: pressure [Pa], velocity outwards [m/s], density [kg/m3], internal energy per volume
// [J/m3] and shares of what passes. The flux is that of this state.
func (p *Pipe) set(s Side, sign, pressure, out, density, inner, y1, y2 float64) {
	e := &p.ends[s]
	u := sign * out
	e.face = sides{density, u, pressure, inner, y1, y2}
	mass := density * u
	e.flux = fluxes{mass, mass*u + pressure, (inner + 0.5*density*u*u + pressure) * u, mass * y1, mass * y2}
}

// along is density and internal energy per volume of the pipe's own gas at its end when it is squeezed to another
// pressure without loss, or let down to it: first order in the pressure about the state of the end, which is half a
// cell away. Let down far, it is the specific volume that goes straight with the pressure, so that the density never
// falls below zero.
func (v *seen) along(pressure float64) (density, inner float64) {
	d := (pressure - v.p) / (v.c * v.c)
	if d >= 0 {
		return v.rho + d, v.in + d*(v.in+v.p)/v.rho
	}
	density = v.rho * v.rho / (v.rho - d)
	return density, density * (v.in/v.rho - 0.5*(pressure+v.p)*(1/density-1/v.rho))
}

// Closed ends the pipe with a wall.
func (p *Pipe) Closed(s Side) {
	v := p.look(s)
	pressure := v.wall()
	if v.out > 0 { // a shock runs back: second order in the velocity, Toro ch. 3, ratio 1.4
		pressure = v.p + v.z*v.out*(1+0.6*v.out/v.c)
	}
	density, inner := v.along(pressure)
	p.set(s, v.sign, pressure, 0, density, inner, v.y1, v.y2)
}

// Through lets what arrives at the end leave as it is: for flows faster than sound and for tests.
func (p *Pipe) Through(s Side) {
	v := p.look(s)
	p.set(s, v.sign, v.p, v.out, v.rho, v.in, v.y1, v.y2)
}

// Reservoir is gas at rest beyond an opening.
type Reservoir struct {
	Pressure    float64 // [Pa]
	Temperature float64 // [K]
	Y1, Y2      float64 // [-]
	enthalpy    float64 // [J/kg]
	r, ratio    float64
}

// Rest makes a reservoir ready for its opening.
func (g *Gas) Rest(pressure, temperature, y1, y2 float64) Reservoir {
	e, cv := g.EnergyAt(temperature, y1, y2)
	r := g.R(y1, y2)
	return Reservoir{pressure, temperature, y1, y2, e + r*temperature, r, 1 + r/cv}
}

// Nozzle is the flow of a nozzle without loss per area over p0/sqrt(R T0) [-] for a pressure ratio p/p0 below 1 and a
// ratio of heats; it no longer rises below the critical pressure ratio. Source: Heywood 1988, App. C.
func Nozzle(pressureRatio, ratio float64) float64 {
	logs := math.Log(pressureRatio) / ratio
	a := math.Exp(logs) // (p/p0)^(1/ratio)
	t := pressureRatio / a
	// Choked where the velocity is that of sound: t = 2/(ratio+1).
	if t < 2/(ratio+1) {
		t = 2 / (ratio + 1)
		a = math.Exp(math.Log(t) / (ratio - 1))
	}
	// Next to no pressure drop, rounding can carry t past 1.
	return a * math.Sqrt(2*ratio/(ratio-1)*math.Max(0, 1-t))
}

// endIterations bounds the search for the pressure at an end; it needs three to five.
const endIterations = 40

// Opening joins an end of the pipe to a reservoir through a hole of an effective area [m2], its discharge coefficient
// taken in: the flow is that of a nozzle without loss down to the pressure on the other side, which the jet keeps. An
// area as large as the pipe is an open end. It gives ErrFlow when no pressure satisfies both.
func (p *Pipe) Opening(s Side, effective float64, beyond *Reservoir) error {
	if effective <= 0 {
		p.Closed(s)
		return nil
	}
	v := p.look(s)
	area := p.EndArea(s)
	wall := v.wall()
	switch {
	case wall > beyond.Pressure:
		return p.outflow(s, &v, math.Min(1, effective/area), beyond.Pressure, wall)
	case wall < beyond.Pressure:
		return p.inflow(s, &v, math.Min(1, effective/area), beyond, wall)
	}
	p.Closed(s)
	return nil
}

// outflow finds the pressure at the end between that beyond and that of a wall: what the pipe brings there passes the
// hole.
func (p *Pipe) outflow(s Side, v *seen, share, beyond, wall float64) error {
	i := p.last(s)
	ratio := p.rc2[i] / p.p[i]
	if m := v.out / v.c; share >= 1 && m > 1 && beyond < v.p*(1+2*ratio/(ratio+1)*(m*m-1)) {
		p.Through(s) // faster than sound, and what is beyond could not hold a shock against it (normal shock, NACA Rep. 1135)
		return nil
	}
	// What is left over at a pressure: brought by the wave less passed by the hole, per area; it falls as pressure
	// rises.
	left := func(pressure float64) (excess, out, density, inner float64) {
		density, inner = v.along(pressure)
		out = v.out + (v.p-pressure)/v.z
		if share >= 1 && out*out*density <= ratio*pressure {
			return beyond - pressure, out, density, inner // an open end keeps the pressure beyond
		}
		// The gas gathers to rest and expands to the pressure beyond.
		m2 := out * out * density / (ratio * pressure)
		rise := 1 + (ratio-1)/2*m2
		p0 := pressure * math.Exp(math.Log(rise)*ratio/(ratio-1))
		pass := 0.0
		if beyond < p0 {
			pass = share * p0 * math.Sqrt(density/(pressure*rise)) * Nozzle(beyond/p0, ratio)
		}
		return density*out - pass, out, density, inner
	}
	low, high := beyond, wall
	fl, _, _, _ := left(low)
	if share >= 1 && fl == 0 || fl <= 0 { // nothing holds it back
		_, out, density, inner := left(low)
		if limit := math.Sqrt(ratio * low / density); out > limit { // faster than sound: the end keeps a pressure of its own
			p.Through(s)
			return nil
		}
		p.set(s, v.sign, low, out, density, inner, v.y1, v.y2)
		return nil
	}
	fh, _, _, _ := left(high)
	x, err := Falling(low, high, fl, fh, p.ends[s].face.p, func(x float64) float64 { f, _, _, _ := left(x); return f })
	if err != nil {
		return err
	}
	_, out, density, inner := left(x)
	p.set(s, v.sign, x, out, density, inner, v.y1, v.y2)
	return nil
}

// inflow finds the pressure at the end between that of a wall and that beyond: what the hole lets in the wave takes up.
func (p *Pipe) inflow(s Side, v *seen, share float64, beyond *Reservoir, wall float64) error {
	// Enthalpy is kept through the hole: density at the end from pressure and velocity.
	at := func(pressure float64) (in, density, temperature float64) {
		in = (pressure-v.p)/v.z - v.out // into the pipe
		cp := beyond.r * beyond.ratio / (beyond.ratio - 1)
		temperature = beyond.Temperature - 0.5*in*in/cp
		if least := 0.3 * beyond.Temperature; temperature < least {
			temperature = least
		}
		return in, pressure / (beyond.r * temperature), temperature
	}
	excess := func(pressure float64) float64 { // let in by the hole less taken up; falls as pressure rises
		in, density, _ := at(pressure)
		return share*beyond.Pressure/math.Sqrt(beyond.r*beyond.Temperature)*Nozzle(math.Min(1, pressure/beyond.Pressure), beyond.ratio) - density*in
	}
	low, high := math.Max(wall, 1e-3*beyond.Pressure), beyond.Pressure
	fl, fh := excess(low), excess(high)
	if fl <= 0 || fh >= 0 {
		p.Closed(s)
		return nil
	}
	x, err := Falling(low, high, fl, fh, p.ends[s].face.p, excess)
	if err != nil {
		return err
	}
	in, density, _ := at(x)
	// Behind the hole the stream fills the pipe again; it does so slower than sound.
	if sonic := math.Sqrt(2 * beyond.ratio / (beyond.ratio + 1) * beyond.r * beyond.Temperature); in > sonic {
		density *= in / sonic
		in = sonic
		x = density * beyond.r * beyond.Temperature * 2 / (beyond.ratio + 1)
	}
	// The energy that passes is the reservoir's enthalpy, exactly.
	inner := density*(beyond.enthalpy-0.5*in*in) - x
	p.set(s, v.sign, x, -in, density, inner, beyond.Y1, beyond.Y2)
	return nil
}

// Falling finds where a function that falls from fl at low to fh at high is zero: secants from a first guess, kept
// between. The error is ErrFlow where it does not settle.
func Falling(low, high, fl, fh, guess float64, f func(float64) float64) (float64, error) {
	if fl == 0 {
		return low, nil
	}
	if fh == 0 {
		return high, nil
	}
	x := guess
	if !(x > low && x < high) {
		x = low + (high-low)*fl/(fl-fh)
	}
	scale := math.Abs(fl) + math.Abs(fh)
	side := 0
	for range endIterations {
		y := f(x)
		if math.Abs(y) < 1e-6*scale || high-low < 1e-9*high {
			return x, nil
		}
		if y > 0 {
			low, fl = x, y
			if side > 0 { // the Illinois rule: the end that stays counts half
				fh /= 2
			}
			side = 1
		} else {
			high, fh = x, y
			if side < 0 {
				fl /= 2
			}
			side = -1
		}
		x = low + (high-low)*fl/(fl-fh)
		if math.IsNaN(x) {
			break
		}
	}
	return x, ErrFlow
}
