package forecast

import (
	"fmt"
	"math"

	"shakedown/machine"
	"shakedown/vehicle/chassis"
)

// Envelope is how much lateral acceleration a build stands [g0] against how much it brakes, below zero drives [g0]: until it slides,
// and until it tips, centred and hung off; compliance taken off.
type Envelope struct {
	Braking               []float64 // [g0]
	Slides, Tips, HungOff []float64 // [g0]
}

// EnvelopeOf is the envelope of a build on its ground. The error is ErrNoLap.
func EnvelopeOf(b *machine.Build) (*Envelope, error) {
	in := &inputs{build: b}
	if in.layout() == bike {
		return nil, fmt.Errorf("%w: a bike leans and does not tip", ErrNoLap)
	}
	s, grip := stance(in), in.num("track.peak_grip")
	shift := riderMass(in) * in.num("rider.hangs_off") / math.Max(1, laden(in).Mass)
	if len(in.missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoLap, why(in.missing, nil))
	}
	e := &Envelope{}
	lifts := chassis.StoppieLimit(s.Wheelbase-s.Along, s.Height)
	for i := range 61 {
		braking := -0.5 + 1.3*float64(i)/60
		if math.Abs(braking) > grip || braking >= lifts || -braking >= chassis.WheelieLimit(s.Along, s.Height, 0) {
			continue
		}
		tips, err1 := s.TipLateral(0, braking)
		hung, err2 := s.TipLateral(shift, braking)
		if err1 != nil || err2 != nil {
			continue
		}
		e.Braking = append(e.Braking, braking)
		e.Slides = append(e.Slides, math.Sqrt(grip*grip-braking*braking))
		e.Tips, e.HungOff = append(e.Tips, (1-Compliance)*tips), append(e.HungOff, (1-Compliance)*hung)
	}
	return e, nil
}
