package track

import (
	"errors"
	"fmt"
	"math"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/machine"
	"shakedown/vehicle/chassis"
)

// ErrLeans says that a bike does not tip.
var ErrLeans = errors.New("a bike leans and does not tip: look at its lean for a turn of 0.5 g")

// Envelope is how much lateral acceleration a build stands [g0] against how much it brakes, below zero drives [g0]:
// until it slides, and until it tips, centred and hung off; compliance taken off.
type Envelope struct {
	Braking               []float64 // [g0]
	Slides, Tips, HungOff []float64 // [g0]
}

// EnvelopeOf is the envelope of a build on its ground. The error is ErrLeans or ErrNoLap.
func EnvelopeOf(b *machine.Build) (*Envelope, error) {
	in := &ranges.Inputs{Build: b}
	if running.LayoutIn(in) == running.Bike {
		return nil, ErrLeans
	}
	s, grip := running.Stance(in), in.Num("track.peak_grip")
	shift := running.RiderMass(in) * in.Num("rider.hangs_off") / math.Max(1, running.Laden(in).Mass)
	if len(in.Missing) > 0 {
		return nil, fmt.Errorf("%w: %s", ErrNoLap, ranges.Why(in.Missing, nil))
	}
	if in.Wrong != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, in.Wrong)
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

// Leaning is how a machine is ridden when it may tip: rider in the middle, rider hung off, and in the middle on the
// brakes.
type Leaning struct {
	Words   string
	braking float64 // [g0]
	hung    bool
}

// Leanings are the ways in which grounds are looked at, in the order of GroundMargin.Margin.
var Leanings = []Leaning{{"centred", 0, false}, {"hung off", 0, true}, {"centred, braking at 0.2 g", 0.2, false}}

// tipsAfter is how much of the tip-over is left when tyres and springs have given, and how sure that is: tilt-table
// tests, 10 to 15 % off.
var tipsAfter = ranges.ModelError{Share: 0.025 / (1 - Compliance), Private: 0, Note: "tyres and springs bring the tip-over 10 to 15 % earlier (tilt-table tests)"}

// tips is the lateral acceleration at which a build tips when it is ridden so [g0], tyres and springs taken off.
func (l Leaning) tips() ranges.Definition {
	return ranges.Definition{ID: "track.tips", Title: "Tip-over, " + l.Words, Unit: "g0", Formula: "(1 - 0.12) x tip-over", Source: "tilt-table tests of four-wheelers", Theory: "docs/theory/lap.md#slides-or-tips", Model: tipsAfter,
		Compute: func(in *ranges.Inputs) (float64, error) {
			moved := 0.0
			if l.hung {
				moved = running.RiderMass(in) * in.Num("rider.hangs_off") / math.Max(1, running.Laden(in).Mass)
			}
			tips, err := running.Stance(in).TipLateral(moved, l.braking)
			return (1 - Compliance) * tips, err
		}}
}

// GroundMargin is by how much a build slides before it tips on a ground.
type GroundMargin struct {
	Ground string
	Here   bool      // the sheet's own, with its own grip
	Grip   float64   // [-]
	Half   float64   // [-] of its range
	Left   float64   // [-] share of it that is left when the tyres slide
	Slip   float64   // [-] at which it is greatest; 0 where nobody says
	Tips   []float64 // [g0] lateral acceleration at which it tips, by Leanings, tyres and springs taken off
	Slides []float64 // [g0] at which it slides
	Margin []float64 // [g0] the one less the other; below zero it tips first; not a number where it cannot brake so hard
	Low    []float64 // [g0] by the range of grip and tip-over
	High   []float64 // [g0]
}

// First is what comes first when a machine is leant on too hard.
type First string

// What may come first.
const (
	SlidesFirst First = "slides first"
	TipsFirst   First = "tips first"
	Either      First = "either" // inside the range of grip and tip-over
	NoSuchBrake First = "cannot brake so hard"
)

// First is what comes first, ridden as the i-th of Leanings.
func (g *GroundMargin) First(i int) First {
	switch {
	case math.IsNaN(g.Margin[i]):
		return NoSuchBrake
	case g.Low[i] > 0:
		return SlidesFirst
	case g.High[i] < 0:
		return TipsFirst
	}
	return Either
}

// GroundMargins are the margins of a build on its own ground and on all that are known. The error is ErrLeans or
// ErrNoLap.
func GroundMargins(b *machine.Build) ([]GroundMargin, error) {
	here, err := ownGround(b)
	if err != nil {
		return nil, err
	}
	list := []GroundMargin{here}
	for i := range machine.Grounds {
		g := &machine.Grounds[i]
		grip, half := g.GripRange()
		list = append(list, GroundMargin{Ground: g.Name(), Grip: grip, Half: half, Left: g.SlideShare()})
	}
	return list, lean(b, list)
}

// OwnGroundMargin is the margin of a build on its own ground alone. The error is ErrLeans or ErrNoLap.
func OwnGroundMargin(b *machine.Build) (*GroundMargin, error) {
	here, err := ownGround(b)
	if err != nil {
		return nil, err
	}
	list := []GroundMargin{here}
	return &list[0], lean(b, list)
}

// ownGround is the ground of a build's sheet.
func ownGround(b *machine.Build) (here GroundMargin, err error) {
	in := &ranges.Inputs{Build: b}
	if running.LayoutIn(in) == running.Bike {
		return here, ErrLeans
	}
	own := in.Num("track.peak_grip")
	if len(in.Missing) > 0 {
		return here, fmt.Errorf("%w: %s", ErrNoLap, ranges.Why(in.Missing, nil))
	}
	half := 0.0
	for _, atom := range b.Values["track.peak_grip"].Terms {
		half = math.Hypot(half, b.Project.Atoms[atom].Q.Half)
	}
	here = GroundMargin{Ground: "this ground", Here: true, Grip: own, Half: half, Left: in.Num("track.slide_share"), Slip: in.Num("track.slip_at_peak")}
	if in.Has("track.surface") {
		here.Ground = in.Text("track.surface")
	}
	return here, nil
}

// lean fills the margins of grounds, ridden in all Leanings.
func lean(b *machine.Build, list []GroundMargin) error {
	e := ranges.NewEvaluator(b, nil)
	for _, l := range Leanings {
		f := e.Figure(l.tips())
		if f.State != figure.Ready {
			return fmt.Errorf("%w: %s", ErrNoLap, f.Why)
		}
		for i := range list {
			g := &list[i]
			slides := func(grip float64) float64 { // no ground grips less than nothing, however wide its range
				grip = math.Max(0, grip)
				return math.Sqrt(math.Max(0, grip*grip-l.braking*l.braking))
			}
			at := f.Value - slides(g.Grip)
			low := at - math.Hypot(f.Value-f.Low, slides(g.Grip+g.Half)-slides(g.Grip))
			high := at + math.Hypot(f.High-f.Value, slides(g.Grip)-slides(g.Grip-g.Half))
			if g.Grip < l.braking {
				at, low, high = math.NaN(), math.NaN(), math.NaN()
			}
			g.Tips, g.Slides = append(g.Tips, f.Value), append(g.Slides, slides(g.Grip))
			g.Margin, g.Low, g.High = append(g.Margin, at), append(g.Low, low), append(g.High, high)
		}
	}
	return nil
}
