package torque

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"math"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/internal/faults"
	"shakedown/machine"
)

// Spread is how sure a torque curve is: what each doubtful input and each doubtful constant of the model moves it by, at a few
// speeds.
type Spread struct {
	Speeds []float64 // [rpm]
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

// ComputeSpread finds how sure a build's torque curve is: each input that is not exact, and each doubtful constant of the model, is
// moved by half its half-width alone. Done is told how many of all are ready.
func ComputeSpread(ctx context.Context, b *machine.Build, done func(ready, total int)) (*Spread, error) {
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	base, err := breathing(in)
	if err != nil {
		return nil, err
	}
	speeds, err := speedsOfCurve(in, spreadSpeeds)
	if err != nil {
		return nil, err
	}
	spread := &Spread{Speeds: scaled(speeds, 1/RPM)}
	near, err := engine.NewNear(ctx, base, speeds)
	if err != nil {
		return nil, err
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
		return nil, err
	}
	type task struct {
		term Term
		spec func(sign float64) (engine.Breathing, error) // up for 1, down for -1
	}
	var tasks []task
	for _, i := range in.Trace.Atoms {
		a := b.Project.Atoms[i]
		if a.Q.Half <= 0 {
			continue
		}
		tasks = append(tasks, task{Term{Name: a.Path, Key: fmt.Sprintf("%s %x %x %s", a.Path, math.Float64bits(a.Q.Value), math.Float64bits(a.Q.Half), a.Origin.Part), Shared: 1}, func(sign float64) (engine.Breathing, error) {
			moved := &ranges.Inputs{Build: b, Delta: make([]float64, len(b.Project.Atoms))}
			moved.Delta[i] = sign * a.Q.Half / 2
			return breathing(moved)
		}})
	}
	doubts := engine.Doubts()
	for _, name := range slices.Sorted(maps.Keys(doubts)) {
		tasks = append(tasks, task{Term{Name: name, Key: "model " + name, Shared: 1}, func(sign float64) (engine.Breathing, error) {
			spec := base
			spec.Doubt = doubts[name].Times(sign / 2)
			return spec, nil
		}})
	}
	found, lost := make([]Term, len(tasks)), make([]bool, len(tasks))
	var mu sync.Mutex
	ready := 0
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i, t := range tasks {
		work.Go(func() error {
			return faults.Catch(func() error {
				if each.Err() != nil {
					return each.Err()
				}
				found[i] = t.term
				found[i].Torque, lost[i] = moves(straight, func(sign float64) []float64 {
					spec, err := t.spec(sign)
					if err != nil {
						return nil
					}
					list, err := torque(spec)
					if err != nil {
						return nil // what it is moved to is refused, or the context has ended
					}
					return list
				})
				mu.Lock()
				defer mu.Unlock()
				if ready++; done != nil {
					done(ready, len(tasks))
				}
				return nil
			})
		})
	}
	err = work.Wait()
	faults.Raise(err)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	for i, term := range found {
		if slices.ContainsFunc(term.Torque, func(d float64) bool { return d != 0 }) {
			spread.Terms = append(spread.Terms, term)
		}
		if name := machine.Spoken(term.Name); lost[i] && !slices.Contains(spread.Lost, name) {
			spread.Lost = append(spread.Lost, name)
		}
	}
	return spread, nil
}

// moves is what one doubt moves the torque by [Nm] at each speed, for what it is without it and for what moving it up (1) or down (-1) makes of it;
// nil, or not a number at a speed, for what cannot be computed. What cannot be computed upwards is taken from the other side, turned round; lost says
// that at some speed neither can. A speed that has no torque has no range either.
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
		switch {
		case math.IsNaN(d):
			lost = true
		case math.Abs(d) >= noise*math.Abs(at):
			list[i] = d
		}
	}
	return list, lost
}

// spreadModel changes when the way in which a spread is found does.
const spreadModel = "2"

// SpreadKey is a hash of all that a curve's spread follows from: what the curve does, and how sure each number is.
func SpreadKey(b *machine.Build) string {
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	_, _, _ = unfilled(in)
	sum := sha256.New()
	fmt.Fprintf(sum, "spread %s %s\n", spreadModel, CurveKey(b))
	for _, i := range in.Trace.Atoms {
		a := b.Project.Atoms[i]
		fmt.Fprintf(sum, "%s %x %s\n", a.Path, math.Float64bits(a.Q.Half), a.Origin.Part)
	}
	return hex.EncodeToString(sum.Sum(nil))
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

// HalfOfChange is the half-width of the difference of torque from another build's that holds 95 % [Nm] at a speed [rpm]: what
// both have in common moves both.
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
