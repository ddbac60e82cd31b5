package app

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/quantity"
	"shakedown/sheet"
)

func workshop(t testing.TB) *Workshop {
	t.Helper()
	w, err := OpenWorkshop(t.Context(), filepath.Join(t.TempDir(), "w.shakedown"), func() time.Time { return time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

func fenmoor(t testing.TB, w *Workshop) Revision {
	t.Helper()
	r, err := w.AddExample(t.Context(), "fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A value that is tried goes where it is made in the build: a part that sets it, else one that adds to it, else the machine. The whole comes to what
// was asked for.
func TestTryChangesWhatMakesTheValue(t *testing.T) {
	w := workshop(t)
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
		got, file, err := w.Try(t.Context(), r.Machine, Question{Build: c.build}, "geometry.track_rear", c.value)
		if err != nil || got.Path != c.path || got.New != c.is || got.Where != c.where {
			t.Errorf("%s: %+v, %v", c.build, got, err)
			continue
		}
		a, _, err := w.Ask(t.Context(), r.Machine, Question{Build: c.build, Text: file})
		if err != nil {
			t.Fatal(err)
		}
		want, err := quantity.Parse(strings.Replace(c.value, ",", ".", 1), quantity.Spec{Kind: quantity.Length})
		if is := a.Sheet.Project.Number(a.Build.Values["geometry.track_rear"]); err != nil || math.Abs(is-want.Value) > 2e-5 {
			t.Errorf("%s comes to %v, not %s (%v)", c.build, is, c.value, err)
		}
	}
}

func TestSetRefusesClashesAndRebases(t *testing.T) {
	w := workshop(t)
	r := fenmoor(t, w)
	id := r.Machine
	bore := Setting{"engine.bore", "74.00 mm ± 0.01 measured", "2,9134 in ± 0,0004 measured"}
	r, err := w.Set(t.Context(), id, bore)
	if err != nil || r.Number != 2 || r.Summary != "engine.bore: 74.00 mm ± 0.01 measured → 2.9134 in ± 0.0004 measured" {
		t.Fatalf("%d %q, %v", r.Number, r.Summary, err)
	}
	// Another input from the old page: rebased without a word.
	if r, err = w.Set(t.Context(), id, Setting{"engine.stroke", "66.3 mm ± 0.05 measured", "66.4 mm measured"}); err != nil || r.Number != 3 {
		t.Fatal(err)
	}
	// The same input from the old page: both values, nothing saved.
	bore.New = "75 mm"
	_, err = w.Set(t.Context(), id, bore)
	var clash *Clash
	if !errors.As(err, &clash) || clash.Theirs != "2.9134 in ± 0.0004 measured" || clash.Yours != "75 mm" || clash.Now.Number != 3 {
		t.Fatalf("%v", err)
	}
	for _, c := range []struct {
		s    Setting
		want string
	}{
		{Setting{"engine.stroke", "66.4 mm measured", "66 kg"}, "kg"},
		{Setting{"engine.stroke", "66.4 mm measured", "1,240 mm"}, "two ways"},
		{Setting{"engine.stroke", "66.4 mm measured", "-3 mm"}, "physics does not allow"},
		{Setting{"engine.strok", "", "3 mm"}, "did you mean \"stroke\"?"},
		{Setting{"layout", "three-wheeler", "unicycle"}, "unicycle"},
		{Setting{"parts.wide-axle.price", "310.00", "cheap"}, "cheap"},
	} {
		_, err := w.Set(t.Context(), id, c.s)
		if err == nil || ExitOf(err) != BadInput || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v; want %q", c.s, err, c.want)
		}
	}
	// Taking a value out lets the typical one stand in; putting one in where none stood.
	if _, err := w.Set(t.Context(), id, Setting{"geometry.peg.z", "330 mm", ""}, Setting{"suspension.rear.body_bore", "40 mm", ""}, Setting{"engine.cylinder_height", "", "180 mm measured"}); err != nil {
		t.Fatal(err)
	}
	if r, err = w.Undo(t.Context(), id); err != nil || !strings.Contains(r.Summary, "undone: geometry.peg.z taken out") {
		t.Fatalf("%q, %v", r.Summary, err)
	}
}

func TestSwitchAndBuilds(t *testing.T) {
	w := workshop(t)
	id := fenmoor(t, w).Machine
	for range 2 { // the second changes nothing and is no revision
		if r, err := w.SwitchPart(t.Context(), id, "club", "wide-axle", false); err != nil || r.Number != 2 {
			t.Fatalf("%d, %v", r.Number, err)
		}
	}
	r, err := w.AddBuild(t.Context(), id, "wet", "club")
	if err != nil || !bytes.Contains(r.Text, []byte("\n  wet: [bearing-carrier, fork-springs")) {
		t.Fatalf("%v", err)
	}
	if _, err := w.AddBuild(t.Context(), id, "a b", ""); err == nil {
		t.Error("a name with a blank was taken")
	}
	if r, err = w.RemoveBuild(t.Context(), id, "wet"); err != nil || bytes.Contains(r.Text, []byte("wet:")) {
		t.Fatal(err)
	}
	if _, err := w.SwitchPart(t.Context(), id, "club", "no-such-part", true); err == nil {
		t.Error("a part that is not there was taken")
	}
}

func TestSheetTextIsMergedOrKept(t *testing.T) {
	w := workshop(t)
	r := fenmoor(t, w)
	id := r.Machine
	mine := bytes.Replace(r.Text, []byte("title: Fenmoor"), []byte("title: My Fenmoor"), 1)
	if _, err := w.Set(t.Context(), id, Setting{"engine.redline", "8500 rpm", "8400 rpm"}); err != nil {
		t.Fatal(err)
	}
	now, err := w.SaveText(t.Context(), id, 1, mine)
	if err != nil || !bytes.Contains(now.Text, []byte("My Fenmoor")) || !bytes.Contains(now.Text, []byte("redline: 8400 rpm")) {
		t.Fatalf("the two changes are not both there: %v", err)
	}
	theirs := bytes.Replace(r.Text, []byte("title: Fenmoor"), []byte("title: Their Fenmoor"), 1)
	_, err = w.SaveText(t.Context(), id, 1, theirs)
	var clash *Clash
	if !errors.As(err, &clash) {
		t.Fatalf("%v", err)
	}
	if d, err := w.Kept(t.Context(), id); err != nil || !bytes.Equal(d.Text, theirs) {
		t.Fatalf("the text is not kept: %v", err)
	}
	broken := bytes.Replace(now.Text, []byte("layout: three-wheeler"), []byte("layout: three-wheler"), 1)
	if _, err = w.SaveText(t.Context(), id, now.Number, broken); err == nil || !strings.Contains(err.Error(), "three-wheler") {
		t.Fatalf("%v", err)
	}
	if bad, err := w.KeepText(t.Context(), id, now.Number, broken); err != nil || len(bad) != 1 || bad[0].Line == 0 {
		t.Fatalf("%v, %v", bad, err)
	}
	if _, err := w.SaveText(t.Context(), id, now.Number, bytes.Replace(now.Text, []byte("My Fenmoor"), []byte("Our Fenmoor"), 1)); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Kept(t.Context(), id); !errors.Is(err, ErrNothing) {
		t.Error("a draft stays after its text was saved")
	}
	if r, err := w.Restore(t.Context(), id, 1); err != nil || r.Summary != "revision 1 restored" || !bytes.Equal(r.Text, mustRevision(t, w, id, 1).Text) {
		t.Fatalf("%v", err)
	}
}

func mustRevision(t *testing.T, w *Workshop, id string, number int) Revision {
	t.Helper()
	r, err := w.Revision(t.Context(), id, number)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Many windows edit at once: each change is there, none is lost.
func TestManyWindows(t *testing.T) {
	w := workshop(t)
	id := fenmoor(t, w).Machine
	ctx, cancel := context.WithCancel(t.Context())
	seen := make(chan int, 100)
	var watching sync.WaitGroup
	watching.Go(func() {
		_ = w.Watch(ctx, id, 1, func(n int) error { seen <- n; return nil })
	})
	var wait sync.WaitGroup
	settings := []Setting{{"engine.redline", "8500 rpm", "8400 rpm"}, {"driveline.sprockets.rear", "42", "43"}, {"tank.capacity", "8.5 l", "9 l"}, {"geometry.peg.x", "480 mm", "485 mm"}}
	for _, s := range settings {
		wait.Go(func() {
			if _, err := w.Set(t.Context(), id, s); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	head, err := w.Head(t.Context(), id)
	if err != nil || head.Number != 1+len(settings) {
		t.Fatalf("revision %d, %v", head.Number, err)
	}
	for _, s := range settings {
		if got, _ := sheet.Get(head.Text, s.Path); got != s.New {
			t.Errorf("%s is %q", s.Path, got)
		}
	}
	for last := 0; last < head.Number; last = <-seen {
	}
	cancel()
	watching.Wait()
}

func TestExportComesBackToTheByte(t *testing.T) {
	w := workshop(t)
	id := fenmoor(t, w).Machine
	odd := []byte("# a comment, ä\r\nsheet: 1\r\n\r\nmachine: {layout: bike, name: \"Odd: one\"}\r\nbuilds: {as-found: []}\r\n")
	if _, err := w.AddSheet(t.Context(), "odd.yaml", odd); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Set(t.Context(), id, Setting{"engine.redline", "8500 rpm", "8400 rpm"}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Undo(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := w.Export(t.Context(), &file, "test"); err != nil {
		t.Fatal(err)
	}
	other := workshop(t)
	got, err := other.Import(t.Context(), "x.zip", file.Bytes())
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	for _, m := range got {
		here, err1 := w.History(t.Context(), m.Machine)
		there, err2 := other.History(t.Context(), m.Machine)
		if err1 != nil || err2 != nil || !slices.EqualFunc(here, there, func(a, b Revision) bool {
			return a.Summary == b.Summary && a.Saved.Equal(b.Saved) && a.Undo == b.Undo && a.Redo == b.Redo
		}) {
			t.Fatalf("the histories differ: %v %v", err1, err2)
		}
		for _, r := range here {
			if !bytes.Equal(mustRevision(t, w, m.Machine, r.Number).Text, mustRevision(t, other, m.Machine, r.Number).Text) {
				t.Fatalf("revision %d of %s differs", r.Number, m.Name)
			}
		}
	}
	if r, err := other.Redo(t.Context(), id); err != nil || !bytes.Contains(r.Text, []byte("8400 rpm")) {
		t.Fatalf("redo after an import: %v", err)
	}
	again, err := other.Import(t.Context(), "x.zip", file.Bytes())
	if err != nil || len(again) != 2 {
		t.Fatal(err)
	}
	list, err := other.Machines(t.Context())
	if err != nil || len(list) != 3 { // the one that has gone on stays, the old state comes in beside it
		t.Fatalf("%+v, %v", list, err)
	}
}

func TestFilesThatAreNoExport(t *testing.T) {
	w := workshop(t)
	fenmoor(t, w)
	var good bytes.Buffer
	if err := w.Export(t.Context(), &good, "test"); err != nil {
		t.Fatal(err)
	}
	// change rewrites an export entry by entry.
	change := func(do func(name string, text []byte) (string, []byte)) []byte {
		z, err := zip.NewReader(bytes.NewReader(good.Bytes()), int64(good.Len()))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		to := zip.NewWriter(&out)
		for _, f := range z.File {
			r, _ := f.Open()
			var b bytes.Buffer
			b.ReadFrom(r)
			name, text := do(f.Name, b.Bytes())
			if name == "" {
				continue
			}
			p, _ := to.Create(name)
			p.Write(text)
		}
		to.Close()
		return out.Bytes()
	}
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"a way out of the folder": {change(func(n string, b []byte) (string, []byte) { return strings.Replace(n, "sheets/", "../../sheets/", 1), b }), "no export has"},
		"a whole path":            {change(func(n string, b []byte) (string, []byte) { return strings.Replace(n, "sheets/", "/etc/", 1), b }), "no export has"},
		"a path of Windows":       {change(func(n string, b []byte) (string, []byte) { return strings.Replace(n, "sheets/", `C:\x\`, 1), b }), "no export has"},
		"no list of contents":     {change(func(n string, b []byte) (string, []byte) { return strings.Replace(n, contentsName, "", 1), b }), "no workshop.json"},
		"a changed text": {change(func(n string, b []byte) (string, []byte) {
			if strings.HasPrefix(n, "texts/") {
				b = bytes.Replace(b, []byte("74.00 mm"), []byte("75.00 mm"), 1)
			}
			return n, b
		}), "is damaged"},
		"a text that is missing": {change(func(n string, b []byte) (string, []byte) {
			if strings.HasPrefix(n, "texts/") {
				n = ""
			}
			return n, b
		}), "is missing"},
		"a newer format": {change(func(n string, b []byte) (string, []byte) {
			return n, bytes.Replace(b, []byte(`"format": 1`), []byte(`"format": 9`), 1)
		}), "newer program"},
		"revisions that point forwards": {change(func(n string, b []byte) (string, []byte) {
			return n, bytes.Replace(b, []byte(`"summary"`), []byte(`"undo": 5, "summary"`), 1)
		}), "not in order"},
		"half a zip":           {good.Bytes()[:good.Len()/2], "cannot be read"},
		"a sheet with a fault": {[]byte("sheet: 1\nmachine: {layout: unicycle}\n"), "unicycle"},
		"nothing":              {nil, "empty"},
		"bytes":                {[]byte{0xff, 0, 1, 2}, "no text"},
	} {
		t.Run(name, func(t *testing.T) {
			empty := workshop(t)
			_, err := empty.Import(t.Context(), "x.zip", c.file)
			if err == nil || ExitOf(err) != BadInput || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v; want %q", err, c.want)
			}
			if list, _ := empty.Machines(t.Context()); len(list) > 0 {
				t.Error("something was imported")
			}
		})
	}
}

// What a part does alone is what a build of it alone says, whatever the number of cores, and is found again.
func TestEffectsOfParts(t *testing.T) {
	w := workshop(t)
	r := fenmoor(t, w)
	gather := func() map[string]Effect {
		all := map[string]Effect{}
		order := 0
		err := w.Effects(t.Context(), r, "", "test", quantity.Metric, func(e Effect, known, total int) {
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
	a, err := Ask(Question{Text: &sheet.File{Name: "sheet", Text: text}, Now: time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	e := all["wide-axle"]
	tip, _ := a.Figure("chassis.tip_lateral")
	i := slices.IndexFunc(e.Changes, func(c Change) bool { return c.ID == tip.ID })
	if i < 0 || !strings.Contains(e.Changes[i].Text, fmt.Sprintf("%+.3f", tip.Change.Value)) || e.Err != "" || e.Days != a.Plan.Days {
		t.Errorf("%+v; want the change of tip-over %+.3f and %d days", e, tip.Change.Value, a.Plan.Days)
	}
	if again := gather(); fmt.Sprint(again) != fmt.Sprint(all) {
		t.Error("the second answer, from the file, is another")
	}
	if err := w.file.ForgetResults(t.Context()); err != nil {
		t.Fatal(err)
	}
	if again := gather(); fmt.Sprint(again) != fmt.Sprint(all) {
		t.Error("without what was kept the answer is another")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := w.Effects(ctx, r, "", "other", quantity.Metric, func(Effect, int, int) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestInputsAndParts(t *testing.T) {
	w := workshop(t)
	for _, x := range Examples() {
		r, err := w.AddExample(t.Context(), x.Name)
		if err != nil {
			t.Fatal(err)
		}
		a, _, err := w.Ask(t.Context(), r.Machine, Question{})
		if err != nil {
			t.Fatal(err)
		}
		groups, err := Inputs(a.Sheet, r.Text, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		given := 0
		for _, g := range groups {
			if g.ID == "more" && len(g.Inputs) > 0 {
				t.Errorf("%s: %d inputs have no group: %v", x.Name, len(g.Inputs), g.Inputs[0].Path)
			}
			for _, in := range g.Inputs {
				if in.Given() {
					given++
					if got, err := sheet.Get(r.Text, in.Path); err != nil || got != in.Text {
						t.Errorf("%s: %s is %q, in the sheet %q (%v)", x.Name, in.Path, in.Text, got, err)
					}
				} else if in.Known != "typical" && in.From == "" {
					t.Errorf("%s: %s stands nowhere and is %s", x.Name, in.Path, in.Known)
				}
			}
		}
		if given < 100 {
			t.Errorf("%s: only %d inputs given", x.Name, given)
		}
		parts, err := PartViews(a, r.Text)
		if err != nil || len(parts) < 5 {
			t.Errorf("%d kinds of parts, %v", len(parts), err)
		}
		sheets, err := Worksheets(a.Sheet, r.Text, quantity.Metric)
		if err != nil || len(sheets) < 10 {
			t.Errorf("%d worksheets, %v", len(sheets), err)
		}
	}
}
