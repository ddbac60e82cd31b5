package machine

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"shakedown/figure"
)

// Build is a machine with the parts of one build laid over it.
type Build struct {
	Name     string
	Project  *Project
	Values   map[string]Value
	Masses   []AddedMass
	Parts    []*Part // in the order they were laid, needs before what needs them
	PulledIn map[string]bool
	Overlaps []Overlap
	Missing  []Missing
	Clashes  []Clash
	Broken   []Broken
	lengths  map[string]int // of lists
}

// Overlap is an input that two parts of one build set; the later wins.
type Overlap struct {
	Path          string
	First, Second figure.Origin
}

// Missing is a need that the build does not list: the part is pulled in.
type Missing struct {
	Part   string // that needs it
	Needs  string
	Origin figure.Origin
}

// Clash is a pair of parts of which one excludes the other.
type Clash struct {
	Part, Excludes string
	Origin         figure.Origin
}

// Broken is a resolved input that physics forbids although each entry for itself could be.
type Broken struct {
	Path   string
	Number float64 // [SI unit of the input] what the entries add up to
	Origin figure.Origin
}

// Resolve lays the parts of the build of that name over the machine: sets in order, then adds, then removals.
// What a part needs and the build does not list is pulled in before it. The error is for an unknown build.
func (p *Project) Resolve(name string) (*Build, error) {
	i := slices.IndexFunc(p.Builds, func(b BuildList) bool { return b.Name == name })
	if i < 0 {
		return nil, fmt.Errorf("no build %q; the sheet has %s", name, strings.Join(p.BuildNames(), ", "))
	}
	return p.lay(p.Builds[i]), nil
}

// Bare is the machine without any part laid over it.
func (p *Project) Bare() *Build { return p.lay(BuildList{}) }

func (p *Project) lay(list BuildList) *Build {
	b := &Build{Name: list.Name, Project: p, Values: maps.Clone(p.Base), PulledIn: map[string]bool{}}
	b.gather(list)
	b.laySets()
	b.layAdds()
	b.removeInputs()
	b.countLists()
	b.findClashes()
	return b
}

// gather lists the parts in the order in which they are laid.
func (b *Build) gather(list BuildList) {
	listed, removed, done := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, ref := range list.Parts {
		listed[ref.Name] = true
		for _, gone := range b.Project.Part(ref.Name).Removes {
			removed[gone.Name] = true
		}
	}
	var lay func(id string)
	lay = func(id string) {
		if done[id] || removed[id] {
			return
		}
		done[id] = true
		part := b.Project.Part(id)
		for _, need := range part.Needs {
			if !listed[need.Name] && !removed[need.Name] {
				if !done[need.Name] {
					b.PulledIn[need.Name] = true
				}
				b.Missing = append(b.Missing, Missing{id, need.Name, need.Origin})
				lay(need.Name)
			}
		}
		b.Parts = append(b.Parts, part)
	}
	for _, ref := range list.Parts {
		lay(ref.Name)
	}
}

func (b *Build) laySets() {
	setBy := map[string]figure.Origin{}
	for _, part := range b.Parts {
		for _, list := range part.Lists {
			b.drop(list + "[")
		}
		for _, entry := range part.Sets {
			if first, ok := setBy[entry.Path]; ok {
				b.Overlaps = append(b.Overlaps, Overlap{entry.Path, first, entry.Value.Origin})
			}
			setBy[entry.Path] = entry.Value.Origin
			b.Values[entry.Path] = entry.Value
		}
	}
}

func (b *Build) layAdds() {
	for _, part := range b.Parts {
		for _, entry := range part.Adds {
			old, ok := b.Values[entry.Path]
			if !ok {
				b.Values[entry.Path] = entry.Value
				continue
			}
			old.Terms = slices.Concat(old.Terms, entry.Value.Terms)
			old.Origin = entry.Value.Origin
			b.Values[entry.Path] = old
			if sum := b.Project.Number(old); !old.Field.Allows(sum) {
				b.Broken = append(b.Broken, Broken{entry.Path, sum, entry.Value.Origin})
			}
		}
		b.Masses = append(b.Masses, part.Masses...)
	}
}

// removeInputs takes off the inputs that parts name; parts that others remove were never laid.
func (b *Build) removeInputs() {
	for _, part := range b.Parts {
		for _, gone := range part.Removes {
			if b.Project.Part(gone.Name) == nil {
				delete(b.Values, gone.Name)
				b.drop(gone.Name + ".")
				b.drop(gone.Name + "[")
			}
		}
	}
}

func (b *Build) drop(prefix string) {
	for path := range b.Values {
		if strings.HasPrefix(path, prefix) {
			delete(b.Values, path)
		}
	}
}

func (b *Build) findClashes() {
	for _, part := range b.Parts {
		for _, other := range part.Excludes {
			if b.Has(other.Name) {
				b.Clashes = append(b.Clashes, Clash{part.ID, other.Name, other.Origin})
			}
		}
	}
}

// Has says that the part is laid in this build.
func (b *Build) Has(id string) bool {
	return slices.ContainsFunc(b.Parts, func(p *Part) bool { return p.ID == id })
}

// Text is the word, choice or size at a path; "" when it is not there.
func (b *Build) Text(path string) string { return b.Values[path].Text }

// Given says that there is a value at the path.
func (b *Build) Given(path string) bool { _, ok := b.Values[path]; return ok }

// Len is the number of entries of a list; 0 for one that is not given.
func (b *Build) Len(list string) int { return b.lengths[list] }

// countLists notes the length of each list, by the paths that stand under it.
func (b *Build) countLists() {
	b.lengths = map[string]int{}
	for path := range b.Values {
		list, rest, ok := strings.Cut(path, "[")
		if !ok {
			continue
		}
		index, _, _ := strings.Cut(rest, "]")
		if n, err := strconv.Atoi(index); err == nil {
			b.lengths[list] = max(b.lengths[list], n+1)
		}
	}
}

// Allows says whether physics allows the number [SI unit of the field].
func (f *Field) Allows(number float64) bool {
	switch f.Bound {
	case Positive:
		return number > 0
	case NotNegative:
		return number >= 0
	case Share:
		return number >= 0 && number <= 1
	}
	return true
}

// Allowed says in words what physics allows.
func (f *Field) Allowed() string {
	switch f.Bound {
	case Positive:
		return "above zero"
	case NotNegative:
		return "zero or more"
	case Share:
		return "from 0 to 1"
	}
	return "any number"
}
