package check

import (
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// A conflict that turns inside the range of a typical value is a reading to take first; one that holds over all of it
// is a conflict, as is one of a value that somebody gave. The hole of a gasket is usually bore + 2 mm ± 0.8 mm, and
// needs bore + 1 mm.
func TestTypicalValuesMakeNoConflict(t *testing.T) {
	for _, c := range []struct {
		what, gasket, bore string
		want               figure.Severity
		measure            string
	}{
		{"turns inside the range", "", "75.5 mm", figure.Caution, "engine.chamber.gasket_bore"},
		{"holds over the whole range", "", "76.5 mm", figure.Conflict, ""},
		{"was measured", "\n    chamber: {gasket_bore: 76 mm measured}", "75.5 mm", figure.Conflict, ""},
	} {
		t.Run(c.what, func(t *testing.T) {
			text := "sheet: 1\ncurrency: EUR\nmachine:\n  layout: bike\n  engine:\n    bore: 74 mm measured" + c.gasket +
				"\nparts:\n  kit: {kind: cylinder, sets: {engine.bore: " + c.bore + "}}\nbuilds:\n  as-found: []\n  big: [kit]\n"
			s, err := sheet.Parse(&sheet.File{Name: "mine.yaml", Text: []byte(text)})
			if err != nil {
				t.Fatal(err)
			}
			now, _ := s.Project.Resolve("big")
			before, _ := s.Project.Resolve("as-found")
			found := false
			for _, f := range Run(NewContext(now, before, forecast.Forecast(now, before), quantity.Metric)) {
				if f.Rule != "gasket-over-bore" {
					continue
				}
				found = true
				if f.Severity != c.want || f.Measure != c.measure {
					t.Errorf("%v, measure %q: %s %s", f.Severity, f.Measure, f.Text, f.Remedy)
				}
				if c.measure != "" && !strings.Contains(f.Remedy, "Measure this first: the hole of the head gasket") {
					t.Errorf("the remedy does not say what to measure: %s", f.Remedy)
				}
			}
			if !found {
				t.Error("nothing is said")
			}
		})
	}
}

// A machine that is known by bore, stroke, valves and printed ratio has no conflict, whatever its size and layout.
func TestBegunMachinesHaveNoConflict(t *testing.T) {
	for _, layout := range machine.Layouts {
		for _, size := range [][2]string{{"52 mm", "49.5 mm"}, {"68 mm", "45 mm"}, {"74 mm", "60 mm"}, {"89 mm", "80 mm"}, {"100 mm", "82 mm"}} {
			for _, valves := range []string{"1", "2"} {
				for _, use := range machine.Tunings {
					text, err := sheet.New(layout, map[string]string{"layout": layout, "engine.bore": size[0] + " measured", "engine.stroke": size[1] + " measured", "engine.head.intake_valve.count": valves, "engine.tuned_for": use, "engine.claimed_ratio": "9.3"}, "2026-11-28")
					if err != nil {
						t.Fatal(err)
					}
					s, err := sheet.Parse(&sheet.File{Name: "mine.yaml", Text: text})
					if err != nil {
						t.Fatal(err)
					}
					b, err := s.Project.Resolve("as-found")
					if err != nil {
						t.Fatal(err)
					}
					for _, f := range Run(NewContext(b, b, forecast.Forecast(b, b), quantity.Metric)) {
						if f.Severity == figure.Conflict || f.Measure != "" {
							t.Errorf("%s, %s x %s, %s valves, %s: %s", layout, size[0], size[1], valves, use, f.Text)
						}
					}
				}
			}
		}
	}
}
