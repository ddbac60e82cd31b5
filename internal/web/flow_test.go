package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"shakedown/internal/app/asked"
	"shakedown/internal/browser"
	"shakedown/internal/workshop"
	"shakedown/quantity"
	"shakedown/report"
	"shakedown/sheet"
)

const settled = "!document.documentElement.dataset.busy"

// shown is the value of a figure as it stands on the page.
func shown(p *browser.Page, id string) string {
	return browser.Eval[string](p, fmt.Sprintf("(e => e ? e.textContent : '')(document.querySelector('[data-figure=\"%s\"] .value'))", id))
}

// asking is the value of a figure as the command line would give it in JSON for a sheet's text, worded as people read
// it.
func wanted(t *testing.T, text []byte, build, id string) string {
	t.Helper()
	a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet", Text: text}, Build: build, Now: time.Now()})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := a.WriteJSON(&out, "test"); err != nil {
		t.Fatal(err)
	}
	var answer struct {
		Figures []struct {
			ID    string
			Value float64
		}
	}
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil {
		t.Fatal(err)
	}
	f, err := a.Figure(id)
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range answer.Figures {
		if in.ID == id && in.Value != f.Value {
			t.Fatalf("%s is %v in JSON and %v in the answer", id, in.Value, f.Value)
		}
	}
	for _, g := range report.Groups(a.Figures, true, quantity.Metric) {
		for _, row := range g.Rows {
			if row.ID == id {
				return row.Value
			}
		}
	}
	t.Fatalf("no figure %s", id)
	return ""
}

// An owner's first hour, with real clicks and keys.
func TestFirstHour(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := browser.Open(t)
	p.Look(1440, 900, false)
	p.Go(b.URL + "/")
	p.Wait("document.body.innerText.includes('This workshop is empty')")
	p.Click(`[aria-label="Open fenmoor-t285.yaml"]`)
	p.Wait("location.pathname.endsWith('/build') && document.readyState === 'complete'")
	id := strings.Split(strings.TrimPrefix(browser.Eval[string](p, "location.pathname"), "/m/"), "/")[0]
	head := func() workshop.Revision {
		r, err := b.Workshop.Head(context.Background(), id)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	saved := func(n int) { p.Wait(fmt.Sprintf("document.body.dataset.revision === '%d' && %s", n, settled)) }
	example := head().Text

	// The figure on the page is that of the command line.
	if got, want := shown(p, "chassis.tip_lateral"), wanted(t, example, "full", "chassis.tip_lateral"); got != want {
		t.Errorf("tip-over on the page is %s, in the JSON %s", got, want)
	}

	// A click on a figure shows its basis: the input that makes most of the range stands first.
	p.Click(`[id="why-chassis.tip_lateral"]`)
	p.Wait("document.querySelector('#basis')")
	if text := browser.Eval[string](p, "document.querySelector('#basis').innerText"); !strings.Contains(text, "SAE 820139") || !strings.Contains(text, "mass.cg_height") || !strings.Contains(text, "35 %") || !strings.Contains(text, "wide-axle") {
		t.Errorf("the basis says\n%s", text)
	}

	// A part is switched: conflicts, cost and date follow at once.
	before := browser.Eval[string](p, "document.querySelector('#totals').innerText")
	p.Click(`#s-clutch-springs`)
	saved(2)
	p.Wait("document.querySelector('#findings').innerText.includes('The clutch holds')") // by the torque curve, once it is there
	if after := browser.Eval[string](p, "document.querySelector('#totals').innerText"); after == before {
		t.Error("the cost did not follow")
	}
	if lead := browser.Eval[string](p, "document.querySelector('#lead').innerText"); !strings.HasPrefix(lead, `Do not go on with build "full" as it stands`) {
		t.Errorf("the sentence of advice is %q", lead)
	}
	p.Click(`#undo`)
	saved(3)
	if !bytes.Equal(head().Text, example) {
		t.Error("undo does not bring the text back")
	}
	p.Click(`#redo`)
	saved(4)
	p.Click(`#undo`)
	saved(5)

	// An input in inches, with a decimal comma; then a wrong unit, refused where it was typed.
	p.Click(`#pages a[href*="/machine"]`)
	p.Wait("document.querySelector('#inputs')")
	track := `[id="i-geometry.track_rear"]`
	p.Type(track, "31,5 in measured")
	saved(6)
	if got, _ := sheet.Get(head().Text, "geometry.track_rear"); got != "31.5 in measured" {
		t.Errorf("the sheet has %q", got)
	}
	p.Wait("document.querySelector('[id=\"f-geometry.track_rear\"]').innerText.includes('800 ± 4 mm')")
	if got, want := shown(p, "chassis.tip_lateral"), wanted(t, head().Text, "as-found", "chassis.tip_lateral"); got != want {
		t.Errorf("tip-over beside the drawing is %s, in the JSON %s", got, want)
	}
	p.Type(track, "31 kg")
	p.Wait("document.querySelector('[id=\"w-geometry.track_rear\"]') && " + settled)
	if text := browser.Eval[string](p, "document.querySelector('[id=\"w-geometry.track_rear\"]').innerText"); !strings.Contains(text, "kg") || !strings.Contains(text, "mm") || !strings.Contains(text, "Nothing is saved") {
		t.Errorf("the refusal says %q", text)
	}
	if typed := browser.Eval[string](p, "document.querySelector('[id=\"i-geometry.track_rear\"]').value"); typed != "31 kg" {
		t.Errorf("what was typed became %q", typed)
	}
	if head().Number != 6 {
		t.Error("a wrong unit was saved")
	}
	p.Type(track, "800 mm measured")
	saved(7)

	// A typical value is replaced by one put into the sheet, and the field keeps the focus's place.
	p.Type(`[id="i-driveline.clutch.friction"]`, "0.13")
	saved(8)

	// Readings of a worksheet.
	p.Go(b.URL + "/m/" + id + "/machine")
	p.Click(`#m-rear_tyre summary`)
	for _, reading := range [][2]string{{"light", "25 kg"}, {"light_axle", "246 mm"}, {"heavy", "90 kg"}, {"heavy_axle", "232 mm"}} {
		p.Type(`[id="i-measure.rear_tyre.`+reading[0]+`"]`, reading[1])
	}
	p.Click(`#m-rear_tyre form button`)
	saved(9)
	p.Wait("document.querySelector('#m-rear_tyre').innerText.includes('N/mm')")

	// A drag in the drawing moves the figure; nothing is saved before Keep.
	p.Go(b.URL + "/m/" + id + "/build")
	was := shown(p, "chassis.tip_lateral")
	p.Drag("#move-track", 25)
	p.Wait("document.querySelector('#trying') && " + settled)
	if now := shown(p, "chassis.tip_lateral"); now <= was {
		t.Errorf("a wider axle tips at %s, before at %s", now, was)
	}
	if head().Number != 9 {
		t.Error("a drag saved something")
	}
	p.Click("#keep")
	saved(10)
	if r := head(); !strings.HasPrefix(r.Summary, "parts.wide-axle.sets.geometry.track_rear: ") {
		t.Errorf("kept as %q", r.Summary)
	}
	p.Do() // the rider by keys
	hung := shown(p, "chassis.tip_lateral_hung")
	browser.Eval[bool](p, "(document.querySelector('#move-rider').focus(), true)")
	p.Key("ArrowRight")
	p.Wait("document.querySelector('#trying') && " + settled)
	if now := shown(p, "chassis.tip_lateral_hung"); now <= hung {
		t.Errorf("further hung off it tips at %s, before at %s", now, hung)
	}
	p.Click("#let-go")
	p.Wait("!document.querySelector('#trying') && " + settled)

	// Compare, history, report.
	p.Click(`#pages a[href*="/compare"]`)
	p.Wait("document.querySelectorAll('#compared thead th').length === 6")
	p.Click(`input[name=with][value=overdone]`)
	p.Wait("document.querySelectorAll('#compared thead th').length === 5 && " + settled)
	p.Click(`#pages a[href*="/history"]`)
	p.Wait("document.querySelectorAll('.diff tr').length > 2")
	p.Click(`input[name=with][value="1"]`)
	p.Wait("document.body.innerText.includes('From revision 1 to now') && " + settled)
	p.Click(`#pages a[href*="/report"]`)
	p.Wait("(f => f && f.contentDocument && f.contentDocument.body && f.contentDocument.body.innerText.includes('Before and after'))(document.querySelector('iframe'))")

	// Export, into an empty workshop: the same figures, the same bytes.
	var file bytes.Buffer
	_, zip := b.get(b.URL + "/workshop.zip")
	file.WriteString(zip)
	name := filepath.Join(t.TempDir(), "all.zip")
	if err := os.WriteFile(name, file.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	other := open(t)
	p.Go(other.URL + "/")
	p.Upload(`#file`, name)
	p.Click(`form[action="/import"] button`)
	p.Wait("location.pathname.endsWith('/build') && document.readyState === 'complete'")
	copied, err := other.Workshop.Head(context.Background(), id)
	if err != nil || !bytes.Equal(copied.Text, head().Text) || copied.Number != 10 {
		t.Fatalf("revision %d came back, %v", copied.Number, err)
	}
	if got, want := shown(p, "chassis.tip_lateral"), wanted(t, head().Text, "full", "chassis.tip_lateral"); got != want {
		t.Errorf("in the other workshop it tips at %s, here at %s", got, want)
	}
}

// A new machine by questions, wrong answers beside them.
func TestANewMachine(t *testing.T) {
	t.Parallel()
	b := open(t)
	p := browser.Open(t)
	p.Go(b.URL + "/")
	p.Click(`a[href="/new?layout=quad"]`)
	p.Wait("document.querySelector('[id=\"q-engine.bore\"]')")
	p.Type(`[id="q-name"]`, "Barn find")
	p.Type(`[id="q-engine.bore"]`, "74 kg")
	p.Type(`[id="q-mass.dry"]`, "362,5 lb")
	p.Click(`form.ask button`)
	p.Wait("document.querySelector('[id=\"w-engine.bore\"]')")
	if kept := browser.Eval[string](p, "document.querySelector('[id=\"q-mass.dry\"]').value"); kept != "362.5 lb" {
		t.Errorf("the other answer became %q", kept)
	}
	p.Type(`[id="q-engine.bore"]`, "74 mm")
	p.Type(`[id="q-engine.claimed_ratio"]`, "9,3")
	p.Type(`[id="q-engine.claimed_power_speed"]`, "7500 rpm")
	p.Click(`form.ask button`)
	p.Wait("document.querySelector('#inputs')")
	if title := browser.Eval[string](p, "document.title"); !strings.HasPrefix(title, "Barn find") {
		t.Errorf("the page is titled %q", title)
	}
	// What is not given follows from what is, and is no text of the owner's.
	row := browser.Eval[string](p, "document.querySelector('[id=\"f-engine.head.intake_valve.head\"]').innerText")
	typed := browser.Eval[string](p, "document.querySelector('[id=\"i-engine.head.intake_valve.head\"]').value")
	if !strings.Contains(row, "typical") || !strings.Contains(row, "37") || typed != "" {
		t.Errorf("the intake valve of a bore of 74 mm: %q, typed %q", row, typed)
	}
	// The first part of an empty list; there is nothing to work out yet.
	p.Click(`#pages a[href*="/parts"]`)
	p.Wait("document.querySelector('#n-id')")
	if browser.Eval[bool](p, "!!document.querySelector('#effects a')") {
		t.Error("without a part there is nothing to work out")
	}
	p.Type(`#n-id`, "wide-axle")
	p.Type(`#n-name`, "Wide axle")
	p.Type(`#n-price`, "310.00")
	p.Type(`#n-sets`, "geometry.track_rear: 36 in")
	p.Click(`#add form button`)
	p.Wait("document.querySelector('#p-wide-axle')")
	p.Click(`#pages a[href*="/build"]`)
	p.Type(`#new-build`, "wide")
	p.Click(`form[action*="/builds?"] button`)
	p.Wait("document.querySelector('#pick-build').value === 'wide' && " + settled)
	p.Click(`#s-wide-axle`)
	p.Wait("document.body.dataset.revision === '4' && " + settled)
	if text := browser.Eval[string](p, "document.querySelector('[id=\"row-chassis.tip_lateral\"]').innerText"); !strings.Contains(text, "▲") {
		t.Errorf("tip-over with the wide axle: %q", text)
	}
}

// Two windows on one machine see each other's saves; what is being typed in one stays, and a change of the same input
// is shown with both values.
func TestTwoWindows(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	one := browser.Open(t)
	two := one.Another()
	one.Go(machine + "/machine")
	two.Go(machine + "/machine")
	stroke, bore := `[id="i-engine.stroke"]`, `[id="i-engine.bore"]`
	two.Do()
	browser.Eval[bool](two, `(e => (e.focus(), e.value = "75 mm measured", true))(document.querySelector('[id="i-engine.bore"]'))`) // being typed
	one.Type(stroke, "66.5 mm measured")
	two.Wait(`document.querySelector('[id="i-engine.stroke"]').value === "66.5 mm measured"`)
	one.Type(bore, "74.5 mm measured")
	two.Wait(`document.body.dataset.revision === '3'`)
	if typed := browser.Eval[string](two, `document.querySelector('[id="i-engine.bore"]').value`); typed != "75 mm measured" {
		t.Fatalf("what was being typed became %q", typed)
	}
	browser.Eval[bool](two, `(document.querySelector('[id="i-engine.bore"]').form.requestSubmit(), true)`)
	two.Wait(`document.querySelector('[id="w-engine.bore"]')`)
	if text := browser.Eval[string](two, `document.querySelector('[id="f-engine.bore"]').innerText`); !strings.Contains(text, "74.5 mm measured") || !strings.Contains(text, "75 mm measured") {
		t.Errorf("both values are not shown:\n%s", text)
	}
	two.Click(`[id="w-engine.bore"] button`)
	one.Wait(`document.querySelector('[id="i-engine.bore"]').value === "75 mm measured"`)
}

// The sheet's text: errors at their lines while it is typed, kept unsaved, merged with what another window saved.
func TestSheetInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	id := strings.TrimPrefix(machine, b.URL+"/m/")
	p := browser.Open(t)
	p.Go(machine + "/sheet")
	change := func(from, to string) {
		t.Helper()
		if !browser.Eval[bool](p, fmt.Sprintf(`(e => { const has = e.value.includes(%q); e.value = e.value.replace(%q, %q); e.dispatchEvent(new Event("input", {bubbles: true})); return has; })(document.querySelector("#text"))`, from, from, to)) {
			t.Fatalf("the text has no %q", from)
		}
	}
	change("layout: three-wheeler", "layout: three-wheler")
	p.Wait("document.querySelector('#faults a[data-line]')")
	if text := browser.Eval[string](p, "document.querySelector('#faults').innerText"); !strings.Contains(text, "line 22") || !strings.Contains(text, "three-wheeler") {
		t.Errorf("the fault says %q", text)
	}
	if browser.Eval[string](p, "document.querySelector('#numbers b').textContent") != "22" {
		t.Error("line 22 is not marked")
	}
	p.Click("#save")
	p.Wait("document.body.innerText.includes('cannot be saved') && " + settled)
	p.Go(machine + "/sheet") // another day
	p.Wait("document.querySelector('#text').value.includes('three-wheler')")
	change("layout: three-wheler", "layout: three-wheeler")
	change("title: Fenmoor", "title: My Fenmoor")
	p.Wait("!document.querySelector('#faults a[data-line]')")
	if _, err := b.Workshop.Set(t.Context(), id, workshop.Setting{Path: "engine.redline", Old: "8500 rpm", New: "8400 rpm"}); err != nil {
		t.Fatal(err)
	}
	p.Click("#save")
	p.Wait("document.body.dataset.revision === '3' && " + settled)
	head, err := b.Workshop.Head(t.Context(), id)
	if err != nil || !bytes.Contains(head.Text, []byte("title: My Fenmoor")) || !bytes.Contains(head.Text, []byte("redline: 8400 rpm")) {
		t.Fatalf("the two changes are not both there: %v", err)
	}
	first, err := b.Workshop.Revision(t.Context(), id, 1)
	if err != nil || workshop.Compared(first.Text, head.Text).Words() != "2 lines changed" {
		t.Fatalf("more changed than was typed: %s", workshop.Compared(first.Text, head.Text).Words())
	}
}

// When the workshop file fails, the page says so and what was typed stays in its field.
func TestNothingTypedIsLostWhenTheFileFails(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Go(machine + "/machine")
	p.Wait("document.documentElement.dataset.ready")
	b.Workshop.Close()
	p.Type(`[id="i-engine.stroke"]`, "66.5 mm measured")
	p.Wait("document.querySelector('#said').innerText.includes('What you typed is still here')")
	if typed := browser.Eval[string](p, `document.querySelector('[id="i-engine.stroke"]').value`); typed != "66.5 mm measured" {
		t.Errorf("what was typed became %q", typed)
	}
}

// The Build page on paper: no buttons, nothing cut off.
func TestPrinted(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Go(machine + "/build")
	pdf := filepath.Join(t.TempDir(), "build.pdf")
	if err := os.WriteFile(pdf, p.Print(chromedp.PaperA4), 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", pdf, "-").Output()
	if err != nil {
		if os.Getenv("SHAKEDOWN_BROWSER") == "must" {
			t.Fatal(err)
		}
		t.Skip("pdftotext is not here")
	}
	for _, want := range []string{"Fenmoor T285, 1983", "Tip-over, rider centred", "Conflicts and cautions", "Take care"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the print lacks %q", want)
		}
	}
	for _, not := range []string{"Undo", "All machines", "A new build like"} {
		if strings.Contains(string(text), not) {
			t.Errorf("the print has %q", not)
		}
	}
	if os.Getenv("SHAKEDOWN_HEAVY") != "" {
		_ = exec.Command("pdftoppm", "-r", "60", "-png", pdf, "../../out/workbench-print").Run()
	}
}

// Slow work: progress, results that stream in, a stop.
func TestEffectsInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Go(machine + "/parts")
	p.Click(`#effects a.button`)
	p.Wait("document.querySelectorAll('.part-card > p').length > 20 && document.querySelector('#effects').innerText.includes('What each part does alone')")
	if text := browser.Eval[string](p, "document.querySelector('#p-wide-axle').innerText"); !strings.Contains(text, "Tip-over, rider centred") || !strings.Contains(text, "▲") {
		t.Errorf("the wide axle does\n%s", text)
	}
}

// From a click on a part to the changed figures on the screen.
func BenchmarkSwitch(b *testing.B) {
	w := open(b)
	machine := w.example("fenmoor-t285.yaml")
	p := browser.Open(b)
	p.Go(machine + "/build")
	p.Wait("document.documentElement.dataset.ready")
	// In the page: click, and wait for the frame after the figures have changed.
	const once = `(() => { const now = document.body.dataset.revision, began = performance.now(); document.querySelector("#s-wide-axle").click();
		return new Promise(done => { const look = () => document.body.dataset.revision !== now ? requestAnimationFrame(() => setTimeout(() => done(performance.now() - began))) : requestAnimationFrame(look); look(); }); })()`
	var took []float64
	for b.Loop() {
		took = append(took, browser.EvalPromise[float64](p, once))
	}
	slices.Sort(took)
	b.ReportMetric(took[len(took)/2], "ms-median/op")
	b.ReportMetric(took[len(took)*95/100], "ms-p95/op")
}

// No page has a violation that axe-core finds under WCAG 2.2 AA, in the light and in the dark.
func TestAccessibleAlsoHeavy(t *testing.T) {
	t.Parallel()
	axe, err := os.ReadFile("testdata/axe-core-4.14.1/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	b := open(t)
	p := browser.Open(t)
	type violation struct {
		ID, Help string
		Nodes    []string
	}
	run := func(name, address string) {
		p.Go(address)
		p.Wait("document.documentElement.dataset.ready")
		browser.Eval[bool](p, string(axe)+";true")
		found := browser.EvalPromise[[]violation](p, `axe.run(document, {iframes: false, runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r => r.violations.map(v => ({ID: v.id, Help: v.help, Nodes: v.nodes.map(n => n.html.slice(0, 160) + " " + n.failureSummary)})))`)
		for _, v := range found {
			t.Errorf("%s: %s (%s), %d times, first %s", name, v.ID, v.Help, len(v.Nodes), v.Nodes[0])
		}
	}
	run("empty", b.URL+"/")
	machine := b.example("fenmoor-t285.yaml")
	quad := b.example("sallow-q250.yaml")
	shades := []bool{false}
	if os.Getenv("SHAKEDOWN_HEAVY") != "" {
		shades = append(shades, true)
	}
	for _, dark := range shades {
		p.Look(1280, 900, dark)
		for name, address := range pagesToLookAt(b, machine) {
			run(name, address)
		}
		run("quad", quad+"/build")
	}
}

// The vendored files are those of their publishers.
func TestVendoredFiles(t *testing.T) {
	list, err := os.ReadFile("assets/CHECKSUMS")
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`(?m)^([0-9a-f]{64})  (\S+)$`)
	found := line.FindAllStringSubmatch(string(list), -1)
	if len(found) < 4 {
		t.Fatalf("%d checksums", len(found))
	}
	for _, m := range found {
		text, err := os.ReadFile(m[2])
		if err != nil {
			t.Error(err)
			continue
		}
		if got := sum(text); got != m[1] {
			t.Errorf("%s has the checksum %s, listed is %s", m[2], got, m[1])
		}
	}
}

func sum(text []byte) string { return fmt.Sprintf("%x", sha256.Sum256(text)) }

// The Engine page: curves at once when they are ready, the band after, and a change of price keeps them.
func TestEngineInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("brackwater-246.yaml")
	p := browser.Open(t)
	p.Go(machine + "/engine")
	p.Wait("document.querySelectorAll('#curves svg').length === 3")
	if lead := browser.Eval[string](p, "document.querySelector('#lead').innerText"); !strings.Contains(lead, "Nm at") || !strings.Contains(lead, " kW ") || !strings.Contains(lead, "How sure") {
		t.Errorf("the page opens with %q", lead)
	}
	if rows := browser.Eval[int64](p, "document.querySelectorAll('#reasons tbody tr').length"); rows != 5 {
		t.Errorf("%d rows of reasons", rows)
	}
	id := strings.TrimPrefix(machine, b.URL+"/m/")
	if _, err := b.Workshop.Set(t.Context(), id, workshop.Setting{Path: "name", Old: "Brackwater 246, 1979", New: "Brackwater"}); err != nil {
		t.Fatal(err)
	}
	p.Wait("document.body.dataset.revision === '2'")
	if running := browser.Eval[bool](p, "!!document.querySelector('progress')"); running {
		t.Error("a change that the engine does not see computes its curve again")
	}
	// One cycle: pictures of the waves, which can be run, stopped and stepped; another engine speed with a click.
	p.Click("a[href*='/cycle']")
	p.Wait("document.querySelectorAll('#waves svg image').length === 2 && document.querySelectorAll('#charts svg').length === 7")
	if lead := browser.Eval[string](p, "document.querySelector('#lead').innerText"); !strings.Contains(lead, "rpm") || !strings.Contains(lead, "valve shuts") || !strings.Contains(lead, "How sure") {
		t.Errorf("the cycle opens with %q", lead)
	}
	drawn := browser.Eval[string](p, "document.querySelector('#moving polyline').getAttribute('points')")
	if strings.Count(drawn, ",") < 10 || strings.Contains(drawn, "NaN") {
		t.Errorf("the wave in the intake is drawn as %q", drawn)
	}
	p.Click("#play")
	p.Wait("Number(document.querySelector('#crank').value) > 5 && document.querySelector('#play').innerText === 'Stop'")
	p.Click("#play")
	stopped := browser.Eval[string](p, "document.querySelector('#now').innerText")
	time.Sleep(150 * time.Millisecond)
	if now := browser.Eval[string](p, "document.querySelector('#now').innerText"); now != stopped {
		t.Errorf("stopped at %q it ran on to %q", stopped, now)
	}
	was := browser.Eval[string](p, "document.querySelector('#lead').innerText")
	p.Click("#at a[data-jump='faster']")
	p.Wait("document.querySelector('#lead').innerText !== " + strconv.Quote(was))
	if again := browser.Eval[string](p, "document.querySelector('#moving polyline').getAttribute('points')"); again == drawn || strings.Count(again, ",") < 10 {
		t.Error("another speed draws the same wave or none")
	}
	if status, text := b.get(machine + "/cycle?speed=fast"); status != http.StatusUnprocessableEntity || !strings.Contains(text, "write it in rpm") {
		t.Errorf("an engine speed of fast gives %d", status)
	}
	p.Go(machine + "/engine")
	p.Wait("document.querySelectorAll('#curves svg').length === 3")
	// A machine of which no curve can be computed says why, and does not try again and again.
	head, err := b.Workshop.Head(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	old := regexp.MustCompile(`redline: (\d+ rpm)`).FindStringSubmatch(string(head.Text))
	if _, err := b.Workshop.Set(t.Context(), id, workshop.Setting{Path: "engine.redline", Old: old[1], New: "1300 rpm"}); err != nil {
		t.Fatal(err)
	}
	p.Wait("document.querySelector('main').innerText.includes('a redline of 1300 rpm')")
	if running := browser.Eval[bool](p, "!!document.querySelector('progress')"); running {
		t.Error("it goes on trying")
	}
}

// Left alone, the Engine page brings one thing after the other without a click: curves, the band, what each part does.
func TestEngineLeftAloneHeavy(t *testing.T) {
	heavy(t)
	t.Parallel()
	b := open(t)
	machine := b.example("fenmoor-t285.yaml")
	p := browser.Open(t)
	p.Look(1440, 900, false)
	p.Go(machine + "/engine?build=full&against=as-found")
	began := time.Now()
	patient := func(expression string) {
		t.Helper()
		for time.Since(began) < 10*time.Minute && !browser.Eval[bool](p, "!!("+expression+")") {
			time.Sleep(200 * time.Millisecond)
		}
		p.Wait(expression)
		t.Logf("after %.1f s: %s", time.Since(began).Seconds(), expression)
	}
	patient("document.querySelectorAll('#curves svg').length === 3")
	patient("document.querySelector('#curves .span')")
	patient("document.querySelector('#each')")
	if text := browser.Eval[string](p, "document.querySelector('#each').innerText"); !strings.Contains(text, "high-piston") || !strings.Contains(text, "together") || strings.Contains(text, "not worked out") {
		t.Errorf("what each part does: %q", text)
	}
	p.Shot("../../out/workbench-engine-whole.png")
}

// The Track page: the lap at once when the curves are there, its range and what the parts are worth when they are
// ready, and an order of buying for a sum that is typed. A machine that is put away is out of sight, and comes back
// with all that was in it.
func TestPutAwayInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("sallow-q250.yaml")
	p := browser.Open(t)
	p.Go(b.URL + "/")
	p.Click("form[action$='/away'] button")
	p.Wait("document.querySelector('#away') && !document.querySelector('table') && document.querySelector('.lead').innerText.includes('bring one back') && document.body.innerText.includes('was put away')")
	p.Click("#away summary")
	p.Click("#away button")
	p.Wait("document.querySelector('table th a') && !document.querySelector('#away')")
	p.Go(machine + "/history")
	p.Wait("document.readyState === 'complete' && document.body.innerText.includes('One revision')")
}

// roundRide is an invented recording: three and a half rounds of a circle of 40 m at 2 degrees a step, 8 m/s.
func roundRide() string {
	var ride strings.Builder
	ride.WriteString("lat,lon,time_s\n")
	for i := range 700 {
		a := float64(i) * math.Pi / 90
		fmt.Fprintf(&ride, "%.8f,%.8f,%.2f\n", 45+40*math.Sin(a)/111131, 7+40*math.Cos(a)/78847, float64(i)*40*math.Pi/90/8)
	}
	return ride.String()
}

func TestTrackInTheBrowser(t *testing.T) {
	t.Parallel()
	b := open(t)
	machine := b.example("brackwater-246.yaml")
	p := browser.Open(t)
	p.Go(machine + "/track")
	p.Wait("document.querySelectorAll('#sections tbody tr').length > 3 && document.querySelector('#charts svg.course polyline')")
	worked := func(expression string) { // in the background, for some seconds
		t.Helper()
		for range 2000 {
			if browser.Eval[bool](p, "!!("+expression+")") {
				return
			}
			time.Sleep(300 * time.Millisecond)
		}
		p.Wait(expression)
	}
	worked("document.querySelectorAll('#parts tbody tr').length > 3")
	lead := browser.Eval[string](p, "document.querySelector('#lead').innerText")
	if !strings.HasPrefix(lead, "Buy ") && !strings.HasPrefix(lead, "Set ") && !strings.HasPrefix(lead, "Measure ") && !strings.HasPrefix(lead, "Nothing here") {
		t.Errorf("the page opens with %q", lead)
	}
	// Long work can be stopped, and goes on when it is let.
	p.Go(machine + "/track?against=as-found&budget=900")
	p.Wait("document.querySelector('#work button')")
	p.Click("#work button")
	p.Wait("document.querySelector('#work').innerText.startsWith('Stopped: ')")
	p.Click("#work a")
	worked("document.querySelector('#worth') && !document.querySelector('#work') || document.querySelector('#pairs')")
	p.Type("#sum", "400")
	p.Click("#budget button")
	worked("document.querySelector('#worth') && document.querySelector('#worth').innerText.includes('in this order')")
	if bad := browser.Eval[bool](p, "document.body.innerText.includes('NaN')"); bad {
		t.Error("the page shows what is not a number")
	}
	p.Type("#sum", "a lot")
	p.Click("#budget button")
	p.Wait("document.querySelector('#worth .wrong') && document.querySelector('#worth .wrong').innerText.includes('budget')")
	// Sprockets and start come last.
	p.Go(machine + "/track")
	worked("document.querySelectorAll('#pairs tbody tr').length > 3 && document.querySelectorAll('#gears tbody tr').length >= 3")
	p.Wait("(g => g && g.innerText.includes('teeth') && g.innerText.includes('pairs were ridden'))(document.querySelector('#gearing'))")
	// A recording is brought in and ridden, is there after a while, and goes again; what is none is refused with why.
	bad := filepath.Join(t.TempDir(), "words.gpx")
	good := filepath.Join(t.TempDir(), "round.csv")
	for file, text := range map[string]string{bad: "hello", good: roundRide()} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p.Click("#bring summary")
	p.Upload("#file", bad)
	p.Click("#bring button")
	p.Wait("document.querySelector('#bring .wrong') && document.querySelector('#bring .wrong').innerText.includes('words.gpx was not kept')")
	p.Upload("#file", good)
	p.Click("#bring button")
	p.Wait("(document.querySelector('#ridden') || {}).value === 'round.csv' && (document.querySelector('#said') || {innerText: ''}).innerText.includes('Kept round.csv') && document.querySelectorAll('#sections tbody tr').length > 3")
	if text := browser.Eval[string](p, "document.body.innerText"); !strings.Contains(text, "whole laps") || !strings.Contains(text, "On the logged ride the lap took 31.4") {
		t.Errorf("what was ridden is not told:\n%s", text)
	}
	worked("document.querySelector('#start') && document.querySelector('#start').innerText.includes('no starting line')")
	browser.Eval[string](p, "(e => { e.value = ''; e.dispatchEvent(new Event('change', {bubbles: true})); return '' })(document.querySelector('#ridden'))")
	p.Wait("!location.search.includes('round.csv') && (document.querySelector('#ridden') || {}).value === '' && document.querySelectorAll('#gears tbody tr').length >= 3")
	p.Go(machine + "/track?course=round.csv")
	p.Click("form[action*='ride/drop'] button")
	p.Wait("document.querySelectorAll('#ridden option').length === 1")
	// It can be put back.
	p.Click("#bring summary")
	p.Click("form[action*='ride/back'] button")
	p.Wait("(document.querySelector('#ridden') || {}).value === 'round.csv' && !document.querySelector(\"form[action*='ride/back']\")")
	// Compare says which build to go for by the lap, once that is known, below the one advice.
	p.Go(machine + "/compare")
	worked("document.querySelector('#compared').innerText.includes('Lap time') && /quickest lap|laps quicker/.test((document.querySelector('#second') || {innerText: ''}).innerText)")
	// Build and Report lead with the same advice, and the report has gained the lap.
	advice := browser.Eval[string](p, "document.querySelector('#lead').innerText")
	for _, page := range []string{"/build", "/report"} {
		p.Go(machine + page)
		worked("document.querySelector('#lead').innerText === " + strconv.Quote(advice))
	}
	if _, text := b.get(machine + "/report/page"); !strings.Contains(text, "<h2>The track") {
		t.Error("the report has no lap")
	}
}
