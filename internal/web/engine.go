package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/app/engine"
	"shakedown/internal/faults"
	"shakedown/internal/jobs"
	"shakedown/report"
)

type enginePage struct {
	frame
	Lead    string
	Cannot  string // why there is no curve
	Running bool
	Ranging bool // how sure it is is being worked out
	Sharing bool // what each part does is being worked out
	Curve   report.Answer
	Points  report.Answer
}

// engine shows the torque curves of two builds: what is kept at once, what is not worked out in the background.
func (s *Server) engine(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	a, head, err := s.answer(r, q)
	if err != nil {
		return err
	}
	p := enginePage{frame: s.frameOf(r, "engine", a, head)}
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
		if c.Before != nil {
			there, err := s.Workshop.TorqueOfPartsKept(r.Context(), a, c, s.Program)
			if err != nil {
				return err
			}
			if c.Sure && !there {
				p.Sharing, p.M.more = true, "parts"
			}
		}
		p.Curve, p.Points = c.Answer().Cut("points")
		p.Lead, p.Curve.Lead = p.Curve.Lead, ""
	}
	return s.show(w, r, http.StatusOK, "engine.html", &p)
}

// workOutCurve waits for the curves of the builds that a page looks at, or for how sure they are.
func (s *Server) workOutCurve(ctx context.Context, r *http.Request, q asking, send func(event, data string) error) {
	a, head, err := s.answer(r, q)
	if err != nil {
		return
	}
	what := r.URL.Query().Get("work")
	key := what + " " + app.CurveKey(a)
	if what == "parts" { // the same curves can come of other parts
		key += fmt.Sprint(" ", head.Machine, head.Number, a.Build.Name, a.Baseline.Name)
	}
	job := s.desk.Join(key, func(ctx context.Context, progress func(done, total int)) error {
		switch what {
		case "range":
			return s.Workshop.Range(ctx, a, s.Program, progress)
		case "parts":
			return s.Workshop.TorqueOfParts(ctx, a, s.Program, progress)
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
				if fault, ok := errors.AsType[*faults.Fault](state.Err); ok { // the page that is fetched again would begin it again
					_ = send("failed", fault.Error())
					return
				}
			}
			_ = send("work", "ended")
			return
		}
		if state.Place > 0 {
			if err := send("work", inTurn(state.Place)); err != nil {
				return
			}
		} else if state.Total > 0 {
			if err := send("work", fmt.Sprintf("%d of %d, %s left", state.Done, state.Total, state.LeftText())); err != nil {
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

// inTurn words the place of work that has not begun.
func inTurn(place int) string {
	if place == 1 {
		return "waiting for other work to end; it is next"
	}
	return fmt.Sprintf("waiting for other work to end; %d come before it", place-1)
}

type cyclePage struct {
	frame
	Lead          string
	Cannot        string
	Speed         string // [rpm] as typed or chosen
	Jumps         []jump
	Waves, Valves report.Answer
	Moving        string // for the script
}

// jump is a link to another engine speed.
type jump struct{ Name, Link string }

// cycle shows one cycle of both builds at an engine speed.
func (s *Server) cycle(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	a, head, err := s.answer(r, q)
	if err != nil {
		return err
	}
	p := cyclePage{frame: s.frameOf(r, "engine", a, head), Speed: strings.TrimSpace(r.URL.Query().Get("speed"))}
	speed := 0.0
	if p.Speed != "" {
		if speed, err = engine.ReadSpeed(p.Speed); err != nil {
			p.Cannot, p.Lead = err.Error(), "No cycle is shown: the engine speed could not be read."
			return s.show(w, r, http.StatusUnprocessableEntity, "cycle.html", &p)
		}
	}
	c, torque, power, err := s.Workshop.Cycle(r.Context(), a, s.Program, speed)
	if err != nil {
		if r.Context().Err() != nil {
			return err
		}
		p.Cannot, p.Lead = err.Error(), "There is no cycle to show at this speed."
		return s.show(w, r, http.StatusOK, "cycle.html", &p)
	}
	answer := c.Answer()
	p.Lead, answer.Lead, p.Speed = answer.Lead, "", c.SpeedText()
	p.Waves, p.Valves = answer.Cut("charts")
	for _, to := range c.OtherSpeeds(torque, power) {
		p.Jumps = append(p.Jumps, jump{to.Name, p.M.Cycle(to.Speed)})
	}
	moving, err := json.Marshal(c.Moving())
	if err != nil {
		return err
	}
	p.Moving = string(moving)
	return s.show(w, r, http.StatusOK, "cycle.html", &p)
}
