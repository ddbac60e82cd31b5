package engine

import (
	"math"

	"shakedown/engine/flow"
)

// silencer is what the head pipe ends in: chambers one behind the other, or one around a perforated core through which
// the pipe goes on to the outlet.
type silencer struct {
	chambers    []*flow.Volume
	passage     float64 // [m2] effective, between chambers
	outlet      float64 // [m2] effective
	core        bool
	first, last int     // cells of the pipe that are the core
	holes       float64 // [m2] effective, in the wall of one of them
}

// newSilencer makes the silencer of a specification behind a pipe that reaches it at a distance [m] from the cylinder.
func newSilencer(b *Breathing, g *flow.Gas, pipe *flow.Pipe, reaches float64, start flow.State) (*silencer, error) {
	s := &silencer{passage: outletLoss * disc(b.Passage), outlet: outletLoss * (1 + b.Doubt.Outlet) * disc(b.Outlet), core: b.Core.Length > 0}
	size := b.Silencer
	if s.core {
		size -= disc(b.Core.Diameter) * b.Core.Length
		s.first = min(pipe.Cells()-1, int(math.Round(reaches/pipe.Cell())))
		s.last = max(s.first, min(pipe.Cells(), int(math.Round((reaches+b.Core.Length)/pipe.Cell())))-1)
		s.holes = coreLoss * b.CoreOpen * math.Pi * b.Core.Diameter * b.Core.Length / float64(s.last-s.first+1)
		if b.Outlet >= b.Core.Diameter { // the core goes on as the outlet: an open end
			s.outlet = pipe.EndArea(flow.Far)
		}
	}
	n := max(1, b.Chambers)
	for range n {
		v, err := flow.NewVolume(g, size/float64(n), start)
		if err != nil {
			return nil, err
		}
		s.chambers = append(s.chambers, v)
	}
	return s, nil
}

// fillLike fills the chambers as those of another, as far as it has as many.
func (s *silencer) fillLike(other *silencer) error {
	for i, v := range s.chambers {
		if i < len(other.chambers) {
			if err := v.Fill(other.chambers[i].State()); err != nil {
				return err
			}
		}
	}
	return nil
}

// behind is what the pipe's end looks into, and through which area [m2].
func (s *silencer) behind(pipe *flow.Pipe, open flow.Reservoir) (flow.Reservoir, float64) {
	if s.core {
		return open, s.outlet
	}
	return s.chambers[0].Rest(), pipe.EndArea(flow.Far)
}

// throughCore lets gas pass through the core's holes in a time [s].
func (s *silencer) throughCore(pipe *flow.Pipe, dt float64) error {
	if !s.core {
		return nil
	}
	return pipe.Holes(s.first, s.last, s.holes, s.chambers[0], dt)
}

// pass takes what came out of the pipe's end on to the open, and gives what came in from there: mass [kg] and energy
// [J].
func (s *silencer) pass(from passed, open *flow.Reservoir, dt float64) (mass, energy float64, err error) {
	if s.core {
		return -from.mass, -from.energy, nil
	}
	if err := s.chambers[0].Add(from.mass, from.energy, from.m1, from.m2); err != nil {
		return 0, 0, err
	}
	last := len(s.chambers) - 1
	for i := range last {
		if _, _, _, _, err := flow.Between(s.chambers[i], s.chambers[i+1], s.passage, dt); err != nil {
			return 0, 0, err
		}
	}
	mass, energy, _, _, err = s.chambers[last].Exchange(open, s.outlet, dt)
	return mass, energy, err
}

// warm brings the chambers' gas at once to the temperature that it would have in the end, when as much energy leaves
// with the mass as comes, an enthalpy [J/kg]: they hold many cycles' gas and would take as many to get there.
func (s *silencer) warm(g *flow.Gas, enthalpy float64) error {
	for _, v := range s.chambers {
		mass, energy, m1, m2 := v.Content()
		y1, y2 := m1/mass, m2/mass
		now := v.State()
		t, _ := g.TemperatureOfEnthalpy(enthalpy, y1, y2, now.Temperature)
		if !(t > 250 && t < 2500) {
			continue
		}
		// The pressure stays: less mass when hotter.
		keep := now.Temperature / t
		e, _ := g.EnergyAt(t, y1, y2)
		if err := v.Add(mass*(keep-1), mass*keep*e-energy, m1*(keep-1), m2*(keep-1)); err != nil {
			return err
		}
	}
	return nil
}
