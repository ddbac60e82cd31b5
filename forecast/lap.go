package forecast

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"shakedown/engine/gas"
	"shakedown/figure"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/recording"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/suspension"
	"shakedown/vehicle/tyre"
)

// ErrNoLap says that a lap cannot be computed, and why.
var ErrNoLap = errors.New("no lap can be computed")

// Compliance is the share of the tip-over that tyres and springs take [-]: tilt-table tests of four-wheelers, 10 to 15 %.
const Compliance = 0.12

// Of a lap, what no sheet gives.
const (
	courseStep   = 1.0   // [m]
	thrustStep   = 0.25  // [m/s]
	thrustSteps  = 240   // up to 60 m/s
	hand         = 200.0 // [N] at a lever, and
	foot         = 350.0 // [N] at a pedal: the most that UN R78 lets a test use; from memory
	shiftTime    = 0.2   // [s] without thrust; common practice
	leansTo      = 50.0  // [deg] of a bike off the road; common practice
	turnsAlike   = 0.6   // [-] share of a wheel's mass that turning adds to it: tyre and rim lie outside
	damped       = 2.0   // [-] what springs and dampers take of a landing over what the springs take; common practice
	rigidTravel  = 0.03  // [m] that tyres give where there is no suspension
	rigidAbsorbs = 3.0   // [J/kg] that tyres, arms and legs take of a landing beside the suspension; by judgement
)

// LapResult is one lap of one build, in the units of the trade.
type LapResult struct {
	Time     float64 // [s]
	Sections []LapSection
	Length   float64   // [m]
	Top      float64   // [km/h] greatest speed
	Speed    []float64 // [m/s] where each step begins, and at the end
	Way      []float64 // [m] of each speed
	Limit    []string  // of each step between
	Gear     []int
	Course   []lap.Place
	Notes    []string // what of the course does not close, what is not flown
	Work     float64  // [kJ] at the tyres
	Braked   float64  // [kJ]
}

// LapSection is a section of a lap.
type LapSection struct {
	Name        string
	Time        float64 // [s]
	Limit       string
	Entry, Exit float64 // [m/s]
}

// Ride is a course that somebody has ridden and logged.
type Ride struct {
	course *lap.Course
	notes  []string
}

// fastestRide is a speed that no off-road machine reaches [m/s]: places that could only be reached faster are jumps of the receiver.
const fastestRide = 60.0

// ReadRide reads a recording, GPX or CSV by its name's ending, and makes a course of it. The error is recording.ErrRecording or ErrNoLap.
func ReadRide(name string, r io.Reader) (*Ride, error) {
	fixes, err := recording.Read(name, r)
	if err != nil {
		return nil, err
	}
	points, jumped := recording.Plane(fixes, fastestRide)
	var x, y, z []float64
	for _, p := range points {
		x, y, z = append(x, p.X), append(y, p.Y), append(z, p.Z)
	}
	course, of, err := lap.NewRecordedCourse(x, y, z, courseStep)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	ride := &Ride{course: course}
	if !of.Closed {
		ride.notes = append(ride.notes, fmt.Sprintf("the ride ends %.0f m from where it begins: it is ridden as if its end led into its start", of.Gap))
	}
	if jumped > 0 {
		ride.notes = append(ride.notes, fmt.Sprintf("%d places were left out: the receiver jumped", jumped))
	}
	return &Ride{course, append(ride.notes, fmt.Sprintf("the places scatter by %.1f m about the smooth line, so curvatures are sure to ±%.3f 1/m (95 %%): corners wider than %.0f m are hardly told from straights; banks, whoops and jumps are not in a recording", of.Noise, 2*of.Unsure, 1/math.Max(1e-4, 2*of.Unsure)))}, nil
}

// of is the ride's course; nil for the sheet's.
func (r *Ride) of() *lap.Course {
	if r == nil {
		return nil
	}
	return r.course
}

// ComputeLap is one lap of a build with a flying start, on its torque curve, round the sheet's course or, when that is not nil, along a
// ride. The error is ErrNoLap.
func ComputeLap(b *machine.Build, c *TorqueCurve, ride *Ride) (*LapResult, error) {
	in := &inputs{build: b}
	m, course, err := lapOf(in, c, 1, ride.of())
	if err != nil {
		return nil, err
	}
	l, err := lap.Run(m, course)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	r := &LapResult{Time: l.Time, Length: course.Length(), Course: course.Line(), Gear: l.Gear, Work: l.Work / 1000, Braked: l.Braked / 1000}
	for _, s := range l.Sections {
		r.Sections = append(r.Sections, LapSection{s.Name, s.Time, s.Limit.String(), s.Entry, s.Exit})
	}
	way := 0.0
	for i, v := range l.Speed {
		r.Speed, r.Way = append(r.Speed, v), append(r.Way, way)
		r.Top = math.Max(r.Top, v*3.6)
		if i < len(l.Limit) {
			way += course.Step(i)
			r.Limit = append(r.Limit, l.Limit[i].String())
		}
	}
	if ride != nil {
		r.Notes = append(r.Notes, ride.notes...)
		return r, nil
	}
	turn, climb := course.Closing()
	if math.Abs(turn) > 5*math.Pi/180 {
		r.Notes = append(r.Notes, fmt.Sprintf("the corners of the course do not make whole turns: %+.0f degrees are left over", turn*180/math.Pi))
	}
	if math.Abs(climb) > 0.5 {
		r.Notes = append(r.Notes, fmt.Sprintf("the course ends %+.1f m above its start", climb))
	}
	for _, k := range l.Rolled {
		r.Notes = append(r.Notes, l.Sections[k].Name+" is rolled: it is not reached fast enough to be flown, or cannot be landed on this suspension")
	}
	return r, nil
}

// lapOf is a build as the lap room wants it, its torque scaled, on the sheet's course, or on one that was made of it before.
func lapOf(in *inputs, c *TorqueCurve, scale float64, made *lap.Course) (*lap.Machine, *lap.Course, error) {
	if c == nil {
		return nil, nil, fmt.Errorf("%w without a torque curve", ErrNoLap)
	}
	m, err := lapMachine(in, c, scale)
	if len(in.missing) > 0 {
		return nil, nil, fmt.Errorf("%w: %s", ErrNoLap, why(in.missing, nil))
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	if made != nil {
		return m, made, nil
	}
	course, err := courseOf(in)
	if len(in.missing) > 0 {
		return nil, nil, fmt.Errorf("%w: %s", ErrNoLap, why(in.missing, nil))
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	return m, course, nil
}

// gearbox of a build.
func gearbox(in *inputs) (driveline.Gearbox, error) {
	radius, err := loadedRadius(in, rearWheel)
	g := driveline.Gearbox{Primary: in.num("driveline.primary"), Final: final(in), Radius: radius, Efficiency: in.num("driveline.efficiency"), Crank: in.num("engine.flywheel_inertia"), Shift: shiftTime}
	for i := range in.build.Len("driveline.gears") {
		g.Gears = append(g.Gears, in.num(gearPath(i)))
	}
	if len(g.Gears) == 0 {
		in.miss(gearPath(0))
	}
	for _, w := range []wheel{frontWheel, rearWheel} {
		if path := w.path("wheels.%s.mass"); in.has(path) {
			g.Wheels += turnsAlike * in.num(path) * w.count(in)
		}
	}
	if in.has("driveline.clutch.spring_force_total") {
		g.Clutch = driveline.ClutchCapacity(in.count("driveline.clutch.friction_faces"), in.num("driveline.clutch.friction"), in.num("driveline.clutch.spring_force_total"), in.num("driveline.clutch.outer_diameter")/2, in.num("driveline.clutch.inner_diameter")/2)
	}
	return g, err
}

// count is how many wheels an end has.
func (w wheel) count(in *inputs) float64 {
	if l := in.layout(); l == quad || l == threeWheeler && w == rearWheel {
		return 2
	}
	return 1
}

// crankTorque are the points of a curve that were computed, up to the redline: speeds [rad/s] and torques [N m].
func crankTorque(in *inputs, c *TorqueCurve, scale float64) (speeds, torques []float64, err error) {
	redline := in.num("engine.redline") / rpm
	for _, p := range c.Points {
		if p.Converged && p.Speed <= redline {
			speeds, torques = append(speeds, p.Speed*rpm), append(torques, math.Max(0, scale*p.Torque))
		}
	}
	if at := c.TorqueAt(redline); len(speeds) > 0 && redline*rpm > speeds[len(speeds)-1] && !math.IsNaN(at) {
		speeds, torques = append(speeds, redline*rpm), append(torques, math.Max(0, scale*at))
	}
	if len(speeds) < 3 && len(in.missing) == 0 {
		return nil, nil, errors.New("the torque curve has too few speeds below the redline")
	}
	return speeds, torques, nil
}

func lapMachine(in *inputs, c *TorqueCurve, scale float64) (*lap.Machine, error) {
	b := laden(in)
	air, err := ambient(in)
	if err != nil {
		return nil, err
	}
	m := &lap.Machine{
		Mass: b.Mass, Wheelbase: in.num("geometry.wheelbase"), Ahead: b.X, Height: b.Z, Grip: in.num("track.peak_grip"), Rolling: in.num("track.rolling_resistance"), DragArea: in.num("rider.drag_area"),
		Holds: in.num("track.axle_holds"), SlipPeak: in.num("track.slip_at_peak"), Fall: in.num("track.slide_share"), Air: gas.MoistAirDensity(air.pressure, air.temperature, air.humidity), Give: Compliance, Lean: leansTo * math.Pi / 180,
	}
	layout := in.layout()
	if layout != bike {
		m.TrackRear, m.SolidAxle = in.num("geometry.track_rear"), true
		m.HungOff = riderMass(in) * in.num("rider.hangs_off") / b.Mass
	}
	if layout == quad {
		m.TrackFront = in.num("geometry.track_front")
	}
	other, err := rollsLike(in)
	if err != nil || len(in.missing) > 0 {
		return nil, err
	}
	m.Rolling *= other
	g, err := gearbox(in)
	if err != nil || len(in.missing) > 0 {
		return nil, err
	}
	speeds, torques, err := crankTorque(in, c, scale)
	if err != nil || len(in.missing) > 0 {
		return nil, err
	}
	m.Thrust.Step = thrustStep
	m.Thrust.Force, m.Thrust.Mass, m.Thrust.Gear = g.Thrust(speeds, torques, b.Mass, thrustStep, thrustSteps)
	if m.BrakeFront, err = frontWheel.brakeForce(in, hand); err != nil {
		return nil, err
	}
	if in.has("brakes.rear.kind") {
		if m.BrakeRear, err = rearWheel.brakeForce(in, foot); err != nil {
			return nil, err
		}
	}
	return m, springy(in, m)
}

// soilUnder is the soil that a sheet's word for the ground comes nearest to; nil for ground that does not give way, or none that is known.
func soilUnder(surface string) *tyre.Soil {
	for _, known := range []struct{ word, soil string }{{"snow", "snow"}, {"clay", "clayey soil"}, {"firm sand", "firm sand"}, {"sand", "dry sand"}, {"loam", "sandy loam"}, {"soil", "sandy loam"}, {"dirt", "sandy loam"}, {"earth", "sandy loam"}} {
		if !strings.Contains(strings.ToLower(surface), known.word) {
			continue
		}
		for i := range tyre.Soils {
			if tyre.Soils[i].Name == known.soil {
				return &tyre.Soils[i]
			}
		}
	}
	return nil
}

// rollsLike is by how much other tyres than those that the machine had change its rolling drag on soil [-]: the drag of the ruts, by
// load, width and diameter. 1 on ground without a soil, or where a wheel would sink too deep.
func rollsLike(in *inputs) (float64, error) {
	if !in.has("track.surface") {
		return 1, nil
	}
	soil := soilUnder(in.text("track.surface"))
	if soil == nil {
		return 1, nil
	}
	var now, before float64
	for _, w := range []wheel{frontWheel, rearWheel} {
		size, err := tyreSize(in, w)
		if err != nil || len(in.missing) > 0 {
			return 1, err
		}
		was, err := tyre.ParseSize(in.build.Project.Base[w.path("wheels.%s.tyre")].Text)
		if err != nil {
			return 1, nil // nobody said what it had
		}
		load := w.wheelLoad(in) * chassis.Gravity
		_, a, err1 := soil.Wheel(load, size.Width, size.Outside)
		_, b, err2 := soil.Wheel(load, was.Width, was.Outside)
		if err1 != nil || err2 != nil {
			return 1, nil
		}
		now, before = now+w.count(in)*a, before+w.count(in)*b
	}
	if !(before > 0) {
		return 1, nil
	}
	return now / before, nil
}

// brakeForce is what a force at the lever holds at the ground [N].
func (w wheel) brakeForce(in *inputs, lever float64) (float64, error) {
	radius, err := loadedRadius(in, w)
	each, one := w.torqueAt(in, lever), 1.0
	if in.text(w.path("brakes.%s.kind")) == "drum" && w == frontWheel {
		one = w.count(in)
	}
	if !(radius > 0) {
		return 0, err
	}
	return one * each / radius, err
}

// springy puts what the suspension does into a lap's machine: how fast the body swings, travel, and what a landing may bring.
func springy(in *inputs, m *lap.Machine) error {
	m.Travel, m.Ride, m.Absorbs = math.Inf(1), math.Inf(1), rigidAbsorbs
	for _, w := range []wheel{frontWheel, rearWheel} {
		if in.text(w.path("suspension.%s.kind")) == "solid" {
			m.Travel, m.Ride = math.Min(m.Travel, rigidTravel), 0
			continue
		}
		travel := in.num(w.path("suspension.%s.travel"))
		sag, err := w.sag(in, laden(in))
		if err != nil {
			return err
		}
		rate, err := w.wheelRate(in)
		if err != nil || len(in.missing) > 0 {
			return err
		}
		up := w.vertical(in)
		m.Travel = math.Min(m.Travel, travel*up)
		m.Ride = math.Min(m.Ride, suspension.Frequency(rate/(up*up), w.sprungLoad(in, laden(in))/chassis.Gravity))
		left := math.Max(0, travel-sag)
		m.Absorbs += damped * 0.5 * rate * left * left / m.Mass
	}
	return nil
}

// courseOf is the sheet's course.
func courseOf(in *inputs) (*lap.Course, error) {
	list := sectionsOf(in)
	if len(in.missing) > 0 {
		return nil, nil
	}
	return lap.NewCourse(list, courseStep)
}

// sectionsOf are the sections of the sheet's course.
func sectionsOf(in *inputs) []lap.Section {
	var list []lap.Section
	n := in.build.Len("track.sections")
	if n == 0 {
		in.miss("track.sections[0].straight")
	}
	for i := range n {
		at := func(name string) string { return entry("track.sections", i, name) }
		given := func(name string) bool { _, ok := in.build.Values[at(name)]; return ok }
		var s lap.Section
		if given("name") {
			s.Name = in.text(at("name"))
		}
		switch {
		case given("corner"):
			angle := in.num(at("angle"))
			s.Length, s.Turn = in.num(at("radius"))*angle, angle
			if in.text(at("corner")) == "right" {
				s.Turn = -angle
			}
		case given("whoops"):
			s.Length, s.Whoops = in.num(at("whoops")), lap.Whoops{Pitch: in.num(at("pitch")), Height: in.num(at("height"))}
		case given("jump.take_off"):
			s.Length = in.num(at("jump.gap"))
			s.Jump = lap.Jump{TakeOff: in.num(at("jump.take_off")), Landing: in.num(at("jump.landing"))}
		default:
			s.Length = in.num(at("straight"))
		}
		if given("bank") {
			s.Bank = in.num(at("bank"))
		}
		if given("climb") {
			s.Climb = in.num(at("climb"))
		}
		if s.Name == "" {
			s.Name = fmt.Sprintf("%d %s", i+1, kindOf(s, in.build.Text(at("corner"))))
		}
		list = append(list, s)
	}
	return list
}

func kindOf(s lap.Section, corner string) string {
	switch {
	case s.Turn != 0:
		return corner
	case s.Whoops.Pitch > 0:
		return "whoops"
	case s.Jump.TakeOff > 0:
		return "jump"
	}
	return "straight"
}

// Of the lap's own error.
const (
	lapShare   = 0.05  // [-] of the lap: no rider, one line, no ruts; by judgement
	lapPrivate = 0.001 // [-] of the lap, that two builds do not share
)

// LapTime is the lap time of a build [s], round the sheet's course or along a ride, with its range and its change against a baseline, as the figure track.lap_time. The torque of
// both curves may be off by half a share of itself that they have in common, and by another that they have not [-].
func LapTime(ctx context.Context, b, baseline *machine.Build, curve, before *TorqueCurve, ride *Ride, shared, private float64) (figure.Figure, error) {
	scale, own := 1.0, 1.0
	made := map[*machine.Build]*lap.Course{} // a course is exact: once is enough, but what it was read from must be noted
	d := definition{"track.lap_time", "Lap time", "s", "speeds that ground, balance, engine and brakes allow, forwards and backwards along the course", "docs/theory/lap.md", "docs/theory/lap.md#lap", modelError{lapShare, lapPrivate, "one line, a rider who uses all there is, no ruts: laps compare, they do not promise"},
		func(in *inputs) (float64, error) {
			if err := ctx.Err(); err != nil {
				return 0, err
			}
			c, s := curve, scale*own
			if in.build == baseline && b != baseline {
				c, s = before, scale
			}
			known := made[in.build]
			if in.trace != nil {
				known = nil
			}
			if ride != nil {
				known = ride.course
			}
			m, course, err := lapOf(in, c, s, known)
			if err != nil {
				return 0, err
			}
			made[in.build] = course
			l, err := lap.Run(m, course)
			if err != nil {
				return 0, err
			}
			return l.Time, nil
		}}
	e := &evaluator{build: b, baseline: baseline, delta: make([]float64, len(b.Project.Atoms)), differ: baseline != nil && b != baseline && CurveKey(b) != CurveKey(baseline)}
	f := e.figure(d)
	if f.State != figure.Ready {
		return f, ctx.Err()
	}
	// The torque's own doubts, beside those of the inputs.
	at := func(set *float64, by float64, b *machine.Build) float64 {
		*set = 1 + by
		v, _, err := e.at(d, b, nil)
		*set = 1
		if err != nil {
			return math.NaN()
		}
		return v
	}
	half := func(up, down float64) float64 {
		if math.IsNaN(up) || math.IsNaN(down) {
			return 0
		}
		return math.Abs(up-down) / 2
	}
	up, down := at(&scale, shared, b), at(&scale, -shared, b)
	wide := half(up, down)
	f.Low, f.High = f.Value-math.Hypot(f.Value-f.Low, wide), f.Value+math.Hypot(f.High-f.Value, wide)
	if f.Change != nil && baseline != nil && (e.differ || f.Change.Value != 0) {
		common := half(up-at(&scale, shared, baseline), down-at(&scale, -shared, baseline))
		apart := 0.0
		if e.differ {
			apart = half(at(&own, private, b), at(&own, -private, b))
		}
		c := f.Change
		c.Low, c.High = c.Value-math.Hypot(math.Hypot(c.Value-c.Low, common), apart), c.Value+math.Hypot(math.Hypot(c.High-c.Value, common), apart)
	}
	f.Unit = quantity.MustUnit("s")
	return f, ctx.Err()
}

// GearLine is the force at the driven tyres against road speed in one gear, from the torque curve.
type GearLine struct {
	Gear  int
	Speed []float64 // [km/h]
	Force []float64 // [N]
}

// GearLines are the thrust of a build in each gear, the drag that it meets on the level [N] at the last speeds of all, and the road
// speeds at which to change up [km/h]. The error is ErrNoLap.
func GearLines(b *machine.Build, c *TorqueCurve) (lines []GearLine, drag GearLine, change []float64, err error) {
	in := &inputs{build: b}
	m, _, err := lapOf(in, c, 1, nil)
	if err != nil {
		return nil, drag, nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, drag, nil, err
	}
	speeds, torques, err := crankTorque(in, c, 1)
	if err != nil {
		return nil, drag, nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	top := 0.0
	for k := range g.Gears {
		l := GearLine{Gear: k + 1}
		for i, omega := range speeds {
			force, v := g.InGear(k, omega, torques[i])
			l.Speed, l.Force = append(l.Speed, v*3.6), append(l.Force, force)
			top = math.Max(top, v)
		}
		lines = append(lines, l)
	}
	for i := range 41 {
		v := top * float64(i) / 40
		drag.Speed, drag.Force = append(drag.Speed, v*3.6), append(drag.Force, m.LevelDrag(v))
	}
	for _, v := range g.ShiftSpeeds(speeds, torques, m.Mass) {
		change = append(change, v*3.6)
	}
	return lines, drag, change, nil
}

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

// StartResult is a standing start to the first corner, made with the best of the gears and crank speeds that can be held.
type StartResult struct {
	Gear     int
	Held     float64 // [rpm] of the crank while the clutch slips
	Time     float64 // [s] to the corner
	Distance float64 // [m] to it
	Speed    float64 // [km/h] there
	Fastest  float64 // [km/h] on the way
	Slips    float64 // [s]
	Heat     float64 // [kJ] that the clutch takes
	PerFace  float64 // [J/cm2] of its friction faces; 0 when they are not known
	Limit    string  // for the longest time while it slips
	Others   []StartTry
}

// StartTry is the best start in one gear.
type StartTry struct {
	Gear int
	Held float64 // [rpm]
	Time float64 // [s]
	Heat float64 // [kJ]
}

// startGears are the gears that a start is tried in.
const startGears = 3

// ComputeStart is the best standing start of a build to its first corner. The error is ErrNoLap.
func ComputeStart(b *machine.Build, c *TorqueCurve) (*StartResult, error) {
	in := &inputs{build: b}
	m, _, err := lapOf(in, c, 1, nil)
	if err != nil {
		return nil, err
	}
	g, err := gearbox(in)
	if err != nil {
		return nil, err
	}
	speeds, torques, err := crankTorque(in, c, 1)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	sections := sectionsOf(in)
	var best *StartResult
	var others []StartTry
	for gear := range min(startGears, len(g.Gears)) {
		var inGear *StartResult
		for i, omega := range speeds {
			torque := torques[i]
			if g.Clutch > 0 {
				torque = math.Min(torque, g.Clutch/g.Primary)
			}
			force, until := g.InGear(gear, omega, torque)
			s, err := lap.StandingStart(m, sections, lap.Launch{Force: force, Until: until, Efficiency: g.Efficiency})
			if err != nil {
				return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
			}
			if inGear == nil || s.Time < inGear.Time-1e-6 {
				inGear = &StartResult{Gear: gear + 1, Held: omega / rpm, Time: s.Time, Distance: s.Distance, Speed: s.Speed * 3.6, Fastest: s.Fastest * 3.6, Slips: s.Slips, Heat: s.Heat / 1000, Limit: s.Limit.String()}
			}
		}
		others = append(others, StartTry{inGear.Gear, inGear.Held, inGear.Time, inGear.Heat})
		if best == nil || inGear.Time < best.Time {
			best = inGear
		}
	}
	best.Others = others
	if faces := in.count("driveline.clutch.friction_faces"); faces > 0 && len(in.missing) == 0 {
		outer, inner := in.num("driveline.clutch.outer_diameter"), in.num("driveline.clutch.inner_diameter")
		if area := math.Pi / 4 * (outer*outer - inner*inner) * float64(faces) * 1e4; area > 0 {
			best.PerFace = 1000 * best.Heat / area
		}
	}
	return best, nil
}

// SprocketPair is a choice of sprockets on this course.
type SprocketPair struct {
	Front, Rear int
	Final       float64 // [-]
	Lap         float64 // [s]
	Gain        float64 // [s] over the pair that is on
	Low, High   float64 // [s] of the gain; both 0 where it was not worked out
	Pitches     int     // of the chain, even, that puts the axle inside its adjuster
	Same        bool    // the chain that is on would do
	Top         float64 // [km/h] at the redline in top gear
}

// WrapLeast is how much chain there must be on the small sprocket [rad]; common practice.
const WrapLeast = 120 * math.Pi / 180

// Limits of the search for sprockets.
const (
	frontFrom, frontTo = 10, 18
	rearFrom, rearTo   = 28, 60
	pairsSure          = 3   // of which the range is worked out
	topUsed            = 1.4 // [-] redline in top gear over the fastest of the lap, at most: a taller pair would leave gears unused; common practice
)

// SearchSprockets rides a lap with every pair of sprockets that a chain fits, best first, and works out how sure the gain of the best few
// is. Counts of the present pair stand beside. The error is ErrNoLap or the context's.
func SearchSprockets(ctx context.Context, b *machine.Build, c *TorqueCurve) (list []SprocketPair, present SprocketPair, err error) {
	in := &inputs{build: b, delta: make([]float64, len(b.Project.Atoms))}
	front, rear := "driveline.sprockets.front", "driveline.sprockets.rear"
	present = SprocketPair{Front: in.count(front), Rear: in.count(rear), Pitches: in.count("driveline.chain.pitches")}
	shortest, longest, p := in.num("driveline.sprocket_centres.shortest"), in.num("driveline.sprocket_centres.longest"), pitch(in)
	if _, _, err := lapOf(in, c, 1, nil); err != nil {
		return nil, present, err
	}
	if len(in.missing) > 0 {
		return nil, present, fmt.Errorf("%w: %s", ErrNoLap, why(in.missing, nil))
	}
	set := func(delta []float64, path string, teeth int) {
		v := b.Values[path]
		delta[v.Terms[0]] = float64(teeth) - b.Project.Number(v)
	}
	radius, err := loadedRadius(in, rearWheel)
	if err != nil {
		return nil, present, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	fastest := 0.0 // [km/h] of the last lap
	ride := func(in *inputs, f, r int) (float64, error) {
		set(in.delta, front, f)
		set(in.delta, rear, r)
		m, course, err := lapOf(in, c, 1, nil)
		if err != nil {
			return 0, err
		}
		l, err := lap.Run(m, course)
		if err != nil {
			return 0, err
		}
		fastest = 3.6 * slices.Max(l.Speed)
		return l.Time, nil
	}
	if present.Lap, err = ride(in, present.Front, present.Rear); err != nil {
		return nil, present, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	top := func(f, r int) float64 {
		return 3.6 * driveline.RoadSpeed(in.num("engine.redline"), in.num("driveline.primary"), in.num(gearPath(in.build.Len("driveline.gears")-1)), float64(r)/float64(f), radius)
	}
	present.Final, present.Top, present.Same = float64(present.Rear)/float64(present.Front), top(present.Front, present.Rear), true
	for f := frontFrom; f <= frontTo; f++ {
		for r := rearFrom; r <= rearTo; r++ {
			if ctx.Err() != nil {
				return nil, present, ctx.Err()
			}
			if f == present.Front && r == present.Rear {
				continue
			}
			pair := SprocketPair{Front: f, Rear: r, Final: float64(r) / float64(f)}
			middle := (shortest + longest) / 2
			even := 2 * int(math.Round(driveline.ChainPitches(middle, p, f, r)/2))
			fits := func(pitches int) bool {
				centres, err := driveline.CentresForPitches(float64(pitches), p, f, r)
				return err == nil && centres >= shortest && centres <= longest && driveline.Wrap(centres, p, f, r) >= WrapLeast
			}
			switch {
			case fits(present.Pitches):
				pair.Pitches, pair.Same = present.Pitches, true
			case fits(even):
				pair.Pitches = even
			default:
				continue
			}
			if room := "driveline.sprockets.rear_room"; in.has(room) && driveline.TipRadius(p, r) > in.num(room) {
				continue
			}
			if room := "driveline.sprockets.front_room"; in.has(room) && driveline.TipRadius(p, f) > in.num(room) {
				continue
			}
			if pair.Lap, err = ride(in, f, r); err != nil {
				continue // a ratio on which it does not come round is no choice
			}
			pair.Gain, pair.Top = present.Lap-pair.Lap, top(f, r)
			if pair.Top > topUsed*fastest {
				continue
			}
			list = append(list, pair)
		}
	}
	slices.SortStableFunc(list, func(a, b SprocketPair) int { // what no watch tells apart: first what needs no other chain
		if d := cmp.Compare(math.Round(100*a.Lap), math.Round(100*b.Lap)); d != 0 {
			return d
		}
		if a.Same != b.Same {
			if a.Same {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Lap, b.Lap)
	})
	for i := range min(pairsSure, len(list)) {
		pair := &list[i]
		d := definition{"track.sprocket_gain", "Gain of a pair of sprockets", "s", "lap with the present pair less that with the other", "docs/theory/lap.md", "docs/theory/lap.md#lap", modelError{lapShare, 0, "as the lap"},
			func(in *inputs) (float64, error) {
				if ctx.Err() != nil {
					return 0, ctx.Err()
				}
				moved := &inputs{build: in.build, delta: slices.Clone(in.delta), trace: in.trace}
				if moved.delta == nil {
					moved.delta = make([]float64, len(b.Project.Atoms))
				}
				before, err1 := ride(moved, present.Front, present.Rear)
				after, err2 := ride(moved, pair.Front, pair.Rear)
				return before - after, errors.Join(err1, err2)
			}}
		e := &evaluator{build: b, delta: make([]float64, len(b.Project.Atoms))}
		if f := e.figure(d); f.State == figure.Ready {
			pair.Low, pair.High = f.Low-lapPrivate*present.Lap, f.High+lapPrivate*present.Lap
		}
	}
	return list, present, ctx.Err()
}
