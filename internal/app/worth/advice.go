package worth

import (
	"cmp"
	"fmt"
	"slices"

	"shakedown/advise"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
)

// withWorth are the facts of an advice with what the parts are worth; nil for not known.
func withWorth(a *asked.Answer, f advise.Facts, v *Value) advise.Facts {
	if v == nil {
		return f
	}
	f.Worth = &advise.Worth{Lap: v.Base, Words: v.Words()}
	for _, w := range v.Parts {
		f.Worth.Offers = append(f.Worth.Offers, offerOf(a, w))
	}
	for _, w := range v.NoPrice {
		f.Worth.Offers = append(f.Worth.Offers, offerOf(a, w))
	}
	for _, p := range v.Packages {
		f.Worth.Offers = append(f.Worth.Offers, offerOf(a, p.Worth))
	}
	return f
}

// offerOf is what a part or a package is worth, as the advice takes it.
func offerOf(a *asked.Answer, w Worth) advise.Offer {
	o := advise.Offer{Part: w.Part, Name: w.Name, Package: w.Package, Priced: len(w.Unpriced) == 0, Cost: w.Cost, Known: w.Why == "", Fits: len(w.Breaks) == 0, Seconds: w.Seconds, Low: w.Low, High: w.High, Sure: w.Sound() || !w.Inside() && w.Seconds <= 0, Decides: w.Most}
	if w.Most == track.OnARoller {
		o.Decides = advise.Torque
	}
	if g := w.Geared; g != nil {
		o.Apart = fmt.Sprintf(" With the gearing brought back, %s, it is %s s (%s to %s).", g.Words, quantity.Signed(g.Seconds, 2), quantity.Signed(g.Low, 2), quantity.Signed(g.High, 2))
	}
	ids := w.With
	if !w.Package {
		ids = append([]string{w.Part}, w.With...)
	}
	for _, id := range ids {
		part := a.Sheet.Project.Part(id)
		if part == nil {
			continue
		}
		o.Brought = o.Brought || slices.ContainsFunc(part.Sets, func(e machine.Entry) bool { return e.Path == w.Most })
		if id != w.Part {
			o.With = append(o.With, fmt.Sprintf("%q", cmp.Or(part.Name, part.ID)))
		}
	}
	return o
}

// Advise makes the advice once it is known what the parts are worth, or that no lap can be ridden.
func Advise(a *asked.Answer, v *Value, noLap string) {
	a.Advice = advise.On(withWorth(a, a.Facts(noLap), v))
}

// DecidedBy is the advice with what the parts are worth, nil for not known yet.
func DecidedBy(a *asked.Answer, v *Value) advise.Advice {
	if v != nil && a.Advice.Waits {
		Advise(a, v, "")
	}
	return a.Advice
}
