package machine

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"maps"
	"math"
	"slices"
)

// Digest is a hash of all that builds of one project say about the machine: every input, in the machine as found too,
// with its tolerance, how it is known and which part sets it, masses, and which numbers the builds share. Comments,
// places in the sheet, prices, dates, and parts and builds that are not among them leave it alone.
func Digest(builds ...*Build) string {
	d := digest{sum: sha256.New(), seen: map[int]int{}}
	for _, b := range builds {
		d.build(b)
	}
	return hex.EncodeToString(d.sum.Sum(nil))
}

// DigestOfOffers is Digest, and of every part on offer with its price, and of the parts of the builds. It leaves out
// when a part comes, and from whom.
func DigestOfOffers(builds ...*Build) string {
	d := digest{sum: sha256.New(), seen: map[int]int{}}
	for _, b := range builds {
		d.build(b)
		for _, p := range b.Parts {
			fmt.Fprintf(d.sum, "has %q\n", p.ID)
		}
	}
	if len(builds) > 0 {
		p := builds[0].Project
		fmt.Fprintf(d.sum, "%q\n", p.Currency)
		for i := range p.Parts {
			d.part(p, &p.Parts[i])
		}
	}
	return hex.EncodeToString(d.sum.Sum(nil))
}

// digest writes into a hash. Atoms are numbered as they are met, so that two builds that share one say so wherever it
// stands in the sheet.
type digest struct {
	sum  hash.Hash
	seen map[int]int
}

func (d digest) build(b *Build) {
	fmt.Fprintf(d.sum, "build\n")
	d.values(b.Project, b.Values)
	fmt.Fprintf(d.sum, "found\n")
	d.values(b.Project, b.Project.Base)
	d.masses(b.Project, b.Masses)
}

func (d digest) values(p *Project, values map[string]Value) {
	for _, path := range slices.Sorted(maps.Keys(values)) {
		d.value(p, path, values[path])
	}
}

func (d digest) value(p *Project, path string, v Value) {
	fmt.Fprintf(d.sum, "%q by %q", path, v.Origin.Part)
	if len(v.Terms) == 0 { // a number says itself, however it is written
		fmt.Fprintf(d.sum, " %q %t %+v", v.Text, v.Yes, v.Bolts)
	}
	if v.Weights != nil || v.Offset != 0 || v.Over {
		fmt.Fprintf(d.sum, " %x %x %t", v.Weights, v.Offset, v.Over)
	}
	for _, i := range v.Terms {
		d.atom(p, i)
	}
	fmt.Fprintln(d.sum)
}

func (d digest) atom(p *Project, i int) {
	n, ok := d.seen[i]
	if !ok {
		n = len(d.seen)
		d.seen[i] = n
	}
	a := &p.Atoms[i]
	fmt.Fprintf(d.sum, " #%d %q %x %x %d", n, a.Path, math.Float64bits(a.Q.Value), math.Float64bits(a.Q.Half), a.Q.Known)
}

func (d digest) masses(p *Project, list []AddedMass) {
	for _, m := range list {
		fmt.Fprintf(d.sum, "mass %t %q", m.Unsprung, m.Part)
		for _, i := range []int{m.Mass, m.X, m.Z} {
			d.atom(p, i)
		}
		fmt.Fprintln(d.sum)
	}
}

func (d digest) part(p *Project, part *Part) {
	fmt.Fprintf(d.sum, "part %q %q %q %d %t %d %q %q\n", part.ID, part.Kind, part.Name, part.Price, part.Priced, part.Core, part.Lists, part.Keeps)
	for _, list := range [][]Entry{part.Sets, part.Adds} {
		for _, e := range list {
			d.value(p, e.Path, e.Value)
		}
		fmt.Fprintln(d.sum)
	}
	d.masses(p, part.Masses)
	for _, list := range [][]Reference{part.Removes, part.Needs, part.Excludes, part.WaitsFor} {
		for _, r := range list {
			fmt.Fprintf(d.sum, " %q", r.Name)
		}
		fmt.Fprintln(d.sum)
	}
	for _, c := range part.Claims {
		fmt.Fprintf(d.sum, "%q %q %d %x %q %d", c.Says, c.Of, c.Kind, math.Float64bits(c.Number), c.Text, c.At)
		for _, r := range c.With {
			fmt.Fprintf(d.sum, " %q", r.Name)
		}
		fmt.Fprintln(d.sum)
	}
}
