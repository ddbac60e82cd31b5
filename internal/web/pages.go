package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/worth"
	"shakedown/internal/workshop"
	"shakedown/report"
)

// trying is a value that is looked at without being saved.
type trying struct{ Path, What, Value, Where, Old, New string }

// tried lays what a request tries over the newest text.
func (s *Server) tried(r *http.Request, q *asking) (*trying, error) {
	path, value := r.URL.Query().Get("try"), r.URL.Query().Get("value")
	if path == "" || value == "" {
		return nil, nil
	}
	t, text, err := s.Workshop.Try(r.Context(), q.id, q.question, path, value)
	if err != nil {
		return nil, err
	}
	q.question.Text = text
	return &trying{t.Path, t.What, t.Value, t.Where, t.Old, t.New}, nil
}

// buildPage is one build against another.
type buildPage struct {
	frame
	drawing
	Try    *trying
	Waits  bool // for the torque curve
	Advice string
	Parts  []asked.InArea[asked.Switch]
	report.Findings
	Groups          []report.Group
	All             bool
	Why             string
	Basis           *report.BasisText
	Typical, Inputs int
	Claims          []report.Claim
	Steps           []report.StepRow
	Wanted          []report.Wanted
}

// drawing is what the template of the drawing needs.
type drawing struct {
	Views          []report.View
	Tips, Compared bool
	Against        string
}

func drawingOf(a *asked.Answer) drawing {
	d := a.Drawing()
	d.Handles = true
	return drawing{d.Views(), d.Layout != "bike", a.Build.Name != a.Baseline.Name, a.Baseline.Name}
}

func (s *Server) build(w http.ResponseWriter, r *http.Request) error {
	return s.showBuild(w, r, askingOf(r), http.StatusOK, nil)
}

func (s *Server) showBuild(w http.ResponseWriter, r *http.Request, q asking, status int, bad *wrong) error {
	try, err := s.tried(r, &q)
	if err != nil {
		return err
	}
	a, head, err := s.answer(r, q)
	if broken, ok := asked.IsBroken(err); ok {
		return s.showBroken(w, r, status, broken, bad)
	}
	if err != nil {
		return err
	}
	query := r.URL.Query()
	p := buildPage{frame: s.frameOf(r, "build", a, head), drawing: drawingOf(a), Try: try, Parts: a.Switches(),
		Findings: report.Sort(a.Findings), All: query.Get("all") != "", Why: query.Get("why"), Typical: len(a.Typical), Inputs: a.Inputs,
		Claims: a.Verdicts, Steps: report.LongestWait(a.Plan), Wanted: report.WantedRows(a.Measure, a.Figures)}
	p.M.why, p.M.all = p.Why, p.All
	p.Groups = report.Groups(a.Figures, p.All, a.System)
	worthWaits := s.Workshop.Decide(r.Context(), a, s.Program)
	p.Advice = a.Advice.Text
	switch p.Waits = a.Waits && try == nil; {
	case p.Waits:
		p.M.more = "curve"
	case try == nil && worthWaits:
		p.M.more = laterValue
	}
	if f, err := a.Figure(p.Why); p.Why != "" && err == nil {
		basis := report.BasisOf(f, a.System)
		p.Basis = &basis
	}
	if bad != nil {
		p.Said, p.SaidBad = bad.path+": "+bad.words, true
	}
	return s.show(w, r, status, "build.html", &p)
}

// fieldView is an input with what its form needs.
type fieldView struct {
	asked.InputView
	Action, Back, Reload string
	Shown                string // in the field
	Wrong, Theirs        string
}

// fielded is a page with inputs.
type fielded struct {
	bar   *bar
	back  string
	wrong *wrong
}

// Field is an input ready for its template.
func (f fielded) Field(in asked.InputView) fieldView {
	v := fieldView{InputView: in, Action: f.bar.At("set"), Back: f.back, Reload: f.bar.At(f.back), Shown: in.Text}
	if f.wrong != nil && f.wrong.path == in.Path {
		v.Shown, v.Wrong, v.Theirs = f.wrong.typed, f.wrong.words, f.wrong.theirs
	}
	return v
}

// worksheetView is a worksheet with what was wrong with its readings.
type worksheetView struct {
	asked.WorksheetView
	Title, Wrong string
}

type machinePage struct {
	frame
	drawing
	fielded
	Lead   string
	Second string // which measurement would narrow the figures most
	Try    *trying
	Groups []asked.InputGroup
	Sheets []worksheetView
	Tip    []report.Row
	Wanted []report.Wanted
	Care   []string
}

// OpenGroup says that what is wrong stands among what nobody had given.
func (p *machinePage) OpenGroup(g asked.InputGroup) bool {
	return p.wrong != nil && slices.ContainsFunc(g.Absent, func(in asked.InputView) bool { return in.Path == p.wrong.path })
}

func (s *Server) machine(w http.ResponseWriter, r *http.Request) error {
	return s.showMachine(w, r, askingOf(r), http.StatusOK, nil, nil)
}

// showMachine shows the inputs; the drawing and its figures are those of the baseline, which is the machine as it
// stands.
func (s *Server) showMachine(w http.ResponseWriter, r *http.Request, q asking, status int, bad *wrong, measured *wrong) error {
	whole, head, broken, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	p := machinePage{frame: s.brokenFrame(r, "machine", whole, head, broken), Care: asked.MeasuringCare()}
	if broken == nil {
		if s.Workshop.Decide(r.Context(), whole, s.Program) {
			p.M.more = laterValue
		}
		p.Lead, p.Second, p.Wanted = whole.Advice.Text, whole.MeasureFirst(), report.WantedRows(whole.Measure, whole.Figures)
	}
	p.fielded = fielded{p.M, "machine", bad}
	q.question.Build, q.question.Against = p.M.Against, p.M.Against
	if p.Try, err = s.tried(r, &q); err != nil {
		return err
	}
	a, _, none, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	if none == nil {
		p.drawing = drawingOf(a)
	}
	if p.Groups, err = asked.Inputs(whole.Sheet, head.Text, whole.System); err != nil {
		return err
	}
	sheets, err := asked.Worksheets(whole.Sheet, head.Text, whole.System)
	if err != nil {
		return err
	}
	for _, sh := range sheets {
		v := worksheetView{WorksheetView: sh, Title: strings.ReplaceAll(sh.Name, "_", " ")}
		if measured != nil && measured.path == sh.Name {
			v.Wrong = measured.words
			r.ParseForm() // what was typed stays
			for i, reading := range v.Readings {
				v.Readings[i].Text = r.PostForm.Get("new:" + reading.Path)
			}
		}
		p.Sheets = append(p.Sheets, v)
	}
	if measured != nil && !slices.ContainsFunc(p.Sheets, func(v worksheetView) bool { return v.Wrong != "" }) {
		p.Said, p.SaidBad = measured.words, true
	}
	for _, g := range report.Groups(a.Figures, false, a.System) {
		for _, row := range g.Rows {
			if strings.HasPrefix(row.ID, "chassis.tip_lateral") || row.ID == "chassis.lean_at_half_g" || row.ID == "chassis.wheelie_limit" {
				p.Tip = append(p.Tip, row)
			}
		}
	}
	return s.show(w, r, status, "machine.html", &p)
}

// partCard is a part with what it does.
type partCard struct {
	asked.PartView
	Effect *worth.Effect
	Note   string
	Open   bool
}

type partCards struct {
	Area  string
	Parts []partCard
}

type partsPage struct {
	frame
	fielded
	Lead           string
	Groups         []partCards
	Running, Known bool
	Done, Total    int
	NewPart        []newField
	List, Columns  string
}

type newField struct{ Name, Words, Value, Example string }

func (s *Server) parts(w http.ResponseWriter, r *http.Request) error {
	return s.showParts(w, r, askingOf(r), http.StatusOK, nil)
}

func (s *Server) showParts(w http.ResponseWriter, r *http.Request, q asking, status int, bad *wrong) error {
	a, head, broken, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	groups, err := asked.PartViews(a, head.Text)
	if err != nil {
		return err
	}
	p := partsPage{frame: s.brokenFrame(r, "parts", a, head, broken), Lead: a.OnOffer()}
	p.fielded = fielded{p.M, "parts", bad}
	want := r.URL.Query().Get("effects") != ""
	found := s.effectsKnown(effectsKey(head, q.question.System, p.M.Against))
	p.Done, p.Total = len(found.list), max(1, found.total)
	p.Running = want && !found.whole
	p.Known = len(found.list) > 0 && !p.Running
	if want {
		p.M.more = "effects"
	}
	for _, g := range groups {
		cards := partCards{Area: g.Area}
		for _, v := range g.Parts {
			c := partCard{PartView: v, Effect: found.of(v.ID), Note: v.Words(), Open: bad != nil && strings.HasPrefix(bad.path, "parts."+v.ID+".")}
			cards.Parts = append(cards.Parts, c)
		}
		p.Groups = append(p.Groups, cards)
	}
	for _, f := range workshop.NewPartFields {
		p.NewPart = append(p.NewPart, newField{f.Name, f.Words, r.PostFormValue(f.Name), f.Example})
	}
	p.List, p.Columns = r.PostFormValue("list"), r.PostFormValue("columns")
	if bad != nil && !strings.HasPrefix(bad.path, "parts.") {
		p.Said, p.SaidBad = bad.words, true
	}
	return s.show(w, r, status, "parts.html", &p)
}

type comparePage struct {
	frame
	Lead     string
	Second   string // what the builds lap, in a sentence
	Choices  []choice
	Compared report.Answer
}

type choice struct {
	Name string
	In   bool
}

func (s *Server) compare(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	a, head, broken, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	p, waits := comparePage{frame: s.brokenFrame(r, "compare", a, head, broken)}, false
	if broken == nil {
		waits = s.Workshop.Decide(r.Context(), a, s.Program)
		p.Lead = a.Advice.Text
	}
	if len(p.M.Builds) == 1 {
		p.Second = "There is one build only: add another on the Build page, with other parts, and see both side by side here."
	}
	query := r.URL.Query()
	var with []string
	for _, name := range p.M.Builds {
		if query.Get("chosen") == "" || slices.Contains(query["with"], name) || name == p.M.Against {
			with = append(with, name)
		}
	}
	q.question.Against = p.M.Against
	q.question.Kept = s.Workshop.SlowKept(r.Context(), s.Program)
	c, err := s.Workshop.Compare(r.Context(), q.id, q.question, with)
	if err != nil {
		return err
	}
	ridden := false
	if len(p.M.Builds) > 1 {
		if ridden = s.Workshop.RideKept(r.Context(), c, s.Program); !ridden {
			p.M.more, waits = "laps", false
		}
	}
	p.Compared = c.Answer().Part()
	if ridden {
		p.Second = p.Compared.Lead
	}
	p.Compared.Lead = ""
	if waits {
		p.M.more = laterValue
	}
	for _, name := range p.M.Builds {
		p.Choices = append(p.Choices, choice{name, slices.Contains(with, name)})
	}
	return s.show(w, r, http.StatusOK, "compare.html", &p)
}

type reportFrame struct {
	frame
	Advice, File string
	Inner        string // address of the report itself
}

func (s *Server) report(w http.ResponseWriter, r *http.Request) error {
	a, head, err := s.answer(r, askingOf(r))
	if err != nil {
		return err
	}
	waits := s.Workshop.Decide(r.Context(), a, s.Program)
	known := s.Workshop.ValueKept(r.Context(), a, s.Program, "") != nil
	p := reportFrame{frame: s.frameOf(r, "report", a, head), Advice: a.Advice.Text, File: a.ReportName()}
	if waits || !known {
		p.M.more = laterValue
	}
	p.Inner = p.M.with("report/page", "track", yes(known)) // another address once it holds more
	return s.show(w, r, http.StatusOK, "report.html", &p)
}

// reportPolicy lets the report have its own style, and be shown in the frame of the Report page; it has no script.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

func (s *Server) reportPage(w http.ResponseWriter, r *http.Request) error {
	a, _, err := s.answer(r, askingOf(r))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	s.Workshop.Decide(r.Context(), a, s.Program)
	computed, err := s.Workshop.ComputedKept(r.Context(), a, s.Program)
	if err != nil {
		return err
	}
	return app.WriteReport(w, a, s.Program, computed)
}

type historyPage struct {
	frame
	Lead       string
	Rows       []historyRow
	With       int                 // revision that is compared with the newest
	Difference workshop.Difference // from it to the newest
}

type historyRow struct {
	Number         int
	Saved, Summary string
}

func (s *Server) history(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	a, head, broken, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	list, err := s.Workshop.History(r.Context(), q.id)
	if err != nil {
		return err
	}
	p := historyPage{frame: s.brokenFrame(r, "history", a, head, broken), With: max(1, head.Number-1), Lead: workshop.HistoryLead(list)}
	number(r, "with", &p.With)
	for _, h := range list {
		p.Rows = append(p.Rows, historyRow{h.Number, workshop.Moment(h.Saved), h.Summary})
	}
	with, err := s.Workshop.Revision(r.Context(), q.id, p.With)
	if err != nil {
		return err
	}
	p.Difference = workshop.Compared(with.Text, head.Text)
	return s.show(w, r, http.StatusOK, "history.html", &p)
}

type sheetPage struct {
	frame
	Lead   string
	Text   string
	Base   int
	Draft  bool
	Faults []workshop.Diagnostic
	Clash  *workshop.Difference
}

func (s *Server) sheet(w http.ResponseWriter, r *http.Request) error {
	return s.showSheet(w, r, askingOf(r), http.StatusOK, nil)
}

// showSheet shows the text of the sheet; clash is what others changed since an unsaved text was begun.
func (s *Server) showSheet(w http.ResponseWriter, r *http.Request, q asking, status int, clash *workshop.EditClash) error {
	a, head, broken, err := s.answerOrBroken(r, q)
	if err != nil {
		return err
	}
	p := sheetPage{frame: s.brokenFrame(r, "sheet", a, head, broken), Text: string(head.Text), Base: head.Number}
	text, err := s.Workshop.TextOf(r.Context(), head)
	if err != nil {
		return err
	}
	p.Text, p.Base, p.Draft, p.Faults, p.Lead = string(text.Text), text.Base, text.Draft, text.Faults, text.Words
	if clash != nil {
		began, err := s.Workshop.Revision(r.Context(), q.id, text.Base)
		if err != nil {
			return err
		}
		theirs := workshop.Compared(began.Text, head.Text)
		p.Clash, p.Base = &theirs, head.Number
	}
	return s.show(w, r, status, "sheet.html", &p)
}

// workOutLaps waits for the laps of the builds that stand side by side.
func (s *Server) workOutLaps(ctx context.Context, r *http.Request, q asking, send func(event, data string) error) {
	head, err := s.Workshop.Head(ctx, q.id)
	if err != nil {
		return
	}
	c, err := s.Workshop.Compare(ctx, q.id, q.question, nil)
	if err != nil {
		return
	}
	job := s.desk.Join(fmt.Sprint("laps ", head.Machine, " ", head.Number, " ", c.Baseline), func(ctx context.Context, progress func(done, total int)) error {
		return s.Workshop.KeepRides(ctx, c, s.Program, progress)
	})
	defer job.Leave()
	s.follow(ctx, job, send)
}
