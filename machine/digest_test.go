package machine

import (
	"reflect"
	"slices"
	"testing"

	"shakedown/figure"
	"shakedown/quantity"
)

// Every field of a part, of a value, of a mass and of a claim is in the digest of what is on offer, but for those named
// here with the reason.
func TestNothingIsLeftOutOfADigest(t *testing.T) {
	build := func() (*Build, *Part) {
		p := &Project{Currency: "EUR", Atoms: []Atom{{Path: "a"}, {Path: "b"}, {Path: "c"}}, Base: map[string]Value{}}
		p.Parts = []Part{{ID: "x", Sets: []Entry{{"p", Value{}}}, Adds: []Entry{{"p", Value{}}}, Masses: []AddedMass{{}}, Removes: []Reference{{}}, Needs: []Reference{{}}, Excludes: []Reference{{}}, WaitsFor: []Reference{{}}, Claims: []Claim{{With: []Reference{{}}}}, Lists: []string{""}}}
		return &Build{Project: p, Values: map[string]Value{}, Parts: []*Part{&p.Parts[0]}}, &p.Parts[0]
	}
	without := map[string][]string{
		"Part":      {"Lead", "Time", "From", "Warranty", "Origin"}, // when it comes and from whom
		"Value":     {"Field", "Origin"},                            // the field follows from the path; of the origin the part counts, see below
		"AddedMass": {"Origin"}, "Claim": {"Origin", "Stated", "Placed"}, "Reference": {"Origin"},
	}
	var look func(name string, at func(*Part) reflect.Value)
	look = func(name string, at func(*Part) reflect.Value) {
		_, sample := build()
		kind := at(sample).Type()
		for i := range kind.NumField() {
			field := kind.Field(i)
			if slices.Contains(without[kind.Name()], field.Name) {
				continue
			}
			get := func(p *Part) reflect.Value { return at(p).Field(i) }
			if field.Type.Kind() == reflect.Slice && field.Type.Elem().Kind() == reflect.Struct {
				look(name+"."+field.Name, func(p *Part) reflect.Value { return get(p).Index(0) })
				continue
			}
			if field.Type.Kind() == reflect.Struct {
				look(name+"."+field.Name, get)
				continue
			}
			b, part := build()
			was := DigestOfOffers(b)
			switch v := get(part); v.Kind() {
			case reflect.String:
				v.SetString("other")
			case reflect.Bool:
				v.SetBool(true)
			case reflect.Int, reflect.Int64:
				v.SetInt(1)
			case reflect.Uint8:
				v.SetUint(1)
			case reflect.Float64:
				v.SetFloat(0.5)
			case reflect.Slice:
				v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			default:
				t.Fatalf("%s.%s is a %s: say here how it is changed", name, field.Name, v.Kind())
			}
			if DigestOfOffers(b) == was {
				t.Errorf("%s.%s is not in the digest", name, field.Name)
			}
		}
	}
	look("part", func(p *Part) reflect.Value { return reflect.ValueOf(p).Elem() })
}

// What two builds share and what is only alike in them are told apart; where a number stands is not.
func TestADigestKnowsWhatIsShared(t *testing.T) {
	p := &Project{Atoms: []Atom{{Path: "engine.bore", Q: quantity.Quantity{Value: 0.07, Half: 0.001}}, {Path: "engine.bore", Q: quantity.Quantity{Value: 0.07, Half: 0.001}}}, Base: map[string]Value{}}
	with := func(term int) *Build {
		return &Build{Project: p, Values: map[string]Value{"engine.bore": {Terms: []int{term}, Text: "70 mm", Origin: figure.Origin{Line: 3 + term}}}}
	}
	if Digest(with(0), with(0)) != Digest(with(1), with(1)) {
		t.Error("the same elsewhere is another")
	}
	if Digest(with(0), with(0)) == Digest(with(0), with(1)) {
		t.Error("two alike are one")
	}
	was := Digest(with(0))
	p.Atoms[0].Q.Half = 0.002
	if Digest(with(0)) == was {
		t.Error("a tolerance is not in it")
	}
}
