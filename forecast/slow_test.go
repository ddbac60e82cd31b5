package forecast

import (
	"testing"

	"shakedown/figure"
)

// BenchmarkSlow is what a page waits for beside the closed figures, the curves at hand.
func BenchmarkSlow(b *testing.B) {
	builds := resolved(b, "full", "as-found")
	known := NewResults(nil)
	for _, of := range builds {
		if _, err := known.Curve(b.Context(), of, nil); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if _, err := Slow(b.Context(), builds[0], builds[1], known, Course{}, false); err != nil {
			b.Fatal(err)
		}
	}
}

// What takes long waits until it is there: all of a build's slow figures wait without results and without a curve, and none does once the curves are there but the start, which is
// worked out when it is asked for.
func TestSlowFiguresWait(t *testing.T) {
	builds := resolved(t, "full", "as-found")
	known := NewResults(nil)
	states := func(r *Results) map[figure.State]int {
		list, err := Slow(t.Context(), builds[0], builds[1], r, Course{}, false)
		if err != nil {
			t.Fatal(err)
		}
		n := map[figure.State]int{}
		for _, f := range list {
			n[f.State]++
			if !f.Slow || !IsFigure(f.ID) {
				t.Errorf("%s is not among the slow figures", f.ID)
			}
		}
		return n
	}
	for _, r := range []*Results{nil, known, known.Only()} {
		if n := states(r); n[figure.Waiting] != len(slow) {
			t.Errorf("without curves: %v of %d", n, len(slow))
		}
	}
	for _, of := range builds {
		if _, err := known.Curve(t.Context(), of, nil); err != nil {
			t.Fatal(err)
		}
	}
	if n := states(known); n[figure.Waiting] != 1 || n[figure.Ready] != len(slow)-1 {
		t.Errorf("with curves: %v of %d", n, len(slow))
	}
}
