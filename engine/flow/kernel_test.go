package flow

import (
	"math"
	"testing"
)

// air is a gas whose heat capacity rises with temperature about as air's does.
func air() *Gas {
	g := &Gas{From: 200, Step: 25}
	for kind := range Kinds {
		g.Constant[kind] = 287 + 3*float64(kind)
		for k := range g.Energy[kind] {
			t := 200 + 25*float64(k)
			g.Energy[kind][k] = 690*(t-600) + 0.09*(t*t-600*600) + 1000*float64(kind)
		}
	}
	g.Ready()
	return g
}

// bench is a pipe of 64 cells with all that a pipe of an engine has, and a wave in it.
func bench(tb testing.TB) *Pipe {
	p, err := NewPipe(air(), Shape{Length: 0.96, Cell: 0.015, Friction: 0.006, Wall: func(float64) float64 { return 450 }, Heat: 1, Diameter: func(x float64) float64 { return 0.035 + 0.01*x },
		Start: func(x float64) State {
			return State{Pressure: 1e5 * (1 + 0.3*math.Exp(-math.Pow((x-0.3)/0.1, 2))), Temperature: 700 - 200*x, Velocity: 30, Y1: 0.05, Y2: 0.5 * x}
		}})
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func step(p *Pipe, dt float64) error {
	p.Prepare(dt)
	p.Endless(Near, 1e5)
	p.Endless(Far, 1e5)
	return p.Advance(dt)
}

func TestAStepAllocatesNothing(t *testing.T) {
	p := bench(t)
	dt := p.LongestStep(0.5)
	if n := testing.AllocsPerRun(200, func() {
		if err := step(p, dt); err != nil {
			t.Fatal(err)
		}
	}); n > 0 {
		t.Errorf("%g allocations in a step", n)
	}
}

// The kernel and the plain version are the same scheme: the same states after many steps.
func TestKernelIsThePlainScheme(t *testing.T) {
	p := bench(t)
	q := plainOf(p)
	for range 400 {
		dt := p.LongestStep(0.9)
		if err := step(p, dt); err != nil {
			t.Fatal(err)
		}
		q.step(p, dt)
	}
	for i := range q.cells {
		for name, pair := range map[string][3]float64{"density": {p.rho[i+1], q.cells[i].rho, 1}, "momentum": {p.mom[i+1], q.cells[i].mom, 300}, "energy": {p.ene[i+1], q.cells[i].ene, 3e5}, "second gas": {p.m1[i+1], q.cells[i].m1, 1}, "third gas": {p.m2[i+1], q.cells[i].m2, 1}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*pair[2] {
				t.Fatalf("cell %d: %s is %.12g here and %.12g in the plain scheme", i, name, pair[0], pair[1])
			}
		}
	}
}

func BenchmarkKernel(b *testing.B) {
	p := bench(b)
	dt := p.LongestStep(0.6)
	b.ReportAllocs()
	for b.Loop() {
		if err := step(p, dt); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(p.n)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mcells/s")
}

func BenchmarkPlain(b *testing.B) {
	p := bench(b)
	q := plainOf(p)
	dt := p.LongestStep(0.6)
	p.Prepare(dt)
	p.Endless(Near, 1e5)
	p.Endless(Far, 1e5)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if i%100 == 0 { // the fluxes at its ends stand still: begin again before that shows
			delete(plainEnds, q)
			q = plainOf(p)
		}
		q.step(p, dt)
	}
	b.ReportMetric(float64(len(q.cells))*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mcells/s")
}

// plain is the scheme written down as one would at first: structs by value, a function for each idea.
type plain struct {
	gas   *Gas
	dx    float64
	cells []plainCell
	faces []float64 // [m2]
}

type plainCell struct {
	rho, mom, ene, m1, m2 float64
	volume, rub, warm     float64
	near                  float64 // [K]
}

type plainState struct{ rho, u, p, in, y1, y2, t, c float64 }

func (s plainState) plus(o plainState, k float64) plainState {
	return plainState{rho: s.rho + k*o.rho, u: s.u + k*o.u, p: s.p + k*o.p, in: s.in + k*o.in, y1: s.y1 + k*o.y1, y2: s.y2 + k*o.y2, t: s.t, c: s.c}
}

func plainOf(p *Pipe) *plain {
	q := &plain{gas: p.gas, dx: p.dx, faces: p.area[:p.n+1]}
	for i := 1; i <= p.n; i++ {
		q.cells = append(q.cells, plainCell{p.rho[i], p.mom[i], p.ene[i], p.m1[i], p.m2[i], p.volume[i], p.rub[i], p.warm[i], p.t[i]})
	}
	return q
}

func (q *plain) state(c plainCell) plainState {
	u := c.mom / c.rho
	in := c.ene - c.rho*u*u/2
	y1, y2 := c.m1/c.rho, c.m2/c.rho
	t, cv := q.gas.TemperatureOf(in/c.rho, y1, y2, c.near)
	r := q.gas.R(y1, y2)
	p := c.rho * r * t
	return plainState{c.rho, u, p, in, y1, y2, t, math.Sqrt((1 + r/cv) * p / c.rho)}
}

func limited(a, b float64) float64 {
	if a*b <= 0 {
		return 0
	}
	return 2 * a * b / (a + b)
}

func slope(a, b, c plainState) plainState {
	return plainState{rho: limited(b.rho-a.rho, c.rho-b.rho), u: limited(b.u-a.u, c.u-b.u), p: limited(b.p-a.p, c.p-b.p), in: limited(b.in-a.in, c.in-b.in), y1: limited(b.y1-a.y1, c.y1-b.y1), y2: limited(b.y2-a.y2, c.y2-b.y2)}
}

func change(s, d plainState, spread, dx float64) plainState {
	stiff := s.rho * s.c * s.c
	return plainState{
		rho: -(s.u*d.rho+s.rho*d.u)/dx - s.u*spread*s.rho,
		u:   -(s.u*d.u + d.p/s.rho) / dx,
		p:   -(s.u*d.p+stiff*d.u)/dx - s.u*spread*stiff,
		in:  -(s.u*d.in+(s.in+s.p)*d.u)/dx - s.u*spread*(s.in+s.p),
		y1:  -s.u * d.y1 / dx, y2: -s.u * d.y2 / dx,
	}
}

func hllc(l, r plainState, cl, cr plainState) fluxes {
	sl, sr := math.Min(cl.u-cl.c, cr.u-cr.c), math.Max(cl.u+cl.c, cr.u+cr.c)
	star := (r.p - l.p + l.rho*l.u*(sl-l.u) - r.rho*r.u*(sr-r.u)) / (l.rho*(sl-l.u) - r.rho*(sr-r.u))
	s, speed := l, sl
	if star < 0 {
		s, speed = r, sr
	}
	e := s.in + s.rho*s.u*s.u/2
	f := fluxes{mass: s.rho * s.u, mom: s.rho*s.u*s.u + s.p, ene: (e + s.p) * s.u}
	if (star >= 0 && sl < 0) || (star < 0 && sr > 0) {
		rho := s.rho * (speed - s.u) / (speed - star)
		f.mass += speed * (rho - s.rho)
		f.mom += speed * (rho*star - s.rho*s.u)
		f.ene += speed * (rho*(e/s.rho+(star-s.u)*(star+s.p/(s.rho*(speed-s.u)))) - e)
	}
	f.m1, f.m2 = f.mass*s.y1, f.mass*s.y2
	return f
}

// step takes the ends' states and fluxes of the pipe that it is compared with.
func (q *plain) step(p *Pipe, dt float64) {
	n := len(q.cells)
	states := make([]plainState, n+2)
	for i, c := range q.cells {
		states[i+1] = q.state(c)
	}
	mirror := func(s plainState, f sides) plainState {
		return plainState{rho: 2*f.rho - s.rho, u: 2*f.u - s.u, p: 2*f.p - s.p, in: 2*f.in - s.in, y1: 2*f.y1 - s.y1, y2: 2*f.y2 - s.y2}
	}
	states[0], states[n+1] = mirror(states[1], q.was(p, Near)), mirror(states[n], q.was(p, Far))
	left, right, mid := make([]plainState, n+2), make([]plainState, n+2), make([]float64, n+2)
	for i := 1; i <= n; i++ {
		d := slope(states[i-1], states[i], states[i+1])
		half := states[i].plus(change(states[i], d, (q.faces[i]-q.faces[i-1])/q.cells[i-1].volume, q.dx), dt/2)
		left[i], right[i], mid[i] = half.plus(d, -0.5), half.plus(d, 0.5), half.p
	}
	flux := make([]fluxes, n+1)
	flux[0], flux[n] = p.ends[Near].flux, p.ends[Far].flux
	for i := 1; i < n; i++ {
		flux[i] = hllc(right[i], left[i+1], states[i], states[i+1])
	}
	for i := range q.cells {
		c, s := &q.cells[i], states[i+1]
		k := dt / c.volume
		a, b := q.faces[i], q.faces[i+1]
		heat := dt * c.warm * c.rho * math.Abs(s.u) * filmHeat * s.c * s.c / s.t * (p.wall[i+1] - s.t)
		c.rho += k * (flux[i].mass*a - flux[i+1].mass*b)
		c.mom = (c.mom + k*(flux[i].mom*a-flux[i+1].mom*b+mid[i+1]*(b-a))) / (1 + dt*c.rub*math.Abs(s.u))
		c.ene += k*(flux[i].ene*a-flux[i+1].ene*b) + heat
		c.m1 += k * (flux[i].m1*a - flux[i+1].m1*b)
		c.m2 += k * (flux[i].m2*a - flux[i+1].m2*b)
		c.near = s.t
	}
	q.keep(p)
}

// The ends' states of the step before, which slopes use; kept beside the pipe by test code only.
var plainEnds = map[*plain][2]sides{}

func (q *plain) was(p *Pipe, s Side) sides {
	if e, ok := plainEnds[q]; ok {
		return e[s]
	}
	i := p.last(s) - 1
	st := q.state(q.cells[i])
	return sides{st.rho, st.u, st.p, st.in, st.y1, st.y2}
}

func (q *plain) keep(p *Pipe) {
	plainEnds[q] = [2]sides{p.ends[Near].face, p.ends[Far].face}
}
