package forecast

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"shakedown/figure"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
)

// coverage is the half-width that holds 95 % over the standard uncertainty.
const coverage = 2

// samples is how many points a range is sampled with where the first order is not good enough.
const samples = 512

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
				e := &evaluator{build: b, baseline: baseline, delta: make([]float64, len(b.Project.Atoms))}
				for i := int(next.Add(1)) - 1; i < len(defs); i = int(next.Add(1)) - 1 {
					figures[i] = e.figure(defs[i])
				}
				return nil
			})
		})
	}
	faults.Raise(workers.Wait())
	return figures
}

// Values are the figures of Forecast without their ranges: both ends are the value. It takes a fiftieth of the time, for where many builds are tried.
func Values(b, baseline *machine.Build) []figure.Figure {
	e := &evaluator{build: b, baseline: baseline, delta: make([]float64, len(b.Project.Atoms))}
	var figures []figure.Figure
	for _, d := range definitions(b) {
		f := figure.Figure{ID: d.id, Title: d.title, Detail: d.detail, Unit: quantity.MustUnit(d.unit), State: figure.Ready}
		value, missing, err := e.at(d, b, nil)
		if err != nil {
			f.State, f.Why, f.Missing = figure.Cannot, why(missing, err), missing
		} else if f.Value, f.Low, f.High = value, value, value; baseline != nil && d.applies(baseline) {
			if before, _, err := e.at(d, baseline, nil); err == nil {
				f.Change = &figure.Change{Value: value - before, Low: value - before, High: value - before}
			}
		}
		figures = append(figures, f)
	}
	return figures
}

// evaluator holds the workspace of one worker.
type evaluator struct {
	build, baseline *machine.Build
	delta           []float64 // [SI] of each atom; all zero between evaluations
}

// errMissing says that inputs are missing; the trace names them.
var errMissing = errors.New("inputs are missing")

// at computes a definition on a build with the present delta. Only trace is optional.
func (e *evaluator) at(d definition, b *machine.Build, t *trace) (float64, []string, error) {
	in := inputs{build: b, delta: e.delta, trace: t}
	value, err := d.compute(&in)
	switch {
	case len(in.missing) > 0:
		return 0, in.missing, errMissing
	case in.wrong != nil:
		return 0, nil, in.wrong
	case err != nil:
		return 0, nil, err
	case math.IsNaN(value) || math.IsInf(value, 0):
		return 0, nil, errors.New("the numbers lead to no finite result; look for an input that is zero or far too large")
	}
	return value, nil, nil
}

// side is one build's part in a figure: its value and what it read.
type side struct {
	build *machine.Build
	trace trace
	value float64
	slope []float64 // change of the figure for one standard uncertainty of each atom of the union
}

func (e *evaluator) figure(d definition) figure.Figure {
	f := figure.Figure{
		ID: d.id, Title: d.title, Detail: d.detail, Unit: quantity.MustUnit(d.unit), State: figure.Ready,
		Basis: figure.Basis{Formula: d.formula, Source: d.source, Theory: d.theory, ModelError: d.model.share, ModelNote: d.model.note},
	}
	now := side{build: e.build}
	value, missing, err := e.at(d, e.build, &now.trace)
	if err != nil {
		f.State = figure.Cannot
		f.Why, f.Missing = why(missing, err), missing
		f.Basis.Inputs = e.used(&now, nil)
		return f
	}
	now.value, f.End = value, now.trace.end
	sides := []*side{&now}
	if e.baseline != nil && d.applies(e.baseline) {
		before := side{build: e.baseline}
		if before.value, _, err = e.at(d, e.baseline, &before.trace); err == nil {
			sides = append(sides, &before)
		}
	}
	atoms := uncertain(e.build.Project, sides)
	f.Narrow = e.slopes(d, sides, atoms)

	f.Value = value
	all := []wanting{{now.slope, value, e.try(d, e.build)}}
	changed := len(sides) == 2 && !same(sides[0], sides[1])
	if changed {
		before := sides[1]
		difference := make([]float64, len(atoms))
		for i := range difference {
			difference[i] = now.slope[i] - before.slope[i]
		}
		all = append(all, wanting{difference, value - before.value, e.try(d, e.baseline)})
	}
	reach, sampled := e.reach(atoms, all)
	f.Basis.Sampled = sampled
	own := d.model.share * math.Abs(value)
	f.Low, f.High = value-math.Hypot(reach[0].below, own), value+math.Hypot(reach[0].above, own)
	f.Basis.Inputs = e.used(&now, shares(now.slope, atoms, own/coverage))
	switch {
	case changed:
		c := all[1].value
		own := math.Hypot(d.model.share*c, d.model.private*math.Max(math.Abs(value), math.Abs(sides[1].value)))
		f.Change = &figure.Change{Value: c, Low: c - math.Hypot(reach[1].below, own), High: c + math.Hypot(reach[1].above, own), Most: e.mostOf(atoms, all[1].slope)}
	case len(sides) == 2:
		f.Change = &figure.Change{} // both read the very same values: the difference is nothing, exactly
	}
	if !finite(f, now.slope) {
		f.Basis.Inputs = e.used(&now, nil)
		return figure.Figure{ID: f.ID, Title: f.Title, Detail: f.Detail, Unit: f.Unit, State: figure.Cannot, Basis: f.Basis,
			Why: "its range comes to no finite number; look for a tolerance that is far too wide"}
	}
	return f
}

// finite says that a figure's numbers, and what its range is made of, are.
func finite(f figure.Figure, slope []float64) bool {
	sum := f.Low + f.High + norm(slope)
	if c := f.Change; c != nil {
		sum += c.Low + c.High
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// mostOf is the path of the input that makes most of a range; "" for none.
func (e *evaluator) mostOf(atoms []int, slope []float64) string {
	path, most := "", 0.0
	for i, g := range slope {
		if math.Abs(g) > most {
			path, most = e.build.Project.Atoms[atoms[i]].Path, math.Abs(g)
		}
	}
	return path
}

// reach is how far a range goes below and above the value, without the model's own error.
type reach struct{ below, above float64 }

// wanting is what a range is wanted for. The first is the figure, the second its change; try computes the build's figure
// and the baseline's.
type wanting struct {
	slope []float64
	value float64
	try   func() (float64, bool)
}

// reach finds the ranges of a figure and of its change: by the first order where that is straight enough, else both by
// one sample with common random numbers.
func (e *evaluator) reach(atoms []int, all []wanting) (list []reach, sampled bool) {
	for i, w := range all {
		half := coverage * norm(w.slope)
		list = append(list, reach{half, half})
		sampled = sampled || !e.straight(atoms, w, all[0].try, i > 0)
	}
	if sampled {
		list = e.sample(atoms, all)
	}
	return list, sampled
}

// try gives a function that computes the definition on a build with the present delta.
func (e *evaluator) try(d definition, b *machine.Build) func() (float64, bool) {
	return func() (float64, bool) {
		value, _, err := e.at(d, b, nil)
		return value, err == nil
	}
}

// slopes fills each side's slope by central differences of one standard uncertainty. Where one step leads where
// physics forbids, the other side alone is used; where both do, the input is among the lost, in words.
func (e *evaluator) slopes(d definition, sides []*side, atoms []int) (lost []string) {
	for _, s := range sides {
		s.slope = make([]float64, len(atoms))
		try := e.try(d, s.build)
		for i, atom := range atoms {
			if !slices.Contains(s.trace.atoms, atom) {
				continue
			}
			u := e.build.Project.Atoms[atom].Q.Half / coverage
			e.delta[atom] = u
			up, okUp := try()
			e.delta[atom] = -u
			down, okDown := try()
			e.delta[atom] = 0
			switch {
			case okUp && okDown:
				s.slope[i] = (up - down) / 2
			case okUp:
				s.slope[i] = up - s.value
			case okDown:
				s.slope[i] = s.value - down
			default:
				if name := machine.Spoken(e.build.Project.Atoms[atom].Path); !slices.Contains(lost, name) {
					lost = append(lost, name)
				}
			}
		}
	}
	return lost
}

// straight says that the first order holds within a tenth of the range at the two likeliest points on its edges. For a
// change the figure itself is computed too.
func (e *evaluator) straight(atoms []int, w wanting, figure func() (float64, bool), change bool) bool {
	length := norm(w.slope)
	if length == 0 {
		return true
	}
	for _, sign := range []float64{1, -1} {
		for i, atom := range atoms {
			e.delta[atom] = sign * w.slope[i] / length * e.build.Project.Atoms[atom].Q.Half
		}
		got, ok := w.try()
		if change {
			now, okNow := figure()
			got, ok = now-got, ok && okNow
		}
		for _, atom := range atoms {
			e.delta[atom] = 0
		}
		if !ok || math.Abs(got-(w.value+sign*coverage*length)) > 0.1*2*coverage*length {
			return false
		}
	}
	return true
}

// sample finds the ranges by a stratified sample with a fixed seed, one sample for all.
func (e *evaluator) sample(atoms []int, all []wanting) []reach {
	random := rand.New(rand.NewPCG(1, uint64(len(atoms))))
	columns := make([][]int, len(atoms))
	for i := range columns {
		columns[i] = random.Perm(samples)
	}
	results := make([][]float64, len(all))
	for n := range samples {
		for i, atom := range atoms {
			e.delta[atom] = scores[columns[i][n]] * e.build.Project.Atoms[atom].Q.Half / coverage
		}
		now, ok := all[0].try()
		if !ok {
			continue
		}
		results[0] = append(results[0], now)
		if len(all) > 1 {
			if before, ok := all[1].try(); ok {
				results[1] = append(results[1], now-before)
			}
		}
	}
	for _, atom := range atoms {
		e.delta[atom] = 0
	}
	list := make([]reach, len(all))
	for i, got := range results {
		value := all[i].value
		if len(got) < samples/2 { // mostly where physics forbids: all that can be said is that nothing is sure
			list[i] = reach{math.Abs(value), math.Abs(value)}
			continue
		}
		slices.Sort(got)
		list[i] = reach{math.Max(0, value-quantile(got, tail)), math.Max(0, quantile(got, 1-tail)-value)}
	}
	return list
}

// tail is the share of a normal distribution beyond coverage standard uncertainties on one side.
var tail = distuv.UnitNormal.Survival(coverage)

// scores are the normal scores at the middles of equally likely strips.
var scores = func() (z [samples]float64) {
	for n := range z {
		z[n] = distuv.UnitNormal.Quantile((float64(n) + 0.5) / samples)
	}
	return z
}()

// quantile of a sorted sample, between the middles of its strips.
func quantile(sorted []float64, share float64) float64 {
	return stat.Quantile(share, stat.LinInterp, sorted, nil)
}

// uncertain lists the atoms with a tolerance that any side reads, in the order of the sheet.
func uncertain(p *machine.Project, sides []*side) []int {
	var atoms []int
	for _, s := range sides {
		for _, atom := range s.trace.atoms {
			if p.Atoms[atom].Q.Half > 0 && !slices.Contains(atoms, atom) {
				atoms = append(atoms, atom)
			}
		}
	}
	slices.Sort(atoms)
	return atoms
}

// shares is each atom's share of the variance, the model's own included in the sum.
func shares(slope []float64, atoms []int, own float64) map[int]float64 {
	total := own * own
	for _, g := range slope {
		total += g * g
	}
	share := make(map[int]float64, len(atoms))
	for i, atom := range atoms {
		if total > 0 {
			share[atom] = slope[i] * slope[i] / total
		}
	}
	return share
}

// used lists the inputs of a figure for its basis, those that make most of the range first.
func (e *evaluator) used(s *side, share map[int]float64) []figure.Input {
	p := s.build.Project
	list := make([]figure.Input, 0, len(s.trace.paths))
	for _, path := range s.trace.paths {
		if path == addedMasses {
			list = append(list, e.usedMasses(s, share)...)
			continue
		}
		v := s.build.Values[path]
		input := figure.Input{Path: path, Kind: v.Field.Spec.Kind, Origin: v.Origin, Text: v.Text, Word: len(v.Terms) == 0}
		for _, atom := range v.Terms {
			q := p.Atoms[atom].Q
			input.Value += q.Value
			input.Half = math.Hypot(input.Half, q.Half)
			input.Share += share[atom]
			input.Known = max(input.Known, q.Known)
		}
		if len(v.Terms) > 1 {
			input.Text = ""
		}
		list = append(list, input)
	}
	slices.SortStableFunc(list, func(a, b figure.Input) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

func sorted(list []int) []int {
	list = slices.Clone(list)
	slices.Sort(list)
	return list
}

// same says that two sides read the very same values and words.
func same(a, b *side) bool {
	return slices.Equal(sorted(a.trace.atoms), sorted(b.trace.atoms)) && slices.Equal(a.trace.paths, b.trace.paths) &&
		!slices.ContainsFunc(a.trace.paths, func(path string) bool {
			return len(a.build.Values[path].Terms) == 0 && a.build.Values[path].Text != b.build.Values[path].Text
		})
}

func norm(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

func why(missing []string, err error) string {
	if len(missing) == 0 {
		return err.Error()
	}
	texts := make([]string, len(missing))
	for i, path := range missing {
		texts[i] = "the " + machine.Spoken(path)
		if field := machine.FieldAt(path); field != nil && field.How != "" {
			texts[i] += " (" + field.How + ")"
		}
	}
	return "needs " + strings.Join(texts, "; ")
}

// addedMasses is the path under which a basis lists the masses that parts add.
const addedMasses = "mass.added"

// usedMasses lists the masses that parts add, one line each, with the share of the range that each makes.
func (e *evaluator) usedMasses(s *side, share map[int]float64) []figure.Input {
	p := s.build.Project
	list := make([]figure.Input, 0, len(s.build.Masses))
	for _, m := range s.build.Masses {
		q := p.Atoms[m.Mass].Q
		list = append(list, figure.Input{
			Path: addedMasses, Value: q.Value, Half: q.Half, Kind: q.Kind, Text: q.Text, Known: q.Known, Origin: m.Origin,
			Share: share[m.Mass] + share[m.X] + share[m.Z],
		})
	}
	return list
}
