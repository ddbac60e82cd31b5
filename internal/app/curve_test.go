package app

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/engine"
	"shakedown/internal/workshop"
	"shakedown/quantity"
	"shakedown/report"
	"shakedown/sheet"
)

// curveOf is the curve of a build of the example against its first.
func curveOfExample(t *testing.T, build, against string) *engine.Curve {
	t.Helper()
	c, err := Curve(t.Context(), asked.Question{Path: example, Build: build, Against: against, Now: time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)}, lapCurves, false, false, "", nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCurveJSONAndCSV(t *testing.T) {
	c := curveOfExample(t, "full", "as-found")
	var out bytes.Buffer
	if err := c.Answer().WriteJSON(&out, "test"); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Build  string
		Points []map[string]any
		Torque struct{ Nm, RPM float64 } `json:"peak_torque"`
		Power  struct{ KW, RPM float64 } `json:"peak_power"`
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Build != "full" || len(got.Points) != 20 || got.Torque.Nm < 20 || got.Torque.Nm > 35 || got.Power.KW < 10 || got.Power.KW > 25 || got.Power.RPM <= got.Torque.RPM {
		t.Errorf("%+v", got)
	}
	heads := []string{"speed_rpm", "torque_nm", "power_kw", "volumetric_efficiency", "residual_fraction", "imep_kpa", "pmep_kpa", "fmep_kpa", "bsfc_g_per_kwh", "exhaust_temp_k", "cycles", "converged"}
	for _, key := range heads {
		if _, ok := got.Points[7][key]; !ok {
			t.Errorf("a point has no %s", key)
		}
	}
	for _, p := range got.Points {
		rpm, torque, power := p["speed_rpm"].(float64), p["torque_nm"].(float64), p["power_kw"].(float64)
		if math.Abs(power-torque*rpm*math.Pi/30/1000) > 1e-9*power {
			t.Errorf("at %.0f rpm %g Nm is not %g kW", rpm, torque, power)
		}
	}
	out.Reset()
	if err := c.Answer().WriteCSV(&out); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 41 || strings.Join(rows[0][1:], ",") != strings.Join(heads, ",") || rows[1][0] != "full" || rows[40][0] != "as-found" {
		t.Errorf("%d rows, %v, %v", len(rows), rows[0], err)
	}
}

// What a change of torque is split into adds up to it.
func TestReasonsAddUp(t *testing.T) {
	c := curveOfExample(t, "full", "as-found")
	for i, p := range c.Curve.Points {
		parts := torque.SplitTorque(c.Before.Points[i], p)
		sum := 0.0
		for _, part := range parts[1:] {
			sum += part
		}
		if math.Abs(sum-parts[0]) > 1e-9*math.Abs(p.Torque) || math.Abs(parts[0]-(p.Torque-c.Before.Points[i].Torque)) > 1e-12 {
			t.Errorf("at %.0f rpm %v sums to %g", p.Speed, parts, sum)
		}
	}
	i := slices.IndexFunc(c.Answer().Blocks, func(b report.Block) bool { return b.ID == "reasons" })
	if i < 0 {
		t.Fatal("it is not told")
	}
	if r := c.Answer().Blocks[i].Table; len(r.Rows) != 5 || len(r.Rows[0]) != len(r.Heads) {
		t.Errorf("%v", r)
	}
}

// A curve follows from the engine alone: a price, a spring rate or a name leave it, a venturi moves it.
func TestCurveKey(t *testing.T) {
	w := openWorkshop(t)
	id := fenmoor(t, w).Machine
	key := func() string {
		a, _, err := w.Ask(t.Context(), id, asked.Question{})
		if err != nil {
			t.Fatal(err)
		}
		return torque.CurveKey(a.Build)
	}
	first := key()
	for _, c := range []struct {
		s    workshop.Setting
		same bool
	}{
		{workshop.Setting{Path: "parts.head-pipe.price", Old: "132.00", New: "140.00"}, true}, {workshop.Setting{Path: "suspension.front.spring_rate", Old: "2.4 N/mm measured", New: "2.5 N/mm measured"}, true}, {workshop.Setting{Path: "name", Old: "Fenmoor T285, 1983", New: "Fenmoor"}, true},
		{workshop.Setting{Path: "engine.intake.runner_length", Old: "60 mm", New: "62 mm"}, false}, {workshop.Setting{Path: "air.temperature", Old: "20 C", New: "25 C"}, false},
	} {
		if _, err := w.Set(t.Context(), id, c.s); err != nil {
			t.Fatal(err)
		}
		if now := key(); (now == first) != c.same {
			t.Errorf("after %s the curve is the same: %v, want %v", c.s.Path, now == first, c.same)
		}
		if _, err := w.Undo(t.Context(), id); err != nil {
			t.Fatal(err)
		}
	}
}

// A kept curve is the one that was computed, and is not computed again.
func TestCurvesAreKept(t *testing.T) {
	w := openWorkshop(t)
	id := fenmoor(t, w).Machine
	a, _, err := w.Ask(t.Context(), id, asked.Question{})
	if err != nil {
		t.Fatal(err)
	}
	if c, missing, err := w.CurveKept(t.Context(), a, "test"); err != nil || c.Curve != nil || len(missing) != 2 {
		t.Fatalf("%+v, %d missing, %v", c, len(missing), err)
	}
	if c, err := w.ComputedKept(t.Context(), a, "test"); c.Curve != nil || c.Lap != nil || err != nil {
		t.Fatalf("a report has a curve that nobody computed: %+v, %v", c, err)
	}
	told := 0
	c, err := w.Curve(t.Context(), a, "test", func(ready, total int) { told = total })
	if err != nil || told != 40 || c.Curve == nil || c.Before == nil {
		t.Fatalf("%v, %d told", err, told)
	}
	again, err := w.Curve(t.Context(), a, "test", func(int, int) { t.Error("it was computed again") })
	if err != nil || again.Curve.Torque != c.Curve.Torque {
		t.Fatal(err)
	}
	var page bytes.Buffer
	kept, err := w.ComputedKept(t.Context(), a, "test")
	if err != nil || WriteReport(&page, a, "test", kept) != nil || !strings.Contains(page.String(), "<h2>The engine") || !strings.Contains(page.String(), "<h2>The track") {
		t.Errorf("the report lacks the curve that was kept: %v", err)
	}
	straight := curveOfExample(t, "full", "")
	if straight.Curve.Torque != c.Curve.Torque {
		t.Errorf("kept %v, computed %v", c.Curve.Torque, straight.Curve.Torque)
	}
}

func TestCurvesThatCannotBe(t *testing.T) {
	for name, c := range map[string]struct{ from, to, want string }{
		"two-stroke":        {"cycle: four-stroke", "cycle: two-stroke", "two-stroke yet"},
		"a lean mixture":    {"lambda: 0.88", "lambda: 1.9", "does not burn"},
		"a redline too low": {"redline: 8500 rpm", "redline: 1300 rpm", "below all speeds"},
	} {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(example)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(text, []byte(c.from)) {
				t.Fatalf("the example has no %q", c.from)
			}
			_, err = Curve(context.Background(), asked.Question{Text: &sheet.File{Name: "x", Text: bytes.Replace(text, []byte(c.from), []byte(c.to), 1)}, Build: "as-found", Now: time.Now(), System: quantity.Metric}, lapCurves, false, false, "", nil)
			if !errors.Is(err, torque.ErrNoCurve) || !strings.Contains(err.Error(), c.want) || asked.ExitOf(err) != asked.CannotCompute {
				t.Errorf("%v; want %q", err, c.want)
			}
		})
	}
	ctx, cancel := context.WithCancel(t.Context())
	began := time.Now()
	var first time.Duration // until the first of many speeds was ready
	var once sync.Once
	_, err := Curve(ctx, asked.Question{Path: example, Build: "full", Now: time.Now()}, NewResults(), false, false, "", func(ready, total int) {
		once.Do(func() { first = time.Since(began); cancel() })
	})
	if took := time.Since(began) - first; !errors.Is(err, context.Canceled) || took > max(3*time.Second, 3*first) {
		t.Errorf("cancelled: %v, %s after that; the first speed took %s", err, took, first)
	}
}

// A correction scales torque and power of both builds by the standard's factor for the sheet's air, and is said; the
// factors themselves are checked in engine/gas.
func TestCorrectedCurve(t *testing.T) {
	plain := curveOfExample(t, "club", "as-found")
	for _, standard := range torque.Standards() {
		c := *plain
		a, err := asked.Ask(asked.Question{Path: example, Build: "club", Against: "as-found", Now: time.Now()})
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Correct(a, standard); err != nil {
			t.Fatal(err)
		}
		k, err := torque.CorrectionTo(a.Build, standard)
		if err != nil || k.Outside {
			t.Fatalf("%+v, %v", k, err)
		}
		for i, p := range c.Curve.Points {
			was := plain.Curve.Points[i]
			if p.Torque != was.Torque*k.Factor || p.Power != was.Power*k.Factor || p.Indicated != was.Indicated || c.Before.Points[i].Torque != plain.Before.Points[i].Torque*k.Factor {
				t.Errorf("%s: %+v became %+v", standard, was, p)
			}
		}
		if !strings.Contains(c.Answer().Lead, "corrected to the air of "+k.Name) {
			t.Errorf("%s is not said: %q", standard, c.Answer().Lead)
		}
	}
	if strings.Contains(plain.Answer().Lead, "corrected") {
		t.Error("the plain curve says it was corrected")
	}
	if _, err := Curve(t.Context(), asked.Question{Path: example, Now: time.Now()}, lapCurves, false, true, "iso-1585", nil); asked.ExitOf(err) != asked.BadInput {
		t.Errorf("parts in a standard's air give %v", err)
	}
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	high := bytes.Replace(text, []byte("altitude: 120 m"), []byte("altitude: 2500 m"), 1)
	if bytes.Equal(high, text) {
		t.Fatal("the example is not at 120 m")
	}
	a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "x", Text: high}, Build: "club", Now: time.Now()})
	if err != nil {
		t.Fatal(err)
	}
	if k, err := torque.CorrectionTo(a.Build, "iso-1585"); err != nil || !k.Outside || k.Factor < 1.2 {
		t.Errorf("high in the mountains %+v, %v", k, err)
	}
	if _, err := torque.CorrectionTo(a.Build, "flywheel"); err == nil || !strings.Contains(err.Error(), "iso-1585") {
		t.Errorf("a standard that does not exist gives %v", err)
	}
}

// A machine just begun has a curve at once, and is told that it is one of that kind and not its own; without airbox and
// silencer it breathes from the open into the open, and makes something else.
func TestCurveOfANewMachine(t *testing.T) {
	for _, layout := range []string{"three-wheeler", "quad", "bike"} {
		text, err := sheet.New(layout, nil, "2026-11-25")
		if err != nil {
			t.Fatal(err)
		}
		ask := func(text []byte) *engine.Curve {
			t.Helper()
			c, err := Curve(t.Context(), asked.Question{Text: &sheet.File{Name: "new.yaml", Text: text}, Now: time.Now()}, lapCurves, false, false, "", nil)
			if err != nil {
				t.Fatal(err)
			}
			return c
		}
		c := ask(text)
		if !strings.Contains(c.Answer().Lead, "not yours") || c.Typical < 30 {
			t.Errorf("%s: %q", layout, c.Answer().Lead)
		}
		open, err := sheet.New(layout, map[string]string{"engine.intake.airbox_volume": "0 l", "engine.exhaust.silencer.volume": "0 l"}, "2026-11-25")
		if err != nil {
			t.Fatal(err)
		}
		if d := ask(open); math.Abs(d.Curve.Power.Value/c.Curve.Power.Value-1) < 0.01 {
			t.Errorf("%s: airbox and silencer change nothing", layout)
		}
	}
}

// A sweep that ends before the peak says so, calls nothing a peak, and is no reason to turn the engine faster.
func TestAnOpenSweepIsNoPeak(t *testing.T) {
	k := &torque.Curve{Torque: torque.Peak{Speed: 5000, Value: 20}, Power: torque.Peak{Speed: 9010, Value: 14, End: torque.Rising}, From: 4000, To: 6000}
	c := &engine.Curve{Build: "full", Curve: k}
	for _, want := range []string{`Build "full" makes 20.0 Nm at 5000 rpm, and its power is still rising at 9010 rpm, the end of the sweep (14.0 kW there)`, "no reason to turn it faster", "nine tenths of that torque from 4000"} {
		if !strings.Contains(c.Answer().Lead, want) {
			t.Errorf("%q is missing: %s", want, c.Answer().Lead)
		}
	}
	var out bytes.Buffer
	if err := c.Answer().WriteJSON(&out, "test"); err != nil || !strings.Contains(out.String(), `"end_of_sweep": "rising"`) {
		t.Errorf("%v %s", err, &out)
	}
	k.Torque.End = torque.Rising
	if want := `The torque of build "full" is still rising at 5000 rpm, the end of the sweep (20.0 Nm there)`; !strings.Contains(c.Answer().Lead, want) {
		t.Errorf("%q is missing: %s", want, c.Answer().Lead)
	}
}
