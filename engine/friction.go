package engine

// Friction is the friction mean effective pressure [Pa] of an engine in its terms.
type Friction struct {
	Constant float64 // [Pa]
	Load     float64 // [Pa] with the peak pressure
	Speed    float64 // [Pa] with the mean piston speed
	Churning float64 // [Pa] with its square
}

// Total is the sum [Pa].
func (f Friction) Total() float64 { return f.Constant + f.Load + f.Speed + f.Churning }

// ChenFlynn is friction by the form A + B pmax + C Sp + D Sp^2 with the middle of the constants that petrol engines are
// given: 0.4 bar, 0.005, 0.09 bar s/m, 0.0009 bar s2/m2; peak pressure [Pa], mean piston speed [m/s]. The published
// range is 0.3 to 0.5, 0.004 to 0.006, 0.08 to 0.10, 0.0006 to 0.0012. Source: Chen and Flynn, SAE 650733; constants
// from memory.
func ChenFlynn(peak, pistonSpeed float64) Friction {
	const bar = 1e5
	return Friction{0.4 * bar, 0.005 * peak, 0.09 * bar * pistonSpeed, 0.0009 * bar * pistonSpeed * pistonSpeed}
}
