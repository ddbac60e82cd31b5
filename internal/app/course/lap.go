package course

import (
	"context"
	"errors"

	"shakedown/advise"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/machine"
	"shakedown/quantity"
)

// Lap is one lap of a build with a flying start, and of its baseline when that is another and has one.
type Lap struct {
	Build, Against string
	Lap            *track.LapResult
	Before         *track.LapResult
	BeforeWhy      string // why the baseline has none
	StandIns
	Range  *Range   // how sure it is; nil when that was not worked out
	Course string   // recording that it goes along; "" for the sheet's sections
	Care   []string // cautions
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

// Range is how sure a lap is.
type Range struct {
	Low, High float64        // [s]
	Change    *figure.Change // [s] against the baseline; nil without one
	First     string         // path of the input that makes most of the lap's range
	Narrow    []string       // what the ranges leave out, in words; none as a rule
	Typical   int            // of its inputs
	Inputs    int
}

// LapOf computes a lap of the answer's build, and one of its baseline.
func LapOf(ctx context.Context, a *asked.Answer, known *forecast.Results) (*Lap, error) {
	course := a.Along()
	if course.Err != nil {
		return nil, course.Err
	}
	l := &Lap{Build: a.Build.Name, Against: a.Baseline.Name, System: a.System, Course: asked.CourseName(a.Course), Care: asked.Cautions(a.Build), Advice: a.Advice}
	l.Foreign = Foreign(a)
	known, l.Template = OnCourse(a, known)
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

// RangeOf works out how sure the lap of the answer's build is, and its change.
func RangeOf(ctx context.Context, a *asked.Answer, known *forecast.Results) (*Range, error) {
	course := a.Along()
	if course.Err != nil {
		return nil, course.Err
	}
	known, _ = OnCourse(a, known)
	known = known.Together(ctx, a.Build, a.Baseline)
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
	r := &Range{Low: f.Low, High: f.High, Change: f.Change, Narrow: f.Narrow, Inputs: len(f.Basis.Inputs)}
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

// Unseen is a gain that no lap sees [s].
const Unseen = 0.005
