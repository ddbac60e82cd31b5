package worth

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/report"
	"shakedown/sheet"
)

// lapCurves are computed once for these tests.
var lapCurves = forecast.NewResults(nil)

// worthOf is what the parts of a question's sheet are worth, with the advice that follows.
func worthOf(q asked.Question, budget string) (*Value, error) {
	ctx := context.Background()
	q.Slow = func(b, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
		for _, of := range []*machine.Build{b, baseline} {
			if _, err := lapCurves.Curve(ctx, of, nil); err != nil {
				return nil, err
			}
		}
		return forecast.Slow(ctx, b, baseline, lapCurves, on, false)
	}
	a, err := asked.Ask(q)
	if err != nil {
		return nil, err
	}
	v, err := ValueOf(ctx, a, budget, lapCurves, nil)
	if err != nil {
		return nil, err
	}
	Advise(a, v, "")
	v.Advice = a.Advice
	return v, nil
}

// lapQuestion is a question on the example with changes: what stands there, and what stands in its place.
func lapQuestion(t *testing.T, changes ...string) asked.Question {
	t.Helper()
	text, err := os.ReadFile("../../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	changed := string(text)
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(changed, changes[i]) {
			t.Fatalf("the example does not hold %q", changes[i])
		}
		changed = strings.Replace(changed, changes[i], changes[i+1], 1)
	}
	return asked.Question{Text: &sheet.File{Name: "x.yaml", Text: []byte(changed)}, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)}
}

// What breaks a rule alone comes with what mends it, or is said not to go together and is neither advised nor bought.
func TestWhatGoesTogether(t *testing.T) {
	q := lapQuestion(t, "  coating:\n", `  wide-tyres:
    kind: tyres
    name: Tyres that do not fit the hub, free
    price: 1.00
    sets: {track.peak_grip: 0.9, wheels.rear.bolt_circle: 4 x 115 mm}
  coating:
`)
	v, err := worthOf(q, "1100")
	if err != nil {
		t.Fatal(err)
	}
	worth := map[string]Worth{}
	for _, w := range v.Parts {
		worth[w.Part] = w
	}
	if w := worth["high-piston"]; !slices.Equal(w.With, []string{"rebore", "clutch-springs", "valve-pockets"}) || !slices.Equal(w.Mends, []string{"piston-to-valve", "clutch"}) || w.Cost.Minor != 21400+9500+3200+4500 {
		t.Errorf("the piston wants firmer clutch springs: %+v", w)
	}
	if w := worth["wide-tyres"]; !slices.Contains(w.Breaks, "wheel-pattern") || !(w.Seconds > 0.1) || w.Inside() {
		t.Errorf("tyres that do not fit: %+v", w)
	}
	if strings.Contains(v.Advice.Text, "wide-tyres") {
		t.Errorf("what does not go together is advised: %s", v.Advice.Text)
	}
	if _, ok := worth["bearing-carrier"]; ok || !strings.Contains(strings.Join(v.Apart, " "), "bearing carrier") {
		t.Error("the carrier that only the axle needs is ranked for what the axle gains")
	}
	a, err := asked.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	base, err := lapCurves.Sure(context.Background(), a.Baseline)
	if err != nil {
		t.Fatal(err)
	}
	var bought []machine.Reference
	for _, o := range v.Order {
		if o.Part == "wide-tyres" {
			t.Error("what does not go together is bought")
		}
		for _, id := range append([]string{o.Part}, o.With...) {
			if slices.ContainsFunc(a.Sheet.Project.Parts, func(p machine.Part) bool { return p.ID == id }) {
				bought = append(bought, machine.Reference{Name: id})
			}
		}
		b, err := a.Sheet.Project.Lay(slices.Concat(a.Sheet.Project.BuildNamed(a.Baseline.Name).Parts, bought))
		if err != nil {
			t.Fatal(err)
		}
		k, err := lapCurves.Sure(context.Background(), b)
		if err != nil {
			t.Fatal(err)
		}
		judge := &valuer{a: a, base: tried{a.Baseline, base}}
		if broken := newConflicts(judge.conflicts(tried{b, k}), judge.conflicts(judge.base)); len(broken) > 0 {
			t.Errorf("after %s the order breaks %v", o.Part, broken)
		}
		if l, err := track.ComputeLap(b, k.Curve, nil); err != nil || math.Abs(l.Time-o.Lap) > 1e-9 {
			t.Errorf("after %s the lap is %v, the order says %g s (%v)", o.Part, l.Time, o.Lap, err)
		}
	}
}

// A part without a price, or one that brings such a part along, is told of by itself: it is neither ranked, advised nor
// bought. The wide axle at 310 needs a carrier at 124; without the carrier's price its cost is 310 and something, not
// 434 and not 310.
func TestNoPrice(t *testing.T) {
	q := lapQuestion(t, "    price: 78.00\n", "", "    price: 124.00\n", "")
	v, err := worthOf(q, "900")
	if err != nil {
		t.Fatal(err)
	}
	apart := map[string]Worth{}
	for _, w := range v.NoPrice {
		apart[w.Part] = w
	}
	if w := apart["shock-spring"]; !slices.Equal(w.Unpriced, []string{"shock-spring"}) || w.Cost.Minor != 0 || w.PerHundred() != 0 || w.CostText() != "no price" || !w.Sound() {
		t.Errorf("the spring: %+v", w)
	}
	if w := apart["wide-axle"]; !slices.Equal(w.Unpriced, []string{"bearing-carrier"}) || w.Cost.Minor != 31000 || w.PerHundred() != 0 || w.CostText() != "€310.00 without bearing-carrier" {
		t.Errorf("the axle: %+v", w)
	}
	unpriced := func(w Worth) bool {
		return w.Part == "shock-spring" || w.Part == "wide-axle" || slices.Contains(w.With, "shock-spring") || slices.Contains(w.With, "bearing-carrier")
	}
	if slices.ContainsFunc(v.Parts, unpriced) {
		t.Error("what has no price is ranked by what it gives for its money")
	}
	if len(v.Order) == 0 || slices.ContainsFunc(v.Order, func(b Bought) bool { return unpriced(b.Worth) }) {
		t.Errorf("what has no price is bought: %+v", v.Order)
	}
	if lead := v.Advice.Text; strings.Contains(lead, "Shock spring") || strings.Contains(lead, "Wide axle") {
		t.Errorf("it is advised: %s", lead)
	}
	var suspension Package
	for _, p := range v.Packages {
		if p.Part == "suspension" {
			suspension = p
		}
	}
	if !slices.Equal(suspension.Unpriced, []string{"shock-spring"}) || !strings.HasSuffix(suspension.CostText(), " without shock-spring") {
		t.Errorf("the package: %+v", suspension)
	}
	if !slices.Contains(v.Whole.Unpriced, "bearing-carrier") {
		t.Errorf("all of it: %+v", v.Whole)
	}
	var text, js, table bytes.Buffer
	if err := errors.Join(v.Answer().WriteText(&text), v.Answer().WriteJSON(&js, "test"), v.Answer().WriteCSV(&table)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"no price", "€310.00 without bearing-carrier"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the text lacks %q:\n%s", want, text.String())
		}
	}
	for _, want := range []string{`"without_price"`, `"no_price": [`} {
		if !strings.Contains(js.String(), want) {
			t.Errorf("the JSON lacks %q:\n%s", want, js.String())
		}
	}
	if !strings.Contains(table.String(), "no price,,shock-spring,") || !strings.Contains(table.String(), ",shock-spring\n") {
		t.Errorf("the CSV:\n%s", table.String())
	}
}

// A price of nothing is a price: what costs nothing is bought first.
func TestFree(t *testing.T) {
	w := Worth{Seconds: 0.2, Low: 0.1, High: 0.3, Cost: money.Amount{Currency: "EUR"}}
	if w.CostText() != "€0.00" || !math.IsInf(rate(w), 1) {
		t.Errorf("%s, %g", w.CostText(), rate(w))
	}
}

// A package is all that the build adds in an area: its gain is that of a build with just these, and its sum that of its
// parts.
func TestPackages(t *testing.T) {
	v, err := worthOf(lapQuestion(t), "")
	if err != nil {
		t.Fatal(err)
	}
	a, err := asked.Ask(lapQuestion(t))
	if err != nil {
		t.Fatal(err)
	}
	// Wider, it is quicker only where the ground grips: that is what decides between the axle and what is surely
	// quicker.
	for _, want := range []string{`would give more, `, "measure the grip of the tyres on this ground before you pay, which decides it"} {
		if !strings.Contains(v.Advice.Text, want) {
			t.Errorf("the lead lacks %q: %s", want, v.Advice.Text)
		}
	}
	var names []string
	for _, p := range v.Packages {
		names = append(names, p.Part)
		var refs []machine.Reference
		for _, id := range p.With {
			refs = append(refs, machine.Reference{Name: id})
		}
		b, err := a.Sheet.Project.Lay(slices.Concat(a.Sheet.Project.BuildNamed(a.Baseline.Name).Parts, refs))
		if err != nil {
			t.Fatal(err)
		}
		k, err := lapCurves.Sure(context.Background(), b)
		if err != nil {
			t.Fatal(err)
		}
		if l, err := track.ComputeLap(b, k.Curve, nil); err != nil || math.Abs(v.Base-l.Time-p.Seconds) > 1e-9 || !(p.Low <= p.Seconds && p.Seconds <= p.High) {
			t.Errorf("%s gains %g s (%g to %g), a build of its parts laps in %v for %g (%v)", p.Part, p.Seconds, p.Low, p.High, l.Time, v.Base, err)
		}
		sum := 0.0
		for _, w := range v.Parts { // what another of them brings along is counted with that one
			mine := func(other Worth) bool { return slices.Contains(p.With, other.Part) }
			brought := slices.ContainsFunc(v.Parts, func(other Worth) bool { return mine(other) && slices.Contains(other.With, w.Part) })
			if mine(w) && !brought {
				sum += w.Seconds
			}
		}
		if math.Abs(sum-p.Sum) > 1e-9 {
			t.Errorf("the parts of %s gain %g one by one, it says %g", p.Part, sum, p.Sum)
		}
		if !p.Package || p.Part == "engine" && !slices.Contains(p.With, "valve-springs") {
			t.Errorf("%+v", p)
		}
	}
	if w := v.Whole; w == nil || !slices.Contains(w.With, "high-piston") || slices.Contains(w.With, "short-rear-tyres") || !strings.Contains(strings.Join(v.notes(), " "), "Its parts one by one") {
		t.Errorf("all of it together: %+v", w)
	}
	if !slices.Equal(names, []string{"engine", "driveline", "chassis", "suspension"}) {
		t.Errorf("packages: %v", names)
	}
}

// Of the parts that leave the torque alone, the order of buying is as good as the best of all sets under the budget,
// tried one by one.
func TestOrderAgainstAllSets(t *testing.T) {
	a, err := asked.Ask(lapQuestion(t, "  coating:\n", `  light-bits:
    kind: light parts
    name: Light parts here and there
    price: 64.00
    adds: {mass.dry: {mass: -6 kg, x: 650 mm, z: 420 mm, unsprung: no}}
  light-rear:
    kind: light parts
    name: Light parts at the rear
    price: 150.00
    adds: {mass.dry: {mass: -9 kg, x: 300 mm, z: 600 mm, unsprung: no}}
  coating:
`))
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	base, err := lapCurves.Sure(ctx, a.Baseline)
	if err != nil {
		t.Fatal(err)
	}
	v := &valuer{a: a, refs: a.Sheet.Project.BuildNamed(a.Baseline.Name).Parts, known: lapCurves, base: tried{a.Baseline, base}, laps: track.NewLapTimes(nil), tell: func() {}}
	v.rules = v.conflicts(v.base)
	parts, _ := candidatesOf(a)
	parts = slices.DeleteFunc(parts, func(c *candidate) bool {
		b, err := a.Sheet.Project.Lay(slices.Concat(v.refs, c.refs))
		return err != nil || torque.CurveKey(b) != torque.CurveKey(a.Baseline)
	})
	if err := v.ride(ctx, parts, nil); err != nil {
		t.Fatal(err)
	}
	out := &Value{}
	l, err := track.ComputeLap(a.Baseline, base.Curve, nil)
	if err != nil {
		t.Fatal(err)
	}
	out.Base = l.Time
	seen, _ := rank(out, parts, nil)
	seen = slices.DeleteFunc(seen, func(c *candidate) bool { return c.worth.Seconds <= 0 || len(c.worth.Breaks) > 0 })
	if len(seen) < 5 {
		t.Fatalf("only %d parts move the lap without the engine", len(seen))
	}
	type set struct {
		cost int64
		lap  float64 // [s]
	}
	var sets []set
	for bits := range 1 << len(seen) {
		refs := slices.Clone(v.refs)
		for i, c := range seen {
			if bits>>i&1 == 1 {
				refs = slices.Concat(refs, c.refs, c.needed)
			}
		}
		b, err := a.Sheet.Project.Lay(refs)
		if err != nil || len(v.breaks(tried{b, base})) > 0 {
			continue // two that exclude one another, or do not go together
		}
		l, err := track.ComputeLap(b, base.Curve, nil)
		if err != nil {
			t.Fatal(err)
		}
		sets = append(sets, set{v.cost(b, a.Baseline).Minor, l.Time})
	}
	worst := 0.0
	for _, budget := range []int64{5000, 10000, 17500, 26000, 43400, 45000, 52000, 53000, 60000, 61500, 70000, 90000} {
		out.Budget, out.Order = money.Amount{Minor: budget, Currency: "EUR"}, nil
		if err := v.order(ctx, out, seen, nil); err != nil {
			t.Fatal(err)
		}
		best := out.Base
		for _, s := range sets {
			if s.cost <= budget {
				best = min(best, s.lap)
			}
		}
		got := out.Base
		if n := len(out.Order); n > 0 {
			got = out.Order[n-1].Lap
		}
		worst = max(worst, got-best)
		if got-best > 2*course.Unseen {
			t.Errorf("for %d the order laps in %.3f s, the best of %d sets in %.3f", budget, got, len(sets), best)
		}
	}
	t.Logf("%d sets; the order is at most %.4f s slower than the best", len(sets), worst)
}

// What lower rear tyres are worth stands twice: as they are bolted on, and with the gearing brought back. By hand, 22
// to 20 in on 12 and 42 teeth: 3.5 x 20/22 = 3.1818 is wanted, and 42/13 = 3.2308 is 1.5 % off it: 13 teeth in front.
// That gain is the baseline's lap less that of the tyres with a part that brings these 13 teeth.
func TestTyresWithTheGearingBroughtBack(t *testing.T) {
	q := lapQuestion(t, "sets: {driveline.sprockets.front: 14}", "sets: {driveline.sprockets.front: 13}")
	v, err := worthOf(q, "")
	if err != nil {
		t.Fatal(err)
	}
	a, err := asked.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	lap := func(parts ...string) float64 {
		refs := slices.Clone(a.Sheet.Project.BuildNamed(a.Baseline.Name).Parts)
		for _, id := range parts {
			refs = append(refs, machine.Reference{Name: id})
		}
		b, err := a.Sheet.Project.Lay(refs)
		if err != nil {
			t.Fatal(err)
		}
		k, err := lapCurves.Sure(context.Background(), b)
		if err != nil {
			t.Fatal(err)
		}
		l, err := track.ComputeLap(b, k.Curve, nil)
		if err != nil {
			t.Fatal(err)
		}
		return l.Time
	}
	for _, w := range v.Parts {
		g := w.Geared
		if w.Part != "short-rear-tyres" {
			if g != nil {
				t.Errorf("%s does not change the rear tyres: %+v", w.Part, g)
			}
			continue
		}
		if g == nil || g.Words != "with 13 teeth in front" || !(g.Low < g.Seconds && g.Seconds < g.High) {
			t.Fatalf("%+v", g)
		}
		if want := lap() - lap("short-rear-tyres", "sprocket-14"); math.Abs(g.Seconds-want) > 1e-9 || math.Abs(g.Seconds-w.Seconds) < 1e-6 {
			t.Errorf("%g s with the gearing brought back, %g by two laps; %g as bolted on", g.Seconds, want, w.Seconds)
		}
	}
	if !slices.ContainsFunc(v.rows(v.Parts), func(r []report.Cell) bool {
		return r[0].Text == "the same" && strings.Contains(r[5].Text, "with 13 teeth in front")
	}) {
		t.Errorf("the table does not say it: %v", v.rows(v.Parts))
	}
	tyres := Worth{Seconds: 0.5, Low: 0.3, High: 0.7}
	tyres.Geared = &Geared{Seconds: 0.1, Low: -0.1, High: 0.3}
	if tyres.Sound() {
		t.Error("tyres that are quicker only by their gearing are sound")
	}
	if tyres.Geared.Low = 0.05; !tyres.Sound() {
		t.Error("tyres that are quicker with the gearing brought back are not")
	}
}
