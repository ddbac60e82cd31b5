package web

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/internal/jobs"
	"shakedown/internal/workshop"
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed assets
var assetFiles embed.FS

// Server serves the pages of one workshop.
type Server struct {
	Workshop *app.Workshop
	Program  string // name and version
	Log      *slog.Logger

	desk  jobs.Desk
	board board
	pages map[string]*template.Template
}

// Largest bodies of requests.
const (
	largestForm   = 4 << 20 // a sheet's text, twice over
	largestUpload = workshop.MaxImport + 1<<20
	mostDiscarded = 1 << 30 // of a body that is too large
)

// Serve answers requests on a listener of this machine until the context ends, then finishes what is under way, within
// two seconds.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	handler, err := s.Handler(l.Addr().String())
	if err != nil {
		return err
	}
	long, stopLong := context.WithCancel(context.Background()) // streams end when the server does
	defer stopLong()
	server := &http.Server{
		Handler: handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, MaxHeaderBytes: 1 << 16,
		BaseContext: func(net.Listener) context.Context { return long }, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	stopLong()
	end, cancel := context.WithTimeout(context.Background(), 1500*time.Millisecond)
	defer cancel()
	s.desk.Stop(end)
	if err := server.Shutdown(end); err != nil {
		return server.Close()
	}
	return nil
}

// Handler is all pages behind the guard, for a server at an address such as 127.0.0.1:4711.
func (s *Server) Handler(address string) (http.Handler, error) {
	hosts, err := hostsOf(address)
	if err != nil {
		return nil, err
	}
	if s.pages, err = parsePages(); err != nil {
		return nil, err
	}
	assets, err := fs.Sub(assetFiles, "assets")
	if err != nil {
		return nil, err
	}
	s.desk.Log = s.Log
	mux := http.NewServeMux()
	mux.Handle("GET /assets/", http.StripPrefix("/assets/", cached(http.FileServerFS(assets))))
	pages := map[string]page{
		"GET /{$}":                   s.home,
		"GET /new":                   s.newMachine,
		"POST /new":                  s.beginMachine,
		"POST /example":              s.addExample,
		"POST /import":               s.importFile,
		"GET /workshop.zip":          s.exportAll,
		"POST /units":                s.setUnits,
		"GET /m/{id}/{$}":            s.toBuild,
		"GET /m/{id}/build":          s.build,
		"POST /m/{id}/away":          s.putAway,
		"GET /m/{id}/machine":        s.machine,
		"GET /m/{id}/parts":          s.parts,
		"GET /m/{id}/engine":         s.engine,
		"GET /m/{id}/cycle":          s.cycle,
		"GET /m/{id}/track":          s.track,
		"POST /m/{id}/track/stop":    s.stopTrack,
		"POST /m/{id}/ride":          s.keepRide,
		"POST /m/{id}/ride/drop":     s.dropRide,
		"POST /m/{id}/ride/back":     s.restoreRide,
		"GET /m/{id}/ride/file":      s.rideFile,
		"GET /m/{id}/compare":        s.compare,
		"GET /m/{id}/sheet":          s.sheet,
		"GET /m/{id}/history":        s.history,
		"GET /m/{id}/report":         s.report,
		"GET /m/{id}/report/page":    s.reportPage,
		"GET /m/{id}/sheet.yaml":     s.sheetFile,
		"GET /m/{id}/machine.zip":    s.exportOne,
		"GET /m/{id}/events":         s.events,
		"POST /m/{id}/set":           s.set,
		"POST /m/{id}/measure":       s.measure,
		"POST /m/{id}/switch":        s.switchPart,
		"POST /m/{id}/builds":        s.addBuild,
		"POST /m/{id}/builds/remove": s.removeBuild,
		"POST /m/{id}/parts/add":     s.addParts,
		"POST /m/{id}/sheet":         s.saveSheet,
		"POST /m/{id}/sheet/look":    s.lookAtSheet,
		"POST /m/{id}/sheet/drop":    s.dropDraft,
		"POST /m/{id}/undo":          s.undo,
		"POST /m/{id}/redo":          s.redo,
		"POST /m/{id}/restore":       s.restore,
		"POST /m/{id}/effects/stop":  s.stopEffects,
	}
	for pattern, page := range pages {
		mux.Handle(pattern, s.handle(page))
		if address, ok := strings.CutPrefix(pattern, "POST "); ok && pages["GET "+address] == nil {
			mux.Handle("GET "+address, s.handle(s.pageOf(address)))
		}
	}
	return s.logged(guarded(hosts, mux)), nil
}

// pageOfAction are the pages on which an action is found, by the beginning of its address; the Build page for others.
var pageOfAction = map[string]string{"ride": "track", "track": "track", "measure": "machine", "parts": "parts", "effects": "parts", "sheet": "sheet", "restore": "history"}

// pageOf leads a browser that opens the address of an action, after a reload or out of its history, to the page where
// that is found. Nothing is changed by it.
func (s *Server) pageOf(address string) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		to := "/"
		if action, ok := strings.CutPrefix(address, "/m/{id}/"); ok && action != "away" {
			action, _, _ = strings.Cut(action, "/")
			what := pageOfAction[action]
			if what == "" {
				what = "build"
			}
			q := askingOf(r)
			to = (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against, course: q.question.Course}).At(what)
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
}

// page answers one request. An error becomes a page that says what went wrong.
type page func(w http.ResponseWriter, r *http.Request) error

func (s *Server) handle(p page) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		err := faults.Catch(func() error {
			if err := readForm(w, r); err != nil {
				return err
			}
			return p(w, r)
		})
		var large *http.MaxBytesError
		var fault *faults.Fault
		if broken, ok := asked.IsBroken(err); ok && r.PathValue("id") != "" {
			err = s.showBroken(w, r, http.StatusOK, broken, nil)
		}
		switch {
		case err == nil:
		case errors.As(err, &fault):
			s.Log.Error("a fault ended a request", "path", r.URL.Path, "error", fault, "trace", fault.Trace)
			s.fail(w, r, http.StatusInternalServerError, fault)
		case errors.As(err, &large):
			s.fail(w, r, http.StatusRequestEntityTooLarge, fmt.Errorf("that is more than %d MB: nothing of it was read, and nothing was changed", large.Limit>>20))
		case errors.Is(err, workshop.ErrNothing):
			s.fail(w, r, http.StatusNotFound, errors.New("there is no such machine or revision in this workshop"))
		case errors.Is(err, context.Canceled) && r.Context().Err() != nil:
		case asked.ExitOf(err) == asked.BadInput:
			s.fail(w, r, statusOf(err), err)
		default:
			s.Log.Error("a request failed", "path", r.URL.Path, "error", err)
			s.fail(w, r, http.StatusInternalServerError, err)
		}
	})
}

// statusOf is the status of an answer to bad input.
func statusOf(err error) int {
	if faults.IsTooLarge(err) {
		return http.StatusRequestEntityTooLarge
	}
	return http.StatusUnprocessableEntity
}

// readForm reads what a form sends before anything is done with it: a part of it that is missing must not be taken for
// an empty field.
func readForm(w http.ResponseWriter, r *http.Request) error {
	if r.Method != http.MethodPost {
		return nil
	}
	limit, read := int64(largestForm), r.ParseForm
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		limit, read = largestUpload, func() error { return r.ParseMultipartForm(8 << 20) }
	}
	if r.ContentLength > limit {
		// A browser shows the answer only when it could send all that it had to say.
		_, _ = io.CopyN(io.Discard, r.Body, min(r.ContentLength, mostDiscarded))
		return &http.MaxBytesError{Limit: limit}
	}
	r.Body = http.MaxBytesReader(w, r.Body, limit)
	err := read()
	var large *http.MaxBytesError
	if err == nil || errors.As(err, &large) || r.Context().Err() != nil {
		return err
	}
	return faults.Mendable(fmt.Errorf("what was sent is not whole (%w); nothing was changed: send it again", err))
}

// logged writes one line for each request.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		seen := &answered{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(seen, r)
		level := slog.LevelDebug
		if seen.status >= http.StatusInternalServerError {
			level = slog.LevelError
		} else if seen.status == http.StatusForbidden || seen.status == http.StatusMisdirectedRequest {
			level = slog.LevelWarn
		}
		s.Log.Log(r.Context(), level, "request", "method", r.Method, "path", r.URL.Path, "status", seen.status, "took", time.Since(began).Round(100*time.Microsecond))
	})
}

// answered remembers the status.
type answered struct {
	http.ResponseWriter
	status int
}

func (a *answered) WriteHeader(status int) { a.status = status; a.ResponseWriter.WriteHeader(status) }

// Unwrap lets the streams flush.
func (a *answered) Unwrap() http.ResponseWriter { return a.ResponseWriter }

// cached lets the browser keep what has its version in its name or belongs to this program's build.
func cached(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-cache")
		next.ServeHTTP(w, r)
	})
}
