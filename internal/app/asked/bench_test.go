package asked

import (
	"testing"
	"time"
)

const example = "../../../examples/fenmoor-t285.yaml"

// BenchmarkAsk is check and figures of the example without starting a process.
func BenchmarkAsk(b *testing.B) {
	for b.Loop() {
		a, err := Ask(Question{Path: example, Now: time.Now()})
		if err != nil {
			b.Fatal(err)
		}
		if len(a.Figures) == 0 {
			b.Fatal("no figures")
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "answers/s")
}
