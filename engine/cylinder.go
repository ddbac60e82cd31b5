package engine

import (
	"fmt"
	"math"

	"shakedown/engine/flow"
	"shakedown/engine/gas"
)

// fill sets the cylinder's gas.
func (r *rig) fill(p, t, y1, y2 float64) {
	e, cv := r.g.EnergyAt(t, y1, y2)
	r.mass = p * r.volume / (r.g.R(y1, y2) * t)
	r.energy, r.m1, r.m2, r.t, r.cv, r.p = r.mass*e, r.mass*y1, r.mass*y2, t, cv, p
}

// state works pressure and temperature out of what the cylinder holds.
func (r *rig) state() {
	y1, y2 := r.m1/r.mass, r.m2/r.mass
	r.t, r.cv = r.g.TemperatureOf(r.energy/r.mass, y1, y2, r.t)
	r.p = r.mass * r.g.R(y1, y2) * r.t / r.volume
}

// rest is the cylinder's gas as a reservoir.
func (r *rig) rest() flow.Reservoir {
	return r.g.Rest(r.p, r.t, r.m1/r.mass, r.m2/r.mass)
}

// cylinder takes the cylinder's gas one step on: what came through the valves, heat, burning, crevices, the piston.
func (r *rig) cylinder(dt, turn float64, in, out passed) error {
	b, s := r.spec, &r.sum
	r.mass += in.mass - out.mass
	r.energy += in.energy - out.energy
	r.m1 += in.m1 - out.m1
	r.m2 += in.m2 - out.m2
	if !(r.mass > 0) {
		return fmt.Errorf("%w: the cylinder was emptied", flow.ErrFlow)
	}
	s.air += in.mass - in.m1 - in.m2
	s.fuel += in.m1
	s.massIn += in.mass
	s.massOut += out.mass
	r.loseHeat(dt)
	r.theta += turn
	if !b.Motored {
		r.burn()
	}
	r.crevices()
	// The piston: work with the mean of the pressures before and after.
	before, p0 := r.volume, r.p
	r.volume = b.Clearance + r.head*b.Crank.Drop(r.theta)
	work := r.push(before, p0, r.energy)
	if r.theta > math.Pi && r.theta <= 3*math.Pi {
		s.gross += work
	} else {
		s.pump += work
	}
	s.peak = math.Max(s.peak, r.p)
	s.steps++
	if !(r.p > 0) || !(r.t > 0) {
		return fmt.Errorf("%w: the cylinder has %g Pa and %g K", flow.ErrFlow, r.p, r.t)
	}
	shut := b.Intake.area(r.theta, r.portIn, 1) == 0 && r.theta > math.Pi && r.theta < 3*math.Pi
	if shut && !r.wasShut {
		r.shut.t, r.shut.p, r.shut.v = r.t, r.p, r.volume
		s.residual = r.m2 / r.mass
		if r.leftOver == 0 {
			r.leftOver = s.residual
		}
		r.leftOver += residualFollows * (s.residual - r.leftOver)
		r.burnAngle, r.burnt = 0, 0
	}
	r.wasShut = shut
	return nil
}

// push is the work [J] of the gas from one volume [m3] and pressure [Pa] to the volume it has now, and leaves it the energy
// [J] that it had less that: the mean of the pressures before and after, found by going there twice. It is kept exactly.
func (r *rig) push(before, p0, energy float64) float64 {
	dv := r.volume - before
	work := p0 * dv
	for range 2 {
		r.energy = energy - work
		r.state()
		work = 0.5 * (p0 + r.p) * dv
	}
	r.energy = energy - work
	r.state()
	return work
}

// loseHeat passes heat to the walls by Woschni's law.
func (r *rig) loseHeat(dt float64) {
	b := r.spec
	velocity := woschniExchange * r.pistonSpeed
	if r.wasShut && r.spec.Exhaust.area(r.theta, r.portOut, 1) == 0 {
		velocity = woschniClosed * r.pistonSpeed
		if r.burnt > 0 {
			motored := r.shut.p * math.Exp(1.33*math.Log(r.shut.v/r.volume))
			velocity += math.Max(0, BurningVelocity(r.swept, r.shut.t, r.shut.p, r.shut.v, r.p-motored))
		}
	}
	h := (1 + b.Doubt.Heat) * Woschni(b.Bore, r.p, r.t, velocity)
	warmer := b.Doubt.Walls
	liner := math.Pi * b.Bore * b.Crank.Drop(r.theta)
	q := h * dt * (1.1*r.head*(r.t-warmer-orUsual(b.WallHead, usualWallHead)) + r.head*(r.t-warmer-orUsual(b.WallPiston, usualWallPiston)) + liner*(r.t-warmer-orUsual(b.WallLiner, usualWallLiner)))
	r.energy -= q
	r.sum.heat += q
}

// burn turns fresh mixture into burnt gas at constant energy, formation counted.
func (r *rig) burn() {
	const firing = 2 * math.Pi
	if !r.wasShut {
		return
	}
	if r.burnAngle == 0 {
		if r.theta < firing-50*math.Pi/180 {
			return
		}
		// The flame's speed at the state that compression would reach when half is burnt, about: at top dead centre.
		squeeze := math.Log(r.volume / r.spec.Clearance)
		laminar := r.spec.Flame.LaminarSpeed(1/r.spec.Charge.Lambda, r.t*math.Exp(0.30*squeeze), r.p*math.Exp(1.30*squeeze), math.Min(0.25, r.leftOver))
		r.burnAngle = (1 + r.spec.Doubt.Burn) * BurnAngle(r.pistonSpeed, r.spec.Bore, math.Max(0.1, laminar))
		r.burnFrom = firing + referenceHalfBurn - WiebeInverse(0.5, wiebeA, wiebeM)*r.burnAngle
		r.burnFresh = r.mass - r.m2
	}
	x := Wiebe((r.theta-r.burnFrom)/r.burnAngle, wiebeA, wiebeM)
	d := (x - r.burnt) * r.burnFresh
	fresh := r.mass - r.m2
	if d <= 0 || fresh <= 0 {
		return
	}
	r.burnt = x
	d = math.Min(d, fresh)
	fuel := r.m1 / fresh
	r.m1 -= d * fuel
	r.m2 += d
	released := d * ((1-fuel)*r.left[gas.FreshAir] + fuel*r.left[gas.FuelVapour] - r.left[gas.BurntGas])
	r.energy += released
	r.sum.released += released
}

// crevices keeps gas at the walls' temperature and the cylinder's pressure in the gaps about the piston.
func (r *rig) crevices() {
	b := r.spec
	wall := orUsual(b.WallLiner, usualWallLiner)
	size := crevice * b.Clearance
	y1, y2 := r.m1/r.mass, r.m2/r.mass
	h1, h2 := y1, y2
	if r.hid > 0 {
		h1, h2 = r.hid1/r.hid, r.hid2/r.hid
	}
	d := r.p*size/(r.g.R(h1, h2)*wall) - r.hid
	if d > 0 {
		e, _ := r.g.EnergyAt(r.t, y1, y2)
		h := e + r.g.R(y1, y2)*r.t
		r.mass, r.energy, r.m1, r.m2 = r.mass-d, r.energy-d*h, r.m1-d*y1, r.m2-d*y2
		r.hid, r.hid1, r.hid2 = r.hid+d, r.hid1+d*y1, r.hid2+d*y2
		ew, _ := r.g.EnergyAt(wall, y1, y2)
		r.sum.heat += d * (h - ew)
		return
	}
	e, _ := r.g.EnergyAt(wall, h1, h2)
	h := e + r.g.R(h1, h2)*wall
	r.mass, r.energy, r.m1, r.m2 = r.mass-d, r.energy-d*h, r.m1-d*h1, r.m2-d*h2
	r.hid, r.hid1, r.hid2 = r.hid+d, r.hid1+d*h1, r.hid2+d*h2
	r.sum.heat += d * (h - e) // the wall gives the work of pushing it out: d is below zero
}

// hiddenEnergy is that of the gas in the crevices [J].
func (r *rig) hiddenEnergy() float64 {
	if r.hid == 0 {
		return 0
	}
	e, _ := r.g.EnergyAt(orUsual(r.spec.WallLiner, usualWallLiner), r.hid1/r.hid, r.hid2/r.hid)
	return r.hid * e
}

