package flow

import (
	"fmt"
	"math"
)

// Holes lets gas pass through holes in the wall of a pipe's cells, first to last counted from 0, into a box around it
// and back: an effective area [m2] for each cell, a time [s]. It belongs after Advance. What leaves takes its speed
// with it, what enters brings none. It gives ErrFlow when the box would be emptied.
func (p *Pipe) Holes(first, last int, effective float64, box *Volume, dt float64) error {
	inside := box.Rest()
	room := box.size / (inside.ratio * inside.r * inside.Temperature) // [kg/Pa]
	var sum, energy, m1, m2 float64
	share := 1 / float64(last-first+1) // each cell has its part of the box, so that all together cannot overshoot
	for i := first + 1; i <= last+1; i++ {
		cell := Reservoir{p.p[i], p.t[i], p.y1[i], p.y2[i], (p.in[i] + p.p[i]) / p.rho[i], p.p[i] / (p.rho[i] * p.t[i]), p.rc2[i] / p.p[i]}
		mass, carries, a, b := Passed(&cell, &inside, effective, dt)
		if mass == 0 {
			continue
		}
		k := settles(math.Abs(mass), math.Abs(cell.Pressure-inside.Pressure), p.volume[i]/(p.c[i]*p.c[i]), share*room)
		mass, carries, a, b = k*mass, k*carries, k*a, k*b
		per := 1 / p.volume[i]
		if mass > 0 {
			carries += 0.5 * mass * p.u[i] * p.u[i]
			p.mom[i] -= mass * per * p.u[i]
		}
		p.rho[i] -= mass * per
		p.ene[i] -= carries * per
		p.m1[i] -= a * per
		p.m2[i] -= b * per
		sum, energy, m1, m2 = sum+mass, energy+carries, m1+a, m2+b
	}
	p.primitives(first+1, last+1)
	return box.Add(sum, energy, m1, m2)
}

// settles is the share [-] of a flow [kg] that passes when the difference of pressures [Pa] between two rooms [kg/Pa],
// the second without end for a reservoir, decays in the step as it would in time: through a large hole neither
// overshoots the other.
func settles(mass, difference, one, other float64) float64 {
	level := difference / (1/one + 1/other) // [kg] that makes the pressures equal
	if mass <= 1e-3*level {
		return 1
	}
	return level / mass * (1 - math.Exp(-mass/level))
}

// Between lets gas pass from one box to another through a hole of an effective area [m2] for a time [s], and gives what
// came to the other: mass [kg], energy [J], masses of the second and third gas [kg]. It gives ErrFlow when one would be
// emptied.
func Between(from, to *Volume, effective, dt float64) (mass, energy, m1, m2 float64, err error) {
	a, b := from.Rest(), to.Rest()
	mass, energy, m1, m2 = Passed(&a, &b, effective, dt)
	if mass == 0 {
		return 0, 0, 0, 0, nil
	}
	k := settles(math.Abs(mass), math.Abs(a.Pressure-b.Pressure), from.size/(a.ratio*a.r*a.Temperature), to.size/(b.ratio*b.r*b.Temperature))
	mass, energy, m1, m2 = k*mass, k*energy, k*m1, k*m2
	if err := from.Add(-mass, -energy, -m1, -m2); err != nil {
		return 0, 0, 0, 0, fmt.Errorf("between two volumes: %w", err)
	}
	return mass, energy, m1, m2, to.Add(mass, energy, m1, m2)
}
