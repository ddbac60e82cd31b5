package machine

import (
	"maps"
	"math"
	"slices"
)

// Law says how inputs follow from others that say the same in another way: the events of a cam from its duration and
// its centre. What a part sets of the one kind replaces what stood there of the other. This room solves nothing: a
// room that knows the physics gives the sums.
type Law struct {
	Gives  []string // inputs that follow
	From   []string // inputs that speak for them
	Beside []string // inputs that the sum reads too
	// Last says that an input is made of what stands there itself: it is followed once, when all parts are laid.
	Last bool
	// Sum is what the inputs come to [SI], in the order of Gives; NaN leaves one as it stands, as where it is given
	// itself.
	Sum func(in Reading) []float64
	// Back is what the inputs of From come to [SI] where only those of Gives are there, in their order, so that a part
	// can add to them; NaN for what does not follow. Nil for none.
	Back func(in Reading) []float64
}

// Reading is how a law reads a build that is being laid.
type Reading struct {
	Number func(path string) (number float64, ok bool) // [SI] as it stands
	Found  func(path string) (number float64, ok bool) // [SI] of the machine as found
	Given  func(path string) bool                      // what is said of the input counts now
	Text   func(path string) string
	Yes    func(path string) bool
}

// Weight is how often the k-th term counts.
func (v Value) Weight(k int) float64 {
	if v.Weights == nil {
		return 1
	}
	return v.Weights[k]
}

// Same says that two values are the same number, word or pattern.
func (v Value) Same(other Value) bool {
	return slices.Equal(v.Terms, other.Terms) && slices.Equal(v.Weights, other.Weights) && v.Offset == other.Offset &&
		v.Text == other.Text && v.Yes == other.Yes && v.Bolts == other.Bolts
}

// plus is a value with another's terms behind its own.
func (v Value) plus(other Value) Value {
	if v.Weights != nil || other.Weights != nil {
		weights := make([]float64, 0, len(v.Terms)+len(other.Terms))
		for k := range v.Terms {
			weights = append(weights, v.Weight(k))
		}
		for k := range other.Terms {
			weights = append(weights, other.Weight(k))
		}
		v.Weights = weights
	}
	v.Terms = slices.Concat(v.Terms, other.Terms)
	v.Offset += other.Offset
	return v
}

// SetLaws gives the project the laws that its inputs follow. The machine as found follows them at once, but for those
// that are followed last.
func (p *Project) SetLaws(laws []Law) {
	p.laws, p.makes = laws, map[string][]string{}
	speaks := func(law Law) bool {
		return slices.ContainsFunc(law.From, func(path string) bool { _, ok := p.Base[path]; return ok }) ||
			slices.ContainsFunc(p.Parts, func(part Part) bool { return part.setsAny(law.From) })
	}
	for i := range p.Parts {
		part := &p.Parts[i]
		for _, law := range laws {
			if !speaks(law) {
				continue
			}
			if part.setsAny(law.From) || part.setsAny(law.Beside) {
				p.makes[part.ID] = append(p.makes[part.ID], law.Gives...)
			}
		}
	}
	given := func(path string) bool { return p.Base[path].Origin.Line > 0 }
	for i := range laws {
		law := &laws[i]
		if law.Last || !slices.ContainsFunc(law.From, given) {
			continue
		}
		both := slices.ContainsFunc(law.Gives, given)
		for path, v := range p.follow(law.Gives, law.Sum, p.Base, given, law.From) {
			if old, ok := p.Base[path]; ok && old.Origin.Line == 0 {
				p.Typical--
			}
			p.Base[path] = v
		}
		if both {
			for _, path := range law.From {
				delete(p.Base, path)
			}
		}
	}
}

// setsAny says that the part sets one of the inputs, or adds to it.
func (p *Part) setsAny(paths []string) bool {
	in := func(e Entry) bool { return slices.Contains(paths, e.Path) }
	return slices.ContainsFunc(p.Sets, in) || slices.ContainsFunc(p.Adds, in)
}

// follow is what the inputs come to by a sum: each as a straight line through the numbers that somebody wrote, so that
// what is uncertain of one of them is so of all that follows from it. The lines touch the sum where it stands; of the
// laws here most are straight.
func (p *Project) follow(gives []string, sum func(Reading) []float64, values map[string]Value, given func(string) bool, from []string) map[string]Value {
	var atoms []int
	moved, by := -1, 0.0
	number := func(values map[string]Value) func(string) (float64, bool) {
		return func(path string) (float64, bool) {
			v, ok := values[path]
			if !ok || len(v.Terms) == 0 {
				return 0, false
			}
			total := v.Offset
			for k, i := range v.Terms {
				if moved < 0 && !slices.Contains(atoms, i) {
					atoms = append(atoms, i)
				}
				number := p.Atoms[i].Q.Value
				if i == moved {
					number += by
				}
				total += v.Weight(k) * number
			}
			return total, true
		}
	}
	in := Reading{
		Number: number(values), Found: number(p.Base), Given: given,
		Text: func(path string) string { return values[path].Text },
		Yes:  func(path string) bool { return values[path].Yes },
	}
	at := sum(in)
	lines := make([]Value, len(gives))
	for k, path := range gives {
		lines[k] = Value{Field: FieldAt(path), Offset: at[k]}
		for _, name := range from {
			if v, ok := values[name]; ok && given(name) {
				lines[k].Origin = v.Origin
			}
		}
	}
	const step = 1e-6 // of a number, for its slope
	for _, i := range atoms {
		q := p.Atoms[i].Q
		if moved, by = i, step*math.Max(math.Abs(q.Value), q.Half); by == 0 {
			continue
		}
		up := sum(in)
		by = -by
		down := sum(in)
		for k := range lines {
			if slope := (up[k] - down[k]) / (-2 * by); slope != 0 && !math.IsNaN(slope) {
				lines[k].Terms, lines[k].Weights = append(lines[k].Terms, i), append(lines[k].Weights, slope)
				lines[k].Offset -= slope * q.Value
			}
		}
	}
	found := map[string]Value{}
	for k, path := range gives {
		if !math.IsNaN(at[k]) && len(lines[k].Terms) > 0 {
			found[path] = lines[k]
		}
	}
	return found
}

// supersede makes room for what a part sets: what the laws gave before it is settled, so that the inputs from which it
// came no longer speak. It notes where a part says in another way what an earlier one has set.
func (b *Build) supersede(l *layer, part *Part) {
	for i := range b.Project.laws {
		law := &b.Project.laws[i]
		from := part.setsOf(law.From)
		gives := part.setsOf(law.Gives)
		b.overlap(l, part, gives, law.From)
		b.overlap(l, part, from, law.Gives)
		if len(gives)+len(from) > 0 && !(law.Last && len(from) > 0) {
			b.settle(law)
		}
	}
}

// speaks says of the inputs from which a law's come that they are there.
func (b *Build) speaks(law *Law) func(path string) bool {
	return func(path string) bool { return slices.Contains(law.From, path) && b.Given(path) }
}

// settle follows a law as things stand, and takes away that from which its inputs came.
func (b *Build) settle(law *Law) {
	b.followed(law, b.speaks(law))
	for _, path := range law.From {
		delete(b.Values, path)
	}
}

// setsOf are the entries by which the part sets some of the inputs.
func (p *Part) setsOf(paths []string) (list []Entry) {
	for _, e := range p.Sets {
		if slices.Contains(paths, e.Path) {
			list = append(list, e)
		}
	}
	return list
}

// overlap notes entries that say again, in another way, what an earlier part set.
func (b *Build) overlap(l *layer, part *Part, entries []Entry, others []string) {
	for _, e := range entries {
		for _, path := range others {
			if first, ok := l.setBy[path]; ok && first.Part != part.ID {
				b.Overlaps = append(b.Overlaps, Overlap{e.Path, first, by(e.Value.Origin, part)})
				break
			}
		}
	}
}

// followSets follows the laws of which a part sets both what speaks and what follows: what it says counts together,
// and is settled.
func (b *Build) followSets(part *Part) {
	for i := range b.Project.laws {
		law := &b.Project.laws[i]
		if !law.Last && len(part.setsOf(law.Gives)) > 0 && len(part.setsOf(law.From)) > 0 {
			b.followed(law, func(path string) bool {
				return slices.ContainsFunc(part.Sets, func(e Entry) bool { return e.Path == path })
			})
			for _, path := range law.From {
				delete(b.Values, path)
			}
		}
	}
}

// followLaws follows all laws when the parts are laid.
func (b *Build) followLaws() {
	for i := range b.Project.laws {
		law := &b.Project.laws[i]
		b.followed(law, b.speaks(law))
	}
}

func (b *Build) followed(law *Law, given func(string) bool) {
	if !slices.ContainsFunc(law.From, given) {
		return
	}
	found := b.Project.follow(law.Gives, law.Sum, b.Values, given, law.From)
	for _, path := range slices.Sorted(maps.Keys(found)) {
		b.Values[path] = found[path]
		if number := b.Project.Number(found[path]); !found[path].Field.Allows(number) {
			b.Broken = append(b.Broken, Broken{path, number, found[path].Origin})
		}
	}
}

// giveBack puts in the inputs of a law's From that parts add to, as they follow from what stands, so that what is
// added counts from there.
func (b *Build) giveBack() {
	for i := range b.Project.laws {
		law := &b.Project.laws[i]
		wanted := func(path string) bool {
			return slices.ContainsFunc(b.Parts, func(part *Part) bool {
				return slices.ContainsFunc(part.Adds, func(e Entry) bool { return e.Path == path })
			})
		}
		if law.Back == nil || !slices.ContainsFunc(law.From, wanted) {
			continue
		}
		b.settle(law)
		found := b.Project.follow(law.From, law.Back, b.Values, b.Given, law.Gives)
		for _, path := range law.From {
			if v, ok := found[path]; ok && wanted(path) {
				b.Values[path] = v
			}
		}
	}
}

// follows says that an input follows from others now, so that what parts add to it comes after that.
func (b *Build) follows(path string) bool {
	return slices.ContainsFunc(b.Project.laws, func(law Law) bool {
		return slices.Contains(law.Gives, path) && slices.ContainsFunc(law.From, b.Given)
	})
}
