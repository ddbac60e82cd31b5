package forecast

import (
	"errors"
	"math"
	"strings"

	"shakedown/engine/gas"
	"shakedown/lap"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/suspension"
	"shakedown/vehicle/tyre"
)

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
