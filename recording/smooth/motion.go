package smooth

import "math"

// Motion says how a machine moves along an axis, and how a receiver errs there: an acceleration that fades (Singer
// 1970), noise from fix to fix, and a wandering that fades (Gauss and Markov, first order).
type Motion struct {
	Accel float64 // [m/s2] standard deviation of the acceleration
	Fades float64 // [s] after which it is another one
	Noise float64 // [m] standard deviation from fix to fix
	Drift float64 // [m] standard deviation of the wandering
	Stays float64 // [s] after which that is another one
}

// axes of a state: place, speed, acceleration, wandering.
const axes = 4

// stride is what a motion does over a time: state = F state + what happens on the way, of covariance q.
type stride struct {
	dt, pa, va, aa, ww float64 // F: place by speed and by acceleration, speed by acceleration, what is left of acceleration and wandering
	q                  [3][3]float64
	qw                 float64
}

// over is a motion over a time [s]. Source: Singer, Estimating Optimal Tracking Filter Performance for Manned
// Maneuvering Targets, IEEE Trans. AES-6 (1970).
func (m *Motion) over(dt float64) stride {
	b := 1 / m.Fades
	s := stride{dt: dt, pa: response(dt, b), va: -math.Expm1(-b*dt) / b, aa: math.Exp(-b * dt), ww: math.Exp(-dt / m.Stays)}
	s.qw = -m.Drift * m.Drift * math.Expm1(-2*dt/m.Stays)
	rate := 2 * m.Accel * m.Accel * b
	if x := b * dt; x > 1 {
		e := math.Exp(-x)
		b2, b3, b4, b5 := b*b, b*b*b, b*b*b*b, b*b*b*b*b
		s.q[0][0] = rate / (2 * b5) * (1 - e*e + 2*x + 2*x*x*x/3 - 2*x*x - 4*x*e)
		s.q[0][1] = rate / (2 * b4) * (e*e + 1 - 2*e + 2*x*e - 2*x + x*x)
		s.q[0][2] = rate / (2 * b3) * (1 - e*e - 2*x*e)
		s.q[1][1] = rate / (2 * b3) * (4*e - 3 - e*e + 2*x)
		s.q[1][2] = rate / (2 * b2) * (e*e + 1 - 2*e)
		s.q[2][2] = rate / (2 * b) * (1 - e*e)
		s.q[1][0], s.q[2][0], s.q[2][1] = s.q[0][1], s.q[0][2], s.q[1][2]
		return s
	}
	// Of a short time the closed form is a small difference of large numbers. What happens at a time u before the end
	// goes on as (response, 1 - e^-bu over b, e^-bu): the integral of the products, after Gauss.
	for i, x := range gaussAt {
		for _, side := range [2]float64{-1, 1} {
			u := dt * (0.5 + side*x/2)
			g := [3]float64{response(u, b), -math.Expm1(-b*u) / b, math.Exp(-b * u)}
			w := rate * gaussWeight[i] * dt / 2
			for r := range g {
				for c := range g {
					s.q[r][c] += w * g[r] * g[c]
				}
			}
		}
	}
	return s
}

// Nodes and weights of Gauss and Legendre, order 6, one side.
var (
	gaussAt     = [3]float64{0.238619186083196908630501721681, 0.661209386466264513661399595020, 0.932469514203152027812301554494}
	gaussWeight = [3]float64{0.467913934572691047389870343990, 0.360761573048138607569833513838, 0.171324492379170345040296142173}
)

// response is the way that a unit of acceleration makes while it fades: (bt - 1 + e^-bt)/b2.
func response(t, b float64) float64 {
	if x := b * t; x < 0.02 {
		return t * t * (0.5 - x/6 + x*x/24 - x*x*x/120)
	}
	return (b*t + math.Expm1(-b*t)) / (b * b)
}

// strides keeps those that were worked out, for most are alike; to a tenth of a thousandth of a second.
type strides struct {
	m    *Motion
	kept map[int64]*stride
}

// Strides are the steps of a motion, each length worked out once.
func (m *Motion) Strides() *strides { return &strides{m, map[int64]*stride{}} }

func (k *strides) over(dt float64) *stride {
	key := int64(math.Round(dt * 1e4))
	s, ok := k.kept[key]
	if !ok {
		one := k.m.over(math.Max(0, float64(key)*1e-4))
		s = &one
		k.kept[key] = s
	}
	return s
}

// Of what is known before the first fix.
const (
	anywhere = 100.0 // [m]
	anyhow   = 30.0  // [m/s]
)

// start is the covariance of one axis before the first fix.
func (m *Motion) start() (p [axes][axes]float64) {
	p[0][0], p[1][1], p[2][2], p[3][3] = anywhere*anywhere, anyhow*anyhow, m.Accel*m.Accel, m.Drift*m.Drift
	return p
}

// predict takes the covariance of an axis over a stride.
func (s *stride) predict(p *[axes][axes]float64) {
	var f [axes][axes]float64
	for j := range axes {
		f[0][j] = p[0][j] + s.dt*p[1][j] + s.pa*p[2][j]
		f[1][j] = p[1][j] + s.va*p[2][j]
		f[2][j] = s.aa * p[2][j]
		f[3][j] = s.ww * p[3][j]
	}
	for i := range axes {
		a, b, c, d := f[i][0], f[i][1], f[i][2], f[i][3]
		p[i] = [axes]float64{a + s.dt*b + s.pa*c, b + s.va*c, s.aa * c, s.ww * d}
	}
	for i := range 3 {
		for j := range 3 {
			p[i][j] += s.q[i][j]
		}
	}
	p[3][3] += s.qw
}

// moved takes the means of an axis over a stride.
func (s *stride) moved(x *[axes]float64) {
	x[0] += s.dt*x[1] + s.pa*x[2]
	x[1] += s.va * x[2]
	x[2] *= s.aa
	x[3] *= s.ww
}

// Run is a stretch of fixes without a gap, one axis or two.
type Run struct {
	T     []float64   // [s]
	Along [][]float64 // [m] each axis; not numbers where nothing was logged
}

// settled is the share by which the covariance still moves when it is taken to have settled [-].
const settled = 1e-7

// Unlikely is minus twice the logarithm of the likelihood of a run, but for a constant, by the innovations of the
// filter. Axes are alike and independent, so they share their covariance; once that has settled, between fixes that are
// equally far apart, it is not worked out again. Sources: Kalman (1960); Schweppe, IEEE Trans. IT-11 (1965); Harvey,
// Forecasting, Structural Time Series Models and the Kalman Filter (1989), 3.4.
func (m *Motion) Unlikely(r *Run, keep *strides) float64 {
	sum := 0.0
	p := m.start()
	white := m.Noise * m.Noise
	x := make([][axes]float64, len(r.Along))
	last, calm := math.NaN(), false
	var s *stride
	var g [axes]float64
	var v, logV float64
	for k, t := range r.T {
		if math.IsNaN(r.Along[0][k]) {
			continue
		}
		if math.IsNaN(last) {
			for i := range x {
				x[i][0] = r.Along[i][k]
			}
		} else {
			next := keep.over(t - last)
			calm = calm && next == s
			s = next
			for i := range x {
				s.moved(&x[i])
			}
			if !calm {
				s.predict(&p)
			}
		}
		last = t
		if !calm {
			before := v
			var ph [axes]float64
			for i := range axes {
				ph[i] = p[i][0] + p[i][3]
			}
			v = ph[0] + ph[3] + white
			for i := range axes {
				g[i] = ph[i] / v
			}
			for i := range axes {
				for j := range axes {
					p[i][j] -= g[i] * ph[j]
				}
			}
			logV = math.Log(v)
			calm = s != nil && math.Abs(v-before) < settled*v
		}
		for i := range x {
			e := r.Along[i][k] - x[i][0] - x[i][3]
			sum += logV + e*e/v
			for j := range axes {
				x[i][j] += g[j] * e
			}
		}
	}
	return sum
}

// Bent is how sure the acceleration is in the middle of a ride of equal fixes, standard deviation [m/s2].
func (m *Motion) Bent(apart float64) float64 {
	n := min(400, max(10, int(8*m.Fades/apart)))
	list := make([]Epoch, 2*n+1)
	for i := range list {
		list[i] = Epoch{T: float64(i) * apart, Speed: math.NaN(), Placed: true}
	}
	out, _ := m.Smooth(list, 0, nil)
	return math.Sqrt(math.Max(0, out[n].P[EastAccel][EastAccel]))
}

// Turns is the curvature of a state [1/m], and the slopes by which speeds and accelerations move it.
func (s *State) Turns() (k float64, by State) {
	vx, vy, ax, ay := s[EastSpeed], s[NorthSpeed], s[EastAccel], s[NorthAccel]
	v2 := vx*vx + vy*vy
	v := math.Sqrt(v2)
	if v < 0.1 {
		return 0, by
	}
	c := vx*ay - vy*ax
	v3 := v2 * v
	by[EastSpeed], by[NorthSpeed] = ay/v3-3*c*vx/(v3*v2), -ax/v3-3*c*vy/(v3*v2)
	by[EastAccel], by[NorthAccel] = -vy/v3, vx/v3
	return c / v3, by
}

// Speed of a state [m/s], and how it grows [m/s2].
func (s *State) Speed() (v, grows float64) {
	v = math.Hypot(s[EastSpeed], s[NorthSpeed])
	if v > 0 {
		grows = (s[EastSpeed]*s[EastAccel] + s[NorthSpeed]*s[NorthAccel]) / v
	}
	return v, grows
}
