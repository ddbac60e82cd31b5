package web

import (
	"context"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/worth"
	"shakedown/internal/workshop"
	"shakedown/report"
)

type trackPage struct {
	frame
	Lead      string
	Second    string // the lap in a sentence, or what it waits for
	Cannot    string // why there is no lap
	Work      string // what is being worked out, or would be; "" for nothing
	Resting   bool   // somebody has stopped it
	Job       string // its name among the works of a page
	Courses   []courseChoice
	Course    string // recording that is ridden; "" for the sheet's sections
	BadRide   string // why a recording was not kept
	Dropped   []workshop.Recording
	Lap       *report.Answer
	Budget    string // as typed
	BadBudget string
	Value     *report.Answer // what the parts are worth; nil while that is not known
	Line      *course.Line
	Gearing   report.Answer
	Start     report.Answer
	Tips      *report.Answer // nil for a bike
	Care      []string
}

// courseChoice is a course that may be ridden.
type courseChoice struct {
	Name, Words string // "" for the sheet's own
	Here        bool
}

// track shows a lap of two builds and what the parts are worth: what is kept at once, what is not worked out in the
// background.
func (s *Server) track(w http.ResponseWriter, r *http.Request) error {
	return s.showTrack(w, r, http.StatusOK, "")
}

func (s *Server) showTrack(w http.ResponseWriter, r *http.Request, status int, badRide string) error {
	q := askingOf(r)
	a, head, err := s.answer(r, q)
	if err != nil {
		return err
	}
	p := trackPage{frame: s.frameOf(r, "track", a, head), Care: a.Riding(), Budget: strings.TrimSpace(r.URL.Query().Get("budget")), BadRide: badRide, Course: q.question.Course}
	p.M.budget, p.M.course = p.Budget, p.Course
	if p.Budget != "" {
		if err := worth.ReadBudget(a, p.Budget); err != nil {
			p.BadBudget, p.Budget, p.M.budget = err.Error(), "", ""
		}
	}
	if p.Courses, err = s.courses(r, q); err != nil {
		return err
	}
	if p.Dropped, err = s.Workshop.DroppedRecordings(r.Context(), q.id); err != nil {
		return err
	}
	if t, err := course.TipsOf(a); err == nil {
		tips := t.Answer().Part()
		p.Tips = &tips
	}
	if err := s.fillTrack(r, a, head, &p); err != nil {
		return err
	}
	p.Job = p.M.more
	if p.Resting = r.URL.Query().Get("rest") != "" && p.Work != ""; p.Resting {
		p.M.more = ""
	}
	return s.show(w, r, status, "track.html", &p)
}

// courses are what may be ridden: the sheet's course and the logged rides that were brought in.
func (s *Server) courses(r *http.Request, q asking) ([]courseChoice, error) {
	list := []courseChoice{{"", "the sheet's own", q.question.Course == ""}}
	kept, err := s.Workshop.Recordings(r.Context(), q.id)
	for _, k := range kept {
		list = append(list, courseChoice{k.Name, k.Name, k.Name == q.question.Course})
	}
	return list, err
}

// fillTrack puts the lap into the page and what follows from it, as far as it is known, and says what is to be worked
// out next.
func (s *Server) fillTrack(r *http.Request, a *asked.Answer, head workshop.Revision, p *trackPage) error {
	ctx := r.Context()
	s.Workshop.Decide(ctx, a, s.Program)
	l, err := s.Workshop.LapKept(ctx, a, s.Program)
	if err != nil {
		p.Cannot, p.Lead = err.Error(), a.Advice.Text
		p.Second = "There is no lap yet: enter or change what is named below, and it is ridden."
		return ctx.Err()
	}
	if l == nil {
		p.M.more, p.Work = "curve", "The torque curves"
		p.Lead = a.Advice.Text
		p.Second = "The torque curves are being worked out; then the lap is ridden. That takes a second or two."
		return nil
	}
	lap := l.Answer().Part()
	p.Second, lap.Lead = lap.Lead, ""
	p.Lap = &lap
	v := s.Workshop.ValueKept(ctx, a, s.Program, p.Budget)
	if v != nil {
		worth := v.Answer().Part()
		p.Value = &worth
	}
	p.Lead = worth.DecidedBy(a, v).Text
	if p.Line = s.Workshop.LineKept(ctx, a, s.Program); p.Line != nil {
		if g := p.Line.Gearing; g != nil {
			p.Gearing = g.Answer().Part()
		}
		if start := p.Line.Start; start != nil {
			p.Start = start.Answer().Part()
		}
	}
	switch {
	case l.Range == nil:
		p.M.more, p.Work = "lap", "How sure the lap is"
	case v == nil:
		p.M.more, p.Work = "value", fmt.Sprintf("What each part gives, laid over build %q", p.M.Against)
	case p.Line == nil:
		p.M.more, p.Work = "line", "Sprockets and start"
	}
	return nil
}

// workOutTrack waits for how sure the lap is, for what the parts are worth, or for sprockets and start.
func (s *Server) workOutTrack(ctx context.Context, r *http.Request, q asking, send func(event, data string) error) {
	a, _, err := s.answer(r, q)
	if err != nil {
		return
	}
	what, budget := r.URL.Query().Get("work"), r.URL.Query().Get("budget")
	if what == laterValue { // a page that is passed over in haste wants none of it
		select {
		case <-ctx.Done():
			return
		case <-time.After(later):
		}
		what = "value"
	}
	job := s.desk.Join(trackJob(what, s.Program, a, budget), func(ctx context.Context, progress func(done, total int)) error {
		switch what {
		case "lap":
			return s.Workshop.KeepLapRange(ctx, a, s.Program)
		case "line":
			return s.Workshop.KeepLine(ctx, a, s.Program, progress)
		}
		return s.Workshop.KeepValue(ctx, a, s.Program, budget, progress)
	})
	defer job.Leave()
	s.follow(ctx, job, send)
}

// trackJob is the key of a piece of the Track page's work: that of its result, so that a revision which changes nothing
// of it goes on waiting for the same work.
func trackJob(what, program string, a *asked.Answer, budget string) string {
	return "track " + what + " " + app.TrackKey(a, what, program, budget)
}

// stopTrack ends what is being worked out; the page rests until somebody lets it go on.
func (s *Server) stopTrack(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	a, _, err := s.answer(r, q)
	if err != nil {
		return err
	}
	s.desk.Cancel(trackJob(r.PostFormValue("job"), s.Program, a, r.PostFormValue("budget")))
	here := &bar{ID: q.id, Build: q.question.Build, Against: q.question.Against, course: q.question.Course}
	return s.turn(w, r, here.with("track", "rest", "yes", "budget", r.PostFormValue("budget")), "")
}

// laterValue asks for what the parts are worth once a page has been looked at for a while.
const (
	laterValue = "value-later"
	later      = 3 * time.Second
)

// keepRide takes a recording in and rides along it.
func (s *Server) keepRide(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	file, head, err := r.FormFile("file")
	if err != nil {
		return s.showTrack(w, r, http.StatusUnprocessableEntity, "choose the file of a recording first")
	}
	defer file.Close()
	data, err := io.ReadAll(file)
	if err != nil {
		return err
	}
	name, err := s.Workshop.KeepRecording(r.Context(), q.id, head.Filename, data)
	if err != nil {
		if asked.ExitOf(err) != asked.BadInput {
			return err
		}
		return s.showTrack(w, r, statusOf(err), err.Error())
	}
	return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against, course: name}).At("track"), "Kept "+name+"; the laps go along it now.")
}

// dropRide takes a recording out; it can be put back.
func (s *Server) dropRide(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	name := r.PostFormValue("name")
	if err := s.Workshop.DropRecording(r.Context(), q.id, name); err != nil {
		return err
	}
	return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against}).At("track"), name+" was taken out; it can be put back under \"Ride along a recording\".")
}

// restoreRide puts a recording back that was taken out.
func (s *Server) restoreRide(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	name := r.PostFormValue("name")
	if err := s.Workshop.RestoreRecording(r.Context(), q.id, name); err != nil {
		return err
	}
	return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against, course: name}).At("track"), name+" is back; the laps go along it now.")
}

// rideFile gives a recording back as it came.
func (s *Server) rideFile(w http.ResponseWriter, r *http.Request) error {
	name := r.URL.Query().Get("name")
	data, err := s.Workshop.RecordingFile(r.Context(), r.PathValue("id"), name)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	_, err = w.Write(data)
	return err
}
