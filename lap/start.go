package lap

import (
	"fmt"
	"math"
)

// Launch is how a standing start is made: the crank is held at a speed while the clutch slips.
type Launch struct {
	Force      float64 // [N] at the driven tyres while it slips
	Until      float64 // [m/s] at which it has hold
	Efficiency float64 // [-] of what lies behind it
}

// Start is a standing start to the first corner.
type Start struct {
	Time     float64           // [s] to the corner
	Distance float64           // [m] to it
	Speed    float64           // [m/s] there
	Fastest  float64           // [m/s] on the way
	Slips    float64           // [s] for which the clutch slips
	Heat     float64           // [J] that it takes
	Limit    Limit             // for the longest time while it slips
	ByTime   map[Limit]float64 // [s] that each holds it back
	Way      []float64         // [m] every metre
	Speeds   []float64         // [m/s] there
}

// launchStep is the step of a start [m]: the first metres want finer ones than a lap.
const launchStep = 0.1

// told is of how many steps one is told.
const told = 10

// StandingStart is the way of a machine from rest to the first corner or jump of a course, braked for it. The error is
// ErrMachine, with what is wrong.
func StandingStart(m *Machine, sections []Section, l Launch) (*Start, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	if !(l.Force > 0 && l.Until > 0 && l.Efficiency > 0) {
		return nil, fmt.Errorf("%w: a start needs a clutch that pulls", ErrMachine)
	}
	var way []Section
	length := 0.0
	for _, s := range sections {
		if s.Jump.TakeOff > 0 {
			break
		}
		way = append(way, s)
		if s.Turn != 0 {
			break
		}
		length += s.Length
	}
	if length == 0 {
		return nil, fmt.Errorf("%w: the course has no straight before its first corner", ErrMachine)
	}
	c, err := NewCourse(way, launchStep)
	if err != nil {
		return nil, err
	}
	moved := *m
	moved.Thrust.Force, moved.Thrust.Mass = append([]float64(nil), m.Thrust.Force...), append([]float64(nil), m.Thrust.Mass...)
	for i := range moved.Thrust.Force {
		if v := m.Thrust.Step * float64(i); v < l.Until {
			moved.Thrust.Force[i], moved.Thrust.Mass[i] = l.Force, m.Mass
		}
	}
	s := newSolver(&moved, c)
	s.caps()
	n := c.Steps()
	s.cap[0] = crawl
	if _, err := s.forward(0, crawl); err != nil {
		return nil, err
	}
	s.speed[n] = s.speed[n-1]
	corner := int(math.Round(length / launchStep))
	corner = min(corner, n)
	// Braked for the corner, from there backwards.
	for i := corner - 1; i > 0; i-- {
		a, by := s.brakes(i, s.speed[i+1])
		if most := math.Sqrt(s.speed[i+1]*s.speed[i+1] + 2*math.Max(0, a)*c.step[i]); most < s.speed[i] {
			s.speed[i], s.limit[i] = most, by
		}
	}
	out := &Start{Distance: length, Speed: s.speed[corner], ByTime: map[Limit]float64{}}
	for i := range corner {
		v, u := s.speed[i], s.speed[i+1]
		dt := 2 * c.step[i] / (v + u)
		if i == 0 { // and from rest to the speed that the passes begin with, as hard
			dt += v * 2 * c.step[i] / (u*u - v*v)
		}
		out.Time += dt
		out.ByTime[s.limit[i]] += dt
		out.Fastest = math.Max(out.Fastest, u)
		if i%told == 0 {
			out.Way, out.Speeds = append(out.Way, float64(i)*c.step[i]), append(out.Speeds, v)
		}
		if v < l.Until {
			out.Slips += dt
			// What the tyres are given is less where grip or balance hold it back: the rider slips the clutch less
			// hard.
			pull := math.Min(l.Force, m.Mass*(u*u-v*v)/(2*c.step[i])+s.drag(i, v, gravity, 1))
			out.Heat += math.Max(0, pull) / l.Efficiency * (l.Until - math.Min(l.Until, (v+u)/2)) * dt
			if out.ByTime[s.limit[i]] >= out.ByTime[out.Limit] {
				out.Limit = s.limit[i]
			}
		}
	}
	return out, nil
}
