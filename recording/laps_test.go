package recording

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"shakedown/internal/outside"
)

// oval is a ride of several laps round two straights of 80 m and two half circles of 15 m, each lap at a speed of its own [m/s], logged at a rate
// [Hz] with noise [m], with a way in from a paddock before and back to it after.
func oval(speeds []float64, rate, noise float64) (points []Point, times []float64) {
	const straight, radius = 80.0, 15.0
	lap := 2*straight + 2*math.Pi*radius
	r := rand.New(rand.NewPCG(3, 5))
	now, way := 0.0, 0.0
	put := func(x, y float64) {
		points = append(points, Point{x + noise*r.NormFloat64(), y + noise*r.NormFloat64(), 0, now})
	}
	at := func(s float64) (x, y float64) {
		s = math.Mod(s, lap)
		switch {
		case s < straight:
			return s, 0
		case s < straight+math.Pi*radius:
			a := (s - straight) / radius
			return straight + radius*math.Sin(a), radius - radius*math.Cos(a)
		case s < 2*straight+math.Pi*radius:
			return straight - (s - straight - math.Pi*radius), 2 * radius
		}
		a := (s - 2*straight - math.Pi*radius) / radius
		return -radius * math.Sin(a), radius + radius*math.Cos(a)
	}
	for y := -60.0; y < 0; y += 3 { // from the paddock
		put(0, y)
		now += 1 / rate
	}
	for i, v := range speeds {
		times = append(times, lap/v)
		for ; way < lap*float64(i+1); way += v / rate {
			x, y := at(way)
			put(x, y)
			now += 1 / rate
		}
	}
	for y := 0.0; y > -60; y -= 3 {
		put(0, y)
		now += 1 / rate
	}
	return points, times
}

func TestOutsideLaps(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	for _, c := range []struct{ rate, noise float64 }{{10, 0}, {10, 0.3}, {1, 0.5}} {
		// Six whole laps lie between the passes of a line anywhere, seven where the ride begins and ends.
		points, _ := oval([]float64{12, 12, 15, 15, 11, 11, 11}, c.rate, c.noise)
		laps := Laps(points)
		name := fmt.Sprintf("at %g Hz with noise of %g m", c.rate, c.noise)
		if len(laps) < 5 || len(laps) > 7 {
			t.Fatalf("%s: %d laps are found of seven", name, len(laps))
		}
		best := Quickest(laps)
		whole := 160 + 30*math.Pi
		outside.Check{ID: "laps time", Name: "quickest of seven laps, " + name, Unit: "s", Got: best.Time, Want: whole / 15, Tol: 0.12, Source: "two straights of 80 m and two half circles of 15 m at 15 m/s", Known: computed}.Run(t)
		outside.Check{ID: "laps length", Name: "its length, " + name, Unit: "m", Got: best.Length, Want: whole, Tol: 0.05, Relative: true, Source: "two straights of 80 m and two half circles of 15 m", Known: computed}.Run(t)
		for i, p := range best.Points[1:] {
			if p.Time < best.Points[i].Time {
				t.Errorf("%s: time runs backwards", name)
			}
		}
		if gap := math.Hypot(best.Points[0].X-best.Points[len(best.Points)-1].X, best.Points[0].Y-best.Points[len(best.Points)-1].Y); gap > 3 {
			t.Errorf("%s: the lap ends %g m from its start", name, gap)
		}
	}
	if laps := Laps([]Point{{0, 0, 0, 0}, {10, 0, 0, 1}, {20, 0, 0, 2}, {30, 0, 0, 3}, {40, 0, 0, 4}, {50, 0, 0, 5}}); laps != nil {
		t.Errorf("a straight way has laps: %v", laps)
	}
	var turn []Point // a long way with one small turn on it
	for i := range 900 {
		x := 10 * float64(i)
		if i < 450 {
			turn = append(turn, Point{x, 0, 0, float64(i)})
			continue
		}
		if i < 466 {
			a := float64(i-450) / 15 * 2 * math.Pi
			turn = append(turn, Point{4490 + 20*math.Sin(a), 20 - 20*math.Cos(a), 0, float64(i)})
			continue
		}
		turn = append(turn, Point{x - 160, 0, 0, float64(i)})
	}
	if laps := Laps(turn); laps != nil {
		t.Errorf("a turn on the way is taken for %d laps of %g m", len(laps), laps[0].Length)
	}
	if laps := Laps(nil); laps != nil {
		t.Error("nothing has laps")
	}
	still := make([]Point, 20)
	if laps := Laps(still); laps != nil {
		t.Error("a machine that stands has laps")
	}
	// Without times the laps are found too, and the first is taken.
	points, _ := oval([]float64{12, 12, 12}, 10, 0)
	for i := range points {
		points[i].Time = math.NaN()
	}
	if laps := Laps(points); len(laps) == 0 || !math.IsNaN(Quickest(laps).Time) {
		t.Errorf("without times %d laps", len(laps))
	}
}

// Where the clock was set on the way a lap has no time, and another is the quickest.
func TestClockThatIsSet(t *testing.T) {
	points, _ := oval([]float64{12, 12, 12, 12}, 10, 0)
	for i := range points {
		if i > len(points)/2 {
			points[i].Time -= 3600
		}
	}
	laps := Laps(points)
	timed := 0
	for _, l := range laps {
		if l.Time > 0 {
			timed++
		}
		if l.Time <= 0 {
			t.Errorf("a lap of %g s", l.Time)
		}
	}
	if best := Quickest(laps); timed == 0 || timed == len(laps) || !(best.Time > 15 && best.Time < 30) {
		t.Errorf("%d of %d laps are timed, the quickest took %g s", timed, len(laps), best.Time)
	}
}

// A way back to the pits is no lap.
func TestUnlikeLapsAreLeftOut(t *testing.T) {
	points, _ := oval([]float64{12, 12, 12, 12}, 10, 0)
	long := append([]Point(nil), points...)
	last := long[len(long)-1]
	for y := -60.0; y > -300; y -= 3 { // out and home, then round once more
		last.Time += 0.1
		long = append(long, Point{0, y, 0, last.Time})
	}
	for y := -300.0; y < 0; y += 3 {
		last.Time += 0.1
		long = append(long, Point{0.5, y, 0, last.Time})
	}
	more, _ := oval([]float64{12, 12}, 10, 0)
	for _, p := range more[20:] {
		p.Time += last.Time
		long = append(long, p)
	}
	for _, l := range Laps(long) {
		if math.Abs(l.Length-(160+30*math.Pi)) > 30 {
			t.Errorf("a lap of %g m is taken", l.Length)
		}
	}
	if len(Laps(long)) < 3 {
		t.Errorf("%d laps", len(Laps(long)))
	}
}
