package track

import (
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/internal/outside"
	"shakedown/sheet"
	"shakedown/vehicle/chassis"
)

// The invented examples lie where measured machines of their kind do: bands, not values.
func TestExamplesArePlausible(t *testing.T) {
	bare := func(path string) *ranges.Inputs {
		s, err := sheet.Read(path)
		if err != nil {
			t.Fatal(err)
		}
		return &ranges.Inputs{Build: s.Project.Bare()}
	}
	q := bare("../../examples/sallow-q250.yaml")
	machineAlone := running.Fuelled(q)
	stand := chassis.Stance{Wheelbase: q.Num("geometry.wheelbase"), TrackFront: q.Num("geometry.track_front"), TrackRear: q.Num("geometry.track_rear"), Along: machineAlone.X, Height: machineAlone.Z}
	lateral, err := stand.TipLateral(0, 0)
	if err != nil {
		t.Fatal(err)
	}
	b := bare("../../examples/brackwater-246.yaml")
	seen := []outside.Known{outside.Seen}
	for _, c := range []outside.Check{
		{ID: "chassis 2.14", Name: "quad example, machine and fuel: lateral stability coefficient (band)", Got: lateral, Want: 0.94, Tol: 0.13, Unit: "1", Source: "SAE 891108: twelve four-wheelers of 1989, 0.86 to 1.07, as quoted in FME 2007", Known: seen},
		{ID: "chassis 2.12", Name: "quad example: pitch stability coefficient over the limit of 1.0 (1: yes)", Got: yes(machineAlone.X/machineAlone.Z >= 1), Want: 1, Tol: 0, Unit: "1", Source: "ANSI/SVIA 1-2000, pitch stability, as quoted in FME 2007", Known: seen},
		{ID: "chassis 1.13", Name: "bike example, machine alone: height of the centre of gravity over the wheelbase (band)", Got: b.Num("mass.cg_height") / b.Num("geometry.wheelbase"), Want: 0.342, Tol: 2 * 0.067, Unit: "1", Source: "Foale 2006, 39 motorcycles, mean and two standard deviations, as summarised by N. Rose", Known: seen},
		{ID: "chassis 2.18", Name: "four-wheelers of 1989, middle of the coefficients less what tyres and springs take, against one that goes round 8 ft at 10 mph (band)", Got: (0.86 + 1.07) / 2 * (1 - Compliance), Want: 0.836, Tol: 0.1, Unit: "g", Source: "SAE 891108 as quoted in FME 2007; Jennissen et al. 2012, ACEP abstract", Known: seen},
		{ID: "chassis 9.14", Name: "what an upright rider adds: usual drag area over that of a sports motorcycle (band 0.30 to 0.50)", Got: yes(usual(t).Num("rider.drag_area") > 0.50), Want: 1, Tol: 0, Unit: "1", Source: "Katz, Automotive Aerodynamics, p. 302", Known: seen},
	} {
		c.Run(t)
	}
	// Courses and races of the examples are of the size of those that are raced. They are short ones: half the least of
	// that table is taken as the lower edge.
	for _, path := range []string{"../../examples/fenmoor-t285.yaml", "../../examples/brackwater-246.yaml", "../../examples/sallow-q250.yaml"} {
		in := bare(path)
		if c, err := courseOf(in); err != nil || c.Gap() > leastGap {
			t.Errorf("%s: its course does not end where it begins (%v)", path, err)
		}
		outside.Check{ID: "chassis 11.12", Name: path[len("../../examples/"):] + ": length of the race (band 15 to 30 min)", Unit: "min", Got: in.Num("class_rules.race_time") / 60, Want: 22.5, Tol: 7.5, Source: "preprints.org 202408.1441, frame of motocross races", Known: seen}.Run(t)
	}
}

func yes(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// usual are the inputs of a sheet that was just begun.
func usual(t *testing.T) *ranges.Inputs {
	t.Helper()
	text, err := sheet.New("three-wheeler", map[string]string{"layout": "three-wheeler"}, "2027-05-03")
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x", Text: text})
	if err != nil {
		t.Fatal(err)
	}
	return &ranges.Inputs{Build: s.Project.Bare()}
}
