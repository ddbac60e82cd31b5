package report

import (
	"slices"
	"testing"

	"shakedown/figure"
	"shakedown/quantity"
)

// A figure that is cut off is not exact, however narrow its range.
func TestACutOffFigureSaysSo(t *testing.T) {
	f := figure.Figure{ID: "suspension.rear.free_sag", Unit: quantity.MustUnit("mm"), State: figure.Ready, End: "topped out"}
	if got := row(f, quantity.Metric).Range; got != "topped out" {
		t.Errorf("%q", got)
	}
	f.High = 0.004
	if got := row(f, quantity.Metric).Range; got != "topped out, 0.0 to 4.0" {
		t.Errorf("%q", got)
	}
}

// Figures stand by their rooms in the order of the job, details only when all are wanted; those of a room that the
// order does not know come last and are not lost.
func TestGroupsOfFigures(t *testing.T) {
	figures := []figure.Figure{{ID: "weather.rain"}, {ID: "plan.days"}, {ID: "engine.bore"}, {ID: "track.lap"}, {ID: "engine.detail", Detail: true}, {ID: "weather.wind"}}
	for i := range figures {
		figures[i].Unit, figures[i].State = quantity.MustUnit("mm"), figure.Ready
	}
	var got []string
	for _, g := range Groups(figures, false, quantity.Metric) {
		got = append(got, g.Name+":")
		for _, r := range g.Rows {
			got = append(got, r.ID)
		}
	}
	if want := []string{"Track:", "track.lap", "Engine:", "engine.bore", "Plan:", "plan.days", "Weather:", "weather.rain", "weather.wind"}; !slices.Equal(got, want) {
		t.Errorf("%v, not %v", got, want)
	}
	if all := Groups(figures, true, quantity.Metric); len(all[1].Rows) != 2 {
		t.Errorf("with details: %+v", all[1])
	}
}
