package torque

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"shakedown/engine/gas"
	"shakedown/engine/valvetrain"
	"shakedown/forecast/ranges"
)

const valveTheory = "docs/theory/valvetrain.md#"

// Valve names the inputs of one side of the head.
type Valve string

// The sides.
const (
	Intake  Valve = "intake"
	Exhaust Valve = "exhaust"
)

// timingError is by how much the cam may stand wrong when the clearances are judged.
const timingError = 2 * math.Pi / 180

var valvetrainFigures = slices.Concat(
	[]ranges.Definition{Intake.pistonClearance(), Exhaust.pistonClearance(), Intake.pistonClearanceMistimed(), Exhaust.pistonClearanceMistimed()},
	[]ranges.Definition{Intake.floatSpeed(), Exhaust.floatSpeed()},
	[]ranges.Definition{Intake.noseStress(), Exhaust.noseStress(), Intake.noseStressSlow(), Exhaust.noseStressSlow()},
	[]ranges.Definition{valveGap, Intake.lobeTurns(), Exhaust.lobeTurns()},
	[]ranges.Definition{Intake.coilBind(), Exhaust.coilBind(), Intake.retainer(), Exhaust.retainer()},
)

func (v Valve) title(text string) string { return fmt.Sprintf("%s, %s", text, string(v)) }

// Path fills the side into an input path with one %s.
func (v Valve) Path(format string) string { return ranges.Filled(format, string(v)) }

// Lobe is the lift law of the valve and how long it is open at the checking lift [rad of the crank].
func (v Valve) Lobe(in *ranges.Inputs) (valvetrain.Lobe, float64, error) {
	open := valvetrain.Duration(v.events(in))
	lift := in.Num(v.Path("engine.cam.%s.lift"))
	if table := v.Path("engine.cam.%s.table"); in.Build.Len(table) > 0 {
		n := in.Build.Len(table)
		angles, lifts := make([]float64, n), make([]float64, n)
		for i := range n {
			angles[i], lifts[i] = in.Num(ranges.Entry(table, i, "angle")), in.Num(ranges.Entry(table, i, "lift"))
		}
		l, err := valvetrain.LobeFromTable(angles, lifts)
		return l, open, err
	}
	l, err := valvetrain.LobeThroughEvents(lift, in.Num("engine.cam.checking_lift"), open, 1/in.Num("engine.cam.lobe_fullness"))
	return l, open, err
}

// meanCoefficient is the mean flow coefficient of the open valve on its head area.
func (v Valve) meanCoefficient(in *ranges.Inputs, l valvetrain.Lobe, open float64) (float64, error) {
	list := v.Path("engine.head.flow.%s")
	points := make([]valvetrain.FlowPoint, in.Build.Len(list))
	for i := range points {
		cd, err := v.flowCoefficient(in, list, i)
		if err != nil {
			return 0, err
		}
		points[i] = valvetrain.FlowPoint{Lift: in.Num(ranges.Entry(list, i, "lift")), Coefficient: cd}
	}
	return valvetrain.MeanFlowCoefficient(l, open, in.Num(v.Path("engine.head.%s_valve.head")), points)
}

// events are when the valve opens before its dead centre and closes after the other, at the checking lift [rad]: as
// given, later by what the cam is late.
func (v Valve) events(in *ranges.Inputs) (opens, closes float64) {
	opens, closes = in.Num(v.Path("engine.cam.%s.opens")), in.Num(v.Path("engine.cam.%s.closes"))
	if in.Has("engine.cam.late") {
		late := in.Num("engine.cam.late")
		opens, closes = opens-late, closes+late
	}
	return opens, closes
}

// centre is the lobe centre, crank angle after top dead centre of the overlap.
func (v Valve) centre(in *ranges.Inputs) float64 {
	opens, closes := v.events(in)
	if v == Intake {
		return valvetrain.IntakeCentre(opens, closes)
	}
	return valvetrain.ExhaustCentre(opens, closes)
}

// towardsPiston is the sign of a timing error that brings the valve nearer to the piston: an intake cam that stands
// early, an exhaust cam that stands late.
func (v Valve) towardsPiston() float64 {
	if v == Intake {
		return -1
	}
	return 1
}

// least is the least clearance between valve and piston with the cam off by so much [rad of the crank].
func (v Valve) least(in *ranges.Inputs, off float64) (float64, error) {
	l, _, err := v.Lobe(in)
	if err != nil {
		return 0, err
	}
	c := crank(in)
	if err := c.Validate(); err != nil {
		return 0, err
	}
	pair := valvetrain.PistonValve{
		Given: in.Num(v.Path("engine.head.piston_to_valve.%s")), HalfIncluded: in.Num("engine.head.included_valve_angle") / 2,
		Lash: in.Num(v.Path("engine.head.%s_valve.lash")), Lobe: l, Centre: v.centre(in) + off,
	}
	clearance, _ := pair.Least(c.Drop)
	return clearance, nil
}

const clearanceFormula = "least over +-60 deg of top dead centre of given + (piston drop - (lift - lash) cos)/cos, cos of half the included valve angle"

func (v Valve) pistonClearance() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.piston_to_valve.%s"), FourStroke: true, Title: v.title("Least piston-to-valve clearance"), Unit: "mm", Formula: clearanceFormula, Source: "slider-crank (" + Heywood + " section 2.2) and the lobe law", Theory: valveTheory + "piston-to-valve-clearance", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return v.least(in, 0) }}
}

func (v Valve) pistonClearanceMistimed() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.piston_to_valve_mistimed.%s"), FourStroke: true, Detail: true, Title: v.title("Least piston-to-valve clearance, cam 2 deg off"), Unit: "mm", Formula: clearanceFormula + ", the cam 2 deg towards the piston", Source: "slider-crank (" + Heywood + " section 2.2) and the lobe law", Theory: valveTheory + "piston-to-valve-clearance", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return v.least(in, v.towardsPiston()*timingError) }}
}

func (v Valve) floatSpeed() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.valve_float.%s"), FourStroke: true, Title: v.title("Valve float speed"), Unit: "rpm", Formula: "lowest crank speed at which seat load + rate x lift = moving mass x deceleration", Source: "force balance on a rigid valve train; Norton, Design of Machinery", Theory: valveTheory + "valve-float", Model: rigidTrain,
		Compute: func(in *ranges.Inputs) (float64, error) {
			l, _, err := v.Lobe(in)
			if err != nil {
				return 0, err
			}
			speed, _, err := valvetrain.FloatSpeed(l, in.Num(v.Path("engine.valve_train.%s.moving_mass")), in.Num(v.Path("engine.valve_train.%s.spring_rate")), in.Num(v.Path("engine.valve_train.%s.seat_load")))
			return speed, err
		}}
}

// stressAt is the contact stress between lobe nose and follower at a crank speed.
func (v Valve) stressAt(in *ranges.Inputs, omega float64) (float64, error) {
	l, _, err := v.Lobe(in)
	if err != nil {
		return 0, err
	}
	lift, curvature, ratio := l.Lift(0), l.Curvature(0), in.Num("engine.cam.rocker_ratio")
	const crankToCam = 4 // the cam turns at half speed: second derivatives by cam angle are four times as large
	follower := in.Num("engine.cam.follower.radius")
	nose, err := valvetrain.NoseRadius(in.Num("engine.cam.base_circle_radius"), lift/ratio, crankToCam*curvature/ratio, follower)
	if err != nil {
		return 0, err
	}
	surface, ok := valvetrain.SurfaceNamed(in.Text("engine.cam.follower.surface"))
	if !ok {
		return 0, fmt.Errorf("no elastic constants for a follower of %q", in.Text("engine.cam.follower.surface"))
	}
	force := valvetrain.NoseForce(in.Num(v.Path("engine.valve_train.%s.seat_load")), in.Num(v.Path("engine.valve_train.%s.spring_rate")), lift, in.Num(v.Path("engine.valve_train.%s.moving_mass")), omega, curvature, ratio)
	reduced := valvetrain.ReducedModulus(surface.Modulus, surface.Poisson, valvetrain.SteelModulus, valvetrain.SteelPoisson)
	return valvetrain.LineContact{Force: force, Length: in.Num("engine.cam.lobe_width"), R1: nose, R2: follower, Reduced: reduced}.Peak(), nil
}

const stressFormula = "Hertz line contact: p0 = sqrt(F E* / (pi L R)), 1/R = 1/nose radius + 1/follower radius; F = rocker ratio x (spring - inertia)"

func (v Valve) noseStress() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.nose_stress.%s"), FourStroke: true, Detail: true, Title: v.title("Contact stress at the lobe nose, redline"), Unit: "MPa", Formula: stressFormula, Source: "Johnson, Contact Mechanics, ch. 4; Norton, Design of Machinery (cam curvature)", Theory: valveTheory + "contact-stress", Model: hertzian,
		Compute: func(in *ranges.Inputs) (float64, error) { return v.stressAt(in, in.Num("engine.redline")) }}
}

func (v Valve) noseStressSlow() ranges.Definition {
	return ranges.Definition{ID: v.Path("engine.nose_stress_slow.%s"), FourStroke: true, Detail: true, Title: v.title("Contact stress at the lobe nose, turned slowly"), Unit: "MPa", Formula: stressFormula + ", without inertia", Source: "Johnson, Contact Mechanics, ch. 4; Norton, Design of Machinery (cam curvature)", Theory: valveTheory + "contact-stress", Model: hertzian,
		Compute: func(in *ranges.Inputs) (float64, error) { return v.stressAt(in, 0) }}
}

// valveGap is the least gap between the two heads of a cylinder over the overlap.
var valveGap = ranges.Definition{ID: "engine.valve_to_valve", FourStroke: true, Only: ranges.Given("engine.head.valve_gap"), Detail: true, Title: "Least gap between intake and exhaust valve", Unit: "mm", Formula: "gap shut, closer by (sum of lifts) sin, apart by (difference of lifts) cos, least over +-60 deg of top dead centre", Source: "plane geometry and the lobe law", Theory: valveTheory + "valve-to-valve", Model: ranges.Definitional,
	Compute: func(in *ranges.Inputs) (float64, error) {
		inlet, _, err1 := Intake.Lobe(in)
		outlet, _, err2 := Exhaust.Lobe(in)
		if err := errors.Join(err1, err2); err != nil {
			return 0, err
		}
		return valvetrain.ValvePair{
			Gap: in.Num("engine.head.valve_gap"), HalfIncluded: in.Num("engine.head.included_valve_angle") / 2, Intake: inlet, Exhaust: outlet,
			IntakeCentre: Intake.centre(in), ExhaustCentre: Exhaust.centre(in), IntakeLash: in.Num("engine.head.intake_valve.lash"), ExhaustLash: in.Num("engine.head.exhaust_valve.lash"),
		}.Least(), nil
	}}

func (v Valve) coilBind() ranges.Definition {
	return v.left("engine.coil_bind_left.%s", "Left to coil bind at full lift", "engine.valve_train.%s.coil_bind_lift", "coil bind lift - lift")
}

func (v Valve) retainer() ranges.Definition {
	return v.left("engine.retainer_left.%s", "Left between retainer and seal at full lift", "engine.valve_train.%s.retainer_to_seal", "retainer to seal - lift")
}

func (v Valve) left(id, title, from, formula string) ranges.Definition {
	return ranges.Definition{ID: v.Path(id), FourStroke: true, Detail: true, Title: v.title(title), Unit: "mm", Formula: formula, Source: DefinitionOnly, Theory: valveTheory + "lift-left", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return in.Num(v.Path(from)) - in.Num(v.Path("engine.cam.%s.lift")), nil
		}}
}

// FollowerLimit is the contact stress that a follower surface stands.
type FollowerLimit struct {
	Surface   string
	Low, High float64 // [Pa] stands it with care from Low; not above High
	Source    string
}

// FollowerLimits lists the surfaces by what they stand, weakest first.
func FollowerLimits() []FollowerLimit {
	var list []FollowerLimit
	for _, s := range valvetrain.Surfaces() {
		list = append(list, FollowerLimit{s.Name, s.Low, s.High, s.Source})
	}
	return list
}

// flowCoefficient is a reading of the flow bench as a discharge coefficient on the curtain area: given as such, or as
// flow at a pressure difference.
func (v Valve) flowCoefficient(in *ranges.Inputs, list string, i int) (float64, error) {
	if !in.Has(ranges.Entry(list, i, "cfm")) {
		return in.Num(ranges.Entry(list, i, "cd")), nil
	}
	air, err := Ambient(in)
	if err != nil {
		return 0, err
	}
	flow, across, lift := in.Num(ranges.Entry(list, i, "cfm")), in.Num(ranges.Entry(list, i, "inches_water")), in.Num(ranges.Entry(list, i, "lift"))
	head, count := in.Num(v.Path("engine.head.%s_valve.head")), in.Num(v.Path("engine.head.%s_valve.count"))
	if len(in.Missing) > 0 {
		return 0, nil
	}
	coefficient := valvetrain.BenchCoefficient(flow/count, across, gas.MoistAirDensity(air.Pressure, air.Temperature, air.Humidity), head, lift)
	if !(coefficient > 0) || coefficient > mostCoefficient || math.IsInf(coefficient, 0) {
		return 0, fmt.Errorf("the bench's reading %d of the %s gives a coefficient of %.2f; look at cfm, inches of water, head and lift", i+1, string(v), coefficient)
	}
	return coefficient, nil
}

// mostCoefficient is the largest discharge coefficient on the curtain area that a port can have with a little slack for
// readings; 1 would be a flow without loss.
const mostCoefficient = 1.05

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	rigidTrain = ranges.ModelError{Share: 0.08, Private: 0.03, Note: "rigid valve train without spring surge: reads high"}
	hertzian   = ranges.ModelError{Share: 0.10, Private: 0.03, Note: "smooth, aligned line contact without oil film"}
)
