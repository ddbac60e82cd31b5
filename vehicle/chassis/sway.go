package chassis

import "errors"

// RollStiffness is the moment per angle [Nm/rad] with which one axle's two springs, each of a rate at the wheel [N/m],
// a distance apart [m], stand against roll: rate x apart^2/2. Source: statics of two springs.
func RollStiffness(rate, apart float64) float64 { return rate * apart * apart / 2 }

// InSeries is the stiffness of two that carry the same load, as tyre and spring of one axle do; either may be infinite.
func InSeries(first, second float64) float64 { return 1 / (1/first + 1/second) }

// TipSwaying is the lateral acceleration [g0] at which the inner wheel lifts when the body sways on tyres and springs:
// rigid x (1 - W h/K), rigid in g0, weight W [N], height h of the centre of gravity [m], roll stiffness K of both axles
// together [Nm/rad]. The centre moves outwards by h times the angle of roll, a W h/(K - W h), about an axis on the
// ground. The stiffnesses are constant until a wheel lifts. The error is for a machine that falls over at rest, K not
// above W h. Source: statics of an inverted pendulum on a spring; Gillespie, Fundamentals of Vehicle Dynamics, ch. 9
// (suspended vehicle).
func TipSwaying(rigid, weight, height, stiffness float64) (float64, error) {
	if !(stiffness > weight*height) {
		return 0, errors.New("tyres and springs this soft would let it fall over at rest; look at their rates")
	}
	return rigid * (1 - weight*height/stiffness), nil
}
