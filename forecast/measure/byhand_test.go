package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/internal/byhand"
	"shakedown/internal/outside"
	"shakedown/machine"
	"shakedown/quantity"
)

// bench is a machine of round numbers without what the worksheets give.
const bench = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar ± 0 bar}
machine:
  layout: quad
  geometry: {wheelbase: 1200 mm ± 0 mm, rake: 25 deg ± 0 deg}
  engine: {bore: 80 mm ± 0 mm, chamber: {gasket_bore: 82 mm ± 0 mm, gasket_thickness: 1 mm ± 0 mm, deck: 0.5 mm ± 0 mm}}
  suspension: {front: {kind: telescopic fork, legs: 2, travel: 200 mm ± 0 mm, tube_outer: 40 mm ± 0 mm, tube_bore: 30 mm ± 0 mm, oil_air_gap: 150 mm ± 0 mm}}
  brakes:
    front: {kind: drum, count: 2, diameter: 160 mm ± 0 mm, lever_ratio: 10 ± 0}
    rear: {kind: disc, effective_radius: 100 mm ± 0 mm, calliper: {type: floating, pistons: 1, diameter: 30 mm ± 0 mm}, master: 15 mm ± 0 mm, lever_ratio: 5 ± 0}
measure: {%s}
builds: {as-found: []}
`

// Each worksheet by hand, with the half-width that one reading leaves when all others are sure: the readings
// themselves are to be read to their numbers, and so have one of nothing. What is measured of a whole comes off one
// wheel's share: two drums share the lever, so that one wheel's pull is half.
func TestWorksheetsByHand(t *testing.T) {
	for _, c := range []struct {
		sum, readings, input string
		want, half           float64 // [SI]
	}{
		{"50 + 75", "weights: {front: 50 kg ± 1 kg, rear: 75 kg ± 0 kg}", "mass.dry", 125, 1},
		{"50/125; 1 x 75/125^2", "weights: {front: 50 kg ± 1 kg, rear: 75 kg ± 0 kg}", "mass.front_share", 0.4, 0.0048},
		{"125 g 0.8^2 3^2/(16 pi^2 2.5); twice 1 % of it", "weights: {front: 50 kg ± 0 kg, rear: 75 kg ± 0 kg}, twisted: {apart: 0.8 m ± 0 m, wires: 2.5 m ± 0 m, period: 3 s ± 0.03 s}", "mass.yaw_inertia", 17.88518, 0.3577037},
		{"125 g 0.5 1.5^2/(4 pi^2) - 125 0.5^2; twice 1 % of the first", "weights: {front: 50 kg ± 0 kg, rear: 75 kg ± 0 kg}, swung: {above: 0.5 m ± 0 m, period: 1.5 s ± 0.015 s}", "mass.pitch_inertia", 3.682002, 0.6986400},
		{"36 - 1 - pi/4 8.2^2 0.1 - pi/4 8^2 0.05 + 2", "chamber: {filled: 36 cc ± 0.2 cc, plug_hole: 1 cc ± 0 cc}", "engine.chamber.head", 29.20571e-6, 0.2e-6},
		{"pi/4 8^2 1 - 48", "dome: {filled: 48 cc ± 0.2 cc, depth: 10 mm ± 0 mm}", "engine.chamber.dome", 2.265482e-6, 0.2e-6},
		{"one leg 90 g cos 25/2 - 130.5971 = 269.3558 N at 120 mm, 40 g cos 25/2 - 27.37275 = 150.3841 N at 40 mm; the difference over 80 mm; 0.5 g cos 25/2/80", "fork: {light: 40 kg ± 0 kg, light_travel: 40 mm ± 0 mm, heavy: 90 kg ± 0.5 kg, heavy_travel: 120 mm ± 0 mm}", "suspension.front.spring_rate", 1487.146, 27.77433},
		{"10 g 0.1^2/(4 pi^2); twice 1 % of it", "flywheel: {mass: 10 kg ± 0 kg, circle: 100 mm ± 0 mm, wires: 1 m ± 0 m, period: 1 s ± 0.01 s}", "engine.flywheel_inertia", 0.02484053, 0.0004968107},
		{"5/(2 pi 3); 0.05/(6 pi)", "front_roll_out: {distance: 5 m ± 0.05 m, turns: 3}", "wheels.front.loaded_radius", 0.2652582, 0.002652582},
		{"4.8/(2 pi 3)", "rear_roll_out: {distance: 4.8 m ± 0.06 m, turns: 3}", "wheels.rear.loaded_radius", 0.2546479, 0.003183099},
		{"40 g/10 mm; 1 g/10 mm", "front_tyre: {light: 20 kg ± 0 kg, light_axle: 270 mm ± 0 mm, heavy: 60 kg ± 1 kg, heavy_axle: 260 mm ± 0 mm}", "wheels.front.tyre_rate", 39226.6, 980.665},
		{"50 g/20 mm", "rear_tyre: {light: 20 kg ± 0 kg, light_axle: 270 mm ± 0 mm, heavy: 70 kg ± 1 kg, heavy_axle: 250 mm ± 0 mm}", "wheels.rear.tyre_rate", 24516.63, 490.3325},
		{"2 wheels x 200 x 0.25/(50 x 10 x 0.08); 2 x 4 of 200 N", "front_shoes: {lever: 50 N ± 0 N, pull: 200 N ± 4 N, at: 250 mm ± 0 mm}", "brakes.front.shoe_factor", 2.5, 0.05},
		{"400 x 0.25/(2 x 0.1 x 50 x 5 (30/15)^2)", "rear_pads: {lever: 50 N ± 0 N, pull: 400 N ± 8 N, at: 250 mm ± 0 mm}", "brakes.rear.pad_friction", 0.5, 0.01},
		{"600/(100 g)", "grip: {pull: 600 N ± 60 N, mass: 100 kg ± 0 kg}", "track.peak_grip", 0.6118297, 0.06118297},
		{"50/(100 g); 2 % of the mass", "rolling: {pull: 50 N ± 0 N, mass: 100 kg ± 2 kg}", "track.rolling_resistance", 0.05098581, 0.001019716},
	} {
		sheet := fmt.Sprintf(bench, c.readings)
		if c.input != "engine.chamber.dome" {
			sheet = strings.Replace(sheet, "deck: 0.5 mm ± 0 mm", "deck: 0.5 mm ± 0 mm, dome: 2 cc ± 0 cc", 1)
		}
		p := byhand.Project(t, sheet)
		if bad := Fill(p); len(bad) > 0 {
			t.Errorf("%s: %+v", c.input, bad)
			continue
		}
		q := p.Atoms[p.Base[c.input].Terms[0]].Q
		if math.Abs(q.Value/c.want-1) > 1e-6 || math.Abs(q.Half/c.half-1) > 2e-4 || q.Known != quantity.Measured {
			t.Errorf("%s is %.7g ± %.7g %s, by hand %.7g ± %.7g: %s", c.input, q.Value, q.Half, q.Known, c.want, c.half, c.sum)
		}
	}
}

// A machine of equal wheels with its front raised, as published.
func TestOutsideRaised(t *testing.T) {
	newton := func(n float64) string { return fmt.Sprintf("%.12f kg ± 0 kg", n/9.80665) }
	readings := fmt.Sprintf("weights: {front: %s, rear: %s}, raised: {rear: %s, lift: 300 mm, front_radius: 280 mm, rear_radius: 280 mm}", newton(620), newton(780), newton(852.296))
	p := byhand.Project(t, fmt.Sprintf(bench, readings))
	if bad := Fill(p); len(bad) > 0 {
		t.Fatal(bad)
	}
	outside.Check{ID: "chassis 1.02", Name: "height of the centre of gravity from a sheet's weighing with the front raised", Unit: "m", Got: p.Number(p.Base["mass.cg_height"]), Want: 0.5200, Tol: 1e-4,
		Source: "Milliken and Milliken, Race Car Vehicle Dynamics, 1995, ch. 18", Known: []outside.Known{outside.Memory, outside.Computed}}.Run(t)
	outside.Check{ID: "chassis 1.01", Name: "centre of gravity ahead of the rear axle from a sheet's weighing", Unit: "m", Got: p.Number(p.Base["mass.front_share"]) * 1.2, Want: 0.53143, Tol: 1e-5,
		Source: "Milliken and Milliken, Race Car Vehicle Dynamics, 1995, ch. 18", Known: []outside.Known{outside.Memory, outside.Computed}}.Run(t)
}

// What the next measurement is worth, by hand. Each figure counts with its half-width over its value, at most 1; an
// input that makes a share s of a range and would be known to a part p of what it is known to now leaves root(1 - s (1
// - p^2)) of it. Measured, a length of 1200 mm is known to 0.5 % or 6 mm and a pure number of 0.4 to 3 % or 0.012:
//
//	tip 0.5 ± 0.1: wheelbase known to 60 mm, share 0.75: root(1 - 0.75 x 0.99) = 0.5074446, 0.2 x 0.4925554 =
//	0.09851108
//	lift 0.8 ± 0.2: wheelbase, share 0.2: root(1 - 0.2 x 0.99) = 0.8955445, 0.25 x 0.1044555 = 0.02611388; front share
//	known to 0.04, share 0.5: root(1 - 0.5 x 0.91) = 0.7382412, 0.25 x 0.2617588 = 0.06543970
//	the wheelbase 0.1246250 in all, most in the tip: from 0.2 to 0.1014889; the front share 0.06543970
func TestNextByHand(t *testing.T) {
	b := byhand.Build(t, strings.Replace(fmt.Sprintf(bench, ""), "measure: {}\n", "", 1), "as-found")
	in := func(path string, value, half, share float64) figure.Input {
		return figure.Input{Path: path, Kind: machine.FieldAt(path).Spec.Kind, Value: value, Half: half, Share: share, Known: quantity.Typical}
	}
	wheelbase := func(share float64) figure.Input { return in("geometry.wheelbase", 1.2, 0.06, share) }
	figures := []figure.Figure{
		{ID: "tip", State: figure.Ready, Value: 0.5, Low: 0.4, High: 0.6, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(0.75), in("geometry.rake", 0.4, 1e-6, 0.25)}}}, // a rake so well known is left as it is
		{ID: "lift", State: figure.Ready, Value: 0.8, Low: 0.6, High: 1.0, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(0.2), in("mass.front_share", 0.4, 0.04, 0.5)}}},
		{ID: "gives it back", State: figure.Ready, Value: 1.2, Low: 1, High: 1.4, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(1)}}},
		{ID: "stands behind", Detail: true, State: figure.Ready, Value: 1, Low: 0, High: 2, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(0.5), wheelbase(0.5)}}},
		{ID: "none", State: figure.Cannot, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(0.5), wheelbase(0.5)}}},
	}
	got := Next(b, figures)
	if len(got) != 2 || got[0].Path != "geometry.wheelbase" || got[1].Path != "mass.front_share" || got[0].Figure != "tip" || got[1].Figure != "lift" {
		t.Fatalf("%+v", got)
	}
	for name, pair := range map[string][2]float64{
		"wheelbase": {got[0].Gain, 0.1246250}, "from": {got[0].From, 0.2}, "to": {got[0].To, 0.1014889}, "after": {got[0].After, 0.006}, "half": {got[0].Half, 0.06}, "front share": {got[1].Gain, 0.06543970}, "after it": {got[1].After, 0.012},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-6 {
			t.Errorf("%s is %.8g, by hand %.8g", name, pair[0], pair[1])
		}
	}
	// A figure that is worth less than its half-width counts as one that is not known at all: 1, not 4.
	wide := []figure.Figure{{ID: "wide", State: figure.Ready, Value: 0.1, Low: -0.3, High: 0.5, Basis: figure.Basis{Inputs: []figure.Input{wheelbase(0.75), in("mass.front_share", 0.4, 0.04, 0.25)}}}}
	if got := Next(b, wide); math.Abs(got[0].Gain/0.4925554-1) > 1e-6 || got[0].From != 1 {
		t.Errorf("%+v", got[0])
	}
}
