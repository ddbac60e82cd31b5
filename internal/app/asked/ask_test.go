package asked

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/figure"
	"shakedown/internal/outside"
	"shakedown/quantity"
	"shakedown/sheet"
)

func ask(t testing.TB, q Question) *Answer {
	t.Helper()
	if q.Path == "" {
		q.Path = example
	}
	a, err := Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// edited is the example with texts replaced, as a file.
func edited(t testing.TB, changes ...string) string {
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
	file := filepath.Join(t.TempDir(), "edited.yaml")
	if err := os.WriteFile(file, []byte(changed), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func value(t testing.TB, a *Answer, id string) figure.Figure {
	t.Helper()
	f, err := a.Figure(id)
	if err != nil {
		t.Fatal(err)
	}
	if f.State != figure.Ready {
		t.Fatalf("%s: %s", id, f.Why)
	}
	return f
}

// Through the whole program: text in, figures out. The piston without its pockets is a build of its own.
func TestWholeProgramAgainstOutsideValues(t *testing.T) {
	piston := edited(t, "  club: [wide-axle", "  piston: [high-piston, rebore]\n  axle: [wide-axle]\n  four-inches: [four-inches]\n  gearing: [teeth]\n  tyres: [sizes]\n  club: [wide-axle",
		"  bearing-carrier:\n", "  four-inches:\n    kind: axle\n    adds: {geometry.track_rear: 4 in}\n  teeth:\n    kind: sprocket\n    sets: {driveline.sprockets.front: 13, driveline.sprockets.rear: 34}\n  sizes:\n    kind: tyre\n    sets: {wheels.front.tyre: \"23.5x8-11\", wheels.rear.tyre: \"18x9.5-8\"}\n  bearing-carrier:\n")
	found := ask(t, Question{Path: piston, Build: "as-found"})
	high := ask(t, Question{Path: piston, Build: "piston"})
	wide := ask(t, Question{Path: piston, Build: "four-inches"})
	gearing := ask(t, Question{Path: piston, Build: "gearing"})
	tyres := ask(t, Question{Path: piston, Build: "tyres"})
	tip := value(t, wide, "chassis.tip_lateral")
	for _, c := range []outside.Check{
		{ID: "sheet 1", Name: "compression ratio of the sample machine", Got: value(t, found, "engine.compression_ratio").Value, Want: 8.8, Tol: 0.05, Unit: "1", Source: "pencil and paper", Known: []outside.Known{outside.Computed}},
		{ID: "sheet 2", Name: "swept volume with a piston of 75.5 mm", Got: value(t, high, "engine.swept_volume").Value * 1e6, Want: 296.8, Tol: 0.05, Unit: "cc", Source: "pencil and paper", Known: []outside.Known{outside.Computed}},
		{ID: "sheet 3", Name: "compression ratio with its dome", Got: value(t, high, "engine.compression_ratio").Value, Want: 10.6, Tol: 0.05, Unit: "1", Source: "pencil and paper", Known: []outside.Known{outside.Computed}},
	} {
		c.Run(t)
	}
	// Usual changes of the trade, each through the whole program: the number that its designation or statics give.
	share := value(t, wide, "chassis.tip_lateral").Value / value(t, found, "chassis.tip_lateral").Value
	if tip.Change == nil || tip.Change.Low <= 0 || math.Abs(share-(790+101.6)/790) > 1e-9 {
		t.Errorf("four inches more axle: %g of the old limit, %+v", share, tip.Change)
	}
	for name, got := range map[string][2]float64{
		"13 and 34 teeth": {value(t, gearing, "driveline.overall_top").Value / (3.26 * 0.96), 34.0 / 13},
		"23.5x8-11 in mm": {value(t, tyres, "tyres.front.diameter").Value * 1e3, 596.9},
		"18x9.5-8 in mm":  {value(t, tyres, "tyres.rear.diameter").Value * 1e3, 457.2},
	} {
		if math.Abs(got[0]-got[1]) > 1e-6 {
			t.Errorf("%s: %g, not %g", name, got[0], got[1])
		}
	}
}

// A build against itself changes nothing, exactly.
func TestNothingChangesAgainstItself(t *testing.T) {
	a := ask(t, Question{Build: "full", Against: "full"})
	for _, f := range a.Figures {
		if f.State != figure.Waiting && (f.Change == nil || !f.Change.None()) {
			t.Errorf("%s: %+v", f.ID, f.Change)
		}
	}
}

// What two builds share cancels: the range of a change is never wider than both ranges together, and much narrower
// where one part alone differs.
func TestSharedInputsCancel(t *testing.T) {
	a := ask(t, Question{Build: "club", Against: "as-found"})
	b := ask(t, Question{Build: "as-found"})
	narrower := 0
	for _, f := range a.Figures {
		if f.Change == nil || f.State != figure.Ready || f.Change.None() {
			continue
		}
		before := value(t, b, f.ID)
		change, both := f.Change.High-f.Change.Low, math.Hypot(f.High-f.Low, before.High-before.Low)
		if change > 1.02*both {
			t.Errorf("%s: the change's range %g is wider than both together %g", f.ID, change, both)
		}
		if change < both/2 {
			narrower++
		}
	}
	if narrower < 5 {
		t.Errorf("only %d changes are surer than half", narrower)
	}
}

// The answer does not depend on the number of processors.
func TestSameOnAnyNumberOfProcessors(t *testing.T) {
	var texts []string
	for _, n := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(n)
		var out bytes.Buffer
		if err := ask(t, Question{Build: "overdone"}).WriteJSON(&out, "test"); err != nil {
			t.Fatal(err)
		}
		runtime.GOMAXPROCS(old)
		texts = append(texts, out.String())
	}
	if texts[0] != texts[1] || texts[0] != texts[2] {
		t.Error("the JSON differs between numbers of processors")
	}
}

// Every figure is ready, finite and inside its range, for every build of every example.
func TestAllFiguresOfAllBuilds(t *testing.T) {
	for layout, path := range exampleSheets {
		for _, build := range ask(t, Question{Path: path}).Sheet.Project.BuildNames() {
			a := ask(t, Question{Path: path, Build: build})
			for _, f := range a.Figures {
				if f.State != figure.Ready && !(f.Slow && f.State == figure.Waiting) || math.IsNaN(f.Value+f.Low+f.High) || f.Low > f.Value || f.High < f.Value {
					t.Errorf("%s %s %s: %+v", layout, build, f.ID, f)
				}
				if f.Basis.Formula == "" || f.Basis.Source == "" || f.Basis.Theory == "" {
					t.Errorf("%s has no whole basis", f.ID)
				}
			}
			if a.Advice.Text == "" || a.Plan.Ready.IsZero() {
				t.Errorf("%s %s: no advice or date", layout, build)
			}
		}
	}
}

func TestOrderFirst(t *testing.T) {
	for _, want := range []string{"Forged piston", "3 August 2027"} {
		if got := ask(t, Question{Build: "full"}).OrderFirst(); !strings.Contains(got, want) {
			t.Errorf("no %q in %q", want, got)
		}
	}
	if got := ask(t, Question{Build: "as-found"}).OrderFirst(); got != "" {
		t.Errorf("nothing is waited for: %q", got)
	}
	late := ask(t, Question{Path: edited(t, "race_day: 2027-09-11", "race_day: 2027-06-01")})
	if !strings.Contains(late.OrderFirst(), "9 days too late") {
		t.Errorf("late: %q", late.OrderFirst())
	}
}

func TestDefaultsAndExits(t *testing.T) {
	a := ask(t, Question{})
	if a.Build.Name != "full" || a.Baseline.Name != "as-found" {
		t.Errorf("%s against %s", a.Build.Name, a.Baseline.Name)
	}
	if a.Exit() != Fine || ask(t, Question{Build: "overdone"}).Exit() != ConflictsFound {
		t.Error("exit codes of full and overdone")
	}
	if _, err := Ask(Question{Path: example, Build: "ful"}); err == nil || ExitOf(err) != BadInput || !strings.Contains(err.Error(), "as-found, club") {
		t.Errorf("unknown build: %v", err)
	}
	if _, err := Ask(Question{Path: "nowhere.yaml"}); ExitOf(err) != BadInput {
		t.Errorf("no file: %v", err)
	}
	if _, err := a.Figure("chassis.tip"); err == nil || !strings.Contains(err.Error(), "chassis.tip_lateral") {
		t.Errorf("nearest figure: %v", err)
	}
	// A figure that cannot be computed says what is missing, and the exit code says that it is.
	b := ask(t, Question{Path: edited(t, "bearing_spacing: 180 mm measured, ", ""), Build: "as-found"})
	f, err := b.Figure("axle.yield_load")
	if err != nil || f.State != figure.Cannot || !strings.Contains(f.Why, "spacing of the axle bearings") || !slices.Contains(f.Missing, "wheels.axle.bearing_spacing") || b.Exit() != CannotCompute {
		t.Errorf("%+v %v, exit %d", f, err, b.Exit())
	}
}

func TestToday(t *testing.T) {
	now := time.Date(2027, 8, 1, 15, 4, 0, 0, time.UTC)
	noToday := edited(t, "today: 2027-05-03", "# today is left to the clock")
	for name, c := range map[string]struct {
		q    Question
		want string
	}{
		"sheet": {Question{Now: now}, "2027-05-03"},
		"asked": {Question{Now: now, Today: time.Date(2027, 6, 1, 0, 0, 0, 0, time.UTC)}, "2027-06-01"},
		"clock": {Question{Now: now, Path: noToday}, "2027-08-01"},
	} {
		if got := ask(t, c.q).Today.Format(time.DateOnly); got != c.want {
			t.Errorf("%s: %s", name, got)
		}
	}
}

// The JSON has the shape that others rely on.
func TestJSONShape(t *testing.T) {
	var out bytes.Buffer
	if err := ask(t, Question{Build: "full"}).WriteJSON(&out, "0.1.0"); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Program, Sheet, Build, Against string
		Figures                        []struct {
			ID               string
			Unit             string
			State            string
			Value, Low, High *float64
			Change           *struct{ Value, Low, High *float64 }
			Basis            struct {
				Formula, Source, Theory string
				Inputs                  []struct {
					Path, Unit, Known string
					Value             *float64
					SetBy             string `json:"set_by"`
				}
			}
		}
		Findings []struct {
			Rule, Severity, Text, Remedy string
			Where                        []string
		}
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Program != "0.1.0" || got.Sheet != "fenmoor-t285.yaml" || got.Build != "full" || got.Against != "as-found" {
		t.Errorf("head: %s %s %s %s", got.Program, got.Sheet, got.Build, got.Against)
	}
	byID := map[string]int{}
	for i, f := range got.Figures {
		byID[f.ID] = i
		if f.State == string(figure.Waiting) && f.Value == nil && contractUnits[f.ID] == "" {
			continue // it takes long
		}
		if f.Value == nil || f.Low == nil || f.High == nil || f.Change == nil || f.Unit == "" {
			t.Errorf("%s is not whole", f.ID)
		}
	}
	for id, unit := range contractUnits {
		i, ok := byID[id]
		if !ok || got.Figures[i].Unit != unit {
			t.Errorf("%s: there %v, unit %q, want %q", id, ok, got.Figures[i].Unit, unit)
		}
	}
	swept := got.Figures[byID["engine.swept_volume"]]
	for _, in := range swept.Basis.Inputs {
		if in.Path == "engine.bore" && (*in.Value != 0.0755 || in.Unit != "m" || in.Known != "claimed" || in.SetBy != "high-piston") {
			t.Errorf("bore: %+v", in)
		}
	}
	if len(got.Findings) == 0 {
		t.Error("no findings")
	}
}

// contractUnits are the ids and SI units that other programs rely on.
var contractUnits = map[string]string{
	"engine.swept_volume": "m3", "engine.compression_ratio": "1", "engine.trapped_compression_ratio": "1", "engine.mean_piston_speed": "m/s",
	"engine.peak_piston_acceleration": "m/s2", "engine.rod_inertia_load": "N", "engine.inlet_mach_index": "1", "engine.carburettor_speed": "m/s",
	"engine.header_speed": "m/s", "engine.air_density": "kg/m3", "engine.power_correction": "1", "engine.piston_to_valve.intake": "m",
	"engine.piston_to_valve.exhaust": "m", "engine.valve_float.intake": "rad/s", "engine.valve_float.exhaust": "rad/s",
	"driveline.speed.1": "m/s", "driveline.speed.5": "m/s", "driveline.chain_pitches": "1", "driveline.adjuster_left": "m", "driveline.clutch_capacity": "Nm",
	"chassis.mass": "kg", "chassis.cg_x": "m", "chassis.cg_z": "m", "chassis.tip_lateral": "g0", "chassis.tip_lateral_hung": "g0",
	"chassis.tip_lateral_braking": "g0", "chassis.wheelie_limit": "g0", "chassis.stoppie_limit": "g0", "chassis.rake": "rad", "chassis.trail": "m",
	"suspension.front.wheel_rate": "N/m", "suspension.front.rider_sag": "m", "suspension.front.free_sag": "m", "suspension.front.frequency": "Hz",
	"suspension.rear.wheel_rate": "N/m", "suspension.rear.rider_sag": "m", "suspension.rear.free_sag": "m", "suspension.rear.frequency": "Hz",
	"brakes.front.lever_force": "N", "axle.section_strength": "Nm", "axle.yield_load": "N", "tyres.front.diameter": "m", "tyres.rear.diameter": "m",
	"money.cost": "minor units", "plan.days": "days",
}

// Asking in US units changes what people read and no number of the JSON.
func TestUnitsChangeNoNumber(t *testing.T) {
	metric, us := ask(t, Question{}), ask(t, Question{System: quantity.US})
	for i, f := range metric.Figures {
		if g := us.Figures[i]; g.Value != f.Value || g.Low != f.Low {
			t.Errorf("%s: %g and %g", f.ID, f.Value, g.Value)
		}
	}
}

// A two-stroke that gives nothing of valves and cam is answered as a four-stroke is that gives all: chassis, gearing
// and brakes hold, so the exit code is that of its conflicts. A maker's claim of a figure that it is without is no slip
// of the pen.
func TestTwoStrokeIsAnswered(t *testing.T) {
	text, err := os.ReadFile("../../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	two := strings.NewReplacer("cycle: four-stroke", "cycle: two-stroke", "of: engine.compression_ratio, value: 10.6", "of: engine.header_speed, factor: 1.1").Replace(string(text))
	for build, want := range map[string]int{"club": Fine, "overdone": ConflictsFound} {
		a, err := Ask(Question{Text: &sheet.File{Name: "two.yaml", Text: []byte(two)}, Build: build, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			t.Fatal(err)
		}
		if a.Exit() != want {
			t.Errorf("%s exits with %d, %d is right", build, a.Exit(), want)
		}
	}
}
