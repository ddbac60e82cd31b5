package lap

import (
	"fmt"
	"math"
	"slices"
)

// Recorded says how a course was made of a ride.
type Recorded struct {
	Closed bool    // it ends where it began
	Gap    float64 // [m] between end and start
	Noise  float64 // [m] by which the places scatter about the smooth line
	Unsure float64 // [1/m] standard uncertainty of the curvature, the middle one of all steps
}

// Smooths is how far to either side a place of a ride is smoothed unless said [m].
const Smooths = 12.0

// Of a course from a ride.
const (
	closes   = 25.0 // [m] from the start at which a lap is closed
	steepest = 0.5  // [-] slope that is believed
	sectors  = 10   // into which it is told
)

// NewRecordedCourse makes a course of the places of a ride, metres east, north and up, in order: at each step a parabola is laid through
// the places within so much to either side [m], along and across; slope over twice as far. Where the ride ends as it began, the smoothing goes
// on through the line. The error is ErrCourse. Source: local least squares, as Savitzky and Golay (1964), at unequal distances.
func NewRecordedCourse(x, y, z []float64, about, smooths float64) (*Course, *Recorded, error) {
	if len(x) < 3 || len(y) != len(x) || len(z) != len(x) || !(about > 0 && smooths > 0) {
		return nil, nil, fmt.Errorf("%w: %d places in steps of %g m", ErrCourse, len(x), about)
	}
	way := make([]float64, len(x))
	for i := 1; i < len(x); i++ {
		way[i] = way[i-1] + math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
	}
	length := way[len(way)-1]
	r := &Recorded{Gap: math.Hypot(x[len(x)-1]-x[0], y[len(y)-1]-y[0])}
	r.Closed = r.Gap <= closes && length > 4*closes
	if !(length > 2*smooths) {
		return nil, nil, fmt.Errorf("%w: the ride is %.3g m long", ErrCourse, length)
	}
	n := max(2, int(math.Ceil(length/about)))
	if n > mostStep {
		return nil, nil, fmt.Errorf("%w: %.0f km; %d steps at most, take one lap of it", ErrCourse, length/1000, mostStep)
	}
	if r.Closed {
		x, y, z, way = wrapped(x, y, z, way, 2*smooths)
	}
	c := &Course{length: length}
	for i := range sectors {
		c.Names = append(c.Names, fmt.Sprintf("%.0f to %.0f m", length*float64(i)/sectors, length*float64(i+1)/sectors))
	}
	ds := length / float64(n)
	from := 0
	scatter, scattered := 0.0, 0
	var gains []float64
	for i := range n {
		s := ds * (float64(i) + 0.5)
		fx, fy, fz := fit{}, fit{}, fit{}
		for from < len(way)-1 && way[from] < s-2*smooths {
			from++
		}
		for k := from; k < len(way) && way[k] <= s+2*smooths; k++ {
			d := way[k] - s
			fz.add(d/(2*smooths), z[k])
			if math.Abs(d) <= smooths {
				fx.add(d/smooths, x[k])
				fy.add(d/smooths, y[k])
			}
		}
		if fx.n < 4 { // few places: as far as the third nearest on either side
			fx, fy = fit{}, fit{}
			nearest := from
			for nearest < len(way)-1 && way[nearest] < s {
				nearest++
			}
			for k := max(0, nearest-3); k <= min(len(way)-1, nearest+2); k++ {
				d := way[k] - s
				fx.add(d/smooths, x[k])
				fy.add(d/smooths, y[k])
			}
		}
		x0, x1, x2, ok1 := fx.parabola()
		y0, y1, y2, ok2 := fy.parabola()
		k := 0.0
		if speed := math.Hypot(x1, y1); ok1 && ok2 && speed > 0 {
			k = math.Max(-1/tightest, math.Min(1/tightest, (x1*y2-y1*x2)/(speed*speed*speed)))
		}
		_, z1, _, ok := fz.parabola()
		slope := 0.0
		if ok {
			slope = math.Max(-steepest, math.Min(steepest, z1/(2*smooths)))
		}
		scatter += fx.left() + fy.left()
		scattered += 2 * max(0, fx.n-3)
		gains = append(gains, fx.curveGain())
		c.step, c.curvature, c.bank, c.slope = append(c.step, ds), append(c.curvature, k), append(c.bank, 0), append(c.slope, math.Atan(slope))
		c.bend = append(c.bend, 0)
		if !ok1 || !ok2 { // as far as they were logged
			nearest := min(from, len(x)-1)
			x0, y0 = x[nearest], y[nearest]
		}
		c.places = append(c.places, Place{x0, y0, min(sectors-1, int(s/length*sectors))})
		c.section, c.pitch, c.height, c.jump = append(c.section, min(sectors-1, int(s/length*sectors))), append(c.pitch, 0), append(c.height, 0), append(c.jump, nil)
	}
	end := c.places[n-1]
	if r.Closed {
		end.X, end.Y = c.places[0].X, c.places[0].Y
	}
	c.places = append(c.places, end)
	if scattered > 0 {
		r.Noise = math.Sqrt(scatter / float64(scattered))
	}
	c.sharpen()
	slices.Sort(gains)
	r.Unsure = gains[len(gains)/2] * r.Noise / (smooths * smooths)
	return c, r, nil
}

// wrapped puts the last places of a lap before its first and the first after its last, as far as so much of the way [m], moved so that
// end and start meet.
func wrapped(x, y, z, way []float64, far float64) (x2, y2, z2, way2 []float64) {
	n := len(x) - 1
	length := way[n]
	dx, dy, dz := x[0]-x[n], y[0]-y[n], z[0]-z[n]
	for k := range n {
		if way[k] >= length-far {
			x2, y2, z2, way2 = append(x2, x[k]+dx), append(y2, y[k]+dy), append(z2, z[k]+dz), append(way2, way[k]-length)
		}
	}
	x2, y2, z2, way2 = append(x2, x...), append(y2, y...), append(z2, z...), append(way2, way...)
	for k := 1; k <= n && way[k] <= far; k++ {
		x2, y2, z2, way2 = append(x2, x[k]-dx), append(y2, y[k]-dy), append(z2, z[k]-dz), append(way2, way[k]+length)
	}
	return x2, y2, z2, way2
}

// fit gathers sums for a parabola through points by least squares.
type fit struct {
	n       int
	s       [5]float64 // sums of the powers of u
	v       [3]float64 // sums of value x power of u
	squares float64    // sum of the values' squares about the first
	first   float64
}

// add takes in a value at u.
func (f *fit) add(u, value float64) {
	if f.n == 0 {
		f.first = value
	}
	value -= f.first
	f.n++
	power := 1.0
	for i := range f.s {
		f.s[i] += power
		if i < len(f.v) {
			f.v[i] += value * power
		}
		power *= u
	}
	f.squares += value * value
}

// solve gives the coefficients and the determinant; false with too few points.
func (f *fit) solve() (a [3]float64, det float64, ok bool) {
	s0, s1, s2, s3, s4 := f.s[0], f.s[1], f.s[2], f.s[3], f.s[4]
	det = s0*(s2*s4-s3*s3) - s1*(s1*s4-s2*s3) + s2*(s1*s3-s2*s2)
	if f.n < 3 || !(math.Abs(det) > 1e-12) {
		return a, det, false
	}
	v0, v1, v2 := f.v[0], f.v[1], f.v[2]
	a[0] = (v0*(s2*s4-s3*s3) - s1*(v1*s4-v2*s3) + s2*(v1*s3-v2*s2)) / det
	a[1] = (s0*(v1*s4-v2*s3) - v0*(s1*s4-s2*s3) + s2*(s1*v2-s2*v1)) / det
	a[2] = (s0*(s2*v2-s3*v1) - s1*(s1*v2-s2*v1) + v0*(s1*s3-s2*s2)) / det
	return a, det, true
}

// parabola gives the value, first and second derivative at u = 0.
func (f *fit) parabola() (value, first, second float64, ok bool) {
	a, _, ok := f.solve()
	return f.first + a[0], a[1], 2 * a[2], ok
}

// left is the sum of squares that the parabola leaves.
func (f *fit) left() float64 {
	a, _, ok := f.solve()
	if !ok {
		return 0
	}
	return math.Max(0, f.squares-a[0]*f.v[0]-a[1]*f.v[1]-a[2]*f.v[2])
}

// curveGain is the standard uncertainty of the second derivative for one of the values.
func (f *fit) curveGain() float64 {
	_, det, ok := f.solve()
	if !ok {
		return 0
	}
	return 2 * math.Sqrt(math.Max(0, (f.s[0]*f.s[2]-f.s[1]*f.s[1])/det))
}
