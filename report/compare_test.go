package report

import (
	"slices"
	"testing"

	"shakedown/figure"
	"shakedown/quantity"
)

// Builds side by side have each heading once, whatever the order in which their figures come: those that take long come
// last.
func TestComparedByRooms(t *testing.T) {
	of := func(ids ...string) (list []figure.Figure) {
		for _, id := range ids {
			list = append(list, figure.Figure{ID: id, Title: id, Unit: quantity.MustUnit("mm"), State: figure.Ready})
		}
		return list
	}
	table := Compared([]Column{{Build: "a", Figures: of("engine.bore", "money.cost", "engine.torque", "track.lap")}, {Build: "b", Figures: of("engine.bore", "engine.extra", "track.start")}}, false, quantity.Metric)
	var got []string
	for _, row := range table.Rows {
		got = append(got, row[0].Text)
	}
	if want := []string{"Track", "track.lap", "track.start", "Engine", "engine.bore", "engine.torque", "engine.extra", "Money", "money.cost", "Findings", "Conflicts"}; !slices.Equal(got, want) {
		t.Errorf("the lines are %v, not %v", got, want)
	}
	if lines := ComparedLines([]Column{{Build: "a", Figures: of("engine.bore", "track.lap")}}, false); len(lines) != 3 || lines[1][0] != "track.lap" {
		t.Errorf("as CSV %v", lines)
	}
}
