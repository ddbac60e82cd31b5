package track

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/vehicle/driveline"
)

// GearLine is the force at the driven tyres against road speed in one gear, from the torque curve.
type GearLine struct {
	Gear  int
	Speed []float64 // [km/h]
	Force []float64 // [N]
}

// GearLines are the thrust of a build in each gear, the drag that it meets on the level [N] at the last speeds of all,
// and the road speeds at which to change up [km/h]. The error is ErrNoLap.
func GearLines(b *machine.Build, c *torque.Curve) (lines []GearLine, drag GearLine, change []float64, err error) {
	in := &ranges.Inputs{Build: b}
	m, err := ridable(in, c)
	if err != nil {
		return nil, drag, nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, drag, nil, err
	}
	speeds, torques, err := crankTorque(in, c)
	if err != nil {
		return nil, drag, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	top := 0.0
	for k := range g.Gears {
		l := GearLine{Gear: k + 1}
		for i, omega := range speeds {
			force, v := g.InGear(k, omega, torques[i])
			l.Speed, l.Force = append(l.Speed, v*3.6), append(l.Force, force)
			top = math.Max(top, v)
		}
		lines = append(lines, l)
	}
	for i := range 41 {
		v := top * float64(i) / 40
		drag.Speed, drag.Force = append(drag.Speed, v*3.6), append(drag.Force, m.LevelDrag(v))
	}
	for _, v := range g.ShiftSpeeds(speeds, torques, m.Mass) {
		change = append(change, v*3.6)
	}
	return lines, drag, change, nil
}

// SprocketPair is a choice of sprockets on this course.
type SprocketPair struct {
	Front, Rear int
	Final       float64 // [-]
	Lap         float64 // [s]
	Gain        float64 // [s] over the pair that is on
	Low, High   float64 // [s] of the gain; both 0 where it was not worked out
	Narrow      bool    // that range is too narrow: what several inputs at once do to it cannot be computed on either side
	Pitches     int     // of the chain, even, that puts the axle inside its adjuster
	Same        bool    // the chain that is on would do
	Top         float64 // [km/h] at the redline in top gear
}

// WrapLeast is how much chain there must be on the small sprocket [rad]; common practice.
const WrapLeast = 120 * math.Pi / 180

// Limits of the search for sprockets.
const (
	frontFrom, frontTo = 10, 18
	rearFrom, rearTo   = 28, 60
	pairsSure          = 3   // of which the range is worked out
	topUsed            = 1.4 // [-] redline in top gear over the fastest of the lap, at most: a taller pair would leave gears unused; common practice
)

// SearchSprockets rides a lap, along a ride when that is not nil, with every pair of sprockets that a chain fits, best
// first, and works out how sure the gain of the best few is. The present pair stands beside, and for what usual ones
// were ridden. The error is ErrNoLap, which inputs are missing, or the context's.
func SearchSprockets(ctx context.Context, b *machine.Build, known *torque.Sure, along *Ride, done func(ready, total int)) (list []SprocketPair, present SprocketPair, assumed []string, err error) {
	if known == nil {
		return nil, present, nil, fmt.Errorf("%w without a torque curve", ErrNoLap)
	}
	c := known.Curve
	in := &ranges.Inputs{Build: b, Delta: ranges.Moves(b.Project)}
	room := chainRoomOf(in)
	present = SprocketPair{Front: in.Count(frontTeeth), Rear: in.Count(rearTeeth), Pitches: room.pitches}
	if len(in.Missing) > 0 {
		return nil, present, nil, fmt.Errorf("other sprockets cannot be tried: it %s", ranges.Why(in.Missing, nil))
	}
	if _, _, err := lapOf(in, c, along.of()); err != nil {
		return nil, present, nil, err
	}
	radius, err := running.LoadedRadius(in, running.RearWheel)
	if err != nil {
		return nil, present, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, present, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	fastest := 0.0 // [km/h] of the last lap
	ride := func(in *ranges.Inputs, f, r int) (float64, error) {
		Teeth{f, r}.on(b, in.Delta)
		m, course, err := lapOf(in, c, along.of())
		if err != nil {
			return 0, err
		}
		l, err := lap.Run(m, course)
		if err != nil {
			return 0, err
		}
		fastest = 3.6 * slices.Max(l.Speed)
		return l.Time, nil
	}
	if present.Lap, err = ride(in, present.Front, present.Rear); err != nil {
		return nil, present, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	top := func(f, r int) float64 {
		return 3.6 * driveline.RoadSpeed(in.Num("engine.redline"), in.Num("driveline.primary"), g.Gears[len(g.Gears)-1], float64(r)/float64(f), radius)
	}
	present.Final, present.Top, present.Same = float64(present.Rear)/float64(present.Front), top(present.Front, present.Rear), true
	for f := frontFrom; f <= frontTo; f++ {
		if done != nil {
			done(f-frontFrom, frontTo-frontFrom+1)
		}
		for r := rearFrom; r <= rearTo; r++ {
			if ctx.Err() != nil {
				return nil, present, nil, ctx.Err()
			}
			if f == present.Front && r == present.Rear {
				continue
			}
			pair := SprocketPair{Front: f, Rear: r, Final: float64(r) / float64(f)}
			var fits bool
			if pair.Pitches, fits = room.takes(f, r); !fits {
				continue
			}
			pair.Same = pair.Pitches == present.Pitches
			if pair.Lap, err = ride(in, f, r); err != nil {
				continue // a ratio on which it does not come round is no choice
			}
			pair.Gain, pair.Top = present.Lap-pair.Lap, top(f, r)
			if pair.Top > topUsed*fastest {
				continue
			}
			list = append(list, pair)
		}
	}
	slices.SortStableFunc(list, func(a, b SprocketPair) int { // what no watch tells apart: first what needs no other chain
		if d := cmp.Compare(math.Round(100*a.Lap), math.Round(100*b.Lap)); d != 0 {
			return d
		}
		if a.Same != b.Same {
			if a.Same {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Lap, b.Lap)
	})
	if len(list) == 0 {
		return list, present, in.Assumed, ctx.Err()
	}
	laps := NewLapTimes(along)
	for i := range min(pairsSure, len(list)) {
		pair := &list[i]
		f, err := laps.Of(ctx, Racer{Build: b, Torque: known, Teeth: Teeth{pair.Front, pair.Rear}}, Racer{Build: b, Torque: known})
		if err != nil {
			return nil, present, nil, err
		}
		if c := f[0].Change; c != nil {
			pair.Low, pair.High, pair.Narrow = -c.High, -c.Low, len(f[0].Narrow) > 0
		}
	}
	return list, present, in.Assumed, ctx.Err()
}
