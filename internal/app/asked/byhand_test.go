package asked

import (
	"math"
	"os"
	"regexp"
	"testing"

	"shakedown/quantity"
)

// The sums on the page of pencil and paper agree with the program.
func TestSumsByHand(t *testing.T) {
	page, err := os.ReadFile("../../../docs/by-hand.md")
	if err != nil {
		t.Fatal(err)
	}
	results := regexp.MustCompile("(?m)^\\*\\*Result\\*\\* `([a-z_.]+)`, build ([a-z-]+): ([0-9.]+)(?: ([a-zA-Z0-9]+))?$").FindAllStringSubmatch(string(page), -1)
	if len(results) != 6 {
		t.Fatalf("%d results on the page, want 6", len(results))
	}
	for _, r := range results {
		a, err := Ask(Question{Path: example, Build: r[2]})
		if err != nil {
			t.Fatal(err)
		}
		f, err := a.Figure(r[1])
		if err != nil {
			t.Error(err)
			continue
		}
		text := r[3]
		if r[4] != "" {
			text += " " + r[4]
		}
		want, err := quantity.ParseAny(text)
		if err != nil {
			t.Errorf("%s: %q: %v", r[1], text, err)
			continue
		}
		if math.Abs(f.Value-want.Value) > 0.003*math.Abs(want.Value) {
			t.Errorf("%s of %s: by hand %g, program %g", r[1], r[2], want.Value, f.Value)
		}
	}
}
