package forecast

import (
	"slices"
	"strings"
	"testing"
)

// What a two-stroke is without is named as the figures are.
func TestFourStrokeOnlyNamesFigures(t *testing.T) {
	for _, begins := range fourStrokeOnly {
		if !slices.ContainsFunc(fixed, func(d definition) bool { return strings.HasPrefix(d.id, begins) }) {
			t.Errorf("no figure begins with %q", begins)
		}
	}
}
