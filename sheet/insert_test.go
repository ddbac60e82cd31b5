package sheet

import (
	"errors"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shakedown/machine"
)

const laidOut = `sheet: 1
builds:
  as-found: []
  club: [one,
         two]   # by hand
  lines:
    - one   # first
    - two
  single:
    - one
machine:
  mass: {dry: 131 kg}   # weighed
  geometry:
    wheelbase: 1240 mm measured   # tape

    rake: 23 deg

  engine:
    chamber: {head: 34 cc,   # burette
              deck: 0.4 mm,
              }
    bore: 74 mm
parts:
  one:
    price: 12.00
    sets: {engine.bore: 75 mm}
  two: {price: 3.00}   # cheap
`

func TestPutRemoveSwitch(t *testing.T) {
	text := []byte(laidOut)
	put := func(path, value string) func() ([]byte, error) {
		return func() ([]byte, error) { return Put(text, path, value) }
	}
	remove := func(path, old string) func() ([]byte, error) {
		return func() ([]byte, error) { return Remove(text, path, old) }
	}
	onOff := func(build, part string, on bool) func() ([]byte, error) {
		return func() ([]byte, error) { return Switch(text, build, part, on) }
	}
	for _, c := range []struct {
		name      string
		do        func() ([]byte, error)
		from, to  string // the only difference
		wantError error
	}{
		{"into braces", put("mass.front_share", "0.33"), "{dry: 131 kg}", "{dry: 131 kg, front_share: 0.33}", nil},
		{"behind the last line of a group", put("geometry.fork_offset", "52 mm"), "    rake: 23 deg\n", "    rake: 23 deg\n    fork_offset: 52 mm\n", nil},
		{"a group that is not there", put("tank.capacity", "8 l"), "    bore: 74 mm\n", "    bore: 74 mm\n  tank: {capacity: 8 l}\n", nil},
		{"deep in a group that is not there", put("engine.head.intake_valve.head", "36 mm"), "    bore: 74 mm\n", "    bore: 74 mm\n    head: {intake_valve: {head: 36 mm}}\n", nil},
		{"at the root", put("rider.mass", "74 kg"), "# cheap\n", "# cheap\nrider: {mass: 74 kg}\n", nil},
		{"after a comma that was left", put("engine.chamber.dome", "2 cc"), "              }", "              dome: 2 cc}", nil},
		{"whole path as a key of a patch", put("parts.one.sets.engine.stroke", "68 mm"), "75 mm}", "75 mm, engine.stroke: 68 mm}", nil},
		{"a price", put("parts.one.lead", "3 weeks"), "75 mm}\n", "75 mm}\n    lead: 3 weeks\n", nil},
		{"text that needs quotes", put("machine.name", "Fenmoor: the #2"), "    bore: 74 mm\n", "    bore: 74 mm\n  name: \"Fenmoor: the #2\"\n", nil},
		{"there already", put("engine.bore", "75 mm"), "", "", ErrChanged},
		{"into a list", put("driveline.gears[0]", "2.7"), "", "", errByHand},
		{"out of lines, with its comment", remove("geometry.wheelbase", "1240 mm measured"), "    wheelbase: 1240 mm measured   # tape\n", "", nil},
		{"the last of braces takes its comma", remove("parts.one.sets", ""), "    sets: {engine.bore: 75 mm}\n", "", nil},
		{"out of braces, alone", remove("mass.dry", "131 kg"), "{dry: 131 kg}", "{}", nil},
		{"a whole part", remove("parts.two", ""), "  two: {price: 3.00}   # cheap\n", "", nil},
		{"changed meanwhile", remove("mass.dry", "130 kg"), "", "", ErrChanged},
		{"before a comment", remove("engine.chamber.head", "34 cc"), "", "", errByHand},
		{"on in an empty list", onOff("as-found", "one", true), "as-found: []", "as-found: [one]", nil},
		{"on over two lines", onOff("club", "three", true), "two]", "two, three]", nil},
		{"on in a list of lines", onOff("lines", "three", true), "    - two\n", "    - two\n    - three\n", nil},
		{"off, the first", onOff("club", "one", false), "[one,\n", "[\n", nil},
		{"off, the last", onOff("club", "two", false), ",\n         two]", "]", nil},
		{"off in lines", onOff("lines", "one", false), "    - one   # first\n", "", nil},
		{"off, the only line", onOff("single", "one", false), "single:\n    - one\n", "single: []\n", nil},
		{"on twice", onOff("club", "one", true), "", "", ErrChanged},
		{"off twice", onOff("as-found", "one", false), "", "", ErrChanged},
		{"a build", func() ([]byte, error) { return AddBuild(text, "wet", []string{"one", "two"}) }, "    - one\nmachine", "    - one\n  wet: [one, two]\nmachine", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			after, err := c.do()
			if c.wantError != nil {
				if !errors.Is(err, c.wantError) {
					t.Fatalf("%v; want %v", err, c.wantError)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if n := strings.Count(laidOut, c.from); n == 0 {
				t.Fatalf("the test's %q is not in the text", c.from)
			}
			last := strings.LastIndex(laidOut, c.from)
			first := strings.Index(laidOut, c.from)
			if got := string(after); got != laidOut[:first]+c.to+laidOut[first+len(c.from):] && got != laidOut[:last]+c.to+laidOut[last+len(c.from):] {
				t.Fatalf("got\n%s", got)
			}
		})
	}
	windows := []byte(strings.ReplaceAll(laidOut, "\n", "\r\n"))
	after, err := Put(windows, "geometry.fork_offset", "52 mm")
	if err != nil || strings.Count(string(after), "\r\n") != strings.Count(string(after), "\n") {
		t.Errorf("lines of Windows do not stay so: %v", err)
	}
	if after, err := Put([]byte("sheet: 1\nmachine:\n  layout: bike"), "tank.capacity", "8 l"); err != nil || string(after) != "sheet: 1\nmachine:\n  layout: bike\n  tank: {capacity: 8 l}" {
		t.Errorf("a text without an end of line: %q, %v", after, err)
	}
}

// What is taken out of an example can be put in again, and what is put in taken out: the sheet says the same as before.
func TestPutUndoesRemoveHeavy(t *testing.T) {
	for _, name := range []string{"../examples/fenmoor-t285.yaml", "../examples/sallow-q250.yaml", "../examples/brackwater-246.yaml"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var paths []string
		for _, f := range machine.Fields() {
			if value, err := Get(text, f.Path); err == nil && value != "" {
				paths = append(paths, f.Path)
			}
		}
		if len(paths) < 50 {
			t.Fatalf("%s: only %d inputs found", name, len(paths))
		}
		refused, step := 0, 9 // every ninth input while a person waits, all in the heavy run
		if os.Getenv("SHAKEDOWN_HEAVY") != "" {
			step = 1
		}
		for i := 0; i < len(paths); i += step {
			path := paths[i]
			old, _ := Get(text, path)
			without, err := Remove(text, path, old)
			if errors.Is(err, errByHand) {
				refused++
				continue
			}
			if err != nil {
				t.Fatalf("%s: %s: %v", name, path, err)
			}
			if _, err := Get(without, path); err == nil {
				t.Fatalf("%s: %s is still there", name, path)
			}
			again, err := Put(without, path, old)
			if err != nil {
				t.Fatalf("%s: %s: %v", name, path, err)
			}
			if got, _ := Get(again, path); got != old {
				t.Fatalf("%s: %s is %q, was %q", name, path, got, old)
			}
		}
		if refused > len(paths)/20 {
			t.Errorf("%s: %d of %d inputs cannot be taken out", name, refused, len(paths))
		}
		s, err := Parse(&File{Name: name, Text: text})
		if err != nil {
			t.Fatal(err)
		}
		rapid.Check(t, func(r *rapid.T) {
			build := rapid.SampledFrom(s.Project.BuildNames()).Draw(r, "build")
			part := s.Project.Parts[rapid.IntRange(0, len(s.Project.Parts)-1).Draw(r, "part")].ID
			on, err := Switch(text, build, part, true)
			if errors.Is(err, ErrChanged) {
				return
			}
			if err != nil {
				r.Fatal(err)
			}
			off, err := Switch(on, build, part, false)
			if err != nil || string(off) != string(text) {
				r.Fatalf("switching %s in %s on and off is not the same text: %v", part, build, err)
			}
		})
	}
}

func FuzzPut(f *testing.F) {
	f.Add(laidOut, "geometry.fork_offset", "52 mm")
	f.Add("sheet: 1\nmachine: {layout: bike}", "parts.a.price", "1")
	f.Add("a: 'x\n  y'\nb: |\n  z", "tank.capacity", "8 l # x")
	f.Fuzz(func(t *testing.T, text, path, value string) {
		if after, err := Put([]byte(text), path, value); err == nil {
			if got, err := Get(after, path); err != nil || got != value {
				t.Fatalf("put %q, got %q: %v", value, got, err)
			}
			if without, err := Remove(after, path, value); err == nil && len(without) >= len(after) {
				t.Fatal("nothing was taken out")
			}
		}
		if after, err := Switch([]byte(text), "club", path, true); err == nil {
			if _, err := Switch(after, "club", path, true); !errors.Is(err, ErrChanged) {
				t.Fatal("on twice")
			}
		}
	})
}
