package chassis

import "math"

// AckermannOuter is the steering angle of the outer front wheel [rad] that rolls without scrub with the inner one at its
// angle [rad]: cot(outer) = cot(inner) + T/L, kingpin track T and wheelbase L in m. Source: Gillespie, Fundamentals of Vehicle
// Dynamics, ch. 8.
func AckermannOuter(inner, kingpins, wheelbase float64) float64 {
	return math.Atan(1 / (1/math.Tan(inner) + kingpins/wheelbase))
}

// TurnRadius is the radius at the middle of the rear axle [m] of a machine whose inner front wheel is turned by so much [rad]:
// L/tan(inner) + T/2. Source: kinematics.
func TurnRadius(inner, kingpins, wheelbase float64) float64 {
	return wheelbase/math.Tan(inner) + kingpins/2
}

// AxleSlip is the slip of each rear wheel on one solid axle in a turn [-], plus on the inner, minus on the outer side: T/(2R).
// Source: kinematics.
func AxleSlip(track, radius float64) float64 { return track / (2 * radius) }

// AxleYaw is the moment that holds the machine straight [Nm] while both wheels of a solid axle slip along by T/(2R), with so
// much force per slip on each wheel [N]: C T^2/(2R). For slips well below the peak. Source: two wheels a track apart.
func AxleYaw(stiffness, track, radius float64) float64 {
	return stiffness * track * track / (2 * radius)
}

// AxleYawSliding is the greatest such moment [Nm]: both wheels slide along, one forwards, one backwards. Without drive the two
// forces are equal, so the lighter wheel sets them: grip x the lesser load [N] x track [m]. Source: torque balance of the axle.
func AxleYawSliding(grip, loadA, loadB, track float64) float64 {
	return grip * math.Min(loadA, loadB) * track
}

// ScrubPath is how much further the outer wheel runs than the inner one through a turn [m] of so much angle [rad].
// Source: kinematics.
func ScrubPath(track, angle float64) float64 { return track * angle }
