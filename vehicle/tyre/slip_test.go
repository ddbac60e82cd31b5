package tyre

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

// lateral and along are the tyre of the published figures: load in kN, slip angle in degrees, slip in per cent.
func lateral(load float64) (c SlipCurve, stiffness float64) {
	d := -22.1*load*load + 1011*load
	stiffness = 1078 * math.Sin(1.82*math.Atan(0.208*load))
	return SlipCurve{B: stiffness / (1.30 * d), C: 1.30, D: d, E: -0.354*load + 0.707}, stiffness
}

func along(load float64) SlipCurve {
	d := -21.3*load*load + 1144*load
	stiffness := (49.6*load*load + 226*load) / math.Exp(0.069*load)
	return SlipCurve{B: stiffness / (1.65 * d), C: 1.65, D: d, E: -0.006*load*load + 0.056*load + 0.486}
}

func TestOutsideSlipCurve(t *testing.T) {
	const bnp = "Bakker, Nyborg and Pacejka, SAE 870421"
	check := func(id, name, unit string, got, want, tol float64, relative bool) {
		outside.Check{ID: "chassis " + id, Name: name, Unit: unit, Got: got, Want: want, Tol: tol, Relative: relative, Source: bnp, Known: soilComputed}.Run(t)
	}
	c, stiffness := lateral(4)
	check("5.50", "D at 4 kN, lateral", "N", c.D, 3690.4, 1e-4, true)
	check("5.50", "BCD at 4 kN, lateral", "N/deg", stiffness, 1027.33, 1e-4, true)
	check("5.50", "B at 4 kN, lateral", "1/deg", c.B, 0.214139, 1e-4, true)
	check("5.50", "E at 4 kN, lateral", "1", c.E, -0.709, 1e-4, true)
	for _, row := range []struct{ load, slip, want float64 }{{2, 4, 1722.54}, {4, 2, 1911.06}, {4, 4, 3096.61}, {4, 10, 3688.35}, {6, 4, 3833.10}} {
		c, _ := lateral(row.load)
		check("5.51", fmt.Sprintf("side force at %g kN and %g degrees", row.load, row.slip), "N", c.At(row.slip), row.want, 0.1, false)
	}
	for _, row := range []struct{ load, slip, want float64 }{{2, 10, 2191.82}, {4, 5, 3823.68}, {4, 10, 4234.44}, {4, 100, 2898.60}, {6, 10, 6090.57}} {
		check("5.53", fmt.Sprintf("braking force at %g kN and %g %%", row.load, row.slip), "N", along(row.load).At(row.slip), row.want, 0.1, false)
	}
	peak := func(c SlipCurve) (at, most float64) {
		for x := 1.0; x < 40; x += 0.0005 {
			if y := c.At(x); y > most {
				at, most = x, y
			}
		}
		return at, most
	}
	at, most := peak(c)
	check("5.52", "peak side force at 4 kN", "N", most, 3690.4, 0.1, false)
	check("5.52", "its slip angle", "deg", at, 9.351, 0.01, false)
	at, most = peak(along(4))
	check("5.54", "peak braking force at 4 kN", "N", most, 4235.2, 0.1, false)
	check("5.54", "its slip", "%", at, 10.348, 0.01, false)
	outside.Check{ID: "chassis 5.55", Name: "a copy in circulation squares the load twice: D at 4 kN", Unit: "N", Got: c.D, Want: (-22.1 + 1011) * 16, Tol: 0.01, Relative: true, Trap: true, Source: bnp, Known: soilComputed}.Run(t)
}

// A combined slip is never more than the whole grip, goes the way of the slip, and is that of one direction when the
// other is nothing; small ones add as if alone.
func TestCombinedSlip(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := NewSlide(rapid.Float64Range(0.5, 1).Draw(r, "left"))
		along, across := rapid.Float64Range(-5, 5).Draw(r, "along"), rapid.Float64Range(-5, 5).Draw(r, "across")
		fx, fy := s.Combined(along, across)
		if math.Hypot(fx, fy) > 1+1e-12 || math.Abs(fx*across-fy*along) > 1e-9*(1+math.Abs(along*across)) || fx*along < 0 || fy*across < 0 {
			r.Errorf("slips %g and %g give %g and %g", along, across, fx, fy)
		}
		if x, y := s.Combined(along, 0); math.Abs(x-s.curve.At(along)) > 1e-12 || y != 0 {
			r.Errorf("along alone %g and %g, the curve %g", x, y, s.curve.At(along))
		}
		small, _ := s.Combined(1e-4, 1e-4)
		if math.Abs(small/s.curve.At(1e-4)-1) > 1e-3 {
			r.Errorf("a small slip along gives %g beside one across, %g alone", small, s.curve.At(1e-4))
		}
		if more, _ := s.Combined(0.3, 2); more >= s.curve.At(0.3) {
			r.Error("sliding across leaves as much along as none")
		}
	})
}

// What slip a share of the grip needs is where the curve gives that share, and no more than that of the greatest.
func TestSlipThatAShareNeeds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := NewSlide(rapid.Float64Range(0.5, 1).Draw(r, "left"))
		share := rapid.Float64Range(0, 1).Draw(r, "share")
		slip := s.Needs(share)
		if slip < 0 || slip > 1+1e-12 || math.Abs(s.curve.At(slip)-share) > 1e-9 {
			r.Errorf("a share of %g needs a slip of %g, which gives %g", share, slip, s.curve.At(slip))
		}
	})
	if s := NewSlide(0.9); math.Abs(s.Needs(1.2)-1) > 1e-12 {
		t.Errorf("more than there is needs %g", s.Needs(1.2))
	}
}

// The curve is greatest at its own slip, and what is left goes to the share that is given.
func TestSlideIsGreatestAtOne(t *testing.T) {
	for _, left := range []float64{0.5, 0.7, 0.85, 0.95} {
		s := NewSlide(left)
		if math.Abs(s.curve.At(1)-1) > 1e-12 || s.curve.At(0.8) >= 1 || s.curve.At(1.3) >= 1 || math.Abs(s.curve.At(1e9)-left) > 1e-6 {
			t.Errorf("%g left: %g at the peak, %g and %g about it, %g far on", left, s.curve.At(1), s.curve.At(0.8), s.curve.At(1.3), s.curve.At(1e9))
		}
	}
}
