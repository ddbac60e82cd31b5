package recording

import (
	"math"
	"math/rand/v2"
	"testing"

	"shakedown/internal/outside"
)

// along is what a receiver logs of a way through places, at a speed [m/s], 5 Hz, with noise [m].
func along(xy [][2]float64, speed, noise float64, rnd *rand.Rand) *Log {
	l := &Log{}
	now, left := 0.0, 0.0
	for i := 1; i < len(xy); i++ {
		dx, dy := xy[i][0]-xy[i-1][0], xy[i][1]-xy[i-1][1]
		d := math.Hypot(dx, dy)
		for ; left < d; left += speed / 5 {
			f := fixAt(xy[i-1][0]+dx*left/d+noise*rnd.NormFloat64(), xy[i-1][1]+dy*left/d+noise*rnd.NormFloat64())
			f.Time = now
			now += 0.2
			l.Fixes = append(l.Fixes, f)
		}
		left -= d
	}
	return l
}

// arc goes on from a place and a heading along a circle, and gives where that ends.
func arc(xy [][2]float64, h *float64, radius, turn float64) [][2]float64 {
	n := int(math.Ceil(math.Abs(turn) / 0.05))
	last := xy[len(xy)-1]
	for range n {
		s := radius * math.Abs(turn) / float64(n)
		*h += turn / float64(n) / 2
		last = [2]float64{last[0] + s*math.Cos(*h), last[1] + s*math.Sin(*h)}
		*h += turn / float64(n) / 2
		xy = append(xy, last)
	}
	return xy
}

// ahead goes on straight.
func straight(xy [][2]float64, h, far float64) [][2]float64 {
	last := xy[len(xy)-1]
	return append(xy, [2]float64{last[0] + far*math.Cos(h), last[1] + far*math.Sin(h)})
}

// Seven laps at different speeds, with a way in from a paddock and back: the quickest is found, at the time that its
// length over its speed makes.
func TestOutsideLaps(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	const side, radius = 80.0, 15.0
	whole := 2*side + 2*math.Pi*radius
	rnd := rand.New(rand.NewPCG(3, 5))
	log := &Log{}
	now := 0.0
	add := func(part *Log) {
		for _, f := range part.Fixes {
			f.Time += now
			log.Fixes = append(log.Fixes, f)
		}
		now += part.Fixes[len(part.Fixes)-1].Time + 0.2
	}
	add(along([][2]float64{{-30, -60}, {-15, -10}, {0, 0}}, 8, 0.3, rnd))
	for _, v := range []float64{12, 12, 15, 15, 11, 11, 11} {
		h := 0.0
		xy := straight([][2]float64{{0, 0}}, h, side)
		xy = arc(xy, &h, radius, math.Pi)
		xy = straight(xy, h, side)
		xy = arc(xy, &h, radius, math.Pi)
		add(along(xy, v, 0.3, rnd))
	}
	add(along([][2]float64{{0, 0}, {15, -10}, {20, -60}}, 8, 0.3, rnd))
	l := course(t, log)
	if len(l.Laps) < 5 || len(l.Laps) > 7 {
		t.Fatalf("%d laps are found of seven", len(l.Laps))
	}
	outside.Check{ID: "laps time", Name: "quickest of seven laps", Unit: "s", Got: l.Taken, Want: whole / 15, Tol: 0.12, Source: "two straights of 80 m and two half circles of 15 m at 15 m/s", Known: computed}.Run(t)
	outside.Check{ID: "laps length", Name: "its length", Unit: "m", Got: l.Length, Want: whole, Tol: 0.01, Relative: true, Source: "two straights of 80 m and two half circles of 15 m", Known: computed}.Run(t)
}

// twoLanes is a course that goes along beside itself, 12 m apart and the same way, for 100 m: out on one lane, round a
// loop of 30 m, along the other, and round back.
func twoLanes() (xy [][2]float64, length float64) {
	h := 0.0
	xy = [][2]float64{{0, 0}}
	xy = straight(xy, h, 140)
	xy = arc(xy, &h, 30, math.Pi) // back above
	xy = straight(xy, h, 140)
	xy = arc(xy, &h, 24, math.Pi) // down to 12 m beside the first lane
	xy = straight(xy, h, 140)
	xy = arc(xy, &h, 20, -math.Pi) // the other way round, below
	xy = straight(xy, h, 140)
	xy = arc(xy, &h, 14, -math.Pi) // and up to the first lane
	for i := 1; i < len(xy); i++ {
		length += math.Hypot(xy[i][0]-xy[i-1][0], xy[i][1]-xy[i-1][1])
	}
	return xy, length
}

// A lap is not closed on another lane 12 m beside it: it is found at its whole length when it is ridden twice and more,
// and when little more than once; where less is ridden than once, it is no lap, and it is said that it is not sure.
func TestAnotherLane(t *testing.T) {
	xy, length := twoLanes()
	if end := xy[len(xy)-1]; math.Hypot(end[0], end[1]) > 0.5 {
		t.Fatalf("the course ends at %v", end)
	}
	many := append(append(append([][2]float64{}, xy...), xy[1:]...), xy[1:]...)
	for _, laps := range []float64{2.6, 1.6, 1.15} {
		rnd := rand.New(rand.NewPCG(11, uint64(100*laps)))
		log := along(many, 12, 0.3, rnd)
		log.Fixes = log.Fixes[:int(laps*length/12*5)]
		l := course(t, log)
		if !l.Closed || math.Abs(l.Length/length-1) > 0.02 {
			t.Errorf("%g laps of %.0f m: closed %v, %.0f m; %q", laps, length, l.Closed, l.Length, l.Notes)
		}
	}
	// Half a lap, from the first lane until the machine is on the one beside it.
	rnd := rand.New(rand.NewPCG(11, 3))
	log := along(xy, 12, 0.3, rnd)
	half := 140 + 30*math.Pi + 140 + 24*math.Pi + 70.0
	log.Fixes = log.Fixes[:int(half/12*5)]
	l := course(t, log)
	if l.Closed || len(l.Laps) > 0 || !told(l.Notes, "not sure whether it is a lap") {
		t.Errorf("closed %v on the other lane, %d laps, %.0f m; %q", l.Closed, len(l.Laps), l.Length, l.Notes)
	}
}

// A ride of 1.15 laps holds one lap.
func TestLittleMoreThanALap(t *testing.T) {
	log, tr := ovalLog(1.15, 12)
	l := course(t, log)
	if len(l.Laps) != 1 || !l.Closed || math.Abs(l.Length/tr.length-1) > 0.005 || math.Abs(l.Taken-tr.period) > 0.15 {
		t.Errorf("%d laps, closed %v, %.1f m in %.2f s", len(l.Laps), l.Closed, l.Length, l.Taken)
	}
}

// A ride of one lap that ends on the line where it began is a lap, without any of the way twice.
func TestJustALap(t *testing.T) {
	log, tr := ovalLog(0.995, 13)
	l := course(t, log)
	if !l.Closed || math.Abs(l.Length/tr.length-1) > 0.02 {
		t.Errorf("closed %v, %.1f m; %q", l.Closed, l.Length, l.Notes)
	}
}

// A road is one way; so is one with a small turn on it.
func TestOneWay(t *testing.T) {
	rnd := rand.New(rand.NewPCG(14, 1))
	h := 0.0
	road := straight([][2]float64{{0, 0}}, h, 120)
	road = straight(arc(road, &h, 25, 1), h, 150)
	l := course(t, along(road, 15, 0.3, rnd))
	if want := 120 + 25.0 + 150; l.Closed || len(l.Laps) > 0 || math.Abs(l.Length/want-1) > 0.02 || math.Abs(l.Taken-want/15) > 0.5 {
		t.Errorf("closed %v, %d laps, %.1f m in %.2f s", l.Closed, len(l.Laps), l.Length, l.Taken)
	}
	h = 0
	turn := straight([][2]float64{{0, 0}}, h, 2000)
	turn = straight(arc(turn, &h, 20, 2*math.Pi), h, 2000)
	if l := course(t, along(turn, 15, 0.3, rnd)); l.Closed || len(l.Laps) > 0 {
		t.Errorf("a turn on the way is taken for %d laps of %g m", len(l.Laps), l.Length)
	}
}

// A way back to the pits and round again is no lap.
func TestUnlikeLapsAreLeftOut(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 1))
	one := func(xy [][2]float64) [][2]float64 {
		h := 0.0
		xy = straight(xy, h, 80)
		xy = arc(xy, &h, 15, math.Pi)
		xy = straight(xy, h, 80)
		return arc(xy, &h, 15, math.Pi)
	}
	xy := [][2]float64{{0, 0}}
	for range 3 {
		xy = one(xy)
	}
	xy = append(xy, [2]float64{40, 0}, [2]float64{60, -20}, [2]float64{40, -40}, [2]float64{-140, -40}, [2]float64{-160, -20}, [2]float64{-140, 0}, [2]float64{0, 0})
	for range 3 {
		xy = one(xy)
	}
	l := course(t, along(xy, 12, 0.3, rnd))
	whole := 160 + 30*math.Pi
	for _, p := range l.Laps {
		if math.Abs(p.Length-whole) > 8 {
			t.Errorf("a lap of %g m is taken", p.Length)
		}
	}
	if len(l.Laps) < 3 {
		t.Errorf("%d laps", len(l.Laps))
	}
}
