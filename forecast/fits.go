package forecast

import (
	"errors"
	"fmt"

	"shakedown/vehicle/suspension"
)

// fit is the least gap of an entry of fits over the travel of its end, counted from 0.
func fit(entryAt int, what string) definition {
	title := "Least gap over the travel: " + what
	at := func(name string) string { return entry("fits", entryAt, name) }
	return definition{id: fmt.Sprintf("fit.%d", entryAt+1), title: title, unit: "mm", formula: "straight line through two readings, least from full droop to full bump; one reading: as measured", source: "straight line between readings", theory: suspensionTheory + "gaps", model: definitional,
		compute: func(in *inputs) (float64, error) {
			gap := in.num(at("gap"))
			end := in.text(at("end"))
			if end == "steering" || !in.has(at("second_gap")) || len(in.missing) > 0 {
				return gap, nil
			}
			first, second := in.num(at("at")), in.num(at("second_at"))
			travel := in.num(wheel(end).path("suspension.%s.travel"))
			if first == second && len(in.missing) == 0 {
				return 0, errors.New("the two gaps are read at one place of the travel; read one near full droop and one near full bump")
			}
			return suspension.LeastGap(first, gap, second, in.num(at("second_gap")), travel), nil
		}}
}
