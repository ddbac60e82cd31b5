package workshop

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/internal/faults"
	"shakedown/recording"
	"shakedown/sheet"
)

// openBench opens a bench that takes every sheet that can be read, and every recording that has whole laps or a way.
func openBench(t testing.TB) *Bench {
	t.Helper()
	w, err := Open(t.Context(), filepath.Join(t.TempDir(), "w.shakedown"), func() time.Time { return time.Date(2027, 5, 3, 9, 0, 0, 0, time.UTC) }, Judge{
		Read: func(text []byte) (*sheet.Sheet, error) { return sheet.Parse(&sheet.File{Name: "sheet", Text: text}) },
		Save: func(s, before *sheet.Sheet) error { return nil },
		Recording: func(ctx context.Context, name string, data []byte) error {
			_, err := recording.Read(name, bytes.NewReader(data))
			return err
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

func fenmoor(t testing.TB, w *Bench) Revision {
	t.Helper()
	r, err := w.AddExample(t.Context(), "fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestSetRefusesClashesAndRebases(t *testing.T) {
	w := openBench(t)
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
	var clash *EditClash
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
		if err == nil || !faults.IsMendable(err) || !strings.Contains(err.Error(), c.want) {
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
	w := openBench(t)
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
	w := openBench(t)
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
	var clash *EditClash
	if !errors.As(err, &clash) {
		t.Fatalf("%v", err)
	}
	if d, err := w.Draft(t.Context(), id); err != nil || !bytes.Equal(d.Text, theirs) {
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
	if _, err := w.Draft(t.Context(), id); !errors.Is(err, ErrNothing) {
		t.Error("a draft stays after its text was saved")
	}
	if r, err := w.Restore(t.Context(), id, 1); err != nil || r.Summary != "revision 1 restored" || !bytes.Equal(r.Text, mustRevision(t, w, id, 1).Text) {
		t.Fatalf("%v", err)
	}
}

func mustRevision(t *testing.T, w *Bench, id string, number int) Revision {
	t.Helper()
	r, err := w.Revision(t.Context(), id, number)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Many windows edit at once: each change is there, none is lost.
func TestManyWindows(t *testing.T) {
	w := openBench(t)
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
	w := openBench(t)
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
	other := openBench(t)
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
	w := openBench(t)
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
			empty := openBench(t)
			_, err := empty.Import(t.Context(), "x.zip", c.file)
			if err == nil || !faults.IsMendable(err) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v; want %q", err, c.want)
			}
			if list, _ := empty.Machines(t.Context()); len(list) > 0 {
				t.Error("something was imported")
			}
		})
	}
}

// What the judge refuses is not saved, whichever way it comes; the judge is shown what it takes the place of; what was
// typed stays as a draft.
func TestWhatTheJudgeRefusesIsNotSaved(t *testing.T) {
	w := openBench(t)
	r := fenmoor(t, w)
	var before []*sheet.Sheet
	w.judge.Save = func(s, old *sheet.Sheet) error {
		before = append(before, old)
		return errors.New("not with me")
	}
	refused := func(how string, err error) {
		t.Helper()
		if !faults.IsMendable(err) || !strings.Contains(err.Error(), "not with me") {
			t.Errorf("%s: %v", how, err)
		}
	}
	_, err := w.Set(t.Context(), r.Machine, Setting{"engine.redline", "8500 rpm", "8400 rpm"})
	refused("a value", err)
	_, err = w.SwitchPart(t.Context(), r.Machine, "club", "wide-axle", false)
	refused("a part", err)
	other := bytes.Replace(r.Text, []byte("title: Fenmoor"), []byte("title: My Fenmoor"), 1)
	_, err = w.SaveText(t.Context(), r.Machine, 1, other)
	refused("a text", err)
	if d, err := w.Draft(t.Context(), r.Machine); err != nil || !bytes.Equal(d.Text, other) {
		t.Errorf("what was typed is lost: %v", err)
	}
	if bad, err := w.KeepText(t.Context(), r.Machine, 1, other); err != nil || len(bad) != 1 || bad[0].Problem != "not with me" {
		t.Errorf("a draft: %+v, %v", bad, err)
	}
	for i, old := range before {
		if old == nil || old.Project.Called() != "Fenmoor T285, 1983" {
			t.Errorf("judged for the %d. time without what was there", i+1)
		}
	}
	_, err = w.AddSheet(t.Context(), "x.yaml", r.Text)
	refused("a new machine", err)
	if len(before) != 5 || before[4] != nil {
		t.Errorf("a new machine takes the place of none: %v", before)
	}
	if head, err := w.Head(t.Context(), r.Machine); err != nil || head.Number != 1 {
		t.Errorf("revision %d, %v", head.Number, err)
	}
}
