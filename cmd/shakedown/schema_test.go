package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// printed is the schema as the command prints it, compiled by a library that knows nothing of sheets.
func printed(t *testing.T) *jsonschema.Schema {
	t.Helper()
	s, out, errors := fixed()
	if code := run([]string{"schema"}, s); code != 0 {
		t.Fatal(errors)
	}
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("sheet.json", document); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("sheet.json")
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

const noSizes = "the schema knows how a quantity is written, not how large it may be"

// beyondSchema are faults that only the whole sheet shows, or that the YAML library does not see as one.
var beyondSchema = map[string]string{
	"unknown-part":       "the schema does not know the names of the parts",
	"unknown-figure":     "the schema does not know the figures",
	"claim-in-kilowatts": "the schema does not know what figures measure",
	"claim-of-a-place":   "the schema does not know the figures",
	"claim-with-what":    "the schema does not know the names of the parts",
	"circle-of-waiting":  "only the whole sheet shows it",
	"dome-fills-chamber": "only the resolved machine shows it",
	"slipped-point":      noSizes,
	"endless-chain":      noSizes,
	"pounds-of-pressure": noSizes,
	"adds-a-ton":         noSizes,

	"tolerance-past-zero": noSizes,

	"anchor":    "plain YAML allows anchors",
	"bad-price": "the decimals depend on the currency",
	"comma":     "whether a comma can be read two ways takes more than a pattern",
}

// Schema and program agree which mutated sheets are wrong, and in which entry.
func TestSchemaAgreesOnMutatedSheets(t *testing.T) {
	schema := printed(t)
	for _, m := range mutations {
		text, _ := spoil(t, m)
		err := func() error {
			var any any
			if err := yaml.Unmarshal([]byte(text), &any); err != nil {
				return err
			}
			plain, err := json.Marshal(any)
			if err != nil {
				return err
			}
			instance, err := jsonschema.UnmarshalJSON(bytes.NewReader(plain))
			if err != nil {
				return err
			}
			return schema.Validate(instance)
		}()
		reason, beyond := beyondSchema[m.name]
		switch {
		case err == nil && !beyond:
			t.Errorf("%s: the schema finds nothing wrong", m.name)
		case err != nil && beyond:
			t.Errorf("%s: %s, and yet: %v", m.name, reason, err)
		}
		if invalid, ok := err.(*jsonschema.ValidationError); ok {
			if where := places(invalid); !about(where, m) {
				t.Errorf("%s: the schema complains about %s", m.name, where)
			}
		}
	}
}

// places lists what the innermost complaints are about.
func places(e *jsonschema.ValidationError) string {
	if len(e.Causes) == 0 {
		return "/" + strings.Join(e.InstanceLocation, "/") + " " + fmt.Sprint(e.ErrorKind)
	}
	var list []string
	for _, cause := range e.Causes {
		list = append(list, places(cause))
	}
	return strings.Join(list, "; ")
}

// about says whether a complaint is about what a mutation spoils: the new text, its key, or the key of its line.
func about(where string, m mutation) bool {
	inner, _, _ := strings.Cut(m.to, ":")
	outer, _, _ := strings.Cut(strings.TrimSpace(m.find), ":")
	for _, word := range []string{m.to, inner, outer} {
		if word = strings.Trim(word, ": "); word != "" && strings.Contains(where, word) {
			return true
		}
	}
	return false
}
