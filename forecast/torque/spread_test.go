package torque

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// fenmoor is a build of the first example whose numbers may be changed.
func fenmoor(t testing.TB, name string) *machine.Build {
	t.Helper()
	sheet, err := sheet.Read("../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, err := sheet.Project.Resolve(name)
	if err != nil {
		t.Fatal(err)
	}
	p := *b.Project
	p.Atoms = slices.Clone(p.Atoms)
	b.Project = &p
	return b
}

// What moves are made of at three speeds of 20, 25 and 10 Nm: the second cannot be computed upwards, the third neither
// way, and a fourth speed has no torque at all.
func TestADoubtTakesTheOtherSide(t *testing.T) {
	nan := math.NaN()
	straight := []float64{20, 25, 10, nan}
	got, lost := moves(straight, func(sign float64) []float64 {
		if sign > 0 {
			return []float64{20.5, nan, nan, 11}
		}
		return []float64{19, 26, nan, 12}
	})
	// 20.5 - 20; 25 - 26, for down by the same gives one more, so up gives one less; nothing; nothing.
	if want := []float64{0.5, -1, 0, 0}; !slices.Equal(got, want) || !lost {
		t.Errorf("%v lost %v, want %v", got, lost, want)
	}
	got, lost = moves(straight[:2], func(sign float64) []float64 {
		if sign > 0 {
			return nil // refused altogether
		}
		return []float64{19, 25.01}
	})
	if math.Abs(got[1]+0.01) > 1e-12 || got[0] != 1 || lost {
		t.Errorf("%v lost %v, want 20 - 19 and 25 - 25.01", got, lost)
	}
	// 25 - 25.01 is less than two thousandths of 25 Nm, which the settling of cycles leaves.
	if got, want := heard(straight[:2], got), []float64{1, 0}; !slices.Equal(got, want) {
		t.Errorf("%v is heard, want %v", got, want)
	}
	if _, lost = moves(straight[:2], func(float64) []float64 { return nil }); !lost {
		t.Error("a doubt that can be moved to neither side is not told")
	}
}

// Two moves in proportion are one: the second is three times the first, turned round; the fourth three fifths of it but
// for a millionth and a half in one number; the fifth moves nothing; what moves is not known of the sixth.
func TestDoubtsThatMoveAlike(t *testing.T) {
	groups := alike([]doubt{{moved: []float64{0, 1, -2}}, {moved: []float64{0, -3, 6}}, {moved: []float64{1, 1, -2}}, {moved: []float64{0, 0.6, -1.2 * (1 + 1.5e-6)}}, {moved: []float64{0, 0, 0}}, {}, {}})
	// The furthest first, the others as shares of it: -1/3 of it.
	want := [][]member{{{1, 1}, {0, -1.0 / 3}}, {{2, 1}}, {{3, 1}}, {{5, 1}}, {{6, 1}}}
	if !slices.EqualFunc(groups, want, func(a, b []member) bool {
		return slices.EqualFunc(a, b, func(a, b member) bool { return a.at == b.at && math.Abs(a.times-b.times) < 1e-12 })
	}) {
		t.Errorf("%v\nwant\n%v", groups, want)
	}
}

// The volumes of the chamber are one move, by hand: 0.2 cm3 more in the head, 0.1 cm3 less of the dome, and 0.1 mm more
// deck under 74 mm, which is 0.43 cm3, move the torque as their volumes do. Fuel, air and pipes are moves of their own.
func TestTheChamberIsOneMove(t *testing.T) {
	b := fenmoor(t, "as-found")
	half := map[string]float64{"engine.chamber.head": 0.4e-6, "engine.chamber.dome": 0.2e-6, "engine.chamber.deck": 0.2e-3, "engine.fuel.lambda": 0.02, "engine.intake.runner_length": 2e-3}
	for i := range b.Project.Atoms {
		b.Project.Atoms[i].Q.Half = half[b.Project.Atoms[i].Path]
	}
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	base, err := breathing(in)
	if err != nil {
		t.Fatal(err)
	}
	doubts := doubtsOf(in, base)
	groups := alike(doubts)
	constants := len(engine.Doubts())
	if len(doubts) != 5+constants || len(groups) != 3+constants {
		t.Fatalf("%d doubts in %d groups; %d of them constants", len(doubts), len(groups), constants)
	}
	bore := 0.0
	if v, ok := b.Values["engine.bore"]; ok {
		bore = b.Project.Number(v)
	}
	volume := map[string]float64{"engine.chamber.head": 0.2e-6, "engine.chamber.dome": -0.1e-6, "engine.chamber.deck": 0.1e-3 * math.Pi / 4 * bore * bore}
	found := 0
	for _, g := range groups {
		first := doubts[g[0].at].term.Name
		for _, m := range g[1:] {
			found++
			name := doubts[m.at].term.Name
			if want := volume[name] / volume[first]; first != "engine.chamber.deck" || math.Abs(m.times/want-1) > 1e-6 {
				t.Errorf("%s moves %g of what %s does, want %g", name, m.times, first, want)
			}
		}
	}
	if found != 2 {
		t.Errorf("%d share a run", found)
	}
}

// A dome of 2.9 cm3 that may be 64 more fills the chamber of 36.5 cm3, and less of it makes a ratio of 5.2: that side
// is taken. A stroke of 66 mm that may be 400 more or less turns on no rod of 118 mm, and is not there at all: it can
// be moved to neither side.
func TestASpreadSaysWhatItLacks(t *testing.T) {
	b := fenmoor(t, "as-found")
	p := b.Project
	for i := range p.Atoms {
		switch p.Atoms[i].Path {
		case "engine.chamber.dome":
			p.Atoms[i].Q.Half = 64e-6
		case "engine.stroke":
			p.Atoms[i].Q.Half = 0.4
		default:
			p.Atoms[i].Q.Half = 0
		}
	}
	s, err := ComputeSpread(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.Lost, []string{"stroke"}) {
		t.Errorf("lost are %v", s.Lost)
	}
	i := slices.IndexFunc(s.Terms, func(t Term) bool { return t.Name == "engine.chamber.dome" })
	if i < 0 {
		t.Fatal("the dome's doubt counts as none")
	}
	for k, d := range s.Terms[i].Torque { // less dome, less compression, less torque: more dome counts as more
		if d <= 0 {
			t.Errorf("at %.0f rpm more compression moves the torque by %.2f Nm", s.Speeds[k], d)
		}
	}
}

// A lap of 50 s that moves to 51 s one way and to 48 s the other is half of 3 s; where one way has no lap it is how far
// the other lies from 50.
func TestHalfOfTwoSides(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		up, down, want float64
		ok             bool
	}{{51, 48, 1.5, true}, {nan, 48, 2, true}, {51, nan, 1, true}, {nan, nan, 0, false}} {
		if got, ok := ranges.HalfOf(50, c.up, c.down); got != c.want || ok != c.ok {
			t.Errorf("up %g, down %g: %g %v", c.up, c.down, got, ok)
		}
	}
}

// What is drawn goes as 10 + 3 x, but cannot be computed above zero: what is drawn there is taken from below, turned
// round. Beyond one standard uncertainty on both sides nothing is.
func TestDrawsTakeTheOtherSide(t *testing.T) {
	p := &machine.Project{Atoms: []machine.Atom{{Path: "engine.bore", Q: quantity.Quantity{Half: 2}}}}
	draw := func(refused func(x float64) bool) []float64 {
		list, err := ranges.Drawn(context.Background(), p, []int{0}, ranges.UsualSeed, []float64{10}, func(delta []float64) ([]float64, error) {
			if refused(delta[0]) {
				return nil, errors.New("it cannot be computed")
			}
			return []float64{10 + 3*delta[0]}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return list[0]
	}
	whole, half := draw(func(float64) bool { return false }), draw(func(x float64) bool { return x > 0 })
	for i := range whole {
		if math.Abs(whole[i]-half[i]) > 1e-12 {
			t.Fatalf("draw %d is %g, with one side refused %g", i, whole[i], half[i])
		}
	}
	// Of a normal distribution 31.7 % lies beyond one standard uncertainty, Abramowitz and Stegun, table 26.1: 162 of
	// 512.
	if lost := ranges.Samples - len(ranges.Computed(draw(func(x float64) bool { return math.Abs(x) > 1 }))); lost != 162 {
		t.Errorf("%d of %d draws are lost", lost, ranges.Samples)
	}
}

func TestAFigureSaysWhatItsRangeLacks(t *testing.T) {
	p := &machine.Project{Atoms: []machine.Atom{{Path: "engine.bore", Q: quantity.Quantity{Value: 1, Half: 2}}, {Path: "engine.stroke", Q: quantity.Quantity{Value: 5, Half: 2}}}}
	b := &machine.Build{Project: p, Values: map[string]machine.Value{"engine.bore": {Field: machine.FieldAt("engine.bore"), Terms: []int{0}}, "engine.stroke": {Field: machine.FieldAt("engine.stroke"), Terms: []int{1}}}}
	e := ranges.NewEvaluator(b, nil)
	f := e.Figure(ranges.Definition{ID: "x", Title: "X", Unit: "m", Compute: func(in *ranges.Inputs) (float64, error) {
		if in.Num("engine.bore") != 1 {
			return 0, errors.New("it cannot be computed") // wherever it is moved to
		}
		return in.Num("engine.stroke"), nil
	}})
	if !slices.Equal(f.Narrow, []string{"bore"}) || f.Half() != 2 {
		t.Errorf("%+v", f)
	}
}

// BenchmarkSpread is the range of the first example's curve, and how many moved engines it took.
func BenchmarkSpread(b *testing.B) {
	build := fenmoor(b, "full")
	runs := 0
	for b.Loop() {
		_, n, err := computeSpread(b.Context(), build, nil, nil)
		if err != nil {
			b.Fatal(err)
		}
		runs += n
	}
	b.ReportMetric(float64(runs)/float64(b.N), "runs/op")
}
