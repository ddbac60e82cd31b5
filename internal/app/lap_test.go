package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/worth"
	"shakedown/internal/outside"
	"shakedown/machine"
	"shakedown/report"
	"shakedown/sheet"
)

// lapCurves are computed once for the tests of laps.
var lapCurves = NewResults()

func lapQuestion(t *testing.T, changes ...string) asked.Question {
	t.Helper()
	text, err := os.ReadFile("../../examples/fenmoor-t285.yaml")
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
	return asked.Question{Text: &sheet.File{Name: "x.yaml", Text: []byte(changed)}, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)}
}

func TestLap(t *testing.T) {
	l, err := Lap(context.Background(), lapQuestion(t), lapCurves, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, s := range l.Lap.Sections {
		sum += s.Time
	}
	r := l.Range
	if math.Abs(sum-l.Lap.Time) > 1e-9 || r == nil || !(r.Low < l.Lap.Time && l.Lap.Time < r.High) || r.Change == nil || math.Abs(r.Change.Value-(l.Lap.Time-l.Before.Time)) > 1e-9 {
		t.Errorf("lap %g s, sections %g s, range %+v", l.Lap.Time, sum, r)
	}
	for _, want := range []string{`Build "full" laps in`, `against build "as-found"`, "How sure", "makes most of that", "do not promise"} {
		if !strings.Contains(l.Answer().Lead, want) {
			t.Errorf("the lead lacks %q: %s", want, l.Answer().Lead)
		}
	}
	var text, csv, js bytes.Buffer
	if err := l.Answer().WriteText(&text); err != nil || !strings.Contains(text.String(), "quarry turn") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := l.Answer().WriteCSV(&csv); err != nil || strings.Count(csv.String(), "\n") != len(l.Lap.Limit)+1 {
		t.Errorf("%v, %d lines for %d steps", err, strings.Count(csv.String(), "\n"), len(l.Lap.Limit))
	}
	var out struct {
		Time     float64 `json:"lap_time_s"`
		Low      float64 `json:"low"`
		High     float64 `json:"high"`
		Sections []struct {
			Name  string  `json:"name"`
			Time  float64 `json:"time_s"`
			Limit string  `json:"limit"`
			Entry float64 `json:"entry_m_s"`
			Exit  float64 `json:"exit_m_s"`
		} `json:"sections"`
	}
	if err := l.Answer().WriteJSON(&js, "test"); err != nil || json.Unmarshal(js.Bytes(), &out) != nil || out.Time != l.Lap.Time || len(out.Sections) != 11 || out.Sections[3].Limit == "" || !(out.Low < out.High) {
		t.Errorf("%v %+v", err, out)
	}
	carries(t, "try every change slowly first", text.String(), js.String())
	if ahead := l.Lap.Ahead(l.Before); len(ahead) != len(l.Lap.Way) || math.Abs(ahead[len(ahead)-1]+r.Change.Value) > 1e-9 || ahead[0] != 0 {
		t.Errorf("the time gained along the lap ends at %g s, the change is %g", ahead[len(ahead)-1], r.Change.Value)
	}
	for _, b := range l.Answer().Blocks {
		for _, c := range b.Charts {
			if !strings.Contains(string(c.SVG()), "polyline") {
				t.Errorf("nothing is drawn of %T", c)
			}
		}
		if b.ID == "charts" && len(b.Charts) != 4 {
			t.Errorf("%d drawings: wanted course, speeds, time gained and thrust", len(b.Charts))
		}
	}
}

// Inputs that no lap can be ridden with are said with what they want.
func TestLapRefuses(t *testing.T) {
	for name, c := range map[string]struct{ old, new, want string }{
		"a hairpin of nothing": {"radius: 12 m, angle: 90 deg}", "radius: 0.4 m, angle: 90 deg}", "radius"},
		"a wall":               {"climb: 6 %", "climb: 120 %", "climb"},
		"a jump straight up":   {"take_off: 18 deg", "take_off: 80 deg", "takes off"},
	} {
		_, err := Lap(context.Background(), lapQuestion(t, c.old, c.new), lapCurves, true, nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Along a recording, end to end: an open one of a bicycle round a park, by a machine that never was there.
func TestLapAlongARecording(t *testing.T) {
	q := lapQuestion(t)
	q.Course = filepath.Join(outside.Folder(t), "data", "gpx_bicycle_central_park_1hz.gpx")
	l, err := Lap(context.Background(), q, lapCurves, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	// From fix to fix the ride is 9,789.684 m long (checked in package recording). What a receiver scatters makes a way
	// longer, never shorter, so the smoothed course is shorter than that, by a per cent or two at this rate.
	if !(l.Lap.Length < 9789.684 && l.Lap.Length > 0.98*9789.684) {
		t.Errorf("the course made of a ride of 9,789.684 m from fix to fix is %g m long", l.Lap.Length)
	}
	if !(l.Lap.Time > 300 && l.Lap.Time < 900) || l.Range == nil || len(l.Lap.Sections) != 10 || !strings.Contains(strings.Join(l.Lap.Notes, " "), "not in a recording") {
		t.Errorf("%g s, %d sections, %v", l.Lap.Time, len(l.Lap.Sections), l.Lap.Notes)
	}
	q.Course = filepath.Join(outside.Folder(t), "data", "csv_car_imu50hz_gps10hz_2014-03-26.csv")
	if _, err := Lap(context.Background(), q, lapCurves, true, nil); err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), "too rough for this course") || !strings.Contains(err.Error(), "give the course as sections") {
		t.Errorf("a car in town, whose corners the receiver does not show: %v", err)
	}
	for name, text := range map[string]string{"x.gpx": "<gpx>", "x.csv": "lat,lon\n95,7\n", "x.kml": "", "short.csv": "lat,lon\n45,7\n45.00001,7\n45.00002,7\n"} {
		q := lapQuestion(t)
		if q.Course = filepath.Join(t.TempDir(), name); os.WriteFile(q.Course, []byte(text), 0o600) != nil {
			t.Fatal("no room")
		}
		if _, err := Lap(context.Background(), q, lapCurves, true, nil); err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestGearingAndStart(t *testing.T) {
	g, err := Gearing(context.Background(), lapQuestion(t), lapCurves, nil)
	if err != nil {
		t.Fatal(err)
	}
	if g.Present.Front != 14 || g.Present.Rear != 42 || len(g.Pairs) < 50 {
		t.Fatalf("%+v, %d pairs", g.Present, len(g.Pairs))
	}
	for i, p := range g.Pairs {
		if p.Pitches%2 != 0 || i > 0 && math.Round(100*p.Lap) < math.Round(100*g.Pairs[i-1].Lap) || math.Abs(p.Gain-(g.Present.Lap-p.Lap)) > 1e-9 {
			t.Errorf("pair %d: %+v", i, p)
		}
	}
	// Every pair is one that is sold for a 520 chain.
	for _, p := range g.Pairs {
		if p.Front < 11 || p.Front > 17 || p.Rear < 32 || p.Rear > 54 || !(p.Above > 0.1) || p.Revved < 0 {
			t.Errorf("%+v", p)
		}
	}
	// The pair that is found laps so fast when it stands in the sheet.
	best := g.Pairs[0]
	q := lapQuestion(t)
	q.Build = "full"
	first, err := Lap(context.Background(), q, lapCurves, true, nil)
	if err != nil || math.Abs(first.Lap.Time-g.Present.Lap) > 1e-9 {
		t.Errorf("the present pair laps in %g s by the search, %g by the lap (%v)", g.Present.Lap, first.Lap.Time, err)
	}
	var text, js bytes.Buffer
	if err := g.Answer().WriteText(&text); err != nil || !strings.Contains(text.String(), "pairs were ridden") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := g.Answer().WriteJSON(&js, "test"); err != nil || !json.Valid(js.Bytes()) {
		t.Errorf("%v\n%s", err, js.String())
	}
	carries(t, "chain guard", text.String(), js.String())
	if best.Low > best.Gain || best.High < best.Gain {
		t.Errorf("the best gains %g, outside %g to %g", best.Gain, best.Low, best.High)
	}

	s, err := StartTo(context.Background(), lapQuestion(t), lapCurves)
	if err != nil {
		t.Fatal(err)
	}
	if r := s.Start; r.Distance != 90 || !(r.Time > 3 && r.Time < 15) || !(r.Heat > 0) || len(r.Tries) < 3 {
		t.Errorf("%+v", r)
	}
	for _, o := range s.Start.Tries {
		if o.Time < s.Start.Time-1e-9 && (s.Start.Quickest == nil || o.Time < s.Start.Quickest.Time-1e-9) {
			t.Errorf("gear %d is quicker than the best: %+v", o.Gear, s.Start)
		}
	}
	text.Reset()
	js.Reset()
	if err := s.Answer().WriteText(&text); err != nil || !strings.HasPrefix(text.String(), "Start build \"full\" in gear") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := s.Answer().WriteJSON(&js, "test"); err != nil || !json.Valid(js.Bytes()) {
		t.Errorf("%v\n%s", err, js.String())
	}
	q = lapQuestion(t, "{name: start straight, straight: 90 m}", "{corner: left, radius: 20 m, angle: 20 deg}")
	if _, err := StartTo(context.Background(), q, lapCurves); err == nil || !strings.Contains(err.Error(), "no straight") {
		t.Errorf("a start in a corner: %v", err)
	}
}

// A part that does nothing is inside its range or left out, and two copies of one part are worth the same.
func TestValueOfCopies(t *testing.T) {
	q := lapQuestion(t, "  coating:\n", `  paint:
    kind: paint
    name: A badge
    price: 10.00
  seat-again:
    kind: seat
    name: The low seat again
    price: 95.00
    sets: {geometry.seat.z: 660 mm}
  seat-once-more:
    kind: seat
    name: The low seat once more
    price: 95.00
    sets: {geometry.seat.z: 660 mm}
  coating:
`)
	v, err := Value(context.Background(), q, "300", lapCurves, nil)
	if err != nil {
		t.Fatal(err)
	}
	worth := map[string]worth.Worth{}
	for _, w := range v.Parts {
		worth[w.Part] = w
		if w.Why == "" && !(w.Low <= w.Seconds && w.Seconds <= w.High) {
			t.Errorf("%s gains %g, outside %g to %g", w.Part, w.Seconds, w.Low, w.High)
		}
	}
	if w, ok := worth["paint"]; ok {
		t.Errorf("a badge is ranked: %+v", w)
	}
	if !strings.Contains(strings.Join(v.Apart, " "), "A badge") {
		t.Errorf("a badge is not named apart: %v", v.Apart)
	}
	a, b := worth["seat-again"], worth["seat-once-more"]
	if a.Part == "" || a.Seconds != b.Seconds || a.Low != b.Low || a.High != b.High {
		t.Errorf("copies are worth %+v and %+v", a, b)
	}
	spent, lap := int64(0), v.Base
	for _, o := range v.Order {
		spent += o.Cost.Minor
		if o.Spent.Minor != spent || spent > 30000 || math.Abs(lap-o.Seconds-o.Lap) > 1e-9 || o.Seconds <= 0 {
			t.Errorf("%s: %+v after %d", o.Part, o, spent)
		}
		lap = o.Lap
	}
	if len(v.Order) == 0 {
		t.Error("nothing is bought for 300")
	}
	var text, js bytes.Buffer
	if err := v.Answer().WriteText(&text); err != nil || !strings.Contains(text.String(), "shock-spring") || !strings.Contains(text.String(), "in this order") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := v.Answer().WriteJSON(&js, "test"); err != nil || !json.Valid(js.Bytes()) || !strings.Contains(js.String(), `"per_100"`) {
		t.Errorf("%v\n%s", err, js.String())
	}
	carries(t, "What fitting a part can do to people", text.String(), js.String())
	for _, bad := range []string{"a lot", "-5", "12 USD 3", "1e99"} {
		if _, err := Value(context.Background(), lapQuestion(t), bad, lapCurves, nil); err == nil || asked.ExitOf(err) != asked.BadInput {
			t.Errorf("a budget of %q: %v", bad, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Value(ctx, q, "", lapCurves, nil); err == nil {
		t.Error("a cancelled question is answered")
	}
}

// Where no curve can be computed the usual one of such an engine stands in, for all builds alike, and says so; parts of
// the engine then do nothing on the lap, those of the chassis do.
func TestOnATemplate(t *testing.T) {
	q := lapQuestion(t, "cycle: four-stroke", "cycle: two-stroke")
	curves := NewResults()
	l, err := Lap(context.Background(), q, curves, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	if l.Template == "" || !strings.Contains(l.Answer().Lead, "usually has") || !strings.Contains(l.Answer().Lead, "two-stroke") || l.Before == nil {
		t.Errorf("it is not said: %s", l.Answer().Lead)
	}
	v, err := Value(context.Background(), q, "", curves, nil)
	if err != nil {
		t.Fatal(err)
	}
	moved := map[string]bool{}
	for _, p := range v.Parts {
		moved[p.Part] = p.Why == ""
	}
	if v.Template == "" || !moved["shock-spring"] || moved["race-cam"] {
		t.Errorf("on a template these move the lap: %v", moved)
	}
	g, err := Gearing(context.Background(), q, curves, nil)
	if err != nil || !strings.Contains(g.Answer().Lead, "usually has") || len(g.Pairs) == 0 {
		t.Errorf("gearing: %v", err)
	}
	s, err := StartTo(context.Background(), q, curves)
	if err != nil || !strings.Contains(s.Answer().Lead, "usually has") || !(s.Start.Low < s.Start.Time && s.Start.High > s.Start.Time) {
		t.Errorf("start: %v", err)
	}
}

func TestTips(t *testing.T) {
	tips, err := Tips(lapQuestion(t))
	if err != nil {
		t.Fatal(err)
	}
	here := tips.Grounds[0]
	if !here.Here || here.Grip != 0.62 || len(tips.Grounds) != 1+len(machine.Grounds) || !strings.Contains(tips.Answer().Lead, "loam") || !strings.Contains(tips.Answer().Lead, "no figure is a promise") {
		t.Errorf("%+v\n%s", here, tips.Answer().Lead)
	}
	for _, g := range tips.Grounds {
		if !(g.Margin[1] > g.Margin[0]) || !(g.Low[0] < g.Margin[0] && g.Margin[0] < g.High[0]) {
			t.Errorf("%s: hung off %g, centred %g (%g to %g)", g.Ground, g.Margin[1], g.Margin[0], g.Low[0], g.High[0])
		}
	}
	var text, js bytes.Buffer
	if err := tips.Answer().WriteText(&text); err != nil || !strings.Contains(text.String(), "slides first") || !strings.Contains(text.String(), "tips first") {
		t.Errorf("%v\n%s", err, text.String())
	}
	var out struct {
		Grounds []struct {
			Ways []struct {
				First  string
				Margin *float64 `json:"margin_g0"` // [g0]
			}
		}
		Envelope []struct{}
	}
	if err := tips.Answer().WriteJSON(&js, "test"); err != nil || json.Unmarshal(js.Bytes(), &out) != nil || len(out.Grounds) != len(tips.Grounds) || len(out.Grounds[0].Ways) != 3 || len(out.Envelope) < 20 {
		t.Errorf("%v\n%s", err, js.String())
	}
	// Half the grip slides; a lean is no tip.
	slippery, err := Tips(lapQuestion(t, "peak_grip: 0.62 typical", "peak_grip: 0.25 measured"))
	if err != nil || !strings.Contains(slippery.Answer().Lead, "slides before it tips on loam") {
		t.Errorf("%v %s", err, slippery.Answer().Lead)
	}
	if _, err := Tips(asked.Question{Path: "../../examples/brackwater-246.yaml"}); !errors.Is(err, track.ErrLeans) {
		t.Errorf("a bike: %v", err)
	}
}

// Fuel and heat of a lap, by hand from its own steps: what full throttle burns all the lap is the most, what the
// engine's work takes at its best is the least.
func TestLoadsOfALap(t *testing.T) {
	l, err := Lap(context.Background(), lapQuestion(t), lapCurves, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := asked.Ask(lapQuestion(t))
	if err != nil {
		t.Fatal(err)
	}
	k, err := lapCurves.Curve(context.Background(), a.Build, nil)
	if err != nil {
		t.Fatal(err)
	}
	o := l.Lap.Loads
	best, most := math.Inf(1), 0.0
	for _, p := range k.Points {
		if p.Converged && p.Fuel > 0 {
			best, most = math.Min(best, p.Fuel), math.Max(most, p.Fuel*p.Power)
		}
	}
	const density = 745 // [g/l]
	least := l.Lap.Work / 3600 / 0.92 * best / density
	if all := most / 3600 * l.Lap.Time / density; !(o.Fuel > least && o.Fuel < all) {
		t.Errorf("a lap burns %g l, between %g and %g", o.Fuel, least, all)
	}
	if math.Abs(o.RaceFuel-o.Fuel*o.Race/l.Lap.Time) > 1e-9 || math.Abs(o.Front+o.Rear-l.Lap.Braked) > 0.02*l.Lap.Braked {
		t.Errorf("race %g l; brakes %g and %g of %g kJ", o.RaceFuel, o.Front, o.Rear, l.Lap.Braked)
	}
	d := o.Disc
	if d == nil || !(d.Mean > 20 && d.Hottest > d.Mean && d.Face > d.Hottest && d.Reaches < d.Mean && d.Least < d.Reaches && d.Most > d.Reaches) || d.Fluid != "DOT 4" || math.Abs(d.Wet-155) > 1e-9 {
		t.Errorf("%+v", d)
	}
	heavier, err := Lap(context.Background(), lapQuestion(t, "disc_mass: 0.75 kg", "disc_mass: 1.5 kg"), lapCurves, true, nil)
	if err != nil || !(heavier.Lap.Loads.Disc.Hottest < d.Hottest) || heavier.Lap.Time != l.Lap.Time {
		t.Errorf("a heavier disc gets %+v (%v)", heavier.Lap.Loads.Disc, err)
	}
}

// Geared too short, it is said how long top gear is held at the redline, by lap and search alike.
func TestGearedTooShort(t *testing.T) {
	short := lapQuestion(t, "sprockets: {front: 12, rear: 42}", "sprockets: {front: 11, rear: 54}", "gears: [2.77, 1.94, 1.45, 1.15, 0.96]", "gears: [2.9, 2.1, 1.6]")
	short.Build = "as-found"
	l, err := Lap(context.Background(), short, lapCurves, true, nil)
	if err != nil || !(l.Lap.Revved > track.RevvedMost) {
		t.Fatalf("%+v (%v)", l, err)
	}
	g, err := Gearing(context.Background(), short, lapCurves, nil)
	if err != nil || math.Abs(g.Present.Revved-l.Lap.Revved) > 1e-9 || !(g.Pairs[0].Revved < g.Present.Revved) || g.Pairs[0].Final >= g.Present.Final {
		t.Fatalf("the search finds %g s for the present pair, the lap %g (%v)", g.Present.Revved, l.Lap.Revved, err)
	}
	want := fmt.Sprintf("Geared too short: revved out in top gear for %.1f s a lap.", l.Lap.Revved)
	for who, lead := range map[string]string{"the lap": l.Answer().Lead, "the search": g.Answer().Lead} {
		if !strings.Contains(lead, want) {
			t.Errorf("%s does not say %q: %s", who, want, lead)
		}
	}
}

// A sheet with nothing but typical values laps at once, of every layout, and says what it does not know; what is
// entered then is used.
func TestLapFromNothing(t *testing.T) {
	for _, layout := range machine.Layouts {
		text, err := sheet.New(layout, map[string]string{"layout": layout}, "2027-05-03")
		if err != nil {
			t.Fatal(err)
		}
		q := asked.Question{Text: &sheet.File{Name: "new.yaml", Text: text}, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)}
		curves := NewResults()
		l, err := Lap(context.Background(), q, curves, true, nil)
		if err != nil {
			t.Fatalf("%s: %v", layout, err)
		}
		if !slices.Contains(l.Lap.Assumed, "the gears") || !strings.Contains(l.Answer().Lead, "does not know the gears") || !(l.Lap.Time > 15 && l.Lap.Time < 40) || strings.Contains(strings.Join(notesOf(l.Answer()), " "), "drum:") {
			t.Errorf("%s: %g s without %v: %s %v", layout, l.Lap.Time, l.Lap.Assumed, l.Answer().Lead, notesOf(l.Answer()))
		}
		short := asked.Question{Text: &sheet.File{Name: "new.yaml", Text: bytes.Replace(text, []byte("\n    # gears:"), []byte("\n    gears: [4.5, 3.5, 2.8]\n    # was:"), 1)}, Now: q.Now}
		s, err := Lap(context.Background(), short, curves, true, nil)
		if err != nil || slices.Contains(s.Lap.Assumed, "the gears") || !(s.Lap.Time > l.Lap.Time) {
			t.Errorf("%s: with low gears %v s, %v (%v)", layout, s.Lap.Time, s.Lap.Assumed, err)
		}
		start, err := StartTo(context.Background(), q, curves)
		if err != nil || !strings.Contains(start.Answer().Lead, "does not know the gears") {
			t.Errorf("%s: the start does not say that its gears are usual ones (%v)", layout, err)
		}
		a, err := asked.Ask(q)
		var ridden *course.Lap
		if err == nil {
			ridden, err = RideToo(context.Background(), a, curves)
		}
		if err != nil || ridden == nil || !strings.Contains(ridden.OnTrack(a.CostText()), "does not know the gears") {
			t.Errorf("%s: check does not say that its gears are usual ones (%v)", layout, err)
		}
		v, err := Value(context.Background(), q, "", curves, nil)
		if err != nil || !strings.Contains(v.Answer().Lead, "offers no part") {
			t.Errorf("%s: %v, %v", layout, v, err)
		}
		g, err := Gearing(context.Background(), q, curves, nil)
		if err != nil || len(g.Pairs) == 0 {
			t.Fatalf("%s: sprockets without a chain: %v", layout, err)
		}
		for _, want := range []string{"Not kept: that the axle stays inside its adjuster", "number of chain pitches", "lay the chain round both sprockets", "does not know the gears"} {
			if lead := g.Answer().Lead; !strings.Contains(lead, want) {
				t.Errorf("%s: no %q in %s", layout, want, lead)
			}
		}
		for pitches, want := range map[string][2]string{"24": {"lacks the shortest sprocket centres and longest sprocket centres. Measure", "does not go round these sprockets"}, "92": {"nearest to where it stands now", "within half a pitch of where it stands"}} {
			on := asked.Question{Text: &sheet.File{Name: "new.yaml", Text: bytes.Replace(text, []byte("\n      # pitches:"), []byte("\n      pitches: "+pitches+"\n      # was:"), 1)}, Now: q.Now}
			known, err := Gearing(context.Background(), on, curves, nil)
			if err != nil || !strings.Contains(known.Answer().Lead, want[0]) || !strings.Contains(strings.Join(notesOf(known.Answer()), " "), want[1]) {
				t.Errorf("%s: a chain of %s pitches: %v, %+v", layout, pitches, err, known.Answer())
			}
		}
		notes := strings.Join(notesOf(g.Answer()), " ")
		for _, want := range []string{"Not computed: whether the axle stays inside its adjuster", "Count its pitches", "which a small front sprocket lays it on", "usually sold for a 520 chain: 11 to 17 in front, 32 to 54 behind", "count yours", "special order"} {
			if !strings.Contains(notes, want) {
				t.Errorf("%s: no %q in %s", layout, want, notes)
			}
		}
		if strings.Contains(g.Answer().Lead, "Geared too short") {
			t.Errorf("%s: usual gears are said to be too short", layout)
		}
	}
}

// carries looks whether an answer about riding has its cautions, for people and for programs.
func carries(t *testing.T, work, text, js string) {
	t.Helper()
	plain := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"Take care", "roll over", work, "Local rules"} {
		if !strings.Contains(plain, want) {
			t.Errorf("no %q for people:\n%s", want, text)
		}
	}
	var o struct {
		Cautions []string `json:"cautions"`
	}
	if err := json.Unmarshal([]byte(js), &o); err != nil || len(o.Cautions) < 2 || !strings.Contains(o.Cautions[0], "roll over") {
		t.Errorf("%v: cautions %q for programs", err, o.Cautions)
	}
}

// A start tells the danger of going over backwards where its front wheel lifts, and what the quickest would have cost
// where that is another.
func TestAStartTellsItsDanger(t *testing.T) {
	s := &course.Start{Build: "full", Start: &track.StartResult{Gear: 1, Held: 5000, Time: 7.00, Distance: 90, Slips: 1, Heat: 5, Lifts: 1.7, Quickest: &track.StartTry{Gear: 2, Held: 8312, Time: 6.97, Slips: 2.5, Heat: 20, Lifts: 2.4}}}
	for _, want := range []string{"Danger: the front wheel lifts for 1.7 s", "over backwards", "Gear 2 held at 8312 rpm would be 0.03 s quicker, which is too small to tell, and lifts the front wheel for 2.4 s"} {
		if !strings.Contains(s.Answer().Lead, want) {
			t.Errorf("%q is missing: %s", want, s.Answer().Lead)
		}
	}
	s.Start.Lifts, s.Start.Quickest = 0, nil
	if lead := s.Answer().Lead; strings.Contains(lead, "Danger") || strings.Contains(lead, "quicker") {
		t.Error(lead)
	}
}

// notesOf are the notes of an answer in text.
func notesOf(a report.Answer) (list []string) {
	for _, b := range a.Blocks {
		if b.Only != report.Page {
			list = append(list, b.Notes...)
		}
	}
	return list
}
