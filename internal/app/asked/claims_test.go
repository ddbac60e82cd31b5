package asked

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/check"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// claiming asks of the example with claims in the place of one of them.
func claiming(t *testing.T, claims string, q Question) (*Answer, error) {
	t.Helper()
	q.Path = edited(t, `claims: [{says: "30 % more clutch", of: driveline.clutch_capacity, factor: 1.3}]`, "claims: ["+claims+"]")
	q.Now = time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)
	return Ask(q)
}

// A claim that only the figures show to be wrong is refused at its place, with what was expected and a remedy.
func TestBadClaims(t *testing.T) {
	for _, c := range []struct{ claim, under, problem, expected, remedy string }{
		{"{of: engine.peak_powr, value: 17 kW}", "engine.peak_powr", `there is no figure "engine.peak_powr"`, "the id of a figure", `did you mean "engine.peak_power"?`},
		{"{of: track.lap_tim, gain: -1 s}", "track.lap_tim", "there is no figure", "the id of a figure", `did you mean "track.lap_time"?`},
		{"{of: engine.peak_power, value: 17 Nm}", "17 Nm", "the claim of engine.peak_power: Nm measures a torque, not a power", "a power in kW, W, hp or PS", "kW, W, hp or PS"},
		{"{of: engine.peak_torque, gain: 2 kW}", "2 kW", "kW measures a power, not a torque", "a torque in Nm, kgf.m or lbf.ft", "give it in"},
		{"{of: engine.peak_power, value: 17}", "17", "a number without a unit", "a power in", "17 kW"},
		{"{of: engine.peak_power, gain: 10 %}", "10 %", "% measures a pure number, not a power", "a power in", "factor: 1.1 is a tenth more"},
		{"{of: engine.compression_ratio, value: 10.6 mm}", "10.6 mm", "mm measures a length, not a pure number", "a plain number", "leave the unit away"},
		{"{of: engine.compression_ratio, value: 10.6, at: crank}", "crank", "the place (at: crank) of a claim of engine.compression_ratio", "engine.peak_torque and engine.peak_power", "remove it"},
		{"{of: engine.peak_power_speed, gain: 200 rpm, at: rear wheel}", "rear wheel", "the place (at: rear wheel)", "engine.peak_torque and engine.peak_power", "remove it"},
		{"{of: money.cost, value: 32}", "money.cost", "money.cost is of the whole build", "a figure of the machine", "price, lead and time"},
		{"{of: plan.days, factor: 2}", "plan.days", "plan.days is of the whole build", "a figure of the machine", "price, lead and time"},
	} {
		for _, build := range []string{"full", "club"} { // also where the part is not in the build
			_, err := claiming(t, c.claim, Question{Build: build})
			var list sheet.Errors
			if !errors.As(err, &list) || len(list) != 1 {
				t.Errorf("%s: one error wanted: %v", c.claim, err)
				continue
			}
			d := list[0]
			if under := string([]rune(d.Excerpt)[d.Column-1:]); d.Line != 195 || !strings.HasPrefix(under, c.under) || !strings.Contains(d.Problem, c.problem) || !strings.Contains(d.Expected, c.expected) || !strings.Contains(d.Remedy, c.remedy) {
				t.Errorf("%s: %+v, under %q", c.claim, d, under)
			}
		}
	}
	if _, err := claiming(t, "{of: engine.peak_power, value: 24 hp, at: rear wheel}, {of: driveline.speed.5, value: 60 mph}, {of: track.start_time, gain: -0.2 s}", Question{}); err != nil {
		t.Errorf("sound claims: %v", err)
	}
}

// Programs read of each claim what it states, where and with what, and what came of it; the numbers are SI.
func TestClaimsForPrograms(t *testing.T) {
	peak := func(b, baseline *machine.Build, _ forecast.Course) ([]figure.Figure, error) { // 16.3 ± 1.63 kW, 1.2 ± 0.5 kW above
		return []figure.Figure{{ID: "engine.peak_power", Title: "Peak power at the crank", Unit: quantity.MustUnit("kW"), State: figure.Ready, Slow: true, Value: 16300, Low: 14670, High: 17930,
			Change: &figure.Change{Value: 1200, Low: 700, High: 1700}, Basis: figure.Basis{Inputs: []figure.Input{{Path: "driveline.clutch.spring_force_total"}}}}}, nil
	}
	a, err := claiming(t, "{says: lots, of: engine.peak_power, at: crank, gain: 2 hp, with: [race-cam]}, {of: engine.peak_power, at: crank, factor: 1.3}, {of: engine.peak_power, at: crank, value: 17 kW}, {of: engine.peak_power, at: crank, value: 17 kW, with: [sprocket-38]}", Question{Slow: peak, System: quantity.US})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := a.WriteJSON(&out, "0.1.0"); err != nil {
		t.Fatal(err)
	}
	var got struct{ Claims []claimJSON }
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	var mine []claimJSON
	for _, c := range got.Claims {
		if c.Part == "clutch-springs" {
			mine = append(mine, c)
		}
	}
	is := func(number *float64, want float64) bool {
		if want == 0 {
			return number == nil
		}
		return number != nil && math.Abs(*number/want-1) < 1e-12
	}
	want := []struct {
		judged, holds       bool
		state               string
		gain, factor, value float64
		unit, with          string
	}{
		{true, true, "holds", 2 * 550 * 1.3558179483314004, 0, 0, "W", "race-cam"},
		{true, false, "fails", 0, 1.3, 0, "", ""},
		{true, true, "holds", 0, 0, 17000, "W", ""},
		{false, false, "cannot", 0, 0, 17000, "W", "sprocket-38"},
	}
	if len(mine) != len(want) {
		t.Fatalf("%+v", mine)
	}
	for i, w := range want {
		if c := mine[i]; c.Judged != w.judged || c.Holds != w.holds || c.State != w.state || !is(c.Gain, w.gain) || !is(c.Factor, w.factor) || !is(c.Value, w.value) || c.Unit != w.unit || c.Where != "crank" || strings.Join(c.With, " ") != w.with || c.Of != "engine.peak_power" {
			t.Errorf("%d: %+v", i, c)
		}
	}
	if text := mine[0].Text; !strings.Contains(text, `"lots" of peak power at the crank`) || !strings.Contains(text, "a gain of +2.00 hp; computed +1.61 hp") {
		t.Error(text)
	}
}

// A lap whose range leaves the inputs out refutes nothing; once the whole range is there, the claim is judged by it:
// 49 s lie outside of 50.9 s ± 0.5 s, and inside of 50.9 s ± 2.5 s.
func TestClaimsAreJudgedAgain(t *testing.T) {
	lap := figure.Figure{ID: "track.lap_time", Title: "Lap time", Unit: quantity.MustUnit("s"), State: figure.Ready, Slow: true, Value: 50.9, Low: 50.4, High: 51.4, Narrow: []string{"how sure the inputs are"}}
	a, err := claiming(t, "{of: track.lap_time, value: 49 s}", Question{Slow: func(b, baseline *machine.Build, _ forecast.Course) ([]figure.Figure, error) {
		return []figure.Figure{lap}, nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	see := func(state check.Standing, severity figure.Severity) {
		t.Helper()
		i := slices.IndexFunc(a.Verdicts, func(v check.Verdict) bool { return v.Of == lap.ID })
		if v := a.Verdicts[i]; v.State != state {
			t.Errorf("%+v", v)
		}
		found := slices.IndexFunc(a.Findings, func(f figure.Finding) bool { return f.Text == a.Verdicts[i].Text })
		if state == check.Holds && found >= 0 || state != check.Holds && (found < 0 || a.Findings[found].Severity != severity) {
			t.Errorf("%s: finding %d of %d", state, found, len(a.Findings))
		}
		if !slices.IsSortedFunc(a.Findings, figure.Compare) {
			t.Error("the findings are not in order")
		}
	}
	rules := func() (n int) {
		for _, f := range a.Findings {
			if f.Rule != "claims" {
				n++
			}
		}
		return n
	}
	others := rules()
	see(check.CannotBe, figure.NotComputed)
	lap.Narrow = nil
	a.Put(lap)
	see(check.Fails, figure.Note)
	lap.Low, lap.High = 48.4, 53.4
	a.Put(lap)
	see(check.Holds, 0)
	if rules() != others {
		t.Errorf("%d other findings, %d before", rules(), others)
	}
}
