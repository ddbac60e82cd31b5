package gas

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func celsius(t float64) float64 { return t + 273.15 }

func TestOutsideStandardAtmosphere(t *testing.T) {
	const iso = "ISO 2533:1975; ICAO Doc 7488"
	known := []outside.Known{outside.Computed}
	for _, row := range []struct{ altitude, temperature, pressure, density, sound float64 }{
		{0, 288.15, 101325, 1.22500, 340.294}, {1000, 281.65, 89874.6, 1.11164, 336.434}, {2000, 275.15, 79495.2, 1.00649, 332.529},
		{3000, 268.65, 70108.5, 0.90912, 328.578}, {4000, 262.15, 61640.2, 0.81913, 324.579},
	} {
		temperature, pressure, err := StandardAtmosphere(row.altitude)
		if err != nil {
			t.Fatal(err)
		}
		at := fmt.Sprintf(" at %g m", row.altitude)
		for _, c := range []outside.Check{
			{ID: "engine 4.1", Name: "temperature" + at, Unit: "K", Got: temperature, Want: row.temperature, Tol: 1e-5, Relative: true, Source: iso, Known: known},
			{ID: "engine 4.1", Name: "pressure" + at, Unit: "Pa", Got: pressure, Want: row.pressure, Tol: 1e-5, Relative: true, Source: iso, Known: known},
			{ID: "engine 4.1", Name: "density of dry air" + at, Unit: "kg/m3", Got: pressure / (287.05287 * temperature), Want: row.density, Tol: 1e-5, Relative: true, Source: iso, Known: known},
			{ID: "engine 4.1", Name: "speed of sound" + at, Unit: "m/s", Got: SpeedOfSound(temperature), Want: row.sound, Tol: 1e-5, Relative: true, Source: iso, Known: known},
		} {
			c.Run(t)
		}
	}
	for altitude, want := range map[float64]float64{500: 0.95287, 1500: 0.86373, 2500: 0.78111, 3500: 0.70468} {
		temperature, pressure, err := StandardAtmosphere(altitude)
		if err != nil {
			t.Fatal(err)
		}
		outside.Check{ID: "engine 4.2", Name: fmt.Sprintf("density over that at the sea, %g m", altitude), Unit: "1", Got: pressure / temperature * 288.15 / 101325, Want: want, Tol: 1e-5, Source: iso, Known: known}.Run(t)
	}
}

func TestOutsidePowerCorrection(t *testing.T) {
	points := []struct{ pressure, temperature, j1349, iso1585, j607, din float64 }{ // dry kPa, C
		{99, 25, 1.00000, 1.00000, 1.04004, 1.03193}, {101.325, 20, 0.96321, 0.96270, 1.00762, 0.99975}, {95, 35, 1.07015, 1.07175, 1.10184, 1.09327},
		{90, 30, 1.12884, 1.13242, 1.15359, 1.14460}, {84.5, 15, 1.17909, 1.18479, 1.19791, 1.18854}, {102, 5, 0.92619, 0.92542, 0.97502, 0.96738},
	}
	memory := []outside.Known{outside.Memory, outside.Computed}
	for _, p := range points {
		at := fmt.Sprintf(" at %g kPa, %g C", p.pressure, p.temperature)
		for _, c := range []outside.Check{
			{ID: "engine 4.3", Name: "SAE J1349" + at, Unit: "1", Got: CorrectionJ1349(p.pressure*1000, celsius(p.temperature)), Want: p.j1349, Tol: 1e-5, Relative: true, Source: "SAE J1349", Known: memory},
			{ID: "engine 4.4", Name: "ISO 1585" + at, Unit: "1", Got: CorrectionISO1585(p.pressure*1000, celsius(p.temperature)), Want: p.iso1585, Tol: 1e-5, Relative: true, Source: "ISO 1585; 80/1269/EEC", Known: memory},
			{ID: "engine 4.6", Name: "SAE J607" + at, Unit: "1", Got: CorrectionJ607(p.pressure*1000, celsius(p.temperature)), Want: p.j607, Tol: 1e-4, Relative: true, Source: "SAE J607", Known: []outside.Known{outside.Computed}},
			{ID: "engine 4.7", Name: "DIN 70020" + at, Unit: "1", Got: CorrectionDIN70020(p.pressure*1000, celsius(p.temperature)), Want: p.din, Tol: 1e-4, Relative: true, Source: "DIN 70020", Known: memory},
		} {
			c.Run(t)
		}
	}
}

func TestOutsideMoistAir(t *testing.T) {
	const cipm = "CIPM-2007: Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149"
	known := []outside.Known{outside.Memory, outside.Computed}
	warm := celsius(20)
	for _, c := range []outside.Check{
		{ID: "engine 4.8", Name: "density at 20 C, dry", Unit: "kg/m3", Got: MoistAirDensity(101325, warm, 0), Want: 1.20456, Tol: 2e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.8", Name: "density at 20 C, 50 %", Unit: "kg/m3", Got: MoistAirDensity(101325, warm, 0.5), Want: 1.19931, Tol: 2e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.8", Name: "saturation pressure at 20 C", Unit: "Pa", Got: SaturationPressure(warm), Want: 2339.16, Tol: 2e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.8", Name: "enhancement factor", Unit: "1", Got: enhancement(101325, warm), Want: 1.00403, Tol: 2e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.8", Name: "compressibility, dry", Unit: "1", Got: Compressibility(101325, warm, 0), Want: 0.999643, Tol: 2e-6, Source: cipm, Known: known},
		{ID: "engine 4.8", Name: "compressibility, 50 %", Unit: "1", Got: Compressibility(101325, warm, 0.5), Want: 0.999615, Tol: 2e-6, Source: cipm, Known: known},
		{ID: "engine 4.9", Name: "density at 25 C, 100 kPa, 30 %", Unit: "kg/m3", Got: MoistAirDensity(100e3, celsius(25), 0.3), Want: 1.16461, Tol: 5e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.9", Name: "density at 35 C, 98 kPa, 80 %", Unit: "kg/m3", Got: MoistAirDensity(98e3, celsius(35), 0.8), Want: 1.08900, Tol: 5e-5, Relative: true, Source: cipm, Known: known},
		{ID: "engine 4.9", Name: "density at 30 C, 90 kPa, 60 %", Unit: "kg/m3", Got: MoistAirDensity(90e3, celsius(30), 0.6), Want: 1.02347, Tol: 5e-5, Relative: true, Source: cipm, Known: known},
	} {
		c.Run(t)
	}
	// Two simpler formulas for the saturation pressure, as printed beside that of CIPM-2007: they stay within 0.35 % of
	// it, so a slip in a coefficient would show.
	for _, row := range []struct{ celsius, cipm, magnus, tetens float64 }{{20, 2339.2, 2332.6, 2338.2}, {30, 4246.8, 4233.7, 4242.9}, {40, 7384.8, 7367.5, 7375.4}} {
		at := fmt.Sprintf(" at %g C", row.celsius)
		for _, c := range []outside.Check{
			{ID: "engine 4.10", Name: "saturation pressure" + at, Unit: "Pa", Got: SaturationPressure(celsius(row.celsius)), Want: row.cipm, Tol: 5e-4, Relative: true, Source: cipm, Known: known},
			{ID: "engine 4.10", Name: "saturation pressure against Magnus" + at, Unit: "Pa", Got: SaturationPressure(celsius(row.celsius)), Want: row.magnus, Tol: 3.5e-3, Relative: true, Source: "Magnus formula, WMO guide", Known: known},
			{ID: "engine 4.10", Name: "saturation pressure against Tetens" + at, Unit: "Pa", Got: SaturationPressure(celsius(row.celsius)), Want: row.tetens, Tol: 3.5e-3, Relative: true, Source: "Tetens 1930", Known: known},
		} {
			c.Run(t)
		}
	}
}

func TestAirBehaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pressure := rapid.Float64Range(60e3, 110e3).Draw(t, "pressure")
		temperature := rapid.Float64Range(253, 318).Draw(t, "temperature")
		humidity := rapid.Float64Range(0, 0.99).Draw(t, "humidity")
		density := MoistAirDensity(pressure, temperature, humidity)
		if MoistAirDensity(pressure, temperature, humidity+0.01) >= density {
			t.Fatal("moister air is not lighter")
		}
		if MoistAirDensity(pressure, temperature+1, humidity) >= density || MoistAirDensity(pressure+100, temperature, humidity) <= density {
			t.Fatal("density does not fall with temperature and rise with pressure")
		}
		if dry := DryPressure(pressure, temperature, humidity); dry > pressure || dry < 0.8*pressure {
			t.Fatalf("dry pressure %g of %g", dry, pressure)
		}
		x := VapourShare(pressure, temperature, humidity)
		ideal := pressure / (8.314472 * temperature) * (28.96546e-3*(1-x) + 18.01528e-3*x)
		if math.Abs(density/ideal-1) > 1e-3 {
			t.Fatalf("density %g is far from that of an ideal mixture %g", density, ideal)
		}
	})
}

func TestAltitudeOutside(t *testing.T) {
	for _, altitude := range []float64{-2001, 11001} {
		if _, _, err := StandardAtmosphere(altitude); err == nil {
			t.Errorf("%g m is taken", altitude)
		}
	}
}
