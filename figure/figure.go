package figure

import (
	"cmp"
	"fmt"

	"shakedown/quantity"
)

// Origin is where an input was written.
type Origin struct {
	File   string
	Line   int    // from 1; 0 when the value comes from the template or from outside any file
	Column int    // from 1, in characters
	Part   string // the part that set it; empty for the machine itself
}

// String is "file:line" with the part, for people.
func (o Origin) String() string {
	if o.Line == 0 {
		return "template"
	}
	place := fmt.Sprintf("%s:%d", o.File, o.Line)
	if o.Part != "" {
		place += " (" + o.Part + ")"
	}
	return place
}

// State says whether a figure can be used.
type State string

// The states of a figure. One that takes little time never waits.
const (
	Ready   State = "ready"
	Waiting State = "waiting" // it takes long and was not computed yet; Why says what does
	Cannot  State = "cannot"  // Why says what is missing and how to get it
)

// Figure is one thing the program computed about a build.
type Figure struct {
	ID      string
	Title   string
	Unit    quantity.Unit // in which it is shown in metric; Kind gives the SI unit of the numbers below
	Value   float64       // [SI unit of Unit.Kind] all inputs at their best values
	Low     float64       // [SI unit of Unit.Kind] the range holds the figure with 95 %
	High    float64       // [SI unit of Unit.Kind]
	Change  *Change       // against the baseline; nil when it cannot be computed there, or there is none
	End     string        // where the value is cut off, in words, such as "topped out": it is not exact there however narrow its range
	State   State
	Why     string
	Missing []string // inputs that it wants and the sheet does not give
	Narrow  []string // inputs in words, or what else, that leave nothing to compute whichever way they are moved: the ranges are too narrow by what they do
	Basis   Basis
	Slow    bool // it follows from what takes long to compute
	Detail  bool // stands behind a rule or another figure; tables for people leave it out
}

// TooNarrow says in a sentence that a range leaves something out, for the Narrow of a figure or the like of it; "" for
// nothing.
func TooNarrow(lost []string) string {
	const most = 3
	if len(lost) == 0 {
		return ""
	}
	names := lost[0]
	for i, name := range lost[1:] {
		switch {
		case i+1 == most && len(lost) > most:
			return "The range is too narrow: what " + names + fmt.Sprintf(" and %d more do to it can be computed on neither side.", len(lost)-most)
		case i+2 == len(lost):
			names += " and " + name
		default:
			names += ", " + name
		}
	}
	verb := " do"
	if len(lost) == 1 {
		verb = " does"
	}
	return "The range is too narrow: what " + names + verb + " to it can be computed on neither side."
}

// Half is half the width of the range.
func (f Figure) Half() float64 { return (f.High - f.Low) / 2 }

// Before is the baseline's value; ok is false when there is none.
func (f Figure) Before() (value float64, ok bool) {
	if f.State != Ready || f.Change == nil {
		return 0, false
	}
	return f.Value - f.Change.Value, true
}

// Change is the difference from the baseline with a range of its own: what both builds share cancels.
type Change struct {
	Value float64 // [SI unit of the figure] build less baseline
	Low   float64 // [SI unit of the figure] the range holds the difference with 95 %
	High  float64 // [SI unit of the figure]
	Most  string  // path of the input that makes most of its range, or what else does; "" for neither
	End   string  // where the baseline's value is cut off, in words; "" for nowhere
}

// Inside says that the difference is inside its range: it may be nothing at all.
func (c Change) Inside() bool { return c.Low <= 0 && c.High >= 0 }

// None says that nothing the figure depends on differs between the two builds.
func (c Change) None() bool { return c.Value == 0 && c.Low == 0 && c.High == 0 }

// Basis is what a figure rests on.
type Basis struct {
	Formula     string
	Source      string
	Theory      string  // page and anchor
	ModelError  float64 // [-] half-width of the model's own error that holds 95 %, as a share of the value
	ModelNote   string  // what that error rests on
	ModelInside bool    // the model's error is in the range in another way than as a share of the value
	Sampled     bool    // the range was sampled because the first order was not good enough
	Inputs      []Input
	Doubts      []Doubt // of the models behind it, beside ModelError
}

// Doubt is something that a model is not sure of, moved like an input.
type Doubt struct {
	Name  string
	Share float64 // [-] share of the variance of the figure
}

// Input is one value that went into a figure.
type Input struct {
	Path   string
	Value  float64 // [SI unit of Kind]
	Half   float64 // [SI unit of Kind] half-width that holds 95 %
	Kind   quantity.Kind
	Text   string // as typed
	Word   bool   // it is a word or size, not a number
	Known  quantity.Known
	Origin Origin
	Share  float64 // [-] share of the variance of the figure; sums to 1 with the model's own
}

// Wanted is an input whose measurement would narrow the answer.
type Wanted struct {
	Path   string
	How    string
	Known  quantity.Known
	Half   float64       // [SI unit of Kind] half-width now
	After  float64       // [SI unit of Kind] half-width when measured with the usual means
	Kind   quantity.Kind // of the input
	Gain   float64       // [-] sum over the figures of the share of their value by which the range shrinks
	Figure string        // id of the figure that it narrows most
	From   float64       // [-] half-width of that figure as a share of its value, now
	To     float64       // [-] and when measured
}

// Severity ranks findings.
type Severity uint8

// From worst to mildest.
const (
	Conflict Severity = iota // do not build it so
	Caution
	Note
	NotComputed // a rule that could not be judged, and why
)

// String is the word of the severity.
func (s Severity) String() string {
	return [...]string{"conflict", "caution", "note", "not computed"}[s]
}

// Stake is what may be lost when a finding is not heeded.
type Stake uint8

// From worst to mildest.
const (
	Rider   Stake = iota // somebody may get hurt
	Machine              // something may break
	Money                // parts, time or a start are lost
)

// String is what is at stake, for people.
func (s Stake) String() string { return [...]string{"rider", "machine", "money and time"}[s] }

// Finding is a sentence about a build.
type Finding struct {
	Rule     string
	Severity Severity
	Stake    Stake
	Text     string   // a whole sentence with the numbers in it
	Remedy   string   // what to do, with numbers
	Basis    string   // what the rule rests on
	Where    []string // input paths and figure ids
	Wants    []string // of a rule not computed: inputs that the sheet does not give
	Why      string   // why it could not be judged, without the rule; "" for what was judged
	Origins  []Origin // places in the sheet, when the finding is about lines
	Rank     int      // place among the dangers: the smaller, the worse
	Changes  string   // of what was not judged: what a part of the build changes that it hangs on, such as "the cam"; "" for nothing
	Before   string   // of what was not judged: what must not be done before it is, such as "turn this engine over"; "" for nothing
	Measure  string   // path of the typical value within whose range it would be no conflict: measured first, it decides; "" for none
	Setting  string   // path of an input that heeds it, set otherwise at no cost; "" when it takes more
}

// Compare orders findings: worst first, then by danger, then by text.
func Compare(a, b Finding) int {
	return cmp.Or(cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Stake, b.Stake), cmp.Compare(a.Rank, b.Rank), cmp.Compare(a.Text, b.Text))
}
