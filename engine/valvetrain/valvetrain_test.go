package valvetrain

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

const deg = math.Pi / 180

var computed = []outside.Known{outside.Computed}

func TestOutsideValveArea(t *testing.T) {
	for _, c := range []outside.Check{
		{ID: "engine 3.23", Name: "curtain area, 34 mm, lift 8.5 mm", Unit: "mm2", Got: 1e6 * CurtainArea(34e-3, 8.5e-3), Want: 907.92, Tol: 0.005, Source: "geometry", Known: computed},
		{ID: "engine 3.23", Name: "curtain equals the head's area at a lift of a quarter", Unit: "1", Got: CurtainArea(34e-3, 8.5e-3) / (math.Pi / 4 * 34e-3 * 34e-3), Want: 1, Tol: 1e-12, Source: "geometry", Known: computed},
	} {
		c.Run(t)
	}
}

func TestOutsideTiming(t *testing.T) {
	io, ic, eo, ec := 32*deg, 68*deg, 70*deg, 36*deg
	for _, c := range []outside.Check{
		{ID: "engine 5.6", Name: "intake duration", Unit: "deg", Got: Duration(io, ic) / deg, Want: 280, Tol: 1e-9, Source: "arithmetic", Known: computed},
		{ID: "engine 5.6", Name: "exhaust duration", Unit: "deg", Got: Duration(eo, ec) / deg, Want: 286, Tol: 1e-9, Source: "arithmetic", Known: computed},
		{ID: "engine 5.6", Name: "intake lobe centre", Unit: "deg", Got: IntakeCentre(io, ic) / deg, Want: 108, Tol: 1e-9, Source: "arithmetic", Known: computed},
		{ID: "engine 5.6", Name: "exhaust lobe centre before top dead centre", Unit: "deg", Got: -ExhaustCentre(eo, ec) / deg, Want: 107, Tol: 1e-9, Source: "arithmetic", Known: computed},
	} {
		c.Run(t)
	}
}

func TestOutsideContactStress(t *testing.T) {
	steel := ReducedModulus(206e9, 0.29, 206e9, 0.29)
	flat := LineContact{Force: 1000, Length: 14e-3, R1: 8e-3, R2: math.Inf(1), Reduced: steel}
	curved, iron := flat, flat
	curved.R2 = 50e-3
	iron.Reduced = ReducedModulus(206e9, 0.29, 110e9, 0.26)
	handbook := LineContact{Force: 1000, Length: 14e-3, R1: 8e-3, R2: math.Inf(1), Reduced: ReducedModulus(207e9, 0.3, 207e9, 0.3)}
	const johnson = "Johnson, Contact Mechanics, ch. 4; Shigley, Mechanical Engineering Design, section 3-19"
	for _, c := range []outside.Check{
		{ID: "engine 5.12", Name: "reduced modulus of steel on steel", Unit: "GPa", Got: 1e-9 * steel, Want: 112.46, Tol: 1e-3, Relative: true, Source: johnson, Known: computed},
		{ID: "engine 5.12", Name: "peak stress, steel, flat follower", Unit: "MPa", Got: 1e-6 * flat.Peak(), Want: 565.3, Tol: 1e-3, Relative: true, Source: johnson, Known: computed},
		{ID: "engine 5.13", Name: "peak stress, follower of 50 mm radius", Unit: "MPa", Got: 1e-6 * curved.Peak(), Want: 608.9, Tol: 1e-3, Relative: true, Source: johnson, Known: computed},
		{ID: "engine 5.13", Name: "peak stress, iron follower", Unit: "MPa", Got: 1e-6 * iron.Peak(), Want: 469.0, Tol: 1e-3, Relative: true, Source: johnson, Known: computed},
		{ID: "engine 5.14", Name: "handbook constant of a steel pair", Unit: "N/mm2", Got: 1e-6 * handbook.Peak() / math.Sqrt(1000.0/(14*8)), Want: 190.3, Tol: 1e-2, Relative: true, Source: "The Tribology Handbook, p. B10.2 (form seen, constant from memory)", Known: []outside.Known{outside.Seen, outside.Computed}},
	} {
		c.Run(t)
	}
	want := map[string][2]float64{"chilled iron": {0.8, 1.1}, "case-hardened steel": {1.2, 1.6}}
	for name, limits := range want {
		s, ok := SurfaceNamed(name)
		if !ok {
			t.Fatalf("no surface %s", name)
		}
		for i, got := range []float64{s.Low, s.High} {
			outside.Check{ID: "engine 5.15", Name: []string{"stands with care, ", "stands at most, "}[i] + name, Unit: "GPa", Got: 1e-9 * got, Want: limits[i], Tol: 0.2, Relative: true,
				Source: "Tribology Handbook B10; Rothbart, Cam Design Handbook, ch. 9 and 16", Known: []outside.Known{outside.Memory}}.Run(t)
		}
	}
}

// The row uses a cycloidal rise of 65 cam degrees; the search is the one that lobes go through.
func TestOutsideFloat(t *testing.T) {
	const h, beta = 9e-3, 65 * deg
	law := func(phi float64) (lift, curvature float64) {
		x := phi / beta
		return h * (x - math.Sin(2*math.Pi*x)/(2*math.Pi)), h / (beta * beta) * 2 * math.Pi * math.Sin(2*math.Pi*x)
	}
	omega, lift, err := lowestFloat(0, beta, law, 0.130, 28e3, 250)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []outside.Check{
		{ID: "engine 5.16", Name: "float, cam speed", Unit: "rad/s", Got: omega, Want: 289.06, Tol: 1e-3, Relative: true, Source: "force balance on a cycloidal flank; Norton, Design of Machinery", Known: computed},
		{ID: "engine 5.16", Name: "float, crank speed", Unit: "rpm", Got: 2 * omega * 30 / math.Pi, Want: 5520.6, Tol: 1e-3, Relative: true, Source: "force balance on a cycloidal flank; Norton, Design of Machinery", Known: computed},
		{ID: "engine 5.16", Name: "lift at which it floats", Unit: "mm", Got: 1000 * lift, Want: 8.045, Tol: 1e-3, Relative: true, Source: "force balance on a cycloidal flank; Norton, Design of Machinery", Known: computed},
	} {
		c.Run(t)
	}
}

func lobes() *rapid.Generator[Lobe] {
	return rapid.Custom(func(t *rapid.T) Lobe {
		lift := rapid.Float64Range(4e-3, 13e-3).Draw(t, "lift")
		l, err := LobeThroughEvents(lift, rapid.Float64Range(0.1, 0.3).Draw(t, "checking share")*lift, rapid.Float64Range(200, 300).Draw(t, "open")*deg, rapid.Float64Range(1.6, 3).Draw(t, "n"))
		if err != nil {
			t.Fatal(err)
		}
		return l
	})
}

func TestLobeKeepsItsEvents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lift, open := rapid.Float64Range(4e-3, 13e-3).Draw(t, "lift"), rapid.Float64Range(180, 320).Draw(t, "open")*deg
		checking := rapid.Float64Range(0, 0.4).Draw(t, "share") * lift
		n := rapid.Float64Range(1.6, 3).Draw(t, "n")
		l, err := LobeThroughEvents(lift, checking, open, n)
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Lift(open / 2); math.Abs(got-checking) > 1e-12 {
			t.Fatalf("lift %g at the event, want %g", got, checking)
		}
		if l.Lift(0) != lift || l.Lift(l.HalfWidth) != 0 || l.Lift(-1.01*l.HalfWidth) != 0 {
			t.Fatal("the lobe does not rise from nothing to its lift")
		}
	})
}

func TestLobeSlopes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lobes().Draw(t, "lobe")
		phi := rapid.Float64Range(-0.9, 0.9).Draw(t, "phi") * l.HalfWidth
		const step = 1e-5
		if slope := (l.Lift(phi+step) - l.Lift(phi-step)) / (2 * step); math.Abs(slope-l.slope(phi)) > 1e-6*l.MaxLift {
			t.Fatalf("slope %g, by differences %g", l.slope(phi), slope)
		}
		if bend := (l.slope(phi+step) - l.slope(phi-step)) / (2 * step); math.Abs(bend-l.Curvature(phi)) > 1e-5*l.MaxLift {
			t.Fatalf("curvature %g, by differences %g", l.Curvature(phi), bend)
		}
	})
}

func TestTableFollowsTheLaw(t *testing.T) {
	law, err := LobeThroughEvents(8.2e-3, 1e-3, 234*deg, 2)
	if err != nil {
		t.Fatal(err)
	}
	var angles, lifts []float64
	for phi := -150.0; phi <= 150; phi += 5 {
		angles, lifts = append(angles, phi*deg), append(lifts, law.Lift(phi*deg))
	}
	table, err := LobeFromTable(angles, lifts)
	if err != nil {
		t.Fatal(err)
	}
	for phi := -100.0; phi <= 100; phi += 3 {
		if math.Abs(table.Lift(phi*deg)-law.Lift(phi*deg)) > 2e-6 {
			t.Errorf("at %g deg the table lifts %g, the law %g", phi, table.Lift(phi*deg), law.Lift(phi*deg))
		}
		if math.Abs(table.slope(phi*deg)-law.slope(phi*deg)) > 2e-4*law.MaxLift/deg*0.1 {
			t.Errorf("at %g deg the table's slope is %g, the law's %g", phi, table.slope(phi*deg), law.slope(phi*deg))
		}
	}
	fast, _, err := FloatSpeed(table, 0.104, 36e3, 240)
	if err != nil {
		t.Fatal(err)
	}
	if slow, _, err := FloatSpeed(law, 0.104, 36e3, 240); err != nil || math.Abs(fast/slow-1) > 0.01 {
		t.Errorf("float from the table %g, from the law %g (%v)", fast, slow, err)
	}
}

func TestFloatAndClearanceAreMonotone(t *testing.T) {
	drop := func(theta float64) float64 { return 0.033 * (1 - math.Cos(theta)) * 1.2 }
	rapid.Check(t, func(t *rapid.T) {
		l := lobes().Draw(t, "lobe")
		mass, rate, seat := rapid.Float64Range(0.05, 0.2).Draw(t, "mass"), rapid.Float64Range(15e3, 60e3).Draw(t, "rate"), rapid.Float64Range(100, 500).Draw(t, "seat")
		float := func(m, k, f float64) float64 {
			omega, lift, err := FloatSpeed(l, m, k, f)
			if err != nil || lift <= 0 || lift > l.MaxLift {
				t.Fatalf("float at %g, lift %g: %v", omega, lift, err)
			}
			return omega
		}
		base := float(mass, rate, seat)
		if float(mass, rate*1.1, seat) <= base || float(mass, rate, seat*1.1) <= base || float(mass*1.1, rate, seat) >= base {
			t.Fatal("float does not rise with the spring and fall with the mass")
		}
		p := PistonValve{Given: 3e-3, HalfIncluded: 35 * deg, Lash: 0.05e-3, Lobe: l, Centre: rapid.Float64Range(95, 115).Draw(t, "centre") * deg}
		least, at := p.Least(drop)
		fine := math.Inf(1)
		for theta := -60 * deg; theta <= 60*deg; theta += 0.05 * deg {
			fine = math.Min(fine, p.Given+(drop(theta)-math.Max(0, l.Lift(theta-p.Centre)-p.Lash)*math.Cos(p.HalfIncluded))/math.Cos(p.HalfIncluded))
		}
		if least > fine+1e-7 || least < fine-1e-6 {
			t.Fatalf("least clearance %.9g at %g deg, by a fine scan %.9g", least, at/deg, fine)
		}
		wider, deeper := p, p
		wider.Lash += 0.1e-3
		deeper.Given += 1e-3
		if a, _ := wider.Least(drop); a < least {
			t.Fatal("more lash leaves less clearance")
		}
		if a, _ := deeper.Least(drop); math.Abs(a-least-1e-3) > 1e-7 {
			t.Fatalf("a pocket 1 mm deeper gives %g more", a-least)
		}
	})
}

func TestNose(t *testing.T) {
	// A lobe of constant radius: an eccentric circle of radius R about a point e from the shaft. Near its nose the lift
	// of a flat follower is e cos(angle), so base = R - e, lift e and curvature -e must give R back.
	const circle, eccentric = 20e-3, 4e-3
	flat, err := NoseRadius(circle-eccentric, eccentric+eccentric, -eccentric, math.Inf(1))
	if err != nil || math.Abs(flat-circle) > 1e-15 {
		t.Errorf("flat follower on a circle of 20 mm: %g (%v)", flat, err)
	}
	// Against a round follower of radius r the centre moves on d = e cos + sqrt((R+r)^2 - e^2 sin^2).
	const follower = 40e-3
	d := func(a float64) float64 {
		return eccentric*math.Cos(a) + math.Sqrt(math.Pow(circle+follower, 2)-math.Pow(eccentric*math.Sin(a), 2))
	}
	const step = 1e-3
	curvature := (d(step) - 2*d(0) + d(-step)) / (step * step)
	base := circle - eccentric
	round, err := NoseRadius(base, d(0)-base-follower, curvature, follower)
	if err != nil || math.Abs(round-circle) > 1e-6 {
		t.Errorf("round follower on a circle of 20 mm: %g (%v)", round, err)
	}
	if _, err := NoseRadius(10e-3, 8e-3, -30e-3, math.Inf(1)); err == nil {
		t.Error("a pointed nose is taken")
	}
	if f := NoseForce(240, 36e3, 8e-3, 0.1, 2000, -9e-3, 1.25); f != 0 {
		t.Errorf("a floating valve presses with %g", f)
	}
	if f := NoseForce(240, 36e3, 8e-3, 0.1, 0, -9e-3, 1.25); math.Abs(f-1.25*(240+288)) > 1e-9 {
		t.Errorf("turned slowly it presses with %g", f)
	}
}

func TestMeanFlowCoefficient(t *testing.T) {
	l, err := LobeThroughEvents(8e-3, 1e-3, 230*deg, 2)
	if err != nil {
		t.Fatal(err)
	}
	points := []FlowPoint{{2e-3, 0.62}, {5e-3, 0.55}, {9e-3, 0.45}}
	got, err := MeanFlowCoefficient(l, 230*deg, 36e-3, points)
	if err != nil {
		t.Fatal(err)
	}
	sum, strips := 0.0, 200000
	for k := range strips {
		lift := l.Lift(230 * deg * ((float64(k)+0.5)/float64(strips) - 0.5))
		sum += CoefficientAt(points, lift) * 4 * lift / 36e-3
	}
	if want := sum / float64(strips); math.Abs(got-want) > 1e-4 {
		t.Errorf("mean coefficient %g, by 200000 strips %g", got, want)
	}
	if c := CoefficientAt(points, 1e-3); c != 0.62 {
		t.Errorf("below the first point %g", c)
	}
	if c := CoefficientAt(points, 12e-3); c != 0.45 {
		t.Errorf("beyond the last point %g", c)
	}
}

func TestForbiddenValveTrains(t *testing.T) {
	for _, c := range [][4]float64{{8e-3, 9e-3, 4, 2}, {8e-3, 1e-3, 0, 2}, {8e-3, 1e-3, 4, 0}, {0, 0, 4, 2}, {math.NaN(), 1e-3, 4, 2}} {
		if _, err := LobeThroughEvents(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("the lobe %v is taken", c)
		}
	}
	if _, err := LobeFromTable([]float64{0, 1, 2}, []float64{0, 1, 0}); err == nil {
		t.Error("a table of three points is taken")
	}
	if _, err := LobeFromTable([]float64{0, 1, 1, 2, 3}, []float64{0, 1, 1, 1, 0}); err == nil {
		t.Error("a table that stands still is taken")
	}
	if _, err := MeanFlowCoefficient(Lobe{}, 4, 0.03, nil); err == nil {
		t.Error("no flow points are taken")
	}
	if _, err := MeanFlowCoefficient(Lobe{}, 4, 0.03, []FlowPoint{{5e-3, 0.5}, {2e-3, 0.6}}); err == nil {
		t.Error("falling lifts are taken")
	}
	if _, _, err := FloatSpeed(Lobe{MaxLift: 0, HalfWidth: 1, Exponent: 2}, 0.1, 1e4, 100); err == nil {
		t.Error("a lobe without a nose floats")
	}
}

func BenchmarkLeastClearance(b *testing.B) {
	l, err := LobeThroughEvents(8.8e-3, 1e-3, 244*deg, 2)
	if err != nil {
		b.Fatal(err)
	}
	p := PistonValve{Given: 3.4e-3, HalfIncluded: 35 * deg, Lash: 0.05e-3, Lobe: l, Centre: 104 * deg}
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		p.Given += 1e-12
		c, _ := p.Least(func(theta float64) float64 { return 0.04 * (1 - math.Cos(theta)) })
		sum += c
	}
	if math.IsNaN(sum) {
		b.Fatal("no clearance")
	}
}

func TestFlowBenchAgainstOutside(t *testing.T) {
	const inch, foot = 0.0254, 0.3048
	head := 1.5 * inch
	lift := inch * inch / (math.Pi * head) // a curtain of one square inch
	flow := 147.1 * foot * foot * foot / 60
	outside.Check{ID: "engine 2.3.6", Name: "147.1 cfm through a square inch at 28 inches of water: coefficient", Got: BenchCoefficient(flow, 28*249.08891, 1.2041, head, lift), Want: 1, Tol: 1e-3, Unit: "1",
		Source: "flow-bench practice (146 cfm per square inch at 28 inH2O), recomputed", Known: []outside.Known{outside.Practice, outside.Computed}}.Run(t)
}

// Two valves that open along parallel stems never approach; inclined ones approach by their lifts, and a valve that
// stays shut leaves the other's own way.
func TestValvePair(t *testing.T) {
	degree := math.Pi / 180
	lobe, err := LobeThroughEvents(8e-3, 1e-3, 250*degree, 2)
	if err != nil {
		t.Fatal(err)
	}
	pair := ValvePair{Gap: 3e-3, Intake: lobe, Exhaust: lobe, IntakeCentre: 108 * degree, ExhaustCentre: -108 * degree}
	if got := pair.Least(); got < 3e-3-1e-12 {
		t.Errorf("parallel stems: %g m", got)
	}
	pair.HalfIncluded = 35 * degree
	// At top dead centre both stand at the same lift s: edges 3 mm - 2 s sin 35 apart.
	s := lobe.Lift(108 * degree)
	want := 3e-3 - 2*s*math.Sin(35*degree)
	if got := pair.Least(); got > want+1e-9 {
		t.Errorf("least %g m, at top dead centre %g", got, want)
	}
	wider := pair
	wider.Gap = 5e-3
	if pair.Least() >= wider.Least() {
		t.Error("a wider gap leaves less")
	}
	closer := pair
	closer.IntakeCentre, closer.ExhaustCentre = 100*degree, -100*degree // more overlap
	if closer.Least() >= pair.Least() {
		t.Error("more overlap leaves more")
	}
}

// slope of the lift [m/rad].
func (l Lobe) slope(phi float64) float64 {
	switch {
	case !l.inside(phi):
		return 0
	case l.table != nil:
		return l.table.PredictDerivative(phi)
	}
	x, n := phi/l.HalfWidth, l.Exponent
	return -2 * l.MaxLift * n * x / l.HalfWidth * math.Pow(1-x*x, n-1)
}
