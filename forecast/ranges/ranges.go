package ranges

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// Coverage is the half-width that holds 95 % over the standard uncertainty.
const Coverage = 2

// Samples is how many points a range is sampled with where the first order is not good enough.
const Samples = 512

// Evaluator holds the workspace of one worker.
type Evaluator struct {
	build, baseline *machine.Build
	Delta           []float64 // [SI] of each atom; all zero between evaluations
	Results         Results   // what was computed slowly; nil for none
}

// NewEvaluator is for a build against a baseline of the same project; nil for none. One serves one goroutine.
func NewEvaluator(b, baseline *machine.Build) *Evaluator {
	return &Evaluator{build: b, baseline: baseline, Delta: Moves(b.Project)}
}

// Quick is the figure without its range: both ends are the value. It takes a fiftieth of the time, for where many
// builds are tried.
func (e *Evaluator) Quick(d Definition) figure.Figure {
	f := figure.Figure{ID: d.ID, Title: d.Title, Detail: d.Detail, Unit: quantity.MustUnit(d.Unit), State: figure.Ready}
	var read Trace
	value, missing, err := e.At(d, e.build, &read)
	f.End = read.End
	if err != nil {
		f.State, f.Why, f.Missing = stateOf(err), Why(missing, err), missing
	} else if f.Value, f.Low, f.High = value, value, value; e.baseline != nil && d.Applies(e.baseline) {
		if before, _, err := e.At(d, e.baseline, nil); err == nil {
			f.Change = &figure.Change{Value: value - before, Low: value - before, High: value - before}
		}
	}
	return f
}

// stateOf is that of a figure that has no value.
func stateOf(err error) figure.State {
	if errors.Is(err, ErrWaiting) {
		return figure.Waiting
	}
	return figure.Cannot
}

// errMissing says that inputs are missing; the trace names them.
var errMissing = errors.New("inputs are missing")

// At computes a definition on a build with the present delta. Only trace is optional.
func (e *Evaluator) At(d Definition, b *machine.Build, t *Trace) (float64, []string, error) {
	in := Inputs{Build: b, Delta: e.Delta, Trace: t, Results: e.Results}
	value, err := d.Compute(&in)
	switch {
	case len(in.Missing) > 0:
		return 0, in.Missing, errMissing
	case in.Wrong != nil:
		return 0, nil, in.Wrong
	case err != nil:
		return 0, nil, err
	case math.IsNaN(value) || math.IsInf(value, 0):
		return 0, nil, errors.New("the numbers lead to no finite result; look for an input that is zero or far too large")
	}
	return value, nil, nil
}

// Side is one build's part in a figure: its value and what it read.
type Side struct {
	Build *machine.Build
	Trace Trace
	Value float64   // [SI unit of the figure]
	Slope []float64 // [SI unit of the figure] change of it for one standard uncertainty of each atom of the union
	bend  []float64 // [SI unit of the figure] by how much one standard uncertainty to both sides lies above the value, on average
}

// Figure computes a definition on the build with its range, and its change against the baseline. What cannot be
// computed says why.
func (e *Evaluator) Figure(d Definition) figure.Figure {
	f := figure.Figure{
		ID: d.ID, Title: d.Title, Detail: d.Detail, Unit: quantity.MustUnit(d.Unit), State: figure.Ready,
		Basis: d.Basis(),
	}
	now := Side{Build: e.build}
	value, missing, err := e.At(d, e.build, &now.Trace)
	if err != nil {
		f.State, f.Why, f.Missing = stateOf(err), Why(missing, err), missing
		f.Basis.Inputs = e.Used(&now, nil)
		return f
	}
	now.Value, f.End = value, now.Trace.End
	sides := []*Side{&now}
	if e.baseline != nil && d.Applies(e.baseline) {
		before := Side{Build: e.baseline}
		if before.Value, _, err = e.At(d, e.baseline, &before.Trace); err == nil {
			sides = append(sides, &before)
		}
	}
	atoms := Uncertain(e.build.Project, sides)
	f.Narrow = e.Slopes(d, sides, atoms)

	f.Value = value
	all := []wanting{{now.Slope, now.bend, value, e.try(d, e.build)}}
	changed := len(sides) == 2 && !Same(sides[0], sides[1])
	if changed {
		before := sides[1]
		difference, bend := make([]float64, len(atoms)), make([]float64, len(atoms))
		for i := range difference {
			difference[i], bend[i] = now.Slope[i]-before.Slope[i], now.bend[i]-before.bend[i]
		}
		all = append(all, wanting{difference, bend, value - before.Value, e.try(d, e.baseline)})
	}
	reach, sampled := e.reach(atoms, all)
	f.Basis.Sampled = sampled
	own := d.Model.Share * math.Abs(value)
	f.Low, f.High = value-math.Hypot(reach[0].Below, own), value+math.Hypot(reach[0].Above, own)
	share := shares(now.Slope, atoms, own/Coverage)
	f.Basis.Inputs, f.Basis.Doubts = e.Used(&now, share), UsedDoubts(&now, share)
	switch {
	case changed:
		c := all[1].value
		own := math.Hypot(d.Model.Share*c, d.Model.Private*math.Max(math.Abs(value), math.Abs(sides[1].Value)))
		f.Change = &figure.Change{Value: c, Low: c - math.Hypot(reach[1].Below, own), High: c + math.Hypot(reach[1].Above, own), Most: e.mostOf(atoms, all[1].slope)}
	case len(sides) == 2:
		f.Change = &figure.Change{} // both read the very same values: the difference is nothing, exactly
	}
	if len(sides) == 2 {
		f.Change.End = sides[1].Trace.End
	}
	if !finite(f, now.Slope) {
		f.Basis.Inputs = e.Used(&now, nil)
		return figure.Figure{ID: f.ID, Title: f.Title, Detail: f.Detail, Unit: f.Unit, State: figure.Cannot, Basis: f.Basis,
			Why: "its range comes to no finite number; look for a tolerance that is far too wide"}
	}
	return f
}

// finite says that a figure's numbers, and what its range is made of, are.
func finite(f figure.Figure, slope []float64) bool {
	sum := f.Low + f.High + Norm(slope)
	if c := f.Change; c != nil {
		sum += c.Low + c.High
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// mostOf is the path of the input that makes most of a range; "" for none.
func (e *Evaluator) mostOf(atoms []int, slope []float64) string {
	path, most := "", 0.0
	for i, g := range slope {
		if math.Abs(g) > most {
			path, most = AtomOf(e.build.Project, atoms[i]).Path, math.Abs(g)
		}
	}
	return path
}

// Reach is how far a range goes below and above the value, without the model's own error.
type Reach struct {
	Below, Above float64 // [unit of what it is of]
}

// wanting is what a range is wanted for. The first is the figure, the second its change; try computes the build's
// figure and the baseline's.
type wanting struct {
	slope []float64
	bend  []float64
	value float64
	try   func() (float64, bool)
}

// reach finds the ranges of a figure and of its change: by the first order where that is straight enough, else both by
// one sample with common random numbers.
func (e *Evaluator) reach(atoms []int, all []wanting) (list []Reach, sampled bool) {
	for i, w := range all {
		half := Coverage * Norm(w.slope)
		list = append(list, Reach{half, half})
		sampled = sampled || w.bent() || !e.straight(atoms, w, all[0].try, i > 0)
	}
	if sampled {
		list = e.sample(atoms, all)
	}
	return list, sampled
}

// bent says that single inputs alone bend the figure by more than a tenth of the range at its edges, across the
// steepest way up too, where straight does not look. What rounding bends counts as nothing.
func (w wanting) bent() bool {
	return Coverage*Coverage*Norm(w.bend) > 0.1*2*Coverage*Norm(w.slope)+1e-9*math.Abs(w.value)
}

// try gives a function that computes the definition on a build with the present delta.
func (e *Evaluator) try(d Definition, b *machine.Build) func() (float64, bool) {
	return func() (float64, bool) {
		value, _, err := e.At(d, b, nil)
		return value, err == nil
	}
}

// Slopes fills each side's slope by central differences of one standard uncertainty. Where one step leads where
// physics forbids, the other side alone is used; where both do, the input is among the lost, in words.
func (e *Evaluator) Slopes(d Definition, sides []*Side, atoms []int) (lost []string) {
	for _, s := range sides {
		s.Slope, s.bend = make([]float64, len(atoms)), make([]float64, len(atoms))
		try := e.try(d, s.Build)
		for i, atom := range atoms {
			if !slices.Contains(s.Trace.Atoms, atom) {
				continue
			}
			u := AtomOf(e.build.Project, atom).Q.Half / Coverage
			e.Delta[atom] = u
			up, okUp := try()
			e.Delta[atom] = -u
			down, okDown := try()
			e.Delta[atom] = 0
			switch {
			case okUp && okDown:
				s.Slope[i], s.bend[i] = (up-down)/2, (up+down)/2-s.Value
			case okUp:
				s.Slope[i] = up - s.Value
			case okDown:
				s.Slope[i] = s.Value - down
			default:
				if name := machine.Spoken(AtomOf(e.build.Project, atom).Path); !slices.Contains(lost, name) {
					lost = append(lost, name)
				}
			}
		}
	}
	return lost
}

// straight says that the first order holds within a tenth of the range at the two likeliest points on its edges. For a
// change the figure itself is computed too.
func (e *Evaluator) straight(atoms []int, w wanting, figure func() (float64, bool), change bool) bool {
	length := Norm(w.slope)
	if length == 0 {
		return true
	}
	for _, sign := range []float64{1, -1} {
		for i, atom := range atoms {
			e.Delta[atom] = sign * w.slope[i] / length * AtomOf(e.build.Project, atom).Q.Half
		}
		got, ok := w.try()
		if change {
			now, okNow := figure()
			got, ok = now-got, ok && okNow
		}
		for _, atom := range atoms {
			e.Delta[atom] = 0
		}
		if !ok || math.Abs(got-(w.value+sign*Coverage*length)) > 0.1*2*Coverage*length {
			return false
		}
	}
	return true
}

// sample finds the ranges by a stratified sample with a fixed seed, one sample for all.
func (e *Evaluator) sample(atoms []int, all []wanting) []Reach {
	random := rand.New(rand.NewPCG(1, uint64(len(atoms))))
	columns := make([][]int, len(atoms))
	for i := range columns {
		columns[i] = random.Perm(Samples)
	}
	results := make([][]float64, len(all))
	for n := range Samples {
		for i, atom := range atoms {
			e.Delta[atom] = scores[columns[i][n]] * AtomOf(e.build.Project, atom).Q.Half / Coverage
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
		e.Delta[atom] = 0
	}
	list := make([]Reach, len(all))
	for i, got := range results {
		value := all[i].value
		if len(got) < Samples/2 { // mostly where physics forbids: all that can be said is that nothing is sure
			list[i] = Reach{math.Abs(value), math.Abs(value)}
			continue
		}
		slices.Sort(got)
		list[i] = Reach{math.Max(0, value-quantile(got, tail)), math.Max(0, quantile(got, 1-tail)-value)}
	}
	return list
}

// tail is the share of a normal distribution beyond coverage standard uncertainties on one side.
var tail = distuv.UnitNormal.Survival(Coverage)

// scores are the normal scores at the middles of equally likely strips.
var scores = func() (z [Samples]float64) {
	for n := range z {
		z[n] = distuv.UnitNormal.Quantile((float64(n) + 0.5) / Samples)
	}
	return z
}()

// quantile of a sorted sample, straight between the middles of its strips. The library's own stand half a strip off.
func quantile(sorted []float64, share float64) float64 {
	at := math.Max(0, math.Min(float64(len(sorted)-1), share*float64(len(sorted))-0.5))
	k := min(int(at), len(sorted)-2)
	if k < 0 {
		return sorted[0]
	}
	return sorted[k] + (at-float64(k))*(sorted[k+1]-sorted[k])
}

// Uncertain lists the atoms with a tolerance that any side reads, in the order of the sheet.
func Uncertain(p *machine.Project, sides []*Side) []int {
	var atoms []int
	for _, s := range sides {
		for _, atom := range s.Trace.Atoms {
			if AtomOf(p, atom).Q.Half > 0 && !slices.Contains(atoms, atom) {
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

// Used lists the inputs of a figure for its basis, those that make most of the range first.
func (e *Evaluator) Used(s *Side, share map[int]float64) []figure.Input {
	p := s.Build.Project
	list := make([]figure.Input, 0, len(s.Trace.Paths))
	for _, path := range s.Trace.Paths {
		if path == AddedMasses {
			list = append(list, e.usedMasses(s, share)...)
			continue
		}
		v := s.Build.Values[path]
		input := figure.Input{Path: path, Kind: v.Field.Spec.Kind, Origin: v.Origin, Text: v.Text, Word: len(v.Terms) == 0}
		input.Value, input.Half = p.Number(v), p.Half(v)
		for _, atom := range v.Terms {
			input.Share += share[atom]
			input.Known = max(input.Known, p.Atoms[atom].Q.Known)
		}
		if len(v.Terms) > 1 || v.Weights != nil {
			input.Text = ""
		}
		list = append(list, input)
	}
	slices.SortStableFunc(list, func(a, b figure.Input) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

// UsedDoubts lists the doubts of models in a figure, those that make most of the range first.
func UsedDoubts(s *Side, share map[int]float64) []figure.Doubt {
	var list []figure.Doubt
	for _, d := range s.Trace.doubts {
		list = append(list, figure.Doubt{Name: d.String(), Share: share[d.Atom(s.Build.Project)]})
	}
	slices.SortStableFunc(list, func(a, b figure.Doubt) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

func sorted(list []int) []int {
	list = slices.Clone(list)
	slices.Sort(list)
	return list
}

// Same says that two sides read the very same values and words.
func Same(a, b *Side) bool {
	return a.Value == b.Value && slices.Equal(sorted(a.Trace.Atoms), sorted(b.Trace.Atoms)) && slices.Equal(a.Trace.Paths, b.Trace.Paths) &&
		!slices.ContainsFunc(a.Trace.Paths, func(path string) bool {
			return len(a.Build.Values[path].Terms) == 0 && a.Build.Values[path].Text != b.Build.Values[path].Text
		})
}

// Norm is the root of the sum of squares.
func Norm(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// Why says what a figure needs, in words with how to get it, or gives the error.
func Why(missing []string, err error) string {
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

// AddedMasses is the path under which a basis lists the masses that parts add.
const AddedMasses = "mass.added"

// usedMasses lists the masses that parts add, one line each, with the share of the range that each makes.
func (e *Evaluator) usedMasses(s *Side, share map[int]float64) []figure.Input {
	p := s.Build.Project
	list := make([]figure.Input, 0, len(s.Build.Masses))
	for _, m := range s.Build.Masses {
		q := p.Atoms[m.Mass].Q
		list = append(list, figure.Input{
			Path: AddedMasses, Value: q.Value, Half: q.Half, Kind: q.Kind, Text: q.Text, Known: q.Known, Origin: m.Origin,
			Share: share[m.Mass] + share[m.X] + share[m.Z],
		})
	}
	return list
}
