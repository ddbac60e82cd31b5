package engine

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/engine/gas"
	"shakedown/internal/outside"
)

const (
	deg     = math.Pi / 180
	rpm     = math.Pi / 30
	heywood = "Heywood, Internal Combustion Engine Fundamentals, 1988"
)

var computed = []outside.Known{outside.Computed}

func TestOutsideGeometry(t *testing.T) {
	for _, e := range []struct{ bore, stroke, want float64 }{ // mm, mm, cm3
		{87, 84, 499.353}, {65, 57.8, 191.798}, {74, 57.8, 248.589}, {68, 45, 163.426}, {100, 82, 644.026}, {82.55, 114.3, 611.745},
	} {
		outside.Check{ID: "engine 3.1", Name: fmt.Sprintf("swept volume, %g x %g mm", e.bore, e.stroke), Unit: "cm3",
			Got: 1e6 * SweptVolume(e.bore/1000, e.stroke/1000, 1), Want: e.want, Tol: 1e-5, Relative: true,
			Source: "definition", Known: computed}.Run(t)
	}
	chamber := Chamber{Head: 58e-6, GasketBore: 88e-3, GasketThickness: 1e-3, Deck: 0.5e-3, Dome: 6e-6}
	ratio, err := CompressionRatio(SweptVolume(87e-3, 84e-3, 1), chamber.Volume(87e-3))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []outside.Check{
		{ID: "engine 3.2", Name: "gasket disc", Unit: "cm3", Got: 1e6 * disc(88e-3) * 1e-3, Want: 6.082, Tol: 0.001, Source: "arithmetic", Known: computed},
		{ID: "engine 3.2", Name: "deck disc", Unit: "cm3", Got: 1e6 * disc(87e-3) * 0.5e-3, Want: 2.972, Tol: 0.001, Source: "arithmetic", Known: computed},
		{ID: "engine 3.2", Name: "compression ratio", Unit: "1", Got: ratio, Want: 9.179, Tol: 0.001, Source: "arithmetic", Known: computed},
	} {
		c.Run(t)
	}
}

// velocity and acceleration of the piston downwards [m/s] [m/s2] at a crank speed [rad/s], by differences of its drop.
func velocity(c Crank, theta, omega float64) float64 {
	const step = 1e-4
	return omega * (c.Drop(theta+step) - c.Drop(theta-step)) / (2 * step)
}

func acceleration(c Crank, theta, omega float64) float64 {
	const step = 1e-3
	return omega * omega * (c.Drop(theta+step) - 2*c.Drop(theta) + c.Drop(theta-step)) / (step * step)
}

func TestOutsideSliderCrank(t *testing.T) {
	c, omega := Crank{Stroke: 84e-3, Rod: 137e-3}, 6500*rpm
	for _, row := range []struct{ theta, s, v, a float64 }{ // deg, mm, m/s, m/s2
		{30, 7.24599, 18.1347, 19979.95}, {60, 25.91669, 28.6947, 6753.21}, {90, 48.59678, 28.5885, -6267.50}, {120, 67.91669, 20.8220, -12706.36},
	} {
		const source = heywood + " section 2.2; speed and acceleration by central differences of the drop"
		for _, k := range []outside.Check{
			{ID: "engine 3.3", Name: fmt.Sprintf("piston drop at %g deg", row.theta), Unit: "mm", Got: 1000 * c.Drop(row.theta*deg), Want: row.s, Tol: 1e-6, Relative: true, Source: source, Known: computed},
			{ID: "engine 3.3", Name: fmt.Sprintf("piston speed at %g deg", row.theta), Unit: "m/s", Got: velocity(c, row.theta*deg, omega), Want: row.v, Tol: 3e-6, Relative: true, Source: source + "; last printed digit", Known: computed},
			{ID: "engine 3.3", Name: fmt.Sprintf("piston acceleration at %g deg", row.theta), Unit: "m/s2", Got: acceleration(c, row.theta*deg, omega), Want: row.a, Tol: 1e-6, Relative: true, Source: source, Known: computed},
		} {
			k.Run(t)
		}
	}
	fastest, at := 0.0, 0.0
	for i := range 200000 { // from 70 to 90 deg
		theta := 70 + float64(i)/10000
		if v := velocity(c, theta*deg, omega); v > fastest {
			fastest, at = v, theta
		}
	}
	long := Crank{Stroke: 84e-3, Rod: 160e-3}
	twoTerm := c.Stroke / 2 * omega * omega * (0 + c.Stroke/2/c.Rod*-1)
	const two = heywood + " section 2.2"
	for _, k := range []outside.Check{
		{ID: "engine 3.4", Name: "acceleration at top dead centre", Unit: "m/s2", Got: c.PeakAcceleration(omega), Want: 25425.28, Tol: 1e-5, Relative: true, Source: two, Known: computed},
		{ID: "engine 3.4", Name: "acceleration at bottom dead centre", Unit: "m/s2", Got: acceleration(c, math.Pi, omega), Want: -13493.86, Tol: 1e-5, Relative: true, Source: two, Known: computed},
		{ID: "engine 3.4", Name: "greatest piston speed", Unit: "m/s", Got: fastest, Want: 29.9115, Tol: 1e-5, Relative: true, Source: two, Known: computed},
		{ID: "engine 3.4", Name: "where it is", Unit: "deg", Got: at, Want: 74.26, Tol: 0.005, Source: two, Known: computed},
		{ID: "engine 3.4", Name: "over the mean piston speed", Unit: "1", Got: fastest / MeanPistonSpeed(84e-3, omega), Want: 1.6435, Tol: 5e-5, Source: two, Known: computed},
		{ID: "engine 3.5", Name: "top dead centre, rod 160 mm", Unit: "m/s2", Got: long.PeakAcceleration(omega), Want: 24567.71, Tol: 1e-5, Relative: true, Source: two, Known: computed},
		{ID: "engine 3.5", Name: "drop at 90 deg, rod 160 mm", Unit: "mm", Got: 1000 * long.Drop(90*deg), Want: 47.61088, Tol: 1e-5, Relative: true, Source: two, Known: computed},
		{ID: "engine 3.6", Name: "two-term acceleration at 90 deg, for comparison", Unit: "m/s2", Got: twoTerm, Want: -5965.71, Tol: 1e-5, Relative: true, Source: "textbook approximation r w^2 (cos + lambda cos 2)", Known: computed},
		{ID: "engine 3.6", Name: "the program is exact, not two-term", Unit: "m/s2", Got: acceleration(c, 90*deg, omega), Want: -5965.71, Tol: 0.01, Relative: true, Trap: true, Source: "textbook approximation r w^2 (cos + lambda cos 2)", Known: computed},
	} {
		k.Run(t)
	}
	for speed, want := range map[float64]float64{6500: 18.2, 6000: 16.8, 5900: 16.5} {
		outside.Check{ID: "engine 3.7", Name: fmt.Sprintf("mean piston speed at %g rpm, stroke 84 mm", speed), Unit: "m/s", Got: MeanPistonSpeed(84e-3, speed*rpm), Want: want, Tol: 0.05,
			Source: "definition: twice the stroke a turn", Known: computed}.Run(t)
	}
}

func TestOutsideBreathing(t *testing.T) {
	z, err := InletMachIndex(87e-3, 47e-3, 1, 18.2, 0.35, 346.15)
	if err != nil {
		t.Fatal(err)
	}
	const taylor = "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6"
	perCycle := AirPerCycle(499.35e-6, 1.18393, 0.9)
	for _, c := range []outside.Check{
		{ID: "engine 3.25", Name: "inlet Mach index", Unit: "1", Got: z, Want: 0.5147, Tol: 1e-3, Relative: true, Source: taylor, Known: []outside.Known{outside.Seen, outside.Computed}},
		{ID: "engine 3.25", Name: "speed at which Z is 0.6, stroke 84 mm", Unit: "rpm", Got: 6500 * 0.6 / z * 18.2 / MeanPistonSpeed(84e-3, 6500*rpm), Want: 7577, Tol: 1e-3, Relative: true, Source: taylor, Known: []outside.Known{outside.Seen, outside.Computed}},
		{ID: "engine 3.26", Name: "air of one cycle", Unit: "g", Got: 1000 * perCycle, Want: 0.53207, Tol: 1e-4, Relative: true, Source: heywood + " eq. 2.27", Known: computed},
		{ID: "engine 3.26", Name: "air flow at 6500 rpm", Unit: "g/s", Got: 1000 * perCycle * cyclesPerSecond(6500*rpm), Want: 28.821, Tol: 1e-4, Relative: true, Source: heywood + " eq. 2.27", Known: computed},
		{ID: "engine 3.27", Name: "torque at a mean effective pressure of 9.135 bar", Unit: "Nm", Got: TorqueFromMeanEffectivePressure(9.135e5, 499.35e-6), Want: 36.3, Tol: 4e-3, Source: "definition; " + heywood + " eq. 2.20", Known: computed},
		{ID: "engine 3.27", Name: "torque at a mean effective pressure of 9.865 bar", Unit: "Nm", Got: TorqueFromMeanEffectivePressure(9.865e5, 499.35e-6), Want: 39.2, Tol: 4e-3, Source: "definition; " + heywood + " eq. 2.20", Known: computed},
	} {
		c.Run(t)
	}
}

func TestCrankMotionHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Crank{Stroke: rapid.Float64Range(0.03, 0.12).Draw(t, "stroke")}
		c.Rod = c.Stroke * rapid.Float64Range(1.2, 3).Draw(t, "rod over stroke")
		theta := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "theta")
		if c.Drop(0) != 0 || math.Abs(c.Drop(math.Pi)-c.Stroke) > 1e-15 {
			t.Fatalf("the piston does not go from 0 to the stroke: %g, %g of %g", c.Drop(0), c.Drop(math.Pi), c.Stroke)
		}
		if math.Abs(c.Drop(theta)-c.Drop(-theta)) > 1e-15 {
			t.Fatal("the piston does not move alike on both sides of top dead centre")
		}
		if at := acceleration(c, 0, 1); math.Abs(at/c.PeakAcceleration(1)-1) > 1e-5 {
			t.Fatalf("acceleration at top dead centre %g, by differences of the drop %g", c.PeakAcceleration(1), at)
		}
		if acceleration(c, theta, 1) > c.PeakAcceleration(1)*(1+1e-6) {
			t.Fatal("there is more acceleration than at top dead centre")
		}
	})
}

func TestRatioFallsWithLaterClosing(t *testing.T) {
	c := Crank{Stroke: 66.3e-3, Rod: 118e-3}
	before := math.Inf(1)
	for closes := 0.0; closes < 90*deg; closes += 5 * deg {
		ratio, err := TrappedCompressionRatio(74e-3, c, 36e-6, closes)
		if err != nil || ratio >= before {
			t.Fatalf("closing at %.0f deg: %g after %g (%v)", closes/deg, ratio, before, err)
		}
		before = ratio
	}
	full, err := CompressionRatio(SweptVolume(74e-3, 66.3e-3, 1), 36e-6)
	if err != nil {
		t.Fatal(err)
	}
	if at, _ := TrappedCompressionRatio(74e-3, c, 36e-6, 0); math.Abs(at-full) > 1e-12 {
		t.Errorf("closing at bottom dead centre gives %g, not the whole ratio %g", at, full)
	}
}

func TestForbiddenEngines(t *testing.T) {
	if _, err := CompressionRatio(300e-6, -1e-6); !errors.Is(err, ErrNoChamber) {
		t.Errorf("a dome that fills the chamber: %v", err)
	}
	for _, c := range []Crank{{Stroke: 66e-3, Rod: 33e-3}, {Stroke: 66e-3}, {Stroke: 0, Rod: 0.1}, {Stroke: 66e-3, Rod: math.NaN()}} {
		if c.Validate() == nil {
			t.Errorf("%+v turns", c)
		}
	}
	for _, coefficient := range []float64{0, -1, math.NaN()} {
		if _, err := InletMachIndex(0.08, 0.04, 1, 18, coefficient, 340); err == nil {
			t.Errorf("a flow coefficient of %g is taken", coefficient)
		}
	}
}

// The speeds are continuity alone, so they can be worked by hand: docs/theory/engine.md, gas speeds.
func TestGasSpeedsByContinuity(t *testing.T) {
	const swept, speed = 285e-6, 8500.0
	perSecond := swept * 0.85 * speed / 120
	if got, want := CarburettorSpeed(swept, speed*rpm, 30e-3), perSecond/(math.Pi/4*0.03*0.03); math.Abs(got-want) > 1e-9 {
		t.Errorf("carburettor %g m/s, by hand %g", got, want)
	}
	density, pressure := 1.2, 100e3
	mass := perSecond * density * (1 + FuelAirRatio(14.7, 0.88))
	want := mass / (pressure / (287.05 * 1000)) / (math.Pi / 4 * 0.035 * 0.035)
	if got := HeaderSpeed(swept, speed*rpm, density, pressure, FuelAirRatio(14.7, 0.88), 35e-3); math.Abs(got-want) > 1e-9 {
		t.Errorf("head pipe %g m/s, by hand %g", got, want)
	}
	if gas.AirConstant != 287.05 {
		t.Error("the air's constant moved")
	}
}

// Deck by hand: 222.2 mm above the crank centre, 33.15 + 118 mm of crank and rod, 70.65 mm of piston leave 0.4 mm.
func TestDeckFrom(t *testing.T) {
	if got := DeckFrom(222.2e-3, Crank{Stroke: 66.3e-3, Rod: 118e-3}, 70.65e-3); math.Abs(got-0.4e-3) > 1e-12 {
		t.Errorf("%g m", got)
	}
}

// A jet's area goes with the root of the density: at 81 % of it, a jet of 100 becomes 94.87.
func TestJetForDensity(t *testing.T) {
	if got := JetForDensity(100, 1.2, 0.81*1.2); math.Abs(got-100*math.Sqrt(0.9)) > 1e-9 {
		t.Errorf("%g", got)
	}
	if JetForDensity(100, 1.2, 1.2) != 100 {
		t.Error("the same air asks another jet")
	}
}

// What goes through the carburettor goes through the filter: speeds are as the areas.
func TestFilterSpeed(t *testing.T) {
	carburettor := CarburettorSpeed(297e-6, 890, 0.034)
	if got := FilterSpeed(297e-6, 890, 0.018); math.Abs(got*0.018-carburettor*math.Pi/4*0.034*0.034) > 1e-12 {
		t.Errorf("%g m/s", got)
	}
}
