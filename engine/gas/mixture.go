package gas

import (
	"errors"
	"fmt"
	"iter"
	"strings"
	"sync"
)

// dryAir is the composition of dry air [mole fractions]. Source: NASA TP-2002-211556, "Air".
var dryAir = map[Name]float64{N2: 0.78084, O2: 0.209476, Ar: 0.009365, CO2: 0.000319}

// Fuel is a fuel as a blend of species that stand in for it.
type Fuel struct {
	Name   string
	Shares map[Name]float64 // [-] mole fractions
	Liquid map[Name]float64 // [J/mol] heats of formation of the liquids at 298.15 K
}

// Liquid heats of formation at 298.15 K [J/mol]. Source: NASA TP-2002-211556.
var liquid = map[Name]float64{IsoOctane: -259160, Toluene: 12180, Methanol: -238910, Ethanol: -277510}

// Gasoline stands for pump and race petrol: iso-octane and toluene that together have 1.85 hydrogen to a carbon.
func Gasoline() Fuel {
	return Fuel{"petrol, as iso-octane and toluene", map[Name]float64{IsoOctane: 0.607362, Toluene: 0.392638}, liquid}
}

// FuelNamed is the fuel that a name speaks of: methanol, ethanol, or petrol for all others.
func FuelNamed(name string) Fuel {
	lower := strings.ToLower(name)
	switch {
	case strings.Contains(lower, "methanol"):
		return Fuel{"methanol", map[Name]float64{Methanol: 1}, liquid}
	case strings.Contains(lower, "ethanol") && !strings.Contains(lower, "%") && !strings.Contains(lower, "petrol"):
		return Fuel{"ethanol", map[Name]float64{Ethanol: 1}, liquid}
	}
	return Gasoline()
}

// inOrder goes through shares in the order of the species, so that sums come out the same to the last bit.
func inOrder(shares map[Name]float64) iter.Seq2[Name, float64] {
	return func(yield func(Name, float64) bool) {
		for n := range Name(known) {
			if x, ok := shares[n]; ok && !yield(n, x) {
				return
			}
		}
	}
}

// Molar is the mean molar mass [kg/mol].
func (f Fuel) Molar() float64 {
	m := 0.0
	for n, x := range inOrder(f.Shares) {
		m += x * n.Molar()
	}
	return m
}

// vapour is the enthalpy of the vapour [J/kg] at a temperature [K].
func (f Fuel) vapour(temperature float64) float64 {
	h := 0.0
	for n, x := range inOrder(f.Shares) {
		h += x * n.Enthalpy(temperature)
	}
	return h / f.Molar()
}

// Latent is the heat that one kilogram of liquid takes to become vapour at 298.15 K [J/kg].
func (f Fuel) Latent() float64 {
	h := 0.0
	for n, x := range inOrder(f.Shares) {
		h += x * (n.Enthalpy(298.15) - f.Liquid[n])
	}
	return h / f.Molar()
}

// atoms of one kilogram [mol/kg].
func (f Fuel) atoms() Atoms { return atomsOf(f.Shares, f.Molar()) }

func atomsOf(shares map[Name]float64, molar float64) (a Atoms) {
	for n, x := range inOrder(shares) {
		for i := range elements {
			a[i] += x * species[n].atoms[i] / molar
		}
	}
	return a
}

// Heating is the lower heating value of the vapour [J/kg]: to carbon dioxide and water vapour at 298.15 K.
func (f Fuel) Heating() float64 {
	a := f.atoms()
	return f.vapour(298.15) - a[0]*CO2.Enthalpy(298.15) - a[1]/2*H2O.Enthalpy(298.15)
}

// StoichiometricAir is the mass of dry air that burns one of fuel [-].
func (f Fuel) StoichiometricAir() float64 { return f.stoichiometric(dryAir) }

func (f Fuel) stoichiometric(air map[Name]float64) float64 {
	a := f.atoms()
	oxygen := a[0] + a[1]/4 - a[2]/2 // [mol O2/kg]
	molar := 0.0
	for n, x := range inOrder(air) {
		molar += x * n.Molar()
	}
	return oxygen / air[O2] * molar
}

// The three gases that flow through an engine.
const (
	FreshAir = iota
	FuelVapour
	BurntGas
	Kinds
)

// Grid of the tables of energy.
const (
	TableFrom  = 200.0 // [K]
	TableStep  = 25.0  // [K]
	TableCells = 136   // up to 3600 K
)

// frozenBelow is where the composition of burnt gas no longer follows equilibrium as it cools [K]; burntAt is the
// pressure at which it is taken [Pa]. Source: Heywood 1988, ch. 4: about 1700 K. 50 bar is usual at full load when the
// gas is hottest; half or twice as much moves the hottest gas by 50 K, at most, and hardly anything below 2300 K.
const (
	frozenBelow = 1700.0
	burntAt     = 50e5
)

// Charge is what an engine breathes, as tables: internal energies of air, fuel vapour and burnt gas, with their heats
// of formation, so that burning is a change of composition at constant energy.
type Charge struct {
	Energy   [Kinds][TableCells + 1]float64 // [J/kg] at TableFrom + k TableStep
	Constant [Kinds]float64                 // [J/(kg K)] specific gas constants
	FuelAir  float64                        // [-] mass of fuel over mass of air
	Fuel     Fuel
	Lambda   float64 // [-]
	Heating  float64 // [J/kg] lower heating value of the fuel's vapour
}

// Burns says why a mixture of an air ratio lambda in air that holds a mole fraction of water vapour is not computed;
// nil when it is.
func Burns(lambda, vapour float64) error {
	if !(lambda >= 0.6 && lambda <= 1.6) {
		return fmt.Errorf("an air ratio of %.3g does not burn as engines do; 0.6 to 1.6 are computed", lambda)
	}
	if !(vapour >= 0 && vapour < 0.1) {
		return errors.New("the air cannot hold that much water; look at temperature and humidity")
	}
	return nil
}

// charges are those that were made: the questions about one build are about the same mixture. All go when there are
// manyCharges.
var charges struct {
	sync.Mutex
	made map[string]func() (*Charge, error)
}

const manyCharges = 200

// NewCharge is the tables for a fuel burnt at an air ratio lambda, 0.6 to 1.6, in air that holds a mole fraction of
// water vapour. Burnt gas is in chemical equilibrium at 50 bar above 1700 K and keeps its composition below. The tables
// are made once and shared: they are for reading.
func NewCharge(fuel Fuel, lambda, vapour float64) (*Charge, error) {
	if err := Burns(lambda, vapour); err != nil {
		return nil, err
	}
	key := fmt.Sprint(fuel, lambda, vapour)
	charges.Lock()
	made := charges.made[key]
	if made == nil {
		if charges.made == nil || len(charges.made) >= manyCharges {
			charges.made = map[string]func() (*Charge, error){}
		}
		made = sync.OnceValues(func() (*Charge, error) { return newCharge(fuel, lambda, vapour) })
		charges.made[key] = made
	}
	charges.Unlock()
	return made()
}

func newCharge(fuel Fuel, lambda, vapour float64) (*Charge, error) {
	air := map[Name]float64{H2O: vapour}
	for n, x := range inOrder(dryAir) {
		air[n] = x * (1 - vapour)
	}
	airMolar := 0.0
	for n, x := range inOrder(air) {
		airMolar += x * n.Molar()
	}
	c := &Charge{Fuel: fuel, Lambda: lambda, Heating: fuel.Heating(), FuelAir: 1 / (lambda * fuel.stoichiometric(air))}
	airAtoms, fuelAtoms := atomsOf(air, airMolar), fuel.atoms()
	var mixed Atoms
	for i := range elements {
		mixed[i] = (airAtoms[i] + c.FuelAir*fuelAtoms[i]) / (1 + c.FuelAir)
	}
	frozen, err := Equilibrium(mixed, frozenBelow, burntAt)
	if err != nil {
		return nil, err
	}
	c.Constant[FreshAir] = Universal / airMolar
	c.Constant[FuelVapour] = Universal / fuel.Molar()
	c.Constant[BurntGas] = Universal * frozen.Total()
	for k := range TableCells + 1 {
		t := TableFrom + float64(k)*TableStep
		h := 0.0
		for n, x := range inOrder(air) {
			h += x * n.Enthalpy(t)
		}
		c.Energy[FreshAir][k] = h/airMolar - c.Constant[FreshAir]*t
		c.Energy[FuelVapour][k] = fuel.vapour(max(t, 298.15)) + min(0, t-298.15)*fuelColdHeat(fuel) - c.Constant[FuelVapour]*t
		burnt := frozen
		burnt.Temperature = t
		if t > frozenBelow {
			if burnt, err = Equilibrium(mixed, t, burntAt); err != nil {
				return nil, err
			}
		}
		c.Energy[BurntGas][k] = burnt.Enthalpy() - c.Constant[BurntGas]*t
	}
	return c, nil
}

// fuelColdHeat is cp of the vapour at 298.15 K [J/(kg K)], below which its polynomial is not used.
func fuelColdHeat(f Fuel) float64 {
	cp := 0.0
	for n, x := range inOrder(f.Shares) {
		cp += x * n.HeatCapacity(298.15)
	}
	return cp / f.Molar()
}

// Fresh is the composition of fresh mixture [-]: mass fractions of fuel vapour and burnt gas.
func (c *Charge) Fresh() (fuel, burnt float64) { return c.FuelAir / (1 + c.FuelAir), 0 }
