package forecast

import (
	"fmt"
	"testing"

	"shakedown/engine/valvetrain"
	"shakedown/internal/outside"
	"shakedown/machine"
	"shakedown/sheet"
	"shakedown/vehicle/chassis"
)

// The invented examples lie where measured machines of their kind do: bands, not values.
func TestExamplesArePlausible(t *testing.T) {
	bare := func(path string) *inputs {
		s, err := sheet.Read(path)
		if err != nil {
			t.Fatal(err)
		}
		return &inputs{build: s.Project.Bare()}
	}
	q := bare("../examples/sallow-q250.yaml")
	machineAlone := fuelled(q)
	stand := chassis.Stance{Wheelbase: q.num("geometry.wheelbase"), TrackFront: q.num("geometry.track_front"), TrackRear: q.num("geometry.track_rear"), Along: machineAlone.X, Height: machineAlone.Z}
	lateral, err := stand.TipLateral(0, 0)
	if err != nil {
		t.Fatal(err)
	}
	b := bare("../examples/brackwater-246.yaml")
	seen := []outside.Known{outside.Seen}
	for _, c := range []outside.Check{
		{ID: "chassis 2.14", Name: "quad example, machine and fuel: lateral stability coefficient (band)", Got: lateral, Want: 0.94, Tol: 0.13, Unit: "1", Source: "SAE 891108: twelve four-wheelers of 1989, 0.86 to 1.07, as quoted in FME 2007", Known: seen},
		{ID: "chassis 2.12", Name: "quad example: pitch stability coefficient over the limit of 1.0 (1: yes)", Got: yes(machineAlone.X/machineAlone.Z >= 1), Want: 1, Tol: 0, Unit: "1", Source: "ANSI/SVIA 1-2000, pitch stability, as quoted in FME 2007", Known: seen},
		{ID: "chassis 1.13", Name: "bike example, machine alone: height of the centre of gravity over the wheelbase (band)", Got: b.num("mass.cg_height") / b.num("geometry.wheelbase"), Want: 0.342, Tol: 2 * 0.067, Unit: "1", Source: "Foale 2006, 39 motorcycles, mean and two standard deviations, as summarised by N. Rose", Known: seen},
		{ID: "chassis 2.18", Name: "four-wheelers of 1989, middle of the coefficients less what tyres and springs take, against one that goes round 8 ft at 10 mph (band)", Got: (0.86 + 1.07) / 2 * (1 - Compliance), Want: 0.836, Tol: 0.1, Unit: "g", Source: "SAE 891108 as quoted in FME 2007; Jennissen et al. 2012, ACEP abstract", Known: seen},
		{ID: "chassis 9.14", Name: "what an upright rider adds: usual drag area over that of a sports motorcycle (band 0.30 to 0.50)", Got: yes(usual(t).num("rider.drag_area") > 0.50), Want: 1, Tol: 0, Unit: "1", Source: "Katz, Automotive Aerodynamics, p. 302", Known: seen},
	} {
		c.Run(t)
	}
	// Courses and races of the examples are of the size of those that are raced. They are short ones: half the least of that table is taken as the lower edge.
	for _, path := range []string{"../examples/fenmoor-t285.yaml", "../examples/brackwater-246.yaml", "../examples/sallow-q250.yaml"} {
		in := bare(path)
		if c, err := courseOf(in); err != nil || c.Gap() > leastGap {
			t.Errorf("%s: its course does not end where it begins (%v)", path, err)
		}
		outside.Check{ID: "chassis 11.12", Name: path[len("../examples/"):] + ": length of the race (band 15 to 30 min)", Unit: "min", Got: in.num("class_rules.race_time") / 60, Want: 22.5, Tol: 7.5, Source: "preprints.org 202408.1441, frame of motocross races", Known: seen}.Run(t)
	}
}

// usual are the inputs of a sheet that was just begun.
func usual(t *testing.T) *inputs {
	t.Helper()
	text, err := sheet.New("three-wheeler", map[string]string{"layout": "three-wheeler"}, "2027-05-03")
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x", Text: text})
	if err != nil {
		t.Fatal(err)
	}
	return &inputs{build: s.Project.Bare()}
}

// The usual discharge coefficients, at the lift over the valve's head where the figure of the books has them.
func TestOutsideUsualValveFlow(t *testing.T) {
	in := usual(t)
	for _, side := range []struct {
		valve valve
		book  []float64
	}{{intake, []float64{0.65, 0.60, 0.50}}, {exhaust, []float64{0.72}}} {
		v, err := side.valve.valves(in)
		if err != nil {
			t.Fatal(err)
		}
		for i, book := range side.book {
			over := 0.05 + 0.1*float64(i)
			outside.Check{ID: "engine 3.28", Name: fmt.Sprintf("usual discharge coefficient, %s, lift %g of the head (band)", side.valve.path("%s"), over), Unit: "1",
				Got: valvetrain.CoefficientAt(v.Flow, over*v.Head), Want: book, Tol: 0.07, Source: "Heywood 1988 fig. 6-15; Annand and Roe", Known: []outside.Known{outside.Memory}}.Run(t)
		}
	}
}

func yes(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// Every layout's template stands on its wheels: rider and machine between the axles, a tip-over below that of a car.
func TestTemplatesArePlausible(t *testing.T) {
	for _, layout := range machine.Layouts {
		text, err := sheet.New(layout, map[string]string{"layout": layout}, "2027-05-03")
		if err != nil {
			t.Fatal(err)
		}
		s, err := sheet.Parse(&sheet.File{Name: "x", Text: text})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range Forecast(s.Project.Bare(), nil) {
			switch f.ID {
			case "chassis.cg_x":
				if f.Value < 0.3 || f.Value > 0.8 {
					t.Errorf("%s: centre of gravity %g m ahead of the rear axle", layout, f.Value)
				}
			case "chassis.tip_lateral":
				if f.Value < 0.3 || f.Value > 0.8 {
					t.Errorf("%s: tip-over at %g g", layout, f.Value)
				}
			case "engine.compression_ratio":
				if f.Value < 7 || f.Value > 11 {
					t.Errorf("%s: compression %g", layout, f.Value)
				}
			}
		}
	}
}
