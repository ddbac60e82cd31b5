package torque

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"shakedown/engine"
	"shakedown/engine/gas"
	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
	"shakedown/forecast/result"
	"shakedown/internal/faults"
	"shakedown/machine"
)

// Point is one engine speed of a torque curve, in the units of the trade.
type Point struct {
	Speed     float64 // [rpm]
	Torque    float64 // [Nm] at the crank
	Power     float64 // [kW] at the crank
	Filling   float64 // [-] volumetric efficiency
	Residual  float64 // [-]
	Indicated float64 // [kPa] imep of compression and expansion
	Pumping   float64 // [kPa] pmep, below zero as a rule
	Friction  float64 // [kPa] fmep
	Fuel      float64 // [g/kWh] of brake work; 0 when there is none
	Exhaust   float64 // [K] out of the port
	Peak      float64 // [bar] of the cylinder
	Burn      float64 // [deg] of the crank, 10 to 90 %
	Heat      float64 // [-] share of the fuel's heat into the cylinder's walls
	Cycles    int
	Converged bool
	Why       string // it could not be computed
}

// Peak is a peak of the curve between the speeds computed or, when it has an End, only the largest of them.
type Peak struct {
	Speed float64 // [rpm]
	Value float64 // [Nm] or [kW]
	End   End
}

// End says where the largest of a sweep lies on one of its ends, so that it is no peak and nothing may be judged by its
// speed.
type End uint8

// Ends of what could be computed of a sweep.
const (
	Inside  End = iota
	Rising      // still, at the upper end
	Falling     // already, at the lower end
)

// Known says that it is a peak.
func (p Peak) Known() bool { return p.End == Inside && p.Value > 0 }

// Curve is the curve of one build.
type Curve struct {
	Points        []Point
	Torque, Power Peak
	From, To      float64 // [rpm] between which torque is above nine tenths of its peak
	Template      bool    // not computed: what an engine of its kind usually has
	Half          float64 // [-] half-width that holds a template's torque, as a share of it
}

// ErrNoCurve says that a curve cannot be computed, and why.
var ErrNoCurve = errors.New("no torque curve can be computed")

// Speeds of a curve.
const (
	curveSpeeds = 20
	curveFrom   = 0.28 // [-] of the redline
	curveTo     = 1.06
	slowest     = 1200.0 // [rpm]
)

// ComputeCurve is the torque curve of a build: full throttle, spark for best torque. Done is told how many speeds are
// ready. The error is ErrNoCurve, with what is missing, or the context's.
func ComputeCurve(ctx context.Context, b *machine.Build, done func(ready, total int)) (*Curve, error) {
	in := &ranges.Inputs{Build: b}
	spec, err := breathing(in)
	if err != nil {
		return nil, err
	}
	speeds, err := speedsOfCurve(in, curveSpeeds)
	if err != nil {
		return nil, err
	}
	points, failed, err := engine.Curve(ctx, spec, speeds, done)
	if err != nil {
		faults.Raise(err)
		if ctx.Err() != nil {
			return nil, err
		}
		return nil, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	if !slices.ContainsFunc(points, func(p engine.Point) bool { return p.Converged }) {
		return nil, fmt.Errorf("%w: %w", ErrNoCurve, failed[0])
	}
	return curveOf(points, failed), nil
}

// speedsOfCurve are n engine speeds [rad/s] over the range of a curve.
func speedsOfCurve(in *ranges.Inputs, n int) ([]float64, error) {
	redline := in.Num("engine.redline")
	from, to := math.Max(slowest*RPM, curveFrom*redline), curveTo*redline
	if !(to > 1.2*from) {
		return nil, fmt.Errorf("%w: a redline of %.0f rpm is below all speeds that are computed; look at the redline", ErrNoCurve, redline/RPM)
	}
	speeds := make([]float64, n)
	for i := range speeds {
		speeds[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	return speeds, nil
}

// RPM is one turn a minute [rad/s].
const RPM = math.Pi / 30

func curveOf(points []engine.Point, failed []error) *Curve {
	c := &Curve{}
	for i, p := range points {
		q := Point{
			Speed: p.Speed / RPM, Torque: p.Torque, Power: p.Power / 1000, Filling: p.Efficiency, Residual: p.Residual, Indicated: p.Indicated / 1000, Pumping: p.Pumping / 1000,
			Friction: p.Friction.Total() / 1000, Fuel: p.Fuel * 3.6e9, Exhaust: p.Exhaust, Peak: p.Peak / 1e5, Burn: engine.TenToNinety(p.Burn) * 180 / math.Pi, Heat: p.Heat, Cycles: p.Cycles, Converged: p.Converged,
		}
		if failed[i] != nil {
			q.Why = failed[i].Error()
		}
		c.Points = append(c.Points, q)
	}
	torque, power := engine.Peaks(points)
	c.Torque, c.Power = Peak{torque.Speed / RPM, torque.Torque, endOf(c.Points, torque.Speed/RPM)}, Peak{power.Speed / RPM, power.Power / 1000, endOf(c.Points, power.Speed/RPM)}
	c.From, c.To = span(c.Points, 0.9*c.Torque.Value, c.Torque.Speed)
	return c
}

// endOf says on which end of what could be computed the largest of a sweep lies, by its speed [rpm].
func endOf(points []Point, speed float64) End {
	i := slices.IndexFunc(points, func(p Point) bool { return p.Speed == speed })
	switch {
	case i < 0: // between two
		return Inside
	case i == len(points)-1 || !points[i+1].Converged:
		return Rising
	case i == 0 || !points[i-1].Converged:
		return Falling
	}
	return Inside
}

// span is between which speeds about a peak the torque stays above a level.
func span(points []Point, level, peak float64) (from, to float64) {
	from, to = peak, peak
	at := 0
	for i, p := range points {
		if math.Abs(p.Speed-peak) < math.Abs(points[at].Speed-peak) {
			at = i
		}
	}
	cross := func(a, b Point) float64 {
		return a.Speed + (b.Speed-a.Speed)*(a.Torque-level)/(a.Torque-b.Torque)
	}
	from = points[0].Speed
	for i := at; i > 0; i-- {
		if points[i-1].Torque < level {
			from = cross(points[i], points[i-1])
			break
		}
	}
	to = points[len(points)-1].Speed
	for i := at; i < len(points)-1; i++ {
		if points[i+1].Torque < level {
			to = cross(points[i], points[i+1])
			break
		}
	}
	return math.Min(from, peak), math.Max(to, peak)
}

// TorqueAt is the torque [Nm] at a speed [rpm], straight between the points; not a number outside them or beside one
// that could not be computed.
func (c *Curve) TorqueAt(speed float64) float64 {
	for i := 1; i < len(c.Points); i++ {
		if a, b := c.Points[i-1], c.Points[i]; speed >= a.Speed && speed <= b.Speed {
			if !a.Converged || !b.Converged {
				return math.NaN()
			}
			return a.Torque + (b.Torque-a.Torque)*(speed-a.Speed)/(b.Speed-a.Speed)
		}
	}
	return math.NaN()
}

// carburettorRoot is the root of one carburettor's share of the displacement in litres x a crank speed [rad/s] in rpm,
// in millimetres [m], by which the trade sizes carburettors.
func carburettorRoot(in *ranges.Inputs, speed float64) (float64, error) {
	swept, err := SweptVolume(in)
	litres := 1000 * swept / math.Max(1, in.Num("engine.intake.carburettor.count"))
	return 1e-3 * math.Sqrt(litres*speed/RPM), err
}

// Fuels by the name in the sheet.
func flameOf(f gas.Fuel) engine.FlameFuel {
	if f.Name == "methanol" || f.Name == "ethanol" {
		return engine.MethanolFlame
	}
	return engine.GasolineFlame
}

// breathing is a build as the engine room needs it.
func breathing(in *ranges.Inputs) (engine.Breathing, error) {
	b, mixed, err := unfilled(in)
	if err != nil {
		return b, err
	}
	if b.Charge, err = gas.NewCharge(mixed.fuel, mixed.lambda, mixed.vapour); err != nil {
		return b, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	return b, nil
}

// mixture is what the engine is filled with: of that gas.NewCharge makes its tables, which takes longer than all else
// of a breathing.
type mixture struct {
	fuel           gas.Fuel
	lambda, vapour float64 // [-]
}

// unfilled is breathing without the tables of the gases. Each cylinder has its share of carburettors, airbox and
// silencer.
func unfilled(in *ranges.Inputs) (engine.Breathing, mixture, error) {
	var m mixture
	if IsTwoStroke(in) {
		return engine.Breathing{}, m, fmt.Errorf("%w of a two-stroke yet; gearing, chassis, suspension, brakes, cost and dates are", ErrNoCurve)
	}
	air, err := Ambient(in)
	if err != nil {
		return engine.Breathing{}, m, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	n := max(1, in.Count("engine.cylinders"))
	each := 1 / float64(n)
	b := engine.Breathing{
		Cylinders: n, Bore: in.Num("engine.bore"), Crank: crank(in), Clearance: chamber(in),
		PortIn:  engine.Bore{Length: in.Num("engine.intake.port_length"), Diameter: in.Num("engine.intake.port_diameter")},
		PortOut: engine.Bore{Length: in.Num("engine.exhaust.port_length"), Diameter: in.Num("engine.exhaust.port_diameter")},
		Runner:  in.Num("engine.intake.runner_length"), Venturi: in.Num("engine.intake.carburettor.venturi"),
		Ambient: engine.Air{Pressure: air.Pressure, Temperature: air.Temperature},
		Liquid:  in.Text("engine.cooling") == "liquid", Fan: in.Yes("engine.fan"),
		PlainBearings: in.Has("engine.crank_bearings") && in.Text("engine.crank_bearings") == "plain",
	}
	if in.Has("engine.friction_factor") {
		b.FrictionFactor = in.Num("engine.friction_factor")
	}
	if in.Has("engine.head.valve_drive") {
		b.Train = trains[in.Text("engine.head.valve_drive")]
	}
	if in.Has("engine.intake.carburettor.count") { // each cylinder has its share of the area of all of them
		b.Venturi *= math.Sqrt(in.Num("engine.intake.carburettor.count") * each)
	}
	if in.Has("engine.intake.airbox_volume") {
		b.Airbox = in.Num("engine.intake.airbox_volume") * each
	}
	if in.Has("engine.intake.filter_area") {
		b.FilterArea = in.Num("engine.intake.filter_area") * each
	}
	for i := range in.Build.Len("engine.exhaust.header") {
		b.Header = append(b.Header, engine.Bore{Length: in.Num(ranges.Entry("engine.exhaust.header", i, "length")), Diameter: in.Num(ranges.Entry("engine.exhaust.header", i, "bore"))})
	}
	if in.Has("engine.exhaust.silencer.volume") {
		b.Silencer = in.Num("engine.exhaust.silencer.volume") * each
		b.Outlet = in.Num("engine.exhaust.silencer.outlet_bore") * math.Sqrt(each)
		if in.Has("engine.exhaust.silencer.chambers") {
			if b.Chambers = in.Count("engine.exhaust.silencer.chambers"); b.Chambers > 1 {
				b.Passage = in.Num("engine.exhaust.silencer.passage_bore") * math.Sqrt(each)
			}
		}
		if in.Has("engine.exhaust.silencer.core_length") || in.Has("engine.exhaust.silencer.core_bore") {
			b.Core = engine.Bore{Length: in.Num("engine.exhaust.silencer.core_length"), Diameter: in.Num("engine.exhaust.silencer.core_bore") * math.Sqrt(each)}
			// A pipe of a share of the area has only the root of that share of the wall: fewer of it are holes.
			b.CoreOpen = in.Num("engine.exhaust.silencer.core_open") * math.Sqrt(each)
		}
	}
	var errs [3]error
	if in.Has("engine.leak_down.lost") {
		b.LeakRead = true
		b.Leak, errs[2] = leak(in, air)
	}
	b.Intake, errs[0] = Intake.valves(in)
	b.Exhaust, errs[1] = Exhaust.valves(in)
	b.Exhaust.Centre = -math.Abs(b.Exhaust.Centre)
	m.lambda, m.fuel = in.Num("engine.fuel.lambda"), gas.FuelNamed(in.Text("engine.fuel.name"))
	if len(in.Missing) > 0 {
		return b, m, fmt.Errorf("%w: it %s", ErrNoCurve, ranges.Why(in.Missing, nil))
	}
	if err := errors.Join(errs[:]...); err != nil {
		return b, m, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	b.Flame = flameOf(m.fuel)
	m.vapour = gas.VapourShare(air.Pressure, air.Temperature, air.Humidity)
	if err := gas.Burns(m.lambda, m.vapour); err != nil {
		return b, m, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	if err := b.ValidateMeasures(); err != nil {
		return b, m, fmt.Errorf("%w: %w", ErrNoCurve, err)
	}
	return b, m, nil
}

// FrictionFactor is the friction of an engine that a motor turns, plug out, over the sum of its parts [-], from the
// torque at the crank [Nm] and its speed [rad/s]. Without compression no gas presses the rings.
func FrictionFactor(in *ranges.Inputs, turning, omega float64) (float64, error) {
	b, _, err := unfilled(in)
	if err != nil {
		return 0, err
	}
	f := b.Rubbing().At(omega)
	read := 4 * math.Pi * turning / (b.Swept() * float64(b.Cylinders))
	return read / (f.Total() - f.GasLoad), nil
}

// trains are the kinds of valve train by the words of the sheet.
var trains = map[string]engine.Train{
	"rocker": engine.Rocker, "finger": engine.Finger, "bucket": engine.Bucket, "two cams and buckets": engine.TwoCamsBuckets, "two cams and fingers": engine.TwoCamsFingers, "pushrod": engine.Pushrod,
}

// valves are the valves of a side with their lobe and the readings of the flow bench.
func (v Valve) valves(in *ranges.Inputs) (engine.Valves, error) {
	l, _, err := v.Lobe(in)
	if err != nil {
		return engine.Valves{}, err
	}
	list := v.Path("engine.head.flow.%s")
	w := engine.Valves{
		Count: in.Count(v.Path("engine.head.%s_valve.count")), Head: in.Num(v.Path("engine.head.%s_valve.head")), Lobe: l, Centre: v.centre(in), Lash: in.Num(v.Path("engine.head.%s_valve.lash")),
	}
	for i := range in.Build.Len(list) {
		cd, err := v.flowCoefficient(in, list, i)
		if err != nil {
			return w, err
		}
		w.Flow = append(w.Flow, valvetrain.FlowPoint{Lift: in.Num(ranges.Entry(list, i, "lift")), Coefficient: cd})
	}
	if in.Build.Len(list) == 0 {
		in.Miss(ranges.Entry(list, 0, "cd"))
	}
	return w, nil
}

// curveModel changes when the model of the torque curve does, so that what was kept of an older one is not used.
const curveModel = "5"

// CurveKey names all that a build's torque curve follows from: what the engine room is given, and the model. Builds
// with the same key have the same curve, whatever else differs; one that has none has the key of the reason.
func CurveKey(b *machine.Build) string {
	in := &ranges.Inputs{Build: b}
	spec, mixed, err := unfilled(in)
	if err != nil {
		return result.Key("no torque curve", curveModel, err.Error())
	}
	speeds, err := speedsOfCurve(in, curveSpeeds)
	if err != nil {
		return result.Key("no torque curve", curveModel, err.Error())
	}
	return result.Key("torque curve", curveModel, spec, mixed, speeds)
}

// CurveTypical is how many of the inputs that a build's torque curve follows from are typical values, and how many
// there are.
func CurveTypical(b *machine.Build) (typical, all int) {
	in := &ranges.Inputs{Build: b, Trace: &ranges.Trace{}}
	_, _, _ = unfilled(in)
	for _, path := range in.Trace.Paths {
		if b.IsTypical(path) {
			typical++
		}
	}
	return typical, len(in.Trace.Paths)
}

// CanCurve says why a build has no torque curve; nil when it has.
func CanCurve(b *machine.Build) error {
	in := &ranges.Inputs{Build: b}
	if _, _, err := unfilled(in); err != nil {
		return err
	}
	_, err := speedsOfCurve(in, curveSpeeds)
	return err
}

// SplitTorque is the change of torque [Nm] from one point to another of the same speed and what it is made of: the
// whole, the displacement, the filling, what each filling gives in the cylinder (compression, burning, heat), pumping
// and friction. The parts add up to the whole: torque is displacement x (filling x yield + pumping - friction)/4 pi,
// and of a product's change each factor has its own at the mean of the other.
func SplitTorque(from, to Point) [6]float64 {
	size := func(p Point) float64 { // [Nm/kPa] torque over brake mean effective pressure
		return p.Torque / (p.Indicated + p.Pumping - p.Friction)
	}
	a, b := size(from), size(to)
	brake := (from.Indicated + from.Pumping - from.Friction + to.Indicated + to.Pumping - to.Friction) / 2
	mean := (a + b) / 2
	yieldFrom, yieldTo := from.Indicated/from.Filling, to.Indicated/to.Filling
	return [6]float64{
		to.Torque - from.Torque, (b - a) * brake, mean * (to.Filling - from.Filling) * (yieldFrom + yieldTo) / 2,
		mean * (yieldTo - yieldFrom) * (from.Filling + to.Filling) / 2, mean * (to.Pumping - from.Pumping), -mean * (to.Friction - from.Friction),
	}
}

// MeanTorque is the mean torque [Nm] between two speeds [rpm], as far as the curve reaches there; not a number when it
// holds less than half of them.
func (c *Curve) MeanTorque(from, to float64) float64 {
	const steps = 60
	sum, n := 0.0, 0
	for i := range steps {
		if t := c.TorqueAt(from + (to-from)*(float64(i)+0.5)/steps); !math.IsNaN(t) {
			sum += t
			n++
		}
	}
	if 2*n < steps {
		return math.NaN()
	}
	return sum / float64(n)
}

// Same says that two curves are the same at every speed.
func (c *Curve) Same(other *Curve) bool {
	if c == nil || other == nil {
		return c == other
	}
	return slices.EqualFunc(c.Points, other.Points, func(a, b Point) bool { return a.Speed == b.Speed && a.Torque == b.Torque })
}

// FuelFlow is what the engine burns [g/s] at a speed [rpm] and a power at the crank [kW], below zero where it holds the
// machine back; swept is the displacement [m3], strokes the turns of the crank to a cycle. With the throttle part shut
// the fuel goes with the work of the gases, friction and pumping included, down to what the engine idles on: that of
// the slowest speed without power. Flow, power and losses go straight between the points of the curve that burn
// something for their power, and beyond them they stay. 0 where no point does.
func (c *Curve) FuelFlow(speed, power, swept, strokes float64) float64 {
	var slowest, below, above *Point
	for i := range c.Points {
		p := &c.Points[i]
		if !p.Converged || p.Fuel <= 0 || p.Power <= 0 {
			continue
		}
		if slowest == nil {
			slowest, below = p, p
		}
		if p.Speed <= speed {
			below = p
		}
		if p.Speed >= speed && above == nil {
			above = p
		}
	}
	if slowest == nil {
		return 0
	}
	if above == nil {
		above = below
	}
	full := func(p *Point) (flow, most, lost float64) { // [g/s] [kW] [kW]
		return p.Fuel * p.Power / 3600, p.Power, (p.Friction + math.Max(0, -p.Pumping)) * swept * p.Speed / 60 / strokes
	}
	flow, most, lost := full(slowest)
	idles := flow * lost / (most + lost)
	flow, most, lost = full(below)
	if above.Speed > below.Speed {
		at := (speed - below.Speed) / (above.Speed - below.Speed)
		flowAbove, mostAbove, lostAbove := full(above)
		flow, most, lost = flow+at*(flowAbove-flow), most+at*(mostAbove-most), lost+at*(lostAbove-lost)
	}
	return math.Max(idles, flow*(math.Min(power, most)+lost)/(most+lost))
}
