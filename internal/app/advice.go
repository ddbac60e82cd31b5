package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"shakedown/advise"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/plan"
	"shakedown/quantity"
)

// facts are what the advice on the answer's build goes by while it is not known what the parts are worth; noLap says why there is no lap.
func (a *Answer) facts(noLap string) advise.Facts {
	f := advise.Facts{Build: a.Build.Name, Resolved: a.Build, Findings: a.Findings, Figures: a.Figures, System: a.System, NoLap: noLap,
		OwnCourse: a.Course != "" || a.Build.Given("track.gpx") || a.Build.OwnCourse()}
	for i := range a.Sheet.Project.Parts {
		if !a.Baseline.Has(a.Sheet.Project.Parts[i].ID) {
			f.OnOffer++
		}
	}
	return f
}

// withWorth are the facts of an advice with what the parts are worth; nil for not known.
func withWorth(a *Answer, f advise.Facts, v *ValueAnswer) advise.Facts {
	if v == nil {
		return f
	}
	f.Worth = &advise.Worth{Lap: v.Base, Words: v.words()}
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
func offerOf(a *Answer, w Worth) advise.Offer {
	o := advise.Offer{Part: w.Part, Name: w.Name, Package: w.Package, Priced: len(w.Unpriced) == 0, Cost: w.Cost, Known: w.Why == "", Fits: len(w.Breaks) == 0, Seconds: w.Seconds, Low: w.Low, High: w.High, Sure: w.Sound() || !w.Inside() && w.Seconds <= 0, Decides: w.Most}
	if w.Most == track.OnARoller {
		o.Decides = advise.Torque
	}
	if g := w.Geared; g != nil {
		o.Apart = fmt.Sprintf(" With the gearing brought back, %s, it is %s s (%s to %s).", g.Words, signedSeconds(g.Seconds), signedSeconds(g.Low), signedSeconds(g.High))
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

// advised makes the advice once it is known what the parts are worth, or that no lap can be ridden.
func advised(a *Answer, v *ValueAnswer, noLap string) {
	a.Advice = advise.On(withWorth(a, a.facts(noLap), v))
}

// DecidedBy is the advice with what the parts are worth, nil for not known yet.
func DecidedBy(a *Answer, v *ValueAnswer) advise.Advice {
	if v != nil && a.Advice.Waits {
		advised(a, v, "")
	}
	return a.Advice
}

// Decide makes the advice whole: when it hangs on what the parts are worth, that is worked out.
func Decide(ctx context.Context, a *Answer, curves *Curves, done func(ready, total int)) error {
	if !a.Advice.Waits {
		return nil
	}
	v, err := valueOf(ctx, a, "", curves.compute, done)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, track.ErrNoLap) || errors.Is(err, torque.ErrNoCurve) || faults.IsMendable(err):
		advised(a, nil, err.Error())
	case err != nil:
		return err
	default:
		advised(a, v, "")
	}
	return nil
}

// OrderFirst says what to order first for the build to be ready soonest; "" when nothing is waited for.
func (a *Answer) OrderFirst() string {
	if len(a.Plan.Chain) == 0 {
		return ""
	}
	step := a.Plan.Steps[slices.IndexFunc(a.Plan.Steps, func(s plan.Step) bool { return s.ID == a.Plan.Chain[0] })]
	text := fmt.Sprintf("Once you go for all of it, %s leads the longest wait", strings.TrimSuffix(step.Name, ordered))
	switch race := a.Sheet.Project.RaceDay; {
	case race.IsZero():
	case a.Plan.Late > 0:
		text += fmt.Sprintf(", and all of it comes %d %s too late for the race on %s", a.Plan.Late, quantity.Plural(a.Plan.Late, "day", "days"), Date(race))
	default:
		text += fmt.Sprintf(": order it by %s at the latest", Date(step.LatestStart))
	}
	return text + "."
}

// MeasureFirst says which measurement would narrow the figures most.
func (a *Answer) MeasureFirst() string {
	if len(a.Measure) == 0 {
		return "Every input is measured as well as it usually can be."
	}
	w := a.Measure[0]
	title := w.Figure
	for _, f := range a.Figures {
		if f.ID == w.Figure {
			title = quantity.Lower(f.Title)
		}
	}
	return fmt.Sprintf("%d of the %d inputs in use are typical values. Of all readings that of the %s (%s) would narrow the figures most: it is only %s now, and would narrow %s from ±%s %% to ±%s %%.",
		len(a.Typical), a.Inputs, machine.Spoken(w.Path), w.How, w.Known, title, quantity.Number(100*w.From, 0), quantity.Number(100*w.To, 0))
}

// adviceJSON is the advice as programs read it; what is not told is null.
type adviceJSON struct {
	Kind    advise.Kind `json:"kind"`
	State   string      `json:"state"` // waiting: what parts are worth decides it, and is not computed yet
	Text    string      `json:"text"`
	Part    *string     `json:"part"`
	Seconds *float64    `json:"seconds"` // [s] gained a lap, above zero is quicker
	Low     *float64    `json:"low"`     // [s]
	High    *float64    `json:"high"`    // [s]
	Price   *int64      `json:"price_minor"`
	Measure *string     `json:"measure"`
}

func adviceOut(a advise.Advice) adviceJSON {
	out := adviceJSON{Kind: a.Kind, State: "ready", Text: a.Text}
	if a.Waits {
		out.State = "waiting"
	}
	if a.Part != "" {
		out.Part = &a.Part
	}
	if a.Timed {
		out.Seconds, out.Low, out.High = &a.Seconds, &a.Low, &a.High
	}
	if a.Priced {
		out.Price = &a.Price.Minor
	}
	if a.Measure != "" {
		out.Measure = &a.Measure
	}
	return out
}

// Date is a day as people write it.
func Date(day time.Time) string { return day.Format("2 January 2006") }
