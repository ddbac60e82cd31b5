package app

import (
	"context"
	"fmt"
	"strings"

	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/machine"
)

// onCourse is where the lap takes its torque from: computed curves; or, when the build or the baseline has none, for all builds what
// engines of their kind usually have, so that all are alike. Why is "" for the first.
func onCourse(a *Answer, curve curveSource) (source curveSource, why string) {
	for _, b := range []*machine.Build{a.Build, a.Baseline} {
		if err := torque.CanCurve(b); err != nil {
			return func(_ context.Context, b *machine.Build) (*torque.Curve, error) {
				return torque.TemplateCurve(b)
			}, fmt.Sprintf("%s: %s", machine.TheBuild(b.Name), err)
		}
	}
	return curve, ""
}

// torqueDoubt is how far the torque of a lap may be off, as a share of itself.
func torqueDoubt(k *torque.Curve) float64 {
	if k.Template {
		return k.Half
	}
	return trustedTorque
}

// StandIns are what an answer about the course goes by in place of the machine's own.
type StandIns struct {
	Template string   // why the torque is that of a usual engine; "" for a computed one
	Assumed  []string // of the machine, for which usual ones are ridden, because the sheet leaves them out
	Foreign  bool     // the course is a usual one and not the owner's
}

// usual begins a sentence about a course that is not the owner's; "" on his own.
func (s StandIns) usual() string {
	if s.Foreign {
		return "On a usual course, which is not yours: "
	}
	return ""
}

// foreign says that the answer's course is not the owner's.
func foreign(a *Answer) bool { return !a.facts("").OwnCourse }

// words say so behind an answer, each sentence with a space before it; "" for nothing.
func (s StandIns) words() string {
	text := ""
	if s.Template != "" {
		text += " The torque is what an engine of this size, cycle and redline usually has (" + s.Template + "): tyres, chassis, brakes and gearing can be compared on it, parts of the engine cannot."
	}
	if len(s.Assumed) > 0 {
		text += " The sheet does not know " + strings.Join(s.Assumed, ", ") + ": usual ones are ridden, so enter them before you trust a difference that they make."
	}
	return text
}

// loads are what a race at the pace of the lap asks of the answer's build, on its curve or, where none can be computed, on the usual one; nil
// with the reason when there is no lap, with none while the curve is awaited.
func (a *Answer) loads(curve *torque.Curve) (*track.Loads, string) {
	if curve == nil {
		if torque.CanCurve(a.Build) == nil {
			return nil, ""
		}
		var err error
		if curve, err = torque.TemplateCurve(a.Build); err != nil {
			return nil, err.Error()
		}
	}
	course := a.along()
	if course.err != nil {
		return nil, "the logged ride " + courseName(a.Course) + " cannot be ridden; shakedown lap says why"
	}
	l, err := track.LoadsOf(a.Build, curve, course.ride)
	if err != nil {
		return nil, err.Error()
	}
	return l, ""
}
