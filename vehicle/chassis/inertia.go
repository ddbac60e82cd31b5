package chassis

import "math"

// ThreeWires is the moment of inertia about the vertical [kg.m2] of a body hung level on three equal wires:
// m g R^2 T^2/(4 pi^2 l), mass in kg, wires of a length l [m] on a circle of radius R [m] about its centre of gravity,
// period T of the twist [s]. Small swings, within 10 degrees. Source: trifilar pendulum, standard.
func ThreeWires(mass, circle, wires, period float64) float64 {
	return mass * Gravity * circle * circle * period * period / (4 * math.Pi * math.Pi * wires)
}

// TwoWires is the moment of inertia about the vertical [kg.m2] of a body hung level on two equal wires a distance D
// apart [m], its centre of gravity midway: m g D^2 T^2/(16 pi^2 l). Source: bifilar pendulum; ISO 9129 uses it for
// motorcycles.
func TwoWires(mass, apart, wires, period float64) float64 {
	return mass * Gravity * apart * apart * period * period / (16 * math.Pi * math.Pi * wires)
}

// Hung is the moment of inertia about the centre of gravity [kg.m2] of a body that swings on a fixed axis a distance d
// above that centre [m] with a period T [s]: m g d T^2/(4 pi^2) - m d^2. Source: physical pendulum; ISO 9129.
func Hung(mass, distance, period float64) float64 {
	return mass*Gravity*distance*period*period/(4*math.Pi*math.Pi) - mass*distance*distance
}

// ReferTo brings a moment of inertia about the centre of gravity [kg.m2] to a parallel axis a distance away [m].
// Source: Steiner's theorem.
func ReferTo(inertia, mass, distance float64) float64 { return inertia + mass*distance*distance }

// DynamicIndex is I/(m a b) [-] of a machine with a moment of inertia about the pitch or the yaw axis through its
// centre of gravity [kg.m2], its mass [kg], the centre ahead of the rear and behind the front contact [m]. At 1 a push
// at one end leaves the other where it is; below, the ends answer together and the machine turns and nods more readily.
// Source: Olley's k^2/ab; Milliken and Milliken, Race Car Vehicle Dynamics.
func DynamicIndex(inertia, mass, ahead, behind float64) float64 {
	return inertia / (mass * ahead * behind)
}
