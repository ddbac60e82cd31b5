package brake

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestOutsideHeatAndFluid(t *testing.T) {
	seen, remembered, computed := []outside.Known{outside.Seen}, []outside.Known{outside.Memory}, []outside.Known{outside.Computed}
	for _, row := range []struct {
		name     string
		dry, wet float64 // [C]
		cold     float64 // [cSt]
	}{{"DOT 3", 205, 140, 1500}, {"DOT 4", 230, 155, 1800}, {"DOT 5", 260, 180, 900}, {"DOT 5.1", 260, 180, 900}} {
		f := FluidNamed(row.name)
		outside.Check{ID: "chassis 8.11", Name: row.name + ", least boiling point, new", Unit: "C", Got: f.Dry - celsius, Want: row.dry, Tol: 1e-9, Source: "FMVSS 116", Known: seen}.Run(t)
		outside.Check{ID: "chassis 8.11", Name: row.name + ", with water", Unit: "C", Got: f.Wet - celsius, Want: row.wet, Tol: 1e-9, Source: "FMVSS 116", Known: seen}.Run(t)
		outside.Check{ID: "chassis 8.12", Name: row.name + ", greatest viscosity at -40 C", Unit: "cSt", Got: 1e6 * f.Cold, Want: row.cold, Tol: 1e-9, Source: "FMVSS 116", Known: remembered}.Run(t)
	}
	for _, row := range []struct{ swell, lever float64 }{{0.66, 92.3}, {0.33, 46.2}} {
		const foot = 0.3048 // the row is printed to a tenth of a millimetre, so 46.15 stands as 46.2: half of that digit is the tolerance
		outside.Check{ID: "chassis 8.10", Name: fmt.Sprintf("lever travel eaten by 0.90 m of hose that swells by %g cm3 a foot, master of 12.7 mm, ratio 6", row.swell), Unit: "mm", Got: 1000 * HoseSwell(row.swell*1e-6/foot, 0.90, 12.7e-3, 6), Want: row.lever, Tol: 0.05, Source: "FMVSS 106, table I; volume over area times ratio", Known: []outside.Known{outside.Seen, outside.Computed}}.Run(t)
	}
	outside.Check{ID: "chassis 8.13", Name: "bulk rise of a disc of 0.90 kg that takes 70 % of 205 kg at 20 m/s", Unit: "K", Got: BulkRise(205, 20, 0.7, 0.90, 460), Want: 69.3, Tol: 1e-3, Relative: true, Source: "Limpert, Brake Design and Safety", Known: []outside.Known{outside.Memory, outside.Computed}}.Run(t)
	outside.Check{ID: "chassis 8.14", Name: "face over the inside of a disc in one stop of 3 s, 1 MW/m2 falling to nothing", Unit: "K", Got: SurfaceRise(1e6, 3, 7200, 460, 50), Want: 71.594, Tol: 1e-3, Relative: true, Source: "Carslaw and Jaeger, Conduction of Heat in Solids; finite differences", Known: computed}.Run(t)
	outside.Check{ID: "chassis 8.14", Name: "the same, as Limpert rounds it", Unit: "K", Got: SurfaceRise(1e6, 3, 7200, 460, 50), Want: 70.938, Tol: 1e-2, Relative: true, Source: "Limpert, Brake Design and Safety", Known: remembered}.Run(t)
	// The coefficient itself: Duhamel's integral of the surface of a semi-infinite body under a flux 1 - t over unit
	// time, sqrt(t) kernels.
	best := 0.0
	for i := 1; i <= 1000; i++ {
		at := float64(i) / 1000
		best = math.Max(best, 2/math.Sqrt(math.Pi)*(math.Sqrt(at)-2.0/3*math.Pow(at, 1.5)))
	}
	outside.Check{ID: "chassis 8.14", Name: "coefficient of the greatest rise", Unit: "1", Got: surfacePeak, Want: best, Tol: 1e-5, Relative: true, Source: "Carslaw and Jaeger, Conduction of Heat in Solids, section 2.9", Known: computed}.Run(t)
}

func rotor() Rotor { return Rotor{Mass: 0.75, Capacity: 460, Diameter: 0.2, Area: 0.032} }

// A disc that is braked evenly warms towards the temperature at which it gives all away, as an exponential when it does
// not glow.
func TestDiscSettles(t *testing.T) {
	r := rotor()
	const n, dt, power, speed, air = 200000, 0.02, 60.0, 12.0, 293.15
	took, powers, speeds := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range took {
		took[i], powers[i], speeds[i] = dt, power, speed
	}
	w := r.Over(took, powers, speeds, air, air)
	end, hottest := w.End, w.Hottest
	loss := r.Cooling(speed)*(end-air) + emits*stefan*r.Area*(math.Pow(end, 4)-math.Pow(air, 4))
	if math.Abs(loss/power-1) > 1e-3 || hottest < end {
		t.Errorf("settled at %g K it gives away %g of %g W; hottest %g", end, loss, power, hottest)
	}
	// by hand: without loss in so short a time, 60 W for 1 s into 345 J/K is 0.174 K
	if end := r.Over(took[:50], powers[:50], speeds[:50], air, air).End; math.Abs(end-air-60/345.0) > 0.002 {
		t.Errorf("a second of 60 W: %g K", end-air)
	}
}

// The mean over a lap goes by time, not by the temperature at its ends. By hand, a disc of 1 kg and 500 J/(kg K) that
// gives nothing away (no face to the air), from 300 K: 2 s at 5 kW take it in a straight line to 320 K, 8 s without
// braking leave it there. The mean is (2 s x 310 K + 8 s x 320 K)/10 s = 318 K; the two ends would say 310.
func TestDiscMeanGoesByTime(t *testing.T) {
	r := Rotor{Mass: 1, Capacity: 500, Diameter: 0.2}
	w := r.Over([]float64{2, 8}, []float64{5000, 0}, []float64{10, 10}, 300, 300)
	if math.Abs(w.Mean-318) > 1e-9 || math.Abs(w.End-320) > 1e-9 || math.Abs(w.Hottest-320) > 1e-9 {
		t.Errorf("mean %g, end %g, hottest %g K; by hand 318, 320, 320", w.Mean, w.End, w.Hottest)
	}
}

func TestDiscsBehave(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := rotor()
		n := rapid.IntRange(5, 60).Draw(rt, "steps")
		took, power, speed, more := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range n {
			took[i], power[i], speed[i] = 0.1, rapid.Float64Range(0, 8000).Draw(rt, "power"), rapid.Float64Range(0.5, 30).Draw(rt, "speed")
			more[i] = 1.1*power[i] + 1
		}
		a, b := r.Over(took, power, speed, 293, 350), r.Over(took, more, speed, 293, 350)
		if !(b.End > a.End && b.Hottest >= a.Hottest && b.Mean > a.Mean) {
			rt.Errorf("more braking: %+v to %+v", a, b)
		}
		slow, fast := rapid.Float64Range(1, 30).Draw(rt, "slow"), 0.0
		fast = slow * 1.2
		if !(r.Cooling(fast) > r.Cooling(slow)) {
			rt.Errorf("faster air cools less: %g at %g, %g at %g m/s", r.Cooling(slow), slow, r.Cooling(fast), fast)
		}
	})
}
