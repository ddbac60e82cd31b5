package forecast

import (
	"slices"
	"strconv"

	"shakedown/machine"
)

// inputs is how a figure reads a build: numbers moved by delta, and a note of everything read.
type inputs struct {
	build *machine.Build
	delta []float64 // [SI] added to each atom; nil for none
	trace *trace    // nil when only the number is wanted
	// missing are inputs that were read and are not there; a figure with any cannot be computed.
	missing []string
	// assumed says for what of the machine a usual one stands in, because its inputs are missing; only the lap does so.
	assumed []string
	// wrong is why what was read cannot be used: a figure with it cannot be computed. It is for what many figures stand on; others give their error.
	wrong error
	// kept is what an adapter found once for all that is read; delta must not move what it follows from after that.
	kept any
}

// fail notes why what was read cannot be used; the first is kept.
func (in *inputs) fail(err error) {
	if in.wrong == nil {
		in.wrong = err
	}
}

// apart reads as in does, with what is missing noted apart.
func (in *inputs) apart() *inputs { return &inputs{build: in.build, delta: in.delta, trace: in.trace} }

// assume notes that a usual one stands in for something.
func (in *inputs) assume(what string) {
	if !slices.Contains(in.assumed, what) {
		in.assumed = append(in.assumed, what)
	}
}

// trace is what a figure read, in the order of reading.
type trace struct {
	paths []string
	atoms []int
	end   string // where the figure is cut off; "" for nowhere
}

func (t *trace) note(path string, atoms []int) {
	if !slices.Contains(t.paths, path) {
		t.paths = append(t.paths, path)
	}
	t.add(atoms)
}

// add notes atoms of an input that the build itself no longer has.
func (t *trace) add(atoms []int) {
	for _, atom := range atoms {
		if !slices.Contains(t.atoms, atom) {
			t.atoms = append(t.atoms, atom)
		}
	}
}

// atom is the value of one atom as moved [SI].
func (in *inputs) atom(i int) float64 {
	value := in.build.Project.Atoms[i].Q.Value
	if in.delta != nil {
		value += in.delta[i]
	}
	return value
}

// num is the number at a path [SI]; 0 and a note when it is missing.
func (in *inputs) num(path string) float64 {
	v, ok := in.build.Values[path]
	if !ok {
		in.miss(path)
		return 0
	}
	if in.trace != nil {
		in.trace.note(path, v.Terms)
	}
	sum := 0.0
	for _, i := range v.Terms {
		sum += in.atom(i)
	}
	return sum
}

// found is the number of the machine as found at a path [SI], and whether it has one.
func (in *inputs) found(path string) (float64, bool) {
	v, ok := in.build.Project.Base[path]
	if !ok {
		return 0, false
	}
	switch {
	case in.trace != nil && in.has(path):
		in.trace.note(path, v.Terms)
	case in.trace != nil:
		in.trace.add(v.Terms)
	}
	sum := 0.0
	for _, i := range v.Terms {
		sum += in.atom(i)
	}
	return sum, true
}

func (in *inputs) miss(path string) {
	if machine.FieldAt(path) == nil {
		panic("forecast: no input " + path)
	}
	if !slices.Contains(in.missing, path) {
		in.missing = append(in.missing, path)
	}
}

// count is a whole number at a path.
func (in *inputs) count(path string) int { return int(in.num(path)) }

// text is the word at a path; "" and a note when it is missing.
func (in *inputs) text(path string) string {
	v, ok := in.build.Values[path]
	if !ok {
		in.miss(path)
		return ""
	}
	if in.trace != nil {
		in.trace.note(path, nil)
	}
	return v.Text
}

// has says that an optional input is given.
func (in *inputs) has(path string) bool { return in.build.Given(path) }

// entry is the path of the i-th entry of a list.
func entry(list string, i int, name string) string {
	if name == "" {
		return list + "[" + strconv.Itoa(i) + "]"
	}
	return list + "[" + strconv.Itoa(i) + "]." + name
}

// reset says that parts change an input of the machine as found.
func (in *inputs) reset(path string) bool {
	return !slices.Equal(in.build.Values[path].Terms, in.build.Project.Base[path].Terms)
}

// forget takes inputs that a worksheet computes off the list of what it read or misses.
func (in *inputs) forget(paths ...string) {
	in.missing = slices.DeleteFunc(in.missing, func(path string) bool { return slices.Contains(paths, path) })
}
