package engine

import "math"

// Woschni is the heat transfer coefficient [W/(m2 K)] between gas and walls of a cylinder: 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 with
// bore [m], pressure in kPa, temperature [K] and a gas velocity [m/s] of 6.18 mean piston speeds while gases are exchanged,
// 2.28 while the valves are shut, and more while it burns. Source: Woschni, SAE 670931; Heywood 1988 eq. 12.19; the constants
// from memory.
func Woschni(bore, pressure, temperature, velocity float64) float64 {
	return 3.26 * math.Exp(-0.2*math.Log(bore)+0.8*math.Log(pressure/1000*velocity)-0.55*math.Log(temperature))
}

// Gas velocities of Woschni's law, in mean piston speeds, and its factor of the rise by burning [m/(s K)].
const (
	woschniExchange = 6.18
	woschniClosed   = 2.28
	woschniBurning  = 3.24e-3
)

// BurningVelocity is what burning adds to Woschni's gas velocity [m/s]: 3.24e-3 Vd Tr/(pr Vr) (p - pm), with the state r when
// the intake valve shut and the pressure pm that the cylinder would have without burning. Source: as Woschni.
func BurningVelocity(swept, temperature, pressure, volume, excess float64) float64 {
	return woschniBurning * swept * temperature / (pressure * volume) * excess
}

// Hohenberg is another law for the same coefficient [W/(m2 K)]: 130 V^-0.06 p^0.8 T^-0.4 (Sp + 1.4)^0.8, pressure in bar.
// Source: Hohenberg, SAE 790825; the constants from memory.
func Hohenberg(volume, pressure, temperature, pistonSpeed float64) float64 {
	return 130 * math.Pow(volume, -0.06) * math.Pow(pressure/1e5, 0.8) * math.Pow(temperature, -0.4) * math.Pow(pistonSpeed+1.4, 0.8)
}

// Annand is the convective coefficient of a third law [W/(m2 K)]: a (k/B) Re^0.7, with conductivity [W/(m K)], bore [m] and the
// Reynolds number of mean piston speed and bore. Source: Annand, Proc. IMechE 177 (1963); from memory.
func Annand(a, conductivity, bore, reynolds float64) float64 {
	return a * conductivity / bore * math.Pow(reynolds, 0.7)
}
