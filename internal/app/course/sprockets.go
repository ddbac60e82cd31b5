package course

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"

	"shakedown/forecast"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Sprockets is the search for sprockets on the course.
type Sprockets struct {
	Build   string
	Present track.SprocketPair
	Pairs   []track.SprocketPair // best first
	Change  []float64            // [km/h] at which to change up
	StandIns
	System quantity.System
	Care   []string // cautions
}

// SprocketsOf rides a lap of the answer's build with every pair of sprockets that fits. Done is told how many pairs
// are.
func SprocketsOf(ctx context.Context, a *asked.Answer, known *forecast.Results, done func(ready, total int)) (*Sprockets, error) {
	g := &Sprockets{Build: a.Build.Name, System: a.System, Care: asked.Cautions(a.Build, "chain", "wheels")}
	g.Foreign = Foreign(a)
	course := a.Along()
	if course.Err != nil {
		return nil, course.Err
	}
	known, g.Template = OnCourse(a, known)
	k, err := known.Sure(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	if g.Pairs, g.Present, g.Assumed, err = track.SearchSprockets(ctx, a.Build, k, course.Ride, done); err != nil {
		return nil, err
	}
	_, _, g.Change, err = track.GearLines(a.Build, k.Curve)
	return g, err
}

// Answer is what is said of it: which sprockets to put on, what each ratio loses, and the best pairs.
func (g *Sprockets) Answer() report.Answer {
	return report.Answer{Lead: g.lead(), Care: g.Care, Object: func() any { return g.object() }, Blocks: []report.Block{
		{ID: "pairs", Charts: []report.Picture{g.ratios()}, Table: g.pairs(), Notes: []string{g.tried()}},
	}}
}

// lead says which sprockets to put on.
func (g *Sprockets) lead() string { return report.Sentence(g.Usual()+g.toFit()) + g.Words() }

func (g *Sprockets) toFit() string {
	now := fmt.Sprintf("with %d and %d teeth %s laps in %s s", g.Present.Front, g.Present.Rear, machine.TheBuild(g.Build), quantity.Number(g.Present.Lap, 2))
	if len(g.Pairs) == 0 || g.Pairs[0].Gain <= 0 {
		return "Leave the sprockets as they are: " + now + ", and no pair that fits is quicker on this course. A lap is that of one line and a rider who uses all there is."
	}
	best := g.Pairs[0]
	chain := "on the chain that is there"
	if !best.Same {
		chain = fmt.Sprintf("with a chain of %d pitches", best.Pitches)
	}
	text := fmt.Sprintf("Fit %d and %d teeth, %s: %s s a lap quicker (%s to %s); %s", best.Front, best.Rear, chain, quantity.Number(best.Gain, 2), quantity.Signed(best.Low, 2), quantity.Signed(best.High, 2), now)
	if best.Low <= Unseen {
		text = fmt.Sprintf("The sprockets matter little here: the quickest pair, %d and %d teeth, %s, gains %s s a lap, which is too small to tell (%s to %s); %s", best.Front, best.Rear, chain, quantity.Number(best.Gain, 2), quantity.Signed(best.Low, 2), quantity.Signed(best.High, 2), now)
	}
	if best.Narrow {
		text += ". That range is too narrow: what the torque, or several inputs at once, do to it can be computed on neither side"
	}
	return text + ". A lap is that of one line and a rider who uses all there is; a ratio that is right here is not right everywhere."
}

// mostPairs is how many pairs are printed.
const mostPairs = 10

// pairs are the present pair and the best others.
func (g *Sprockets) pairs() report.Table {
	v := quantity.MustUnit("km/h").In(g.System)
	t := report.Table{Heads: []string{"front and rear", "ratio", "lap, s", "gains", "range", "chain", "redline in top, " + v.Label()}}
	row := func(p track.SprocketPair, gains, between string) {
		chain := strconv.Itoa(p.Pitches)
		if p.Same {
			chain += ", as it is"
		}
		t.Rows = append(t.Rows, report.Cells(fmt.Sprintf("%d and %d", p.Front, p.Rear), quantity.Number(p.Final, 2), quantity.Number(p.Lap, 2), gains, between, chain, quantity.Number(v.FromSI(p.Top/3.6), 0)))
	}
	row(g.Present, "", "now")
	for _, p := range g.Pairs[:min(mostPairs, len(g.Pairs))] {
		between := ""
		if p.Low != 0 || p.High != 0 {
			between = quantity.Signed(p.Low, 2) + " to " + quantity.Signed(p.High, 2)
		}
		row(p, quantity.Signed(p.Gain, 2), between)
	}
	return t
}

// ratios are what each ratio loses against the quickest, the present one marked.
func (g *Sprockets) ratios() report.Chart {
	all := append(slices.Clone(g.Pairs), g.Present)
	slices.SortFunc(all, func(a, b track.SprocketPair) int { return cmp.Compare(a.Final, b.Final) })
	least := all[0].Lap
	for _, p := range all {
		least = min(least, p.Lap)
	}
	line := report.ChartLine{Name: "lost"}
	for _, p := range all {
		line.X, line.Y = append(line.X, p.Final), append(line.Y, p.Lap-least)
	}
	return report.Chart{Title: "What each ratio loses on this course", XLabel: "teeth of the rear over those of the front sprocket", YLabel: "s a lap behind the quickest pair", Lines: []report.ChartLine{line}, Mark: g.Present.Final, MarkText: "now"}
}

// tried says what was tried, and when to change up.
func (g *Sprockets) tried() string {
	text := fmt.Sprintf("%d pairs were ridden that a chain of even pitches fits, the axle inside its adjuster, 120° on the small sprocket, and top gear used on this course.", len(g.Pairs))
	if len(g.Change) > 0 {
		v := quantity.MustUnit("km/h").In(g.System)
		text += " With the present pair change up at"
		for i, x := range g.Change {
			if i > 0 {
				text += ","
			}
			text += " " + quantity.Number(v.FromSI(x/3.6), 0)
		}
		text += " " + v.Label() + "."
	}
	return text
}

type pairJSON struct {
	Front   int     `json:"front"`
	Rear    int     `json:"rear"`
	Lap     float64 `json:"lap_time_s"`         // [s]
	Gain    float64 `json:"seconds"`            // [s]
	Low     float64 `json:"low,omitempty"`      // [s]
	High    float64 `json:"high,omitempty"`     // [s]
	Pitches int     `json:"chain_pitches"`      // even
	Same    bool    `json:"present_chain_fits"` // no other chain is needed
	Top     float64 `json:"redline_km_h"`       // [km/h] in top gear
}

// object is what programs read: all pairs.
func (g *Sprockets) object() any {
	one := func(p track.SprocketPair) pairJSON {
		return pairJSON{p.Front, p.Rear, p.Lap, p.Gain, p.Low, p.High, p.Pitches, p.Same, p.Top}
	}
	out := struct {
		Build   string     `json:"build"`
		Lead    string     `json:"lead"`
		Present pairJSON   `json:"present"`
		Pairs   []pairJSON `json:"pairs"`
		Change  []float64  `json:"change_up_km_h"` // [km/h]
		Care    []string   `json:"cautions"`
	}{Build: g.Build, Lead: g.lead(), Present: one(g.Present), Pairs: []pairJSON{}, Change: g.Change, Care: g.Care}
	for _, p := range g.Pairs {
		out.Pairs = append(out.Pairs, one(p))
	}
	return out
}
