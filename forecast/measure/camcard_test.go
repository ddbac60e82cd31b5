package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/internal/outside"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

const deg = math.Pi / 180

// carded is a sheet with a cam of the machine and one of a part, each a few lines of engine.cam.
func carded(t testing.TB, cam, sets, adds string) (*machine.Project, []Mismeasured) {
	t.Helper()
	if cam != "" {
		cam = "cam: {" + cam + "}, "
	}
	text := "sheet: 1\nmachine: {layout: three-wheeler, engine: {" + cam + "bore: 74 mm}}\nparts:\n  cam: {sets: {" + sets + "}, adds: {" + adds + "}}\nbuilds: {a: [], b: [cam]}\n"
	if sets == "" && adds == "" {
		text = strings.Replace(text, "{sets: {}, adds: {}}", "{kind: camshaft}", 1)
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "sets: {}, ", ""), ", adds: {}", "")
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return s.Project, Fill(s.Project)
}

func laid(t testing.TB, p *machine.Project, name string) *machine.Build {
	t.Helper()
	b, err := p.Resolve(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// events are where both valves open and close in a build [deg], in the order of a card.
func events(b *machine.Build) [4]float64 {
	var list [4]float64
	for i, path := range camEvents {
		list[i] = b.Project.Number(b.Values[path]) / deg
	}
	return list
}

// Cards as makers print them, each said in several ways.
func TestOutsideCamCards(t *testing.T) {
	const shift = "timing diagrams of a cam grinder, quoted in full: a cam of 260 deg at 0.050 in of cam lift, 20-60 and 60-20; advanced by 5 deg 25-55 and 65-15; lobes closed by 5 cam degrees 25-55 and 55-25 (ausmini.com, viewtopic.php?p=237565)"
	const manual = "timing of a maker's manual worked through: 6 and 42 deg, duration 228 deg, centre 108 deg (forabodiesonly.com, degreeing a slant camshaft)"
	const at = "checking_lift: 0.050 in, measured_at: lobe, "
	for _, c := range []struct {
		id, name, cam string
		want          [4]float64
		source        string
		known         outside.Known
	}{
		{"engine 5.6", "durations and centres", "checking_lift: 1 mm, intake: {duration: 280 deg, centre: 108 deg}, exhaust: {duration: 286 deg, centre: 107 deg}", [4]float64{32, 68, 70, 36}, "arithmetic", outside.Computed},
		{"engine 5.6", "separation and a centre", "checking_lift: 1 mm, separation: 107.5 deg, intake: {duration: 280 deg, centre: 108 deg ATDC}, exhaust: {duration: 286 deg}", [4]float64{32, 68, 70, 36}, "arithmetic", outside.Computed},
		{"engine 5.6", "separation and advance", "checking_lift: 1 mm, separation: 107.5 deg, advance: -0.5 deg, intake: {duration: 280 deg}, exhaust: {duration: 286 deg}", [4]float64{32, 68, 70, 36}, "arithmetic", outside.Computed},
		{"cam card", "straight up", at + "separation: 110 deg, advance: 0 deg, intake: {duration: 260 deg}, exhaust: {duration: 260 deg}", [4]float64{20, 60, 60, 20}, shift, outside.Seen},
		{"cam card", "advanced by 5 deg of the crank", at + "separation: 110 deg, advance: 5 deg, intake: {duration: 260 deg}, exhaust: {duration: 260 deg}", [4]float64{25, 55, 65, 15}, shift, outside.Seen},
		{"cam card", "retarded by 5 deg of the crank", at + "separation: 110 deg, advance: -5 deg, intake: {duration: 260 deg}, exhaust: {duration: 260 deg}", [4]float64{15, 65, 55, 25}, shift, outside.Seen},
		{"cam card", "lobes closed by 5 deg of the cam", at + "separation: 105 deg, advance: 0 deg, intake: {duration: 260 deg}, exhaust: {duration: 260 deg}", [4]float64{25, 55, 55, 25}, shift, outside.Seen},
		{"cam card", "one event and the duration", "checking_lift: 1 mm, intake: {duration: 228 deg, opens: 6 deg}, exhaust: {opens: 60 deg, closes: 20 deg}", [4]float64{6, 42, 60, 20}, manual, outside.Seen},
		{"cam card", "one event and the centre", "checking_lift: 1 mm, intake: {centre: 108 deg, closes: 42 deg}, exhaust: {opens: 60 deg, closes: 20 deg}", [4]float64{6, 42, 60, 20}, manual, outside.Seen},
	} {
		p, bad := carded(t, c.cam, "", "")
		if len(bad) > 0 {
			t.Errorf("%s: %+v", c.name, bad)
			continue
		}
		got := events(laid(t, p, "a"))
		for i, path := range camEvents {
			outside.Check{ID: c.id, Name: c.name + ": " + strings.TrimPrefix(path, "engine.cam."), Unit: "deg", Got: got[i], Want: c.want[i], Tol: 1e-9, Source: c.source, Known: []outside.Known{c.known}}.Run(t)
		}
	}
}

// A mild cam opens its inlet after top dead centre at 0.050 in: 210 deg at 110 deg is 105 - 110 = -5 deg, by hand.
func TestOpensAfterTopDeadCentre(t *testing.T) {
	for _, cam := range []string{
		"checking_lift: 0.050 in, intake: {duration: 210 deg, centre: 110 deg}, exhaust: {duration: 210 deg, centre: 110 deg}",
		"checking_lift: 0.050 in, intake: {opens: -5 deg, closes: 35 deg}, exhaust: {opens: 35 deg, closes: -5 deg}",
		"checking_lift: 0.050 in, intake: {opens: 5 deg ATDC, closes: 35 deg ABDC}, exhaust: {opens: 35 deg BBDC, closes: 5 deg BTDC}",
	} {
		p, bad := carded(t, cam, "", "")
		b := laid(t, p, "a")
		if got := events(b); len(bad) > 0 || math.Abs(got[0]+5)+math.Abs(got[1]-35)+math.Abs(got[2]-35)+math.Abs(got[3]+5) > 1e-9 || len(b.Broken) > 0 {
			t.Errorf("%s: %v %v", cam, got, bad)
		}
		in := &ranges.Inputs{Build: b}
		if _, open, err := torque.Intake.Lobe(in); err != nil || math.Abs(open/deg-210) > 1e-9 {
			t.Errorf("%s: open for %g deg, %v", cam, open/deg, err)
		}
	}
}

// A part's card over the machine's events, and a part's events over the machine's card.
func TestCardsOfParts(t *testing.T) {
	const base = "checking_lift: 1 mm, intake: {opens: 10 deg, closes: 40 deg}, exhaust: {opens: 42 deg, closes: 10 deg}" // 105 and 106 deg
	const card = "checking_lift: 1 mm, intake: {duration: 230 deg, centre: 105 deg}, exhaust: {duration: 232 deg, centre: 106 deg}"
	const same = "engine.cam.checking_lift: 1 mm, "
	for _, c := range []struct {
		name, cam, sets, adds string
		want                  [4]float64
	}{
		{"a card over events", base, same + "engine.cam.intake.duration: 240 deg, engine.cam.intake.centre: 100 deg, engine.cam.exhaust.duration: 250 deg, engine.cam.exhaust.centre: 110 deg", "", [4]float64{20, 40, 55, 15}},
		{"durations alone keep the centres", base, same + "engine.cam.intake.duration: 250 deg, engine.cam.exhaust.duration: 252 deg", "", [4]float64{20, 50, 52, 20}},
		{"a centre alone keeps the duration", base, "engine.cam.intake.centre: 101 deg", "", [4]float64{14, 36, 42, 10}},
		{"an advance alone keeps durations and separation", base, "engine.cam.advance: 4.5 deg", "", [4]float64{14, 36, 46, 6}}, // it was 0.5 deg ahead
		{"an advance more", base, "", "engine.cam.advance: 4 deg", [4]float64{14, 36, 46, 6}},
		{"an advance more of a card", card, "", "engine.cam.advance: 4 deg", [4]float64{14, 36, 46, 6}},
		{"a longer duration", base, "", "engine.cam.intake.duration: 8 deg", [4]float64{14, 44, 42, 10}},
		{"an opening over a card keeps the closing", card, "engine.cam.intake.opens: 12 deg", "", [4]float64{12, 40, 42, 10}},
		{"an opening added to a card", card, "", "engine.cam.intake.opens: 2 deg", [4]float64{12, 40, 42, 10}},
		{"events over a card", card, "engine.cam.intake.opens: 12 deg, engine.cam.intake.closes: 44 deg", "", [4]float64{12, 44, 42, 10}},
		{"an opening and a duration", card, same + "engine.cam.intake.opens: 12 deg, engine.cam.intake.duration: 240 deg, engine.cam.exhaust.duration: 232 deg", "", [4]float64{12, 48, 42, 10}},
	} {
		p, bad := carded(t, c.cam, c.sets, c.adds)
		got := events(laid(t, p, "b"))
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%s: %v, want %v (%v)", c.name, got, c.want, bad)
				break
			}
		}
		if before := events(laid(t, p, "a")); before != events(p.Bare()) || math.Abs(before[0]-10) > 1e-9 {
			t.Errorf("%s changed the machine to %v", c.name, before)
		}
		if len(bad) > 0 || p.Part("cam") != nil && !p.Touches(p.Part("cam"), "engine.cam.intake.opens") {
			t.Errorf("%s: %v", c.name, bad)
		}
	}
}

// What is not sure of a duration moves both events by a half, to the two sides; what is not sure of the centre moves
// them together: by hand, 2 deg of each make 1 and 2 deg, so that the opening is sure to the root of 5, and the
// duration to 2 deg as it stands on the card.
func TestCardsAreAsSureAsTheyAre(t *testing.T) {
	p, bad := carded(t, "checking_lift: 1 mm, intake: {duration: 280 deg ± 2 deg, centre: 108 deg ± 2 deg}, exhaust: {duration: 286 deg, centre: 107 deg}", "", "")
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	b := laid(t, p, "a")
	if half := p.Half(b.Values["engine.cam.intake.opens"]) / deg; math.Abs(half-math.Sqrt(5)) > 1e-6 {
		t.Errorf("the opening is sure to %g deg", half)
	}
	d := ranges.Definition{Unit: "deg", Compute: func(in *ranges.Inputs) (float64, error) {
		return valvetrain.Duration(in.Num("engine.cam.intake.opens"), in.Num("engine.cam.intake.closes")), nil
	}}
	f := ranges.NewEvaluator(b, nil).Figure(d)
	if math.Abs((f.High-f.Low)/2/deg-2) > 1e-6 {
		t.Errorf("the duration is %g to %g deg", f.Low/deg, f.High/deg)
	}
}

// Where the checking lift is: 0.050 in at the lobe is 1.5875 mm at the valve by a rocker of 1.25; with 0.05 and 0.09
// mm of clearance 1 mm at the valve is 1.07 mm of the lift law. By hand.
func TestCheckingLiftAndLobeLift(t *testing.T) {
	const card = ", rocker_ratio: 1.25 ± 0.05, intake: {duration: 230 deg, centre: 105 deg, lobe_lift: 7 mm}, exhaust: {duration: 232 deg, centre: 106 deg, lobe_lift: 6.8 mm}"
	for _, c := range []struct {
		cam, sets    string
		want, intake float64 // [mm]
	}{
		{"checking_lift: 0.050 in, measured_at: lobe" + card, "engine.piston_mass: 240 g", 1.5875, 8.75},
		{"checking_lift: 0.050 in" + card, "engine.piston_mass: 240 g", 1.27, 8.75},
		{"checking_lift: 0.050 in, measured_at: valve" + card, "engine.piston_mass: 240 g", 1.27, 8.75},
		{"checking_lift: 1 mm, measured_at: valve with lash" + card, "engine.head.intake_valve.lash: 0.05 mm, engine.head.exhaust_valve.lash: 0.09 mm", 1.07, 8.75},
		{"checking_lift: 0.050 in, measured_at: lobe" + card, "engine.cam.rocker_ratio: 1.5", 1.905, 10.5},
		{"checking_lift: 0.050 in, measured_at: lobe" + card, "engine.cam.checking_lift: 1 mm", 1, 8.75},
		{"checking_lift: 0.050 in, measured_at: lobe" + card, "engine.cam.intake.lift: 9 mm", 1.5875, 9},
	} {
		p, bad := carded(t, c.cam, c.sets, "")
		b := laid(t, p, "b")
		at, lift := 1000*p.Number(b.Values[checkingLift]), 1000*p.Number(b.Values["engine.cam.intake.lift"])
		if len(bad) > 0 || math.Abs(at-c.want) > 1e-9 || math.Abs(lift-c.intake) > 1e-9 {
			t.Errorf("%s with %s: %g mm and %g mm, want %g and %g (%v)", c.cam, c.sets, at, lift, c.want, c.intake, bad)
		}
	}
	p, _ := carded(t, "checking_lift: 0.050 in, measured_at: lobe"+card, "", "")
	if half := 1000 * p.Half(laid(t, p, "a").Values["engine.cam.intake.lift"]); math.Abs(half-math.Hypot(7*0.05, 1.25*7*0.05)) > 1e-6 {
		t.Errorf("the lift is sure to %g mm", half) // an estimated length is sure to 5 %
	}
}

// A regrind gains its lift from the base circle: 8.75 mm at the valve by 1.25 is 7 mm at the lobe, a lobe of 7.6 mm
// takes 0.6 mm off a radius of 15 mm. By hand.
func TestRegrind(t *testing.T) {
	const cam = "checking_lift: 1 mm, rocker_ratio: 1.25, base_circle_radius: 15 mm, intake: {lift: 8.75 mm}, exhaust: {lift: 8.5 mm}"
	for sets, want := range map[string]float64{
		"engine.cam.reground: yes, engine.cam.intake.lobe_lift: 7.6 mm, engine.cam.exhaust.lobe_lift: 7.2 mm":                                         14.4,
		"engine.cam.reground: yes, engine.cam.intake.lift: 9.5 mm, engine.cam.exhaust.lift: 9 mm":                                                     14.4,
		"engine.cam.reground: yes, engine.cam.intake.lift: 8 mm":                                                                                      15,
		"engine.cam.reground: no, engine.cam.intake.lift: 9.5 mm":                                                                                     15,
		"engine.cam.reground: yes, engine.cam.base_circle_radius: 14.2 mm, engine.cam.intake.lobe_lift: 7.6 mm, engine.cam.exhaust.lobe_lift: 7.2 mm": 14.2,
	} {
		p, bad := carded(t, cam, sets, "")
		if got := 1000 * p.Number(laid(t, p, "b").Values[baseCircle]); len(bad) > 0 || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %g mm, want %g (%v)", sets, got, want, bad)
		}
	}
}

func TestCardsThatSayTwoThings(t *testing.T) {
	const at = "checking_lift: 1 mm, "
	for _, c := range []struct{ cam, what, remedy string }{
		{at + "intake: {opens: 32 deg, closes: 68 deg, duration: 284 deg}, exhaust: {opens: 70 deg, closes: 36 deg}", "open for 284° by its duration and for 280° by its events", "take the duration"},
		{at + "intake: {opens: 32 deg, closes: 68 deg, centre: 110 deg}, exhaust: {opens: 70 deg, closes: 36 deg}", "centre stands at 110", "take one"},
		{at + "intake: {opens: 32 deg, duration: 280 deg, centre: 110 deg}, exhaust: {opens: 70 deg, closes: 36 deg}", "centre stands at 110", "take one"},
		{at + "separation: 110 deg, intake: {duration: 280 deg, centre: 108 deg}, exhaust: {duration: 286 deg, centre: 107 deg}", "lobes stand 110° apart", "take one"},
		{at + "separation: 108 deg, advance: 4 deg, intake: {duration: 280 deg, centre: 106 deg}, exhaust: {duration: 286 deg}", "advanced by 4", "take one"},
		{at + "separation: 108 deg, intake: {duration: 280 deg}, exhaust: {duration: 286 deg}", "does not say how the cam stands", "intake centre"},
		{"intake: {duration: 280 deg, centre: 108 deg}, exhaust: {duration: 286 deg, centre: 107 deg}", "without the lift at which", "advertised_duration"},
		{at + "intake: {duration: 280 deg, centre: 108 deg}", "nothing is said of the exhaust", "both sides"},
		{at + "rocker_ratio: 1.2 ± 0.01, intake: {lift: 9 mm measured, lobe_lift: 7 mm measured}", "lifts 9", "take one"},
	} {
		_, bad := carded(t, c.cam, "", "")
		if len(bad) == 0 || bad[0].Origin.Line != 2 || !strings.Contains(bad[0].What, c.what) || !strings.Contains(bad[0].Remedy, c.remedy) || bad[0].Expected == "" {
			t.Errorf("%s: %+v", c.cam, bad)
		}
	}
	// whole degrees of a card are no disagreement
	if _, bad := carded(t, at+"separation: 108 deg, intake: {opens: 32 deg, closes: 68 deg, duration: 281 deg, centre: 108 deg}, exhaust: {opens: 70 deg, closes: 36 deg, duration: 286 deg, centre: 107 deg}", "", ""); len(bad) > 0 {
		t.Errorf("%+v", bad)
	}
	_, bad := carded(t, "", "engine.cam.intake.duration: 280 deg, engine.cam.exhaust.duration: 280 deg", "")
	if len(bad) != 2 || bad[0].Origin.Part != "cam" {
		t.Errorf("of a part: %+v", bad)
	}
}

// A piston of 11 to 1 makes 10.75 to 1 by 0.45 of the machine as found, whatever its head holds; with 2 cc off the
// head and a piston of 1 mm over it is a sum by hand.
func TestPistonByItsRatio(t *testing.T) {
	ratio := func(b *machine.Build) ranges.Definition {
		return ranges.Definition{Unit: "1", Compute: func(in *ranges.Inputs) (float64, error) {
			bore, stroke := in.Num("engine.bore"), in.Num("engine.stroke")
			chamber := in.Num("engine.chamber.head") + math.Pi/4*math.Pow(in.Num("engine.chamber.gasket_bore"), 2)*in.Num("engine.chamber.gasket_thickness") + math.Pi/4*bore*bore*in.Num("engine.chamber.deck") - in.Num("engine.chamber.dome")
			return 1 + math.Pi/4*bore*bore*stroke/chamber, nil
		}}
	}
	text := func(sets string) string {
		return fmt.Sprintf("sheet: 1\nmachine: {layout: three-wheeler, engine: {bore: 74 mm measured, stroke: 60 mm measured, chamber: {head: 30 cc ± 3 cc}}}\nparts:\n  piston: {sets: {engine.bore: 75 mm, %s}}\n  cut: {adds: {engine.chamber.head: -2 cc ± 0 cc}}\nbuilds: {a: [], b: [piston], c: [cut, piston], d: [piston, cut]}\n", sets)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text("engine.piston_ratio: 11"))})
	if err != nil {
		t.Fatal(err)
	}
	p := s.Project
	if bad := Fill(p); len(bad) > 0 {
		t.Fatal(bad)
	}
	b := laid(t, p, "b")
	f := ranges.NewEvaluator(b, nil).Figure(ratio(b))
	if math.Abs(f.Value-10.75) > 1e-9 || math.Abs(f.Low-10.30) > 0.02 || math.Abs(f.High-11.20) > 0.02 {
		t.Errorf("the ratio is %g, %g to %g", f.Value, f.Low, f.High)
	}
	swept := math.Pi / 4 * 75 * 75 * 60e-9
	want := 1 + swept/(swept/9.75-2e-6)
	for _, name := range []string{"c", "d"} {
		b := laid(t, p, name)
		if f := ranges.NewEvaluator(b, nil).Figure(ratio(b)); math.Abs(f.Value-want) > 1e-9 {
			t.Errorf("%s: the ratio is %g, want %g", name, f.Value, want)
		}
	}
	q := p.Atoms[p.Part("piston").Sets[1].Value.Terms[0]].Q
	if q.Known != quantity.Claimed || q.Text != "11" {
		t.Errorf("%+v", q)
	}
	for sets, half := range map[string]float64{"engine.piston_ratio: 11 ± 0.2": 0.2, "engine.piston_ratio: 11 measured": 0.33} {
		s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text(sets))})
		if err != nil {
			t.Fatal(err)
		}
		Fill(s.Project)
		b := laid(t, s.Project, "b")
		if f := ranges.NewEvaluator(b, nil).Figure(ratio(b)); math.Abs(f.Value-11) > 1e-9 || math.Abs((f.High-f.Low)/2-half) > 0.02 {
			t.Errorf("%s: the ratio is %g, %g to %g", sets, f.Value, f.Low, f.High)
		}
	}
}
