package forecast

import (
	"context"
	"errors"
	"math"
	"slices"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/machine"
	"shakedown/quantity"
)

// ofCurve are the figures that follow from torque curves, ofTrack those that follow from laps and starts; slow are all
// that follow from results.
var (
	ofCurve = slices.Concat(torque.CurveFigures, track.CurveFigures)
	ofTrack = track.Figures()
	slow    = slices.Concat(ofCurve, ofTrack)
)

// Course is where laps are ridden: along a ride, or on the sheet's sections when that is nil. Why there is none is in
// the error.
type Course struct {
	Ride *track.Ride
	Err  error
}

// Slow are the figures of a build that follow from results, with their changes against the baseline when that is not
// nil: those of the torque curve with their ranges, those of the lap and the start. What was not computed yet waits.
// Sampled takes the time to work out what the inputs do to the ranges of the lap and the start; else those hold the
// models' own errors alone, and say so. A build without a curve laps on a usual one. The error is the context's.
func Slow(ctx context.Context, b, baseline *machine.Build, r *Results, on Course, sampled bool) ([]figure.Figure, error) {
	if r == nil {
		return without(slow, b, ranges.ErrWaiting), nil
	}
	if baseline == b || baseline != nil && baseline.Name == b.Name {
		baseline = nil
	}
	e := ranges.NewEvaluator(b, baseline)
	curves := r.knownOf(ctx, b, baseline)
	e.Results = curves
	var list []figure.Figure
	for _, d := range ofCurve {
		if d.Applies(b) {
			f := marked(e.Figure(d))
			curves.widen(&f, b, baseline)
			list = append(list, f)
		}
	}
	laps, err := r.lapFigures(ctx, b, baseline, on, sampled)
	for _, f := range laps {
		list = append(list, marked(f))
	}
	return list, err
}

// widen adds to the range of a figure of curves that are only roughly sure how far off the speed of a peak may be, and
// to that of its change what two of them do not share.
func (k known) widen(f *figure.Figure, b, baseline *machine.Build) {
	now := k[b].sure
	if f.State != figure.Ready {
		return
	}
	add := func(value, low, high *float64, half float64) {
		*low, *high = *value-math.Hypot(*value-*low, half), *value+math.Hypot(*high-*value, half)
	}
	speed := f.Unit.Kind == quantity.AngularSpeed
	if speed {
		add(&f.Value, &f.Low, &f.High, now.ApartSpeed()*f.Value)
	}
	c := f.Change
	if c == nil || c.None() || now.Curve.Same(k[baseline].sure.Curve) {
		return
	}
	switch {
	case speed:
		add(&c.Value, &c.Low, &c.High, math.Max(now.ApartSpeed(), k[baseline].sure.ApartSpeed())*f.Value)
	case f.Unit.Kind == quantity.Torque || f.Unit.Kind == quantity.Power:
		add(&c.Value, &c.Low, &c.High, math.Max(now.Apart(), k[baseline].sure.Apart())*math.Abs(f.Value))
	}
}

// CurveValues are the figures that follow from torque curves, without their ranges, for where many builds are tried.
// Either curve may be nil.
func CurveValues(b *machine.Build, now *torque.Sure, baseline *machine.Build, before *torque.Sure) (list []figure.Figure) {
	e := ranges.NewEvaluator(b, baseline)
	e.Results = known{b: one{now, nil}, baseline: one{before, nil}}
	for _, d := range ofCurve {
		if d.Applies(b) {
			list = append(list, marked(e.Quick(d)))
		}
	}
	return list
}

func marked(f figure.Figure) figure.Figure {
	f.Slow = true
	return f
}

// without are figures of a build that have no value, for a reason.
func without(defs []ranges.Definition, b *machine.Build, why error) (list []figure.Figure) {
	state := figure.Cannot
	if errors.Is(why, ranges.ErrWaiting) {
		state = figure.Waiting
	}
	for _, d := range defs {
		if d.Applies(b) {
			list = append(list, figure.Figure{ID: d.ID, Title: d.Title, Unit: quantity.MustUnit(d.Unit), Detail: d.Detail, Slow: true, State: state, Why: why.Error(),
				Basis: d.Basis()})
		}
	}
	return list
}

// lapFigures are those of the lap and of the start.
func (r *Results) lapFigures(ctx context.Context, b, baseline *machine.Build, on Course, sampled bool) ([]figure.Figure, error) {
	if on.Err != nil {
		return without(ofTrack, b, on.Err), nil
	}
	known := r
	if torque.CanCurve(b) != nil || baseline != nil && torque.CanCurve(baseline) != nil {
		known = r.Usual() // all are alike then
	}
	if baseline != nil {
		known = known.Together(ctx, b, baseline)
	}
	racer := func(b *machine.Build) (track.Racer, error) {
		if b == nil {
			return track.Racer{}, nil
		}
		s, err := known.Only().Sure(ctx, b)
		return track.Racer{Build: b, Torque: s}, err
	}
	now, err := racer(b)
	if err != nil {
		return without(ofTrack, b, err), ctx.Err()
	}
	before, err := racer(baseline)
	if err != nil {
		before = track.Racer{}
	}
	laps := track.NewLaps(on.Ride)
	if !sampled {
		return append(laps.Quick(now), without(ofTrack[len(ofTrack)-1:], b, ranges.ErrWaiting)...), nil
	}
	list, err := laps.Of(ctx, now, before)
	if err != nil {
		return list, err
	}
	if on.Ride != nil {
		return append(list, without(ofTrack[len(ofTrack)-1:], b, errNoLine)...), nil
	}
	start, err := track.StartFigure(ctx, now, before)
	return append(list, start), err
}

// errNoLine says why a recording has no start.
var errNoLine = errors.New("a recording has no starting line: give the course as sections in the sheet to have a start")
