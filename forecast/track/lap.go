package track

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/machine"
)

// ErrNoLap says that a lap cannot be computed, and why.
var ErrNoLap = errors.New("no lap can be computed")

// Compliance is the share of the tip-over that tyres and springs take [-]: tilt-table tests of four-wheelers, 10 to 15
// %.
const Compliance = 0.12

// Of a lap, what no sheet gives.
const (
	courseStep   = 1.0   // [m]
	thrustStep   = 0.25  // [m/s]
	thrustSteps  = 240   // up to 60 m/s
	hand         = 200.0 // [N] at a lever, and
	foot         = 350.0 // [N] at a pedal: the most that UN R78 lets a test use; from memory
	shiftTime    = 0.2   // [s] without thrust; common practice
	leansTo      = 50.0  // [deg] of a bike off the road; common practice
	turnsAlike   = 0.6   // [-] share of a wheel's mass that turning adds to it: tyre and rim lie outside
	damped       = 2.0   // [-] what springs and dampers take of a landing over what the springs take; common practice
	rigidTravel  = 0.03  // [m] that tyres give where there is no suspension
	rigidAbsorbs = 3.0   // [J/kg] that tyres, arms and legs take of a landing beside the suspension; by judgement
)

// A course whose end lies farther from its start is said not to close: so much [m], and so much of its length [-].
const (
	leastGap = 5.0
	gapShare = 0.02
)

// LapResult is one lap of one build, in the units of the trade.
type LapResult struct {
	Time     float64 // [s]
	Sections []LapSection
	Length   float64   // [m]
	Top      float64   // [km/h] greatest speed
	Speed    []float64 // [m/s] where each step begins, and at the end
	Way      []float64 // [m] of each speed
	Clock    []float64 // [s] from the start of the lap, at each
	Limit    []Limit   // of each step between
	Gear     []int
	Course   []lap.Place
	Notes    []string // what of the course does not close, what is not flown
	Work     float64  // [kJ] at the tyres
	Braked   float64  // [kJ]
	Revved   float64  // [s] at the redline in top gear, the throttle open
	Loads    *Loads
	Assumed  []string // for which usual ones stand in, because the sheet leaves them out
	Ridden   *Ride    // whose course it is; nil for the sheet's
}

// Limit is what keeps a machine from being faster at a place.
type Limit = lap.Limit

// LapSection is a section of a lap.
type LapSection struct {
	Name        string
	Time        float64 // [s]
	Limit       Limit
	Entry, Exit float64 // [m/s]
}

// ComputeLap is one lap of a build with a flying start, on its torque curve, round the sheet's course or, when that is
// not nil, along a ride. The error is ErrNoLap.
func ComputeLap(b *machine.Build, c *torque.Curve, ride *Ride) (*LapResult, error) {
	in := &ranges.Inputs{Build: b}
	m, course, err := lapOf(in, c, ride.of())
	if err != nil {
		return nil, err
	}
	l, err := lap.Run(m, course)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	r := &LapResult{Time: l.Time, Length: course.Length(), Course: course.Line(), Gear: l.Gear, Work: l.Work / 1000, Braked: l.Braked / 1000, Revved: l.Revved, Loads: loadsOf(in, c, l)}
	r.Assumed = in.Assumed
	for _, s := range l.Sections {
		r.Sections = append(r.Sections, LapSection{s.Name, s.Time, s.Limit, s.Entry, s.Exit})
	}
	way, clock := 0.0, 0.0
	for i, v := range l.Speed {
		r.Speed, r.Way, r.Clock = append(r.Speed, v), append(r.Way, way), append(r.Clock, clock)
		r.Top = math.Max(r.Top, v*3.6)
		if i < len(l.Limit) {
			way, clock = way+course.Step(i), clock+l.Took[i]
			r.Limit = append(r.Limit, l.Limit[i])
		}
	}
	if ride != nil {
		r.Notes, r.Ridden = append(r.Notes, ride.notes...), ride
		return r, nil
	}
	turn, climb := course.Closing()
	if math.Abs(turn) > 5*math.Pi/180 {
		r.Notes = append(r.Notes, fmt.Sprintf("the corners of the course do not add up to whole turns: %+.0f degrees are left over", turn*180/math.Pi))
	}
	if gap := course.Gap(); gap > math.Max(leastGap, gapShare*course.Length()) {
		r.Notes = append(r.Notes, fmt.Sprintf("drawn from above the course ends %.0f m from its start: look at lengths, angles and which way the corners go; the lap time goes by the sections as they are", gap))
	}
	if math.Abs(climb) > 0.5 {
		r.Notes = append(r.Notes, fmt.Sprintf("the course ends %+.1f m above its start", climb))
	}
	for _, k := range l.Crested {
		r.Notes = append(r.Notes, l.Sections[k].Name+" has a crest over which the wheels leave the ground at this speed: it is ridden as if they just touched")
	}
	for _, k := range l.Rolled {
		r.Notes = append(r.Notes, l.Sections[k].Name+" is rolled: it is not reached fast enough to be flown, or cannot be landed on this suspension")
	}
	return r, nil
}

// Ahead is by how much a lap is ahead of another of the same course [s] at each place of its Way; nil for one of
// another course.
func (r *LapResult) Ahead(other *LapResult) []float64 {
	if other == nil || !slices.Equal(r.Way, other.Way) {
		return nil
	}
	ahead := make([]float64, len(r.Clock))
	for i := range ahead {
		ahead[i] = other.Clock[i] - r.Clock[i]
	}
	return ahead
}

// lapOf is a build as the lap room wants it, on the sheet's course, or on one that was made before.
func lapOf(in *ranges.Inputs, c *torque.Curve, made *lap.Course) (*lap.Machine, *lap.Course, error) {
	m, err := ridable(in, c)
	if err != nil || made != nil {
		return m, made, err
	}
	course, err := courseOf(in)
	if len(in.Missing) > 0 {
		return nil, nil, fmt.Errorf("%w: %s", ErrNoLap, ranges.Why(in.Missing, nil))
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return m, course, nil
}

// ridable is a build as the lap room wants it. The error is ErrNoLap.
func ridable(in *ranges.Inputs, c *torque.Curve) (*lap.Machine, error) {
	if c == nil {
		return nil, fmt.Errorf("%w without a torque curve", ErrNoLap)
	}
	m, err := lapMachine(in, c)
	if len(in.Missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoLap, ranges.Why(in.Missing, nil))
	}
	if err = cmp.Or(in.Wrong, err); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return m, nil
}
