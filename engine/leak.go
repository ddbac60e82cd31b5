package engine

import (
	"errors"
	"math"

	"shakedown/engine/flow"
	"shakedown/engine/gas"
)

// airRatio is the ratio of heats of air [-].
const airRatio = 1.4

// RestrictorDischarge is the discharge coefficient of a leak-down tester's restrictor [-], a long bore with a tapered
// mouth: 0.77 sharp (Lichtarowicz, Duggins, Markland, J. Mech. Eng. Sci. 7 (1965) 210), 0.9 well rounded; from memory,
// good to 0.1.
const RestrictorDischarge = 0.85

// leakReadDoubt is how far the area of a leak that was read may be off [-], over that of one that was not: the
// restrictor's coefficient, rings that lie otherwise when the engine turns and is hot. By judgement.
const leakReadDoubt = 0.3

// LeakDown is what a leak-down tester shows: air at a supply pressure goes through a restrictor into the cylinder,
// piston at top dead centre, valves shut, and out by all that leaks.
type LeakDown struct {
	Lost       float64 // [-] of the supply's pressure that the second gauge lacks, from 0 to below 1
	Supply     float64 // [Pa] above the air's
	Restrictor float64 // [m] its bore
	Outside    float64 // [Pa] of the air
}

// ErrLeakDown says that a leak-down's numbers do not make a leak.
var ErrLeakDown = errors.New("the leak-down needs a share lost from 0 to below 100 %, a supply pressure and a restrictor above zero; look at the reading")

// Area is the effective area of the leak [m2], its discharge coefficient taken in: what passes the restrictor passes
// the leak, each as a nozzle, and both at the room's temperature, which drops out. Restrictor and leak are choked or
// not, as the pressures say. The error is ErrLeakDown. Source: Heywood 1988, App. C, twice in series.
func (l LeakDown) Area() (float64, error) {
	if !(l.Lost >= 0 && l.Lost < 1 && l.Supply > 0 && l.Restrictor > 0 && l.Outside > 0) || math.IsInf(l.Supply, 1) {
		return 0, ErrLeakDown
	}
	if l.Lost == 0 {
		return 0, nil
	}
	before, inside := l.Outside+l.Supply, l.Outside+(1-l.Lost)*l.Supply
	through := RestrictorDischarge * disc(l.Restrictor) * before * flow.Nozzle(inside/before, airRatio)
	return through / (inside * flow.Nozzle(l.Outside/inside, airRatio)), nil
}

// RingLeak is the effective area of the rings' gaps [m2] for a bore [m], where no leak-down was read: gap x room
// between land and bore, two rings one behind the other. Gap 0.0045 of the bore, room 0.0025 of it, discharge
// coefficient 0.86: usual of air-cooled pistons, common practice, from memory, good to half or twice.
func RingLeak(bore float64) float64 {
	const gap, room, discharge = 0.0045, 0.0025, 0.86
	return discharge * gap * bore * room * bore / math.Sqrt2
}

// leak is the effective area of all that leaks from the cylinder [m2], moved by its doubt.
func (b *Breathing) leak() float64 {
	if b.LeakRead {
		return (1 + leakReadDoubt*b.Doubt.Leak) * b.Leak
	}
	return (1 + b.Doubt.Leak) * RingLeak(b.Bore)
}

// Cranking is a cylinder that the starter turns over, throttle open, with a gauge in the plug's hole.
type Cranking struct {
	Bore      float64 // [m]
	Crank     Crank
	Clearance float64 // [m3] at top dead centre, with the gauge's fitting up to its check valve
	Intake    Valves
	Port      float64 // [m] bore of the intake port
	Leak      float64 // [m2] effective area of all that leaks
	Air       Air
	Speed     float64 // [rad/s]
}

// CrankingExponent is that of the compression at cranking speed [-]: the gas has a tenth of a second to give heat to
// the walls. 1.2 to 1.3 is common practice, from memory, against 1.36 of a motored engine at 800 rpm; see also
// CrankingDoubt. Set before any gauge was compared.
const CrankingExponent = 1.25

// CrankingDoubt is how far the pressure may be off by the exponent [-]: 0.06 of it at a ratio of 7.5.
const CrankingDoubt = 0.12

// Pressure is the greatest pressure above the air's in the cylinder [Pa], which a gauge with a check valve comes to
// after some turns. From bottom dead centre on, gas at the pressure of the air is pushed back through the intake until
// its valve throttles it, then compressed, and leaks at the air's temperature, as the cold walls have it. Its
// temperature and pressure follow its density, with CrankingExponent. The exhaust is taken as shut, the decompressor as
// off. One step a degree. The errors are those of Crank.Validate and flow.Falling, and for a missing chamber, speed,
// air or flow of the intake. Source: polytropic compression; Heywood 1988, App. C, for valve and leak.
func (c Cranking) Pressure() (float64, error) {
	if err := c.Crank.Validate(); err != nil {
		return 0, err
	}
	if !(c.Clearance > 0) {
		return 0, ErrNoChamber
	}
	if !(c.Speed > 0 && c.Bore > 0 && c.Air.Pressure > 0 && c.Air.Temperature > 0 && c.Leak >= 0) || len(c.Intake.Flow) == 0 {
		return 0, errors.New("the cranking pressure needs a cranking speed, a bore, air and the intake's flow above zero")
	}
	const step = math.Pi / 180
	dt := step / c.Speed
	outside, cold := c.Air.Pressure, c.Air.Temperature
	density, choked, each := outside/(gas.AirConstant*cold), flow.Nozzle(0.5, airRatio), dt/math.Sqrt(gas.AirConstant*cold)
	volume := func(theta float64) float64 { return c.Clearance + disc(c.Bore)*c.Crank.Drop(theta) }
	// above is the logarithm of the density over the air's.
	above := func(mass, v float64) float64 { return math.Log(mass / (v * density)) }
	// lost is what leaves in a step [kg].
	lost := func(log, valve float64) float64 {
		if log <= 0 {
			return 0
		}
		p, passes := outside*math.Exp(CrankingExponent*log), choked
		if outside > 0.5*p {
			passes = flow.Nozzle(outside/p, airRatio)
		}
		if valve > 0 {
			valve *= math.Exp(-0.5 * (CrankingExponent - 1) * log)
		}
		return p * passes * (c.Leak + valve) * each
	}
	free := slowFlow * gas.SpeedOfSound(cold) * dt
	before := volume(math.Pi)
	mass, highest := density*before, 0.0
	for k := range 180 {
		theta := math.Pi + step*float64(k+1)
		v, valve := volume(theta), c.Intake.area(theta-step/2, disc(c.Port), 1)
		switch {
		case valve*free > before-v:
			mass = density * v
		case valve > 0:
			var err error
			if mass, err = settled(mass, density*v, func(m float64) float64 { return m + lost(above(m, v), valve) }); err != nil {
				return 0, err
			}
		default:
			half := mass - lost(above(mass, before), 0)/2
			mass = math.Max(density*v, mass-lost(above(half, (before+v)/2), 0))
		}
		highest, before = math.Max(highest, above(mass, v)), v
	}
	return outside * math.Expm1(CrankingExponent*highest), nil
}

// slowFlow is the Mach number [-] below which gas goes back through the intake without a pressure: 0.2 % of it.
const slowFlow = 0.05

// settled is the mass [kg], from least up to most, of which with what leaves in the step there were most: before rises
// with the mass. The search goes by the root of what is above least, in which the flow is straight.
func settled(most, least float64, before func(mass float64) float64) (float64, error) {
	if most <= least {
		return least, nil
	}
	at := func(s float64) float64 { return least + s*s*(most-least) }
	short := func(s float64) float64 { return most - before(at(s)) } // falls with s
	low, high := short(0), short(1)
	if high >= 0 {
		return most, nil
	}
	s, err := flow.Falling(0, 1, low, high, 0.5, short)
	return at(s), err
}
