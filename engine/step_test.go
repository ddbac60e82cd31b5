package engine

import (
	"context"
	"math"
	"testing"
)

// A step of a whole engine allocates nothing, once its pipes are there.
func TestAStepOfAnEngineAllocatesNothing(t *testing.T) {
	b := single(t)
	r, err := newRig(&b, 6000*math.Pi/30, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.cycle(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	r.theta = 0
	if n := testing.AllocsPerRun(500, func() {
		if err := r.step(); err != nil {
			t.Fatal(err)
		}
	}); n > 0 {
		t.Errorf("%g allocations in a step", n)
	}
}

// BenchmarkStep is one step of the whole engine, and what of it are ends, boxes and the cylinder.
func BenchmarkStep(b *testing.B) {
	spec := single(b)
	r, err := newRig(&spec, 6000*math.Pi/30, nil)
	if err != nil {
		b.Fatal(err)
	}
	cells := r.in.Cells() + r.out.Cells()
	b.ReportAllocs()
	for b.Loop() {
		if r.theta >= fullCycle {
			r.theta = 0
		}
		if err := r.step(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(cells), "cells")
}

// BenchmarkPipesOnly is the pipes of that step without what ends them.
func BenchmarkPipesOnly(b *testing.B) {
	spec := single(b)
	r, err := newRig(&spec, 6000*math.Pi/30, nil)
	if err != nil {
		b.Fatal(err)
	}
	dt := 0.5 * math.Min(r.in.LongestStep(courant), r.out.LongestStep(courant))
	for b.Loop() {
		r.in.Prepare(dt)
		r.out.Prepare(dt)
		r.in.Closed(0)
		r.in.Closed(1)
		r.out.Closed(0)
		r.out.Closed(1)
		if err := r.in.Advance(dt); err != nil {
			b.Fatal(err)
		}
		if err := r.out.Advance(dt); err != nil {
			b.Fatal(err)
		}
	}
}
