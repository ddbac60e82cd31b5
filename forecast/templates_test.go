package forecast

import (
	"testing"

	"shakedown/machine"
	"shakedown/sheet"
)

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
