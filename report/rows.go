package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// Row is a figure as people read it, against the baseline.
type Row struct {
	ID, Title  string
	Before     string // the baseline's value, without unit; "–" when there is none
	Value      string // without unit
	Unit       string
	Range      string   // "8.4 to 9.1"; before it "topped out" or the like where it is cut off; empty when the figure is exact
	Change     string   // "▲ +0.8 (+0.7 to +0.9)", "+0.1, too small to tell", "=", or empty
	Cannot     string   // why there is no value
	Waits      bool     // there is none yet
	Missing    []string // inputs that it needs, by their paths; to stand small beside Cannot
	Bar        Bar
	ChangeSign int
}

// Bar is the range as a short bar: places along 0 to 100.
type Bar struct {
	Low, High, Tick, Before float64 // [-] hundredths of the bar's width; Before is -1 when there is none
}

// Group is a run of rows of one room.
type Group struct {
	Name string
	Rows []Row
}

// groupOrder is in which order the rooms of figures stand; one that is not among them stands behind them.
var groupOrder = []string{"Track", "Engine", "Driveline", "Chassis", "Suspension", "Rider", "Fit", "Brakes", "Axle", "Tyres", "Money", "Plan"}

// groupOf is the heading under which a figure stands: the first word of its id.
func groupOf(id string) string {
	room, _, _ := strings.Cut(id, ".")
	return quantity.Capital(room)
}

// groupsOf are the headings over figures, in order.
func groupsOf(figures []figure.Figure) []string {
	order := slices.Clone(groupOrder)
	for _, f := range figures {
		if name := groupOf(f.ID); !slices.Contains(order, name) {
			order = append(order, name)
		}
	}
	return order
}

// Groups sorts figures into rows under headings, details left out unless all are wanted.
func Groups(figures []figure.Figure, all bool, system quantity.System) []Group {
	rows := map[string][]Row{}
	for _, f := range figures {
		if all || !f.Detail {
			rows[groupOf(f.ID)] = append(rows[groupOf(f.ID)], row(f, system))
		}
	}
	var groups []Group
	for _, name := range groupsOf(figures) {
		if len(rows[name]) > 0 {
			groups = append(groups, Group{name, rows[name]})
		}
	}
	return groups
}

func row(f figure.Figure, system quantity.System) Row {
	unit := f.Unit.In(system)
	r := Row{ID: f.ID, Title: f.Title, Unit: unit.Label(), Before: "–"}
	if f.State != figure.Ready {
		r.Cannot, r.Waits = f.Why, f.State == figure.Waiting
		if len(f.Missing) > 0 {
			r.Cannot, r.Missing = needs(f.Missing), f.Missing
		}
		return r
	}
	decimals := decimalsOf(f, unit)
	r.Value = quantity.Number(unit.FromSI(f.Value), decimals)
	if f.High > f.Low {
		r.Range = quantity.Number(unit.FromSI(f.Low), decimals) + " to " + quantity.Number(unit.FromSI(f.High), decimals)
	}
	if f.End != "" {
		r.Range = strings.TrimSuffix(f.End+", "+r.Range, ", ")
	}
	if before, ok := f.Before(); ok {
		r.Before = quantity.Number(unit.FromSI(before), decimals)
	}
	r.Change, r.ChangeSign = change(f, unit, decimals)
	r.Bar = bar(f)
	return r
}

// decimalsOf gives a figure the digits its range, or the range of its change, deserves.
func decimalsOf(f figure.Figure, unit quantity.Unit) int {
	number := unit.FromSI(f.Value)
	if unit.Kind == quantity.Money {
		return int(math.Round(math.Log10(unit.Factor)))
	}
	decimals := quantity.Decimals(number, unit.Difference(f.Half()))
	if c := f.Change; c != nil && !c.None() && !c.Inside() {
		decimals = max(decimals, min(decimals+1, quantity.Decimals(unit.Difference(c.Value), unit.Difference((c.High-c.Low)/2))))
	}
	if f.Half() > 0 && decimals == 0 && math.Abs(number) < 10 {
		decimals = 1
	}
	return decimals
}

// TooSmall is said of a difference whose range holds none at all.
const TooSmall = "too small to tell"

// needs says which inputs are missing, in an owner's words.
func needs(paths []string) string {
	words := make([]string, len(paths))
	for i, path := range paths {
		words[i] = "the " + machine.Spoken(path)
	}
	return "needs " + strings.Join(words, ", ")
}

// mostPaths is how many paths stand behind a sentence: more are a wall, and the words say which inputs they are.
const mostPaths = 2

// beside puts paths behind a sentence, where a sheet needs them.
func beside(text string, paths []string) string {
	if len(paths) == 0 || len(paths) > mostPaths {
		return text
	}
	return text + " [" + strings.Join(paths, ", ") + "]"
}

// change words the difference from the baseline, and says where it is too small to tell.
func change(f figure.Figure, unit quantity.Unit, decimals int) (string, int) {
	c := f.Change
	switch {
	case c == nil:
		return "", 0
	case c.None():
		return "=", 0
	case c.Inside():
		return fmt.Sprintf("%s, %s", quantity.Signed(unit.Difference(c.Value), decimals), TooSmall), 0
	}
	arrow, sign := "▲", 1
	if c.Value < 0 {
		arrow, sign = "▼", -1
	}
	text := arrow + " " + quantity.Signed(unit.Difference(c.Value), decimals)
	if low, high := quantity.Signed(unit.Difference(c.Low), decimals), quantity.Signed(unit.Difference(c.High), decimals); low != high {
		text += fmt.Sprintf(" (%s to %s)", low, high)
	}
	return text, sign
}

// bar places the range on a scale that holds it and the baseline's value with a margin.
func bar(f figure.Figure) Bar {
	low, high := f.Low, f.High
	before, compared := f.Before()
	if compared {
		low, high = math.Min(low, before), math.Max(high, before)
	}
	margin := math.Max((high-low)*0.35, math.Abs(f.Value)*0.02)
	if margin == 0 {
		margin = 1
	}
	from, to := low-margin, high+margin
	at := func(v float64) float64 { return math.Round(1000*(v-from)/(to-from)) / 10 }
	b := Bar{Low: at(f.Low), High: at(f.High), Tick: at(f.Value), Before: -1}
	if compared && !f.Change.None() {
		b.Before = at(before)
	}
	return b
}

// inputText prints an input for a basis: the value with its half-width.
func inputText(in figure.Input, system quantity.System) string {
	if in.Word {
		return in.Text
	}
	unit := inputUnit(in.Kind, in.Value).In(system)
	half := unit.Difference(in.Half)
	number := unit.FromSI(in.Value)
	decimals := quantity.Decimals(number, half)
	text := quantity.Number(number, decimals)
	if half > 0 {
		text += " ± " + quantity.Number(half, max(decimals, quantity.Decimals(half, half)))
	}
	return quantity.WithUnit(text, unit)
}

// inputUnit is the unit in which people read an input of a kind and size.
func inputUnit(kind quantity.Kind, value float64) quantity.Unit {
	switch kind {
	case quantity.Ratio:
		return quantity.MustUnit("1")
	case quantity.Mass:
		if math.Abs(value) < 1 {
			return quantity.MustUnit("g")
		}
	case quantity.Volume:
		if math.Abs(value) >= 1e-3 {
			return quantity.MustUnit("l")
		}
	case quantity.Area:
		if math.Abs(value) >= 0.05 {
			return quantity.MustUnit("m2")
		}
	case quantity.Pressure:
		if math.Abs(value) >= 1e7 {
			return quantity.MustUnit("MPa")
		}
	}
	return quantity.Units(kind)[0]
}
