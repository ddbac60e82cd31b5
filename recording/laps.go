package recording

import (
	"cmp"
	"math"
	"slices"

	"shakedown/recording/smooth"
)

// mark is a place of the smoothed ride, equally far from the next one.
type mark struct {
	x, y   float64 // [m]
	dx, dy float64 // direction of travel
	t      float64 // [s]
	way    float64 // [m] from the start of the ride
	unsure float64 // [m2] variance of the place across, wandering not counted
	bends  float64 // [1/m] how much the ride turns there, without sign
	piece  int
	set    bool // the clock was set between here and the mark before
}

// Lap is a piece of a ride from a line across the course back to it.
type Lap struct {
	Time   float64 // [s]; not a number without times, or where the clock was set meanwhile
	Length float64 // [m]
	from   crossing
	to     crossing
}

// crossing is where a ride goes across a line.
type crossing struct {
	after int     // the mark after it
	t     float64 // [s]
	way   float64 // [m]
}

// Of laps.
const (
	passes   = 20.0  // [m] how near to its middle a line is passed
	shortest = 100.0 // [m] at least
	unlike   = 0.15  // [-] by how much their length may be off the middle one
	mostly   = 0.3   // [-] of the ride that its laps make up at least
	lines    = 80    // that are tried
	forked   = 0.707 // cosine of the angle by which two ways part
	together = 0.8   // [-] of the way that two laps go along together
	half     = 0.5   // [-] of a lap over which that is enough to be sure
	touching = 5.0   // [m] by which two lines of one lane lie apart, where less of the way is known, and
	touches  = 20.0  // [m] over which that is enough
	besides  = 15.0  // [m] how far to look for the place beside
	ends     = 25.0  // [m] from its start at which a ride ends that is one lap, as far along, and
	lane     = 6.0   // [m] across
)

// beside is how two strands of a ride lie beside each other.
type beside struct {
	known, alike float64 // [m] over which both are ridden, and over which they go together
	square       float64 // sum of the squares of the distance, of
	n            float64 // so many marks that go together
	noise        float64 // sum of what of that is not wandering
	time         float64 // [s] over which they go together
}

// apart is how far the strands lie from each other, root of the mean square [m].
func (b *beside) apart() float64 { return math.Sqrt(b.square / math.Max(1, b.n)) }

// follow compares the strands from two marks on, forwards or backwards, for so far [m] at most.
func follow(list []mark, a, b, forwards int, far float64) (s beside) {
	step := math.Abs(list[1].way - list[0].way)
	look := max(1, int(besides/step))
	inside := func(i, of int) bool { return i >= 0 && i < len(list) && list[i].piece == list[of].piece }
	i := a
	for j, n := b+forwards, 1; inside(j, b) && float64(n)*step <= far; j, n = j+forwards, n+1 {
		i += forwards
		if !inside(i, a) {
			break
		}
		s.known += step
		q := &list[j]
		best, at := math.Inf(1), -1
		for k := i - look; k <= i+look; k++ {
			if !inside(k, a) {
				continue
			}
			if d := math.Hypot(list[k].x-q.x, list[k].y-q.y); d < best {
				best, at = d, k
			}
		}
		if at < 0 {
			continue
		}
		p := &list[at]
		if best > passes || p.dx*q.dx+p.dy*q.dy < forked {
			continue
		}
		i = at
		across := (q.x-p.x)*-p.dy + (q.y-p.y)*p.dx
		s.alike += step
		s.square += across * across
		s.noise += p.unsure + q.unsure
		s.n++
		if back := j - forwards; inside(back, b) {
			s.time += math.Abs(q.t - list[back].t)
		}
	}
	return s
}

// judged says whether two marks lie on one lane of a course, by what is ridden within a way [m] before and after: sure
// that they do, or perhaps.
func judged(list []mark, a, b int, far float64) (sure, perhaps bool, apart float64) {
	on, back := follow(list, a, b, 1, far), follow(list, a, b, -1, far)
	s := beside{known: on.known + back.known, alike: on.alike + back.alike, square: on.square + back.square, n: on.n + back.n}
	apart = s.apart()
	if s.n == 0 {
		return false, false, apart
	}
	if s.alike < together*s.known {
		return false, false, apart
	}
	if s.known >= half*far || s.known >= touches && apart <= touching {
		return true, true, apart
	}
	return false, true, apart
}

// lapped is what is found of the laps of a ride.
type lapped struct {
	laps    []Lap
	doubt   float64 // [m] how far beside itself it passes where it is not sure whether that is a lap; 0 where there is no such doubt
	after   float64 // [m] way from the start to there
	revisit *smooth.Revisit
}

// findLaps cuts a ride into its laps, in order, at the line that most laps cross of those that are laid across it. Two
// passes of a line belong to one lap when the ride heads the same way there and goes along beside itself from there on
// and before. Laps whose length is unlike that of the others are left out: a way back to the pits, a short cut. A ride
// that never comes back to itself, or does so in passing, has none.
func findLaps(list []mark) lapped {
	var out lapped
	if len(list) < 5 {
		return out
	}
	whole := list[len(list)-1].way
	var best []Lap
	bestRank := math.Inf(-1)
	for k := range lines {
		at := int((float64(k) + 0.5) / lines * float64(len(list)))
		laps, near, after := lapsAcross(list, at)
		if len(laps) == 0 {
			if near > 0 && out.doubt == 0 {
				out.doubt, out.after = near, after
			}
			continue
		}
		middle := math.Abs((float64(k)+0.5)/lines - 0.5)
		if rank := float64(len(laps)) - math.Min(0.5, 10*list[at].bends) - 0.2*middle; rank > bestRank {
			best, bestRank = laps, rank
		}
	}
	sum := 0.0
	for _, l := range best {
		sum += l.Length
	}
	if sum < mostly*whole {
		return out // a turn on the way, not a course that is lapped
	}
	out.laps, out.doubt = best, 0
	var all beside
	after := 0.0
	for _, l := range best {
		s := follow(list, l.from.after, l.to.after, 1, l.Length)
		all.square, all.n, all.noise, all.time = all.square+s.square, all.n+s.n, all.noise+s.noise, all.time+s.time
		after += (l.to.t - l.from.t) / float64(len(best))
	}
	if all.n > 0 && after > 0 {
		out.revisit = &smooth.Revisit{After: after, Square: all.square / all.n, Noise: all.noise / all.n, Worth: all.time}
	}
	return out
}

// lapsAcross cuts a ride at a line across one of its marks. Where it has no laps, near says how far beside itself it
// passes where that may be one [m], after so much of the way; 0 for nowhere.
func lapsAcross(list []mark, at int) (laps []Lap, near, after float64) {
	o := &list[at]
	var found []crossing
	for i := 1; i < len(list); i++ {
		p, q := &list[i-1], &list[i]
		if i == at || i == at+1 || p.piece != q.piece || math.Abs(q.x-o.x) > 2*passes || math.Abs(q.y-o.y) > 2*passes {
			if i == at {
				found = append(found, crossing{at, o.t, o.way})
			}
			continue
		}
		before, past := (p.x-o.x)*o.dx+(p.y-o.y)*o.dy, (q.x-o.x)*o.dx+(q.y-o.y)*o.dy
		if !(before <= 0 && past > 0) || q.dx*o.dx+q.dy*o.dy < forked {
			continue
		}
		f := -before / (past - before)
		if across := (p.x+f*(q.x-p.x)-o.x)*-o.dy + (p.y+f*(q.y-p.y)-o.y)*o.dx; math.Abs(across) > passes {
			continue
		}
		found = append(found, crossing{i, p.t + f*(q.t-p.t), p.way + f*(q.way-p.way)})
	}
	here := slices.IndexFunc(found, func(c crossing) bool { return c.after == at })
	if here < 0 {
		return nil, 0, 0
	}
	chain := []crossing{found[here]}
	one := math.Inf(1) // the shortest way between two that are on the lane: a lap
	belongs := func(c crossing) bool {
		for i := len(chain) - 1; i >= 0; i-- {
			a, b := chain[i], c
			if a.way > b.way {
				a, b = b, a
			}
			far := b.way - a.way
			if far < shortest {
				return false
			}
			sure, perhaps, apart := judged(list, a.after, b.after, math.Min(far, one))
			if sure {
				one = math.Min(one, far)
				return true
			}
			if perhaps && near == 0 {
				near, after = apart, far
			}
		}
		return false
	}
	for _, c := range found[here+1:] {
		if belongs(c) {
			chain = append(chain, c)
		}
	}
	for i := here - 1; i >= 0; i-- {
		if belongs(found[i]) {
			chain = append(chain, found[i])
		}
	}
	slices.SortFunc(chain, func(a, b crossing) int { return cmp.Compare(a.way, b.way) })
	var lengths []float64
	for i := 1; i < len(chain); i++ {
		from, to := chain[i-1], chain[i]
		if list[from.after].piece != list[to.after].piece {
			continue
		}
		l := Lap{Time: to.t - from.t, Length: to.way - from.way, from: from, to: to}
		for k := from.after; k <= to.after; k++ {
			if list[k].set {
				l.Time = unknown
			}
		}
		laps, lengths = append(laps, l), append(lengths, l.Length)
	}
	if len(laps) == 0 {
		return nil, near, after
	}
	slices.Sort(lengths)
	usual := lengths[len(lengths)/2]
	return slices.DeleteFunc(laps, func(l Lap) bool { return math.Abs(l.Length-usual) > unlike*usual }), 0, 0
}

// quickestOf is the lap of the least time, or the first when none is timed.
func quickestOf(laps []Lap) int {
	best := 0
	for i, l := range laps {
		if l.Time < laps[best].Time || math.IsNaN(laps[best].Time) && !math.IsNaN(l.Time) {
			best = i
		}
	}
	return best
}
