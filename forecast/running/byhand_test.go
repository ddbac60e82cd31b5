package running

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// byHand is a figure with its value as worked out on paper, in the unit of the figure, and the sum.
type byHand struct {
	id   string
	want float64
	sum  string
}

// handDigits is how far a value worked out on paper may be off, of itself [-]: seven digits stand here.
const handDigits = 1e-6

// project is what a sheet says, with some of its text changed, old and new in turn.
func project(t *testing.T, text string, changes ...string) *machine.Project {
	t.Helper()
	for i := 0; i < len(changes); i += 2 {
		if strings.Count(text, changes[i]) != 1 {
			t.Fatalf("the sheet holds %q %d times", changes[i], strings.Count(text, changes[i]))
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return s.Project
}

// resolved is a build of a sheet.
func resolved(t *testing.T, text, build string, changes ...string) *machine.Build {
	t.Helper()
	b, err := project(t, text, changes...).Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// figuresOf are all figures that a build has, each in its unit; why not for those that cannot be computed.
func figuresOf(b *machine.Build) (values map[string]float64, why map[string]string) {
	values, why = map[string]float64{}, map[string]string{}
	list := slices.Clone(Figures)
	for gear := range b.Len("driveline.gears") {
		list = append(list, SpeedInGear(gear))
	}
	for i := range b.Len("fits") {
		list = append(list, Fit(i, ""))
	}
	for _, d := range list {
		if !d.Applies(b) {
			continue
		}
		v, err := ranges.NewEvaluator(b, nil).Alone(d)
		if err != nil {
			why[d.ID] = err.Error()
			continue
		}
		values[d.ID] = quantity.MustUnit(d.Unit).FromSI(v)
	}
	return values, why
}

// holdsTo compares the figures of a build with those worked out on paper.
func holdsTo(t *testing.T, name string, b *machine.Build, rows []byHand) {
	t.Helper()
	values, why := figuresOf(b)
	for _, r := range rows {
		got, ok := values[r.id]
		switch {
		case !ok:
			t.Errorf("%s: no %s: %s", name, r.id, why[r.id])
		case !(math.Abs(got-r.want) <= handDigits*math.Abs(r.want)):
			t.Errorf("%s: %s is %.9g, by hand %.9g: %s", name, r.id, got, r.want, r.sum)
		}
	}
}

// hasNot says that a build is without figures.
func hasNot(t *testing.T, name string, b *machine.Build, ids ...string) {
	t.Helper()
	values, why := figuresOf(b)
	for _, id := range ids {
		if _, ok := values[id]; ok || why[id] != "" {
			t.Errorf("%s has a figure %s", name, id)
		}
	}
}

// Every figure of this room has a value worked out on paper for at least one machine, and each machine has no figure without one.
func TestEveryFigureIsWorkedOut(t *testing.T) {
	worked := map[string]bool{}
	for _, m := range []struct {
		name, text string
		rows       []byHand
	}{{"three-wheeler", trike, trikeByHand}, {"quad", quad, quadByHand}, {"bike", bike, bikeByHand}} {
		own := map[string]bool{}
		for _, r := range m.rows {
			worked[r.id], own[r.id] = true, true
		}
		values, why := figuresOf(resolved(t, m.text, "as-found"))
		for id := range values {
			if !own[id] {
				t.Errorf("%s: nobody worked out %s", m.name, id)
			}
		}
		for id, reason := range why {
			t.Errorf("%s: %s cannot be computed: %s", m.name, id, reason)
		}
	}
	for _, d := range Figures {
		if !worked[d.ID] {
			t.Errorf("nobody worked out %s on any machine", d.ID)
		}
	}
}

// What a machine is missing for a figure is told, and nothing else is.
func TestMissingInputsAreNamed(t *testing.T) {
	for _, c := range []struct{ figure, without, missing string }{
		{"driveline.overall_top", "  gears: [2, 1]\n", "driveline.gears[0]"},
		{"driveline.speed.1", "primary: 3\n", ""}, // the usual primary stands in
		{"driveline.adjuster_left", ", pitches: 86", "driveline.chain.pitches"},
		{"driveline.clutch_capacity", ", spring_force_total: 1000 N", "driveline.clutch.spring_force_total"},
		{"suspension.rear.rider_sag", ", spring_rate: 60 N/mm", "suspension.rear.spring_rate"},
		{"suspension.rear.rider_sag", "leverage: [{travel: 0 mm, ratio: 2}, {travel: 160 mm, ratio: 2}], ", "suspension.rear.leverage[0].ratio"},
		{"suspension.front.bend_load", ", axle_to_clamp: 700 mm", "suspension.front.axle_to_clamp"},
		{"brakes.front.lever_force", ", effective_radius: 90 mm", "brakes.front.effective_radius"},
		{"axle.yield_load", ", bearing_spacing: 200 mm", "wheels.axle.bearing_spacing"},
		{"chassis.clearance_at_sag", ", preload: 10 mm", "suspension.rear.preload"},
		{"chassis.clearance_at_bump", ", preload: 10 mm", ""},
	} {
		b := resolved(t, trike, "as-found", c.without, map[bool]string{true: "\n", false: ""}[strings.HasSuffix(c.without, "\n")])
		in := &ranges.Inputs{Build: b}
		found := false
		for _, d := range append(slices.Clone(Figures), SpeedInGear(0)) {
			if d.ID == c.figure {
				found = true
				if _, err := d.Compute(in); err != nil {
					t.Errorf("%s without %q: %v", c.figure, c.without, err)
				}
			}
		}
		if got := strings.Join(in.Missing, " "); !found || got != c.missing {
			t.Errorf("%s without %q misses %q, want %q", c.figure, c.without, got, c.missing)
		}
	}
}

// A gear ratio, a chain or a swingarm that cannot be is refused with words, not with a number.
func TestWhatCannotBeIsRefused(t *testing.T) {
	for _, c := range []struct{ figure, old, new, word string }{
		{"driveline.chain_centres", "pitches: 86", "pitches: 20", "too short"},
		{"driveline.chain_slack", "travel: 160 mm, leverage", "travel: 600 mm, leverage", "too short for this travel"},
		{"axle.yield_load", "bearing_spacing: 200 mm", "bearing_spacing: 800 mm", "inside the axle's bearings"},
		{"axle.yield_load", "bore: 10 mm", "bore: 30 mm", "no wall"},
		{"suspension.rear.rider_sag", "{travel: 160 mm, ratio: 2}", "{travel: 0 mm, ratio: 2}", "must rise"},
		{"tyres.rear.diameter", `"22x11-9"`, `"round"`, "no tyre size"},
		{"chassis.tip_lateral_swaying", "tyre_rate: 100 N/mm", "tyre_rate: 3 N/mm", "fall over at rest"},
		{"fit.1", "second_at: 100 mm", "second_at: 0 mm", "one place of the travel"},
	} {
		_, why := figuresOf(resolved(t, trike, "as-found", c.old, c.new))
		if !strings.Contains(why[c.figure], c.word) {
			t.Errorf("%s on %s: %q", c.figure, c.new, why[c.figure])
		}
	}
}

// inUSUnits is a sheet with every number in the units of the United States, to 17 digits.
func inUSUnits(text string) string {
	for _, pair := range [][2]string{{"N/mm", "lbf/in"}, {"mm", "in"}, {"kg.m2", ""}, {"kg/m3", ""}, {"kg", "lb"}, {"bar", "psi"}, {"MPa", "psi"}, {"Pa", ""}, {"N", "lbf"}, {"l", "gal"}, {"C", "F"}} {
		if pair[1] == "" {
			continue
		}
		from, to := quantity.MustUnit(pair[0]), quantity.MustUnit(pair[1])
		var out strings.Builder
		rest := text
		for {
			i := strings.Index(rest, " "+pair[0])
			if i < 0 {
				break
			}
			start := strings.LastIndexAny(rest[:i], " [{") + 1
			var number float64
			end := rest[i+1+len(pair[0]):]
			if n, err := fmt.Sscanf(rest[start:i], "%g", &number); n == 1 && err == nil && (end == "" || strings.ContainsRune(",}] \n", rune(end[0]))) {
				fmt.Fprintf(&out, "%s%.17g %s", rest[:start], to.FromSI(from.ToSI(number)), pair[1])
			} else {
				out.WriteString(rest[:i+1+len(pair[0])])
			}
			rest = end
		}
		text = out.String() + rest
	}
	return text
}

// The same machine in the units of the United States has the same figures.
func TestUnitsDoNotMatter(t *testing.T) {
	for name, text := range map[string]string{"three-wheeler": trike, "quad": quad, "bike": bike} {
		us := inUSUnits(text)
		for _, unit := range []string{" mm", " N/mm", " kg,", " kg}", " l,", " bar}", " N,", " N}", " C,"} {
			if strings.Contains(us, unit) {
				t.Fatalf("%s: %q is left in\n%s", name, unit, us)
			}
		}
		want, _ := figuresOf(resolved(t, text, "as-found"))
		got, why := figuresOf(resolved(t, us, "as-found"))
		if len(got) != len(want) {
			t.Errorf("%s: %d figures, in the other units %d: %v", name, len(want), len(got), why)
		}
		for id, v := range want {
			if math.Abs(got[id]-v) > 1e-9*math.Abs(v) {
				t.Errorf("%s: %s is %.12g, in the other units %.12g", name, id, v, got[id])
			}
		}
	}
}
