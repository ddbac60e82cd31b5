package app

import (
	"os"
	"strings"
	"testing"
	"time"

	"shakedown/internal/app/asked"
	"shakedown/sheet"
)

// What a lap, sprockets and start, and the worth of the parts are kept under: each changes with what the result reads,
// and with nothing else.
func TestWhatIsKeptGoesByWhatItReads(t *testing.T) {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	key := func(what string, changes ...string) string {
		t.Helper()
		changed := string(text)
		for i := 0; i < len(changes); i += 2 {
			if !strings.Contains(changed, changes[i]) {
				t.Fatalf("the example does not hold %q", changes[i])
			}
			changed = strings.Replace(changed, changes[i], changes[i+1], 1)
		}
		a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet", Text: []byte(changed)}, Build: "club", Against: "as-found", Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			t.Fatal(err)
		}
		return lapKey(what, "p", a, "")
	}
	comment := []string{"stroke: 66.3 mm", "# measured twice\n    stroke: 66.3 mm"}
	written := []string{"stroke: 66.3 mm ± 0.05", "stroke: 6.63 cm ± 0.005"}
	price := []string{"price: 95.00", "price: 96.00"}
	moved := []string{"stroke: 66.3 mm", "stroke: 66.4 mm"}
	surer := []string{"stroke: 66.3 mm ± 0.05", "stroke: 66.3 mm ± 0.02"}
	other := []string{"engine.bore: 75.5 mm", "engine.bore: 75.6 mm"} // of a part that the build has not
	for _, c := range []struct {
		name    string
		changes []string
		moves   map[string]bool
	}{
		{"a comment", comment, nil},
		{"a stroke in other words", written, nil},
		{"a price", price, map[string]bool{"value": true}},
		{"a part that the build has not", other, map[string]bool{"value": true}},
		{"an input", moved, map[string]bool{"lap": true, "line": true, "value": true}},
		{"a tolerance", surer, map[string]bool{"lap": true, "line": true, "value": true}},
	} {
		for _, what := range []string{"lap", "line", "value"} {
			if got := key(what) != key(what, c.changes...); got != c.moves[what] {
				t.Errorf("%s moves the key of %s: %v, want %v", c.name, what, got, c.moves[what])
			}
		}
	}
	a, err := asked.Ask(asked.Question{Path: example, Build: "club", Against: "as-found", Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	if lapKeyOf(lapModel, "lap", "p", a, "") == lapKeyOf(lapModel+1, "lap", "p", a, "") {
		t.Error("a lap of another model is served")
	}
	if lapKey("value", "p", a, "100") == lapKey("value", "p", a, "200") {
		t.Error("two budgets share what is kept")
	}
	if TrackKey(a, "lap", "p", "100") != TrackKey(a, "lap", "p", "") {
		t.Error("a lap is worked out again under a budget")
	}
}
