package flow

import (
	"fmt"
	"math"
)

// State is the gas at a place.
type State struct {
	Pressure    float64 // [Pa]
	Temperature float64 // [K]
	Velocity    float64 // [m/s] towards the far end of the pipe
	Y1, Y2      float64 // [-] mass shares of the second and third gas
}

// Shape is a pipe before it is cut into cells.
type Shape struct {
	Length   float64                 // [m]
	Diameter func(x float64) float64 // [m] at x [m] from the near end
	Cell     float64                 // [m] about how long a cell shall be
	Friction float64                 // [-] Fanning's factor of the wall
	Wall     func(x float64) float64 // [K] temperature of the wall at x; nil where no heat passes
	Heat     float64                 // [-] how much of the heat that Reynolds' analogy gives passes through the wall; 1 is usual, 0 none
	Start    func(x float64) State   // state at the start
}

// Fewest and most cells of a pipe.
const (
	fewestCells = 4
	mostCells   = 2000
)

// Pipe is a pipe cut into cells, struct of arrays. Cells are 1 to n; 0 and n+1 hold the states at the two ends,
// reflected about the last faces, so that slopes reach to the wall.
type Pipe struct {
	gas *Gas
	n   int
	dx  float64 // [m]

	area   []float64 // [m2] of faces: face i is between cells i and i+1
	volume []float64 // [m3]
	grow   []float64 // [m2] area of the right face less that of the left
	spread []float64 // [1/m] that over the volume
	rub    []float64 // [1/m] 2 f/D
	warm   []float64 // [1/m] 2 f/D St/f Heat
	wall   []float64 // [K]

	rho, mom, ene, m1, m2       []float64 // conserved, per volume: mass, momentum, energy, masses of the second and third gas
	u, p, in, y1, y2, c, t, rc2 []float64 // velocity, pressure, internal energy per volume, shares, speed of sound, temperature, rho c^2
	left, right                 []sides   // states at a cell's two faces half a step on
	mid                         []float64 // pressure in the cell's middle half a step on
	flux                        []fluxes  // through faces, per area

	ends   [2]end
	Heated float64 // [J] heat that came through the wall since it was last set to zero
}

// sides is a state at a face.
type sides struct{ rho, u, p, in, y1, y2 float64 }

// fluxes are what passes a face, per area and time.
type fluxes struct{ mass, mom, ene, m1, m2 float64 }

// end is the state at an end of the pipe and what flowed there in the last step.
type end struct {
	face    sides
	flux    fluxes // per area, towards the far end of the pipe
	through fluxes // [kg] [N s] [J] [kg] [kg] in the last step, into the pipe
}

// Side names an end of a pipe.
type Side int

// The two ends.
const (
	Near Side = iota
	Far
)

// prandtl is Pr^(-2/3) of gases near 0.7: Reynolds' analogy as Colburn has it, St = f/2 Pr^(-2/3).
const prandtl = 1.268

// NewPipe cuts a pipe into cells and fills it. The error says what of its shape cannot be.
func NewPipe(g *Gas, s Shape) (*Pipe, error) {
	if !(s.Length > 0) || !(s.Cell > 0) {
		return nil, fmt.Errorf("flow: a pipe of %g m in cells of %g m", s.Length, s.Cell)
	}
	n := max(fewestCells, int(math.Round(s.Length/s.Cell)))
	if n > mostCells {
		return nil, fmt.Errorf("flow: %d cells; %d at most", n, mostCells)
	}
	p := &Pipe{gas: g, n: n, dx: s.Length / float64(n)}
	for _, a := range []*[]float64{&p.area, &p.volume, &p.grow, &p.spread, &p.rub, &p.warm, &p.wall, &p.rho, &p.mom, &p.ene, &p.m1, &p.m2, &p.u, &p.p, &p.in, &p.y1, &p.y2, &p.c, &p.t, &p.rc2, &p.mid} {
		*a = make([]float64, n+2)
	}
	p.left, p.right, p.flux = make([]sides, n+2), make([]sides, n+2), make([]fluxes, n+1)
	for i := range n + 1 {
		d := s.Diameter(float64(i) * p.dx)
		if !(d > 0) {
			return nil, fmt.Errorf("flow: a diameter of %g m", d)
		}
		p.area[i] = math.Pi / 4 * d * d
	}
	for i := 1; i <= n; i++ {
		a, b := p.area[i-1], p.area[i]
		p.volume[i] = (a + b + math.Sqrt(a*b)) / 3 * p.dx // frustum
		p.grow[i] = b - a
		p.spread[i] = (b - a) / p.volume[i]
		d := math.Sqrt(4 / math.Pi * p.volume[i] / p.dx)
		p.rub[i] = 2 * s.Friction / d
		p.warm[i] = p.rub[i] * prandtl * s.Heat
		if s.Wall != nil {
			p.wall[i] = s.Wall((float64(i) - 0.5) * p.dx)
		}
		at := s.Start((float64(i) - 0.5) * p.dx)
		rho := at.Pressure / (g.R(at.Y1, at.Y2) * at.Temperature)
		e, _ := g.EnergyAt(at.Temperature, at.Y1, at.Y2)
		p.rho[i], p.mom[i], p.m1[i], p.m2[i] = rho, rho*at.Velocity, rho*at.Y1, rho*at.Y2
		p.ene[i] = rho * (e + at.Velocity*at.Velocity/2)
		p.t[i] = at.Temperature
	}
	p.primitives(1, n)
	for _, s := range []Side{Near, Far} {
		i := p.last(s)
		p.ends[s].face = sides{p.rho[i], p.u[i], p.p[i], p.in[i], p.y1[i], p.y2[i]}
	}
	return p, nil
}

// last is the cell at an end.
func (p *Pipe) last(s Side) int {
	if s == Near {
		return 1
	}
	return p.n
}

// Cells is how many the pipe has.
func (p *Pipe) Cells() int { return p.n }

// Cell is how long one is [m].
func (p *Pipe) Cell() float64 { return p.dx }

// At is the state of a cell, counted from 0.
func (p *Pipe) At(i int) State {
	return State{p.p[i+1], p.t[i+1], p.u[i+1], p.y1[i+1], p.y2[i+1]}
}

// EndArea is the area of an end [m2].
func (p *Pipe) EndArea(s Side) float64 {
	if s == Near {
		return p.area[0]
	}
	return p.area[p.n]
}

// Into is what flowed into the pipe through an end in the last step: mass [kg], energy [J], masses of the second and
// third gas [kg].
func (p *Pipe) Into(s Side) (mass, energy, m1, m2 float64) {
	f := &p.ends[s].through
	return f.mass, f.ene, f.m1, f.m2
}

// Content is what the pipe holds: mass [kg], energy [J], masses of the second and third gas [kg].
func (p *Pipe) Content() (mass, energy, m1, m2 float64) {
	for i := 1; i <= p.n; i++ {
		v := p.volume[i]
		mass += p.rho[i] * v
		energy += p.ene[i] * v
		m1 += p.m1[i] * v
		m2 += p.m2[i] * v
	}
	return mass, energy, m1, m2
}

// LongestStep is the longest time step [s] for a Courant number.
func (p *Pipe) LongestStep(courant float64) float64 {
	fastest := 0.0
	u, c := p.u[1:p.n+1], p.c[1:p.n+1]
	for i := range u {
		v := u[i]
		if v < 0 {
			v = -v
		}
		if v += c[i]; v > fastest {
			fastest = v
		}
	}
	return courant * p.dx / fastest
}

// primitives works out velocity, pressure and the like of cells from what is conserved. Temperatures of before tell
// where to look.
func (p *Pipe) primitives(first, last int) {
	g := p.gas
	rho, mom, ene, m1, m2 := p.rho[first:last+1], p.mom[first:last+1], p.ene[first:last+1], p.m1[first:last+1], p.m2[first:last+1]
	u, pr, in, y1, y2, c, t, rc2 := p.u[first:last+1], p.p[first:last+1], p.in[first:last+1], p.y1[first:last+1], p.y2[first:last+1], p.c[first:last+1], p.t[first:last+1], p.rc2[first:last+1]
	r0, r1, r2 := g.Constant[0], g.Constant[1]-g.Constant[0], g.Constant[2]-g.Constant[0]
	for i := range rho {
		inverse := 1 / rho[i]
		v := mom[i] * inverse
		a, b := m1[i]*inverse, m2[i]*inverse
		inner := ene[i] - 0.5*mom[i]*v
		temperature, cv := g.TemperatureOf(inner*inverse, a, b, t[i])
		r := r0 + a*r1 + b*r2
		press := rho[i] * r * temperature
		stiff := press * (1 + r/cv)
		u[i], pr[i], in[i], y1[i], y2[i], t[i] = v, press, inner, a, b, temperature
		rc2[i] = stiff
		c[i] = math.Sqrt(stiff * inverse)
	}
}

// vanLeer is the limited slope of two differences.
func vanLeer(a, b float64) float64 {
	if ab := a * b; ab > 0 {
		return 2 * ab / (a + b)
	}
	return 0
}

// leastGhost keeps the state beyond an end above zero, and so the slope in the last cell [-].
const leastGhost = 0.1

// reconstruct finds the states at both faces of each cell half a step on. The ends must have been solved once before.
func (p *Pipe) reconstruct(dt float64) {
	n := p.n
	for _, s := range []Side{Near, Far} { // the end's own state, reflected about its face
		i, g := 1, 0
		if s == Far {
			i, g = n, n+1
		}
		f := &p.ends[s].face
		p.rho[g], p.u[g], p.p[g], p.in[g], p.y1[g], p.y2[g] = 2*f.rho-p.rho[i], 2*f.u-p.u[i], 2*f.p-p.p[i], 2*f.in-p.in[i], 2*f.y1-p.y1[i], 2*f.y2-p.y2[i]
		p.rho[g], p.p[g] = math.Max(p.rho[g], leastGhost*p.rho[i]), math.Max(p.p[g], leastGhost*p.p[i])
	}
	k := 0.5 * dt / p.dx
	half := 0.5 * dt
	rho, u, pr, in, y1, y2 := p.rho[:n+2], p.u[:n+2], p.p[:n+2], p.in[:n+2], p.y1[:n+2], p.y2[:n+2]
	rc2, spread, left, right, mid := p.rc2[:n+2], p.spread[:n+2], p.left[:n+2], p.right[:n+2], p.mid[:n+2]
	for i := 1; i <= n; i++ {
		r, v, q, e, a, b := rho[i], u[i], pr[i], in[i], y1[i], y2[i]
		sr := vanLeer(r-rho[i-1], rho[i+1]-r)
		sv := vanLeer(v-u[i-1], u[i+1]-v)
		sq := vanLeer(q-pr[i-1], pr[i+1]-q)
		se := vanLeer(e-in[i-1], in[i+1]-e)
		sa := vanLeer(a-y1[i-1], y1[i+1]-a)
		sb := vanLeer(b-y2[i-1], y2[i+1]-b)
		g := half * v * spread[i]
		dr := r - k*(v*sr+r*sv) - g*r
		dv := v - k*(v*sv+sq/r)
		dq := q - k*(v*sq+rc2[i]*sv) - g*rc2[i]
		de := e - k*(v*se+(e+q)*sv) - g*(e+q)
		da := a - k*v*sa
		db := b - k*v*sb
		if dr < math.Abs(sr) || dq < math.Abs(sq) { // near a vacuum the slopes are left out: no face falls below half its cell
			sr, sv, sq, se, sa, sb = 0, 0, 0, 0, 0, 0
			dr, dv, dq, de, da, db = r, v, q, e, a, b
		}
		left[i] = sides{dr - 0.5*sr, dv - 0.5*sv, dq - 0.5*sq, de - 0.5*se, da - 0.5*sa, db - 0.5*sb}
		right[i] = sides{dr + 0.5*sr, dv + 0.5*sv, dq + 0.5*sq, de + 0.5*se, da + 0.5*sa, db + 0.5*sb}
		mid[i] = dq
	}
}

// inner finds the fluxes through the faces inside the pipe: HLLC, wave speeds from the cells.
func (p *Pipe) inner() {
	n := p.n
	left, right, flux := p.left[:n+2], p.right[:n+2], p.flux[:n+1]
	u, c := p.u[:n+2], p.c[:n+2]
	for i := 1; i < n; i++ {
		l, r := &right[i], &left[i+1]
		sl, sr := u[i]-c[i], u[i]+c[i]
		if other := u[i+1] - c[i+1]; other < sl {
			sl = other
		}
		if other := u[i+1] + c[i+1]; other > sr {
			sr = other
		}
		ml, mr := l.rho*(sl-l.u), r.rho*(sr-r.u)
		star := (r.p - l.p + l.u*ml - r.u*mr) / (ml - mr)
		from, s, m := l, sl, ml
		if star < 0 {
			from, s, m = r, sr, mr
		}
		f := &flux[i]
		energy := from.in + 0.5*from.rho*from.u*from.u
		mass := from.rho * from.u
		f.mass, f.mom, f.ene = mass, mass*from.u+from.p, (energy+from.p)*from.u
		if (star >= 0 && sl < 0) || (star < 0 && sr > 0) {
			rs := m / (s - star)
			f.mass += s * (rs - from.rho)
			f.mom += s * (rs*star - mass)
			f.ene += s * (rs*(energy/from.rho+(star-from.u)*(star+from.p/m)) - energy)
		}
		f.m1, f.m2 = f.mass*from.y1, f.mass*from.y2
	}
}

// Advance takes the pipe one time step on [s]. The ends must have been solved for this step. It gives ErrFlow when a
// cell has lost its pressure.
func (p *Pipe) Advance(dt float64) error {
	p.inner()
	n := p.n
	p.flux[0], p.flux[n] = p.ends[Near].flux, p.ends[Far].flux
	p.count(Near, dt, 1)
	p.count(Far, dt, -1)
	area, volume, grow, flux, mid := p.area[:n+1], p.volume[:n+2], p.grow[:n+2], p.flux[:n+1], p.mid[:n+2]
	rho, mom, ene, m1, m2 := p.rho[:n+2], p.mom[:n+2], p.ene[:n+2], p.m1[:n+2], p.m2[:n+2]
	u, c, t, rub, warm, wall := p.u[:n+2], p.c[:n+2], p.t[:n+2], p.rub[:n+2], p.warm[:n+2], p.wall[:n+2]
	heat := 0.0
	for i := 1; i <= n; i++ {
		a, b := area[i-1], area[i]
		f, g := &flux[i-1], &flux[i]
		k := dt / volume[i]
		speed := u[i]
		if speed < 0 {
			speed = -speed
		}
		// cp T - cp Twall, cp = c^2/(T (ratio - 1)) with a ratio of 1.38 in the film: the coefficient is good to a
		// fifth anyway.
		q := dt * warm[i] * rho[i] * speed * (filmHeat * c[i] * c[i] / t[i]) * (wall[i] - t[i])
		rho[i] += k * (f.mass*a - g.mass*b)
		mom[i] = (mom[i] + k*(f.mom*a-g.mom*b+mid[i]*grow[i])) / (1 + dt*rub[i]*speed)
		ene[i] += k*(f.ene*a-g.ene*b) + q
		m1[i] += k * (f.m1*a - g.m1*b)
		m2[i] += k * (f.m2*a - g.m2*b)
		heat += q * volume[i]
	}
	p.Heated += heat
	p.primitives(1, n)
	for i := 1; i <= n; i++ {
		if !(p.p[i] > 0) {
			return fmt.Errorf("%w: cell %d of %d has a pressure of %g Pa", ErrFlow, i, n, p.p[i])
		}
	}
	return nil
}

// count keeps what flows in through an end in this step.
func (p *Pipe) count(s Side, dt, sign float64) {
	e := &p.ends[s]
	k := sign * dt * p.EndArea(s)
	e.through = fluxes{k * e.flux.mass, k * e.flux.mom, k * e.flux.ene, k * e.flux.m1, k * e.flux.m2}
}

// filmHeat makes cp of c^2/T: ratio/((ratio-1)...) gives cp = c^2/(T (ratio - 1)), 1/0.38.
const filmHeat = 1 / 0.38
