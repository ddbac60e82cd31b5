package torque

import (
	"errors"
	"math"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/machine"
	"shakedown/quantity"
)

// given are torque curves in place of computed ones.
type given map[*machine.Build]*Sure

func (g given) Of(b *machine.Build, name string) (any, error) {
	if name != CurveResult || g[b] == nil {
		return nil, ranges.ErrWaiting
	}
	return g[b], nil
}

// hill is a curve of three speeds about 5000 rpm: 20, 24 and 22 Nm at 4000, 5000 and 6000 rpm.
func hill() *Curve {
	c := &Curve{}
	for _, p := range [][2]float64{{4000, 20}, {5000, 24}, {6000, 22}} {
		c.Points = append(c.Points, Point{Speed: p[0], Torque: p[1], Power: p[1] * p[0] * RPM / 1000, Converged: true})
	}
	c.peaks()
	return c
}

func curveFigures(b, baseline *machine.Build, g given) map[string]figure.Figure {
	e := ranges.NewEvaluator(b, baseline)
	e.Results = g
	list := map[string]figure.Figure{}
	for _, d := range CurveFigures {
		list[d.ID] = e.Figure(d)
	}
	return list
}

// The parabola through (-1, 20), (0, 24), (1, 22) in thousands about 5000 rpm is 24 + x - 3 x^2: its top lies at x = 1/6, 24 1/12 Nm at 5166.7 rpm. The power at 4000, 5000 and 6000 rpm is
// 8.37758, 12.56637 and 13.82301 kW, so it is greatest at the end of the sweep. At 6000 rpm the mean piston speed is 12 m/s, (80/35)^2 of it is 62.69388 m/s, and the root of
// 0.3015929 l x 6000 rpm 42.53889.
func TestPeaksByHand(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	got := curveFigures(b, nil, given{b: NewSure(b, hill(), nil)})
	for id, want := range map[string]float64{
		"engine.peak_torque": 24 + 1.0/12, "engine.peak_torque_speed": (5000 + 1000.0/6) * RPM, "engine.peak_power": 13823.01, "engine.peak_power_speed": 6000 * RPM,
		"engine.header_speed_at_peak": 62.69388, "engine.carburettor_root_at_peak": 42.53889e-3,
	} {
		if f := got[id]; f.State != figure.Ready || math.Abs(f.Value/want-1) > 1e-6 {
			t.Errorf("%s is %g (%s %s), by hand %g", id, f.Value, f.State, f.Why, want)
		}
	}
	if end := got["engine.peak_power"].End; end != "still rising at the end of the sweep" {
		t.Errorf("the power at the end of the sweep: %q", end)
	}
	if end := got["engine.peak_torque"].End; end != "" {
		t.Errorf("a peak of torque that is cut off: %q", end)
	}
	// Until the spread is known 10 % stand in: 24.083 x 0.1 to each side.
	if f := got["engine.peak_torque"]; math.Abs((f.High-f.Value)/f.Value-0.1) > 1e-6 || math.Abs((f.Value-f.Low)/f.Value-0.1) > 1e-6 || len(f.Basis.Doubts) != 1 || f.Basis.Doubts[0].Share < 0.999 {
		t.Errorf("%g in %g to %g, doubts %v", f.Value, f.Low, f.High, f.Basis.Doubts)
	}
	for id, f := range curveFigures(b, nil, nil) {
		if f.State != figure.Waiting || f.Why == "" {
			t.Errorf("%s without a curve: %s %q", id, f.State, f.Why)
		}
	}
}

// Terms are moved by their numbers: one standard uncertainty of the bore moves all torque by 0.3 Nm, one of the friction by 0.4 Nm. Together the range of the peak is 2 root(0.3^2 + 0.4^2) = 1 Nm
// to each side, of which the bore makes 36 %. A baseline with the same bore and friction and 2 Nm less moves alike: its change is sure.
func TestASpreadRunsThroughThePeaks(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	bore := b.Values["engine.bore"].Terms[0]
	b.Project.Atoms[bore].Q.Half = 0.1e-3
	spread := &Spread{Speeds: []float64{4000, 6000}, Terms: []Term{
		{Name: "engine.bore", Key: atomKey(&b.Project.Atoms[bore]), Torque: []float64{0.3, 0.3}}, {Name: "friction", Key: modelKey("friction"), Torque: []float64{0.4, 0.4}},
	}}
	other := b.Project.Bare()
	less := hill()
	for i := range less.Points {
		less.Points[i].Torque -= 2
	}
	less.peaks()
	f := curveFigures(b, other, given{b: NewSure(b, hill(), spread), other: NewSure(other, less, spread)})["engine.peak_torque"]
	if math.Abs(f.High-f.Value-1) > 1e-6 || math.Abs(f.Value-f.Low-1) > 1e-6 {
		t.Errorf("%g in %g to %g, by hand 1 Nm to each side", f.Value, f.Low, f.High)
	}
	share := 0.0
	for _, in := range f.Basis.Inputs {
		if in.Path == "engine.bore" {
			share = in.Share
		}
	}
	if math.Abs(share-0.36) > 1e-6 {
		t.Errorf("the bore makes %g of it", share)
	}
	moved := (&ranges.Inputs{Build: b, Delta: ranges.Moves(b.Project)})
	moved.Delta[bore] = 0.05e-3 // one standard uncertainty
	if got := NewSure(b, hill(), spread).Of(moved).Points[1].Torque; math.Abs(got-24.3) > 1e-9 {
		t.Errorf("moved by one standard uncertainty of the bore: %g Nm", got)
	}
}

// A spread of another sheet has no numbers of this one: its inputs move nothing here, and a curve of a usual engine has no peaks of its own.
func TestASpreadOfAnotherSheet(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	s := NewSure(b, hill(), &Spread{Speeds: []float64{5000}, Terms: []Term{{Name: "engine.bore", Key: "engine.bore of another", Torque: []float64{9}}}})
	if f := curveFigures(b, nil, given{b: s})["engine.peak_torque"]; f.Low != f.Value || f.High != f.Value {
		t.Errorf("%g in %g to %g", f.Value, f.Low, f.High)
	}
	usual := hill()
	usual.Template, usual.Half = true, 0.2
	if f := curveFigures(b, nil, given{b: NewSure(b, usual, nil)})["engine.peak_torque"]; f.State != figure.Cannot {
		t.Errorf("a usual engine has a peak: %+v", f)
	}
	if _, err := given(nil).Of(b, CurveResult); !errors.Is(err, ranges.ErrWaiting) {
		t.Error(err)
	}
	if ranges.AtomOf(b.Project, modelDoubts["friction"].Atom(b.Project)).Q.Known != quantity.Estimated {
		t.Error("a doubt of the model is taken for measured")
	}
}
