package suspension

import (
	"errors"
	"math"
)

// forkExponent is the polytropic exponent of the air in a fork.
const forkExponent = 1.3

// Fork is a telescopic fork with springs and an air column above the oil in each leg.
type Fork struct {
	Legs       int
	Rate       float64 // [N/m] of one leg's spring
	Preload    float64 // [m] squash of the spring at full extension
	Travel     float64 // [m] along the fork
	Bore       float64 // [m] of the tube, in which the oil level is measured
	Outer      float64 // [m] outside diameter of the tube, which displaces the air
	AirGap     float64 // [m] oil below the upper edge of the tube: spring out, fork bottomed
	Rake       float64 // [rad]
	Atmosphere float64 // [Pa] outside pressure; the air in the fork has it at full extension
}

// airVolumes are one leg's air volume at full extension and what of it a travel along the fork takes [m3].
func (f Fork) airVolumes(s float64) (full, taken float64) {
	outer := math.Pi / 4 * f.Outer * f.Outer
	return math.Pi/4*f.Bore*f.Bore*f.AirGap + outer*f.Travel, outer * s
}

// AirPressureGauge is the air pressure above the outside air [Pa] at a travel along the fork [m]: polytropic, exponent
// 1.3, atmospheric at full extension, the spring's own volume left out. The error is for oil so high that no air is
// left.
func (f Fork) AirPressureGauge(s float64) (float64, error) {
	full, taken := f.airVolumes(s)
	if taken >= full {
		return 0, errors.New("the oil stands so high that no air is left at this travel; lower the oil")
	}
	return f.gauge(s), nil
}

func (f Fork) gauge(s float64) float64 {
	full, taken := f.airVolumes(s)
	return f.Atmosphere * (math.Pow(full/(full-taken), forkExponent) - 1)
}

// AxialForce is the force of all legs along the fork [N] at a travel along it [m]:
// legs x (rate (s + preload) + air pressure x tube's outer area).
func (f Fork) AxialForce(s float64) float64 {
	return float64(f.Legs) * (f.Rate*(s+f.Preload) + f.gauge(s)*math.Pi/4*f.Outer*f.Outer)
}

// VerticalForceAt is the vertical force at the wheel [N] at a travel along the fork [m]: axial force / cos(rake).
func (f Fork) VerticalForceAt(s float64) float64 { return f.AxialForce(s) / math.Cos(f.Rake) }

// WheelRate is the vertical rate at the wheel [N/m] at a travel along the fork [m]: the axial rate / cos^2(rake), the
// air's part from the slope of the polytrope.
func (f Fork) WheelRate(s float64) float64 {
	full, taken := f.airVolumes(s)
	outer := math.Pi / 4 * f.Outer * f.Outer
	air := forkExponent * f.Atmosphere * outer * outer * math.Pow(full/(full-taken), forkExponent) / (full - taken)
	c := math.Cos(f.Rake)
	return float64(f.Legs) * (f.Rate + air) / (c * c)
}

// Vertical is how far the wheel rises [m] over a travel along the fork [m].
func (f Fork) Vertical(s float64) float64 { return AlongFork(s, f.Rake) }

// Full is the whole travel along the fork [m].
func (f Fork) Full() float64 { return f.Travel }

// Stroke is what a travel along the fork squashes its springs by [m]: as much.
func (f Fork) Stroke(s float64) float64 { return s }

// SpringForceFor is the force that one leg's spring must give [N] to carry a vertical load at the wheel [N] at a travel
// along the fork [m]; the air carries the rest.
func (f Fork) SpringForceFor(load, s float64) float64 {
	return load*math.Cos(f.Rake)/float64(f.Legs) - f.gauge(s)*math.Pi/4*f.Outer*f.Outer
}

// Sag is how far a suspension has gone in under a load.
type Sag struct {
	Travel   float64 // [m] from full extension
	Topped   bool    // the load does not move it
	Bottomed bool    // the load is more than it carries at full travel
}

// Sag is the travel along the fork at which it carries a vertical load at the wheel [N].
// The error is for oil so high that the fork cannot reach full travel.
func (f Fork) Sag(load float64) (Sag, error) {
	if _, err := f.AirPressureGauge(f.Travel); err != nil {
		return Sag{}, err
	}
	return solve(load, f.Travel, f.VerticalForceAt), nil
}

// solve finds the travel at which a rising force carries the load, by bisection to half a millionth of the travel.
func solve(load, travel float64, force func(float64) float64) Sag {
	if force(0) >= load {
		return Sag{Topped: true}
	}
	if force(travel) <= load {
		return Sag{Travel: travel, Bottomed: true}
	}
	low, high := 0.0, travel
	for high-low > 5e-7*travel {
		if middle := (low + high) / 2; force(middle) < load {
			low = middle
		} else {
			high = middle
		}
	}
	// One secant step across the last interval takes the error far below what the interval leaves.
	fl, fh := force(low), force(high)
	return Sag{Travel: low + (high-low)*(load-fl)/(fh-fl)}
}
