package tyre

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

const wong = "Wong, Theory of Ground Vehicles, table 2.3 and section 2.4"

var (
	soilComputed = []outside.Known{outside.Seen, outside.Computed}
	byFormula    = []outside.Known{outside.Computed}
)

func soil(t testing.TB, name string) Soil {
	t.Helper()
	for _, s := range Soils {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no soil %s", name)
	return Soil{}
}

func TestOutsideSoils(t *testing.T) {
	// The table as printed: exponent, kc, kphi, cohesion, angle.
	for _, row := range []struct {
		id, name           string
		n, kc, kphi, c, fi float64
	}{
		{"5.20", "dry sand", 1.1, 0.99, 1528.43, 1.04, 28}, {"5.21", "sandy loam", 0.7, 5.27, 1515.04, 1.72, 29}, {"5.22", "moist sandy loam", 0.9, 52.53, 1127.97, 4.83, 20},
		{"5.24", "clayey soil", 0.5, 13.19, 692.15, 4.14, 13}, {"5.28", "firm sand", 0.793, 102, 5301, 1.3, 31.1}, {"5.29", "snow", 1.6, 4.37, 196.72, 1.03, 19.7},
	} {
		s := soil(t, row.name)
		for _, v := range []struct {
			what      string
			got, want float64
		}{{"exponent", s.N, row.n}, {"kc", s.Cohesive / 1e3, row.kc}, {"kphi", s.Friction / 1e3, row.kphi}, {"cohesion", s.Cohesion / 1e3, row.c}, {"angle", s.Angle * 180 / math.Pi, row.fi}} {
			outside.Check{ID: "chassis " + row.id, Name: row.name + ", " + v.what, Unit: "kN, m, kPa, deg", Got: v.got, Want: v.want, Tol: 1e-9, Relative: true, Source: wong, Known: soilComputed}.Run(t)
		}
	}
	lete := soil(t, "firm sand")
	lete.N = 0.79 // as this row has it
	for _, row := range []struct {
		name string
		s    Soil
		want float64
	}{{"dry sand", soil(t, "dry sand"), 56.822}, {"moist sandy loam", soil(t, "moist sandy loam"), 93.817}, {"clayey soil", soil(t, "clayey soil"), 169.516}, {"firm sand, exponent 0.79", lete, 545.05}} {
		outside.Check{ID: "chassis 5.31", Name: "pressure at 50 mm, plate of 0.20 m, " + row.name, Unit: "kPa", Got: row.s.Pressure(0.2, 0.05) / 1e3, Want: row.want, Tol: 1e-4, Relative: true, Source: wong, Known: byFormula}.Run(t)
	}
	for _, row := range []struct {
		id, name   string
		sink, drag float64
	}{{"5.32", "dry sand", 44.51, 211.98}, {"5.33", "sandy loam", 13.40, 118.67}, {"5.33", "moist sandy loam", 28.49, 169.59}, {"5.33", "clayey soil", 10.58, 109.94}} {
		z, r, err := soil(t, row.name).Wheel(1000, 0.2, 0.56)
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
		}
		outside.Check{ID: "chassis " + row.id, Name: "sinkage of a wheel of 0.56 m under 1 kN, " + row.name, Unit: "mm", Got: 1000 * z, Want: row.sink, Tol: 1e-3, Relative: true, Source: wong, Known: byFormula}.Run(t)
		outside.Check{ID: "chassis " + row.id, Name: "its drag, " + row.name, Unit: "N", Got: r, Want: row.drag, Tol: 1e-3, Relative: true, Source: wong, Known: byFormula}.Run(t)
	}
	z, _, err := soil(t, "snow").Wheel(1000, 0.2, 0.56)
	outside.Check{ID: "chassis 5.34", Name: "the same wheel in snow sinks half its diameter", Unit: "mm", Got: 1000 * z, Want: 273, Tol: 1, Source: wong, Known: byFormula}.Run(t)
	if !errors.Is(err, ErrSinkage) {
		t.Errorf("half a diameter deep is not flagged: %v", err)
	}
	for name, want := range map[string]float64{"dry sand": 577.5, "sandy loam": 630.0, "moist sandy loam": 576.5, "clayey soil": 413.0} {
		outside.Check{ID: "chassis 5.35", Name: "shear limit of 0.044 m2 under 1 kN, " + name, Unit: "N", Got: soil(t, name).ShearLimit(0.044, 1000), Want: want, Tol: 1e-3, Relative: true, Source: "Mohr and Coulomb; " + wong, Known: byFormula}.Run(t)
	}
	// Two tracks of 135 kN in all, of equal area, wide and short against narrow and long.
	snow := soil(t, "snow")
	snow.Cohesion = 1.0e3
	for _, row := range []struct{ wide, long, sink, drag float64 }{{1.0, 3.6, 0.2270, 3.274}, {0.8, 4.5, 0.2262, 2.610}} {
		name := fmt.Sprintf("track of %g x %g m", row.wide, row.long)
		z := snow.Sinkage(row.wide, 18.75e3)
		for _, c := range []outside.Check{
			{ID: "chassis 5.38", Name: name + ", sinkage", Unit: "m", Got: z, Want: row.sink, Tol: 2e-3, Relative: true, Source: "pattern of Wong, example 2.3", Known: byFormula},
			{ID: "chassis 5.38", Name: name + ", drag of the pair", Unit: "kN", Got: 2 * snow.Compaction(row.wide, z) / 1e3, Want: row.drag, Tol: 2e-3, Relative: true, Source: "pattern of Wong, example 2.3", Known: byFormula},
			{ID: "chassis 5.38", Name: name + ", limit", Unit: "kN", Got: snow.ShearLimit(7.2, 135e3) / 1e3, Want: 55.54, Tol: 2e-3, Relative: true, Source: "pattern of Wong, example 2.3", Known: byFormula},
		} {
			c.Run(t)
		}
	}
}

func TestSoilsBehave(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := rapid.SampledFrom(Soils).Draw(r, "soil")
		load, wide, high := rapid.Float64Range(200, 2500).Draw(r, "load"), rapid.Float64Range(0.08, 0.3).Draw(r, "width"), rapid.Float64Range(0.45, 0.7).Draw(r, "diameter")
		z, drag, _ := s.Wheel(load, wide, high)
		heavier, more, _ := s.Wheel(1.1*load, wide, high)
		if !(heavier > z && more > drag) {
			r.Errorf("more load: sinkage %g to %g, drag %g to %g", z, heavier, drag, more)
		}
		if _, larger, _ := s.Wheel(load, wide, 1.1*high); larger >= drag {
			r.Errorf("a larger wheel drags %g in place of %g", larger, drag)
		}
		if p := s.Pressure(wide, 0.03); math.Abs(s.Sinkage(wide, p)-0.03) > 1e-9 {
			r.Error("pressure and sinkage do not go back and forth")
		}
		round, _ := s.Tyre(load, wide, high, 0)
		edge := s.Pressure(wide, z) // at which the tyre just flattens
		if hard, _ := s.Tyre(load, wide, high, 1.001*edge); hard != round {
			r.Errorf("a hard tyre, %+v, is not a round one, %+v", hard, round)
		}
		soft, _ := s.Tyre(load, wide, high, 0.999*edge)
		softer, _ := s.Tyre(load, wide, high, 0.5*edge)
		if !soft.Flexes || math.Abs(soft.Sinkage/z-1) > 0.01 || math.Abs(soft.Drag/drag-1) > 0.01 {
			r.Errorf("flattening jumps from %g m and %g N to %+v", z, drag, soft)
		}
		if !(softer.Sinkage < soft.Sinkage && softer.Drag < soft.Drag && softer.Area > soft.Area) {
			r.Errorf("less air does not make it swim: %+v, then %+v", soft, softer)
		}
	})
}
