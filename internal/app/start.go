package app

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"shakedown/forecast"
	"shakedown/quantity"
	"shakedown/report"
)

// StartAnswer is a standing start to the first corner.
type StartAnswer struct {
	Build  string
	Start  *forecast.StartResult
	System quantity.System
}

// StartTo computes the best standing start of a question's build to its first corner.
func StartTo(ctx context.Context, q Question, curves *Curves) (*StartAnswer, error) {
	a, err := Ask(q)
	if err != nil {
		return nil, err
	}
	k, err := curves.compute(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	r, err := forecast.ComputeStart(a.Build, k)
	return &StartAnswer{a.Build.Name, r, a.System}, err
}

// Exit is the exit code.
func (s *StartAnswer) Exit() int { return Fine }

// hotFace is the heat on a clutch's faces [J/cm2] from which on wet plates are usually spared a second start at once; common practice,
// from memory, rough.
const hotFace = 40.0

// Lead says how to start and what holds it back.
func (s *StartAnswer) Lead() string {
	r := s.Start
	v := quantity.MustUnit("km/h").In(s.System)
	speed := func(kmh float64) string { return quantity.Number(v.FromSI(kmh/3.6), 0) + " " + v.Label() }
	text := fmt.Sprintf("Start %s in gear %d with the engine held at %.0f rpm: %.0f m to the first corner take %s s, at up to %s; the clutch slips for %s s and takes %s kJ", s.Build, r.Gear, r.Held, r.Distance, quantity.Number(r.Time, 2), speed(r.Fastest), quantity.Number(r.Slips, 1), quantity.Number(r.Heat, 1))
	if r.PerFace > 0 {
		text += fmt.Sprintf(" (%s J on each square centimetre of its faces", quantity.Number(r.PerFace, 0))
		if r.PerFace > hotFace {
			text += ", much for wet plates: let it cool before the next"
		}
		text += ")"
	}
	held := map[string]string{"wheelie": "the front wheel lifts: lean forward", "drive grip": "the rear tyres spin: let the clutch out no harder than they hold", "power": "the engine holds it back, not the ground"}[r.Limit]
	if held != "" {
		text += ". While it slips " + held
	}
	return text + ". How sure: about 10 %, by the grip of the ground and the rider's hand."
}

// WriteText prints the lead and the other gears.
func (s *StartAnswer) WriteText(w io.Writer) error {
	if err := report.WriteParagraph(w, s.Lead()); err != nil {
		return err
	}
	rows := [][]string{{"gear", "held at, rpm", "time, s", "clutch heat, kJ"}}
	for _, o := range s.Start.Others {
		rows = append(rows, []string{strconv.Itoa(o.Gear), quantity.Number(o.Held, 0), quantity.Number(o.Time, 2), quantity.Number(o.Heat, 1)})
	}
	return report.WriteColumns(w, rows)
}

// WriteJSON writes it as one JSON object.
func (s *StartAnswer) WriteJSON(w io.Writer, program string) error {
	type try struct {
		Gear int     `json:"gear"`
		Held float64 `json:"held_rpm"`       // [rpm]
		Time float64 `json:"time_s"`         // [s]
		Heat float64 `json:"clutch_heat_kj"` // [kJ]
	}
	out := struct {
		Program  string  `json:"program"`
		Build    string  `json:"build"`
		Advice   string  `json:"advice"`
		Gear     int     `json:"gear"`
		Held     float64 `json:"held_rpm"`              // [rpm]
		Time     float64 `json:"time_s"`                // [s]
		Distance float64 `json:"distance_m"`            // [m]
		Fastest  float64 `json:"fastest_km_h"`          // [km/h]
		Slips    float64 `json:"clutch_slips_s"`        // [s]
		Heat     float64 `json:"clutch_heat_kj"`        // [kJ]
		PerFace  float64 `json:"clutch_heat_j_per_cm2"` // [J/cm2]
		Limit    string  `json:"limit"`
		Gears    []try   `json:"gears"`
	}{Program: program, Build: s.Build, Advice: s.Lead(), Gear: s.Start.Gear, Held: s.Start.Held, Time: s.Start.Time, Distance: s.Start.Distance, Fastest: s.Start.Fastest, Slips: s.Start.Slips, Heat: s.Start.Heat, PerFace: s.Start.PerFace, Limit: s.Start.Limit}
	for _, o := range s.Start.Others {
		out.Gears = append(out.Gears, try(o))
	}
	return writeJSON(w, out)
}
