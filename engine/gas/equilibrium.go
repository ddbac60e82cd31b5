package gas

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// products is how many species burnt gas is made of; they stand first in the list.
const products = int(N) + 1

// standard is the pressure of the polynomials' entropies [Pa].
const standard = 1e5

// Burnt is burnt gas: moles of each product for one kilogram.
type Burnt struct {
	Moles       [products]float64 // [mol/kg] in the order of the species' names
	Temperature float64           // [K]
	Pressure    float64           // [Pa]
}

// Atoms are moles of C, H, O, N and Ar [mol/kg] in one kilogram of a mixture.
type Atoms [elements]float64

// ErrNoEquilibrium says that the iteration for the composition of burnt gas did not end.
var ErrNoEquilibrium = errors.New("no chemical equilibrium was found; the mixture, temperature or pressure is out of what engines have")

// Equilibrium is the composition of burnt gas at a temperature [K] and pressure [Pa], twelve species, ideal gases.
// Valid 1200 to 5000 K. Source: minimum of the Gibbs energy by the element potentials, Gordon and McBride, NASA RP-1311
// (1994), ch. 2.
func Equilibrium(atoms Atoms, temperature, pressure float64) (Burnt, error) {
	var b Burnt
	b.Temperature, b.Pressure = temperature, pressure
	var potential [products]float64 // standard chemical potential over RT
	for j := range products {
		n := Name(j)
		potential[j] = (n.Enthalpy(temperature) - temperature*n.Entropy(temperature)) / (polynomialR * temperature)
	}
	var present []int // elements that are there
	for i := range elements {
		if atoms[i] > 0 {
			present = append(present, i)
		}
	}
	inert := func(j int) bool { // a species of an element that is not there
		for i := range elements {
			if species[j].atoms[i] > 0 && atoms[i] <= 0 {
				return true
			}
		}
		return false
	}
	var logs [products]float64
	total := 0.0
	for j := range products {
		if !inert(j) {
			logs[j] = math.Log(35.0 / float64(products)) // 35 mol/kg are usual
		}
	}
	logTotal := math.Log(35.0)
	size := len(present) + 1
	for range 200 {
		var n [products]float64
		total = math.Exp(logTotal)
		sum := 0.0
		for j := range products {
			if !inert(j) {
				n[j] = math.Exp(logs[j])
				sum += n[j]
			}
		}
		// Reduced Newton equations for the element potentials and the total.
		a := mat.NewDense(size, size, nil)
		rhs := mat.NewVecDense(size, nil)
		var mu [products]float64
		for j := range products {
			if inert(j) {
				continue
			}
			mu[j] = potential[j] + logs[j] - logTotal + math.Log(pressure/standard)
			for k, ek := range present {
				akj := species[j].atoms[ek]
				if akj == 0 {
					continue
				}
				for l, el := range present {
					a.Set(k, l, a.At(k, l)+akj*species[j].atoms[el]*n[j])
				}
				a.Set(k, size-1, a.At(k, size-1)+akj*n[j])
				a.Set(size-1, k, a.At(size-1, k)+akj*n[j])
				rhs.SetVec(k, rhs.AtVec(k)+akj*n[j]*(mu[j]-1))
			}
			rhs.SetVec(size-1, rhs.AtVec(size-1)+n[j]*mu[j])
		}
		for k, ek := range present {
			rhs.SetVec(k, rhs.AtVec(k)+atoms[ek])
		}
		a.Set(size-1, size-1, sum-total)
		rhs.SetVec(size-1, rhs.AtVec(size-1)+total-sum)
		var x mat.VecDense
		if err := x.SolveVec(a, rhs); err != nil && x.Len() == 0 {
			return b, ErrNoEquilibrium
		}
		dTotal := x.AtVec(size - 1)
		var d [products]float64
		largest := math.Abs(dTotal)
		for j := range products {
			if inert(j) {
				continue
			}
			d[j] = dTotal - mu[j]
			for k, ek := range present {
				d[j] += species[j].atoms[ek] * x.AtVec(k)
			}
			if n[j] > 1e-9*total { // traces may take longer and do not matter
				largest = math.Max(largest, math.Abs(d[j]))
			}
		}
		step := math.Min(1, 2/largest)
		for j := range products {
			if !inert(j) {
				logs[j] = math.Max(-60, logs[j]+step*math.Max(-10, math.Min(10, d[j])))
			}
		}
		logTotal += step * dTotal
		if largest < 1e-10 {
			for j := range products {
				if !inert(j) {
					b.Moles[j] = math.Exp(logs[j])
				}
			}
			return b, nil
		}
		if math.IsNaN(largest) {
			break
		}
	}
	return b, ErrNoEquilibrium
}

// Enthalpy of one kilogram [J/kg].
func (b Burnt) Enthalpy() float64 {
	h := 0.0
	for j, n := range b.Moles {
		h += n * Name(j).Enthalpy(b.Temperature)
	}
	return h
}

// Total is the moles of one kilogram [mol/kg].
func (b Burnt) Total() float64 {
	total := 0.0
	for _, n := range b.Moles {
		total += n
	}
	return total
}
