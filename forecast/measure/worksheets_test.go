package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/suspension"
)

const measuredSheet = `sheet: 1
machine:
  layout: three-wheeler
  geometry: {wheelbase: 1250 mm measured, rake: 24 deg measured}
  engine:
    bore: 74 mm ± 0 mm
    chamber: {gasket_bore: 77 mm, gasket_thickness: 0.8 mm, deck: 0.4 mm %s}
  suspension:
    front: {travel: 180 mm, tube_outer: 35 mm, tube_bore: 31 mm, oil_air_gap: 160 mm}
  brakes:
    front: {kind: disc, effective_radius: 88 mm, calliper: {type: floating, pistons: 1, diameter: 32 mm}, master: 12.7 mm, lever_ratio: 5.8}
    rear: {kind: drum, diameter: 140 mm, lever_ratio: 9}
air: {temperature: 20 C, humidity: 0, pressure: 101325 Pa}
measure:
%s
builds: {a: []}
`

func measured(t testing.TB, rest string, worksheets ...string) (*machine.Project, []Mismeasured) {
	t.Helper()
	text := fmt.Sprintf(measuredSheet, rest, "  "+strings.Join(worksheets, "\n  "))
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return s.Project, Fill(s.Project)
}

// Each worksheet gets back what its readings were made from, by the sum the other way round.
func TestWorksheetsByInverse(t *testing.T) {
	fork := suspension.Fork{Legs: 2, Rate: 3400, Preload: 0.015, Travel: 0.18, Bore: 0.031, Outer: 0.035, AirGap: 0.16, Rake: 24 * math.Pi / 180, Atmosphere: 101325}
	at := func(s float64) string { return fmt.Sprintf("%.9f kg", fork.VerticalForceAt(s)/chassis.Gravity) }
	deg := 2 * math.Pi * math.Sqrt(0.0065*1.8/(8.2*chassis.Gravity*0.12*0.12)) // period of 0.0065 kg.m2
	whole := 34.0 + 1.2 + math.Pi/4*7.7*7.7*0.08 + math.Pi/4*7.4*7.4*0.04 - 2.9
	area := func(d float64) float64 { return math.Pi / 4 * d * d }
	for _, c := range []struct {
		name, worksheet, rest string
		want                  map[string]float64
	}{
		{"weights", "weights: {front: 43.23 kg, rear: 87.77 kg}", "", map[string]float64{"mass.dry": 131, "mass.front_share": 0.33}},
		// chassis reference 1.05: unequal wheels, 0.600 m to recover
		{"raised", fmt.Sprintf("weights: {front: %.9f kg, rear: %.9f kg}\n  raised: {rear: %.9f kg, lift: 300 mm, front_radius: 345 mm, rear_radius: 280 mm}", 550/9.80665, 850/9.80665, 933.167/9.80665), "", map[string]float64{"mass.cg_height": 0.600}},
		// chassis references 1.11 and 1.12, their g of 9.81 taken into the period
		{"inertia", fmt.Sprintf("weights: {front: 50 kg, rear: 90 kg}\n  twisted: {apart: 0.80 m, wires: 2.50 m, period: %.9f s}\n  swung: {above: 0.5 m, period: %.9f s}", 3.60*math.Sqrt(9.81/9.80665),
			2*math.Pi*math.Sqrt((21.5+140*0.5*0.5)/(140*9.80665*0.5))), "", map[string]float64{"mass.yaw_inertia": 28.855, "mass.pitch_inertia": 21.5}},
		{"chamber", fmt.Sprintf("chamber: {filled: %.9f cc, plug_hole: 1.2 cc}", whole), ", dome: 2.9 cc", map[string]float64{"engine.chamber.head": 34e-6}},
		{"dome", fmt.Sprintf("dome: {filled: %.9f cc, depth: 10 mm}", area(7.4)*1-2.9), "", map[string]float64{"engine.chamber.dome": 2.9e-6}},
		{"fork", fmt.Sprintf("fork: {light: %s, light_travel: 40 mm, heavy: %s, heavy_travel: 110 mm}", at(0.04), at(0.11)), "", map[string]float64{"suspension.front.spring_rate": 3400}},
		{"flywheel", fmt.Sprintf("flywheel: {mass: 8.2 kg, circle: 120 mm, wires: 1.8 m, period: %.9f s}", deg), "", map[string]float64{"engine.flywheel_inertia": 0.0065}},
		{"roll out", fmt.Sprintf("front_roll_out: {distance: %.9f m, turns: 3}\n  rear_roll_out: {distance: %.9f m, turns: 4}", 6*math.Pi*0.262, 8*math.Pi*0.258), "", map[string]float64{"wheels.front.loaded_radius": 0.262, "wheels.rear.loaded_radius": 0.258}},
		{"tyres", fmt.Sprintf("front_tyre: {light: 20 kg, light_axle: 270 mm, heavy: %.9f kg, heavy_axle: 258 mm}", 20+40e3*0.012/9.80665), "", map[string]float64{"wheels.front.tyre_rate": 40e3}},
		{"shoes", fmt.Sprintf("rear_shoes: {lever: 100 N, pull: %.9f N, at: 270 mm}", 100*9*2.1*0.07/0.27), "", map[string]float64{"brakes.rear.shoe_factor": 2.1}},
		{"pads", fmt.Sprintf("front_pads: {lever: 50 N, pull: %.9f N, at: 265 mm}", 2*0.38*50*5.8*area(32)/area(12.7)*0.088/0.265), "", map[string]float64{"brakes.front.pad_friction": 0.38}},
		{"grip", fmt.Sprintf("grip: {pull: %.9f N, mass: 210 kg}\n  rolling: {pull: %.9f N, mass: 210 kg}", 0.62*210*9.80665, 0.06*210*9.80665), "", map[string]float64{"track.peak_grip": 0.62, "track.rolling_resistance": 0.06}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, bad := measured(t, c.rest, c.worksheet)
			for _, b := range bad {
				t.Error(b.What, b.Expected)
			}
			for path, want := range c.want {
				v, ok := p.Base[path]
				if got := p.Number(v); !ok || math.Abs(got-want) > 2e-5*want {
					t.Errorf("%s: got %g, want %g", path, got, want)
				}
				q := p.Atoms[v.Terms[0]].Q
				if q.Known != quantity.Measured || !(q.Half > 0 && q.Half < 0.4*want) || !strings.HasPrefix(v.Origin.Part, "measure.") || v.Origin.Line == 0 {
					t.Errorf("%s: %+v from %+v", path, q, v.Origin)
				}
			}
		})
	}
}

// The half-width is that of the readings, propagated: two of 1 % on one sum.
func TestWorksheetTolerance(t *testing.T) {
	p, _ := measured(t, "", "weights: {front: 40 kg ± 0.4 kg, rear: 90 kg ± 0.9 kg}")
	if got, want := p.Atoms[p.Base["mass.dry"].Terms[0]].Q.Half, math.Hypot(0.4, 0.9); math.Abs(got-want) > 1e-9 {
		t.Errorf("half-width %g kg, want %g", got, want)
	}
	share := 40.0 / 130
	want := math.Hypot(0.4*(1-share)/130, 0.9*share/130)
	if got := p.Atoms[p.Base["mass.front_share"].Terms[0]].Q.Half; math.Abs(got-want) > 1e-4*want {
		t.Errorf("half-width of the share %g, want %g", got, want)
	}
}

func TestWorksheetsThatAreWrong(t *testing.T) {
	for name, c := range map[string]struct{ worksheet, rest, what string }{
		"not complete":  {"weights: {front: 40 kg}", "", "measure.weights is not complete"},
		"needs another": {"raised: {rear: 95 kg, lift: 300 mm, front_radius: 345 mm, rear_radius: 280 mm}", "", "measure.raised is not complete"},
		"given twice":   {"chamber: {filled: 37 cc, plug_hole: 1.2 cc}", ", head: 34 cc", "stands in the sheet already (line 7)"},
		"swapped":       {"fork: {light: 90 kg, light_travel: 110 mm, heavy: 40 kg, heavy_travel: 40 mm}", "", "the heavy reading must use more travel"},
		"negative":      {"chamber: {filled: 1 cc, plug_hole: 1.2 cc}", "", "come to"},
		"too high":      {"weights: {front: 40 kg, rear: 90 kg}\n  raised: {rear: 95 kg, lift: 1300 mm, front_radius: 345 mm, rear_radius: 280 mm}", "", "less than the wheelbase"},
		"axle rises":    {"rear_tyre: {light: 20 kg, light_axle: 250 mm, heavy: 60 kg, heavy_axle: 260 mm}", "", "lower under the heavy load"},
	} {
		_, bad := measured(t, c.rest, c.worksheet)
		if len(bad) != 1 || !strings.Contains(bad[0].What, c.what) || bad[0].Origin.Line == 0 || bad[0].Remedy == "" {
			t.Errorf("%s: %+v", name, bad)
		}
	}
}

// The table for people and the sums are the same list.
func TestWorksheetsAreListed(t *testing.T) {
	gives := map[string][]string{}
	for _, w := range worksheets {
		gives[w.name] = append(gives[w.name], w.input)
		if machine.FieldAt(w.input) == nil {
			t.Errorf("%s gives %s, which is no input", w.name, w.input)
		}
	}
	gives["intake_lobe"], gives["exhaust_lobe"] = []string{"engine.cam.intake.table"}, []string{"engine.cam.exhaust.table"} // lists, filled by fillLobes
	for _, w := range machine.Worksheets {
		if strings.Join(gives[w.Name], " ") != strings.Join(w.Gives, " ") {
			t.Errorf("%s: %v and %v", w.Name, gives[w.Name], w.Gives)
		}
		delete(gives, w.Name)
		readings := 0
		for _, f := range machine.Fields() {
			if strings.HasPrefix(f.Path, "measure."+w.Name+".") || strings.HasPrefix(f.Path, "measure."+w.Name+"[") {
				readings++
			}
		}
		if readings < 2 || w.Steps == "" || w.Tools == "" || w.Sum == "" {
			t.Errorf("%s: %d readings", w.Name, readings)
		}
	}
	if len(gives) > 0 {
		t.Errorf("not listed: %v", gives)
	}
}

// A lobe read every five degrees gives the float speed of the lobe that it was read from, and has two turns; the lobe
// law is no longer used.
func TestLobeReadings(t *testing.T) {
	truth, err := valvetrain.LobeThroughEvents(8.2e-3, 1e-3, 234*math.Pi/180, 2.4)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for d := -150; d <= 150; d += 5 {
		lines = append(lines, fmt.Sprintf("{angle: %d, lift: %.2f mm}", d, 1e3*truth.Lift(float64(d)*math.Pi/180)))
	}
	p, bad := measured(t, "", "intake_lobe: ["+strings.Join(lines, ", ")+"]")
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	in := &ranges.Inputs{Build: p.Bare()}
	l, _, err := torque.Intake.Lobe(in)
	if err != nil || len(in.Missing) > 0 {
		t.Fatal(err, in.Missing)
	}
	got, _, err1 := valvetrain.FloatSpeed(l, 0.104, 36e3, 240)
	want, _, err2 := valvetrain.FloatSpeed(truth, 0.104, 36e3, 240)
	if err1 != nil || err2 != nil || math.Abs(got-want) > 0.05*want {
		t.Errorf("float at %g, want %g rad/s (%v %v)", got, want, err1, err2)
	}
	for _, path := range traceOf(t, in, ranges.Definition{Compute: func(in *ranges.Inputs) (float64, error) { _, _, err := torque.Intake.Lobe(in); return 0, err }}) {
		if path == "engine.cam.lobe_fullness" {
			t.Error("the lobe law is still read")
		}
	}
	if _, bad := measured(t, "", "intake_lobe: [{angle: 0, lift: 8 mm}, {angle: 5, lift: 7.9 mm}]"); len(bad) != 1 || !strings.Contains(bad[0].What, "eight readings") {
		t.Errorf("two readings: %+v", bad)
	}
}

// traceOf lists the inputs that a definition reads.
func traceOf(t *testing.T, in *ranges.Inputs, d ranges.Definition) []string {
	t.Helper()
	var read ranges.Trace
	if _, err := d.Compute(&ranges.Inputs{Build: in.Build, Trace: &read}); err != nil {
		t.Fatal(err)
	}
	return read.Paths
}
