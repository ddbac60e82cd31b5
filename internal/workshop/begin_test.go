package workshop

import (
	"strings"
	"testing"
	"time"
)

// Words that people have for a layout are told the one that they mean; others are told what there is.
func TestLayoutsThatAreMeant(t *testing.T) {
	for word, want := range map[string]string{"trike": "did you mean three-wheeler?", "boat": "there are three-wheeler, quad or bike"} {
		if _, err := NewSheet(word, nil, time.Now()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("a sheet of a %s: %v", word, err)
		}
		if err := Acceptable("layout", word); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("the answer %s: %v", word, err)
		}
	}
}

// Answers to the questions about the engine stand in the sheet, and one of another kind is refused with what is meant.
func TestEngineAnswers(t *testing.T) {
	for path, answer := range map[string]string{"engine.claimed_ratio": "9.3", "engine.head.intake_valve.count": "2", "engine.intake.carburettor.venturi": "28 mm", "engine.tuned_for": "race", "engine.claimed_power": "15 kW", "engine.claimed_power_speed": "8000 rpm"} {
		text, err := NewSheet("bike", map[string]string{path: answer}, time.Now())
		if err != nil {
			t.Errorf("%s: %v", path, err)
			continue
		}
		if !strings.Contains(string(text), ": "+answer) {
			t.Errorf("%s: %s does not stand in the sheet", path, answer)
		}
	}
	for path, answer := range map[string]string{"engine.claimed_ratio": "93", "engine.head.intake_valve.count": "1.5", "engine.tuned_for": "fast", "engine.claimed_power": "15 Nm", "engine.claimed_power_speed": "8"} {
		if err := Acceptable(path, answer); err == nil {
			t.Errorf("%s: %q was taken", path, answer)
		}
	}
}
