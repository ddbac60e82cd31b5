package forecast

import (
	"context"
	"fmt"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/vehicle/driveline"
)

// StartResult is a standing start to the first corner, made with the best of the gears and crank speeds that can be held.
type StartResult struct {
	Gear      int
	Held      float64  // [rpm] of the crank while the clutch slips
	Time      float64  // [s] to the corner
	Low, High float64  // [s] of it
	Narrow    []string // what leaves nothing to compute whichever way it is moved: the range is too narrow by what it does
	First     string   // path of the input that makes most of that; "" for none
	Distance  float64  // [m] to it
	Speed     float64  // [km/h] there
	Fastest   float64  // [km/h] on the way
	Slips     float64  // [s]
	Heat      float64  // [kJ] that the clutch takes
	PerFace   float64  // [J/cm2] of its friction faces; 0 when they are not known
	Limit     string   // for the longest time while it slips
	Tries     []StartTry
	Assumed   []string // for which usual ones stand in, because the sheet leaves them out
}

// StartTry is the best start in one gear.
type StartTry struct {
	Gear   int
	Held   float64   // [rpm]
	Time   float64   // [s]
	Heat   float64   // [kJ]
	Lifts  float64   // [s] for which only the front wheel's lifting holds it back
	Spins  float64   // [s] for which the grip of the driven wheels does
	Way    []float64 // [m] every metre or so
	Speeds []float64 // [km/h] there
}

// startGears are the gears that a start is tried in, and startShare is how far its time may be off as a share of itself although all inputs are
// right: a rider's hand on the clutch; by judgement.
const (
	startGears = 3
	startShare = 0.05
)

// starting is a build on its way to the first corner.
type starting struct {
	m        *lap.Machine
	g        driveline.Gearbox
	speeds   []float64 // [rad/s] of the crank
	torques  []float64 // [N m] at the crank
	sections []lap.Section
}

func startOf(in *inputs, c *TorqueCurve, scale float64) (*starting, error) {
	m, err := ridable(in, c, scale)
	if err != nil {
		return nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, err
	}
	s := &starting{m: m, g: g, sections: sectionsOf(in)}
	if len(in.missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoLap, why(in.missing, nil))
	}
	if s.speeds, s.torques, err = crankTorque(in, c, scale); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return s, nil
}

// try is a start in a gear, counted from 0, with the crank held at the k-th speed of the curve.
func (s *starting) try(gear, k int) (*lap.Start, error) {
	torque := s.torques[k]
	if s.g.Clutch > 0 {
		torque = math.Min(torque, s.g.Clutch/s.g.Primary)
	}
	force, until := s.g.InGear(gear, s.speeds[k], torque)
	start, err := lap.StandingStart(s.m, s.sections, lap.Launch{Force: force, Until: until, Efficiency: s.g.Efficiency})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return start, nil
}

// ComputeStart is the best standing start of a build to its first corner, with its range: the torque of the curve may be off by a share of itself
// [-]. The error is ErrNoLap or the context's.
func ComputeStart(ctx context.Context, b *machine.Build, c *TorqueCurve, doubt float64) (*StartResult, error) {
	in := &inputs{build: b}
	s, err := startOf(in, c, 1)
	if err != nil {
		return nil, err
	}
	var best *StartResult
	var tries []StartTry
	held := 0 // point of the curve of the best
	for gear := range min(startGears, len(s.g.Gears)) {
		var inGear *lap.Start
		at := 0
		for k := range s.speeds {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			start, err := s.try(gear, k)
			if err != nil {
				return nil, err
			}
			if inGear == nil || start.Time < inGear.Time-1e-6 {
				inGear, at = start, k
			}
		}
		t := StartTry{Gear: gear + 1, Held: s.speeds[at] / rpm, Time: inGear.Time, Heat: inGear.Heat / 1000, Lifts: inGear.ByTime[lap.ByWheelie], Spins: inGear.ByTime[lap.ByDriveGrip], Way: inGear.Way}
		for _, v := range inGear.Speeds {
			t.Speeds = append(t.Speeds, v*3.6)
		}
		tries = append(tries, t)
		if best == nil || inGear.Time < best.Time {
			best, held = &StartResult{Gear: t.Gear, Held: t.Held, Time: t.Time, Distance: inGear.Distance, Speed: inGear.Speed * 3.6, Fastest: inGear.Fastest * 3.6, Slips: inGear.Slips, Heat: t.Heat, Limit: inGear.Limit.String()}, at
		}
	}
	best.Tries, best.Assumed = tries, in.assumed
	if in.has("driveline.clutch.friction_faces") {
		faces := in.num("driveline.clutch.friction_faces")
		outer, inner := in.num("driveline.clutch.outer_diameter"), in.num("driveline.clutch.inner_diameter")
		if area := math.Pi / 4 * (outer*outer - inner*inner) * faces * 1e4; area > 0 && len(in.missing) == 0 {
			best.PerFace = 1000 * best.Heat / area
		}
	}
	scale := 1.0
	d := definition{"track.start_time", "Time from rest to the first corner", "s", "as hard as clutch, grip and front wheel allow, then in the best gear, braked for the corner", "docs/theory/lap.md", "docs/theory/lap.md#start", modelError{startShare, 0, "a rider's hand on the clutch"},
		func(in *inputs) (float64, error) {
			if err := ctx.Err(); err != nil {
				return 0, err
			}
			s, err := startOf(in, c, scale)
			if err != nil {
				return 0, err
			}
			start, err := s.try(best.Gear-1, min(held, len(s.speeds)-1))
			if err != nil {
				return 0, err
			}
			return start.Time, nil
		}}
	e := &evaluator{build: b, delta: make([]float64, len(b.Project.Atoms))}
	f := e.figure(d)
	if f.State != figure.Ready {
		return best, ctx.Err()
	}
	scale = 1 + doubt
	strong, _, err1 := e.at(d, b, nil)
	scale = 1 - doubt
	weak, _, err2 := e.at(d, b, nil)
	if err1 != nil {
		strong = math.NaN()
	}
	if err2 != nil {
		weak = math.NaN()
	}
	half, ok := halfOf(f.Value, strong, weak)
	if best.Narrow = f.Narrow; !ok {
		best.Narrow = append(slices.Clone(best.Narrow), OnARoller)
	}
	best.Low, best.High = best.Time-math.Hypot(f.Value-f.Low, half), best.Time+math.Hypot(f.High-f.Value, half)
	if len(f.Basis.Inputs) > 0 && f.Basis.Inputs[0].Share > 0 {
		best.First = f.Basis.Inputs[0].Path
	}
	return best, ctx.Err()
}
