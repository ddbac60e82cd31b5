package suspension

import (
	"errors"
	"math"
)

// LeveragePoint is the leverage of a suspension at a wheel travel.
type LeveragePoint struct {
	Travel float64 // [m] at the wheel, from full extension
	Ratio  float64 // [-] wheel travel over shock travel there
}

// Shock is the suspension of an axle: one or more springs with gas-charged dampers, through a leverage that is linear
// between points of wheel travel and constant outside them.
type Shock struct {
	Count       int     // springs that act together; 0 is taken as 1
	Rate        float64 // [N/m] of one
	Preload     float64 // [m] squash of the spring at full extension
	GasPressure float64 // [Pa] above the outside air, shock extended; taken as constant
	Shaft       float64 // [m] diameter
	Leverage    []LeveragePoint
	Travel      float64 // [m] vertical at the wheel
}

// Validate says whether the leverage can be used: points in rising order of travel, ratios above zero.
func (s Shock) Validate() error {
	if len(s.Leverage) == 0 {
		return errors.New("the leverage has no points; give at least {travel: 0 mm, ratio: ...}")
	}
	for i, p := range s.Leverage {
		if !(p.Ratio > 0) || (i > 0 && p.Travel <= s.Leverage[i-1].Travel) {
			return errors.New("the leverage's points must rise in travel and have ratios above zero")
		}
	}
	return nil
}

// RatioAt is wheel travel over shock travel at a wheel travel [-].
func (s Shock) RatioAt(z float64) float64 {
	points := s.Leverage
	if z <= points[0].Travel {
		return points[0].Ratio
	}
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; z <= b.Travel {
			return a.Ratio + (b.Ratio-a.Ratio)*(z-a.Travel)/(b.Travel-a.Travel)
		}
	}
	return points[len(points)-1].Ratio
}

// Stroke is how much of the shock's stroke a wheel travel uses [m]: the integral of dz/ratio, in closed form over each
// piece.
func (s Shock) Stroke(z float64) float64 {
	stroke, from := 0.0, 0.0
	piece := func(to float64) {
		a, b := s.RatioAt(from), s.RatioAt(to)
		if slope := b - a; slope != 0 {
			stroke += (to - from) / slope * math.Log1p(slope/a) // not the logarithm of b/a: of ratios nearly alike it keeps no digits
		} else {
			stroke += (to - from) / a
		}
		from = to
	}
	for _, p := range s.Leverage {
		if p.Travel > 0 && p.Travel < z {
			piece(p.Travel)
		}
	}
	piece(z)
	return stroke
}

// Vertical is how far the wheel rises [m] over a travel at the wheel [m]: as much.
func (s Shock) Vertical(z float64) float64 { return z }

// Full is the whole travel at the wheel [m].
func (s Shock) Full() float64 { return s.Travel }

// count is the number of springs.
func (s Shock) count() float64 { return float64(max(1, s.Count)) }

// WheelForce is the vertical force at the wheels [N] at a wheel travel [m]:
// count x (rate (stroke used + preload) + gas pressure x shaft area) / ratio.
func (s Shock) WheelForce(z float64) float64 {
	return s.count() * (s.Rate*(s.Stroke(z)+s.Preload) + s.GasPressure*math.Pi/4*s.Shaft*s.Shaft) / s.RatioAt(z)
}

// SpringForceFor is the force that one spring must give [N] to carry a vertical load at the wheels [N] at a wheel
// travel [m]; the gas carries the rest.
func (s Shock) SpringForceFor(load, z float64) float64 {
	return load*s.RatioAt(z)/s.count() - s.GasPressure*math.Pi/4*s.Shaft*s.Shaft
}

// WheelRate is the slope of the force at the wheel [N/m] at a wheel travel [m], by central differences over a
// micrometre to each side; at a corner of the leverage it is the mean of both sides.
func (s Shock) WheelRate(z float64) float64 {
	const step = 1e-6
	return (s.WheelForce(z+step) - s.WheelForce(z-step)) / (2 * step)
}

// Sag is the wheel travel at which the shock carries a vertical load at the wheel [N].
func (s Shock) Sag(load float64) (Sag, error) {
	if err := s.Validate(); err != nil {
		return Sag{}, err
	}
	return solve(load, s.Travel, s.WheelForce), nil
}
