package forecast

import (
	"errors"
	"math"
	"slices"

	"shakedown/engine/gas"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/suspension"
	"shakedown/vehicle/tyre"
)

// What usually is, where the sheet leaves out what only the lap wants of it. Common practice, from memory: five gears of an off-road engine of a quarter
// litre; springs that swing at some 1.8 Hz with half the travel left.
var usualGears = []float64{2.85, 1.95, 1.45, 1.15, 0.95} // [-]

const (
	usualRide   = 1.8  // [Hz]
	usualTravel = 0.18 // [m]
	usualTakes  = 2.0  // [J/kg] of a landing
	locks       = 1e6  // [N] more than any tyre holds
)

// gearbox of a build.
func gearbox(in *inputs) (driveline.Gearbox, error) {
	radius, err := loadedRadius(in, rearWheel)
	g := driveline.Gearbox{Primary: in.num("driveline.primary"), Final: final(in), Radius: radius, Efficiency: in.num("driveline.efficiency"), Crank: in.num("engine.flywheel_inertia"), Shift: shiftTime}
	for i := range in.build.Len("driveline.gears") {
		g.Gears = append(g.Gears, in.num(gearPath(i)))
	}
	if len(g.Gears) == 0 {
		g.Gears = usualGears
		in.assume("the gears")
	}
	for _, w := range []wheel{frontWheel, rearWheel} {
		if path := w.path("wheels.%s.mass"); in.has(path) {
			g.Wheels += turnsAlike * in.num(path) * w.count(in)
		}
	}
	if c := in.apart(); c.has("driveline.clutch.spring_force_total") {
		if holds := driveline.ClutchCapacity(c.count("driveline.clutch.friction_faces"), c.num("driveline.clutch.friction"), c.num("driveline.clutch.spring_force_total"), c.num("driveline.clutch.outer_diameter")/2, c.num("driveline.clutch.inner_diameter")/2); len(c.missing) == 0 {
			g.Clutch = holds
		}
	}
	return g, err
}

// count is how many wheels an end has.
func (w wheel) count(in *inputs) float64 {
	if l := layoutIn(in); l == quad || l == threeWheeler && w == rearWheel {
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

// What turning an engine takes with its throttle shut, beyond its friction at full throttle [Pa]: a four-stroke pumps against the vacuum behind the slide, some
// 0.6 bar, less 0.2 bar of friction that the lower pressure saves. Source: Heywood, Internal Combustion Engine Fundamentals, ch. 13, from memory. A two-stroke
// has no stroke to pump with.
const shutPumps = 0.4e5

// shutTorque is the torque that it takes to turn the engine with its throttle shut [N m], at the speeds of a curve [rad/s].
func shutTorque(in *inputs, c *TorqueCurve) (speeds, torques []float64, err error) {
	swept, err := sweptVolume(in)
	turns, pumps := 2.0, shutPumps
	if isTwoStroke(in) {
		turns, pumps = 1, 0
	}
	for _, p := range c.Points {
		if p.Converged {
			speeds, torques = append(speeds, p.Speed*rpm), append(torques, (1000*p.Friction+pumps)*swept/(2*math.Pi*turns))
		}
	}
	return speeds, torques, err
}

func lapMachine(in *inputs, c *TorqueCurve, scale float64) (*lap.Machine, error) {
	b := laden(in)
	air, err := ambient(in)
	if err != nil {
		return nil, err
	}
	m := &lap.Machine{
		Mass: b.Mass, Wheelbase: wheelbase(in), Ahead: b.X, Height: b.Z, Grip: in.num("track.peak_grip"), Rolling: in.num("track.rolling_resistance"), DragArea: in.num("rider.drag_area"),
		Holds: in.num("track.axle_holds"), SlipPeak: in.num("track.slip_at_peak"), Fall: in.num("track.slide_share"), Air: gas.MoistAirDensity(air.pressure, air.temperature, air.humidity), Give: Compliance, Lean: leansTo * math.Pi / 180,
	}
	layout := layoutIn(in)
	if layout != bike {
		m.TrackRear, m.SolidAxle = in.num("geometry.track_rear"), true
		m.HungOff = riderMass(in) * in.num("rider.hangs_off") / b.Mass
	}
	if layout == quad {
		m.TrackFront = in.num("geometry.track_front")
	}
	rolling, grip, err := againstFormer(in)
	if err != nil || len(in.missing) > 0 {
		return nil, err
	}
	m.Rolling *= rolling
	m.Grip *= grip
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
	m.Thrust.Shift = g.Shift
	for k := range g.Gears {
		force, moved, top := g.Pull(speeds, torques, b.Mass, k, thrustStep, thrustSteps)
		m.Thrust.Each = append(m.Thrust.Each, lap.Pull{Force: force, Mass: moved, Top: top})
	}
	if speeds, torques, err = shutTorque(in, c); err != nil || len(in.missing) > 0 {
		return nil, err
	}
	m.Thrust.Shut = g.Overrun(speeds, torques, m.Thrust.Gear, thrustStep)
	if m.BrakeFront, err = frontWheel.brakeForce(in, hand, "the front brake"); err != nil {
		return nil, err
	}
	if in.has("brakes.rear.kind") {
		if m.BrakeRear, err = rearWheel.brakeForce(in, foot, "the rear brake"); err != nil {
			return nil, err
		}
	}
	return m, springy(in, m)
}

// carcass is what the carcass of a light off-road tyre presses on the ground beside its air [Pa]; by judgement.
const carcass = 10e3

// soilUnder is the soil of the ground that the sheet names; nil for ground that does not give way, or of which nothing is published.
func soilUnder(in *inputs) *tyre.Soil {
	if !in.has("track.surface") {
		return nil
	}
	ground := machine.GroundFor(in.text("track.surface"))
	if ground == nil {
		return nil
	}
	i := slices.IndexFunc(tyre.Soils, func(s tyre.Soil) bool { return s.Name == ground.Soil })
	if i < 0 {
		return nil
	}
	return &tyre.Soils[i]
}

// againstFormer is by how much other tyres, loads and pressures than those that the machine had change its rolling drag and its grip on
// soil [-]: the drag of the ruts, and what the soil under the tyres can be sheared by. 1 on ground without a soil, or where a wheel would
// sink too deep.
func againstFormer(in *inputs) (rolling, grip float64, err error) {
	soil := soilUnder(in)
	if soil == nil {
		return 1, 1, nil
	}
	var drag, hold [2]float64 // now and before
	for _, w := range []wheel{frontWheel, rearWheel} {
		size, err := tyreSize(in, w)
		if err != nil || len(in.missing) > 0 {
			return 1, 1, err
		}
		was, err := tyre.ParseSize(in.build.Project.Base[w.path("wheels.%s.tyre")].Text)
		if err != nil {
			return 1, 1, nil // nobody said what it had
		}
		load := w.wheelLoad(in) * chassis.Gravity
		pressed := w.pressures(in)
		for i, size := range []tyre.Size{size, was} {
			c, err := soil.Tyre(load, size.Width, size.Outside, pressed[i])
			if err != nil {
				return 1, 1, nil
			}
			drag[i], hold[i] = drag[i]+w.count(in)*c.Drag, hold[i]+w.count(in)*soil.ShearLimit(c.Area, load)
		}
	}
	if !(drag[1] > 0 && hold[1] > 0) {
		return 1, 1, nil
	}
	return drag[0] / drag[1], hold[0] / hold[1], nil
}

// pressures are what the tyres of one end press on the ground with when they flatten [Pa], now and as the machine was; 0 for both when
// one is not known.
func (w wheel) pressures(in *inputs) [2]float64 {
	path := w.path("wheels.%s.pressure")
	was, known := in.build.Project.Base[path]
	if !known || !in.has(path) {
		return [2]float64{}
	}
	before := 0.0
	for _, atom := range was.Terms {
		before += in.atom(atom)
	}
	return [2]float64{in.num(path) + carcass, before + carcass}
}

// springy puts what the suspension does into a lap's machine: how fast the body swings, travel, and what a landing may bring. Springs that
// are not known are usual ones.
func springy(all *inputs, m *lap.Machine) error {
	in := all.apart()
	err := sprung(in, m)
	if len(in.missing) > 0 {
		m.Ride, m.Travel, m.Absorbs = usualRide, usualTravel, rigidAbsorbs+usualTakes
		all.assume("springs and travel")
		return nil
	}
	return err
}

func sprung(in *inputs, m *lap.Machine) error {
	m.Travel, m.Ride, m.Absorbs = math.Inf(1), math.Inf(1), rigidAbsorbs
	for _, w := range []wheel{frontWheel, rearWheel} {
		if in.text(w.path("suspension.%s.kind")) == "solid" {
			m.Travel, m.Ride = math.Min(m.Travel, rigidTravel), 0
			continue
		}
		s, err := w.springs(in)
		if err != nil || len(in.missing) > 0 {
			return err
		}
		load := w.sprungLoad(in, laden(in))
		sag, err := s.Sag(load)
		if err != nil {
			return err
		}
		m.Travel = math.Min(m.Travel, s.Vertical(s.Full()))
		m.Ride = math.Min(m.Ride, suspension.Frequency(s.WheelRate(sag.Travel), load/chassis.Gravity))
		m.Absorbs += damped * suspension.Landing(s, sag.Travel) / m.Mass
	}
	return nil
}
