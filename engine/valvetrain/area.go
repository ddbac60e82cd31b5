package valvetrain

import (
	"errors"
	"math"
)

// CurtainArea of a valve [m2]: pi x head diameter x lift, lengths in m.
func CurtainArea(head, lift float64) float64 { return math.Pi * head * lift }

// FlowPoint is a reading of the flow bench.
type FlowPoint struct {
	Lift        float64 // [m]
	Coefficient float64 // [-] discharge coefficient on the curtain area
}

// CoefficientAt is the discharge coefficient [-] at a lift [m]: straight lines between the points, which rise in lift,
// the ends held.
func CoefficientAt(points []FlowPoint, lift float64) float64 {
	if lift <= points[0].Lift {
		return points[0].Coefficient
	}
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; lift <= b.Lift {
			return a.Coefficient + (b.Coefficient-a.Coefficient)*(lift-a.Lift)/(b.Lift-a.Lift)
		}
	}
	return points[len(points)-1].Coefficient
}

// MeanFlowCoefficient is the mean over the open period [-] of cd(lift) x curtain area / head area: the open period is
// open [rad] about the lobe centre, cd is linear between the points and held at the ends. Simpson's rule with 64
// strips, within 1e-4 of the integral across the corners of the points. The error is for points that do not rise in
// lift.
func MeanFlowCoefficient(l Lobe, open, head float64, points []FlowPoint) (float64, error) {
	if len(points) == 0 {
		return 0, errors.New("there are no flow coefficients for this valve")
	}
	for i := 1; i < len(points); i++ {
		if points[i].Lift <= points[i-1].Lift {
			return 0, errors.New("the lifts of the flow coefficients must rise from line to line")
		}
	}
	const strips = 64
	at := func(k int) float64 {
		lift := l.Lift(open * (float64(k)/strips - 0.5))
		return CoefficientAt(points, lift) * 4 * lift / head
	}
	sum := at(0) + at(strips)
	for k := 1; k < strips; k++ {
		sum += float64(2+2*(k%2)) * at(k)
	}
	return sum / (3 * strips), nil
}

// BenchCoefficient is the discharge coefficient on the curtain area [-] of a flow through one valve [m3/s] at a
// pressure difference [Pa], air density [kg/m3], head diameter and lift [m]: Q/(pi D L sqrt(2 dp/rho)). Incompressible:
// within 2 % up to 28 inches of water. Source: orifice law; flow-bench practice.
func BenchCoefficient(flow, difference, density, head, lift float64) float64 {
	return flow / (CurtainArea(head, lift) * math.Sqrt(2*difference/density))
}
