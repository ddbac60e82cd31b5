package forecast

import (
	"errors"
	"fmt"
	"math"

	"shakedown/engine/gas"
	"shakedown/engine/valvetrain"
)

const valveTheory = "docs/theory/valvetrain.md#"

// valve names the inputs of one side of the head.
type valve string

const (
	intake  valve = "intake"
	exhaust valve = "exhaust"
)

// timingError is by how much the cam may stand wrong when the clearances are judged.
const timingError = 2 * math.Pi / 180

var valvetrainFigures = concat(
	[]definition{intake.pistonClearance(), exhaust.pistonClearance(), intake.pistonClearanceMistimed(), exhaust.pistonClearanceMistimed()},
	[]definition{intake.floatSpeed(), exhaust.floatSpeed()},
	[]definition{intake.noseStress(), exhaust.noseStress(), intake.noseStressSlow(), exhaust.noseStressSlow()},
	[]definition{valveGap, intake.lobeTurns(), exhaust.lobeTurns()},
	[]definition{intake.coilBind(), exhaust.coilBind(), intake.retainer(), exhaust.retainer()},
)

func (v valve) title(text string) string { return fmt.Sprintf("%s, %s", text, string(v)) }

// path fills the side into an input path with one %s.
func (v valve) path(format string) string { return filled(format, string(v)) }

// lobe is the lift law of the valve and how long it is open at the checking lift [rad of the crank].
func (v valve) lobe(in *inputs) (valvetrain.Lobe, float64, error) {
	open := valvetrain.Duration(in.num(v.path("engine.cam.%s.opens")), in.num(v.path("engine.cam.%s.closes")))
	lift := in.num(v.path("engine.cam.%s.lift"))
	if table := v.path("engine.cam.%s.table"); in.build.Len(table) > 0 {
		n := in.build.Len(table)
		angles, lifts := make([]float64, n), make([]float64, n)
		for i := range n {
			angles[i], lifts[i] = in.num(entry(table, i, "angle")), in.num(entry(table, i, "lift"))
		}
		l, err := valvetrain.LobeFromTable(angles, lifts)
		return l, open, err
	}
	l, err := valvetrain.LobeThroughEvents(lift, in.num("engine.cam.checking_lift"), open, 1/in.num("engine.cam.lobe_fullness"))
	return l, open, err
}

// meanCoefficient is the mean flow coefficient of the open valve on its head area.
func (v valve) meanCoefficient(in *inputs, l valvetrain.Lobe, open float64) (float64, error) {
	list := v.path("engine.head.flow.%s")
	points := make([]valvetrain.FlowPoint, in.build.Len(list))
	for i := range points {
		cd, err := v.flowCoefficient(in, list, i)
		if err != nil {
			return 0, err
		}
		points[i] = valvetrain.FlowPoint{Lift: in.num(entry(list, i, "lift")), Coefficient: cd}
	}
	return valvetrain.MeanFlowCoefficient(l, open, in.num(v.path("engine.head.%s_valve.head")), points)
}

// centre is the lobe centre, crank angle after top dead centre of the overlap.
func (v valve) centre(in *inputs) float64 {
	opens, closes := in.num(v.path("engine.cam.%s.opens")), in.num(v.path("engine.cam.%s.closes"))
	if v == intake {
		return valvetrain.IntakeCentre(opens, closes)
	}
	return valvetrain.ExhaustCentre(opens, closes)
}

// towardsPiston is the sign of a timing error that brings the valve nearer to the piston: an intake cam that stands
// early, an exhaust cam that stands late.
func (v valve) towardsPiston() float64 {
	if v == intake {
		return -1
	}
	return 1
}

// least is the least clearance between valve and piston with the cam off by so much [rad of the crank].
func (v valve) least(in *inputs, off float64) (float64, error) {
	l, _, err := v.lobe(in)
	if err != nil {
		return 0, err
	}
	c := crank(in)
	if err := c.Validate(); err != nil {
		return 0, err
	}
	pair := valvetrain.PistonValve{
		Given: in.num(v.path("engine.head.piston_to_valve.%s")), HalfIncluded: in.num("engine.head.included_valve_angle") / 2,
		Lash: in.num(v.path("engine.head.%s_valve.lash")), Lobe: l, Centre: v.centre(in) + off,
	}
	clearance, _ := pair.Least(c.Drop)
	return clearance, nil
}

const clearanceFormula = "least over +-60 deg of top dead centre of given + (piston drop - (lift - lash) cos)/cos, cos of half the included valve angle"

func (v valve) pistonClearance() definition {
	return definition{id: v.path("engine.piston_to_valve.%s"), fourStroke: true, title: v.title("Least piston-to-valve clearance"), unit: "mm", formula: clearanceFormula, source: "slider-crank (" + heywood + " section 2.2) and the lobe law", theory: valveTheory + "piston-to-valve-clearance", model: definitional,
		compute: func(in *inputs) (float64, error) { return v.least(in, 0) }}
}

func (v valve) pistonClearanceMistimed() definition {
	return definition{id: v.path("engine.piston_to_valve_mistimed.%s"), fourStroke: true, detail: true, title: v.title("Least piston-to-valve clearance, cam 2 deg off"), unit: "mm", formula: clearanceFormula + ", the cam 2 deg towards the piston", source: "slider-crank (" + heywood + " section 2.2) and the lobe law", theory: valveTheory + "piston-to-valve-clearance", model: definitional,
		compute: func(in *inputs) (float64, error) { return v.least(in, v.towardsPiston()*timingError) }}
}

func (v valve) floatSpeed() definition {
	return definition{id: v.path("engine.valve_float.%s"), fourStroke: true, title: v.title("Valve float speed"), unit: "rpm", formula: "lowest crank speed at which seat load + rate x lift = moving mass x deceleration", source: "force balance on a rigid valve train; Norton, Design of Machinery", theory: valveTheory + "valve-float", model: rigidTrain,
		compute: func(in *inputs) (float64, error) {
			l, _, err := v.lobe(in)
			if err != nil {
				return 0, err
			}
			speed, _, err := valvetrain.FloatSpeed(l, in.num(v.path("engine.valve_train.%s.moving_mass")), in.num(v.path("engine.valve_train.%s.spring_rate")), in.num(v.path("engine.valve_train.%s.seat_load")))
			return speed, err
		}}
}

// stressAt is the contact stress between lobe nose and follower at a crank speed.
func (v valve) stressAt(in *inputs, omega float64) (float64, error) {
	l, _, err := v.lobe(in)
	if err != nil {
		return 0, err
	}
	lift, curvature, ratio := l.Lift(0), l.Curvature(0), in.num("engine.cam.rocker_ratio")
	const crankToCam = 4 // the cam turns at half speed: second derivatives by cam angle are four times as large
	follower := in.num("engine.cam.follower.radius")
	nose, err := valvetrain.NoseRadius(in.num("engine.cam.base_circle_radius"), lift/ratio, crankToCam*curvature/ratio, follower)
	if err != nil {
		return 0, err
	}
	surface, ok := valvetrain.SurfaceNamed(in.text("engine.cam.follower.surface"))
	if !ok {
		return 0, fmt.Errorf("no elastic constants for a follower of %q", in.text("engine.cam.follower.surface"))
	}
	force := valvetrain.NoseForce(in.num(v.path("engine.valve_train.%s.seat_load")), in.num(v.path("engine.valve_train.%s.spring_rate")), lift, in.num(v.path("engine.valve_train.%s.moving_mass")), omega, curvature, ratio)
	reduced := valvetrain.ReducedModulus(surface.Modulus, surface.Poisson, valvetrain.SteelModulus, valvetrain.SteelPoisson)
	return valvetrain.LineContact{Force: force, Length: in.num("engine.cam.lobe_width"), R1: nose, R2: follower, Reduced: reduced}.Peak(), nil
}

const stressFormula = "Hertz line contact: p0 = sqrt(F E* / (pi L R)), 1/R = 1/nose radius + 1/follower radius; F = rocker ratio x (spring - inertia)"

func (v valve) noseStress() definition {
	return definition{id: v.path("engine.nose_stress.%s"), fourStroke: true, detail: true, title: v.title("Contact stress at the lobe nose, redline"), unit: "MPa", formula: stressFormula, source: "Johnson, Contact Mechanics, ch. 4; Norton, Design of Machinery (cam curvature)", theory: valveTheory + "contact-stress", model: hertzian,
		compute: func(in *inputs) (float64, error) { return v.stressAt(in, in.num("engine.redline")) }}
}

func (v valve) noseStressSlow() definition {
	return definition{id: v.path("engine.nose_stress_slow.%s"), fourStroke: true, detail: true, title: v.title("Contact stress at the lobe nose, turned slowly"), unit: "MPa", formula: stressFormula + ", without inertia", source: "Johnson, Contact Mechanics, ch. 4; Norton, Design of Machinery (cam curvature)", theory: valveTheory + "contact-stress", model: hertzian,
		compute: func(in *inputs) (float64, error) { return v.stressAt(in, 0) }}
}

// valveGap is the least gap between the two heads of a cylinder over the overlap.
var valveGap = definition{id: "engine.valve_to_valve", fourStroke: true, only: given("engine.head.valve_gap"), detail: true, title: "Least gap between intake and exhaust valve", unit: "mm", formula: "gap shut, closer by (sum of lifts) sin, apart by (difference of lifts) cos, least over +-60 deg of top dead centre", source: "plane geometry and the lobe law", theory: valveTheory + "valve-to-valve", model: definitional,
	compute: func(in *inputs) (float64, error) {
		inlet, _, err1 := intake.lobe(in)
		outlet, _, err2 := exhaust.lobe(in)
		if err := errors.Join(err1, err2); err != nil {
			return 0, err
		}
		return valvetrain.ValvePair{
			Gap: in.num("engine.head.valve_gap"), HalfIncluded: in.num("engine.head.included_valve_angle") / 2, Intake: inlet, Exhaust: outlet,
			IntakeCentre: intake.centre(in), ExhaustCentre: exhaust.centre(in), IntakeLash: in.num("engine.head.intake_valve.lash"), ExhaustLash: in.num("engine.head.exhaust_valve.lash"),
		}.Least(), nil
	}}

func (v valve) coilBind() definition {
	return v.left("engine.coil_bind_left.%s", "Left to coil bind at full lift", "engine.valve_train.%s.coil_bind_lift", "coil bind lift - lift")
}

func (v valve) retainer() definition {
	return v.left("engine.retainer_left.%s", "Left between retainer and seal at full lift", "engine.valve_train.%s.retainer_to_seal", "retainer to seal - lift")
}

func (v valve) left(id, title, from, formula string) definition {
	return definition{id: v.path(id), fourStroke: true, detail: true, title: v.title(title), unit: "mm", formula: formula, source: definitionOnly, theory: valveTheory + "lift-left", model: definitional,
		compute: func(in *inputs) (float64, error) {
			return in.num(v.path(from)) - in.num(v.path("engine.cam.%s.lift")), nil
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

// flowCoefficient is a reading of the flow bench as a discharge coefficient on the curtain area: given as such, or as flow
// at a pressure difference.
func (v valve) flowCoefficient(in *inputs, list string, i int) (float64, error) {
	if !in.has(entry(list, i, "cfm")) {
		return in.num(entry(list, i, "cd")), nil
	}
	air, err := ambient(in)
	if err != nil {
		return 0, err
	}
	flow, across, lift := in.num(entry(list, i, "cfm")), in.num(entry(list, i, "inches_water")), in.num(entry(list, i, "lift"))
	head, count := in.num(v.path("engine.head.%s_valve.head")), in.num(v.path("engine.head.%s_valve.count"))
	if len(in.missing) > 0 {
		return 0, nil
	}
	coefficient := valvetrain.BenchCoefficient(flow/count, across, gas.MoistAirDensity(air.pressure, air.temperature, air.humidity), head, lift)
	if !(coefficient > 0) || coefficient > mostCoefficient || math.IsInf(coefficient, 0) {
		return 0, fmt.Errorf("the bench's reading %d of the %s gives a coefficient of %.2f; look at cfm, inches of water, head and lift", i+1, string(v), coefficient)
	}
	return coefficient, nil
}

// mostCoefficient is the largest discharge coefficient on the curtain area that a port can have with a little slack for
// readings; 1 would be a flow without loss.
const mostCoefficient = 1.05
