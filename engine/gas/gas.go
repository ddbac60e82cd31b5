// Package gas is the properties of the air that an engine breathes: standard atmosphere, moist air, sound, and the
// corrections of power to standard air.
//
// Altitude, pressure, temperature and humidity go in; density, dry pressure, speed of sound and correction factors come
// out. It knows no engine. Fuel and burnt gas are not known here yet.
package gas

import (
	"errors"
	"math"
)

// Constants of dry air.
const (
	AirConstant = 287.05 // J/(kg K), specific gas constant
	heatRatio   = 1.4
)

// StandardAtmosphere is temperature [K] and pressure [Pa] at a geopotential altitude [m], valid -2000 to 11000 m:
// T = 288.15 - 0.0065 H, p = 101325 (T/288.15)^5.25588. The error is for an altitude outside. Source: ISO 2533:1975.
func StandardAtmosphere(altitude float64) (temperature, pressure float64, err error) {
	if altitude < -2000 || altitude > 11000 {
		return 0, 0, errors.New("the standard atmosphere is used from -2000 m to 11000 m; look at the altitude and its unit")
	}
	const sea, lapse, gasConstant, gravity = 288.15, 0.0065, 287.05287, 9.80665
	temperature = sea - lapse*altitude
	return temperature, 101325 * math.Pow(temperature/sea, gravity/(gasConstant*lapse)), nil
}

// SpeedOfSound in dry air [m/s] at a temperature [K]: sqrt(1.4 x 287.05 T).
func SpeedOfSound(temperature float64) float64 {
	return math.Sqrt(heatRatio * AirConstant * temperature)
}

// SaturationPressure of water vapour [Pa] at a temperature [K].
// Source: CIPM-2007, Picard, Davis, Glaeser and Fujii, Metrologia 45 (2008) 149, eq. A1.1.
func SaturationPressure(temperature float64) float64 {
	t := temperature
	return math.Exp(1.2378847e-5*t*t - 1.9121316e-2*t + 33.93711047 - 6343.1645/t)
}

// enhancement is the factor by which moist air holds more vapour than vapour alone (CIPM-2007 eq. A1.2).
func enhancement(pressure, temperature float64) float64 {
	t := temperature - 273.15
	return 1.00062 + 3.14e-8*pressure + 5.6e-7*t*t
}

// VapourShare is the mole fraction of water vapour [-] at a relative humidity of 0 to 1.
func VapourShare(pressure, temperature, humidity float64) float64 {
	return humidity * enhancement(pressure, temperature) * SaturationPressure(temperature) / pressure
}

// DryPressure is the pressure without that of the water vapour [Pa].
func DryPressure(pressure, temperature, humidity float64) float64 {
	return pressure * (1 - VapourShare(pressure, temperature, humidity))
}

// Compressibility is the factor Z of moist air [-] (CIPM-2007 eq. A1.4).
func Compressibility(pressure, temperature, humidity float64) float64 {
	const (
		a0, a1, a2 = 1.58123e-6, -2.9331e-8, 1.1043e-10
		b0, b1     = 5.707e-6, -2.051e-8
		c0, c1     = 1.9898e-4, -2.376e-6
		d, e       = 1.83e-11, -0.765e-8
	)
	x := VapourShare(pressure, temperature, humidity)
	t := temperature - 273.15
	ratio := pressure / temperature
	return 1 - ratio*(a0+a1*t+a2*t*t+(b0+b1*t)*x+(c0+c1*t)*x*x) + ratio*ratio*(d+e*x*x)
}

// MoistAirDensity is the density of air [kg/m3] at a pressure [Pa], temperature [K] and relative humidity of 0 to 1,
// with 400 ppm of carbon dioxide. The formula is stated for 600 to 1100 hPa and 15 to 27 C; outside, at any weather a
// machine is ridden in, it stays within a few parts in ten thousand of ideal-gas mixing. Source: CIPM-2007, Picard,
// Davis, Glaeser and Fujii, Metrologia 45 (2008) 149.
func MoistAirDensity(pressure, temperature, humidity float64) float64 {
	const gasConstant, dryMolar, waterMolar = 8.314472, 28.96546e-3, 18.01528e-3
	x := VapourShare(pressure, temperature, humidity)
	return pressure * dryMolar / (Compressibility(pressure, temperature, humidity) * gasConstant * temperature) * (1 - x*(1-waterMolar/dryMolar))
}

// CorrectionJ1349 is the factor from power measured in air of a dry pressure [Pa] and temperature [K] to power in
// standard air (990 hPa dry, 25 C): 1.18 (990/p)((t + 273)/298)^0.5 - 0.18. Source: SAE J1349.
func CorrectionJ1349(dryPressure, temperature float64) float64 {
	return 1.18*(99e3/dryPressure)*math.Sqrt((temperature-273.15+273)/298) - 0.18
}

// CorrectionISO1585 is the factor for an engine without charging: (99 kPa/p)^1.2 (T/298)^0.6, dry pressure [Pa];
// stated for 0.93 to 1.07. Source: ISO 1585, 80/1269/EEC.
func CorrectionISO1585(dryPressure, temperature float64) float64 {
	return math.Pow(99e3/dryPressure, 1.2) * math.Pow((temperature-273.15+273)/298, 0.6)
}

// CorrectionJ607 is the older factor that period sheets carry: (29.92 inHg/p) sqrt((tF + 460)/520), dry pressure [Pa].
// Source: SAE J607.
func CorrectionJ607(dryPressure, temperature float64) float64 {
	const inchOfMercury = 3386.39
	fahrenheit := (temperature-273.15)*1.8 + 32
	return 29.92 * inchOfMercury / dryPressure * math.Sqrt((fahrenheit+460)/520)
}

// CorrectionDIN70020 is the factor of older German sheets: (1013 mbar/p) sqrt((273 + t)/293), whole pressure [Pa].
// Source: DIN 70020.
func CorrectionDIN70020(pressure, temperature float64) float64 {
	return 101300 / pressure * math.Sqrt((temperature-273.15+273)/293)
}
