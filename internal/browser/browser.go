// Package browser opens pages in Debian's Chromium for tests: looks at them in any size, light or dark, prints them,
// and says which requests they made.
//
// A page's address goes in; screenshots, texts, printed pages and the list of requests come out. It knows nothing of
// the program's pages. Only tests use it.
package browser

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
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
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Minute)
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

// Click presses what a selector finds, with the mouse, once it is to be seen.
func (p *Page) Click(selector string) {
	p.t.Helper()
	p.onNode(chromedp.Click(selector, chromedp.NodeVisible))
}

// leaving says that a question came to a page just as it made room for another; it is asked again there.
func leaving(err error) bool {
	return strings.Contains(err.Error(), "target navigated") || strings.Contains(err.Error(), "context was destroyed") || strings.Contains(err.Error(), "context with specified id")
}

// onNode runs a step on an element, again when the page was swapped under it.
func (p *Page) onNode(step chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	var err error
	for range 5 {
		if err = chromedp.Do(p.ctx, step); err == nil || !leaving(err) && !strings.Contains(err.Error(), "node with given id") {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.check(err)
}

// Type puts text into a field in place of what is there, key by key, and leaves it with the tabulator.
func (p *Page) Type(selector, text string) {
	p.t.Helper()
	p.onNode(chromedp.Focus(selector, chromedp.NodeVisible))
	Eval[bool](p, "document.activeElement.select && (document.activeElement.select(), true) || false")
	p.Do(chromedp.KeyEvent(text), chromedp.KeyEvent("\t"))
}

// Wait waits until an expression of JavaScript holds in the page: a minute at most, for a machine that others use too.
func (p *Page) Wait(expression string) {
	p.t.Helper()
	for began := time.Now(); time.Since(began) < time.Minute; {
		holds, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("!!("+expression+")"))
		if err != nil && !leaving(err) {
			p.t.Fatal(err)
		}
		if holds && err == nil {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	p.t.Fatalf("never became true: %s\n%s", expression, Eval[string](p, "location.href + '\\n' + document.body.innerText.slice(0, 600)"))
}

// Drag moves the mouse with its button down, in steps, from the middle of what a selector finds.
func (p *Page) Drag(selector string, by float64) {
	p.t.Helper()
	at := Eval[[]float64](p, "(r => [r.x + r.width/2, r.y + r.height/2])((e => (e.scrollIntoView({block: 'center'}), e.getBoundingClientRect()))(document.querySelector('"+selector+"')))")
	p.Do(chromedp.DragAndDropXY(at[0], at[1], at[0]+by, at[1], 8))
}

// Upload chooses a file in a file field.
func (p *Page) Upload(selector, file string) {
	p.t.Helper()
	whole, err := filepath.Abs(file)
	p.check(err)
	p.Do(chromedp.SetUploadFiles(selector, []string{whole}))
}

// Another opens a second tab in the same browser.
func (p *Page) Another() *Page {
	p.t.Helper()
	ctx, cancel := chromedp.NewContext(p.ctx)
	p.t.Cleanup(cancel)
	other := &Page{t: p.t, ctx: ctx}
	p.check(chromedp.Do(ctx, chromedp.Navigate("about:blank")))
	return other
}

// Key presses one key by its name, such as ArrowRight.
func (p *Page) Key(name string) {
	p.t.Helper()
	for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
		_, err := chromedp.Call(p.ctx, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: name, Code: name})
		p.check(err)
	}
}

// EvalPromise is what a promise in the page comes to.
func EvalPromise[T any](p *Page, expression string) T {
	p.t.Helper()
	value, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	p.check(err)
	return value
}
