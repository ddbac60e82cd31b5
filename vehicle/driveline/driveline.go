// Package driveline is ratios, chain and clutch: what happens between crankshaft and rear axle.
//
// Teeth, ratios, pitches and clutch sizes go in; road speeds, chain length, sprocket centres, wrap and clutch capacity
// come out. It knows no engine torque and no tyre.
package driveline

import (
	"errors"
	"math"
)

// RoadSpeed is the speed over the ground [m/s] of an engine at so many rad/s through primary, gear and final reduction
// on a loaded radius [m]: speed/(primary gear final) x radius. Without slip. Source: kinematics.
func RoadSpeed(engineSpeed, primary, gear, final, radius float64) float64 {
	return engineSpeed / (primary * gear * final) * radius
}

// Chain is a size of roller chain.
type Chain struct {
	Pitch       float64 // [m]
	InnerWidth  float64 // [m] between the inner plates
	Front, Rear Made    // sprockets that are made for it
}

// ChainSize is the chain of a trade size. 4xx has 1/2 in pitch, 5xx 5/8 in; the last digits give the width in eighths
// of an inch. Source: naming of ISO 606 and ISO 10190; from memory. The sprockets are what dealers of off-road machines
// keep and have cut: common practice, from memory.
func ChainSize(name string) (Chain, bool) {
	const half, fiveEighths = 12.7e-3, 15.875e-3
	size, ok := map[string]Chain{
		"420": {half, 6.35e-3, Made{Counts{12, 17}, Counts{10, 19}}, Made{Counts{28, 52}, Counts{24, 60}}},
		"428": {half, 7.94e-3, Made{Counts{12, 17}, Counts{11, 20}}, Made{Counts{34, 56}, Counts{28, 64}}},
		"520": {fiveEighths, 6.35e-3, Made{Counts{11, 17}, Counts{9, 20}}, Made{Counts{32, 54}, Counts{26, 64}}},
		"525": {fiveEighths, 7.94e-3, Made{Counts{14, 17}, Counts{12, 19}}, Made{Counts{38, 48}, Counts{32, 56}}},
		"530": {fiveEighths, 9.53e-3, Made{Counts{14, 18}, Counts{12, 20}}, Made{Counts{36, 48}, Counts{30, 56}}},
	}[name]
	return size, ok
}

// PitchDiameter is the diameter of the circle through the chain's pins [m]: p/sin(pi/N). N is 5 or more.
// Source: ISO 606.
func PitchDiameter(pitch float64, teeth int) float64 { return pitch / math.Sin(math.Pi/float64(teeth)) }

// Wrap is the angle over which the chain lies on the smaller of the two sprockets [rad]: pi - 2 asin(|R - r|/C).
func Wrap(centres, pitch float64, front, rear int) float64 {
	return math.Pi - 2*tilt(centres, pitch, front, rear)
}

// tilt is the angle between the straight spans and the line of centres [rad].
func tilt(centres, pitch float64, front, rear int) float64 {
	return math.Asin(math.Abs(PitchDiameter(pitch, rear)-PitchDiameter(pitch, front)) / (2 * centres))
}

// ChainPitches is the length of a chain in pitches on sprockets at so great centres [m]: two tangent spans on the pitch
// circles, and N x wrap angle/2 pi pitches on each sprocket. Exact for that geometry; the usual formula with a series
// differs by less than 0.001 pitch. Source: ISO 606 geometry.
func ChainPitches(centres, pitch float64, front, rear int) float64 {
	angle := tilt(centres, pitch, front, rear)
	small, large := float64(min(front, rear)), float64(max(front, rear))
	return 2*centres*math.Cos(angle)/pitch + small*(math.Pi-2*angle)/(2*math.Pi) + large*(math.Pi+2*angle)/(2*math.Pi)
}

// ErrShortChain says that the chain does not go round the sprockets.
var ErrShortChain = errors.New("the chain is too short to go round these sprockets; it needs more pitches")

// CentresForPitches is the distance of the sprockets' centres [m] at which a chain of so many pitches runs straight and
// without slack: ChainPitches solved by bisection to a part in a thousand million.
func CentresForPitches(pitches, pitch float64, front, rear int) (float64, error) {
	touching := (PitchDiameter(pitch, front) + PitchDiameter(pitch, rear)) / 2
	low, high := touching, pitches*pitch
	if !(ChainPitches(low, pitch, front, rear) < pitches) {
		return 0, ErrShortChain
	}
	for high-low > 1e-9*high {
		if middle := (low + high) / 2; ChainPitches(middle, pitch, front, rear) < pitches {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2, nil
}

// ClutchCapacity is the torque that a clutch holds [Nm] by uniform wear: faces x friction x force x (ro + ri)/2, radii
// in m, force of all springs in N. Source: Shigley, Mechanical Engineering Design, ch. 16.
func ClutchCapacity(faces int, friction, force, outer, inner float64) float64 {
	return float64(faces) * friction * force * (outer + inner) / 2
}

// TipRadius is the radius over the teeth of a sprocket [m], chain on it: pitch radius + 0.5 pitch for the plates.
// Source: ISO 606 (plate height about one pitch); the chain, not the tooth, is what meets a guard.
func TipRadius(pitch float64, teeth int) float64 { return PitchDiameter(pitch, teeth)/2 + 0.5*pitch }

// Swingarm is where front sprocket, pivot and axle stand, seen from the side with the wheel hanging.
type Swingarm struct {
	AheadX, AheadZ float64 // [m] front sprocket's centre ahead of and above the pivot
	Arm            float64 // [m] pivot to axle
	Droop          float64 // [rad] pivot to axle below the horizontal, wheel hanging
	Travel         float64 // [m] vertical, of the axle
}

// centres is the distance of the sprockets' centres [m] at an angle of the arm below the horizontal [rad].
func (s Swingarm) centres(angle float64) float64 {
	sin, cos := math.Sincos(angle)
	return math.Hypot(s.AheadX+s.Arm*cos, s.AheadZ+s.Arm*sin)
}

// Growth is by how much the distance of the sprockets' centres grows at most over the travel [m], and that distance
// with the wheel hanging [m]. It is greatest where sprocket, pivot and axle stand in line, when the travel reaches
// that. The error is for a travel that the arm cannot make. Source: plane geometry.
func (s Swingarm) Growth() (growth, hanging float64, err error) {
	top := math.Sin(s.Droop) - s.Travel/s.Arm
	if s.Arm <= 0 || top < -1 || s.Travel < 0 {
		return 0, 0, errors.New("the swingarm is too short for this travel; look at pivot, wheel and travel")
	}
	hanging = s.centres(s.Droop)
	most := math.Max(hanging, s.centres(math.Asin(top)))
	if inLine := math.Atan2(s.AheadZ, s.AheadX); inLine < s.Droop && inLine > math.Asin(top) {
		most = math.Max(most, s.centres(inLine))
	}
	return most - hanging, hanging, nil
}

// SlackFor is the free movement of the lower run's middle, up and down together [m], that lets the centres grow by so
// much [m]: the upper run is tight, the lower one longer by twice the growth, so its middle moves sqrt((c/2 + growth)^2
// - (c/2)^2) to each side. Source: geometry of a run lifted in its middle.
func SlackFor(centres, growth float64) float64 {
	half := centres / 2
	return 2 * math.Sqrt(math.Pow(half+growth, 2)-half*half)
}
