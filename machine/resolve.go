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
	Undone   []Undone
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

// Undoing says in what way one part of a build undoes what another does.
type Undoing uint8

// The ways.
const (
	TakenOff       Undoing = iota // an input was set and is taken off after that: it is not there
	SetAgain                      // an input was taken off and is set after that: what is set counts
	NothingToAddTo                // a part adds to an input that is not there: what it adds does not count
	PartOff                       // a part that the build lists is taken off by another
	NeedOff                       // what a part needs is taken off by another
)

// Undone is what one part of a build does and another undoes.
type Undone struct {
	How   Undoing
	What  []string      // inputs, or the part
	Off   figure.Origin // what takes it off; without a part where the input was never given
	Other figure.Origin // what sets it, adds to it or needs it
}

// Broken is a resolved input that physics forbids although each entry for itself could be.
type Broken struct {
	Path   string
	Number float64 // [SI unit of the input] what the entries add up to
	Origin figure.Origin
}

// Resolve lays the parts of the build of that name over the machine, in order: each takes off what it removes, then
// sets what it sets; additions come after all of them. What a part needs and the build does not list is pulled in
// before it. The error is for an unknown build.
func (p *Project) Resolve(name string) (*Build, error) {
	i := slices.IndexFunc(p.Builds, func(b BuildList) bool { return b.Name == name })
	if i < 0 {
		return nil, fmt.Errorf("no build %q; the sheet has %s", name, strings.Join(p.BuildNames(), ", "))
	}
	return p.lay(p.Builds[i]), nil
}

// Lay lays parts over the machine as a build that no sheet has: a trial. The error is for a part that the project
// does not have.
func (p *Project) Lay(parts []Reference) (*Build, error) {
	for _, ref := range parts {
		if p.Part(ref.Name) == nil {
			return nil, fmt.Errorf("no part %q in the sheet", ref.Name)
		}
	}
	return p.lay(BuildList{Parts: parts}), nil
}

// BuildNamed is the build of a name as the sheet writes it; an empty one for a name that no build has.
func (p *Project) BuildNamed(name string) BuildList {
	for _, b := range p.Builds {
		if b.Name == name {
			return b
		}
	}
	return BuildList{}
}

// Bare is the machine without any part laid over it.
func (p *Project) Bare() *Build { return p.lay(BuildList{}) }

func (p *Project) lay(list BuildList) *Build {
	b := &Build{Name: list.Name, Project: p, Values: maps.Clone(p.Base), PulledIn: map[string]bool{}}
	b.gather(list)
	b.layInputs()
	b.countLists()
	b.findClashes()
	return b
}

// gather lists the parts in the order in which they are laid, without those that others take off. A part that is off
// takes nothing off and pulls nothing in; none takes off one that needs it.
func (b *Build) gather(list BuildList) {
	listed := map[string]bool{}
	for _, ref := range list.Parts {
		listed[ref.Name] = true
	}
	off := map[string]figure.Origin{} // parts, and what takes them off
	tried := map[[2]string]bool{}     // each takes another off once, so that this ends
	next := func() (part *Part, gone Reference, ok bool) {
		for _, part := range b.Parts {
			for _, gone := range part.Removes {
				pair := [2]string{part.ID, gone.Name}
				if b.Has(gone.Name) && part.ID != gone.Name && !tried[pair] && !b.Project.needs(gone.Name, part.ID, nil) {
					tried[pair] = true
					return part, gone, true
				}
			}
		}
		return nil, gone, false
	}
	for {
		b.walk(list, listed, off)
		part, gone, ok := next()
		if !ok {
			break
		}
		maps.DeleteFunc(off, func(_ string, by figure.Origin) bool { return by.Part == gone.Name })
		off[gone.Name] = by(gone.Origin, part)
	}
	for _, ref := range list.Parts {
		if origin, ok := off[ref.Name]; ok {
			b.Undone = append(b.Undone, Undone{PartOff, []string{ref.Name}, origin, figure.Origin{}})
		}
	}
	for _, part := range b.Parts {
		for _, need := range part.Needs {
			if origin, ok := off[need.Name]; ok {
				b.Undone = append(b.Undone, Undone{NeedOff, []string{need.Name}, origin, by(need.Origin, part)})
			}
		}
		for _, gone := range part.Removes {
			other := b.Project.Part(gone.Name)
			if other != nil && other != part && (b.Has(gone.Name) || slices.ContainsFunc(other.Removes, func(r Reference) bool { return r.Name == part.ID && listed[other.ID] })) {
				b.Clashes = append(b.Clashes, Clash{part.ID, gone.Name, gone.Origin})
			}
		}
	}
}

// by is an origin with the part it belongs to.
func by(o figure.Origin, part *Part) figure.Origin {
	o.Part = part.ID
	return o
}

// needs says that a part needs another, directly or through others.
func (p *Project) needs(id, other string, seen []string) bool {
	part := p.Part(id)
	return part != nil && !slices.Contains(seen, id) && slices.ContainsFunc(part.Needs, func(r Reference) bool {
		return r.Name == other || p.needs(r.Name, other, append(seen, id))
	})
}

// NeededBy are the ids of what a part needs, directly or through others.
func (p *Project) NeededBy(id string) []string {
	list, seen := []string{id}, map[string]bool{id: true}
	for i := 0; i < len(list); i++ {
		for _, need := range p.Part(list[i]).Needs {
			if !seen[need.Name] {
				list, seen[need.Name] = append(list, need.Name), true
			}
		}
	}
	return list[1:]
}

// Touches says that a part sets the input at a path, adds to it or takes it off, or something from which it follows.
// Masses that it adds do not count.
func (p *Project) Touches(part *Part, path string) bool {
	at := func(e Entry) bool { return e.Path == path }
	return slices.ContainsFunc(part.Sets, at) || slices.ContainsFunc(part.Adds, at) ||
		slices.Contains(p.makes[part.ID], path) || slices.ContainsFunc(part.Lists, func(list string) bool { return strings.HasPrefix(path, list+"[") }) ||
		slices.ContainsFunc(part.Removes, func(gone Reference) bool { return under(path, gone.Name) })
}

// walk lays the listed parts and what they need, without those that are off.
func (b *Build) walk(list BuildList, listed map[string]bool, off map[string]figure.Origin) {
	b.Parts, b.Missing = nil, nil
	clear(b.PulledIn)
	done := map[string]bool{}
	isOff := func(id string) bool { _, ok := off[id]; return ok }
	var lay func(id string)
	lay = func(id string) {
		if done[id] || isOff(id) {
			return
		}
		done[id] = true
		part := b.Project.Part(id)
		for _, need := range part.Needs {
			if !listed[need.Name] && !isOff(need.Name) {
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

// layer remembers, while parts are laid, which of them set an input and which took one off.
type layer struct {
	setBy map[string]figure.Origin
	off   []Reference // in order; of each the part is in its origin
}

// under says that a path is a name or stands below it.
func under(path, name string) bool {
	rest, ok := strings.CutPrefix(path, name)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// takenBy is what last took off the input at a path, and whether anything did.
func (l *layer) takenBy(path string) (figure.Origin, bool) {
	for _, gone := range slices.Backward(l.off) {
		if under(path, gone.Name) {
			return gone.Origin, true
		}
	}
	return figure.Origin{}, false
}

// layInputs takes each part in turn: what it removes comes off, then what it sets is set, so that of two parts the
// later counts. Additions come after all of them: first to what nothing else follows from, then, when the laws are
// followed, to the rest.
func (b *Build) layInputs() {
	l := &layer{setBy: map[string]figure.Origin{}}
	for _, part := range b.Parts {
		b.takeOff(l, part)
		b.supersede(l, part)
		b.set(l, part)
		b.followSets(part)
	}
	b.giveBack()
	follows := map[string]bool{}
	for _, part := range b.Parts {
		for _, entry := range part.Adds {
			follows[entry.Path] = b.follows(entry.Path)
		}
	}
	for _, part := range b.Parts {
		b.add(l, part, func(path string) bool { return !follows[path] })
	}
	b.followLaws()
	for _, part := range b.Parts {
		b.add(l, part, func(path string) bool { return follows[path] })
		b.Masses = append(b.Masses, part.Masses...)
	}
}

func (b *Build) takeOff(l *layer, part *Part) {
	for _, gone := range part.Removes {
		if b.Project.Part(gone.Name) != nil {
			continue
		}
		origin := by(gone.Origin, part)
		for _, path := range slices.Sorted(maps.Keys(l.setBy)) {
			if under(path, gone.Name) {
				b.undo(TakenOff, path, origin, l.setBy[path])
				delete(l.setBy, path)
			}
		}
		l.off = append(l.off, Reference{gone.Name, origin})
		maps.DeleteFunc(b.Values, func(path string, _ Value) bool { return under(path, gone.Name) })
	}
}

func (b *Build) set(l *layer, part *Part) {
	for _, list := range part.Lists {
		b.drop(list + "[")
	}
	for _, entry := range part.Sets {
		if first, ok := l.setBy[entry.Path]; ok {
			b.Overlaps = append(b.Overlaps, Overlap{entry.Path, first, entry.Value.Origin})
		}
		if taken, ok := l.takenBy(entry.Path); ok && taken.Part != part.ID {
			b.undo(SetAgain, entry.Path, taken, by(entry.Value.Origin, part))
		}
		l.setBy[entry.Path] = by(entry.Value.Origin, part)
		value := entry.Value
		if value.Over {
			found, ok := b.Project.Base[entry.Path]
			if !ok {
				b.undo(NothingToAddTo, entry.Path, figure.Origin{}, by(entry.Value.Origin, part))
				continue
			}
			value = found.plus(value)
			value.Origin, value.Text = entry.Value.Origin, entry.Value.Text
			if sum := b.Project.Number(value); !value.Field.Allows(sum) {
				b.Broken = append(b.Broken, Broken{entry.Path, sum, entry.Value.Origin})
			}
		}
		b.Values[entry.Path] = value
	}
}

// add puts what a part adds to what stands, of the inputs that are meant.
func (b *Build) add(l *layer, part *Part, meant func(path string) bool) {
	for _, entry := range part.Adds {
		if !meant(entry.Path) {
			continue
		}
		old, ok := b.Values[entry.Path]
		if !ok { // more than what is not known is not known either
			taken, _ := l.takenBy(entry.Path)
			b.undo(NothingToAddTo, entry.Path, taken, by(entry.Value.Origin, part))
			continue
		}
		old = old.plus(entry.Value)
		old.Origin = entry.Value.Origin
		b.Values[entry.Path] = old
		if sum := b.Project.Number(old); !old.Field.Allows(sum) {
			b.Broken = append(b.Broken, Broken{entry.Path, sum, entry.Value.Origin})
		}
	}
}

// undo notes an input that one part takes off and another sets or adds to; several of the same two are one.
func (b *Build) undo(how Undoing, path string, off, other figure.Origin) {
	for i := range b.Undone {
		if u := &b.Undone[i]; u.How == how && u.Off == off && u.Other.Part == other.Part {
			u.What = append(u.What, path)
			return
		}
	}
	b.Undone = append(b.Undone, Undone{how, []string{path}, off, other})
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

// Changed says that parts of the build set an input otherwise than it is on the machine as found.
func (b *Build) Changed(path string) bool { return !b.Values[path].Same(b.Project.Base[path]) }

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
