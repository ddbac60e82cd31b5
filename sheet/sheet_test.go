package sheet

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"shakedown/machine"
	"shakedown/quantity"
)

func example(t testing.TB) []byte {
	t.Helper()
	text, err := os.ReadFile("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func parsed(t testing.TB, text string) *machine.Project {
	t.Helper()
	s, err := Parse(&File{Name: "a.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return s.Project
}

func resolved(t testing.TB, p *machine.Project, build string) *machine.Build {
	t.Helper()
	b, err := p.Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// number is the SI number of an input of a build.
func number(b *machine.Build, path string) float64 { return b.Project.Number(b.Values[path]) }

func near(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want)) }

func TestExampleReads(t *testing.T) {
	p := parsed(t, string(example(t)))
	if p.Currency != "EUR" || !p.RaceDay.Equal(time.Date(2027, 9, 11, 0, 0, 0, 0, time.UTC)) || len(p.Parts) < 15 || len(p.Builds) != 4 {
		t.Errorf("currency %s, race %v, %d parts, %d builds", p.Currency, p.RaceDay, len(p.Parts), len(p.Builds))
	}
	full := resolved(t, p, "full")
	for path, want := range map[string]float64{
		"engine.bore": 0.0755, "engine.chamber.dome": 8.0e-6, "engine.head.piston_to_valve.intake": 4.4e-3, "wheels.rear.rim_width": 9 * 0.0254, "driveline.gears[1]": 1.94,
		"engine.ignition_advance[1].deg": 29 * math.Pi / 180, "engine.exhaust.header[0].bore": 0.038, "rider.drag_area": 0.65, "air.temperature": 293.15,
		"suspension.rear.leverage[1].ratio": 2.7, "track.sections[6].climb": 0.06, "engine.fuel.lambda": 0.88,
	} {
		if got := number(full, path); !near(got, want) {
			t.Errorf("%s is %g, want %g", path, got, want)
		}
	}
	bore := full.Values["engine.bore"]
	if bore.Origin.Part != "high-piston" || bore.Origin.Line == 0 || bore.Origin.File != "a.yaml" {
		t.Errorf("the bore does not remember who set it: %+v", bore.Origin)
	}
	if q := p.Atoms[bore.Terms[0]].Q; q.Known != quantity.Claimed || q.Text != "75.5 mm" {
		t.Errorf("a part's number is not claimed: %+v", q)
	}
	if found := resolved(t, p, "as-found"); number(found, "engine.bore") != 0.074 || found.Values["wheels.front.hub"].Bolts.Count != 3 {
		t.Error("the machine as found was changed by a build")
	}
}

const small = `sheet: 1
machine: {engine: {bore: 74 mm, stroke: 66 mm}, driveline: {gears: [2.7, 1.9, 1.4]}, wheels: {axle: {weakest: {diameter: 24 mm, from_centre: 110 mm}}}}
parts:
  big: {price: 10.00, sets: {engine.bore: 76 mm, driveline.gears: [2.5, 1.8]}, needs: [work], excludes: [rival]}
  work: {price: 5.00, time: 2 days, waits_for: [big]}
  rival: {sets: {engine.bore: 75 mm}, adds: {engine.stroke: 1 mm, mass.dry: {mass: -2 kg, x: 100 mm, z: 300 mm}}}
  bare: {removes: [wheels.axle.weakest, work]}
builds:
  found: []
  one: [big]
  clash: [rival, big, work]
  less: [big, bare]
`

func TestBuilds(t *testing.T) {
	p := parsed(t, small)
	one := resolved(t, p, "one")
	if !one.PulledIn["work"] || len(one.Missing) != 1 || !one.Has("work") {
		t.Errorf("the need is not pulled in: %+v", one.Missing)
	}
	if one.Len("driveline.gears") != 2 || number(one, "driveline.gears[1]") != 1.8 {
		t.Errorf("the list of gears is not replaced whole: %d", one.Len("driveline.gears"))
	}
	clash := resolved(t, p, "clash")
	if len(clash.Clashes) != 1 || clash.Clashes[0].Excludes != "rival" {
		t.Errorf("no clash: %+v", clash.Clashes)
	}
	if len(clash.Overlaps) != 1 || clash.Overlaps[0].First.Part != "rival" || clash.Overlaps[0].Second.Part != "big" || number(clash, "engine.bore") != 0.076 {
		t.Errorf("the later does not win, or not both lines are named: %+v, bore %g", clash.Overlaps, number(clash, "engine.bore"))
	}
	if !near(number(clash, "engine.stroke"), 0.067) || len(clash.Masses) != 1 {
		t.Errorf("nothing is added: stroke %g, masses %v", number(clash, "engine.stroke"), clash.Masses)
	}
	less := resolved(t, p, "less")
	if less.Given("wheels.axle.weakest.diameter") || less.Has("work") {
		t.Error("what bare removes is still there")
	}
	if _, err := p.Resolve("twoo"); err == nil || !strings.Contains(err.Error(), "less") {
		t.Errorf("an unknown build: %v", err)
	}
}

const takenOff = `sheet: 1
machine: {engine: {bore: 74 mm, exhaust: {silencer: {volume: 2 l, outlet_bore: 26 mm}}}}
parts:
  pipe: {needs: [kit]}
  kit: {removes: [old-box, engine.exhaust.silencer]}
  old-box: {sets: {engine.intake.airbox_volume: 5 l}}
  megaphone: {removes: [engine.exhaust.silencer]}
  quiet: {sets: {engine.exhaust.silencer.volume: 3 l}}
  longer: {adds: {engine.exhaust.silencer.volume: 1 l}}
  guess: {adds: {engine.head.valve_gap: 1 mm}}
  wants-box: {needs: [old-box]}
  first: {removes: [second]}
  second: {removes: [third]}
  third: {sets: {engine.bore: 75 mm}}
  pair: {removes: [mate]}
  mate: {removes: [pair]}
  asks: {needs: [eats]}
  eats: {removes: [asks]}
builds:
  found: []
  pulled: [old-box, pipe]
  after: [megaphone, quiet]
  before: [quiet, megaphone]
  added: [megaphone, longer]
  nothing: [guess]
  hungry: [wants-box, pipe]
  chain: [first, second, third]
  backwards: [third, second, first]
  both: [pair, mate]
  circle: [asks]
`

// What comes off: parts are laid in order, each takes off what it removes and then sets what it sets, so the later
// counts; additions come after all.
func TestWhatComesOff(t *testing.T) {
	p := parsed(t, takenOff)
	undone := func(name string, how machine.Undoing, off, other string, what ...string) *machine.Build {
		t.Helper()
		b := resolved(t, p, name)
		for _, u := range b.Undone {
			if u.How == how && u.Off.Part == off && u.Other.Part == other && slices.Equal(u.What, what) && u.Off.Line+u.Other.Line > 0 {
				return b
			}
		}
		t.Errorf("%s: not said: %s, %s, %v; said: %+v", name, off, other, what, b.Undone)
		return b
	}
	const volume = "engine.exhaust.silencer.volume"
	if b := undone("pulled", machine.PartOff, "kit", "", "old-box"); b.Has("old-box") || b.Given(volume) || number(b, "engine.intake.airbox_volume") == 5e-3 || !b.Has("kit") {
		t.Error("what a part that is pulled in takes off stays on")
	}
	if b := undone("after", machine.SetAgain, "megaphone", "quiet", volume); number(b, volume) != 3e-3 || b.Given("engine.exhaust.silencer.outlet_bore") {
		t.Error("taken off, then 3 l: it has 3 l and no outlet")
	}
	if b := undone("before", machine.TakenOff, "megaphone", "quiet", volume); b.Given(volume) {
		t.Error("set, then taken off: there is none")
	}
	if b := undone("added", machine.NothingToAddTo, "megaphone", "longer", volume); b.Given(volume) {
		t.Error("1 l more than nothing is nothing, not 1 l")
	}
	if b := undone("nothing", machine.NothingToAddTo, "", "guess", "engine.head.valve_gap"); b.Given("engine.head.valve_gap") {
		t.Error("1 mm more than what nobody knows is not 1 mm")
	}
	if b := undone("hungry", machine.NeedOff, "kit", "wants-box", "old-box"); b.Has("old-box") {
		t.Error("the box is still there")
	}
	for _, name := range []string{"chain", "backwards"} { // the second is off, so it takes nothing off
		if b := undone(name, machine.PartOff, "first", "", "second"); b.Has("second") || !b.Has("third") || number(b, "engine.bore") != 0.075 {
			t.Errorf("%s: a part that is off takes off another", name)
		}
	}
	if b := resolved(t, p, "both"); len(b.Clashes) != 1 || len(b.Parts) != 1 {
		t.Errorf("two that take each other off: %+v, %d parts", b.Clashes, len(b.Parts))
	}
	if b := resolved(t, p, "circle"); len(b.Clashes) != 1 || !b.Has("asks") || !b.Has("eats") {
		t.Errorf("a part that takes off what needs it: %+v", b.Clashes)
	}
	for _, name := range []string{"found"} {
		if b := resolved(t, p, name); len(b.Undone)+len(b.Clashes) > 0 {
			t.Errorf("%s: %+v", name, b.Undone)
		}
	}
}

func TestTypicalFillsIn(t *testing.T) {
	p := parsed(t, small)
	found := resolved(t, p, "found")
	v := found.Values["rider.mass"]
	if p.Typical == 0 || len(v.Terms) != 1 || p.Atoms[v.Terms[0]].Q.Known != quantity.Typical || v.Origin.Line != 0 {
		t.Errorf("the rider is not typical: %+v", v)
	}
	if found.Given("rider.cg.x") || found.Given("wheels.front.loaded_radius") {
		t.Error("optional inputs are filled from the template")
	}
	if found.Len("driveline.gears") != 3 {
		t.Errorf("a list that the sheet gives is mixed with the template: %d gears", found.Len("driveline.gears"))
	}
}

func TestBrokenSums(t *testing.T) {
	p := parsed(t, "sheet: 1\nmachine: {engine: {bore: 74 mm}}\nparts:\n  p:\n    adds: {engine.bore: -80 mm}\nbuilds: {b: [p]}\n")
	b := resolved(t, p, "b")
	if len(b.Broken) != 1 || b.Broken[0].Origin.Line != 5 {
		t.Errorf("a bore of -6 mm passes: %+v", b.Broken)
	}
}

func TestFolder(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("a.yaml", "sheet: 1\nmachine: {engine: {bore: 74 mm}}\nbuilds: {all: [p]}\n")
	write("b.yml", "sheet: 1\ncurrency: JPY\nmachine: {engine: {stroke: 66 mm}}\nparts: {p: {price: 3000}}\n")
	write("notes.txt", "not a sheet")
	s, err := Read(folder)
	if err != nil {
		t.Fatal(err)
	}
	b := resolved(t, s.Project, "all")
	if number(b, "engine.bore") != 0.074 || number(b, "engine.stroke") != 0.066 || s.Project.Part("p").Price != 3000 {
		t.Error("the files are not merged")
	}
	write("c.yaml", "machine: {engine: {bore: 75 mm}}\n")
	_, err = Read(folder)
	var list Errors
	if !errors.As(err, &list) || len(list) != 1 || !strings.Contains(list[0].Problem, "a.yaml:2") || !strings.HasSuffix(list[0].File, "c.yaml") {
		t.Errorf("the same entry in two files: %v", err)
	}
	if _, err := Read(t.TempDir()); err == nil {
		t.Error("an empty folder is a sheet")
	}
	if _, err := Read(filepath.Join(folder, "gone.yaml")); err == nil || !strings.Contains(err.Error(), "gone.yaml") {
		t.Errorf("a file that is not there: %v", err)
	}
}

// Columns count characters, so the caret stands under the right one also after a ±.
func TestCaretAfterWideCharacters(t *testing.T) {
	text := strings.Replace(string(example(t)), "ring_gap: 0.38 mm", "ring_gap: 0.38 mn", 1)
	_, err := Parse(&File{Name: "a.yaml", Text: []byte(text)})
	var list Errors
	if !errors.As(err, &list) || len(list) != 1 {
		t.Fatalf("one error wanted: %v", err)
	}
	d := list[0]
	runes := []rune(d.Excerpt)
	if got := string(runes[d.Column-1 : d.Column-1+d.Length]); got != "mn" {
		t.Errorf("the caret stands under %q in %q", got, d.Excerpt)
	}
}

func TestCircleNamesAll(t *testing.T) {
	_, err := Parse(&File{Name: "a.yaml", Text: []byte("sheet: 1\nmachine: {name: x}\nparts:\n  a: {waits_for: [c]}\n  b: {waits_for: [a]}\n  c: {waits_for: [b]}\nbuilds: {z: [a]}\n")})
	var list Errors
	if !errors.As(err, &list) || len(list) != 1 || list[0].Line != 6 || !strings.Contains(list[0].Problem, "a waits for c waits for b waits for a") {
		t.Errorf("circle: %v", err)
	}
}

func TestEdit(t *testing.T) {
	text := example(t)
	for _, c := range []struct{ path, old, new string }{
		{"engine.bore", "74.00 mm ± 0.01 measured", "75.00 mm ± 0.02 measured"},
		{"machine.engine.bore", "74.00 mm ± 0.01 measured", "2.95 in"},
		{"engine.clearances.ring_gap", "0.38 mm ± 0.03 measured", "0.40 mm"},
		{"driveline.gears[2]", "1.45", "1.5"},
		{"engine.ignition_advance[1].deg", "29", "30"},
		{"driveline.chain.size", "520", "428"},
		{"parts.wide-axle.price", "310.00", "289.00"},
		{"parts.wide-axle.sets.geometry.track_rear", "880 mm", "900 mm"},
		{"parts.high-piston.claims[0].says", "10.6 to 1", "a lot: 11, they say"},
		{"parts.high-piston.claims[0].value", "10.6", "10.8"},
		{"rider.mass", "74 kg measured", "80 kg"},
		{"parts.head-pipe.adds.mass.dry.mass", "-0.4 kg", "-0.6 kg"},
		{"title", "Fenmoor T285 for the autumn short-course series (invented)", `He said "go" # not a comment`},
	} {
		after, err := Edit(text, c.path, c.old, c.new)
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if got, err := Get(after, c.path); err != nil || got != c.new {
			t.Errorf("%s reads back as %q (%v)", c.path, got, err)
		}
		back, err := Edit(after, c.path, c.new, c.old)
		if err != nil {
			t.Errorf("%s back: %v", c.path, err)
			continue
		}
		// Quotes that were there, or had to come, are the only bytes that may differ after going there and back.
		if unquoted(string(back)) != unquoted(string(text)) {
			t.Errorf("%s: there and back is not the same text", c.path)
		}
	}
	if _, err := Edit(text, "engine.bore", "73 mm", "75 mm"); !errors.Is(err, ErrChanged) {
		t.Errorf("an edit of a value that has changed: %v", err)
	}
	for _, path := range []string{"engine.boar", "engine", "driveline.gears", "driveline.gears[9]", "driveline.gears[x]"} {
		if _, err := Edit(text, path, "", "1"); err == nil {
			t.Errorf("%s is edited", path)
		}
	}
	if _, err := Edit(text, "engine.bore", "74.00 mm ± 0.01 measured", "75 mm\nstroke: 1 mm"); err != nil {
		t.Logf("several lines are refused: %v", err)
	} else if after, _ := Edit(text, "engine.bore", "74.00 mm ± 0.01 measured", "75 mm\nstroke: 1 mm"); strings.Count(string(after), "\n") != strings.Count(string(text), "\n") {
		t.Error("an edit of one value made new lines")
	}
}

func unquoted(text string) string { return strings.NewReplacer(`"`, "", `\`, "").Replace(text) }

// An edit touches exactly the bytes of the value, wherever it stands and whatever goes in.
func TestEditKeepsEveryOtherByte(t *testing.T) {
	text := example(t)
	paths := []string{"engine.stroke", "engine.chamber.dome", "wheels.front.pressure", "suspension.front.oil_air_gap", "parts.fork-oil.price", "air.altitude", "track.sections[3].radius", "driveline.primary"}
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(t, "path")
		value := rapid.StringMatching(`[ -~±µäß]{1,30}`).Draw(t, "value")
		old, err := Get(text, path)
		if err != nil {
			t.Fatal(err)
		}
		after, err := Edit(text, path, old, value)
		if err != nil {
			return // refused, and nothing written
		}
		at := strings.Index(string(text), old)
		for at >= 0 && string(after[:at]) != string(text[:at]) {
			t.Fatalf("bytes before the value differ")
		}
		got, err := Get(after, path)
		if err != nil || got != value {
			t.Fatalf("%s reads back as %q, want %q (%v)", path, got, value, err)
		}
		// Take the new value out of the new text and the old one out of the old: what is left must be the same.
		_, span, err := locate(&File{Text: after}, path)
		if err != nil {
			t.Fatal(err)
		}
		_, before, err := locate(&File{Text: text}, path)
		if err != nil {
			t.Fatal(err)
		}
		if string(after[:span[0]]) != string(text[:before[0]]) || string(after[span[1]:]) != string(text[before[1]:]) {
			t.Fatal("a byte outside the value changed")
		}
	})
}

// long is a sheet of so many lines: the example with more parts on offer.
func long(t testing.TB, lines int) []byte {
	t.Helper()
	head, tail, ok := strings.Cut(string(example(t)), "\nbuilds:\n")
	if !ok {
		t.Fatal("the example has no builds")
	}
	var b strings.Builder
	b.WriteString(head)
	for n := strings.Count(head, "\n") + strings.Count(tail, "\n") + 2; n < lines; n += 10 {
		fmt.Fprintf(&b, "\n  axle-%[1]d:\n    kind: axle\n    name: Axle number %[1]d\n    price: %[1]d.50\n    lead: %[2]d days\n    sets: {geometry.track_rear: %[3]d mm, wheels.axle.diameter: 30 mm ± 0.02 mm claimed}\n    adds: {mass.dry: {mass: 1.4 kg, x: 0 mm, z: 279 mm, unsprung: yes}}\n    claims: [{says: \"stronger\", of: axle.section_strength, factor: 1.5}]\n    # a comment\n", n, n%40+1, 800+n%200)
	}
	return []byte(b.String() + "\nbuilds:\n" + tail)
}

func BenchmarkFiveThousandLines(b *testing.B) {
	text := long(b, 5000)
	if n := strings.Count(string(text), "\n"); n < 4980 || n > 5100 {
		b.Fatalf("%d lines", n)
	}
	b.ReportAllocs()
	for b.Loop() {
		s, err := Parse(&File{Name: "long.yaml", Text: text})
		if err != nil {
			b.Fatal(err)
		}
		for _, build := range s.Project.BuildNames() {
			if _, err := s.Project.Resolve(build); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(5000*float64(b.N)/b.Elapsed().Seconds(), "lines/s")
}

func FuzzParse(f *testing.F) {
	f.Add(string(example(f)))
	f.Add(small)
	for _, seed := range []string{"", "sheet: 1", "sheet: 1\nbuilds: {a: []}\nmachine: {engine: {bore: 74 mm ± 1 %}}\n", "- a\n- b", "a: &a [*a]", "{", "}", "\"", "'", "? x\n: y", "sheet: !!int 1", "a: |\n  b\n", "machine: {engine: {bore: [1, 2]}}", "parts: {a: {claims: [{of: x}]}}", "sheet: 1\nparts: {a: {claims: [{of: engine.peak_power, at: rear wheel, gain: -2 hp, with: [a, b]}]}, b: {}}\nbuilds: {z: [a, b]}\n", "sheet: 1\nparts: {a: {claims: [{of: x, value: 1, factor: 2}, {of: x, at: [], with: 3}, {gain: 1 C}]}}\nbuilds: {z: []}\n", "sheet: 1\n\tmachine: 1", "<<: {a: 1}", "é: ±", "builds: {a: [a, a]}", "parts:\n  p: {adds: {mass.dry: [{mass: 1 kg, x: 0 mm, z: 0 mm}]}}\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(&File{Name: "f.yaml", Text: []byte(text)})
		var list Errors
		switch {
		case err == nil:
			for _, name := range s.Project.BuildNames() {
				if _, err := s.Project.Resolve(name); err != nil {
					t.Fatal(err)
				}
			}
		case !errors.As(err, &list) || len(list) == 0:
			t.Fatalf("an error without a place: %v", err)
		default:
			lines := strings.Count(text, "\n") + 1
			for _, d := range list {
				if d.Line < 1 || d.Line > lines || d.Column < 1 || d.Problem == "" || d.Expected == "" || d.Remedy == "" {
					t.Fatalf("a poor error %+v in %d lines", d, lines)
				}
				if !utf8.ValidString(d.String()) {
					t.Fatalf("%q is no text", d.String())
				}
			}
		}
	})
}

// What an escape stands for is looked at as what is typed: nothing that moves a terminal's cursor gets into a name.
func TestEscapesOfUnseenCharacters(t *testing.T) {
	for _, c := range []struct {
		text string
		line int
	}{
		{"sheet: 1\ntitle: \"\\x1b[2Jgone\"\nmachine: {layout: bike}\nbuilds: {a: []}\n", 2},
		{"sheet: 1\nmachine: {layout: bike}\nparts:\n  p: {name: \"red \\u009b31m\", price: 3.00}\nbuilds: {a: []}\n", 4},
		{"sheet: 1\nmachine: {layout: bike, name: \"a\\bb\"}\nbuilds: {a: []}\n", 2},
		{"sheet: 1\nmachine: {layout: bike}\nbuilds: {\"a\\e[1m\": []}\n", 3},
		{"sheet: 1\ntitle: \"\\u202egnp.exe\"\nmachine: {layout: bike}\nbuilds: {a: []}\n", 2},
		{"sheet: 1\ntitle: x\u009b2J\nmachine: {layout: bike}\nbuilds: {a: []}\n", 2},
	} {
		_, err := Parse(&File{Name: "x.yaml", Text: []byte(c.text)})
		var bad Errors
		if !errors.As(err, &bad) || bad[0].Line != c.line || !strings.Contains(bad[0].Problem, "U+") {
			t.Errorf("%q: %v", c.text, err)
		}
	}
	if _, err := Parse(&File{Name: "x.yaml", Text: []byte("sheet: 1\ntitle: \"fine: ä, ✓, \\u00e9\"\nmachine: {layout: bike}\nbuilds: {a: []}\n")}); err != nil {
		t.Error(err)
	}
}
