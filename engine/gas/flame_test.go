package gas

import (
	"errors"
	"math"
)

// internalEnergy of one kilogram [J/kg].
func (b Burnt) internalEnergy() float64 {
	return b.Enthalpy() - b.Total()*Universal*b.Temperature
}

// share is the mole fraction of a product [-].
func (b Burnt) share(n Name) float64 { return b.Moles[n] / b.Total() }

// flameAtPressure is the burnt gas of an adiabatic flame at constant pressure [Pa] from a mixture with an enthalpy
// [J/kg].
func flameAtPressure(atoms Atoms, enthalpy, pressure float64) (Burnt, error) {
	return solveTemperature(func(t float64) (Burnt, float64, error) {
		b, err := Equilibrium(atoms, t, pressure)
		return b, b.Enthalpy() - enthalpy, err
	})
}

// flameAtVolume is the burnt gas of an adiabatic flame at constant volume from a mixture with an internal energy [J/kg]
// and a density [kg/m3].
func flameAtVolume(atoms Atoms, energy, density float64) (Burnt, error) {
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
		return b, b.internalEnergy() - energy, nil
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
