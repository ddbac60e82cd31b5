package ranges_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/machine"
	"shakedown/quantity"
)

// sure is a machine of which two numbers are known to so much: one standard uncertainty of the bore is 2 mm, one of the
// stroke 3 mm.
const sure = `sheet: 1
machine:
  layout: three-wheeler
  engine: {cycle: four-stroke, bore: 80 mm ± 4 mm measured, stroke: 60 mm ± 6 mm, rod_length: 120 mm ± 0 mm}
parts:
  longer: {kind: crank, adds: {engine.stroke: 6 mm ± 0 mm}}
  other: {kind: crank, sets: {engine.stroke: 66 mm ± 0 mm}}
  rod: {kind: rod, sets: {engine.rod_length: 130 mm ± 0 mm}}
  none: {kind: crank, removes: [engine.stroke]}
  two: {kind: engine, sets: {engine.cycle: two-stroke}}
builds: {as-found: [], longer: [longer], other: [other], rod: [rod], none: [none], two: [two]}
`

func built(t *testing.T, name string) *machine.Build { t.Helper(); return byhand.Build(t, sure, name) }

// pair are two builds of one project.
func pair(t *testing.T, one, other string) (now, before *machine.Build) {
	t.Helper()
	p := byhand.Project(t, sure)
	now, err1 := p.Resolve(one)
	before, err2 := p.Resolve(other)
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	return now, before
}

func bore(in *ranges.Inputs) float64   { return 1000 * in.Num("engine.bore") }
func stroke(in *ranges.Inputs) float64 { return 1000 * in.Num("engine.stroke") }

// of is a figure in mm2 or whatever the sum gives, without a unit.
func of(model ranges.ModelError, sum func(in *ranges.Inputs) (float64, error)) ranges.Definition {
	return ranges.Definition{ID: "x", Title: "X", Unit: "1", Model: model, Compute: sum}
}

func product(in *ranges.Inputs) (float64, error) { return bore(in) * stroke(in), nil }

func close(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// A product by the first order. One standard uncertainty of the bore moves 80 x 60 by 2 x 60 = 120, of the stroke by 3
// x 80 = 240: together root(120^2 + 240^2) = 268.3282, and twice that holds 95 %: 536.6563. A model that may be off by
// 5 %, 240, makes it root(536.6563^2 + 240^2) = 587.8775; of the variance 120^2 + 240^2 + 120^2 the bore makes 1/6 and
// the stroke 2/3.
func TestAProductByHand(t *testing.T) {
	e := ranges.NewEvaluator(built(t, "as-found"), nil)
	f := e.Figure(of(ranges.ModelError{}, product))
	if f.State != figure.Ready || f.Value != 4800 || !close(f.High-f.Value, 536.6563, 1e-6) || !close(f.Value-f.Low, 536.6563, 1e-6) || f.Basis.Sampled || f.Change != nil {
		t.Errorf("%+v", f)
	}
	f = e.Figure(of(ranges.ModelError{Share: 0.05, Note: "a note"}, product))
	if !close(f.High-f.Value, 587.8775, 1e-6) || !close(f.Value-f.Low, 587.8775, 1e-6) || f.Basis.ModelError != 0.05 || f.Basis.ModelNote != "a note" {
		t.Errorf("%+v", f)
	}
	if len(f.Basis.Inputs) != 2 {
		t.Fatalf("%+v", f.Basis.Inputs)
	}
	for i, want := range []figure.Input{{Path: "engine.stroke", Value: 0.06, Half: 0.006, Share: 2.0 / 3, Known: quantity.Estimated}, {Path: "engine.bore", Value: 0.08, Half: 0.004, Share: 1.0 / 6, Known: quantity.Measured}} {
		got := f.Basis.Inputs[i]
		if got.Path != want.Path || !close(got.Value, want.Value, 1e-12) || !close(got.Half, want.Half, 1e-12) || !close(got.Share, want.Share, 1e-6) || got.Known != want.Known || got.Word {
			t.Errorf("input %d is %+v", i, got)
		}
	}
	if f := e.Quick(of(ranges.ModelError{}, product)); f.State != figure.Ready || f.Value != 4800 {
		t.Errorf("alone %g (%s)", f.Value, f.Why)
	}
	if slices.ContainsFunc(e.Delta, func(d float64) bool { return d != 0 }) {
		t.Error("atoms are left moved")
	}
}

// What two builds share moves both. By hand, with 6 mm more stroke, surely so:
//
//	the sum bore + stroke is 6 more, and nothing of what is unsure is in that
//	the product is 5280, 480 more: one standard uncertainty of the bore moves the difference by 2 x 6 = 12, of the
//	stroke, which both have, by nothing: 3 x (80 - 80): 24 to each side
//	against a stroke of its own, 66 mm sure, the old one is not shared: root(12^2 + 240^2) = 240.2998, 480.5996 to
//	each side; of models 5 % of the change and 1 % of the larger value, root(24^2 + 52.8^2) = 58: 484.0868
//	bore over bore is 1, whatever the bore is
func TestWhatBuildsShareCancels(t *testing.T) {
	longer, found := pair(t, "longer", "as-found")
	e := ranges.NewEvaluator(longer, found)
	f := e.Figure(of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) { return bore(in) + stroke(in), nil }))
	if c := f.Change; c == nil || !close(c.Value, 6, 1e-9) || !close(c.Low, 6, 1e-9) || !close(c.High, 6, 1e-9) || !close(f.High-f.Value, 7.211103, 1e-6) { // 2 root(2^2 + 3^2)
		t.Errorf("sum: %+v %+v", f, f.Change)
	}
	f = e.Figure(of(ranges.ModelError{}, product))
	if c := f.Change; c == nil || !close(c.Value, 480, 1e-9) || !close(c.High-c.Value, 24, 1e-6) || !close(c.Value-c.Low, 24, 1e-6) || c.Most != "engine.bore" {
		t.Errorf("product: %+v", f.Change)
	}
	if in := f.Basis.Inputs[0]; in.Path != "engine.stroke" || !close(in.Value, 0.066, 1e-12) || in.Text != "" {
		t.Errorf("a stroke of two numbers: %+v", in)
	}
	other, found := pair(t, "other", "as-found")
	f = ranges.NewEvaluator(other, found).Figure(of(ranges.ModelError{Share: 0.05, Private: 0.01}, product))
	if c := f.Change; c == nil || !close(c.Value, 480, 1e-9) || !close(c.High-c.Value, 484.0868, 1e-6) || !close(c.Value-c.Low, 484.0868, 1e-6) || c.Most != "engine.stroke" {
		t.Errorf("another stroke: %+v", f.Change)
	}
	f = e.Figure(of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) { return bore(in) / bore(in), nil }))
	if f.Value != 1 || f.Low != 1 || f.High != 1 || f.Change == nil || !f.Change.None() {
		t.Errorf("bore over bore: %+v %+v", f, f.Change)
	}
	// A part that the figure does not read changes nothing, exactly, for all that its model may be off.
	rod, found := pair(t, "rod", "as-found")
	f = ranges.NewEvaluator(rod, found).Figure(of(ranges.ModelError{Share: 0.05, Private: 0.05}, product))
	if f.Change == nil || !f.Change.None() || f.Change.Low != 0 || f.Change.High != 0 {
		t.Errorf("a longer rod changes a product that does not hold it: %+v", f.Change)
	}
	if q := e.Quick(of(ranges.ModelError{}, product)); q.Value != q.Low || q.Value != q.High || !close(q.Change.Value, 480, 1e-9) || q.Change.Low != q.Change.High {
		t.Errorf("quick: %+v %+v", q, q.Change)
	}
}

// Strongly bent sums are sampled and hold the exact quantiles. With z the bore's distance from 80 mm in standard
// uncertainties, and y that of the stroke:
//
//	e^z lies between e^-2 = 0.1353353 and e^2 = 7.389056
//	e^(z + y) between e^(-2 root 2) = 0.0591057 and 16.91883: z + y has a standard deviation of root 2
//	(z + 3)^2 between 1 and 25, of 9
//	z^2 up to 5.187, of 0, though no slope says so
//	1/(z + 4) between 1/6 and 1/2, of 1/4
func TestBentSumsHoldTheirQuantiles(t *testing.T) {
	e := ranges.NewEvaluator(built(t, "as-found"), nil)
	z := func(in *ranges.Inputs) float64 { return (bore(in) - 80) / 2 }
	y := func(in *ranges.Inputs) float64 { return (stroke(in) - 60) / 3 }
	for name, c := range map[string]struct {
		sum             func(in *ranges.Inputs) float64
		value, from, to float64
		within          float64 // of each end: one number is drawn in 512 equal strips, which leaves 0.02 of a standard uncertainty; two more
	}{
		"e^z":       {func(in *ranges.Inputs) float64 { return math.Exp(z(in)) }, 1, 0.1353353, 7.389056, 0.01},
		"e^(z + y)": {func(in *ranges.Inputs) float64 { return math.Exp(z(in) + y(in)) }, 1, 0.0591057, 16.91883, 0.12},
		"(z + 3)^2": {func(in *ranges.Inputs) float64 { return math.Pow(z(in)+3, 2) }, 9, 1, 25, 0.01},
		"z^2":       {func(in *ranges.Inputs) float64 { return z(in) * z(in) }, 0, 0, 5.187, 0.02}, // |z| is below 2.2776 in 97.72 %; each side has half of the strips
		"1/(z + 4)": {func(in *ranges.Inputs) float64 { return 1 / (z(in) + 4) }, 0.25, 1.0 / 6, 0.5, 0.01},
	} {
		f := e.Figure(of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) { return c.sum(in), nil }))
		if !f.Basis.Sampled || !close(f.Value, c.value, 1e-12) || !close(f.Low, c.from, c.within) || !close(f.High, c.to, c.within) {
			t.Errorf("%s: %g in %g to %g, by hand %g in %g to %g (sampled: %v)", name, f.Value, f.Low, f.High, c.value, c.from, c.to, f.Basis.Sampled)
		}
		again := e.Figure(of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) { return c.sum(in), nil }))
		if again.Low != f.Low || again.High != f.High {
			t.Errorf("%s: another range when asked again", name)
		}
	}
	// A change of two bent figures that share what bends them: e^z 130/120 less e^z is a twelfth of e^z.
	now, before := pair(t, "rod", "as-found")
	geared := of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) {
		return math.Exp(z(in)) * in.Num("engine.rod_length") / 0.12, nil
	})
	c := ranges.NewEvaluator(now, before).Figure(geared).Change
	if c == nil || !close(c.Value, 1.0/12, 1e-9) || !close(c.Low, 0.1353353/12, 0.01) || !close(c.High, 7.389056/12, 0.01) || c.Most != "engine.bore" {
		t.Errorf("%+v", c)
	}
}

// One side that cannot be computed is taken from the other; an input that leads nowhere on both is named, and the range
// holds what the others do: 2 x 3 = 6 to each side.
func TestWhatCannotBeMovedIsNamed(t *testing.T) {
	e := ranges.NewEvaluator(built(t, "as-found"), nil)
	upwards := of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) {
		if bore(in) < 79.99 {
			return 0, errors.New("too small")
		}
		return bore(in), nil
	})
	if f := e.Figure(upwards); f.State != figure.Ready || len(f.Narrow) > 0 || !close(f.High, 84, 0.01) || !f.Basis.Sampled {
		t.Errorf("%+v", f)
	}
	neither := of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) {
		if math.Abs(bore(in)-80) > 1e-9 {
			return 0, errors.New("nothing else")
		}
		return stroke(in), nil
	})
	if f := e.Figure(neither); !slices.Equal(f.Narrow, []string{"bore"}) || !close(f.Value-f.Low, 6, 1e-9) || !close(f.High-f.Value, 6, 1e-9) {
		t.Errorf("%+v", f)
	}
	// Where most of a sample leads nowhere nothing is sure: as much as the value to each side.
	rarely := of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) {
		if math.Abs(stroke(in)-60) > 1 && math.Abs(stroke(in)-57) > 0.1 && math.Abs(stroke(in)-63) > 0.1 {
			return 0, errors.New("mostly not")
		}
		return 7 + stroke(in) - 60, nil
	})
	if f := e.Figure(rarely); !f.Basis.Sampled || !close(f.High, 14, 1e-9) || math.Abs(f.Low) > 1e-9 {
		t.Errorf("%+v", f)
	}
}

// A figure that is cut off says where; one that lacks inputs names them with how to get them; what is no number is
// none.
func TestEndsAndReasons(t *testing.T) {
	b := built(t, "as-found")
	e := ranges.NewEvaluator(b, nil)
	cut := of(ranges.ModelError{}, func(in *ranges.Inputs) (float64, error) {
		if in.Trace != nil {
			in.Trace.End = "at its stop"
		}
		return bore(in), nil
	})
	if f := e.Figure(cut); f.End != "at its stop" || !close(f.High, 84, 1e-9) {
		t.Errorf("%+v", f)
	}
	none, found := pair(t, "none", "as-found")
	f := ranges.NewEvaluator(none, found).Figure(of(ranges.ModelError{}, product))
	if f.State != figure.Cannot || !slices.Equal(f.Missing, []string{"engine.stroke"}) || !strings.HasPrefix(f.Why, "needs the stroke (") || f.Change != nil || len(f.Basis.Inputs) != 1 || f.Basis.Inputs[0].Path != "engine.bore" {
		t.Errorf("%+v", f)
	}
	// A baseline without the input leaves the figure without a change.
	if f := ranges.NewEvaluator(found, none).Figure(of(ranges.ModelError{}, product)); f.State != figure.Ready || f.Change != nil || !close(f.High-f.Value, 536.6563, 1e-6) {
		t.Errorf("%+v", f)
	}
	for name, sum := range map[string]func(in *ranges.Inputs) (float64, error){
		"no finite result": func(in *ranges.Inputs) (float64, error) { return 1 / (bore(in) - bore(in)), nil },
		"out of reach":     func(in *ranges.Inputs) (float64, error) { return bore(in), errors.New("out of reach") },
		"wrong from below": func(in *ranges.Inputs) (float64, error) {
			in.Fail(errors.New("wrong from below"))
			return bore(in), nil
		},
	} {
		if f := e.Figure(of(ranges.ModelError{}, sum)); f.State != figure.Cannot || !strings.Contains(f.Why, name) {
			t.Errorf("%s: %+v", name, f)
		}
		if q := e.Quick(of(ranges.ModelError{}, sum)); q.State != figure.Cannot || !strings.Contains(q.Why, name) {
			t.Errorf("%s, quick: %+v", name, q)
		}
	}
}

// A two-stroke is without what holds for four-strokes, and as a baseline leaves those without a change.
func TestTwoStrokeIsWithout(t *testing.T) {
	two, found := pair(t, "two", "as-found")
	d := of(ranges.ModelError{}, product)
	d.FourStroke = true
	if d.Applies(two) || !d.Applies(found) {
		t.Error("a figure of four-strokes applies to a two-stroke, or does not to a four-stroke")
	}
	e := ranges.NewEvaluator(found, two)
	if f, q := e.Figure(d), e.Quick(d); f.Change != nil || q.Change != nil || f.State != figure.Ready {
		t.Errorf("against a two-stroke: %+v %+v", f.Change, q.Change)
	}
	d.FourStroke, d.Only = false, ranges.Both(ranges.Given("engine.bore"), ranges.Given("engine.liner_outer"))
	if d.Applies(found) {
		t.Error("applies without the input that it is only for")
	}
	d.Only = ranges.Both(ranges.Given("engine.bore"), ranges.Listed("driveline.gears"))
	if d.Applies(found) {
		t.Error("applies without the list that it is only for")
	}
}

// How a figure reads: numbers with what parts add, counts, words, what was found, and what parts reset.
func TestReading(t *testing.T) {
	longer, _ := pair(t, "longer", "as-found")
	in := &ranges.Inputs{Build: longer, Delta: ranges.Moves(longer.Project), Trace: &ranges.Trace{}}
	base := longer.Project.Base["engine.stroke"].Terms[0]
	in.Delta[base] = 0.001
	found, ok := in.Found("engine.stroke")
	if !ok || !close(found, 0.061, 1e-12) || !close(in.Num("engine.stroke"), 0.067, 1e-12) || !in.Build.Changed("engine.stroke") || in.Build.Changed("engine.bore") {
		t.Errorf("found %g, now %g", found, in.Num("engine.stroke"))
	}
	if in.Text("engine.cycle") != "four-stroke" || !in.Has("engine.bore") || in.Has("engine.liner_outer") || in.Count("engine.cylinders") != 1 {
		t.Error("a word, a number that is there, one that is not, a count")
	}
	if !slices.Contains(in.Trace.Atoms, base) || !slices.Contains(in.Trace.Paths, "engine.cycle") || slices.Contains(in.Trace.Paths, "engine.liner_outer") {
		t.Errorf("%+v", in.Trace)
	}
	if v := in.Num("engine.liner_outer"); v != 0 || !slices.Equal(in.Missing, []string{"engine.liner_outer"}) {
		t.Errorf("a number that nobody gave is %g, missing %v", v, in.Missing)
	}
	if apart := in.Apart(); len(apart.Missing) > 0 || !close(apart.Num("engine.stroke"), 0.067, 1e-12) {
		t.Errorf("apart: %v", apart.Missing)
	}
	in.Forget("engine.liner_outer")
	in.Assume("one")
	in.Assume("one")
	if len(in.Missing) > 0 || !slices.Equal(in.Assumed, []string{"one"}) {
		t.Errorf("missing %v, assumed %v", in.Missing, in.Assumed)
	}
	if ranges.Entry("driveline.gears", 2, "") != "driveline.gears[2]" || ranges.Entry("fits", 0, "gap") != "fits[0].gap" || ranges.Filled("a.%s.b", "front") != "a.front.b" {
		t.Error("paths")
	}
}
