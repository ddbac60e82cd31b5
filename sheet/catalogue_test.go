package sheet

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

const catalogue = "sheet: 1\ncurrency: USD\nmachine: {layout: three-wheeler, engine: {bore: 74 mm measured}}\nparts:\n  p: {%s}\nbuilds: {a: [], b: [p]}\n"

func inCatalogue(part string) (*Sheet, error) {
	return Parse(&File{Name: "x.yaml", Text: []byte(fmt.Sprintf(catalogue, part))})
}

// Oversizes count from the machine's bore. An inch is 25.4 mm; the rest by hand.
func TestOversizes(t *testing.T) {
	for text, want := range map[string]float64{
		"+1 mm": 75, "+ 1 mm": 75, "0.020 over": 74.508, ".020 over": 74.508, "0.020 in over": 74.508, "20 thou over": 74.508, "0.50 mm oversize": 74.5, "0.5 mm o/s": 74.5, "\"+0,5 mm\"": 74.5, "75.5 mm": 75.5,
	} {
		s, err := inCatalogue("sets: {engine.bore: " + text + "}")
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		b, err := s.Project.Resolve("b")
		if err != nil {
			t.Fatal(err)
		}
		if got := 1000 * number(b, "engine.bore"); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %g mm, want %g", text, got, want)
		}
		if found, _ := s.Project.Resolve("a"); number(found, "engine.bore") != 0.074 {
			t.Errorf("%s changed the machine", text)
		}
	}
	for text, want := range map[string]string{"0.50 over": "has no unit", "+1": "has no unit", "+75.5 mm": "is no oversize", "0 mm over": "is no oversize", "+1 kg": "measures a mass", "wide over": "is no number"} {
		if _, err := inCatalogue("sets: {engine.bore: " + text + "}"); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "x.yaml:5") {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func TestMoneyOfCatalogues(t *testing.T) {
	for text, want := range map[string]int64{"$389": 38900, "US$ 389.00": 38900, "\"1,250.00\"": 125000, "389": 38900} {
		s, err := inCatalogue("price: " + text + ", core_charge: $40")
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if p := s.Project.Part("p"); p.Price != want || !p.Priced || p.Core != 4000 {
			t.Errorf("%s: %d and %d", text, p.Price, p.Core)
		}
	}
	for part, want := range map[string]string{"price: \"1,250\"": "two ways: 1250 or 1.250", "price: €389": "is in EUR, and the sheet is in USD", "core_charge: -5": "a negative core charge", "price: cheap": "no amount"} {
		if _, err := inCatalogue(part); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "x.yaml:5") {
			t.Errorf("%s: %v", part, err)
		}
	}
	if s, err := inCatalogue("price: price on request, lead: 4-6 weeks"); err != nil || s.Project.Part("p").Priced || s.Project.Part("p").Lead.Count != 6 {
		t.Errorf("on request: %v", err)
	}
}

func TestWordsForLayouts(t *testing.T) {
	for word, want := range map[string]string{"trike": "three-wheeler", "3-wheeler": "three-wheeler", "ATC": "three-wheeler", "atv": "quad", "four-wheeler": "quad", "quad bike": "quad", "motorcycle": "bike", "dirt bike": "bike"} {
		_, err := Parse(&File{Name: "x.yaml", Text: []byte("sheet: 1\nmachine: {layout: " + word + "}\nbuilds: {a: []}\n")})
		if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("did you mean %q?", want)) {
			t.Errorf("%s: %v", word, err)
		}
	}
	if _, err := inCatalogue("sets: {engine.stroke: 41,5 mm}"); err == nil || !strings.Contains(err.Error(), "inside { } a comma ends an entry") {
		t.Errorf("a comma in braces: %v", err)
	}
}
