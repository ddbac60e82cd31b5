package check

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

const example = "../examples/fenmoor-t285.yaml"

// bench is the example's machine on which a trial sets inputs and figures one by one.
type bench struct {
	t       *testing.T
	c       *Context
	results ofCurves
}

// on puts a build of the example, its text changed by old and new in turn, on the bench.
func on(t *testing.T, build string, changes ...string) *bench {
	t.Helper()
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	changed := string(text)
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(changed, changes[i]) {
			t.Fatalf("the example does not hold %q", changes[i])
		}
		changed = strings.Replace(changed, changes[i], changes[i+1], 1)
	}
	s, err := sheet.Parse(&sheet.File{Name: "bench.yaml", Text: []byte(changed)})
	if err != nil {
		t.Fatal(err)
	}
	now, err := s.Project.Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	before, err := s.Project.Resolve("as-found")
	if err != nil {
		t.Fatal(err)
	}
	slow, err := forecast.Slow(t.Context(), now, before, nil, forecast.Course{}, false)
	if err != nil {
		t.Fatal(err)
	}
	return &bench{t: t, c: NewContext(now, before, append(forecast.Forecast(now, before), slow...), quantity.Metric)}
}

// burns is what a race of the sheet's length burns [l] in so many laps.
func (b *bench) burns(litres, laps float64) *bench {
	race, _ := b.c.number("class_rules.race_time")
	return b.give("track.lap_time", race/laps, "s").give("track.fuel_used", litres/1000/laps, "l")
}

// disc is a front disc at whose calliper the fluid reaches so much, at the most so much [C].
func (b *bench) disc(reaches, most float64) *bench {
	celsius := quantity.MustUnit("C").ToSI
	b.give("brakes.front.disc_temperature", celsius(400), "C").give("brakes.front.fluid_temperature", celsius(reaches), "C")
	f := b.c.Figures["brakes.front.fluid_temperature"]
	f.Low, f.High = celsius(30), celsius(most)
	b.c.Figures[f.ID] = f
	return b
}

// cannot is a figure that has no value, for a reason and want of inputs.
func (b *bench) cannot(why string, ids ...string) *bench {
	for _, id := range ids {
		b.c.Figures[id] = figure.Figure{ID: id, State: figure.Cannot, Why: why}
	}
	return b
}

// noLap says why there is no lap.
func (b *bench) noLap(why string) *bench { return b.cannot(why, "track.lap_time", "track.fuel_used") }

// input sets an input by its text.
func (b *bench) input(path, text string) *bench {
	b.t.Helper()
	field := machine.FieldAt(path)
	if field == nil {
		b.t.Fatalf("no input %s", path)
	}
	v := machine.Value{Field: field, Text: text, Yes: text == "yes"}
	switch field.Shape {
	case machine.Number:
		q, err := quantity.Parse(text, field.Spec)
		if err != nil {
			b.t.Fatal(err)
		}
		v.Terms = []int{b.c.Build.Project.AddAtom(machine.Atom{Path: path, Q: q})}
	case machine.Bolts:
		bolts, err := quantity.ParseBoltCircle(text)
		if err != nil {
			b.t.Fatal(err)
		}
		v.Bolts = bolts
	}
	b.c.Build.Values[path] = v
	return b
}

func (b *bench) without(path string) *bench {
	delete(b.c.Build.Values, path)
	return b
}

// figure sets a figure [SI], sure to the last digit, and its change over a baseline.
func (b *bench) figure(id string, value float64, before ...float64) *bench {
	b.t.Helper()
	f, ok := b.c.Figures[id]
	if !ok {
		b.t.Fatalf("no figure %s", id)
	}
	f.State, f.Value, f.Low, f.High, f.Change = figure.Ready, value, value, value, &figure.Change{}
	if len(before) > 0 {
		f.Change = &figure.Change{Value: value - before[0], Low: value - before[0], High: value - before[0]}
	}
	b.c.Figures[id] = f
	return b
}

// unknown makes a figure one that cannot be computed.
func (b *bench) unknown(id string) *bench {
	f := b.c.Figures[id]
	f.State, f.Why = figure.Cannot, "needs something"
	b.c.Figures[id] = f
	return b
}

func (b *bench) run(rule string) []figure.Finding {
	b.t.Helper()
	i := slices.IndexFunc(rules, func(r Rule) bool { return r.ID == rule })
	if i < 0 {
		b.t.Fatalf("no rule %s", rule)
	}
	return rules[i].run(b.c)
}

// silent is the severity of no finding.
const silent figure.Severity = 99

// kind is what a trial shows of a rule.
type kind string

const (
	fires    kind = "fires"
	quiet    kind = "quiet"
	boundary kind = "boundary"
)

const (
	mm  = 1e-3
	rpm = 2 * math.Pi / 60
)

// trial is one rule with the bench set for it, and what it should say.
type trial struct {
	rule string
	kind kind
	set  func(t *testing.T) *bench
	want figure.Severity
	says string // in the sentence or its remedy
}

// The limits in these trials are those of the published rules of the format; each stands beside its rule in rules.go.
var trials = []trial{
	{"class-limits", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.swept_volume", 301e-6) }, figure.Conflict, "301 cc; the class allows 300 cc"},
	{"class-limits", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("chassis.width_over_tyres", 1.221) }, figure.Conflict, "1221 mm"},
	{"class-limits", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.exhaust.silencer.sound", "97 dB") }, figure.Conflict, "1.00 dB quieter"},
	{"class-limits", fires, func(t *testing.T) *bench {
		return on(t, "as-found").input("class_rules.race_fuel", "no").input("engine.fuel.race", "yes")
	}, figure.Conflict, "race fuel"},
	{"class-limits", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"class-limits", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.swept_volume", 300e-6).figure("chassis.width_over_tyres", 1.220).input("engine.exhaust.silencer.sound", "96 dB")
	}, silent, ""},
	{"class-limits", boundary, func(t *testing.T) *bench { // could be over, by the range alone
		b := on(t, "as-found").figure("chassis.width_over_tyres", 1.215)
		f := b.c.Figures["chassis.width_over_tyres"]
		f.High = 1.225
		b.c.Figures[f.ID] = f
		return b
	}, figure.Caution, "could be over"},

	{"gasket-over-bore", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.chamber.gasket_bore", "74.9 mm") }, figure.Conflict, "75.0 mm or more"},
	{"gasket-over-bore", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"gasket-over-bore", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("engine.chamber.gasket_bore", "75 mm") }, silent, ""},

	{"liner-left", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.liner_wall", 1.9*mm) }, figure.Conflict, "1.90 mm of liner; 2.00 mm is needed"},
	{"liner-left", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"liner-left", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.liner_wall", 2*mm) }, silent, ""},
	{"liner-left", fires, func(t *testing.T) *bench { return on(t, "as-found").unknown("engine.liner_wall") }, figure.NotComputed, "needs something"},

	{"ring-gap", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.ring_gap", "0.33 mm") }, figure.Conflict, "0.333 mm"},
	{"ring-gap", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"ring-gap", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").input("engine.clearances.ring_gap", "0.1 mm").input("engine.cooling", "liquid")
	}, silent, ""},
	{"ring-gap", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.ring_gap", "0.333 mm") }, silent, ""},

	{"ring-gap", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.ring_gap", "0.55 mm") }, figure.Note, "read the leak-down"},
	{"ring-gap", fires, func(t *testing.T) *bench {
		return on(t, "as-found").input("engine.clearances.ring_gap", "0.62 mm").input("engine.cooling", "liquid").input("engine.leak_down.lost", "12 %")
	}, figure.Caution, "the gap is not added"},
	{"ring-gap", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.ring_gap", "0.5 mm") }, silent, ""},
	{"ring-gap", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.ring_gap", "0.6 mm") }, figure.Note, "0.600 mm is wide"},

	// The bore is 74 mm: 1.35 and 2.3 thousandths are 0.0999 and 0.1702 mm.
	{"piston-clearance", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.piston", "0.12 mm") }, figure.Note, "next to no torque"},
	{"piston-clearance", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.piston", "0.18 mm") }, figure.Caution, "breaks skirts"},
	{"piston-clearance", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"piston-clearance", quiet, func(t *testing.T) *bench { return on(t, "as-found").without("engine.clearances.piston") }, silent, ""},
	{"piston-clearance", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.piston", "0.0999 mm") }, silent, ""},

	{"leak-down", fires, func(t *testing.T) *bench { return leaking(t, "as-found", "20 %") }, figure.Note, "a hole of 0.650 mm2"},
	{"leak-down", fires, func(t *testing.T) *bench { return leaking(t, "as-found", "30 %") }, figure.Caution, "at the breather the rings"},
	{"leak-down", fires, func(t *testing.T) *bench { return leaking(t, "full", "5 %") }, figure.Caution, "was read before bore, piston or rings were changed"},
	{"leak-down", fires, func(t *testing.T) *bench { return leaking(t, "as-found", "20 %").unknown("engine.leak_area") }, figure.NotComputed, "needs something"},
	{"leak-down", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"leak-down", boundary, func(t *testing.T) *bench { return leaking(t, "as-found", "5 %").figure("engine.leak_area", 0.43e-6) }, silent, ""},
	{"leak-down", boundary, func(t *testing.T) *bench { return leaking(t, "as-found", "5 %").figure("engine.leak_area", 0.72e-6) }, figure.Note, "used ones"},

	{"cam-late", fires, func(t *testing.T) *bench { return printed(t).input("engine.cam.late", "4 deg") }, figure.Note, "4.00° of the crank late"},
	{"cam-late", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.cam.late", "15 deg") }, figure.Caution, "a tooth"},
	{"cam-late", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.cam.late", "-4 deg") }, figure.Note, "early"},
	{"cam-late", fires, func(t *testing.T) *bench {
		return printed(t).input("engine.cam.late", "1 deg").input("engine.cam.intake.closes", "44 deg measured")
	}, figure.Caution, "counted twice"},
	{"cam-late", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"cam-late", quiet, func(t *testing.T) *bench { return printed(t).input("engine.cam.late", "0 deg") }, silent, ""},
	{"cam-late", boundary, func(t *testing.T) *bench { return printed(t).input("engine.cam.late", "2 deg") }, silent, ""},
	{"cam-late", boundary, func(t *testing.T) *bench { return printed(t).input("engine.cam.late", "6 deg") }, figure.Note, "6.00° of the crank late"},

	{"cranking", fires, func(t *testing.T) *bench { return cranking(on(t, "as-found"), "8.9 bar") }, figure.Caution, "read the leak-down; a cam that is late"},
	{"cranking", fires, func(t *testing.T) *bench {
		return cranking(on(t, "as-found").input("engine.leak_down.lost", "20 %").input("engine.cam.late", "4 deg"), "8.9 bar")
	}, figure.Caution, "intake valve clearance set too tight. A few drops"},
	{"cranking", fires, func(t *testing.T) *bench { return cranking(on(t, "as-found"), "11.1 bar") }, figure.Note, "skimmed"},
	{"cranking", fires, func(t *testing.T) *bench {
		return cranking(on(t, "as-found"), "10 bar").unknown("engine.cranking_pressure")
	}, figure.NotComputed, "needs something"},
	{"cranking", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"cranking", quiet, func(t *testing.T) *bench { // read as found; this build is another
		return on(t, "full", "    cam:\n", "    cranking: {measured: 3 bar}\n    cam:\n")
	}, silent, ""},
	{"cranking", boundary, func(t *testing.T) *bench { return cranking(on(t, "as-found"), "9 bar") }, silent, ""},
	{"cranking", boundary, func(t *testing.T) *bench { return cranking(on(t, "as-found"), "11 bar") }, silent, ""},

	{"piston-speed", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.mean_piston_speed", 20.1) }, figure.Note, "20.1 m/s"},
	{"piston-speed", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.mean_piston_speed", 22.1) }, figure.Caution, "22.1 m/s"},
	{"piston-speed", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.mean_piston_speed", 24.1) }, figure.Conflict, "24.1 m/s"},
	{"piston-speed", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"piston-speed", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.mean_piston_speed", 20) }, silent, ""},
	{"piston-speed", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.mean_piston_speed", 24) }, figure.Caution, "24.0 m/s"},

	{"rod-load", fires, func(t *testing.T) *bench { return on(t, "full").figure("engine.rod_inertia_load", 11_100, 10_000) }, figure.Caution, "11 %"},
	{"rod-load", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"rod-load", boundary, func(t *testing.T) *bench { return on(t, "full").figure("engine.rod_inertia_load", 11_000, 10_000) }, silent, ""},

	{"balance", fires, func(t *testing.T) *bench { return on(t, "club").figure("engine.reciprocating_mass", 0.4875, 0.4675) }, figure.Caution, "+4 %"},
	{"balance", fires, func(t *testing.T) *bench { return on(t, "club").figure("engine.reciprocating_mass", 0.4475, 0.4675) }, figure.Caution, "−4 %"},
	{"balance", quiet, func(t *testing.T) *bench { return on(t, "full").figure("engine.reciprocating_mass", 0.4875, 0.4675) }, silent, ""}, // the build has the crank balanced
	{"balance", boundary, func(t *testing.T) *bench { return on(t, "club").figure("engine.reciprocating_mass", 0.412, 0.4) }, silent, ""},

	{"inlet-choke", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.inlet_mach_index", 0.55) }, figure.Note, "0.55"},
	{"inlet-choke", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.inlet_mach_index", 0.61) }, figure.Caution, "6967 rpm"},
	// The curve decides: a redline of 8500 rpm, of which nine tenths are 7650.
	{"inlet-choke", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.inlet_mach_index", 0.76).curve(22, 5000, 8018)
	}, figure.Note, "goes over its peak at 8018 rpm, below the redline of 8500 rpm"},
	{"inlet-choke", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.inlet_mach_index", 0.76).curve(22, 5000, 7600)
	}, figure.Caution, "7600 rpm"},
	{"inlet-choke", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.inlet_mach_index", 0.76).curve(22, 5000, 7650)
	}, figure.Note, "7650 rpm"},
	{"inlet-choke", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.inlet_mach_index", 0.76).curve(22, 5000, 8500)
	}, silent, ""},
	{"inlet-choke", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.inlet_mach_index", 0.76).curve(22, 5000, 9010).rising()
	}, silent, ""},
	{"inlet-choke", quiet, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.inlet_mach_index", 0.45) }, silent, ""},
	{"inlet-choke", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.inlet_mach_index", 0.5) }, silent, ""},
	{"inlet-choke", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.inlet_mach_index", 0.6) }, figure.Note, "0.60"},

	// 1.5 mm in, 2.0 mm out (general minima, common practice): 1.5 less 1.4 is 0.1 mm to be cut deeper, 2.0 less 1.9
	// the same.
	{"piston-to-valve", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.piston_to_valve_mistimed.intake", 1.4*mm)
	}, figure.Conflict, "by 0.100 mm"},
	{"piston-to-valve", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.piston_to_valve_mistimed.exhaust", 1.9*mm)
	}, figure.Conflict, "by 0.100 mm"},
	{"piston-to-valve", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.piston_to_valve_mistimed.exhaust", -0.1*mm)
	}, figure.Conflict, "hits"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // signed for: a caution that names him
		return on(t, "as-found").input(signedBy, "A. Cutter").figure("engine.piston_to_valve_mistimed.intake", 1.2*mm)
	}, figure.Caution, "A. Cutter"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // nobody signs for a valve that hits
		return on(t, "as-found").input(signedBy, "A. Cutter").figure("engine.piston_to_valve_mistimed.intake", -0.1*mm)
	}, figure.Conflict, "hits"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // what was signed for on the machine is another cam's clearance
		return on(t, "full").input(signedBy, "A. Cutter").figure("engine.piston_to_valve_mistimed.intake", 1.2*mm)
	}, figure.Conflict, "by 0.300 mm"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // the part that cuts brings its signature along
		return on(t, "full", "adds: {engine.head.piston_to_valve.intake: 1.0 mm", "sets: {engine.head.piston_to_valve.signed_by: A. Cutter}\n    adds: {engine.head.piston_to_valve.intake: 1.0 mm").
			figure("engine.piston_to_valve_mistimed.intake", 1.2*mm)
	}, figure.Caution, "A. Cutter"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // 5 mm would be plenty, were it known
		return on(t, "as-found").input("engine.head.piston_to_valve.intake", "5 mm typical")
	}, figure.Caution, "easure"},
	{"piston-to-valve", fires, func(t *testing.T) *bench { // the clearance was read, the cam was not
		return on(t, "as-found").input("engine.cam.intake.lift", "8.2 mm typical")
	}, figure.Caution, "easure"},
	{"piston-to-valve", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"piston-to-valve", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.piston_to_valve_mistimed.intake", 1.5*mm).figure("engine.piston_to_valve_mistimed.exhaust", 2*mm)
	}, silent, ""},

	// Who changes the cam must have read the clearance on this engine; who changes nothing that it hangs on is not held
	// up.
	{"not-read", fires, func(t *testing.T) *bench {
		return on(t, "full").input("engine.head.piston_to_valve.intake", "5 mm typical")
	}, figure.NotComputed, "nobody has read"},
	{"not-read", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").input("engine.head.piston_to_valve.intake", "5 mm typical")
	}, silent, ""},
	{"not-read", boundary, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},

	{"condition", fires, func(t *testing.T) *bench { return on(t, "as-found", "brakes: sound", "brakes: worn") }, figure.Conflict, "by the maker's procedure"},
	{"condition", fires, func(t *testing.T) *bench { return on(t, "as-found", "chain: sound}", "chain: worn}") }, figure.Conflict, "together"},
	{"condition", fires, func(t *testing.T) *bench { return on(t, "as-found", "axle_nut: sound, ", "") }, figure.NotComputed, "the axle and wheel nuts"},
	{"condition", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"condition", boundary, func(t *testing.T) *bench { // worn as found, renewed by a part
		return on(t, "full", "brakes: sound", "brakes: worn", "sets: {brakes.front.pad_friction: 0.45}", "sets: {brakes.front.pad_friction: 0.45, condition.brakes: sound}")
	}, silent, ""},

	{"coil-bind", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.coil_bind_left.intake", 0.8*mm) }, figure.Conflict, "0.200 mm less lift"},
	{"coil-bind", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"coil-bind", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.coil_bind_left.intake", 1*mm) }, silent, ""},

	{"retainer", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.retainer_left.exhaust", 0.8*mm) }, figure.Conflict, "0.200 mm"},
	{"retainer", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"retainer", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.retainer_left.exhaust", 1*mm) }, silent, ""},

	{"compression-fuel", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.trapped_compression_ratio", 8.6) }, figure.Note, "8.60 : 1"},
	{"compression-fuel", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.trapped_compression_ratio", 9.6) }, figure.Caution, "RON 96"},
	{"compression-fuel", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.trapped_compression_ratio", 11.1) }, figure.Conflict, "RON 103"},
	{"compression-fuel", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.trapped_compression_ratio", 9.4).input("engine.fuel.ron", "100")
	}, silent, ""}, // one ratio more for 5 octane
	{"compression-fuel", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.trapped_compression_ratio", 9.4).input("engine.cooling", "liquid")
	}, silent, ""},
	{"compression-fuel", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.trapped_compression_ratio", 8.5) }, silent, ""},
	{"compression-fuel", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.trapped_compression_ratio", 11) }, figure.Caution, ""},

	{"valve-float", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.valve_float.intake", 9300*rpm) }, figure.Caution, "within 10 % of the redline"},
	{"valve-float", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.valve_float.exhaust", 8400*rpm) }, figure.Conflict, "below the redline"},
	{"valve-float", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"valve-float", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.valve_float.intake", 9350*rpm) }, silent, ""},
	{"valve-float", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.valve_float.intake", 8500*rpm) }, figure.Caution, ""},

	{"spring-follower", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.nose_stress.intake", 900e6) }, figure.Caution, "case-hardened steel"},
	{"spring-follower", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("engine.nose_stress_slow.exhaust", 1150e6) }, figure.Conflict, "turned slowly"},
	{"spring-follower", quiet, func(t *testing.T) *bench {
		return on(t, "full").figure("engine.nose_stress.intake", 1.2e9).figure("engine.nose_stress_slow.intake", 1.2e9)
	}, silent, ""}, // hard-faced
	{"spring-follower", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("engine.nose_stress.intake", 0.8e9).figure("engine.nose_stress_slow.intake", 0.8e9)
	}, silent, ""},

	{"clutch", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.clutch_capacity", 120).figure("driveline.clutch_torque", 100)
	}, figure.Conflict, "needs 130 Nm"},
	{"clutch", fires, func(t *testing.T) *bench { // the curve in place of the rough figure, not beside it
		return on(t, "as-found").figure("driveline.clutch_capacity", 100).figure("driveline.clutch_torque", 10).input("driveline.primary", "3").curve(27, 5000, 8000)
	}, figure.Conflict, "27.0 Nm at 5000 rpm"},
	{"clutch", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.clutch_capacity", 100).input("driveline.primary", "3").curve(27, 9010, 9010).peakless()
	}, figure.Conflict, "the end of the sweep: there may be more beyond it"},
	{"clutch", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.clutch_capacity", 100).figure("driveline.clutch_torque", 900).input("driveline.primary", "3").curve(25, 5000, 8000)
	}, silent, ""},
	{"clutch", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.clutch_capacity", 160).figure("driveline.clutch_torque", 100)
	}, silent, ""},
	{"clutch", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.clutch_capacity", 130).figure("driveline.clutch_torque", 100)
	}, silent, ""},

	{"chain-fit", fires, func(t *testing.T) *bench { return on(t, "as-found").input("driveline.chain.pitches", "91") }, figure.Conflict, "90 or 92 pitches"},
	{"chain-fit", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("driveline.chain_centres", 0.523) }, figure.Conflict, "523 mm"},
	{"chain-fit", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("driveline.chain_centres", 0.499) }, figure.Conflict, "499 mm"},
	{"chain-fit", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("driveline.chain_wrap", 119*math.Pi/180) }, figure.Caution, "119°"},
	{"chain-fit", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"chain-fit", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("driveline.chain_centres", 0.522).figure("driveline.chain_wrap", 120*math.Pi/180)
	}, silent, ""},

	{"chain-repeat", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.Note, "12 teeth and 92 pitches share the factor 4"},
	{"chain-repeat", quiet, func(t *testing.T) *bench { return on(t, "as-found").input("driveline.sprockets.front", "13") }, silent, ""},
	{"chain-repeat", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("driveline.sprockets.front", "14") }, figure.Note, "share the factor 2"},

	{"tyre-rim", fires, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.rear.rim_width", "7 in") }, figure.Caution, "8.00 in to 9.00 in"},
	{"tyre-rim", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"tyre-rim", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.rear.rim_width", "8 in") }, silent, ""},

	{"tyre-clearance", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("tyres.front.clearance_left", 9*mm) }, figure.Conflict, "1.00 mm more room"},
	{"tyre-clearance", fires, func(t *testing.T) *bench { return on(t, "as-found").unknown("tyres.front.clearance_left") }, figure.NotComputed, "needs"},
	{"tyre-clearance", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"tyre-clearance", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("tyres.front.clearance_left", 10*mm) }, silent, ""},

	{"wheel-pattern", fires, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.rear.bolt_circle", "4 x 115 mm") }, figure.Conflict, "4 x 115 mm"},
	{"wheel-pattern", fires, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.rear.bolt_circle", "3 x 110 mm") }, figure.Conflict, "3 x 110 mm"},
	{"wheel-pattern", fires, func(t *testing.T) *bench { return on(t, "as-found").without("wheels.rear.hub") }, figure.NotComputed, "it needs the bolt circle"},
	{"wheel-pattern", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"wheel-pattern", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.rear.bolt_circle", "4 x 110.4 mm") }, silent, ""}, // half a millimetre is how well it is written

	{"axle-load", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("chassis.mass", 200).figure("axle.yield_load", 3900)
	}, figure.Caution, "3923 N"},
	{"axle-load", fires, func(t *testing.T) *bench {
		return on(t, "as-found").figure("chassis.mass", 200).figure("axle.yield_load", 1900)
	}, figure.Conflict, "fatigue"},
	{"axle-load", quiet, func(t *testing.T) *bench {
		return on(t, "as-found").figure("chassis.mass", 200).figure("axle.yield_load", 4000)
	}, silent, ""},
	{"axle-load", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("chassis.mass", 200).figure("axle.yield_load", 2*200*9.80665)
	}, silent, ""},
	{"axle-load", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").figure("chassis.mass", 200).figure("axle.yield_load", 200*9.80665)
	}, figure.Caution, ""},

	// As found it tips at 0.88 x 0.436 = 0.384 g (docs/by-hand.md), and braking at 0.2 g it slides at sqrt(0.62^2 -
	// 0.2^2) = 0.587 g on a grip of 0.62.
	{"tips-before-slides", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.Caution, "It tips before it slides: at 0.384 g centred (it slides at 0.620 g)"},
	{"tips-before-slides", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.Caution, "braking at 0.2 g (it slides at 0.587 g)"},
	{"tips-before-slides", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("track.peak_grip", "0.39 ± 0.02") }, figure.Caution, "It may tip before it slides, within what is known of the grip: at 0.384 g centred"},
	{"tips-before-slides", fires, func(t *testing.T) *bench { return on(t, "as-found").input("track.peak_grip", "0.37 ± 0.03") }, figure.Note, "Measure the grip"},
	{"tips-before-slides", quiet, func(t *testing.T) *bench { return on(t, "as-found").input("track.peak_grip", "0.25 ± 0.02") }, silent, ""},

	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.36, 0.10) }, figure.Caution, "One is right and the other wrong: it is the spring, not the preload"},
	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.22, 0.15) }, figure.Caution, "One is right and the other wrong: it is the spring, not the preload"},
	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.40, 0.01) }, figure.Caution, "One is too much and the other too little: it is the spring"},
	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.40, 0.25) }, figure.Caution, "try more preload first"},
	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.40, 0.25) }, figure.Caution, "N/mm in each leg (now 2.40 N/mm)"},
	{"sag", fires, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.05, 0.01) }, figure.Caution, "try less preload first; 15.0 mm is there to take off"},
	{"sag", fires, func(t *testing.T) *bench {
		return sagging(on(t, "as-found").input("suspension.front.preload", "0 mm"), 0.05, 0.01)
	}, figure.Caution, "no preload to take off: it is the spring"},
	{"sag", fires, func(t *testing.T) *bench {
		return sagging(on(t, "as-found"), 0.40, 0.25).figure("suspension.front.preload_for_sag", 0)
	}, figure.Caution, "No spring gives both sags"},
	{"sag", fires, func(t *testing.T) *bench { return sprungByTyre(on(t, "as-found"), 0.21) }, figure.Caution, "Put some pressure in"},
	{"sag", fires, func(t *testing.T) *bench { return sprungByTyre(on(t, "as-found"), 0.05) }, figure.Caution, "gives 5.0 % of its sidewall with the rider on (usual 6 % to 20 %)"},
	{"sag", boundary, func(t *testing.T) *bench { return sprungByTyre(on(t, "as-found"), 0.06) }, silent, ""},
	{"sag", boundary, func(t *testing.T) *bench { return sprungByTyre(on(t, "as-found"), 0.20) }, silent, ""},
	{"sag", quiet, func(t *testing.T) *bench {
		return sprungByTyre(on(t, "as-found"), 0.05).without("wheels.rear.loaded_radius")
	}, silent, ""},
	{"sag", fires, func(t *testing.T) *bench {
		b := sagging(on(t, "as-found"), 0, 0)
		f := b.c.Figures["suspension.front.rider_sag"]
		f.End = "topped out"
		b.c.Figures[f.ID] = f
		return b
	}, figure.Caution, "rider sag is 0.0 % of the travel, topped out"},
	{"sag", quiet, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.22, 0.08) }, silent, ""},
	{"sag", quiet, func(t *testing.T) *bench {
		return sagging(on(t, "as-found").input("suspension.use", "trail"), 0.28, 0.14)
	}, silent, ""},
	{"sag", boundary, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.25, 0.12) }, silent, ""},
	{"sag", boundary, func(t *testing.T) *bench { return sagging(on(t, "as-found"), 0.20, 0.03) }, silent, ""},

	{"spring-solid", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("suspension.rear.spring_left", 2*mm) }, figure.Conflict, "1.00 mm off the preload"},
	{"spring-solid", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("suspension.rear.spring_left", -10*mm) }, figure.Conflict, "Fit a spring with 13.0 mm more room: its 10.0 mm of preload"},
	{"spring-solid", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"spring-solid", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("suspension.rear.spring_left", 3*mm) }, silent, ""},

	{"oil-air-gap", fires, func(t *testing.T) *bench { return on(t, "as-found").figure("suspension.front.air_pressure", 3.1e5) }, figure.Caution, "3.10 bar"},
	{"oil-air-gap", quiet, func(t *testing.T) *bench { return on(t, "as-found") }, silent, ""},
	{"oil-air-gap", boundary, func(t *testing.T) *bench { return on(t, "as-found").figure("suspension.front.air_pressure", 3e5) }, silent, ""},

	{"fuel-range", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.NotComputed, "until there is a lap"},
	{"fuel-range", fires, func(t *testing.T) *bench { return on(t, "as-found").noLap("the hill is too steep") }, figure.NotComputed, "the hill is too steep"},
	{"fuel-range", fires, func(t *testing.T) *bench {
		return on(t, "as-found").burns(9, 30)
	}, figure.Conflict, "28 laps"},
	{"fuel-range", fires, func(t *testing.T) *bench { return on(t, "as-found").burns(7.2, 30) }, figure.Caution, "less than a fifth more"},
	{"fuel-range", quiet, func(t *testing.T) *bench { return on(t, "as-found").burns(3, 30) }, silent, ""},
	{"fuel-range", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").burns(8.5/1.2, 30)
	}, silent, ""},

	{"brake-fluid", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.NotComputed, "until there is a lap"},
	{"brake-fluid", fires, func(t *testing.T) *bench { return on(t, "as-found").disc(160, 200) }, figure.Caution, "160"},
	{"brake-fluid", fires, func(t *testing.T) *bench { return on(t, "as-found").disc(120, 156) }, figure.Note, "DOT 4"},
	{"brake-fluid", fires, func(t *testing.T) *bench {
		return on(t, "as-found").cannot("needs brakes.front.disc_mass", "brakes.front.disc_temperature", "brakes.front.fluid_temperature")
	}, figure.NotComputed, "disc_mass"},
	{"brake-fluid", quiet, func(t *testing.T) *bench { return on(t, "as-found").disc(90, 120) }, silent, ""},
	{"brake-fluid", quiet, func(t *testing.T) *bench { return on(t, "as-found", ", fluid: DOT 4", "").disc(190, 220) }, silent, ""},
	{"brake-fluid", boundary, func(t *testing.T) *bench { return on(t, "as-found").disc(120, 155) }, silent, ""},

	{"drum-heat", fires, func(t *testing.T) *bench { return on(t, "as-found") }, figure.NotComputed, "until there is a lap"},
	{"drum-heat", fires, func(t *testing.T) *bench {
		return on(t, "as-found").give("brakes.rear.power", 600, "kW")
	}, figure.Note, "rear drum takes 0.6 kW"},
	{"drum-heat", quiet, func(t *testing.T) *bench { return on(t, "as-found").give("brakes.rear.power", 100, "kW") }, silent, ""},
	{"drum-heat", boundary, func(t *testing.T) *bench {
		return on(t, "as-found").give("brakes.rear.power", 500, "kW")
	}, silent, ""},

	{"order-of-work", fires, func(t *testing.T) *bench {
		return on(t, "full", "waits_for: [gussets]", "waits_for: []")
	}, figure.Caution, "waits_for: [gussets]"},
	{"order-of-work", fires, func(t *testing.T) *bench {
		return on(t, "full", "    waits_for: [high-piston]\n    keeps_busy: cylinder", "    keeps_busy: cylinder")
	}, figure.Caution, "waits_for: [high-piston]"},
	{"order-of-work", fires, func(t *testing.T) *bench {
		return on(t, "full", "    waits_for: [high-piston, valve-pockets]", "    waits_for: []")
	}, figure.Caution, "waits_for: [high-piston]"},
	{"order-of-work", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"order-of-work", boundary, func(t *testing.T) *bench { // through another part is waiting too
		return on(t, "full", "    waits_for: [high-piston, valve-pockets]", "    waits_for: [valve-pockets]")
	}, silent, ""},

	{"two-stroke", fires, func(t *testing.T) *bench { return on(t, "full", "cycle: four-stroke", "cycle: two-stroke") }, figure.NotComputed, "clutch and fuel"},
	{"two-stroke", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"two-stroke", boundary, func(t *testing.T) *bench { // only the baseline is one
		return on(t, "full", "cycle: four-stroke", "cycle: two-stroke", "sets: {engine.bore: 75.5 mm", "sets: {engine.cycle: four-stroke, engine.bore: 75.5 mm")
	}, silent, ""},

	{"needs", fires, func(t *testing.T) *bench { return on(t, "overdone") }, figure.Caution, `"Forged piston, 75.5 mm" needs "Rebore and hone`},
	{"needs", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"needs", boundary, func(t *testing.T) *bench { // listed before the part that needs it
		return on(t, "full", "full: [high-piston, rebore,", "full: [rebore, high-piston,")
	}, silent, ""},

	{"excludes", fires, func(t *testing.T) *bench { return on(t, "overdone") }, figure.Conflict, "\"Rear sprocket, 38 teeth, with a 90-pitch chain\" does not go together with \"Rear sprocket, 42 teeth, steel\""},
	{"excludes", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"excludes", boundary, func(t *testing.T) *bench { return on(t, "overdone", "sprocket-38, sprocket-42-steel]", "sprocket-38]") }, silent, ""},

	{"set-twice", fires, func(t *testing.T) *bench { return on(t, "overdone") }, figure.Caution, "teeth of the rear sprocket"},
	{"set-twice", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"set-twice", boundary, func(t *testing.T) *bench { // adding to what another part sets is no overlap
		return on(t, "full", "adds: {engine.head.piston_to_valve.intake: 1.0 mm ± 0.05 mm,", "adds: {engine.bore: 0 mm, engine.head.piston_to_valve.intake: 1.0 mm ± 0.05 mm,")
	}, silent, ""},

	{"undone", fires, func(t *testing.T) *bench { // the pipe takes the silencer off, the silencer comes after it in the list
		return on(t, "full", "  head-pipe:\n", "  head-pipe:\n    removes: [engine.exhaust.silencer]\n")
	}, figure.Caution, "what is set counts"},
	{"undone", fires, func(t *testing.T) *bench {
		return on(t, "full", "  front-hose:\n", "  front-hose:\n    removes: [engine.exhaust.silencer]\n")
	}, figure.Caution, "takes it off again: it is not there"},
	{"undone", fires, func(t *testing.T) *bench {
		return on(t, "full", "  front-hose:\n", "  front-hose:\n    removes: [front-pads]\n")
	}, figure.Caution, `The build lists "Sintered front pads", and "Braided front hose" takes it off`},
	{"undone", fires, func(t *testing.T) *bench { // nobody has measured the gap, so 1 mm more is not known either
		return on(t, "full", "  front-hose:\n", "  front-hose:\n    adds: {engine.head.valve_gap: 1 mm}\n")
	}, figure.Caution, "which is not known"},
	{"undone", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"undone", boundary, func(t *testing.T) *bench { // what comes off and is set by the same part is changed, no more
		return on(t, "full", "  front-hose:\n", "  front-hose:\n    removes: [brakes.front.hose, driveline.chain.slack]\n")
	}, silent, ""},

	// 32 psi is 220.6 kPa; 32 kPa would be usual, and so would 3.2 psi.
	{"unusual", fires, func(t *testing.T) *bench { return on(t, "as-found").input("wheels.front.pressure", "32 psi") }, figure.Caution,
		"The front tyre pressure is 32.0 psi, which is 221 kPa; on a three-wheeler it is usually 10.0 kPa to 70.0 kPa. Look at the unit and the digits: did you mean 32 kPa or 3.2 psi?"},
	{"unusual", fires, func(t *testing.T) *bench { return on(t, "as-found").input("mass.dry", "295 kg") }, figure.Caution, "did you mean 295 lb?"},
	{"unusual", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.clearances.piston", "0.045 in") }, figure.Caution, "did you mean 0.045 mm or 0.0045 in?"},
	{"unusual", fires, func(t *testing.T) *bench { return on(t, "as-found").input("suspension.front.spring_rate", "6.8 N/mm") }, figure.Caution, "3.4 N/mm for each"},
	{"unusual", fires, func(t *testing.T) *bench { return on(t, "as-found").input("engine.cam.lobe_fullness", "0.2") }, figure.Caution, "0.200"},
	{"unusual", fires, func(t *testing.T) *bench { // what a part adds counts too: 1.2 mm and 2 more
		return on(t, "full", "adds: {engine.head.piston_to_valve.intake: 1.0 mm ± 0.05 mm,", "adds: {engine.clearances.squish: 2 mm, engine.head.piston_to_valve.intake: 1.0 mm ± 0.05 mm,")
	}, figure.Caution, "3.20 mm"},
	{"unusual", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"unusual", boundary, func(t *testing.T) *bench { return on(t, "as-found").input("mass.dry", "200 kg") }, silent, ""},

	{"ride-height", fires, func(t *testing.T) *bench { return on(t, "full").figure("tyres.rear.diameter", 0.457, 0.559) }, figure.Note, "51.0 mm lower"},
	{"ride-height", quiet, func(t *testing.T) *bench { return on(t, "full") }, silent, ""},
	{"ride-height", boundary, func(t *testing.T) *bench { return on(t, "full").figure("tyres.rear.diameter", 0.5689, 0.559) }, silent, ""},

	{"claims", fires, func(t *testing.T) *bench { return on(t, "full").figure("engine.compression_ratio", 10.4) }, figure.Note, "does not hold"},
	{"claims", fires, func(t *testing.T) *bench { return on(t, "full").unknown("engine.compression_ratio") }, figure.NotComputed, "cannot be judged"},
	{"claims", quiet, func(t *testing.T) *bench { return claimed(on(t, "full"), 10.6, 1.6) }, silent, ""},
	{"claims", boundary, func(t *testing.T) *bench { return claimed(on(t, "full"), 10.6, 1.62) }, silent, ""}, // "60 %" is as good as two in a hundred
	{"claims", fires, func(t *testing.T) *bench { return claimed(on(t, "full"), 10.6, 1.7) }, figure.Note, "1.70"},

	{"cautions", fires, func(t *testing.T) *bench { return on(t, "full") }, figure.Caution, "Welding"},
	{"cautions", quiet, func(t *testing.T) *bench { // nothing is done to it: only what always holds
		b := on(t, "as-found")
		if n := len(b.run("cautions")); n != 2 {
			t.Errorf("%d cautions for a machine as found, want roll-over and local rules", n)
		}
		return b
	}, figure.Caution, "roll over"},
	{"printed-ratio", fires, func(t *testing.T) *bench {
		return found(t).input("engine.claimed_ratio", "9").figure("engine.compression_ratio", 10.2)
	}, figure.Caution, "makes 10.2 : 1, the data sheet says 9.0"},
	{"printed-ratio", quiet, func(t *testing.T) *bench {
		return on(t, "full").input("engine.claimed_ratio", "7")
	}, silent, ""},
	{"printed-ratio", boundary, func(t *testing.T) *bench {
		return found(t).input("engine.claimed_ratio", "9").figure("engine.compression_ratio", 9.5)
	}, silent, ""},
	{"cautions", boundary, func(t *testing.T) *bench {
		return on(t, "club", "club: [wide-axle, bearing-carrier, fork-springs, fork-oil, shock-spring, front-pads, low-seat, sprocket-14]", "club: [gussets]")
	}, figure.Caution, "Welding"},
}

// sagging sets both ends to shares of their travel.
func sagging(b *bench, rider, free float64) *bench {
	for _, end := range ends {
		travel, ok := b.c.number("suspension." + end + ".travel")
		if !ok {
			b.t.Fatal("no travel")
		}
		b.figure("suspension."+end+".rider_sag", rider*travel).figure("suspension."+end+".free_sag", free*travel)
	}
	return b
}

// sprungByTyre is a machine with a rear end that has no springs, and usual sags in front: its tyre gives so much of its
// sidewall.
func sprungByTyre(b *bench, share float64) *bench {
	sagging(b, 0.22, 0.08).input("suspension.rear.kind", "solid").input("wheels.rear.loaded_radius", "250 mm").without("wheels.rear.tyre_rate")
	return b.figure("tyres.rear.give", share)
}

func claimed(b *bench, ratio, axle float64) *bench {
	return b.figure("engine.compression_ratio", ratio).figure("axle.section_strength", axle*821, 821).figure("driveline.clutch_capacity", 130, 100)
}

// leaking is a build of the example whose machine as found loses a share of the supply in a leak-down.
func leaking(t *testing.T, build, lost string) *bench {
	t.Helper()
	return on(t, build, "    cam:\n", "    leak_down: {lost: "+lost+"}\n    cam:\n")
}

// printed is the example as found with the events that a maker prints.
func printed(t *testing.T) *bench {
	t.Helper()
	return on(t, "as-found", "opens: 12 deg ± 1 measured, closes: 42 deg ± 1 measured", "opens: 12 deg, closes: 42 deg", "opens: 44 deg ± 1 measured, closes: 10 deg ± 1 measured", "opens: 44 deg, closes: 10 deg")
}

// cranking is a bench whose gauge shows a pressure where 9 to 11 bar are computed.
func cranking(b *bench, shows string) *bench {
	f := b.figure("engine.cranking_pressure", 10e5).c.Figures["engine.cranking_pressure"]
	f.Low, f.High = 9e5, 11e5
	b.c.Figures[f.ID] = f
	return b.input("engine.cranking.measured", shows)
}

func TestRules(t *testing.T) {
	for _, trial := range trials {
		t.Run(trial.rule+"/"+string(trial.kind), func(t *testing.T) {
			findings := trial.set(t).run(trial.rule)
			if trial.want == silent {
				if len(findings) > 0 {
					t.Errorf("it should keep silent: %s", findings[0].Text)
				}
				return
			}
			for _, f := range findings {
				if f.Severity == trial.want && strings.Contains(f.Text+" "+f.Remedy, trial.says) {
					if f.Basis == "" || f.Rule != trial.rule {
						t.Errorf("without basis or rule: %+v", f)
					}
					if f.Severity == figure.Conflict && f.Remedy == "" {
						t.Errorf("a conflict without a remedy: %s", f.Text)
					}
					return
				}
			}
			t.Errorf("no %s that says %q: %+v", trial.want, trial.says, findings)
		})
	}
}

// Every rule has a firing, a silent and a boundary trial.
func TestEveryRuleIsTried(t *testing.T) {
	tried := map[string]map[kind]bool{}
	for _, trial := range trials {
		if tried[trial.rule] == nil {
			tried[trial.rule] = map[kind]bool{}
		}
		tried[trial.rule][trial.kind] = true
	}
	for _, r := range rules {
		for _, k := range []kind{fires, quiet, boundary} {
			if !tried[r.ID][k] {
				t.Errorf("%s has no trial of kind %s", r.ID, k)
			}
		}
	}
}

// Sentences in US units speak US units.
func TestFindingsInUSUnits(t *testing.T) {
	b := on(t, "as-found").figure("engine.coil_bind_left.intake", 0.8*mm)
	b.c.System = quantity.US
	if f := b.run("coil-bind"); len(f) != 1 || !strings.Contains(f[0].Text, "0.031 in") {
		t.Errorf("%+v", f)
	}
}

// The worst stands first.
func TestFindingsAreOrdered(t *testing.T) {
	all := Run(on(t, "overdone").c)
	if len(all) < 10 || all[0].Severity != figure.Conflict {
		t.Fatalf("%d findings, the first %+v", len(all), all[0])
	}
	if !slices.IsSortedFunc(all, figure.Compare) {
		t.Error("not in order")
	}
}

// Every stake belongs to a rule that is there.
func TestStakesAreOfRules(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range Rules() {
		ids[r.ID] = true
	}
	seen := map[string]bool{}
	for _, list := range dangers {
		for _, id := range list {
			if !ids[id] || seen[id] {
				t.Errorf("%q is no rule, or stands twice", id)
			}
			seen[id] = true
		}
	}
	for id := range movers {
		if !seen[id] {
			t.Errorf("what moves %q is known, but it breaks neither engine nor rider", id)
		}
	}
}

// What the three examples give, and what their parts make of it, is usual.
func TestTheExamplesAreUsual(t *testing.T) {
	for _, name := range []string{"fenmoor-t285", "sallow-q250", "brackwater-246"} {
		text, err := os.ReadFile("../examples/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, err := sheet.Parse(&sheet.File{Name: name, Text: text})
		if err != nil {
			t.Fatal(err)
		}
		for _, build := range s.Project.BuildNames() {
			b, err := s.Project.Resolve(build)
			if err != nil {
				t.Fatal(err)
			}
			r := &report{rule: &Rule{}}
			unusual(NewContext(b, b, nil, quantity.Metric), r)
			for _, f := range r.findings {
				t.Errorf("%s, %s: %s %s", name, build, f.Text, f.Remedy)
			}
		}
	}
}
