package ranges

import (
	"encoding/json"
	"math"
	"testing"

	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// A tolerance of 1.79e308, of which twice the value is taken: up and down lie 2 x 1.79e308 apart, which no number
// holds. The sheet refuses such a tolerance; should one come from elsewhere, the figure says that it cannot be
// computed, and can be written down.
func TestARangeThatIsNoNumber(t *testing.T) {
	p := &machine.Project{}
	atom := p.AddAtom(machine.Atom{Path: "engine.stroke", Q: quantity.Quantity{Value: 0.066, Half: 1.79e308, Kind: quantity.Length}})
	p.Base = map[string]machine.Value{"engine.stroke": {Field: machine.FieldAt("engine.stroke"), Terms: []int{atom}}}
	e := NewEvaluator(p.Bare(), nil)
	f := e.Figure(Definition{ID: "x", Title: "X", Unit: "mm", Compute: func(in *Inputs) (float64, error) { return 2 * in.Num("engine.stroke"), nil }})
	if f.State != figure.Cannot || f.Why == "" {
		t.Errorf("%+v", f)
	}
	if _, err := json.Marshal(f); err != nil {
		t.Error(err)
	}
	e.build.Project.Atoms[atom].Q.Half = 0.001
	if f := e.Figure(Definition{ID: "x", Title: "X", Unit: "mm", Compute: func(in *Inputs) (float64, error) { return 2 * in.Num("engine.stroke"), nil }}); f.State != figure.Ready || math.Abs(f.High-0.134) > 1e-12 {
		t.Errorf("132 mm, 2 mm to each side: %+v", f)
	}
}
