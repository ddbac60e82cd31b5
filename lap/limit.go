package lap

import "fmt"

// Limit is what keeps the machine from being faster at a place.
type Limit uint8

// The limits, those of one kind side by side.
const (
	ByPower Limit = iota
	ByDriveGrip
	ByCornerGrip
	ByBrakeGrip
	ByTipping
	ByTippingBraked
	ByWheelie
	ByStoppie  // a bike stands on its front wheel and comes down again
	ByNoseOver // a machine with three wheels or four goes over
	ByHand
	ByWhoops
	ByJump
	limits int = iota
)

// Kind is what a limit comes from.
type Kind uint8

// The kinds.
const (
	FromPower Kind = iota
	FromGrip
	FromBalance
	FromBrakes
	FromSuspension
)

// limitWords are what a limit is called, what moves it, and what it is of a standing start, in the words of the trade;
// "" where no start is held back by it.
var limitWords = [limits]struct {
	name, moved, start string
	kind               Kind
}{
	ByPower:         {"power", "torque and gearing act on that", "the engine holds it back, not the ground", FromPower},
	ByDriveGrip:     {"drive grip", "tyres, and weight over the driven wheels, act on that", "the rear tyres spin: let the clutch out no harder than they hold", FromGrip},
	ByCornerGrip:    {"corner grip", "tyres act on that", "", FromGrip},
	ByBrakeGrip:     {"braking grip", "tyres act on that", "", FromGrip},
	ByTipping:       {"tipping", "a lower seat, a wider track and hanging off act on that", "", FromBalance},
	ByTippingBraked: {"tipping under braking", "braking upright and earlier, a lower seat and a wider track act on that", "", FromBalance},
	ByWheelie:       {"wheelie", "weight forward or a longer wheelbase acts on that", "the front wheel holds it back", FromBalance},
	ByStoppie:       {"stoppie", "weight back and down acts on that", "", FromBalance},
	ByNoseOver:      {"nose-over", "weight back and down acts on that", "", FromBalance},
	ByHand:          {"brake at the hand's limit", "the brakes act on that", "", FromBrakes},
	ByWhoops:        {"whoops", "the suspension acts on that", "", FromSuspension},
	ByJump:          {"jump", "the suspension acts on that", "", FromSuspension},
}

// String names a limit as the trade does.
func (l Limit) String() string { return limitWords[l].name }

// Moved is what moves a limit.
func (l Limit) Moved() string { return limitWords[l].moved }

// AtStart is what the limit is of a standing start; "" for one that holds no start back.
func (l Limit) AtStart() string { return limitWords[l].start }

// Kind is what the limit comes from.
func (l Limit) Kind() Kind { return limitWords[l].kind }

// MarshalText gives its name.
func (l Limit) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads its name. The error says that no limit has that.
func (l *Limit) UnmarshalText(text []byte) error {
	for i := range limitWords {
		if limitWords[i].name == string(text) {
			*l = Limit(i)
			return nil
		}
	}
	return fmt.Errorf("no limit of a lap is called %q", text)
}
