package valvetrain

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A known lobe read every five degrees with an error of the gauge: smoothing brings the curvature at the nose nearer to
// the truth than the raw readings do, and counts the two turns of a clean lobe.
func TestSmoothReadings(t *testing.T) {
	const degree = math.Pi / 180
	truth, err := LobeThroughEvents(8.5e-3, 1e-3, 250*degree, 2.2)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(5, 5))
	var angles, read []float64
	for d := -160.0; d <= 160; d += 5 {
		angles = append(angles, d*degree)
		read = append(read, truth.Lift(d*degree)+0.01e-3*random.NormFloat64())
	}
	r, err := SmoothReadings(angles, read, 0.01e-3)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Noise-0.01e-3) > 0.0005e-3 {
		t.Errorf("noise %g m, the gauge's was 0.01 mm", r.Noise)
	}
	if r.Turns < 2 || r.Turns > 4 {
		t.Errorf("%d turns", r.Turns)
	}
	worst := func(lifts []float64) (lift, curvature float64) {
		l, err := LobeFromTable(angles, lifts)
		if err != nil {
			t.Fatal(err)
		}
		for d := -60.0; d <= 60; d++ {
			lift = math.Max(lift, math.Abs(l.Lift(d*degree)-truth.Lift(d*degree)))
			curvature = math.Max(curvature, math.Abs(l.Curvature(d*degree)-truth.Curvature(d*degree)))
		}
		return lift, curvature
	}
	_, raw := worst(read)
	lift, smooth := worst(r.Lifts)
	if lift > 0.03e-3 {
		t.Errorf("the smoothed lobe is off by %g m", lift)
	}
	if smooth > raw/2 {
		t.Errorf("curvature off by %g smoothed, %g raw", smooth, raw)
	}
	// Speeds of float: the answer that matters.
	want, _, err := FloatSpeed(truth, 0.1, 36e3, 240)
	if err != nil {
		t.Fatal(err)
	}
	table, err := LobeFromTable(angles, r.Lifts)
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := FloatSpeed(table, 0.1, 36e3, 240)
	if err != nil || math.Abs(got-want) > 0.06*want {
		t.Errorf("float at %g rad/s, want %g (%v)", got, want, err)
	}
	t.Logf("curvature off by %.3g smoothed, %.3g raw; float %.1f %% off", smooth, raw, 100*(got/want-1))
}

// A parabola has no third derivative: it comes back as it is. A slip of the pen shows as turns.
func TestSmoothReadingsEdges(t *testing.T) {
	var angles, lifts []float64
	for i := range 21 {
		x := float64(i-10) / 10
		angles, lifts = append(angles, x), append(lifts, 8e-3*(1-x*x))
	}
	r, err := SmoothReadings(angles, lifts, 0.01e-3)
	if err != nil || r.Noise > 1e-9 || r.Turns != 0 {
		t.Errorf("a parabola: %+v %v", r, err)
	}
	lifts[6] += 0.5e-3
	r, err = SmoothReadings(angles, lifts, 0.01e-3)
	if err != nil || r.Turns < 3 {
		t.Errorf("a slip of half a millimetre: %d turns, %v", r.Turns, err)
	}
	if _, err := SmoothReadings(angles[:7], lifts[:7], 1e-5); err == nil {
		t.Error("seven readings")
	}
	angles[3] = angles[2]
	if _, err := SmoothReadings(angles, lifts, 1e-5); err == nil {
		t.Error("an angle twice")
	}
}
