package torque

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/engine/gas"
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// Correction is the factor from torque and power in the sheet's air to those in a standard's.
type Correction struct {
	Name    string  // of the standard, as people write it
	Factor  float64 // [-]
	Outside bool    // the standard does not hold for a factor this far from one
}

// standardAir is a published correction of power to a standard's air.
type standardAir struct {
	key, name string
	factor    func(dryPressure, wholePressure, temperature float64) float64
	limit     float64 // [-] from one, beyond which the standard does not hold
}

var standardAirs = []standardAir{
	{"iso-1585", "ISO 1585", func(dry, _, t float64) float64 { return gas.CorrectionISO1585(dry, t) }, 0.07},
	{"sae-j1349", "SAE J1349", func(dry, _, t float64) float64 { return gas.CorrectionJ1349(dry, t) }, 0.07},
	{"sae-j607", "SAE J607", func(dry, _, t float64) float64 { return gas.CorrectionJ607(dry, t) }, math.Inf(1)},
	{"din-70020", "DIN 70020", func(_, whole, t float64) float64 { return gas.CorrectionDIN70020(whole, t) }, math.Inf(1)},
}

// Standards are the names by which a correction is asked for.
func Standards() []string {
	var list []string
	for _, s := range standardAirs {
		list = append(list, s.key)
	}
	return list
}

// CorrectionTo is the correction of a build's power to a standard's air, by one of the names of Standards. The limit of
// 7 % is that of ISO 1585; SAE J1349 says the same (from memory).
func CorrectionTo(b *machine.Build, standard string) (Correction, error) {
	i := slices.IndexFunc(standardAirs, func(s standardAir) bool { return s.key == standard })
	if i < 0 {
		return Correction{}, fmt.Errorf("no standard %q; there are %s", standard, strings.Join(Standards(), ", "))
	}
	in := &ranges.Inputs{Build: b}
	air, err := Ambient(in)
	if err != nil {
		return Correction{}, err
	}
	if len(in.Missing) > 0 {
		return Correction{}, fmt.Errorf("a correction needs %s", strings.Join(in.Missing, ", "))
	}
	s := standardAirs[i]
	f := s.factor(gas.DryPressure(air.Pressure, air.Temperature, air.Humidity), air.Pressure, air.Temperature)
	return Correction{s.name, f, math.Abs(f-1) > s.limit}, nil
}

// Corrected is the curve with torque and power in another air; all else stays as computed.
func (c *Curve) Corrected(factor float64) *Curve {
	k := *c
	k.Points = slices.Clone(c.Points)
	for i := range k.Points {
		k.Points[i].Torque *= factor
		k.Points[i].Power *= factor
	}
	k.Torque.Value *= factor
	k.Power.Value *= factor
	return &k
}

// Corrected is the spread of the corrected curve.
func (s *Spread) Corrected(factor float64) *Spread {
	k := &Spread{Speeds: s.Speeds, Terms: slices.Clone(s.Terms), Lost: s.Lost}
	for i := range k.Terms {
		k.Terms[i].Torque = scaled(k.Terms[i].Torque, factor)
	}
	return k
}
