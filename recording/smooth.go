package recording

import (
	"math"
	"math/rand/v2"
)

// both is the length of the state of two axes together: place, speed, acceleration and wandering east, then north.
const both = 2 * axes

type (
	state  [both]float64
	square [both][both]float64
)

// Where in a state what stands.
const (
	east, eastSpeed, eastAccel, eastDrift     = 0, 1, 2, 3
	north, northSpeed, northAccel, northDrift = 4, 5, 6, 7
)

// epoch is a time for which the state is wanted, with what was logged then.
type epoch struct {
	t      float64 // [s]
	x, y   float64 // [m] not numbers where none was logged
	speed  float64 // [m/s] not a number where none was logged, or is not used
	unsure float64 // [m/s] standard deviation of the speed
	dx, dy float64 // direction in which the speed counts; both nought for a machine that stands
	placed bool    // a place was logged
}

// smoothed is a state and its covariance, of all that was logged before and after.
type smoothed struct {
	m state
	p square
}

// passed is what the filter leaves at an epoch for the way back.
type passed struct {
	m, ahead state  // the state from what was logged until then, and what it says of the next epoch
	p, next  square // their covariances
	back     square // gain of the way back
}

// tied is how many of the states hang together: those of one axis, or all where speeds tie the axes to each other.
type tied int

// update takes in z = h state + noise of a variance.
func (p *square) update(m *state, h *state, z, variance float64, span tied) {
	from, to := 0, both
	if int(span) == axes {
		if h[north] == 0 {
			to = axes
		} else {
			from = axes
		}
	}
	var ph state
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
func (s *stride) pushed(p *square) (f square) {
	for o := 0; o < both; o += axes {
		for j := range both {
			f[o][j] = p[o][j] + s.dt*p[o+1][j] + s.pa*p[o+2][j]
			f[o+1][j] = p[o+1][j] + s.va*p[o+2][j]
			f[o+2][j] = s.aa * p[o+2][j]
			f[o+3][j] = s.ww * p[o+3][j]
		}
	}
	return f
}

// on takes a state and its covariance over a stride, and gives the gain of the way back, P F' (F P F' + Q)^-1.
func (s *stride) on(m *state, p *square, span tied) (back square) {
	f := s.pushed(p)
	var out square
	for i := range both {
		for o := 0; o < both; o += axes {
			a, b, c, d := f[i][o], f[i][o+1], f[i][o+2], f[i][o+3]
			out[i][o], out[i][o+1], out[i][o+2], out[i][o+3] = a+s.dt*b+s.pa*c, b+s.va*c, s.aa*c, s.ww*d
		}
	}
	for o := 0; o < both; o += axes {
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
	for j := range both {
		var y state
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
func (p *square) root(span tied) (l square) {
	for j := range both {
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
func (c *square) around(a, b *square, span tied) (out square) {
	for i := range both {
		from := i / int(span) * int(span)
		var cb state
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
func (c *square) along(m, to, from *state, span tied) state {
	out := *m
	var d state
	for j := range both {
		d[j] = to[j] - from[j]
	}
	for i := range both {
		first := i / int(span) * int(span)
		for j := first; j < first+int(span); j++ {
			out[i] += c[i][j] * d[j]
		}
	}
	return out
}

// shaken is a draw about a mean.
func shaken(mean *state, l *square, span tied, rnd *rand.Rand) state {
	var e state
	for i := range e {
		e[i] = rnd.NormFloat64()
	}
	out := *mean
	for i := range both {
		for j := i / int(span) * int(span); j <= i; j++ {
			out[i] += l[i][j] * e[j]
		}
	}
	return out
}

// smooth works out the state at every epoch from all that was logged, forwards with the filter of Kalman (1960) and
// backwards as Rauch, Tung and Striebel (AIAA Journal 3 (1965)) do, and draws so many ways that the machine may have
// gone, each from its end back (Carter and Kohn, Biometrika 81 (1994)). It must have an epoch with a place.
func (m *motion) smooth(list []epoch, draws int, rnd *rand.Rand) (out []smoothed, drawn [][]state) {
	n := len(list)
	keep := m.strides()
	kept := make([]passed, n)
	var x state
	var p square
	one := m.start()
	for i := range axes {
		for j := range axes {
			p[i][j], p[axes+i][axes+j] = one[i][j], one[i][j]
		}
	}
	for _, e := range list {
		if e.placed {
			x[east], x[north] = e.x, e.y
			break
		}
	}
	span := tied(axes)
	for _, e := range list {
		if !math.IsNaN(e.speed) {
			span = both
		}
	}
	white := m.noise * m.noise
	sees := [2]state{{east: 1, eastDrift: 1}, {north: 1, northDrift: 1}}
	for k := range list {
		e := &list[k]
		if e.placed {
			p.update(&x, &sees[0], e.x, white, span)
			p.update(&x, &sees[1], e.y, white, span)
		}
		if !math.IsNaN(e.speed) {
			if e.dx == 0 && e.dy == 0 {
				p.update(&x, &state{eastSpeed: 1}, 0, e.unsure*e.unsure, span)
				p.update(&x, &state{northSpeed: 1}, 0, e.unsure*e.unsure, span)
			} else {
				p.update(&x, &state{eastSpeed: e.dx, northSpeed: e.dy}, e.speed, e.unsure*e.unsure, span)
			}
		}
		q := &kept[k]
		q.m, q.p = x, p
		if k+1 < n {
			q.back = keep.over(list[k+1].t-e.t).on(&x, &p, span)
			q.ahead, q.next = x, p
		}
	}
	out = make([]smoothed, n)
	out[n-1] = smoothed{kept[n-1].m, kept[n-1].p}
	drawn = make([][]state, draws)
	for d := range drawn {
		drawn[d] = make([]state, n)
	}
	if draws > 0 {
		l := kept[n-1].p.root(span)
		for d := range drawn {
			drawn[d][n-1] = shaken(&kept[n-1].m, &l, span, rnd)
		}
	}
	for k := n - 2; k >= 0; k-- {
		q, after := &kept[k], &out[k+1]
		var more square
		for i := range both {
			for j := range both {
				more[i][j] = after.p[i][j] - q.next[i][j]
			}
		}
		out[k] = smoothed{q.back.along(&q.m, &after.m, &q.ahead, span), q.back.around(&q.p, &more, span)}
		if draws == 0 {
			continue
		}
		for i := range both {
			for j := range both {
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
