package torque

import (
	"errors"
	"math"
	"slices"
	"testing"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// What the engine room says of one speed, in the units of the trade.
func TestPointByHand(t *testing.T) {
	p := engine.Point{
		Speed: 200 * math.Pi, Torque: 30, Power: 18849.56, Efficiency: 0.9, Residual: 0.07, Indicated: 1.2e6, Pumping: -50e3, Friction: engine.Friction{Bearings: 30e3, GasLoad: 20e3, Pistons: 50e3, Valves: 12e3, Pumps: 8e3}, Fuel: 300 / 3.6e9,
		Exhaust: 950, Peak: 60e5, Burn: math.Pi / 3, Heat: 0.2, Cycles: 12, Converged: true,
	}
	c := curveOf([]engine.Point{p, {Speed: 300 * math.Pi}, {Speed: 400 * math.Pi, Torque: 20, Power: 25132.74, Converged: true}}, []error{nil, errors.New("it does not settle"), nil})
	got := c.Points[0]
	for name, pair := range map[string][2]float64{
		"speed": {got.Speed, 6000}, "torque": {got.Torque, 30}, "power": {got.Power, 18.84956}, "filling": {got.Filling, 0.9}, "residual": {got.Residual, 0.07}, "indicated": {got.Indicated, 1200}, "pumping": {got.Pumping, -50},
		"friction": {got.Friction, 120}, "fuel": {got.Fuel, 300}, "exhaust": {got.Exhaust, 950}, "peak": {got.Peak, 60}, "heat": {got.Heat, 0.2}, "cycles": {float64(got.Cycles), 12},
		"burn": {got.Burn, 0.496026 * 60}, // 10 to 90 % of 1 - exp(-5 y^3): 0.772233 - 0.276208 of the angle
		"lost": {c.Points[1].Speed, 9000},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-5*math.Abs(pair[1]) {
			t.Errorf("%s is %.8g, by hand %.8g", name, pair[0], pair[1])
		}
	}
	if !got.Converged || got.Why != "" || c.Points[1].Converged || c.Points[1].Why != "it does not settle" {
		t.Errorf("%+v", c.Points)
	}
	if c.Torque != (Peak{6000, 30, Rising}) || c.Power.End != Rising || math.Abs(c.Power.Value-25.13274) > 1e-6 { // nothing beside either of them is known
		t.Errorf("peaks %+v and %+v", c.Torque, c.Power)
	}
}

// handCurve is 10, 20, 24, 22, 15 Nm at 2000 to 6000 rpm.
var handCurve = &Curve{Points: []Point{
	{Speed: 2000, Torque: 10, Power: 2, Converged: true}, {Speed: 3000, Torque: 20, Power: 6, Converged: true}, {Speed: 4000, Torque: 24, Power: 10, Converged: true},
	{Speed: 5000, Torque: 22, Power: 11.5, Converged: true}, {Speed: 6000, Torque: 15, Power: 9.4, Converged: true},
}}

// Above 0.9 x 24 = 21.6 Nm: from 3000 + 1000 x 1.6/4 = 3400 to 5000 + 1000 x 0.4/7 = 5057.143 rpm. Above 5 Nm all of
// it; about a peak between two speeds the nearer one counts.
func TestSpanByHand(t *testing.T) {
	for _, c := range []struct{ level, peak, from, to float64 }{{21.6, 4000, 3400, 5057.142857}, {21.6, 4100, 3400, 5057.142857}, {5, 4000, 2000, 6000}, {24, 4000, 4000, 4000}, {15, 4000, 2500, 6000}} {
		if from, to := span(handCurve.Points, c.level, c.peak); math.Abs(from-c.from) > 1e-6 || math.Abs(to-c.to) > 1e-6 {
			t.Errorf("above %g Nm about %g rpm: %g to %g, by hand %g to %g", c.level, c.peak, from, to, c.from, c.to)
		}
	}
}

// Straight between the points, nothing outside them or beside one that is not there.
func TestTorqueByHand(t *testing.T) {
	gap := &Curve{Points: slices.Clone(handCurve.Points)}
	gap.Points[2].Converged = false
	for _, c := range []struct {
		of          *Curve
		speed, want float64
	}{{handCurve, 2000, 10}, {handCurve, 2500, 15}, {handCurve, 3750, 23}, {handCurve, 6000, 15}, {handCurve, 1999, math.NaN()}, {handCurve, 6001, math.NaN()}, {gap, 2500, 15}, {gap, 3500, math.NaN()}, {gap, 4500, math.NaN()}, {gap, 5500, 18.5}} {
		if got := c.of.TorqueAt(c.speed); got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%g rpm: %g Nm, by hand %g", c.speed, got, c.want)
		}
	}
	// Means: 2000 to 4000 (15 + 22)/2; of 1000 to 3000 the upper half alone is known; of 0 to 3000 a third, which is
	// not enough.
	for _, c := range []struct{ from, to, want float64 }{{2000, 4000, 18.5}, {1000, 3000, 15}, {0, 3000, math.NaN()}} {
		if got := handCurve.MeanTorque(c.from, c.to); math.Abs(got-c.want) > 0.02 || math.IsNaN(got) != math.IsNaN(c.want) {
			t.Errorf("mean of %g to %g: %g Nm, by hand %g", c.from, c.to, got, c.want)
		}
	}
	if handCurve.Same(gap) != true || handCurve.Same(&Curve{Points: handCurve.Points[1:]}) || handCurve.Same(nil) || !(*Curve)(nil).Same(nil) {
		t.Error("curves are the same when torque and speed of all points are")
	}
}

// The whole, and what it is made of. From displacement x (filling x yield + pumping - friction)/4 pi: 400 cc at 0.9 x
// 1200 - 40 - 140 = 900 kPa is 28.64789 Nm; 440 cc at 0.96 x 1250 - 50 - 150 = 1000 kPa is 35.01409. By size 0.03183099
// and 0.03501409 Nm/kPa: displacement 0.00318310 x 950 = 3.023944, filling 0.03342254 x 0.06 x 1225 = 2.456557, yield
// 0.03342254 x 50 x 0.93 = 1.554148, pumping -0.3342254, friction -0.3342254: 6.366198 in all.
func TestSplitTorqueByHand(t *testing.T) {
	point := func(swept, filling, yield, pumping, friction float64) Point {
		p := Point{Filling: filling, Indicated: filling * yield, Pumping: pumping, Friction: friction}
		p.Torque = swept * (p.Indicated + pumping - friction) * 1000 / (4 * math.Pi)
		return p
	}
	got := SplitTorque(point(400e-6, 0.9, 1200, -40, 140), point(440e-6, 0.96, 1250, -50, 150))
	for i, want := range []float64{6.366198, 3.023944, 2.456557, 1.554148, -0.3342254, -0.3342254} {
		if math.Abs(got[i]-want) > 1e-5 {
			t.Errorf("part %d is %.7g Nm, by hand %.7g", i, got[i], want)
		}
	}
	if sum := got[1] + got[2] + got[3] + got[4] + got[5]; math.Abs(sum-got[0]) > 1e-12 {
		t.Errorf("the parts are %g, the whole %g", sum, got[0])
	}
}

// What the trade sizes carburettors by, at 5000 rpm: root(0.3015929 x 5000) = 38.83252 mm of one carburettor, root(0.5)
// of that of each of two.
func TestSizesByHand(t *testing.T) {
	for changes, want := range map[string]float64{"count: 1, venturi": 38.83252, "count: 2, venturi": 27.45874} {
		in := &ranges.Inputs{Build: byhand.Build(t, single, "as-found", "count: 1, venturi", changes)}
		if got, err := carburettorRoot(in, 5000*RPM); err != nil || math.Abs(1e3*got-want) > 1e-5 {
			t.Errorf("%s: %g mm, by hand %g (%v)", changes, 1e3*got, want, err)
		}
	}
}

// 20 speeds from 0.28 x 6000 = 1680 to 1.06 x 6000 = 6360 rpm, 246.3158 apart; from 1200 rpm where that is more; none
// at all at a redline of 1300.
func TestSpeedsByHand(t *testing.T) {
	for redline, want := range map[string][3]float64{"6000 rpm": {1680, 1926.315789, 6360}, "3000 rpm": {1200, 1304.210526, 3180}} {
		speeds, err := speedsOfCurve(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", "redline: 6000 rpm", "redline: "+redline)}, curveSpeeds)
		if err != nil || len(speeds) != 20 || math.Abs(speeds[0]/RPM-want[0]) > 1e-6 || math.Abs(speeds[1]/RPM-want[1]) > 1e-6 || math.Abs(speeds[19]/RPM-want[2]) > 1e-6 {
			t.Errorf("%s: %v (%v)", redline, speeds, err)
		}
	}
	if _, err := speedsOfCurve(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", "redline: 6000 rpm", "redline: 1300 rpm")}, curveSpeeds); !errors.Is(err, ErrNoCurve) {
		t.Errorf("a redline of 1300 rpm: %v", err)
	}
}

// The usual curve by hand. Four-stroke: the peak lies at 0.65 x 6000 = 3900 rpm with 9.5 bar x 0.3015929 l/(4 pi) =
// 22.8 Nm; the first speed is 0.25 x 6000 = 1500 rpm with 0.78 of it, 17.784 Nm and 2.793504 kW; there the gases give
// 0.78 x 950 + 160 kPa. Two-stroke: 7.5 bar/(2 pi), 36 Nm at 4920 rpm.
func TestTemplateByHand(t *testing.T) {
	for _, c := range []struct {
		cycle                                  string
		peak, at, first, power, gases, f, fuel float64
		half                                   float64
	}{
		{"four-stroke", 22.8, 3900, 17.784, 2.793504, 901, 160, 350, 0.20},
		{"two-stroke", 36, 4920, 16.2, 2.544690, 417.5, 80, 480, 0.30},
	} {
		k, err := TemplateCurve(byhand.Build(t, single, "as-found", "cycle: four-stroke", "cycle: "+c.cycle))
		if err != nil {
			t.Fatal(err)
		}
		p := k.Points[0]
		for i, pair := range [][2]float64{{k.Torque.Value, c.peak}, {k.Torque.Speed, c.at}, {p.Speed, 1500}, {p.Torque, c.first}, {p.Power, c.power}, {p.Indicated, c.gases}, {p.Friction, c.f}, {p.Fuel, c.fuel}, {k.Half, c.half}, {k.Points[9].Speed, 6360}} {
			if math.Abs(pair[0]-pair[1]) > 1e-6*pair[1] {
				t.Errorf("%s: number %d is %.8g, by hand %.8g", c.cycle, i, pair[0], pair[1])
			}
		}
		// At every speed what the gases give less friction is the torque.
		turns := map[string]float64{"four-stroke": 2, "two-stroke": 1}[c.cycle]
		for _, p := range k.Points {
			if got := (p.Indicated + p.Pumping - p.Friction) * 1e3 * 301.5929e-6 / (2 * math.Pi * turns); math.Abs(got/p.Torque-1) > 1e-6 {
				t.Errorf("%s: %g Nm of the gases at %g rpm, %g at the crank", c.cycle, got, p.Speed, p.Torque)
			}
		}
	}
}

// Corrections of a dry day of 15 C and 1000 hPa: ISO 1585 (0.99)^1.2 (288/298)^0.6 = 0.967984; SAE J1349 1.18 x 0.99
// root(288/298) - 0.18 = 0.968432; SAE J607 29.92 x 33.8639/1000 root(519/520) = 1.012233; DIN 70020 1.013
// root(288/293) = 1.004319. Torque and power of the curve go with them, speeds do not.
func TestCorrectionsByHand(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	for key, want := range map[string]float64{"iso-1585": 0.967984, "sae-j1349": 0.968432, "sae-j607": 1.012233, "din-70020": 1.004319} {
		c, err := CorrectionTo(b, key)
		if err != nil || math.Abs(c.Factor-want) > 1e-6 || c.Outside {
			t.Errorf("%s: %+v, by hand %g (%v)", key, c, want, err)
		}
	}
	// At 1000 m ISO 1585 has (99/89.87456)^1.2 (288/298)^0.6 = 1.100282, further than the 7 % for which it holds.
	if c, err := CorrectionTo(byhand.Build(t, single, "as-found", "pressure: 1 bar", "altitude: 1000 m"), "iso-1585"); err != nil || !c.Outside || math.Abs(c.Factor-1.100282) > 1e-5 {
		t.Errorf("%+v %v", c, err)
	}
	if _, err := CorrectionTo(b, "none"); err == nil {
		t.Error("a standard that is none")
	}
	k := handCurve.Corrected(1.1)
	if k.Points[1].Torque != 22 || math.Abs(k.Points[3].Power-12.65) > 1e-12 || k.Points[1].Speed != 3000 || handCurve.Points[1].Torque != 20 {
		t.Errorf("%+v", k.Points)
	}
}
