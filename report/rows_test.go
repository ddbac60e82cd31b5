package report

import (
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
