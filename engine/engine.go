// Package engine is the engine's geometry and what follows from it in closed form: displacement, compression, piston
// motion, inertia loads, mean gas speeds.
//
// Bores, strokes, volumes, masses and angles go in; volumes, ratios, speeds and forces come out. Gas properties are
// room gas, cams and valves room valvetrain. Combustion and gas flow are not known here yet.
package engine

import (
	"errors"
	"math"

	"shakedown/engine/gas"
)

// SweptVolume is the displacement of all cylinders [m3]: pi/4 bore^2 stroke cylinders. Lengths in m.
func SweptVolume(bore, stroke float64, cylinders int) float64 {
	return math.Pi / 4 * bore * bore * stroke * float64(cylinders)
}

// Chamber is what bounds the gas at top dead centre.
type Chamber struct {
	Head            float64 // [m3] in the head, plug and valves in
	GasketBore      float64 // [m] hole of the head gasket
	GasketThickness float64 // [m] when tightened
	Deck            float64 // [m] crown edge below the cylinder top; negative when it stands above
	Dome            float64 // [m3] of the piston; negative for a dish
}

// Volume is the combustion chamber at top dead centre [m3]: head + gasket disc + deck disc of the bore [m] - dome.
func (c Chamber) Volume(bore float64) float64 {
	return c.Head + disc(c.GasketBore)*c.GasketThickness + disc(bore)*c.Deck - c.Dome
}

func disc(diameter float64) float64 { return math.Pi / 4 * diameter * diameter }

// ErrNoChamber says that the piston fills the chamber.
var ErrNoChamber = errors.New("the piston leaves no combustion chamber; look at the head, gasket, deck and dome volumes")

// CompressionRatio is (swept + chamber)/chamber [-] of one cylinder, volumes in m3. The error is ErrNoChamber.
func CompressionRatio(swept, chamber float64) (float64, error) {
	if chamber <= 0 {
		return 0, ErrNoChamber
	}
	return (swept + chamber) / chamber, nil
}

// Crank is a crank without offset and its rod. Angles are from top dead centre [rad].
type Crank struct {
	Stroke float64 // [m]
	Rod    float64 // [m] eye to eye; longer than half the stroke
}

// Validate says whether the rod is long enough to turn.
func (c Crank) Validate() error {
	if !(c.Rod > c.Stroke/2) || c.Stroke <= 0 {
		return errors.New("the rod must be longer than half the stroke; look at stroke and rod length")
	}
	return nil
}

func (c Crank) parts(theta float64) (r, lambda, sin, cos, q float64) {
	r = c.Stroke / 2
	lambda = r / c.Rod
	sin, cos = math.Sincos(theta)
	return r, lambda, sin, cos, math.Sqrt(1 - lambda*lambda*sin*sin)
}

// Drop is how far the piston is below top dead centre [m]: r(1 - cos) + l(1 - q), q = sqrt(1 - (r/l)^2 sin^2).
// Source: Heywood, Internal Combustion Engine Fundamentals, 1988, section 2.2.
func (c Crank) Drop(theta float64) float64 {
	r, _, _, cos, q := c.parts(theta)
	return r*(1-cos) + c.Rod*(1-q)
}

// PeakAcceleration is the piston's acceleration at top dead centre [m/s2], its greatest: r w^2 (1 + r/l).
func (c Crank) PeakAcceleration(omega float64) float64 {
	r := c.Stroke / 2
	return r * omega * omega * (1 + r/c.Rod)
}

// TrappedCompressionRatio is the ratio from the closing of the intake [-]: volume at closes [rad after bottom dead
// centre] over the chamber [m3]. The errors are those of Validate and CompressionRatio.
func TrappedCompressionRatio(bore float64, c Crank, chamber, closes float64) (float64, error) {
	if err := c.Validate(); err != nil {
		return 0, err
	}
	return CompressionRatio(disc(bore)*c.Drop(math.Pi+closes), chamber)
}

// MeanPistonSpeed is 2 stroke n [m/s] at a crank speed [rad/s].
func MeanPistonSpeed(stroke, omega float64) float64 { return stroke * omega / math.Pi }

// RodInertiaLoad is the pull on the rod at top dead centre [N] of a reciprocating mass [kg]: m a.
func RodInertiaLoad(reciprocating, acceleration float64) float64 { return reciprocating * acceleration }

// LinerWall is the wall between a bore and the outside of its liner [m].
func LinerWall(outer, bore float64) float64 { return (outer - bore) / 2 }

// InletMachIndex is Taylor's Z [-]: (bore/head)^2/count x mean piston speed/(C a). Head is the diameter of one inlet
// valve, C the mean flow coefficient over the open period on its head area, a the speed of sound [m/s] at the inlet.
// Filling falls off above 0.5 to 0.6. The error is for a coefficient that is not above zero.
// Source: Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6.
func InletMachIndex(bore, head float64, count int, pistonSpeed, coefficient, sound float64) (float64, error) {
	if !(coefficient > 0) {
		return 0, errors.New("the inlet valve passes nothing; look at its lift and flow coefficients")
	}
	return bore * bore / (head * head) / float64(count) * pistonSpeed / (coefficient * sound), nil
}

// AssumedVolumetricEfficiency stands for the filling of the cylinder in mean gas speeds until gas flow is computed [-].
const AssumedVolumetricEfficiency = 0.85

// AirPerCycle is the air a cylinder takes in one cycle [kg]: efficiency x density x swept volume [m3].
// Source: Heywood 1988, eq. 2.27.
func AirPerCycle(swept, density, efficiency float64) float64 { return efficiency * density * swept }

// cyclesPerSecond of a four-stroke at a crank speed [rad/s].
func cyclesPerSecond(omega float64) float64 { return omega / (4 * math.Pi) }

// CarburettorSpeed is the mean air speed over the cycle in a carburettor [m/s] of a venturi diameter [m] that feeds a
// swept volume [m3]: the filling assumed, at the density outside. Source: continuity.
func CarburettorSpeed(swept, omega, venturi float64) float64 {
	return AirPerCycle(swept, 1, AssumedVolumetricEfficiency) * cyclesPerSecond(omega) / disc(venturi)
}

// headerTemperature is the gas temperature assumed in the head pipe [K].
const headerTemperature = 1000

// HeaderSpeed is the mean gas speed over the cycle in a head pipe [m/s] of a bore [m]: the air of the assumed filling
// at the density outside [kg/m3] with its fuel, at 1000 K and the pressure outside [Pa]. Source: continuity, ideal gas.
func HeaderSpeed(swept, omega, density, pressure, fuelAir, bore float64) float64 {
	flow := AirPerCycle(swept, density, AssumedVolumetricEfficiency) * (1 + fuelAir) * cyclesPerSecond(omega)
	return flow * gas.AirConstant * headerTemperature / pressure / disc(bore)
}

// FuelAirRatio is the mass of fuel to that of air [-] at an air ratio lambda, of a fuel of which one is burnt by so
// much air [-]. Source: definition.
func FuelAirRatio(stoichiometric, lambda float64) float64 { return 1 / (stoichiometric * lambda) }

// TorqueFromMeanEffectivePressure is the torque [Nm] of a brake mean effective pressure [Pa], four-stroke.
func TorqueFromMeanEffectivePressure(pressure, swept float64) float64 {
	return pressure * swept / (4 * math.Pi)
}

// DeckFrom is how far the crown's edge stands below the cylinder's top at top dead centre [m]: height of the cylinder's
// top above the crank centre - (half the stroke + rod + compression height of the piston). Negative when it stands
// above.
func DeckFrom(cylinder float64, c Crank, compressionHeight float64) float64 {
	return cylinder - c.Stroke/2 - c.Rod - compressionHeight
}

// FilterSpeed is the mean air speed through a filter [m/s] of an area [m2] over the cycle: the filling assumed of a
// swept volume [m3]. Source: continuity.
func FilterSpeed(swept, omega, area float64) float64 {
	return AirPerCycle(swept, 1, AssumedVolumetricEfficiency) * cyclesPerSecond(omega) / area
}

// JetForDensity is the number of a main jet that gives the same mixture in air of another density [-], for jets
// numbered by their diameter: fuel goes with the square root of the density times the jet's area, so the area must go
// with its root too. Source: orifice law; Heywood 1988, section 7.3 (carburettor equation).
func JetForDensity(jet, jetted, density float64) float64 {
	return jet * math.Pow(density/jetted, 0.25)
}
