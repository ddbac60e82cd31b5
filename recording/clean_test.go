package recording

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// ovalLog is so many laps of the oval at 10 Hz with 0.3 m of noise; a lap takes 34.14 s.
func ovalLog(laps float64, seed uint64) (*Log, *truth) {
	tr := ridden(ovalTrack(), 18)
	return tr.log(receiver{rate: 10, white: 0.3}, laps, 0, rand.New(rand.NewPCG(seed, 7))), tr
}

// course makes a line of a log; it must come out.
func course(t *testing.T, log *Log) *Line {
	t.Helper()
	l, err := Course(t.Context(), log, 1, 20000)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Each bad fix is left out, counted and told, and the oval of 508.5 m that is lapped in 34.14 s comes out as if it had
// not been there.
func TestBadFixes(t *testing.T) {
	jump := func(f Fix, east float64) Fix { f.Lon += east / 75000; return f }
	for name, c := range map[string]struct {
		spoil func(l []Fix) []Fix
		note  string
	}{
		"none":                            {func(l []Fix) []Fix { return l }, ""},
		"first at 0,0":                    {func(l []Fix) []Fix { l[0].Lat, l[0].Lon = 0, 0; return l }, "1 place was left out at latitude and longitude 0"},
		"first where it was switched off": {func(l []Fix) []Fix { l[0].Lat += 0.5; return l }, "1 place was left out: the receiver jumped, or its time did"},
		"a jump of 400 m":                 {func(l []Fix) []Fix { l[200] = jump(l[200], 400); return l }, "1 place was left out: the receiver jumped, or its time did"},
		"three in a row": {func(l []Fix) []Fix {
			l[200], l[201], l[202] = jump(l[200], 400), jump(l[201], 400), jump(l[202], 400)
			return l
		}, "3 places were left out: the receiver jumped, or its time did"},
		"a jump of 8 m":               {func(l []Fix) []Fix { l[200] = jump(l[200], 8); return l }, "1 place was left out: the receiver jumped aside"},
		"a jump with an equal time":   {func(l []Fix) []Fix { f := jump(l[200], 300); return slices.Insert(l, 201, f) }, "1 place was left out: the receiver jumped, or its time did"},
		"a fix twice":                 {func(l []Fix) []Fix { return slices.Insert(l, 201, jump(l[200], 0.2)) }, "1 place was left out that had the time of the one before"},
		"a jump with an earlier time": {func(l []Fix) []Fix { f := jump(l[200], 300); f.Time -= 7; return slices.Insert(l, 201, f) }, "1 place was left out: the receiver jumped, or its time did"},
		"an earlier time alone":       {func(l []Fix) []Fix { f := l[200]; f.Time -= 7; return slices.Insert(l, 201, f) }, "1 place was left out: the receiver jumped, or its time did"},
		"a jump without a time":       {func(l []Fix) []Fix { f := jump(l[200], 300); f.Time = unknown; return slices.Insert(l, 201, f) }, "1 place was left out that had no time"},
		"endless heights": {func(l []Fix) []Fix {
			for i := range l {
				l[i].Height = unknown
			}
			return l
		}, ""},
	} {
		log, tr := ovalLog(3.3, 1)
		log.Fixes = c.spoil(log.Fixes)
		l := course(t, log)
		if !(tr.length >= l.Low && tr.length <= l.High) || math.Abs(l.Length/tr.length-1) > 0.005 {
			t.Errorf("%s: %.1f m (%.1f to %.1f)", name, l.Length, l.Low, l.High)
		}
		if len(l.Laps) < 2 || math.Abs(l.Taken-tr.period) > 0.15 {
			t.Errorf("%s: %d laps, the quickest of %.2f s, %.2f expected", name, len(l.Laps), l.Taken, tr.period)
		}
		if c.note == "" && len(l.Notes) > 0 || c.note != "" && !told(l.Notes, c.note) {
			t.Errorf("%s: notes %q", name, l.Notes)
		}
	}
}

// A clock that is set back in mid-ride makes no quick lap: by 34.62 s a lap of 34.14 s would have taken less than
// nothing, and by 12 s 22.1. The laps before and after keep their times.
func TestClockSetBack(t *testing.T) {
	for _, back := range []float64{12, 34.62, 3600} {
		log, tr := ovalLog(5.2, 2)
		for i := range log.Fixes {
			if i > len(log.Fixes)/2 {
				log.Fixes[i].Time -= back
			}
		}
		l := course(t, log)
		timed := 0
		for _, p := range l.Laps {
			if math.IsNaN(p.Time) {
				continue
			}
			timed++
			if math.Abs(p.Time-tr.period) > 0.15 {
				t.Errorf("set back by %g s: a lap of %.2f s, %.2f expected", back, p.Time, tr.period)
			}
		}
		if timed < 2 || timed == len(l.Laps) || !told(l.Notes, "the clock was set back by") {
			t.Errorf("set back by %g s: %d of %d laps are timed; %q", back, timed, len(l.Laps), l.Notes)
		}
	}
}

// Two files joined into one make no lap from one to the other, whichever comes first, and whether or not their times go
// on.
func TestFilesJoined(t *testing.T) {
	for name, move := range map[string]float64{"the same morning once more": 0, "an hour later": 3600, "the day before": -86400} {
		log, tr := ovalLog(2.6, 3)
		more := tr.log(receiver{rate: 10, white: 0.3}, 2.6, 11, rand.New(rand.NewPCG(4, 7)))
		for _, f := range more.Fixes {
			f.Time += move
			log.Fixes = append(log.Fixes, f)
		}
		l := course(t, log)
		for _, p := range l.Laps {
			if math.Abs(p.Time-tr.period) > 0.15 {
				t.Errorf("%s: a lap of %.2f s, %.2f expected", name, p.Time, tr.period)
			}
		}
		if len(l.Laps) < 2 {
			t.Errorf("%s: %d laps", name, len(l.Laps))
		}
	}
}

// No lap is quicker than anything can be ridden, whatever the times are: 15 m/s made five times and a hundred times as
// quick are 75 and 1500.
func TestTimesThatRace(t *testing.T) {
	for _, quick := range []float64{5, 100} {
		log, tr := ovalLog(3.3, 5)
		for i := range log.Fixes {
			log.Fixes[i].Time /= quick
		}
		l, err := Course(t.Context(), log, 1, 20000)
		if err != nil {
			if !errors.Is(err, ErrRecording) && !errors.Is(err, ErrRough) {
				t.Error(err)
			}
			continue
		}
		for _, p := range append(l.Laps, Lap{Time: l.Taken}) {
			if p.Time < tr.length/fastestRide {
				t.Errorf("%g times as quick: a lap of %.0f m in %g s", quick, l.Length, p.Time)
			}
		}
		if !told(l.Notes, "quicker than anything can be ridden") {
			t.Errorf("%g times as quick: %q", quick, l.Notes)
		}
	}
}

// A long road is taken whole in longer steps; one that is too long is refused with what to do.
func TestLongRoads(t *testing.T) {
	for _, far := range []float64{52000, 75000} {
		var xy [][2]float64
		for s := 0.0; s <= far; s += 20 {
			xy = append(xy, [2]float64{s, 60 * math.Sin(s/240)})
		}
		l, err := Course(t.Context(), along(xy, 20, 0.5, rand.New(rand.NewPCG(16, 1))), 1, 20000)
		switch {
		case far > mostLong:
			if !errors.Is(err, ErrLong) || !strings.Contains(err.Error(), "cut the recording") {
				t.Errorf("%g km: %v", far/1000, err)
			}
		case err != nil:
			t.Errorf("%g km: %v", far/1000, err)
		case len(l.Curvature) != 20000 || math.Abs(l.Length/far-1) > 0.05 || l.Closed:
			t.Errorf("%g km: %d steps over %.0f m, closed %v", far/1000, len(l.Curvature), l.Length, l.Closed)
		}
	}
}

// Who no longer waits is not waited for.
func TestSmoothingStops(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	log, _ := ovalLog(3.3, 17)
	if _, err := Course(ctx, log, 1, 20000); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

// Times in whole seconds at ten fixes a second are spread; the lap then takes what it takes.
func TestWholeSeconds(t *testing.T) {
	log, tr := ovalLog(3.3, 6)
	for i := range log.Fixes {
		log.Fixes[i].Time = math.Floor(log.Fixes[i].Time)
	}
	l := course(t, log)
	if math.Abs(l.Taken-tr.period) > 0.2 || math.Abs(l.Length/tr.length-1) > 0.005 || !told(l.Notes, "same time") {
		t.Errorf("%.1f m in %.2f s; %q", l.Length, l.Taken, l.Notes)
	}
}

// A logger that writes faster than its receiver finds places repeats them: of 50 Hz and 10 Hz the second is taken.
func TestRepeatedPlaces(t *testing.T) {
	log, tr := ovalLog(3.3, 7)
	var fast []Fix
	for _, f := range log.Fixes {
		for k := range 5 {
			g := f
			g.Time += 0.02 * float64(k)
			fast = append(fast, g)
		}
	}
	log.Fixes = fast
	l := course(t, log)
	if math.Abs(l.Taken-tr.period) > 0.15 || math.Abs(l.Length/tr.length-1) > 0.005 {
		t.Errorf("%.1f m in %.2f s", l.Length, l.Taken)
	}
}

// Without times the oval is as long, and laps have no time. A place far away is left out.
func TestWithoutTimes(t *testing.T) {
	log, tr := ovalLog(3.3, 8)
	for i := range log.Fixes {
		log.Fixes[i].Time = unknown
	}
	log.Fixes[0].Lat += 0.3
	log.Fixes[300].Lat += 0.3
	l := course(t, log)
	if math.Abs(l.Length/tr.length-1) > 0.01 || !(tr.length >= l.Low && tr.length <= l.High) || len(l.Laps) < 2 || !math.IsNaN(l.Taken) || l.Clock != nil {
		t.Errorf("%.1f m (%.1f to %.1f), %d laps, %g s", l.Length, l.Low, l.High, len(l.Laps), l.Taken)
	}
	if !told(l.Notes, "2 places were left out: the receiver jumped") {
		t.Errorf("%q", l.Notes)
	}
}

// A machine that brakes, stands for a minute in the middle of the straight, and drives off adds nothing to its way:
// within a hundredth by a logged speed, a twentieth without.
func TestStandingStill(t *testing.T) {
	for _, speeds := range []bool{true, false} {
		tr := ridden(ovalTrack(), 18)
		rnd := rand.New(rand.NewPCG(9, 9))
		log := &Log{}
		at, rate := 0.0, 1.0 // the clock of the ride runs slower, stands and picks up
		for now := 0.0; at < 1.6*tr.period; now += 0.1 {
			switch {
			case now > 25 && now < 29:
				rate -= 0.1 / 4
			case now >= 29 && now < 89:
				rate = 0
			case now >= 89 && rate < 1:
				rate += 0.1 / 5
			}
			at += 0.1 * rate
			x, y, v, _ := tr.at(at)
			f := fixAt(x+0.3*rnd.NormFloat64(), y+0.3*rnd.NormFloat64())
			if f.Time = now; speeds {
				f.Speed = math.Abs(rate*v + 0.1*rnd.NormFloat64())
			}
			log.Fixes = append(log.Fixes, f)
		}
		l := course(t, log)
		if off := math.Abs(l.Length/tr.length - 1); off > 0.05 || speeds && off > 0.01 {
			t.Errorf("speeds %v: %.1f m (%.1f to %.1f)", speeds, l.Length, l.Low, l.High)
		}
	}
}

// A receiver that finds its height late does not make a cliff: the oval is level at 500 m.
func TestHeightThatComesLate(t *testing.T) {
	log, _ := ovalLog(2.3, 10)
	for i := range log.Fixes {
		if log.Fixes[i].Height = 500; i <= 40 {
			log.Fixes[i].Height = unknown
		}
	}
	l := course(t, log)
	for i, s := range l.Slope {
		if math.Abs(s) > 0.01 {
			t.Fatalf("a slope of %g at step %d", s, i)
		}
	}
}
