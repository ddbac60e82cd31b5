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

// The parabola through (-1, 20), (0, 24), (1, 22) in thousands about 5000 rpm is 24 + x - 3 x^2: its top lies at x =
// 1/6, 24 1/12 Nm at 5166.7 rpm. The power at 4000, 5000 and 6000 rpm is 8.37758, 12.56637 and 13.82301 kW, so it is
// greatest at the end of the sweep. At 6000 rpm the mean piston speed is 12 m/s, (80/35)^2 of it is 62.69388 m/s, and
// the root of 0.3015929 l x 6000 rpm 42.53889.
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

// Terms are moved by their numbers: one standard uncertainty of the bore moves all torque by 0.3 Nm, one of the
// friction by 0.4 Nm. Together the range of the peak is 2 root(0.3^2 + 0.4^2) = 1 Nm to each side, of which the bore
// makes 36 %. A baseline with the same bore and friction and 2 Nm less moves alike: its change is sure.
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

// A spread of another sheet has no numbers of this one: its inputs move nothing here, and a curve of a usual engine has
// no peaks of its own.
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

// At the rear wheel with an efficiency of 0.92 ± 0.04: 0.92 x 24.08333 = 22.15667 Nm; of the range 10 % of the torque
// make 2.215667 Nm and the efficiency 24.08333 x 0.04 = 0.963333 Nm, together root(2.215667^2 + 0.963333^2) = 2.416028
// Nm. Against a curve 2 Nm lower it is 1.84 Nm more: both lie on one roller with one driveline, so of the change 10 %
// make 0.184 Nm and the efficiency 2 x 0.04 = 0.08 Nm, together 0.200639 Nm. The power at the end of the sweep is 0.92
// x 13.82301 = 12.71717 kW.
func TestPeaksAtTheRearWheelByHand(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	efficiency := &b.Project.Atoms[b.Values["driveline.efficiency"].Terms[0]].Q
	efficiency.Value, efficiency.Half = 0.92, 0.04
	other := b.Project.Bare()
	bore := other.Values["engine.bore"]
	bore.Terms = []int{b.Project.AddAtom(machine.Atom{Path: "engine.bore", Q: quantity.Quantity{Value: 0.07}})}
	other.Values["engine.bore"] = bore
	less := hill()
	for i := range less.Points {
		less.Points[i].Torque -= 2
	}
	less.peaks()
	curves := given{b: NewSure(b, hill(), nil), other: NewSure(other, less, nil)}
	if _, asked := appliedFigures(b, other, curves)["driveline.wheel_torque"]; asked {
		t.Error("torque at the rear wheel is computed although nobody claims any")
	}
	b.Project.Parts = append(b.Project.Parts, machine.Part{ID: "pipe", Claims: []machine.Claim{{Of: "engine.peak_torque"}, {Of: "engine.peak_power", At: machine.AtRearWheel}}})
	got := appliedFigures(b, other, curves)
	f := got["driveline.wheel_torque"]
	if f.State != figure.Ready || f.Change == nil {
		t.Fatalf("%+v", f)
	}
	for name, pair := range map[string][2]float64{
		"value": {f.Value, 22.15667}, "below": {f.Value - f.Low, 2.416028}, "above": {f.High - f.Value, 2.416028},
		"change": {f.Change.Value, 1.84}, "change below": {f.Change.Value - f.Change.Low, 0.200639}, "change above": {f.Change.High - f.Change.Value, 0.200639},
		"power": {got["driveline.wheel_power"].Value, 12717.17},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-5 {
			t.Errorf("%s is %g, by hand %g", name, pair[0], pair[1])
		}
	}
	if end, change := got["driveline.wheel_power"].End, got["driveline.wheel_power"].Change.End; end != "still rising at the end of the sweep" || change != end {
		t.Errorf("the power is cut off in both builds: %q, %q", end, change)
	}
	b.Project.Parts[len(b.Project.Parts)-1].Claims = []machine.Claim{{Of: "engine.peak_torque", At: machine.AtCrank}}
	if _, asked := appliedFigures(b, other, curves)["driveline.wheel_torque"]; asked {
		t.Error("torque at the rear wheel is computed for a claim at the crank")
	}
}

// appliedFigures are those of curveFigures that the build has.
func appliedFigures(b, baseline *machine.Build, g given) map[string]figure.Figure {
	list := curveFigures(b, baseline, g)
	for _, d := range CurveFigures {
		if !d.Applies(b) {
			delete(list, d.ID)
		}
	}
	return list
}
