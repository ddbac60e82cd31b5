package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"shakedown/internal/app/asked"
	"shakedown/internal/workshop"
	"shakedown/quantity"
)

// set changes one value, from any page that shows it.
func (s *Server) set(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	path, old, value := r.PostFormValue("path"), r.PostFormValue("old"), r.PostFormValue("value")
	rev, err := s.Workshop.Set(r.Context(), q.id, workshop.Setting{Path: path, Old: old, New: value})
	if err == nil {
		s.Log.Info("saved", "machine", q.id, "revision", rev.Number, "what", rev.Summary)
		return s.turn(w, r, backTo(r, q), "")
	}
	bad, ok := wrongOf(err, path, value)
	if !ok {
		return err
	}
	status := http.StatusUnprocessableEntity
	if bad.theirs != "" {
		status = http.StatusConflict
	}
	switch r.PostFormValue("back") {
	case "machine":
		return s.showMachine(w, r, q, status, &bad, nil)
	case "parts":
		return s.showParts(w, r, q, status, &bad)
	}
	return s.showBuild(w, r, q, status, &bad)
}

// measure enters the readings of a worksheet, all of them or none.
func (s *Server) measure(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	if err := r.ParseForm(); err != nil {
		return err
	}
	name := r.PostForm.Get("worksheet")
	readings := map[string]workshop.Setting{}
	for key := range r.PostForm {
		if path, ok := strings.CutPrefix(key, "new:"); ok {
			readings[path] = workshop.Setting{Path: path, Old: r.PostForm.Get("old:" + path), New: r.PostForm.Get(key)}
		}
	}
	rev, err := s.Workshop.Measure(r.Context(), q.id, name, readings, r.PostForm["replace"])
	if err == nil {
		s.Log.Info("saved", "machine", q.id, "revision", rev.Number, "what", rev.Summary)
		return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against}).At("machine")+"#m-"+name, "")
	}
	bad, ok := wrongOf(err, name, "")
	if !ok {
		return err
	}
	return s.showMachine(w, r, q, http.StatusUnprocessableEntity, nil, &bad)
}

func (s *Server) switchPart(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	rev, err := s.Workshop.SwitchPart(r.Context(), q.id, r.PostFormValue("in"), r.PostFormValue("part"), r.PostFormValue("on") != "")
	if err != nil {
		bad, ok := wrongOf(err, r.PostFormValue("part"), "")
		if !ok {
			return err
		}
		return s.showBuild(w, r, q, http.StatusUnprocessableEntity, &bad)
	}
	s.Log.Info("saved", "machine", q.id, "revision", rev.Number, "what", rev.Summary)
	return s.turn(w, r, backTo(r, q), "")
}

func (s *Server) addBuild(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	name := strings.TrimSpace(r.PostFormValue("name"))
	if _, err := s.Workshop.AddBuild(r.Context(), q.id, name, r.PostFormValue("like")); err != nil {
		bad, ok := wrongOf(err, "The build", name)
		if !ok {
			return err
		}
		return s.showBuild(w, r, q, http.StatusUnprocessableEntity, &bad)
	}
	q.question.Build = name
	return s.turn(w, r, backTo(r, q), "")
}

func (s *Server) removeBuild(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	if _, err := s.Workshop.RemoveBuild(r.Context(), q.id, r.PostFormValue("name")); err != nil {
		bad, ok := wrongOf(err, "The build", "")
		if !ok {
			return err
		}
		return s.showBuild(w, r, q, http.StatusUnprocessableEntity, &bad)
	}
	q.question.Build, q.question.Against = "", ""
	return s.turn(w, r, backTo(r, q), fmt.Sprintf("Build %q is deleted; Undo brings it back.", r.PostFormValue("name")))
}

func (s *Server) addParts(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	n := 1
	var err error
	if list := r.PostFormValue("list"); strings.TrimSpace(list) != "" {
		_, n, err = s.Workshop.AddList(r.Context(), q.id, "the list", []byte(list), r.PostFormValue("columns"))
	} else {
		cells := map[string]string{}
		for _, f := range workshop.NewPartFields {
			cells[f.Name] = r.PostFormValue(f.Name)
		}
		_, err = s.Workshop.AddPart(r.Context(), q.id, cells)
	}
	if err != nil {
		bad, ok := wrongOf(err, "", "")
		if !ok {
			return err
		}
		return s.showParts(w, r, q, http.StatusUnprocessableEntity, &bad)
	}
	return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against}).At("parts"), fmt.Sprintf("Added %d. Switch them into a build on the Build page.", n))
}

func (s *Server) saveSheet(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	base, text, err := s.typedSheet(r, q)
	if err != nil {
		return err
	}
	rev, err := s.Workshop.SaveText(r.Context(), q.id, base, text)
	var clash *workshop.EditClash
	switch {
	case err == nil:
		s.Log.Info("saved", "machine", q.id, "revision", rev.Number, "what", rev.Summary)
		return s.turn(w, r, (&bar{ID: q.id}).At("sheet"), "")
	case errors.As(err, &clash):
		return s.showSheet(w, r, q, http.StatusConflict, clash)
	case asked.ExitOf(err) == asked.BadInput:
		return s.showSheet(w, r, q, http.StatusUnprocessableEntity, nil)
	}
	return err
}

// typedSheet is a sheet's text as it was typed, with the ends of lines that the revision it was begun from has: a
// browser sends them its own way.
func (s *Server) typedSheet(r *http.Request, q asking) (int, []byte, error) {
	base, err := strconv.Atoi(r.PostFormValue("base"))
	if err != nil {
		return 0, nil, workshop.ErrNothing
	}
	text, err := s.Workshop.Typed(r.Context(), q.id, base, r.PostFormValue("text"))
	return base, text, err
}

// lookAtSheet keeps an unsaved text and answers with its faults.
func (s *Server) lookAtSheet(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	base, text, err := s.typedSheet(r, q)
	if err != nil {
		return err
	}
	faults, err := s.Workshop.KeepText(r.Context(), q.id, base, text)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	return s.pages["sheet.html"].ExecuteTemplate(w, "faults", faults)
}

func (s *Server) dropDraft(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	if err := s.Workshop.DropDraft(r.Context(), q.id); err != nil {
		return err
	}
	return s.turn(w, r, (&bar{ID: q.id}).At("sheet"), "")
}

func (s *Server) undo(w http.ResponseWriter, r *http.Request) error {
	return s.back(w, r, func(id string) (workshop.Revision, error) { return s.Workshop.Undo(r.Context(), id) })
}

func (s *Server) redo(w http.ResponseWriter, r *http.Request) error {
	return s.back(w, r, func(id string) (workshop.Revision, error) { return s.Workshop.Redo(r.Context(), id) })
}

func (s *Server) restore(w http.ResponseWriter, r *http.Request) error {
	number, err := strconv.Atoi(r.PostFormValue("number"))
	if err != nil {
		return workshop.ErrNothing
	}
	r.PostForm.Set("back", "history")
	return s.back(w, r, func(id string) (workshop.Revision, error) { return s.Workshop.Restore(r.Context(), id, number) })
}

// back goes to another revision and says which change that was.
func (s *Server) back(w http.ResponseWriter, r *http.Request, do func(id string) (workshop.Revision, error)) error {
	q := askingOf(r)
	rev, err := do(q.id)
	if errors.Is(err, workshop.ErrNothing) && !strings.HasSuffix(r.URL.Path, "/restore") {
		return s.turn(w, r, backTo(r, q), "There is nothing to go back to, or forward.")
	}
	if err != nil {
		return err
	}
	s.Log.Info("saved", "machine", q.id, "revision", rev.Number, "what", rev.Summary)
	return s.turn(w, r, backTo(r, q), quantity.Capital(rev.Summary)+".")
}
