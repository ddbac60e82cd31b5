package engine

import (
	"strings"
	"testing"
)

// A part without which the build makes more, by more than the range, is named; one within it is not.
func TestPartsNameWhatCosts(t *testing.T) {
	k := Parts{Build: "b", Against: "a", From: 3000, To: 5000, Range: 1, Peak: Gain{25, 20}, Whole: Gain{1, 1}, Parts: []PartTorque{
		{Part: "one", Alone: Gain{2, 2}, Last: Gain{1, 0.5}}, {Part: "two", Alone: Gain{0.1, -1}, Last: Gain{-0.2, -0.79}},
	}}
	if text := k.lead(); strings.Contains(text, "Look again") {
		t.Errorf("inside its range: %q", text)
	}
	k.Parts[1].Last.Power = -0.81
	if text := k.lead(); !strings.Contains(text, "Look again at two: without it build \"b\" makes 0.8 kW more") {
		t.Errorf("beyond its range: %q", text)
	}
	k.Parts[1].LastWhy = "another part needs it"
	if text := k.lead(); strings.Contains(text, "Look again") {
		t.Errorf("not known: %q", text)
	}
}
