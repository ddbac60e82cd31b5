package chassis

import "math"

// ClearanceAt is the ground clearance [m] of a point ahead of the rear axle [m] when the front and the rear of a rigid
// frame have come down by so much [m, vertical]. Source: similar triangles.
func ClearanceAt(extended, ahead, wheelbase, front, rear float64) float64 {
	return extended - rear - (front-rear)*ahead/wheelbase
}

// BreakOver is the angle [rad] of the sharpest crest that a machine of that clearance [m] midway between its axles
// passes without touching, tyres taken as points: 2 atan(2 clearance/wheelbase). Source: SAE J1100 (ramp breakover
// angle), from memory.
func BreakOver(clearance, wheelbase float64) float64 {
	return 2 * math.Atan(2*math.Max(0, clearance)/wheelbase)
}

// Shares of the stature: thigh and lower leg with the foot's height. Source: Drillis and Contini (1966), as printed in
// Winter, Biomechanics of Human Movement.
const (
	thighShare = 0.245
	lowerShare = 0.285
)

// KneeAngle is the angle between thigh and lower leg [rad] of a rider of that stature [m] whose foot is so far from his
// hip [m], by the law of cosines; a straight leg where the foot is out of reach.
func KneeAngle(stature, hipToFoot float64) float64 {
	thigh, lower := thighShare*stature, lowerShare*stature
	return math.Acos(math.Max(-1, math.Min(1, (thigh*thigh+lower*lower-hipToFoot*hipToFoot)/(2*thigh*lower))))
}

// HipAbove is how far a rider's hip joint is above the seat [m]. Source: 0.05 of the stature, estimated from sitting
// heights.
func HipAbove(stature float64) float64 { return 0.05 * stature }
