package app

import (
	"context"
	"errors"

	"shakedown/advise"
	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
)

// LapAnswer is one lap of a build with a flying start, and of its baseline when that is another and has one.
type LapAnswer struct {
	Build, Against string
	Lap            *track.LapResult
	Before         *track.LapResult
	BeforeWhy      string // why the baseline has none
	StandIns
	Range  *LapRange // how sure it is; nil when that was not worked out
	Course string    // recording that it goes along; "" for the sheet's sections
	Care   []string  // cautions
	Advice advise.Advice
	System quantity.System
	Thrust Thrust // in each gear
}

// Thrust is what the engine pushes with in each gear on the level.
type Thrust struct {
	Gears  []track.GearLine
	Drag   track.GearLine
	Change []float64 // [km/h] at which to change up
	Why    string    // it cannot be computed
}

// thrustOf is the thrust of a build in each gear, with a torque curve.
func thrustOf(b *machine.Build, k *torque.Curve) (t Thrust) {
	var err error
	if t.Gears, t.Drag, t.Change, err = track.GearLines(b, k); err != nil {
		t.Why = err.Error()
	}
	return t
}

// LapRange is how sure a lap is.
type LapRange struct {
	Low, High float64        // [s]
	Change    *figure.Change // [s] against the baseline; nil without one
	First     string         // path of the input that makes most of the lap's range
	Narrow    []string       // what the ranges leave out, in words; none as a rule
	Typical   int            // of its inputs
	Inputs    int
}

// Lap computes a lap of a question's build, against the baseline, with its range, and the advice unless quick leaves it out as far as it takes long.
func Lap(ctx context.Context, q asked.Question, known *Results, quick bool, done func(ready, total int)) (*LapAnswer, error) {
	q.Slow = slowOf(ctx, known)
	a, err := asked.Ask(q)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	l, err := lapOf(ctx, a, known)
	if err != nil {
		return nil, err
	}
	if l.Range, err = lapRangeOf(ctx, a, known); err != nil {
		return nil, err
	}
	if !quick {
		err = Decide(ctx, a, known, done)
	}
	l.Advice = a.Advice
	return l, err
}

// lapOf computes a lap of the answer's build, and one of its baseline.
func lapOf(ctx context.Context, a *asked.Answer, known *Results) (*LapAnswer, error) {
	course := a.Along()
	if course.Err != nil {
		return nil, course.Err
	}
	l := &LapAnswer{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System, Course: asked.CourseName(a.Course), Care: asked.Cautions(a.Build), Advice: a.Advice}
	l.Foreign = foreign(a)
	known, l.Template = onCourse(a, known)
	now, err := known.Curve(ctx, a.Build, nil)
	if err != nil {
		return nil, err
	}
	if l.Lap, err = track.ComputeLap(a.Build, now, course.Ride); err != nil {
		return l, err
	}
	l.Thrust = thrustOf(a.Build, now)
	if l.Assumed = l.Lap.Assumed; a.Baseline.Name == a.Build.Name {
		return l, nil
	}
	before, err := known.Curve(ctx, a.Baseline, nil)
	if err == nil {
		l.Before, err = track.ComputeLap(a.Baseline, before, course.Ride)
	}
	if err != nil {
		if ctx.Err() != nil || !errors.Is(err, track.ErrNoLap) && !errors.Is(err, torque.ErrNoCurve) {
			return nil, err
		}
		l.BeforeWhy = err.Error()
	}
	return l, nil
}

// lapRangeOf works out how sure the lap of the answer's build is, and its change.
func lapRangeOf(ctx context.Context, a *asked.Answer, known *Results) (*LapRange, error) {
	course := a.Along()
	if course.Err != nil {
		return nil, course.Err
	}
	known, _ = onCourse(a, known)
	now, err := known.Sure(ctx, a.Build)
	if err != nil {
		return nil, err
	}
	before := track.Racer{}
	if a.Baseline.Name != a.Build.Name {
		if k, err := known.Sure(ctx, a.Baseline); err == nil {
			before = track.Racer{Build: a.Baseline, Torque: k}
		} else if ctx.Err() != nil {
			return nil, err
		}
	}
	f, err := track.NewLapTimes(course.Ride).Time(ctx, track.Racer{Build: a.Build, Torque: now}, before)
	if err != nil {
		return nil, err
	}
	r := &LapRange{Low: f.Low, High: f.High, Change: f.Change, Narrow: f.Narrow, Inputs: len(f.Basis.Inputs)}
	r.First = first(f)
	for _, in := range f.Basis.Inputs {
		if in.Known == quantity.Typical {
			r.Typical++
		}
	}
	return r, nil
}

// first is what makes most of a figure's range: an input's path or the name of a doubt; "" where nothing can be told.
func first(f figure.Figure) string {
	name, most := "", 0.0
	if list := f.Basis.Inputs; len(list) > 0 && list[0].Share > most {
		name, most = list[0].Path, list[0].Share
	}
	if list := f.Basis.Doubts; len(list) > 0 && list[0].Share > most {
		name = list[0].Name
	}
	return name
}
