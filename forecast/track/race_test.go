package track

import (
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/lap"
)

// racing is the small machine with a disc of 1.5 kg and a race of one lap.
func racing(t *testing.T, changes ...string) *ranges.Inputs {
	t.Helper()
	return &ranges.Inputs{Build: byhand.Build(t, small, "as-found", append([]string{
		"track: {peak_grip", "class_rules: {race_time: 6 s}\ntrack: {peak_grip", "pad_friction: 0.4}", "pad_friction: 0.4, disc_mass: 1.5 kg, disc_diameter: 200 mm, fluid: DOT 4}"}, changes...)...)}
}

// three is a lap of three steps: driven from 10 to 14 m/s with 540 N in 1 s, at 14 m/s with 300 N in 3.5 s, braked to 6
// m/s in 1.5 s by 400 N in front, 100 N behind and 150 N of the engine, all in second gear.
func three() *lap.Lap {
	return &lap.Lap{Time: 6, Speed: []float64{10, 14, 14, 6}, Took: []float64{1, 3.5, 1.5}, Gear: []int{2, 2, 2}, Push: []float64{540, 300, 0}, Front: []float64{0, 0, 400}, Rear: []float64{0, 0, 100}, Shut: []float64{0, 0, 150}, Overrun: 2250}
}

// Fuel and heat of that lap, by hand with the mean speed of each step. The crank turns 3 x 1 x 3/0.25 = 36 times as
// fast as the speed; at w rad/s full throttle gives 20 w, burns 0.1 g/s for a kW and loses 120 kPa x 301.5929 cc/(4 pi)
// = 2.88 Nm:
//
//	432 rad/s, 540 x 12/0.9 = 7.2 of 8.64 kW: 0.864 (7.2 + 1.24416)/(8.64 + 1.24416) = 0.7381259 g/s
//	504 rad/s, 300 x 14/0.9 = 4.666667 of 10.08 kW: 1.008 (4.666667 + 1.45152)/11.53152 = 0.5348065 g/s
//	360 rad/s, -150 x 10 x 0.9 = -1.35 kW is more than the 1.0368 that it rubs away: it idles, as at 2000 rpm without
//	load, 0.4188790 x 2.88/22.88 = 0.05272603 g/s
//	0.7381259 + 3.5 x 0.5348065 + 1.5 x 0.05272603 = 2.689038 g, /750 = 0.003585384 l
//	brakes 400 and 100 N x 10 m/s x 1.5 s; engine 2.25 kJ
//	disc: 4 kW x 1.5 s/(1.5 x 460) = 8.695652 K, from air, of which nothing is lost yet; the mean of 6 s is 1.5 x
//	4.347826/6 = 1.086957 K warmer
//	its faces, 2 pi (0.1^2 - 0.08^2) = 0.02261947 m2: 0.53192 x 4000/0.02261947 x root(1.5)/root(7200 x 460 x 50) =
//	8.952398 K more
//	fluid 15 + 1.086957/4, give or take 1.086957 root(0.15^2 + (0.25 x 0.4)^2) = 0.1959539
func TestLoadsByHand(t *testing.T) {
	o := loadsOf(racing(t), even(), three())
	near(t, "one lap", map[string][2]float64{
		"fuel": {o.Fuel, 0.003585384}, "laps": {o.Laps, 1}, "race fuel": {o.RaceFuel, 0.003585384}, "race": {o.Race, 6}, "tank": {o.Tank, 8}, "pace": {o.Pace, 6}, "front": {o.Front, 6}, "rear": {o.Rear, 1.5}, "engine": {o.Engine, 2.25},
		"mean": {o.Disc.Mean, 16.086957}, "hottest": {o.Disc.Hottest, 23.695652}, "face": {o.Disc.Face, 32.648050}, "reaches": {o.Disc.Reaches, 15.271739}, "least": {o.Disc.Least, 15.075785}, "most": {o.Disc.Most, 15.467693}, "dry": {o.Disc.Dry, 230}, "wet": {o.Disc.Wet, 155}, "air": {o.Disc.Air, 15},
	})
	if o.FrontDrum || !o.RearDrum || o.Disc.Fluid != "DOT 4" || o.DiscWhy != "" {
		t.Errorf("%+v", o)
	}
	// A hundred and fifty such laps, two discs that share the work, a disc of usual shape: 0.1062 and 0.0738 m outside
	// and inside, 0.03664354 m2.
	o = loadsOf(racing(t, "race_time: 6 s", "race_time: 15 min"), even(), three())
	near(t, "a race", map[string][2]float64{"laps": {o.Laps, 150}, "race fuel": {o.RaceFuel, 0.5378076}})
	o = loadsOf(racing(t, "kind: disc, count: 1", "kind: disc, count: 2"), even(), three())
	near(t, "two discs", map[string][2]float64{"hottest": {o.Disc.Hottest, 19.347826}, "face": {o.Disc.Face, 23.824025}, "front": {o.Front, 6}})
	o = loadsOf(racing(t, ", disc_diameter: 200 mm", ""), even(), three())
	near(t, "usual disc", map[string][2]float64{"face": {o.Disc.Face, 29.221824}, "hottest": {o.Disc.Hottest, 23.695652}})
	// No race and no tank: nothing is said of them, the brakes are followed for 20 minutes.
	o = loadsOf(racing(t, "class_rules: {race_time: 6 s}\n", "", "capacity: 8 l", "capacity: 0 l"), even(), three())
	near(t, "no race", map[string][2]float64{"laps": {o.Laps, 0}, "race fuel": {o.RaceFuel, 0}, "tank": {o.Tank, 0}, "fuel": {o.Fuel, 0.003585384}})
	if o.Disc == nil || !(o.Disc.Hottest > 50) {
		t.Errorf("after 20 minutes of such laps: %+v", o.Disc)
	}
	// Half of what it rubs away is held back: 0.72 (1.0368 - 0.6)/8.2368 = 0.03818182 is less than it idles on; a fifth
	// of it, 0.72 (1.0368 - 0.2)/8.2368 = 0.07314685, is more.
	for held, flow := range map[float64]float64{0.6: 0.05272603, 0.2: 0.07314685} {
		l := three()
		l.Shut[2] = held * 1000 / 9
		near(t, "held back lightly", map[string][2]float64{"fuel": {750*loadsOf(racing(t), even(), l).Fuel - 0.7381259 - 3.5*0.5348065, 1.5 * flow}})
	}
}

// What the disc's temperature cannot be said without, and of which brake it is not said at all.
func TestDiscWithout(t *testing.T) {
	for name, c := range map[string]struct {
		old, new, says string
		wants          []string
	}{
		"no mass":   {"disc_mass: 1.5 kg, ", "", "needs", []string{"brakes.front.disc_mass"}},
		"no radius": {", effective_radius: 90 mm", "", "needs", []string{"brakes.front.effective_radius"}},
		"a drum":    {"kind: disc, count: 1", "kind: drum, count: 1, diameter: 140 mm", "is a drum", nil},
	} {
		o := loadsOf(racing(t, c.old, c.new), even(), three())
		if o.Disc != nil || !strings.Contains(o.DiscWhy, c.says) || !slices.Equal(o.DiscWants, c.wants) || o.FrontDrum != (name == "a drum") {
			t.Errorf("%s: %+v, %q, wants %v", name, o.Disc, o.DiscWhy, o.DiscWants)
		}
	}
}

// The work at the tyres over what chain and gears lose is what an engine that rubs nothing away burns for: 360 g a kWh.
// By hand (540 x 12 + 300 x 49)/0.9 = 23.53333 kJ, 2.353333 g.
func TestFuelGoesWithTheWork(t *testing.T) {
	c := even()
	for i := range c.Points {
		c.Points[i].Friction = 0
	}
	if got := 750 * loadsOf(racing(t), c, three()).Fuel; math.Abs(got-2.353333) > 1e-6 {
		t.Errorf("%.7g g, by hand 2.353333", got)
	}
}
