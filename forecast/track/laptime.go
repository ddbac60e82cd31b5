package track

import (
	"context"
	"math"
	"slices"
	"sync"

	"shakedown/figure"
	"shakedown/forecast/ranges"
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
)

// OnARoller stands in the place of an input's path where it is not an input that makes most of the range of a change but the computed torque.
const OnARoller = "the torque on a dynamometer"

// Racer is a build with the torque curve that it laps on, and the sprockets when they are not its own.
type Racer struct {
	Build *machine.Build
	Curve *torque.Curve
	Teeth Teeth
}

// who is what makes a racer's draws, but for its curve: that is one for each build.
type who struct {
	build *machine.Build
	teeth Teeth
}

func (r Racer) who() who { return who{r.Build, r.Teeth} }

// LapTimes works out laps with their ranges and changes, on one course. What was drawn for a build is drawn once, however many others it is
// compared with. It may be used from several goroutines.
type LapTimes struct {
	ride            *Ride   // nil for the sheet's course
	shared, private float64 // [-] by which the torque of all may be off alike, and by which each may be off on its own
	seed            uint64  // of the draws
	mu              sync.Mutex
	drawn           map[who]func() ([]float64, error)
}

// NewLapTimes is for the sheet's course or, when that is not nil, for a ride. The torque of all builds may be off by a share of itself that they have in common,
// and by another that they have not [-].
func NewLapTimes(ride *Ride, shared, private float64) *LapTimes {
	return &LapTimes{ride: ride, shared: shared, private: private, seed: ranges.UsualSeed, drawn: map[who]func() ([]float64, error){}}
}

var lapTime = ranges.Definition{ID: "track.lap_time", Title: "Lap time", Unit: "s", Formula: "speeds that ground, balance, engine and brakes allow, forwards and backwards along the course", Source: "docs/theory/lap.md", Theory: "docs/theory/lap.md#lap",
	Model: ranges.ModelError{Share: lapShare, Private: lapPrivate, Note: "one line, a rider who uses all there is, no ruts: laps compare, they do not promise"}}

// LapFigure is a lap time [s] as the figure track.lap_time, without its range.
func LapFigure(time float64) figure.Figure {
	return figure.Figure{ID: lapTime.ID, Title: lapTime.Title, Unit: quantity.MustUnit(lapTime.Unit), State: figure.Ready, Value: time, Low: time, High: time,
		Basis: figure.Basis{Formula: lapTime.Formula, Source: lapTime.Source, Theory: lapTime.Theory, ModelError: lapTime.Model.Share, ModelNote: lapTime.Model.Note, Sampled: true}}
}

// seconds is a racer's lap [s] with its inputs moved and its torque scaled, on a course or, when that is nil, on the sheet's.
func (r Racer) seconds(delta []float64, t *ranges.Trace, scale float64, course *lap.Course) (float64, error) {
	if r.Teeth != (Teeth{}) {
		moved := make([]float64, len(r.Build.Project.Atoms))
		copy(moved, delta)
		r.Teeth.on(r.Build, moved)
		delta = moved
	}
	in := &ranges.Inputs{Build: r.Build, Delta: delta, Trace: t}
	m, course, err := lapOf(in, r.Curve, scale, course)
	if err != nil {
		return 0, err
	}
	l, err := lap.Run(m, course)
	if err != nil {
		return 0, err
	}
	return l.Time, nil
}

// draw is a racer's lap at each of the points at which ranges are sampled; not a number where there is none. Every atom is moved by numbers
// of its own, the same for all racers: what two builds share moves both.
func (t *LapTimes) draw(ctx context.Context, r Racer, straight float64, atoms []int, course *lap.Course) ([]float64, error) {
	t.mu.Lock()
	get, ok := t.drawn[r.who()]
	if !ok {
		get = sync.OnceValues(func() ([]float64, error) {
			return ranges.Drawn(ctx, r.Build.Project, atoms, t.seed, straight, func(delta []float64) (float64, error) { return r.seconds(delta, nil, 1, course) })
		})
		t.drawn[r.who()] = get
	}
	t.mu.Unlock()
	out, err := get()
	faults.Raise(err)
	if err != nil { // somebody else's context may have ended it
		t.mu.Lock()
		delete(t.drawn, r.who())
		t.mu.Unlock()
		if ctx.Err() == nil {
			return t.draw(ctx, r, straight, atoms, course)
		}
	}
	return out, err
}

// Of is the lap time of a build [s] with its range and its change against another, as the figure track.lap_time; without a build in
// before there is no change. The error is the context's.
func (t *LapTimes) Of(ctx context.Context, now, before Racer) (figure.Figure, error) {
	b := now.Build
	f := LapFigure(0)
	a := ranges.Side{Build: b}
	var err error
	if a.Value, err = now.seconds(nil, &a.Trace, 1, t.ride.of()); err != nil {
		f.State, f.Why = figure.Cannot, err.Error()
		return f, ctx.Err()
	}
	f.Value = a.Value
	course := func(b *machine.Build) *lap.Course { // a course is exact: it is made once for all draws
		if t.ride != nil {
			return t.ride.course
		}
		c, _ := courseOf(&ranges.Inputs{Build: b}) // it was ridden just now
		return c
	}
	here := course(b)
	atoms := ranges.Uncertain(b.Project, []*ranges.Side{&a})
	draws, err := t.draw(ctx, now, a.Value, atoms, here)
	if err != nil {
		return f, err
	}
	e := ranges.NewEvaluator(b, nil)
	span := ranges.SampledReach(a.Value, draws)
	own := lapTime.Model.Share * a.Value
	half := func(straight, up, down float64, what string) float64 {
		h, ok := ranges.HalfOf(straight, up, down)
		if !ok && !slices.Contains(f.Narrow, what) {
			f.Narrow = append(f.Narrow, what)
		}
		return h
	}
	seen := func(draws []float64) { // how much of the sample there is
		if n := len(draws) - len(ranges.Computed(draws)); n > ranges.FewLost && !slices.Contains(f.Narrow, severalInputs) {
			f.Narrow = append(f.Narrow, severalInputs)
		}
	}
	seen(draws)
	pull := half(a.Value, now.torqued(1+t.shared, here), now.torqued(1-t.shared, here), OnARoller)
	smooth := t.smoothing(&f, a.Value, now.torqued)
	f.Low, f.High = a.Value-ranges.Norm([]float64{span.Below, own, pull, smooth.Below}), a.Value+ranges.Norm([]float64{span.Above, own, pull, smooth.Above})
	f.Basis.Inputs = e.Used(&a, ranges.DrawnShares(b.Project, atoms, t.seed, draws))
	if before.Build == nil {
		return f, ctx.Err()
	}
	old := ranges.Side{Build: before.Build}
	if old.Value, err = before.seconds(nil, &old.Trace, 1, t.ride.of()); err != nil {
		return f, ctx.Err()
	}
	differ := !now.Curve.Same(before.Curve)
	if !differ && now.Teeth == before.Teeth && ranges.Same(&a, &old) {
		f.Change = &figure.Change{} // both read the very same values: the difference is nothing, exactly
		return f, ctx.Err()
	}
	there := course(before.Build)
	others, err := t.draw(ctx, before, old.Value, ranges.Uncertain(b.Project, []*ranges.Side{&old}), there)
	if err != nil {
		return f, err
	}
	gains := make([]float64, ranges.Samples)
	for i := range gains {
		gains[i] = draws[i] - others[i]
	}
	change := a.Value - old.Value
	span = ranges.SampledReach(change, gains)
	own = math.Hypot(lapTime.Model.Share*change, lapTime.Model.Private*math.Max(a.Value, old.Value))
	seen(gains)
	pull = half(change, now.torqued(1+t.shared, here)-before.torqued(1+t.shared, there), now.torqued(1-t.shared, here)-before.torqued(1-t.shared, there), OnARoller)
	apart := 0.0
	if differ {
		apart = half(a.Value, now.torqued(1+t.private, here), now.torqued(1-t.private, here), OnARoller)
	}
	smooth = t.smoothing(&f, change, func(scale float64, c *lap.Course) float64 { return now.torqued(scale, c) - before.torqued(scale, c) })
	f.Change = &figure.Change{Value: change, Low: change - ranges.Norm([]float64{span.Below, own, pull, apart, smooth.Below}), High: change + ranges.Norm([]float64{span.Above, own, pull, apart, smooth.Above})}
	most, lies := 0.0, (span.Below+span.Above)/2
	for atom, share := range ranges.DrawnShares(b.Project, ranges.Uncertain(b.Project, []*ranges.Side{&a, &old}), t.seed, gains) {
		if share > most || share == most && f.Change.Most > b.Project.Atoms[atom].Path {
			most, f.Change.Most = share, b.Project.Atoms[atom].Path
		}
	}
	if math.Hypot(pull, apart) > math.Sqrt(most)*lies {
		f.Change.Most = OnARoller
	}
	return f, ctx.Err()
}

// torqued is a racer's lap [s] with its torque scaled; not a number where there is none.
func (r Racer) torqued(scale float64, course *lap.Course) float64 {
	v, err := r.seconds(nil, nil, scale, course)
	if err != nil {
		return math.NaN()
	}
	return v
}

// smoothing is what it matters, with 95 %, that a recording does not show its course exactly: by how much a lap, or a change of one, may be less and more [s]; nothing for the
// sheet's course. The lap is ridden along others that would fit as well, in pairs to either side of the smoothed course. Half of what lies between the two is how unsure it is.
// The middle of the two lies above the smoothed course, for smoothing takes the edge off corners: the lap is as much slower, give or take as much.
func (t *LapTimes) smoothing(f *figure.Figure, value float64, at func(scale float64, course *lap.Course) float64) ranges.Reach {
	if t.ride == nil || len(t.ride.doubt) == 0 {
		return ranges.Reach{}
	}
	square, edge, n := 0.0, 0.0, 0.0
	for _, pair := range t.ride.doubt {
		a, b := at(1, pair[0]), at(1, pair[1])
		if math.IsNaN(a) || math.IsNaN(b) {
			continue
		}
		square, edge, n = square+(a-b)*(a-b)/4, edge+(a+b)/2-value, n+1
	}
	if n == 0 {
		if !slices.Contains(f.Narrow, recordedCourse) {
			f.Narrow = append(f.Narrow, recordedCourse)
		}
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
