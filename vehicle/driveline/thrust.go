package driveline

import "math"

// Gearbox is what lies between crank and ground.
type Gearbox struct {
	Primary    float64   // [-] turns of the crank for one of the clutch
	Gears      []float64 // [-] first gear first
	Final      float64   // [-] teeth of the rear over those of the front sprocket
	Radius     float64   // [m] of the driven tyre, loaded
	Efficiency float64   // [-] power at the tyre over power at the crank
	Crank      float64   // [kg m2] crank and flywheel
	Wheels     float64   // [kg] what the wheels' turning adds to the mass
	Clutch     float64   // [N m] that the clutch holds; 0 when that is not known
	Shift      float64   // [s] without thrust in a change of gear
}

// overall is crank turns for one of the wheel in a gear.
func (g *Gearbox) overall(gear int) float64 { return g.Primary * g.Gears[gear] * g.Final }

// Thrust is the force at the driven tyres [N], the mass that it moves [kg], as if none of it turned, and the gear,
// counted from 1, at speeds in equal steps [m/s] from 0: torque [N m] at crank speeds [rad/s] that rise, straight
// between, nothing above the last. The gears are those that go through the speeds soonest, each changed up once, a
// change costing its time. Below the first crank speed the torque falls with the speed: nobody slips the clutch through
// a slow corner; a standing start is another matter. The time without thrust in a change is spread over the last metre
// and a half a second before it, so that a lap does not turn on whether a change is just made. Source: kinematics and
// energy; Gillespie, Fundamentals of Vehicle Dynamics, ch. 2.
func (g *Gearbox) Thrust(speeds, torques []float64, mass, step float64, steps int) (force, moved []float64, gear []int) {
	force, moved, gear = make([]float64, steps), make([]float64, steps), make([]int, steps)
	gears := len(g.Gears)
	pull := func(k int, v float64) (f, m float64, ok bool) { return g.pull(speeds, torques, mass, k, v) }
	// The least time to each speed in each gear, and whether the gear was changed into there.
	spent, changed, usable := make([]float64, gears), make([]bool, steps*gears), 0
	for k := range spent {
		spent[k] = g.Shift * float64(k)
	}
	for i := range steps {
		any := false
		for k := 1; k < gears; k++ { // also through several at once
			if spent[k-1]+g.Shift < spent[k] {
				spent[k], changed[i*gears+k] = spent[k-1]+g.Shift, true
			}
		}
		for k := range spent {
			f, m, ok := pull(k, step*float64(i))
			if !ok {
				spent[k] = math.Inf(1)
				continue
			}
			any = true
			spent[k] += step * m / math.Max(f, weakest*m)
		}
		if !any {
			break
		}
		usable = i + 1
	}
	for i := usable; i < steps; i++ {
		moved[i], gear[i] = mass+g.Wheels, gears
	}
	at := 0
	for k := range spent {
		if _, _, ok := pull(k, step*float64(usable-1)); ok && (spent[k] < spent[at] || math.IsInf(spent[at], 1)) {
			at = k
		}
	}
	for i := usable - 1; i >= 0; i-- {
		force[i], moved[i], _ = pull(at, step*float64(i))
		gear[i] = at + 1
		for at > 0 && changed[i*gears+at] {
			at--
		}
	}
	for i := steps - 1; i > 0 && g.Shift > 0; i-- {
		if gear[i] <= gear[i-1] || force[i] == 0 {
			continue
		}
		for j := i - 1; j >= 0 && float64(i-j)*step <= changeOver+1e-9; j-- {
			if gear[j] == gear[i-1] {
				force[j] /= 1 + g.Shift*force[j]/moved[j]/changeOver
			}
		}
	}
	return force, moved, gear
}

// pull is the force at the driven tyres [N] in a gear, counted from 0, at a speed [m/s], and the mass that it moves
// [kg]; ok is false above the last crank speed.
func (g *Gearbox) pull(speeds, torques []float64, mass float64, k int, v float64) (force, moved float64, ok bool) {
	ratio := g.overall(k) / g.Radius
	omega := v * ratio
	if omega > speeds[len(speeds)-1] {
		return 0, mass + g.Wheels, false
	}
	torque := torques[0] * omega / speeds[0]
	if omega >= speeds[0] {
		torque = between(speeds, torques, omega)
	}
	if g.Clutch > 0 {
		torque = math.Min(torque, g.Clutch/g.Primary)
	}
	return torque * ratio * g.Efficiency, mass + g.Wheels + g.Crank*ratio*ratio, true
}

// Pull is the force at the driven tyres [N] in one gear, counted from 0, and the mass that it moves [kg], at speeds in
// equal steps [m/s] from 0, and the speed [m/s] of the last crank speed, above which the force stays as it is there.
// What Thrust puts together.
func (g *Gearbox) Pull(speeds, torques []float64, mass float64, gear int, step float64, steps int) (force, moved []float64, top float64) {
	force, moved = make([]float64, steps), make([]float64, steps)
	top = speeds[len(speeds)-1] * g.Radius / g.overall(gear)
	for i := range steps {
		force[i], moved[i], _ = g.pull(speeds, torques, mass, gear, math.Min(step*float64(i), top*(1-1e-12)))
	}
	return force, moved, top
}

// Overrun is the force with which the engine holds the driven tyres back [N] with its throttle shut, at speeds in equal
// steps from 0 in gears counted from 1: torque that it takes to turn it [N m] at crank speeds [rad/s] that rise,
// straight between, held at the ends and falling to nothing below the first, as the rider pulls the clutch. What chain
// and gears lose holds back too. Source: kinematics and energy.
func (g *Gearbox) Overrun(speeds, torques []float64, gear []int, step float64) []float64 {
	force := make([]float64, len(gear))
	last := len(speeds) - 1
	for i, at := range gear {
		ratio := g.overall(at-1) / g.Radius
		omega := step * float64(i) * ratio
		torque := torques[last]
		switch {
		case omega < speeds[0]:
			torque = torques[0] * omega / speeds[0]
		case omega < speeds[last]:
			torque = between(speeds, torques, omega)
		}
		force[i] = torque * ratio / g.Efficiency
	}
	return force
}

// weakest is an acceleration [m/s2] that a gear is taken to have at least when gears are compared.
const weakest = 1e-3

// changeOver is over how much speed the time of a change is spread [m/s].
const changeOver = 1.5

// between is straight between points; x lies inside them.
func between(xs, ys []float64, x float64) float64 {
	low, high := 0, len(xs)-1
	for high-low > 1 {
		if middle := (low + high) / 2; xs[middle] <= x {
			low = middle
		} else {
			high = middle
		}
	}
	return ys[low] + (ys[high]-ys[low])*(x-xs[low])/(xs[high]-xs[low])
}

// ShiftSpeeds are the road speeds [m/s] at which to change up, from each gear to the next: where the next accelerates
// as well, or where the last crank speed is reached.
func (g *Gearbox) ShiftSpeeds(speeds, torques []float64, mass float64) []float64 {
	const step = 0.02
	top := speeds[len(speeds)-1] / g.overall(len(g.Gears)-1) * g.Radius
	_, _, gear := g.Thrust(speeds, torques, mass, step, int(top/step)+1)
	var list []float64
	highest := gear[0]
	for i, now := range gear {
		for ; highest < now; highest++ { // where two gears are as good, the first change counts
			list = append(list, step*float64(i))
		}
	}
	return list
}

// InGear is the force at the driven tyres [N] and the road speed [m/s] at a crank speed [rad/s] and torque [N m] in a
// gear, counted from 0.
func (g *Gearbox) InGear(gear int, omega, torque float64) (force, speed float64) {
	ratio := g.overall(gear) / g.Radius
	return torque * ratio * g.Efficiency, omega / ratio
}
