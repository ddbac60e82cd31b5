package running

import (
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/machine"
)

// byHand is a row of package byhand, written without names.
type byHand struct {
	ID   string
	Want float64 // [unit of the figure]
	Sum  string
}

// figuresFor are the definitions of this room that a build may have.
func figuresFor(b *machine.Build) []ranges.Definition {
	list := slices.Clone(Figures)
	for gear := range b.Len("driveline.gears") {
		list = append(list, SpeedInGear(gear))
	}
	for i := range b.Len("fits") {
		list = append(list, Fit(i, ""))
	}
	return list
}

func figuresOf(b *machine.Build) (values map[string]float64, why map[string]string) {
	return byhand.Figures(figuresFor(b), b)
}

func holdsTo(t *testing.T, name string, b *machine.Build, rows []byHand) {
	t.Helper()
	byhand.Holds(t, name, figuresFor(b), b, rows)
}

func hasNot(t *testing.T, name string, b *machine.Build, ids ...string) {
	t.Helper()
	byhand.HasNot(t, name, figuresFor(b), b, ids...)
}

func same(t *testing.T, name string, one, other *machine.Build, share float64, but ...string) {
	t.Helper()
	byhand.Same(t, name, figuresFor(one), one, other, share, but...)
}

// Every figure of this room has a value worked out on paper for at least one machine, and each machine has no figure
// without one.
func TestEveryFigureIsWorkedOut(t *testing.T) {
	worked := map[string]bool{}
	for _, m := range []struct {
		name, text string
		rows       []byHand
	}{{"three-wheeler", trike, trikeByHand}, {"quad", quad, quadByHand}, {"bike", bike, bikeByHand}} {
		own := map[string]bool{}
		for _, r := range m.rows {
			worked[r.ID], own[r.ID] = true, true
		}
		values, why := figuresOf(byhand.Build(t, m.text, "as-found"))
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
		{"driveline.chain_over_pivot", ", sprocket: {x: 460 mm, z: 355 mm}", "geometry.sprocket.x geometry.sprocket.z"},
		{"driveline.rear_sprocket_clearance", ", loaded_radius: 250 mm", ""}, // the usual share of the tyre's outside stands in
		{"driveline.clutch_capacity", ", spring_force_total: 1000 N", "driveline.clutch.spring_force_total"},
		{"suspension.rear.rider_sag", ", spring_rate: 60 N/mm", "suspension.rear.spring_rate"},
		{"suspension.rear.rider_sag", "leverage: [{travel: 0 mm, ratio: 2}, {travel: 160 mm, ratio: 2}], ", "suspension.rear.leverage[0].ratio"},
		{"suspension.front.bend_load", ", axle_to_clamp: 700 mm", "suspension.front.axle_to_clamp"},
		{"brakes.front.lever_force", ", effective_radius: 90 mm", "brakes.front.effective_radius"},
		{"axle.yield_load", ", bearing_spacing: 200 mm", "wheels.axle.bearing_spacing"},
		{"chassis.clearance_at_sag", ", preload: 10 mm", "suspension.rear.preload"},
		{"chassis.clearance_at_bump", ", preload: 10 mm", ""},
	} {
		b := byhand.Build(t, trike, "as-found", c.without, map[bool]string{true: "\n", false: ""}[strings.HasSuffix(c.without, "\n")])
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
		_, why := figuresOf(byhand.Build(t, trike, "as-found", c.old, c.new))
		if !strings.Contains(why[c.figure], c.word) {
			t.Errorf("%s on %s: %q", c.figure, c.new, why[c.figure])
		}
	}
}

// The same machine in the units of the United States has the same figures.
func TestUnitsDoNotMatter(t *testing.T) {
	for name, text := range map[string]string{"three-wheeler": trike, "quad": quad, "bike": bike} {
		us := byhand.USUnits(text)
		for _, unit := range []string{" mm", " N/mm", " kg,", " kg}", " l,", " bar}", " N,", " N}", " C,"} {
			if strings.Contains(us, unit) {
				t.Fatalf("%s: %q is left in\n%s", name, unit, us)
			}
		}
		want, _ := figuresOf(byhand.Build(t, text, "as-found"))
		got, why := figuresOf(byhand.Build(t, us, "as-found"))
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
