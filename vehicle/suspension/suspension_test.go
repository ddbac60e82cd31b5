package suspension

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

const (
	inch = 0.0254
	lbf  = 0.45359237 * 9.80665
	deg  = math.Pi / 180
)

func TestOutsideSprings(t *testing.T) {
	c := []outside.Known{outside.Computed}
	// The shock moves by 0.45 z + 0.2 z^2 of the wheel's way z, in steps of a millimetre about the one looked at.
	s := Shock{Rate: 60e3, Preload: 0.010, Travel: 0.3}
	for k := range 300 {
		z := 0.0005 + 0.001*float64(k)
		s.Leverage = append(s.Leverage, LeveragePoint{z, 1 / (0.45 + 0.4*z)})
	}
	const virtual = "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16; virtual work"
	for _, k := range []outside.Check{
		{ID: "chassis 6.07", Name: "force at the wheel", Unit: "N", Got: s.WheelForce(0.1), Want: 1675.8, Tol: 1e-4, Relative: true, Source: virtual, Known: c},
		{ID: "chassis 6.07", Name: "wheel rate with changing leverage", Unit: "N/m", Got: s.WheelRate(0.1), Want: 15774, Tol: 1e-4, Relative: true, Source: virtual, Known: c},
		{ID: "chassis 6.07", Name: "the second term is not left out", Unit: "N/m", Got: s.WheelRate(0.1), Want: 14406, Tol: 1e-3, Relative: true, Trap: true, Source: virtual, Known: c},
		{ID: "chassis 6.09", Name: "frequency, 20 N/mm, 100 kg", Unit: "Hz", Got: Frequency(20e3, 100), Want: 2.2508, Tol: 1e-4, Source: "single mass on a spring", Known: c},
	} {
		k.Run(t)
	}
	for sag, want := range map[float64]float64{50: 2.2289, 100: 1.5761, 200: 1.1145} {
		outside.Check{ID: "chassis 6.08", Name: fmt.Sprintf("frequency from %g mm of deflection", sag), Unit: "Hz", Got: Frequency(9.80665/(sag/1000), 1), Want: want, Tol: 1e-4, Source: "single mass on a spring", Known: c}.Run(t)
	}
}

// energy is what a spring takes up [J] over a travel from its preload, and wheelRate the rate at the wheel [N/m] by
// virtual work: K MR^2 + F dMR/dz.
func energy(rate, preload, travel float64) float64 {
	return rate / 2 * (math.Pow(travel+preload, 2) - preload*preload)
}

func wheelRate(rate, ratio, force, slope float64) float64 { return rate*ratio*ratio + force*slope }

func forks() *rapid.Generator[Fork] {
	return rapid.Custom(func(t *rapid.T) Fork {
		f := Fork{Legs: 2, Rate: rapid.Float64Range(2e3, 9e3).Draw(t, "rate"), Preload: rapid.Float64Range(0, 0.04).Draw(t, "preload"), Travel: rapid.Float64Range(0.1, 0.3).Draw(t, "travel"),
			Outer: rapid.Float64Range(0.030, 0.045).Draw(t, "outer"), AirGap: rapid.Float64Range(0.09, 0.2).Draw(t, "gap"), Rake: rapid.Float64Range(15, 32).Draw(t, "rake") * deg, Atmosphere: 101325}
		f.Bore = f.Outer - 4e-3
		return f
	})
}

func shocks() *rapid.Generator[Shock] {
	return rapid.Custom(func(t *rapid.T) Shock {
		s := Shock{Rate: rapid.Float64Range(40e3, 160e3).Draw(t, "rate"), Preload: rapid.Float64Range(0, 0.02).Draw(t, "preload"), GasPressure: rapid.Float64Range(0, 15e5).Draw(t, "gas"), Shaft: 14e-3, Travel: rapid.Float64Range(0.1, 0.3).Draw(t, "travel")}
		ratio := rapid.Float64Range(2.2, 3.4).Draw(t, "ratio")
		for i := range rapid.IntRange(1, 4).Draw(t, "points") {
			s.Leverage = append(s.Leverage, LeveragePoint{Travel: float64(i) * s.Travel / 4, Ratio: ratio})
			ratio -= rapid.Float64Range(0, 0.2).Draw(t, "fall")
		}
		return s
	})
}

func TestForkHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := forks().Draw(t, "fork")
		s := rapid.Float64Range(0.02, 0.98).Draw(t, "share") * f.Travel
		const step = 1e-5
		slope := (f.VerticalForceAt(s+step) - f.VerticalForceAt(s-step)) / (2 * step * math.Cos(f.Rake)) // per vertical travel
		if math.Abs(slope/f.WheelRate(s)-1) > 1e-6 {
			t.Fatalf("wheel rate %g, by differences %g", f.WheelRate(s), slope)
		}
		sag, err := f.Sag(f.VerticalForceAt(s))
		if err != nil || math.Abs(sag.Travel-s) > 1e-9 {
			t.Fatalf("a travel of %g comes back as %g (%v)", s, sag.Travel, err)
		}
		if need := f.SpringForceFor(f.VerticalForceAt(s), s); math.Abs(need-f.Rate*(s+f.Preload)) > 1e-6 {
			t.Fatalf("the spring must give %g, and gives %g", need, f.Rate*(s+f.Preload))
		}
		gauge, err := f.AirPressureGauge(s)
		full, taken := f.airVolumes(s)
		if err != nil || math.Abs((gauge+f.Atmosphere)*math.Pow(full-taken, 1.3)/(f.Atmosphere*math.Pow(full, 1.3))-1) > 1e-12 {
			t.Fatalf("p V^1.3 is not kept: %g Pa (%v)", gauge, err)
		}
		if sag, err := f.Sag(f.VerticalForceAt(0) / 2); err != nil || !sag.Topped || sag.Travel != 0 {
			t.Fatal("half the force at full extension moves the fork")
		}
		if sag, err := f.Sag(2 * f.VerticalForceAt(f.Travel)); err != nil || !sag.Bottomed || sag.Travel != f.Travel {
			t.Fatal("twice the force at full travel does not bottom the fork")
		}
	})
}

func TestShockHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := shocks().Draw(t, "shock")
		z := rapid.Float64Range(0.02, 0.98).Draw(t, "share") * s.Travel
		sum, strips := 0.0, 2000
		for i := range strips {
			sum += z / float64(strips) / s.RatioAt(z*(float64(i)+0.5)/float64(strips))
		}
		if math.Abs(s.Stroke(z)/sum-1) > 1e-6 {
			t.Fatalf("stroke %g, by strips %g", s.Stroke(z), sum)
		}
		sag, err := s.Sag(s.WheelForce(z))
		if err != nil || math.Abs(sag.Travel-z) > 1e-9 {
			t.Fatalf("a travel of %g comes back as %g (%v)", z, sag.Travel, err)
		}
		if need := s.SpringForceFor(s.WheelForce(z), z); math.Abs(need-s.Rate*(s.Stroke(z)+s.Preload)) > 1e-6 {
			t.Fatalf("the spring must give %g", need)
		}
		// Virtual work: F dz = spring force x d(stroke), so the force at the wheel is the slope of the energy.
		stored := func(z float64) float64 {
			return energy(s.Rate, s.Preload, s.Stroke(z)) + s.GasPressure*math.Pi/4*s.Shaft*s.Shaft*s.Stroke(z)
		}
		const step = 1e-5
		if work := (stored(z+step) - stored(z-step)) / (2 * step); math.Abs(work/s.WheelForce(z)-1) > 1e-4 {
			t.Fatalf("force %g, slope of the energy %g", s.WheelForce(z), work)
		}
	})
}

// A single piece of linear leverage lets the wheel rate be written out by the formula of virtual work.
func TestShockWheelRateByFormula(t *testing.T) {
	s := Shock{Rate: 118e3, Preload: 10e-3, GasPressure: 10e5, Shaft: 14e-3, Travel: 0.170, Leverage: []LeveragePoint{{0, 3.1}, {0.170, 2.7}}}
	for _, z := range []float64{0.02, 0.06, 0.15} {
		r := s.RatioAt(z)
		force := s.Rate*(s.Stroke(z)+s.Preload) + s.GasPressure*math.Pi/4*s.Shaft*s.Shaft
		slope := -(2.7 - 3.1) / 0.170 / (r * r)
		if want := wheelRate(s.Rate, 1/r, force, slope); math.Abs(s.WheelRate(z)/want-1) > 1e-6 {
			t.Errorf("at %g m: %g, by formula %g", z, s.WheelRate(z), want)
		}
	}
	if stroke := s.Stroke(0.170); math.Abs(stroke-0.0587) > 0.0003 {
		t.Errorf("170 mm at the wheel use %g m of the shock", stroke)
	}
}

func TestSpringThrough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, p := rapid.Float64Range(1e3, 2e5).Draw(t, "k"), rapid.Float64Range(0, 0.05).Draw(t, "p")
		a, b := rapid.Float64Range(0, 0.02).Draw(t, "a"), rapid.Float64Range(0.03, 0.1).Draw(t, "b")
		rate, preload := SpringThrough(a, k*(a+p), b, k*(b+p))
		if math.Abs(rate/k-1) > 1e-9 || math.Abs(preload-p) > 1e-9 {
			t.Fatalf("%g N/m and %g m come back as %g and %g", k, p, rate, preload)
		}
	})
}

func TestForbiddenSuspensions(t *testing.T) {
	full := Fork{Legs: 2, Rate: 3e3, Travel: 0.18, Bore: 0.020, Outer: 0.035, AirGap: -0.06, Atmosphere: 101325}
	if _, err := full.Sag(300); err == nil {
		t.Error("a fork full of oil moves")
	}
	for _, points := range [][]LeveragePoint{nil, {{0, 0}}, {{0, 3}, {0, 2}}, {{0.1, 3}, {0.05, 2}}, {{0, -1}}, {{0, math.NaN()}}} {
		if _, err := (Shock{Rate: 1e5, Leverage: points, Travel: 0.1}).Sag(100); err == nil {
			t.Errorf("the leverage %v is taken", points)
		}
	}
}

func BenchmarkShockSag(b *testing.B) {
	s := Shock{Rate: 118e3, Preload: 10e-3, GasPressure: 10e5, Shaft: 14e-3, Travel: 0.170, Leverage: []LeveragePoint{{0, 3.1}, {0.170, 2.7}}}
	load := 1000.0
	b.ReportAllocs()
	for b.Loop() {
		sag, err := s.Sag(load)
		if err != nil {
			b.Fatal(err)
		}
		load += sag.Travel * 1e-9
	}
}

// Two shocks of half the rate and half the gas are one.
func TestTwinShocks(t *testing.T) {
	one := Shock{Rate: 100e3, Preload: 0.01, GasPressure: 8e5, Shaft: 0.014, Leverage: []LeveragePoint{{0, 2}, {0.2, 1.8}}, Travel: 0.2}
	two := one
	two.Count, two.Rate, two.GasPressure = 2, 50e3, 4e5
	for _, z := range []float64{0, 0.05, 0.17} {
		if a, b := one.WheelForce(z), two.WheelForce(z); math.Abs(a-b) > 1e-6 {
			t.Errorf("at %g m: %g and %g N", z, a, b)
		}
	}
	if a, b := one.SpringForceFor(2000, 0.05), two.SpringForceFor(2000, 0.05); math.Abs(a-2*b) > 1e-6 {
		t.Errorf("%g and %g N on each", a, b)
	}
}

// 30 mm at 30 mm of travel and 10 mm at 130 mm leave 36 mm at full droop and 2 mm at 170 mm.
func TestLeastGap(t *testing.T) {
	if got := LeastGap(0.03, 0.03, 0.13, 0.01, 0.17); math.Abs(got-0.002) > 1e-15 {
		t.Errorf("closing: %g", got)
	}
	if got := LeastGap(0.03, 0.01, 0.13, 0.03, 0.17); math.Abs(got-0.004) > 1e-15 {
		t.Errorf("opening: %g", got)
	}
}

// What a fork takes of a landing, by hand: two springs of 3 N/mm at a rake of 30 deg without air are 6/cos2 = 8 N/mm at
// the wheel. From 80 of 200 mm along the tubes 120 mm are left, 103.9 mm at the wheel: 8000/2 x 0.10392^2 = 43.2 J, as
// much as 6000/2 x 0.12^2 along the tubes.
func TestLandingOnAFork(t *testing.T) {
	f := Fork{Legs: 2, Rate: 3000, Travel: 0.2, Bore: 0.03, Outer: 0.035, AirGap: 0.15, Rake: math.Pi / 6}
	if got := f.WheelRate(0.08); math.Abs(got-8000) > 1e-9 {
		t.Errorf("%g N/m at the wheel, by hand 8000", got)
	}
	if got := f.Vertical(0.12); math.Abs(got-0.12*math.Sqrt(0.75)) > 1e-12 {
		t.Errorf("120 mm along the fork are %g m at the wheel", got)
	}
	if got := Landing(f, 0.08); math.Abs(got-43.2) > 1e-9 {
		t.Errorf("%g J, by hand 43.2", got)
	}
	// by hand: one spring of 100 N/mm through a ratio of 2 is 25 N/mm at the wheel; 60 mm left: 45 J
	s := Shock{Rate: 100e3, Leverage: []LeveragePoint{{0, 2}}, Travel: 0.1}
	if got := Landing(s, 0.04); math.Abs(got/45-1) > 1e-6 {
		t.Errorf("%g J on a shock, by hand 45", got)
	}
	if got := Landing(s, 0.12); got != 0 {
		t.Errorf("%g J with no travel left", got)
	}
}

// However long the travel is, the search ends: a force of 1 N/m carries 5e8 N at 5e8 m.
func TestASagIsFoundHoweverFar(t *testing.T) {
	got := solve(5e8, 1e9, func(travel float64) float64 { return travel })
	if math.Abs(got.Travel-5e8) > 1 || got.Topped || got.Bottomed {
		t.Errorf("%+v", got)
	}
}
