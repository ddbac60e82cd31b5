package smooth

import (
	"math"
	"math/rand/v2"
)

// Both is the length of the state of two axes together: place, speed, acceleration and wandering east, then north.
const Both = 2 * axes

type (
	// State is places, speeds and accelerations along both axes [m], [m/s], [m/s2].
	State [Both]float64
	// Square is how sure a state is: the covariance of its numbers.
	Square [Both][Both]float64
)

// Where in a state what stands.
const (
	East, EastSpeed, EastAccel, EastDrift     = 0, 1, 2, 3
	North, NorthSpeed, NorthAccel, NorthDrift = 4, 5, 6, 7
)

// Epoch is a time for which the state is wanted, with what was logged then.
type Epoch struct {
	T      float64 // [s]
	X, Y   float64 // [m] not numbers where none was logged
	Speed  float64 // [m/s] not a number where none was logged, or is not used
	Unsure float64 // [m/s] standard deviation of the speed
	Dx, Dy float64 // [-] direction in which the speed counts; both nought for a machine that stands
	Placed bool    // a place was logged
}

// Smoothed is a state and its covariance, of all that was logged before and after.
type Smoothed struct {
	M State
	P Square
}

// passed is what the filter leaves at an epoch for the way back.
type passed struct {
	m, ahead State  // the state from what was logged until then, and what it says of the next epoch
	p, next  Square // their covariances
	back     Square // gain of the way back
}

// tied is how many of the states hang together: those of one axis, or all where speeds tie the axes to each other.
type tied int

// update takes in z = h state + noise of a variance.
func (p *Square) update(m *State, h *State, z, variance float64, span tied) {
	from, to := 0, Both
	if int(span) == axes {
		if h[North] == 0 {
			to = axes
		} else {
			from = axes
		}
	}
	var ph State
	v, e := variance, z
	for i := from; i < to; i++ {
		for j := from; j < to; j++ {
			ph[i] += p[i][j] * h[j]
		}
		v += h[i] * ph[i]
		e -= h[i] * m[i]
	}
	for i := from; i < to; i++ {
		g := ph[i] / v
		m[i] += g * e
		for j := from; j < to; j++ {
			p[i][j] -= g * ph[j]
		}
	}
}

// pushed is F P.
func (s *stride) pushed(p *Square) (f Square) {
	for o := 0; o < Both; o += axes {
		for j := range Both {
			f[o][j] = p[o][j] + s.dt*p[o+1][j] + s.pa*p[o+2][j]
			f[o+1][j] = p[o+1][j] + s.va*p[o+2][j]
			f[o+2][j] = s.aa * p[o+2][j]
			f[o+3][j] = s.ww * p[o+3][j]
		}
	}
	return f
}

// on takes a state and its covariance over a stride, and gives the gain of the way back, P F' (F P F' + Q)^-1.
func (s *stride) on(m *State, p *Square, span tied) (back Square) {
	f := s.pushed(p)
	var out Square
	for i := range Both {
		for o := 0; o < Both; o += axes {
			a, b, c, d := f[i][o], f[i][o+1], f[i][o+2], f[i][o+3]
			out[i][o], out[i][o+1], out[i][o+2], out[i][o+3] = a+s.dt*b+s.pa*c, b+s.va*c, s.aa*c, s.ww*d
		}
	}
	for o := 0; o < Both; o += axes {
		for i := range 3 {
			for j := range 3 {
				out[o+i][o+j] += s.q[i][j]
			}
		}
		out[o+3][o+3] += s.qw
		m[o] += s.dt*m[o+1] + s.pa*m[o+2]
		m[o+1] += s.va * m[o+2]
		m[o+2] *= s.aa
		m[o+3] *= s.ww
	}
	*p = out
	l := p.root(span)
	for j := range Both {
		var y State
		from := j / int(span) * int(span)
		to := from + int(span)
		for i := from; i < to; i++ {
			if l[i][i] > 0 {
				v := f[i][j]
				for k := from; k < i; k++ {
					v -= l[i][k] * y[k]
				}
				y[i] = v / l[i][i]
			}
		}
		for i := to - 1; i >= from; i-- {
			if l[i][i] > 0 {
				v := y[i]
				for k := i + 1; k < to; k++ {
					v -= l[k][i] * back[j][k]
				}
				back[j][i] = v / l[i][i]
			}
		}
	}
	return back
}

// root is the lower triangle whose square a covariance is, after Cholesky; where nothing is left of a variance it is
// nought.
func (p *Square) root(span tied) (l Square) {
	for j := range Both {
		from := j / int(span) * int(span)
		d := p[j][j]
		for k := from; k < j; k++ {
			d -= l[j][k] * l[j][k]
		}
		if !(d > 1e-13*p[j][j]) {
			continue
		}
		l[j][j] = math.Sqrt(d)
		for i := j + 1; i < from+int(span); i++ {
			v := p[i][j]
			for k := from; k < j; k++ {
				v -= l[i][k] * l[j][k]
			}
			l[i][j] = v / l[j][j]
		}
	}
	return l
}

// around is a + c b c'.
func (c *Square) around(a, b *Square, span tied) (out Square) {
	for i := range Both {
		from := i / int(span) * int(span)
		var cb State
		for k := from; k < from+int(span); k++ {
			f := c[i][k]
			for j := from; j < from+int(span); j++ {
				cb[j] += f * b[k][j]
			}
		}
		for j := from; j <= i; j++ {
			v := 0.0
			for k := from; k < from+int(span); k++ {
				v += cb[k] * c[j][k]
			}
			out[i][j] = a[i][j] + v
			out[j][i] = out[i][j]
		}
	}
	return out
}

// along adds c times the difference of two states to another.
func (c *Square) along(m, to, from *State, span tied) State {
	out := *m
	var d State
	for j := range Both {
		d[j] = to[j] - from[j]
	}
	for i := range Both {
		first := i / int(span) * int(span)
		for j := first; j < first+int(span); j++ {
			out[i] += c[i][j] * d[j]
		}
	}
	return out
}

// shaken is a draw about a mean.
func shaken(mean *State, l *Square, span tied, rnd *rand.Rand) State {
	var e State
	for i := range e {
		e[i] = rnd.NormFloat64()
	}
	out := *mean
	for i := range Both {
		for j := i / int(span) * int(span); j <= i; j++ {
			out[i] += l[i][j] * e[j]
		}
	}
	return out
}

// Smooth works out the state at every epoch from all that was logged, forwards with the filter of Kalman (1960) and
// backwards as Rauch, Tung and Striebel (AIAA Journal 3 (1965)) do, and draws so many ways that the machine may have
// gone, each from its end back (Carter and Kohn, Biometrika 81 (1994)). It must have an epoch with a place.
func (m *Motion) Smooth(list []Epoch, draws int, rnd *rand.Rand) (out []Smoothed, drawn [][]State) {
	n := len(list)
	keep := m.Strides()
	kept := make([]passed, n)
	var x State
	var p Square
	one := m.start()
	for i := range axes {
		for j := range axes {
			p[i][j], p[axes+i][axes+j] = one[i][j], one[i][j]
		}
	}
	for _, e := range list {
		if e.Placed {
			x[East], x[North] = e.X, e.Y
			break
		}
	}
	span := tied(axes)
	for _, e := range list {
		if !math.IsNaN(e.Speed) {
			span = Both
		}
	}
	white := m.Noise * m.Noise
	sees := [2]State{{East: 1, EastDrift: 1}, {North: 1, NorthDrift: 1}}
	for k := range list {
		e := &list[k]
		if e.Placed {
			p.update(&x, &sees[0], e.X, white, span)
			p.update(&x, &sees[1], e.Y, white, span)
		}
		if !math.IsNaN(e.Speed) {
			if e.Dx == 0 && e.Dy == 0 {
				p.update(&x, &State{EastSpeed: 1}, 0, e.Unsure*e.Unsure, span)
				p.update(&x, &State{NorthSpeed: 1}, 0, e.Unsure*e.Unsure, span)
			} else {
				p.update(&x, &State{EastSpeed: e.Dx, NorthSpeed: e.Dy}, e.Speed, e.Unsure*e.Unsure, span)
			}
		}
		q := &kept[k]
		q.m, q.p = x, p
		if k+1 < n {
			q.back = keep.over(list[k+1].T-e.T).on(&x, &p, span)
			q.ahead, q.next = x, p
		}
	}
	out = make([]Smoothed, n)
	out[n-1] = Smoothed{kept[n-1].m, kept[n-1].p}
	drawn = make([][]State, draws)
	for d := range drawn {
		drawn[d] = make([]State, n)
	}
	if draws > 0 {
		l := kept[n-1].p.root(span)
		for d := range drawn {
			drawn[d][n-1] = shaken(&kept[n-1].m, &l, span, rnd)
		}
	}
	for k := n - 2; k >= 0; k-- {
		q, after := &kept[k], &out[k+1]
		var more Square
		for i := range Both {
			for j := range Both {
				more[i][j] = after.P[i][j] - q.next[i][j]
			}
		}
		out[k] = Smoothed{q.back.along(&q.m, &after.M, &q.ahead, span), q.back.around(&q.p, &more, span)}
		if draws == 0 {
			continue
		}
		for i := range Both {
			for j := range Both {
				more[i][j] = -q.next[i][j]
			}
		}
		left := q.back.around(&q.p, &more, span)
		l := left.root(span)
		for d := range drawn {
			mean := q.back.along(&q.m, &drawn[d][k+1], &q.ahead, span)
			drawn[d][k] = shaken(&mean, &l, span, rnd)
		}
	}
	return out, drawn
}
