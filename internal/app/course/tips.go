package course

import (
	"fmt"
	"math"
	"strings"

	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Tips is whether a build slides before it tips, on its own ground and on others.
type Tips struct {
	Build   string
	Grounds []track.GroundMargin // the sheet's own first
	Bounds  *track.Envelope
}

// TipsOf looks whether the answer's build slides before it tips. The error is track.ErrLeans or track.ErrNoLap.
func TipsOf(a *asked.Answer) (*Tips, error) {
	t := &Tips{Build: a.Build.Name}
	var err error
	if t.Grounds, err = track.GroundMargins(a.Build); err != nil {
		return nil, err
	}
	t.Bounds, err = track.EnvelopeOf(a.Build)
	return t, err
}

// Answer is what is said of it: the lead, the drawing of what it stands, and the grounds.
func (t *Tips) Answer() report.Answer {
	e := t.Bounds
	stands := report.Chart{Title: "Does it slide before it tips", XLabel: "braking, g (below zero it drives)", YLabel: "lateral acceleration, g", Lines: []report.ChartLine{
		{Name: "slides", X: e.Braking, Y: e.Slides}, {Name: "tips, centred", X: e.Braking, Y: e.Tips}, {Name: "tips, hung off", X: e.Braking, Y: e.HungOff},
	}}
	return report.Answer{Lead: t.lead(), Object: func() any { return t.object() }, Blocks: []report.Block{
		{ID: "grounds", Charts: []report.Picture{stands}, Table: t.grounds(), Notes: []string{"In brackets: lateral g at which it tips less that at which it slides."}},
	}}
}

// lead says what to expect on the sheet's own ground, and where it is the other way.
func (t *Tips) lead() string {
	here := t.Grounds[0]
	words := map[track.First]string{
		track.SlidesFirst: "%s slides before it tips on %s, by %s g with the rider centred",
		track.TipsFirst:   "%s tips before it slides on %s, by %s g with the rider centred: hang off early, turn on less grip, or lower it and widen it before you race it there",
		track.Either:      "%s may slide or tip first on %s (%s g with the rider centred, too small to tell beside the range of the grip): measure the grip and hang off",
	}[here.First(0)]
	text := fmt.Sprintf(words, quantity.Capital(machine.TheBuild(t.Build)), here.Ground, quantity.Number(math.Abs(here.Margin[0]), 2))
	var rolls []string
	for _, g := range t.Grounds[1:] {
		if g.First(0) == track.TipsFirst {
			rolls = append(rolls, g.Ground)
		}
	}
	if len(rolls) > 0 {
		text += "; on " + strings.Join(rolls, ", ") + " it surely tips first"
	}
	text += fmt.Sprintf(". It breaks away past a slip of some %.0f %% and keeps %.0f %% of the grip while it slides", 100*here.Slip, 100*here.Left)
	return text + fmt.Sprintf(". How sure: the grip is %s ± %s, and the tip-over has its own range; 12 %% of it is taken off for tyres and springs. A rut, a kerb or a bank tips any machine; no figure is a promise of safety.", quantity.Number(here.Grip, 2), quantity.Number(here.Half, 2))
}

// grounds are the grounds as people read them.
func (t *Tips) grounds() report.Table {
	table := report.Table{Heads: []string{"ground", "grip", "left sliding"}}
	for _, l := range track.Leanings {
		table.Heads = append(table.Heads, l.Words)
	}
	for _, g := range t.Grounds {
		row := []string{g.Ground, quantity.Number(g.Grip, 2) + " ± " + quantity.Number(g.Half, 2), quantity.Number(g.Left, 2)}
		if g.Here {
			row[0] += " (the sheet's)"
		}
		for i := range g.Margin {
			cell := string(g.First(i))
			if !math.IsNaN(g.Margin[i]) {
				cell += " (" + quantity.Signed(g.Margin[i], 2) + ")"
			}
			row = append(row, cell)
		}
		table.Rows = append(table.Rows, report.Cells(row...))
	}
	return table
}

// object is what programs read.
func (t *Tips) object() any {
	type way struct {
		Ridden string   `json:"ridden"`
		Margin *float64 `json:"margin_g0"` // [g0] null where it cannot brake so hard
		Low    *float64 `json:"low"`       // [g0]
		High   *float64 `json:"high"`      // [g0]
		First  string   `json:"first"`
	}
	type ground struct {
		Ground string  `json:"ground"`
		Here   bool    `json:"of_the_sheet,omitempty"`
		Grip   float64 `json:"grip"`        // [-]
		Half   float64 `json:"grip_half"`   // [-]
		Left   float64 `json:"slide_share"` // [-]
		Ways   []way   `json:"ways"`
	}
	type bound struct {
		Braking float64 `json:"braking_g0"`       // [g0] below zero it drives
		Slides  float64 `json:"slides_g0"`        // [g0]
		Tips    float64 `json:"tips_g0"`          // [g0]
		HungOff float64 `json:"tips_hung_off_g0"` // [g0]
	}
	out := struct {
		Build   string   `json:"build"`
		Lead    string   `json:"lead"`
		Grounds []ground `json:"grounds"`
		Bounds  []bound  `json:"envelope"`
	}{Build: t.Build, Lead: t.lead()}
	number := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		return &v
	}
	for _, g := range t.Grounds {
		one := ground{Ground: g.Ground, Here: g.Here, Grip: g.Grip, Half: g.Half, Left: g.Left}
		for i, l := range track.Leanings {
			one.Ways = append(one.Ways, way{l.Words, number(g.Margin[i]), number(g.Low[i]), number(g.High[i]), string(g.First(i))})
		}
		out.Grounds = append(out.Grounds, one)
	}
	for i := range t.Bounds.Braking {
		out.Bounds = append(out.Bounds, bound{t.Bounds.Braking[i], t.Bounds.Slides[i], t.Bounds.Tips[i], t.Bounds.HungOff[i]})
	}
	return out
}
