package engine

import (
	"context"
	"fmt"
	"math"
	"testing"

	"shakedown/engine/valvetrain"
	"shakedown/internal/outside"
)

const (
	psi      = 6894.757
	inch     = 0.0254
	standard = 101325.0 // [Pa]
)

// area of a leak-down [m2] at a restrictor [in] and a supply [psi].
func leakOf(t testing.TB, lost, restrictor, supply, outside float64) float64 {
	t.Helper()
	a, err := LeakDown{Lost: lost, Supply: supply * psi, Restrictor: restrictor * inch, Outside: outside}.Area()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// lostThrough is the share that a tester shows for a leak of an effective area [m2], by bisection.
func lostThrough(t testing.TB, area, restrictor, supply, outside float64) float64 {
	low, high := 0.0, 0.999
	for range 60 {
		if mid := (low + high) / 2; leakOf(t, mid, restrictor, supply, outside) < area {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// The published way of a leak-down: two nozzles in series. The holes have the restrictor's coefficient, as the source's
// have.
func TestOutsideLeakDown(t *testing.T) {
	const source = "compressible flow through two nozzles in series, " + heywood + " App. C; restrictor of 0.040 in at 80 psi: FAA AC 43.13-1B ch. 8"
	bore := func(area float64) float64 { return 1000 * math.Sqrt(4/math.Pi*area/RestrictorDischarge) } // [mm]
	hole := func(mm float64) float64 { return RestrictorDischarge * disc(mm/1000) }
	for lost, want := range map[float64]float64{0.02: 0.529, 0.05: 0.669, 0.10: 0.803, 0.15: 0.899, 0.20: 0.977, 0.25: 1.045, 0.30: 1.108} {
		outside.Check{ID: "leak 1", Name: "hole like a leak-down of " + fmt.Sprintf("%.0f %%", 100*lost), Unit: "mm", Got: bore(leakOf(t, lost, 0.040, 80, standard)), Want: want, Tol: 0.005, Relative: true, Source: source, Known: computed}.Run(t)
	}
	for _, c := range []struct {
		name                     string
		mm, restrictor, supply   float64
		outside, want, tolerance float64
	}{
		{"0.7 mm, 0.040 in, 80 psi", 0.7, 0.040, 80, standard, 5.96, 0.06}, {"0.7 mm, 0.040 in, 100 psi", 0.7, 0.040, 100, standard, 5.78, 0.06},
		{"0.7 mm, 0.060 in, 80 psi", 0.7, 0.060, 80, standard, 1.22, 0.02}, {"1.0 mm, 0.040 in, 80 psi", 1, 0.040, 80, standard, 21.6, 0.2},
		{"1.0 mm, 0.040 in, 100 psi", 1, 0.040, 100, standard, 21.0, 0.2}, {"1.0 mm, 0.060 in, 80 psi", 1, 0.060, 80, standard, 4.9, 0.05},
		{"0.7 mm, 0.040 in, 80 psi, 70.1 kPa", 0.7, 0.040, 80, 70100, 100 * (1 - 75.46/80), 0.07},
	} {
		outside.Check{ID: "leak 2", Name: "leak-down of a hole of " + c.name, Unit: "%", Got: 100 * lostThrough(t, hole(c.mm), c.restrictor, c.supply, c.outside), Want: c.want, Tol: c.tolerance, Source: source, Known: computed}.Run(t)
	}
}

func TestBadLeakDowns(t *testing.T) {
	good := LeakDown{Lost: 0.2, Supply: 100 * psi, Restrictor: 0.04 * inch, Outside: standard}
	if a, err := good.Area(); err != nil || !(a > 0) {
		t.Fatal(a, err)
	}
	none := good
	none.Lost = 0
	if a, err := none.Area(); err != nil || a != 0 {
		t.Errorf("nothing lost: %g, %v", a, err)
	}
	for name, change := range map[string]func(l *LeakDown){
		"all lost": func(l *LeakDown) { l.Lost = 1 }, "less than none": func(l *LeakDown) { l.Lost = -0.01 }, "not a number": func(l *LeakDown) { l.Lost = math.NaN() },
		"no supply": func(l *LeakDown) { l.Supply = 0 }, "endless supply": func(l *LeakDown) { l.Supply = math.Inf(1) }, "no restrictor": func(l *LeakDown) { l.Restrictor = 0 }, "no air": func(l *LeakDown) { l.Outside = 0 },
	} {
		l := good
		change(&l)
		if a, err := l.Area(); err == nil {
			t.Errorf("%s: %g without a word", name, a)
		}
	}
}

// cranked is a single at cranking speed; the intake is shut from bottom dead centre on.
func cranked(t testing.TB) Cranking {
	b := single(t)
	c := Cranking{Bore: b.Bore, Crank: b.Crank, Clearance: b.Clearance, Intake: b.Intake, Port: b.PortIn.Diameter, Air: Air{standard, 288.15}, Speed: 500 * rpm}
	c.Intake.Centre = 20 * deg
	return c
}

func pressureOf(t testing.TB, c Cranking) float64 {
	t.Helper()
	p, err := c.Pressure()
	if err != nil || math.IsNaN(p) || math.IsInf(p, 0) {
		t.Fatal(p, err)
	}
	return p
}

func TestOutsideCrankingPressure(t *testing.T) {
	const source = "polytropic compression, p = pa (r^n - 1)"
	for ratio, want := range map[float64]float64{7: 1.01325 * (11.386 - 1), 8: 1.01325 * (13.454 - 1), 9: 1.01325 * (15.588 - 1)} { // r^1.25
		c := cranked(t)
		c.Clearance = disc(c.Bore) * c.Crank.Stroke / (ratio - 1)
		outside.Check{ID: "cranking 1", Name: "cranking pressure of a cylinder that is tight and shut, " + fmt.Sprintf("%.0f : 1", ratio), Unit: "bar", Got: pressureOf(t, c) / 1e5, Want: want, Tol: 1e-3, Relative: true, Source: source, Known: computed}.Run(t)
	}
	// Altitude scales the pressure, all else alike.
	low, high := cranked(t), cranked(t)
	high.Air.Pressure = 84307 // 5000 ft, ISO 2533
	outside.Check{ID: "cranking 2", Name: "120 psi at sea level, at 5000 ft", Unit: "psi", Got: 120 * pressureOf(t, high) / pressureOf(t, low), Want: 99.85, Tol: 0.1, Source: "ISO 2533; the pressure scales with that of the air", Known: computed}.Run(t)
}

// The integration against one with fine steps that is written otherwise: explicit, in mass.
func TestCrankingPressureAgainstFineSteps(t *testing.T) {
	c := cranked(t)
	c.Intake.Centre, c.Leak = 105*deg, leakOf(t, 0.2, 0.040, 100, standard)
	const r, n = 287.05, CrankingExponent
	volume := func(theta float64) float64 { return c.Clearance + disc(c.Bore)*c.Crank.Drop(theta) }
	rho := c.Air.Pressure / (r * c.Air.Temperature)
	flux := func(p, temperature float64) float64 { // Heywood's eqs. C.8 and C.9
		x := c.Air.Pressure / p
		if x > 1 {
			return 0
		}
		if x < math.Pow(2/2.4, 3.5) {
			return p / math.Sqrt(r*temperature) * math.Sqrt(1.4) * math.Pow(2/2.4, 3)
		}
		return p / math.Sqrt(r*temperature) * math.Pow(x, 1/1.4) * math.Sqrt(7*math.Max(0, 1-math.Pow(x, 0.4/1.4)))
	}
	mass, highest := rho*volume(math.Pi), 0.0
	const steps = 400000
	for k := range steps {
		theta := math.Pi * (1 + (float64(k)+0.5)/steps)
		d := mass / volume(theta) / rho
		p := c.Air.Pressure * math.Pow(d, n)
		highest = math.Max(highest, p)
		mass -= math.Pi / steps / c.Speed * (c.Intake.area(theta, disc(c.Port), 1)*flux(p, c.Air.Temperature*math.Pow(d, n-1)) + c.Leak*flux(p, c.Air.Temperature))
	}
	if got, want := pressureOf(t, c), highest-c.Air.Pressure; math.Abs(got/want-1) > 3e-3 {
		t.Errorf("%.1f kPa, with fine steps %.1f kPa", got/1000, want/1000)
	}
}

func TestCrankingPressureGoesTheRightWay(t *testing.T) {
	base := cranked(t)
	base.Intake.Centre, base.Leak = 105*deg, RingLeak(base.Bore)
	p := pressureOf(t, base)
	for name, change := range map[string]struct {
		change func(c *Cranking)
		higher bool
	}{
		"faster": {func(c *Cranking) { c.Speed *= 1.4 }, true}, "late": {func(c *Cranking) { c.Intake.Centre += 5 * deg }, false}, "a leak": {func(c *Cranking) { c.Leak = leakOf(t, 0.2, 0.04, 100, standard) }, false},
		"a hose without valve": {func(c *Cranking) { c.Clearance += 4e-6 }, false}, "higher up": {func(c *Cranking) { c.Air.Pressure = 80000 }, false}, "more squeeze": {func(c *Cranking) { c.Clearance *= 0.9 }, true},
	} {
		c := base
		change.change(&c)
		if q := pressureOf(t, c); (q > p) != change.higher {
			t.Errorf("%s: %.0f kPa after %.0f kPa", name, q/1000, p/1000)
		}
	}
	for name, change := range map[string]func(c *Cranking){
		"no speed": func(c *Cranking) { c.Speed = 0 }, "no chamber": func(c *Cranking) { c.Clearance = 0 }, "a short rod": func(c *Cranking) { c.Crank.Rod = 0.01 }, "no air": func(c *Cranking) { c.Air.Pressure = 0 },
		"no flow": func(c *Cranking) { c.Intake.Flow = nil }, "a leak below none": func(c *Cranking) { c.Leak = -1 }, "not a number": func(c *Cranking) { c.Leak = math.NaN() },
	} {
		c := base
		change(&c)
		if q, err := c.Pressure(); err == nil {
			t.Errorf("%s: %g without a word", name, q)
		}
	}
	huge := base
	huge.Leak = 1e-3
	if q := pressureOf(t, huge); q < 0 || q > 1000 {
		t.Errorf("a hole like a valve leaves %g Pa", q)
	}
}

// A leak-down of 20 % through 0.040 in at 100 psi by a crude sum: 12 to 19 % of the cranking pressure, 7 % of the work
// at 2500 rpm, 2 % at 8000. The model is printed beside it and not tuned; the limits here are wide.
func TestLeakDownAgainstACrudeSum(t *testing.T) {
	leak := leakOf(t, 0.2, 0.040, 100, standard)
	c := cranked(t)
	c.Intake.Centre, c.Leak = 105*deg, RingLeak(c.Bore)
	tight := pressureOf(t, c)
	c.Leak = leak
	cost := 100 * (1 - pressureOf(t, c)/tight)
	t.Logf("leak of %.3f mm2 effective, rings usually %.3f mm2; cranking pressure %.0f kPa, with the leak %.1f %% less (crude: 12 to 19 %%)", leak*1e6, RingLeak(c.Bore)*1e6, tight/1000, cost)
	if cost < 8 || cost > 25 {
		t.Errorf("%.1f %% of the cranking pressure", cost)
	}
	b := single(t)
	speeds := []float64{2500 * rpm, 8000 * rpm}
	run := func(b Breathing) []Point {
		points, failed, err := Curve(context.Background(), b, speeds, nil)
		if err != nil || failed[0] != nil || failed[1] != nil {
			t.Fatal(err, failed)
		}
		return points
	}
	before := run(b)
	b.LeakRead, b.Leak = true, leak
	after := run(b)
	for i, crude := range []float64{7, 2} {
		lost := 100 * (1 - after[i].Indicated/before[i].Indicated)
		t.Logf("%.0f rpm: %.2f %% of the indicated work, %.2f %% of the torque (crude: %.0f %%)", speeds[i]/rpm, lost, 100*(1-after[i].Torque/before[i].Torque), crude)
		if lost < 0.3*crude || lost > 3*crude {
			t.Errorf("%.2f %% at %.0f rpm", lost, speeds[i]/rpm)
		}
	}
	// What was read stands in place of the rings' gaps: reading those again changes nothing.
	b.Leak = RingLeak(b.Bore)
	for i, p := range run(b) {
		if p.Torque != before[i].Torque {
			t.Errorf("the rings' own area read changes %.4f Nm to %.4f", before[i].Torque, p.Torque)
		}
	}
}

// Cranking pressures that makers print, by the model as it was set before: within its doubt beside what is printed.
// None of the engines is known whole. Where the source does not give the cam, 35 degrees at 1 mm stand in, from memory,
// and 500 rpm for the speed; ports are usual ones. Of two small scooters' engines the model says a third too much:
// their manuals do not say whether a decompressor lifts the exhaust valve.
func TestOutsideCrankingPressuresOfManuals(t *testing.T) {
	const manual, rest = "maker's manual, ", ", cam from memory"
	for _, e := range []struct {
		name                   string
		bore, stroke, ratio    float64 // [mm] [mm] [-]
		closes, checking, open float64 // [deg] [mm] [deg]
		speed                  float64 // [rpm]
		least, most, miss      float64 // [kPa]
		source                 string
	}{
		{"110 cc scooter", 50, 55, 11, 35, 1, 220, 550, 1098, 1098, 400, manual + "easymanua.ls/honda/nhx110 p. 12, pressure, speed, bore; stroke, ratio" + rest},
		{"153 cc scooter", 58, 57.9, 10.6, 35, 1, 220, 850, 1098, 1098, 450, manual + "easymanua.ls/honda/pcx150-2014 p. 15, pressure, speed, bore; stroke, ratio" + rest},
		{"249 cc scooter", 68, 68.5, 10, 35, 1, 220, 350, 1569, 1569, 0, manual + "easymanua.ls/honda/nss250s p. 12, pressure, speed, bore; ratio" + rest},
		{"745 cc twin", 79, 76, 9, 35, 1, 220, 400, 1177, 1373, 0, manual + "manualslib.com/manual/1111663 p. 193, pressure, speed; bore, stroke, ratio" + rest},
		{"249 cc air-cooled", 72, 61.2, 9.2, 35, 1, 220, 500, 1200, 1400, 0, manual + "easymanua.ls/suzuki/tu250x p. 351, pressure, bore; stroke, ratio published" + rest},
		{"246 cc quad", 66, 72, 9, 35, 1, 220, 500, 1400, 1400, 0, manual + "easymanua.ls/suzuki/ozark p. 38, pressure; bore, stroke, ratio" + rest},
		{"194 cc", 65.5, 57.8, 9, 35, 1, 220, 500, 1350, 1350, 0, manual + "fdocuments.in 06-cylinder-head-valves p. 1, pressure; bore, stroke, ratio" + rest},
		{"499 cc, kicked", 87, 84, 9, 68, 0.25, 292, 500, 900, 1300, 0, "xt500.org/2009/11, pressure, bore, stroke, ratio; sysrk.wordpress.com, cam 44/68 deg; its checking lift from memory"},
	} {
		lobe, err := valvetrain.LobeThroughEvents(0.11*e.bore/1000, e.checking/1000, e.open*deg, 2)
		if err != nil {
			t.Fatal(err)
		}
		c := Cranking{Bore: e.bore / 1000, Crank: Crank{e.stroke / 1000, 1.75 * e.stroke / 1000}, Intake: single(t).Intake, Port: 0.42 * e.bore / 1000, Air: Air{standard, 293.15}, Speed: e.speed * rpm}
		c.Clearance = disc(c.Bore)*c.Crank.Stroke/(e.ratio-1) + 1e-6
		c.Leak = RingLeak(c.Bore)
		c.Intake.Lobe, c.Intake.Head, c.Intake.Centre = lobe, 0.48*e.bore/1000, (180+e.closes-e.open/2)*deg
		middle := (e.least + e.most) / 2
		outside.Check{ID: "cranking 3", Name: fmt.Sprintf("cranking pressure, %s, %g : 1, %.0f rpm", e.name, e.ratio, e.speed), Unit: "kPa", Got: pressureOf(t, c) / 1000, Want: middle,
			Tol: (e.most-e.least)/2 + CrankingDoubt*middle, Miss: e.miss, Source: e.source, Known: []outside.Known{outside.Seen, outside.Memory}}.Run(t)
	}
}
