package asked

import (
	"fmt"

	"shakedown/advise"
	"shakedown/machine"
	"shakedown/quantity"
)

// Facts are what the advice on the answer's build goes by while it is not known what the parts are worth; noLap says
// why there is no lap.
func (a *Answer) Facts(noLap string) advise.Facts {
	f := advise.Facts{Build: a.Build.Name, Resolved: a.Build, Findings: a.Findings, Figures: a.Figures, System: a.System, NoLap: noLap,
		OwnCourse: a.Course != "" || a.Build.Given("track.gpx") || a.Build.OwnCourse()}
	for i := range a.Sheet.Project.Parts {
		if !a.Baseline.Has(a.Sheet.Project.Parts[i].ID) {
			f.OnOffer++
		}
	}
	return f
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

// AdviceJSON is the advice as programs read it; what is not told is null.
type AdviceJSON struct {
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

// AdviceOut is the advice as programs read it.
func AdviceOut(a advise.Advice) AdviceJSON {
	out := AdviceJSON{Kind: a.Kind, State: "ready", Text: a.Text}
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
