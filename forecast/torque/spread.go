package torque

import (
	"cmp"
	"context"
	"maps"
	"math"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/forecast/result"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
)

// Spread is how sure a torque curve is: what each doubtful input and each doubtful constant of the model moves it by,
// at a few speeds.
type Spread struct {
	Speeds []float64 // [rpm]
	Keys   []string  // of all doubts, those that move nothing too
	Terms  []Term
	Lost   []string // in words, doubts that leave nothing to compute whichever way they are moved: the range is too narrow by what they do
}

// Term is one doubt.
type Term struct {
	Name   string    // the input's path, or what of the model
	Key    string    // the same in two builds when it is the same number that somebody wrote
	Shared float64   // [-] of it that two builds have in common
	Torque []float64 // [Nm] that half of its half-width moves the torque by, at each speed
}

// spreadSpeeds is at how many speeds the spread is found.
const spreadSpeeds = 6

// noise is what the settling of cycles leaves in a torque [-]; what moves less is left out.
const noise = 2e-3

// ComputeSpread finds how sure a build's torque curve is: each input that is not exact, and each doubtful constant of
// the model, is moved by half its half-width alone. Those that move the same of the engine are one run. Done is told
// how many of all are ready.
func ComputeSpread(ctx context.Context, b *machine.Build, done func(ready, total int)) (*Spread, error) {
	spread, _, err := computeSpread(ctx, b, nil, done)
	return spread, err
}

// Like is how sure the curve of a build is when that of a build much like it is known: what both share moves the torque
// by the same share of itself, and only doubts that the other does not have, such as those of a part that is tried, are
// worked out.
func (s *Spread) Like(ctx context.Context, b *machine.Build, now, before *Curve, done func(ready, total int)) (*Spread, error) {
	known := func(key string, speed float64) (torque float64, ok bool) {
		i := slices.IndexFunc(s.Terms, func(t Term) bool { return t.Key == key })
		if i < 0 {
			return 0, slices.Contains(s.Keys, key)
		}
		share := now.TorqueAt(speed) / before.TorqueAt(speed)
		if math.IsNaN(share) || math.IsInf(share, 0) {
			share = 1
		}
		return share * s.at(speed, func(k int) float64 {
			if k < len(s.Terms[i].Torque) {
				return s.Terms[i].Torque[k]
			}
			return 0
		}), true
	}
	spread, _, err := computeSpread(ctx, b, known, done)
	if err == nil {
		spread.Lost = slices.Compact(slices.Sorted(slices.Values(slices.Concat(spread.Lost, s.Lost))))
	}
	return spread, err
}

// computeSpread also gives how many engines were run at all speeds, the unmoved one not counted. What is known of a
// doubt is not worked out; nil for nothing.
func computeSpread(ctx context.Context, b *machine.Build, known func(key string, speed float64) (torque float64, ok bool), done func(ready, total int)) (*Spread, int, error) {
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	base, err := breathing(in)
	if err != nil {
		return nil, 0, err
	}
	speeds, err := speedsOfCurve(in, spreadSpeeds)
	if err != nil {
		return nil, 0, err
	}
	all := doubtsOf(in, base)
	doubts := slices.DeleteFunc(slices.Clone(all), func(d doubt) bool {
		if known == nil {
			return false
		}
		_, ok := known(d.term.Key, speeds[0]/RPM)
		return ok
	})
	spread := &Spread{Speeds: scaled(speeds, 1/RPM)}
	for _, d := range all {
		spread.Keys = append(spread.Keys, d.term.Key)
		if known == nil {
			continue
		}
		term := d.term
		for _, speed := range spread.Speeds {
			v, _ := known(term.Key, speed)
			term.Torque = append(term.Torque, v)
		}
		if slices.ContainsFunc(term.Torque, func(d float64) bool { return d != 0 }) {
			spread.Terms = append(spread.Terms, term)
		}
	}
	if len(doubts) == 0 {
		return spread, 0, nil
	}
	near, err := engine.NewNear(ctx, base, speeds)
	if err != nil {
		faults.Raise(err)
		return nil, 0, err
	}
	torque := func(spec engine.Breathing) ([]float64, error) {
		points, failed, err := near.Curve(ctx, spec)
		if err != nil {
			return nil, err
		}
		list := make([]float64, len(points))
		for i, p := range points {
			list[i] = p.Torque
			if failed[i] != nil {
				list[i] = math.NaN()
			}
		}
		return list, nil
	}
	straight, err := torque(base)
	if err != nil {
		return nil, 0, err
	}
	together := alike(doubts)
	lost := make([]bool, len(doubts))
	var mu sync.Mutex
	ready, runs := 0, 0
	run := func(d *doubt) (list []float64, lost bool) {
		return moves(straight, func(sign float64) []float64 {
			spec, err := d.spec(sign)
			if err != nil {
				return nil
			}
			mu.Lock()
			runs++
			mu.Unlock()
			list, err := torque(spec)
			if err != nil {
				return nil // what it is moved to is refused, or the context has ended
			}
			return list
		})
	}
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for _, group := range together {
		work.Go(func() error {
			return faults.Catch(func() error {
				if each.Err() != nil {
					return each.Err()
				}
				first := &doubts[group[0].at]
				list, none := run(first)
				for _, m := range group {
					d, own, gone := &doubts[m.at], scaled(list, m.times), none
					if none && d != first { // a smaller move may do where the largest does not
						own, gone = run(d)
					}
					d.term.Torque, lost[m.at] = heard(straight, own), gone
				}
				mu.Lock()
				defer mu.Unlock()
				if ready += len(group); done != nil {
					done(ready, len(doubts))
				}
				return nil
			})
		})
	}
	err = work.Wait()
	faults.Raise(err)
	if ctx.Err() != nil {
		return nil, 0, ctx.Err()
	}
	for i := range doubts {
		term := doubts[i].term
		if slices.ContainsFunc(term.Torque, func(d float64) bool { return d != 0 }) {
			spread.Terms = append(spread.Terms, term)
		}
		if name := machine.Spoken(term.Name); lost[i] && !slices.Contains(spread.Lost, name) {
			spread.Lost = append(spread.Lost, name)
		}
	}
	return spread, runs, nil
}

// doubt is one doubt before it is known what it does.
type doubt struct {
	term  Term
	spec  func(sign float64) (engine.Breathing, error) // the engine with it moved up for 1, down for -1
	moved []float64                                    // what of the engine's numbers moving it up changes, and by how much; nil when that is not known
}

// doubtsOf are the doubts of a build whose inputs were read to make an engine: each number that is not exact, then the
// constants of the model.
func doubtsOf(in *ranges.Inputs, base engine.Breathing) []doubt {
	b := in.Build
	type whole struct { // the tables of the gases follow from the mixture
		engine  engine.Breathing
		mixture mixture
	}
	unmoved, mixed, _ := unfilled(in)
	straight := ranges.Flat(whole{unmoved, mixed})
	less := func(sign float64, e engine.Breathing, m mixture, err error) []float64 {
		list := ranges.Flat(whole{e, m})
		if err != nil || len(list) != len(straight) {
			return nil
		}
		for i := range list {
			list[i] = sign * (list[i] - straight[i])
		}
		return list
	}
	var list []doubt
	for _, i := range in.Trace.Atoms {
		a := b.Project.Atoms[i]
		if a.Q.Half <= 0 {
			continue
		}
		inputs := func(sign float64) *ranges.Inputs {
			moved := &ranges.Inputs{Build: b, Delta: make([]float64, len(b.Project.Atoms))}
			moved.Delta[i] = sign * a.Q.Half / 2
			return moved
		}
		d := doubt{
			term: Term{Name: a.Path, Key: atomKey(&a), Shared: 1},
			spec: func(sign float64) (engine.Breathing, error) { return breathing(inputs(sign)) },
		}
		for _, sign := range []float64{1, -1} {
			if d.moved == nil {
				e, m, err := unfilled(inputs(sign))
				d.moved = less(sign, e, m, err)
			}
		}
		list = append(list, d)
	}
	constants := engine.Doubts()
	for _, name := range slices.Sorted(maps.Keys(constants)) {
		spec := func(sign float64) (engine.Breathing, error) {
			e := base
			e.Doubt = constants[name].Times(sign / 2)
			return e, nil
		}
		e := unmoved
		e.Doubt = constants[name].Times(0.5)
		list = append(list, doubt{term: Term{Name: name, Key: modelKey(name), Shared: 1}, spec: spec, moved: less(1, e, mixed, nil)})
	}
	return list
}

// member is a doubt of a group that moves the engine alike: so many times what the first of it does.
type member struct {
	at    int     // in the list of doubts
	times float64 // [-]
}

// alike puts together the doubts that move the engine in the same direction, so that one run does for all of them: what
// they do is in proportion, to the first order, as ranges are. The one that moves it furthest stands first, so that
// nothing is made larger than it was computed. Those that move nothing of the engine are in no group.
func alike(doubts []doubt) [][]member {
	var groups [][]member
	for i := range doubts {
		moved := doubts[i].moved
		if moved != nil && !slices.ContainsFunc(moved, func(x float64) bool { return x != 0 }) {
			continue
		}
		at := slices.IndexFunc(groups, func(g []member) bool {
			_, ok := inProportion(doubts[g[0].at].moved, moved)
			return ok
		})
		if at < 0 {
			groups = append(groups, []member{{i, 1}})
			continue
		}
		g := groups[at]
		times, _ := inProportion(doubts[g[0].at].moved, moved)
		if g = append(g, member{i, times}); math.Abs(times) > 1 {
			g[0], g[len(g)-1] = g[len(g)-1], g[0]
			for k := range g {
				g[k].times /= times
			}
		}
		groups[at] = g
	}
	return groups
}

// proportional is how well two moves must be in proportion to be one [-], in each of their numbers.
const proportional = 1e-6

// inProportion is how many times the first move the second is, and whether it is a multiple of it at all.
func inProportion(a, b []float64) (times float64, ok bool) {
	if a == nil || len(a) != len(b) {
		return 0, false
	}
	i := slices.IndexFunc(a, func(x float64) bool { return x != 0 })
	if i < 0 {
		return 0, false
	}
	times = b[i] / a[i]
	for k := range a {
		if !(math.Abs(b[k]-times*a[k]) <= proportional*math.Abs(b[k])) {
			return 0, false
		}
	}
	return times, times != 0
}

// moves is what one doubt moves the torque by [Nm] at each speed, for what it is without it and for what moving it up
// (1) or down (-1) makes of it; nil, or not a number at a speed, for what cannot be computed. What cannot be computed
// upwards is taken from the other side, turned round; lost says that at some speed neither can. A speed that has no
// torque has no range either.
func moves(straight []float64, torque func(sign float64) []float64) (list []float64, lost bool) {
	list = make([]float64, len(straight))
	up := torque(1)
	var down []float64
	asked := false
	for i, at := range straight {
		if math.IsNaN(at) {
			continue
		}
		d := math.NaN()
		if up != nil {
			d = up[i] - at
		}
		if math.IsNaN(d) {
			if !asked {
				down, asked = torque(-1), true
			}
			if down != nil {
				d = at - down[i]
			}
		}
		if math.IsNaN(d) {
			lost = true
		} else {
			list[i] = d
		}
	}
	return list, lost
}

// heard leaves out of what a doubt moves the torque by what the settling of cycles could have made.
func heard(straight, moved []float64) []float64 {
	list := make([]float64, len(moved))
	for i, d := range moved {
		if math.Abs(d) >= noise*math.Abs(straight[i]) {
			list[i] = d
		}
	}
	return list
}

// spreadModel changes when the way in which a spread is found does.
const spreadModel = "5"

// SpreadKey names all that a curve's spread follows from: the curve, and how sure each number behind it is.
func SpreadKey(b *machine.Build) string {
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	_, _, _ = unfilled(in)
	var numbers []string
	for _, i := range in.Trace.Atoms {
		numbers = append(numbers, atomKey(&b.Project.Atoms[i]))
	}
	return result.Key("spread", spreadModel, CurveKey(b), numbers)
}

// Half is the half-width of the torque that holds 95 % [Nm] at a speed [rpm], straight between the speeds.
func (s *Spread) Half(speed float64) float64 {
	return s.at(speed, func(i int) float64 {
		sum := 0.0
		for _, t := range s.Terms {
			if i < len(t.Torque) {
				sum += t.Torque[i] * t.Torque[i]
			}
		}
		return 2 * math.Sqrt(sum)
	})
}

// HalfOfChange is the half-width of the difference of torque from another build's that holds 95 % [Nm] at a speed
// [rpm]: what both have in common moves both.
func (s *Spread) HalfOfChange(from *Spread, speed float64) float64 {
	return s.at(speed, func(i int) float64 {
		at := func(t *Term) float64 {
			if i < len(t.Torque) {
				return t.Torque[i]
			}
			return 0
		}
		sum := 0.0
		for k := range s.Terms {
			d := at(&s.Terms[k])
			if j := slices.IndexFunc(from.Terms, func(t Term) bool { return t.Key == s.Terms[k].Key }); j >= 0 {
				d -= at(&from.Terms[j])
			}
			sum += d * d
		}
		for k := range from.Terms {
			if !slices.ContainsFunc(s.Terms, func(t Term) bool { return t.Key == from.Terms[k].Key }) {
				d := at(&from.Terms[k])
				sum += d * d
			}
		}
		return 2 * math.Sqrt(sum)
	})
}

func (s *Spread) at(speed float64, of func(i int) float64) float64 {
	n := len(s.Speeds)
	switch {
	case n == 0:
		return 0
	case speed <= s.Speeds[0]:
		return of(0)
	case speed >= s.Speeds[n-1]:
		return of(n - 1)
	}
	i, _ := slices.BinarySearch(s.Speeds, speed)
	a, b := s.Speeds[i-1], s.Speeds[i]
	f := (speed - a) / (b - a)
	return of(i-1)*(1-f) + of(i)*f
}

// Typical is the share of the range's variance [-] about a speed [rpm] that the typical values of a build make.
func (s *Spread) Typical(b *machine.Build, speed float64) float64 {
	guessed := map[string]bool{}
	for i := range b.Project.Atoms {
		if a := &b.Project.Atoms[i]; a.Q.Known == quantity.Typical {
			guessed[atomKey(a)] = true
		}
	}
	typical, all := 0.0, 0.0
	for i := range s.Terms {
		t := &s.Terms[i]
		d := s.at(speed, func(k int) float64 {
			if k < len(t.Torque) {
				return t.Torque[k]
			}
			return 0
		})
		all += d * d
		if guessed[t.Key] {
			typical += d * d
		}
	}
	if all == 0 {
		return 0
	}
	return typical / all
}

// Largest are the names of the doubts that make most of the range about a speed [rpm], the largest first.
func (s *Spread) Largest(speed float64, n int) []string {
	terms := slices.Clone(s.Terms)
	size := func(t Term) float64 {
		return math.Abs(s.at(speed, func(i int) float64 {
			if i < len(t.Torque) {
				return t.Torque[i]
			}
			return 0
		}))
	}
	slices.SortStableFunc(terms, func(a, b Term) int {
		return cmp.Or(cmp.Compare(size(b), size(a)), cmp.Compare(a.Name, b.Name))
	})
	var list []string
	for _, t := range terms {
		if len(list) < n && !slices.Contains(list, t.Name) {
			list = append(list, t.Name)
		}
	}
	return list
}
