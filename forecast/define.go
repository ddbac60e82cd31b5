package forecast

import (
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
)

// fixed lists the figures that every machine has, room by room; all has those that follow from results too.
var (
	fixed = slices.Concat(torque.Figures, running.Figures)
	all   = slices.Concat(fixed, slow)
)

// definitions are the figures that a build has: the fixed ones that apply, and one road speed for each gear.
func definitions(b *machine.Build) []ranges.Definition {
	list := make([]ranges.Definition, 0, len(fixed)+6)
	for _, d := range fixed {
		if !d.Applies(b) {
			continue
		}
		if d.ID == running.StoppieLimit && b.Text("layout") != "bike" {
			d.Title = running.NoseOver
		}
		list = append(list, d)
		if d.ID == running.LastBeforeSpeeds {
			for gear := range b.Len("driveline.gears") {
				list = append(list, running.SpeedInGear(gear))
			}
		}
	}
	for i := range b.Len("fits") {
		list = append(list, running.Fit(i, b.Text(ranges.Entry("fits", i, "what"))))
	}
	return list
}

// Described is a figure's definition for the generated list of figures.
type Described struct {
	ID, Title, SI, Shown, Formula, Source, Theory string
	ModelError                                    float64 // [-] half-width that holds 95 %, as a share of the value
	ModelNote                                     string
	ModelInside                                   bool // it is in the range in another way
	Detail                                        bool // stands behind a rule or another figure
}

// Describe lists the definitions of all figures in order; driveline.speed.N stands for one per gear.
func Describe() []Described {
	var list []Described
	add := func(d ranges.Definition, id string) {
		unit := quantity.MustUnit(d.Unit)
		list = append(list, Described{id, d.Title, unit.Kind.SI(), unit.Symbol, d.Formula, d.Source, d.Theory, d.Model.Share, d.Model.Note, d.Model.Inside, d.Detail})
	}
	for _, d := range all {
		add(d, d.ID)
		if d.ID == running.StoppieLimit {
			list[len(list)-1].Title += " (bike); " + running.NoseOver + " (three or four wheels)"
		}
		if d.ID == running.LastBeforeSpeeds {
			speed := running.SpeedInGear(0)
			speed.Title = "Road speed in gear N at redline"
			add(speed, "driveline.speed.N")
		}
	}
	add(running.Fit(0, "one for each entry of fits"), "fit.N")
	return list
}

// FourStrokeOnly says that the figure of that id does not hold for a two-stroke, which is without it: its sum reckons
// with valves and a cam, or with one charge in two turns of the crank. A two-stroke breathes through its case and
// ports, in every turn, and what share of that stays in the cylinder no sheet gives.
func FourStrokeOnly(id string) bool {
	return slices.ContainsFunc(all, func(d ranges.Definition) bool { return d.ID == id && d.FourStroke })
}

// Kinds are the figures that a build has, by id, with what each measures; those that take long too.
func Kinds(b *machine.Build) map[string]quantity.Kind {
	kinds := map[string]quantity.Kind{}
	for _, d := range definitions(b) {
		kinds[d.ID] = quantity.MustUnit(d.Unit).Kind
	}
	for _, d := range slow {
		if d.Applies(b) {
			kinds[d.ID] = quantity.MustUnit(d.Unit).Kind
		}
	}
	return kinds
}

// IsFigure says whether a figure of that id exists for some machine.
func IsFigure(id string) bool {
	return strings.HasPrefix(id, "driveline.speed.") || strings.HasPrefix(id, "fit.") || slices.ContainsFunc(all, func(d ranges.Definition) bool { return d.ID == id })
}

// Forecast computes all figures of the build with their ranges, and their changes against the baseline when that is
// not nil. Both builds are of one project. A figure that cannot be computed says why; there is no error. Figures are
// independent of one another and are shared out over the processors; the result does not depend on how many there are.
func Forecast(b, baseline *machine.Build) []figure.Figure {
	defs := definitions(b)
	figures := make([]figure.Figure, len(defs))
	var next atomic.Int64
	var workers errgroup.Group
	for range min(runtime.GOMAXPROCS(0), len(defs)) {
		workers.Go(func() error {
			return faults.Catch(func() error {
				e := ranges.NewEvaluator(b, baseline)
				for i := int(next.Add(1)) - 1; i < len(defs); i = int(next.Add(1)) - 1 {
					figures[i] = e.Figure(defs[i])
				}
				return nil
			})
		})
	}
	faults.Raise(workers.Wait())
	return figures
}

// Values are the figures of Forecast without their ranges: both ends are the value. It takes a fiftieth of the time,
// for where many builds are tried.
func Values(b, baseline *machine.Build) []figure.Figure {
	e := ranges.NewEvaluator(b, baseline)
	var figures []figure.Figure
	for _, d := range definitions(b) {
		figures = append(figures, e.Quick(d))
	}
	return figures
}
