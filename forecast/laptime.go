package forecast

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat"

	"shakedown/figure"
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

// usualSeed is that of all draws but those of tests that look at what others would give.
const usualSeed = 1

// Racer is a build with the torque curve that it laps on, and the sprockets when they are not its own.
type Racer struct {
	Build *machine.Build
	Curve *TorqueCurve
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
	return &LapTimes{ride: ride, shared: shared, private: private, seed: usualSeed, drawn: map[who]func() ([]float64, error){}}
}

var lapTime = definition{id: "track.lap_time", title: "Lap time", unit: "s", formula: "speeds that ground, balance, engine and brakes allow, forwards and backwards along the course", source: "docs/theory/lap.md", theory: "docs/theory/lap.md#lap",
	model: modelError{share: lapShare, private: lapPrivate, note: "one line, a rider who uses all there is, no ruts: laps compare, they do not promise"}}

// LapFigure is a lap time [s] as the figure track.lap_time, without its range.
func LapFigure(time float64) figure.Figure {
	return figure.Figure{ID: lapTime.id, Title: lapTime.title, Unit: quantity.MustUnit(lapTime.unit), State: figure.Ready, Value: time, Low: time, High: time,
		Basis: figure.Basis{Formula: lapTime.formula, Source: lapTime.source, Theory: lapTime.theory, ModelError: lapTime.model.share, ModelNote: lapTime.model.note, Sampled: true}}
}

// seconds is a racer's lap [s] with its inputs moved and its torque scaled, on a course or, when that is nil, on the sheet's.
func (r Racer) seconds(delta []float64, t *trace, scale float64, course *lap.Course) (float64, error) {
	if r.Teeth != (Teeth{}) {
		moved := make([]float64, len(r.Build.Project.Atoms))
		copy(moved, delta)
		r.Teeth.on(r.Build, moved)
		delta = moved
	}
	in := &inputs{build: r.Build, delta: delta, trace: t}
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
			return drawn(ctx, r.Build.Project, atoms, t.seed, straight, func(delta []float64) (float64, error) { return r.seconds(delta, nil, 1, course) })
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

// drawn is what comes out at each of the points at which ranges are sampled, over all processors, for what comes out with nothing moved. A point at
// which nothing does is taken from the other side, turned round; where nothing does there either it is not a number. At is called with
// the atoms moved, from several goroutines, each with a delta of its own.
func drawn(ctx context.Context, p *machine.Project, atoms []int, seed uint64, straight float64, at func(delta []float64) (float64, error)) ([]float64, error) {
	columns := drawOrders(p, atoms, seed)
	out := make([]float64, samples)
	work, each := errgroup.WithContext(ctx)
	parts := runtime.GOMAXPROCS(0)
	for part := range parts {
		work.Go(func() error {
			return faults.Catch(func() error {
				delta := make([]float64, len(p.Atoms))
				for n := part; n < samples; n += parts {
					if each.Err() != nil {
						return each.Err()
					}
					move := func(sign float64) {
						for i, atom := range atoms {
							delta[atom] = sign * scores[columns[i][n]] * p.Atoms[atom].Q.Half / coverage
						}
					}
					move(1)
					v, err := at(delta)
					if err != nil {
						move(-1)
						if v, err = at(delta); err == nil {
							v = 2*straight - v
						}
					}
					if out[n] = v; err != nil {
						out[n] = math.NaN()
					}
				}
				return nil
			})
		})
	}
	return out, work.Wait()
}

// drawOrders are the orders in which the equally likely values of atoms are drawn. They go by what an atom says, not by where it stands: a part
// more in the sheet leaves the laps of others as they were, and two parts that are alike are worth the same.
func drawOrders(p *machine.Project, atoms []int, seed uint64) [][]int {
	orders := make([][]int, len(atoms))
	again := map[string]int{}
	for i, atom := range atoms {
		a := &p.Atoms[atom]
		says := fmt.Sprint(a.Path, " ", a.Q.Value, " ", a.Q.Half)
		h := fnv.New64a()
		fmt.Fprint(h, says, " ", again[says])
		again[says]++
		orders[i] = rand.New(rand.NewPCG(seed, h.Sum64())).Perm(samples)
	}
	return orders
}

// Of is the lap time of a build [s] with its range and its change against another, as the figure track.lap_time; without a build in
// before there is no change. The error is the context's.
func (t *LapTimes) Of(ctx context.Context, now, before Racer) (figure.Figure, error) {
	b := now.Build
	f := LapFigure(0)
	a := side{build: b}
	var err error
	if a.value, err = now.seconds(nil, &a.trace, 1, t.ride.of()); err != nil {
		f.State, f.Why = figure.Cannot, err.Error()
		return f, ctx.Err()
	}
	f.Value = a.value
	course := func(b *machine.Build) *lap.Course { // a course is exact: it is made once for all draws
		if t.ride != nil {
			return t.ride.course
		}
		c, _ := courseOf(&inputs{build: b}) // it was ridden just now
		return c
	}
	here := course(b)
	atoms := uncertain(b.Project, []*side{&a})
	draws, err := t.draw(ctx, now, a.value, atoms, here)
	if err != nil {
		return f, err
	}
	e := &evaluator{build: b}
	span := sampledReach(a.value, draws)
	own := lapTime.model.share * a.value
	half := func(straight, up, down float64, what string) float64 {
		h, ok := halfOf(straight, up, down)
		if !ok && !slices.Contains(f.Narrow, what) {
			f.Narrow = append(f.Narrow, what)
		}
		return h
	}
	seen := func(draws []float64) { // how much of the sample there is
		if n := len(draws) - len(computed(draws)); n > fewLost && !slices.Contains(f.Narrow, severalInputs) {
			f.Narrow = append(f.Narrow, severalInputs)
		}
	}
	seen(draws)
	torque := half(a.value, now.torqued(1+t.shared, here), now.torqued(1-t.shared, here), OnARoller)
	smooth := t.smoothing(&f, a.value, now.torqued)
	f.Low, f.High = a.value-norm([]float64{span.below, own, torque, smooth.below}), a.value+norm([]float64{span.above, own, torque, smooth.above})
	f.Basis.Inputs = e.used(&a, drawnShares(b.Project, atoms, t.seed, draws))
	if before.Build == nil {
		return f, ctx.Err()
	}
	old := side{build: before.Build}
	if old.value, err = before.seconds(nil, &old.trace, 1, t.ride.of()); err != nil {
		return f, ctx.Err()
	}
	differ := !now.Curve.Same(before.Curve)
	if !differ && now.Teeth == before.Teeth && same(&a, &old) {
		f.Change = &figure.Change{} // both read the very same values: the difference is nothing, exactly
		return f, ctx.Err()
	}
	there := course(before.Build)
	others, err := t.draw(ctx, before, old.value, uncertain(b.Project, []*side{&old}), there)
	if err != nil {
		return f, err
	}
	gains := make([]float64, samples)
	for i := range gains {
		gains[i] = draws[i] - others[i]
	}
	change := a.value - old.value
	span = sampledReach(change, gains)
	own = math.Hypot(lapTime.model.share*change, lapTime.model.private*math.Max(a.value, old.value))
	seen(gains)
	torque = half(change, now.torqued(1+t.shared, here)-before.torqued(1+t.shared, there), now.torqued(1-t.shared, here)-before.torqued(1-t.shared, there), OnARoller)
	apart := 0.0
	if differ {
		apart = half(a.value, now.torqued(1+t.private, here), now.torqued(1-t.private, here), OnARoller)
	}
	smooth = t.smoothing(&f, change, func(scale float64, c *lap.Course) float64 { return now.torqued(scale, c) - before.torqued(scale, c) })
	f.Change = &figure.Change{Value: change, Low: change - norm([]float64{span.below, own, torque, apart, smooth.below}), High: change + norm([]float64{span.above, own, torque, apart, smooth.above})}
	most, lies := 0.0, (span.below+span.above)/2
	for atom, share := range drawnShares(b.Project, uncertain(b.Project, []*side{&a, &old}), t.seed, gains) {
		if share > most || share == most && f.Change.Most > b.Project.Atoms[atom].Path {
			most, f.Change.Most = share, b.Project.Atoms[atom].Path
		}
	}
	if math.Hypot(torque, apart) > math.Sqrt(most)*lies {
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
func (t *LapTimes) smoothing(f *figure.Figure, value float64, at func(scale float64, course *lap.Course) float64) reach {
	if t.ride == nil || len(t.ride.doubt) == 0 {
		return reach{}
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
		return reach{}
	}
	edge /= n
	half := math.Hypot(coverage*math.Sqrt(square/n), edge)
	return reach{half - edge, half + edge}
}

// What may leave nothing to compute beside single inputs.
const (
	severalInputs  = "moving several inputs at once"
	recordedCourse = "how sure the recorded course is"
	fewLost        = samples / 100 // of a sample, that do not matter
)

// halfOf is half of how far apart a number lies when something is moved up and down; when one of the two is not a number, how far the other lies from what
// it is unmoved. It is not ok when neither is a number.
func halfOf(straight, up, down float64) (half float64, ok bool) {
	switch {
	case math.IsNaN(up) && math.IsNaN(down):
		return 0, false
	case math.IsNaN(up):
		return math.Abs(down - straight), true
	case math.IsNaN(down):
		return math.Abs(up - straight), true
	}
	return math.Abs(up-down) / 2, true
}

// computed are the numbers of a sample.
func computed(draws []float64) []float64 { return slices.DeleteFunc(slices.Clone(draws), math.IsNaN) }

// sampledReach is how far a sample goes below and above a value with 95 %. Where fewer than half could be computed nothing is sure.
func sampledReach(value float64, draws []float64) reach {
	got := computed(draws)
	if len(got) < samples/2 {
		return reach{math.Abs(value), math.Abs(value)}
	}
	slices.Sort(got)
	return reach{math.Max(0, value-quantile(got, tail)), math.Max(0, quantile(got, 1-tail)-value)}
}

// leastShare is a share of the variance that a sample of this size cannot tell from nothing [-].
const leastShare = 0.01

// drawnShares is each atom's share of the variance of what was drawn [-]: the square of its correlation.
func drawnShares(p *machine.Project, atoms []int, seed uint64, draws []float64) map[int]float64 {
	list := make(map[int]float64, len(atoms))
	columns := drawOrders(p, atoms, seed)
	for i, atom := range atoms {
		column := columns[i]
		var x, y []float64
		for n, d := range draws {
			if !math.IsNaN(d) {
				x, y = append(x, scores[column[n]]), append(y, d)
			}
		}
		if c := stat.Correlation(x, y, nil); c*c > leastShare {
			list[atom] = c * c
		}
	}
	return list
}

// Same says that two curves are the same at every speed.
func (c *TorqueCurve) Same(other *TorqueCurve) bool {
	if c == nil || other == nil {
		return c == other
	}
	return slices.EqualFunc(c.Points, other.Points, func(a, b CurvePoint) bool { return a.Speed == b.Speed && a.Torque == b.Torque })
}
