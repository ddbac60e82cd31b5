package web

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"shakedown/internal/browser"
	"shakedown/sheet"
)

// spaced is a sheet whose build "spaced" adds 100 mm to the track of the machine, and whose build "wide" sets it.
const spaced = `sheet: 1
title: Spaced
machine: {layout: quad, geometry: {track_rear: 790 mm measured}}
parts:
  spacers: {name: Wheel spacers, adds: {geometry.track_rear: 100 mm}}
  axle: {name: Wide axle, sets: {geometry.track_rear: 892 mm}}
builds: {as-found: [], wide: [axle], spaced: [spacers]}
`

// A drag follows the pointer in the scale of the drawing and changes what makes the value in this build; a hand that
// only touched changes nothing.
func TestADragFollowsThePointer(t *testing.T) {
	t.Parallel()
	b := open(t)
	r, err := b.Workshop.AddSheet(t.Context(), "spaced.yaml", []byte(spaced))
	if err != nil {
		t.Fatal(err)
	}
	p := browser.Open(t)
	now := func() float64 {
		return browser.Eval[float64](p, "Number(document.querySelector('#move-track').getAttribute('aria-valuenow'))")
	}
	place := func() float64 {
		return browser.Eval[float64](p, "(r => r.x + r.width/2)(document.querySelector('#move-track circle').getBoundingClientRect())")
	}
	for _, c := range []struct {
		build, path, where string
		track, share       float64 // [m] before the drag, and what of it stands where the drag aims
	}{
		{"spaced", "parts.spacers.adds.geometry.track_rear", "the part Wheel spacers", 0.890, 0.100}, // 790 + 100 mm
		{"wide", "parts.axle.sets.geometry.track_rear", "the part Wide axle", 0.892, 0.892},
		{"as-found", "geometry.track_rear", "the machine as found", 0.790, 0.790},
	} {
		for _, wide := range []int64{1440, 400} {
			p.Look(wide, 900, false)
			for _, by := range []float64{4, -30} {
				p.Go(b.URL + "/m/" + r.Machine + "/build?build=" + c.build)
				p.Wait("document.documentElement.dataset.ready")
				if now() != c.track {
					t.Fatalf("%s begins with a track of %v m", c.build, now())
				}
				p.Drag("#move-track", 2)
				p.Wait(settled)
				if browser.Eval[bool](p, "!!document.querySelector('#trying') || location.search.includes('try=')") {
					t.Errorf("%s: a touch of 2 px is a change", c.build)
				}
				at := place()
				p.Drag("#move-track", by)
				p.Wait("document.querySelector('#trying') && " + settled)
				if moved := place() - at; math.Abs(moved-by) > 0.6 {
					t.Errorf("%s at %d px: the pointer went %v px, the tyre %.1f", c.build, wide, by, moved)
				}
				// Both tyres move: a pixel is two of the drawing's metres over its pixels.
				metre := browser.Eval[float64](p, "(s => s.dataset.scale * s.getBoundingClientRect().width / s.viewBox.baseVal.width)(document.querySelector('#move-track').ownerSVGElement)")
				if want := c.track + 2*by/metre; math.Abs(now()-want) > 0.0006 {
					t.Errorf("%s at %d px: %v px make %.4f m, want %.4f", c.build, wide, by, now(), want)
				}
				if text := browser.Eval[string](p, "document.querySelector('#trying').innerText"); !strings.Contains(text, c.where) {
					t.Errorf("%s: the page says %q", c.build, text)
				}
				p.Click("#let-go")
				p.Wait("!document.querySelector('#trying') && " + settled)
			}
		}
		p.Go(b.URL + "/m/" + r.Machine + "/build?build=" + c.build)
		p.Wait("document.documentElement.dataset.ready")
		p.Drag("#move-track", 20)
		p.Wait("document.querySelector('#trying') && " + settled)
		kept := now()
		p.Click("#keep")
		p.Wait("!document.querySelector('#trying') && " + settled)
		if now() != kept {
			t.Errorf("%s: kept %v m as %v", c.build, kept, now())
		}
		head, err := b.Workshop.Head(context.Background(), r.Machine)
		if err != nil {
			t.Fatal(err)
		}
		if got, _ := sheet.Get(head.Text, c.path); got != fmt.Sprintf("%.0f mm", 1000*(kept-c.track+c.share)) {
			t.Errorf("%s: %s is %q now", c.build, c.path, got)
		}
		p.Click("#undo")
		p.Wait(fmt.Sprintf("Number(document.body.dataset.revision) > %d && %s", head.Number, settled))
	}
}

// What is kept is kept in the same window: page, what stands open on it, and the place that was scrolled to stay; the
// button is in sight.
func TestKeepStaysWhereItIs(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	for _, look := range [][2]int64{{1440, 900}, {400, 740}} {
		p.Look(look[0], look[1], false)
		p.Go(machine + "/build?build=full&against=as-found&why=chassis.tip_lateral&all=yes")
		p.Wait("document.documentElement.dataset.ready")
		p.Drag("#move-track", 12)
		p.Wait("document.querySelector('#trying') && " + settled)
		if out := browser.Eval[string](p, "(r => r.top < 0 || r.bottom > innerHeight || r.left < 0 || r.right > innerWidth ? JSON.stringify(r) : '')(document.querySelector('#keep').getBoundingClientRect())"); out != "" {
			t.Errorf("at %v Keep it is out of the window: %s", look, out)
		}
		const place = "document.querySelector('#move-track').getBoundingClientRect().top"
		was := browser.Eval[float64](p, place)
		tabs := browser.Eval[int64](p, "history.length")
		p.Click("#keep")
		p.Wait("!document.querySelector('#trying') && " + settled)
		if where := browser.Eval[string](p, "location.pathname + location.search"); where != strings.TrimPrefix(machine, b.URL)+"/build?against=as-found&build=full&why=chassis.tip_lateral&all=yes" {
			t.Errorf("kept, the window shows %s", where)
		}
		if now := browser.Eval[float64](p, place); math.Abs(now-was) > 2 {
			t.Errorf("at %v the tyre that was moved went from %v to %v in the window", look, was, now)
		}
		if browser.Eval[int64](p, "history.length") != tabs {
			t.Error("Keep it is a page of its own in the window's history")
		}
		if !browser.Eval[bool](p, "!!document.querySelector('#basis')") {
			t.Error("the open figure was shut")
		}
	}
}

// Two changes undone one after the other are told as two.
func TestTwoUndosAreToldApart(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Go(machine + "/machine")
	p.Type(`[id="i-engine.stroke"]`, "66.5 mm measured")
	p.Wait("document.body.dataset.revision === '2' && " + settled)
	p.Type(`[id="i-engine.bore"]`, "74.5 mm measured")
	p.Wait("document.body.dataset.revision === '3' && " + settled)
	for i, what := range []string{"Undone: engine.bore:", "Undone: engine.stroke:", "Done again: engine.stroke:", "Done again: engine.bore:"} {
		button := "#undo"
		if i > 1 {
			button = "#redo"
		}
		p.Click(button)
		p.Wait(fmt.Sprintf("document.body.dataset.revision === '%d' && %s", 4+i, settled))
		if said := browser.Eval[string](p, "document.querySelector('#said').innerText"); !strings.HasPrefix(strings.TrimSpace(said), what) {
			t.Errorf("step %d says %q, want %q", i+1, said, what)
		}
	}
}

// A recording that is sent twice is there once, and one that is none leaves the page and says why for as long as it is
// looked at.
func TestARecordingSentTwice(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("brackwater-246.yaml")
	folder := t.TempDir()
	good, bad := filepath.Join(folder, "round.csv"), filepath.Join(folder, "words.gpx")
	for file, text := range map[string]string{good: roundRide(), bad: "hello"} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p := browser.Open(t)
	p.Go(machine + "/track")
	send := func(file string) {
		t.Helper()
		p.Wait("document.documentElement.dataset.ready && " + settled)
		if !browser.Eval[bool](p, "document.querySelector('#bring').open") {
			p.Click("#bring summary")
		}
		p.Upload("#file", file)
		p.Click("#bring button")
	}
	for range 2 {
		send(good)
		p.Wait("location.search.includes('round.csv') && document.querySelector('#said').innerText.includes('round.csv') && " + settled)
		if n := browser.Eval[int64](p, "document.querySelectorAll('#ridden option').length"); n != 2 {
			t.Errorf("%d courses, want the sheet's and the recording", n)
		}
	}
	p.Go(machine + "/track")
	for range 2 {
		send(bad)
		p.Wait("document.querySelector('#bring .wrong') && " + settled)
	}
	// The work behind the page ends and brings the page again.
	p.Wait("!(document.querySelector('#work') || {innerText: ''}).innerText.includes('torque curves') && " + settled)
	if text := browser.Eval[string](p, "document.body.innerText"); strings.Contains(text, "Method Not Allowed") || !strings.Contains(text, "words.gpx was not kept") {
		t.Errorf("a while after, the page says\n%.300s", text)
	}
	p.Go(machine + "/ride")
	p.Wait("location.pathname.endsWith('/track') && document.querySelector('#bring')")
}

// Any revision is compared with what stands now, by one choice; what is restored is a new revision. A build is deleted
// by its name.
func TestHistoryInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Go(machine + "/build?build=club")
	p.Wait("document.documentElement.dataset.ready")
	p.Click(`form[action*="/builds/remove"] button`)
	p.Wait("document.body.dataset.revision === '2' && " + settled)
	if text := browser.Eval[string](p, "document.querySelector('#said').innerText"); !strings.Contains(text, `Build "club" is deleted`) {
		t.Errorf("deleted, the page says %q", text)
	}
	p.Click(`#undo`)
	p.Wait("document.body.dataset.revision === '3' && " + settled)
	p.Go(machine + "/history")
	p.Wait("document.body.innerText.includes('From revision 2 to now') && document.querySelectorAll('#revisions input').length === 2")
	if text := browser.Eval[string](p, "document.querySelector('#revisions').innerText"); !strings.Contains(text, `build "club" deleted`) {
		t.Errorf("the history says\n%s", text)
	}
	p.Click(`input[name=with][value="1"]`)
	p.Wait("document.body.innerText.includes('From revision 1 to now: nothing changed') && " + settled)
	p.Click(`input[name=with][value="2"]`)
	p.Wait("document.body.innerText.includes('From revision 2 to now: 1 line added') && " + settled)
	p.Click(`form[action*="/restore"] button`)
	p.Wait("document.body.dataset.revision === '4' && document.body.innerText.includes('From revision 3 to now: 1 line taken out') && " + settled)
}
