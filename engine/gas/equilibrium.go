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

// Equilibrium is the composition of burnt gas at a temperature [K] and pressure [Pa], twelve species, ideal gases. Valid 1200
// to 5000 K. Source: minimum of the Gibbs energy by the element potentials, Gordon and McBride, NASA RP-1311 (1994), ch. 2.
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

// InternalEnergy of one kilogram [J/kg].
func (b Burnt) InternalEnergy() float64 {
	return b.Enthalpy() - b.Total()*Universal*b.Temperature
}

// Total is the moles of one kilogram [mol/kg].
func (b Burnt) Total() float64 {
	total := 0.0
	for _, n := range b.Moles {
		total += n
	}
	return total
}

// Share is the mole fraction of a product [-].
func (b Burnt) Share(n Name) float64 { return b.Moles[n] / b.Total() }

// FlameAtPressure is the burnt gas of an adiabatic flame at constant pressure [Pa] from a mixture with an enthalpy [J/kg].
func FlameAtPressure(atoms Atoms, enthalpy, pressure float64) (Burnt, error) {
	return solveTemperature(func(t float64) (Burnt, float64, error) {
		b, err := Equilibrium(atoms, t, pressure)
		return b, b.Enthalpy() - enthalpy, err
	})
}

// FlameAtVolume is the burnt gas of an adiabatic flame at constant volume from a mixture with an internal energy [J/kg] and a
// density [kg/m3].
func FlameAtVolume(atoms Atoms, energy, density float64) (Burnt, error) {
	return solveTemperature(func(t float64) (Burnt, float64, error) {
		pressure := density * 36 * Universal * t
		var b Burnt
		var err error
		for range 40 {
			if b, err = Equilibrium(atoms, t, pressure); err != nil {
				return b, 0, err
			}
			next := density * b.Total() * Universal * t
			if math.Abs(next-pressure) < 1e-9*pressure {
				break
			}
			pressure = next
		}
		return b, b.InternalEnergy() - energy, nil
	})
}

// solveTemperature finds where a balance that rises with temperature is zero.
func solveTemperature(balance func(t float64) (Burnt, float64, error)) (Burnt, error) {
	low, high := 1200.0, 4500.0 // below, a mixture just right has nothing left that the balance could turn on
	_, fl, err := balance(low)
	if err != nil {
		return Burnt{}, err
	}
	b, fh, err := balance(high)
	if err != nil {
		return b, err
	}
	if fl > 0 || fh < 0 {
		return b, errors.New("the flame's temperature is outside 1200 to 4500 K; look at mixture and temperature")
	}
	for range 80 {
		t := low - fl*(high-low)/(fh-fl)
		if margin := 0.02 * (high - low); t < low+margin || t > high-margin { // a step towards the middle where the secant creeps
			t = math.Max(low+margin, math.Min(high-margin, t))
		}
		var f float64
		if b, f, err = balance(t); err != nil {
			return b, err
		}
		if f > 0 {
			high, fh = t, f
		} else {
			low, fl = t, f
		}
		if high-low < 1e-6 || math.Abs(f) < 1e-3 {
			return b, nil
		}
	}
	return b, ErrNoEquilibrium
}
