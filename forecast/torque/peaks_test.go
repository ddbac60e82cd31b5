package torque

import (
	"errors"
	"math"
	"testing"

	"shakedown/engine"
)

// Torques of 10, 12, 11 and 9.5 Nm at 1000 to 4000 rpm: the torque has its peak about 2000 rpm. Power goes as torque x
// speed, 10 : 24 : 33 : 38, and still rises at the end. With the last speed lost it still rises at 3000; with the
// second lost, the torque falls from 3000 on and is no peak either.
func TestAPeakOnTheEndOfTheSweepIsNone(t *testing.T) {
	lost := errors.New("lost")
	sweep := func(without ...int) *Curve {
		points, failed := make([]engine.Point, 4), make([]error, 4)
		for i, torque := range []float64{10, 12, 11, 9.5} {
			omega := float64(i+1) * 1000 * math.Pi / 30
			points[i] = engine.Point{Speed: omega, Torque: torque, Power: torque * omega, Converged: true}
		}
		for _, i := range without {
			points[i], failed[i] = engine.Point{Speed: points[i].Speed}, lost
		}
		return curveOf(points, failed)
	}
	for _, c := range []struct {
		name          string
		curve         *Curve
		torque, power Peak
	}{
		// The parabola through 10, 12 and 11 at 1, 2 and 3: slopes 2 and -1, second difference -3, top at 1.5 + 2/3 =
		// 2.1667 and 12.0417 Nm.
		{"whole", sweep(), Peak{2166.667, 12.0417, Inside}, Peak{4000, 9.5 * 4000 * math.Pi / 30e3, Rising}},
		{"without the last", sweep(3), Peak{2166.667, 12.0417, Inside}, Peak{3000, 11 * 3000 * math.Pi / 30e3, Rising}},
		{"without the second", sweep(1), Peak{3000, 11, Falling}, Peak{4000, 9.5 * 4000 * math.Pi / 30e3, Rising}},
		{"the first alone", sweep(1, 2, 3), Peak{1000, 10, Rising}, Peak{1000, 10 * 1000 * math.Pi / 30e3, Rising}},
	} {
		for _, p := range [][2]Peak{{c.curve.Torque, c.torque}, {c.curve.Power, c.power}} {
			if got, want := p[0], p[1]; math.Abs(got.Speed-want.Speed) > 0.01 || math.Abs(got.Value-want.Value) > 1e-4 || got.End != want.End || got.Known() != (want.End == Inside) {
				t.Errorf("%s: %+v, want %+v", c.name, got, want)
			}
		}
	}
}
