package app

import (
	"context"
	"testing"

	"shakedown/internal/app/asked"
	"shakedown/internal/app/worth"
)

const example = "../../examples/fenmoor-t285.yaml"

// BenchmarkValue is what the parts of the example are worth on its course, their torque curves at hand.
func BenchmarkValue(b *testing.B) {
	a, err := asked.Ask(asked.Question{Path: "../../examples/fenmoor-t285.yaml", Build: "as-found"})
	if err != nil {
		b.Fatal(err)
	}
	known := NewResults()
	v, err := worth.ValueOf(context.Background(), a, "", known, nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if v, err = worth.ValueOf(context.Background(), a, "", known, nil); err != nil {
			b.Fatal(err)
		}
	}
	said := 0
	for _, p := range v.Parts {
		if p.Why == "" {
			said++
		}
	}
	parts := float64(said + len(v.Apart))
	b.ReportMetric(parts, "parts")
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/parts*15, "s/15-parts")
}
