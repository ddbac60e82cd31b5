package running

import (
	"errors"
	"fmt"

	"shakedown/forecast/ranges"
	"shakedown/vehicle/suspension"
)

// Fit is the least gap of an entry of fits over the travel of its end, counted from 0.
func Fit(entryAt int, what string) ranges.Definition {
	title := "Least gap over the travel: " + what
	at := func(name string) string { return ranges.Entry("fits", entryAt, name) }
	return ranges.Definition{ID: fmt.Sprintf("fit.%d", entryAt+1), Title: title, Unit: "mm", Formula: "straight line through two readings, least from full droop to full bump; one reading: as measured", Source: "straight line between readings", Theory: suspensionTheory + "gaps", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			gap := in.Num(at("gap"))
			end := in.Text(at("end"))
			if end == "steering" || !in.Has(at("second_gap")) || len(in.Missing) > 0 {
				return gap, nil
			}
			first, second := in.Num(at("at")), in.Num(at("second_at"))
			travel := in.Num(Wheel(end).Path("suspension.%s.travel"))
			if first == second && len(in.Missing) == 0 {
				return 0, errors.New("the two gaps are read at one place of the travel; read one near full droop and one near full bump")
			}
			return suspension.LeastGap(first, gap, second, in.Num(at("second_gap")), travel), nil
		}}
}
