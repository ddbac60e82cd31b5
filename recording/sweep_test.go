package recording

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// tally counts over many invented rides.
type tally struct {
	rides, rough          int     // and those that were refused as too rough
	near, held            int     // of the others: length within 2 %, and inside its range
	steps, curves, slopes int     // steps, and those whose curvature and slope lie inside their ranges
	worst                 float64 // [-] error of a length
}

func (c *tally) add(o tally) {
	c.rides, c.rough, c.near, c.held, c.steps, c.curves, c.slopes = c.rides+o.rides, c.rough+o.rough, c.near+o.near, c.held+o.held, c.steps+o.steps, c.curves+o.curves, c.slopes+o.slopes
	c.worst = math.Max(c.worst, o.worst)
}

func (c *tally) String() string {
	n := float64(c.rides - c.rough)
	return fmt.Sprintf("%4d rides, %3d too rough; within 2 %%: %4d, worst %.2f %%; inside its range: length %.1f %%, curvature %.1f %%, slope %.1f %%", c.rides, c.rough, c.near, 100*c.worst, 100*float64(c.held)/n, 100*float64(c.curves)/float64(c.steps), 100*float64(c.slopes)/float64(c.steps))
}

// judge makes a line of an invented ride and holds it against what was ridden.
func judge(t *testing.T, tr *truth, g receiver, laps float64, seed uint64) (c tally) {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 7))
	from := rnd.Float64() * tr.period
	l, err := Course(t.Context(), tr.log(g, laps, from, rnd), 1, 20000)
	c.rides = 1
	if errors.Is(err, ErrRough) {
		c.rough = 1
		return c
	}
	if err != nil {
		t.Fatalf("%+v, seed %d: %v", g, seed, err)
	}
	c.worst = math.Abs(l.Length/tr.length - 1)
	if c.worst <= 0.02 {
		c.near = 1
	}
	if !l.Closed {
		t.Errorf("%+v, seed %d: no lap is found", g, seed)
	}
	if tr.length >= l.Low && tr.length <= l.High {
		c.held = 1
	}
	for i, at := range l.Clock {
		now := l.begin + at + from
		_, _, _, k := tr.at(now)
		c.steps++
		if math.Abs(l.Curvature[i]-k) <= normal*l.Unsure[i] {
			c.curves++
		}
		if math.Abs(l.Slope[i]-tr.slope(now)) <= normal*l.Steep[i] {
			c.slopes++
		}
	}
	return c
}

// noises are what receivers err by in the sweep, up to 1 m and beyond.
var noises = []receiver{
	{white: 0}, {white: 0.3}, {white: 1}, {white: 0.05, drift: 0.3, stays: 20}, {white: 0.05, drift: 1, stays: 20}, {white: 0.5, drift: 0.5, stays: 20}, // up to 1 m
	{white: 2}, {white: 0.05, drift: 2, stays: 60},
}

const upToAMetre = 6 // of the noises

// Rides round an oval of 508 m, an eight and a course of hairpins, logged at 1 to 25 Hz with noise that is white or
// wanders, of 0 to 2 m: up to 1 m the length is right within 2 % or the ride is refused as too rough for its course;
// ranges of 95 % hold in 93 to 97 % of all, but for what is noted. The few of the ordinary run only show that lengths
// are right; all of them need SHAKEDOWN_HEAVY=all.
func TestSweepHeavy(t *testing.T) {
	rates, seeds, some := []float64{1, 10}, 1, []int{1, 2, 4}
	heavy := os.Getenv("SHAKEDOWN_HEAVY") != ""
	if heavy {
		rates, seeds, some = []float64{1, 5, 10, 25}, shareOf(20, 3), []int{0, 1, 2, 3, 4, 5, 6, 7}
	}
	var all tally
	for _, course := range []struct {
		name string
		bits []bit
	}{{"oval", ovalTrack()}, {"eight", eightTrack()}, {"hairpins", hairpinTrack()}} {
		tr := ridden(course.bits, 18)
		var whole tally
		for _, rate := range rates {
			for _, k := range some {
				g := noises[k]
				g.rate = rate
				var here tally
				for seed := range seeds {
					here.add(judge(t, tr, g, 3.3, uint64(seed)))
				}
				if heavy {
					t.Logf("%-8s %2g Hz, white %.2f m, wandering %.1f m: %v", course.name, rate, g.white, g.drift, &here)
				}
				if ridden := here.rides - here.rough; k < upToAMetre && here.near < ridden {
					t.Errorf("%s at %g Hz, %+v: the length of %d of %d rides is off by more than 2 %%, the worst by %.1f %%", course.name, rate, g, ridden-here.near, ridden, 100*here.worst)
				}
				whole.add(here)
			}
		}
		t.Logf("%-8s %v", course.name, &whole)
		all.add(whole)
	}
	t.Logf("all      %v", &all)
	if os.Getenv("SHAKEDOWN_HEAVY") != "all" { // a part of the rides says little about a per cent or two
		return
	}
	for what, share := range map[string]float64{"length": float64(all.held) / float64(all.rides-all.rough), "curvature": float64(all.curves) / float64(all.steps), "slope": float64(all.slopes) / float64(all.steps)} {
		if share < 0.93 || share > 0.97 {
			t.Errorf("the range of the %s holds in %.1f %%", what, 100*share)
		}
	}
}

// Logged speeds make a course surer: hairpins at 1 Hz with 1 m of noise.
func TestLoggedSpeeds(t *testing.T) {
	tr := ridden(hairpinTrack(), 18)
	var without, with, held float64
	const rides = 6
	for seed := range uint64(rides) {
		for _, speed := range []float64{0, 0.2} {
			l, err := Course(t.Context(), tr.log(receiver{rate: 1, white: 1, speed: speed}, 3.3, 7, rand.New(rand.NewPCG(seed, 9))), 1, 20000)
			if err != nil {
				t.Log(speed, err)
				continue
			}
			if speed == 0 {
				without += (l.High - l.Low) / rides
				continue
			}
			with += (l.High - l.Low) / rides
			if math.Abs(l.Length/tr.length-1) > 0.01 {
				t.Errorf("seed %d: %.1f m of %.1f (%.1f to %.1f)", seed, l.Length, tr.length, l.Low, l.High)
			}
			if tr.length >= l.Low && tr.length <= l.High {
				held++
			}
		}
	}
	if !(with > 0 && with < 0.7*without) || held < 5 {
		t.Errorf("ranges of %.1f m become %.1f with speeds, and hold the length in %g of %d", without, with, held, rides)
	}
}

// shareOf is how many of so many a heavy run takes: all of them with SHAKEDOWN_HEAVY=all, which takes long, else a
// part.
func shareOf(all, part int) int {
	if os.Getenv("SHAKEDOWN_HEAVY") == "all" {
		return all
	}
	return part
}
