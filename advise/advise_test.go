package advise

import (
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/money"
)

// facts are those of a build against which nothing stands.
func facts() Facts {
	return Facts{Build: "full", Resolved: &machine.Build{Project: &machine.Project{}, Values: map[string]machine.Value{}}, OwnCourse: true, OnOffer: 3}
}

func offer(part string, minor int64, s, low, high float64) Offer {
	return Offer{Part: part, Name: part, Priced: true, Cost: money.Amount{Minor: minor, Currency: "EUR"}, Known: true, Fits: true, Seconds: s, Low: low, High: high, Sure: low > 0 || high < 0, Decides: "track.peak_grip"}
}

// The order of the kinds: what stands first wins over all behind it. Each step takes away what won the one before.
func TestOrder(t *testing.T) {
	f := facts()
	f.OwnCourse = false
	f.Worth = &Worth{Lap: 50, Offers: []Offer{offer("springs", 8000, 0.3, 0.1, 0.5)}}
	f.Findings = []figure.Finding{
		{Rule: "coil-bind", Severity: figure.Conflict, Text: "The spring binds.", Remedy: "Fit another."},
		{Rule: "jet-for-air", Severity: figure.Note, Text: "The air is thinner.", Remedy: "Try a smaller jet.", Setting: "engine.intake.carburettor.main_jet"},
		{Rule: "condition", Severity: figure.NotComputed, Stake: figure.Rider, Wants: []string{"condition.brakes"}, Why: "nobody has looked", Before: "ride it"},
		{Rule: "piston-to-valve", Severity: figure.NotComputed, Stake: figure.Machine, Wants: []string{"engine.head.piston_to_valve.intake"}, Changes: "the cam", Before: "turn this engine over"},
	}
	for _, step := range []struct {
		kind Kind
		says string
		then func()
	}{
		{Measure, "You change the cam and have not measured piston-to-valve: do not turn this engine over before you have", func() { f.Findings = f.Findings[:3] }},
		{Measure, "do not ride it before you have: nobody has looked", func() { f.Findings = f.Findings[:2] }},
		{Mend, `Do not go on with build "full" as it stands. The spring binds. Fit another.`, func() { f.Findings = f.Findings[1:] }},
		{Course, "Enter your course", func() { f.OwnCourse = true }},
		{Set, "Set the main jet first: it costs nothing", func() { f.Findings = nil }},
		{Buy, `Buy "springs" next: for €80.00 it takes 0.30 s`, func() { f.Worth.Offers[0].Low, f.Worth.Offers[0].Sure = -0.1, false }},
		{Measure, "Measure the grip of the tyres on this ground before you buy anything", func() { f.Worth.Offers[0].Decides = "track.axle_holds" }},
		{Nothing, "ask its maker how", func() { f.Worth.Offers[0].Seconds = -0.1 }},
		{Nothing, "Nothing here is worth its money", func() { f.Worth = nil }},
		{Buy, "not computed yet", func() { f.NoLap = "the machine has no wheelbase" }},
		{Measure, "no lap can be ridden: the machine has no wheelbase", func() { f.OnOffer = 0 }},
		{Nothing, "nothing to buy", func() {}},
	} {
		a := On(f)
		if a.Kind != step.kind || !strings.Contains(a.Text, step.says) {
			t.Errorf("%s, not %s: %s", a.Kind, step.kind, a.Text)
		}
		if a.Timed != (a.Kind == Buy && !a.Waits) || a.Priced != a.Timed {
			t.Errorf("%s tells seconds or a price: %+v", a.Kind, a)
		}
		step.then()
	}
}

// No advice to buy: what is slower, does not go together, has no price, or is not surely quicker.
func TestNothingIsBoughtForNothing(t *testing.T) {
	for name, spoil := range map[string]func(*Offer){
		"slower":                  func(o *Offer) { o.Seconds, o.Low, o.High = -0.3, -0.5, -0.1 },
		"does not go together":    func(o *Offer) { o.Fits = false },
		"without a price":         func(o *Offer) { o.Priced = false }, // its price is asked for
		"inside its range":        func(o *Offer) { o.Low, o.Sure = -0.1, false },
		"could not be worked out": func(o *Offer) { o.Known = false },
	} {
		f := facts()
		o := offer("springs", 8000, 0.3, 0.1, 0.5)
		spoil(&o)
		f.Worth = &Worth{Lap: 50, Offers: []Offer{o}}
		if a := On(f); a.Kind == Buy || a.Kind == Set || a.Part != "" {
			t.Errorf("%s: %s", name, a.Text)
		}
	}
}

// What is on hand costs nothing and comes before what is bought, however much that gains.
func TestOnHandComesFirst(t *testing.T) {
	f := facts()
	f.Worth = &Worth{Lap: 50, Offers: []Offer{offer("pipe", 20000, 0.9, 0.5, 1.2), offer("teeth", 0, 0.2, 0.1, 0.3)}}
	if a := On(f); a.Kind != Set || a.Part != "teeth" || !a.Timed || a.Price.Minor != 0 {
		t.Errorf("%+v", a)
	}
}

// An advice is worked out in no time beside anything else on a page.
func BenchmarkOn(b *testing.B) {
	f := facts()
	f.Worth = &Worth{Lap: 50}
	for range 30 {
		f.Worth.Offers = append(f.Worth.Offers, offer("springs", 8000, 0.3, -0.1, 0.5))
	}
	for b.Loop() {
		On(f)
	}
}
