package forecast

import (
	"context"
	"math"

	"shakedown/figure"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/quantity"
)

// Of the lap's own error.
const (
	lapShare   = 0.05  // [-] of the lap: no rider, one line, no ruts; by judgement
	lapPrivate = 0.001 // [-] of the lap, that two builds do not share
)

// LapTime is the lap time of a build [s], round the sheet's course or along a ride, with its range and its change against a baseline, as the figure track.lap_time. The torque of
// both curves may be off by half a share of itself that they have in common, and by another that they have not [-].
func LapTime(ctx context.Context, b, baseline *machine.Build, curve, before *TorqueCurve, ride *Ride, shared, private float64) (figure.Figure, error) {
	scale, own := 1.0, 1.0
	made := map[*machine.Build]*lap.Course{} // a course is exact: once is enough, but what it was read from must be noted
	d := definition{"track.lap_time", "Lap time", "s", "speeds that ground, balance, engine and brakes allow, forwards and backwards along the course", "docs/theory/lap.md", "docs/theory/lap.md#lap", modelError{lapShare, lapPrivate, "one line, a rider who uses all there is, no ruts: laps compare, they do not promise"},
		func(in *inputs) (float64, error) {
			if err := ctx.Err(); err != nil {
				return 0, err
			}
			c, s := curve, scale*own
			if in.build == baseline && b != baseline {
				c, s = before, scale
			}
			known := made[in.build]
			if in.trace != nil {
				known = nil
			}
			if ride != nil {
				known = ride.course
			}
			m, course, err := lapOf(in, c, s, known)
			if err != nil {
				return 0, err
			}
			made[in.build] = course
			l, err := lap.Run(m, course)
			if err != nil {
				return 0, err
			}
			return l.Time, nil
		}}
	e := &evaluator{build: b, baseline: baseline, delta: make([]float64, len(b.Project.Atoms)), differ: baseline != nil && b != baseline && CurveKey(b) != CurveKey(baseline)}
	f := e.figure(d)
	if f.State != figure.Ready {
		return f, ctx.Err()
	}
	// The torque's own doubts, beside those of the inputs.
	at := func(set *float64, by float64, b *machine.Build) float64 {
		*set = 1 + by
		v, _, err := e.at(d, b, nil)
		*set = 1
		if err != nil {
			return math.NaN()
		}
		return v
	}
	half := func(up, down float64) float64 {
		if math.IsNaN(up) || math.IsNaN(down) {
			return 0
		}
		return math.Abs(up-down) / 2
	}
	up, down := at(&scale, shared, b), at(&scale, -shared, b)
	wide := half(up, down)
	f.Low, f.High = f.Value-math.Hypot(f.Value-f.Low, wide), f.Value+math.Hypot(f.High-f.Value, wide)
	if f.Change != nil && baseline != nil && (e.differ || f.Change.Value != 0) {
		common := half(up-at(&scale, shared, baseline), down-at(&scale, -shared, baseline))
		apart := 0.0
		if e.differ {
			apart = half(at(&own, private, b), at(&own, -private, b))
		}
		c := f.Change
		c.Low, c.High = c.Value-math.Hypot(math.Hypot(c.Value-c.Low, common), apart), c.Value+math.Hypot(math.Hypot(c.High-c.Value, common), apart)
	}
	f.Unit = quantity.MustUnit("s")
	return f, ctx.Err()
}
