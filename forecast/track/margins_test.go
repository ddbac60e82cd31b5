package track

import (
	"errors"
	"math"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// How hard the small machine can be leant on, by hand. At braking b it tips at 0.88 (400 (1 - (398.5 + 627
// b)/1200))/627, hung off with 74 mm more of half the track, and slides at root(0.6^2 - b^2):
//
//	-0.5: half the track 371.6667: 0.5216374 and 0.6254971, slides at 0.3316625
//	 0.15: half the track 235.8167: 0.3309708 and 0.4348304, slides at 0.5809475
//
// It brakes up to its grip of 0.6, 51 of the 61 steps of 0.02166667 from -0.5 on.
func TestEnvelopeByHand(t *testing.T) {
	e, err := EnvelopeOf(byhand.Build(t, small, "as-found"))
	if err != nil || len(e.Braking) != 51 {
		t.Fatal(err, len(e.Braking))
	}
	near(t, "driven", map[string][2]float64{"braking": {e.Braking[0], -0.5}, "tips": {e.Tips[0], 0.5216374}, "hung off": {e.HungOff[0], 0.6254971}, "slides": {e.Slides[0], 0.3316625}})
	near(t, "braked", map[string][2]float64{"braking": {e.Braking[30], 0.15}, "tips": {e.Tips[30], 0.3309708}, "hung off": {e.HungOff[30], 0.4348304}, "slides": {e.Slides[30], 0.5809475}})
	if _, err := EnvelopeOf(byhand.Build(t, small, "as-found", "layout: three-wheeler", "layout: bike")); !errors.Is(err, ErrLeans) {
		t.Errorf("a bike: %v", err)
	}
	// On a grip of 1 what lifts ends it: driven, at 0.6355662 g the wheel in front; all of -0.5 to 0.8 is below that.
	if e, err := EnvelopeOf(byhand.Build(t, small, "as-found", "peak_grip: 0.6", "peak_grip: 1")); err != nil || len(e.Braking) != 61 {
		t.Errorf("%d (%v)", len(e.Braking), err)
	}
}

// Tip-over less sliding on its own ground: centred 0.88 x 0.4261031 - 0.6, hung off 0.88 x 0.5441255 - 0.6, braking at
// 0.2 g 0.88 x 0.3594364 - root(0.6^2 - 0.2^2). All are below nothing by more than their ranges: it tips first. On half
// of the grip it slides first.
func TestMarginsByHand(t *testing.T) {
	g, err := OwnGroundMargin(byhand.Build(t, small, "as-found", "peak_grip: 0.6", "peak_grip: 0.6 ± 0.01"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "own ground", map[string][2]float64{
		"grip": {g.Grip, 0.6}, "half": {g.Half, 0.01}, "left": {g.Left, 0.85}, "slip": {g.Slip, 0.15}, "tips": {g.Tips[0], 0.3749708}, "hung off": {g.Tips[1], 0.4788305}, "braking": {g.Tips[2], 0.3163041},
		"slides": {g.Slides[0], 0.6}, "slides braking": {g.Slides[2], 0.5656854}, "margin": {g.Margin[0], -0.2250292}, "margin hung off": {g.Margin[1], -0.1211695}, "margin braking": {g.Margin[2], -0.2493814},
	})
	for i := range Leanings {
		if g.First(i) != TipsFirst {
			t.Errorf("%s: %s, %g in %g to %g", Leanings[i].Words, g.First(i), g.Margin[i], g.Low[i], g.High[i])
		}
	}
	if g, err := OwnGroundMargin(byhand.Build(t, small, "as-found", "peak_grip: 0.6", "peak_grip: 0.3 ± 0.01")); err != nil || g.First(0) != SlidesFirst {
		t.Errorf("%+v (%v)", g, err)
	}
}

// What sprockets fit, by hand for a 520 chain of 86 pitches between 480 and 520 mm, as of package running: 12 and 36
// with the chain that is on, at 488.36 mm; 12 and 42 would want 90.72 pitches in the middle, so 90 of them, which are
// 88.23 at 480 mm and 93.21 at 520; between 490 and 491 mm 12 and 36 want 86.21 to 86.33, which no chain has. Around 36
// teeth the chain takes 91.07260 + 7.9375 = 99.01 mm.
func TestChainRoomByHand(t *testing.T) {
	const sprockets = "    sprockets: {front: 12, rear: 36}\n"
	const chain = "    chain: {size: \"520\", pitches: 86}\n    sprocket_centres: {shortest: 480 mm, longest: 520 mm}\n"
	room := func(changes ...string) chainRoom {
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", append([]string{sprockets, sprockets + chain}, changes...)...)}
		c := chainRoomOf(in)
		if len(in.Missing) > 0 {
			t.Fatal(in.Missing)
		}
		return c
	}
	for _, c := range []struct {
		name        string
		of          chainRoom
		front, rear int
		pitches     int
		fits        bool
	}{
		{"as it is", room(), 12, 36, 86, true},
		{"a larger one behind", room(), 12, 42, 90, true},
		{"no room behind", room("rear: 36}", "rear: 36, rear_room: 99 mm}"), 12, 36, 0, false},
		{"room enough", room("rear: 36}", "rear: 36, rear_room: 99.1 mm}"), 12, 36, 86, true},
		{"an adjuster too short for any", room("shortest: 480 mm, longest: 520 mm", "shortest: 490 mm, longest: 491 mm"), 12, 36, 0, false},
	} {
		if fit, why := c.of.takes(Teeth{c.front, c.rear}); fit.pitches != c.pitches || (why == fits) != c.fits {
			t.Errorf("%s: %d pitches, %v", c.name, fit.pitches, why)
		}
	}
	near(t, "room", map[string][2]float64{"shortest": {room().shortest, 0.48}, "longest": {room().longest, 0.52}, "pitch": {room().chain.Pitch, 0.015875}, "around": {room().around[0], math.Inf(1)}})
}
