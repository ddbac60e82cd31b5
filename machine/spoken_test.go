package machine

import (
	"strings"
	"testing"
)

// What an input is called stands in sentences: it is short, has no path in it, and no two inputs that are measured
// share it.
func TestSpokenNames(t *testing.T) {
	of := map[string]string{}
	for _, f := range Fields() {
		name := Spoken(f.Path)
		if name == "" || strings.ContainsAny(name, "_;:") || len(name) > 70 || strings.HasPrefix(name, "the ") {
			t.Errorf("%s is called %q", f.Path, name)
		}
		if strings.HasPrefix(f.Path, "measure.") || strings.Contains(f.Path, "[]") {
			continue // told within their own table
		}
		if other, twice := of[name]; twice {
			t.Errorf("%s and %s are both called %q", f.Path, other, name)
		}
		of[name] = f.Path
	}
	for path := range spokenNames() {
		if FieldAt(path) == nil && !strings.Contains(path, "[]") {
			t.Errorf("there is no input %s", path)
		}
	}
	if Spoken("engine.bore") != "bore" || Spoken("suspension.rear.leverage[1].ratio") != "leverage of the rear shock" || Spoken("no.such") != "no.such" {
		t.Error("a name is lost")
	}
}
