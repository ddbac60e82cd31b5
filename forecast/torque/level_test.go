package torque

import (
	"context"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"shakedown/internal/byhand"
	"shakedown/machine"
)

// publishedEngine is a production single as its data sheet describes it, and nothing else of it.
type publishedEngine struct {
	name, says       string  // what of the engine stands in the sheet
	power, atPower   float64 // [kW] [rpm] greatest, as published
	torque, atTorque float64 // [Nm] [rpm]
	where            string  // standard and place as far as said
	source           string
}

// sheet is the machine as an owner begins it: the data sheet's lines, the rest follows. The air is that of the standards.
func (e *publishedEngine) sheet(powerSpeed float64) string {
	return fmt.Sprintf("sheet: 1\ncurrency: EUR\nair: {temperature: 25 C ± 0 C, humidity: 30 %% ± 0 %%, pressure: 1000 hPa ± 0 hPa}\nmachine:\n  layout: bike\n  engine: {claimed_power_speed: %.0f rpm, %s}\n%s", powerSpeed, e.says, byhand.NoParts)
}

// level is what the model says of a published engine at the published speeds.
type level struct {
	torque, half    float64 // [Nm] at the published speed of the torque, 95 %
	power, halfP    float64 // [kW] at the published speed of the power
	peak            float64 // [rpm] of the greatest power; 0 where the sweep ends before it
	typical, inputs int
}

// of computes it.
func (e *publishedEngine) level(ctx context.Context, t testing.TB, spread bool) level {
	b := byhand.Build(t, e.sheet(e.atPower), "as-found")
	c, err := ComputeCurve(ctx, b, nil)
	if err != nil {
		t.Fatalf("%s: %v", e.name, err)
	}
	l := level{torque: c.TorqueAt(e.atTorque), power: c.TorqueAt(e.atPower) * e.atPower * RPM / 1000}
	if c.Power.End == Inside {
		l.peak = c.Power.Speed
	}
	l.typical, l.inputs = CurveTypical(b)
	if spread {
		s, err := ComputeSpread(ctx, b, nil)
		if err != nil {
			t.Fatalf("%s: %v", e.name, err)
		}
		l.half, l.halfP = s.Half(e.atTorque), s.Half(e.atPower)*e.atPower*RPM/1000
	}
	return l
}

func percentOff(got, want float64) string {
	return strings.Replace(fmt.Sprintf("%+.0f", 100*(got/want-1)), "-", "−", 1)
}

// TestLevelOfPublishedEngines prints what the model says of published engines.
func TestLevelOfPublishedEngines(t *testing.T) {
	if os.Getenv("SHAKEDOWN_LEVEL") == "" {
		t.Skip("set")
	}
	for i := range publishedEngines {
		e := &publishedEngines[i]
		l := e.level(t.Context(), t, os.Getenv("SHAKEDOWN_LEVEL") == "range")
		swept := math.Pow(1, 1)
		_ = swept
		t.Logf("%-22s torque %5.1f at %5.0f: %5.1f ±%4.1f (%s %%) | power %4.1f at %5.0f: %4.1f ±%4.1f (%s %%) | peak %5.0f (%s %%)", e.name, e.torque, e.atTorque, l.torque, l.half, percentOff(l.torque, e.torque), e.power, e.atPower, l.power, l.halfP, percentOff(l.power, e.power), l.peak, percentOff(l.peak, e.atPower))
	}
	_ = machine.Tunings
}

var publishedEngines = []publishedEngine{
	{"49 cc utility", "bore: 39.0 mm ± 0 mm, stroke: 41.4 mm ± 0 mm, claimed_ratio: 10.0, cooling: air, tuned_for: utility", 3.31, 7000, 5.10, 4500, "", ""},
	{"196 cc stationary", "bore: 68 mm ± 0 mm, stroke: 54 mm ± 0 mm, claimed_ratio: 8.5, cooling: air, fan: yes, tuned_for: utility, head: {valve_drive: pushrod}", 4.1, 3600, 12.4, 2500, "", ""},
	{"249 cc motocross", "bore: 76.8 mm ± 0 mm, stroke: 53.8 mm ± 0 mm, claimed_ratio: 13.2, cooling: liquid, tuned_for: race, head: {intake_valve: {count: 2}}, intake: {carburettor: {venturi: 50 mm}}", 32.4, 11000, 29.3, 8000, "", ""},
	{"249 cc trail", "bore: 77.0 mm ± 0 mm, stroke: 53.6 mm ± 0 mm, claimed_ratio: 11.8, cooling: liquid, tuned_for: trail, head: {valve_drive: two cams and buckets, intake_valve: {count: 2}}", 23, 10000, 24, 8000, "", ""},
	{"398 cc trail", "bore: 90.0 mm ± 0 mm, stroke: 62.6 mm ± 0 mm, claimed_ratio: 11.1, cooling: liquid, tuned_for: trail, head: {valve_drive: two cams and buckets, intake_valve: {count: 2}}", 27.9, 8000, 37, 6500, "", ""},
	{"449 cc motocross", "bore: 96.0 mm ± 0 mm, stroke: 62.1 mm ± 0 mm, claimed_ratio: 12.0, cooling: liquid, tuned_for: race, head: {intake_valve: {count: 2}}, intake: {carburettor: {venturi: 50 mm}}", 41.5, 8500, 50.3, 7000, "", ""},
	{"499 cc trail", "bore: 87 mm ± 0 mm, stroke: 84 mm ± 0 mm, claimed_ratio: 9.0, cooling: air, tuned_for: trail", 24.3, 6600, 39.2, 5500, "", ""},
}
