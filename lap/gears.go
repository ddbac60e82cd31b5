package lap

import "math"

// gearing is in which gears a stretch is ridden on which the machine gains speed: the first, counted from 0, and the
// speeds at which the next are changed up to [m/s].
type gearing struct {
	first int
	up    []float64
}

// changeOver is over how much speed the time of a change is spread [m/s], so that a lap does not turn on whether a
// change is just made.
const changeOver = 1.5

// weakest is an acceleration [m/s2] that a gear is taken to have at least when gears are compared.
const weakest = 1e-3

// pushes is the force at the driven tyres in a step at a speed against a drag [N], the mass that it moves [kg] and the
// gear, counted from 1. A change costs its time, and the time to make good what the drag takes meanwhile.
func (s *solver) pushes(i int, v, drag float64) (force, mass float64, gear int) {
	t := &s.m.Thrust
	if s.gears == nil || s.gears[i] == nil {
		return t.at(v)
	}
	g := s.gears[i]
	k, next := g.first, math.Inf(1)
	for _, up := range g.up {
		if v < up {
			next = up
			break
		}
		k++
	}
	force, mass = t.in(k, v)
	if v > next-changeOver && force > drag {
		force = drag + (force-drag)/(1+t.Shift*force/mass/changeOver)
	}
	return force, mass, k + 1
}

// chooseGears finds the gears of each stretch on which the speeds that were found rise: the rider leaves a corner in
// the gear that he likes, and does not change up for what is left of a straight when it does not pay. They hold on
// until speed rises again, but not where the engine fails to hold the speed.
func (s *solver) chooseGears() []*gearing {
	n := s.c.Steps()
	gears := make([]*gearing, n)
	rises := func(i int) bool { return s.speed[(i+1)%n] > s.speed[i]*(1+1e-9) }
	start := -1
	for i := range n {
		if rises(i) && !rises((i+n-1)%n) {
			start = i
			break
		}
	}
	if start < 0 {
		return gears
	}
	for k := 0; k < n; {
		i := (start + k) % n
		if !rises(i) {
			k++
			continue
		}
		length := 1
		for length < n-k && rises((i+length)%n) {
			length++
		}
		g := s.m.gearsFor(s.speed[i], s.speed[(i+length)%n])
		for ; k < n; k++ {
			j := (start + k) % n
			if length--; length < 0 && (rises(j) || s.limit[j] == ByPower) {
				break
			}
			gears[j] = g
		}
	}
	return gears
}

// gearsFor are by (8a) of docs/theory/lap.md the gears that lose least between one speed and another [m/s] on the
// level, the first one free to choose, each changed up once at the cost of a change. The way is given, not the time: a
// second at a speed v loses 1 - v/v at the end of it, for the machine gets on meanwhile.
func (m *Machine) gearsFor(from, to float64) *gearing {
	t := &m.Thrust
	cells := max(1, int(math.Ceil((to-from)/t.Step)))
	step := (to - from) / float64(cells)
	gears := len(t.Each)
	spent, changed := make([]float64, gears), make([]bool, cells*gears)
	reach := 0
	for ; reach < cells; reach++ {
		i, v := reach, from+step*(float64(reach)+0.5)
		if force, _ := t.in(gears-1, v+step/2); force <= 0 { // the redline in top gear
			break
		}
		drag, lost := m.LevelDrag(v), 1-v/to
		for k := 1; k < gears && i > 0; k++ { // also through several at once
			force, mass := t.in(k-1, v-step)
			cost := lost * t.Shift * force / max(force-drag, weakest*mass)
			if spent[k-1]+cost < spent[k] {
				spent[k], changed[i*gears+k] = spent[k-1]+cost, true
			}
		}
		for k := range spent {
			force, mass := t.in(k, v)
			if end, _ := t.in(k, v+step/2); end <= 0 {
				spent[k] = math.Inf(1)
				continue
			}
			spent[k] += lost * step * mass / max(force-drag, weakest*mass)
		}
	}
	at := 0
	for k := range spent {
		if spent[k] < spent[at] {
			at = k
		}
	}
	if reach == 0 { // above the redline in top gear: as the thrust has it
		return nil
	}
	last := at
	ups := make([]float64, gears)
	for i := reach - 1; i >= 0; i-- {
		for at > 0 && changed[i*gears+at] {
			ups[at] = from + step*float64(i)
			at--
		}
	}
	return &gearing{at, ups[at+1 : last+1]}
}
