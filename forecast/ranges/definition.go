package ranges

import (
	"shakedown/figure"
	"shakedown/machine"
)

// Definition says what a figure is and how it is computed.
type Definition struct {
	ID, Title  string
	FourStroke bool                      // its sum holds for a four-stroke only: a two-stroke is without it
	Only       func(*machine.Build) bool // the builds that have it; nil for all
	Detail     bool                      // it stands behind a rule or another figure; tables for people leave it out
	Unit       string                    // in which people read it in metric
	Formula    string
	Source     string
	Theory     string
	Model      ModelError
	Compute    func(in *Inputs) (float64, error) // [SI unit of the figure]
}

// ModelError is how far a model may be off although all its inputs are right.
type ModelError struct {
	Share   float64 // [-] half-width that holds 95 %, of the value
	Private float64 // [-] of the value: the part that two builds do not have in common
	Note    string
	Inside  bool // it is in the range in another way than as a share of the value
}

// Basis is what a figure rests on, before it is known what was read.
func (d Definition) Basis() figure.Basis {
	return figure.Basis{Formula: d.Formula, Source: d.Source, Theory: d.Theory, ModelError: d.Model.Share, ModelInside: d.Model.Inside, ModelNote: d.Model.Note}
}

// Model errors that rooms share. Each room names those of its own models. They are set by judgement from the sources
// named, before any comparison with a whole machine, and are part of every range.
var (
	Definitional   = ModelError{Share: 0, Private: 0, Note: "follows from the definition; only the inputs are uncertain"}
	MovesReference = ModelError{Share: 0.005, Private: 0, Note: "a standard's formula, used where it holds"}
	Beam           = ModelError{Share: 0.05, Private: 0.01, Note: "beam theory, elastic to the first yield, bearings as knife edges"}
)

// Given says of a build whether the owner gives an input: nothing is asked where he does not care.
func Given(path string) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return b.Given(path) }
}

// Listed says of a build whether a list has entries.
func Listed(list string) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return b.Len(list) > 0 }
}

// Both says of a build whether two conditions hold.
func Both(one, other func(*machine.Build) bool) func(*machine.Build) bool {
	return func(b *machine.Build) bool { return one(b) && other(b) }
}

// Applies says whether a build has the figure at all.
func (d Definition) Applies(b *machine.Build) bool {
	return !(d.FourStroke && b.TwoStroke()) && (d.Only == nil || d.Only(b))
}
