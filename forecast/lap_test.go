package forecast

import (
	"context"
	"errors"
	"testing"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/sheet"
)

// lapped is a build of the invented three-wheeler with its curve.
func lapped(t testing.TB, name string) (*machine.Build, *TorqueCurve) {
	t.Helper()
	s, err := sheet.Read("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Project.Resolve(name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := ComputeCurve(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b, c
}

func BenchmarkLapTimeOfInputs(b *testing.B) {
	build, c := lapped(b, "full")
	for b.Loop() {
		if _, err := ComputeLap(build, c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLapTimeWithRange(b *testing.B) {
	build, c := lapped(b, "full")
	for b.Loop() {
		if _, err := LapTime(context.Background(), build, nil, c, nil, 0.1, 0.04); err != nil {
			b.Fatal(err)
		}
	}
}

var _ = errors.Is
var _ = figure.Ready
