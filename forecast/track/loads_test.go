package track

import (
	"math"
	"testing"

	"shakedown/vehicle/brake"
)

// The disc's mean over the last lap of a race, by hand. A disc of 1 kg and 500 J/(kg K) that gives nothing away, in air
// of 300 K; a lap is 2 s at 5 kW (+20 K in a straight line) and 8 s without braking. A race of 25 s is three laps: the
// third begins at 20 s and is ridden to its end. It begins at 340 K, so its mean is (2 s x 350 K + 8 s x 360 K)/10 s =
// 358 K. The temperature at the line, before and after, would say 350.
func TestDiscMeanIsThatOfTheLastLap(t *testing.T) {
	r := brake.Rotor{Mass: 1, Capacity: 500, Diameter: 0.2}
	w := overRace(r, []float64{2, 8}, []float64{5000, 0}, []float64{10, 10}, 300, 25)
	if math.Abs(w.Mean-358) > 1e-9 || math.Abs(w.End-360) > 1e-9 || math.Abs(w.Hottest-360) > 1e-9 {
		t.Errorf("mean %g, end %g, hottest %g K; by hand 358, 360, 360", w.Mean, w.End, w.Hottest)
	}
}
