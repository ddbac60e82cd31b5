package flow_test

import (
	"fmt"
	"math"
	"testing"

	"shakedown/engine/flow"
	"shakedown/internal/outside"
)

// A hump at rest parts into two waves that run away from each other; where they still lie on each other the pressure is
// that of both. What is printed of two equal waves that meet is this backwards.
func TestOutsideWavesOfFiniteHeight(t *testing.T) {
	const ratio, constant = 1.4, 287.05
	const a0 = 343.2
	cold := a0 * a0 / (ratio * constant)
	g := flow.Ideal(ratio, constant)
	const both = 1.43335 // of two waves of 1.2
	height := func(x float64) float64 {
		switch d := math.Abs(x - 3); {
		case d < 0.6:
			return 1
		case d < 1.2:
			return 0.5 + 0.5*math.Cos(math.Pi*(d-0.6)/0.6)
		}
		return 0
	}
	p, err := flow.NewPipe(g, flow.Shape{Length: 6, Cell: 0.005, Diameter: func(float64) float64 { return 0.04 }, Start: func(x float64) flow.State {
		pressure := 1 + (both-1)*height(x)
		return flow.State{Pressure: 101325 * pressure, Temperature: cold * math.Pow(pressure, (ratio-1)/ratio)}
	}})
	if err != nil {
		t.Fatal(err)
	}
	for now := 0.0; now < 3.4e-3; {
		dt := p.LongestStep(0.9)
		p.Prepare(dt)
		p.Closed(flow.Near)
		p.Closed(flow.Far)
		if err := p.Advance(dt); err != nil {
			t.Fatal(err)
		}
		now += dt
	}
	top := p.At(0)
	for i := range p.Cells() {
		if s := p.At(i); float64(i) > 0.5*float64(p.Cells()) && s.Pressure > top.Pressure {
			top = s
		}
	}
	known := []outside.Known{outside.Memory, outside.Computed}
	const blair = "Blair, Design and Simulation of Four-Stroke Engines, SAE R-186 (1999), ch. 2; Earnshaw"
	outside.Check{ID: "engine 2.1.10", Name: "a pressure of 1.43335 at rest parts into two waves, each", Unit: "1", Got: top.Pressure / 101325, Want: 1.2, Tol: 1e-3, Source: blair + "; the scheme's own error is the tolerance", Known: known}.Run(t)
	outside.Check{ID: "engine 2.1.9", Name: "gas speed in a wave of pressure ratio 1.2", Unit: "m/s", Got: top.Velocity, Want: 45.28, Tol: 3e-3, Relative: true, Source: blair, Known: known}.Run(t)
	outside.Check{ID: "engine 2.1.9", Name: "speed of that wave", Unit: "m/s", Got: top.Velocity + math.Sqrt(ratio*constant*top.Temperature), Want: 397.54, Tol: 1e-3, Relative: true, Source: blair, Known: known}.Run(t)
}

// A bottle rings. The printed formula takes the gas in the neck as a plug; the neck's own wave lowers the note: x tan x
// = A l/V with x = 2 pi f l/a, which goes over into the formula for a short neck.
func TestOutsideBottle(t *testing.T) {
	const a, diameter, size = 343.232, 0.034, 0.5e-3
	const temperature = a * a / (1.4 * 287.05)
	area := math.Pi / 4 * diameter * diameter
	g := flow.Ideal(1.4, 287.05)
	for _, row := range []struct{ length, plug float64 }{{0.300, 134.40}, {0.300 + 0.6133*0.017, 132.12}, {0.300 + (0.6133+0.8217)*0.017, 129.24}} {
		formula := a / (2 * math.Pi) * math.Sqrt(area/(size*row.length))
		outside.Check{ID: "engine 2.3.10", Name: fmt.Sprintf("the note of a bottle by its formula, neck %.4f m", row.length), Unit: "Hz", Got: formula, Want: row.plug, Tol: 2e-4, Relative: true, Source: "Kinsler 4th ed., section 10.8; the formula that the next row mends", Known: []outside.Known{outside.Computed}}.Run(t)
		low, high := 0.01, math.Pi/2-0.01
		for high-low > 1e-10 {
			if x := (low + high) / 2; x*math.Tan(x) < area*row.length/size {
				low = x
			} else {
				high = x
			}
		}
		want := low * a / (2 * math.Pi * row.length)
		p := tube(t, g, row.length, diameter, row.length/100, temperature)
		v, err := flow.NewVolume(g, size, flow.State{Pressure: 101325 * 1.002, Temperature: temperature})
		if err != nil {
			t.Fatal(err)
		}
		rest := g.Rest(101325, temperature, 0, 0)
		now, last, crossings, first, final := 0.0, 0.0, 0, 0.0, 0.0
		for crossings < 11 && now < 0.3 {
			dt := p.LongestStep(0.9)
			p.Prepare(dt)
			inside := v.Rest()
			if err := p.Opening(flow.Near, 1, &inside); err != nil {
				t.Fatal(err)
			}
			if err := p.Opening(flow.Far, 1, &rest); err != nil {
				t.Fatal(err)
			}
			if err := p.Advance(dt); err != nil {
				t.Fatal(err)
			}
			if err := v.Take(p, flow.Near); err != nil {
				t.Fatal(err)
			}
			now += dt
			at := v.State().Pressure - 101325
			if last < 0 && at >= 0 {
				final = now - dt*at/(at-last)
				if crossings == 0 {
					first = final
				}
				crossings++
			}
			last = at
		}
		outside.Check{ID: "engine 2.3.10", Name: fmt.Sprintf("the note of a bottle, neck %.4f m, with the wave in it", row.length), Unit: "Hz", Got: float64(crossings-1) / (final - first), Want: want, Tol: 0.005, Relative: true, Source: "Kinsler 4th ed., sections 10.2 and 10.8: plane waves in the neck; the scheme's own error is the tolerance", Known: []outside.Known{outside.Computed}}.Run(t)
	}
}

// A box around a pipe, short against the wave, with so many holes that they do not hold it back: its gas gives way as a
// spring does. At the two ends of the holes the cells' momentum smears over; with five cells in place of these 31 the
// loss reads 0.6 dB high.
func TestOutsideBoxAroundAPipe(t *testing.T) {
	const a, diameter, size, sent, f = 343.232, 0.02, 0.3e-3, 100.0, 120.0
	const temperature = a * a / (1.4 * 287.05)
	g := flow.Ideal(1.4, 287.05)
	p := tube(t, g, 0.9, diameter, 0.0015, temperature)
	v, err := flow.NewVolume(g, size, flow.State{Pressure: 101325, Temperature: temperature})
	if err != nil {
		t.Fatal(err)
	}
	sine, cosine, weight := 0.0, 0.0, 0.0
	for now := 0.0; now < 26/f; {
		dt := p.LongestStep(0.9)
		p.Prepare(dt)
		p.Endless(flow.Near, 101325+2*sent*math.Sin(2*math.Pi*f*(now+dt/2)))
		p.Endless(flow.Far, 101325)
		if err := p.Advance(dt); err != nil {
			t.Fatal(err)
		}
		if err := p.Holes(285, 315, 1e-4, v, dt); err != nil {
			t.Fatal(err)
		}
		now += dt
		if now > 16/f {
			x := p.At(540).Pressure - 101325
			sine, cosine, weight = sine+dt*x*math.Sin(2*math.Pi*f*now), cosine+dt*x*math.Cos(2*math.Pi*f*now), weight+dt/2
		}
	}
	spring := 2 * math.Pi * f * size / (2 * math.Pi / 4 * diameter * diameter * a)
	outside.Check{ID: "Kinsler 10.11", Name: "loss of a small box around a pipe", Unit: "dB", Got: 20 * math.Log10(sent/(math.Hypot(sine, cosine)/weight)), Want: 10 * math.Log10(1+spring*spring), Tol: 0.3, Source: "Kinsler 4th ed., section 10.11, a side branch that is a compliance; the scheme's own error is the tolerance", Known: []outside.Known{outside.Computed}}.Run(t)
}

// A silencer of one chamber, a plane wave small enough to be sound, and pipes that send nothing back.
func TestOutsideExpansionChamber(t *testing.T) {
	const a, narrow, long, sent = 343.232, 0.02, 0.30, 100.0
	const temperature = a * a / (1.4 * 287.05)
	g := flow.Ideal(1.4, 287.05)
	for _, row := range []struct{ areas, phase, loss float64 }{{9, 0.5, 13.17}, {9, 0.25, 10.36}, {16, 0.5, 18.10}} {
		f := row.phase * math.Pi * a / (2 * math.Pi * long)
		in, chamber, out := tube(t, g, 0.4, narrow, 0.003, temperature), tube(t, g, long, narrow*math.Sqrt(row.areas), 0.003, temperature), tube(t, g, 0.4, narrow, 0.003, temperature)
		front := flow.Joint{Ends: []flow.End{{Pipe: in, Side: flow.Far}, {Pipe: chamber, Side: flow.Near}}}
		back := flow.Joint{Ends: []flow.End{{Pipe: chamber, Side: flow.Far}, {Pipe: out, Side: flow.Near}}}
		pipes := []*flow.Pipe{in, chamber, out}
		sine, cosine, weight := 0.0, 0.0, 0.0
		for now := 0.0; now < 26/f; {
			dt := math.Inf(1)
			for _, p := range pipes {
				dt = math.Min(dt, p.LongestStep(0.9))
			}
			for _, p := range pipes {
				p.Prepare(dt)
			}
			phase := 2 * math.Pi * f * (now + dt/2)
			in.Endless(flow.Near, 101325+2*sent*math.Sin(phase))
			out.Endless(flow.Far, 101325)
			front.Solve()
			back.Solve()
			for _, p := range pipes {
				if err := p.Advance(dt); err != nil {
					t.Fatal(err)
				}
			}
			now += dt
			if now > 16/f { // the swing has settled: its part at this frequency over ten turns
				x := out.At(out.Cells()/2).Pressure - 101325
				sine, cosine, weight = sine+dt*x*math.Sin(2*math.Pi*f*now), cosine+dt*x*math.Cos(2*math.Pi*f*now), weight+dt/2
			}
		}
		passed := math.Hypot(sine, cosine) / weight
		outside.Check{ID: "engine 2.3.13", Name: fmt.Sprintf("loss of an expansion chamber of %g times the area, %g of a half wave long", row.areas, row.phase), Unit: "dB", Got: 20 * math.Log10(sent/passed), Want: row.loss, Tol: 0.25, Source: "Munjal, Acoustics of Ducts and Mufflers; Davis, NACA TR 1192; the scheme's own error is the tolerance", Known: []outside.Known{outside.Computed}}.Run(t)
	}
}
