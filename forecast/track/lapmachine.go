package track

import (
	"errors"
	"math"
	"slices"

	"shakedown/engine/gas"
	"shakedown/forecast/ranges"
	"shakedown/forecast/running"
	"shakedown/forecast/torque"
	"shakedown/lap"
	"shakedown/machine"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/suspension"
	"shakedown/vehicle/tyre"
)

// TheGears is what gears are called where usual ones stand in.
const TheGears = "the gears"

// What usually is, where the sheet leaves out what only the lap wants of it. Common practice, from memory: five gears
// of an off-road engine of a quarter litre; springs that swing at some 1.8 Hz with half the travel left.
var usualGears = []float64{2.85, 1.95, 1.45, 1.15, 0.95} // [-]

const (
	usualRide   = 1.8  // [Hz]
	usualTravel = 0.18 // [m]
	usualTakes  = 2.0  // [J/kg] of a landing
)

// gearbox of a build.
func gearbox(in *ranges.Inputs) (driveline.Gearbox, error) {
	radius, err := running.LoadedRadius(in, running.RearWheel)
	g := driveline.Gearbox{Primary: in.Num("driveline.primary"), Final: running.Final(in), Radius: radius, Efficiency: in.Num("driveline.efficiency"), Crank: in.Num("engine.flywheel_inertia"), Shift: shiftTime}
	for i := range in.Build.Len("driveline.gears") {
		g.Gears = append(g.Gears, in.Num(running.GearPath(i)))
	}
	if len(g.Gears) == 0 {
		g.Gears = usualGears
		in.Assume(TheGears)
	}
	for _, w := range []running.Wheel{running.FrontWheel, running.RearWheel} {
		if path := w.Path("wheels.%s.mass"); in.Has(path) {
			g.Wheels += turnsAlike * in.Num(path) * w.Count(in)
		}
	}
	if c := in.Apart(); c.Has("driveline.clutch.spring_force_total") {
		if holds := driveline.ClutchCapacity(c.Count("driveline.clutch.friction_faces"), c.Num("driveline.clutch.friction"), c.Num("driveline.clutch.spring_force_total"), c.Num("driveline.clutch.outer_diameter")/2, c.Num("driveline.clutch.inner_diameter")/2); len(c.Missing) == 0 {
			g.Clutch = holds
		}
	}
	return g, err
}

// crankTorque are the points of a curve that were computed, up to the redline: speeds [rad/s] and torques [N m].
func crankTorque(in *ranges.Inputs, c *torque.Curve) (speeds, torques []float64, err error) {
	redline := in.Num("engine.redline") / torque.RPM
	for _, p := range c.Points {
		if p.Converged && p.Speed <= redline {
			speeds, torques = append(speeds, p.Speed*torque.RPM), append(torques, math.Max(0, p.Torque))
		}
	}
	if at := c.TorqueAt(redline); len(speeds) > 0 && redline*torque.RPM > speeds[len(speeds)-1] && !math.IsNaN(at) {
		speeds, torques = append(speeds, redline*torque.RPM), append(torques, math.Max(0, at))
	}
	if len(speeds) < 3 && len(in.Missing) == 0 {
		return nil, nil, errors.New("the torque curve has too few speeds below the redline")
	}
	return speeds, torques, nil
}

// What turning an engine takes with its throttle shut, beyond its friction at full throttle [Pa]: a four-stroke pumps
// against the vacuum behind the slide, some 0.6 bar, less 0.2 bar of friction that the lower pressure saves. Source:
// Heywood, Internal Combustion Engine Fundamentals, ch. 13, from memory. A two-stroke has no stroke to pump with.
const shutPumps = 0.4e5

// shutTorque is the torque that it takes to turn the engine with its throttle shut [N m], at the speeds of a curve
// [rad/s].
func shutTorque(in *ranges.Inputs, c *torque.Curve) (speeds, torques []float64, err error) {
	swept, err := torque.SweptVolume(in)
	turns, pumps := 2.0, shutPumps
	if torque.IsTwoStroke(in) {
		turns, pumps = 1, 0
	}
	for _, p := range c.Points {
		if p.Converged {
			speeds, torques = append(speeds, p.Speed*torque.RPM), append(torques, (1000*p.Friction+pumps)*swept/(2*math.Pi*turns))
		}
	}
	return speeds, torques, err
}

func lapMachine(in *ranges.Inputs, c *torque.Curve) (*lap.Machine, error) {
	b := running.Laden(in)
	air, err := torque.Ambient(in)
	if err != nil {
		return nil, err
	}
	m := &lap.Machine{
		Mass: b.Mass, Wheelbase: running.Wheelbase(in), Ahead: b.X, Height: b.Z, Grip: in.Num("track.peak_grip"), Rolling: in.Num("track.rolling_resistance"), DragArea: in.Num("rider.drag_area"),
		Holds: in.Num("track.axle_holds"), SlipPeak: in.Num("track.slip_at_peak"), Fall: in.Num("track.slide_share"), Air: gas.MoistAirDensity(air.Pressure, air.Temperature, air.Humidity), Give: Compliance, Lean: leansTo * math.Pi / 180,
	}
	layout := running.LayoutIn(in)
	if layout != running.Bike {
		m.TrackRear, m.SolidAxle = in.Num("geometry.track_rear"), true
		m.HungOff = running.RiderMass(in) * in.Num("rider.hangs_off") / b.Mass
	}
	if layout == running.Quad {
		m.TrackFront = in.Num("geometry.track_front")
	}
	rolling, grip, err := againstFormer(in)
	if err != nil || len(in.Missing) > 0 {
		return nil, err
	}
	m.Rolling *= rolling
	m.Grip *= grip
	g, err := gearbox(in)
	if err != nil || len(in.Missing) > 0 {
		return nil, err
	}
	speeds, torques, err := crankTorque(in, c)
	if err != nil || len(in.Missing) > 0 {
		return nil, err
	}
	m.Thrust.Step = thrustStep
	m.Thrust.Force, m.Thrust.Mass, m.Thrust.Gear = g.Thrust(speeds, torques, b.Mass, thrustStep, thrustSteps)
	m.Thrust.Shift = g.Shift
	for k := range g.Gears {
		force, moved, top := g.Pull(speeds, torques, b.Mass, k, thrustStep, thrustSteps)
		m.Thrust.Each = append(m.Thrust.Each, lap.Pull{Force: force, Mass: moved, Top: top})
	}
	if speeds, torques, err = shutTorque(in, c); err != nil || len(in.Missing) > 0 {
		return nil, err
	}
	m.Thrust.Shut = g.Overrun(speeds, torques, m.Thrust.Gear, thrustStep)
	if m.BrakeFront, err = running.FrontWheel.BrakeForce(in, hand, "the front brake"); err != nil {
		return nil, err
	}
	if in.Has("brakes.rear.kind") {
		if m.BrakeRear, err = running.RearWheel.BrakeForce(in, foot, "the rear brake"); err != nil {
			return nil, err
		}
	}
	return m, springy(in, m)
}

// carcass is what the carcass of a light off-road tyre presses on the ground beside its air [Pa]; by judgement.
const carcass = 10e3

// soilUnder is the soil of the ground that the sheet names; nil for ground that does not give way, or of which nothing
// is published.
func soilUnder(in *ranges.Inputs) *tyre.Soil {
	if !in.Has("track.surface") {
		return nil
	}
	ground := machine.GroundFor(in.Text("track.surface"))
	if ground == nil {
		return nil
	}
	i := slices.IndexFunc(tyre.Soils, func(s tyre.Soil) bool { return s.Name == ground.Soil })
	if i < 0 {
		return nil
	}
	return &tyre.Soils[i]
}

// againstFormer is by how much other tyres, loads and pressures than those that the machine had change its rolling drag
// and its grip on soil [-]: the drag of the ruts, and what the soil under the tyres can be sheared by. 1 on ground
// without a soil, or where a wheel would sink too deep.
func againstFormer(in *ranges.Inputs) (rolling, grip float64, err error) {
	soil := soilUnder(in)
	if soil == nil {
		return 1, 1, nil
	}
	var drag, hold [2]float64 // now and before
	for _, w := range []running.Wheel{running.FrontWheel, running.RearWheel} {
		size, err := running.TyreSize(in, w)
		if err != nil || len(in.Missing) > 0 {
			return 1, 1, err
		}
		was, err := tyre.ParseSize(in.Build.Project.Base[w.Path("wheels.%s.tyre")].Text)
		if err != nil {
			return 1, 1, nil // nobody said what it had
		}
		load := w.WheelLoad(in) * chassis.Gravity
		pressed := pressures(in, w)
		for i, size := range []tyre.Size{size, was} {
			c, err := soil.Tyre(load, size.Width, size.Outside, pressed[i])
			if err != nil {
				return 1, 1, nil
			}
			drag[i], hold[i] = drag[i]+w.Count(in)*c.Drag, hold[i]+w.Count(in)*soil.ShearLimit(c.Area, load)
		}
	}
	if !(drag[1] > 0 && hold[1] > 0) {
		return 1, 1, nil
	}
	return drag[0] / drag[1], hold[0] / hold[1], nil
}

// pressures are what the tyres of one end press on the ground with when they flatten [Pa], now and as the machine was;
// 0 for both when one is not known.
func pressures(in *ranges.Inputs, w running.Wheel) [2]float64 {
	path := w.Path("wheels.%s.pressure")
	was, known := in.Build.Project.Base[path]
	if !known || !in.Has(path) {
		return [2]float64{}
	}
	before := 0.0
	for _, atom := range was.Terms {
		before += in.Atom(atom)
	}
	return [2]float64{in.Num(path) + carcass, before + carcass}
}

// springy puts what the suspension does into a lap's machine: how fast the body swings, travel, and what a landing may
// bring. Springs that are not known are usual ones.
func springy(all *ranges.Inputs, m *lap.Machine) error {
	in := all.Apart()
	err := sprung(in, m)
	if len(in.Missing) > 0 {
		m.Ride, m.Travel, m.Absorbs = usualRide, usualTravel, rigidAbsorbs+usualTakes
		all.Assume("springs and travel")
		return nil
	}
	return err
}

func sprung(in *ranges.Inputs, m *lap.Machine) error {
	m.Travel, m.Ride, m.Absorbs = math.Inf(1), math.Inf(1), rigidAbsorbs
	for _, w := range []running.Wheel{running.FrontWheel, running.RearWheel} {
		if in.Text(w.Path("suspension.%s.kind")) == "solid" {
			m.Travel, m.Ride = math.Min(m.Travel, rigidTravel), 0
			continue
		}
		s, err := w.Springs(in)
		if err != nil || len(in.Missing) > 0 {
			return err
		}
		load := w.SprungLoad(in, running.Laden(in))
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
