package app

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"shakedown/sheet"
)

// lapCurves are computed once for the tests of laps.
var lapCurves Curves

func lapQuestion(t *testing.T, changes ...string) Question {
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
	return Question{Text: &sheet.File{Name: "x.yaml", Text: []byte(changed)}, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)}
}

func TestLap(t *testing.T) {
	l, err := Lap(context.Background(), lapQuestion(t), &lapCurves)
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
	for _, want := range []string{"full laps in", "against as-found", "How sure", "measure", "do not promise"} {
		if !strings.Contains(l.Lead(), want) {
			t.Errorf("the lead lacks %q: %s", want, l.Lead())
		}
	}
	var text, csv, js bytes.Buffer
	if err := l.WriteText(&text); err != nil || !strings.Contains(text.String(), "quarry turn") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := l.WriteCSV(&csv); err != nil || strings.Count(csv.String(), "\n") != len(l.Lap.Limit)+1 {
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
	if err := l.WriteJSON(&js, "test"); err != nil || json.Unmarshal(js.Bytes(), &out) != nil || out.Time != l.Lap.Time || len(out.Sections) != 11 || out.Sections[3].Limit == "" || !(out.Low < out.High) {
		t.Errorf("%v %+v", err, out)
	}
	if !strings.Contains(string(l.Map().SVG()), "polyline") || !strings.Contains(string(l.Speeds().SVG()), "polyline") {
		t.Error("no map or no speeds are drawn")
	}
}

// Inputs that no lap can be ridden with are said with what they want.
func TestLapRefuses(t *testing.T) {
	for name, c := range map[string]struct{ old, new, want string }{
		"a hairpin of nothing": {"radius: 12 m, angle: 90 deg}", "radius: 0.4 m, angle: 90 deg}", "radius"},
		"a wall":               {"climb: 6 %", "climb: 120 %", "steep"},
		"a jump straight up":   {"take_off: 18 deg", "take_off: 80 deg", "takes off"},
		"a two-stroke":         {"cycle: four-stroke", "cycle: two-stroke", "two-stroke"},
	} {
		_, err := Lap(context.Background(), lapQuestion(t, c.old, c.new), &lapCurves)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
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
	v, err := Value(context.Background(), q, "300", &lapCurves, nil)
	if err != nil {
		t.Fatal(err)
	}
	worth := map[string]Worth{}
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
	if err := v.WriteText(&text); err != nil || !strings.Contains(text.String(), "shock-spring") || !strings.Contains(text.String(), "in this order") {
		t.Errorf("%v\n%s", err, text.String())
	}
	if err := v.WriteJSON(&js, "test"); err != nil || !json.Valid(js.Bytes()) || !strings.Contains(js.String(), `"per_100"`) {
		t.Errorf("%v\n%s", err, js.String())
	}
	for _, bad := range []string{"a lot", "-5", "12 USD 3", "1e99"} {
		if _, err := Value(context.Background(), lapQuestion(t), bad, &lapCurves, nil); err == nil || ExitOf(err) != BadInput {
			t.Errorf("a budget of %q: %v", bad, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Value(ctx, q, "", &lapCurves, nil); err == nil {
		t.Error("a cancelled question is answered")
	}
}
