package machine

import "shakedown/quantity"

// PistonRatio is the compression ratio that a piston is sold with.
const PistonRatio = "engine.piston_ratio"

// How far the ratio on a piston's box lies from what the assembled engine has until it is measured: by 0.7 too high to
// 0.2 too low. An input's range is even to both sides, so that its middle is moved. Common practice: it is told for a
// chamber of the drawing, and heads, gaskets and pockets are seldom as drawn.
const (
	advertisedShift = -0.25
	advertisedHalf  = 0.45
)

// Advertised is a ratio that a piston is sold with as it is reckoned with: 0.25 below its number, by 0.45 to both
// sides, and a maker's word. A ratio that was measured or that has a tolerance of its own, and every other input,
// stays as it is.
func Advertised(path string, q quantity.Quantity) quantity.Quantity {
	switch {
	case path != PistonRatio || q.Half > 0:
		return q
	case q.Known == quantity.Measured || q.Known == quantity.Fitted:
		q.Half = quantity.DefaultHalf(q.Kind, q.Value, q.Known)
		return q
	}
	q.Value, q.Half, q.Known = q.Value+advertisedShift, advertisedHalf, quantity.Claimed
	return q
}
