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
	Build string
	*track.SprocketSearch
	Change []float64 // [km/h] at which to change up
	StandIns
	System quantity.System
	Care   []string // cautions
}

// SprocketsOf rides a lap of the answer's build with every pair of sprockets that is sold and fits. Done is told how
// many pairs are.
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
	if g.SprocketSearch, err = track.SearchSprockets(ctx, a.Build, k, course.Ride, done); err != nil {
		return nil, err
	}
	g.Assumed = g.StoodIn
	_, _, g.Change, err = track.GearLines(a.Build, k.Curve)
	return g, err
}

// Answer is what is said of it: which sprockets to put on, what each ratio loses, and the best pairs.
func (g *Sprockets) Answer() report.Answer {
	return report.Answer{Lead: g.lead(), Care: g.Care, Object: func() any { return g.object() }, Blocks: []report.Block{
		{ID: "pairs", Charts: []report.Picture{g.ratios()}, Table: g.pairs(), Notes: append([]string{g.tried(), g.sold()}, g.notLooked()...)},
	}}
}

// lead says which sprockets to put on, and what of their fit was not looked at.
func (g *Sprockets) lead() string {
	return report.Sentence(g.Usual()+g.toFit()) + g.revved() + g.unsure() + g.Words()
}

func (g *Sprockets) toFit() string {
	now := fmt.Sprintf("with %d and %d teeth %s laps in %s s", g.Present.Front, g.Present.Rear, machine.TheBuild(g.Build), quantity.Number(g.Present.Lap, 2))
	const end = "A lap is that of one line and a rider who uses all there is"
	if len(g.Pairs) == 0 || g.Pairs[0].Gain <= 0 {
		return "Leave the sprockets as they are: " + now + ", and no pair that is usually sold and fits is quicker on this course. " + end + "."
	}
	best := g.Pairs[0]
	chain := ""
	switch {
	case best.Same:
		chain = ", on the chain that is there"
	case best.Pitches > 0:
		chain = fmt.Sprintf(", with a chain of %d pitches", best.Pitches)
	}
	text := fmt.Sprintf("Fit %d and %d teeth%s: %s s a lap quicker (%s to %s); %s", best.Front, best.Rear, chain, quantity.Number(best.Gain, 2), quantity.Signed(best.Low, 2), quantity.Signed(best.High, 2), now)
	if best.Low <= Unseen {
		text = fmt.Sprintf("The sprockets matter little here: the quickest pair, %d and %d teeth%s, gains %s s a lap, which is too small to tell (%s to %s); %s", best.Front, best.Rear, chain, quantity.Number(best.Gain, 2), quantity.Signed(best.Low, 2), quantity.Signed(best.High, 2), now)
	}
	if best.Narrow {
		text += ". That range is too narrow: what the torque, or several inputs at once, do to it can be computed on neither side"
	}
	return text + ". " + end + "; a ratio that is right here is not right everywhere."
}

// revved says that the present pair is geared too short; "" where it is not, or where the gears are not known.
func (g *Sprockets) revved() string { return RevvedOut(g.Present.Revved, g.Assumed) }

// RevvedOut says in a sentence with a space before it that top gear is held at the redline for so long a lap [s]; ""
// where that is too short to matter, or usual gears stand in for the machine's.
func RevvedOut(seconds float64, assumed []string) string {
	if seconds < track.RevvedMost || slices.Contains(assumed, track.TheGears) {
		return ""
	}
	return fmt.Sprintf(" Geared too short: revved out in top gear for %s s a lap.", quantity.Number(seconds, 1))
}

// unsure says what of the fit the search could not keep; "" where it kept what decides whether the chain goes on.
func (g *Sprockets) unsure() string {
	var wants []string
	for _, u := range g.Unknown {
		if u.What == track.AxlePlace || u.What == track.ChainOn {
			wants = append(wants, u.Wants...)
		}
	}
	if wants == nil {
		return ""
	}
	text := " Not kept: that the axle stays inside its adjuster"
	if !g.has(track.AxlePlace) {
		text = " Not known: whether the chain that is on would do"
	}
	text += ", because the sheet lacks the " + spoken(wants) + "."
	if g.has(track.AxlePlace) && g.axleNow() {
		text += " Each pair has the chain that leaves the axle nearest to where it stands now."
	}
	return text + " Measure that, or lay the chain round both sprockets, before you pay for them."
}

// axleNow says that the chain that is on says where the axle stands now.
func (g *Sprockets) axleNow() bool { return !g.has(track.ChainOn) && !g.has(track.ChainShort) }

func (g *Sprockets) has(what track.Unlooked) bool {
	return slices.ContainsFunc(g.Unknown, func(u track.Unknown) bool { return u.What == what })
}

// mostPairs is how many pairs are printed.
const mostPairs = 10

// pairs are the present pair and the best others.
func (g *Sprockets) pairs() report.Table {
	v, mm := quantity.MustUnit("km/h").In(g.System), quantity.MustUnit("mm").In(g.System)
	moves := slices.ContainsFunc(g.Pairs, func(p track.SprocketPair) bool { return p.Moves != 0 })
	t := report.Table{Heads: []string{"front and rear", "ratio", "lap, s", "gains", "range", "chain", "redline in top, " + v.Label(), "at it, s a lap", "rear sprocket above ground, " + mm.Label()}}
	if moves {
		t.Heads = append(t.Heads, "axle goes back, "+mm.Label())
	}
	places := quantity.Decimals(mm.FromSI(0.1), mm.FromSI(0.5e-3))
	row := func(p track.SprocketPair, gains, between string) {
		chain := "not known"
		if p.Pitches > 0 {
			chain = strconv.Itoa(p.Pitches)
			if p.Same {
				chain += ", as it is"
			}
		}
		cells := []string{fmt.Sprintf("%d and %d", p.Front, p.Rear), quantity.Number(p.Final, 2), quantity.Number(p.Lap, 2), gains, between, chain, quantity.Number(v.FromSI(p.Top/3.6), 0), quantity.Number(p.Revved, 1), quantity.Number(mm.FromSI(p.Above), places)}
		if moves {
			cells = append(cells, quantity.Signed(mm.FromSI(p.Moves), places))
		}
		t.Rows = append(t.Rows, report.Cells(cells...))
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
	kept := []string{"top gear used on this course"}
	switch {
	case !g.has(track.AxlePlace):
		kept = append(kept, "a chain of even pitches", "the axle inside its adjuster", "120° on the small sprocket")
	case g.axleNow():
		kept = append(kept, "a chain of even pitches", "the axle within half a pitch of where it stands", "120° on the small sprocket")
	}
	text := fmt.Sprintf("%d pairs were ridden: %s.", len(g.Pairs), quantity.AllOf(kept))
	text += g.leftOut(g.Low, "the rear sprocket would come nearer the ground than "+g.length(track.SprocketClears))
	text += g.leftOut(g.Deep, "the chain would lie more than "+g.length(track.SliderWears)+" below the face of its slider")
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

// leftOut says in a sentence with a space before it that pairs were left out, and why; "" for none.
func (g *Sprockets) leftOut(pairs int, why string) string {
	switch pairs {
	case 0:
		return ""
	case 1:
		return " One pair was left out: " + why + "."
	}
	return fmt.Sprintf(" %d pairs were left out: %s.", pairs, why)
}

// length prints a length [m] for people.
func (g *Sprockets) length(m float64) string {
	u := quantity.MustUnit("mm").In(g.System)
	return quantity.Show(m, u.Factor*u.Difference(m)/50, u)
}

// sold says which teeth were tried and how others are to be had.
func (g *Sprockets) sold() string {
	f, r := g.On[0].Made, g.On[1].Made
	text := fmt.Sprintf("Tried were the teeth that are usually sold for a %s chain: %d to %d in front, %d to %d behind. Fewer and more are special order, from %d to %d and from %d to %d, and not offered beyond that (common practice; ask for your shaft and hub).",
		g.Size, f.Usual.From, f.Usual.To, r.Usual.From, r.Usual.To, f.Order.From, f.Order.To, r.Order.From, r.Order.To)
	for i, end := range []string{"front", "rear"} {
		if on := g.On[i]; !on.How.OnShelf() {
			text += fmt.Sprintf(" The %s sprocket that is on, %d teeth, is %s.", end, on.Teeth, on.How)
		}
	}
	if len(g.Pairs) > 0 && g.Pairs[0].Gain > 0 {
		if best := g.Pairs[0]; best.Front == f.Usual.From || best.Front == f.Usual.To || best.Rear == r.Usual.From || best.Rear == r.Usual.To {
			text += " The quickest pair stands at the end of what is usually sold."
		}
	}
	if g.Uncounted {
		text += fmt.Sprintf(" %d and %d teeth are what a new sheet begins with: count yours.", g.Present.Front, g.Present.Rear)
	}
	return text
}

// looks are what of the fit may not have been looked at, each with how to measure it.
var looks = map[track.Unlooked]struct{ what, how string }{
	track.AxlePlace:  {"whether the axle stays inside its adjuster", "Measure between the middles of the sprockets, adjuster fully in and fully out."},
	track.ChainOn:    {"whether the chain that is on would do", "Count its pitches, from pin to pin."},
	track.FrontRoom:  {"whether the front sprocket clears its cover", "Measure from its middle to the nearest cover or guard."},
	track.RearRoom:   {"whether the rear sprocket clears swingarm and guard", "Measure from its middle to the nearest part."},
	track.ChainOnArm: {"how the chain runs over the swingarm, which a small front sprocket lays it on", "Measure pivot, front sprocket and slider with the wheel hanging; or fit the front sprocket and look at the slider with the wheel hanging."},
}

// notLooked are what of the fit was not looked at, each with what the sheet lacks and how to measure it.
func (g *Sprockets) notLooked() []string {
	var notes []string
	for _, u := range g.Unknown {
		if u.What == track.ChainShort {
			notes = append(notes, "Not computed: where the axle stands now; a chain of so many pitches does not go round these sprockets. Count its pitches, from pin to pin, and the teeth again.")
			continue
		}
		notes = append(notes, fmt.Sprintf("Not computed: %s; the sheet lacks the %s. %s", looks[u.What].what, spoken(u.Wants), looks[u.What].how))
	}
	return notes
}

// spoken names inputs in a row.
func spoken(paths []string) string {
	var names []string
	for _, path := range paths {
		names = append(names, machine.Spoken(path))
	}
	return quantity.AllOf(names)
}

type pairJSON struct {
	Front   int     `json:"front"`
	Rear    int     `json:"rear"`
	Lap     float64 `json:"lap_time_s"`                 // [s]
	Gain    float64 `json:"seconds"`                    // [s]
	Low     float64 `json:"low,omitempty"`              // [s]
	High    float64 `json:"high,omitempty"`             // [s]
	Pitches int     `json:"chain_pitches,omitempty"`    // even; left out where nothing is known of chain and axle
	Same    bool    `json:"present_chain_fits"`         // no other chain is needed
	Moves   float64 `json:"axle_moves_mm,omitempty"`    // [mm] backwards
	Top     float64 `json:"redline_km_h"`               // [km/h] in top gear
	Revved  float64 `json:"top_gear_at_redline_s"`      // [s] a lap
	Above   float64 `json:"rear_sprocket_clearance_mm"` // [mm] above the ground
}

// object is what programs read: all pairs.
func (g *Sprockets) object() any {
	one := func(p track.SprocketPair) pairJSON {
		return pairJSON{p.Front, p.Rear, p.Lap, p.Gain, p.Low, p.High, p.Pitches, p.Same, 1000 * p.Moves, p.Top, p.Revved, 1000 * p.Above}
	}
	out := struct {
		Build   string     `json:"build"`
		Lead    string     `json:"lead"`
		Present pairJSON   `json:"present"`
		Pairs   []pairJSON `json:"pairs"`
		Change  []float64  `json:"change_up_km_h"` // [km/h]
		Unknown []string   `json:"not_computed"`
		Care    []string   `json:"cautions"`
	}{Build: g.Build, Lead: g.lead(), Present: one(g.Present), Pairs: []pairJSON{}, Change: g.Change, Unknown: g.notLooked(), Care: g.Care}
	for _, p := range g.Pairs {
		out.Pairs = append(out.Pairs, one(p))
	}
	return out
}
