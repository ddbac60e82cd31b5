package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The curve as other programs read it: every key that the docs name, peaks among the points, no point in
// silence.
func TestCurveForPrograms(t *testing.T) {
	s, out, errors := fixed()
	if code := run([]string{"curve", example, "--build", "club", "--json"}, s); code != 0 {
		t.Fatalf("exit code %d: %s", code, errors)
	}
	var c struct {
		Build  string
		Points []map[string]any
		Torque struct{ Nm, RPM float64 } `json:"peak_torque"`
		Power  struct{ KW, RPM float64 } `json:"peak_power"`
	}
	if err := json.Unmarshal(out.Bytes(), &c); err != nil {
		t.Fatal(err)
	}
	if c.Build != "club" || len(c.Points) != 20 {
		t.Fatalf("%d points of %q", len(c.Points), c.Build)
	}
	highest := 0.0
	for _, p := range c.Points {
		for _, key := range []string{"speed_rpm", "torque_nm", "power_kw", "volumetric_efficiency", "residual_fraction", "imep_kpa", "pmep_kpa", "fmep_kpa", "bsfc_g_per_kwh", "exhaust_temp_k", "cycles", "converged"} {
			if _, ok := p[key]; !ok {
				t.Errorf("a point has no %s", key)
			}
		}
		highest = max(highest, p["torque_nm"].(float64))
	}
	if c.Torque.Nm < highest || c.Torque.Nm > 1.02*highest || c.Power.RPM < c.Torque.RPM || c.Power.KW <= 0 {
		t.Errorf("peaks %+v and %+v over points up to %g Nm", c.Torque, c.Power, highest)
	}
}

// One cycle in the three ways it is printed; they tell of the same.
func TestCycle(t *testing.T) {
	print := func(args ...string) string {
		t.Helper()
		s, out, errors := fixed()
		if code := run(append([]string{"cycle", example, "--build", "full", "--speed", "6000"}, args...), s); code != 0 {
			t.Fatalf("exit code %d: %s", code, errors)
		}
		return out.String()
	}
	if text := print(); !strings.HasPrefix(text, `Build "full" at 6000 rpm: `) || !strings.Contains(text, "How sure") || strings.Count(text, "\n") < 27 {
		t.Errorf("it prints %q", text)
	}
	if text := print("--units", "us"); !strings.Contains(text, "intake lift, in") {
		t.Error("US units give no inches")
	}
	rows, err := csv.NewReader(strings.NewReader(print("--csv", "--against", "as-found"))).ReadAll()
	if err != nil || len(rows) < 1000 || !slices.Contains(rows[0], "cylinder_bar") {
		t.Fatalf("%d lines of CSV, %v", len(rows), err)
	}
	builds := map[string]int{}
	for _, r := range rows[1:] {
		builds[r[0]]++
	}
	if builds["full"] < 480 || builds["as-found"] < 480 {
		t.Errorf("samples by build: %v", builds)
	}
	var c struct {
		Speed    float64     `json:"speed_rpm"`
		Crank    []float64   `json:"crank_deg"`
		Pressure []float64   `json:"cylinder_bar"`
		Exhaust  [][]float64 `json:"exhaust_bar"`
	}
	if err := json.Unmarshal([]byte(print("--json")), &c); err != nil {
		t.Fatal(err)
	}
	if n := len(c.Crank); c.Speed < 5999 || c.Speed > 6001 || n != builds["full"] || len(c.Pressure) != n || len(c.Exhaust) != n || slices.Max(c.Pressure) < 20 || slices.Max(c.Pressure) > 120 {
		t.Errorf("%g rpm, %d angles, %d pressures up to %g bar, %d rows of the exhaust", c.Speed, n, len(c.Pressure), slices.Max(c.Pressure), len(c.Exhaust))
	}
}

func TestCycleRefuses(t *testing.T) {
	for _, c := range []struct {
		speed, says string
		code        int
	}{{"90", "ask for a speed between 500", 3}, {"-400", "ask for a speed between 500", 3}, {"1e9", "ask for a speed between 500", 3}, {"NaN", "ask for a speed between 500", 3}, {"quick", "quick", 2}} {
		s, out, errors := fixed()
		if code := run([]string{"cycle", example, "--speed=" + c.speed}, s); code != c.code || !strings.Contains(errors.String(), c.says) || out.Len() > 0 {
			t.Errorf("--speed %s: exit code %d and %q", c.speed, code, errors)
		}
	}
}

// The report has the engine when it is asked for, and says so when it is not.
func TestReportWithCurve(t *testing.T) {
	for _, c := range []struct {
		flags []string
		has   []string
		not   string
	}{
		{[]string{"--quick"}, []string{"no torque curve is in this report"}, "<h2>The engine"},
		{[]string{"--curve", "--quick"}, []string{"<h2>The engine", "Where the change of torque comes from", "the torque curve from the flow of the gases"}, "<h3>What each part does alone"},
	} {
		file := filepath.Join(t.TempDir(), "r.html")
		s, _, errors := fixed()
		if code := run(append([]string{"report", example, "--build", "full", "--out", file}, c.flags...), s); code != 0 {
			t.Fatalf("exit code %d: %s", code, errors)
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range c.has {
			if !bytes.Contains(text, []byte(want)) {
				t.Errorf("with %v it lacks %q", c.flags, want)
			}
		}
		if bytes.Contains(text, []byte(c.not)) || bytes.Contains(text, []byte("ZgotmplZ")) {
			t.Errorf("with %v it has %q", c.flags, c.not)
		}
		if n := bytes.Count(text, []byte(`class="chart"`)); n != 3*len(c.flags)-2 {
			t.Errorf("with %v it has %d charts", c.flags, n)
		}
	}
}
