package track

import (
	"math"

	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/machine"
	"shakedown/vehicle/driveline"
)

// Limits of what sprockets are offered; common practice.
const (
	// WrapLeast is how much chain there must be on the small sprocket [rad].
	WrapLeast = 120 * math.Pi / 180
	// SprocketClears is how far a rear sprocket and its chain must stay above the ground [m]: stones and ruts of loose
	// ground reach so far up.
	SprocketClears = 60e-3
	// SliderWears is how far the chain may lie below the face of its slider [m]: a slider is about so thick.
	SliderWears = 5e-3
)

// Unlooked is what of a pair's fit cannot be looked at, because inputs are missing.
type Unlooked uint8

// What cannot be looked at.
const (
	AxlePlace  Unlooked = iota // whether the axle stays inside its adjuster
	ChainOn                    // which chain is on
	FrontRoom                  // room around the front sprocket
	RearRoom                   // room around the rear sprocket
	ChainOnArm                 // the chain over the swingarm
	ChainShort                 // where the axle stands now: the chain named does not go round the sprockets named
)

// Unknown is what cannot be looked at, and for want of which inputs.
type Unknown struct {
	What  Unlooked
	Wants []string
}

// chainRoom is what the sprockets of a build must fit into. What nobody said is not kept.
type chainRoom struct {
	chain             driveline.Chain
	now               Teeth
	pitches           int        // of the chain that is on; 0 where nobody said
	shortest, longest float64    // [m] centres; both 0 where nobody said
	centres           float64    // [m] of the chain that is on, straight; 0 where that is not known
	around            [2]float64 // [m] room around the front and the rear sprocket; +Inf where nobody said
	radius            float64    // [m] loaded, of the rear tyres; +Inf where it is not known
	// over is the chain's least height over the pivot [m]; nil where it is not known.
	over    func(Teeth) float64
	slider  float64 // [m] height of the slider's face over the pivot
	unknown []Unknown
}

// chainRoomOf reads what is known of it; nothing but the sprockets and the chain's size is missed.
func chainRoomOf(all *ranges.Inputs) chainRoom {
	c := chainRoom{chain: running.Chain(all), now: Teeth{all.Count(frontTeeth), all.Count(rearTeeth)}, around: [2]float64{math.Inf(1), math.Inf(1)}, radius: math.Inf(1)}
	in := all.Apart()
	const shortest, longest, pitches = "driveline.sprocket_centres.shortest", "driveline.sprocket_centres.longest", "driveline.chain.pitches"
	lacks := func(what Unlooked, paths ...string) bool {
		var wants []string
		for _, path := range paths {
			if !in.Has(path) {
				wants = append(wants, path)
			}
		}
		if wants != nil {
			c.unknown = append(c.unknown, Unknown{what, wants})
		}
		return wants != nil
	}
	known := !lacks(AxlePlace, shortest, longest)
	if known {
		c.shortest, c.longest = in.Num(shortest), in.Num(longest)
	}
	if !lacks(ChainOn, pitches) {
		c.pitches = in.Count(pitches)
		switch at, err := driveline.CentresForPitches(float64(c.pitches), c.chain.Pitch, c.now.Front, c.now.Rear); {
		case known:
		case err != nil:
			c.pitches, c.unknown = 0, append(c.unknown, Unknown{ChainShort, []string{pitches, frontTeeth, rearTeeth}})
		default:
			c.centres = at
		}
	}
	for i, path := range []string{"driveline.sprockets.front_room", "driveline.sprockets.rear_room"} {
		if !lacks(FrontRoom+Unlooked(i), path) {
			c.around[i] = in.Num(path)
		}
	}
	if radius, err := running.LoadedRadius(in, running.RearWheel); err == nil && len(in.Missing) == 0 {
		c.radius = radius
	}
	const slider = "driveline.slider_face"
	if in.Text("suspension.rear.kind") != "solid" && !lacks(ChainOnArm, "geometry.pivot.x", "geometry.pivot.z", "geometry.sprocket.x", "geometry.sprocket.z", "suspension.rear.travel", slider) {
		c.slider = in.Num(slider)
		if _, err := running.OverPivot(in, c.now.Front, c.now.Rear); err == nil && len(in.Missing) == 0 {
			c.over = func(t Teeth) float64 {
				over, err := running.OverPivot(in, t.Front, t.Rear)
				if err != nil {
					return math.Inf(-1) // there is no run
				}
				return over
			}
		}
	}
	return c
}

// SprocketSold is how one sprocket of a build is to be had.
type SprocketSold struct {
	Teeth int
	Made  driveline.Made // for the size of its chain
	How   driveline.Sold
}

// soldFor says how a pair is to be had for a chain.
func soldFor(chain driveline.Chain, t Teeth) [2]SprocketSold {
	of := func(teeth int, made driveline.Made) SprocketSold { return SprocketSold{teeth, made, made.Of(teeth)} }
	return [2]SprocketSold{of(t.Front, chain.Front), of(t.Rear, chain.Rear)}
}

// SprocketsOn says how the front and the rear sprocket of a build are to be had; ok is false where the sheet does not
// know them or the size of their chain.
func SprocketsOn(b *machine.Build) (on [2]SprocketSold, ok bool) {
	in := &ranges.Inputs{Build: b}
	on = soldFor(running.Chain(in), Teeth{in.Count(frontTeeth), in.Count(rearTeeth)})
	return on, len(in.Missing) == 0
}

// chainFit is how a pair fits.
type chainFit struct {
	pitches int     // of the chain; 0 where nothing of chain and axle is known
	moves   float64 // [m] of the axle backwards from where it stands now; 0 where that is not known
}

// misfit is why a pair is not offered.
type misfit uint8

const (
	fits       misfit = iota
	noRoom            // around a sprocket, on the small one, or in the adjuster
	lowBehind         // the rear sprocket comes too near the ground
	onSwingarm        // the chain lies too deep on the swingarm
)

// takes says whether a pair of sprockets fits as far as is known, with how many pitches of chain: those that are on
// where they do, else an even number. Ground and swingarm do not bar what is no worse there than the present pair.
func (c *chainRoom) takes(t Teeth) (chainFit, misfit) {
	if driveline.TipRadius(c.chain.Pitch, t.Front) > c.around[0] || driveline.TipRadius(c.chain.Pitch, t.Rear) > c.around[1] {
		return chainFit{}, noRoom
	}
	fit, ok := c.axle(t)
	switch {
	case !ok:
		return chainFit{}, noRoom
	case t.Rear > c.now.Rear && c.radius-driveline.TipRadius(c.chain.Pitch, t.Rear) < SprocketClears:
		return chainFit{}, lowBehind
	case c.over != nil && c.slider-c.over(t) > SliderWears && c.over(t) < c.over(c.now):
		return chainFit{}, onSwingarm
	}
	return fit, fits
}

// axle finds the chain that puts the axle inside its adjuster; where that is not known, nearest to where the axle
// stands now: two pitches more let it back by one pitch, so it is never farther than half of one.
func (c *chainRoom) axle(t Teeth) (chainFit, bool) {
	p := c.chain.Pitch
	middle, from, to := (c.shortest+c.longest)/2, c.shortest, c.longest
	switch {
	case c.longest > 0:
	case c.centres > 0:
		middle, from, to = c.centres, c.centres-p/2, c.centres+p/2
	default:
		return chainFit{}, true
	}
	even := 2 * int(math.Round(driveline.ChainPitches(middle, p, t.Front, t.Rear)/2))
	for _, pitches := range []int{c.pitches, even} {
		at, err := driveline.CentresForPitches(float64(pitches), p, t.Front, t.Rear)
		if err == nil && at >= from && at <= to && driveline.Wrap(at, p, t.Front, t.Rear) >= WrapLeast {
			fit := chainFit{pitches: pitches}
			if c.centres > 0 {
				fit.moves = at - c.centres
			}
			return fit, true
		}
	}
	return chainFit{}, false
}
