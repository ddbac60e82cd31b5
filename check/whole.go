package check

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

func classLimits(c *Context, r *report) {
	if limit, ok := c.number("class_rules.max_displacement"); ok {
		if swept, ok := c.figure(r, "engine.swept_volume"); ok && less(limit, swept.Value) {
			r.add(figure.Conflict, fmt.Sprintf("Take off %s, or enter the next class.", c.show(swept.Value-limit, "cc")), []string{swept.ID, "class_rules.max_displacement"},
				"The engine has %s; the class allows %s.", c.shown(swept), c.show(limit, "cc"))
		}
	}
	if limit, ok := c.number("class_rules.max_width"); ok {
		if width, ok := c.figure(r, "chassis.width_over_tyres"); ok && less(limit, width.High) {
			severity, text := figure.Caution, "could be over the %s the class allows: it comes to %s, and tyres differ from their designation"
			if less(limit, width.Value) {
				severity, text = figure.Conflict, "is over the %s the class allows: it comes to %s"
			}
			r.add(severity, "Measure over the tyres at racing pressure before the entry is sent.", []string{width.ID, "class_rules.max_width"},
				"The width over the tyres "+text+".", c.show(limit, "mm"), c.shown(width))
		}
	}
	if limit, ok := c.number("class_rules.max_sound"); ok {
		sound, given := c.input(r, "engine.exhaust.silencer.sound")
		if given && less(limit, sound) {
			r.add(figure.Conflict, fmt.Sprintf("Find a silencer that is %s quieter.", c.show(sound-limit, "dB")), []string{"engine.exhaust.silencer.sound", "class_rules.max_sound"},
				"The silencer is given with %s; the class allows %s.", c.show(sound, "dB"), c.show(limit, "dB"))
		}
	}
	if allowed, ok := c.Build.Values["class_rules.race_fuel"]; ok && !allowed.Yes && c.Build.Values["engine.fuel.race"].Yes {
		r.add(figure.Conflict, "Use pump fuel, and let the compression follow.", []string{"engine.fuel.race", "class_rules.race_fuel"},
			"The fuel %q counts as race fuel, which the class does not allow.", c.Build.Text("engine.fuel.name"))
	}
}

// orderOfWork looks whether the plan makes one kind of work wait for another.
func orderOfWork(c *Context, r *report) {
	for _, part := range c.Build.Parts {
		text := part.Kind + " " + part.Name + " " + part.ID
		switch {
		case isWork(text, coating):
			for _, other := range c.Build.Parts {
				if other != part && isWork(other.Kind+" "+other.Name+" "+other.ID, welding) && !waits(c.Build, part.ID, other.ID) {
					r.order(part, other, "would be burnt by the welding of")
				}
			}
		case isWork(text, boring):
			for _, other := range c.Build.Parts {
				if other != part && setsInput(other, "engine.bore") && !waits(c.Build, part.ID, other.ID) {
					r.order(part, other, "needs in hand, to be bored to its measured size,")
				}
			}
		case isWork(text, balancing):
			for _, other := range c.Build.Parts {
				if other != part && setsInput(other, "engine.piston_mass") && !waits(c.Build, part.ID, other.ID) {
					r.order(part, other, "needs on the scale")
				}
			}
		}
	}
}

func (r *report) order(part, before *machine.Part, why string) {
	r.add(figure.Caution, fmt.Sprintf("Let %q wait for %q: write waits_for: [%s] under it in the sheet.", called(part), called(before), before.ID), []string{"parts." + part.ID},
		"%q %s %q, and does not wait for it.", called(part), why, called(before))
}

func setsInput(part *machine.Part, path string) bool {
	return slices.ContainsFunc(part.Sets, func(e machine.Entry) bool { return e.Path == path })
}

// waits says that a part waits for another, directly or through others. Circles are refused by the sheet.
func waits(b *machine.Build, id, other string) bool {
	part := b.Project.Part(id)
	return part != nil && slices.ContainsFunc(part.WaitsFor, func(ref machine.Reference) bool {
		return ref.Name == other || waits(b, ref.Name, other)
	})
}

func needs(c *Context, r *report) {
	for _, m := range c.Build.Missing {
		r.findings = append(r.findings, figure.Finding{
			Rule: r.rule.ID, Severity: figure.Caution, Basis: r.rule.Basis, Where: []string{"parts." + m.Part}, Origins: []figure.Origin{m.Origin},
			Text:   fmt.Sprintf("%q needs %q, which build %q does not list; it is also needed, so its cost, time and effect are counted.", c.partName(m.Part), c.partName(m.Needs), c.Build.Name),
			Remedy: fmt.Sprintf("Add %q to the build.", c.partName(m.Needs)),
		})
	}
}

func excludes(c *Context, r *report) {
	for _, clash := range c.Build.Clashes {
		r.findings = append(r.findings, figure.Finding{
			Rule: r.rule.ID, Severity: figure.Conflict, Basis: r.rule.Basis, Where: []string{"parts." + clash.Part, "parts." + clash.Excludes}, Origins: []figure.Origin{clash.Origin},
			Text:   fmt.Sprintf("%q does not go together with %q.", c.partName(clash.Part), c.partName(clash.Excludes)),
			Remedy: "Take one of the two out of the build.",
		})
	}
}

func setTwice(c *Context, r *report) {
	for _, o := range c.Build.Overlaps {
		r.findings = append(r.findings, figure.Finding{
			Rule: r.rule.ID, Severity: figure.Caution, Basis: r.rule.Basis, Where: []string{o.Path}, Origins: []figure.Origin{o.First, o.Second},
			Text:   fmt.Sprintf("%q and %q both set the %s; the later counts.", c.partName(o.First.Part), c.partName(o.Second.Part), machine.Spoken(o.Path)),
			Remedy: "Take one of the two out, or let one part set both.",
		})
	}
}

// undone says what one part of the build takes off and another sets, adds to, needs, or is.
func undone(c *Context, r *report) {
	for _, u := range c.Build.Undone {
		off, other := c.partName(u.Off.Part), c.partName(u.Other.Part)
		var names []string
		for _, what := range u.What {
			names = append(names, "the "+machine.Spoken(what))
		}
		what := strings.Join(names, ", ")
		text, remedy := "", "Take one of the two out of the build, or let one part do both."
		switch u.How {
		case machine.TakenOff:
			text = fmt.Sprintf("%q sets %s, and %q takes it off again: it is not there.", other, what, off)
		case machine.SetAgain:
			text = fmt.Sprintf("%q takes off %s, and %q sets it after that: what is set counts.", off, what, other)
		case machine.NothingToAddTo:
			text = fmt.Sprintf("%q adds to %s, which %q takes off: what it adds does not count.", other, what, off)
			if u.Off.Part == "" {
				text = fmt.Sprintf("%q adds to %s, which is not known: what it adds does not count.", other, what)
				remedy = fmt.Sprintf("Measure the machine as it is first: %s.", machine.FieldAt(u.What[0]).How)
			}
		case machine.PartOff:
			text = fmt.Sprintf("The build lists %q, and %q takes it off: it is not fitted, and costs nothing here.", c.partName(u.What[0]), off)
			remedy = fmt.Sprintf("Take %q out of the list.", c.partName(u.What[0]))
		case machine.NeedOff:
			text = fmt.Sprintf("%q needs %q, which %q takes off.", other, c.partName(u.What[0]), off)
			remedy = fmt.Sprintf("Look whether %q does its work too; if not, take one of the two out of the build.", off)
		}
		f := figure.Finding{Rule: r.rule.ID, Severity: figure.Caution, Basis: r.rule.Basis, Where: u.What, Text: text, Remedy: remedy}
		for _, origin := range []figure.Origin{u.Off, u.Other} {
			if origin.Part != "" {
				f.Origins = append(f.Origins, origin)
			}
		}
		r.findings = append(r.findings, f)
	}
}

// partName is what a part is called; "" for none.
func (c *Context) partName(id string) string {
	if part := c.Build.Project.Part(id); part != nil {
		return called(part)
	}
	return ""
}

// called is a part's name, or its id where it has none.
func called(part *machine.Part) string { return cmp.Or(part.Name, part.ID) }

// unusual asks about inputs that lie where hardly any machine of the layout has them: mostly a slip of the pen or
// another unit.
func unusual(c *Context, r *report) {
	layout := c.Build.Text("layout")
	for _, path := range slices.Sorted(maps.Keys(c.Build.Values)) {
		v := c.Build.Values[path]
		if v.Field == nil || v.Field.Shape != machine.Number || v.Origin == (figure.Origin{}) && c.Build.IsTypical(path) {
			continue // what nobody typed is no slip
		}
		number := c.Build.Project.Number(v)
		if v.Field.IsUsual(layout, number) {
			continue
		}
		q := quantity.Quantity{Value: number, Kind: v.Field.Spec.Kind}
		if len(v.Terms) == 1 { // of a sum nobody typed the number
			q.Text = c.Build.Project.Atoms[v.Terms[0]].Q.Text
		}
		unit, remedy := v.Field.Span.Unit.Symbol, "Look at the unit and the digits. If it is right, go on."
		if likely := v.Field.Readings(layout, q); len(likely) > 0 {
			remedy = fmt.Sprintf("Look at the unit and the digits: did you mean %s? If it is right, go on.", quantity.AnyOf(likely))
		}
		shown := c.show(number, unit)
		if typed, in, ok := quantity.Typed(q.Text, v.Field.Spec); ok && in.Symbol != quantity.MustUnit(unit).In(c.System).Symbol {
			shown = quantity.WithUnit(quantity.Show(typed, scale(typed), quantity.MustUnit("1")), in) + ", which is " + shown
		}
		low, high := v.Field.Span.Usual(layout)
		r.add(figure.Caution, remedy, []string{path}, "The %s is %s; on a %s it is usually %s to %s.", machine.Spoken(path), shown, layout, c.show(low, unit), c.show(high, unit))
		if v.Origin.Line > 0 {
			r.findings[len(r.findings)-1].Origins = []figure.Origin{v.Origin}
		}
	}
}

// cautions are what riding, and the work on the build's parts, can do to people.
func cautions(c *Context, r *report) {
	for i, care := range machine.CaresFor(c.Build) {
		r.add(figure.Caution, "", nil, "%s", care.Text)
		last := &r.findings[len(r.findings)-1]
		last.Basis, last.Rank = care.Source, i
	}
}
