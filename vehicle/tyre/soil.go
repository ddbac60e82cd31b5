package tyre

import (
	"errors"
	"math"
)

// Soil is ground that gives way, as Bekker and Wong measure it. What a tyre holds and loses on it in all cannot be had
// from such figures for a race track; how it moves with load, pressure and size can.
type Soil struct {
	Name     string
	N        float64 // [-] how pressure rises with sinkage
	Cohesive float64 // [N/m^(n+1)] kc
	Friction float64 // [N/m^(n+2)] kphi
	Cohesion float64 // [Pa]
	Angle    float64 // [rad] of inner friction
}

// Soils by name. Source: Wong, Theory of Ground Vehicles, table 2.3; rows of the moist clays from memory.
var Soils = []Soil{
	{"dry sand", 1.1, 0.99e3, 1528.43e3, 1.04e3, 28 * math.Pi / 180}, {"sandy loam", 0.7, 5.27e3, 1515.04e3, 1.72e3, 29 * math.Pi / 180},
	{"moist sandy loam", 0.9, 52.53e3, 1127.97e3, 4.83e3, 20 * math.Pi / 180}, {"clayey soil", 0.5, 13.19e3, 692.15e3, 4.14e3, 13 * math.Pi / 180},
	{"firm sand", 0.793, 102e3, 5301e3, 1.3e3, 31.1 * math.Pi / 180}, {"snow", 1.6, 4.37e3, 196.72e3, 1.03e3, 19.7 * math.Pi / 180},
}

// ErrSinkage says that a wheel sinks deeper than the formula for small sinkage holds.
var ErrSinkage = errors.New("the wheel sinks too deep for the formula of small sinkage")

// stiffness is k of Bekker for a width [m].
func (s Soil) stiffness(width float64) float64 { return s.Cohesive/width + s.Friction }

// Pressure under a plate of a width [m] at a sinkage [m], in Pa. Source: Bekker, p = (kc/b + kphi) z^n.
func (s Soil) Pressure(width, sinkage float64) float64 {
	return s.stiffness(width) * math.Pow(sinkage, s.N)
}

// Sinkage of a plate of a width [m] under a pressure [Pa], in m: the inverse.
func (s Soil) Sinkage(width, pressure float64) float64 {
	return math.Pow(pressure/s.stiffness(width), 1/s.N)
}

// Compaction is the drag [N] of pressing a rut of a width [m] and sinkage [m]: b k z^(n+1)/(n+1). Source: Bekker.
func (s Soil) Compaction(width, sinkage float64) float64 {
	return width * s.stiffness(width) * math.Pow(sinkage, s.N+1) / (s.N + 1)
}

// Wheel is sinkage [m] and drag [N] of a rigid wheel under a load [N], of a width and diameter [m]; ErrSinkage when it
// sinks by more than a sixth of its diameter or the soil's exponent is above 1.3, for which the formula does not hold:
// both numbers come with it. Source: Bekker, in Wong, section 2.4.
func (s Soil) Wheel(load, width, diameter float64) (sinkage, drag float64, err error) {
	k := s.stiffness(width)
	sinkage = math.Pow(3*load/(width*(3-s.N)*k*math.Sqrt(diameter)), 2/(2*s.N+1))
	drag = width * k * math.Pow(sinkage, s.N+1) / (s.N + 1)
	if sinkage > diameter/6 || s.N > 1.3 {
		err = ErrSinkage
	}
	return sinkage, drag, err
}

// Contact is what a tyre does to a soil that it rolls over.
type Contact struct {
	Sinkage float64 // [m]
	Drag    float64 // [N] of pressing the rut
	Area    float64 // [m2] that carries
	Flexes  bool    // the tyre is softer than the ground and flattens
}

// Tyre is the contact of a tyre under a load [N], of a width and diameter [m], with a pressure on the ground [Pa] when
// it flattens: that of its air and of its carcass; 0 for one that is not known, which stays round. A tyre flattens
// where the ground would press more against the round one than the tyre itself can. The error is ErrSinkage, as that of
// Wheel. Source: Bekker; Wong, Theory of Ground Vehicles, section 2.5.
func (s Soil) Tyre(load, width, diameter, pressure float64) (Contact, error) {
	z, drag, err := s.Wheel(load, width, diameter)
	if pressure > 0 && pressure < s.Pressure(width, z) {
		z = s.Sinkage(width, pressure)
		return Contact{z, s.Compaction(width, z), load / pressure, true}, nil
	}
	return Contact{z, drag, width * math.Sqrt(z*math.Max(0, diameter-z)), false}, err
}

// ShearLimit is the greatest thrust [N] of a contact area [m2] under a load [N]: A c + W tan(phi). Source: Mohr and
// Coulomb.
func (s Soil) ShearLimit(area, load float64) float64 {
	return area*s.Cohesion + load*math.Tan(s.Angle)
}
