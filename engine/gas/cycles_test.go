package gas

import (
	"fmt"
	"math"
	"testing"

	"shakedown/internal/outside"
)

// A flame of two liquids in hot air, pressures apart, as NASA's program printed it.
func TestOutsideFlameOfTwoLiquids(t *testing.T) {
	const ratio = 17.0 // air over fuel by mass
	airMolar := 0.0
	for n, x := range dryAir {
		airMolar += x * n.Molar()
	}
	air := atomsOf(dryAir, airMolar)
	toluene := atomsOf(map[Name]float64{Toluene: 1}, Toluene.Molar())
	const octaneMolar = 8*12.0107e-3 + 18*1.00794e-3 // [kg/mol] normal octane, which the program does not know
	octaneAtoms := Atoms{8 / octaneMolar, 18 / octaneMolar}
	var mixed Atoms
	for i := range elements {
		mixed[i] = (ratio*air[i] + 0.4*toluene[i] + 0.6*octaneAtoms[i]) / (1 + ratio)
	}
	seen := []outside.Known{outside.Seen, outside.Computed}
	const source = rp1311 + ", example 3"
	for _, row := range []struct{ bar, temperature, molar float64 }{{100, 2418.660, 29.021}, {10, 2390.593, 28.959}, {1, 2338.840, 28.846}} {
		b, err := flameAtPressure(mixed, 317.838e3, row.bar*1e5)
		if err != nil {
			t.Fatal(err)
		}
		at := fmt.Sprintf(" at %g bar", row.bar)
		outside.Check{ID: "engine 1.3.1", Name: "toluene and octane in air, flame" + at, Unit: "K", Got: b.Temperature, Want: row.temperature, Tol: 0.5, Source: source, Known: seen}.Run(t)
		outside.Check{ID: "engine 1.3.1", Name: "its molar mass" + at, Unit: "g/mol", Got: 1000 / b.Total(), Want: row.molar, Tol: 0.005, Relative: true, Source: source, Known: seen}.Run(t)
		if row.bar == 10 {
			for n, x := range map[Name]float64{CO: 0.004312, NO: 0.0065527, OH: 0.003816, O2: 0.027365} {
				outside.Check{ID: "engine 1.3.1", Name: "its share of " + n.String() + at, Unit: "1", Got: b.share(n), Want: x, Tol: 0.005, Relative: true, Source: source, Known: seen}.Run(t)
			}
		}
	}
}

// frozen is cp and the moles of one kilogram of a mixture that does not react.
func frozen(moles map[Name]float64, temperature float64) (cp, total float64) {
	for n, x := range inOrder(moles) {
		cp += x * n.HeatCapacity(temperature)
		total += x
	}
	return cp, total
}

// octaneAir is iso-octane vapour with oxygen and 3.76 nitrogen [mol/kg], and the share of fuel by mass.
func octaneAir(phi float64) (moles map[Name]float64, fuel float64) {
	afr := pure(IsoOctane).stoichiometric(simpleAir) / phi
	molar := simpleAir[O2]*O2.Molar() + simpleAir[N2]*N2.Molar()
	fuel = 1 / (1 + afr)
	air := (1 - fuel) / molar
	return map[Name]float64{IsoOctane: fuel / IsoOctane.Molar(), O2: air * simpleAir[O2], N2: air * simpleAir[N2]}, fuel
}

// complete is what burns whole to carbon dioxide and water [mol/kg], equivalence ratio 1.
func complete() map[Name]float64 {
	fresh, _ := octaneAir(1)
	return map[Name]float64{CO2: 8 * fresh[IsoOctane], H2O: 9 * fresh[IsoOctane], N2: fresh[N2]}
}

func TestOutsideGasesThatDoNotReact(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	ratio := func(moles map[Name]float64, temperature float64) float64 {
		cp, total := frozen(moles, temperature)
		return cp / (cp - total*Universal)
	}
	fresh, _ := octaneAir(1)
	for temperature, want := range map[float64]float64{300: 1.3536, 700: 1.2913, 1000: 1.2614} {
		outside.Check{ID: "engine 1.3.11", Name: fmt.Sprintf("iso-octane and air, ratio of heats at %g K", temperature), Unit: "1", Got: ratio(fresh, temperature), Want: want, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)
	}
	for temperature, want := range map[float64]float64{1000: 1.2939, 2000: 1.2526, 3000: 1.2400} {
		outside.Check{ID: "engine 1.3.12", Name: fmt.Sprintf("burnt whole, ratio of heats at %g K", temperature), Unit: "1", Got: ratio(complete(), temperature), Want: want, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)
	}
	_, total := frozen(fresh, 300)
	outside.Check{ID: "engine 1.3.11", Name: "iso-octane and air, gas constant", Unit: "J/(kg K)", Got: total * Universal, Want: 274.75, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)
	_, total = frozen(complete(), 300)
	outside.Check{ID: "engine 1.3.12", Name: "burnt whole, gas constant", Unit: "J/(kg K)", Got: total * Universal, Want: 290.64, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)

	// Burnt whole at constant pressure: no dissociation, so hotter than the flame.
	enthalpy := func(moles map[Name]float64, temperature float64) (h float64) {
		for n, x := range inOrder(moles) {
			h += x * n.Enthalpy(temperature)
		}
		return h
	}
	for _, row := range []struct {
		id, name     string
		latent, want float64
	}{{"1.3.4", "vapour", 0, 2402.2}, {"1.3.5", "liquid", 1, 2389.1}} {
		_, fuel := octaneAir(1)
		given := enthalpy(fresh, 298.15) - row.latent*fuel*pure(IsoOctane).Latent()
		low, high := 1000.0, 4000.0
		for high-low > 1e-6 {
			if middle := (low + high) / 2; enthalpy(complete(), middle) < given {
				low = middle
			} else {
				high = middle
			}
		}
		outside.Check{ID: "engine " + row.id, Name: "iso-octane " + row.name + " burnt whole, 1 atm", Unit: "K", Got: low, Want: row.want, Tol: 2, Source: tp2002, Known: computed}.Run(t)
	}
}

// entropy of one kilogram [J/(kg K)] of moles at a temperature [K] and density [kg/m3].
func entropy(moles map[Name]float64, temperature, density float64) (s float64) {
	for n, x := range inOrder(moles) {
		if x > 0 {
			s += x * (n.Entropy(temperature) - Universal*math.Log(x*density*Universal*temperature/standard))
		}
	}
	return s
}

func (b Burnt) named() map[Name]float64 {
	list := map[Name]float64{}
	for j, n := range b.Moles {
		list[Name(j)] = n
	}
	return list
}

// burntAtVolume is equilibrium at a temperature and density.
func burntAtVolume(t *testing.T, atoms Atoms, temperature, density float64) Burnt {
	t.Helper()
	pressure := density * 36 * Universal * temperature
	for range 60 {
		b, err := Equilibrium(atoms, temperature, pressure)
		if err != nil {
			t.Fatal(err)
		}
		next := density * b.Total() * Universal * temperature
		if math.Abs(next-pressure) < 1e-10*pressure {
			return b
		}
		pressure = next
	}
	t.Fatal("no equilibrium at constant volume")
	return Burnt{}
}

// The cycle of an engine without losses: what no engine that burns this mixture at this ratio can pass.
func TestOutsideFuelAirCycle(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	const source = "method: Taylor vol. 1 ch. 4, Heywood 1988 ch. 5"
	for _, row := range []struct{ phi, ratio, t2, p3, t3, efficiency, mep, tol float64 }{
		{1, 8, 681.9, 71.99, 2884.4, 0.4239, 14.22, 0.003}, {1, 10, 727.6, 91.01, 2917.0, 0.4587, 14.96, 0.003}, {1, 12, 766.4, 110.28, 2944.9, 0.4857, 15.55, 0.003},
		{0.8, 10, 0, 0, 0, 0.4833, 0, 0.005}, {1.1, 10, 0, 0, 0, 0.4207, 0, 0.005},
	} {
		fresh, fuel := octaneAir(row.phi)
		atoms := atomsOf(fresh, 1)
		_, total := frozen(fresh, 350)
		const p1, t1 = 101325.0, 350.0
		thin := p1 / (total * Universal * t1)
		thick := thin * row.ratio
		energy := func(temperature float64) (u float64) {
			for n, x := range inOrder(fresh) {
				u += x * (n.Enthalpy(temperature) - Universal*temperature)
			}
			return u
		}
		low, high := t1, 1500.0
		for high-low > 1e-7 {
			if middle := (low + high) / 2; entropy(fresh, middle, thick) < entropy(fresh, t1, thin) {
				low = middle
			} else {
				high = middle
			}
		}
		t2 := low
		hot, err := flameAtVolume(atoms, energy(t2), thick)
		if err != nil {
			t.Fatal(err)
		}
		target := entropy(hot.named(), hot.Temperature, thick)
		low, high = 1000, hot.Temperature
		for high-low > 1e-6 {
			middle := (low + high) / 2
			if b := burntAtVolume(t, atoms, middle, thin); entropy(b.named(), middle, thin) < target {
				low = middle
			} else {
				high = middle
			}
		}
		work := energy(t1) - burntAtVolume(t, atoms, low, thin).internalEnergy()
		name := fmt.Sprintf("fuel-air cycle %g : 1, equivalence ratio %g, ", row.ratio, row.phi)
		id := "engine 1.3.13"
		if row.phi != 1 {
			id = "engine 1.3.14"
		}
		check := func(what, unit string, got, want float64) {
			if want > 0 {
				outside.Check{ID: id, Name: name + what, Unit: unit, Got: got, Want: want, Tol: row.tol, Relative: true, Source: source, Known: computed}.Run(t)
			}
		}
		check("end of compression", "K", t2, row.t2)
		check("peak temperature", "K", hot.Temperature, row.t3)
		check("peak pressure", "bar", thick*hot.Total()*Universal*hot.Temperature/1e5, row.p3)
		check("efficiency", "1", work/(fuel*44.65e6), row.efficiency)
		check("mean effective pressure", "bar", work/(1/thin-1/thick)/1e5, row.mep)
	}
}
