package recording

import (
	"math"
	"math/rand/v2"
	"slices"
)

// bit is a piece of an invented course: so long, so curved.
type bit struct{ length, curve float64 }

// ovalTrack is two straights of 160 m and two half circles of 30 m: 508.5 m.
func ovalTrack() []bit {
	return []bit{{160, 0}, {math.Pi * 30, 1. / 30}, {160, 0}, {math.Pi * 30, 1. / 30}}
}

// eightTrack is two circles of 20 m, 70 m apart, and the tangents that cross between them.
func eightTrack() []bit {
	const r, d = 20.0, 70.0
	arc := (2*math.Pi - 2*math.Acos(2*r/d)) * r
	tangent := 2 * math.Sqrt(d*d/4-r*r)
	return []bit{{tangent, 0}, {arc, 1 / r}, {tangent, 0}, {arc, -1 / r}}
}

// hairpinTrack is six straights of 60 m, side by side, five hairpins of 6 m between them, and a way back.
func hairpinTrack() []bit {
	const r = 6.0
	var list []bit
	for i := range 6 {
		list = append(list, bit{60, 0})
		if i < 5 {
			k := 1 / r
			if i%2 == 1 {
				k = -k
			}
			list = append(list, bit{math.Pi * r, k})
		}
	}
	return append(list, bit{4 * math.Pi, 1. / 8}, bit{44, 0}, bit{4 * math.Pi, 1. / 8})
}

// truth is a course as it is ridden.
type truth struct {
	length     float64
	ds         float64
	x, y, h, k []float64 // at every step: place, heading, curvature
	v, t       []float64 // speed, clock
	period     float64
}

// ridden is a course at the pace that corners of 5 m/s2 allow, 3 m/s2 in driving and 5 in braking.
func ridden(list []bit, top float64) *truth {
	tr := &truth{ds: 0.05}
	for _, p := range list {
		tr.length += p.length
	}
	n := int(math.Round(tr.length / tr.ds))
	tr.ds = tr.length / float64(n)
	x, y, h := 0.0, 0.0, 0.0
	at, left := 0, list[0].length
	for range n {
		tr.x, tr.y, tr.h, tr.k = append(tr.x, x), append(tr.y, y), append(tr.h, h), append(tr.k, list[at].curve)
		for rest := tr.ds; rest > 1e-12; {
			d := math.Min(rest, left)
			k := list[at].curve
			x += d * math.Cos(h+k*d/2)
			y += d * math.Sin(h+k*d/2)
			h += k * d
			rest -= d
			if left -= d; left < 1e-9 {
				if at+1 == len(list) {
					break
				}
				at++
				left = list[at].length
			}
		}
	}
	for _, k := range tr.k {
		tr.v = append(tr.v, math.Min(top, math.Sqrt(5/math.Max(1e-9, math.Abs(k)))))
	}
	for range 2 {
		for i := range n {
			j := (i + 1) % n
			tr.v[j] = math.Min(tr.v[j], math.Sqrt(tr.v[i]*tr.v[i]+2*3*tr.ds))
		}
		for i := n - 1; i >= 0; i-- {
			j := (i + 1) % n
			tr.v[i] = math.Min(tr.v[i], math.Sqrt(tr.v[j]*tr.v[j]+2*5*tr.ds))
		}
	}
	for i := range n {
		tr.t = append(tr.t, tr.period)
		tr.period += tr.ds / tr.v[i]
	}
	return tr
}

// slope is that of the ground where it is at a time [s].
func (tr *truth) slope(t float64) float64 {
	x, y, _, _ := tr.at(t)
	u := math.Mod(t, tr.period)
	i, _ := slices.BinarySearch(tr.t, u)
	h := tr.h[max(0, i-1)]
	_, east, north := ground(x, y)
	return east*math.Cos(h) + north*math.Sin(h)
}

// at is where it is at a time [s].
func (tr *truth) at(t float64) (x, y, v, k float64) {
	u := math.Mod(t, tr.period)
	i, _ := slices.BinarySearch(tr.t, u)
	i = max(0, i-1)
	f := (u - tr.t[i]) * tr.v[i]
	return tr.x[i] + f*math.Cos(tr.h[i]), tr.y[i] + f*math.Sin(tr.h[i]), tr.v[i], tr.k[i]
}

// ground is the height of an invented place [m], and how it rises east and north [-].
func ground(x, y float64) (z, east, north float64) {
	return 500 + 3*math.Sin(x/40) + 2*math.Cos(y/30), 3. / 40 * math.Cos(x/40), -2. / 30 * math.Sin(y/30)
}

// receiver is how one errs; in height by half as much more.
type receiver struct {
	rate  float64 // [Hz]
	white float64 // [m] from fix to fix
	drift float64 // [m] wandering
	stays float64 // [s] after which that is another one
	speed float64 // [m/s] noise of the logged speed; not logged when 0
}

// fixAt is a place near an invented one, metres east and north of it.
func fixAt(x, y float64) Fix {
	const lat, lon = 47.0, 9.0
	along, across := radii(lat)
	return Fix{Lat: lat + y/along*180/math.Pi, Lon: lon + x/(across*math.Cos(lat*math.Pi/180))*180/math.Pi, Height: unknown, Time: unknown, Speed: unknown}
}

// log is what a receiver writes of so many laps, from some way into the first on.
func (tr *truth) log(g receiver, laps, from float64, rnd *rand.Rand) *Log {
	l := &Log{}
	wx, wy, wz := g.drift*rnd.NormFloat64(), g.drift*rnd.NormFloat64(), 1.5*g.drift*rnd.NormFloat64()
	a := 0.0
	if g.drift > 0 {
		a = math.Exp(-1 / g.rate / g.stays)
	}
	for k := 0; float64(k)/g.rate < laps*tr.period; k++ {
		now := float64(k) / g.rate
		x, y, v, _ := tr.at(now + from)
		wx = a*wx + g.drift*math.Sqrt(1-a*a)*rnd.NormFloat64()
		wy = a*wy + g.drift*math.Sqrt(1-a*a)*rnd.NormFloat64()
		wz = a*wz + 1.5*g.drift*math.Sqrt(1-a*a)*rnd.NormFloat64()
		f := fixAt(x+wx+g.white*rnd.NormFloat64(), y+wy+g.white*rnd.NormFloat64())
		f.Time = now
		z, _, _ := ground(x, y)
		f.Height = z + wz + 1.5*g.white*rnd.NormFloat64()
		if g.speed > 0 {
			f.Speed = math.Max(0, v+g.speed*rnd.NormFloat64())
		}
		l.Fixes = append(l.Fixes, f)
	}
	return l
}
