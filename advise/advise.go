// Package advise makes the one sentence that says what to do next with a build, why, and how sure that is.
//
// It goes through what is known of the build in a fixed order and stops at the first thing that holds: what may break
// the engine or hurt the rider and is not judged, conflicts, a course that is not the owner's, what costs nothing, what
// is surely worth its money, nothing. It computes no figure and reads no text; docs/decisions/0029-one-advice.md says
// why the order is as it is.
package advise

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
)

// Kind is what an advice is about.
type Kind string

// The kinds, in the order in which they are looked for.
const (
	Measure Kind = "measure" // take a reading first
	Mend    Kind = "mend"    // a conflict stands
	Course  Kind = "course"  // enter the course
	Set     Kind = "set"     // change a setting, or fit what is on hand: it costs nothing
	Buy     Kind = "buy"     // surely worth its money on the course
	Nothing Kind = "nothing" // nothing on offer is
)

// Advice is what to do next.
type Advice struct {
	Kind    Kind
	Text    string       // the sentence, and what stands behind it
	Part    string       // id of the part to buy or to fit; "" for none
	Timed   bool         // Seconds, Low and High are told
	Seconds float64      // [s] gained a lap; above zero is quicker
	Low     float64      // [s] the range holds the gain with 95 %
	High    float64      // [s]
	Priced  bool         // Price is told
	Price   money.Amount // of the part with what it needs
	Measure string       // path of the input to measure; "" for none
	Waits   bool         // what parts are worth decides it, and is not computed yet
}

// Offer is what a part, or a package of parts, gives for its money.
type Offer struct {
	Part, Name string
	Package    bool
	With       []string // names of the parts that come with it
	Priced     bool     // it and all that comes with it has a price
	Cost       money.Amount
	Known      bool    // Seconds, Low and High could be computed
	Fits       bool    // it breaks no rule of fit
	Seconds    float64 // [s] gained a lap
	Low, High  float64 // [s]
	Sure       bool    // it is surely quicker or slower: the range does not hold nothing
	Apart      string  // what it gives with the gearing brought back, in words; "" where it does not change the gearing
	Decides    string  // path of the input that makes most of the range, or Torque; "" for neither
	Brought    bool    // the part brings that input itself: nobody can measure it before it is paid for
}

// Torque stands in Decides where the computed torque, and no input, makes most of the range.
const Torque = "torque"

// Worth is what the parts on offer give on the course.
type Worth struct {
	Lap    float64 // [s] of the baseline
	Offers []Offer // the best for its money first, packages behind the parts
	Words  string  // what stood in for what the sheet leaves out; each sentence with a space before it
}

// Facts are what an advice goes by.
type Facts struct {
	Build     string           // its name
	Findings  []figure.Finding // of the build, worst first
	Figures   []figure.Figure  // of the build
	Resolved  *machine.Build
	System    quantity.System
	OwnCourse bool   // the course is the owner's, or a recording
	OnOffer   int    // parts that the baseline lacks
	NoLap     string // why no lap can be ridden; "" when one can, or nobody has tried
	Worth     *Worth // nil: not computed yet
}

// On makes the advice.
func On(f Facts) Advice {
	for _, look := range []func(Facts) (Advice, bool){unjudged, conflict, course, setting} {
		if a, ok := look(f); ok {
			return a
		}
	}
	return f.buying()
}

// named is a build in a sentence.
func named(build string) string { return fmt.Sprintf("build %q", build) }

// unjudged is about what may break the engine or hurt the rider and could not be judged: first what must be read before
// the engine turns, then what must be looked at before it is ridden.
func unjudged(f Facts) (Advice, bool) {
	var list []figure.Finding
	for _, g := range f.Findings {
		if g.Severity == figure.NotComputed && g.Before != "" && slices.ContainsFunc(g.Wants, machine.Measurable) {
			list = append(list, g)
		}
	}
	if len(list) == 0 {
		return Advice{}, false
	}
	stage := func(g figure.Finding) int {
		return slices.Index([]string{"turn this engine over", "start this engine"}, g.Before)
	}
	slices.SortStableFunc(list, func(a, b figure.Finding) int { // "ride it" is none of the two and comes last
		return (stage(a)+3)%3 - (stage(b)+3)%3
	})
	first := list[0]
	path := first.Wants[slices.IndexFunc(first.Wants, machine.Measurable)]
	a := Advice{Kind: Measure, Measure: path}
	if first.Changes == "" {
		a.Text = fmt.Sprintf("Look the machine over first and enter what you find, and do not %s before you have: %s.", first.Before, first.Why)
	} else {
		a.Text = fmt.Sprintf("You change %s and have not measured %s: do not %s before you have.", first.Changes, spoken(path), first.Before)
		if how := machine.FieldAt(path).How; how != "" {
			a.Text += fmt.Sprintf(" How: %s.", how)
		}
	}
	if n := len(list) - 1; n > 0 {
		a.Text += fmt.Sprintf(" %s more %s that may break the engine or hurt the rider %s not judged; %s below.", quantity.Counted(n), quantity.Plural(n, "thing", "things"), quantity.Plural(n, "is", "are"), quantity.Plural(n, "it stands", "they stand"))
	}
	a.Text += " How sure: a typical value never clears this, only a reading does."
	return a, true
}

// spoken is an input in a sentence.
func spoken(path string) string {
	if strings.HasPrefix(path, "engine.head.piston_to_valve.") {
		return "piston-to-valve"
	}
	return "the " + machine.Spoken(path)
}

// conflict is about the worst conflict: it is mended, or, where it turns inside the range of a typical value, that is
// measured first.
func conflict(f Facts) (Advice, bool) {
	var worst *figure.Finding
	n, unsure := 0, false
	for i := range f.Findings {
		g := &f.Findings[i]
		if g.Severity != figure.Conflict && g.Measure == "" {
			continue
		}
		n, unsure = n+1, unsure || g.Measure != ""
		if worst == nil || cmp.Or(cmp.Compare(g.Stake, worst.Stake), cmp.Compare(g.Rank, worst.Rank)) < 0 {
			worst = g
		}
	}
	if worst == nil {
		return Advice{}, false
	}
	more := ""
	switch {
	case n > 1 && unsure:
		more = fmt.Sprintf(" %s more %s below.", quantity.Counted(n-1), quantity.Plural(n-1, "thing that does not go together, or may not, stands", "things that do not go together, or may not, stand"))
	case n > 1:
		more = fmt.Sprintf(" %s more %s below.", quantity.Counted(n-1), quantity.Plural(n-1, "conflict stands", "conflicts stand"))
	}
	if path := worst.Measure; path != "" {
		text := fmt.Sprintf("Measure %s first: it decides whether %s goes together. %s", spoken(path), named(f.Build), worst.Text)
		if how := machine.FieldAt(path).How; how != "" {
			text += fmt.Sprintf(" How to measure it: %s.", how)
		}
		return Advice{Kind: Measure, Measure: path, Text: text + more + " How sure: within what machines of that kind have it may be fine."}, true
	}
	text := fmt.Sprintf("Do not go on with %s as it stands. %s", named(f.Build), worst.Text)
	if worst.Remedy != "" {
		text += " " + worst.Remedy
	}
	return Advice{Kind: Mend, Text: text + more + " " + f.sureOf(*worst)}, true
}

func (f Facts) figure(id string) (figure.Figure, bool) {
	i := slices.IndexFunc(f.Figures, func(g figure.Figure) bool { return g.ID == id && g.State == figure.Ready })
	if i < 0 {
		return figure.Figure{}, false
	}
	return f.Figures[i], true
}

// sureOf says how well the figure behind a finding is known.
func (f Facts) sureOf(g figure.Finding) string {
	for _, where := range g.Where {
		fig, ok := f.figure(where)
		if !ok {
			continue
		}
		if len(fig.Basis.Inputs) == 0 || fig.Half() == 0 {
			break
		}
		unit := fig.Unit.In(f.System)
		decimals := quantity.Decimals(unit.FromSI(fig.Value), unit.Difference(fig.Half()))
		return fmt.Sprintf("How sure: the figure lies between %s and %s (95 %% range), and %s (%s) makes most of that.",
			quantity.Number(unit.FromSI(fig.Low), decimals), quantity.WithUnit(quantity.Number(unit.FromSI(fig.High), decimals), unit), spoken(fig.Basis.Inputs[0].Path), fig.Basis.Inputs[0].Known)
	}
	return "How sure: it follows from what the sheet says."
}

// course is about a course that is not the owner's.
func course(f Facts) (Advice, bool) {
	if f.OwnCourse {
		return Advice{}, false
	}
	return Advice{Kind: Course, Text: fmt.Sprintf("Enter your course, or bring in a recording of a lap on it: until then nobody can say what a part gains there, and none is worth "+
		"buying for the clock. How sure: no conflict stands against %s in what could be judged.", named(f.Build))}, true
}

// setting is about what costs nothing to set.
func setting(f Facts) (Advice, bool) {
	for _, g := range f.Findings {
		if g.Setting != "" && g.Severity != figure.NotComputed {
			return Advice{Kind: Set, Text: fmt.Sprintf("Set %s first: it costs nothing. %s %s %s", settingName(g.Setting), g.Text, g.Remedy, f.sureOf(g))}, true
		}
	}
	if f.Worth == nil {
		return Advice{}, false
	}
	for _, o := range f.Worth.Offers {
		if o.Priced && o.Cost.Minor == 0 && o.sound() {
			a := o.advice(Set)
			a.Text = fmt.Sprintf("Fit %s: it costs nothing and takes %s s off the lap of %s s (95 %% range %s to %s).", o.called(), seconds(o.Seconds), quantity.Number(f.Worth.Lap, 1), seconds(o.Low), seconds(o.High)) + f.Worth.Words + ranks
			return a, true
		}
	}
	return Advice{}, false
}

// settingName is what a mechanic calls what is set.
func settingName(path string) string {
	for name, is := range map[string]string{
		"the front preload": "suspension.front.preload", "the rear preload": "suspension.rear.preload", "the level of the fork oil": "suspension.front.oil_air_gap",
		"the main jet": "engine.intake.carburettor.main_jet", "the rear tyre pressure": "wheels.rear.pressure",
	} {
		if is == path {
			return name
		}
	}
	return spoken(path)
}

// ranks is what laps are good for.
const ranks = " The lap is that of one line and a rider who uses all there is: it ranks, it does not promise."

// sound says that it is surely quicker and goes together.
func (o Offer) sound() bool { return o.Known && o.Fits && o.Sure && o.Seconds > 0 }

// called is the offer in a sentence.
func (o Offer) called() string {
	switch {
	case o.Package:
		return fmt.Sprintf("these together (%s): %s", strings.ToLower(o.Name), strings.Join(o.With, ", "))
	case len(o.With) > 0:
		return fmt.Sprintf("%q with %s", o.Name, quantity.AllOf(o.With))
	}
	return fmt.Sprintf("%q", o.Name)
}

// advice is one about the offer.
func (o Offer) advice(k Kind) Advice {
	a := Advice{Kind: k, Timed: true, Seconds: o.Seconds, Low: o.Low, High: o.High, Priced: o.Priced, Price: o.Cost}
	if !o.Package {
		a.Part = o.Part
	}
	return a
}

// buying is about what is worth its money.
func (f Facts) buying() Advice {
	switch {
	case f.OnOffer == 0:
		return Advice{Kind: Nothing, Text: "There is nothing to buy: no part is on offer that is not fitted already. Add what the makers' lists hold, with prices, and each is tried on your course."}
	case f.NoLap != "":
		return Advice{Kind: Measure, Text: "What a part gains cannot be said yet, for no lap can be ridden: " + strings.TrimSuffix(f.NoLap, ".") + "."}
	case f.Worth == nil:
		return Advice{Kind: Buy, Waits: true, Text: fmt.Sprintf("What to buy next is not computed yet. No conflict stands against %s, and what costs nothing is set.", named(f.Build))}
	}
	w := f.Worth
	best := slices.IndexFunc(w.Offers, func(o Offer) bool { return o.sound() && o.Priced && o.Cost.Minor > 0 })
	rival := f.rival(best)
	if best >= 0 {
		o := w.Offers[best]
		a := o.advice(Buy)
		a.Text = fmt.Sprintf("Buy %s next: for %s it takes %s s off the lap of %s s (95 %% range %s to %s), the most for its money of what is surely quicker.%s", o.called(), o.Cost, seconds(o.Seconds), quantity.Number(w.Lap, 1), seconds(o.Low), seconds(o.High), o.Apart)
		if rival >= 0 {
			a.Measure = f.deciding(w.Offers[rival])
			a.Text += f.ofRival(w.Offers[rival], "more")
		} else if m := f.deciding(o); m != "" {
			a.Measure = m
			a.Text += fmt.Sprintf(" Measure %s before you pay: it would change this most.", spoken(m))
		} else if o.Brought {
			a.Text += fmt.Sprintf(" Ask its maker how %s was measured: it would change this most.", spoken(o.Decides))
		}
		a.Text += w.Words + ranks
		return a
	}
	if k := slices.IndexFunc(w.Offers, func(o Offer) bool { return o.sound() && !o.Priced }); k >= 0 {
		o := w.Offers[k]
		return Advice{Kind: Nothing, Timed: true, Seconds: o.Seconds, Low: o.Low, High: o.High, Text: fmt.Sprintf("Ask what %s costs before you buy anything: it has no price, and takes %s s off the lap of %s s (95 %% range %s to %s). "+
			"Nothing that has a price is surely quicker on this course.", o.called(), seconds(o.Seconds), quantity.Number(w.Lap, 1), seconds(o.Low), seconds(o.High)) + w.Words + ranks}
	}
	if rival >= 0 && f.deciding(w.Offers[rival]) != "" {
		o := w.Offers[rival]
		m := f.deciding(o)
		return Advice{Kind: Measure, Measure: m, Text: fmt.Sprintf("Measure %s before you buy anything: nothing on offer is surely quicker on this course yet, and that reading decides.", spoken(m)) + would(o, "most") + "." + w.Words + ranks}
	}
	text := "Nothing here is worth its money on this course: no part on offer is surely quicker."
	if rival >= 0 {
		text += f.ofRival(w.Offers[rival], "most")
	}
	return Advice{Kind: Nothing, Text: text + " What is on offer for safety, reliability or the class stands on its own." + w.Words + ranks}
}

// rival is the offer that would gain most, and more than the best if there is one, were it sure; -1 for none.
func (f Facts) rival(best int) int {
	found := -1
	for i, o := range f.Worth.Offers {
		if o.Package || !o.Known || !o.Fits || !o.Priced || o.Sure || o.Seconds <= 0 || o.Decides == "" {
			continue
		}
		if best >= 0 && o.Seconds <= f.Worth.Offers[best].Seconds || found >= 0 && o.Seconds <= f.Worth.Offers[found].Seconds {
			continue
		}
		found = i
	}
	return found
}

// deciding is the input that decides whether an offer is quicker, where an owner can measure it before he pays; ""
// otherwise.
func (f Facts) deciding(o Offer) string {
	if o.Decides == Torque || o.Brought || !machine.Measurable(o.Decides) {
		return ""
	}
	return o.Decides
}

// would says what an offer would gain that is not sure.
func would(o Offer, more string) string {
	return fmt.Sprintf(" %s would give %s, %s s, but beside its range (%s to %s) that is too small to tell", quantity.Capital(o.called()), more, seconds(o.Seconds), seconds(o.Low), seconds(o.High))
}

// ofRival says what an offer would gain that is not sure, and what makes it so.
func (f Facts) ofRival(o Offer, more string) string {
	text := would(o, more) + ": "
	switch m := f.deciding(o); {
	case m != "":
		return text + "measure " + spoken(m) + " before you pay, which decides it."
	case o.Decides == Torque: // what is not bought yet cannot be measured
		return text + "it is the computed torque that is not sure, not an input, so wait until a dynamometer has measured your engine as it is."
	}
	return text + "ask its maker how " + spoken(o.Decides) + " was measured, which decides it."
}

func seconds(s float64) string { return quantity.Number(s, 2) }
