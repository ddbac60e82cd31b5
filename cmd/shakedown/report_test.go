package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"shakedown/internal/browser"
)

// written is the report of a build as a file.
func written(t testing.TB, build string, more ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), build+".html")
	s, out, errors := fixed()
	if code := run(append([]string{"report", example, "--build", build, "--out", file}, more...), s); code > 1 {
		t.Fatalf("exit code %d: %s", code, errors)
	}
	if strings.TrimSpace(out.String()) != file {
		t.Errorf("it does not say where the report is: %q", out)
	}
	return file
}

func TestReportHoldsWhatAReaderNeeds(t *testing.T) {
	text, err := os.ReadFile(written(t, "full"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"Buy &#34;Shock spring, 140 N/mm&#34; next", // the one sentence
		"Forged piston, 75.5 mm leads the longest wait",
		"invented",                                  // said of the example
		"Tip-over, rider centred", "0.496", "0.436", // before and after
		"high-piston", "214.00", "3 weeks", "12 months", // parts
		"10.6 to 1", "the claim holds", // claims judged
		"roll over", "Welding", "Compressed springs", "Gas-charged", // cautions
		"Local rules", "<svg", "docs/theory/chassis.md#tip-over", "fenmoor-t285.yaml:40",
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in the report", want)
		}
	}
	for _, bad := range []string{"http://", "https://", "<script", "NaN", "Inf", "%!", "<no value>", " src="} {
		if strings.Contains(strings.ReplaceAll(string(text), "http://www.w3.org/2000/svg", ""), bad) {
			t.Errorf("the report holds %q", bad)
		}
	}
}

// A name that is HTML stays text.
func TestReportEscapes(t *testing.T) {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	file, out := filepath.Join(t.TempDir(), "x.yaml"), filepath.Join(t.TempDir(), "x.html")
	spoilt := strings.Replace(string(text), "name: Fenmoor T285, 1983", `name: "<b onclick=alert(1)>T285</b>"`, 1)
	spoilt = strings.Replace(spoilt, "name: Wide axle, 30 mm, 90 mm more track", `name: "</td><script>alert(1)</script>"`, 1)
	if err := os.WriteFile(file, []byte(spoilt), 0o644); err != nil {
		t.Fatal(err)
	}
	s, _, errors := fixed()
	if code := run([]string{"report", file, "--quick", "--out", out}, s); code > 1 {
		t.Fatal(errors)
	}
	page, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(page), "<script") || strings.Contains(string(page), "<b onclick") {
		t.Error("a name from the sheet became HTML")
	}
}

func TestReportInTheBrowser(t *testing.T) {
	file := written(t, "full", "--quick")
	p := browser.Open(t)
	for _, look := range []struct {
		name          string
		width, height int64
		dark          bool
	}{{"report-1440-light", 1440, 900, false}, {"report-1440-dark", 1440, 900, true}, {"report-360-light", 360, 740, false}, {"report-360-dark", 360, 740, true}} {
		p.Look(look.width, look.height, look.dark)
		p.Go(browser.File(t, file))
		p.Shot(filepath.Join("..", "..", "out", look.name+".png"))
		if wide := browser.Eval[int64](p, "document.documentElement.scrollWidth"); wide > look.width {
			t.Errorf("%s: the page is %d px wide", look.name, wide)
		}
		if ground := browser.Eval[string](p, "getComputedStyle(document.body).backgroundColor"); (ground == "rgb(23, 26, 28)") != look.dark {
			t.Errorf("%s: the ground is %s", look.name, ground)
		}
	}
	for _, address := range p.Requests() {
		if !strings.HasPrefix(address, "file://") || !strings.HasSuffix(address, "full.html") {
			t.Errorf("the report asked for %s", address)
		}
	}
	if len(p.Requests()) != 4 {
		t.Errorf("%d requests were seen, want one for each visit", len(p.Requests()))
	}
	for name, paper := range map[string]chromedp.PaperSize{"a4": chromedp.PaperA4, "letter": chromedp.PaperLetter} {
		pdf := filepath.Join("..", "..", "out", "report-"+name+".pdf")
		if err := os.WriteFile(pdf, p.Print(paper), 0o644); err != nil {
			t.Fatal(err)
		}
		text, err := exec.Command("pdftotext", "-layout", pdf, "-").Output()
		if err != nil {
			t.Fatalf("pdftotext: %v", err)
		}
		for _, want := range []string{"leads the longest wait", "Tip-over, rider centred", "10.6 to 1", "roll over", "What to measure", "Source: Cossalter, Motorcycle Dynamics"} {
			if !strings.Contains(string(text), want) {
				t.Errorf("%s: %q is not printed", name, want)
			}
		}
		if pages := strings.Count(string(text), "\f"); pages < 2 || pages > 30 {
			t.Errorf("%s: %d pages", name, pages)
		}
	}
}

// The other layouts' reports fit a phone and need nothing from elsewhere either.
func TestReportsOfOtherLayouts(t *testing.T) {
	p := browser.Open(t)
	for _, name := range []string{"sallow-q250", "brackwater-246"} {
		file := filepath.Join(t.TempDir(), name+".html")
		s, _, errors := fixed()
		if code := run([]string{"report", "../../examples/" + name + ".yaml", "--units", "us", "--quick", "--out", file}, s); code != 0 {
			t.Fatalf("exit code %d: %s", code, errors)
		}
		for _, wide := range []int64{360, 1440} {
			p.Look(wide, 800, false)
			p.Go(browser.File(t, file))
			p.Shot(filepath.Join("..", "..", "out", fmt.Sprintf("%s-%d.png", name, wide)))
			if got := browser.Eval[int64](p, "document.documentElement.scrollWidth"); got > wide {
				t.Errorf("%s at %d px: the page is %d px wide", name, wide, got)
			}
			if views := browser.Eval[int64](p, "document.querySelectorAll('svg.drawing g[aria-label]').length"); views != 3 {
				t.Errorf("%s: %d views in the drawing, want three", name, views)
			}
		}
	}
	for _, address := range p.Requests() {
		if !strings.HasPrefix(address, "file://") {
			t.Errorf("a report asked for %s", address)
		}
	}
}

func BenchmarkReport(b *testing.B) {
	file := filepath.Join(b.TempDir(), "full.html")
	for b.Loop() {
		s, _, errors := fixed()
		if code := run([]string{"report", example, "--out", file}, s); code != 0 {
			b.Fatal(errors)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "reports/s")
}

// BenchmarkProcess is check and figures of the example as whole processes, built as for a release.
func BenchmarkProcess(b *testing.B) {
	program := filepath.Join(b.TempDir(), "shakedown")
	if out, err := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for _, command := range []string{"check", "figures", "version"} {
		b.Run(command, func(b *testing.B) {
			args := []string{command}
			if command != "version" {
				args = append(args, example)
			}
			for b.Loop() {
				if err := exec.Command(program, args...).Run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
