package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
)

var update = flag.Bool("update", false, "rewrite the golden files; look at the difference before you commit it")

const example = "../../examples/fenmoor-t285.yaml"

// fixed is a run's surroundings in tests: no terminal, and a clock that stands.
// results are computed once for all tests.
var results = app.NewResults()

func fixed() (streams, *bytes.Buffer, *bytes.Buffer) {
	var out, err bytes.Buffer
	return streams{out: &out, err: &err, now: time.Date(2027, 5, 3, 12, 0, 0, 0, time.UTC), results: results}, &out, &err
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; run go test -update and look at what it wrote", err)
	}
	if diff := cmp.Diff(strings.ReplaceAll(string(want), "\r\n", "\n"), got); diff != "" {
		t.Errorf("%s differs (-want +got):\n%s", file, diff)
	}
}

// mutation spoils one line of the example.
type mutation struct {
	name     string
	find     string // the line that holds this
	from, to string
	other    int // lines by which the reported line may lie after the mutated one, because the fault shows only there
}

var mutations = []mutation{
	{name: "wrong-unit", find: "    bore: 74.00 mm", from: "74.00 mm", to: "74.00 kg"},
	{name: "no-unit", find: "    stroke: 66.3 mm", from: "66.3 mm ± 0.05 measured", to: "66.3"},
	{name: "comma", find: "    rod_length:", from: "118 mm", to: "1,180 mm"},
	{name: "misspelt-unit", find: "    liner_outer:", from: "82 mm", to: "82 mn"},
	{name: "misspelt-key", find: "    piston_mass:", from: "piston_mass", to: "piston_mas"},
	{name: "misspelt-section", find: "  driveline:", from: "driveline", to: "drivline"},
	{name: "unknown-top-key", find: "track:", from: "track:", to: "trak:"},
	{name: "tab", find: "    redline:", from: "    redline", to: "\tredline"},
	{name: "not-a-number", find: "    redline:", from: "8500 rpm", to: "NaN rpm"},
	{name: "infinite", find: "    redline:", from: "8500 rpm", to: "1e999 rpm"},
	{name: "dot-nan", find: "    redline:", from: "8500 rpm", to: ".nan"},
	{name: "negative-mass", find: "    piston_mass:", from: "262 g", to: "-262 g"},
	{name: "slipped-point", find: "    stroke: 66.3 mm", from: "66.3 mm ± 0.05", to: "6.63 mm ± 0.05"},
	{name: "endless-chain", find: "    chain: {size", from: "pitches: 92", to: "pitches: 1000000000000"},
	{name: "endless-tolerance", find: "    stroke: 66.3 mm", from: "± 0.05", to: "± 1e300"},
	{name: "tolerance-past-zero", find: "    stroke: 66.3 mm", from: "± 0.05", to: "± 100"},
	{name: "pounds-of-pressure", find: "    front: {tyre", from: "pressure: 25 kPa", to: "pressure: 250 psi"},
	{name: "adds-a-ton", find: "    adds: {engine.head.piston_to_valve.intake: 1.0 mm", from: "engine.piston_mass: -2 g", to: "engine.piston_mass: -2000 kg"},
	{name: "share-above-one", find: "  mass: {dry", from: "0.33 measured", to: "1.33 measured"},
	{name: "duplicate-key", find: "    pin_mass:", from: "pin_mass: 74 g measured", to: "ring_mass: 74 g measured"},
	{name: "duplicate-part", find: "  fork-oil:", from: "fork-oil:", to: "fork-springs:"},
	{name: "truth-word", find: "    chain: {size", from: "oring: no", to: "oring: false"},
	{name: "wrong-word", find: "    cooling: air", from: "cooling: air", to: "cooling: wind"},
	{name: "unknown-layout", find: "  layout:", from: "three-wheeler", to: "tricycle"},
	{name: "unknown-part", find: "  club: [wide-axle", from: "wide-axle", to: "wide-axel"},
	{name: "unknown-path", find: "    sets: {driveline.clutch.spring_force_total", from: "spring_force_total", to: "spring_force"},
	{name: "unknown-figure", find: "    claims: [{says: \"30 % more clutch\"", from: "driveline.clutch_capacity", to: "driveline.clutch_capacit"},
	{name: "claim-two-numbers", find: "    claims: [{says: \"30 % more clutch\"", from: "factor: 1.3", to: "factor: 1.3, gain: 30 Nm"},
	{name: "claim-in-kilowatts", find: "    claims: [{says: \"30 % more clutch\"", from: "factor: 1.3", to: "gain: 2 kW"},
	{name: "claim-of-a-place", find: "    claims: [{says: \"30 % more clutch\"", from: "factor: 1.3", to: "factor: 1.3, at: rear wheel"},
	{name: "claim-at-the-wheels", find: "    claims: [{says: \"30 % more clutch\"", from: "factor: 1.3", to: "factor: 1.3, at: rear wheels"},
	{name: "claim-with-what", find: "    claims: [{says: \"30 % more clutch\"", from: "factor: 1.3", to: "factor: 1.3, with: [race-cem]"},
	{name: "circle-of-waiting", find: "    waits_for: [gussets]", from: "[gussets]", to: "[coating]"},
	{name: "bad-date", find: "race_day:", from: "2027-09-11", to: "2027-13-11"},
	{name: "bad-price", find: "    price: 214.00", from: "214.00", to: "214.005"},
	{name: "bad-currency", find: "currency:", from: "EUR", to: "EURO"},
	{name: "bad-lead", find: "    lead: 3 weeks", from: "3 weeks", to: "3 fortnights"},
	{name: "bad-bolts", find: "    front: {tyre:", from: "bolt_circle: 3 x 110 mm", to: "bolt_circle: 3 x 110"},
	{name: "format-two", find: "sheet: 1", from: "sheet: 1", to: "sheet: 2"},
	{name: "anchor", find: "    piston_mass:", from: "262 g", to: "&m 262 g"},
	{name: "scalar-for-map", find: "    clearances: {piston", from: "{piston: 0.045 mm ± 0.01 measured, ring_gap: 0.38 mm ± 0.03 measured, squish: 1.2 mm ± 0.1 measured}", to: "tight"},
	{name: "dome-fills-chamber", find: "    sets: {engine.bore: 75.5 mm", from: "8.6 cc", to: "86 cc"},
	{name: "missing-colon", find: "    rod_length:", from: "rod_length:", to: "rod_length", other: 1},
	{name: "open-bracket", find: "      exhaust: {opens: 44 deg", from: "lift: 8.0 mm ± 0.03 measured}", to: "lift: 8.0 mm ± 0.03 measured", other: 1},
}

// spoil gives the example with one line changed, and that line's number.
func spoil(t *testing.T, m mutation) (text string, line int) {
	t.Helper()
	whole, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(whole), "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, m.find) && strings.Contains(l, m.from) {
			lines[i] = strings.Replace(l, m.from, m.to, 1)
			return strings.Join(lines, "\n"), i + 1
		}
	}
	t.Fatalf("%s: no line begins with %q and holds %q", m.name, m.find, m.from)
	return "", 0
}

// unspoilt is how long a quick check of the example takes on this machine, as busy as it is.
var unspoilt = sync.OnceValue(func() time.Duration {
	s, _, _ := fixed()
	before := time.Now()
	run([]string{"check", "--quick", example}, s)
	return time.Since(before)
})

// refuse runs check on a text and wants exit code 2 within a second, or soon beside what a sheet without faults takes.
func refuse(t *testing.T, text string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "spoilt.yaml")
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	s, out, errors := fixed()
	before := time.Now()
	code := run([]string{"check", file}, s)
	if took := time.Since(before); took > max(time.Second, 20*unspoilt()) {
		t.Errorf("it took %v, a sheet without faults %v", took, unspoilt())
	}
	if code != 2 {
		t.Errorf("exit code %d, want 2\n%s%s", code, out, errors)
	}
	if out.Len() > 0 {
		t.Errorf("something on stdout: %s", out)
	}
	return errors.String()
}

func TestBadSheets(t *testing.T) {
	for _, m := range mutations {
		t.Run(m.name, func(t *testing.T) {
			text, line := spoil(t, m)
			message := refuse(t, text)
			place := fmt.Sprintf("spoilt.yaml:%d:", line)
			if m.other != 0 && !strings.Contains(message, place) {
				place = fmt.Sprintf("spoilt.yaml:%d:", line+m.other)
			}
			if !strings.HasPrefix(message, place) {
				t.Errorf("the first message does not name line %d:\n%s", line, message)
			}
			for _, want := range []string{"expected:", "remedy:"} {
				if !strings.Contains(message, want) {
					t.Errorf("no %q in:\n%s", want, message)
				}
			}
			golden(t, "bad/"+m.name+".txt", message)
		})
	}
}

func TestHostileSheets(t *testing.T) {
	whole, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	half := string(whole[:len(whole)/2])
	bomb := "sheet: 1\na: &a [x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a]\nc: &c [*b, *b, *b, *b, *b, *b, *b, *b]\nmachine: *c\n"
	for name, c := range map[string]struct {
		text string
		line int
	}{
		"brackets":      {"sheet: 1\nmachine: " + strings.Repeat("[", 200_000), 2},
		"braces":        {"sheet: 1\nmachine: " + strings.Repeat("{a: ", 100_000), 2},
		"indents":       {"sheet: 1\n" + stairs(200), 66},
		"alias-bomb":    {bomb, 2},
		"binary":        {"sheet: 1\nmachine: \x00\x01\x02\xff\xfe", 2},
		"empty":         {"", 1},
		"only-comments": {"# nothing\n# here\n", 1},
		"only-spaces":   {"   \n  \n", 1},
		"cut-in-half":   {half, strings.Count(half, "\n") + 1},
		"a-list":        {"- 1\n- 2\n", 1},
		"two-documents": {"sheet: 1\n---\nsheet: 1\n", 3},
		"huge":          {"sheet: 1\n" + strings.Repeat("# filler\n", 300_000), 1},
		"long-line":     {"sheet: 1\nmachine: {engine: {bore: " + strings.Repeat("9", 400_000) + " mm}}\n", 2},
	} {
		t.Run(name, func(t *testing.T) {
			message := refuse(t, c.text)
			if !strings.Contains(message, fmt.Sprintf("spoilt.yaml:%d:", c.line)) {
				t.Errorf("no message names line %d:\n%.600s", c.line, message)
			}
			if len(message) > 6000 {
				t.Errorf("the message has %d bytes", len(message))
			}
			golden(t, "hostile/"+name+".txt", message)
		})
	}
}

func stairs(levels int) string {
	var b strings.Builder
	for i := range levels {
		fmt.Fprintf(&b, "%s%s:\n", strings.Repeat(" ", i), "a")
	}
	return b.String()
}

func TestAllErrorsAtOnce(t *testing.T) {
	text, _ := spoil(t, mutations[0])
	text = strings.Replace(text, "redline: 8500 rpm", "redline: fast", 1)
	text = strings.Replace(text, "  club: [wide-axle", "  club: [wide-axel", 1)
	text = strings.Replace(text, "    keeps_busy: cylinder", "    keeps_bussy: cylinder", 1)
	message := refuse(t, text)
	if n := strings.Count(message, "remedy:"); n != 4 {
		t.Errorf("%d errors at once, want 4:\n%s", n, message)
	}
	golden(t, "bad/all-at-once.txt", message)
}

// A fault of the program has words, a trace and the exit code of what could not be computed: never that of bad input.
func TestAPanicHasWords(t *testing.T) {
	s, _, said := fixed()
	s.results = nil // which no run has
	if code := run([]string{"check", example}, s); code != asked.CannotCompute {
		t.Errorf("exit code %d", code)
	}
	for _, want := range []string{"a fault in the program", "goroutine"} {
		if !strings.Contains(said.String(), want) {
			t.Errorf("%q is missing in %s", want, said)
		}
	}
}

// A stroke typed as 6.63 mm for 66.3 is asked about and refused. A bore typed as 24 mm for 74 is none that nothing can
// be computed with, but with pi/4 x 2.4^2 x 6.63 = 29.99 cm3 over a chamber of 34 + 3.725 + 0.181 - 2.9 = 35.01 cm3 it
// is 1.86 : 1. Everything says so and goes on.
func TestASlippedDigitStopsNothing(t *testing.T) {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	type want struct {
		code int
		says string
	}
	refused := want{asked.BadInput, "did you mean 66.3 mm?"}
	for _, slip := range []struct {
		typed, slipped string
		says           map[string]want
	}{
		{"stroke: 66.3 mm ", "stroke: 6.63 mm ", map[string]want{"check": refused, "figures --quick": refused, "curve": refused, "cycle --speed 5000": refused, "check --json": refused, "lap": refused}},
		{"bore: 74.00 mm ", "bore: 24.00 mm ", map[string]want{
			"check":              {asked.Fine, "The bore is 24.0 mm"},
			"figures --quick":    {asked.Fine, "Compression ratio"},
			"curve":              {asked.CannotCompute, "compression ratio of 1.86"},
			"cycle --speed 5000": {asked.CannotCompute, "compression ratio of 1.86"},
			"check --json":       {asked.Fine, "figures"},
			"lap":                {asked.Fine, "laps in"},
		}},
	} {
		slipped := strings.Replace(string(text), slip.typed, slip.slipped, 1)
		if slipped == string(text) {
			t.Fatalf("no %q in the example", slip.typed)
		}
		path := filepath.Join(t.TempDir(), "slipped.yaml")
		if err := os.WriteFile(path, []byte(slipped), 0o600); err != nil {
			t.Fatal(err)
		}
		for args, want := range slip.says {
			s, out, said := fixed()
			code := run(append(strings.Fields(args), path, "--build", "as-found"), s)
			if code != want.code || !strings.Contains(out.String()+said.String(), want.says) || strings.Contains(out.String(), "NaN") {
				t.Errorf("%s, %s: exit code %d\n%s%s", slip.slipped, args, code, out, said)
			}
		}
	}
}
