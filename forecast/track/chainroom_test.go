package track

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/internal/byhand"
	"shakedown/machine"
)

const (
	sprocketsOfSmall = "    sprockets: {front: 12, rear: 36}\n"
	anywhere         = sprocketsOfSmall + "    chain: {size: \"520\", pitches: 86}\n"
)

// What is not known of a chain's room is said, with what it lacks, and not kept. With the chain alone the axle stands
// now, by the exact length, at 488.36 mm for 86 pitches on 12 and 36 teeth. 12 and 42 want 88.23 pitches at 480 mm and
// 93.21 at 520, so 89.27 there: of 90 the axle goes back to 494.2 mm. Each pair stays within half a pitch.
func TestChainRoomHalfKnown(t *testing.T) {
	room := func(changes ...string) chainRoom {
		in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", changes...)}
		c := chainRoomOf(in)
		if len(in.Missing) > 0 {
			t.Fatal(in.Missing)
		}
		return c
	}
	lacks := func(c chainRoom) (what []Unlooked) {
		for _, u := range c.unknown {
			what = append(what, u.What)
		}
		return what
	}
	nothing := room()
	if got := lacks(nothing); !slices.Equal(got, []Unlooked{AxlePlace, ChainOn, FrontRoom, RearRoom, ChainOnArm}) {
		t.Errorf("of a sheet with nothing it lacks %v", got)
	}
	if fit, why := nothing.takes(Teeth{13, 40}); why != fits || fit != (chainFit{}) {
		t.Errorf("with nothing known: %+v, %v", fit, why)
	}
	chain := room(sprocketsOfSmall, anywhere)
	if math.Abs(chain.centres-0.48836) > 5e-6 || slices.Contains(lacks(chain), ChainOn) || !slices.Contains(lacks(chain), AxlePlace) {
		t.Errorf("the axle stands at %g m; it lacks %v", chain.centres, lacks(chain))
	}
	if fit, why := chain.takes(Teeth{12, 36}); why != fits || fit.pitches != 86 || math.Abs(fit.moves) > 1e-9 {
		t.Errorf("as it is: %+v, %v", fit, why)
	}
	if fit, why := chain.takes(Teeth{12, 42}); why != fits || fit.pitches != 90 || math.Abs(fit.moves-0.00585) > 1e-4 {
		t.Errorf("12 and 42: %+v, %v", fit, why)
	}
	for front := 11; front <= 17; front++ {
		for rear := 32; rear <= 54; rear++ {
			if fit, why := chain.takes(Teeth{front, rear}); why == fits && (math.Abs(fit.moves) > 0.015875/2+1e-9 || fit.pitches%2 != 0) {
				t.Errorf("%d and %d: %+v", front, rear, fit)
			}
		}
	}
	centres := room(sprocketsOfSmall, sprocketsOfSmall+"    sprocket_centres: {shortest: 480 mm, longest: 520 mm}\n")
	if fit, why := centres.takes(Teeth{12, 42}); why != fits || fit.pitches != 90 || slices.Contains(lacks(centres), AxlePlace) || !slices.Contains(lacks(centres), ChainOn) {
		t.Errorf("without the chain: %+v, %v, lacks %v", fit, why, lacks(centres))
	}
	// A chain that does not go round the sprockets says nothing of the axle.
	if c := room(sprocketsOfSmall, strings.Replace(anywhere, "pitches: 86", "pitches: 24", 1)); c.centres != 0 || !slices.Contains(lacks(c), ChainShort) {
		t.Errorf("a chain of 24 pitches puts the axle at %g m", c.centres)
	}
	// A rigid rear end has no swingarm to look at.
	rigid := room("rear: {kind: single shock, travel: 160 mm, leverage: [{travel: 0 mm, ratio: 2}], spring_rate: 60 N/mm, preload: 10 mm, shaft: 14 mm, gas_pressure: 0 bar}", "rear: {kind: solid}")
	if slices.Contains(lacks(rigid), ChainOnArm) {
		t.Error("the chain of a rigid machine has a swingarm")
	}
}

// On small tyres the rear sprocket comes near the ground, by hand for 520: 36 teeth with chain 99.010 mm, 48 129.31.
// On a loaded radius of 150 mm 36 teeth leave 51 mm: more teeth are not offered, fewer are, though all are below 60 mm.
func TestSprocketsClearTheGround(t *testing.T) {
	in := &ranges.Inputs{Build: byhand.Build(t, small, "as-found", "loaded_radius: 250 mm", "loaded_radius: 150 mm")}
	c := chainRoomOf(in)
	for teeth, want := range map[int]misfit{32: fits, 36: fits, 37: lowBehind, 48: lowBehind} {
		if _, why := c.takes(Teeth{12, teeth}); why != want {
			t.Errorf("%d teeth behind: %v, by hand %v", teeth, why, want)
		}
	}
	in = &ranges.Inputs{Build: byhand.Build(t, small, "as-found", "loaded_radius: 250 mm", "loaded_radius: 189.31 mm")}
	c = chainRoomOf(in)
	if _, why := c.takes(Teeth{12, 48}); why != fits {
		t.Errorf("60.0 mm are too few: %v", why)
	}
}

// A slider's face above the run by more than it wears bars what lays the chain deeper than now, and only that.
func TestSprocketsOverTheSwingarm(t *testing.T) {
	const geometry = "rake: 25 deg, fork_offset: 50 mm, "
	with := func(face string) *machine.Build {
		return byhand.Build(t, small, "as-found", geometry, geometry+"pivot: {x: 480 mm, z: 300 mm}, sprocket: {x: 550 mm, z: 310 mm}, ", "    efficiency: 0.9\n", "    efficiency: 0.9\n    slider_face: "+face+"\n")
	}
	shallow := chainRoomOf(&ranges.Inputs{Build: with("5 mm")})
	if shallow.over == nil {
		t.Fatal(shallow.unknown)
	}
	for _, t1 := range []Teeth{{11, 36}, {13, 36}} {
		if _, why := shallow.takes(t1); why != fits {
			t.Errorf("over a low slider %v: %v", t1, why)
		}
	}
	deep := chainRoomOf(&ranges.Inputs{Build: with("90 mm")})
	for t1, want := range map[Teeth]misfit{{11, 36}: onSwingarm, {12, 36}: fits, {13, 36}: fits} {
		if _, why := deep.takes(t1); why != want {
			t.Errorf("over a high slider %v: %v, by hand %v", t1, why, want)
		}
	}
}

// A search on a sheet that knows no chain rides all that is sold and says what it did not keep; it refuses an adjuster
// that goes the wrong way, a machine without sprockets, and one without a curve.
func TestSearchWithoutAChain(t *testing.T) {
	search := func(changes ...string) (*SprocketSearch, error) {
		b := byhand.Build(t, small, "as-found", changes...)
		return SearchSprockets(context.Background(), b, torque.NewSure(b, even(), nil), nil, nil)
	}
	s, err := search()
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Unknown) != 5 || len(s.Pairs) == 0 || s.On[0].Teeth != 12 || !s.On[0].How.OnShelf() || s.Uncounted || s.Size != "520" {
		t.Errorf("%d pairs, %+v", len(s.Pairs), s)
	}
	for _, p := range s.Pairs {
		if !s.On[0].Made.Usual.Has(p.Front) || !s.On[1].Made.Usual.Has(p.Rear) || p.Pitches != 0 || p.Same || math.IsNaN(p.Lap+p.Revved+p.Above) {
			t.Errorf("%+v", p)
		}
	}
	for i, p := range s.Pairs[1:] { // what no watch tells apart: one sprocket before two
		if q := s.Pairs[i]; math.Round(100*p.Lap) == math.Round(100*q.Lap) && s.Present.buys(p) < s.Present.buys(q) {
			t.Errorf("%d and %d stand behind %d and %d", p.Front, p.Rear, q.Front, q.Rear)
		}
	}
	if s, err := search(sprocketsOfSmall, "    sprockets: {front: 9, rear: 42}\n"); err != nil || s.On[0].How.OnShelf() || s.On[0].How.String() != "special order" {
		t.Errorf("%+v (%v)", s, err)
	}
	if _, err := search(sprocketsOfSmall, anywhere+"    sprocket_centres: {shortest: 520 mm, longest: 480 mm}\n"); !errors.Is(err, errAdjuster) {
		t.Errorf("an adjuster that goes the wrong way: %v", err)
	}
	if _, err := SearchSprockets(context.Background(), byhand.Build(t, small, "as-found"), nil, nil, nil); !errors.Is(err, ErrNoLap) {
		t.Errorf("without a curve: %v", err)
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	b := byhand.Build(t, small, "as-found")
	if _, err := SearchSprockets(done, b, torque.NewSure(b, even(), nil), nil, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// How long top gear is held at the redline is a figure with a range that nothing makes less than nothing; a machine
// whose gears are not known has none, and says what it needs.
func TestTopGearAtRedline(t *testing.T) {
	of := func(changes ...string) (value, low, high float64, missing []string) {
		b := byhand.Build(t, small, "as-found", changes...)
		list, err := NewLaps(nil).Of(t.Context(), Racer{Build: b, Torque: torque.NewSure(b, even(), nil)}, Racer{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			if f.ID == RevvedOut {
				return f.Value, f.Low, f.High, f.Missing
			}
		}
		t.Fatal("no such figure")
		return 0, 0, 0, nil
	}
	short, low, high, _ := of(sprocketsOfSmall, "    sprockets: {front: 12, rear: 54}\n")
	long, _, _, _ := of(sprocketsOfSmall, "    sprockets: {front: 14, rear: 32}\n")
	if !(short > 1 && low >= 0 && low < short && high > short) || long != 0 {
		t.Errorf("geared short %g s (%g to %g), long %g s", short, low, high, long)
	}
	if _, _, _, missing := of("    gears: [2, 1]\n", ""); !slices.Equal(missing, []string{"driveline.gears[0]"}) {
		t.Errorf("without gears it lacks %v", missing)
	}
}
