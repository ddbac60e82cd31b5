package web

import (
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
)

type homePage struct {
	frame
	Machines []homeMachine
	Away     []homeMachine
	Layouts  []string
	Examples []workshop.Example
	Faults   []workshop.Diagnostic
	File     string
}

type homeMachine struct {
	ID, Name, Saved string
	Head            int
}

func (s *Server) home(w http.ResponseWriter, r *http.Request) error {
	return s.showHome(w, r, http.StatusOK, nil)
}

func (s *Server) showHome(w http.ResponseWriter, r *http.Request, status int, bad error) error {
	list, err := s.Workshop.Machines(r.Context())
	if err != nil {
		return err
	}
	p := homePage{frame: s.plainFrame(r, "home", "Shakedown workshop"), Layouts: workshop.Layouts(), Examples: workshop.Examples(), File: s.Workshop.Path()}
	for _, m := range list {
		to := &p.Machines
		if m.Away {
			to = &p.Away
		}
		*to = append(*to, homeMachine{m.ID, m.Name, workshop.Moment(m.Saved), m.Head})
	}
	if bad != nil {
		p.Said, p.SaidBad, p.Faults = bad.Error(), true, workshop.FaultsOf(bad)
		if len(p.Faults) > 0 {
			p.Said = "The sheet has errors, listed below; nothing was brought in. Mend the file and bring it again."
		}
	}
	return s.show(w, r, status, "home.html", &p)
}

// putAway puts a machine out of sight, or back.
func (s *Server) putAway(w http.ResponseWriter, r *http.Request) error {
	id, away := r.PathValue("id"), r.PostFormValue("back") == ""
	if err := s.Workshop.PutAway(r.Context(), id, away); err != nil {
		return err
	}
	said := r.PostFormValue("name") + " is back."
	if away {
		said = r.PostFormValue("name") + " was put away; nothing of it is lost, and it can be brought back below."
	}
	return s.turn(w, r, "/", said)
}

type newPage struct {
	frame
	Layout    string
	Questions []question
}

type question struct {
	workshop.FirstQuestion
	Answer, Wrong string
}

func (s *Server) newMachine(w http.ResponseWriter, r *http.Request) error {
	return s.showNew(w, r, http.StatusOK, r.URL.Query().Get("layout"), nil, nil)
}

func (s *Server) showNew(w http.ResponseWriter, r *http.Request, status int, layout string, answers map[string]string, wrong map[string]error) error {
	if !slices.Contains(workshop.Layouts(), layout) {
		return faults.Mendable(fmt.Errorf("there is no layout %q", layout))
	}
	p := newPage{frame: s.plainFrame(r, "new", "A new machine"), Layout: layout}
	for _, q := range workshop.Questions(layout) {
		v := question{FirstQuestion: q, Answer: answers[q.Path]}
		if err := wrong[q.Path]; err != nil {
			v.Wrong = err.Error()
		}
		p.Questions = append(p.Questions, v)
	}
	return s.show(w, r, status, "new.html", &p)
}

func (s *Server) beginMachine(w http.ResponseWriter, r *http.Request) error {
	layout := r.PostFormValue("layout")
	answers := map[string]string{}
	for _, q := range workshop.Questions(layout) {
		if text := strings.TrimSpace(r.PostFormValue(q.Path)); text != "" {
			answers[q.Path] = text
		}
	}
	if wrong := workshop.Unacceptable(answers); len(wrong) > 0 {
		return s.showNew(w, r, http.StatusUnprocessableEntity, layout, answers, wrong)
	}
	rev, err := s.Workshop.AddNew(r.Context(), layout, answers)
	if err != nil {
		return err
	}
	return s.turn(w, r, (&bar{ID: rev.Machine}).At("machine"), "Begun. What is marked typical was not measured on your machine: measure what stands first on the right.")
}

func (s *Server) addExample(w http.ResponseWriter, r *http.Request) error {
	rev, err := s.Workshop.AddExample(r.Context(), r.PostFormValue("name"))
	if err != nil {
		return err
	}
	return s.turn(w, r, (&bar{ID: rev.Machine}).At("build"), "")
}

func (s *Server) importFile(w http.ResponseWriter, r *http.Request) error {
	file, head, err := r.FormFile("file")
	if err != nil {
		return s.showHome(w, r, http.StatusUnprocessableEntity, errors.New("choose a file first"))
	}
	defer file.Close()
	text, err := io.ReadAll(file)
	if err != nil {
		return err
	}
	got, err := s.Workshop.Import(r.Context(), head.Filename, text)
	if err != nil {
		if asked.ExitOf(err) != asked.BadInput {
			return err
		}
		return s.showHome(w, r, statusOf(err), err)
	}
	var words []string
	for _, m := range got {
		words = append(words, m.Name+": "+m.Words)
	}
	to := "/"
	if len(got) == 1 {
		to = (&bar{ID: got[0].Machine}).At("build")
	}
	return s.turn(w, r, to, "Brought in "+strings.Join(words, "; ")+".")
}

func (s *Server) exportAll(w http.ResponseWriter, r *http.Request) error {
	return s.export(w, r, "workshop.zip")
}

func (s *Server) exportOne(w http.ResponseWriter, r *http.Request) error {
	head, err := s.Workshop.Head(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	return s.export(w, r, s.Workshop.FileName(head)+".zip", head.Machine)
}

func (s *Server) export(w http.ResponseWriter, r *http.Request, name string, ids ...string) error {
	attach(w, name, "application/zip")
	return s.Workshop.Export(r.Context(), w, s.Program, ids...)
}

func (s *Server) sheetFile(w http.ResponseWriter, r *http.Request) error {
	head, err := s.Workshop.Head(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	attach(w, s.Workshop.FileName(head)+".yaml", "application/yaml")
	_, err = w.Write(head.Text)
	return err
}

func attach(w http.ResponseWriter, name, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
}

func (s *Server) setUnits(w http.ResponseWriter, r *http.Request) error {
	value := "metric"
	if r.PostFormValue("units") == "us" {
		value = "us"
	}
	http.SetCookie(w, &http.Cookie{Name: unitsCookie, Value: value, Path: "/", MaxAge: 10 * 365 * 86400, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	to := "/"
	if back, err := url.Parse(r.PostFormValue("back")); err == nil && back.Scheme == "" && back.Host == "" && strings.HasPrefix(back.Path, "/") && !strings.HasPrefix(back.Path, "//") {
		to = back.RequestURI()
	}
	return s.turn(w, r, to, "")
}

func (s *Server) toBuild(w http.ResponseWriter, r *http.Request) error {
	http.Redirect(w, r, (&bar{ID: r.PathValue("id")}).At("build"), http.StatusSeeOther)
	return nil
}

// number reads a whole number of a query; what is none is left out.
func number(r *http.Request, name string, into *int) {
	if n, err := strconv.Atoi(r.URL.Query().Get(name)); err == nil && n > 0 {
		*into = n
	}
}
