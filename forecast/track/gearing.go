package track

import (
	"cmp"
	"context"
	"errors"
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
	Pitches     int     // of the chain, even, that puts the axle in its place; 0 where nothing is known of that
	Moves       float64 // [m] of the axle backwards, where it is known how it stands now but not its adjuster
	Same        bool    // the chain that is on would do
	Top         float64 // [km/h] at the redline in top gear
	Revved      float64 // [s] a lap at the redline in top gear
	Above       float64 // [m] of the rear sprocket and its chain over the ground
}

// Limits of the search for sprockets.
const (
	pairsSure = 3   // of which the range is worked out
	topUsed   = 1.4 // [-] redline in top gear over the fastest of the lap, at most: a taller pair would leave gears unused; common practice
)

// SprocketSearch is what was found.
type SprocketSearch struct {
	Pairs     []SprocketPair // best first
	Present   SprocketPair
	StoodIn   []string        // of the machine, for which usual ones were ridden
	Size      string          // of the chain
	On        [2]SprocketSold // the present sprockets, front and rear
	Uncounted bool            // their teeth are those that a new sheet begins with
	Unknown   []Unknown       // what of the fit was not looked at
	Low       int             // pairs left out: the rear sprocket would come too near the ground
	Deep      int             // pairs left out: the chain would lie too deep on the swingarm
}

// SearchSprockets rides a lap, along a ride when that is not nil, with every pair of sprockets that is usually sold for
// the chain and fits as far as the sheet says, best first, and works out how sure the gain of the best few is. The
// error is ErrNoLap, which inputs are missing, or the context's.
func SearchSprockets(ctx context.Context, b *machine.Build, known *torque.Sure, along *Ride, done func(ready, total int)) (*SprocketSearch, error) {
	if known == nil {
		return nil, fmt.Errorf("%w without a torque curve", ErrNoLap)
	}
	c := known.Curve
	in := &ranges.Inputs{Build: b, Delta: ranges.Moves(b.Project)}
	room := chainRoomOf(in)
	if len(in.Missing) > 0 {
		return nil, fmt.Errorf("other sprockets cannot be tried: it %s", ranges.Why(in.Missing, nil))
	}
	if room.shortest > room.longest {
		return nil, errAdjuster
	}
	s := &SprocketSearch{Size: in.Text("driveline.chain.size"), Unknown: room.unknown, On: soldFor(room.chain, room.now), Uncounted: b.IsTemplate(frontTeeth) && b.IsTemplate(rearTeeth)}
	if _, _, err := lapOf(in, c, along.of()); err != nil {
		return nil, err
	}
	radius, err := running.LoadedRadius(in, running.RearWheel)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	fastest := 0.0 // [km/h] of the last lap
	ride := func(t Teeth) (SprocketPair, error) {
		p := SprocketPair{Front: t.Front, Rear: t.Rear, Final: float64(t.Rear) / float64(t.Front), Above: radius - driveline.TipRadius(room.chain.Pitch, t.Rear)}
		t.on(b, in.Delta)
		m, course, err := lapOf(in, c, along.of())
		if err != nil {
			return p, err
		}
		l, err := lap.Run(m, course)
		if err != nil {
			return p, err
		}
		fastest = 3.6 * slices.Max(l.Speed)
		p.Lap, p.Revved = l.Time, l.Revved
		p.Top = 3.6 * driveline.RoadSpeed(in.Num("engine.redline"), in.Num("driveline.primary"), g.Gears[len(g.Gears)-1], p.Final, radius)
		return p, nil
	}
	if s.Present, err = ride(room.now); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	s.Present.Pitches, s.Present.Same = room.pitches, true
	front, rear := room.chain.Front.Usual, room.chain.Rear.Usual
	for f := front.From; f <= front.To; f++ {
		if done != nil {
			done(f-front.From, front.To-front.From+1)
		}
		for r := rear.From; r <= rear.To; r++ {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			t := Teeth{f, r}
			if t == room.now {
				continue
			}
			fit, why := room.takes(t)
			switch why {
			case lowBehind:
				s.Low++
			case onSwingarm:
				s.Deep++
			}
			if why != fits {
				continue
			}
			pair, err := ride(t)
			if err != nil {
				continue // a ratio on which it does not come round is no choice
			}
			pair.Pitches, pair.Moves, pair.Same = fit.pitches, fit.moves, fit.pitches > 0 && fit.pitches == room.pitches
			pair.Gain = s.Present.Lap - pair.Lap
			if pair.Top > topUsed*fastest {
				continue
			}
			s.Pairs = append(s.Pairs, pair)
		}
	}
	slices.SortStableFunc(s.Pairs, func(a, b SprocketPair) int { // what no watch tells apart: first what needs least that is new
		return cmp.Or(cmp.Compare(math.Round(100*a.Lap), math.Round(100*b.Lap)), cmp.Compare(s.Present.buys(a), s.Present.buys(b)), cmp.Compare(a.Lap, b.Lap))
	})
	s.StoodIn = in.Assumed
	if len(s.Pairs) == 0 {
		return s, ctx.Err()
	}
	laps := NewLapTimes(along)
	for i := range min(pairsSure, len(s.Pairs)) {
		pair := &s.Pairs[i]
		f, err := laps.Of(ctx, Racer{Build: b, Torque: known, Teeth: Teeth{pair.Front, pair.Rear}}, Racer{Build: b, Torque: known})
		if err != nil {
			return nil, err
		}
		if c := f[0].Change; c != nil {
			pair.Low, pair.High, pair.Narrow = -c.High, -c.Low, len(f[0].Narrow) > 0
		}
	}
	return s, ctx.Err()
}

// errAdjuster says that the adjuster goes the wrong way.
var errAdjuster = errors.New("other sprockets cannot be tried: the shortest sprocket centres are longer than the longest; look at both")

// buys is what another pair needs that is new: the chain counts more than a sprocket.
func (p SprocketPair) buys(other SprocketPair) int {
	n := 0
	if !other.Same {
		n += 2
	}
	if other.Front != p.Front {
		n++
	}
	if other.Rear != p.Rear {
		n++
	}
	return n
}
