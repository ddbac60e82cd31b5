package recording

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

	"shakedown/recording/smooth"
)

// Line is what was ridden, smoothed: a lap, or the whole way of a ride that never comes back. Its numbers stand for the
// middle of each of its steps, which are equally long.
type Line struct {
	Length    float64   // [m] as seen from above
	Low, High float64   // [m] the length lies between them with 95 %
	Closed    bool      // it is a lap
	X, Y      []float64 // [m] east and north
	Curvature []float64 // [1/m] to the left above zero
	Unsure    []float64 // [1/m] standard uncertainty of the curvature
	Slope     []float64 // [-] rise over way
	Steep     []float64 // [-] standard uncertainty of the slope
	Clock     []float64 // [s] from the start of the line; none without times
	Speed     []float64 // [m/s] ridden; none without times
	Drawn     []Drawn   // other lines that would fit the recording as well
	Laps      []Lap     // of the ride, in order
	Taken     float64   // [s] that the line took; not a number without times
	Scatter   float64   // [m] of the receiver from fix to fix, standard deviation
	Wander    float64   // [m] of the receiver within some time
	Within    float64   // [s] that time
	Heights   bool      // they were logged
	Notes     []string  // for the owner
	begin     float64   // [s] in the recording
}

// Drawn is a line drawn at random from those that would fit the recording.
type Drawn struct {
	Length    float64   // [m]
	Curvature []float64 // [1/m]
	Slope     []float64 // [-]
}

// ErrRough says that a recording is too rough for its course, and what would do.
var ErrRough = errors.New("the ride is too rough for this course")

// What is believed of a line.
const (
	Tightest = 1.0 // [1/m] greatest curvature
	Steepest = 0.5 // [-] greatest slope
)

// ErrLong says that a ride that never comes back is too long to be ridden.
var ErrLong = errors.New("the ride is too long")

// Of smoothing.
const (
	tried      = 2000    // fixes by which the noise is judged
	block      = 500     // of which so many hang together
	moves      = 20.0    // [m] that a block goes at least, not to be a machine that stands
	coarse     = 0.25    // [s] between the epochs of the whole ride
	fine       = 0.2     // [s] between those of a line, and
	between    = 50.0    // epochs between two fixes, as a rule, and
	mostFilled = 1000    // at most
	farthest   = 5e6     // [m] that a whole recording goes
	marksApart = 2.0     // [m] between marks
	mostMarks  = 30000   // of a ride
	chunk      = 5000    // epochs that are smoothed at once
	margin     = 20.0    // [s] of the ride before and after a line that are smoothed with it
	motions    = 8       // that are drawn, for what the noise may be
	ways       = 8       // that are drawn for each of them
	passedOn   = 8       // of the ways that are passed on
	pace       = 10.0    // [m/s] that a ride without times is taken to have
	mostLong   = 60000.0 // [m] of a line
	normal     = 1.96    // standard deviations that hold 95 %
	standing   = 0.3     // [m/s] logged speed below which a machine stands
	crawl      = 0.5     // [m/s] smoothed speed below which it stands: what is left of the noise would make a way of it
	slowest    = 2.0     // [m/s] from which on a logged speed, and a curvature, counts
	doppler    = 0.1     // [m/s] standard deviation of logged speeds, at least
	ownError   = 1e-4    // [-] of the length, standard uncertainty: the plane, and the form that is laid through the fixes; by judgement
	longRide   = 20000   // epochs from which on fewer motions are drawn
)

// Course makes a line of a recording: of the quickest of its laps, or of all of it when it never comes back, in steps
// of about a length [m], so many at most. The error is ErrRecording, ErrRough, ErrLong or the context's.
func Course(ctx context.Context, log *Log, about float64, most int) (*Line, error) {
	r := cleaned(log.Fixes)
	if len(r.pieces) == 0 {
		return nil, fmt.Errorf("%w: no three places follow from each other", ErrRecording)
	}
	if far := r.way(); far > farthest {
		return nil, fmt.Errorf("%w: its places lie %.0f km from each other all together; cut the recording to the laps that count", ErrLong, far/1000)
	}
	e := &smooth.Evidence{Before: smooth.OverGround}
	var m smooth.Motion
	if r.timed {
		e.Runs = sampled(r.pieces, func(s *spot) (float64, float64) { return s.x, s.y })
		m = e.Likeliest(smooth.OverGround.Middle)
	} else {
		m = r.counted(e)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	list, noisy, err := r.marks(ctx, &m)
	if err != nil {
		return nil, err
	}
	if len(list) < 2 {
		return nil, fmt.Errorf("%w: it holds no ride, only a machine that stands", ErrRecording)
	}
	found := findLaps(list)
	line := &Line{Laps: found.laps, Notes: append(slices.Clone(log.Notes), r.notes...), Taken: unknown}
	line.impossible()
	piece, from, to := r.whole(list)
	if len(found.laps) > 0 {
		l := found.laps[quickestOf(found.laps)]
		piece, from, to, line.Closed = list[l.from.after].piece, l.from.t, l.to.t, true
		line.Taken = l.Time
	} else {
		line.Closed = line.ends(list, piece, found)
		line.Taken = to - from
	}
	if !r.timed {
		line.Taken = unknown
		for i := range line.Laps {
			line.Laps[i].Time = unknown
		}
	}
	e.Revisit = found.revisit
	if e.Revisit != nil {
		e.Revisit.Worth = math.Max(1, e.Revisit.Worth/m.Stays)
	}
	part := r.around(piece, from, to)
	e.Runs = sampled([][]spot{part}, func(s *spot) (float64, float64) { return s.x, s.y })
	m = e.Likeliest(m)
	line.Scatter, line.Wander, line.Within, line.begin = m.Noise, m.Drift, m.Stays, from
	if err := line.make(ctx, part, from, to, e, m, noisy, about, most); err != nil {
		return nil, err
	}
	if line.Taken*fastestRide < line.Length {
		line.Taken, line.Clock, line.Speed = unknown, nil, nil
		line.Notes = append(line.Notes, "it was quicker than anything can be ridden: its times are wrong and not used")
	}
	if err := line.rough(&m, (part[len(part)-1].t-part[0].t)/float64(len(part)-1), r.timed); err != nil {
		return nil, err
	}
	return line, nil
}

// way is how far it is from place to place, all pieces together [m].
func (r *ride) way() float64 {
	sum := 0.0
	for _, p := range r.pieces {
		for i := 1; i < len(p); i++ {
			sum += math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y)
		}
	}
	return sum
}

// sampled are runs of the fixes by which the noise is judged: all, or blocks spread over the ride, those left out in
// which the machine stands.
func sampled(pieces [][]spot, of func(s *spot) (float64, float64)) (runs []smooth.Run) {
	total := 0
	for _, p := range pieces {
		total += len(p)
	}
	add := func(part []spot) {
		r := smooth.Run{T: make([]float64, len(part)), Along: [][]float64{make([]float64, len(part)), make([]float64, len(part))}}
		for i := range part {
			r.T[i] = part[i].t
			r.Along[0][i], r.Along[1][i] = of(&part[i])
		}
		runs = append(runs, r)
	}
	if total <= tried {
		for _, p := range pieces {
			add(p)
		}
		return runs
	}
	var blocks [][]spot
	for _, p := range pieces {
		for from := 0; from < len(p); from += block {
			b := p[from:min(len(p), from+block)]
			a, z := b[0], b[0]
			for _, s := range b {
				a.x, a.y, z.x, z.y = math.Min(a.x, s.x), math.Min(a.y, s.y), math.Max(z.x, s.x), math.Max(z.y, s.y)
			}
			if math.Hypot(z.x-a.x, z.y-a.y) > moves && len(b) > few {
				blocks = append(blocks, b)
			}
		}
	}
	if len(blocks) == 0 {
		add(pieces[0][:min(len(pieces[0]), tried)])
		return runs
	}
	n := min(len(blocks), tried/block)
	for k := range n {
		add(blocks[k*len(blocks)/n])
	}
	return runs
}

// counted gives a ride without times something that counts on in their place: the fixes one by one, as of a logger that
// writes equally often or equally far apart, or the way from place to place, whichever makes the ride the likelier; in
// seconds of a machine at a usual pace.
func (r *ride) counted(e *smooth.Evidence) smooth.Motion {
	var ways []float64
	for _, p := range r.pieces {
		for i := 1; i < len(p); i++ {
			ways = append(ways, math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y))
		}
	}
	slices.Sort(ways)
	usual := math.Max(1e-3, ways[len(ways)/2])
	var best smooth.Motion
	bestF := math.Inf(1)
	var bestT [][]float64
	for _, byWay := range []bool{false, true} {
		var times [][]float64
		for _, p := range r.pieces {
			t := make([]float64, len(p))
			for i := 1; i < len(p); i++ {
				step := usual
				if byWay {
					step = math.Max(1e-3*usual, math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y))
				}
				t[i] = t[i-1] + step/pace
			}
			times = append(times, t)
		}
		r.count(times)
		e.Runs = sampled(r.pieces, func(s *spot) (float64, float64) { return s.x, s.y })
		m := e.Likeliest(smooth.OverGround.Middle)
		u := m.Logs()
		if f := e.Against(u[:]); f < bestF || bestT == nil {
			best, bestF, bestT = m, f, times
		}
	}
	r.count(bestT)
	return best
}

func (r *ride) count(times [][]float64) {
	for i, p := range r.pieces {
		for k := range p {
			p[k].t = times[i][k]
			p[k].speed = unknown
		}
	}
}

// epochs are the times of spots and, between them, so many that none lies farther from the next than a time [s], or
// than a share of the usual time between spots, where they lie far apart.
func epochs(part []spot, most float64) []smooth.Epoch {
	var list []smooth.Epoch
	most = math.Max(most, (part[len(part)-1].t-part[0].t)/float64(len(part))/between)
	for i, s := range part {
		if i > 0 {
			dt := s.t - part[i-1].t
			n := min(mostFilled, int(math.Ceil(dt/most)))
			for k := 1; k < n; k++ {
				list = append(list, smooth.Epoch{T: part[i-1].t + dt*float64(k)/float64(n), X: unknown, Y: unknown, Speed: unknown})
			}
		}
		list = append(list, smooth.Epoch{T: s.t, X: s.x, Y: s.y, Speed: unknown, Placed: true})
	}
	return list
}

// inChunks smooths epochs a chunk at a time, each with some of those before and after it.
func inChunks(ctx context.Context, m *smooth.Motion, list []smooth.Epoch, draws int, rnd *rand.Rand, use func(at int, out []smooth.Smoothed, drawn [][]smooth.State)) error {
	for from := 0; from < len(list); from += chunk {
		if err := ctx.Err(); err != nil {
			return err
		}
		to := min(len(list), from+chunk)
		a, b := from, to
		for a > 0 && list[from].T-list[a].T < margin && from-a < chunk/2 {
			a--
		}
		for b < len(list) && list[b-1].T-list[to-1].T < margin && b-to < chunk/2 {
			b++
		}
		for a > 0 && !slices.ContainsFunc(list[a:b], func(e smooth.Epoch) bool { return e.Placed }) {
			a--
		}
		out, drawn := m.Smooth(list[a:b], draws, rnd)
		for d := range drawn {
			drawn[d] = drawn[d][from-a : to-a]
		}
		use(from, out[from-a:to-a], drawn)
	}
	return nil
}

// marks smooths the whole ride and lays marks along it. It also says how far logged speeds scatter about the smoothed
// ones [m/s]; 0 without speeds.
func (r *ride) marks(ctx context.Context, m *smooth.Motion) (list []mark, noisy float64, err error) {
	type at struct {
		x, y, vx, vy, ax, ay, t, unsure float64
		set                             bool
	}
	whole := 0.0
	var all [][]at
	var off []float64
	for _, p := range r.pieces {
		es := epochs(p, coarse)
		path := make([]at, 0, len(es))
		next, set := 0, false
		err := inChunks(ctx, m, es, 0, nil, func(from int, out []smooth.Smoothed, _ [][]smooth.State) {
			for i := range out {
				s := &out[i]
				a := at{x: s.M[smooth.East], y: s.M[smooth.North], vx: s.M[smooth.EastSpeed], vy: s.M[smooth.NorthSpeed], ax: s.M[smooth.EastAccel], ay: s.M[smooth.NorthAccel], t: es[from+i].T}
				for _, o := range [2]int{smooth.East, smooth.North} {
					a.unsure += (s.P[o][o] + 2*s.P[o][o+3] + s.P[o+3][o+3]) / 2
				}
				// What is compared between laps is where the machine seemed to be: place and wandering.
				a.x, a.y = a.x+s.M[smooth.EastDrift], a.y+s.M[smooth.NorthDrift]
				if es[from+i].Placed {
					set = set || p[next].set
					if v := math.Hypot(a.vx, a.vy); p[next].speed >= slowest && v > slowest {
						dx, dy := a.vx/v, a.vy/v
						known := dx*dx*s.P[smooth.EastSpeed][smooth.EastSpeed] + 2*dx*dy*s.P[smooth.EastSpeed][smooth.NorthSpeed] + dy*dy*s.P[smooth.NorthSpeed][smooth.NorthSpeed]
						d := p[next].speed - v
						off = append(off, d*d-known)
					}
					next++
				}
				if a.set = set; set {
					set = false
				}
				path = append(path, a)
			}
		})
		if err != nil {
			return nil, 0, err
		}
		for i := 1; i < len(path); i++ {
			whole += math.Hypot(path[i].x-path[i-1].x, path[i].y-path[i-1].y)
		}
		all = append(all, path)
	}
	if !(whole > 0) || math.IsInf(whole, 0) {
		return nil, 0, nil
	}
	gap := math.Max(marksApart, whole/mostMarks)
	way := 0.0
	for i, path := range all {
		left, set := 0.0, false
		for k := 1; k < len(path); k++ {
			a, b := &path[k-1], &path[k]
			set = set || b.set
			d := math.Hypot(b.x-a.x, b.y-a.y)
			for ; left <= d && d > 0; left += gap {
				f := left / d
				mk := mark{x: a.x + f*(b.x-a.x), y: a.y + f*(b.y-a.y), t: a.t + f*(b.t-a.t), unsure: a.unsure + f*(b.unsure-a.unsure), piece: i, way: way, set: set}
				set = false
				vx, vy := a.vx+f*(b.vx-a.vx), a.vy+f*(b.vy-a.vy)
				v := math.Hypot(vx, vy)
				if v == 0 {
					vx, vy, v = b.x-a.x, b.y-a.y, d
				}
				mk.dx, mk.dy = vx/v, vy/v
				mk.bends = math.Min(1, math.Abs(vx*(a.ay+f*(b.ay-a.ay))-vy*(a.ax+f*(b.ax-a.ax)))/(v*v*v))
				list = append(list, mk)
				way += gap
			}
			left -= d
		}
	}
	if len(off) >= few {
		slices.Sort(off) // a tenth of the farthest are left out: receivers hold their speed where they lose sight
		sum := 0.0
		kept := off[:max(1, len(off)*9/10)]
		for _, v := range kept {
			sum += v / float64(len(kept))
		}
		noisy = math.Max(doppler, math.Sqrt(math.Max(0, sum)))
	}
	return list, noisy, nil
}

// whole is the piece of a ride that goes farthest, from when to when.
func (r *ride) whole(list []mark) (piece int, from, to float64) {
	far := make([]int, len(r.pieces))
	for _, m := range list {
		far[m.piece]++
	}
	for i, n := range far {
		if n > far[piece] {
			piece = i
		}
	}
	p := r.pieces[piece]
	return piece, p[0].t, p[len(p)-1].t
}

// ends says whether a ride without laps is one: it ends where and as it began.
func (l *Line) ends(list []mark, piece int, found lapped) bool {
	var a, b *mark
	for i := range list {
		if list[i].piece == piece {
			if a == nil {
				a = &list[i]
			}
			b = &list[i]
		}
	}
	x, y := b.x-a.x, b.y-a.y
	along, across := x*a.dx+y*a.dy, math.Abs(x*-a.dy+y*a.dx)
	same := a.dx*b.dx+a.dy*b.dy > forked
	near := math.Abs(along) <= ends && across <= ends && same && b.way-a.way > 4*ends
	if near && across <= lane {
		return true
	}
	doubt, after := found.doubt, found.after
	if near {
		doubt, after = across, b.way-a.way
	}
	if doubt > 0 {
		l.Notes = append(l.Notes, fmt.Sprintf("it is not sure whether it is a lap: %.0f m on, the ride passes %.0f m beside where it was, heading the same way, but does not go on long enough to tell one lane from another; ride two laps or more", after, doubt))
	}
	return false
}

// around is the part of a piece from a time to a time, with a margin.
func (r *ride) around(piece int, from, to float64) []spot {
	p := r.pieces[piece]
	a := sort.Search(len(p), func(i int) bool { return p[i].t >= from-margin })
	b := sort.Search(len(p), func(i int) bool { return p[i].t > to+margin })
	for b-a < leastPlaces && (a > 0 || b < len(p)) {
		a, b = max(0, a-1), min(len(p), b+1)
	}
	return p[a:b]
}

// passing is an epoch as it is put together from the motions.
type passing struct {
	m smooth.State
	p smooth.Square
}

// make smooths the line and works out how sure it is.
func (l *Line) make(ctx context.Context, part []spot, from, to float64, e *smooth.Evidence, m smooth.Motion, noisy, about float64, most int) error {
	es := epochs(part, fine)
	var a, b int
	es, a = withEpoch(es, from)
	es, b = withEpoch(es, to)
	if b-a < 2 {
		return fmt.Errorf("%w: the lap holds no places", ErrRecording)
	}
	rnd := rand.New(rand.NewPCG(3, 4))
	if noisy > 0 {
		if err := l.speeds(ctx, part, es, &m, noisy); err != nil {
			return err
		}
	}
	n := motions
	if len(es) > longRide {
		n = 2
	}
	sum := make([]passing, len(es))
	var drawn [][]smooth.State
	for _, one := range e.Likely(m, n) {
		at := len(drawn)
		for range ways {
			drawn = append(drawn, make([]smooth.State, len(es)))
		}
		err := inChunks(ctx, &one, es, ways, rnd, func(first int, out []smooth.Smoothed, some [][]smooth.State) {
			for i := range out {
				s, o := &sum[first+i], &out[i]
				for j := range smooth.Both {
					s.m[j] += o.M[j] / float64(n)
					for k := range smooth.Both {
						s.p[j][k] += (o.P[j][k] + o.M[j]*o.M[k]) / float64(n)
					}
				}
			}
			for d := range some {
				copy(drawn[at+d][first:], some[d])
			}
		})
		if err != nil {
			return err
		}
	}
	for i := range sum {
		s := &sum[i]
		for j := range smooth.Both {
			for k := range smooth.Both {
				s.p[j][k] -= s.m[j] * s.m[k]
			}
		}
	}
	heights, err := l.heights(ctx, part, es, n, rnd)
	if err != nil {
		return err
	}
	return l.lay(es[a:b+1], sum[a:b+1], cut(drawn, a, b+1), heights, a, from, about, most)
}

// withEpoch puts an epoch at a time among others, and says where it stands.
func withEpoch(es []smooth.Epoch, t float64) ([]smooth.Epoch, int) {
	i := sort.Search(len(es), func(i int) bool { return es[i].T >= t })
	for _, k := range [2]int{i, i - 1} {
		if k >= 0 && k < len(es) && math.Abs(es[k].T-t) < 1e-3 {
			return es, k
		}
	}
	return slices.Insert(es, i, smooth.Epoch{T: t, X: unknown, Y: unknown, Speed: unknown}), i
}

// cut is a part of each of some ways.
func cut(drawn [][]smooth.State, from, to int) [][]smooth.State {
	out := make([][]smooth.State, len(drawn))
	for i := range drawn {
		out[i] = drawn[i][from:to]
	}
	return out
}

// speeds puts the logged speeds into the epochs, along the direction of a first smoothing. Speeds within a second are
// taken to err alike.
func (l *Line) speeds(ctx context.Context, part []spot, es []smooth.Epoch, m *smooth.Motion, noisy float64) error {
	usual := (part[len(part)-1].t - part[0].t) / float64(len(part))
	unsure := noisy * math.Sqrt(math.Max(1, 1/math.Max(usual, 1e-3)))
	for range 2 {
		type course struct{ vx, vy, across float64 }
		dirs := make([]course, len(es))
		err := inChunks(ctx, m, es, 0, nil, func(first int, out []smooth.Smoothed, _ [][]smooth.State) {
			for i := range out {
				s := &out[i]
				vx, vy := s.M[smooth.EastSpeed], s.M[smooth.NorthSpeed]
				v := math.Hypot(vx, vy)
				if v > 0 {
					nx, ny := -vy/v, vx/v
					dirs[first+i] = course{vx, vy, nx*nx*s.P[smooth.EastSpeed][smooth.EastSpeed] + 2*nx*ny*s.P[smooth.EastSpeed][smooth.NorthSpeed] + ny*ny*s.P[smooth.NorthSpeed][smooth.NorthSpeed]}
				}
			}
		})
		if err != nil {
			return err
		}
		next := 0
		for i := range es {
			if !es[i].Placed {
				continue
			}
			logged := part[next].speed
			next++
			d := dirs[i]
			v := math.Hypot(d.vx, d.vy)
			switch {
			case logged < standing:
				es[i].Speed, es[i].Unsure, es[i].Dx, es[i].Dy = 0, math.Hypot(unsure, standing), 0, 0
			case logged >= slowest && v >= slowest: // the length of a speed is more than its part along a direction, by what lies across
				es[i].Speed, es[i].Unsure, es[i].Dx, es[i].Dy = logged-d.across/(2*v), unsure, d.vx/v, d.vy/v
			default:
				es[i].Speed = unknown
			}
		}
	}
	return nil
}

// height is a smoothed one: rise over time and its variance, and what was drawn of it.
type height struct {
	rise, unsure float64 // [m/s], [m2/s2]
	drawn        []float64
}

// heights smooths the logged heights at all epochs, for so many motions; nil without any.
func (l *Line) heights(ctx context.Context, part []spot, es []smooth.Epoch, n int, rnd *rand.Rand) ([]height, error) {
	known := 0
	for _, s := range part {
		if !math.IsNaN(s.z) {
			known++
		}
	}
	if known < few {
		return nil, nil
	}
	l.Heights = true
	runs := sampled([][]spot{part}, func(s *spot) (float64, float64) { return s.z, s.z })
	for i := range runs {
		runs[i].Along = runs[i].Along[:1]
	}
	e := &smooth.Evidence{Runs: runs, Before: smooth.InHeight}
	up := slices.Clone(es)
	next := 0
	for i := range up {
		up[i].Speed = unknown
		if up[i].Placed {
			up[i].X, up[i].Y, up[i].Placed = part[next].z, part[next].z, !math.IsNaN(part[next].z)
			next++
		}
	}
	out := make([]height, len(es))
	for i := range out {
		out[i].drawn = make([]float64, 0, n*ways)
	}
	for _, m := range e.Likely(e.Likeliest(smooth.InHeight.Middle), n) {
		err := inChunks(ctx, &m, up, ways/2, rnd, func(first int, s []smooth.Smoothed, some [][]smooth.State) {
			for i := range s {
				o := &out[first+i]
				v := s[i].M[smooth.EastSpeed]
				o.rise += v / float64(n)
				o.unsure += (s[i].P[smooth.EastSpeed][smooth.EastSpeed] + v*v) / float64(n)
				for d := range some { // both axes hold the same heights, so each draw holds two
					o.drawn = append(o.drawn, some[d][i][smooth.EastSpeed], some[d][i][smooth.NorthSpeed])
				}
			}
		})
		if err != nil {
			return nil, err
		}
	}
	for i := range out {
		out[i].unsure -= out[i].rise * out[i].rise
	}
	return out, nil
}

func clip(v, most float64) float64 { return math.Max(-most, math.Min(most, v)) }

// ahead are the ways from each state to the next [m], by the trapezium rule with what the ends say of its error; none
// where the machine stands.
func ahead(es []smooth.Epoch, stands []bool, path func(i int) *smooth.State) []float64 {
	ways := make([]float64, len(es)-1)
	v, grows := path(0).Speed()
	for i := range ways {
		dt := es[i+1].T - es[i].T
		w, more := path(i + 1).Speed()
		if !stands[i] || !stands[i+1] {
			ways[i] = math.Max(0, dt/2*(v+w)+dt*dt/12*(grows-more))
		}
		v, grows = w, more
	}
	return ways
}

// beyond is how far the end of a path lies past the line across its start [m], along a direction.
func beyond(first, last *smooth.State, dx, dy float64) float64 {
	return (last[smooth.East]-first[smooth.East])*dx + (last[smooth.North]-first[smooth.North])*dy
}

func sumOf(list []float64) float64 {
	sum := 0.0
	for _, v := range list {
		sum += v
	}
	return sum
}

// lay lays steps along smoothed epochs and puts together what is known of them; the first of the heights to go with
// them is given.
func (l *Line) lay(es []smooth.Epoch, sum []passing, drawn [][]smooth.State, heights []height, first int, from, about float64, most int) error {
	n := len(es)
	mean := func(i int) *smooth.State { return &sum[i].m }
	stands := make([]bool, n)
	for i := range stands {
		v, _ := mean(i).Speed()
		stands[i] = v < crawl
	}
	ways := ahead(es, stands, mean)
	own := sumOf(ways)
	if !(own > 0) {
		return fmt.Errorf("%w: it holds no ride, only a machine that stands", ErrRecording)
	}
	v, _ := mean(0).Speed()
	dx, dy := mean(0)[smooth.EastSpeed]/math.Max(v, 1e-9), mean(0)[smooth.NorthSpeed]/math.Max(v, 1e-9)
	lengths, gaps := make([]float64, len(drawn)), make([]float64, len(drawn))
	for d := range drawn {
		lengths[d] = sumOf(ahead(es, stands, func(i int) *smooth.State { return &drawn[d][i] }))
		if l.Closed { // a drawn way goes past the line where it began, or ends before it
			gaps[d] = beyond(&drawn[d][0], &drawn[d][n-1], dx, dy)
			lengths[d] -= gaps[d]
		}
	}
	length, sd := stat.MeanStdDev(lengths, nil)
	best := length
	if len(l.Laps) > 1 {
		best, sd = l.amongLaps(length, sd, gaps)
	}
	sd = math.Hypot(sd, ownError*best)
	l.Length, l.Low, l.High = best, best-normal*sd, best+normal*sd
	if !(l.Low > 0) {
		return fmt.Errorf("%w: its length would lie between %.0f and %.0f m", ErrRough, l.Low, l.High)
	}
	if best > mostLong {
		return fmt.Errorf("%w: it goes %.0f km without coming back to itself; cut the recording to the piece that is raced, %.0f km at most", ErrLong, best/1000, mostLong/1000)
	}
	steps := max(2, min(most, int(math.Ceil(best/about))))
	var keep []int
	for k := range min(passedOn, len(drawn)) {
		d := k * len(drawn) / passedOn
		keep = append(keep, d)
		l.Drawn = append(l.Drawn, Drawn{Length: math.Max(best/2, best+lengths[d]-length), Curvature: make([]float64, steps), Slope: make([]float64, steps)})
	}
	way, i := 0.0, 0
	slow := make([]bool, steps)
	for k := range steps {
		at := own * (float64(k) + 0.5) / float64(steps)
		for way+ways[i] < at && i+1 < len(ways) {
			way += ways[i]
			i++
		}
		f := 0.5
		if ways[i] > 0 {
			f = math.Min(1, (at-way)/ways[i])
		}
		s := mixed(mean(i), mean(i+1), f)
		curve, by := s.Turns()
		v, _ := s.Speed()
		slow[k] = v < slowest
		variance := 0.0
		for r := range smooth.Both {
			for c := range smooth.Both {
				variance += by[r] * by[c] * (sum[i].p[r][c] + f*(sum[i+1].p[r][c]-sum[i].p[r][c]))
			}
		}
		l.X, l.Y = append(l.X, s[smooth.East]), append(l.Y, s[smooth.North])
		l.Curvature, l.Unsure = append(l.Curvature, clip(curve, Tightest)), append(l.Unsure, math.Min(Tightest, math.Sqrt(math.Max(0, variance))))
		slope, steep := 0.0, 0.0
		if heights != nil && v > 0.5 {
			h0, h1 := &heights[first+i], &heights[first+i+1]
			slope = clip((h0.rise+f*(h1.rise-h0.rise))/v, Steepest)
			steep = math.Min(Steepest, math.Sqrt(math.Max(0, h0.unsure+f*(h1.unsure-h0.unsure)))/v)
		}
		l.Slope, l.Steep = append(l.Slope, slope), append(l.Steep, steep)
		if !math.IsNaN(l.Taken) {
			l.Clock, l.Speed = append(l.Clock, es[i].T+f*(es[i+1].T-es[i].T)-from), append(l.Speed, v)
		}
		for j, d := range keep {
			ds := mixed(&drawn[d][i], &drawn[d][i+1], f)
			curve, _ := ds.Turns()
			l.Drawn[j].Curvature[k] = clip(curve, Tightest)
			if heights != nil && v > 0.5 {
				h0, h1 := heights[first+i].drawn, heights[first+i+1].drawn
				l.Drawn[j].Slope[k] = clip((h0[d]+f*(h1[d]-h0[d]))/v, Steepest)
			}
		}
	}
	bridged(slow, l.Curvature, l.Unsure, l.Slope, l.Steep)
	for _, d := range l.Drawn {
		bridged(slow, d.Curvature, d.Slope)
	}
	return nil
}

// bridged draws lists straight over the steps at which the machine nearly stood, where they say nothing.
func bridged(slow []bool, lists ...[]float64) {
	for from := 0; from < len(slow); from++ {
		if !slow[from] {
			continue
		}
		to := from
		for to < len(slow) && slow[to] {
			to++
		}
		for _, list := range lists {
			before, after := 0.0, 0.0
			switch {
			case from > 0 && to < len(slow):
				before, after = list[from-1], list[to]
			case from > 0:
				before, after = list[from-1], list[from-1]
			case to < len(slow):
				before, after = list[to], list[to]
			}
			for k := from; k < to; k++ {
				f := float64(k-from+1) / float64(to-from+1)
				list[k] = before + f*(after-before)
			}
		}
		from = to
	}
}

// mixed is a state between two others.
func mixed(a, b *smooth.State, f float64) (s smooth.State) {
	for j := range s {
		s[j] = a[j] + f*(b[j]-a[j])
	}
	return s
}

// amongLaps is the length of a lap [m], and its standard uncertainty, in the light of the other laps. Where laps differ
// by no more than each of them is unsure, all are taken to be as long; else the more of the difference is believed the
// more they differ. Of what is unsure the passing of the line counts less the more laps lie between, the rest does not.
// Source: Efron and Morris, Journal of the American Statistical Association 70 (1975).
func (l *Line) amongLaps(length, sd float64, gaps []float64) (best, unsure float64) {
	n := float64(len(l.Laps))
	var all []float64
	chains := 1.0
	for i, lap := range l.Laps {
		all = append(all, lap.Length)
		if i > 0 && lap.from.way != l.Laps[i-1].to.way {
			chains++
		}
	}
	middle, spread := stat.MeanStdDev(all, nil)
	one := l.Laps[quickestOf(l.Laps)].Length
	line := stat.StdDev(gaps, nil)
	differ := math.Max(0, spread*spread-sd*sd)
	share := 0.0
	if differ > 0 {
		share = differ / (differ + sd*sd)
	}
	common := math.Max(0, sd*sd-line*line) + line*line*chains/(n*n)
	return length + (1-share)*(middle-one), math.Sqrt(share*sd*sd + (1-share)*(1-share)*common)
}
