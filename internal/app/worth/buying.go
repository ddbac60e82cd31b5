package worth

import (
	"cmp"
	"context"
	"math"
	"slices"

	"shakedown/forecast/track"
	"shakedown/internal/app/course"
	"shakedown/machine"
	"shakedown/money"
)

// purchase is a candidate that is bought.
type purchase struct {
	*candidate
	t   tried   // with all that is bought before it
	lap float64 // [s] of that
}

// order finds what to buy under the budget, first to last. Taking always the best for its money may spend on small
// things what a large one wants: so it is also tried with packages, and with each of the others bought first, where
// what they give alone says that this may be as good.
func (v *valuer) order(ctx context.Context, out *Value, parts, packages []*candidate) error {
	if out.Budget.Minor <= 0 {
		return nil
	}
	within := func(list []*candidate) []*candidate {
		return slices.DeleteFunc(slices.Clone(list), func(c *candidate) bool {
			return c.worth.Why != "" || len(c.worth.Breaks) > 0 || len(c.worth.Unpriced) > 0 || c.worth.Seconds < course.Unseen || c.worth.Cost.Minor > out.Budget.Minor
		})
	}
	may := within(parts)
	best, err := v.buy(ctx, may, nil, out)
	if err != nil {
		return err
	}
	lap := func(picks []purchase) float64 {
		if len(picks) == 0 {
			return out.Base
		}
		return picks[len(picks)-1].lap
	}
	if packages = within(packages); len(packages) > 0 {
		may = slices.Concat(may, packages)
		other, err := v.buy(ctx, may, nil, out)
		if err != nil {
			return err
		}
		if lap(other) < lap(best)-course.Unseen {
			best = other
		}
	}
	usual, swapped := addsUp(may, nil, out.Budget.Minor), false
	for _, c := range may {
		v.tell()
		margin := apart
		if !c.t.torque.Curve.Same(v.base.torque.Curve) { // beside others it wants curves of its own, which take long
			margin = 0
		}
		if addsUp(may, c, out.Budget.Minor) < usual-margin-1e-9 || slices.ContainsFunc(best, func(p purchase) bool { return p.candidate == c }) {
			continue
		}
		other, err := v.buy(ctx, may, c, out)
		if err != nil {
			return err
		}
		if lap(other) < lap(best)-course.Unseen {
			best, swapped = other, true
		}
	}
	if swapped { // the same, the best for its money first
		var mine []*candidate
		for _, p := range best {
			mine = append(mine, p.candidate)
		}
		sorted, err := v.buy(ctx, mine, nil, out)
		if err != nil {
			return err
		}
		if lap(sorted) < lap(best)+course.Unseen {
			best = sorted
		}
	}
	now, spent, at := v.base, int64(0), out.Base
	for _, p := range best {
		w, err := v.worth(ctx, p.t, now)
		if err != nil {
			return err
		}
		w.Part, w.Name, w.With, w.Mends, w.Package = p.id, p.name, newIn(p.t.build, now.build, p.id), p.worth.Mends, p.worth.Package
		spent += w.Cost.Minor
		at -= w.Seconds
		now = p.t
		out.Order = append(out.Order, Bought{w, at, money.Amount{Minor: spent, Currency: out.Budget.Currency}})
	}
	return nil
}

// apart is by how much gains beside one another usually differ from their sum [s]: what the sum puts that near the best
// is tried.
const apart = 0.05

// addsUp is what a budget would gain if each candidate gave beside others what it gives alone [s], the best for its
// money first, but after one that is bought anyway.
func addsUp(list []*candidate, first *candidate, budget int64) (gain float64) {
	got := map[string]bool{}
	take := func(c *candidate) {
		gain, budget = gain+c.worth.Seconds, budget-c.worth.Cost.Minor
		for _, r := range c.refs {
			got[r.Name] = true
		}
	}
	if first != nil {
		take(first)
	}
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b *candidate) int { return cmp.Compare(rate(b.worth), rate(a.worth)) })
	has := func(c *candidate) bool {
		return slices.ContainsFunc(c.refs, func(r machine.Reference) bool { return got[r.Name] })
	}
	for _, c := range sorted {
		if !has(c) && c.worth.Cost.Minor <= budget {
			take(c)
		}
	}
	return gain
}

// hope is a candidate as it stood when it was last tried beside what was bought.
type hope struct {
	*candidate
	t     tried
	gains float64 // [s]
	rate  float64
	after int // how many were bought then
}

// buy is what a budget buys, first to last: always the best for its money beside what is bought already, but after one
// that is bought anyway. What a candidate gave the last time it was tried is taken as the most that it will give, so
// that few are tried again.
func (v *valuer) buy(ctx context.Context, may []*candidate, first *candidate, out *Value) (picks []purchase, err error) {
	var hopes []*hope
	for _, c := range may {
		if c != first {
			hopes = append(hopes, &hope{c, c.t, c.worth.Seconds, rate(c.worth), 0})
		}
	}
	now, spent, lap := v.base, int64(0), out.Base
	var bought []machine.Reference
	take := func(c *candidate, t tried, gains float64) {
		spent += v.cost(t.build, now.build).Minor
		lap -= gains
		bought, now = slices.Concat(bought, c.refs, c.needed), t
		picks = append(picks, purchase{c, t, lap})
	}
	if first != nil {
		take(first, first.t, first.worth.Seconds)
	}
	for len(hopes) > 0 {
		slices.SortStableFunc(hopes, func(a, b *hope) int { return cmp.Compare(b.rate, a.rate) })
		h := hopes[0]
		if h.after < len(bought) && !h.in(now.build) {
			t, err := v.try(ctx, slices.Concat(bought, h.refs, h.needed))
			var l *track.LapResult
			if err == nil {
				l, err = track.ComputeLap(t.build, t.torque.Curve, v.a.Along().Ride)
			}
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err == nil && len(v.breaks(t)) == 0 {
				h.t, h.after, h.gains = t, len(bought), lap-l.Time
				h.rate = rate(Worth{Seconds: h.gains, Cost: v.cost(t.build, now.build)})
				continue
			}
			h.gains = 0 // it does not go with what is bought
		}
		hopes = hopes[1:]
		if !h.in(now.build) && h.gains >= course.Unseen && spent+v.cost(h.t.build, now.build).Minor <= out.Budget.Minor {
			take(h.candidate, h.t, h.gains)
		}
	}
	return picks, nil
}

// rate is what a part that has a price gains for its money; one that costs nothing comes first.
func rate(w Worth) float64 {
	if w.Cost.Minor <= 0 {
		return math.Copysign(math.Inf(1), w.Seconds)
	}
	return w.PerHundred()
}
