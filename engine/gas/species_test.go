package gas

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"shakedown/internal/outside"
)

const (
	tp2002 = "McBride, Zehe and Gordon, NASA TP-2002-211556, as in the data of NASA CEA"
	janaf  = "NIST-JANAF tables, 4th ed. (Chase 1998)"
	rp1311 = "Gordon and McBride, NASA RP-1311 part II (1996)"
)

// Heat capacity, enthalpy above 298.15 K and entropy against the JANAF tables and the polynomials' own values.
func TestOutsideSpecies(t *testing.T) {
	both := []outside.Known{outside.Seen, outside.Computed}
	type at struct{ janaf, nasa float64 }
	for _, row := range []struct {
		name    Name
		cp      [4]at // 298.15, 1000, 2000, 3000 K
		rise    [3]at // kJ/mol at 1000, 2000, 3000 K
		entropy [4]at
		loose   float64 // relative, against JANAF
	}{
		{N2, [4]at{{29.124, 29.124}, {32.697, 32.696}, {35.971, 35.970}, {37.030, 37.027}}, [3]at{{21.463, 21.462}, {56.137, 56.136}, {92.715, 92.712}}, [4]at{{191.609, 191.609}, {228.170, 228.169}, {252.074, 252.073}, {266.891, 266.889}}, 0.003},
		{O2, [4]at{{29.376, 29.378}, {34.870, 34.882}, {37.741, 37.784}, {39.864, 39.980}}, [3]at{{22.703, 22.707}, {59.175, 59.201}, {98.013, 98.117}}, [4]at{{205.147, 205.148}, {243.578, 243.586}, {268.748, 268.771}, {284.466, 284.519}}, 0.003},
		{CO2, [4]at{{37.129, 37.135}, {54.308, 54.308}, {60.350, 60.334}, {62.229, 62.156}}, [3]at{{33.397, 33.400}, {91.439, 91.437}, {152.852, 152.815}}, [4]at{{213.795, 213.786}, {269.299, 269.295}, {309.293, 309.288}, {334.169, 334.150}}, 0.003},
		{H2O, [4]at{{33.590, 33.588}, {41.268, 41.291}, {51.180, 51.755}, {55.748, 56.823}}, [3]at{{26.000, 26.003}, {72.790, 73.043}, {126.549, 127.658}}, [4]at{{188.834, 188.828}, {232.738, 232.735}, {264.769, 264.917}, {286.504, 286.992}}, 0.02},
		{CO, [4]at{{29.142, 29.141}, {33.183, 33.179}, {36.250, 36.242}, {37.217, 37.205}}, [3]at{{21.690, 21.687}, {56.744, 56.736}, {93.546, 93.529}}, [4]at{{197.653, 197.659}, {234.538, 234.540}, {258.714, 258.712}, {273.623, 273.617}}, 0.003},
		{H2, [4]at{{28.836, 28.836}, {30.205, 30.206}, {34.280, 34.276}, {37.087, 37.078}}, [3]at{{20.680, 20.679}, {52.951, 52.950}, {88.740, 88.730}}, [4]at{{130.680, 130.680}, {166.216, 166.216}, {188.418, 188.417}, {202.891, 202.887}}, 0.003},
		{Ar, [4]at{{20.786, 20.786}, {20.786, 20.786}, {20.786, 20.786}, {20.786, 20.786}}, [3]at{{14.589, 14.589}, {35.375, 35.375}, {56.161, 56.161}}, [4]at{{154.845, 154.846}, {179.999, 180.000}, {194.407, 194.408}, {202.835, 202.836}}, 0.003},
		{O, [4]at{{21.911, 21.911}, {20.915, 20.915}, {20.826, 20.826}, {20.937, 20.938}}, [3]at{{14.860, 14.860}, {35.713, 35.713}, {56.574, 56.573}}, [4]at{{161.058, 161.060}, {186.790, 186.791}, {201.247, 201.249}, {209.704, 209.705}}, 0.003},
		{H, [4]at{{20.786, 20.786}, {20.786, 20.786}, {20.786, 20.786}, {20.786, 20.786}}, [3]at{{14.589, 14.589}, {35.375, 35.375}, {56.161, 56.161}}, [4]at{{114.716, 114.717}, {139.871, 139.872}, {154.278, 154.280}, {162.706, 162.708}}, 0.003},
		{NO, [4]at{{29.845, 29.862}, {33.987, 33.991}, {36.647, 36.674}, {37.466, 37.540}}, [3]at{{22.229, 22.233}, {57.859, 57.876}, {94.973, 95.038}}, [4]at{{210.758, 210.747}, {248.536, 248.533}, {273.128, 273.133}, {288.165, 288.190}}, 0.003},
		{OH, [4]at{{29.986, 29.886}, {30.676, 30.682}, {34.670, 34.765}, {36.736, 37.037}}, [3]at{{20.935, 20.921}, {53.762, 53.793}, {89.584, 89.798}}, [4]at{{183.708, 183.739}, {219.736, 219.732}, {242.327, 242.350}, {256.824, 256.918}}, 0.009},
	} {
		check := func(what, unit string, got float64, want at) {
			outside.Check{ID: "engine 1.1", Name: row.name.String() + " " + what, Unit: unit, Got: got, Want: want.nasa, Tol: 1e-4, Relative: true, Source: tp2002, Known: both}.Run(t)
			outside.Check{ID: "engine 1.1", Name: row.name.String() + " " + what + " against JANAF", Unit: unit, Got: got, Want: want.janaf, Tol: row.loose, Relative: true, Source: janaf, Known: []outside.Known{outside.Seen}}.Run(t)
		}
		for i, temperature := range []float64{298.15, 1000, 2000, 3000} {
			check(fmt.Sprintf("cp at %g K", temperature), "J/(mol K)", row.name.HeatCapacity(temperature), row.cp[i])
			check(fmt.Sprintf("entropy at %g K", temperature), "J/(mol K)", row.name.Entropy(temperature), row.entropy[i])
			if i > 0 {
				check(fmt.Sprintf("enthalpy above 298.15 K at %g K", temperature), "kJ/mol", (row.name.Enthalpy(temperature)-row.name.Enthalpy(298.15))/1000, row.rise[i-1])
			}
		}
	}
	for n, kJ := range map[Name]float64{CO2: -393.510, H2O: -241.826, CO: -110.535, OH: 37.278, O: 249.175, H: 217.999, NO: 91.271} {
		outside.Check{ID: "engine 1.1", Name: n.String() + " heat of formation", Unit: "kJ/mol", Got: n.Enthalpy(298.15) / 1000, Want: kJ, Tol: 0.02, Source: tp2002, Known: both}.Run(t)
	}
	for _, row := range []struct {
		id          string
		name        Name
		temperature float64
		cp, h, s    float64
	}{
		{"1.2.1", IsoOctane, 298.15, 188.409, -224.009, 423.088}, {"1.2.1", IsoOctane, 1000, 454.780, 16.713, 805.629}, {"1.2.2", Toluene, 298.15, 103.279, 50.170, 320.187}, {"1.2.2", Toluene, 1000, 260.910, 189.271, 540.711},
		{"1.2.3", Methanol, 298.15, 44.039, -200.939, 239.809}, {"1.2.3", Methanol, 1000, 89.538, -152.447, 317.733}, {"1.2.4", Ethanol, 298.15, 65.309, -234.949, 280.591}, {"1.2.4", Ethanol, 1000, 142.689, -157.536, 404.550},
	} {
		at := fmt.Sprintf(" at %g K", row.temperature)
		outside.Check{ID: "engine " + row.id, Name: row.name.String() + " cp" + at, Unit: "J/(mol K)", Got: row.name.HeatCapacity(row.temperature), Want: row.cp, Tol: 1e-4, Relative: true, Source: tp2002, Known: both}.Run(t)
		outside.Check{ID: "engine " + row.id, Name: row.name.String() + " enthalpy" + at, Unit: "kJ/mol", Got: row.name.Enthalpy(row.temperature) / 1000, Want: row.h, Tol: 2e-3, Source: tp2002, Known: both}.Run(t)
		outside.Check{ID: "engine " + row.id, Name: row.name.String() + " entropy" + at, Unit: "J/(mol K)", Got: row.name.Entropy(row.temperature), Want: row.s, Tol: 1e-4, Relative: true, Source: tp2002, Known: both}.Run(t)
	}
}

// enthalpyOf is cp and H are derivative and integral of each other, for every species, away from the break and across
// it.
func TestEnthalpyIsTheIntegralOfHeatCapacity(t *testing.T) {
	for n := range Name(known) {
		for _, temperature := range []float64{350, 700, 999, 1001, 1800, 3200} {
			slope := (n.Enthalpy(temperature+0.5) - n.Enthalpy(temperature-0.5))
			if math.Abs(slope-n.HeatCapacity(temperature)) > 1e-5*slope {
				t.Errorf("%s at %g K: the enthalpy rises by %g J/(mol K), cp is %g", n, temperature, slope, n.HeatCapacity(temperature))
			}
			entropy := (n.Entropy(temperature+0.5) - n.Entropy(temperature-0.5)) * temperature
			if math.Abs(entropy-n.HeatCapacity(temperature)) > 1e-4*slope {
				t.Errorf("%s at %g K: T dS/dT is %g, cp %g", n, temperature, entropy, n.HeatCapacity(temperature))
			}
		}
	}
}

// mix is a fuel with oxygen and 3.76 nitrogen, or dry air, at an equivalence ratio: atoms and enthalpy [J/kg] at
// temperatures.
func mix(fuel Fuel, phi float64, air map[Name]float64, temperature float64) (Atoms, float64, float64) {
	molar := 0.0
	for n, x := range air {
		molar += x * n.Molar()
	}
	ratio := phi / fuel.stoichiometric(air)
	a, f := atomsOf(air, molar), fuel.atoms()
	var atoms Atoms
	for i := range elements {
		atoms[i] = (a[i] + ratio*f[i]) / (1 + ratio)
	}
	h := 0.0
	for n, x := range air {
		h += x * n.Enthalpy(temperature)
	}
	moles := (1/molar + ratio/fuel.Molar()) / (1 + ratio)
	return atoms, (h/molar + ratio*fuel.vapour(temperature)) / (1 + ratio), moles
}

var simpleAir = map[Name]float64{O2: 1 / 4.76, N2: 3.76 / 4.76}

func pure(n Name) Fuel { return Fuel{n.String(), map[Name]float64{n: 1}, liquid} }

func TestOutsideFuels(t *testing.T) {
	computed, both := []outside.Known{outside.Computed}, []outside.Known{outside.Seen, outside.Computed}
	for _, row := range []struct {
		fuel                            Fuel
		afr, afrDry, latent, lhv, vapLH float64
	}{
		{pure(IsoOctane), 15.028, 15.131, 307.7, 44.343, 44.650}, {pure(Toluene), 13.414, 13.506, 412.3, 40.525, 0}, {pure(Methanol), 6.429, 6.473, 1185.0, 19.919, 0},
		{pure(Ethanol), 8.943, 9.004, 923.8, 26.807, 27.731}, {Gasoline(), 14.475, 14.574, 343.6, 43.034, 43.378},
	} {
		outside.Check{ID: "engine 1.2.9", Name: row.fuel.Name + ", air of oxygen and 3.76 nitrogen", Unit: "1", Got: row.fuel.stoichiometric(simpleAir), Want: row.afr, Tol: 0.01, Source: "mass balance", Known: computed}.Run(t)
		outside.Check{ID: "engine 1.2.10", Name: row.fuel.Name + ", dry air", Unit: "1", Got: row.fuel.StoichiometricAir(), Want: row.afrDry, Tol: 0.01, Source: tp2002 + ", air", Known: computed}.Run(t)
		outside.Check{ID: "engine 1.2.6", Name: row.fuel.Name + ", latent heat", Unit: "kJ/kg", Got: row.fuel.Latent() / 1000, Want: row.latent, Tol: 0.002, Relative: true, Source: tp2002, Known: both}.Run(t)
		outside.Check{ID: "engine 1.2.7", Name: row.fuel.Name + ", lower heating value of the liquid", Unit: "MJ/kg", Got: (row.fuel.Heating() - row.fuel.Latent()) / 1e6, Want: row.lhv, Tol: 0.001, Relative: true, Source: tp2002, Known: both}.Run(t)
		if row.vapLH > 0 {
			outside.Check{ID: "engine 1.2.8", Name: row.fuel.Name + ", lower heating value of the vapour", Unit: "MJ/kg", Got: row.fuel.Heating() / 1e6, Want: row.vapLH, Tol: 0.001, Relative: true, Source: tp2002, Known: computed}.Run(t)
		}
	}
	g := Gasoline()
	outside.Check{ID: "engine 1.2.5", Name: "petrol's stand-in, molar mass", Unit: "g/mol", Got: g.Molar() * 1000, Want: 105.558, Tol: 1e-4, Relative: true, Source: "blend of TP-2002 species", Known: computed}.Run(t)
	outside.Check{ID: "engine 1.2.5", Name: "petrol's stand-in, heat of formation of the vapour", Unit: "kJ/mol", Got: g.vapour(298.15) * g.Molar() / 1000, Want: -116.356, Tol: 1e-4, Relative: true, Source: "blend of TP-2002 species", Known: computed}.Run(t)
}

func TestOutsideFlames(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	seen := []outside.Known{outside.Seen, outside.Computed}
	must := func(b Burnt, err error) Burnt {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	const atm = 101325.0
	flame := func(id, name string, fuel Fuel, phi, latent, want float64) Burnt {
		atoms, h, _ := mix(fuel, phi, simpleAir, 298.15)
		ratio := phi / fuel.stoichiometric(simpleAir)
		b := must(flameAtPressure(atoms, h-latent*fuel.Latent()*ratio/(1+ratio), atm))
		outside.Check{ID: "engine " + id, Name: name, Unit: "K", Got: b.Temperature, Want: want, Tol: 2, Source: "equilibrium of twelve species, NASA-9; textbooks print 2266 to 2277 K for iso-octane", Known: computed}.Run(t)
		return b
	}
	b := flame("1.3.3", "iso-octane vapour, 1 atm", pure(IsoOctane), 1, 0, 2270.1)
	for n, want := range map[Name]float64{CO2: 0.1103, H2O: 0.1343, CO: 0.01346, H2: 0.00298, O2: 0.00610, OH: 0.00349, NO: 0.00241} {
		outside.Check{ID: "engine 1.3.6", Name: "share of " + n.String() + " in that flame", Unit: "1", Got: b.share(n), Want: want, Tol: 0.01, Relative: true, Source: "equilibrium of twelve species", Known: computed}.Run(t)
	}
	flame("1.3.5", "liquid iso-octane, 1 atm", pure(IsoOctane), 1, 1, 2261.6)
	for phi, want := range map[float64]float64{0.8: 2046.1, 0.9: 2183.3, 1.05: 2281.9, 1.1: 2270.0, 1.2: 2206.7, 1.3: 2129.7} {
		flame("1.3.7", fmt.Sprintf("iso-octane vapour, equivalence ratio %g", phi), pure(IsoOctane), phi, 0, want)
	}
	for n, want := range map[Name]float64{Toluene: 2327.5, Methanol: 2219.6, Ethanol: 2235.1} {
		flame("1.3.8", n.String()+" vapour, 1 atm", pure(n), 1, 0, want)
	}
	flame("1.3.8", "petrol's stand-in, 1 atm", Gasoline(), 1, 0, 2288.5)

	atoms, h, moles := mix(pure(IsoOctane), 1, simpleAir, 298.15)
	density := atm / (moles * Universal * 298.15)
	v := must(flameAtVolume(atoms, h-atm/density, density))
	outside.Check{ID: "engine 1.3.9", Name: "iso-octane at constant volume", Unit: "K", Got: v.Temperature, Want: 2634.5, Tol: 2, Source: "equilibrium of twelve species", Known: computed}.Run(t)
	outside.Check{ID: "engine 1.3.9", Name: "its pressure", Unit: "bar", Got: density * v.Total() * Universal * v.Temperature / 1e5, Want: 9.637, Tol: 0.002, Relative: true, Source: "equilibrium of twelve species", Known: computed}.Run(t)

	// Hydrogen and air at given temperature and pressure, oxygen over fuel 34.296 by mass, RP-1311 example 1.
	hydrogen := map[Name]float64{H2: 1}
	airMolar := 0.0
	for n, x := range dryAir {
		airMolar += x * n.Molar()
	}
	air, fuel := atomsOf(dryAir, airMolar), atomsOf(hydrogen, H2.Molar())
	var mixed Atoms
	for i := range elements {
		mixed[i] = (34.296*air[i] + fuel[i]) / 35.296
	}
	for temperature, want := range map[float64]struct{ molar, h2o, oh, h, no float64 }{3000: {22.594, 0.2073, 0.045174, 0.040752, 0.012303}, 2000: {24.600, 0.34207, 0.0011285, 8.95e-5, 4.83e-4}} {
		b := must(Equilibrium(mixed, temperature, atm))
		at := fmt.Sprintf(" at %g K", temperature)
		outside.Check{ID: "engine 1.3.2", Name: "hydrogen and air, molar mass" + at, Unit: "g/mol", Got: 1000 / b.Total(), Want: want.molar, Tol: 0.003, Relative: true, Source: rp1311 + ", example 1", Known: seen}.Run(t)
		for n, x := range map[Name]float64{H2O: want.h2o, OH: want.oh, H: want.h, NO: want.no} {
			outside.Check{ID: "engine 1.3.2", Name: "hydrogen and air, share of " + n.String() + at, Unit: "1", Got: b.share(n), Want: x, Tol: 0.003, Relative: true, Source: rp1311 + ", example 1", Known: seen}.Run(t)
		}
	}
	// Dry air, and frozen burnt gas.
	for temperature, want := range map[float64]struct{ cp, ratio float64 }{298.15: {1.00471, 1.39998}, 1000: {1.14100, 1.33614}, 2000: {1.25030, 1.29800}} {
		cp := 0.0
		for n, x := range dryAir {
			cp += x * n.HeatCapacity(temperature) / airMolar
		}
		at := fmt.Sprintf(" at %g K", temperature)
		outside.Check{ID: "engine 1.3.10", Name: "dry air, cp" + at, Unit: "kJ/(kg K)", Got: cp / 1000, Want: want.cp, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)
		outside.Check{ID: "engine 1.3.10", Name: "dry air, ratio of heats" + at, Unit: "1", Got: cp / (cp - Universal/airMolar), Want: want.ratio, Tol: 2e-4, Relative: true, Source: tp2002, Known: computed}.Run(t)
	}
}

// The tables of a charge hold what the species say, and burning at constant energy is the flame at constant volume.
func TestChargeBurnsAsTheFlameDoes(t *testing.T) {
	c, err := NewCharge(Gasoline(), 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	mixed := func(k int) float64 {
		return (c.Energy[FreshAir][k] + c.FuelAir*c.Energy[FuelVapour][k]) / (1 + c.FuelAir)
	}
	k := int((700 - TableFrom) / TableStep)
	density := 15e5 / (700 * (c.Constant[FreshAir] + c.FuelAir*c.Constant[FuelVapour]) / (1 + c.FuelAir))
	atoms, _, _ := mix(Gasoline(), 1, dryAir, 700)
	flame, err := flameAtVolume(atoms, mixed(k), density)
	if err != nil {
		t.Fatal(err)
	}
	burnt := 0.0
	for j := range TableCells {
		if a, b := c.Energy[BurntGas][j], c.Energy[BurntGas][j+1]; a <= mixed(k) && mixed(k) < b {
			burnt = TableFrom + TableStep*(float64(j)+(mixed(k)-a)/(b-a))
		}
	}
	if math.Abs(burnt-flame.Temperature) > 25 {
		t.Errorf("burnt gas of the tables has %.0f K, the flame at its own pressure %.0f K", burnt, flame.Temperature)
	}
	for _, lambda := range []float64{0.5, 2, math.NaN()} {
		if _, err := NewCharge(Gasoline(), lambda, 0); err == nil {
			t.Errorf("an air ratio of %g was taken", lambda)
		}
	}
}

// The tables of a mixture are made once; another mixture has its own.
func TestChargesAreMadeOnce(t *testing.T) {
	of := func(fuel Fuel, lambda, vapour float64) *Charge {
		t.Helper()
		c, err := NewCharge(fuel, lambda, vapour)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	first := of(Gasoline(), 0.9, 0.012)
	if first != of(FuelNamed("pump 95"), 0.9, 0.012) {
		t.Error("the tables of one mixture were made twice")
	}
	for _, other := range []*Charge{of(FuelNamed("methanol"), 0.9, 0.012), of(Gasoline(), math.Nextafter(0.9, 1), 0.012), of(Gasoline(), 0.9, 0.013)} {
		if other == first {
			t.Error("another mixture has the same tables")
		}
	}
	fresh, err := newCharge(Gasoline(), 0.9, 0.012)
	if err != nil || !reflect.DeepEqual(fresh, first) {
		t.Errorf("what is kept is not what is made: %v", err)
	}
}

func BenchmarkCharge(b *testing.B) {
	for b.Loop() {
		if _, err := newCharge(Gasoline(), 0.88, 0.01); err != nil {
			b.Fatal(err)
		}
	}
}
