package sheet

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// validator reads a sheet as plain YAML and validates it with a library that knows nothing of sheets.
func validator(t testing.TB) func(text []byte) error {
	t.Helper()
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
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
	return func(text []byte) error {
		var any any
		if err := yaml.Unmarshal(text, &any); err != nil {
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
	}
}

// All examples, and a new sheet for each layout, are valid for an independent validator.
func TestExamplesAreValid(t *testing.T) {
	validate := validator(t)
	names, err := filepath.Glob("../examples/*.yaml")
	if err != nil || len(names) < 3 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, layout := range []string{"three-wheeler", "quad", "bike"} {
		text, err := New(layout, map[string]string{"layout": layout}, "2027-05-03")
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(text); err != nil {
			t.Errorf("new %s: %v", layout, err)
		}
	}
}
