package ranges

import (
	"slices"

	"shakedown/machine"
	"shakedown/quantity"
)

// Doubts of models are moved like the numbers that somebody wrote: each is an atom of its own behind those of the
// project, of value 0 and a half-width of Coverage, so that one standard uncertainty of it is 1. All builds share them.

// doubts are the names of all doubts. Rooms name theirs when the program starts, and nothing is added later.
var doubts []string

// NewDoubt names a doubt of a model, in the words in which people read it, and gives its place among all. It is for
// variables of a room: a name that exists already is the same doubt.
func NewDoubt(name string) Doubt {
	if i := slices.Index(doubts, name); i >= 0 {
		return Doubt(i)
	}
	doubts = append(doubts, name)
	return Doubt(len(doubts) - 1)
}

// Doubt is one doubt of a model.
type Doubt int

// String is its name.
func (d Doubt) String() string { return doubts[d] }

// Atom is its index among the atoms of a project.
func (d Doubt) Atom(p *machine.Project) int { return len(p.Atoms) + int(d) }

// AtomOf is the atom of a project at an index, those of the doubts behind its own.
func AtomOf(p *machine.Project, i int) machine.Atom {
	if i < len(p.Atoms) {
		return p.Atoms[i]
	}
	return machine.Atom{Path: doubts[i-len(p.Atoms)], Q: quantity.Quantity{Half: Coverage, Kind: quantity.Ratio, Known: quantity.Estimated}}
}

// Moves is what a project's atoms can be moved by, and the doubts: all zero.
func Moves(p *machine.Project) []float64 { return make([]float64, len(p.Atoms)+len(doubts)) }

// Doubt is by how many standard uncertainties a doubt is moved [-], noted as read.
func (in *Inputs) Doubt(d Doubt) float64 {
	i := d.Atom(in.Build.Project)
	if in.Trace != nil {
		in.Trace.add([]int{i})
		if !slices.Contains(in.Trace.doubts, d) {
			in.Trace.doubts = append(in.Trace.doubts, d)
		}
	}
	return in.moved(i)
}

// Move is by how many standard uncertainties an atom is moved [-], noted as read; 0 for an exact one.
func (in *Inputs) Move(i int) float64 {
	half := AtomOf(in.Build.Project, i).Q.Half
	if in.Trace != nil {
		in.Trace.add([]int{i})
	}
	if half == 0 {
		return 0
	}
	return in.moved(i) * Coverage / half
}

func (in *Inputs) moved(i int) float64 {
	if i >= len(in.Delta) {
		return 0
	}
	return in.Delta[i]
}
