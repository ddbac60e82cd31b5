package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/internal/app/asked"
	"shakedown/internal/app/worth"
	"shakedown/internal/workshop"
	"shakedown/quantity"
	"shakedown/sheet"
)

func openWorkshop(t testing.TB) *Workshop {
	t.Helper()
	w, err := OpenWorkshop(t.Context(), filepath.Join(t.TempDir(), "w.shakedown"), func() time.Time { return time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

func fenmoor(t testing.TB, w *Workshop) workshop.Revision {
	t.Helper()
	r, err := w.AddExample(t.Context(), "fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A value that is tried goes where it is made in the build: a part that sets it, else one that adds to it, else the
// machine. The whole comes to what was asked for.
func TestTryChangesWhatMakesTheValue(t *testing.T) {
	w := openWorkshop(t)
	r, err := w.AddSheet(t.Context(), "x.yaml", []byte(`sheet: 1
machine: {layout: quad, geometry: {track_rear: 790 mm measured}}
parts:
  spacers: {name: Wheel spacers, adds: {geometry.track_rear: 100 mm ± 2 claimed}}
  inch: {adds: {geometry.track_rear: 2 in}}
  axle: {name: Wide axle, sets: {geometry.track_rear: 892 mm}}
builds: {as-found: [], spaced: [spacers], both: [axle, spacers], inches: [inch]}
`))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ build, value, path, is, where string }{
		{"as-found", "836 mm", "geometry.track_rear", "836 mm", "the machine as found, under every build"},
		{"spaced", "936 mm", "parts.spacers.adds.geometry.track_rear", "146 mm", "the part Wheel spacers, in every build that has it"},            // 936 - 790
		{"both", "1036 mm", "parts.axle.sets.geometry.track_rear", "936 mm", "the part Wide axle, in every build that has it"},                    // 1036 - 100
		{"inches", "36,5 in estimated", "parts.inch.adds.geometry.track_rear", "5.398 in estimated", "the part inch, in every build that has it"}, // 36.5 - 790/25.4 = 36.5 - 31.102
	} {
		got, file, err := w.Try(t.Context(), r.Machine, asked.Question{Build: c.build}, "geometry.track_rear", c.value)
		if err != nil || got.Path != c.path || got.New != c.is || got.Where != c.where {
			t.Errorf("%s: %+v, %v", c.build, got, err)
			continue
		}
		a, _, err := w.Ask(t.Context(), r.Machine, asked.Question{Build: c.build, Text: file})
		if err != nil {
			t.Fatal(err)
		}
		want, err := quantity.Parse(strings.Replace(c.value, ",", ".", 1), quantity.Spec{Kind: quantity.Length})
		if is := a.Sheet.Project.Number(a.Build.Values["geometry.track_rear"]); err != nil || math.Abs(is-want.Value) > 2e-5 {
			t.Errorf("%s comes to %v, not %s (%v)", c.build, is, c.value, err)
		}
	}
}

// What a part does alone is what a build of it alone says, whatever the number of cores, and is found again.
func TestEffectsOfParts(t *testing.T) {
	w := openWorkshop(t)
	r := fenmoor(t, w)
	gather := func() map[string]worth.Effect {
		all := map[string]worth.Effect{}
		order := 0
		err := w.Effects(t.Context(), r, "", "test", quantity.Metric, func(e worth.Effect, known, total int) {
			if order++; known != order {
				t.Errorf("part %d was told as number %d", order, known)
			}
			all[e.Part] = e
		})
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	all := gather()
	if want := bytes.Count(r.Text, []byte("\n    kind: ")); len(all) != want || want < 20 {
		t.Fatalf("%d parts, %d in the sheet", len(all), want)
	}
	text, err := sheet.AddBuild(r.Text, "alone", []string{"wide-axle"})
	if err != nil {
		t.Fatal(err)
	}
	a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet", Text: text}, Now: time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	e := all["wide-axle"]
	tip, _ := a.Figure("chassis.tip_lateral")
	i := slices.IndexFunc(e.Changes, func(c worth.EffectChange) bool { return c.ID == tip.ID })
	if i < 0 || !strings.Contains(e.Changes[i].Text, fmt.Sprintf("%+.3f", tip.Change.Value)) || e.Err != "" || e.Days != a.Plan.Days {
		t.Errorf("%+v; want the change of tip-over %+.3f and %d days", e, tip.Change.Value, a.Plan.Days)
	}
	if again := gather(); fmt.Sprint(again) != fmt.Sprint(all) {
		t.Error("the second answer, from the file, is another")
	}
	if err := w.ForgetResults(t.Context()); err != nil {
		t.Fatal(err)
	}
	if again := gather(); fmt.Sprint(again) != fmt.Sprint(all) {
		t.Error("without what was kept the answer is another")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := w.Effects(ctx, r, "", "other", quantity.Metric, func(worth.Effect, int, int) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
