package sheet

import (
	"encoding/json"
	"regexp"
	"strings"

	"shakedown/machine"
	"shakedown/quantity"
)

// object is a JSON object of the schema.
type object = map[string]any

// Schema is the JSON Schema (2020-12) of a sheet, for editors that complete, check units and show hints. It knows the
// form of every entry; what needs the whole sheet (names of parts, circles, sums that physics forbids) is told by
// Parse.
func Schema() []byte {
	top := object{}
	machineProperties := object{}
	for _, name := range machine.Top().Names() {
		place, _ := machine.Top().Child(name)
		if contains(machineKeys(), name) {
			machineProperties[name] = placeSchema(place)
			continue
		}
		top[name] = placeSchema(place)
	}
	top["machine"] = object{"type": "object", "properties": machineProperties, "additionalProperties": false, "description": "the machine as it stands"}
	top["sheet"] = object{"const": 1, "description": "the format of the sheet"}
	top["title"] = text("what the sheet is about")
	top["currency"] = object{"type": "string", "pattern": "^[A-Z]{3}$", "description": "ISO 4217 code of all prices"}
	top["today"] = date("the plan counts from this day; else from the clock")
	top["race_day"] = date("the day by which it must be ready")
	top["parts"] = object{"type": "object", "maxProperties": MaxParts, "additionalProperties": object{"$ref": "#/$defs/part"}, "propertyNames": object{"pattern": `^[^ .\[\]]+$`}, "description": "parts and shop work on offer"}
	top["builds"] = object{"type": "object", "maxProperties": MaxBuilds, "additionalProperties": names("parts laid over the machine, in order"), "description": "the first is the baseline, the last the aim"}
	schema := object{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Shakedown build sheet, format 1",
		"type": "object", "properties": top, "additionalProperties": false, "required": []string{"builds"},
		"$defs": object{"part": partSchema()},
	}
	out, err := json.MarshalIndent(schema, "", "  ")
	if err != nil {
		panic(err)
	}
	return append(out, '\n')
}

func contains(list []string, name string) bool {
	for _, item := range list {
		if item == name {
			return true
		}
	}
	return false
}

func text(doc string) object { return object{"type": "string", "description": doc} }

func date(doc string) object {
	return object{"type": "string", "pattern": `^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$`, "description": doc}
}

func names(doc string) object {
	return object{"type": "array", "maxItems": MaxParts, "items": object{"type": "string"}, "description": doc}
}

// placeSchema is the schema of what stands at a place.
func placeSchema(place machine.Place) object {
	switch {
	case place.IsList():
		return object{"type": "array", "minItems": 1, "maxItems": 1000, "items": placeSchema(place.Item())}
	case place.IsGroup():
		properties := object{}
		for _, name := range place.Names() {
			child, _ := place.Child(name)
			properties[name] = placeSchema(child)
		}
		return object{"type": "object", "properties": properties, "additionalProperties": false}
	}
	return fieldSchema(place.Field())
}

// numberPattern is how a number is written, without its unit.
const numberPattern = "[-+\u2212]?(\\d[\\d.,]*|\\.\\d+)([eE][-+]?\\d{1,2})?([ -]?\\d*/\\d+|[\u00bd\u00bc\u00be])?"

// knownPattern is how a value may say how it is known.
const knownPattern = `( +(measured|claimed|estimated|typical|fitted))?`

func fieldSchema(field *machine.Field) object {
	doc := field.Doc
	if field.How != "" {
		doc += ". How: " + field.How
	}
	switch field.Shape {
	case machine.Choice:
		return object{"enum": field.Words, "description": doc}
	case machine.YesNo:
		return object{"enum": []string{"yes", "no"}, "description": doc}
	case machine.Bolts:
		return object{"type": "string", "pattern": `^\d+ *[x×] *` + numberPattern + ` *(mm|cm|m|in)$`, "description": doc, "examples": []string{"4 x 110 mm"}}
	case machine.Word:
		return object{"type": []string{"string", "number"}, "description": doc}
	}
	spec := field.Spec
	if spec.Kind == quantity.Ratio || spec.Bare != "" {
		kind := "number"
		if spec.Whole {
			kind = "integer"
		}
		written := numberPattern + "( *%)?"
		if field.Bound == machine.Share {
			written = `\+?((0(\.\d*)?|\.\d+|1(\.0*)?)|((\d{1,2}(\.\d*)?|100(\.0*)?) *%))`
		}
		s := object{"type": []string{kind, "string"}, "pattern": "^" + written + tolerance("%") + knownPattern + "$", "description": doc + "; a plain number"}
		switch field.Bound {
		case machine.Positive:
			s["exclusiveMinimum"] = 0
		case machine.NotNegative:
			s["minimum"] = 0
		case machine.Share:
			s["minimum"], s["maximum"] = 0, 1
		}
		return s
	}
	var symbols, examples []string
	for _, name := range quantity.Names(spec.Kind) {
		symbols = append(symbols, regexp.QuoteMeta(name))
	}
	for _, u := range quantity.Units(spec.Kind) {
		examples = append(examples, "1 "+u.Symbol)
	}
	if spec.Kind == quantity.Temperature {
		examples[0] = "20 C"
	}
	units := "(" + strings.Join(symbols, "|") + ")"
	signed := numberPattern
	if field.Bound != machine.Any && spec.Kind != quantity.Temperature {
		signed = strings.TrimPrefix(signed, "[-+\u2212]?")
		signed = "\\+?" + signed
	}
	sides := ""
	if spec.Sides[0] != "" {
		sides = "( +(" + spec.Sides[0] + "|" + spec.Sides[1] + "))?"
	}
	written := signed + " *" + units + sides + tolerance(units) + knownPattern
	if field.Path == bore {
		written += `|\+? *` + numberPattern + " *(" + units + ")? *(over|oversize|o/s)?"
	}
	return object{"type": "string", "pattern": "^(" + written + ")$", "description": doc, "examples": examples}
}

// tolerance is how a half-width is written behind a value.
func tolerance(units string) string {
	return "( *(±|\\+-) *" + numberPattern + "( *(" + units + "|%))?)?"
}

// partSchema is the schema of a part; sets and adds take every input by its dotted path.
func partSchema() object {
	sets, adds, lists := object{}, object{}, object{}
	var walk func(place machine.Place, path, at string)
	walk = func(place machine.Place, path, at string) {
		reference := object{"$ref": at}
		if path != "" {
			if strings.Contains(path, "[]") {
				lists["^"+strings.ReplaceAll(regexp.QuoteMeta(path), `\[\]`, `\[\d+\]`)+"$"] = reference
			} else {
				sets[path] = reference
				if f := place.Field(); f != nil && f.Shape == machine.Number && f.Spec.Kind != quantity.Temperature {
					adds[path] = object{"type": []string{"string", "number"}, "description": "added to: " + f.Doc}
				}
			}
		}
		switch {
		case place.IsList():
			walk(place.Item(), path+"[]", at+"/items")
		case place.IsGroup():
			for _, name := range place.Names() {
				child, _ := place.Child(name)
				next := at + "/properties/" + name
				if path == "" && contains(machineKeys(), name) {
					next = "#/properties/machine/properties/" + name
				}
				walk(child, strings.TrimPrefix(path+"."+name, "."), next)
			}
		}
	}
	walk(machine.Top(), "", "#")
	span := object{"type": "string", "pattern": `^\d+( *(-|–|to) *\d+)? *([Hh](ours?|rs?)?|([Ww]orking |[Bb]usiness )?[Dd]ays?|[Ww](ee)?ks?|[Mm]onths?|[Mm]ths?)$`, "examples": []string{"3 weeks", "10 working days"}}
	length := fieldSchema(&machine.Field{Spec: quantity.Spec{Kind: quantity.Length}, Doc: "metres and such"})
	mass := object{"type": "object", "required": []string{"mass", "x", "z"}, "additionalProperties": false, "properties": object{
		"mass": fieldSchema(&machine.Field{Spec: quantity.Spec{Kind: quantity.Mass}, Doc: "negative for what comes off"}), "x": length, "z": length,
		"unsprung": object{"enum": []string{"yes", "no"}},
	}}
	adds["mass.dry"] = object{"anyOf": []any{mass, object{"type": "array", "items": mass}}}
	return object{"type": "object", "additionalProperties": false, "properties": object{
		"kind": text("what it is"), "name": text("what people call it"), "price": object{"type": []string{"number", "string"}, "minimum": 0, "description": "in the sheet's currency, or: on request"},
		"core_charge": object{"type": []string{"number", "string"}, "minimum": 0, "description": "deposit on an exchange part, paid back for the old one"},
		"lead":        span, "time": span, "warranty": span, "from": text("who sells it"), "keeps_busy": text("what cannot be worked on meanwhile"),
		"sets":    object{"type": "object", "properties": sets, "patternProperties": lists, "additionalProperties": false},
		"adds":    object{"type": "object", "properties": adds, "additionalProperties": false},
		"removes": names("parts or inputs that come off"), "needs": names("parts it needs"), "excludes": names("parts it does not go with"), "waits_for": names("what must be over first"),
		"claims": object{"type": "array", "items": claimSchema()},
	}}
}

// claimSchema is the schema of a maker's claim: it has exactly one number.
func claimSchema() object {
	properties := object{
		"says": text("the maker's words"), "of": text("id of a figure"),
		"at":   object{"enum": machine.ClaimPlaces(), "description": "where torque or power was measured"},
		"with": names("parts that were fitted too when it was measured"),
	}
	var one []object
	for kind, doc := range []string{machine.ClaimValue: "the figure is this", machine.ClaimFactor: "the figure is so many times the baseline's", machine.ClaimGain: "the figure is so much more than the baseline's"} {
		key := machine.ClaimKinds[kind]
		properties[key] = object{"type": []string{"number", "string"}, "description": doc}
		one = append(one, object{"required": []string{key}})
	}
	return object{"type": "object", "required": []string{"of"}, "oneOf": one, "additionalProperties": false, "properties": properties}
}
