package lap

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

var computed = []outside.Known{outside.Computed}

// point is a machine that only its grip and its power hold back: low, long, without drag, all wheels driven by its
// weight.
func point(mass, power, grip float64) *Machine {
	m := &Machine{
		Mass: mass, Wheelbase: 100, Ahead: 1e-9, Height: 1e-12, TrackRear: 1000, TrackFront: 1000, Grip: grip, SlipPeak: 1e-9, Fall: 0.9,
		BrakeFront: 1e9, BrakeRear: 1e9, Absorbs: 1e9, Thrust: Thrust{Step: 0.05},
	}
	for i := range 1600 {
		v := math.Max(1e-3, 0.05*float64(i))
		m.Thrust.Force, m.Thrust.Mass, m.Thrust.Gear = append(m.Thrust.Force, power/v), append(m.Thrust.Mass, mass), append(m.Thrust.Gear, 1)
	}
	return m
}

// from drives a machine along a straight from a speed and gives time and speeds.
func from(t *testing.T, m *Machine, v, length, step float64) (time []float64, speed []float64) {
	t.Helper()
	c, err := NewCourse([]Section{{Length: length}}, step)
	if err != nil {
		t.Fatal(err)
	}
	n := c.Steps()
	s := newSolver(m, c)
	for i := range n + 1 {
		s.cap[i] = math.Inf(1)
	}
	end, err := s.forward(0, v)
	if err != nil {
		t.Fatal(err)
	}
	s.speed[n] = end
	time = []float64{0}
	for i := range n {
		time = append(time, time[i]+2*c.step[i]/(s.speed[i]+s.speed[i+1]))
	}
	return time, s.speed
}

// when is time and way at which a speed is reached.
func when(time, speed []float64, step, v float64) (t, s float64) {
	for i := 1; i < len(speed); i++ {
		if speed[i] >= v {
			f := (v - speed[i-1]) / (speed[i] - speed[i-1])
			return time[i-1] + f*(time[i]-time[i-1]), step * (float64(i-1) + f)
		}
	}
	return math.NaN(), math.NaN()
}

func TestOutsideStraights(t *testing.T) {
	const energy = "energy of a body; closed form"
	check := func(id, name, unit string, got, want, tol float64) {
		outside.Check{ID: "chassis " + id, Name: name, Unit: unit, Got: got, Want: want, Tol: tol, Relative: true, Source: energy + "; the steps' own error is the tolerance", Known: computed}.Run(t)
	}
	time, speed := from(t, point(200, 25e3, 1e6), 2, 40, 0.01) // the first 2 m/s by the formula: an endless force cannot be stepped
	at, way := when(time, speed, 0.01, 20)
	check("11.01", "constant power, 0 to 20 m/s, 200 kg, 25 kW", "s", at+200*4/50e3, 1.6, 1e-3)
	check("11.01", "its way", "m", way+200*8/75e3, 21.333, 1e-3)
	time, speed = from(t, point(200, 25e3, 0.55), 0.5, 80, 0.01)
	at, way = when(time, speed, 0.01, 25)
	// The machine starts at half a metre a second, which grip would have reached 0.0927 s and 23 mm earlier.
	check("11.02", "grip of 0.55 until 23.2 m/s, then power, 0 to 25 m/s", "s", at+0.5/(0.55*gravity), 4.6484, 1e-3)
	check("11.02", "its way", "m", way+0.125/(0.55*gravity), 58.263, 1e-3)
	m := point(200, 25e3, 1e6)
	m.Air, m.DragArea = 1.2, 0.6 // k = 0.36 kg/m
	time, speed = from(t, m, 10, 60, 0.05)
	at, way = when(time, speed, 0.05, 25)
	check("11.03", "power against the air, 10 to 25 m/s", "s", at, 2.3606, 1e-3)
	check("11.03", "its way", "m", way, 44.516, 1e-3)
	_, speed = from(t, m, 40, 20000, 5)
	check("11.03", "fastest against the air", "m/s", speed[len(speed)-1], 41.104, 1e-3)
	// What a machine of 20 kW at the wheel reaches against air and ground.
	m = point(205, 20e3, 1e6)
	m.Air, m.DragArea, m.Rolling = 1.2, 0.6, 0.03
	_, speed = from(t, m, 34, 20000, 5)
	drag := Machine{DragArea: 0.6, Air: 1.2}
	check("9.15", "drag of 0.6 m2 at 25 m/s, air of 1.2 kg/m3", "N", drag.LevelDrag(25), 225, 1e-12)
	check("9.15", "the power that takes", "W", drag.LevelDrag(25)*25, 5625, 1e-12)
	check("9.16", "fastest against air and ground, 20 kW", "m/s", speed[len(speed)-1], 36.694, 1e-3)
}

// Braking backwards from a stand: the way of a stop.
func TestOutsideStopping(t *testing.T) {
	for _, row := range []struct{ speed, before, g, want float64 }{{60 / 3.6, 0.3, 0.6, 28.605}, {20, 0, 0.8, 25.493}} {
		m := point(200, 1, row.g)
		c, err := NewCourse([]Section{{Length: 40}}, 0.02)
		if err != nil {
			t.Fatal(err)
		}
		s := newSolver(m, c)
		for i := range s.speed {
			s.speed[i] = row.speed
		}
		n := c.Steps()
		s.speed[0] = crawl // the round begins and ends at a stand
		s.backward(0)
		begins := n - 1
		for begins > 1 && s.speed[begins] < row.speed {
			begins--
		}
		outside.Check{ID: "chassis 8.05", Name: fmt.Sprintf("stopping from %.3g m/s, %g s before the brakes bite, %g g", row.speed, row.before, row.g), Unit: "m", Got: row.speed*row.before + 0.02*float64(n-1-begins), Want: row.want, Tol: 3e-3, Relative: true, Source: "kinematics; the steps' own error and the last half metre a second are the tolerance", Known: computed}.Run(t)
	}
}

func TestOutsideCorners(t *testing.T) {
	solve := func(m *Machine, s Section) float64 {
		c, err := NewCourse([]Section{s, {Length: 1}}, 1)
		if err != nil {
			t.Fatal(err)
		}
		v := &solver{m: m, c: c}
		return v.cornerSpeed(0, m.Grip)
	}
	half := func(radius float64) Section { return Section{Length: math.Pi * radius, Turn: math.Pi} }
	const bank = "statics on the bank; closed form"
	banked := half(15)
	banked.Bank = 15 * math.Pi / 180
	for _, c := range []outside.Check{
		{ID: "chassis 11.04", Name: "corner of 15 m, grip 0.8", Unit: "m/s", Got: solve(point(200, 1, 0.8), half(15)), Want: 10.848, Tol: 1e-4, Relative: true, Source: bank, Known: computed},
		{ID: "chassis 11.09", Name: "corner of 15 m banked by 15 degrees, grip 0.6", Unit: "m/s", Got: solve(point(200, 1, 0.6), banked), Want: 12.334, Tol: 1e-4, Relative: true, Source: bank, Known: computed},
	} {
		c.Run(t)
	}
}

// Crests and dips: where the wheels leave the ground, what a dip presses, and that both move what a corner allows.
func TestOutsideCrests(t *testing.T) {
	m := point(200, 25e3, 0.8)
	c, err := NewCourse([]Section{{Name: "crest", Length: 20, Bend: 1.0 / 12}, {Name: "dip", Length: 20, Bend: -1.0 / 12}, {Name: "corner over a crest", Length: 20, Turn: 20.0 / 15, Bend: 1.0 / 12}, {Name: "corner", Length: 20, Turn: 20.0 / 15}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	s := newSolver(m, c)
	const source = "circular motion"
	outside.Check{ID: "chassis 11.07", Name: "wheels leave a crest of 12 m", Unit: "m/s", Got: LeavesGround(12), Want: 10.848, Tol: 1e-4, Relative: true, Source: source, Known: computed}.Run(t)
	at, _ := s.load(0, LeavesGround(12))
	just, _ := s.load(0, LeavesGround(12)*0.99)
	outside.Check{ID: "chassis 11.07", Name: "load left there, over gravity", Unit: "1", Got: at / gravity, Want: 0, Tol: 1e-3, Source: source, Known: computed}.Run(t)
	outside.Check{ID: "chassis 11.07", Name: "load left a hundredth below it", Unit: "1", Got: just / gravity, Want: 1 - 0.99*0.99, Tol: 1e-6, Source: source, Known: computed}.Run(t)
	dip, _ := s.load(20, 10)
	outside.Check{ID: "chassis 11.08", Name: "load in a dip of 12 m at 10 m/s, over gravity", Unit: "1", Got: dip / gravity, Want: 1.8498, Tol: 1e-4, Relative: true, Source: source, Known: computed}.Run(t)
	over, flat := s.cornerSpeed(40, 0.8), s.cornerSpeed(60, 0.8)
	// v^2/R = mu (g - v^2/r), by hand: v^2 = mu g/(1/R + mu/r)
	outside.Check{ID: "chassis 11.07", Name: "corner of 15 m over a crest of 12 m, grip 0.8", Unit: "m/s", Got: over, Want: math.Sqrt(0.8 * gravity / (1.0/15 + 0.8/12)), Tol: 1e-9, Relative: true, Source: "statics", Known: computed}.Run(t)
	if over >= flat {
		t.Errorf("over a crest it corners at %g m/s, on the flat at %g", over, flat)
	}
	// A lap over a crest that is taken fast says so, and comes round.
	fast, err := NewCourse([]Section{{Length: 200}, {Name: "brow", Length: 6, Bend: 1.0 / 8}, {Length: 100}, {Length: 15 * math.Pi, Turn: math.Pi}, {Length: 306}, {Length: 15 * math.Pi, Turn: math.Pi}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	l, err := Run(machine(), fast)
	if err != nil || len(l.Crested) != 1 || l.Crested[0] != 1 {
		t.Errorf("%v, %+v", err, l)
	}
	if _, err := NewCourse([]Section{{Length: 10, Bend: 3}, {Length: 10}}, 1); !errors.Is(err, ErrCourse) {
		t.Errorf("a crest of a third of a metre: %v", err)
	}
}

// What others have measured of tipping and sliding, held against the same formulas as the lap's: no machine of ours,
// but the size is right.
func TestOutsideTipAndSlide(t *testing.T) {
	seen := []outside.Known{outside.Seen, outside.Computed}
	const mph, foot = 0.44704, 0.3048
	turn := func(m *Machine, radius float64) float64 {
		c, err := NewCourse([]Section{{Length: radius, Turn: 1}, {Length: 5}}, 1)
		if err != nil {
			t.Fatal(err)
		}
		s := newSolver(m, c)
		s.caps()
		return s.cap[0]
	}
	outside.Check{ID: "chassis 2.17", Name: "a grip of 0.2997 slides on a radius of 60 ft", Unit: "mph", Got: turn(point(300, 1e4, 0.2997), 60*foot) / mph, Want: 16.4, Tol: 1e-3, Relative: true, Source: "Jennissen et al. 2012, ACEP abstract; v^2/(g R)", Known: seen}.Run(t)
	tips := func(g float64) *Machine { // a rigid quad that tips at so much, on ground that always grips
		m := point(300, 1e4, 5)
		m.Height, m.TrackRear, m.TrackFront = 0.5, 2*0.5*g, 2*0.5*g
		return m
	}
	outside.Check{ID: "chassis 2.18", Name: "one that tips at 0.836 g goes round 8 ft on ground that grips", Unit: "mph", Got: turn(tips(0.836), 8*foot) / mph, Want: 10, Tol: 0.5, Source: "Jennissen et al. 2012, ACEP abstract; about 10 mph", Known: seen}.Run(t)
	outside.Check{ID: "chassis 2.19", Name: "one that tips at 0.770 g overturns on a radius of 2 m", Unit: "m/s", Got: turn(tips(7.554/gravity), 2), Want: 3.887, Tol: 1e-3, Relative: true, Source: "Dizo, Blatnicky, Kurcik, MATEC Web Conf. 254 (2019) 03008, v^2/R", Known: seen}.Run(t)
	small := machine() // a small rigid three-wheeler with its rider; its sizes are from memory
	small.Wheelbase, small.Ahead, small.Height, small.TrackRear, small.TrackFront, small.Give, small.HungOff = 1.02, 0.38, 0.62, 0.69, 0, 0, 0
	outside.Check{ID: "chassis 2.16", Name: "small three-wheeler with rider on a tilting floor (band 18 to 20 degrees)", Unit: "deg", Got: math.Atan(small.tips(0)) * 180 / math.Pi, Want: 19, Tol: 1.7, Source: "tests before a court, US Congress hearing print p. 85; 0.03 g of tolerance; sizes from memory", Known: []outside.Known{outside.Seen, outside.Memory}}.Run(t)
}

// A start with a clutch that slips at a steady pull: the heat is what the engine gives less what the machine takes, and
// the way is that of a steady acceleration.
func TestStandingStart(t *testing.T) {
	m := point(200, 50e3, 2)
	const force, until = 800.0, 12.0
	s, err := StandingStart(m, []Section{{Length: 12.5}, {Length: 100, Turn: 0.1}}, Launch{Force: force, Until: until, Efficiency: 0.9})
	if err != nil {
		t.Fatal(err)
	}
	// 4 m/s2: 12.5 m in 2.5 s, 10 m/s at the end; the engine gives 800/0.9 N over 12 x 2.5 m, the machine takes 12.5 m
	// of it.
	if math.Abs(s.Time-2.5) > 0.02 || math.Abs(s.Speed-10) > 0.1 || math.Abs(s.Heat-force/0.9*(until*2.5-12.5)) > 0.02*s.Heat {
		t.Errorf("%+v", s)
	}
	if _, err := StandingStart(m, []Section{{Length: 10, Turn: 1}}, Launch{force, until, 0.9}); !errors.Is(err, ErrMachine) {
		t.Errorf("a start in a corner: %v", err)
	}
	if _, err := StandingStart(m, []Section{{Length: 10}}, Launch{}); !errors.Is(err, ErrMachine) {
		t.Errorf("a start without a clutch: %v", err)
	}
}

// A stadium: two straights and two half circles, accelerating at 4 and braking at 7 m/s2.
func TestOutsideStadium(t *testing.T) {
	const mass, grip = 200.0, 0.8
	m := point(mass, 1, grip)
	m.BrakeFront, m.BrakeRear = 0, 7*mass
	for i := range m.Thrust.Force {
		m.Thrust.Force[i] = 4 * mass
	}
	lap := func(step float64) *Lap {
		c, err := NewCourse([]Section{{Length: 100}, {Length: 15 * math.Pi, Turn: math.Pi}, {Length: 100}, {Length: 15 * math.Pi, Turn: math.Pi}}, step)
		if err != nil {
			t.Fatal(err)
		}
		l, err := Run(m, c)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	l := lap(1)
	fastest := 0.0
	for _, v := range lap(0.1).Speed {
		fastest = math.Max(fastest, v)
	}
	const source = "closed form of forward and backward passes"
	for _, c := range []outside.Check{
		{ID: "chassis 11.05", Name: "fastest on a straight of 100 m between corners, 4 and 7 m/s2", Unit: "m/s", Got: fastest, Want: 25.0354, Tol: 2e-3, Relative: true, Source: source, Known: computed},
		{ID: "chassis 11.05", Name: "time on it", Unit: "s", Got: l.Sections[0].Time, Want: 5.57360, Tol: 1e-3, Relative: true, Source: source, Known: computed},
		{ID: "chassis 11.06", Name: "half circle of 15 m", Unit: "s", Got: l.Sections[1].Time, Want: 4.34400, Tol: 1e-3, Relative: true, Source: source, Known: computed},
		{ID: "chassis 11.06", Name: "lap of a stadium", Unit: "s", Got: l.Time, Want: 19.8352, Tol: 1e-3, Relative: true, Source: source, Known: computed},
	} {
		c.Run(t)
	}
	if l.Sections[1].Limit != ByCornerGrip || l.Limit[10] != ByPower || l.Limit[90] != ByHand {
		t.Errorf("what limits: %v in the corner, %v and %v on the straight", l.Sections[1].Limit, l.Limit[10], l.Limit[90])
	}
	if fine := lap(0.5); math.Abs(fine.Time/l.Time-1) > 1e-3 {
		t.Errorf("half the step moves the lap from %.4f to %.4f s", l.Time, fine.Time)
	}
}

func TestOutsideFlight(t *testing.T) {
	const deg = math.Pi / 180
	flat := Jump{TakeOff: 20 * deg}
	level, _, _ := flat.onto(15)
	slope := Jump{TakeOff: 20 * deg, Landing: 20 * deg}
	way, _, _ := slope.onto(15)
	for _, c := range []outside.Check{
		{ID: "chassis 11.10", Name: "flight at 15 m/s and 20 degrees to the same height", Unit: "m", Got: level, Want: 14.748, Tol: 1e-4, Relative: true, Source: "ballistics", Known: computed},
		{ID: "chassis 11.11", Name: "along a slope that falls by 20 degrees", Unit: "m", Got: way / math.Cos(20*deg), Want: 31.389, Tol: 1e-4, Relative: true, Source: "ballistics", Known: computed},
	} {
		c.Run(t)
	}
	j := Jump{TakeOff: 18 * deg, Landing: 15 * deg, Gap: 9}
	if way, _, _ := j.onto(j.slowest() * (1 + 1e-9)); math.Abs(way-9) > 1e-3 {
		t.Errorf("the slowest that clears 9 m lands at %g m", way)
	}
	for _, exit := range []float64{13, 16, 20} {
		if got := j.exit(j.entry(exit)); math.Abs(got-exit) > 1e-6 {
			t.Errorf("an exit of %g m/s comes back as %g", exit, got)
		}
	}
}

// machine is an invented three-wheeler of 205 kg.
func machine() *Machine {
	m := &Machine{
		Mass: 205, Wheelbase: 1.22, Ahead: 0.46, Height: 0.62, TrackRear: 0.89, SolidAxle: true, HungOff: 0.05, Give: 0.12, Grip: 0.62, SlipPeak: 0.15, Fall: 0.9, Holds: 1, Rolling: 0.06, DragArea: 0.65, Air: 1.2,
		BrakeFront: 700, BrakeRear: 500, Ride: 1.8, Travel: 0.18, Absorbs: 12, Thrust: Thrust{Step: 0.25},
	}
	for i := range 160 {
		v := math.Max(3, 0.25*float64(i))
		force, gear := math.Min(1500, 13e3/v), 1+int(v/7)
		if v > 33 {
			force = 0
		}
		m.Thrust.Force, m.Thrust.Mass, m.Thrust.Gear = append(m.Thrust.Force, force), append(m.Thrust.Mass, m.Mass*(1+0.15/float64(gear))), append(m.Thrust.Gear, gear)
	}
	return m
}

// course is an invented one with all there is.
func course(t testing.TB, step float64) *Course {
	t.Helper()
	const deg = math.Pi / 180
	c, err := NewCourse([]Section{
		{Name: "start", Length: 90}, {Length: 9, Jump: Jump{TakeOff: 18 * deg, Landing: 15 * deg}}, {Length: 50}, {Name: "left", Length: 15 * math.Pi, Turn: math.Pi, Bank: 4 * deg},
		{Length: 60, Whoops: Whoops{4.5, 0.35}}, {Length: 12 * math.Pi / 2, Turn: -math.Pi / 2}, {Length: 40, Climb: 0.06}, {Length: 12 * math.Pi / 2, Turn: math.Pi / 2}, {Length: 40, Climb: -0.06},
		{Length: 18 * math.Pi, Turn: math.Pi}, {Length: 60},
	}, step)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func run(t testing.TB, m *Machine, c *Course) *Lap {
	t.Helper()
	l, err := Run(m, c)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLapHangsTogether(t *testing.T) {
	c := course(t, 1)
	l := run(t, machine(), c)
	sum := 0.0
	for i, s := range l.Sections {
		sum += s.Time
		t.Logf("%-12s %6.2f s, %5.1f to %5.1f m/s, %s", s.Name, s.Time, s.Entry, s.Exit, s.Limit)
		if i > 0 && math.Abs(s.Entry-l.Sections[i-1].Exit) > 1e-9 {
			t.Errorf("%s begins with %g m/s, the section before ended with %g", s.Name, s.Entry, l.Sections[i-1].Exit)
		}
	}
	if math.Abs(sum-l.Time) > 1e-9 || l.Speed[0] != l.Speed[len(l.Speed)-1] {
		t.Errorf("sections %g s, lap %g s; begins with %g and ends with %g m/s", sum, l.Time, l.Speed[0], l.Speed[len(l.Speed)-1])
	}
	fine := run(t, machine(), course(t, 0.5))
	for i, s := range fine.Sections {
		if math.Abs(s.Time-l.Sections[i].Time) > 0.05 {
			t.Logf("half the steps: %-12s %6.2f s, %5.1f to %5.1f m/s, %s", s.Name, s.Time, s.Entry, s.Exit, s.Limit)
		}
	}
	t.Logf("lap %.4f s, with half the steps %.4f s", l.Time, fine.Time)
	if math.Abs(fine.Time/l.Time-1) > 1e-3 {
		t.Errorf("half the step moves the lap from %.4f to %.4f s", l.Time, fine.Time)
	}
}

// What the trade knows of a wider solid axle: the inner wheel lifts later, and the machine slides more easily.
func TestOutsideWiderAxle(t *testing.T) {
	narrow, wide := machine(), machine()
	narrow.TrackRear, wide.TrackRear = 0.79, 1.0
	practice := []outside.Known{outside.Practice}
	sign := func(name string, better, than float64) {
		got := -1.0
		if better > than {
			got = 1
		}
		outside.Check{ID: "trade: chassis", Name: name, Unit: "1", Got: got, Want: 1, Source: "trade rule of three-wheelers", Known: practice}.Run(t)
	}
	sign("a wider rear axle lifts its inner wheel later", wide.tips(0), narrow.tips(0))
	narrow.Grip, wide.Grip = 0.42, 0.42 // ground on which both slide before they tip
	sign("a wider solid axle slides more easily, corner of 15 m", narrow.cornerOf(1.0/15).grip, wide.cornerOf(1.0/15).grip)
	if w, n := wide.cornerOf(1.0/8).grip, narrow.cornerOf(1.0/8).grip; w >= n { // and in a tighter one
		t.Errorf("in a corner of 8 m the wide axle holds %g, the narrow one %g", w, n)
	}
	tipping := machine()
	tipping.Grip, tipping.Give = 0.9, 0.12 // ground that grips: there the wider axle goes faster round
	before := run(t, tipping, course(t, 1)).Time
	tipping.TrackRear = 1.0
	if after := run(t, tipping, course(t, 1)).Time; after >= before {
		t.Errorf("on ground that grips a wider axle laps in %g s, a narrow one in %g", after, before)
	}
}

// Where it is true, more is never slower: a point with grip and power, no tip, no solid axle.
func TestMoreIsNeverSlower(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		power, grip, mass := rapid.Float64Range(4e3, 40e3).Draw(r, "power"), rapid.Float64Range(0.2, 1.2).Draw(r, "grip"), rapid.Float64Range(120, 350).Draw(r, "mass")
		var sections []Section
		sections = append(sections, Section{Length: 20, Turn: 1}) // without a corner there is no lap but the fastest speed
		for i := range rapid.IntRange(2, 7).Draw(r, "sections") {
			length := rapid.Float64Range(15, 120).Draw(r, fmt.Sprint("length ", i))
			turn := rapid.SampledFrom([]float64{0, length / 60, length / 20, -length / 9}).Draw(r, fmt.Sprint("turn ", i))
			sections = append(sections, Section{Length: length, Turn: turn})
		}
		c, err := NewCourse(sections, 1)
		if err != nil {
			r.Fatal(err)
		}
		time := func(mass, power, grip float64) float64 {
			m := point(mass, power, grip) // without air: where only grip limits, a heavy machine minds the air less than a light one
			l, err := Run(m, c)
			if err != nil {
				r.Fatal(err)
			}
			return l.Time
		}
		base := time(mass, power, grip)
		for what, t := range map[string]float64{"more power": time(mass, power*1.05, grip), "more grip": time(mass, power, grip*1.05), "less mass": time(mass*0.95, power, grip)} {
			if t > base*(1+5e-4) { // the steps' own error
				r.Errorf("%s: %.6f s in place of %.6f", what, t, base)
			}
		}
	})
}

// A wider axle never lowers the tip-over.
func TestWiderNeverTipsEarlier(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := machine()
		m.TrackFront = rapid.SampledFrom([]float64{0, 0.8}).Draw(r, "front")
		m.TrackRear = rapid.Float64Range(0.6, 1.2).Draw(r, "track")
		braking := rapid.Float64Range(-0.4, 0.5).Draw(r, "braking")
		before := m.tips(braking)
		m.TrackRear += 0.05
		if m.tips(braking) < before {
			r.Errorf("tips at %g in place of %g", m.tips(braking), before)
		}
	})
}

// A smoothed ride round a stadium becomes a course that closes, turns once round, and laps as its sections do; what
// cannot be ridden is refused.
func TestRecordedCourse(t *testing.T) {
	const straight, radius = 120.0, 25.0
	lap := 2*straight + 2*math.Pi*radius
	n := int(math.Ceil(lap))
	r := Recorded{Length: lap, Closed: true}
	for i := range n {
		s := lap * (float64(i) + 0.5) / float64(n)
		x, y, k := s, 0.0, 0.0
		switch a := (s - straight) / radius; {
		case s < straight:
		case s < straight+math.Pi*radius:
			x, y, k = straight+radius*math.Sin(a), radius-radius*math.Cos(a), 1/radius
		case s < 2*straight+math.Pi*radius:
			x, y = straight-(s-straight-math.Pi*radius), 2*radius
		default:
			a = (s - 2*straight - math.Pi*radius) / radius
			x, y, k = -radius*math.Sin(a), radius+radius*math.Cos(a), 1/radius
		}
		r.X, r.Y, r.Curvature, r.Slope = append(r.X, x), append(r.Y, y), append(r.Curvature, k), append(r.Slope, 0)
	}
	c, err := NewRecordedCourse(r)
	if err != nil {
		t.Fatal(err)
	}
	turn, climb := c.Closing()
	if math.Abs(turn) > 0.05 || climb != 0 || c.Gap() > 1e-9 || c.Length() != lap {
		t.Errorf("it turns by %g, climbs by %g, ends %g m from its start, and is %g m long", turn, climb, c.Gap(), c.Length())
	}
	sections, err := NewCourse([]Section{{Length: straight}, {Length: math.Pi * radius, Turn: math.Pi}, {Length: straight}, {Length: math.Pi * radius, Turn: math.Pi}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	a, err1 := Run(machine(), c)
	b, err2 := Run(machine(), sections)
	if err1 != nil || err2 != nil || math.Abs(a.Time/b.Time-1) > 0.005 {
		t.Errorf("along the ride %g s, by its sections %g s (%v, %v)", a.Time, b.Time, err1, err2)
	}
	for name, change := range map[string]func(r *Recorded){
		"one step": func(r *Recorded) { r.X, r.Y, r.Curvature, r.Slope = r.X[:1], r.Y[:1], r.Curvature[:1], r.Slope[:1] }, "lists that do not belong together": func(r *Recorded) { r.Slope = r.Slope[1:] },
		"no length": func(r *Recorded) { r.Length = 0 }, "an endless one": func(r *Recorded) { r.Length = math.Inf(1) },
		"no number": func(r *Recorded) { r.Curvature = slices.Clone(r.Curvature); r.Curvature[3] = math.NaN() }, "an endless slope": func(r *Recorded) { r.Slope = slices.Clone(r.Slope); r.Slope[3] = math.Inf(1) },
	} {
		bad := r
		change(&bad)
		if _, err := NewRecordedCourse(bad); !errors.Is(err, ErrCourse) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRefused(t *testing.T) {
	for name, s := range map[string][]Section{"nothing": nil, "no length": {{Length: 0}}, "a hairpin of half a metre": {{Length: 1, Turn: 2}, {Length: 5}}, "a wall": {{Length: 5, Climb: 2}}, "a jump straight up": {{Length: 5, Jump: Jump{TakeOff: 1.5, Landing: 0.2}}}, "not a number": {{Length: math.NaN()}}, "endless": {{Length: math.Inf(1)}}} {
		if _, err := NewCourse(s, 1); !errors.Is(err, ErrCourse) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := NewCourse([]Section{{Length: 1e6}}, 1); !errors.Is(err, ErrCourse) {
		t.Error("a thousand kilometres in steps of a metre are taken")
	}
	c := course(t, 1)
	for name, change := range map[string]func(m *Machine){"no mass": func(m *Machine) { m.Mass = 0 }, "no brakes": func(m *Machine) { m.BrakeFront, m.BrakeRear = 0, 0 }, "behind its axle": func(m *Machine) { m.Ahead = -0.1 }, "no thrust": func(m *Machine) { m.Thrust = Thrust{} }, "not a number": func(m *Machine) { m.Grip = math.NaN() }, "sliding on a third of its grip": func(m *Machine) { m.Fall = 0.3 },
		"a gear without a redline": func(m *Machine) { geared(m, []float64{20, 20}).Thrust.Each[2].Top = math.NaN() },
		"too weak for the climb": func(m *Machine) {
			for i := range m.Thrust.Force {
				m.Thrust.Force[i] = 30
			}
		}} {
		m := machine()
		change(m)
		if _, err := Run(m, c); !errors.Is(err, ErrMachine) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Random machines on random courses, the seed fixed: nearly all come round.
func TestRandomLapsHeavy(t *testing.T) {
	n := 60
	if os.Getenv("SHAKEDOWN_HEAVY") != "" {
		n = 1000
	}
	r := rand.New(rand.NewPCG(5, 29))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	var courses []*Course
	for range 20 {
		var list []Section
		for range 5 + r.IntN(12) {
			s := Section{Length: between(15, 120)}
			switch r.IntN(5) {
			case 0, 1:
				radius := between(6, 40)
				turn := between(0.5, math.Pi)
				s = Section{Length: radius * turn, Turn: math.Copysign(turn, r.Float64()-0.4), Bank: between(-0.05, 0.25)}
			case 2:
				s.Climb = between(-0.15, 0.12)
			case 3:
				if r.IntN(2) == 0 {
					s = Section{Length: between(5, 14), Jump: Jump{TakeOff: between(0.15, 0.45), Landing: between(0.15, 0.4)}}
				} else {
					s.Whoops = Whoops{between(2.5, 6), between(0.15, 0.6)}
				}
			}
			list = append(list, s)
		}
		c, err := NewCourse(append(list, Section{Length: 30}), 1)
		if err != nil {
			t.Fatal(err)
		}
		courses = append(courses, c)
	}
	whole, causes := 0, map[string]int{}
	for i := range n {
		m := machine()
		m.Mass, m.Wheelbase, m.Height = between(150, 320), between(1.1, 1.5), between(0.45, 0.8)
		m.Ahead = m.Wheelbase * between(0.3, 0.55)
		m.TrackRear, m.Grip, m.Rolling, m.DragArea = between(0.65, 1.1), between(0.25, 1.0), between(0.01, 0.12), between(0.4, 0.9)
		switch i % 3 {
		case 1:
			m.TrackFront = between(0.65, 1.0)
		case 2:
			m.TrackRear, m.SolidAxle, m.Lean = 0, false, between(0.7, 0.95)
		}
		power := between(5e3, 30e3)
		for k := range m.Thrust.Force {
			v := math.Max(2, 0.25*float64(k))
			m.Thrust.Force[k], m.Thrust.Mass[k] = math.Min(2500, power/v), m.Mass*1.08
		}
		l, err := Run(m, courses[i%20])
		if err != nil {
			causes[err.Error()]++
			continue
		}
		whole++
		if !(l.Time > 5 && l.Time < 2000) {
			t.Errorf("machine %d has a lap of %g s", i, l.Time)
		}
		for k, v := range l.Speed {
			if !(v > 0) || v > 60 {
				t.Fatalf("machine %d, step %d: %g m/s", i, k, v)
			}
		}
	}
	t.Logf("%d of %d random machines come round; failures by cause: %v", whole, n, causes)
	if whole < n*98/100 {
		t.Errorf("%d of %d random machines come round; 98 %% wanted", whole, n)
	}
}

// What the tyres push and what the brakes take, step by step, is what the lap says in all; a lap that comes back to its
// speed and height gives all of it to drags and brakes.
func TestEnergyOfALap(t *testing.T) {
	m := machine()
	rapid.Check(t, func(r *rapid.T) {
		straight, radius, climb := rapid.Float64Range(40, 200).Draw(r, "straight"), rapid.Float64Range(8, 30).Draw(r, "radius"), rapid.Float64Range(0, 0.08).Draw(r, "climb")
		c, err := NewCourse([]Section{{Length: straight, Climb: climb}, {Length: radius * math.Pi, Turn: math.Pi}, {Length: straight, Climb: -climb}, {Length: radius * math.Pi, Turn: math.Pi}}, 0.5)
		if err != nil {
			r.Fatal(err)
		}
		l, err := Run(m, c)
		if err != nil {
			return // a climb too steep for it
		}
		work, braked, shut, time, drag := 0.0, 0.0, 0.0, 0.0, 0.0
		s := newSolver(m, c)
		for i := range l.Took {
			if l.Front[i] < 0 || l.Rear[i] < 0 || l.Shut[i] < 0 || l.Shut[i] > m.Thrust.shut(l.Speed[i])+1e-9 && l.Shut[i] > m.Thrust.shut(l.Speed[i+1])+1e-9 || l.Push[i] < 0 || l.Push[i] > 0 && l.Front[i]+l.Rear[i] > 0 {
				r.Fatalf("step %d: pushes %g N, brakes %g and %g N", i, l.Push[i], l.Front[i], l.Rear[i])
			}
			work += l.Push[i] * c.Step(i)
			braked += (l.Front[i] + l.Rear[i]) * c.Step(i)
			shut += l.Shut[i] * c.Step(i)
			time += l.Took[i]
			v := (l.Speed[i] + l.Speed[i+1]) / 2
			normal, lateral := s.load(i, v)
			drag += s.drag(i, v, normal, s.left(i, lateral)) * c.Step(i)
		}
		if math.Abs(work-l.Work) > 1e-6*l.Work || math.Abs(braked-l.Braked) > 1e-6*l.Work || math.Abs(shut-l.Overrun) > 1e-6*l.Work || math.Abs(time-l.Time) > 1e-9*l.Time {
			r.Errorf("work %g and %g, braked %g and %g J, time %g and %g s", work, l.Work, braked, l.Braked, time, l.Time)
		}
		// The turning mass differs from gear to gear, so speed up and down again is not wholly without loss.
		if math.Abs(work-braked-shut-drag) > 0.03*work {
			r.Errorf("pushed %g J; brakes, engine and drags took %g", work, braked+shut+drag)
		}
	})
}

// Tyres that slip across point their force backwards: round a steady circle the engine gives, beside what rolls, the
// sum of force times sine of the slip angle. By hand, for a machine without a solid axle, at two shares of its grip.
func TestOutsideCorneringDrag(t *testing.T) {
	m := machine()
	m.SolidAxle, m.TrackRear, m.TrackFront, m.Rolling, m.DragArea, m.Give, m.Height = false, 5, 5, 0, 0, 0, 0.1
	const radius = 15.0
	c, err := NewCourse([]Section{{Length: 2 * math.Pi * radius, Turn: 2 * math.Pi}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	s := newSolver(m, c)
	shape := 2 - 2/math.Pi*math.Asin(m.Fall)
	for _, share := range []float64{0.5, 0.9, 1} {
		v := math.Sqrt(share * m.Grip * gravity * radius)
		normal, lateral := s.load(3, v)
		// sin(C atan(B x)) = share
		x := math.Tan(math.Asin(share)/shape) / math.Tan(math.Pi/(2*shape)) * m.SlipPeak
		want := share * m.Grip * m.Mass * gravity * math.Sin(math.Atan(x))
		outside.Check{ID: "cornering drag", Name: fmt.Sprintf("drag of a corner at %g of its grip", share), Unit: "N", Got: s.drag(3, v, normal, s.left(3, lateral)), Want: want, Tol: 0.02, Relative: true, Source: "statics: force across times sine of the slip angle; the table's steps are the tolerance", Known: computed}.Run(t)
	}
	bike := machine()
	bike.TrackRear, bike.SolidAxle, bike.Lean = 0, false, 0.8
	if d := newSolver(bike, c).turn[3].drag; d != 0 {
		t.Errorf("a bike that leans drags %g of its weight", d)
	}
}

// The engine holds back with its throttle shut: weak brakes stop sooner with it, and it takes of the rear brake's heat,
// not of what the passes found.
func TestEngineBraking(t *testing.T) {
	m := machine()
	c, err := NewCourse([]Section{{Length: 200}, {Length: 8 * math.Pi, Turn: math.Pi}, {Length: 200}, {Length: 8 * math.Pi, Turn: math.Pi}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	m.BrakeFront, m.BrakeRear = 250, 150
	free, err := Run(m, c)
	if err != nil {
		t.Fatal(err)
	}
	m.Thrust.Shut = make([]float64, len(m.Thrust.Force))
	for i := range m.Thrust.Shut {
		m.Thrust.Shut[i] = 200
	}
	held, err := Run(m, c)
	if err != nil {
		t.Fatal(err)
	}
	if !(held.Time < free.Time-0.1 && held.Overrun > 0 && held.Braked < free.Braked) || free.Overrun != 0 {
		t.Errorf("with the engine's help %.2f s, %g J in the brakes and %g in the engine; without %.2f s, %g J and %g", held.Time, held.Braked, held.Overrun, free.Time, free.Braked, free.Overrun)
	}
	m.Thrust.Shut = m.Thrust.Shut[:3]
	if _, err := Run(m, c); !errors.Is(err, ErrMachine) {
		t.Errorf("an engine that holds back at three speeds only: %v", err)
	}
}

// geared gives a machine five gears on a torque [N m] at equal steps of crank speed from 100 to 900 rad/s, straight
// between.
func geared(m *Machine, torque []float64) *Machine {
	const radius, final, crank = 0.27, 9.0, 0.006
	t := Thrust{Step: 0.25, Shift: 0.2}
	for _, ratio := range []float64{2.8, 1.95, 1.45, 1.15, 0.95} {
		p := Pull{Top: 900 * radius / (ratio * final)}
		for i := range 240 {
			turns := ratio * final / radius
			omega := min(900, max(100, 0.25*float64(i)*turns))
			x := (omega - 100) / 800 * float64(len(torque)-1)
			k := min(int(x), len(torque)-2)
			force := (torque[k] + (x-float64(k))*(torque[k+1]-torque[k])) * turns * 0.88
			p.Force, p.Mass = append(p.Force, force), append(p.Mass, m.Mass*1.03+crank*turns*turns)
		}
		t.Each = append(t.Each, p)
	}
	for i := range 240 {
		best := 4
		for k, p := range t.Each {
			if 0.25*float64(i) < p.Top && p.Force[i]/p.Mass[i] > t.Each[best].Force[i]/t.Each[best].Mass[i] {
				best = k
			}
		}
		force := t.Each[best].Force[i]
		if 0.25*float64(i) > t.Each[best].Top {
			force = 0
		}
		t.Force, t.Mass, t.Gear = append(t.Force, force), append(t.Mass, t.Each[best].Mass[i]), append(t.Gear, best+1)
	}
	m.Thrust = t
	return m
}

// More torque at every speed is not slower, wherever the torque dips and the straights end: the gears are chosen for
// each of them. Of 60,000 torque curves drawn so, a few were slower by more than 0.05 s and one by 0.10 s: gears are
// chosen on the level, for speeds found before.
func TestMoreTorqueIsNotSlower(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		straight, radius := rapid.Float64Range(30, 150).Draw(r, "straight"), rapid.Float64Range(6, 20).Draw(r, "radius")
		c, err := NewCourse([]Section{{Length: straight}, {Length: radius * math.Pi, Turn: math.Pi}, {Length: 20}, {Length: 10, Turn: -1}, {Length: straight}, {Length: radius * math.Pi, Turn: math.Pi}}, 1)
		if err != nil {
			r.Fatal(err)
		}
		torque, more := make([]float64, 9), make([]float64, 9)
		gain := rapid.Float64Range(0, 0.1).Draw(r, "gain")
		for i := range torque {
			torque[i] = rapid.Float64Range(15, 30).Draw(r, "torque")
			more[i] = torque[i] * (1 + gain*rapid.Float64Range(0, 1).Draw(r, "more"))
		}
		less, err := Run(geared(machine(), torque), c)
		if err != nil {
			r.Fatal(err)
		}
		best, err := Run(geared(machine(), more), c)
		if err != nil {
			r.Fatal(err)
		}
		if best.Time > less.Time+0.15 {
			r.Errorf("more torque laps in %.3f s, less in %.3f", best.Time, less.Time)
		}
	})
}

// On a long straight from a slow corner the gears are those that an exhaustive search finds, change by change.
func TestGearsOfAStretch(t *testing.T) {
	m := geared(machine(), []float64{18, 20, 17, 23, 25, 24, 22, 18, 12})
	lost := func(g *gearing, from, to float64) float64 {
		k, sum := g.first, 0.0
		const step = 0.01
		for v := from; v < to; v += step {
			for k-g.first < len(g.up) && v >= g.up[k-g.first] {
				pull, _ := m.Thrust.in(k, v-step)
				sum += (1 - v/to) * m.Thrust.Shift * pull / (pull - m.LevelDrag(v))
				k++
			}
			force, mass := m.Thrust.in(k, v)
			if force <= 0 {
				return math.Inf(1)
			}
			sum += (1 - v/to) * step * mass / (force - m.LevelDrag(v))
		}
		return sum
	}
	for _, ends := range [][2]float64{{6, 22}, {9.7, 18}, {9.7, 11}, {12, 13}} {
		got := lost(m.gearsFor(ends[0], ends[1]), ends[0], ends[1])
		best := math.Inf(1)
		for first := range 5 {
			for last := first; last < 5; last++ {
				var search func(g *gearing)
				search = func(g *gearing) {
					if g.first+len(g.up) == last {
						best = min(best, lost(g, ends[0], ends[1]))
						return
					}
					low := ends[0]
					if n := len(g.up); n > 0 {
						low = g.up[n-1]
					}
					for up := low + 0.5; up < ends[1]; up += 0.5 {
						search(&gearing{g.first, append(append([]float64(nil), g.up...), up)})
					}
				}
				if last-first <= 2 {
					search(&gearing{first: first})
				}
			}
		}
		if got > best+0.02 {
			t.Errorf("from %g to %g m/s the gears lose %.3f s, a search finds %.3f", ends[0], ends[1], got, best)
		}
	}
}

func BenchmarkLap(b *testing.B) {
	m := geared(machine(), []float64{18, 20, 17, 23, 25, 24, 22, 18, 12})
	c, err := NewCourse([]Section{{Length: 400}, {Length: 15 * math.Pi, Turn: math.Pi}, {Length: 300, Whoops: Whoops{4.5, 0.35}}, {Length: 12 * math.Pi, Turn: math.Pi}, {Length: 200, Climb: 0.05}, {Length: 200, Climb: -0.05}, {Length: 25 * math.Pi, Turn: -math.Pi}, {Length: 237}}, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(m, c); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(c.Length(), "m")
}

func TestGap(t *testing.T) {
	for _, c := range []struct{ second, want float64 }{{80, 0}, {50, 30}} {
		oval, err := NewCourse([]Section{{Length: 80}, {Length: 15 * math.Pi, Turn: math.Pi}, {Length: c.second}, {Length: 15 * math.Pi, Turn: math.Pi}}, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		if got := oval.Gap(); math.Abs(got-c.want) > 0.05 {
			t.Errorf("an oval of 80 and %g m ends %g m from its start, by hand %g", c.second, got, c.want)
		}
	}
}

// The table that stands in on a recorded course says what each corner would, to a thousandth of the grip.
func TestTableOfCorners(t *testing.T) {
	for _, grip := range []float64{0.3, 0.42, 0.62} {
		m := machine()
		m.Grip = grip
		turn := m.cornersUpTo(0.3)
		for k := 0.0; k <= 0.3; k += 0.0007 {
			want, got := m.cornerOf(k), turn(-k)
			if math.Abs(got.grip-want.grip) > 1.5e-3 || math.Abs(got.drag-want.drag) > 5e-3 {
				t.Fatalf("grip %g, curvature %g: %+v by the table, %+v", grip, k, got, want)
			}
		}
	}
}
