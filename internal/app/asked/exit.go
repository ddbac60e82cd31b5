package asked

import (
	"shakedown/figure"
	"shakedown/internal/faults"
)

// Exit codes of the program.
const (
	Fine           = 0
	ConflictsFound = 1
	BadInput       = 2
	CannotCompute  = 3
	Interrupted    = 130 // by the person, as shells count it: 128 + SIGINT
)

// Exit is the exit code of an answer. Why there is no lap or curve is told by their own commands, with codes of their
// own.
func (a *Answer) Exit() int {
	for _, f := range a.Figures {
		if f.State == figure.Cannot && !f.Detail && !f.Slow {
			return CannotCompute
		}
	}
	if a.Conflicts() > 0 {
		return ConflictsFound
	}
	return Fine
}

// Conflicts counts the findings that say not to build it so.
func (a *Answer) Conflicts() int {
	n := 0
	for _, f := range a.Findings {
		if f.Severity == figure.Conflict {
			n++
		}
	}
	return n
}

// ExitOf is the exit code of an error of Ask.
func ExitOf(err error) int {
	if faults.IsMendable(err) {
		return BadInput
	}
	return CannotCompute
}
