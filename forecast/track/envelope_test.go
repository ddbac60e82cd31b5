package track

import (
	"math"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/machine"
	"shakedown/sheet"
)

// changed is a build of the invented three-wheeler with some of its text changed, old and new in turn.
func changed(t *testing.T, build string, changes ...string) *machine.Build {
	t.Helper()
	files, err := sheet.Read("../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(files.Files[0].Text)
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(text, changes[i]) {
			t.Fatalf("the example does not hold %q", changes[i])
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	s, err := sheet.Parse(&sheet.File{Name: "changed.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Project.Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A grip of 0.05 with 0.2 either way grips nothing at the least, not as much as -0.15 squared: the margin reaches
// upwards by the tip-over's own range and by 0.05, no more. Squared it would be 0.10.
func TestNoGroundGripsLessThanNothing(t *testing.T) {
	b := changed(t, "as-found", "peak_grip: 0.62", "peak_grip: 0.05")
	b.Project.Atoms[b.Values["track.peak_grip"].Terms[0]].Q.Half = 0.2 // a sheet does not let a tolerance be larger than its number
	g, err := OwnGroundMargin(b)
	if err != nil {
		t.Fatal(err)
	}
	e := ranges.NewEvaluator(b, nil)
	tips := e.Figure(Leanings[0].tips())
	if want := math.Hypot(tips.High-tips.Value, 0.05); math.Abs(g.High[0]-g.Margin[0]-want) > 1e-12 {
		t.Errorf("upwards by %.4f, want %.4f", g.High[0]-g.Margin[0], want)
	}
	if want := math.Hypot(tips.Value-tips.Low, 0.2); math.Abs(g.Margin[0]-g.Low[0]-want) > 1e-12 {
		t.Errorf("downwards by %.4f, want %.4f", g.Margin[0]-g.Low[0], want)
	}
	if g.First(0) != SlidesFirst || g.First(2) != NoSuchBrake {
		t.Errorf("%s, and braking at 0.2 g: %s", g.First(0), g.First(2))
	}
	all, err := GroundMargins(b)
	if err != nil || all[0].Margin[0] != g.Margin[0] || all[0].High[0] != g.High[0] {
		t.Errorf("the same ground among others is another: %v %+v", err, all[0])
	}
}

// A spring a hundred times too hard carries the weight at full extension, and one 24 times too soft does so nowhere:
// the sag is cut off at an end, and says so.
func TestASagAtAnEndSaysSo(t *testing.T) {
	for spring, want := range map[string]struct {
		end   string
		value float64
	}{"2.4 N/mm": {"", -1}, "240 N/mm": {"topped out", 0}, "0.1 N/mm": {"at its stop", 0.18}} {
		b := changed(t, "as-found", "spring_rate: 2.4 N/mm", "spring_rate: "+spring)
		for _, d := range running.Figures {
			f := ranges.NewEvaluator(b, nil).Figure(d)
			if f.ID == "suspension.front.rider_sag" && (f.End != want.end || want.value >= 0 && f.Value != want.value) {
				t.Errorf("%s: %g m, %q", spring, f.Value, f.End)
			}
		}
	}
}
