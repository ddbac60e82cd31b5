package forecast

import (
	"shakedown/engine/valvetrain"
)

// gaugeReads is to what a dial gauge on a turning engine is read [m].
const gaugeReads = 0.01e-3

// readings smooths the lobe that the sheet's worksheet gives; angles are those of the readings [rad].
func (v valve) readings(in *inputs) (angles []float64, r valvetrain.Readings, err error) {
	list := v.path("measure.%s_lobe")
	n := in.build.Len(list)
	lifts := make([]float64, n)
	angles = make([]float64, n)
	for i := range n {
		angles[i], lifts[i] = in.num(entry(list, i, "angle")), in.num(entry(list, i, "lift"))
	}
	if len(in.missing) > 0 {
		return nil, r, nil
	}
	r, err = valvetrain.SmoothReadings(angles, lifts, gaugeReads)
	return angles, r, err
}

// lobeTurns is how often the acceleration of the lobe that was read changes its sign.
func (v valve) lobeTurns() definition {
	return definition{id: v.path("engine.lobe_turns.%s"), fourStroke: true, only: listed(v.path("measure.%s_lobe")), detail: true, title: v.title("Changes of sign of the acceleration of the lobe as read"), unit: "1", formula: "of the second differences of the smoothed readings", source: "a clean lobe has two: flank, nose, flank", theory: valveTheory + "readings", model: definitional,
		compute: func(in *inputs) (float64, error) {
			_, r, err := v.readings(in)
			return float64(r.Turns), err
		}}
}
