package machine

import (
	"math"
	"slices"
	"time"

	"shakedown/figure"
	"shakedown/quantity"
)

// Atom is one number that somebody wrote, with its own tolerance. Inputs are made of atoms: a base value and what
// parts add to it. Two builds that use the same atom share its error.
type Atom struct {
	Path   string
	Q      quantity.Quantity
	Origin figure.Origin
}

// Value is an input of a project or of a build.
type Value struct {
	Field *Field
	Terms []int // atoms whose sum is the number; empty for other shapes
	// Weights is how often each term counts; nil: each once. With the offset they are for numbers that
	// follow from others by a law.
	Weights []float64 // [-]
	Offset  float64   // [SI unit of the field] added to the terms
	// Over says that the number counts from that of the machine as found: an oversize.
	Over   bool
	Text   string
	Yes    bool
	Bolts  quantity.BoltCircle
	Origin figure.Origin // of the last that set it
}

// Entry is a value at its path.
type Entry struct {
	Path  string
	Value Value
}

// AddedMass is a mass that a part adds to the machine, negative for one it takes off.
type AddedMass struct {
	Mass, X, Z int // atoms; X ahead of the rear axle, Z above ground
	Unsprung   bool
	Part       string
	Origin     figure.Origin
}

// ClaimKind says what a maker's claim states.
type ClaimKind uint8

// The kinds of claim.
const (
	ClaimValue  ClaimKind = iota // the figure is Number
	ClaimFactor                  // the figure is Number times the baseline's
	ClaimGain                    // the figure is Number more than the baseline's
)

// String is the key under which the sheet gives its number.
func (k ClaimKind) String() string { return ClaimKinds[k] }

// ClaimKinds are the keys of a claim's number; a claim has one of them.
var ClaimKinds = []string{ClaimValue: "value", ClaimFactor: "factor", ClaimGain: "gain"}

// ClaimPlace says where a maker measured torque or power: what the driveline eats lies between the places.
type ClaimPlace uint8

// The places.
const (
	PlaceUnsaid ClaimPlace = iota
	AtCrank
	AtRearWheel
)

var claimPlaces = [...]string{AtCrank: "crank", AtRearWheel: "rear wheel"}

// String is the place as the sheet writes it; "" for one that is not said.
func (p ClaimPlace) String() string { return claimPlaces[p] }

// ClaimPlaces are the words for the places.
func ClaimPlaces() []string { return claimPlaces[AtCrank:] }

// ClaimPlaceNamed is the place of that word; ok is false for another word.
func ClaimPlaceNamed(word string) (place ClaimPlace, ok bool) {
	i := slices.Index(ClaimPlaces(), word)
	return AtCrank + ClaimPlace(max(0, i)), i >= 0
}

// Claim is a maker's word about a figure.
type Claim struct {
	Says   string
	Of     string // figure id
	Kind   ClaimKind
	Number float64     // [SI unit of the figure] for a value or a gain, [-] for a factor
	Text   string      // the number as typed, with its unit
	At     ClaimPlace  // of torque and power only
	With   []Reference // parts that were fitted too when the maker measured
	Origin figure.Origin
	Stated figure.Origin // of the number
	Placed figure.Origin // of where it was measured
}

// Reference is a name in a list with the place where it stands.
type Reference struct {
	Name   string
	Origin figure.Origin
}

// Part is a part or a piece of shop work on offer: a named patch over the machine.
type Part struct {
	ID       string
	Kind     string
	Name     string
	Price    int64 // minor units of the sheet's currency
	Priced   bool
	Core     int64          // minor units: deposit on an exchange part, paid back for the old one
	Lead     *quantity.Span // from order to the door
	Time     *quantity.Span // work, once all it waits for is there
	From     string
	Warranty *quantity.Span
	Sets     []Entry
	Lists    []string // lists that Sets replaces whole
	Adds     []Entry
	Masses   []AddedMass
	Removes  []Reference
	Needs    []Reference
	Excludes []Reference
	WaitsFor []Reference
	Keeps    string // what it keeps busy
	Claims   []Claim
	Origin   figure.Origin
}

// BuildList is a build as the sheet writes it: a name and parts in order.
type BuildList struct {
	Name   string
	Parts  []Reference
	Origin figure.Origin
}

// Project is what one sheet says.
type Project struct {
	File     string
	Title    string
	Currency string
	Today    time.Time // zero when the sheet leaves it to the clock
	RaceDay  time.Time // zero when there is none
	Atoms    []Atom
	Base     map[string]Value // inputs of the machine, rider, air, class and track, by path
	Typical  int              // how many of Base come from the template
	Parts    []Part
	Builds   []BuildList

	partByID map[string]int
	laws     []Law
	makes    map[string][]string // by part, the inputs that follow by a law from what it sets or adds to
}

// AddAtom keeps a number and gives its index.
func (p *Project) AddAtom(a Atom) int {
	p.Atoms = append(p.Atoms, a)
	return len(p.Atoms) - 1
}

// AddPart keeps a part. Ids are unique; the caller has seen to that.
func (p *Project) AddPart(part Part) {
	if p.partByID == nil {
		p.partByID = map[string]int{}
	}
	p.partByID[part.ID] = len(p.Parts)
	p.Parts = append(p.Parts, part)
}

// Part is the part of that id, or nil.
func (p *Project) Part(id string) *Part {
	if i, ok := p.partByID[id]; ok {
		return &p.Parts[i]
	}
	return nil
}

// BuildNames lists the builds in the order of the sheet.
func (p *Project) BuildNames() []string {
	names := make([]string, len(p.Builds))
	for i := range p.Builds {
		names[i] = p.Builds[i].Name
	}
	return names
}

// Called is what the machine is called: its name, else the sheet's title, else words for none.
func (p *Project) Called() string {
	if v, ok := p.Base["name"]; ok && v.Text != "" {
		return v.Text
	}
	if p.Title != "" {
		return p.Title
	}
	return "a machine without a name"
}

// Half is the half-width of a value that holds 95 % [SI unit of its kind].
func (p *Project) Half(v Value) float64 {
	half := 0.0
	for k, i := range v.Terms {
		half = math.Hypot(half, v.Weight(k)*p.Atoms[i].Q.Half)
	}
	return half
}

// Number is the sum of a value's atoms [SI unit of its kind].
func (p *Project) Number(v Value) float64 {
	sum := v.Offset
	for k, i := range v.Terms {
		sum += v.Weight(k) * p.Atoms[i].Q.Value
	}
	return sum
}
