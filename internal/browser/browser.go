// Package browser opens pages in Debian's Chromium for tests: looks at them in any size, light or dark, prints them, and
// says which requests they made.
//
// A page's address goes in; screenshots, texts, printed pages and the list of requests come out. It knows nothing of the
// program's pages. Only tests use it.
package browser

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// Page is a tab.
type Page struct {
	t        testing.TB
	ctx      context.Context
	mu       sync.Mutex
	requests []string
}

// Open starts a browser with one tab that is closed when the test ends. Without Chromium the test is skipped, and fails
// when SHAKEDOWN_BROWSER=must.
func Open(t testing.TB) *Page {
	t.Helper()
	program, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("SHAKEDOWN_BROWSER") == "must" {
			t.Fatal("chromium is not here and SHAKEDOWN_BROWSER=must; make setup installs it on Debian")
		}
		t.Skip("chromium is not here; make test installs it on Debian")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("hide-scrollbars", true))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	p := &Page{t: t, ctx: ctx}
	if err := chromedp.Listen(ctx, func(event any) {
		if sent, ok := event.(*network.EventRequestWillBeSent); ok {
			p.mu.Lock()
			p.requests = append(p.requests, sent.Request.URL)
			p.mu.Unlock()
		}
	}); err != nil {
		t.Fatal(err)
	}
	_, err = chromedp.Call(ctx, network.Enable, network.EnableParams{})
	p.check(err)
	return p
}

func (p *Page) check(err error) {
	p.t.Helper()
	if err != nil {
		p.t.Fatal(err)
	}
}

// Do runs steps of chromedp.
func (p *Page) Do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	p.check(chromedp.Do(p.ctx, steps...))
}

// Go opens an address and waits until it is loaded.
func (p *Page) Go(address string) { p.t.Helper(); p.Do(chromedp.Navigate(address)) }

// File is the address of a file.
func File(t testing.TB, name string) string {
	t.Helper()
	whole, err := filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	return "file://" + filepath.ToSlash(whole)
}

// Look sets the size of the window and whether its owner likes it dark.
func (p *Page) Look(width, height int64, dark bool) {
	p.t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	p.Do(chromedp.EmulateViewport(width, height))
	_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	p.check(err)
}

// Shot writes a picture of the whole page.
func (p *Page) Shot(file string) {
	p.t.Helper()
	picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
	p.check(err)
	p.check(os.MkdirAll(filepath.Dir(file), 0o755))
	p.check(os.WriteFile(file, picture, 0o644))
}

// Eval is what an expression of JavaScript gives in the page.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	value, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	p.check(err)
	return value
}

// Print is the page printed as PDF.
func (p *Page) Print(paper chromedp.PaperSize) []byte {
	p.t.Helper()
	pdf, err := chromedp.Run(p.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPrintBackground()))
	p.check(err)
	return pdf
}

// Requests lists the addresses that were asked for so far.
func (p *Page) Requests() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.requests...)
}
