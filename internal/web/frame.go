package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"

	"shakedown/internal/app/asked"
	"shakedown/internal/workshop"
	"shakedown/quantity"
	"shakedown/report"
)

// frame is what every page has around it.
type frame struct {
	Title, Page  string
	Program      string
	Here         string // address of this page, to come back to
	US           bool
	Said         string // what the last request did, or what went wrong with it
	SaidBad      bool
	M            *bar        // the machine that is looked at; nil on pages of the workshop
	Broken       *brokenView // the build that is looked at, or its baseline, cannot be computed
	OthersBroken []string    // builds of this machine that cannot be, beside it
}

// brokenView is a build that physics forbids, as a page tells of it.
type brokenView struct {
	Build, Words string
	Faults       []workshop.Diagnostic
}

// bar is the head of a machine's pages.
type bar struct {
	ID, Name          string
	Builds            []string
	Build, Against    string
	Cost, Ready, Race string
	Revision          int
	Undo, Redo        bool
	Pages             []pageLink
	more              string // of the query, kept from page to page
	budget            string // of the query, for the stream of a page's work
	course            string // recording that the Track page goes along
	why               string // figure whose basis stands open on the Build page
	all               bool   // the Build page shows every figure
}

type pageLink struct {
	ID, Name, Link string
	Rule           bool // a line before it
}

// pageNames are the pages of a machine in the order of the job.
var pageNames = []pageLink{{ID: "machine", Name: "Machine"}, {ID: "parts", Name: "Parts"}, {ID: "build", Name: "Build"}, {ID: "engine", Name: "Engine"}, {ID: "track", Name: "Track"}, {ID: "compare", Name: "Compare"}, {ID: "report", Name: "Report"},
	{ID: "sheet", Name: "Sheet", Rule: true}, {ID: "history", Name: "History"}}

// At is the address of a page or an action of the machine, for the build that is looked at. An action knows what stands
// open on the page, and leaves it open.
func (b *bar) At(what string) string {
	query := url.Values{}
	action := !slices.ContainsFunc(pageNames, func(p pageLink) bool { return p.ID == what })
	if action && what != "events" {
		b.open(query)
	}
	if b.Build != "" {
		query.Set("build", b.Build)
	}
	if b.Against != "" {
		query.Set("against", b.Against)
	}
	address := b.Path(what)
	if b.course != "" && (action || what == "track") {
		query.Set("course", b.course)
	}
	if what == "events" && b.more != "" {
		query.Set("work", b.more)
		if b.budget != "" {
			query.Set("budget", b.budget)
		}
		query.Set("revision", strconv.Itoa(b.Revision))
	}
	if len(query) > 0 {
		address += "?" + query.Encode()
	}
	return address
}

// open puts what stands open on the Build page into a query.
func (b *bar) open(query url.Values) {
	if b.why != "" {
		query.Set("why", b.why)
	}
	if b.all {
		query.Set("all", "yes")
	}
}

// Same is the address of the page as it is looked at.
func (b *bar) Same(page string) string {
	return b.with(page, "why", b.why, "all", yes(b.all))
}

func (b *bar) with(what string, pairs ...string) string {
	address := b.At(what)
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] == "" {
			continue
		}
		join := "&"
		if !strings.Contains(address, "?") {
			join = "?"
		}
		address += join + url.QueryEscape(pairs[i]) + "=" + url.QueryEscape(pairs[i+1])
	}
	return address
}

// Why is the address of the Build page with a figure's basis open, or closed again.
func (b *bar) Why(id string, all bool, now string) string {
	if id == now {
		id = ""
	}
	return b.with("build", "why", id, "all", yes(all))
}

// AllFigures is the address of the Build page with every figure, or without the details.
func (b *bar) AllFigures(all bool) string { return b.with("build", "all", yes(!all)) }

// Input is the address of an input on the Machine page.
func (b *bar) Input(path string) string { return b.At("machine") + "#f-" + url.PathEscape(path) }

// Effects is the address of the Parts page on which the effects are worked out.
func (b *bar) Effects() string { return b.with("parts", "effects", "yes") }

// Line is the address of a line of the sheet.
func (b *bar) Line(n int) string { return b.with("sheet", "line", strconv.Itoa(n)) }

// RideFile is the address of a recording as it came.
func (b *bar) RideFile(name string) string { return b.with("ride/file", "name", name) }

// Path is the address of a page without its query, as forms that fill it in want it.
func (b *bar) Path(what string) string { return "/m/" + url.PathEscape(b.ID) + "/" + what }

// Cycle is the address of one cycle at an engine speed [rpm], 0 for the page's own choice.
func (b *bar) Cycle(speed float64) string {
	if speed == 0 {
		return b.At("cycle")
	}
	return b.with("cycle", "speed", strconv.FormatFloat(speed, 'f', 0, 64))
}

func yes(is bool) string {
	if is {
		return "yes"
	}
	return ""
}

// asking is the machine and build that a request is about.
type asking struct {
	id       string
	question asked.Question
}

func askingOf(r *http.Request) asking {
	q := r.URL.Query()
	return asking{r.PathValue("id"), asked.Question{Build: q.Get("build"), Against: q.Get("against"), Course: q.Get("course"), System: systemOf(r)}}
}

const unitsCookie = "units"

func systemOf(r *http.Request) quantity.System {
	if c, err := r.Cookie(unitsCookie); err == nil && c.Value == "us" {
		return quantity.US
	}
	return quantity.Metric
}

// answer asks the workshop. A build that is not there any more is replaced by the sheet's own choice; one that is there
// and cannot be computed is not.
func (s *Server) answer(r *http.Request, q asking) (*asked.Answer, workshop.Revision, error) {
	q.question.Kept = s.Workshop.SlowKept(r.Context(), s.Program)
	a, head, err := s.Workshop.Ask(r.Context(), q.id, q.question)
	if _, broken := asked.IsBroken(err); broken {
		return nil, head, err
	}
	if err != nil && (q.question.Build != "" || q.question.Against != "") && asked.ExitOf(err) == asked.BadInput {
		q.question.Build, q.question.Against = "", ""
		a, head, err = s.Workshop.Ask(r.Context(), q.id, q.question)
	}
	if err == nil {
		s.Workshop.Sharpen(r.Context(), a, s.Program)
	}
	return a, head, err
}

// answerOrBroken is answer for pages that have something to show of a build that cannot be computed: then the answer
// has no figures.
func (s *Server) answerOrBroken(r *http.Request, q asking) (*asked.Answer, workshop.Revision, *asked.BrokenBuild, error) {
	a, head, err := s.answer(r, q)
	if broken, ok := asked.IsBroken(err); ok {
		return broken.Answer, head, broken, nil
	}
	return a, head, nil, err
}

// brokenFrame is the frame of a page about a build that cannot be computed; nil leaves it as that of any other.
func (s *Server) brokenFrame(r *http.Request, page string, a *asked.Answer, head workshop.Revision, broken *asked.BrokenBuild) frame {
	f := s.frameOf(r, page, a, head)
	if broken != nil {
		f.Broken = &brokenView{broken.Build, broken.Words(), slices.Clone(broken.Faults)}
		for i := range f.Broken.Faults {
			f.Broken.Faults[i].Problem = quantity.Capital(f.Broken.Faults[i].Problem)
		}
		f.OthersBroken = slices.DeleteFunc(f.OthersBroken, func(name string) bool { return name == broken.Build })
	}
	return f
}

// frameOf is the frame of a machine's page.
func (s *Server) frameOf(r *http.Request, page string, a *asked.Answer, head workshop.Revision) frame {
	b := &bar{ID: head.Machine, Name: a.Named(), Builds: a.Sheet.Project.BuildNames(), Build: a.Build.Name, Against: a.Baseline.Name, Cost: a.CostText(),
		Ready: asked.Date(a.Plan.Ready), Revision: head.Number, Undo: head.Undo > 0, Redo: head.Redo > 0}
	if race := a.Sheet.Project.RaceDay; !race.IsZero() {
		b.Race = asked.Date(race)
	}
	for _, p := range pageNames {
		p.Link = b.At(p.ID)
		b.Pages = append(b.Pages, p)
	}
	f := s.plainFrame(r, page, b.Name+": "+page)
	f.M, f.OthersBroken = b, s.Workshop.BrokenBuilds(a)
	return f
}

// plainFrame is the frame of a page of the workshop.
func (s *Server) plainFrame(r *http.Request, page, title string) frame {
	here := r.URL.RequestURI()
	if r.Method != http.MethodGet {
		here = "/"
	}
	return frame{Title: title, Page: page, Program: s.Program, Here: here, US: systemOf(r) == quantity.US}
}

// saidCookie carries what a request did to the page that is shown next.
const saidCookie = "said"

// turn answers a request that changed something: the browser fetches the page that shows it.
func (s *Server) turn(w http.ResponseWriter, r *http.Request, to, said string) error {
	if said != "" {
		http.SetCookie(w, &http.Cookie{Name: saidCookie, Value: url.QueryEscape(said), Path: "/", MaxAge: 20, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// backTo is the page a change was made on, for the build that was looked at.
func backTo(r *http.Request, q asking) string {
	page := r.PostFormValue("back")
	known := false
	for _, p := range pageNames {
		known = known || p.ID == page
	}
	if !known {
		page = "build"
	}
	b := bar{ID: q.id, Build: q.question.Build, Against: q.question.Against, course: q.question.Course}
	if page == "build" {
		b.why, b.all = r.URL.Query().Get("why"), r.URL.Query().Get("all") != ""
	}
	return b.Same(page)
}

// show writes a page. What the last request did is told once.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, data interface{ frameRef() *frame }) error {
	f := data.frameRef()
	if c, err := r.Cookie(saidCookie); err == nil && f.Said == "" && status == http.StatusOK {
		if said, err := url.QueryUnescape(c.Value); err == nil {
			f.Said = said
		}
		http.SetCookie(w, &http.Cookie{Name: saidCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	}
	var b bytes.Buffer
	if err := s.pages[name].ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("the template %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err := w.Write(b.Bytes())
	if err != nil {
		s.Log.Debug("the browser went away", "error", err)
	}
	return nil
}

func (f *frame) frameRef() *frame { return f }

// parsePages reads the templates: each page with the layout.
func parsePages() (map[string]*template.Template, error) {
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	pages := map[string]*template.Template{}
	for _, name := range names {
		if base := path.Base(name); base != "layout.html" {
			t, err := template.New(base).Parse(report.AnswerTemplate)
			if err == nil {
				t, err = t.ParseFS(templateFiles, "templates/layout.html", name)
			}
			if err != nil {
				return nil, err
			}
			pages[base] = t
		}
	}
	return pages, nil
}

// failedPage says what went wrong.
type failedPage struct {
	frame
	Lead, Way string
	Faults    []workshop.Diagnostic
}

func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, err error) {
	p := failedPage{frame: s.plainFrame(r, "", "That did not work"), Lead: err.Error(), Way: "/"}
	if faults := workshop.FaultsOf(err); len(faults) > 0 {
		p.Lead, p.Faults = "The sheet has errors; nothing was changed.", faults
	}
	if id := r.PathValue("id"); id != "" && status != http.StatusNotFound {
		p.Way = (&bar{ID: id}).At("build")
	}
	if err := s.show(w, r, status, "failed.html", &p); err != nil {
		s.Log.Error("the page of a failure failed", "error", err)
		http.Error(w, "something went wrong; see the log", http.StatusInternalServerError)
	}
}

// wrong is what was wrong with an input that somebody typed.
type wrong struct {
	path, typed, words string
	theirs             string // what stands there now, when that was the trouble
}

// wrongOf words an error about one input for the place where it was typed.
func wrongOf(err error, path, typed string) (wrong, bool) {
	var clash *workshop.EditClash
	switch {
	case errors.As(err, &clash):
		return wrong{path, typed, fmt.Sprintf("This was changed meanwhile: it is %q now (revision %d). Yours, %q, is not saved.", clash.Theirs, clash.Now.Number, typed), clash.Theirs}, true
	case asked.ExitOf(err) != asked.BadInput:
		return wrong{}, false
	}
	if faults := workshop.FaultsOf(err); len(faults) > 0 {
		var words []string
		for _, f := range faults {
			words = append(words, strings.TrimSuffix(f.Problem, ".")+". Expected: "+f.Expected+". "+f.Remedy)
		}
		return wrong{path: path, typed: typed, words: strings.Join(words, "\n") + "\nNothing is saved."}, true
	}
	return wrong{path: path, typed: typed, words: err.Error() + "\nNothing is saved."}, true
}

// brokenPage is what there is to do about a build that cannot be computed.
type brokenPage struct {
	frame
	Parts []asked.InArea[asked.Switch]
}

// showBroken shows a build that cannot be computed with its errors and its parts, so that it can be mended there.
func (s *Server) showBroken(w http.ResponseWriter, r *http.Request, status int, broken *asked.BrokenBuild, bad *wrong) error {
	head, err := s.Workshop.Head(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	p := brokenPage{s.brokenFrame(r, "build", broken.Answer, head, broken), broken.Answer.Switches()}
	if bad != nil {
		p.Said, p.SaidBad = bad.words, true
	}
	return s.show(w, r, status, "broken.html", &p)
}
