package sheet

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/money"
	"shakedown/quantity"
)

var partKeys = []string{"kind", "name", "price", "core_charge", "lead", "time", "from", "warranty", "sets", "adds", "removes", "needs", "excludes", "waits_for", "keeps_busy", "claims"}

func (w *walker) currency(text string, t *token.Token) {
	if !money.KnownCurrency(text) {
		w.fail(t, fmt.Sprintf("%q is no currency", clip(text)), "an ISO 4217 code such as EUR, USD or GBP", "write the three capital letters")
		return
	}
	w.project.Currency = text
}

// partEntry reads one part. Prices wait for the currency, which may stand further down: finish reads them.
func (w *walker) partEntry(e entry) {
	w.part = e.name
	defer func() { w.part = "" }()
	if strings.ContainsAny(e.name, " .[]") {
		w.fail(e.key, fmt.Sprintf("the part's id %q", clip(e.name)), "letters, digits and hyphens", "write it without spaces, points and brackets")
	}
	part := machine.Part{ID: e.name, Name: e.name, Origin: w.origin(e.key)}
	list := w.group(e.value, "part "+e.name, "{name: ..., price: 95.00, sets: {...}}")
	for _, inner := range list {
		if !slices.Contains(partKeys, inner.name) {
			w.unknown(inner.key, inner.name, partKeys)
			continue
		}
		if w.once("parts."+e.name+"."+inner.name, inner.key) {
			w.partKey(&part, inner)
		}
	}
	w.project.AddPart(part)
}

func (w *walker) partKey(part *machine.Part, e entry) {
	switch e.name {
	case "sets":
		for _, inner := range w.group(e.value, "sets", "{engine.bore: 75.5 mm}") {
			w.set(part, inner)
		}
	case "adds":
		for _, inner := range w.group(e.value, "adds", "{mass.dry: {mass: 1.4 kg, x: 0 mm, z: 279 mm, unsprung: yes}}") {
			w.add(part, inner)
		}
	case "claims":
		w.claims(part, e.value)
	case "needs":
		part.Needs = w.names(e)
	case "excludes":
		part.Excludes = w.names(e)
	case "removes":
		part.Removes = w.names(e)
	case "waits_for":
		part.WaitsFor = w.names(e)
		for _, ref := range part.WaitsFor {
			w.waits = append(w.waits, waiting{part.ID, ref})
		}
	default:
		w.partWord(part, e)
	}
}

func (w *walker) partWord(part *machine.Part, e entry) {
	text, t, ok := scalar(e.value)
	if !ok || text == "" {
		example, ok := map[string]string{"price": "189.50", "core_charge": "40.00", "lead": "3 weeks", "time": "6 days", "warranty": "12 months"}[e.name]
		if !ok {
			example = "a word or two"
		}
		w.refuse(e.value, e.name, example)
		return
	}
	switch e.name {
	case "kind":
		part.Kind = text
	case "name":
		part.Name = text
	case "from":
		part.From = text
	case "keeps_busy":
		part.Keeps = text
	case "price":
		if !money.OnRequest(text) {
			part.Price, part.Priced = w.amountOf(e.name, text, t)
		}
	case "core_charge":
		part.Core, _ = w.amountOf(e.name, text, t)
	default:
		span, err := quantity.ParseSpan(text)
		if err != nil {
			w.problem(err, t)
			return
		}
		switch e.name {
		case "lead":
			part.Lead = &span
		case "time":
			part.Time = &span
		case "warranty":
			part.Warranty = &span
		}
	}
}

// amountOf reads a sum in the sheet's currency [minor units].
func (w *walker) amountOf(name, text string, t *token.Token) (minor int64, ok bool) {
	code := w.project.Currency
	if code == "" {
		code = "EUR"
	}
	amount, err := money.Parse(text, code)
	switch {
	case err != nil:
		remedy := "write digits with a point before the cents"
		if strings.Contains(err.Error(), "the sheet is in") {
			remedy = "change the money, or write the currency of all prices at the top, such as currency: USD"
		}
		w.fail(t, err.Error(), "an amount such as 189.50, in "+code, remedy)
	case amount.Minor < 0:
		w.fail(t, "a negative "+strings.ReplaceAll(name, "_", " "), "an amount of zero or more", "leave the minus away")
	default:
		return amount.Minor, true
	}
	return 0, false
}

func (w *walker) names(e entry) []machine.Reference {
	sequence, ok := e.value.(*ast.SequenceNode)
	if !ok {
		w.refuse(e.value, e.name, e.name+": [some-part, other-part]")
		return nil
	}
	if len(sequence.Values) > MaxParts {
		w.fail(sequence.GetToken(), fmt.Sprintf("%s has %d names", clip(e.name), len(sequence.Values)), fmt.Sprintf("at most %d names, each once", MaxParts), "leave out what is named twice")
		return nil
	}
	var refs []machine.Reference
	for _, item := range sequence.Values {
		text, t, ok := scalar(item)
		if !ok || text == "" {
			w.refuse(item, "an entry of "+e.name, "the id of a part")
			continue
		}
		refs = append(refs, machine.Reference{Name: text, Origin: w.origin(t)})
	}
	return refs
}

// place finds an input by its dotted path, or reports the step that is unknown.
func (w *walker) place(e entry) (machine.Place, bool) {
	place, err := machine.Top().At(e.name)
	if err == nil {
		return place, true
	}
	unknown := err.(*machine.UnknownName)
	remedy := "paths are dotted from machine, such as engine.chamber.dome"
	if cutByComma(e.name) {
		remedy = afterComma
	} else if unknown.Nearest != "" {
		remedy = fmt.Sprintf("did you mean %q?", strings.Replace(e.name, unknown.Name, unknown.Nearest, 1))
	}
	w.fail(e.key, fmt.Sprintf("there is no input %q (%s)", clip(e.name), clip(unknown.Name)), "one of "+brief(unknown.Names), remedy)
	return place, false
}

func (w *walker) set(part *machine.Part, e entry) {
	place, ok := w.place(e)
	if !ok || !w.once("parts."+part.ID+".sets."+e.name, e.key) {
		return
	}
	if e.name == bore && w.over(part, e) {
		return
	}
	w.value(place, e.name, e.key, e.value, func(path string, v machine.Value) {
		part.Sets = append(part.Sets, machine.Entry{Path: path, Value: v})
		if list, _, ok := strings.Cut(path, "["); ok && !strings.Contains(e.name, "[") && !slices.Contains(part.Lists, list) {
			part.Lists = append(part.Lists, list)
		}
	})
}

func (w *walker) add(part *machine.Part, e entry) {
	place, ok := w.place(e)
	if !ok || !w.once("parts."+part.ID+".adds."+e.name, e.key) {
		return
	}
	if e.name == "mass.dry" {
		if sequence, ok := e.value.(*ast.SequenceNode); ok {
			for _, item := range sequence.Values {
				w.mass(part, item)
			}
			return
		}
		w.mass(part, e.value)
		return
	}
	field := place.Field()
	if field == nil || field.Shape != machine.Number || field.Spec.Kind == quantity.Temperature {
		w.fail(e.key, fmt.Sprintf("nothing can be added to %s", e.name), "an input that is a number", "put it under sets")
		return
	}
	text, t, ok := scalar(e.value)
	if !ok {
		w.refuse(e.value, e.name, w.wanted(field))
		return
	}
	if q, ok := w.number(field, text, t); ok {
		if fault := field.AddedFault(q); fault != nil {
			w.fail(t, e.name+" "+fault.What, w.wanted(field)+", "+fault.Expected, fault.Remedy)
			return
		}
		origin := w.origin(t)
		atom := w.project.AddAtom(machine.Atom{Path: e.name, Q: q, Origin: origin})
		part.Adds = append(part.Adds, machine.Entry{Path: e.name, Value: machine.Value{Field: field, Text: text, Terms: []int{atom}, Origin: origin}})
	}
}

// massField is what an added mass needs under a name; each goes through the same reader as an input.
func massField(name string) (field machine.Field, ok bool) {
	switch name {
	case "mass":
		field.Spec.Kind = quantity.Mass
	case "x", "z":
		field.Spec.Kind = quantity.Length
	case "unsprung":
		return machine.Field{Shape: machine.YesNo}, true
	default:
		return field, false
	}
	field.Span = machine.AddedMassSpan(name)
	return field, true
}

var massKeys = []string{"mass", "x", "z", "unsprung"}

func (w *walker) mass(part *machine.Part, n ast.Node) {
	const form = "{mass: 1.4 kg, x: 0 mm, z: 279 mm, unsprung: yes}"
	list, ok := entries(n)
	if !ok {
		w.refuse(n, "an added mass", form)
		return
	}
	added := machine.AddedMass{Mass: -1, X: -1, Z: -1, Part: part.ID, Origin: w.origin(n.GetToken())}
	for _, e := range list {
		field, ok := massField(e.name)
		if !ok {
			w.unknown(e.key, e.name, massKeys)
			continue
		}
		w.leaf(&field, "mass.dry."+e.name, e.value, func(_ string, v machine.Value) {
			switch e.name {
			case "mass":
				added.Mass = v.Terms[0]
			case "x":
				added.X = v.Terms[0]
			case "z":
				added.Z = v.Terms[0]
			case "unsprung":
				added.Unsprung = v.Yes
			}
		})
	}
	if added.Mass < 0 || added.X < 0 || added.Z < 0 {
		w.fail(n.GetToken(), "an added mass without mass, x or z", form, "say how heavy it is and where its middle sits: ahead of the rear axle and above ground")
		return
	}
	part.Masses = append(part.Masses, added)
}

var claimKeys = append([]string{"says", "of", "at", "with"}, machine.ClaimKinds...)

const claimForm = `{says: "10.6 to 1", of: engine.compression_ratio, value: 10.6}`

var claimExamples = map[string]string{"says": `says: "2 kW more"`, "of": "of: engine.peak_power", "at": "at: rear wheel", "value": "value: 17 kW", "factor": "factor: 1.3", "gain": "gain: 2 kW"}

func (w *walker) claims(part *machine.Part, n ast.Node) {
	sequence, ok := n.(*ast.SequenceNode)
	if !ok {
		w.refuse(n, "claims", "["+claimForm+"]")
		return
	}
	for i, item := range sequence.Values {
		list, ok := entries(item)
		if !ok {
			w.refuse(item, "a claim", claimForm)
			continue
		}
		w.claim(part, fmt.Sprintf("parts.%s.claims[%d]", part.ID, i), item, list)
	}
}

// claim reads one claim. Whether its figure exists and what that is measured in only a later room knows.
func (w *walker) claim(part *machine.Part, path string, item ast.Node, list []entry) {
	claim := machine.Claim{Origin: w.origin(item.GetToken())}
	amounts, faults := 0, len(w.errors)
	for _, e := range list {
		if !slices.Contains(claimKeys, e.name) {
			w.unknown(e.key, e.name, claimKeys)
			continue
		}
		if !w.once(path+"."+e.name, e.key) {
			continue
		}
		if e.name == "with" {
			claim.With = w.names(e)
			continue
		}
		text, t, ok := scalar(e.value)
		if !ok || text == "" {
			w.refuse(e.value, e.name, claimExamples[e.name])
			continue
		}
		switch e.name {
		case "says":
			claim.Says = text
		case "of":
			claim.Of, claim.Origin = text, w.origin(t)
		case "at":
			if claim.At, ok = machine.ClaimPlaceNamed(text); !ok {
				remedy := "use one of these words, or leave the line away where the maker does not say"
				if near := quantity.Nearest(text, machine.ClaimPlaces()); near != "" {
					remedy = fmt.Sprintf("did you mean %q?", near)
				}
				w.fail(t, fmt.Sprintf("%q is no place where torque or power is measured", clip(text)), quantity.AnyOf(machine.ClaimPlaces()), remedy)
			}
			claim.Placed = w.origin(t)
		default:
			if amounts++; amounts > 1 {
				w.fail(e.key, fmt.Sprintf("a claim with both %s and %s", claim.Kind, e.name), "exactly one of "+quantity.AnyOf(machine.ClaimKinds), "remove one of the two, or make it two claims")
				continue
			}
			w.amount(&claim, e.name, text, t)
		}
	}
	if len(w.errors) > faults {
		return
	}
	if claim.Of == "" || amounts == 0 {
		w.fail(item.GetToken(), "a claim that says nothing that can be judged", claimForm, "name the figure it is of, and its value, factor or gain")
		return
	}
	part.Claims = append(part.Claims, claim)
}

// amount reads what a claim states. A gain is a difference: of a temperature the zero of its scale does not count.
func (w *walker) amount(claim *machine.Claim, key, text string, t *token.Token) {
	claim.Kind, claim.Text, claim.Stated = machine.ClaimKind(slices.Index(machine.ClaimKinds, key)), text, w.origin(t)
	read := quantity.ParseAny
	if claim.Kind == machine.ClaimFactor {
		read = func(text string) (quantity.Quantity, error) { return quantity.Parse(text, quantity.Spec{Exact: true}) }
	}
	q, err := read(text)
	if err != nil {
		w.problem(err, t)
		return
	}
	claim.Number = q.Value
	switch claim.Kind {
	case machine.ClaimFactor:
		if q.Value <= 0 {
			w.fail(t, "a factor that is not above zero", "how many times the baseline's figure, such as 1.3", "for so much less write a factor below 1")
		}
	case machine.ClaimGain:
		if number, unit, ok := quantity.Typed(text, quantity.Spec{Kind: q.Kind}); ok {
			claim.Number = number * unit.Factor
		}
	}
}

func (w *walker) build(e entry) {
	build := machine.BuildList{Name: e.name, Origin: w.origin(e.key)}
	build.Parts = w.names(e)
	w.project.Builds = append(w.project.Builds, build)
}

// finish checks what needs the whole sheet: names of parts, circles of waiting.
func (w *walker) finish(first *File) {
	if !w.versed {
		w.errors = append(w.errors, first.at(1, 1, 1, "the sheet does not say which format it is in", "sheet: 1", "write sheet: 1 as the first line"))
	}
	if w.project.Currency == "" {
		w.project.Currency = "EUR"
	}
	if _, written := w.seen["builds"]; !written {
		last := w.files[len(w.files)-1]
		end := max(1, strings.Count(strings.TrimRight(string(last.Text), "\n"), "\n")+1)
		w.errors = append(w.errors, last.at(end, 1, 1, "the sheet ends without builds", "builds: {as-found: [], full: [some-part, other-part]}", "add the builds; if they were there once, the file was cut off: look for a copy"))
	} else if len(w.project.Builds) == 0 {
		w.project.Builds = []machine.BuildList{{Name: "as-found"}}
	}
	if !w.full {
		w.checkNames()
		w.checkCircle()
	}
}

// fileOf is the file an origin speaks of.
func (w *walker) fileOf(o figure.Origin) *File {
	i := slices.IndexFunc(w.files, func(f *File) bool { return f.Name == o.File })
	return w.files[i]
}

func (w *walker) checkNames() {
	var ids []string
	for i := range w.project.Parts {
		ids = append(ids, w.project.Parts[i].ID)
	}
	unknown := 0
	check := func(refs []machine.Reference, inputs bool) {
		for _, ref := range refs {
			if w.project.Part(ref.Name) != nil {
				continue
			}
			if _, err := machine.Top().At(ref.Name); inputs && err == nil {
				continue
			}
			remedy := "add it under parts, or remove the name"
			if unknown++; unknown <= maxNear {
				if near := quantity.Nearest(ref.Name, ids); near != "" {
					remedy = fmt.Sprintf("did you mean %q?", near)
				}
			}
			w.errors = append(w.errors, w.fileOf(ref.Origin).at(ref.Origin.Line, ref.Origin.Column, len(ref.Name), fmt.Sprintf("there is no part %q", clip(ref.Name)), "the id of a part in this sheet", remedy))
		}
	}
	for i := range w.project.Parts {
		part := &w.project.Parts[i]
		check(part.Needs, false)
		check(part.Excludes, false)
		check(part.WaitsFor, false)
		check(part.Removes, true)
		for _, claim := range part.Claims {
			check(claim.With, false)
		}
	}
	for _, build := range w.project.Builds {
		check(build.Parts, false)
	}
}

// checkCircle finds a circle of waiting, which no order of work can serve. It reports the last of its lines.
func (w *walker) checkCircle() {
	next := map[string][]machine.Reference{}
	for _, wait := range w.waits {
		next[wait.from] = append(next[wait.from], wait.to)
	}
	served := servedInOrder(next)
	reported := map[string]bool{}
	for i := range w.project.Parts {
		id := w.project.Parts[i].ID
		if served[id] || reported[id] {
			continue
		}
		circle := circleFrom(id, next)
		if circle == nil {
			continue
		}
		last, names := figure.Origin{}, []string{id}
		for _, step := range circle {
			reported[step.Name] = true
			names = append(names, step.Name)
			if step.Origin.Line > last.Line {
				last = step.Origin
			}
		}
		w.errors = append(w.errors, w.fileOf(last).at(last.Line, last.Column, 1, "a circle of waiting: "+strings.Join(names, " waits for "), "an order in which the work can be done", "remove one of these from waits_for"))
	}
}

// servedInOrder are the parts that wait, and that some order of work serves: what they wait for waits for nothing, or
// is served.
func servedInOrder(next map[string][]machine.Reference) map[string]bool {
	open := map[string]int{} // of those that wait, how many are not served yet
	behind := map[string][]string{}
	for id, refs := range next {
		open[id] = len(refs)
		for _, ref := range refs {
			behind[ref.Name] = append(behind[ref.Name], id)
		}
	}
	served := map[string]bool{}
	var done []string
	for id := range behind {
		if open[id] == 0 {
			done = append(done, id)
		}
	}
	for len(done) > 0 {
		last := done[len(done)-1]
		done = done[:len(done)-1]
		for _, id := range behind[last] {
			if open[id]--; open[id] == 0 {
				served[id] = true
				done = append(done, id)
			}
		}
	}
	return served
}

// circleFrom is the shortest way of waiting that leads from a part back to itself, or nil.
func circleFrom(id string, next map[string][]machine.Reference) []machine.Reference {
	type step struct {
		ref    machine.Reference
		before int // the step that led here, -1 from the part itself
	}
	var steps []step
	seen := map[string]bool{}
	for at, before := id, -1; ; {
		for _, ref := range next[at] {
			if ref.Name == id {
				circle := []machine.Reference{ref}
				for i := before; i >= 0; i = steps[i].before {
					circle = append(circle, steps[i].ref)
				}
				slices.Reverse(circle)
				return circle
			}
			if !seen[ref.Name] {
				seen[ref.Name] = true
				steps = append(steps, step{ref, before})
			}
		}
		if before++; before == len(steps) {
			return nil
		}
		at = steps[before].ref.Name
	}
}
