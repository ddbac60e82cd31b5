package ranges

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"sync"

	"shakedown/machine"
)

// Inputs is how a figure reads a build: numbers moved by delta, and a note of everything read.
type Inputs struct {
	Build *machine.Build
	Delta []float64 // [SI] added to each atom; nil for none
	Trace *Trace    // nil when only the number is wanted
	// missing are inputs that were read and are not there; a figure with any cannot be computed.
	Missing []string
	// assumed says for what of the machine a usual one stands in, because its inputs are missing; only the lap does so.
	Assumed []string
	// wrong is why what was read cannot be used: a figure with it cannot be computed. It is for what many figures stand
	// on; others give their error.
	Wrong error
	// Results are what was computed slowly; nil for none.
	Results Results
	// kept is what an adapter found once for all that is read; delta must not move what it follows from after that.
	Kept any
}

// Results gives what takes long of a build, by its name. The error says why there is none; ErrWaiting when it was not
// computed yet.
type Results interface {
	Of(b *machine.Build, name string) (any, error)
}

// ErrWaiting says that something takes long and was not computed yet.
var ErrWaiting = errors.New("it takes seconds and was not computed yet")

// Result is what was computed slowly of the build.
func (in *Inputs) Result(name string) (any, error) {
	if in.Results == nil {
		return nil, ErrWaiting
	}
	return in.Results.Of(in.Build, name)
}

// Fail notes why what was read cannot be used; the first is kept.
func (in *Inputs) Fail(err error) {
	if in.Wrong == nil {
		in.Wrong = err
	}
}

// Apart reads as in does, with what is missing noted apart.
func (in *Inputs) Apart() *Inputs {
	return &Inputs{Build: in.Build, Delta: in.Delta, Trace: in.Trace, Results: in.Results}
}

// Assume notes that a usual one stands in for something.
func (in *Inputs) Assume(what string) {
	if !slices.Contains(in.Assumed, what) {
		in.Assumed = append(in.Assumed, what)
	}
}

// Trace is what a figure read, in the order of reading.
type Trace struct {
	Paths []string
	Atoms []int
	End   string // where the figure is cut off; "" for nowhere

	doubts []Doubt
}

// Note adds an input and its atoms to what was read, once.
func (t *Trace) Note(path string, atoms []int) {
	if !slices.Contains(t.Paths, path) {
		t.Paths = append(t.Paths, path)
	}
	t.add(atoms)
}

// add notes atoms of an input that the build itself no longer has.
func (t *Trace) add(atoms []int) {
	for _, atom := range atoms {
		if !slices.Contains(t.Atoms, atom) {
			t.Atoms = append(t.Atoms, atom)
		}
	}
}

// Atom is the value of one atom as moved [SI].
func (in *Inputs) Atom(i int) float64 {
	value := in.Build.Project.Atoms[i].Q.Value
	if in.Delta != nil {
		value += in.Delta[i]
	}
	return value
}

// Num is the number at a path [SI]; 0 and a note when it is missing.
func (in *Inputs) Num(path string) float64 {
	v, ok := in.Build.Values[path]
	if !ok {
		in.Miss(path)
		return 0
	}
	if in.Trace != nil {
		in.Trace.Note(path, v.Terms)
	}
	return in.sum(v)
}

// sum is the number of a value as moved [SI].
func (in *Inputs) sum(v machine.Value) float64 {
	sum := v.Offset
	for k, i := range v.Terms {
		sum += v.Weight(k) * in.Atom(i)
	}
	return sum
}

// Found is the number of the machine as found at a path [SI], and whether it has one.
func (in *Inputs) Found(path string) (float64, bool) {
	v, ok := in.Build.Project.Base[path]
	if !ok {
		return 0, false
	}
	switch {
	case in.Trace != nil && in.Has(path):
		in.Trace.Note(path, v.Terms)
	case in.Trace != nil:
		in.Trace.add(v.Terms)
	}
	return in.sum(v), true
}

// Miss notes an input that is read and not there; a path that is no input is a mistake of the program.
func (in *Inputs) Miss(path string) {
	if machine.FieldAt(path) == nil {
		panic("forecast: no input " + path)
	}
	if !slices.Contains(in.Missing, path) {
		in.Missing = append(in.Missing, path)
	}
}

// Count is a whole number at a path.
func (in *Inputs) Count(path string) int { return int(in.Num(path)) }

// Text is the word at a path; "" and a note when it is missing.
func (in *Inputs) Text(path string) string {
	v, ok := in.Build.Values[path]
	if !ok {
		in.Miss(path)
		return ""
	}
	if in.Trace != nil {
		in.Trace.Note(path, nil)
	}
	return v.Text
}

// Yes says that a yes-or-no input is there and says yes.
func (in *Inputs) Yes(path string) bool {
	v, ok := in.Build.Values[path]
	if ok && in.Trace != nil {
		in.Trace.Note(path, nil)
	}
	return v.Yes
}

// Has says that an optional input is given.
func (in *Inputs) Has(path string) bool { return in.Build.Given(path) }

// Entry is the path of the i-th entry of a list.
func Entry(list string, i int, name string) string {
	if name == "" {
		return list + "[" + strconv.Itoa(i) + "]"
	}
	return list + "[" + strconv.Itoa(i) + "]." + name
}

// Forget takes inputs that a worksheet computes off the list of what it read or misses.
func (in *Inputs) Forget(paths ...string) {
	in.Missing = slices.DeleteFunc(in.Missing, func(path string) bool { return slices.Contains(paths, path) })
}

// filled are the paths that were made: there are some hundred, and ranges ask for each thousands of times.
var filled sync.Map // of blank to string

// blank is a format with a word for its %s.
type blank struct{ format, word string }

// Filled puts a word in place of the %s of a format.
func Filled(format, word string) string {
	if path, ok := filled.Load(blank{format, word}); ok {
		return path.(string)
	}
	before, after, _ := strings.Cut(format, "%s")
	path := before + word + after
	filled.Store(blank{format, word}, path)
	return path
}
