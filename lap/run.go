package lap

import (
	"fmt"
	"math"

	"shakedown/vehicle/tyre"
)

// LeavesGround is the speed [m/s] from which the wheels leave the ground over a crest of a radius [m]: sqrt(g radius).
// Source: circular motion.
func LeavesGround(radius float64) float64 { return math.Sqrt(gravity * radius) }

// Lap is one lap with a flying start.
type Lap struct {
	Time     float64   // [s]
	Speed    []float64 // [m/s] where each step begins, and at the end
	Limit    []Limit   // of each step
	Gear     []int     // of each step
	Sections []SectionTime
	Took     []float64 // [s] for each step
	Push     []float64 // [N] of the driven tyres on the ground, of each step
	Front    []float64 // [N] that the front brake holds back, of each step
	Rear     []float64 // [N] that the rear brake does
	Shut     []float64 // [N] that the engine does, its throttle shut
	Work     float64   // [J] that the tyres push with
	Braked   float64   // [J] that the brakes take
	Overrun  float64   // [J] that the engine takes, its throttle shut
	Revved   float64   // [s] at the redline in top gear, the throttle open
	Rolled   []int     // sections of jumps that are not flown
	Crested  []int     // sections with a crest over which the wheels leave the ground; it is ridden as if they just did not
}

// SectionTime is a section of a lap.
type SectionTime struct {
	Name        string
	Time        float64 // [s]
	Limit       Limit   // for the longest time
	Entry, Exit float64 // [m/s]
}

// crawl is a speed below which a lap is not ridden [m/s].
const crawl = 0.5

// taken is the share of the grip from which on it is the corner that takes it [-].
const taken = 0.7

// Of whoops, by common practice: damping of body on springs over critical, and the accelerations of the body [of
// gravity] at which the wheels begin to leave the ground.
const (
	damping = 0.3
	leaves  = 1.0
)

// whoopSpeed is the slowest at which whoops throw the machine [m/s]: the ground's wave, as a body on springs over it
// feels it, uses up half the travel or lets the wheels leave the ground. Nothing faster is tried, though some skim
// over. Source: base-excited body, Thomson, Theory of Vibration, ch. 3.
func (m *Machine) whoopSpeed(pitch, height float64) float64 {
	swing := height / 2
	if m.Ride <= 0 { // no springs: the body follows the ground
		return pitch / (2 * math.Pi) * math.Sqrt(leaves*gravity/swing)
	}
	thrown := func(r float64) bool {
		c := 2 * damping * r
		under := math.Hypot(1-r*r, c)
		w := 2 * math.Pi * m.Ride * r
		return swing*w*w*math.Hypot(1, c)/under > leaves*gravity || swing*r*r/under > m.Travel/2
	}
	const step = 0.05
	for r := step; r < 4; r += step {
		if !thrown(r) {
			continue
		}
		low, high := r-step, r
		for range 30 {
			if middle := (low + high) / 2; thrown(middle) {
				high = middle
			} else {
				low = middle
			}
		}
		return low * m.Ride * pitch
	}
	return math.Inf(1)
}

// solver holds what the passes want, ready for the inner loop.
type solver struct {
	m      *Machine
	c      *Course
	turn   []corner // by step
	scrub  [scrubs + 1]float64
	cap    []float64
	capBy  []Limit
	speed  []float64
	limit  []Limit
	gear   []int
	gears  []*gearing                           // by step; nil where the gears are those of the thrust
	rolled []bool                               // sections of jumps that are not flown and whoops that are not skimmed
	shares struct{ front, rear, lever float64 } // static shares and height over wheelbase
}

// Run is the lap of a machine round a course. The error is ErrMachine, with what is wrong or where it stands still.
func Run(m *Machine, c *Course) (*Lap, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	s := newSolver(m, c)
	for range len(c.Names) + 1 { // each feature that is too slow to be flown is rolled, and the lap ridden again
		if err := s.pass(); err != nil {
			return nil, err
		}
		if !s.tooSlow() {
			break
		}
	}
	return s.lap(), nil
}

// newSolver makes room for the passes and works out what each turn allows.
func newSolver(m *Machine, c *Course) *solver {
	n := c.Steps()
	s := &solver{m: m, c: c, turn: make([]corner, n), cap: make([]float64, n+1), capBy: make([]Limit, n+1), speed: make([]float64, n+1), limit: make([]Limit, n), gear: make([]int, n), rolled: make([]bool, len(c.Names))}
	s.shares.front = m.Ahead / m.Wheelbase
	s.shares.rear = 1 - s.shares.front
	s.shares.lever = m.Height / m.Wheelbase
	slide := tyre.NewSlide(m.Fall)
	for i := range s.scrub {
		left := float64(i) / scrubs
		used := math.Sqrt(1 - left*left)
		s.scrub[i] = used * slide.Needs(used)
	}
	turn := m.cornerOf
	if len(c.sharp) > tabled {
		turn = m.cornersUpTo(c.sharp[len(c.sharp)-1])
	}
	for i := range n {
		if i > 0 && c.curvature[i] == c.curvature[i-1] {
			s.turn[i] = s.turn[i-1]
			continue
		}
		s.turn[i] = turn(c.curvature[i])
	}
	return s
}

// Of a course with a curvature of its own at every step: how many are worked out each, and how many in a table in their
// place.
const (
	tabled = 40
	inRows = 40
)

// cornersUpTo is cornerOf by a table up to a curvature [1/m], denser where it is small, straight between.
func (m *Machine) cornersUpTo(most float64) func(curvature float64) corner {
	var rows [inRows + 1]corner
	for i := range rows {
		x := float64(i) / inRows
		rows[i] = m.cornerOf(most * x * x)
	}
	return func(curvature float64) corner {
		x := math.Sqrt(min(1, math.Abs(curvature)/most)) * inRows
		i := min(int(x), inRows-1)
		f := x - float64(i)
		a, b := rows[i], rows[i+1]
		return corner{a.grip + f*(b.grip-a.grip), a.drag + f*(b.drag-a.drag)}
	}
}

// pass finds the speeds: what corners, whoops and jumps allow, then what can be reached, then what can be braked for.
func (s *solver) pass() error {
	s.caps()
	if s.gears = nil; len(s.m.Thrust.Each) == 0 {
		return s.sweep()
	}
	if err := s.sweep(); err != nil {
		return err
	}
	s.gears = s.chooseGears()
	return s.sweep()
}

// sweep drives round forwards and brakes backwards.
func (s *solver) sweep() error {
	n := s.c.Steps()
	start, least := 0, math.Inf(1)
	for i := range n {
		if s.cap[i] < least {
			start, least = i, s.cap[i]
		}
	}
	from := min(least, s.m.Thrust.Top())
	for range 500 { // uphill the slowest place may be slower than its corner allows
		end, err := s.forward(start, from)
		if err != nil {
			return err
		}
		if end >= from*(1-1e-6) {
			break
		}
		from = end
	}
	s.backward(start)
	s.speed[n] = s.speed[0]
	return nil
}

// caps are the speeds at the steps' beginnings that no engine or brake comes into.
func (s *solver) caps() {
	n := s.c.Steps()
	for i := range n + 1 {
		s.cap[i], s.capBy[i] = math.Inf(1), ByPower
	}
	lower := func(i int, v float64, by Limit) {
		if v < s.cap[i] {
			s.cap[i], s.capBy[i] = max(crawl, v), by
		}
	}
	tip, whoops := s.m.tips(0), 0.0
	for i := range n {
		q, by := s.turn[i].grip, ByCornerGrip
		if tip < q {
			q, by = tip, ByTipping
		}
		v := s.cornerSpeed(i, q)
		lower(i, v, by)
		lower(i+1, v, by)
		k := s.c.section[i]
		if pitch := s.c.pitch[i]; pitch > 0 {
			if i == 0 || s.c.section[i-1] != k {
				whoops = s.m.whoopSpeed(pitch, s.c.height[i])
			}
			lower(i, whoops, ByWhoops)
			lower(i+1, whoops, ByWhoops)
		}
		if j := s.c.jump[i]; j != nil {
			v := j.slowest() / 2
			if !s.rolled[k] {
				v = s.landing(j)
			}
			lower(i, v, ByJump)
			if s.rolled[k] {
				lower(i+1, v, ByJump)
			}
		}
	}
	if s.cap[n] < s.cap[0] {
		s.cap[0], s.capBy[0] = s.cap[n], s.capBy[n]
	}
}

// cornerSpeed is the fastest at which the lateral load stays below so much of the normal load.
func (s *solver) cornerSpeed(i int, q float64) float64 {
	c := s.c
	k := math.Abs(c.curvature[i])
	if k == 0 {
		return math.Inf(1)
	}
	sin, cos := math.Sincos(c.bank[i])
	down := gravity * math.Cos(c.slope[i])
	lean := k*cos - q*k*sin + q*c.bend[i]*cos
	if lean <= 0 {
		return math.Inf(1)
	}
	return math.Sqrt(max(0, down*(q*cos+sin)/lean))
}

// hovers is the normal load over the mass [m/s2] that is left at least where the wheels would leave the ground over a
// crest: too little to drive or brake with.
const hovers = 1e-3

// load is the normal load over the mass [m/s2] and the lateral one over it [-] in a step at a speed. Source: statics;
// over a crest of a radius the ground falls away with v^2/radius.
func (s *solver) load(i int, v float64) (normal, lateral float64) {
	c := s.c
	down := gravity * math.Cos(c.slope[i])
	if k := math.Abs(c.curvature[i]); k > 0 {
		sin, cos := math.Sincos(c.bank[i])
		normal = max(hovers, down*cos+v*v*(k*sin-c.bend[i]*cos))
		return normal, math.Abs(v*v*k*cos-down*sin) / normal
	}
	return max(hovers, down-v*v*c.bend[i]), 0
}

// scrubs are the steps of the table of what a corner drags: force times slip, both over those at its limit, against the
// share of the grip that the corner leaves. Against that share it is smooth at both ends.
const scrubs = 32

// drag is what holds the machine back [N] in a step at a speed, with the share of the grip that the corner leaves.
func (s *solver) drag(i int, v, normal, left float64) float64 {
	m := s.m
	hold := m.Rolling
	if corners := s.turn[i].drag; corners > 0 && left < 1 {
		x := left * scrubs
		j := int(x)
		hold += corners * (s.scrub[j] + (x-float64(j))*(s.scrub[j+1]-s.scrub[j]))
	}
	return m.Mass*(normal*hold+gravity*math.Sin(s.c.slope[i])) + 0.5*m.Air*m.DragArea*v*v
}

// left is the share of the grip that the corner leaves for driving or braking.
func (s *solver) left(i int, lateral float64) float64 {
	used := lateral / s.turn[i].grip
	return math.Sqrt(max(0, 1-used*used))
}

// drives is the acceleration [m/s2] in a step at a speed, what limits it, and the gear.
func (s *solver) drives(i int, v float64) (float64, Limit, int) {
	m := s.m
	normal, lateral := s.load(i, v)
	left := s.left(i, lateral)
	drag := s.drag(i, v, normal, left)
	force, mass, gear := s.pushes(i, v, drag)
	a, by := (force-drag)/mass, ByPower
	grip := m.Grip * left
	push := math.Inf(1)
	if grip*s.shares.lever < 1 {
		push = grip * normal * s.shares.rear / (1 - grip*s.shares.lever)
	}
	limit := ByDriveGrip
	if lateral > taken*s.turn[i].grip {
		limit = ByCornerGrip
	}
	if lifts := normal * m.Ahead / m.Height; lifts < push {
		push, limit = lifts, ByWheelie
	}
	if held := push - drag/m.Mass; held < a {
		a, by = held, limit
	}
	return a, by, gear
}

// brakes is the deceleration [m/s2] in a step at a speed, drags included, and what limits it.
func (s *solver) brakes(i int, v float64) (float64, Limit) {
	m := s.m
	normal, lateral := s.load(i, v)
	left := s.left(i, lateral)
	front, rear, by := s.holds(v, normal, m.Grip*left)
	b := front + rear
	if lifts := normal * (m.Wheelbase - m.Ahead) / m.Height; lifts < b {
		if b, by = lifts, ByNoseOver; m.TrackRear == 0 {
			by = ByStoppie
		}
	}
	if tips := normal * m.brakesInTurn(lateral); tips < b {
		b, by = tips, ByTippingBraked
	}
	return b + s.drag(i, v, normal, left)/m.Mass, by
}

// holds is what both ends can hold back over the mass [m/s2] at a speed, with a normal load over the mass and a grip
// [-], and what limits the front: brakes, and at the rear the engine, its throttle shut.
func (s *solver) holds(v, normal, grip float64) (front, rear float64, by Limit) {
	m := s.m
	hand, behind := m.BrakeFront/m.Mass, (m.BrakeRear+m.Thrust.shut(v))/m.Mass
	frontLoad, rearLoad, moved := grip*normal*s.shares.front, grip*normal*s.shares.rear, grip*s.shares.lever
	// Braking moves load forwards: with the front held by the hand,
	if b := min(hand+behind, (hand+rearLoad)/(1+moved)); hand <= frontLoad+moved*b {
		return hand, max(0, b-hand), ByHand
	}
	// with both ends at their grip,
	if rear = max(0, rearLoad-moved*grip*normal); rear <= behind {
		return grip*normal - rear, rear, ByBrakeGrip
	}
	// or with the rear by its brake. No more than lifts the rear.
	b := normal * s.shares.rear / s.shares.lever
	if moved < 1 {
		b = min(b, (frontLoad+behind)/(1-moved))
	}
	return max(0, b-behind), min(b, behind), ByBrakeGrip
}

// forward drives once round from a step at a speed, and gives the speed on coming round.
func (s *solver) forward(start int, from float64) (float64, error) {
	c, n := s.c, s.c.Steps()
	v, last := from, 0
	s.speed[start] = v
	for k := range n {
		i := (start + k) % n
		ds := c.step[i]
		next := v
		if j := c.jump[i]; j != nil && !s.rolled[c.section[i]] {
			next = j.exit(v)
			s.limit[i], s.gear[i] = ByJump, last
		} else {
			a, by, gear := s.drives(i, v)
			last = gear
			mid := math.Sqrt(max(crawl*crawl, v*v+2*a*ds))
			b, _, _ := s.drives(i, mid)
			square := v*v + (a+b)*ds
			if square < crawl*crawl {
				return 0, fmt.Errorf("%w: it comes to a stop in %s: too steep or too heavy going for its thrust", ErrMachine, c.Names[c.section[i]])
			}
			next = math.Sqrt(square)
			s.limit[i], s.gear[i] = by, gear
		}
		end := i + 1
		if next >= s.cap[end] {
			next = s.cap[end]
			s.limit[i] = s.capBy[end]
		}
		if end == n {
			end = 0
			if next >= s.cap[0] {
				next = s.cap[0]
				s.limit[i] = s.capBy[0]
			}
		}
		v = next
		if end != start {
			s.speed[end] = v
		}
	}
	return v, nil
}

// backward brakes once round, from the start backwards.
func (s *solver) backward(start int) {
	c, n := s.c, s.c.Steps()
	v := s.speed[start]
	for k := range n {
		i := ((start-1-k)%n + n) % n
		ds := c.step[i]
		var most float64
		by := ByBrakeGrip
		if j := c.jump[i]; j != nil && !s.rolled[c.section[i]] {
			most, by = j.entry(v), ByJump
		} else {
			var a, b float64
			a, by = s.brakes(i, v)
			mid := math.Sqrt(v*v + 2*max(0, a)*ds)
			b, _ = s.brakes(i, mid)
			most = math.Sqrt(v*v + max(0, a+b)*ds)
		}
		if i == start {
			return
		}
		if most < s.speed[i] {
			s.speed[i], s.limit[i] = most, by
		}
		v = s.speed[i]
	}
}

// tooSlow marks the jumps that fall short; it says whether there are new ones.
func (s *solver) tooSlow() bool {
	more := false
	for i := range s.c.step {
		k := s.c.section[i]
		if s.rolled[k] {
			continue
		}
		if j := s.c.jump[i]; j != nil && s.speed[i] < j.slowest()*(1-1e-9) {
			s.rolled[k], more = true, true
		}
	}
	return more
}

// shared is who holds back so much [N]: the engine first, for it does so by itself, as far as the rear's grip lets it;
// the brakes take the rest, as both ends can.
func (s *solver) shared(force, v, normal, grip float64) (front, rear, shut float64) {
	ahead, behind, _ := s.holds(v, normal, grip)
	ahead, behind = ahead*s.m.Mass, behind*s.m.Mass
	shut = min(force, behind, s.m.Thrust.shut(v))
	force, behind = force-shut, behind-shut
	if ahead+behind <= 0 { // no grip is left in the turn: what little there is counts as the front's
		return force, 0, shut
	}
	return force * ahead / (ahead + behind), force * behind / (ahead + behind), shut
}

// lap adds up what the passes found.
func (s *solver) lap() *Lap {
	c, n := s.c, s.c.Steps()
	l := &Lap{Speed: s.speed, Limit: s.limit, Gear: s.gear, Sections: make([]SectionTime, len(c.Names)), Took: make([]float64, n), Push: make([]float64, n), Front: make([]float64, n), Rear: make([]float64, n), Shut: make([]float64, n)}
	var spent [limits]float64
	section := -1
	for i := range n {
		if c.section[i] != section {
			section = c.section[i]
			spent = [limits]float64{}
			l.Sections[section].Name, l.Sections[section].Entry = c.Names[section], s.speed[i]
		}
		v, u := s.speed[i], s.speed[i+1]
		dt := 2 * c.step[i] / (v + u)
		if j := c.jump[i]; j != nil && !s.rolled[section] {
			dt = c.step[i] / (v * math.Cos(j.TakeOff))
		}
		l.Time += dt
		l.Took[i] = dt
		if s.limit[i] == ByPower && s.m.Thrust.revvedOut(s.gear[i], min(v, u)) {
			l.Revved += dt
		}
		t := &l.Sections[section]
		t.Time += dt
		t.Exit = u
		if spent[s.limit[i]] += dt; spent[s.limit[i]] >= spent[t.Limit] {
			t.Limit = s.limit[i]
		}
		if b := c.bend[i]; b > 0 && (len(l.Crested) == 0 || l.Crested[len(l.Crested)-1] != section) && max(v, u) > LeavesGround(1/b) {
			l.Crested = append(l.Crested, section)
		}
		if c.jump[i] == nil || s.rolled[section] {
			normal, lateral := s.load(i, (v+u)/2)
			left := s.left(i, lateral)
			_, mass, _ := s.pushes(i, v, 0)
			change := 0.5*mass*(u*u-v*v) + s.drag(i, (v+u)/2, normal, left)*c.step[i]
			l.Work += max(0, change)
			l.Push[i] = max(0, change) / c.step[i]
			if change < 0 {
				l.Front[i], l.Rear[i], l.Shut[i] = s.shared(-change/c.step[i], (v+u)/2, normal, s.m.Grip*left)
				l.Braked += (l.Front[i] + l.Rear[i]) * c.step[i]
				l.Overrun += l.Shut[i] * c.step[i]
			}
		}
	}
	for k, rolled := range s.rolled {
		if rolled {
			l.Rolled = append(l.Rolled, k)
		}
	}
	return l
}
