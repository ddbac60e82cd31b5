package forecast

import (
	"fmt"
	"math"

	"shakedown/lap"
	"shakedown/machine"
)

// StartResult is a standing start to the first corner, made with the best of the gears and crank speeds that can be held.
type StartResult struct {
	Gear     int
	Held     float64 // [rpm] of the crank while the clutch slips
	Time     float64 // [s] to the corner
	Distance float64 // [m] to it
	Speed    float64 // [km/h] there
	Fastest  float64 // [km/h] on the way
	Slips    float64 // [s]
	Heat     float64 // [kJ] that the clutch takes
	PerFace  float64 // [J/cm2] of its friction faces; 0 when they are not known
	Limit    string  // for the longest time while it slips
	Others   []StartTry
}

// StartTry is the best start in one gear.
type StartTry struct {
	Gear int
	Held float64 // [rpm]
	Time float64 // [s]
	Heat float64 // [kJ]
}

// startGears are the gears that a start is tried in.
const startGears = 3

// ComputeStart is the best standing start of a build to its first corner. The error is ErrNoLap.
func ComputeStart(b *machine.Build, c *TorqueCurve) (*StartResult, error) {
	in := &inputs{build: b}
	m, _, err := lapOf(in, c, 1, nil)
	if err != nil {
		return nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, err
	}
	speeds, torques, err := crankTorque(in, c, 1)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	sections := sectionsOf(in)
	var best *StartResult
	var others []StartTry
	for gear := range min(startGears, len(g.Gears)) {
		var inGear *StartResult
		for i, omega := range speeds {
			torque := torques[i]
			if g.Clutch > 0 {
				torque = math.Min(torque, g.Clutch/g.Primary)
			}
			force, until := g.InGear(gear, omega, torque)
			s, err := lap.StandingStart(m, sections, lap.Launch{Force: force, Until: until, Efficiency: g.Efficiency})
			if err != nil {
				return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
			}
			if inGear == nil || s.Time < inGear.Time-1e-6 {
				inGear = &StartResult{Gear: gear + 1, Held: omega / rpm, Time: s.Time, Distance: s.Distance, Speed: s.Speed * 3.6, Fastest: s.Fastest * 3.6, Slips: s.Slips, Heat: s.Heat / 1000, Limit: s.Limit.String()}
			}
		}
		others = append(others, StartTry{inGear.Gear, inGear.Held, inGear.Time, inGear.Heat})
		if best == nil || inGear.Time < best.Time {
			best = inGear
		}
	}
	best.Others = others
	if faces := in.count("driveline.clutch.friction_faces"); faces > 0 && len(in.missing) == 0 {
		outer, inner := in.num("driveline.clutch.outer_diameter"), in.num("driveline.clutch.inner_diameter")
		if area := math.Pi / 4 * (outer*outer - inner*inner) * float64(faces) * 1e4; area > 0 {
			best.PerFace = 1000 * best.Heat / area
		}
	}
	return best, nil
}
