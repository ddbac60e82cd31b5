package figure

import "testing"

func TestARangeSaysWhatItLacks(t *testing.T) {
	for want, lost := range map[string][]string{
		"": nil,
		"The range is too narrow: what bore does to it can be computed on neither side.":                       {"bore"},
		"The range is too narrow: what bore and stroke do to it can be computed on neither side.":              {"bore", "stroke"},
		"The range is too narrow: what bore, stroke and rod do to it can be computed on neither side.":         {"bore", "stroke", "rod"},
		"The range is too narrow: what bore, stroke, rod and 2 more do to it can be computed on neither side.": {"bore", "stroke", "rod", "dome", "deck"},
	} {
		if got := TooNarrow(lost); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
