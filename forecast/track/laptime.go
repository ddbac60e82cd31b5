package track

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/internal/faults"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/quantity"
)

// Of the lap's own error.
const (
	lapShare   = 0.05  // [-] of the lap: no rider, one line, no ruts; by judgement
	lapPrivate = 0.001 // [-] of the lap, that two builds do not share
	fuelApart  = 0.03  // [-] of the fuel, that two builds do not share; by judgement

	revvedShare = 0.3  // [-] of the time at the redline in top gear: wheelspin, and where the rider shuts off; by judgement
	revvedApart = 0.05 // [-] of it, that two builds do not share; by judgement
)

// OnARoller stands in the place of an input's path where it is not an input that makes most of the range of a change
// but the computed torque.
const OnARoller = "the torque on a dynamometer"

// Racer is a build with the torque that it laps on, and the sprockets when they are not its own.
type Racer struct {
	Build  *machine.Build
	Torque *torque.Sure
	Teeth  Teeth
}

// lapFigure is a number of a lap as a figure.
type lapFigure struct {
	ranges.Definition
	// of is the number [SI], and how far the model may be off there although all inputs are right, as a half-width with
	// 95 % [SI]. What is missing and why is in the error.
	of func(l *LapResult) (value, half float64, err error)
	// apart is that half-width of a change.
	apart func(change, now, before float64) float64
}

// RevvedOut is the figure of the time that top gear is held at the redline.
const RevvedOut = "track.top_gear_at_redline"

// RevvedMost is how long a lap top gear may be held at the redline before it is worth a word [s]; by judgement.
const RevvedMost = 1.0

const lapTheory = "docs/theory/lap.md#"

// lapFigures are what a lap gives; the first is its time.
var lapFigures = []lapFigure{
	{Definition: ranges.Definition{ID: "track.lap_time", Title: "Lap time", Unit: "s", Formula: "speeds that ground, balance, engine and brakes allow, forwards and backwards along the course", Source: "docs/theory/lap.md", Theory: lapTheory + "lap",
		Model: ranges.ModelError{Share: lapShare, Private: lapPrivate, Note: "one line, a rider who uses all there is, no ruts: laps compare, they do not promise"}},
		of:    func(l *LapResult) (float64, float64, error) { return l.Time, lapShare * l.Time, nil },
		apart: shares(lapShare, lapPrivate)},
	{Definition: ranges.Definition{ID: "track.fuel_used", Title: "Fuel for a lap", Unit: "l", Formula: "full throttle as the curve says, between it and none with the work that the gases do", Source: "Willans' line; Heywood, Internal Combustion Engine Fundamentals, ch. 13", Theory: lapTheory + "fuel-and-brakes-over-the-race",
		Model: ranges.ModelError{Share: fuelShare, Private: fuelApart, Note: "full throttle or brakes, one line"}},
		of: func(l *LapResult) (float64, float64, error) {
			if l.Loads.Fuel <= 0 {
				return 0, 0, errors.New("the torque that it laps on says nothing of fuel")
			}
			return l.Loads.Fuel / 1000, fuelShare * l.Loads.Fuel / 1000, nil
		},
		apart: shares(fuelShare, fuelApart)},
	{Definition: ranges.Definition{ID: "brakes.front.disc_temperature", Only: frontDisc, Title: "Front disc over the last lap of the race, mean", Unit: "C", Formula: "heat in by the braking of every lap, heat out to the air by speed", Source: "Limpert, Brake Design and Safety", Theory: lapTheory + "fuel-and-brakes-over-the-race",
		Model: ranges.ModelError{Inside: true, Note: "air about the wheel, pads and dirt: 40 % of what it warms by"}},
		of: func(l *LapResult) (float64, float64, error) {
			return discOf(l, func(d *DiscHeat) (float64, float64) { return d.Mean, heatShare * (d.Mean - d.Air) })
		},
		apart: func(change, _, _ float64) float64 { return heatShare * math.Abs(change) }},
	{Definition: ranges.Definition{ID: "brakes.front.fluid_temperature", Only: frontDisc, Title: "Brake fluid at the front calliper by the end of the race", Unit: "C", Formula: "a quarter of what the disc warms by", Source: "by judgement", Theory: lapTheory + "fuel-and-brakes-over-the-race",
		Model: ranges.ModelError{Inside: true, Note: "pad and piston lie between: rough"}},
		of: func(l *LapResult) (float64, float64, error) {
			return discOf(l, func(d *DiscHeat) (float64, float64) { return d.Reaches, d.Most - d.Reaches })
		},
		apart: func(change, _, _ float64) float64 { return math.Hypot(heatShare, reachHalf/reaches) * math.Abs(change) }},
	{Definition: ranges.Definition{ID: RevvedOut, Title: "Top gear at the redline, in a lap", Unit: "s", Formula: "time of the steps in top gear, throttle open, at the speed of the redline", Source: "docs/theory/lap.md", Theory: lapTheory + "top-gear-at-the-redline",
		Model: ranges.ModelError{Share: revvedShare, Private: revvedApart, Note: "no wheelspin on the straight, a rider who uses all there is"}},
		of: func(l *LapResult) (float64, float64, error) {
			if slices.Contains(l.Assumed, TheGears) {
				wants := []string{running.GearPath(0)}
				return 0, 0, &lacking{ranges.Why(wants, nil), wants}
			}
			return l.Revved, revvedShare * l.Revved, nil
		},
		apart: shares(revvedShare, revvedApart)},
	brakingPower("front", func(l *Loads) float64 { return l.Front }), brakingPower("rear", func(l *Loads) float64 { return l.Rear }),
}

// brakingPower is what an end's brake takes on average over a lap.
func brakingPower(end string, energy func(*Loads) float64) lapFigure {
	return lapFigure{Definition: ranges.Definition{ID: "brakes." + end + ".power", Detail: true, Title: "What the " + end + " brake takes, mean over a lap", Unit: "kW", Formula: "work of the brake over a lap / its time", Source: "docs/theory/lap.md", Theory: lapTheory + "fuel-and-brakes-over-the-race",
		Model: ranges.ModelError{Share: heatShare, Private: lapPrivate, Note: "one line, braked as late as grip allows"}},
		of: func(l *LapResult) (float64, float64, error) {
			power := 1000 * energy(l.Loads) / l.Loads.Pace
			return power, heatShare * power, nil
		},
		apart: shares(heatShare, lapPrivate)}
}

// Figures are the definitions of what a lap and a start give.
func Figures() []ranges.Definition {
	var list []ranges.Definition
	for _, f := range lapFigures {
		list = append(list, f.Definition)
	}
	return append(list, startTime)
}

// frontDisc says that a build has no drum in front.
func frontDisc(b *machine.Build) bool { return b.Text("brakes.front.kind") != "drum" }

// shares is how far a change may be off by the model alone: a share of it, and of the larger number what two builds do
// not share.
func shares(share, private float64) func(change, now, before float64) float64 {
	return func(change, now, before float64) float64 {
		return math.Hypot(share*change, private*math.Max(now, before))
	}
}

// discOf is a temperature of the front disc [K].
func discOf(l *LapResult, of func(d *DiscHeat) (celsius, half float64)) (float64, float64, error) {
	d := l.Loads.Disc
	if d == nil {
		return 0, 0, &lacking{l.Loads.DiscWhy, l.Loads.DiscWants}
	}
	v, half := of(d)
	return quantity.MustUnit("C").ToSI(v), half, nil
}

// lacking says why a number of a lap cannot be said, and which inputs it wants.
type lacking struct {
	why   string
	wants []string
}

// Error is the reason.
func (n *lacking) Error() string { return n.why }

// who is what makes a racer's draws, but for its curve: that is one for each build.
type who struct {
	build *machine.Build
	teeth Teeth
}

// Laps works out laps with their ranges and changes, on one course. What was drawn for a build is drawn once, however
// many others it is compared with. It may be used from several goroutines.
type Laps struct {
	ride  *Ride // nil for the sheet's course
	only  int   // so many of lapFigures are worked out
	seed  uint64
	mu    sync.Mutex
	drawn map[who]func() ([][]float64, error)
}

// NewLaps works out all that a lap gives, on the sheet's course or, when that is not nil, along a ride.
func NewLaps(ride *Ride) *Laps {
	return &Laps{ride: ride, only: len(lapFigures), seed: ranges.UsualSeed, drawn: map[who]func() ([][]float64, error){}}
}

// NewLapTimes works out lap times alone.
func NewLapTimes(ride *Ride) *Laps {
	t := NewLaps(ride)
	t.only = 1
	return t
}

// LapFigure is a lap time [s] as the figure track.lap_time, without its range.
func LapFigure(time float64) figure.Figure {
	f := lapFigures[0].empty()
	f.Value, f.Low, f.High = time, time, time
	return f
}

func (d *lapFigure) empty() figure.Figure {
	return figure.Figure{ID: d.ID, Title: d.Title, Detail: d.Detail, Unit: quantity.MustUnit(d.Unit), State: figure.Ready,
		Basis: d.Basis()}
}

// ridden is a racer's lap with its inputs moved, on a course or, when that is nil, on the sheet's; without loads where
// only the time counts.
func (t *Laps) ridden(r Racer, delta []float64, trace *ranges.Trace, course *lap.Course) (*LapResult, error) {
	if r.Teeth != (Teeth{}) {
		moved := ranges.Moves(r.Build.Project)
		copy(moved, delta)
		r.Teeth.on(r.Build, moved)
		delta = moved
	}
	in := &ranges.Inputs{Build: r.Build, Delta: delta, Trace: trace}
	c := r.Torque.Of(in)
	m, course, err := lapOf(in, c, course)
	if err != nil {
		return nil, err
	}
	l, err := lap.Run(m, course)
	if err != nil {
		return nil, err
	}
	out := &LapResult{Time: l.Time, Revved: l.Revved, Assumed: in.Assumed}
	if t.only > 1 {
		out.Loads = loadsOf(in, c, l)
	}
	return out, nil
}

// numbers are what a lap gives [SI]; not a number for what it does not.
func (t *Laps) numbers(l *LapResult) []float64 {
	list := make([]float64, t.only)
	for k := range list {
		v, _, err := lapFigures[k].of(l)
		if list[k] = v; err != nil {
			list[k] = math.NaN()
		}
	}
	return list
}

// draw is what a racer's lap gives at each of the points at which ranges are sampled; not a number where there is none.
// Every atom is moved by numbers of its own, the same for all racers: what two builds share moves both.
func (t *Laps) draw(ctx context.Context, r Racer, straight []float64, atoms []int, course *lap.Course) ([][]float64, error) {
	key := who{r.Build, r.Teeth}
	t.mu.Lock()
	get, ok := t.drawn[key]
	if !ok {
		get = sync.OnceValues(func() ([][]float64, error) {
			return ranges.Drawn(ctx, r.Build.Project, atoms, t.seed, straight, func(delta []float64) ([]float64, error) {
				l, err := t.ridden(r, delta, nil, course)
				if err != nil {
					return nil, err
				}
				return t.numbers(l), nil
			})
		})
		t.drawn[key] = get
	}
	t.mu.Unlock()
	out, err := get()
	faults.Raise(err)
	if err != nil { // somebody else's context may have ended it
		t.mu.Lock()
		delete(t.drawn, key)
		t.mu.Unlock()
		if ctx.Err() == nil {
			return t.draw(ctx, r, straight, atoms, course)
		}
	}
	return out, err
}

// lapped is a racer on its way round: its lap with nothing moved, and what was read for it.
type lapped struct {
	Racer
	side   ranges.Side
	lap    *LapResult
	course *lap.Course // a course is exact: it is made once for all draws
	atoms  []int
	draws  [][]float64
}

func (t *Laps) lap(r Racer) (*lapped, error) {
	k := &lapped{Racer: r, side: ranges.Side{Build: r.Build}}
	var err error
	if k.lap, err = t.ridden(r, nil, &k.side.Trace, t.ride.of()); err != nil {
		return nil, err
	}
	if k.course = t.ride.of(); k.course == nil {
		k.course, _ = courseOf(&ranges.Inputs{Build: r.Build}) // it was ridden just now
	}
	k.atoms = ranges.Uncertain(r.Build.Project, []*ranges.Side{&k.side})
	return k, nil
}

// Quick are the figures of a racer's lap without what the inputs do to their ranges: only the models' own errors are in
// them, and each says so. They have no change: whether one is more than nothing hangs on the inputs. A racer without a
// build has no lap.
func (t *Laps) Quick(now Racer) []figure.Figure {
	a, err := t.lap(now)
	if err != nil {
		return t.none(now.Build, err)
	}
	list := t.figures(a, nil)
	for i := range list {
		if list[i].State == figure.Ready {
			list[i].Narrow = []string{inputsNotMoved}
		}
	}
	return list
}

// inputsNotMoved is what the ranges of Quick leave out.
const inputsNotMoved = "how sure the inputs and the torque are"

// none are the figures of a build that has no lap.
func (t *Laps) none(b *machine.Build, err error) (list []figure.Figure) {
	for k := range t.only {
		if d := &lapFigures[k]; b == nil || d.Applies(b) {
			f := d.empty()
			f.State, f.Why = figure.Cannot, err.Error()
			list = append(list, f)
		}
	}
	return list
}

// figures are the values with the models' own errors. The change of a lap that reads the very same as the other is
// nothing, exactly.
func (t *Laps) figures(a, b *lapped) (list []figure.Figure) {
	for k := range t.only {
		d := &lapFigures[k]
		if !d.Applies(a.Build) {
			continue
		}
		f := d.empty()
		v, own, err := d.of(a.lap)
		if err != nil {
			f.State, f.Why = figure.Cannot, err.Error()
			if no, ok := errors.AsType[*lacking](err); ok {
				f.Missing = no.wants
			}
			list = append(list, f)
			continue
		}
		f.Value, f.Low, f.High = v, v-own, v+own
		if b != nil && d.Applies(b.Build) {
			switch was, _, err := d.of(b.lap); {
			case err != nil:
			case a.Torque.Curve.Same(b.Torque.Curve) && a.Teeth == b.Teeth && ranges.Same(&a.side, &b.side):
				f.Change = &figure.Change{}
			default:
				own := d.apart(v-was, v, was)
				f.Change = &figure.Change{Value: v - was, Low: v - was - own, High: v - was + own}
			}
		}
		list = append(list, f)
	}
	return list
}

// Of are the figures of a racer's lap with their ranges and their changes against another's; without a build in before
// there is no change. The first is the lap time. The error is the context's.
func (t *Laps) Of(ctx context.Context, now, before Racer) ([]figure.Figure, error) {
	a, err := t.lap(now)
	if err != nil {
		return t.none(now.Build, err), ctx.Err()
	}
	if a.draws, err = t.draw(ctx, now, t.numbers(a.lap), a.atoms, a.course); err != nil {
		return t.none(now.Build, err), err
	}
	var b *lapped
	if before.Build != nil {
		if b, err = t.lap(before); err == nil {
			if b.draws, err = t.draw(ctx, before, t.numbers(b.lap), b.atoms, b.course); err != nil {
				return t.none(now.Build, err), err
			}
		}
	}
	list := t.figures(a, b)
	for i := range list {
		f := &list[i]
		k := slices.IndexFunc(lapFigures, func(d lapFigure) bool { return d.ID == f.ID })
		if f.State != figure.Ready {
			continue
		}
		t.widen(f, k, a)
		if f.Change != nil && !f.Change.None() {
			t.widenChange(f, k, a, b)
		}
	}
	return list, ctx.Err()
}

// Time is the first of Of: the lap time.
func (t *Laps) Time(ctx context.Context, now, before Racer) (figure.Figure, error) {
	list, err := t.Of(ctx, now, before)
	return list[0], err
}

// widen adds to a figure's range what was drawn; none of them can be less than nothing.
func (t *Laps) widen(f *figure.Figure, k int, a *lapped) {
	draws := a.draws[k]
	span := ranges.SampledReach(f.Value, draws)
	lack(f, draws)
	smooth := t.smoothing(f, f.Value, func(c *lap.Course) float64 { return t.on(a.Racer, k, c) })
	f.Low, f.High = math.Max(0, f.Value-ranges.Norm([]float64{span.Below, f.Value - f.Low, smooth.Below})), f.Value+ranges.Norm([]float64{span.Above, f.High - f.Value, smooth.Above})
	f.Basis.Sampled = true
	share := ranges.DrawnShares(a.Build.Project, a.atoms, t.seed, draws)
	f.Basis.Inputs, f.Basis.Doubts = ranges.NewEvaluator(a.Build, nil).Used(&a.side, share), ranges.UsedDoubts(&a.side, share)
}

// widenChange adds to the range of a figure's change what was drawn for both, and what two curves that are only roughly
// sure do not share.
func (t *Laps) widenChange(f *figure.Figure, k int, a, b *lapped) {
	gains := make([]float64, ranges.Samples)
	for i := range gains {
		gains[i] = a.draws[k][i] - b.draws[k][i]
	}
	c := f.Change
	span := ranges.SampledReach(c.Value, gains)
	lack(f, gains)
	apart := 0.0
	if own := math.Max(a.Torque.Apart(), b.Torque.Apart()); own > 0 && !a.Torque.Curve.Same(b.Torque.Curve) {
		up, down := a.Racer, a.Racer
		up.Torque, down.Torque = a.Torque.Scaled(1+own), a.Torque.Scaled(1-own)
		var ok bool
		if apart, ok = ranges.HalfOf(f.Value, t.on(up, k, a.course), t.on(down, k, a.course)); !ok {
			lacks(f, OnARoller)
		}
	}
	smooth := t.smoothing(f, c.Value, func(course *lap.Course) float64 { return t.on(a.Racer, k, course) - t.on(b.Racer, k, course) })
	most, lies := 0.0, (span.Below+span.Above)/2
	for atom, share := range ranges.DrawnShares(a.Build.Project, ranges.Uncertain(a.Build.Project, []*ranges.Side{&a.side, &b.side}), t.seed, gains) {
		if path := ranges.AtomOf(a.Build.Project, atom).Path; share > most || share == most && c.Most > path {
			most, c.Most = share, path
		}
	}
	if apart > math.Sqrt(most)*lies {
		c.Most = OnARoller
	}
	c.Low, c.High = c.Value-ranges.Norm([]float64{span.Below, c.Value - c.Low, apart, smooth.Below}), c.Value+ranges.Norm([]float64{span.Above, c.High - c.Value, apart, smooth.Above})
}

// lack notes that too little of a sample could be computed.
func lack(f *figure.Figure, draws []float64) {
	if len(draws)-len(ranges.Computed(draws)) > ranges.FewLost {
		lacks(f, severalInputs)
	}
}

// lacks notes what a figure's ranges leave out.
func lacks(f *figure.Figure, what string) {
	if !slices.Contains(f.Narrow, what) {
		f.Narrow = append(f.Narrow, what)
	}
}

// on is a number of a racer's lap on a course [SI]; not a number where there is none.
func (t *Laps) on(r Racer, k int, course *lap.Course) float64 {
	l, err := t.ridden(r, nil, nil, course)
	if err != nil {
		return math.NaN()
	}
	return t.numbers(l)[k]
}

// smoothing is what it matters, with 95 %, that a recording does not show its course exactly: by how much a number of a
// lap, or a change of one, may be less and more [its unit]; nothing for the sheet's course. The lap is ridden along
// others that would fit as well, in pairs to either side of the smoothed course. Half of what lies between the two is
// how unsure it is. The middle of the two lies above the smoothed course, for smoothing takes the edge off corners: the
// lap is as much slower, give or take as much.
func (t *Laps) smoothing(f *figure.Figure, value float64, at func(course *lap.Course) float64) ranges.Reach {
	if t.ride == nil || len(t.ride.doubt) == 0 {
		return ranges.Reach{}
	}
	square, edge, n := 0.0, 0.0, 0.0
	for _, pair := range t.ride.doubt {
		a, b := at(pair[0]), at(pair[1])
		if math.IsNaN(a) || math.IsNaN(b) {
			continue
		}
		square, edge, n = square+(a-b)*(a-b)/4, edge+(a+b)/2-value, n+1
	}
	if n == 0 {
		lacks(f, recordedCourse)
		return ranges.Reach{}
	}
	edge /= n
	half := math.Hypot(ranges.Coverage*math.Sqrt(square/n), edge)
	return ranges.Reach{Below: half - edge, Above: half + edge}
}

// What may leave nothing to compute beside single inputs.
const (
	severalInputs  = "moving several inputs at once"
	recordedCourse = "how sure the recorded course is"
)
