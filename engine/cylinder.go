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
	sealed := r.wasShut && b.Exhaust.area(r.theta, r.portOut, 1) == 0
	if r.zones.on && (!sealed || r.zones.mass < lastAhead*r.mass) {
		r.mix()
	}
	heat := r.heatLost(dt, sealed)
	s.heat += heat
	r.theta += turn
	burns, released := 0.0, 0.0
	if !b.Motored {
		burns, released = r.burn()
	}
	if burns > 0 && sealed && !r.zones.parted {
		r.zones = zones{on: true, parted: true, mass: r.mass, left: r.m2, ahead: r.t, behind: flameGuess}
	}
	away := r.crevices(dt)
	if z := &r.zones; z.on && burns > 0 && z.mass*(1-burns/(z.mass-z.left))-math.Max(0, away.mass) < noneAhead*r.mass {
		r.mix() // a burn that is over within this step leaves nothing ahead of the flame
	}
	// The piston.
	before, p0 := r.volume, r.p
	r.volume = b.Clearance + r.head*b.Crank.Drop(r.theta)
	var work float64
	if r.zones.on {
		work = r.twoZones(burns, released, heat, &away, before)
	} else {
		if burns > 0 {
			r.m1 -= burns * r.m1 / (r.mass - r.m2)
			r.m2 += burns
		}
		r.mass, r.m1, r.m2 = r.mass-away.mass, r.m1-away.m1, r.m2-away.m2
		work = r.push(before, p0, r.energy+released-heat-away.energy)
	}
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
		r.burnAngle, r.burnt, r.zones = 0, 0, zones{}
	}
	r.wasShut = shut
	return nil
}

// push is the work [J] of the gas from one volume [m3] and pressure [Pa] to the volume it has now, and leaves it the
// energy [J] that it had less that: the mean of the pressures before and after, found by going there twice. It is kept
// exactly.
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

// heatLost is the heat [J] that goes into the walls in a time [s], by Woschni's law; sealed says that all valves are
// shut.
func (r *rig) heatLost(dt float64, sealed bool) float64 {
	b := r.spec
	velocity := woschniExchange * r.pistonSpeed
	if sealed {
		velocity = woschniClosed * r.pistonSpeed
		if r.burnt > 0 {
			motored := r.shut.p * math.Exp(1.33*math.Log(r.shut.v/r.volume))
			velocity += math.Max(0, BurningVelocity(r.swept, r.shut.t, r.shut.p, r.shut.v, r.p-motored))
		}
	}
	h := (1 + b.Doubt.Heat) * Woschni(b.Bore, r.p, r.t, velocity)
	warmer := b.Doubt.Walls
	liner := math.Pi * b.Bore * b.Crank.Drop(r.theta)
	return h * dt * (1.1*r.head*(r.t-warmer-r.walls.head) + r.head*(r.t-warmer-r.walls.piston) + liner*(r.t-warmer-r.walls.liner))
}

// burn is how much fresh mixture [kg] burns in this step, and the energy [J] that its change into burnt gas sets free,
// formation counted.
func (r *rig) burn() (burns, released float64) {
	const firing = 2 * math.Pi
	if !r.wasShut {
		return 0, 0
	}
	if r.burnAngle == 0 {
		if r.theta < firing-50*math.Pi/180 {
			return 0, 0
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
		return 0, 0
	}
	r.burnt = x
	burns = math.Min(d, fresh)
	fuel := r.m1 / fresh
	released = burns * ((1-fuel)*r.left[gas.FreshAir] + fuel*r.left[gas.FuelVapour] - r.left[gas.BurntGas])
	r.sum.released += released
	r.sum.burntFuel += burns * fuel
	return burns, released
}

// crevices keeps gas at the walls' temperature and the cylinder's pressure in the gaps about the piston, lets some of
// it past the rings, and gives what left the cylinder for them, below zero when it comes back.
func (r *rig) crevices(dt float64) passed {
	b := r.spec
	wall := r.walls.liner
	size := crevice * b.Clearance
	y1, y2 := r.m1/r.mass, r.m2/r.mass
	h1, h2 := y1, y2
	if r.hid > 0 {
		h1, h2 = r.hid1/r.hid, r.hid2/r.hid
	}
	e, _ := r.g.EnergyAt(wall, h1, h2)
	h := e + r.g.R(h1, h2)*wall
	if r.hid > 0 && r.p > b.Ambient.Pressure {
		inside, outside := r.g.Rest(r.p, wall, h1, h2), r.open
		outside.Pressure = b.Ambient.Pressure
		past, _, _, _ := flow.Passed(&inside, &outside, b.leak(), dt)
		past = math.Min(past, 0.5*r.hid)
		r.hid, r.hid1, r.hid2 = r.hid-past, r.hid1-past*h1, r.hid2-past*h2
		r.sum.past += past
		r.sum.crossedMass -= past
		r.sum.crossedEnergy -= past * h
		r.sum.heat -= past * (h - e) // the wall gives the work of pushing it out
	}
	d := r.p*size/(r.g.R(h1, h2)*wall) - r.hid
	if d > 0 {
		ew, _ := r.g.EnergyAt(wall, y1, y2)
		into := passed{d, d * r.enthalpy(), d * y1, d * y2}
		r.hid, r.hid1, r.hid2 = r.hid+d, r.hid1+into.m1, r.hid2+into.m2
		r.sum.heat += into.energy - d*ew
		return into
	}
	r.hid, r.hid1, r.hid2 = r.hid+d, r.hid1+d*h1, r.hid2+d*h2
	r.sum.heat += d * (h - e) // here too: d is below zero
	return passed{d, d * h, d * h1, d * h2}
}

// zones are the cylinder's gas while a flame goes through it: what lies ahead of the flame, and what it has burnt. Both
// have the cylinder's pressure, and neither heats the other.
type zones struct {
	on, parted    bool    // parted: it has been on since the intake shut
	mass, left    float64 // [kg] ahead of the flame, and what burnt gas of the cycle before is in it
	ahead, behind float64 // [K]
}

// flameGuess is where the temperature behind the flame is looked for first [K].
const flameGuess = 2500.0

// lastAhead is the share of all gas [-] that is no longer worth a zone of its own.
const lastAhead = 0.01

// noneAhead is the share of all gas [-] below which a zone has no temperature of its own to rounding.
const noneAhead = 1e-6

// enthalpy is that of the cylinder's gas [J/kg], of all of it.
func (r *rig) enthalpy() float64 {
	at := func(t, y1, y2 float64) float64 {
		e, _ := r.g.EnergyAt(t, y1, y2)
		return e + r.g.R(y1, y2)*t
	}
	z := &r.zones
	if !z.on {
		return at(r.t, r.m1/r.mass, r.m2/r.mass)
	}
	share := z.mass / r.mass
	return share*at(z.ahead, r.m1/z.mass, z.left/z.mass) + (1-share)*at(z.behind, 0, 1)
}

// twoZones takes the gas of both zones one step on: burns [kg] of fresh mixture go from one to the other and set energy
// [J] free, heat [J] goes to the walls, some gas away, and the volume changes from what it was before [m3]. It gives
// the work [J], the mean of the pressures before and after over the change of volume. Each zone's enthalpy rises by its
// share of the volume times the rise of pressure, so that all energy is kept exactly.
func (r *rig) twoZones(burns, released, heat float64, away *passed, before float64) float64 {
	g, z := r.g, &r.zones
	y1, y2 := r.m1/z.mass, z.left/z.mass
	constant, burntConstant := g.R(y1, y2), g.R(0, 1)
	e, _ := g.EnergyAt(z.ahead, y1, y2)
	one := e + constant*z.ahead // [J/kg]
	e, _ = g.EnergyAt(z.behind, 0, 1)
	other := e + burntConstant*z.behind
	behind := r.mass - z.mass
	cold, hot := z.mass*one, behind*other
	// The flame has wetted the walls about as the root of the mass that it burnt; each zone gives heat by its own
	// temperature.
	wet := math.Sqrt(behind / r.mass)
	wall := r.walls.head
	a, b := (1-wet)*math.Max(0, z.ahead-wall), wet*math.Max(0, z.behind-wall)
	share := 1.0
	if a+b > 0 {
		share = a / (a + b)
	}
	cold -= share * heat
	hot -= (1 - share) * heat
	if away.mass > 0 {
		part := z.mass / r.mass * away.mass
		cold, hot = cold-part*one, hot-(away.mass-part)*other
		z.mass, z.left, behind = z.mass-part, z.left-part*y2, behind-(away.mass-part)
	} else { // what comes back is fresh for the most part
		cold -= away.energy
		z.mass, z.left = z.mass-away.mass, z.left-away.m2
	}
	r.mass, r.m1, r.m2 = r.mass-away.mass, r.m1-away.m1, r.m2-away.m2
	if fresh := z.mass - z.left; burns > 0 {
		burns = math.Min(burns, fresh)
		moved := burns * z.mass / fresh
		cold, hot = cold-moved*one, hot+moved*one+released
		r.m1 -= burns * r.m1 / fresh
		r.m2 += burns
		z.left -= moved * z.left / z.mass
		z.mass -= moved
		behind += moved
	}
	y1, y2 = r.m1/z.mass, z.left/z.mass
	constant = g.R(y1, y2)
	// The pressure at which both together fill the volume.
	p0 := r.p
	z.ahead, _ = g.TemperatureOfEnthalpy(cold/z.mass, y1, y2, z.ahead)
	z.behind, _ = g.TemperatureOfEnthalpy(hot/behind, 0, 1, z.behind)
	room := z.mass * constant * z.ahead
	lies := room / (room + behind*burntConstant*z.behind)
	mean := 0.5 * (before + r.volume)
	p := p0 * before / r.volume
	for range 4 {
		var cv, burntCV float64
		z.ahead, cv = g.TemperatureOfEnthalpy((cold+lies*mean*(p-p0))/z.mass, y1, y2, z.ahead)
		z.behind, burntCV = g.TemperatureOfEnthalpy((hot+(1-lies)*mean*(p-p0))/behind, 0, 1, z.behind)
		over := z.mass*constant*z.ahead + behind*burntConstant*z.behind - p*r.volume
		p -= over / (constant/(cv+constant)*lies*mean + burntConstant/(burntCV+burntConstant)*(1-lies)*mean - r.volume)
		if math.Abs(over) < 1e-12*p*r.volume {
			break
		}
	}
	r.p = p
	r.energy = cold + hot + mean*(p-p0) - p*r.volume
	r.t = p * r.volume / (r.mass * g.R(r.m1/r.mass, r.m2/r.mass))
	_, r.cv = g.EnergyAt(r.t, r.m1/r.mass, r.m2/r.mass)
	if r.burnt < 0.95 {
		r.sum.endGas = math.Max(r.sum.endGas, z.ahead)
	}
	r.sum.flame = math.Max(r.sum.flame, z.behind)
	return 0.5 * (p0 + p) * (r.volume - before)
}

// mix makes one gas of both zones, at constant energy and volume.
func (r *rig) mix() {
	r.zones.on = false
	r.state()
}
