package engine

import "math"

// Wiebe is the share of the mixture that has burnt [-] when a share y of the burn's angle has passed: 1 - exp(-a
// y^(m+1)). Source: Heywood 1988 eq. 9.31, a = 5, m = 2; from memory.
func Wiebe(y, a, m float64) float64 {
	if y <= 0 {
		return 0
	}
	return 1 - math.Exp(-a*math.Exp((m+1)*math.Log(y)))
}

// WiebeInverse is the share of the burn's angle at which a share x of the mixture has burnt [-].
func WiebeInverse(x, a, m float64) float64 {
	return math.Pow(-math.Log(1-x)/a, 1/(m+1))
}

// Form of the burn.
const (
	wiebeA = 5.0
	wiebeM = 2.0
)

// FlameFuel are the constants of a fuel's laminar flame speed: BM + BPhi (phi - PhiM)^2 at 298 K and 1 atm.
type FlameFuel struct {
	PhiM, BM, BPhi float64 // [-] [m/s] [m/s]
	Gasoline       bool    // whose exponents are of their own
}

// Flame speeds. Source: Metghalchi and Keck, Combust. Flame 48 (1982); Rhodes and Keck, SAE 850047; Heywood 1988 table
// 9.3; from memory.
var (
	GasolineFlame  = FlameFuel{1.21, 0.305, -0.549, true}
	IsoOctaneFlame = FlameFuel{1.13, 0.263, -0.847, false}
	MethanolFlame  = FlameFuel{1.11, 0.369, -1.405, false}
	PropaneFlame   = FlameFuel{1.08, 0.342, -1.387, false}
)

// LaminarSpeed is the laminar flame speed [m/s] at an equivalence ratio, temperature [K], pressure [Pa] and mole share
// of residual gas. Valid about 300 to 700 K and 0.4 to 50 atm. Source: as the constants; Heywood 1988 eq. 9.33.
func (f FlameFuel) LaminarSpeed(phi, temperature, pressure, residual float64) float64 {
	alpha, beta := 2.18-0.8*(phi-1), -0.16+0.22*(phi-1)
	if f.Gasoline {
		alpha, beta = 2.4-0.271*math.Pow(phi, 3.51), -0.357+0.14*math.Pow(phi, 2.77)
	}
	d := phi - f.PhiM
	return (f.BM + f.BPhi*d*d) * math.Pow(temperature/298, alpha) * math.Pow(pressure/101325, beta) * (1 - 2.06*math.Pow(residual, 0.77))
}

// Reference burn: 10 to 90 % in 30 degrees of the crank at a mean piston speed of 10 m/s, bore 85 mm, at best-torque
// spark, flame speed of petrol a little rich at 700 K and 15 bar with 6 % residual gas. Source: Heywood 1988 ch. 9,
// from memory, good to a quarter.
const (
	referenceBurn     = 30 * math.Pi / 180 // [rad] of 10 to 90 %
	referenceSpeed    = 10.0               // [m/s]
	referenceBore     = 0.085              // [m]
	referenceFlame    = 0.60               // [m/s] laminar
	referenceHalfBurn = 9 * math.Pi / 180  // [rad] after top dead centre, half burnt at best-torque spark
)

// BurnAngle is the crank angle of the whole Wiebe burn [rad] for a mean piston speed [m/s], bore [m] and laminar flame
// speed [m/s]: it grows with the third root of the speed and with the two-thirds power of chamber height over flame
// speed, here bore for height. Source: Hires, Tabaczynski and Novak, SAE 780232; Heywood 1988 section 9.3; from memory.
func BurnAngle(pistonSpeed, bore, laminar float64) float64 {
	tenToNinety := referenceBurn * math.Cbrt(pistonSpeed/referenceSpeed) * math.Pow(bore/referenceBore*referenceFlame/laminar, 2.0/3)
	return tenToNinety / TenToNinety(1)
}

// TenToNinety is the part of a whole burn's angle [rad] in which a tenth to nine tenths burn [rad].
func TenToNinety(burn float64) float64 {
	return burn * (WiebeInverse(0.9, wiebeA, wiebeM) - WiebeInverse(0.1, wiebeA, wiebeM))
}
