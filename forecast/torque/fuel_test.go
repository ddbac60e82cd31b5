package torque

import (
	"math"
	"testing"
)

// burning is a curve of three speeds that burn, and two that do not count: one that could not be computed and one
// without power. With 300 cm3 and two turns to a cycle
//
//	3000 rpm: 300 g/kWh x 6 kW = 0.5 g/s; lost (80 + 20) kPa x 0.3 l x 50/s / 2 = 0.75 kW
//	6000 rpm: 360 x 15 = 1.5 g/s; lost (120 + 30) x 0.3 x 100 / 2 = 2.25 kW
//	8000 rpm: 450 x 16 = 2.0 g/s; lost 160 x 0.3 x 133.333 / 2 = 3.2 kW: the pumping gives something and takes nothing
var burning = Curve{Points: []Point{
	{Speed: 2000, Power: -1, Fuel: 0, Friction: 70, Converged: true},
	{Speed: 3000, Power: 6, Fuel: 300, Friction: 80, Pumping: -20, Converged: true},
	{Speed: 6000, Power: 15, Fuel: 360, Friction: 120, Pumping: -30, Converged: true},
	{Speed: 7000, Power: 99, Fuel: 999},
	{Speed: 8000, Power: 16, Fuel: 450, Friction: 160, Pumping: 10, Converged: true},
}}

// It idles on 0.5 x 0.75/(6 + 0.75) = 0.055556 g/s.
func TestFuelFlowByHand(t *testing.T) {
	for _, c := range []struct {
		sum            string
		speed, power   float64
		strokes, gives float64
	}{
		{"a point at full throttle", 3000, 6, 2, 0.5},
		{"a point at half its power: 1.5 x (7.5 + 2.25)/(15 + 2.25)", 6000, 7.5, 2, 0.847826},
		{"more power than there is: all of it", 6000, 20, 2, 1.5},
		{"between: 1.0 g/s, 10.5 kW", 4500, 10.5, 2, 1.0},
		{"between at 4 kW: 1.0 x (4 + 1.5)/(10.5 + 1.5)", 4500, 4, 2, 0.458333},
		{"across the speed that is not there: 1.75 x (5 + 2.725)/(15.5 + 2.725)", 7000, 5, 2, 0.741770},
		{"above all: as at the last", 9000, 16, 2, 2.0},
		{"below all: 0.5 x (1 + 0.75)/(6 + 0.75)", 2000, 1, 2, 0.129630},
		{"turning without load: 1.0 x 1.5/(10.5 + 1.5)", 4500, 0, 2, 0.125},
		{"held back by 0.5 kW: 1.0 x (1.5 - 0.5)/(10.5 + 1.5)", 4500, -0.5, 2, 0.083333},
		{"held back by more than it rubs: it idles", 4500, -3, 2, 0.055556},
		{"one turn to a cycle loses twice as much: 1.0 x (4 + 3)/(10.5 + 3)", 4500, 4, 1, 0.518519},
	} {
		if got := burning.FuelFlow(c.speed, c.power, 0.3e-3, c.strokes); math.Abs(got-c.gives) > 1e-6 {
			t.Errorf("%s: %.6f g/s, by hand %.6f", c.sum, got, c.gives)
		}
	}
	none := Curve{Points: burning.Points[:1]}
	if got := none.FuelFlow(3000, 5, 0.3e-3, 2); got != 0 {
		t.Errorf("a curve that burns nothing: %g g/s", got)
	}
}

// A small change of speed or power makes a small change of fuel. The steepest straight line in speed is 1.0 g/s over
// 3000 rpm at full throttle, that in power 2.0 g/s over 16 + 3.2 kW; with less throttle both the flow and the share of
// it move, which makes no more than three times as much.
func TestFuelFlowIsContinuous(t *testing.T) {
	const rpm, kW = 1.0, 0.01
	for speed := 1500.0; speed < 9500; speed += rpm {
		for _, power := range []float64{-4, -1, -0.01, 0, 0.01, 2, 5.9, 10, 15.5, 30} {
			from, to := burning.FuelFlow(speed, power, 0.3e-3, 2), burning.FuelFlow(speed+rpm, power, 0.3e-3, 2)
			if math.Abs(to-from) > 3*rpm/3000 {
				t.Fatalf("%g kW: %.4f g/s at %g rpm, %.4f at %g", power, from, speed, to, speed+rpm)
			}
		}
	}
	for speed := 1500.0; speed < 9500; speed += 250 {
		for power := -5.0; power < 20; power += kW {
			from, to := burning.FuelFlow(speed, power, 0.3e-3, 2), burning.FuelFlow(speed, power+kW, 0.3e-3, 2)
			if to < from || to-from > 2*kW/16 {
				t.Fatalf("%g rpm: %.4f g/s at %.2f kW, %.4f at %.2f", speed, from, power, to, power+kW)
			}
		}
	}
}
