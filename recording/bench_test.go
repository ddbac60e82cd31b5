package recording

import (
	"math/rand/v2"
	"testing"

	"shakedown/recording/smooth"
)

// BenchmarkSmooth runs the smoother alone over a lap of the oval at 25 Hz, with eight ways drawn.
func BenchmarkSmooth(b *testing.B) {
	tr := ridden(ovalTrack(), 18)
	r := cleaned(tr.log(receiver{rate: 25, white: 0.3}, 1, 0, rand.New(rand.NewPCG(1, 7))).Fixes)
	es := epochs(r.pieces[0], fine)
	m := smooth.Motion{Accel: 3, Fades: 2, Noise: 0.3, Drift: 0.5, Stays: 30}
	rnd := rand.New(rand.NewPCG(1, 2))
	b.ReportAllocs()
	for b.Loop() {
		m.Smooth(es, ways, rnd)
	}
	b.ReportMetric(float64(len(es)*b.N)/b.Elapsed().Seconds(), "fixes/s")
}

// BenchmarkUnlikely is the likelihood of one motion, of which some hundreds are tried.
func BenchmarkUnlikely(b *testing.B) {
	tr := ridden(ovalTrack(), 18)
	r := cleaned(tr.log(receiver{rate: 25, white: 0.3}, 2, 0, rand.New(rand.NewPCG(1, 7))).Fixes)
	runs := sampled(r.pieces, func(s *spot) (float64, float64) { return s.x, s.y })
	m := smooth.Motion{Accel: 3, Fades: 2, Noise: 0.3, Drift: 0.5, Stays: 30}
	n := 0
	for b.Loop() {
		m.Unlikely(&runs[0], m.Strides())
		n += len(runs[0].T)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "fixes/s")
}

// BenchmarkCourse makes a course of a practice of twenty laps at 10 Hz.
func BenchmarkCourse(b *testing.B) {
	tr := ridden(ovalTrack(), 18)
	log := tr.log(receiver{rate: 10, white: 0.3, drift: 0.5, stays: 30}, 20, 0, rand.New(rand.NewPCG(1, 7)))
	for b.Loop() {
		if _, err := Course(b.Context(), log, 1, 20000); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(log.Fixes)*b.N)/b.Elapsed().Seconds(), "fixes/s")
}
