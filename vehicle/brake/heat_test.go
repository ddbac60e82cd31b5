package brake

import (
	"testing"

	"shakedown/internal/outside"
)

func TestOutsideHeat(t *testing.T) {
	memory := []outside.Known{outside.Memory, outside.Computed}
	const foot, cc = 0.3048, 1e-6
	for _, c := range []outside.Check{
		{ID: "chassis 8.10", Name: "lever travel that the worst regular hose allowed takes, 0.90 m", Unit: "mm", Got: 1000 * HoseSwell(0.66*cc/foot, 0.9, 12.7e-3, 6), Want: 92.3, Tol: 1e-3, Relative: true, Source: "FMVSS 106 table I", Known: memory},
		{ID: "chassis 8.10", Name: "the same, low expansion", Unit: "mm", Got: 1000 * HoseSwell(0.33*cc/foot, 0.9, 12.7e-3, 6), Want: 46.2, Tol: 0.05, Source: "FMVSS 106 table I", Known: memory},
		{ID: "chassis 8.13", Name: "bulk rise of a disc of 0.90 kg, 205 kg from 20 m/s", Unit: "K", Got: BulkRise(205, 20, 0.7, 0.9, 460), Want: 69.3, Tol: 1e-3, Relative: true, Source: "Limpert, Brake Design and Safety", Known: memory},
	} {
		c.Run(t)
	}
}
