package course

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Answer is what is said of it: the lap and what limits it, the course from above, road speed and the time gained along
// it, and the sections.
func (l *Lap) Answer() report.Answer {
	var notes []string
	for _, note := range l.notes() {
		notes = append(notes, report.Sentence(note))
	}
	none := report.NoBaseline(l.Against, l.BeforeWhy)
	charts, drawn := []report.Picture{l.course(), l.speeds()}, slices.Clone(notes)
	if ahead, ok := l.ahead(); ok {
		charts = append(charts, ahead)
	}
	charts, drawn = append(charts, l.Thrust.charts(l.System)...), append(drawn, l.Thrust.notes(l.System)...)
	return report.Answer{Advice: l.Advice.Text, Lead: l.lead(), Care: l.Care, Object: func() any { return l.object() }, Lines: l.steps, Blocks: []report.Block{
		{Only: report.Terminal, Notes: none},
		{ID: "charts", Only: report.Page, Charts: charts, Notes: append(drawn, none...)},
		{ID: "sections", Table: l.sections()},
		{Only: report.Terminal, Notes: notes},
	}}
}

// most is what limits for the longest time of the lap, and its share of that.
func (l *Lap) most() (by track.Limit, share float64) {
	shares := map[track.Limit]float64{}
	for i, limit := range l.Lap.Limit {
		shares[limit] += 2 * (l.Lap.Way[i+1] - l.Lap.Way[i]) / (l.Lap.Speed[i] + l.Lap.Speed[i+1]) / l.Lap.Time
	}
	for _, limit := range slices.Sorted(maps.Keys(shares)) {
		if shares[limit] > share {
			by, share = limit, shares[limit]
		}
	}
	return by, share
}

// lead says how the build laps, what limits it most, and how sure that is. It gives no advice.
func (l *Lap) lead() string {
	most, share := l.most()
	does, way := "laps in", "lap"
	if l.oneWay() {
		does, way = "rides it one way in", "way"
	}
	text := fmt.Sprintf("%s %s %s s", machine.TheBuild(l.Build), does, quantity.Number(l.Lap.Time, 1))
	if l.Before != nil {
		d := l.Lap.Time - l.Before.Time
		switch r := l.Range; {
		case r == nil || r.Change == nil:
			text += fmt.Sprintf(", %s s against %s", quantity.Signed(d, 2), machine.TheBuild(l.Against))
		case r.Change.Inside():
			text += fmt.Sprintf(", %s s against %s, which is too small to tell (%s to %s)", quantity.Signed(d, 2), machine.TheBuild(l.Against), quantity.Signed(r.Change.Low, 2), quantity.Signed(r.Change.High, 2))
		default:
			text += fmt.Sprintf(", %s s against %s (%s to %s)", quantity.Signed(d, 2), machine.TheBuild(l.Against), quantity.Signed(r.Change.Low, 2), quantity.Signed(r.Change.High, 2))
		}
	}
	text += fmt.Sprintf("; for %.0f %% of the %s it is %s that limits (%s). ", 100*share, way, most, most.Moved())
	if r := l.Range; r != nil {
		text += fmt.Sprintf("How sure: the %s itself lies between %s and %s s (95 %% range)", way, quantity.Number(r.Low, 1), quantity.Number(r.High, 1))
		if r.First != "" {
			text += fmt.Sprintf("; the %s makes most of that", machine.Spoken(r.First))
		}
		text += fmt.Sprintf(". %d of the %d inputs are typical. ", r.Typical, r.Inputs)
		if narrow := figure.TooNarrow(r.Narrow); narrow != "" {
			text += narrow + " "
		}
	}
	return report.Sentence(strings.TrimSuffix(l.Usual()+text, " ")) + RevvedOut(l.Lap.Revved, l.Assumed) + l.Words() + " One line, a rider who uses all there is, no ruts: laps compare, they do not promise."
}

// Gain words what a lap is over its baseline's, with its range, and what that costs.
func (l *Lap) Gain(cost string) string {
	c := l.Range.Change
	text := fmt.Sprintf("%s s a lap against %s (%s to %s", quantity.Signed(c.Value, 2), machine.TheBuild(l.Against), quantity.Signed(c.Low, 2), quantity.Signed(c.High, 2))
	if c.Inside() {
		text += ", " + report.TooSmall
	}
	if len(l.Range.Narrow) > 0 {
		text += ", which is too narrow"
	}
	return text + ") for " + cost
}

// OnTrack is what the build does on the course, in a sentence, with what it costs.
func (l *Lap) OnTrack(cost string) string {
	text := fmt.Sprintf("%s laps in %s s", machine.TheBuild(l.Build), quantity.Number(l.Lap.Time, 1))
	if c := l.Range.Change; c != nil && l.Before != nil && !c.None() {
		text += ", " + l.Gain(cost)
	}
	return report.Sentence(l.Usual()+text) + l.Words()
}

// Figure is a lap as a line beside the figures.
func (l *Lap) Figure() figure.Figure {
	f := track.LapFigure(l.Lap.Time)
	if r := l.Range; r != nil {
		f.Low, f.High, f.Change, f.Narrow, f.Slow = r.Low, r.High, r.Change, r.Narrow, true
		f.Basis.Sampled = true
	}
	return f
}

// oneWay says that it goes along a ride that never comes back to where it began.
func (l *Lap) oneWay() bool { return l.Lap.Ridden != nil && l.Lap.Ridden.OneWay }

// once is what is ridden.
func (l *Lap) once() string {
	if l.oneWay() {
		return "the way"
	}
	return "a lap"
}

// distance words a way.
func distance(m float64, s quantity.System) string {
	u := quantity.MustUnit("m").In(s)
	return quantity.WithUnit(quantity.Number(u.FromSI(m), 0), u)
}

// notes are what stands beside the sections: the course, what was ridden on it, fuel and brakes.
func (l *Lap) notes() []string {
	notes := slices.Clone(l.Lap.Notes)
	if r := l.Lap.Ridden; r != nil && r.Taken > 0 {
		what := "the lap"
		if r.OneWay {
			what = "the way"
		}
		text := fmt.Sprintf("on the logged ride %s took %s s, %s s against the computed one", what, quantity.Number(r.Taken, 2), quantity.Signed(r.Taken-l.Lap.Time, 2))
		if len(r.Laps) > 1 {
			var each []string
			for _, t := range r.Laps {
				each = append(each, quantity.Number(t, 2))
			}
			text += "; all laps: " + strings.Join(each, ", ") + " s"
		}
		notes = append(notes, text)
	}
	o := l.Lap.Loads
	if o == nil {
		return notes
	}
	show := func(si float64, unit string, decimals int) string {
		u := quantity.MustUnit(unit).In(l.System)
		return quantity.WithUnit(quantity.Number(u.FromSI(si), decimals), u)
	}
	fuel := quantity.FuelUnit(l.System).Symbol
	if o.Fuel > 0 {
		text := fmt.Sprintf("%s burns %s, give or take a quarter", l.once(), show(o.Fuel/1000, fuel, 3))
		if o.Race > 0 && !l.oneWay() {
			text += fmt.Sprintf("; a race of %s, %.0f laps, %s of the %s in the tank", show(o.Race, "min", 0), o.Laps, show(o.RaceFuel/1000, fuel, 1), show(o.Tank/1000, fuel, 1))
		}
		notes = append(notes, text)
	}
	text := fmt.Sprintf("in %s the front brake takes %.0f kJ, the rear %.0f kJ, and the engine with its throttle shut %.0f kJ", l.once(), o.Front, o.Rear, o.Engine)
	warm := func(celsius float64) string { return show(quantity.MustUnit("C").ToSI(celsius), "C", 0) }
	if d := o.Disc; d != nil {
		text += fmt.Sprintf("; braked so all the way, the front disc runs at about %s, at the most %s and %s on its faces, within 40 %% of what it warms by", warm(d.Mean), warm(d.Hottest), warm(d.Face))
		if d.Fluid != "" {
			text += fmt.Sprintf("; the fluid at the calliper at some %s, and %s with water in it boils from %s", warm(d.Reaches), d.Fluid, warm(d.Wet))
		}
	} else if o.DiscWhy != "" {
		text += "; how hot that makes it cannot be said: " + o.DiscWhy
	}
	if o.RearDrum || o.FrontDrum {
		text += "; a drum fades when hot, which is not computed"
	}
	return append(notes, text)
}

// sections are the sections as people read them, and the lap.
func (l *Lap) sections() report.Table {
	v := quantity.MustUnit("km/h").In(l.System)
	speed := func(ms float64) string { return quantity.Number(v.FromSI(ms), 0) }
	t := report.Table{Heads: []string{"section", "time, s"}}
	if l.Before != nil {
		t.Heads = append(t.Heads, l.Against)
	}
	t.Heads = append(t.Heads, "in, "+v.Label(), "out", "limited by")
	row := func(name string, time, before float64, in, out string, last report.Cell) {
		cells := report.Cells(name, quantity.Number(time, 2))
		if l.Before != nil {
			cells = append(cells, report.Cell{Text: quantity.Number(before, 2)})
		}
		t.Rows = append(t.Rows, append(cells, report.Cell{Text: in}, report.Cell{Text: out}, last))
	}
	for i, s := range l.Lap.Sections {
		before := 0.0
		if l.Before != nil && i < len(l.Before.Sections) {
			before = l.Before.Sections[i].Time
		}
		name := s.Name
		if l.Lap.Ridden != nil { // a recording has no sections of its own
			part := l.Lap.Length / float64(len(l.Lap.Sections))
			name = quantity.Number(quantity.MustUnit("m").In(l.System).FromSI(part*float64(i)), 0) + " to " + distance(part*float64(i+1), l.System)
		}
		row(name, s.Time, before, speed(s.Entry), speed(s.Exit), report.Cell{Text: s.Limit.String(), Swatch: onMap(s.Limit).Class()})
	}
	before := 0.0
	if l.Before != nil {
		before = l.Before.Time
	}
	name := "lap"
	if l.oneWay() {
		name = "one way"
	}
	row(name, l.Lap.Time, before, "", "", report.Cell{Text: fmt.Sprintf("%s, fastest %s %s", distance(l.Lap.Length, l.System), speed(l.Lap.Top/3.6), v.Label())})
	return t
}

// steps are a line for each step of the course.
func (l *Lap) steps() [][]string {
	lines := [][]string{{"build", "way_m", "x_m", "y_m", "speed_m_s", "gear", "limit"}}
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
	for i, by := range l.Lap.Limit {
		p := l.Lap.Course[i]
		lines = append(lines, []string{l.Build, number(l.Lap.Way[i]), number(p.X), number(p.Y), number(l.Lap.Speed[i]), strconv.Itoa(l.Lap.Gear[i]), by.String()})
	}
	return lines
}

type lapJSON struct {
	Program  string            `json:"program,omitempty"`
	Build    string            `json:"build"`
	Against  string            `json:"against,omitempty"`
	Advice   asked.AdviceJSON  `json:"advice"`
	Time     float64           `json:"lap_time_s"`                  // [s]
	Low      float64           `json:"low"`                         // [s]
	High     float64           `json:"high"`                        // [s]
	Change   *asked.ChangeJSON `json:"change,omitempty"`            // [s]
	Narrow   []string          `json:"range_lacks,omitempty"`       // what the ranges leave out
	Length   float64           `json:"length_m"`                    // [m]
	Top      float64           `json:"fastest_km_h"`                // [km/h]
	Course   string            `json:"course,omitempty"`            // recording that it goes along
	Ridden   float64           `json:"ridden_s,omitempty"`          // [s] on the logged ride
	OneWay   bool              `json:"one_way,omitempty"`           // the recording never comes back to where it began
	Fuel     float64           `json:"fuel_l"`                      // [l] a lap
	RaceFuel float64           `json:"race_fuel_l,omitempty"`       // [l] for class_rules.race_time
	Front    float64           `json:"front_brake_kj"`              // [kJ] a lap
	Rear     float64           `json:"rear_brake_kj"`               // [kJ] a lap
	Engine   float64           `json:"engine_braking_kj,omitempty"` // [kJ]
	Disc     *discJSON         `json:"front_disc,omitempty"`
	Sections []lapSectionJSON  `json:"sections"`
	Notes    []string          `json:"notes,omitempty"`
	Care     []string          `json:"cautions,omitempty"`
}

type discJSON struct {
	Mean    float64 `json:"mean_c"`                      // [C]
	Hottest float64 `json:"hottest_c"`                   // [C]
	Face    float64 `json:"face_c"`                      // [C]
	Reaches float64 `json:"fluid_c"`                     // [C]
	Low     float64 `json:"fluid_low"`                   // [C]
	High    float64 `json:"fluid_high"`                  // [C]
	Wet     float64 `json:"fluid_boils_wet_c,omitempty"` // [C]
}

type lapSectionJSON struct {
	Name  string  `json:"name"`
	Time  float64 `json:"time_s"` // [s]
	Limit string  `json:"limit"`
	Entry float64 `json:"entry_m_s"` // [m/s]
	Exit  float64 `json:"exit_m_s"`  // [m/s]
}

// object is what programs read.
func (l *Lap) object() any {
	out := lapJSON{Build: l.Build, Advice: asked.AdviceOut(l.Advice), Time: l.Lap.Time, Length: l.Lap.Length, Top: l.Lap.Top, Notes: l.notes(), Care: l.Care}
	if o := l.Lap.Loads; o != nil {
		out.Fuel, out.RaceFuel, out.Front, out.Rear, out.Engine = o.Fuel, o.RaceFuel, o.Front, o.Rear, o.Engine
		if d := o.Disc; d != nil {
			out.Disc = &discJSON{d.Mean, d.Hottest, d.Face, d.Reaches, d.Least, d.Most, d.Wet}
		}
	}
	if r := l.Lap.Ridden; r != nil {
		out.Course, out.Ridden, out.OneWay = l.Course, r.Taken, r.OneWay
	}
	if r := l.Range; r != nil {
		out.Low, out.High, out.Narrow = r.Low, r.High, r.Narrow
		if c := r.Change; c != nil && l.Before != nil {
			out.Against, out.Change = l.Against, asked.ChangeOut(c)
		}
	}
	for _, s := range l.Lap.Sections {
		out.Sections = append(out.Sections, lapSectionJSON{s.Name, s.Time, s.Limit.String(), s.Entry, s.Exit})
	}
	return out
}

// course is the course from above, by what limits the build.
func (l *Lap) course() report.CourseMap {
	m := report.CourseMap{Title: "The course from above, by what limits " + machine.TheBuild(l.Build)}
	for _, limit := range slices.Compact(slices.Sorted(slices.Values(l.Lap.Limit))) {
		m.Limits = append(m.Limits, onMap(limit))
	}
	for i, p := range l.Lap.Course {
		place := report.CoursePlace{X: p.X, Y: p.Y, Section: p.Section}
		if i < len(l.Lap.Limit) {
			place.Limit = onMap(l.Lap.Limit[i])
		}
		m.Places = append(m.Places, place)
	}
	return m
}

// onMap is a limit as the map and the table of the sections show it.
func onMap(l track.Limit) report.CourseLimit {
	return report.CourseLimit{Name: l.String(), Kind: uint8(l.Kind())}
}

// speeds is the chart of road speed along the lap, both builds.
func (l *Lap) speeds() report.Chart {
	v := quantity.MustUnit("km/h").In(l.System)
	far := quantity.MustUnit("m").In(l.System)
	c := report.Chart{Title: "Road speed along the lap", XLabel: far.Label() + " from the start", YLabel: "road speed, " + v.Label()}
	line := func(name string, r *track.LapResult) {
		one := report.ChartLine{Name: name}
		for _, m := range r.Way {
			one.X = append(one.X, far.FromSI(m))
		}
		for _, ms := range r.Speed {
			one.Y = append(one.Y, v.FromSI(ms))
		}
		c.Lines = append(c.Lines, one)
	}
	if r := l.Lap.Ridden; r != nil && len(r.Speed) > 1 {
		line("as ridden", &track.LapResult{Way: r.Way, Speed: r.Speed})
	}
	if l.Before != nil {
		line(l.Against, l.Before)
	}
	line(l.Build, l.Lap)
	return c
}

// ahead is the chart of the time that the build has gained over the baseline, along the lap; ok is false when there is
// nothing to draw.
func (l *Lap) ahead() (c report.Chart, ok bool) {
	ahead := l.Lap.Ahead(l.Before)
	if ahead == nil || l.Build == l.Against {
		return c, false
	}
	far := quantity.MustUnit("m").In(l.System)
	line := report.ChartLine{Name: l.Build, Y: ahead}
	for _, m := range l.Lap.Way {
		line.X = append(line.X, far.FromSI(m))
	}
	return report.Chart{Title: "Time gained along the lap", XLabel: far.Label() + " from the start", YLabel: "s gained over " + machine.TheBuild(l.Against), Lines: []report.ChartLine{line}}, true
}

// charts are the thrust in each gear; none where it cannot be computed.
func (t Thrust) charts(system quantity.System) []report.Picture {
	if t.Why != "" {
		return nil
	}
	v := quantity.MustUnit("km/h").In(system)
	c := report.Chart{Title: "Thrust in each gear against road speed", XLabel: "road speed, " + v.Label(), YLabel: "thrust at the tyres, N"}
	line := func(name string, g track.GearLine) {
		one := report.ChartLine{Name: name, Y: g.Force}
		for _, kmh := range g.Speed {
			one.X = append(one.X, v.FromSI(kmh/3.6))
		}
		c.Lines = append(c.Lines, one)
	}
	line("drag", t.Drag)
	for _, g := range t.Gears {
		line("gear "+strconv.Itoa(g.Gear), g)
	}
	return []report.Picture{c}
}

// notes say when to change up, or why there is no thrust to draw.
func (t Thrust) notes(system quantity.System) []string {
	if t.Why != "" {
		return []string{report.Sentence(t.Why)}
	}
	if len(t.Change) == 0 {
		return nil
	}
	v := quantity.MustUnit("km/h").In(system)
	var at []string
	for _, kmh := range t.Change {
		at = append(at, quantity.Number(v.FromSI(kmh/3.6), 0))
	}
	return []string{fmt.Sprintf("Change up at %s %s: there the next gear pushes as well, or the redline is reached.", strings.Join(at, ", "), v.Label())}
}
