package torque

import (
	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
)

// gaugeReads is to what a dial gauge on a turning engine is read [m].
const gaugeReads = 0.01e-3

// Readings smooths the lobe that the sheet's worksheet gives; angles are those of the readings [rad].
func (v Valve) Readings(in *ranges.Inputs) (angles []float64, r valvetrain.Readings, err error) {
	list := v.Path("measure.%s_lobe")
	n := in.Build.Len(list)
	lifts := make([]float64, n)
	angles = make([]float64, n)
	for i := range n {
		angles[i], lifts[i] = in.Num(ranges.Entry(list, i, "angle")), in.Num(ranges.Entry(list, i, "lift"))
	}
	if len(in.Missing) > 0 {
		return nil, r, nil
	}
	r, err = valvetrain.SmoothReadings(angles, lifts, gaugeReads)
	return angles, r, err
}

// lobeTurns is how often the acceleration of the lobe that was read changes its sign.
func (v Valve) lobeTurns() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.lobe_turns.%s"), FourStroke: true, Only: ranges.Listed(v.Path("measure.%s_lobe")), Detail: true, Title: v.title("Changes of sign of the acceleration of the lobe as read"), Unit: "1", Formula: "of the second differences of the smoothed readings", Source: "a clean lobe has two: flank, nose, flank", Theory: valveTheory + "readings", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			_, r, err := v.Readings(in)
			return float64(r.Turns), err
		}}
}
