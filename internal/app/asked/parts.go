package asked

import (
	"fmt"
	"slices"
	"strings"

	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
	"shakedown/sheet"
)

// PartView is a part as a person sees and changes it.
type PartView struct {
	Core                                              string // deposit that comes back with the old part
	ID, Kind, Name, Price, Lead, Time, From, Warranty string
	Keeps                                             string
	Needs, Excludes, WaitsFor, Builds                 []string
	Fields                                            []InputView // name, price and the like
	Sets                                              []InputView // values of its patch
	Adds                                              []string
	Claims                                            []string
	In                                                bool // in the build that is looked at
	PulledIn                                          bool // because another needs it
	Line                                              int
}

// PartViews are the parts of a sheet, area by area in the order of the sheet. Build says which are in it.
func PartViews(a *Answer, text []byte) ([]InArea[PartView], error) {
	written, err := sheet.Values(text)
	if err != nil {
		return nil, err
	}
	p := a.Sheet.Project
	return ByArea(p.Parts, func(part *machine.Part) (PartView, bool) {
		v := PartView{ID: part.ID, Kind: part.Kind, Name: part.Name, From: part.From, Keeps: part.Keeps, Line: part.Origin.Line,
			Needs: names(part.Needs), Excludes: names(part.Excludes), WaitsFor: names(part.WaitsFor), In: a.Build.Has(part.ID), PulledIn: a.Build.PulledIn[part.ID]}
		if part.Priced {
			v.Price = money.Amount{Minor: part.Price, Currency: p.Currency}.String()
		}
		if part.Core > 0 {
			v.Core = money.Amount{Minor: part.Core, Currency: p.Currency}.String()
		}
		if part.Lead != nil {
			v.Lead = part.Lead.Text
		}
		if part.Time != nil {
			v.Time = part.Time.Text
		}
		if part.Warranty != nil {
			v.Warranty = part.Warranty.Text
		}
		v.Fields = partFields(part, written)
		for _, set := range part.Sets {
			path := "parts." + part.ID + ".sets." + set.Path
			in := InputView{Path: path, Doc: set.Path, Text: written[path], Line: set.Value.Origin.Line}
			if field := machine.FieldAt(set.Path); field != nil {
				in.How, in.Words = field.Doc, field.Words
			}
			v.Sets = append(v.Sets, in)
		}
		for _, add := range part.Adds {
			v.Adds = append(v.Adds, add.Path+" by "+written["parts."+part.ID+".adds."+add.Path])
		}
		for _, m := range part.Masses {
			q := p.Atoms[m.Mass].Q
			v.Adds = append(v.Adds, "mass by "+q.Text)
		}
		for _, c := range part.Claims {
			v.Claims = append(v.Claims, claimed(c))
		}
		for _, b := range p.Builds {
			if slices.ContainsFunc(b.Parts, func(r machine.Reference) bool { return r.Name == part.ID }) {
				v.Builds = append(v.Builds, b.Name)
			}
		}
		return v, true
	}), nil
}

// claimed is what a maker says, in a few words: where it was measured too, and with what.
func claimed(c machine.Claim) string {
	words := c.Says
	if words == "" {
		words = c.Of + " " + c.Kind.String() + " " + c.Text
	}
	if c.At != machine.PlaceUnsaid {
		words += ", at the " + c.At.String()
	}
	if len(c.With) > 0 {
		words += ", with " + strings.Join(names(c.With), ", ")
	}
	return words
}

func names(refs []machine.Reference) []string {
	list := make([]string, len(refs))
	for i, r := range refs {
		list[i] = r.Name
	}
	return list
}

// Words are the part's lead, work and what else a buyer needs to know.
func (v PartView) Words() string {
	var words []string
	for _, pair := range [][2]string{{"core charge ", v.Core}, {"", v.Lead}, {"work ", v.Time}, {"from ", v.From}, {"warranty ", v.Warranty}, {"at the shop: ", v.Keeps}} {
		if pair[1] != "" {
			words = append(words, pair[0]+pair[1])
		}
	}
	if v.PulledIn {
		words = append(words, "also needed by another part")
	}
	return strings.Join(words, " · ")
}

// partFields are what a person changes of a part beside what it sets.
func partFields(part *machine.Part, written map[string]string) []InputView {
	var list []InputView
	for _, f := range []struct{ name, words, example string }{{"name", "What it is", ""}, {"price", "Price", "310.00"}, {"core_charge", "Core charge, paid back for the old part", "40.00"}, {"lead", "From order to the door", "10 days"}, {"time", "Work, once all is there", "3 h"}, {"from", "From whom", ""}, {"warranty", "Warranty", "12 months"}} {
		path := "parts." + part.ID + "." + f.name
		list = append(list, InputView{Path: path, Doc: f.words, Text: written[path], Example: f.example})
	}
	return list
}

// OnOffer says how many parts there are and how many are in the build.
func (a *Answer) OnOffer() string {
	n, in := len(a.Sheet.Project.Parts), len(a.Build.Parts)
	if n == 0 {
		return "No part is on offer yet: add what the makers' lists hold, and see what each does before you pay for it."
	}
	return fmt.Sprintf("%d %s on offer; %d in %s, for %s.", n, quantity.Plural(n, "part is", "parts are"), in, machine.TheBuild(a.Build.Name), a.CostText())
}

// Switch is one part of a build, on or off.
type Switch struct {
	ID, Name, Price, Note string
	Listed                bool // the build names it
}

// Switches are all parts of the sheet for the build, area by area.
func (a *Answer) Switches() []InArea[Switch] {
	listed := map[string]bool{}
	for _, b := range a.Sheet.Project.Builds {
		if b.Name == a.Build.Name {
			for _, ref := range b.Parts {
				listed[ref.Name] = true
			}
		}
	}
	return ByArea(a.Sheet.Project.Parts, func(part *machine.Part) (Switch, bool) {
		s := Switch{ID: part.ID, Name: part.Name, Listed: listed[part.ID], Price: "no price"}
		if part.Name == "" {
			s.Name = part.ID
		}
		if part.Priced {
			s.Price = money.Amount{Minor: part.Price, Currency: a.Sheet.Project.Currency}.Decimal()
		}
		var notes []string
		if a.Build.PulledIn[part.ID] && !listed[part.ID] {
			notes = append(notes, "also needed by "+strings.Join(a.wanting(part.ID), ", "))
		}
		if part.Lead != nil {
			notes = append(notes, part.Lead.Text)
		}
		if part.Time != nil {
			notes = append(notes, part.Time.Text+" of work")
		}
		if len(part.Needs) > 0 {
			notes = append(notes, "needs "+strings.Join(names(part.Needs), ", "))
		}
		s.Note = strings.Join(notes, " · ")
		return s, true
	})
}

// wanting are the parts of the build that need a part.
func (a *Answer) wanting(id string) []string {
	var list []string
	for _, part := range a.Build.Parts {
		if slices.Contains(names(part.Needs), id) {
			list = append(list, part.ID)
		}
	}
	return list
}
