package engine

import (
	"context"
	"math"
	"testing"

	"shakedown/engine/gas"
	"shakedown/engine/valvetrain"
)

func charge(t testing.TB, lambda float64) *gas.Charge {
	t.Helper()
	c, err := gas.NewCharge(gas.Gasoline(), lambda, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// single is an air-cooled single of 285 cc, like the invented example.
func single(t testing.TB) Breathing {
	t.Helper()
	lobe := func(lift, open float64) valvetrain.Lobe {
		l, err := valvetrain.LobeThroughEvents(lift, 0.001, open*math.Pi/180, 2)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	const deg = math.Pi / 180
	return Breathing{
		Cylinders: 1, Bore: 0.074, Crank: Crank{0.0663, 0.118}, Clearance: 285.1e-6 / 7.8,
		Intake:  Valves{1, 0.036, lobe(0.0082, 234), 105 * deg, 0.00005, []valvetrain.FlowPoint{{Lift: 0.002, Coefficient: 0.62}, {Lift: 0.005, Coefficient: 0.55}, {Lift: 0.009, Coefficient: 0.45}}},
		Exhaust: Valves{1, 0.031, lobe(0.0080, 234), -107 * deg, 0.00008, []valvetrain.FlowPoint{{Lift: 0.002, Coefficient: 0.65}, {Lift: 0.005, Coefficient: 0.58}, {Lift: 0.009, Coefficient: 0.50}}},
		PortIn:  Bore{0.075, 0.031}, PortOut: Bore{0.055, 0.030}, Runner: 0.060, Venturi: 0.030, Airbox: 4.2e-3, FilterArea: 180e-4,
		Header: []Bore{{0.62, 0.035}}, Silencer: 2.4e-3, Outlet: 0.026, Ambient: Air{99900, 293.15}, Charge: charge(t, 0.88), Flame: GasolineFlame,
	}
}

// speeds are n speeds between two [rpm] in rad/s.
func speedsOf(from, to float64, n int) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = (from + (to-from)*float64(i)/float64(n-1)) * math.Pi / 30
	}
	return list
}

func TestCurveOfTheExample(t *testing.T) {
	points, failed, err := Curve(context.Background(), single(t), speedsOf(2500, 9000, 20), nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range points {
		if failed[i] != nil {
			t.Errorf("%.0f rpm: %v", p.Speed*30/math.Pi, failed[i])
		}
		t.Logf("%5.0f rpm  %5.2f Nm %5.2f kW  VE %.3f  res %.3f  imep %.2f pmep %.2f fmep %.2f bar  bsfc %.0f g/kWh  Texh %.0f K  peak %.1f bar  heat %.3f burn %.0f deg  %d cycles off %.1e",
			p.Speed*30/math.Pi, p.Torque, p.Power/1000, p.Efficiency, p.Residual, p.Indicated/1e5, p.Pumping/1e5, p.Friction.Total()/1e5, p.Fuel*3.6e9, p.Exhaust, p.Peak/1e5, p.Heat, p.Burn*180/math.Pi, p.Cycles, p.Off)
	}
	torque, power := Peaks(points)
	t.Logf("torque %.2f Nm at %.0f, power %.2f kW at %.0f", torque.Torque, torque.Speed*30/math.Pi, power.Power/1000, power.Speed*30/math.Pi)
}

func BenchmarkCurve(b *testing.B) {
	spec := single(b)
	speeds := speedsOf(2500, 9000, 20)
	for b.Loop() {
		if _, _, err := Curve(context.Background(), spec, speeds, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(20*float64(b.N)/b.Elapsed().Seconds(), "speeds/s")
}
