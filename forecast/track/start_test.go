package track

import (
	"testing"

	"shakedown/lap"
)

// Four starts: the quickest holds the redline in second for 6.87 s with the wheel up for 2.4 s; one takes 6.90 s with
// the wheel down and slips for 2.5 s, one 6.95 s, down, for 1.1 s, and one 7.40 s, down, for 0.5 s. Of those within 0.2
// s of the quickest the wheel stays down in two, and of these the one of 6.95 s slips least.
func TestAStartIsGentleWhereItCostsNothing(t *testing.T) {
	of := func(gear int, time, lifts, slips float64) attempt {
		return attempt{gear: gear, Start: &lap.Start{Time: time, Slips: slips, ByTime: map[lap.Limit]float64{lap.ByWheelie: lifts}}}
	}
	within := func(d float64) func(a, q attempt) (bool, error) {
		return func(a, q attempt) (bool, error) { return a.Time-q.Time <= d, nil }
	}
	all := []attempt{of(0, 7.40, 0, 0.5), of(1, 6.87, 2.4, 2.0), of(2, 6.90, 0.04, 2.5), of(3, 6.95, 0, 1.1)}
	for d, want := range map[float64]int{0.2: 3, 0.05: 2, 0.01: 1, 1: 0} {
		taken, quickest, err := gentlest(all, within(d))
		if err != nil || quickest.gear != 1 || taken.gear != want {
			t.Errorf("within %g s: gear %d in place of %d (%v), want %d", d, taken.gear, quickest.gear, err, want)
		}
	}
	lifting := []attempt{of(0, 7.0, 1.0, 0.5), of(1, 6.9, 0.3, 2.0)} // both up: the quickest is up least already
	if taken, _, _ := gentlest(lifting, within(1)); taken.gear != 1 {
		t.Errorf("gear %d", taken.gear)
	}
}
