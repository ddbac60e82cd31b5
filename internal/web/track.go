package web

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"shakedown/internal/app"
)

type trackPage struct {
	frame
	Lead      string
	Cannot    string // why there is no lap
	Before    string // why the baseline has none
	Running   bool   // curves are being worked out
	Ranging   bool   // how sure the lap is is being worked out
	Ranking   bool   // what the parts are worth is being worked out
	Charts    []template.HTML
	Sections  grid
	Notes     []string
	Budget    string // as typed
	BadBudget string
	Value     *app.ValueAnswer
	Gains     template.HTML
	Parts     grid
	Order     grid
	Tips      *app.TipsAnswer // nil for a bike
	Bounds    template.HTML   // its drawing
	Grounds   grid
}

// grid is a table of text; the first column names the row.
type grid struct {
	ID    string
	Heads []string
	Rows  [][]string
}

// track shows a lap of two builds and what the parts are worth: what is kept at once, what is not worked out in the background.
func (s *Server) track(w http.ResponseWriter, r *http.Request) error {
	q := askedOf(r)
	a, head, err := s.answer(r, q)
	if err != nil {
		return err
	}
	p := trackPage{frame: s.frameOf(r, "track", a, head), Budget: strings.TrimSpace(r.URL.Query().Get("budget"))}
	p.M.budget = p.Budget
	if p.Budget != "" {
		if err := a.ReadBudget(p.Budget); err != nil {
			p.BadBudget, p.Budget, p.M.budget = err.Error(), "", ""
		}
	}
	if t, err := a.Tips(); err == nil {
		p.Tips, p.Bounds, p.Grounds = t, t.Chart().SVG(), grid{"grounds", t.Heads(), t.Rows()}
	}
	l, err := s.Workshop.LapKept(r.Context(), a, head, s.Program)
	switch {
	case err != nil:
		if r.Context().Err() != nil {
			return err
		}
		p.Cannot = err.Error()
		p.Lead = "There is no lap yet: enter on the Machine page what is named below, and it is ridden."
	case l == nil:
		p.Running, p.M.more = true, "curve"
		p.Lead = "The torque curves are being worked out; then the lap is ridden. That takes a second or two."
	default:
		p.Lead, p.Before, p.Sections = l.Lead(), l.BeforeWhy, grid{"sections", l.Heads(), l.Rows()}
		charts, notes := s.Workshop.TrackCharts(r.Context(), a, s.Program)
		p.Charts = []template.HTML{l.Map().SVG(), l.Speeds().SVG()}
		for _, c := range charts {
			p.Charts = append(p.Charts, c.SVG())
		}
		p.Notes = append(l.Lap.Notes, notes...)
		p.Value = s.Workshop.ValueKept(r.Context(), a, head, s.Program, p.Budget)
		switch {
		case l.Range == nil:
			p.Ranging, p.M.more = true, "lap"
		case p.Value == nil:
			p.Ranking, p.M.more = true, "value"
		default:
			p.Lead = p.Value.Lead()
			p.Gains = p.Value.Gains().SVG()
			p.Parts, p.Order = grid{"parts", p.Value.Heads(), p.Value.Rows()}, grid{"order", p.Value.OrderHeads(), p.Value.OrderRows()}
		}
	}
	return s.show(w, r, http.StatusOK, "track.html", &p)
}

// workOutTrack waits for how sure the lap is, or for what the parts are worth.
func (s *Server) workOutTrack(ctx context.Context, r *http.Request, q asked, send func(event, data string) error) {
	a, head, err := s.answer(r, q)
	if err != nil {
		return
	}
	what, budget := r.URL.Query().Get("work"), r.URL.Query().Get("budget")
	job := s.desk.Join(fmt.Sprint(what, " ", head.Machine, " ", head.Number, " ", a.Build.Name, " ", a.Baseline.Name, " ", budget), func(ctx context.Context, progress func(done, total int)) error {
		if what == "lap" {
			return s.Workshop.KeepLapRange(ctx, a, head, s.Program)
		}
		return s.Workshop.KeepValue(ctx, a, head, s.Program, budget, progress)
	})
	defer job.Leave()
	s.follow(ctx, job, send)
}
