package track

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/sheet"
)

// raced are builds of the invented three-wheeler with their curves.
func raced(t testing.TB, names ...string) (builds []*machine.Build, curves []*torque.Curve) {
	t.Helper()
	s, err := sheet.Read("../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		b, err := s.Project.Resolve(name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := torque.ComputeCurve(context.Background(), b, nil)
		if err != nil {
			t.Fatal(err)
		}
		builds, curves = append(builds, b), append(curves, c)
	}
	return builds, curves
}

func TestLapTimeHasARange(t *testing.T) {
	b, c := raced(t, "full", "as-found")
	f, err := NewLapTimes(nil).Time(context.Background(), Racer{Build: b[0], Torque: torque.NewSure(b[0], c[0], nil)}, Racer{Build: b[1], Torque: torque.NewSure(b[1], c[1], nil)})
	if err != nil || f.State != figure.Ready || !(f.Low < f.Value && f.Value < f.High) || f.Change == nil || f.Change.Most == "" {
		t.Fatalf("%+v, %v", f, err)
	}
	now, err := ComputeLap(b[0], c[0], nil)
	if err != nil || math.Abs(now.Time-f.Value) > 1e-9 {
		t.Errorf("the lap is %g s, the figure %g (%v)", now.Time, f.Value, err)
	}
	same, err := NewLapTimes(nil).Time(context.Background(), Racer{Build: b[1], Torque: torque.NewSure(b[1], c[1], nil)}, Racer{Build: b[1], Torque: torque.NewSure(b[1], c[1], nil)})
	if err != nil || same.Change == nil || !same.Change.None() {
		t.Errorf("a build against itself changes by %+v (%v)", same.Change, err)
	}
	if _, err := ComputeLap(b[0], nil, nil); !errors.Is(err, ErrNoLap) {
		t.Errorf("without a curve: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := NewLapTimes(nil).Time(ctx, Racer{Build: b[0], Torque: torque.NewSure(b[0], c[0], nil)}, Racer{Build: b[1], Torque: torque.NewSure(b[1], c[1], nil)}); err == nil {
		t.Error("a cancelled question is answered")
	}
	lines, drag, change, err := GearLines(b[0], c[0])
	if err != nil || len(lines) != b[0].Len("driveline.gears") || len(change) != len(lines)-1 || len(drag.Force) == 0 {
		t.Errorf("%d gears, changes at %v (%v)", len(lines), change, err)
	}
	e, err := EnvelopeOf(b[0])
	if err != nil || len(e.Braking) < 20 {
		t.Fatal(err)
	}
	for i := range e.Braking {
		if e.HungOff[i] <= e.Tips[i] {
			t.Errorf("hung off it tips at %g, centred at %g", e.HungOff[i], e.Tips[i])
		}
	}
}

// Were a machine somewhere inside what its inputs allow, and the baseline with the same shared inputs, the range of the
// change would hold the true difference of their laps about as often as it says. The torque is moved by doubts that
// both share (friction 4 % of it, the burn's angle 2 % rising with speed) in the ranges and in the truth; the lap's own
// doubt is left out of both. A range of 512 draws is itself a draw: five of them, of other seeds, are looked at
// together.
func TestRangeOfALapHoldsTheTruth(t *testing.T) {
	b, c := raced(t, "full", "as-found", "club")
	for _, pair := range [][2]int{{0, 1}, {2, 1}} {
		now, before := b[pair[0]], b[pair[1]]
		delta := ranges.Moves(now.Project)
		r := rand.New(rand.NewPCG(3, 14))
		known := [2]*torque.Sure{doubted(now, c[pair[0]]), doubted(before, c[pair[1]])}
		time := func(b *machine.Build, known *torque.Sure) float64 {
			in := &ranges.Inputs{Build: b, Delta: delta}
			m, course, err := lapOf(in, known.Of(in), nil)
			if err != nil {
				return math.NaN()
			}
			l, err := lap.Run(m, course)
			if err != nil {
				return math.NaN()
			}
			return l.Time
		}
		const draws = 1500
		var truths []float64
		for range draws {
			for i := range delta {
				delta[i] = ranges.AtomOf(now.Project, i).Q.Half / ranges.Coverage * r.NormFloat64()
			}
			if d := time(now, known[0]) - time(before, known[1]); !math.IsNaN(d) {
				truths = append(truths, d)
			}
		}
		const seeds = 5
		mean := 0.0
		for seed := range uint64(seeds) {
			laps := NewLapTimes(nil)
			laps.seed = seed + ranges.UsualSeed
			f, err := laps.Time(context.Background(), Racer{Build: now, Torque: known[0]}, Racer{Build: before, Torque: known[1]})
			if err != nil {
				t.Fatal(err)
			}
			own := math.Hypot( // the model's own share is no input
				lapShare*f.Change.Value, lapPrivate*math.Max(f.Value, f.Value-f.Change.Value))
			low := f.Change.Value - math.Sqrt(math.Max(0, (f.Change.Value-f.Change.Low)*(f.Change.Value-f.Change.Low)-own*own))
			high := f.Change.Value + math.Sqrt(math.Max(0, (f.Change.High-f.Change.Value)*(f.Change.High-f.Change.Value)-own*own))
			held := 0
			for _, d := range truths {
				if d >= low && d <= high {
					held++
				}
			}
			share := float64(held) / float64(len(truths))
			t.Logf("%s against %s, seed %d: %.1f %% of %d drawn machines lie inside", now.Name, before.Name, laps.seed, 100*share, len(truths))
			mean += share / seeds
		}
		if len(truths) < draws*9/10 || mean < 0.93 || mean > 0.97 {
			t.Errorf("%s against %s: %.1f %% of %d inside; 93 to 97 wanted", now.Name, before.Name, 100*mean, len(truths))
		}
	}
}

// doubted is a curve with two doubts of the engine's model.
func doubted(b *machine.Build, c *torque.Curve) *torque.Sure {
	s := &torque.Spread{Terms: []torque.Term{{Name: "friction", Key: "model friction"}, {Name: "burn's angle", Key: "model burn's angle"}}}
	for i, p := range c.Points {
		s.Speeds = append(s.Speeds, p.Speed)
		s.Terms[0].Torque = append(s.Terms[0].Torque, 0.04*p.Torque)
		s.Terms[1].Torque = append(s.Terms[1].Torque, 0.04*p.Torque*float64(i)/float64(len(c.Points)))
	}
	return torque.NewSure(b, c, s)
}

func BenchmarkLapTimeOfInputs(b *testing.B) {
	builds, c := raced(b, "full")
	for b.Loop() {
		if _, err := ComputeLap(builds[0], c[0], nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLapTimeWithRange(b *testing.B) {
	builds, c := raced(b, "full")
	for b.Loop() {
		if _, err := NewLapTimes(nil).Time(context.Background(), Racer{Build: builds[0], Torque: torque.NewSure(builds[0], c[0], nil)}, Racer{}); err != nil {
			b.Fatal(err)
		}
	}
}
