package suspension

import "math"

// End is what carries one end of a machine. Travels are as an owner measures them: along the tubes of a fork, vertical
// at the wheel with shocks. It alone says how such a travel, a rate and a force look from the ground.
type End interface {
	Sag(load float64) (Sag, error)          // under a vertical load at the wheel [N]
	WheelRate(s float64) float64            // [N/m] vertical force over vertical way of the wheel, at a travel [m]
	Vertical(s float64) float64             // [m] that the wheel rises over a travel [m]
	Full() float64                          // [m] the whole travel
	Stroke(s float64) float64               // [m] of a spring over a travel [m]
	SpringForceFor(load, s float64) float64 // [N] of one spring that carries a vertical load [N] at a travel [m]
}

// AlongFork is how far a wheel rises [m] when a fork at a rake [rad] goes in by a travel along its tubes [m]: s
// cos(rake). Source: geometry.
func AlongFork(s, rake float64) float64 { return s * math.Cos(rake) }

// Landing is what the springs take up [J] from a travel [m] to full travel beyond carrying the load that stands on them
// there: the vertical rate at that travel times half the square of the vertical way that is left. Dampers are left out,
// and so is a rate that rises. Source: energy of a spring.
func Landing(e End, s float64) float64 {
	left := e.Vertical(math.Max(0, e.Full()-s))
	return e.WheelRate(s) * left * left / 2
}
