package track

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/vehicle/driveline"
)

// StartResult is a standing start to the first corner: of all gears and crank speeds that can be held, and of those
// whose time cannot be told from the quickest, the one that lifts the front wheel least, then the one for which the
// clutch slips least.
type StartResult struct {
	Gear      int
	Held      float64  // [rpm] of the crank while the clutch slips
	Time      float64  // [s] to the corner
	Low, High float64  // [s] of it
	Narrow    []string // what leaves nothing to compute whichever way it is moved: the range is too narrow by what it does
	First     string   // path of the input that makes most of that; "" for none
	Distance  float64  // [m] to it
	Speed     float64  // [km/h] there
	Fastest   float64  // [km/h] on the way
	Slips     float64  // [s]
	Heat      float64  // [kJ] that the clutch takes
	PerFace   float64  // [J/cm2] of its friction faces; 0 when they are not known
	Lifts     float64  // [s] for which only the front wheel's lifting holds it back
	Limit     Limit    // for the longest time while it slips
	Tries     []StartTry
	Quickest  *StartTry // in whose place another is taken, by so much too little to tell; nil when it is the same
	Assumed   []string  // for which usual ones stand in, because the sheet leaves them out
}

// StartTry is the quickest start in one gear, or the one that was taken.
type StartTry struct {
	Gear   int
	Taken  bool
	Held   float64   // [rpm]
	Time   float64   // [s]
	Slips  float64   // [s]
	Heat   float64   // [kJ]
	Lifts  float64   // [s] for which only the front wheel's lifting holds it back
	Spins  float64   // [s] for which the grip of the driven wheels does
	Way    []float64 // [m] every metre or so
	Speeds []float64 // [km/h] there
}

// startGears are the gears that a start is tried in, and startShare is how far its time may be off as a share of itself
// although all inputs are right: a rider's hand on the clutch; of that, startPrivate is what two starts of one rider do
// not share. Both by judgement. liftSeen is how long a wheel must be up for it to be felt [s].
const (
	startGears   = 3
	startShare   = 0.05
	startPrivate = 0.01
	liftSeen     = 0.05
)

// attempt is a start in a gear, counted from 0, with the crank held at a point of the curve.
type attempt struct {
	gear, held int
	*lap.Start
}

// lifts is for how long the front wheel is up [s], in steps that are felt.
func (a attempt) lifts() float64 { return liftSeen * math.Floor(a.ByTime[lap.ByWheelie]/liftSeen) }

// gentlest is the attempt to make: the quickest, or in its place the one that lifts the front wheel least, and of those
// alike in that the one for which the clutch slips least, of all whose time may be that of the quickest.
func gentlest(all []attempt, mayBe func(a, quickest attempt) (bool, error)) (taken, quickest attempt, err error) {
	all = slices.Clone(all)
	quickest = slices.MinFunc(all, func(a, b attempt) int { return cmp.Compare(a.Time, b.Time) })
	slices.SortStableFunc(all, func(a, b attempt) int {
		return cmp.Or(cmp.Compare(a.lifts(), b.lifts()), cmp.Compare(a.Slips, b.Slips), cmp.Compare(a.Time, b.Time))
	})
	for _, a := range all {
		if a.gear == quickest.gear && a.held == quickest.held {
			break // nothing gentler is as quick
		}
		if ok, err := mayBe(a, quickest); err != nil {
			return a, quickest, err
		} else if ok {
			return a, quickest, nil
		}
	}
	return quickest, quickest, nil
}

// toldOf is an attempt as it is told.
func (s *starting) toldOf(a attempt) StartTry {
	t := StartTry{Gear: a.gear + 1, Held: s.speeds[a.held] / torque.RPM, Time: a.Time, Slips: a.Slips, Heat: a.Heat / 1000, Lifts: a.ByTime[lap.ByWheelie], Spins: a.ByTime[lap.ByDriveGrip], Way: a.Way}
	for _, v := range a.Speeds {
		t.Speeds = append(t.Speeds, v*3.6)
	}
	return t
}

// starting is a build on its way to the first corner.
type starting struct {
	m        *lap.Machine
	g        driveline.Gearbox
	speeds   []float64 // [rad/s] of the crank
	torques  []float64 // [N m] at the crank
	sections []lap.Section
}

func startOf(in *ranges.Inputs, c *torque.Curve) (*starting, error) {
	m, err := ridable(in, c)
	if err != nil {
		return nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, err
	}
	s := &starting{m: m, g: g, sections: sectionsOf(in)}
	if len(in.Missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoLap, ranges.Why(in.Missing, nil))
	}
	if s.speeds, s.torques, err = crankTorque(in, c); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return s, nil
}

// try is a start in a gear, counted from 0, with the crank held at the k-th speed of the curve.
func (s *starting) try(gear, k int) (*lap.Start, error) {
	pull := s.torques[k]
	if s.g.Clutch > 0 {
		pull = math.Min(pull, s.g.Clutch/s.g.Primary)
	}
	force, until := s.g.InGear(gear, s.speeds[k], pull)
	start, err := lap.StandingStart(s.m, s.sections, lap.Launch{Force: force, Until: until, Efficiency: s.g.Efficiency})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return start, nil
}

// chosen is the start that a build makes.
type chosen struct {
	*starting
	taken, quickest attempt
	inGears         []attempt // the quickest in each gear
	assumed         []string
}

// choose tries all starts of a build and takes the gentlest of those that may be the quickest. The error is ErrNoLap or
// the context's.
func choose(ctx context.Context, b *machine.Build, c *torque.Sure) (*chosen, error) {
	in := &ranges.Inputs{Build: b}
	s, err := startOf(in, c.Of(in))
	if err != nil {
		return nil, err
	}
	out := &chosen{starting: s, assumed: in.Assumed}
	var all []attempt
	for gear := range min(startGears, len(s.g.Gears)) {
		var inGear []attempt
		for k := range s.speeds {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			start, err := s.try(gear, k)
			if err != nil {
				return nil, err
			}
			inGear = append(inGear, attempt{gear, k, start})
		}
		all = append(all, inGear...)
		out.inGears = append(out.inGears, slices.MinFunc(inGear, func(a, b attempt) int { return cmp.Compare(a.Time, b.Time) }))
	}
	rivals, err := rivalsOf(b, c)
	if err != nil {
		return nil, err
	}
	out.taken, out.quickest, err = gentlest(all, func(a, quickest attempt) (bool, error) {
		if a.Time-quickest.Time > startShare*quickest.Time {
			return false, nil // what no hand on the clutch makes up for
		}
		return a.Time-quickest.Time <= math.Hypot(rivals.half(a, quickest), startPrivate*quickest.Time), ctx.Err()
	})
	return out, err
}

// ComputeStart is the standing start of a build to its first corner, with its range. The error is ErrNoLap or the
// context's.
func ComputeStart(ctx context.Context, b *machine.Build, c *torque.Sure) (*StartResult, error) {
	s, err := choose(ctx, b, c)
	if err != nil {
		return nil, err
	}
	taken, quickest := s.taken, s.quickest
	t := s.toldOf(taken)
	t.Taken = true
	best := &StartResult{Gear: t.Gear, Held: t.Held, Time: t.Time, Distance: taken.Distance, Speed: taken.Speed * 3.6, Fastest: taken.Fastest * 3.6, Slips: t.Slips, Heat: t.Heat, Lifts: t.Lifts, Limit: taken.Limit, Assumed: s.assumed}
	for _, a := range s.inGears {
		if a.gear == taken.gear {
			best.Tries = append(best.Tries, t)
		}
		if a.gear != taken.gear || a.held != taken.held {
			best.Tries = append(best.Tries, s.toldOf(a))
		}
	}
	if quickest.gear != taken.gear || quickest.held != taken.held {
		q := s.toldOf(quickest)
		best.Quickest = &q
	}
	in := &ranges.Inputs{Build: b}
	if in.Has("driveline.clutch.friction_faces") {
		faces := in.Num("driveline.clutch.friction_faces")
		outer, inner := in.Num("driveline.clutch.outer_diameter"), in.Num("driveline.clutch.inner_diameter")
		if area := math.Pi / 4 * (outer*outer - inner*inner) * faces * 1e4; area > 0 && len(in.Missing) == 0 {
			best.PerFace = 1000 * best.Heat / area
		}
	}
	f := startFigure(ctx, Racer{Build: b, Torque: c}, Racer{}, map[*machine.Build]attempt{b: taken})
	if f.State != figure.Ready {
		return best, ctx.Err()
	}
	best.Low, best.High, best.Narrow = f.Low, f.High, f.Narrow
	if len(f.Basis.Inputs) > 0 && f.Basis.Inputs[0].Share > 0 {
		best.First = f.Basis.Inputs[0].Path
	}
	return best, ctx.Err()
}

// startTime is the figure of a start; how it is computed hangs on which was taken.
var startTime = ranges.Definition{ID: "track.start_time", Title: "Time from rest to the first corner", Unit: "s", Formula: "as hard as clutch, grip and front wheel allow, then in the best gear, braked for the corner", Source: "docs/theory/lap.md", Theory: "docs/theory/lap.md#start", Model: ranges.ModelError{Share: startShare, Private: 0, Note: "a rider's hand on the clutch"}}

// startFigure is the time of the starts taken [s] with its range, and its change: inputs, torque and the rider's hand.
func startFigure(ctx context.Context, now, before Racer, taken map[*machine.Build]attempt) figure.Figure {
	d := startTime
	d.Compute = func(in *ranges.Inputs) (float64, error) {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		r := now
		if in.Build != now.Build {
			r = before
		}
		s, err := startOf(in, r.Torque.Of(in))
		if err != nil {
			return 0, err
		}
		return s.time(taken[in.Build])
	}
	return ranges.NewEvaluator(now.Build, before.Build).Figure(d)
}

// StartFigure is the time of a build's start as the figure track.start_time, with its change against another's; without
// a build in before there is none. The error is the context's.
func StartFigure(ctx context.Context, now, before Racer) (figure.Figure, error) {
	taken := map[*machine.Build]attempt{}
	for _, r := range []Racer{now, before} {
		if r.Build == nil {
			continue
		}
		s, err := choose(ctx, r.Build, r.Torque)
		switch {
		case ctx.Err() != nil:
			return figure.Figure{}, ctx.Err()
		case err == nil:
			taken[r.Build] = s.taken
		case r.Build == now.Build:
			return figure.Figure{ID: startTime.ID, Title: startTime.Title, Unit: quantity.MustUnit(startTime.Unit), State: figure.Cannot, Why: err.Error()}, nil
		default:
			before = Racer{}
		}
	}
	return startFigure(ctx, now, before, taken), ctx.Err()
}

// time is that of an attempt [s]. The error is ErrNoLap.
func (s *starting) time(a attempt) (float64, error) {
	start, err := s.try(a.gear, min(a.held, len(s.speeds)-1))
	if err != nil {
		return 0, err
	}
	return start.Time, nil
}

// rivals are a build with each of its doubts moved both ways, on which starts are held against one another.
type rivals struct {
	moved [][2]*starting // up and down; nil where it cannot start
}

func rivalsOf(b *machine.Build, c *torque.Sure) (*rivals, error) {
	var read ranges.Side
	traced := &ranges.Inputs{Build: b, Trace: &read.Trace}
	if _, err := startOf(traced, c.Of(traced)); err != nil {
		return nil, err
	}
	r := &rivals{}
	delta := ranges.Moves(b.Project)
	pair := func(at func(sign float64) (*starting, error)) {
		var p [2]*starting
		for i, sign := range []float64{1, -1} {
			if s, err := at(sign); err == nil {
				p[i] = s
			}
		}
		r.moved = append(r.moved, p)
	}
	for _, atom := range ranges.Uncertain(b.Project, []*ranges.Side{&read}) {
		pair(func(sign float64) (*starting, error) {
			delta[atom] = sign * ranges.AtomOf(b.Project, atom).Q.Half
			defer func() { delta[atom] = 0 }()
			in := &ranges.Inputs{Build: b, Delta: delta}
			return startOf(in, c.Of(in))
		})
	}
	return r, nil
}

// half is the half-width that holds the difference of two starts [s], by the first order: what moves both alike is
// none.
func (r *rivals) half(a, b attempt) float64 {
	var halves []float64
	for _, p := range r.moved {
		var d [2]float64
		for i, s := range p {
			d[i] = math.NaN()
			if s == nil {
				continue
			}
			one, err1 := s.time(a)
			other, err2 := s.time(b)
			if err1 == nil && err2 == nil {
				d[i] = one - other
			}
		}
		h, _ := ranges.HalfOf(a.Time-b.Time, d[0], d[1]) // what can be computed on neither side says nothing for the slower one
		halves = append(halves, h)
	}
	return ranges.Norm(halves)
}
