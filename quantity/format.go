package quantity

import (
	"math"
	"strconv"
	"strings"
)

// System is a family of units for people.
type System uint8

// The two families.
const (
	Metric System = iota
	US
)

// usUnits is what a metric unit becomes for a reader who thinks in US units.
var usUnits = map[string]string{
	"mm": "in", "cm": "in", "m": "ft", "km": "ft", "cm2": "in2", "mm2": "in2", "m2": "ft2", "l": "in3", "kg": "lb", "g": "oz", "N": "lbf", "kN": "lbf",
	"N/mm": "lbf/in", "Nm": "lbf.ft", "kPa": "psi", "bar": "psi", "km/h": "mph", "m/s": "ft/min", "kW": "hp", "W/kg": "hp/lb", "C": "F",
}

// In is the unit in which the system shows what is shown in u in metric. Units that both families share stay:
// displacement in cc, stress in MPa, gas velocity where the caller asks for m/s by naming it as shared.
func (u Unit) In(s System) Unit {
	if s == US {
		if other, ok := usUnits[u.Symbol]; ok {
			return MustUnit(other)
		}
	}
	return u
}

// FuelUnit is the unit in which fuel is told.
func FuelUnit(s System) Unit {
	if s == US {
		return MustUnit("gal")
	}
	return MustUnit("l")
}

// Decimals is how many decimals a number deserves whose half-width is half: one significant digit of the half-width,
// two when that digit is a one. An exact number (half 0) gets up to four significant digits in all, without zeros at
// the end.
func Decimals(number, half float64) int {
	scale := math.Abs(half)
	if scale == 0 {
		for decimals := range 4 {
			if off := number * math.Pow10(decimals); math.Abs(off-math.Round(off)) <= 1e-6*math.Abs(off) || math.Abs(off) >= 1000 {
				return decimals
			}
		}
		return 4
	}
	if math.IsNaN(scale) || math.IsInf(scale, 0) {
		return 0
	}
	power := math.Floor(math.Log10(scale) + 1e-9)
	if scale < 2*math.Pow(10, power) {
		power--
	}
	return min(max(0, -int(power)), 4)
}

// Number prints a number with that many decimals, with a true minus sign and never "-0".
func Number(number float64, decimals int) string {
	text := strconv.FormatFloat(number, 'f', decimals, 64)
	if strings.HasPrefix(text, "-") {
		if strings.Trim(text, "-0.") == "" {
			return text[1:]
		}
		return "\u2212" + text[1:]
	}
	return text
}

// Show prints an SI value in the unit, with the decimals its half-width deserves: "296.8 cc".
func Show(value, half float64, unit Unit) string {
	number := unit.FromSI(value)
	text := Number(number, Decimals(number, unit.Difference(half)))
	return WithUnit(text, unit)
}

// WithUnit sets the unit behind a printed number, as people write it.
func WithUnit(text string, unit Unit) string {
	switch label := unit.Label(); label {
	case "":
		return text
	case "°":
		return text + label
	default:
		return text + " " + label
	}
}

// Label is the unit as shown to people: standard gravity is "g", a pure number has none.
func (u Unit) Label() string {
	switch u.Symbol {
	case "1":
		return ""
	case "g0":
		return "g"
	case "cm2":
		return "cm²"
	case "m/s2":
		return "m/s²"
	case "kg/m3":
		return "kg/m³"
	case "C":
		return "°C"
	case "F":
		return "°F"
	case "deg":
		return "°"
	}
	return u.Symbol
}
