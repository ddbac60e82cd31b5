package quantity

import (
	"math"
	"slices"
	"strings"
	"sync"
)

// Kind is what a number measures.
type Kind uint8

// The kinds of number that a build sheet holds.
const (
	Ratio Kind = iota // pure number: a count, ratio, share or coefficient
	Length
	Area
	Volume
	Mass
	Inertia
	Force
	Rate // force per length: springs
	Torque
	TorqueRate // torque per angle
	Pressure
	Angle
	AngularSpeed
	Speed
	Acceleration
	Gravities // acceleration in units of standard gravity
	Power
	Temperature
	Viscosity // kinematic
	Flow
	Density
	Sound
	Frequency
	Time
	SpecificPower // power per mass
	Money         // whole minor units of the sheet's currency
	DayCount      // whole calendar days
)

var kindNames = [...]string{
	Ratio: "pure number", Length: "length", Area: "area", Volume: "volume", Mass: "mass", Inertia: "moment of inertia",
	Force: "force", Rate: "spring rate", Torque: "torque", TorqueRate: "torque per angle", Pressure: "pressure", Angle: "angle",
	AngularSpeed: "rotational speed", Speed: "speed", Acceleration: "acceleration", Gravities: "acceleration in g", Power: "power",
	Temperature: "temperature", Viscosity: "kinematic viscosity", Flow: "volume flow", Density: "density",
	SpecificPower: "power per mass", Sound: "sound level", Frequency: "frequency", Time: "time", Money: "money", DayCount: "days",
}

// String is the kind in plain words.
func (k Kind) String() string { return kindNames[k] }

// Unit is a unit of measurement: SI value = Factor x number + Offset.
type Unit struct {
	Symbol string
	Kind   Kind
	Factor float64 // [SI unit of Kind] worth of one
	Offset float64 // [SI unit of Kind] value at zero; only temperatures have one
}

// Exact definitions; NIST SP 811 (2008) appendix B.8. The pound, inch and standard gravity fix all the others.
const (
	inch            = 0.0254
	pound           = 0.45359237
	StandardGravity = 9.80665 // m/s2, 3rd CGPM 1901
	poundForce      = pound * StandardGravity
	degree          = math.Pi / 180
	revolutionMin   = 2 * math.Pi / 60
)

var units = []Unit{
	{"1", Ratio, 1, 0}, {"%", Ratio, 0.01, 0},
	{"mm", Length, 1e-3, 0}, {"cm", Length, 1e-2, 0}, {"m", Length, 1, 0}, {"km", Length, 1e3, 0}, {"in", Length, inch, 0}, {"ft", Length, 12 * inch, 0},
	{"mm2", Area, 1e-6, 0}, {"cm2", Area, 1e-4, 0}, {"m2", Area, 1, 0}, {"in2", Area, inch * inch, 0}, {"ft2", Area, 144 * inch * inch, 0},
	{"cc", Volume, 1e-6, 0}, {"ml", Volume, 1e-6, 0}, {"l", Volume, 1e-3, 0}, {"in3", Volume, inch * inch * inch, 0}, {"gal", Volume, 231 * inch * inch * inch, 0}, {"m3", Volume, 1, 0}, // the gallon of the United States
	{"kg", Mass, 1, 0}, {"g", Mass, 1e-3, 0}, {"lb", Mass, pound, 0}, {"oz", Mass, pound / 16, 0},
	{"kg.m2", Inertia, 1, 0},
	{"N", Force, 1, 0}, {"kN", Force, 1e3, 0}, {"lbf", Force, poundForce, 0}, {"kgf", Force, StandardGravity, 0},
	{"N/mm", Rate, 1e3, 0}, {"kgf/mm", Rate, 1e3 * StandardGravity, 0}, {"lbf/in", Rate, poundForce / inch, 0}, {"N/m", Rate, 1, 0},
	{"Nm", Torque, 1, 0}, {"kgf.m", Torque, StandardGravity, 0}, {"lbf.ft", Torque, poundForce * 12 * inch, 0},
	{"Nm/deg", TorqueRate, 180 / math.Pi, 0},
	{"kPa", Pressure, 1e3, 0}, {"Pa", Pressure, 1, 0}, {"hPa", Pressure, 1e2, 0}, {"MPa", Pressure, 1e6, 0}, {"bar", Pressure, 1e5, 0},
	{"psi", Pressure, poundForce / (inch * inch), 0},
	{"inH2O", Pressure, 249.08891, 0}, // conventional inch of water, SP 811: 249.0889 Pa; 9.80665 x 25.4 exactly
	{"deg", Angle, degree, 0}, {"rad", Angle, 1, 0},
	{"rpm", AngularSpeed, revolutionMin, 0}, {"rad/s", AngularSpeed, 1, 0},
	{"km/h", Speed, 1 / 3.6, 0}, {"mph", Speed, 0.44704, 0}, {"m/s", Speed, 1, 0}, {"ft/min", Speed, 12 * inch / 60, 0},
	{"m/s2", Acceleration, 1, 0}, {"g0", Gravities, 1, 0},
	{"kW", Power, 1e3, 0}, {"W", Power, 1, 0}, {"hp", Power, 550 * poundForce * 12 * inch, 0}, {"PS", Power, 75 * StandardGravity, 0},
	{"W/kg", SpecificPower, 1, 0}, {"hp/lb", SpecificPower, 550 * poundForce * 12 * inch / pound, 0},
	{"C", Temperature, 1, 273.15}, {"F", Temperature, 5.0 / 9, 459.67 * 5 / 9}, {"K", Temperature, 1, 0},
	{"cSt", Viscosity, 1e-6, 0}, {"mm2/s", Viscosity, 1e-6, 0},
	{"cfm", Flow, 12 * inch * 12 * inch * 12 * inch / 60, 0},
	{"kg/m3", Density, 1, 0},
	{"dB", Sound, 1, 0},
	{"Hz", Frequency, 1, 0},
	{"s", Time, 1, 0}, {"min", Time, 60, 0}, {"h", Time, 3600, 0}, {"days", Time, 86400, 0}, {"weeks", Time, 7 * 86400, 0},
}

// siSymbols name the SI unit of a kind in JSON.
var siSymbols = [...]string{
	Ratio: "1", Length: "m", Area: "m2", Volume: "m3", Mass: "kg", Inertia: "kg.m2", Force: "N", Rate: "N/m", Torque: "Nm", TorqueRate: "Nm/rad",
	Pressure: "Pa", Angle: "rad", AngularSpeed: "rad/s", Speed: "m/s", Acceleration: "m/s2", Gravities: "g0", Power: "W", Temperature: "K",
	Viscosity: "m2/s", Flow: "m3/s", Density: "kg/m3", Sound: "dB", SpecificPower: "W/kg", Frequency: "Hz", Time: "s", Money: "minor units", DayCount: "days",
}

// SI is the symbol of the SI unit in which values of the kind are kept.
func (k Kind) SI() string { return siSymbols[k] }

var unitBySymbol = sync.OnceValue(func() map[string]Unit {
	table := make(map[string]Unit, len(units))
	for _, unit := range units {
		table[unit.Symbol] = unit
	}
	return table
})

// UnitNamed is the unit with that symbol. Symbols are read as the grammar writes them; case counts.
func UnitNamed(symbol string) (Unit, bool) {
	unit, ok := unitBySymbol()[symbol]
	return unit, ok
}

// MustUnit is UnitNamed for symbols written in the program; an unknown one panics.
func MustUnit(symbol string) Unit {
	unit, ok := unitBySymbol()[symbol]
	if !ok {
		panic("quantity: no unit " + symbol)
	}
	return unit
}

// Units lists the units that measure the kind, the usual one first.
func Units(k Kind) []Unit {
	var list []Unit
	for _, unit := range units {
		if unit.Kind == k && unit.Symbol != "1" {
			list = append(list, unit)
		}
	}
	return list
}

// Symbols is Units as a phrase: "mm, cm, m, km, in or ft".
func Symbols(k Kind) string {
	names := make([]string, 0, 6)
	for _, unit := range Units(k) {
		names = append(names, unit.Symbol)
	}
	return AnyOf(names)
}

// AnyOf joins words as English does: "a, b or c".
func AnyOf(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// AllOf is words with commas and a last "and" between them.
func AllOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// ToSI brings a number of this unit to SI.
func (u Unit) ToSI(number float64) float64 { return number*u.Factor + u.Offset }

// FromSI brings an SI value to this unit.
func (u Unit) FromSI(value float64) float64 { return (value - u.Offset) / u.Factor }

// Difference brings a difference in SI to this unit: a step of 1 K is 1.8 F.
func (u Unit) Difference(value float64) float64 { return value / u.Factor }

// Nearest is the word of the list that the misspelt word most likely meant, or "" when none is near.
// Near is an edit distance (insert, delete, replace, swap of neighbours) of at most a third of the word's length, at
// least one; or a word that was left unfinished.
func Nearest(word string, list []string) string {
	best, least := "", max(1, len(word)/3)+1
	const enough = 4 // letters of an unfinished word that say something
	if i := slices.IndexFunc(list, func(candidate string) bool { return len(word) >= enough && strings.HasPrefix(candidate, word) }); i >= 0 {
		best, least = list[i], 2
	}
	for _, candidate := range list {
		if d := editDistance(strings.ToLower(word), strings.ToLower(candidate), least); d < least {
			best, least = candidate, d
		}
	}
	return best
}

// editDistance is the optimal string alignment distance, or limit when it is no less than that.
func editDistance(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	before, previous, current := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range previous {
		previous[j] = j
	}
	for i := 1; i <= len(a); i++ {
		current[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			current[j] = min(previous[j]+1, current[j-1]+1, previous[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				current[j] = min(current[j], before[j-2]+1)
			}
		}
		if slices.Min(current) >= limit {
			return limit
		}
		before, previous, current = previous, current, before
	}
	return min(previous[len(b)], limit)
}
