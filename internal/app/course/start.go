package course

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/report"
)

// Start is a standing start to the first corner.
type Start struct {
	Build string
	Start *track.StartResult
	StandIns
	System quantity.System
}

// StartOf computes the best standing start of the answer's build to its first corner.
func StartOf(ctx context.Context, a *asked.Answer, known *forecast.Results) (*Start, error) {
	s := &Start{Build: a.Build.Name, System: a.System}
	if a.Course != "" {
		return nil, faults.Mendable(errors.New("a recording has no starting line: give the course as sections in the sheet to have a start"))
	}
	known, s.Template = OnCourse(a, known)
	k, err := known.Sure(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	if s.Start, err = track.ComputeStart(ctx, a.Build, k); err == nil {
		s.Assumed = s.Start.Assumed
	}
	return s, err
}

// hotFace is the heat on a clutch's faces [J/cm2] from which on wet plates are usually spared a second start at once;
// common practice, from memory, rough.
const hotFace = 40.0

// wheelUp is for how long a wheel must be up to be told of [s].
const wheelUp = 0.05

// Answer is what is said of it: how to start and what holds it back, the road speed from rest, and the starts that were
// tried.
func (s *Start) Answer() report.Answer {
	return report.Answer{Lead: s.lead(), Object: func() any { return s.object() }, Blocks: []report.Block{{ID: "gears", Charts: []report.Picture{s.away()}, Table: s.gears()}}}
}

// lead says how to start and what holds it back.
func (s *Start) lead() string {
	r := s.Start
	v := quantity.MustUnit("km/h").In(s.System)
	speed := func(kmh float64) string { return quantity.Number(v.FromSI(kmh/3.6), 0) + " " + v.Label() }
	text := fmt.Sprintf("Start %s in gear %d with the engine held at %.0f rpm: %s to the first corner take %s s, at up to %s; the clutch slips for %s s and takes %s kJ", machine.TheBuild(s.Build), r.Gear, r.Held, distance(r.Distance, s.System), quantity.Number(r.Time, 2), speed(r.Fastest), quantity.Number(r.Slips, 1), quantity.Number(r.Heat, 1))
	if r.PerFace > 0 {
		text += fmt.Sprintf(" (%s J on each square centimetre of its faces", quantity.Number(r.PerFace, 0))
		if r.PerFace > hotFace {
			text += ", much for wet plates: let it cool before the next"
		}
		text += ")"
	}
	if q := r.Quickest; q != nil {
		text += fmt.Sprintf(". Gear %d held at %.0f rpm would be %s s quicker, which is too small to tell, ", q.Gear, q.Held, quantity.Number(r.Time-q.Time, 2))
		switch {
		case q.Lifts-r.Lifts >= wheelUp:
			text += fmt.Sprintf("and lifts the front wheel for %s s", quantity.Number(q.Lifts, 1))
		default:
			text += fmt.Sprintf("and slips the clutch for %s s with %s kJ", quantity.Number(q.Slips, 1), quantity.Number(q.Heat, 1))
		}
	}
	if r.Lifts >= wheelUp {
		text += fmt.Sprintf(". Danger: the front wheel lifts for %s s, and a machine that rises too far goes over backwards onto its rider. Lean forward, keep a foot on the rear brake, and shut the throttle before it rises further", quantity.Number(r.Lifts, 1))
	}
	if held := r.Limit.AtStart(); held != "" {
		text += ". While it slips " + held
	}
	if r.High > r.Low {
		text += fmt.Sprintf(". How sure: between %s and %s s (95 %% range)", quantity.Number(r.Low, 2), quantity.Number(r.High, 2))
		if r.First != "" {
			text += ", most of it from the " + machine.Spoken(r.First)
		}
		if narrow := figure.TooNarrow(r.Narrow); narrow != "" {
			text += ". " + strings.TrimSuffix(narrow, ".")
		}
	}
	return text + "." + s.Words()
}

// gears are the quickest start in each gear, and the one to make.
func (s *Start) gears() report.Table {
	t := report.Table{Heads: []string{"gear", "held at, rpm", "time, s", "front wheel lifts, s", "tyres spin, s", "clutch slips, s", "clutch heat, kJ", "which"}}
	for _, o := range s.Start.Tries {
		which := "quickest in it"
		if o.Taken {
			which = "this one"
		}
		t.Rows = append(t.Rows, report.Cells(strconv.Itoa(o.Gear), quantity.Number(o.Held, 0), quantity.Number(o.Time, 2), quantity.Number(o.Lifts, 1), quantity.Number(o.Spins, 1), quantity.Number(o.Slips, 1), quantity.Number(o.Heat, 1), which))
	}
	return t
}

// away is road speed over the way from rest, in each gear tried.
func (s *Start) away() report.Chart {
	v := quantity.MustUnit("km/h").In(s.System)
	far := quantity.MustUnit("m").In(s.System)
	c := report.Chart{Title: "Road speed from rest to the first corner", XLabel: far.Label() + " from the line", YLabel: "road speed, " + v.Label()}
	for _, t := range s.Start.Tries {
		if !t.Taken && t.Gear == s.Start.Gear {
			continue // one line for each gear
		}
		l := report.ChartLine{Name: "gear " + strconv.Itoa(t.Gear)}
		for _, m := range t.Way {
			l.X = append(l.X, far.FromSI(m))
		}
		for _, kmh := range t.Speeds {
			l.Y = append(l.Y, v.FromSI(kmh/3.6))
		}
		c.Lines = append(c.Lines, l)
	}
	return c
}

// object is what programs read.
func (s *Start) object() any {
	type try struct {
		Gear  int     `json:"gear"`
		Taken bool    `json:"taken"`
		Held  float64 `json:"held_rpm"`       // [rpm]
		Time  float64 `json:"time_s"`         // [s]
		Slips float64 `json:"clutch_slips_s"` // [s]
		Heat  float64 `json:"clutch_heat_kj"` // [kJ]
		Lifts float64 `json:"front_lifts_s"`  // [s]
		Spins float64 `json:"tyres_spin_s"`   // [s]
	}
	out := struct {
		Build    string  `json:"build"`
		Lead     string  `json:"lead"`
		Gear     int     `json:"gear"`
		Held     float64 `json:"held_rpm"`              // [rpm]
		Time     float64 `json:"time_s"`                // [s]
		Low      float64 `json:"low"`                   // [s]
		High     float64 `json:"high"`                  // [s]
		Distance float64 `json:"distance_m"`            // [m]
		Fastest  float64 `json:"fastest_km_h"`          // [km/h]
		Slips    float64 `json:"clutch_slips_s"`        // [s]
		Heat     float64 `json:"clutch_heat_kj"`        // [kJ]
		PerFace  float64 `json:"clutch_heat_j_per_cm2"` // [J/cm2]
		Lifts    float64 `json:"front_lifts_s"`         // [s]
		Quickest *try    `json:"quickest,omitempty"`    // in whose place this one is taken: what lies between is too small to tell
		Limit    string  `json:"limit"`
		Gears    []try   `json:"gears"`
	}{Build: s.Build, Lead: s.lead(), Gear: s.Start.Gear, Held: s.Start.Held, Time: s.Start.Time, Low: s.Start.Low, High: s.Start.High, Distance: s.Start.Distance, Fastest: s.Start.Fastest, Slips: s.Start.Slips, Heat: s.Start.Heat, PerFace: s.Start.PerFace, Lifts: s.Start.Lifts, Limit: s.Start.Limit.String()}
	told := func(o *track.StartTry) try {
		return try{o.Gear, o.Taken, o.Held, o.Time, o.Slips, o.Heat, o.Lifts, o.Spins}
	}
	for i := range s.Start.Tries {
		out.Gears = append(out.Gears, told(&s.Start.Tries[i]))
	}
	if q := s.Start.Quickest; q != nil {
		one := told(q)
		out.Quickest = &one
	}
	return out
}
