package report

import (
	"slices"
	"testing"

	"shakedown/figure"
	"shakedown/quantity"
)

// What makes most of a range stands first, whether it is an input or something that the model is not sure of; a doubt
// that makes next to nothing is left out, an input is not.
func TestBasisRowsHoldTheDoubts(t *testing.T) {
	f := figure.Figure{Basis: figure.Basis{
		Inputs: []figure.Input{{Path: "engine.bore", Share: 0.2, Half: 1, Kind: quantity.Length}, {Path: "engine.stroke", Half: 1, Kind: quantity.Length}},
		Doubts: []figure.Doubt{{Name: "friction", Share: 0.5}, {Name: "leak past the rings", Share: 0.3}, {Name: "filter", Share: 0.001}},
	}}
	var names, shares []string
	for _, r := range BasisRows(f, quantity.Metric) {
		names, shares = append(names, r.Path), append(shares, r.Share)
		if r.Doubt != (r.Path == "friction" || r.Path == "leak past the rings") {
			t.Errorf("%+v", r)
		}
	}
	if want := []string{"friction", "leak past the rings", "engine.bore", "engine.stroke"}; !slices.Equal(names, want) {
		t.Errorf("%v, want %v", names, want)
	}
	if want := []string{"50 %", "30 %", "20 %", ""}; !slices.Equal(shares, want) {
		t.Errorf("%v, want %v", shares, want)
	}
}

// A model's own error is a share of the value, in the range in another way, or in none.
func TestModelText(t *testing.T) {
	for want, basis := range map[string]figure.Basis{
		"":                    {},
		"±5.0 %: one line":    {ModelError: 0.05, ModelNote: "one line"},
		"pads and dirt: 40 %": {ModelInside: true, ModelNote: "pads and dirt: 40 %"},
		"no error of its own in the range: a rigid machine": {ModelNote: "a rigid machine"},
	} {
		if got := ModelText(figure.Figure{Basis: basis}); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
