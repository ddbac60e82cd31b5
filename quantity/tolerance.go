package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Known is how a value is known.
type Known uint8

// From the surest to the least sure; Fitted stands apart.
const (
	Measured  Known = iota
	Claimed         // a maker's word
	Estimated       // when nothing is said
	Typical         // a handbook or template value
	Fitted          // set by a fit to measurements
)

var knownNames = [...]string{Measured: "measured", Claimed: "claimed", Estimated: "estimated", Typical: "typical", Fitted: "fitted"}

// String is the word as the sheet writes it.
func (k Known) String() string { return knownNames[k] }

func knownNamed(word string) (Known, bool) {
	for k, name := range knownNames {
		if name == word {
			return Known(k), true
		}
	}
	return 0, false
}

// SaysKnown says that a text ends with a word of how it is known.
func SaysKnown(text string) bool {
	words := strings.Fields(text)
	if len(words) == 0 {
		return false
	}
	_, ok := knownNamed(words[len(words)-1])
	return ok
}

// spread is one line of the default tolerances: shares of the value and absolute half-widths, by Known.
type spread struct {
	share [4]float64
	fixed [4]float64 // SI
}

// Default tolerances: half-width that holds 95 %. From memory, common practice; they are starting values that a
// measurement or a stated tolerance replaces. Kinds that the trade has no habit for take the line of their nearest kin.
var (
	ofMass        = spread{share: [4]float64{0.01, 0.03, 0.10, 0.20}}
	ofVolume      = spread{share: [4]float64{0.02, 0.03, 0.05, 0.10}}
	ofRate        = spread{share: [4]float64{0.03, 0.05, 0.10, 0.20}}
	ofCoefficient = spread{share: [4]float64{0.03, 0.10, 0.10, 0.20}}
	ofDensity     = spread{share: [4]float64{0.005, 0.01, 0.03, 0.04}} // fuel: EN 228 petrol lies within 720 to 775 kg/m3
	ofAngle       = spread{fixed: [4]float64{1 * degree, 2 * degree, 4 * degree, 6 * degree}}
	ofTemperature = spread{fixed: [4]float64{1, 2, 3, 5}}
	ofSound       = spread{fixed: [4]float64{1, 2, 3, 5}}
)

var spreads = [DayCount + 1]spread{
	Area: ofVolume, Volume: ofVolume, Mass: ofMass, Inertia: ofRate, Force: ofRate, Rate: ofRate, Torque: ofRate, TorqueRate: ofRate,
	Pressure: ofRate, Angle: ofAngle, AngularSpeed: ofMass, Speed: ofMass, Acceleration: ofRate, Power: ofRate,
	Temperature: ofTemperature, Viscosity: ofRate, Flow: ofRate, Density: ofDensity, Sound: ofSound, Time: ofMass, Ratio: ofCoefficient,
}

// DefaultHalf is the half-width that holds 95 % [SI unit of the kind] of a value for which none was given.
// A fitted value without one takes that of a measured value. Source: common practice, from memory.
func DefaultHalf(kind Kind, value float64, known Known) float64 {
	if known == Fitted {
		known = Measured
	}
	size := math.Abs(value)
	if kind == Length {
		switch known {
		case Measured:
			return max(0.005*size, 0.02e-3)
		case Claimed:
			if size < 0.2 {
				return 0.005 * size
			}
			return 0.02 * size
		case Estimated:
			return 0.05 * size
		default:
			return 0.10 * size
		}
	}
	line := spreads[kind]
	return max(line.share[known]*size, line.fixed[known])
}

// ToleranceRow is a line of the printed table of default tolerances.
type ToleranceRow struct {
	What                                   string
	Measured, Claimed, Estimated, TypicalA string
}

// ToleranceTable is the table of default tolerances for people.
func ToleranceTable() []ToleranceRow {
	rows := []ToleranceRow{{"length, diameter", "0.5 %, at least 0.02 mm", "0.5 % below 200 mm, else 2 %", "5 %", "10 %"}}
	for _, line := range []struct {
		what string
		spread
		unit Unit
	}{
		{"mass; speed, time", ofMass, MustUnit("%")}, {"density of fuel", ofDensity, MustUnit("%")}, {"volume, area", ofVolume, MustUnit("%")},
		{"rate, force, pressure; torque, power, inertia, viscosity", ofRate, MustUnit("%")},
		{"angle", ofAngle, MustUnit("deg")}, {"coefficient, share, friction", ofCoefficient, MustUnit("%")},
		{"temperature", ofTemperature, MustUnit("K")}, {"sound level", ofSound, MustUnit("dB")},
	} {
		text := func(k Known) string {
			return fmt.Sprintf("%.3g %s", line.unit.Difference(line.share[k]+line.fixed[k]), line.unit.Symbol)
		}
		rows = append(rows, ToleranceRow{line.what, text(Measured), text(Claimed), text(Estimated), text(Typical)})
	}
	return append(rows, ToleranceRow{"counts, teeth, ratios by teeth, settings, prices, dates", "exact", "exact", "exact", "exact"})
}
