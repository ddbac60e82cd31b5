package track

import (
	"math"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/sheet"
)

type oneCurve struct{ *torque.Sure }

func (o oneCurve) Of(*machine.Build, string) (any, error) { return o.Sure, nil }

// By hand: dry 131 kg, 6 l of fuel at 0.75 kg/l, rider 70 kg and kit 10 kg are 215.5 kg; 15 kW over that are 69.60557
// W/kg.
func TestPowerToWeightByHand(t *testing.T) {
	text := "sheet: 1\nrider: {mass: 70 kg ± 0 kg, kit: 10 kg ± 0 kg}\nmachine:\n  layout: three-wheeler\n  mass: {dry: 131 kg ± 0 kg}\n  tank: {capacity: 6 l ± 0 l}\n  engine: {fuel: {name: gasoline, density: 750 kg/m3 ± 0 kg/m3}}\nbuilds: {a: []}\n"
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	b := s.Project.Bare()
	e := ranges.NewEvaluator(b, nil)
	f := e.Figure(CurveFigures[0])
	if f.State != figure.Waiting {
		t.Errorf("without a curve it is %s", f.State)
	}
	e.Results = oneCurve{torque.NewSure(b, &torque.Curve{Power: torque.Peak{Speed: 7000, Value: 15}}, nil)}
	if f = e.Figure(CurveFigures[0]); f.State != figure.Ready || math.Abs(f.Value-69.60557) > 1e-4 {
		t.Errorf("%g W/kg (%s %s), by hand 69.60557", f.Value, f.State, f.Why)
	}
}
