package app

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/internal/app/asked"
	"shakedown/internal/workshop"
	"shakedown/sheet"
)

// wild is the example with a build of its own, "wild", whose piston has a dome of 90 cc: the chamber is 34 + 3.7 + 1.7
// - 90 cc, less than nothing.
func wild(t *testing.T, text []byte) []byte {
	t.Helper()
	with := bytes.Replace(text, []byte("parts:\n"), []byte("parts:\n  big-dome:\n    kind: piston\n    name: Piston of another engine\n    price: 10.00\n    sets: {engine.chamber.dome: 90 cc}\n"), 1)
	with = bytes.Replace(with, []byte("  club: ["), []byte("  wild: [big-dome]\n  club: ["), 1)
	if len(with) < len(text)+100 {
		t.Fatal("the example has changed its form")
	}
	return with
}

// A save judges every build of the sheet, not the one that would be shown alone; what breaks one is refused with its
// name and place.
func TestASaveJudgesEveryBuild(t *testing.T) {
	w := openWorkshop(t)
	r := fenmoor(t, w)
	_, err := w.SaveText(t.Context(), r.Machine, r.Number, wild(t, r.Text))
	faults := workshop.FaultsOf(err)
	if asked.ExitOf(err) != asked.BadInput || len(faults) != 1 || !strings.HasPrefix(faults[0].Problem, `in build "wild": `) || !strings.Contains(faults[0].Excerpt, "90 cc") {
		t.Fatalf("%v", err)
	}
	if d, err := w.Draft(t.Context(), r.Machine); err != nil || !bytes.Contains(d.Text, []byte("wild")) {
		t.Errorf("what was typed is lost: %v", err)
	}
	// A chamber of 1 cc in the head: 1 + 3.7 + 1.8 - 8.6 cc under the high piston, which two builds have, and 1 + 3.7 +
	// 1.7 - 2.9 cc without it.
	_, err = w.Set(t.Context(), r.Machine, workshop.Setting{Path: "engine.chamber.head", Old: "34.0 cc measured", New: "1 cc"})
	if faults := workshop.FaultsOf(err); len(faults) != 1 || !strings.HasPrefix(faults[0].Problem, `in builds "overdone", "full": `) {
		t.Errorf("%v", err)
	}
	// A new machine is judged too.
	if _, err := w.AddSheet(t.Context(), "wild", wild(t, r.Text)); asked.ExitOf(err) != asked.BadInput {
		t.Errorf("%v", err)
	}
	// Parts of their own two builds.
	both := bytes.Replace(wild(t, r.Text), []byte("  wild: [big-dome]\n"), []byte("  wild: [big-dome]\n  wilder: [big-dome, gussets]\n"), 1)
	_, err = w.SaveText(t.Context(), r.Machine, r.Number, both)
	if faults := workshop.FaultsOf(err); len(faults) != 1 || !strings.HasPrefix(faults[0].Problem, `in builds "wild", "wilder": `) {
		t.Errorf("%v", err)
	}
}

// unjudged adds a sheet as a program left it that judged no build.
func unjudged(t *testing.T, w *Workshop, text []byte) workshop.Revision {
	t.Helper()
	b, err := workshop.Open(t.Context(), w.Path(), w.Now, workshop.Judge{Read: w.sheets.Read, Save: func(s, before *sheet.Sheet) error { return nil }})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	r, err := b.AddSheet(t.Context(), "old", text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A build that is broken already, by an older program or by hand, is shown with its error and not as another; the rest
// can be worked on, and it can be mended.
func TestABrokenBuildIsShown(t *testing.T) {
	w := openWorkshop(t)
	r := fenmoor(t, w)
	ctx := t.Context()
	old := unjudged(t, w, wild(t, r.Text))
	q := asked.Question{Build: "wild", Against: "as-found"}
	_, _, err := w.Ask(ctx, old.Machine, q)
	broken, ok := asked.IsBroken(err)
	if !ok || broken.Build != "wild" || len(broken.Faults) != 1 || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), `in build "wild": the piston leaves`) || !strings.Contains(err.Error(), "90 cc") {
		t.Fatalf("%v", err)
	}
	if a := broken.Answer; a.Build.Name != "wild" || a.CostText() != "€10.00" || len(a.Switches()) == 0 {
		t.Errorf("what is known all the same: %+v", broken.Answer)
	}
	if _, _, err := w.Ask(ctx, old.Machine, asked.Question{Build: "club", Against: "wild"}); err == nil {
		t.Error("a broken baseline passes")
	} else if broken, ok := asked.IsBroken(err); !ok || broken.Build != "wild" {
		t.Errorf("%v", err)
	}
	a, _, err := w.Ask(ctx, old.Machine, asked.Question{Build: "club"})
	if err != nil || !slices.Equal(w.BrokenBuilds(a), []string{"wild"}) {
		t.Fatalf("%v", err)
	}
	c, err := w.Compare(ctx, old.Machine, asked.Question{}, nil)
	if err != nil || len(c.Answers) != 4 || len(c.Broken) != 1 || c.Broken[0].Build != "wild" || c.Exit() < asked.BadInput {
		t.Fatalf("compared: %v, %+v", err, c)
	}
	var js bytes.Buffer
	if err := c.Answer().WriteJSON(&js, "test"); err != nil || !strings.Contains(js.String(), `"broken"`) || !strings.Contains(js.String(), `"wild"`) {
		t.Errorf("%v\n%s", err, js.String())
	}
	// The rest can be worked on, another one is not broken, and this one is mended.
	now, err := w.Set(ctx, old.Machine, workshop.Setting{Path: "engine.redline", Old: "8500 rpm", New: "8400 rpm"})
	if err != nil || now.Number != 2 {
		t.Fatalf("%v", err)
	}
	if _, err := w.SwitchPart(ctx, old.Machine, "club", "big-dome", true); asked.ExitOf(err) != asked.BadInput || !strings.Contains(fmt.Sprint(err), `in build "club"`) {
		t.Errorf("%v", err)
	}
	if _, err := w.SwitchPart(ctx, old.Machine, "wild", "big-dome", false); err != nil {
		t.Errorf("%v", err)
	}
	if _, _, err := w.Ask(ctx, old.Machine, q); err != nil {
		t.Errorf("mended, and still: %v", err)
	}
}

// A command says the same.
func TestCompareNamesWhatIsBroken(t *testing.T) {
	q := lapQuestion(t)
	q.Text = &sheet.File{Name: "x.yaml", Text: wild(t, q.Text.Text)}
	q.Now = time.Date(2027, 5, 3, 0, 0, 0, 0, time.UTC)
	c, err := Compare(q, []string{"wild", "full"})
	if err != nil || len(c.Answers) != 2 || len(c.Broken) != 1 {
		t.Errorf("%v, %+v", err, c)
	}
	q.Build = "wild"
	if _, err := asked.Ask(q); asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), `in build "wild": the piston leaves`) {
		t.Errorf("%v", err)
	}
}
