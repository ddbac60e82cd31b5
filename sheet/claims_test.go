package sheet

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"shakedown/machine"
)

// claiming is a sheet whose part a claims what stands in the braces; the claim is on line 3.
func claiming(claim string) string {
	return "sheet: 1\nparts:\n  a: {claims: [{" + claim + "}]}\n  race-cam: {}\n  pipe: {}\nbuilds: {found: [], all: [a]}\n"
}

// What a claim says comes to SI by the definitions of the units (NIST SP 811): 1 hp is 745.6999 W, 1 PS is 735.49875 W,
// 1 lbf.ft is 1.3558179 Nm. A gain of a temperature is a difference: 9 F are 5 K.
func TestClaimsAreRead(t *testing.T) {
	validate := validator(t)
	for _, c := range []struct {
		claim  string
		kind   machine.ClaimKind
		number float64
		text   string
		at     machine.ClaimPlace
		with   string
	}{
		{"says: 22 horses, of: engine.peak_power, value: 22 hp, at: rear wheel", machine.ClaimValue, 22 * 550 * 1.3558179483314004, "22 hp", machine.AtRearWheel, ""},
		{"of: engine.peak_power, gain: 2 PS, at: crank, with: [race-cam, pipe]", machine.ClaimGain, 1470.9975, "2 PS", machine.AtCrank, "race-cam pipe"},
		{"of: engine.peak_power, gain: 2kW", machine.ClaimGain, 2000, "2kW", machine.PlaceUnsaid, ""},
		{"of: engine.peak_torque, gain: -1 lbf.ft", machine.ClaimGain, -1.3558179483314004, "-1 lbf.ft", machine.PlaceUnsaid, ""},
		{"of: engine.peak_torque, factor: 110 %", machine.ClaimFactor, 1.1, "110 %", machine.PlaceUnsaid, ""},
		{"of: brakes.front.disc_temperature, gain: -9 F", machine.ClaimGain, -5, "-9 F", machine.PlaceUnsaid, ""},
		{"of: brakes.front.disc_temperature, value: 212 F, with: []", machine.ClaimValue, 373.15, "212 F", machine.PlaceUnsaid, ""},
		{"of: track.lap_time, gain: -0.5 s", machine.ClaimGain, -0.5, "-0.5 s", machine.PlaceUnsaid, ""},
		{"of: engine.compression_ratio, value: 10.6", machine.ClaimValue, 10.6, "10.6", machine.PlaceUnsaid, ""},
	} {
		text := claiming(c.claim)
		got := parsed(t, text).Part("a").Claims
		if len(got) != 1 {
			t.Fatalf("%s: %+v", c.claim, got)
		}
		var with []string
		for _, ref := range got[0].With {
			with = append(with, ref.Name)
		}
		if g := got[0]; g.Kind != c.kind || !near(g.Number, c.number) || g.Text != c.text || g.At != c.at || strings.Join(with, " ") != c.with || g.Stated.Line != 3 || (g.At != machine.PlaceUnsaid) != (g.Placed.Line == 3) {
			t.Errorf("%s: %+v", c.claim, g)
		}
		if err := validate([]byte(text)); err != nil {
			t.Errorf("%s is not valid by the schema: %v", c.claim, err)
		}
	}
}

// Every mistake in a claim is one error, with the characters it is about, what was expected and what to do.
func TestBadClaims(t *testing.T) {
	const power = "of: engine.peak_power, "
	for _, c := range []struct{ claim, under, problem, expected, remedy string }{
		{power + "value: 17 kW, att: crank", "att", `unknown key "att"`, "says, of, at, with, value, factor or gain", `"at"`},
		{power + "value: 17 kW, at: rear weel", "rear weel", "is no place where torque or power is measured", "crank or rear wheel", `"rear wheel"`},
		{power + "value: 17 kW, at: gearbox", "gearbox", "is no place", "crank or rear wheel", "where the maker does not say"},
		{power + "value: 17 kW, at: [crank]", "[", "at has the wrong form", "at: rear wheel", "the form shown"},
		{power + "value: 17 kW, at: crank, at: crank", "at", "written twice", "each entry once", "remove"},
		{power + "gain: 2 kq", "kq", `unknown unit "kq"`, "a number with its unit", "did you mean"},
		{power + "gain: much", "much", `"much" is no number`, "such as", "write the number first"},
		{power + "gain: 1e999 kW", "1e999", "cannot be used as a number", "such as", "plain decimal"},
		{power + "gain: {kW: 2}", "{", "gain has the wrong form", "gain: 2 kW", "the form shown"},
		{power + "gain: ''", "", "gain has the wrong form", "gain: 2 kW", "the form shown"},
		{power + "factor: 2 kW", "kW", "measures a power, not a pure number", "plain number", "leave the unit away"},
		{power + "factor: -1.2", "-1.2", "a factor that is not above zero", "1.3", "below 1"},
		{power + "factor: 0", "0", "a factor that is not above zero", "1.3", "below 1"},
		{power + "value: 17 kW, gain: 2 kW", "gain", "a claim with both value and gain", "exactly one of value, factor or gain", "two claims"},
		{power + "factor: 1.1, value: 17 kW", "value", "a claim with both factor and value", "exactly one of", "two claims"},
		{power + "at: crank", "", "a claim that says nothing that can be judged", "value: 10.6", "its value, factor or gain"},
		{"gain: 2 kW", "", "a claim that says nothing that can be judged", "of: engine.compression_ratio", "the figure it is of"},
		{power + "gain: 2 kW, with: pipe", "pipe", "with has the wrong form", "with: [some-part, other-part]", "the form shown"},
		{power + "gain: 2 kW, with: [race-cem]", "race-cem", `there is no part "race-cem"`, "the id of a part", `did you mean "race-cam"?`},
		{power + "gain: 2 kW, with: [[pipe]]", "[", "an entry of with has the wrong form", "the id of a part", "the form shown"},
	} {
		_, err := Parse(&File{Name: "a.yaml", Text: []byte(claiming(c.claim))})
		var list Errors
		if !errors.As(err, &list) || len(list) != 1 {
			t.Errorf("%s: one error wanted: %v", c.claim, err)
			continue
		}
		d := list[0]
		under := []rune(d.Excerpt)[d.Column-1:]
		if d.Line != 3 || !strings.HasPrefix(string(under), c.under) || c.under != "" && d.Length != len(c.under) || !strings.Contains(d.Problem, c.problem) || !strings.Contains(d.Expected, c.expected) || !strings.Contains(d.Remedy, c.remedy) {
			t.Errorf("%s: %+v, under %q", c.claim, d, string(under))
		}
	}
}

// A claim's entries are edited by their spans, and other parts put in beside it; all else stays byte for byte.
func TestClaimsAreEdited(t *testing.T) {
	text := []byte(claiming("says: more, of: engine.peak_power, gain: 2 kW, at: crank, with: [race-cam]"))
	was := parsed(t, string(text)).Part("a").Claims[0]
	edits := [][3]string{{".gain", "2 kW", "3 hp"}, {".at", "crank", "rear wheel"}, {".with[0]", "race-cam", "pipe"}}
	changed := text
	edit := func(key, from, to string) {
		t.Helper()
		var err error
		if changed, err = Edit(changed, "parts.a.claims[0]"+key, from, to); err != nil {
			t.Fatal(err)
		}
	}
	for _, e := range edits {
		edit(e[0], e[1], e[2])
	}
	now := parsed(t, string(changed)).Part("a").Claims[0]
	if now.Text != "3 hp" || now.At != machine.AtRearWheel || len(now.With) != 1 || now.With[0].Name != "pipe" || now.Says != was.Says {
		t.Errorf("%+v from %s", now, changed)
	}
	for _, e := range edits {
		edit(e[0], e[2], e[1])
	}
	if !slices.Equal(changed, text) {
		t.Errorf("there and back is\n%s", changed)
	}
	added, n, err := AddParts(text, "list.csv", []byte("id,name,price\nplug,Spark plug,9.00\n"), nil)
	if err != nil || n != 1 || !strings.HasPrefix(string(added), string(text[:strings.Index(string(text), "builds:")])) {
		t.Fatalf("%v: %s", err, added)
	}
	if got := parsed(t, string(added)).Part("a").Claims[0]; got.Text != was.Text || got.With[0].Name != "race-cam" {
		t.Errorf("a list of parts changes a claim: %+v", got)
	}
}
