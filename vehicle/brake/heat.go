package brake

import "math"

// HoseSwell is how far the lever moves [m] because the hose swells: expansion for a length [m3/m] x length [m] / area
// of the master cylinder of a bore [m] x lever ratio. Source: FMVSS 106 gives the greatest expansion; real hoses swell
// far less.
func HoseSwell(expansion, length, master, leverRatio float64) float64 {
	return expansion * length / Area(master) * leverRatio
}

// BulkRise is by how much a disc or drum of a mass [kg] and heat capacity [J/(kg K)] warms through [K] when it takes a
// share [-] of a body's energy: mass [kg], speed [m/s]. Source: Limpert, Brake Design and Safety.
func BulkRise(mass, speed, share, rotor, capacity float64) float64 {
	return share * 0.5 * mass * speed * speed / (rotor * capacity)
}

// Rotor is a disc as heat sees it.
type Rotor struct {
	Mass     float64 // [kg] of the swept ring
	Capacity float64 // [J/(kg K)]
	Diameter float64 // [m] outside
	Area     float64 // [m2] that the air reaches, both faces
}

// Of the air about a disc at some 350 K, and of its faces. Source: Incropera, Fundamentals of Heat and Mass Transfer,
// table A.4, from memory; Limpert for the emissivity.
const (
	airConducts = 0.030   // [W/(m K)]
	airThick    = 2.1e-5  // [m2/s]
	emits       = 0.55    // [-]
	stefan      = 5.67e-8 // [W/(m2 K4)]
	stirs       = 2.4e5   // [-] Reynolds number from which the air about a disc is turbulent
	creeps      = 1.0     // [m/s] below which the wheel's own air is taken
)

// Cooling is what the air takes [W/K] at a road speed [m/s]: 0.70 k/D Re^0.55, or 0.04 k/D Re^0.8 from Re 2.4e5, times
// the area; the greater of both between. Source: Limpert, Brake Design and Safety, solid rotors, from memory.
func (r Rotor) Cooling(speed float64) float64 {
	re := math.Max(creeps, speed) * r.Diameter / airThick
	nusselt := 0.70 * math.Pow(re, 0.55)
	if re > stirs {
		nusselt = math.Max(nusselt, 0.04*math.Pow(re, 0.8))
	}
	return nusselt * airConducts / r.Diameter * r.Area
}

// Warmth is how warm a disc was over some time, warm through.
type Warmth struct {
	Mean    float64 // [K] over the time, each moment counting alike
	End     float64 // [K] after the last step
	Hottest float64 // [K] at the beginning or after any step
}

// Over takes the disc's temperature [K] through steps of time [s] with a braking power [W] and a road speed [m/s] each,
// in air of a temperature [K], from a start [K]. One body, warm through; air and radiation cool it. Within a step it
// goes in a straight line. Without steps all are the start.
func (r Rotor) Over(took, power, speed []float64, air, start float64) Warmth {
	w := Warmth{Mean: start, End: start, Hottest: start}
	sum, time := 0.0, 0.0 // [K s] and [s]
	for i, dt := range took {
		loss := r.Cooling(speed[i])*(w.End-air) + emits*stefan*r.Area*(w.End*w.End*w.End*w.End-air*air*air*air)
		rise := dt * (power[i] - loss) / (r.Mass * r.Capacity)
		sum, time = sum+dt*(w.End+rise/2), time+dt
		w.End += rise
		w.Hottest = math.Max(w.Hottest, w.End)
	}
	if time > 0 {
		w.Mean = sum / time
	}
	return w
}

// surfacePeak is the greatest rise of a thick body's surface under a flux that falls to nothing in a straight line,
// over q0 sqrt(t)/sqrt(rho c k).
const surfacePeak = 0.53192

// SurfaceRise is by how much a thick disc's face is warmer than its inside [K] at the worst moment of a stop of a
// length [s]: flux at its beginning [W/m2], falling to nothing; density [kg/m3], capacity [J/(kg K)], conductivity
// [W/(m K)]. Source: Carslaw and Jaeger, Conduction of Heat in Solids, semi-infinite body.
func SurfaceRise(flux, stop, density, capacity, conductivity float64) float64 {
	return surfacePeak * flux * math.Sqrt(stop) / math.Sqrt(density*capacity*conductivity)
}

// Fluid is what the law asks of a class of brake fluid.
type Fluid struct {
	Name     string
	Dry, Wet float64 // [K] least boiling points, new and with the water of some two years in it
	Cold     float64 // [m2/s] greatest viscosity at -40 C
}

// Fluids by class. Source: FMVSS 116 (49 CFR 571.116), table of boiling points and viscosities.
var Fluids = []Fluid{
	{"DOT 3", 205 + celsius, 140 + celsius, 1500e-6}, {"DOT 4", 230 + celsius, 155 + celsius, 1800e-6}, {"DOT 5", 260 + celsius, 180 + celsius, 900e-6}, {"DOT 5.1", 260 + celsius, 180 + celsius, 900e-6},
}

const celsius = 273.15 // [K]

// FluidNamed is the class of that name; nil for none.
func FluidNamed(name string) *Fluid {
	for i := range Fluids {
		if Fluids[i].Name == name {
			return &Fluids[i]
		}
	}
	return nil
}
