package measure

import (
	"math"
	"testing"

	"shakedown/internal/byhand"
	"shakedown/quantity"
)

// An engine of round numbers, turned at 1000 rpm without its plug. By hand, kPa: pistons 294 2/80 + 4.06e4 2/80^2 =
// 20.0375; seals 0.5 1.22e5 34/(80^2 60) = 5.4010; bearings 4 pi/3.015929e-4 x 0.002 x 2132.87 N x 0.034 = 6.0431;
// valve train with two bearings, rockers and 8 mm of lift 1.27083 + 2.06 + 26.6667 + 0.14907 + 11.4133 = 41.5599; pump
// 3.375: 76.4165 together, 1.83400 Nm. 20 N at 110.04 mm are 1.2 times that.
func TestMotoredByHand(t *testing.T) {
	const sheet = `sheet: 1
machine:
  layout: bike
  engine:
    bore: 80 mm ± 0 mm
    stroke: 60 mm ± 0 mm
    cam: {intake: {lift: 8 mm ± 0 mm}, exhaust: {lift: 8 mm ± 0 mm}}
measure: {motored: {pull: 20 N ± 0.2 N, arm: 110.04 mm ± 0 mm, speed: 1000 rpm ± 0 rpm}}
` + byhand.NoParts
	p := byhand.Project(t, sheet)
	if bad := Fill(p); len(bad) > 0 {
		t.Fatalf("%+v", bad)
	}
	q := p.Atoms[p.Base["engine.friction_factor"].Terms[0]].Q
	if math.Abs(q.Value-1.2) > 2e-4 || math.Abs(q.Half-0.012) > 2e-4 || q.Known != quantity.Measured {
		t.Errorf("the factor is %.5f ± %.5f %s, by hand 1.2 ± 0.012", q.Value, q.Half, q.Known)
	}
}
