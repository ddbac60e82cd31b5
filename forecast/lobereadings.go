package forecast

import (
	"fmt"

	"shakedown/engine/valvetrain"
	"shakedown/machine"
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
	return definition{v.path("engine.lobe_turns.%s"), v.title("Changes of sign of the acceleration of the lobe as read"), "1", "of the second differences of the smoothed readings", "a clean lobe has two: flank, nose, flank", valveTheory + "readings", definitional,
		func(in *inputs) (float64, error) {
			_, r, err := v.readings(in)
			return float64(r.Turns), err
		}}
}

// fillLobes puts the smoothed readings of a lobe in place of the lobe law.
func fillLobes(p *machine.Project) []Mismeasured {
	var bad []Mismeasured
	for _, v := range []valve{intake, exhaust} {
		name := v.path("%s_lobe")
		origin, given := firstReading(p, name)
		if !given {
			continue
		}
		table := v.path("engine.cam.%s.table")
		build := p.Bare()
		if build.Len(table) > 0 {
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s gives %s, which stands in the sheet already", name, table), "one of the two", "take the table out, or the worksheet"})
			continue
		}
		in := &inputs{build: build}
		angles, r, err := v.readings(in)
		switch {
		case len(in.missing) > 0:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s has a reading without angle or lift", name), "{angle: -120, lift: 0.21 mm} in every line", "fill it in, or take the line out"})
			continue
		case err != nil:
			bad = append(bad, Mismeasured{origin, fmt.Sprintf("measure.%s: %v", name, err), "readings that belong together", "take the readings again; look at the order of the lines"})
			continue
		}
		origin.Part = "measure." + name
		for i, angle := range angles {
			put(p, entry(table, i, "angle"), angle, 0, origin)
			put(p, entry(table, i, "lift"), max(0, r.Lifts[i]), 0, origin)
		}
	}
	return bad
}
