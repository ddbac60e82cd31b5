package app

import (
	"testing"

	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
)

// A switched part is answered at the save, once for the page that follows and for every other window, from the results
// that the workshop file has. When it has others, it is answered again.
func TestASwitchIsAnsweredOnce(t *testing.T) {
	w := openWorkshop(t)
	id := fenmoor(t, w).Machine
	answered := 0
	ask := func() *asked.Answer {
		t.Helper()
		kept := w.SlowKept(t.Context(), "test")
		slow := kept.Slow
		kept.Slow = func() (asked.SlowOf, func() bool) {
			answered++
			return slow()
		}
		a, _, err := w.Ask(t.Context(), id, asked.Question{Build: "full", Kept: kept})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	want := func(what string, n int) {
		t.Helper()
		if answered != n {
			t.Errorf("%s: answered %d times, want %d", what, answered, n)
		}
		answered = 0
	}
	peak := func(a *asked.Answer) figure.State {
		t.Helper()
		f, err := a.Figure("engine.peak_torque")
		if err != nil {
			t.Fatal(err)
		}
		return f.State
	}
	if a := ask(); !a.Build.Has("wide-axle") || peak(a) != figure.Waiting {
		t.Fatal("the example is another")
	}
	want("a page", 1)
	if _, err := w.SwitchPart(t.Context(), id, "full", "wide-axle", false); err != nil {
		t.Fatal(err)
	}
	want("the save", 1)
	var a *asked.Answer
	for range 3 {
		if a = ask(); a.Build.Has("wide-axle") {
			t.Fatal("an answer on the old text")
		}
	}
	want("three windows", 0)

	curve, err := torque.TemplateCurve(a.Build) // a stand-in for one that was computed
	if err != nil {
		t.Fatal(err)
	}
	if err := w.KeepResult(t.Context(), "another "+torque.CurveKey(a.Build), curve); err != nil {
		t.Fatal(err)
	}
	ask()
	want("another program has a curve", 0)
	if err := w.KeepResult(t.Context(), "test "+torque.CurveKey(a.Build), curve); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if a = ask(); peak(a) == figure.Waiting {
			t.Errorf("there is a curve, and the peak waits")
		}
	}
	want("there is a curve", 1)
	if err := w.ForgetResults(t.Context()); err != nil {
		t.Fatal(err)
	}
	if a = ask(); peak(a) != figure.Waiting {
		t.Errorf("there is no curve, and the peak is %v", peak(a))
	}
	want("it was dropped", 1)
}
