// Package valvetrain is cams, springs, followers and the room valves have: lift laws, float, clearances to the piston,
// contact stress and flow area.
//
// Events, lifts, rates, masses and radii go in; lifts, areas, speeds, clearances and stresses come out. Valve trains
// are rigid; spring surge and oil are not known here. Angles are of the crank [rad] unless said, lifts at the valve
// [m].
package valvetrain

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/interp"
)

// DefaultExponent is n of the lobe law where events and lift are all that is known; 1.6 to 3 spans real lobes.
const DefaultExponent = 2.0

// Lobe is a lift law about its centre: L (1 - (phi/w)^2)^n, or a measured table.
type Lobe struct {
	MaxLift   float64 // [m]
	HalfWidth float64 // [rad] w; lift is zero beyond
	Exponent  float64 // [-] n
	table     *interp.NaturalCubic
	ends      [2]float64 // of the table
}

// LobeThroughEvents is the lobe of a lift [m] that is open at the checking lift [m] for so long [rad of the crank]: w
// such that lift(open/2) is the checking lift. The error is for a checking lift that the lobe never reaches.
func LobeThroughEvents(maxLift, checkingLift, open, exponent float64) (Lobe, error) {
	if !(checkingLift >= 0 && checkingLift < maxLift) || !(open > 0) || !(exponent > 0) {
		return Lobe{}, errors.New("the cam is not possible: the checking lift must be below the greatest lift, and the valve must open")
	}
	width := open / 2 / math.Sqrt(1-math.Pow(checkingLift/maxLift, 1/exponent))
	return Lobe{MaxLift: maxLift, HalfWidth: width, Exponent: exponent}, nil
}

// LobeFromTable is the lobe of measured angles from its centre [rad, rising] and lifts [m], joined by a natural cubic
// spline. It takes five points or more; the error says what is missing. A table of coarse or rough readings gives a
// rough curvature.
func LobeFromTable(angles, lifts []float64) (Lobe, error) {
	if len(angles) < 5 || len(angles) != len(lifts) {
		return Lobe{}, errors.New("a lobe's table needs five points or more of angle and lift")
	}
	l := Lobe{table: &interp.NaturalCubic{}, ends: [2]float64{angles[0], angles[len(angles)-1]}}
	for i, angle := range angles {
		if i > 0 && angle <= angles[i-1] {
			return Lobe{}, errors.New("a lobe's table must rise in angle from line to line")
		}
		l.MaxLift = math.Max(l.MaxLift, lifts[i])
		l.HalfWidth = math.Max(l.HalfWidth, math.Abs(angle))
	}
	if err := l.table.Fit(angles, lifts); err != nil {
		return Lobe{}, errors.New("the lobe's table cannot be joined by a curve; look for a slip in angle or lift")
	}
	return l, nil
}

func (l Lobe) inside(phi float64) bool {
	if l.table != nil {
		return phi >= l.ends[0] && phi <= l.ends[1]
	}
	return phi > -l.HalfWidth && phi < l.HalfWidth
}

// Lift at an angle from the lobe centre [m].
func (l Lobe) Lift(phi float64) float64 {
	switch {
	case !l.inside(phi):
		return 0
	case l.table != nil:
		return math.Max(0, l.table.Predict(phi))
	}
	x := phi / l.HalfWidth
	return l.MaxLift * power(1-x*x, l.Exponent)
}

// power spares math.Pow for the exponent that is nearly always used.
func power(base, exponent float64) float64 {
	if exponent == DefaultExponent {
		return base * base
	}
	return math.Pow(base, exponent)
}

// Curvature of the lift [m/rad2]; negative over the nose, where the spring must hold the valve.
func (l Lobe) Curvature(phi float64) float64 {
	_, curvature := l.liftAndCurvature(phi)
	return curvature
}

// liftAndCurvature shares the one costly power between the two.
func (l Lobe) liftAndCurvature(phi float64) (lift, curvature float64) {
	switch {
	case !l.inside(phi):
		return 0, 0
	case l.table != nil:
		const step = 0.5 * math.Pi / 180
		return l.Lift(phi), (l.table.PredictDerivative(phi+step) - l.table.PredictDerivative(phi-step)) / (2 * step)
	}
	x, n := phi/l.HalfWidth, l.Exponent
	u := 1 - x*x
	bend := math.Pow(u, n-2)
	return l.MaxLift * bend * u * u, 2 * l.MaxLift * n / (l.HalfWidth * l.HalfWidth) * bend * ((2*n-1)*x*x - 1)
}

// Duration is how long a valve is open [rad]: opens + pi + closes, with both events counted away from the dead
// centres.
func Duration(opens, closes float64) float64 { return opens + math.Pi + closes }

// IntakeCentre is the intake lobe's centre [rad after top dead centre of the overlap].
func IntakeCentre(opensBefore, closesAfter float64) float64 {
	return Duration(opensBefore, closesAfter)/2 - opensBefore
}

// ExhaustCentre is the exhaust lobe's centre [rad after top dead centre of the overlap], a negative angle.
func ExhaustCentre(opensBefore, closesAfter float64) float64 {
	return closesAfter - Duration(opensBefore, closesAfter)/2
}

// IntakeEvents are where an intake valve opens [rad before top dead centre] and closes [rad after bottom dead centre]
// by how long it is open [rad of the crank] and its lobe's centre [rad after top dead centre]. An early event may be
// negative: at 1.27 mm of lift many intakes open after top dead centre. The inverse of Duration and IntakeCentre.
func IntakeEvents(duration, centre float64) (opens, closes float64) {
	return duration/2 - centre, duration/2 + centre - math.Pi
}

// ExhaustEvents are where an exhaust valve opens [rad before bottom dead centre] and closes [rad after top dead
// centre] by how long it is open [rad of the crank] and its lobe's centre [rad before top dead centre].
func ExhaustEvents(duration, centre float64) (opens, closes float64) {
	closes, opens = IntakeEvents(duration, centre)
	return opens, closes
}

// LobeCentres are those of the intake [rad of the crank after top dead centre] and of the exhaust [rad before] by the
// separation of the lobes [rad of the cam] and by how far the cam is advanced [rad of the crank]. The cam turns once
// for two turns of the crank, so that the separation in degrees of the cam is the mean of the centres in degrees of
// the crank.
func LobeCentres(separation, advance float64) (intake, exhaust float64) {
	return separation - advance, separation + advance
}
