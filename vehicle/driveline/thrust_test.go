package driveline

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

// flat is a gearbox of four gears on an engine whose power is the same at all speeds above 300 rad/s.
func flat() (Gearbox, []float64, []float64) {
	g := Gearbox{Primary: 3, Gears: []float64{2.8, 1.9, 1.4, 1.1}, Final: 3, Radius: 0.28, Efficiency: 0.9, Crank: 0, Wheels: 8}
	var speeds, torques []float64
	for omega := 300.0; omega <= 900; omega += 5 {
		speeds, torques = append(speeds, omega), append(torques, 15e3/omega)
	}
	return g, speeds, torques
}

// Turning the engine holds back by its torque through the gears, their loss beside it; below the slowest speed it
// fades, and what goes in comes out as power.
func TestOverrun(t *testing.T) {
	g := Gearbox{Primary: 3, Gears: []float64{2.5, 1.25}, Final: 3, Radius: 0.27, Efficiency: 0.9}
	speeds, torques := []float64{200, 600, 800}, []float64{4, 6, 8}
	const step = 0.5
	force := g.Overrun(speeds, torques, []int{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, step)
	for i, gear := range []float64{2.5, 1.25} {
		at := []int{8, 16}[i]
		v := step * float64(at)
		omega := v * 9 * gear / 0.27
		torque := 4 + (omega-200)/200 // N m, straight between 200 and 600 rad/s
		if power := force[at] * v * 0.9; math.Abs(power-torque*omega) > 1e-9*power {
			t.Errorf("gear %d at %g m/s: %g W at the crank, by hand %g", i+1, v, power, torque*omega)
		}
	}
	if force[0] != 0 || math.Abs(force[1]/force[2]-0.5) > 1e-9 {
		t.Errorf("it does not fade to a stand: %v", force[:4])
	}
	if over := g.Overrun(speeds, torques, []int{1, 1, 1, 1}, 20); math.Abs(over[3]-8*22.5/0.27/0.9) > 1e-9 {
		t.Errorf("above the last speed %g N", over[3])
	}
}

func TestOutsideThrust(t *testing.T) {
	g, speeds, torques := flat()
	force, mass, gear := g.Thrust(speeds, torques, 200, 0.5, 80)
	computed := []outside.Known{outside.Computed}
	outside.Check{ID: "chassis 9.15", Name: "thrust x speed is the engine's power less what gears and chain take", Unit: "W", Got: force[30] * 15, Want: 0.9 * 15e3, Tol: 1e-3, Relative: true, Source: "power is force x speed", Known: computed}.Run(t)
	lowest := 300 * 0.28 / (3 * 2.8 * 3) // [m/s] in first gear at the slowest of these crank speeds
	outside.Check{ID: "chassis 9.15", Name: "thrust where first gear takes hold", Unit: "N", Got: force[int(lowest/0.5)+1], Want: 0.9 * 15e3 / (0.5 * (math.Floor(lowest/0.5) + 1)), Tol: 1e-3, Relative: true, Source: "torque x ratio / radius", Known: computed}.Run(t)
	if force[0] != 0 {
		t.Errorf("an engine that stands pushes with %g N", force[0])
	}
	if mass[30] != 208 || gear[0] != 1 || gear[79] != 4 {
		t.Errorf("mass %g, gears %d and %d", mass[30], gear[0], gear[79])
	}
	g.Clutch = 90
	if held, _, _ := g.Thrust(speeds, torques, 200, 0.5, 9); math.Abs(held[8]-0.9*30*3*2.8*3/0.28) > 1e-9 {
		t.Errorf("a clutch of 90 Nm passes %g N", held[8])
	}
	g.Clutch = 0
	// A change costs its time: at a steady 4 m/s2 through the window below it, 0.2 s more than without.
	for i := range torques {
		torques[i] = 20 // each gear is used to the last crank speed
	}
	g.Shift = 0.2
	slower, _, _ := g.Thrust(speeds, torques, 200, 0.05, 800)
	g.Shift = 0
	quick, moved, _ := g.Thrust(speeds, torques, 200, 0.05, 800)
	lost := 0.0
	for i := range quick {
		if slower[i] > 0 {
			lost += 0.05 * moved[i] * (1/slower[i] - 1/quick[i])
		}
	}
	if math.Abs(lost-3*0.2) > 0.03 {
		t.Errorf("three changes of 0.2 s cost %.3f s", lost)
	}
	// Above the last crank speed in top gear there is nothing.
	if f, _, _ := g.Thrust(speeds, torques, 200, 1, 60); f[59] != 0 {
		t.Errorf("%g N beyond the last speed", f[59])
	}
}

// With a flywheel each gear costs more mass the lower it is, so the change comes earlier than at the last crank speed.
func TestShiftSpeeds(t *testing.T) {
	g, speeds, torques := flat()
	light := g.ShiftSpeeds(speeds, torques, 200)
	g.Crank = 0.01
	heavy := g.ShiftSpeeds(speeds, torques, 200)
	if len(light) != 3 || len(heavy) != 3 {
		t.Fatalf("%d and %d changes between four gears", len(light), len(heavy))
	}
	for k := range 3 {
		last := 900 / g.overall(k) * g.Radius
		if heavy[k] > last+0.05 || light[k] > last+0.05 {
			t.Errorf("gear %d is left at %g and %g m/s; it reaches %g", k+1, light[k], heavy[k], last)
		}
		if k > 0 && heavy[k] <= heavy[k-1] {
			t.Errorf("changes at %v", heavy)
		}
	}
}

// Each gear is changed up once, whatever the torque curve dips, and no other order of gears goes through the speeds
// sooner.
func TestGearsGoUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		g, speeds, torques := flat()
		g.Shift, g.Crank = rapid.Float64Range(0, 0.4).Draw(r, "shift"), rapid.Float64Range(0, 0.01).Draw(r, "crank")
		for i := range torques {
			torques[i] = rapid.Float64Range(5, 30).Draw(r, "torque")
		}
		const step, steps = 0.25, 90
		smeared := g.Shift
		g.Shift = 0
		_, _, free := g.Thrust(speeds, torques, 200, step, steps)
		g.Shift = smeared
		_, _, gear := g.Thrust(speeds, torques, 200, step, steps)
		for _, list := range [][]int{free, gear} {
			for i := 1; i < steps; i++ {
				if list[i] < list[i-1] {
					r.Fatalf("at %g m/s gear %d follows %d", step*float64(i), list[i], list[i-1])
				}
			}
		}
		// Changing one step earlier or later anywhere is not sooner.
		time := func(gears []int) float64 {
			sum := 0.0
			for i := range steps {
				k := gears[i] - 1
				ratio := g.overall(k) / g.Radius
				omega := step * float64(i) * ratio
				if omega > speeds[len(speeds)-1] {
					return math.Inf(1)
				}
				torque := torques[0] * omega / speeds[0]
				if omega >= speeds[0] {
					torque = between(speeds, torques, omega)
				}
				m := 200 + g.Wheels + g.Crank*ratio*ratio
				sum += step * m / math.Max(torque*ratio*g.Efficiency, weakest*m)
				if i > 0 {
					sum += g.Shift * float64(gears[i]-gears[i-1])
				}
			}
			return sum
		}
		best := time(gear)
		if math.IsInf(best, 1) {
			return // beyond the last speed there is no gear
		}
		for i := 1; i < steps; i++ {
			for _, other := range []int{gear[i-1], gear[min(i+1, steps-1)]} {
				moved := slices.Clone(gear)
				moved[i] = other
				if slices.IsSorted(moved) && time(moved) < best-1e-9 {
					r.Fatalf("gear %d at %g m/s would be sooner: %g against %g s", other, step*float64(i), time(moved), best)
				}
			}
		}
	})
}
