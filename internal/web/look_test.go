package web

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/browser"
	"shakedown/internal/workshop"
)

// bench is a running server for a test.
type bench struct {
	t        testing.TB
	URL      string
	Workshop *app.Workshop
	server   *Server
}

func open(t testing.TB) *bench {
	t.Helper()
	w, err := app.OpenWorkshop(t.Context(), filepath.Join(t.TempDir(), "w.shakedown"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	s := &Server{Workshop: w, Program: "shakedown test", Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	listening := httptest.NewUnstartedServer(nil)
	handler, err := s.Handler(listening.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	listening.Config.Handler = handler
	listening.Start()
	t.Cleanup(func() { listening.CloseClientConnections(); listening.Close() })
	return &bench{t, listening.URL, w, s}
}

// example opens an invented machine and gives the address of its pages.
func (b *bench) example(name string) string {
	b.t.Helper()
	r, err := b.Workshop.AddExample(b.t.Context(), name)
	if err != nil {
		b.t.Fatal(err)
	}
	return b.URL + "/m/" + r.Machine
}

// get fetches a page.
func (b *bench) get(address string) (int, string) {
	b.t.Helper()
	r, err := http.Get(address)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, string(text)
}

// post sends a form and gives the page that follows.
func (b *bench) post(address string, fields ...string) (int, string) {
	b.t.Helper()
	form := url.Values{}
	for i := 0; i < len(fields); i += 2 {
		form.Add(fields[i], fields[i+1])
	}
	r, err := http.PostForm(address, form)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, string(text)
}

// pagesToLookAt are all pages by a name for their pictures.
func pagesToLookAt(b *bench, machine string) map[string]string {
	return map[string]string{
		"home": b.URL + "/", "new": b.URL + "/new?layout=three-wheeler", "build": machine + "/build", "build-why": machine + "/build?why=chassis.tip_lateral", "build-try": machine + "/build?try=geometry.track_rear&value=950+mm",
		"machine": machine + "/machine", "parts": machine + "/parts?effects=yes", "engine": machine + "/engine", "cycle": machine + "/cycle?speed=5500", "track": machine + "/track?budget=700", "compare": machine + "/compare", "sheet": machine + "/sheet", "history": machine + "/history", "report": machine + "/report",
		"missing": b.URL + "/m/nobody/build",
	}
}

// No page scrolls sideways, and none asks for anything but this server.
func TestPagesInTheBrowser(t *testing.T) {
	t.Parallel()
	look(t, "")
}

// Pictures of every page in both widths, light and dark, in out.
func TestPicturesHeavy(t *testing.T) { heavy(t); look(t, "../../out") }

func heavy(t *testing.T) {
	t.Helper()
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("make test-heavy runs this")
	}
}

// look opens every page in a window of a desk and of a telephone; with a folder it takes pictures, light and dark.
func look(t *testing.T, folder string) {
	b := open(t)
	p := browser.Open(t)
	p.Go(b.URL + "/")
	shot := func(name string) {
		if folder != "" {
			p.Shot(filepath.Join(folder, "workbench-"+name+".png"))
		}
	}
	p.Look(1440, 900, false)
	shot("empty-1440-light")
	machine := b.example("fenmoor-t285.yaml")
	quad := b.example("sallow-q250.yaml")
	bike := b.example("brackwater-246.yaml")
	if _, err := b.Workshop.Set(t.Context(), strings.TrimPrefix(machine, b.URL+"/m/"), workshop.Setting{Path: "engine.bore", Old: "74.00 mm ± 0.01 measured", New: "2.9134 in ± 0.0004 measured"}); err != nil {
		t.Fatal(err)
	}
	pages := pagesToLookAt(b, machine)
	pages["quad"], pages["bike"], pages["conflicts"] = quad+"/build", bike+"/build", machine+"/build?build=overdone"
	looks := []struct {
		wide, high int64
		dark       bool
	}{{1440, 900, false}, {360, 740, false}}
	if folder != "" {
		looks = append(looks, looks...)
		looks[2].dark, looks[3].dark = true, true
	}
	for name, address := range pages {
		for _, look := range looks {
			p.Look(look.wide, look.high, look.dark)
			p.Go(address)
			if name == "engine" {
				p.Wait("document.querySelector('#curves')")
			}
			if name == "parts" {
				p.Wait("document.querySelectorAll('.part-card > p').length > 20")
			}
			if wide := browser.Eval[int64](p, "document.documentElement.scrollWidth"); wide > look.wide {
				t.Errorf("%s at %d px scrolls sideways to %d px", name, look.wide, wide)
			}
			shot(fmt.Sprintf("%s-%d-%s", name, look.wide, map[bool]string{false: "light", true: "dark"}[look.dark]))
		}
	}
	for _, address := range p.Requests() {
		if !strings.HasPrefix(address, b.URL+"/") && !strings.HasPrefix(address, "data:") && address != "about:blank" {
			t.Errorf("the page asked for %s", address)
		}
	}
}
