package engine

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"shakedown/engine/flow"
	"shakedown/engine/valvetrain"
	"shakedown/internal/outside"
)

// measured is the motored single: pressures and lifts each degree of the crank, from the overlap on.
type measured struct {
	cylinder, intake, exhaust []float64 // [Pa]
	liftIn, liftOut           []float64 // [m]
}

func readMeasured(t *testing.T) measured {
	t.Helper()
	folder := outside.Folder(t)
	text, err := os.ReadFile(filepath.Join(folder, "tcc3_motored_800rpm.csv"))
	if err != nil {
		t.Fatal(err)
	}
	reader := csv.NewReader(strings.NewReader(string(text)))
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var m measured
	for i, row := range rows[1:] {
		var v [6]float64
		for j := range v {
			if v[j], err = strconv.ParseFloat(row[j], 64); err != nil {
				t.Fatal(err)
			}
		}
		if int(v[0]) != i {
			t.Fatalf("line %d is of %g degrees", i+1, v[0])
		}
		m.cylinder, m.intake, m.exhaust = append(m.cylinder, v[1]), append(m.intake, v[2]), append(m.exhaust, v[3])
		m.liftIn, m.liftOut = append(m.liftIn, v[4]/1000), append(m.liftOut, v[5]/1000)
	}
	if len(m.cylinder) != 720 {
		t.Fatalf("%d degrees", len(m.cylinder))
	}
	return m
}

func (m measured) at(list []float64, degrees float64) float64 {
	i := int(math.Floor(degrees))
	f := degrees - float64(i)
	return list[((i%720)+720)%720]*(1-f) + list[((i+1)%720+720)%720]*f
}

// runMeasured runs the cylinder of the rig between the measured pressures of its ports, valves quasi-steady, and gives
// the cylinder's pressure each degree of the last of several cycles, and what was done there [J] from 180 to 540
// degrees and in all.
func runMeasured(t *testing.T, m measured) (pressure []float64, loop, whole float64) {
	t.Helper()
	const inlet, outlet, wall = 317.68, 314.7, 310.66 // [K]
	const swept, ratio = 571.694e-6, 10.0
	b := Breathing{
		Cylinders: 1, Bore: 0.092, Crank: Crank{0.086, 0.231}, Clearance: swept / (ratio - 1), Charge: charge(t, 1), Motored: true,
		Ambient: Air{101325, inlet}, WallHead: wall, WallPiston: wall, WallLiner: wall,
	}
	// Discharge coefficients on the curtain area, the middle of the published bands; the seats' reference diameter is
	// 29.9 mm.
	const head = 0.0299
	in := []valvetrain.FlowPoint{{Lift: 0.05 * head, Coefficient: 0.65}, {Lift: 0.15 * head, Coefficient: 0.60}, {Lift: 0.25 * head, Coefficient: 0.50}}
	out := []valvetrain.FlowPoint{{Lift: 0.05 * head, Coefficient: 0.72}, {Lift: 0.15 * head, Coefficient: 0.62}, {Lift: 0.25 * head, Coefficient: 0.52}}
	g, left := chargeFlow(b.Charge)
	r := &rig{spec: &b, g: g, left: left, omega: 800 * math.Pi / 30, swept: b.Swept(), head: disc(b.Bore), walls: b.walls(), volume: b.Clearance}
	r.pistonSpeed = MeanPistonSpeed(b.Crank.Stroke, r.omega)
	r.fill(m.cylinder[0], 330, 0, 0)
	area := func(points []valvetrain.FlowPoint, lift float64) float64 {
		if lift < 1e-5 {
			return 0
		}
		return math.Min(valvetrain.CoefficientAt(points, lift)*valvetrain.CurtainArea(head, lift), disc(0.0254))
	}
	// The rig asks the valves whether they are shut; these answer as the lifts do.
	lobe := func(lifts []float64) Valves {
		var angles, values []float64
		for i := range 720 {
			angles, values = append(angles, float64(i)*math.Pi/180), append(values, lifts[i])
		}
		l, err := valvetrain.LobeFromTable(angles, values)
		if err != nil {
			t.Fatal(err)
		}
		return Valves{1, head, l, 0, 1e-4, in}
	}
	b.Intake, b.Exhaust = lobe(m.liftIn), lobe(m.liftOut)
	r.portIn, r.portOut = disc(0.0254), disc(0.0254)
	const perDegree = 10
	pressure = make([]float64, 720)
	for cycle := range 4 {
		r.theta, r.sum = 0, sums{}
		for i := range 720 * perDegree {
			degrees := (float64(i) + 0.5) / perDegree
			dt := math.Pi / 180 / perDegree / r.omega
			rest := r.rest()
			before := g.Rest(m.at(m.intake, degrees), inlet, 0, 0)
			behind := g.Rest(m.at(m.exhaust, degrees), outlet, 0, 0)
			var a, c passed
			a.mass, a.energy, a.m1, a.m2 = flow.Passed(&before, &rest, area(in, m.at(m.liftIn, degrees)), dt)
			c.mass, c.energy, c.m1, c.m2 = flow.Passed(&rest, &behind, area(out, m.at(m.liftOut, degrees)), dt)
			if i%perDegree == 0 && cycle == 3 {
				pressure[i/perDegree] = r.p
			}
			if err := r.cylinder(dt, dt*r.omega, a, c); err != nil {
				t.Fatal(err)
			}
		}
	}
	return pressure, r.sum.gross, r.sum.gross + r.sum.pump
}

// The cylinder against a measured engine that was turned without firing. What no literature gives was frozen before
// this data was opened. The leak past the rings came later, with the trade's ring gap as it stands: it moved the peak
// from 1.6 to 1.2 % and took one row into its band and another, at 300 degrees, just out of it.
func TestOutsideMotoredSingle(t *testing.T) {
	m := readMeasured(t)
	p, loop, whole := runMeasured(t, m)
	const source = "TCC-III engine, University of Michigan and General Motors, record 2027.42/108382, motored at 800 rpm"
	seen, computed := []outside.Known{outside.Seen}, []outside.Known{outside.Seen, outside.Computed}
	peak, at := 0.0, 0
	for i, v := range p {
		if v > peak {
			peak, at = v, i
		}
	}
	rms := func(from, to int) float64 {
		sum := 0.0
		for i := from; i <= to; i++ {
			d := p[i] - m.cylinder[i]
			sum += d * d
		}
		return math.Sqrt(sum / float64(to-from+1))
	}
	const swept, bar = 571.694e-6, 1e5
	// The exponent n of p V^n = const that fits best between two angles.
	exponent := func(from, to int) float64 {
		k, clearance := Crank{0.086, 0.231}, swept/9
		var x, y []float64
		for i := from; i <= to; i++ {
			x, y = append(x, math.Log(clearance+disc(0.092)*k.Drop(float64(i)*math.Pi/180))), append(y, math.Log(p[i]))
		}
		mx, my, xx, xy := mean(x), mean(y), 0.0, 0.0
		for i := range x {
			xx += (x[i] - mx) * (x[i] - mx)
			xy += (x[i] - mx) * (y[i] - my)
		}
		return -xy / xx
	}
	intake, exhaust := rms(20, 180), rms(560, 700)
	t.Logf("peak %.1f kPa at %d degrees (measured 1826.7 at 358.5): %+.1f %%; rms %.2f kPa from 20 to 180, %.2f from 560 to 700; net %.3f, loop %.3f, pumping %.3f bar", peak/1000, at, 100*(peak/1826650-1), intake/1000, exhaust/1000, whole/swept/bar, loop/swept/bar, (whole-loop)/swept/bar)
	for _, c := range []outside.Check{
		{ID: "engine 9.2", Name: "motored single: peak pressure", Unit: "kPa", Got: peak / 1000, Want: 1826.65, Tol: 0.04, Relative: true, Source: source, Known: seen},
		{ID: "engine 9.2", Name: "motored single: angle of the peak", Unit: "deg", Got: float64(at), Want: 358.6, Tol: 1.1, Miss: 2, Source: source, Known: seen},
		{ID: "engine 9.3", Name: "motored single: pressure at 180 deg", Unit: "kPa", Got: p[180] / 1000, Want: 94.04, Tol: 0.015, Relative: true, Source: source, Known: seen},
		{ID: "engine 9.3", Name: "motored single: pressure at 240 deg", Unit: "kPa", Got: p[240] / 1000, Want: 114.70, Tol: 0.015, Relative: true, Miss: 2.5, Source: source, Known: seen},
		{ID: "engine 9.3", Name: "motored single: pressure at 270 deg", Unit: "kPa", Got: p[270] / 1000, Want: 175.55, Tol: 0.02, Relative: true, Miss: 4.2, Source: source, Known: seen},
		{ID: "engine 9.3", Name: "motored single: pressure at 300 deg", Unit: "kPa", Got: p[300] / 1000, Want: 351.89, Tol: 0.02, Relative: true, Miss: 7.3, Source: source, Known: seen},
		{ID: "engine 9.3", Name: "motored single: pressure at 330 deg", Unit: "kPa", Got: p[330] / 1000, Want: 948.10, Tol: 0.04, Relative: true, Source: source, Known: seen},
		{ID: "engine 9.5", Name: "motored single: least pressure of the intake stroke", Unit: "kPa", Got: least(p[0:180]) / 1000, Want: 87.81, Tol: 2, Source: source, Known: seen},
		{ID: "engine 9.5", Name: "motored single: mean pressure from 20 to 180 deg", Unit: "kPa", Got: mean(p[20:181]) / 1000, Want: 91.96, Tol: 1, Source: source, Known: computed},
		{ID: "engine 9.6", Name: "motored single: least pressure near the exhaust's opening", Unit: "kPa", Got: least(p[480:530]) / 1000, Want: 84.19, Tol: 3, Source: source, Known: seen},
		{ID: "engine 9.7", Name: "motored single: exponent of compression, 260 to 330 deg", Unit: "1", Got: exponent(260, 330), Want: 1.361, Tol: 0.02, Source: source, Known: computed},
		{ID: "engine 9.7", Name: "motored single: exponent of expansion, 390 to 440 deg", Unit: "1", Got: exponent(390, 440), Want: 1.380, Tol: 0.02, Source: source, Known: computed},
		{ID: "engine 9.8", Name: "motored single: pumping", Unit: "bar", Got: (whole - loop) / swept / bar, Want: -0.116, Tol: 0.03, Source: source, Known: computed},
		{ID: "engine 9.11", Name: "motored single: rms error of the intake stroke, kPa, below that of a reference run", Unit: "kPa", Got: intake / 1000, Want: 0.53, Tol: 0.53, Source: source + "; reference run 1.06 kPa", Known: computed},
		{ID: "engine 9.11", Name: "motored single: rms error of the exhaust stroke, kPa, below that of a reference run", Unit: "kPa", Got: exhaust / 1000, Want: 0.59, Tol: 0.59, Miss: 0.8, Source: source + "; reference run 1.18 kPa", Known: computed},
	} {
		c.Run(t)
	}
	for _, degrees := range []int{420, 450, 480} {
		t.Logf("at %d degrees %.2f kPa, measured %.2f: more leakage, or more heat, than is computed", degrees, p[degrees]/1000, m.cylinder[degrees]/1000)
	}
}

func least(list []float64) float64 {
	v := math.Inf(1)
	for _, x := range list {
		v = math.Min(v, x)
	}
	return v
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}
