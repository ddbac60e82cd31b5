package course

import (
	"fmt"
	"strings"

	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/machine"
)

// OnCourse is where the lap takes its torque from: computed curves; or, when the build or the baseline has none, for
// all builds what engines of their kind usually have, so that all are alike. Why is "" for the first.
func OnCourse(a *asked.Answer, known *forecast.Results) (source *forecast.Results, why string) {
	for _, b := range []*machine.Build{a.Build, a.Baseline} {
		if err := torque.CanCurve(b); err != nil {
			return known.Usual(), fmt.Sprintf("%s: %s", machine.TheBuild(b.Name), err)
		}
	}
	return known, ""
}

// StandIns are what an answer about the course goes by in place of the machine's own.
type StandIns struct {
	Template string   // why the torque is that of a usual engine; "" for a computed one
	Assumed  []string // of the machine, for which usual ones are ridden, because the sheet leaves them out
	Foreign  bool     // the course is a usual one and not the owner's
}

// Usual begins a sentence about a course that is not the owner's; "" on his own.
func (s StandIns) Usual() string {
	if s.Foreign {
		return "On a usual course, which is not yours: "
	}
	return ""
}

// Foreign says that the answer's course is not the owner's.
func Foreign(a *asked.Answer) bool { return !a.Facts("").OwnCourse }

// Words say so behind an answer, each sentence with a space before it; "" for nothing.
func (s StandIns) Words() string {
	text := ""
	if s.Template != "" {
		text += " The torque is what an engine of this size, cycle and redline usually has (" + s.Template + "): tyres, chassis, brakes and gearing can be compared on it, parts of the engine cannot."
	}
	if len(s.Assumed) > 0 {
		text += " The sheet does not know " + strings.Join(s.Assumed, ", ") + ": usual ones are ridden, so enter them before you trust a difference that they make."
	}
	return text
}
