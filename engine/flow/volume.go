package flow

import (
	"fmt"
	"math"
)

// Volume is gas at rest in a box.
type Volume struct {
	gas    *Gas
	size   float64 // [m3]
	mass   float64 // [kg]
	energy float64 // [J]
	m1, m2 float64 // [kg]
	t, cv  float64 // [K] [J/(kg K)]
}

// NewVolume fills a box of a size [m3].
func NewVolume(g *Gas, size float64, s State) (*Volume, error) {
	if !(size > 0) || !(s.Pressure > 0) || !(s.Temperature > 0) {
		return nil, fmt.Errorf("flow: a volume of %g m3 at %g Pa and %g K", size, s.Pressure, s.Temperature)
	}
	mass := s.Pressure * size / (g.R(s.Y1, s.Y2) * s.Temperature)
	e, cv := g.EnergyAt(s.Temperature, s.Y1, s.Y2)
	return &Volume{g, size, mass, mass * e, mass * s.Y1, mass * s.Y2, s.Temperature, cv}, nil
}

// Fill puts other gas in the place of what is in it.
func (v *Volume) Fill(s State) error {
	w, err := NewVolume(v.gas, v.size, s)
	if err != nil {
		return err
	}
	*v = *w
	return nil
}

// Add puts mass [kg], energy [J] and masses of the second and third gas [kg] into it. It gives ErrFlow when nothing
// would be left.
func (v *Volume) Add(mass, energy, m1, m2 float64) error {
	v.mass, v.energy, v.m1, v.m2 = v.mass+mass, v.energy+energy, v.m1+m1, v.m2+m2
	if !(v.mass > 0) {
		return fmt.Errorf("%w: a volume was emptied", ErrFlow)
	}
	v.t, v.cv = v.gas.TemperatureOf(v.energy/v.mass, v.m1/v.mass, v.m2/v.mass, v.t)
	if !(v.t > 0) {
		return fmt.Errorf("%w: a volume has %g K", ErrFlow, v.t)
	}
	return nil
}

// State is the gas in it.
func (v *Volume) State() State {
	y1, y2 := v.m1/v.mass, v.m2/v.mass
	return State{Pressure: v.mass * v.gas.R(y1, y2) * v.t / v.size, Temperature: v.t, Y1: y1, Y2: y2}
}

// Rest is the gas in it as a reservoir.
func (v *Volume) Rest() Reservoir {
	y1, y2 := v.m1/v.mass, v.m2/v.mass
	r := v.gas.R(y1, y2)
	return Reservoir{v.mass * r * v.t / v.size, v.t, y1, y2, v.energy/v.mass + r*v.t, r, 1 + r/v.cv}
}

// Content is mass [kg], energy [J] and masses of the second and third gas [kg] in it.
func (v *Volume) Content() (mass, energy, m1, m2 float64) { return v.mass, v.energy, v.m1, v.m2 }

// Passed is what flows from one reservoir to another through a hole of an effective area [m2] in a time [s]: mass [kg],
// energy [J], masses of the second and third gas [kg]; below zero when it flows back.
func Passed(from, to *Reservoir, effective, dt float64) (mass, energy, m1, m2 float64) {
	if to.Pressure > from.Pressure {
		mass, energy, m1, m2 = Passed(to, from, effective, dt)
		return -mass, -energy, -m1, -m2
	}
	if to.Pressure == from.Pressure || effective <= 0 {
		return 0, 0, 0, 0
	}
	mass = dt * effective * from.Pressure / math.Sqrt(from.r*from.Temperature) * Nozzle(to.Pressure/from.Pressure, from.ratio)
	return mass, mass * from.enthalpy, mass * from.Y1, mass * from.Y2
}

// End is one end of a pipe.
type End struct {
	Pipe *Pipe
	Side Side
}

// Joint joins ends of pipes, two or more: a step of area, a branch, a collector. All have the pressure of the joint;
// mass and energy are kept; what leaves it is a mixture of what came.
type Joint struct {
	Ends []End
	seen []seen
	out  []float64
	full []bool // an end passes all it can: its flow is at the speed of sound and no longer hangs on the joint's pressure
}

// jointRounds is how often pressure and mixture of a joint are brought together; each round takes a tenth off the rest.
const jointRounds = 6

// hem is how far the pressure of a joint stays inside the span of its ends' walls [-].
const hem = 1e-3

// mouth is what of a joint's gas enters a pipe: it speeds up from rest without loss, so that its pressure falls.
func (j *Joint) mouth(pressure, t, r, cp, velocity float64) (at, density float64) {
	temperature := math.Max(0.5*t, t-0.5*velocity*velocity/cp)
	at = pressure * math.Exp(math.Log(temperature/t)*cp/r)
	return at, at / (r * temperature)
}

// Solve finds the states at the joined ends for this step.
func (j *Joint) Solve() {
	if len(j.seen) != len(j.Ends) {
		j.seen, j.out, j.full = make([]seen, len(j.Ends)), make([]float64, len(j.Ends)), make([]bool, len(j.Ends))
	}
	g := j.Ends[0].Pipe.gas
	low, high := math.Inf(1), 0.0 // walls: the pressure of the joint lies between
	for i, e := range j.Ends {
		j.seen[i] = e.Pipe.look(e.Side)
		low, high = math.Min(low, j.seen[i].wall()), math.Max(high, j.seen[i].wall())
	}
	var pressure, sonic, t, r, cp, h, y1, y2 float64 // pressure, temperature, enthalpy of the mixture at rest in the joint
	for round := range jointRounds {
		// The pressure at which as much comes as goes; each end gives way in proportion to it.
		top, bottom := 0.0, 0.0
		for i, e := range j.Ends {
			v := &j.seen[i]
			rho, z := v.rho, v.z
			switch {
			case round == 0:
			case j.out[i] < 0:
				_, rho = j.mouth(pressure, t, r, cp, j.out[i])
				z += 0.5 * rho * -j.out[i]
			default:
				rho, _ = v.along(v.wall() - v.z*j.out[i])
			}
			k := e.Pipe.EndArea(e.Side) * rho
			switch wall := v.wall(); {
			case round > 0 && j.full[i] && j.out[i] < 0:
				top -= k * sonic
			case round > 0 && j.full[i]:
				top += k * j.out[i]
			default:
				top += k * wall / z
				bottom += k / z
			}
		}
		if bottom > 0 {
			pressure = top / bottom
		}
		pressure = math.Max(low+hem*(high-low), math.Min(high-hem*(high-low), pressure)) // one end gives and one takes
		mass, enthalpy, m1, m2 := 0.0, 0.0, 0.0, 0.0
		for i, e := range j.Ends {
			v := &j.seen[i]
			wall := v.wall()
			if wall <= pressure { // it takes: quadratic in the velocity, since the pressure falls with its square
				rho := v.rho
				if round > 0 {
					_, rho = j.mouth(pressure, t, r, cp, j.out[i])
				}
				j.out[i] = -(math.Sqrt(v.z*v.z+2*rho*(pressure-wall)) - v.z) / rho
				if j.full[i] = round > 0 && j.out[i] < -sonic; j.full[i] {
					j.out[i] = -sonic
				}
				continue
			}
			j.out[i] = (wall - pressure) / v.z
			limit := math.Max(v.c, v.out) // what arrives faster than sound leaves as it is
			if j.full[i] = j.out[i] >= limit; j.full[i] {
				j.out[i] = limit
			}
			own := wall - v.z*j.out[i] // the joint's pressure, unless the end passes all it can
			rho, inner := v.along(own)
			area := e.Pipe.EndArea(e.Side)
			f := area * rho * j.out[i]
			mass += f
			enthalpy += area * j.out[i] * (inner + own + 0.5*rho*j.out[i]*j.out[i])
			m1 += f * v.y1
			m2 += f * v.y2
		}
		if mass <= 0 {
			for _, e := range j.Ends {
				e.Pipe.Closed(e.Side)
			}
			return
		}
		h, y1, y2 = enthalpy/mass, m1/mass, m2/mass
		// Temperature of the mixture at rest: h = e + R T.
		r = g.R(y1, y2)
		if round == 0 {
			t = j.Ends[0].Pipe.t[j.Ends[0].Pipe.last(j.Ends[0].Side)]
		}
		for range 4 {
			e, cv := g.EnergyAt(t, y1, y2)
			t = math.Max(g.From+1, t+(h-e-r*t)/(cv+r))
		}
		_, cv := g.EnergyAt(t, y1, y2)
		cp = cv + r
		sonic = math.Sqrt((1 + r/cv) * r * t * 2 / (2 + r/cv)) // of the gas at rest let go, ratio - 1 = r/cv
	}
	mass, room := 0.0, 0.0
	for i, e := range j.Ends {
		area := e.Pipe.EndArea(e.Side)
		if out := j.out[i]; out > 0 {
			rho, _ := j.seen[i].along(j.seen[i].wall() - j.seen[i].z*out)
			mass += area * rho * out
		} else {
			_, rho := j.mouth(pressure, t, r, cp, out)
			room -= area * out * rho
		}
	}
	for i, e := range j.Ends {
		v := &j.seen[i]
		if out := j.out[i]; out > 0 {
			own := v.wall() - v.z*out
			rho, inner := v.along(own)
			e.Pipe.set(e.Side, v.sign, own, out, rho, inner, v.y1, v.y2)
			continue
		}
		at, density := j.mouth(pressure, t, r, cp, j.out[i])
		out := 0.0
		if room > 0 { // the last bit of the balance: mass is kept to rounding
			out = j.out[i] * mass / room
		}
		e.Pipe.set(e.Side, v.sign, at, out, density, density*(h-0.5*out*out)-at, y1, y2)
	}
}

// Exchange lets gas pass between the box and a reservoir through a hole of an effective area [m2] for a time [s], and
// gives what came in: mass [kg], energy [J], masses of the second and third gas [kg]. Through a large hole a small box
// follows the reservoir within the step and does not overshoot: the difference of pressures decays as it would in time.
func (v *Volume) Exchange(with *Reservoir, effective, dt float64) (mass, energy, m1, m2 float64, err error) {
	own := v.Rest()
	mass, energy, m1, m2 = Passed(with, &own, effective, dt)
	if mass == 0 {
		return 0, 0, 0, 0, nil
	}
	k := settles(math.Abs(mass), math.Abs(with.Pressure-own.Pressure), v.size/(own.ratio*own.r*own.Temperature), math.Inf(1))
	mass, energy, m1, m2 = k*mass, k*energy, k*m1, k*m2
	return mass, energy, m1, m2, v.Add(mass, energy, m1, m2)
}
