package check

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
)

// Standing is what comes of judging a maker's claim.
type Standing string

// What may come of it.
const (
	Holds    Standing = "holds"   // the range of the figure, or of its change, holds what is claimed
	Inside   Standing = "inside"  // the range of the change does, and holds no change at all too
	Fails    Standing = "fails"   // the range does not hold it
	NotYet   Standing = "waiting" // the figure takes long and was not computed yet
	CannotBe Standing = "cannot"  // the text says why
)

// Judged says that there is a range and the claim was held against it.
func (s Standing) Judged() bool { return s == Holds || s == Inside || s == Fails }

// words say of a claim that was judged what came of it.
func (s Standing) words() string {
	return map[Standing]string{Holds: "the claim holds", Fails: "the claim does not hold", Inside: "the claim is inside the range, and so is no change at all"}[s]
}

// Verdict is a maker's claim judged.
type Verdict struct {
	Part, Says, Of string
	Claim          machine.Claim
	State          Standing
	Text           string
}

// Judged says that the claim was held against a range.
func (v Verdict) Judged() bool { return v.State.Judged() }

// Holds says that the range holds what is claimed.
func (v Verdict) Holds() bool { return v.State == Holds || v.State == Inside }

// claims judges the makers' claims of the parts in the build.
func claims(c *Context, r *report) {
	for _, v := range Claims(c) {
		switch {
		case !v.Judged():
			r.add(figure.NotComputed, "", []string{v.Of}, "%s", v.Text)
		case !v.Holds():
			r.add(figure.Note, "Believe the figure, or ask the maker how it was measured.", []string{v.Of}, "%s", v.Text)
		}
	}
}

// Claims judges every claim of the build's parts against the figures, as the build stands.
func Claims(c *Context) []Verdict {
	var list []Verdict
	for _, part := range c.Build.Parts {
		for _, claim := range part.Claims {
			list = append(list, c.judge(part, claim))
		}
	}
	return list
}

func (c *Context) judge(part *machine.Part, claim machine.Claim) Verdict {
	v := Verdict{Part: part.ID, Says: claim.Says, Of: claim.Of, Claim: claim, State: CannotBe}
	f, ok := c.Figures[claim.Of]
	if !ok {
		v.Text = fmt.Sprintf("%s: the maker says %q, which cannot be judged: no such figure is computed for this machine.", called(part), claim.Says)
		return v
	}
	places := []figure.Figure{f}
	if id, ok := torque.AtWheel(claim.Of); ok && claim.At != machine.AtCrank {
		if places = append(places, c.Figures[id]); claim.At == machine.AtRearWheel {
			places = places[1:]
		}
	}
	said := c.said(part, claim, f, places)
	if off := c.without(claim.With); len(off) > 0 {
		v.Text = fmt.Sprintf("%s; it cannot be judged: this build is without %s.", said, quantity.AllOf(off))
		return v
	}
	tried := make([]held, len(places))
	for i, f := range places {
		tried[i] = c.hold(part, claim, f)
	}
	now := agreed(claim, tried)
	v.State = now.state
	switch {
	case now.state == NotYet:
		v.Text = fmt.Sprintf("%s; it is not judged yet: %s.", said, now.why)
	case now.state == CannotBe && now.computed == "":
		v.Text = fmt.Sprintf("%s; it cannot be judged: %s.", said, now.why)
	case now.state == CannotBe:
		v.Text = fmt.Sprintf("%s; %s: it cannot be judged, for %s.", said, now.computed, now.why)
	default:
		v.Text = fmt.Sprintf("%s; %s: %s.", said, now.computed, now.state.words())
	}
	if other, ok := c.Figures["axle.yield_load"].Before(); now.state.Judged() && claim.Kind == machine.ClaimFactor && claim.Of == "axle.section_strength" && ok && other != 0 {
		v.Text += fmt.Sprintf(" At the wheel it is %s: the longer arm takes part of it away.", quantity.Number(c.Figures["axle.yield_load"].Value/other, 2))
	}
	return v
}

// said is what the maker says of a figure, which it is at one place or at two.
func (c *Context) said(part *machine.Part, claim machine.Claim, f figure.Figure, places []figure.Figure) string {
	title := quantity.Lower(places[0].Title)
	if len(places) > 1 {
		title = strings.TrimSuffix(title, " at the crank")
	}
	said := fmt.Sprintf("%s: the maker says %q of %s", called(part), claim.Says, title)
	if claim.Says == "" {
		said = fmt.Sprintf("%s: the maker's claim of %s", called(part), title)
	}
	if len(places) > 1 {
		said += " and not where it was measured"
	}
	if names := c.names(claim.With); len(names) > 0 {
		said += ", with " + quantity.AllOf(names) + " fitted"
	}
	switch claim.Kind {
	case machine.ClaimFactor:
		return said + ", a factor of " + quantity.Number(claim.Number, 2)
	case machine.ClaimGain:
		return said + ", a gain of " + c.showChange(claim.Number, f.Unit.Symbol)
	}
	if _, unit, ok := quantity.Typed(claim.Text, quantity.Spec{Kind: f.Unit.Kind}); claim.Says == "" || ok && unit.Symbol != f.Unit.In(c.System).Symbol {
		said += ", " + c.show(claim.Number, f.Unit.Symbol)
	}
	return said
}

// held is a claim held against one figure: what was computed, in words, and what came of it.
type held struct {
	state    Standing
	computed string // value and range
	against  string // the baseline of a change, in words
	why      string // it was not judged
}

// agreed is what comes of a claim that was held against what a figure is at the crank and, where the maker does not say
// at which, at the rear wheel. A total cannot be judged then; a gain or a factor can where the place does not matter.
func agreed(claim machine.Claim, tried []held) held {
	if len(tried) == 1 {
		t := tried[0]
		if t.computed != "" {
			t.computed = "computed " + t.computed + t.against
		}
		return t
	}
	crank, wheel := tried[0], tried[1]
	both := held{state: crank.state}
	if crank.computed != "" && wheel.computed != "" {
		both.computed = fmt.Sprintf("computed %s at the crank and %s at the rear wheel%s", crank.computed, wheel.computed, crank.against)
	}
	switch {
	case claim.Kind == machine.ClaimValue:
		both.state, both.why = CannotBe, "crank and rear wheel lie about a tenth apart; ask the maker where it was measured"
		if both.computed == "" {
			both.why = strings.TrimPrefix(both.why, "")
		}
	case !crank.state.Judged():
		both.why = crank.why
	case !wheel.state.Judged():
		both.state, both.why = wheel.state, wheel.why
		both.computed = ""
	case crank.state != wheel.state:
		both.state, both.why = CannotBe, fmt.Sprintf("at the crank %s and at the rear wheel %s; ask the maker where it was measured", crank.state.words(), wheel.state.words())
	}
	return both
}

// hold holds a claim against a figure, or against its change.
func (c *Context) hold(part *machine.Part, claim machine.Claim, f figure.Figure) held {
	switch f.State {
	case figure.Waiting:
		return held{state: NotYet, why: f.Why}
	case figure.Cannot:
		return held{state: CannotBe, why: f.Why}
	}
	if claim.Kind == machine.ClaimValue {
		t := held{computed: fmt.Sprintf("%s (%s to %s)", c.shown(f), c.show(f.Low, f.Unit.Symbol), c.show(f.High, f.Unit.Symbol))}
		return t.judged(!less(claim.Number, f.Low) && !less(f.High, claim.Number), false, f, f.End)
	}
	return c.holdChange(part, claim, f)
}

// holdChange holds a claim of a gain or a factor against a figure's change, where that is the part's.
func (c *Context) holdChange(part *machine.Part, claim machine.Claim, f figure.Figure) held {
	before, ok := f.Before()
	switch {
	case c.Build.Name == c.Baseline.Name:
		return held{state: CannotBe, why: "there is no baseline to judge a change against"}
	case !ok:
		return held{state: CannotBe, why: fmt.Sprintf("of build %q it is not computed, so that there is no change to judge", c.Baseline.Name)}
	case claim.Kind == machine.ClaimFactor && before == 0:
		return held{state: CannotBe, why: fmt.Sprintf("in build %q it is nothing, and so is any multiple of it", c.Baseline.Name)}
	}
	t := held{against: fmt.Sprintf(" against build %q", c.Baseline.Name)}
	var holds bool
	if claim.Kind == machine.ClaimFactor {
		const rounded = 0.02 // "60 %" is as good as that
		low, high := 1+f.Change.Low/before, 1+f.Change.High/before
		low, high = math.Min(low, high), math.Max(low, high)
		t.computed = fmt.Sprintf("%s (%s to %s)", quantity.Number(f.Value/before, 2), quantity.Number(low, 2), quantity.Number(high, 2))
		holds = !less(claim.Number, low-rounded) && !less(high+rounded, claim.Number)
	} else {
		t.computed = fmt.Sprintf("%s (%s to %s)", c.showChange(f.Change.Value, f.Unit.Symbol), c.showChange(f.Change.Low, f.Unit.Symbol), c.showChange(f.Change.High, f.Unit.Symbol))
		holds = !less(claim.Number, f.Change.Low) && !less(f.Change.High, claim.Number)
	}
	if why := c.notAlone(part, f); why != "" {
		t.state, t.why = CannotBe, why
		return t
	}
	end := f.End
	if end == "" {
		end = f.Change.End
	}
	return t.judged(holds, f.Change.Inside(), f, end)
}

// judged is what comes of a claim whose figure is there: a range that is cut off, or leaves something out, refutes
// nothing.
func (t held) judged(holds, nothing bool, f figure.Figure, end string) held {
	switch {
	case end != "":
		t.state, t.why = CannotBe, "what it is computed from is "+end
	case holds && nothing:
		t.state = Inside
	case holds:
		t.state = Holds
	case len(f.Narrow) > 0:
		t.state, t.why = CannotBe, "the range leaves out "+quantity.AllOf(f.Narrow)
	default:
		t.state = Fails
	}
	return t
}

// notAlone says why a figure's change is not the work of a part with what it needs, and of what it is; "" where it is
// the part's alone.
func (c *Context) notAlone(part *machine.Part, f figure.Figure) string {
	own := c.Build.Project.NeededBy(part.ID)
	var others []string
	mine := false
	for _, p := range c.changers(f) {
		if p.ID == part.ID || slices.Contains(own, p.ID) {
			mine = true
		} else {
			others = append(others, fmt.Sprintf("%q", called(p)))
		}
	}
	const most = 4
	if n := len(others) - most; n > 1 {
		others = append(others[:most], fmt.Sprintf("%d more", n))
	}
	of := ", and the change is of " + quantity.AllOf(others)
	if len(others) == 0 {
		of = ""
	}
	switch {
	case c.Baseline.Has(part.ID):
		return fmt.Sprintf("build %q has this part too%s", c.Baseline.Name, of)
	case !mine:
		return "nothing that this part changes goes into it" + of
	case of != "":
		return "the change is of this part with " + quantity.AllOf(others) + "; compare with a build that has all but this part"
	}
	return ""
}

// changers are the parts that only one of the two builds has and that change what a figure hangs on. Where the figure
// does not say what it hangs on, they are those that change anything.
func (c *Context) changers(f figure.Figure) []*machine.Part {
	if list, ok := c.changing[f.ID]; ok {
		return list
	}
	read, groups := map[string]bool{}, map[string]bool{}
	for _, in := range f.Basis.Inputs {
		read[in.Path], groups[group(in.Path)] = true, true
	}
	var moved []string
	for _, path := range slices.Sorted(maps.Keys(c.Build.Values)) {
		if before, ok := c.Baseline.Values[path]; (len(read) == 0 || read[path]) && !(ok && c.Build.Values[path].Same(before)) {
			moved = append(moved, path)
		}
	}
	for _, path := range slices.Sorted(maps.Keys(c.Baseline.Values)) { // what came off is read in the baseline alone
		if !c.Build.Given(path) && (len(read) == 0 || groups[group(path)]) {
			moved = append(moved, path)
		}
	}
	var list []*machine.Part
	differ := func(parts []*machine.Part, other *machine.Build) {
		for _, p := range parts {
			if !other.Has(p.ID) && (len(p.Masses) > 0 && (len(read) == 0 || read[ranges.AddedMasses]) || slices.ContainsFunc(moved, func(path string) bool { return c.Build.Project.Touches(p, path) })) {
				list = append(list, p)
			}
		}
	}
	differ(c.Build.Parts, c.Baseline)
	differ(c.Baseline.Parts, c.Build)
	c.changing[f.ID] = list
	return list
}

// group is what an input belongs to, such as "engine".
func group(path string) string {
	name, _, _ := strings.Cut(path, ".")
	return name
}

// names are what parts are called, in quotes.
func (c *Context) names(refs []machine.Reference) []string {
	var list []string
	for _, ref := range refs {
		list = append(list, fmt.Sprintf("%q", c.partName(ref.Name)))
	}
	return list
}

// without are the parts of a list that the build does not have, in quotes.
func (c *Context) without(refs []machine.Reference) []string {
	return c.names(slices.DeleteFunc(slices.Clone(refs), func(ref machine.Reference) bool { return c.Build.Has(ref.Name) }))
}
