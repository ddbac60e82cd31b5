package web

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/jobs"
	"shakedown/report"
)

type enginePage struct {
	frame
	Lead    string
	Cannot  string // why there is no curve
	Before  string // why the baseline has none
	Running bool
	Ranging bool // how sure it is is being worked out
	Charts  []template.HTML
	Heads   []string
	Cells   [][]string
	Reasons []app.Reason
	Parts   []string
}

// engine shows the torque curves of two builds: what is kept at once, what is not worked out in the background.
func (s *Server) engine(w http.ResponseWriter, r *http.Request) error {
	q := askedOf(r)
	a, head, err := s.answer(r, q)
	if err != nil {
		return err
	}
	p := enginePage{frame: s.frameOf(r, "engine", a, head), Parts: app.ReasonHeads}
	c, missing, err := s.Workshop.CurveKept(r.Context(), a, s.Program)
	switch {
	case err != nil:
		p.Cannot = err.Error()
		p.Lead = "There is no torque curve yet: enter on the Machine page what is named below, and it is computed."
	case c.Curve == nil || len(missing) > 0:
		p.Running, p.M.more = true, "curve"
		p.Lead = "The torque curve is being worked out from the flow of the gases through ports and pipes; that takes a second or two."
	default:
		if !c.Sure {
			p.Ranging, p.M.more = true, "range"
		}
		p.Lead, p.Before, p.Reasons = c.Lead(), c.BeforeWhy, c.Reasons()
		p.Charts = []template.HTML{c.Torque().SVG(), c.Power().SVG(), c.Filling().SVG()}
		p.Heads, p.Cells = report.CurveTable(c.Rows(), c.Build, c.Against, c.System)
	}
	return s.show(w, r, http.StatusOK, "engine.html", &p)
}

// workOutCurve waits for the curves of the builds that a page looks at, or for how sure they are.
func (s *Server) workOutCurve(ctx context.Context, r *http.Request, q asked, send func(event, data string) error) {
	a, _, err := s.answer(r, q)
	if err != nil {
		return
	}
	what := r.URL.Query().Get("work")
	job := s.desk.Join(what+" "+a.CurveKey(), func(ctx context.Context, progress func(done, total int)) error {
		if what == "range" {
			return s.Workshop.Range(ctx, a, s.Program, progress)
		}
		_, err := s.Workshop.Curve(ctx, a, s.Program, progress)
		return err
	})
	defer job.Leave()
	s.follow(ctx, job, send)
}

// follow tells how far a job is until it ends or the page goes away.
func (s *Server) follow(ctx context.Context, job *jobs.Job, send func(event, data string) error) {
	for {
		state, news := job.State()
		if state.Ended {
			if state.Err != nil {
				s.Log.Error("work in the background failed", "error", state.Err)
			}
			_ = send("work", "ended")
			return
		}
		if state.Total > 0 {
			if err := send("work", fmt.Sprintf("%d of %d, %s left", state.Done, state.Total, app.TimeLeft(state.Left))); err != nil {
				return
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-news:
		}
		select { // not more often than a person sees
		case <-ctx.Done():
			return
		case <-time.After(150 * time.Millisecond):
		}
	}
}
