package worth

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"shakedown/advise"
	"shakedown/check"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
)

// Worth is what a part, or a package of several, gives for its money on this course: with what it needs, laid over the
// baseline.
type Worth struct {
	Part    string
	Name    string
	With    []string     // that come with it: it needs them, or it does not go together without them; of a package its parts
	Mends   []string     // rules that would be broken without some of these
	Breaks  []string     // rules that it breaks all the same: it does not go together
	Package bool         // it is one
	Most    string       // the input that makes most of its range; "" for none
	Cost    money.Amount // of all of these that have a price
	// Unpriced are those of it that have no price on the sheet: what it costs is not known, so it is neither ranked for
	// its money, Advise nor bought.
	Unpriced []string
	Seconds  float64  // [s] a lap that it gains; below zero it loses
	Low      float64  // [s]
	High     float64  // [s]
	Narrow   []string // what the range leaves out, in words; none as a rule
	Why      string   // it cannot be said
	Geared   *Geared  // the same with the gearing brought back; nil where it does not change the size of the rear tyres
}

// Geared is what a part is worth whose rear tyres are of another size, with other teeth that give the gearing back:
// what is the tyre's and what the gearing's stands apart.
type Geared struct {
	Teeth   track.Teeth
	Words   string  // "with 14 teeth in front"
	Seconds float64 // [s] a lap that it gains
	Low     float64 // [s]
	High    float64 // [s]
}

// Inside says that what it gains is inside its range: it holds nothing, or what no watch tells from it.
func (w Worth) Inside() bool { return w.Low <= course.Unseen && w.High >= -course.Unseen }

// PerHundred is what it gains for a hundred of the currency [s]; 0 for a part that costs nothing or has no price.
func (w Worth) PerHundred() float64 {
	if w.Cost.Minor <= 0 || len(w.Unpriced) > 0 {
		return 0
	}
	return w.Seconds / (float64(w.Cost.Minor) / math.Pow10(money.Digits(w.Cost.Currency)) / 100)
}

// Value is what the parts of a sheet are worth on its course.
type Value struct {
	Aim     string // the question's build
	Against string
	Base    float64 // [s] the baseline's lap
	Parts   []Worth // those that the lap sees, the best for its money first
	NoPrice []Worth // those that the lap sees and whose cost is not known, the quickest first
	Apart   []string
	// Packages are what the question's build adds in one area of the machine, all together, where that is more than a
	// part with what it needs.
	Packages []Package
	Order    []Bought // what to buy under the budget, first to last; empty without one
	Budget   money.Amount
	Whole    *Worth        // the question's build against the baseline
	Advice   advise.Advice `json:"-"`
	course.StandIns
	System quantity.System
	Care   []string // cautions
}

// Package is what several parts of one area of the machine give together.
type Package struct {
	Worth
	Sum float64 // [s] that they would gain if each gave what it gives alone
}

// Bought is a part, or a package, in the order of buying.
type Bought struct {
	Worth         // beside all that is bought before it
	Lap   float64 // [s] with it
	Spent money.Amount
}

// ValueOf finds what each part of the answer's sheet is worth; what the lap does not see is told by name only.
func ValueOf(ctx context.Context, a *asked.Answer, budget string, known *forecast.Results, done func(ready, total int)) (*Value, error) {
	v := &Value{Care: append(asked.Cautions(a.Build), asked.FittingCare)}
	if budget != "" {
		if err := ReadBudget(a, budget); err != nil {
			return nil, err
		}
		v.Budget, _ = money.Parse(budget, a.Sheet.Project.Currency) // it was read just now
	}
	return v, workOut(ctx, a, v, known, done)
}

// ReadBudget says whether a person's words are a sum in the sheet's currency. The error is Mendable.
func ReadBudget(a *asked.Answer, text string) error {
	sum, err := money.Parse(text, a.Sheet.Project.Currency)
	if err == nil && sum.Minor <= 0 {
		err = fmt.Errorf("%s buys nothing", sum)
	}
	if err != nil {
		return faults.Mendable(fmt.Errorf("the budget: %w; write it in the sheet's currency, such as 500", err))
	}
	return nil
}

// tried is a build made for trying: the baseline with some parts.
type tried struct {
	build  *machine.Build
	torque *torque.Sure
}

// racer is the build on the course.
func (t tried) racer() track.Racer { return track.Racer{Build: t.build, Torque: t.torque} }

// valuer tries builds over the baseline.
type valuer struct {
	a     *asked.Answer
	base  tried
	refs  []machine.Reference // of the baseline
	rules []figure.Finding    // conflicts that the baseline has
	laps  *track.Laps
	known *forecast.Results
	tell  func() // that a step is done
}

// candidate is a part that may be bought, or a package.
type candidate struct {
	id, name string
	refs     []machine.Reference
	t        tried
	worth    Worth
	needed   []machine.Reference // brought along so that it goes together
}

// in says that a build has all of it.
func (c *candidate) in(b *machine.Build) bool {
	return !slices.ContainsFunc(c.refs, func(r machine.Reference) bool { return !b.Has(r.Name) })
}

// candidatesOf are the parts that the baseline lacks, and the packages: what the build adds to the baseline in one area
// of the machine.
func candidatesOf(a *asked.Answer) (parts, packages []*candidate) {
	refer := func(p *machine.Part) machine.Reference { return machine.Reference{Name: p.ID, Origin: p.Origin} }
	for i := range a.Sheet.Project.Parts {
		if p := &a.Sheet.Project.Parts[i]; !a.Baseline.Has(p.ID) {
			parts = append(parts, &candidate{id: p.ID, name: cmp.Or(p.Name, p.ID), refs: []machine.Reference{refer(p)}})
		}
	}
	for _, g := range asked.ByArea(a.Sheet.Project.Parts, func(p *machine.Part) (machine.Reference, bool) {
		return refer(p), a.Build.Has(p.ID) && !a.Baseline.Has(p.ID)
	}) {
		packages = append(packages, &candidate{id: strings.ToLower(g.Area), name: g.Area, refs: g.Parts})
	}
	return parts, packages
}

// try is the baseline with more parts, and its curve.
func (v *valuer) try(ctx context.Context, parts []machine.Reference) (tried, error) {
	b, err := v.a.Sheet.Project.Lay(append(slices.Clone(v.refs), parts...))
	if err != nil {
		return tried{}, err
	}
	k, err := v.known.Sure(ctx, b)
	return tried{b, k}, err
}

// conflicts are those of a build.
func (v *valuer) conflicts(t tried) []figure.Finding {
	figures := append(forecast.Values(t.build, v.base.build), forecast.CurveValues(t.build, t.torque, v.base.build, v.base.torque)...)
	c := check.NewContext(t.build, v.base.build, figures, v.a.System)
	return slices.DeleteFunc(check.Run(c), func(f figure.Finding) bool { return f.Severity != figure.Conflict })
}

// breaks are the rules that a build breaks and the baseline does not.
func (v *valuer) breaks(t tried) []string { return newConflicts(v.conflicts(t), v.rules) }

// mostNeeded is how many parts are looked for so that another one goes together.
const mostNeeded = 3

// goesTogether looks for parts of the sheet without which a candidate breaks a rule, the cheapest of those that leave
// the fewest broken, and puts them beside it. When none help, it says what stays broken.
func (v *valuer) goesTogether(ctx context.Context, c *candidate, parts []*candidate) error {
	broken := v.breaks(c.t)
	if len(broken) == 0 {
		return nil
	}
	at, left := c.t, broken
	var needed []machine.Reference
	for len(left) > 0 && len(needed) < mostNeeded {
		var best *candidate
		var with tried
		still := left
		for _, p := range parts {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if at.build.Has(p.id) {
				continue
			}
			b, err := v.a.Sheet.Project.Lay(slices.Concat(v.refs, c.refs, needed, p.refs))
			if err != nil {
				continue
			}
			t := tried{b, at.torque} // what it does to the torque decides no rule that another part mends
			if now := v.breaks(t); len(now) < len(still) || best != nil && len(now) == len(still) && v.cheaper(b, with.build, at.build) {
				best, with, still = p, t, now
			}
		}
		if best == nil {
			break
		}
		needed, at, left = slices.Concat(needed, best.refs), with, still
	}
	if len(left) > 0 {
		c.worth.Breaks = broken
		return nil
	}
	t, err := v.try(ctx, slices.Concat(c.refs, needed))
	if err != nil {
		return err
	}
	if left = v.breaks(t); len(left) > 0 {
		c.worth.Breaks = left
		return nil
	}
	c.needed, c.t, c.worth.Mends = needed, t, broken
	return nil
}

// cost is what a build costs above another.
func (v *valuer) cost(b, over *machine.Build) money.Amount {
	sum := money.Amount{Currency: v.a.Sheet.Project.Currency}
	for _, p := range b.Parts {
		if p.Priced && !over.Has(p.ID) {
			sum.Minor += p.Price
		}
	}
	return sum
}

// unpriced are the parts without a price that a build has above another.
func unpriced(b, over *machine.Build) (list []string) {
	for _, p := range b.Parts {
		if !p.Priced && !over.Has(p.ID) {
			list = append(list, p.ID)
		}
	}
	return list
}

// cheaper says that one build costs less above a third than another; one whose cost is not known never does.
func (v *valuer) cheaper(a, b, over *machine.Build) bool {
	if d := cmp.Compare(len(unpriced(a, over)), len(unpriced(b, over))); d != 0 {
		return d < 0
	}
	return v.cost(a, over).Minor < v.cost(b, over).Minor
}

// worth compares a build with one that it grew from.
func (v *valuer) worth(ctx context.Context, t, over tried) (w Worth, err error) {
	f, err := v.laps.Time(ctx, t.racer(), over.racer())
	if err != nil {
		return w, err
	}
	if f.State != figure.Ready {
		w.Why = f.Why
		return w, nil
	}
	if c := f.Change; c != nil {
		w.Seconds, w.Low, w.High, w.Most = -c.Value, -c.High, -c.Low, c.Most
	}
	w.Cost, w.Unpriced, w.Narrow = v.cost(t.build, over.build), unpriced(t.build, over.build), f.Narrow
	return w, nil
}

// geared is what a build is worth with the gearing of another brought back; nil where there is nothing to bring back. A
// sprocket's price is not counted.
func (v *valuer) geared(ctx context.Context, t, over tried) (*Geared, error) {
	teeth, words, ok := track.GearedBack(t.build, over.build)
	if !ok {
		return nil, nil
	}
	now := t.racer()
	now.Teeth = teeth
	f, err := v.laps.Time(ctx, now, over.racer())
	if err != nil || f.State != figure.Ready || f.Change == nil {
		return nil, err
	}
	return &Geared{teeth, words, -f.Change.Value, -f.Change.High, -f.Change.Low}, nil
}

// Sound says that it gains more than a lap is sure of, and goes together. Rear tyres of another size must do so with
// the gearing brought back too: else it is the gearing that gains, and a sprocket does that for less.
func (w Worth) Sound() bool {
	return w.Why == "" && len(w.Breaks) == 0 && !w.Inside() && w.Seconds > 0 && (w.Geared == nil || w.Geared.Low > course.Unseen)
}

func workOut(ctx context.Context, a *asked.Answer, out *Value, known *forecast.Results, done func(ready, total int)) error {
	if err := a.Along().Err; err != nil {
		return err
	}
	known, out.Template = course.OnCourse(a, known)
	v := &valuer{a: a, refs: a.Sheet.Project.BuildNamed(a.Baseline.Name).Parts, known: known}
	out.Aim, out.Against, out.System, out.Foreign = a.Build.Name, a.Baseline.Name, a.System, course.Foreign(a)
	base, err := a.Sheet.Project.Lay(v.refs)
	if err != nil {
		return err
	}
	v.known = known.Like(base)
	if v.base, err = v.try(ctx, nil); err != nil {
		return err
	}
	v.rules = v.conflicts(v.base)
	v.laps = track.NewLapTimes(a.Along().Ride)
	lap, err := track.ComputeLap(v.base.build, v.base.torque.Curve, a.Along().Ride)
	if err != nil {
		return err
	}
	out.Base, out.Assumed = lap.Time, lap.Assumed
	parts, packages := candidatesOf(a)
	ready, total := 0, 2*(len(parts)+len(packages))
	if out.Budget.Minor > 0 {
		total += len(parts) + len(packages)
	}
	var mu sync.Mutex // laps are ridden on all processors
	v.tell = func() {
		mu.Lock()
		defer mu.Unlock()
		if ready++; done != nil {
			done(min(ready, total), total)
		}
	}
	if err := v.ride(ctx, parts, packages); err != nil {
		return err
	}
	seen, packages := rank(out, parts, packages)
	if a.Build.Name != a.Baseline.Name {
		k, err := v.known.Sure(ctx, a.Build)
		if err != nil && !errors.Is(err, torque.ErrNoCurve) {
			return err
		}
		if err == nil {
			w, err := v.worth(ctx, tried{a.Build, k}, v.base)
			if err != nil {
				return err
			}
			w.Part, w.Name, w.With = a.Build.Name, a.Build.Name, newIn(a.Build, a.Baseline, "")
			out.Whole = &w
		}
	}
	return v.order(ctx, out, seen, packages)
}

// ride finds out of every candidate whether it goes together, and what it is worth over the baseline.
func (v *valuer) ride(ctx context.Context, parts, packages []*candidate) error {
	list := slices.Concat(parts, packages)
	for _, c := range list { // a curve takes all processors
		c.worth.Part, c.worth.Name = c.id, c.name
		var err error
		if c.t, err = v.try(ctx, c.refs); err == nil {
			err = v.goesTogether(ctx, c, parts)
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			c.worth.Why = err.Error()
		}
		v.tell()
	}
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for _, c := range list {
		work.Go(func() error {
			return faults.Catch(func() error {
				if c.worth.Why == "" {
					w, err := v.worth(each, c.t, v.base)
					if err != nil {
						return err
					}
					if w.Geared, err = v.geared(each, c.t, v.base); err != nil {
						return err
					}
					w.Part, w.Name, w.Mends, w.Breaks, w.With = c.id, c.name, c.worth.Mends, c.worth.Breaks, newIn(c.t.build, v.base.build, c.id)
					c.worth = w
				}
				v.tell()
				return nil
			})
		})
	}
	return work.Wait()
}

// rank puts what was ridden into the answer, the best for its money first, and what has no price by itself. It gives
// the parts that the lap sees, in that order, and the packages that say more than one of these.
func rank(out *Value, parts, packages []*candidate) (seen, more []*candidate) {
	alike := func(c, p *candidate) bool {
		return c != p && c.t.build != nil && p.t.build != nil && sameParts(c.t.build, p.t.build)
	}
	small := func(c *candidate) bool {
		return c.worth.Why == "" && math.Abs(c.worth.Seconds) < course.Unseen && (c.worth.Geared == nil || math.Abs(c.worth.Geared.Seconds) < course.Unseen)
	}
	for _, c := range parts {
		// One that does not go together without another that needs it is there for that other.
		if small(c) || len(c.needed) > 0 && slices.ContainsFunc(parts, func(p *candidate) bool { return len(p.needed) == 0 && alike(c, p) }) {
			out.Apart = append(out.Apart, c.name)
			continue
		}
		seen = append(seen, c)
	}
	slices.SortStableFunc(seen, func(a, b *candidate) int {
		if d := cmp.Compare(min(len(a.worth.Unpriced), 1), min(len(b.worth.Unpriced), 1)); d != 0 {
			return d
		}
		if d := cmp.Compare(b.worth.PerHundred(), a.worth.PerHundred()); d != 0 {
			return d
		}
		return cmp.Compare(b.worth.Seconds, a.worth.Seconds)
	})
	for _, c := range seen {
		if len(c.worth.Unpriced) > 0 {
			out.NoPrice = append(out.NoPrice, c.worth)
			continue
		}
		out.Parts = append(out.Parts, c.worth)
	}
	for _, c := range packages {
		if small(c) || slices.ContainsFunc(seen, func(p *candidate) bool { return alike(c, p) }) {
			continue
		}
		c.worth.Package = true
		more = append(more, c)
		out.Packages = append(out.Packages, Package{c.worth, oneByOne(out.ridden(), c.worth.With)})
	}
	return seen, more
}

// sameParts says that two builds have the same parts.
func sameParts(a, b *machine.Build) bool {
	return len(a.Parts) == len(b.Parts) && !slices.ContainsFunc(a.Parts, func(p *machine.Part) bool { return !b.Has(p.ID) })
}

// newIn are the parts that a build has and another has not, but for one.
func newIn(b, other *machine.Build, but string) (list []string) {
	for _, p := range b.Parts {
		if p.ID != but && !other.Has(p.ID) {
			list = append(list, p.ID)
		}
	}
	return list
}
