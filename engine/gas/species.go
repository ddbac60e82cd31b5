package gas

import "math"

// Universal is the gas constant [J/(mol K)], CODATA 2018; exact since 2019.
const Universal = 8.314462618

// polynomialR is the gas constant with which the polynomials were fitted [J/(mol K)].
const polynomialR = 8.31451

// breakAt is where the two polynomials of a species meet [K].
const breakAt = 1000.0

// elements counts those that the program's species are made of: C, H, O, N, Ar.
const elements = 5

// segment is one polynomial.
type segment struct {
	a [7]float64
	b [2]float64
}

// kind is what is known of a species.
type kind struct {
	name      string
	atoms     [elements]float64
	molar     float64 // [kg/mol]
	low, high segment
}

func (k *kind) at(temperature float64) *segment {
	if temperature > breakAt {
		return &k.high
	}
	return &k.low
}

// String is the species' formula.
func (n Name) String() string { return species[n].name }

// Molar is the molar mass [kg/mol].
func (n Name) Molar() float64 { return species[n].molar }

// HeatCapacity is cp of the ideal gas [J/(mol K)] at a temperature [K], 200 to 6000. Source: NASA TP-2002-211556.
func (n Name) HeatCapacity(temperature float64) float64 {
	t := temperature
	a := species[n].at(t).a
	return polynomialR * (a[0]/(t*t) + a[1]/t + a[2] + t*(a[3]+t*(a[4]+t*(a[5]+t*a[6]))))
}

// Enthalpy of the ideal gas [J/mol] at a temperature [K], 200 to 6000, with the heat of formation: at 298.15 K the
// elements have none. Source: NASA TP-2002-211556.
func (n Name) Enthalpy(temperature float64) float64 {
	t := temperature
	s := species[n].at(t)
	a := s.a
	return polynomialR * (-a[0]/t + a[1]*math.Log(t) + t*(a[2]+t*(a[3]/2+t*(a[4]/3+t*(a[5]/4+t*a[6]/5)))) + s.b[0])
}

// Entropy of the ideal gas at 1 bar [J/(mol K)] at a temperature [K], 200 to 6000. Source: NASA TP-2002-211556.
func (n Name) Entropy(temperature float64) float64 {
	t := temperature
	s := species[n].at(t)
	a := s.a
	return polynomialR * (-a[0]/(2*t*t) - a[1]/t + a[2]*math.Log(t) + t*(a[3]+t*(a[4]/2+t*(a[5]/3+t*a[6]/4))) + s.b[1])
}
