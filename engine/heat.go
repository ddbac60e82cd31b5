package engine

import "math"

// Woschni is the heat transfer coefficient [W/(m2 K)] between gas and walls of a cylinder: 3.26 B^-0.2 p^0.8 T^-0.55
// w^0.8 with bore [m], pressure in kPa, temperature [K] and a gas velocity [m/s] of 6.18 mean piston speeds while gases
// are exchanged, 2.28 while the valves are shut, and more while it burns. Source: Woschni, SAE 670931; Heywood 1988 eq.
// 12.19; the constants from memory.
func Woschni(bore, pressure, temperature, velocity float64) float64 {
	return 3.26 * math.Exp(-0.2*math.Log(bore)+0.8*math.Log(pressure/1000*velocity)-0.55*math.Log(temperature))
}

// Gas velocities of Woschni's law, in mean piston speeds, and its factor of the rise by burning [m/(s K)].
const (
	woschniExchange = 6.18
	woschniClosed   = 2.28
	woschniBurning  = 3.24e-3
)

// BurningVelocity is what burning adds to Woschni's gas velocity [m/s]: 3.24e-3 Vd Tr/(pr Vr) (p - pm), with the state
// r when the intake valve shut and the pressure pm that the cylinder would have without burning. Source: as Woschni.
func BurningVelocity(swept, temperature, pressure, volume, excess float64) float64 {
	return woschniBurning * swept * temperature / (pressure * volume) * excess
}
