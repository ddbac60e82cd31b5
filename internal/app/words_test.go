package app

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/machine"
	"shakedown/sheet"
)

// A dotted path of an input or a figure, or the name of a file, in a sentence.
var pathInWords = regexp.MustCompile(`\b(air|rider|class_rules|condition|mass|tank|geometry|engine|driveline|wheels|suspension|brakes|electrics|track|measure|fits|chassis|axle|tyres)(\[\d+\])?\.[a-z_]+|\.(yaml|md|go|csv)\b`)

// bareBuild says that a sentence speaks of a build without saying so.
func bareBuild(text string, builds []string) string {
	for _, b := range builds {
		for at, rest := 0, text; ; {
			i := strings.Index(rest, b)
			if i < 0 {
				break
			}
			at += i
			before, after := text[:at], text[at+len(b):]
			inWord := strings.HasSuffix(before, "-") || strings.HasPrefix(after, "-")
			if !inWord && !(strings.HasSuffix(before, `"`) && strings.HasPrefix(after, `"`)) {
				return b
			}
			at += len(b)
			rest = text[at:]
		}
	}
	return ""
}

// Sentences for the owner name inputs, parts and builds as an owner does: no dotted path, no file, no bare name of a
// build. The machines are those of the examples, and new ones of each layout, where nearly everything is missing.
func TestSentencesSpeakTheOwnersWords(t *testing.T) {
	questions := map[string]asked.Question{
		"three-wheeler, overdone": {Path: "../../examples/fenmoor-t285.yaml", Build: "overdone", Against: "as-found"}, "three-wheeler, as found": {Path: "../../examples/fenmoor-t285.yaml", Build: "as-found"},
		"quad": {Path: "../../examples/sallow-q250.yaml", Against: "as-found"}, "bike": {Path: "../../examples/brackwater-246.yaml", Against: "as-found"},
	}
	for _, layout := range machine.Layouts {
		text, err := sheet.New(layout, map[string]string{"layout": layout}, "2027-05-03")
		if err != nil {
			t.Fatal(err)
		}
		// a part that needs another, takes an input off, sets one twice over and claims what cannot be judged
		text = []byte(strings.Replace(string(text), "parts: {}", "parts:\n  one:\n    name: First part\n    sets: {engine.bore: 90 mm}\n    needs: [two]\n    claims: [{says: much, of: engine.piston_to_valve.intake, factor: 1.2}, {says: more, of: engine.peak_power, value: 20 kW}, {of: engine.peak_torque, gain: 2 Nm, with: [two]}, {of: engine.mean_piston_speed, gain: 2 m/s}]\n"+
			"  two:\n    name: Second part\n    sets: {engine.bore: 91 mm}\n    removes: [mass.front_share]\n    excludes: [one]", 1))
		text = []byte(strings.Replace(string(text), "as-found: []", "as-found: []\n  all-of-it: [one]", 1))
		file := filepath.Join(t.TempDir(), "new.yaml")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		questions["new "+layout] = asked.Question{Path: file, Build: "all-of-it", Against: "as-found"}
	}
	for name, q := range questions {
		a, err := asked.Ask(q)
		if err != nil {
			t.Fatal(err)
		}
		builds := []string{"as-found", "overdone", "all-of-it"}
		say := func(where, text string) {
			t.Helper()
			if found := pathInWords.FindString(text); found != "" {
				t.Errorf("%s, %s: %q in %q", name, where, found, text)
			}
			if found := bareBuild(text, builds); found != "" {
				t.Errorf("%s, %s: bare %q in %q", name, where, found, text)
			}
		}
		for _, f := range a.Findings {
			say(f.Rule, f.Text)
			say(f.Rule+", remedy", f.Remedy)
			say(f.Rule+", why", f.Why)
		}
		for _, f := range a.Figures {
			if f.State != figure.Ready {
				say(f.ID, f.Why)
			}
		}
		for _, v := range a.Verdicts {
			say("claim", v.Text)
		}
		for _, m := range a.Measure {
			say("how to measure "+m.Path, m.How)
		}
		say("advice", a.Advice.Text)
		say("measure first", a.MeasureFirst())
		say("order first", a.OrderFirst())
		say("on offer", a.OnOffer())
		for _, text := range append(a.Riding(), asked.MeasuringCare()...) {
			say("care", text)
		}
		if tips, err := course.TipsOf(a); err == nil {
			say("tip-over", tips.Answer().Lead)
		}
	}
	for _, f := range machine.Fields() {
		if found := pathInWords.FindString(f.How); found != "" {
			t.Errorf("how to get %s: %q in %q", f.Path, found, f.How)
		}
	}
	if pathInWords.FindString("needs wheels.axle.yield, see") == "" || bareBuild(`club and build "club"`, []string{"club"}) == "" || bareBuild(`build "club" and sky-club-x`, []string{"club"}) != "" {
		t.Error("the test does not see what it looks for")
	}
}
