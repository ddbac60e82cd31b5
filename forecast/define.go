package forecast

import (
	"shakedown/machine"
	"shakedown/quantity"
)

// definition says what a figure is and how it is computed.
type definition struct {
	id, title string
	unit      string // in which people read it in metric
	formula   string
	source    string
	theory    string
	model     modelError
	compute   func(in *inputs) (float64, error) // [SI unit of the figure]
}

// details are the figures that stand behind a rule or another figure; tables for people leave them out.
var details = map[string]bool{
	"driveline.overall_top": true, "driveline.chain_centres": true, "driveline.chain_wrap": true, "driveline.clutch_torque": true,
	"engine.reciprocating_mass": true, "engine.liner_wall": true, "chassis.width_over_tyres": true, "suspension.front.air_pressure": true,
	"engine.piston_to_valve_mistimed.intake": true, "engine.piston_to_valve_mistimed.exhaust": true,
	"engine.nose_stress.intake": true, "engine.nose_stress.exhaust": true, "engine.nose_stress_slow.intake": true, "engine.nose_stress_slow.exhaust": true,
	"engine.coil_bind_left.intake": true, "engine.coil_bind_left.exhaust": true, "engine.retainer_left.intake": true, "engine.retainer_left.exhaust": true,
	"suspension.front.rate_for_sag": true, "suspension.front.preload_for_sag": true, "suspension.rear.rate_for_sag": true, "suspension.rear.preload_for_sag": true,
	"suspension.front.spring_left": true, "suspension.rear.spring_left": true,
	"tyres.front.rim_narrowest": true, "tyres.front.rim_widest": true, "tyres.rear.rim_narrowest": true, "tyres.rear.rim_widest": true,
	"axle.bar_mass": true, "brakes.rear.lever_force": true,
	"chassis.clearance_at_bump": true, "chassis.break_over": true, "chassis.pitch_index": true, "chassis.yaw_index": true, "rider.knee_angle": true, "rider.reach": true, "driveline.chain_slack": true,
	"engine.lobe_turns.intake": true, "engine.lobe_turns.exhaust": true, "engine.valve_to_valve": true, "engine.deck_from_parts": true, "engine.filter_speed": true, "engine.jet_for_air": true,
	"driveline.front_sprocket_room": true, "driveline.rear_sprocket_room": true, "suspension.front.bend_load": true,
	"suspension.front.stroke_needed": true, "suspension.rear.stroke_needed": true, "tyres.front.load_share": true, "tyres.rear.load_share": true, "tyres.front.clearance_left": true, "tyres.rear.clearance_left": true,
}

// modelError is how far a model may be off although all its inputs are right.
type modelError struct {
	share   float64 // [-] half-width that holds 95 %, of the value
	private float64 // [-] of the value: the part that two builds do not have in common
	note    string
}

// The model errors, in one place. They are set by judgement from the sources named, before any comparison with a whole
// machine, and are part of every range.
var (
	definitional   = modelError{0, 0, "follows from the definition; only the inputs are uncertain"}
	rigid          = modelError{0, 0, "a rigid machine; tyres and springs bring the real tip-over 10 to 15 % earlier (tilt-table tests)"}
	swaying        = modelError{0.05, 0.02, "roll about the ground, rates constant, no bending of frame and axle"}
	pointBodies    = modelError{0.03, 0.01, "rider, fuel and added parts as points"}
	byDesignation  = modelError{0.03, 0.01, "real tyres are within 3 % of the size moulded on them"}
	meanFlow       = modelError{0.05, 0.02, "steady-flow coefficients used for unsteady flow"}
	meanGas        = modelError{0.20, 0.03, "volumetric efficiency 0.85 and exhaust at 1000 K are assumed"}
	twoMassRod     = modelError{0.02, 0.005, "the rod is replaced by two masses"}
	rigidTrain     = modelError{0.08, 0.03, "rigid valve train without spring surge: reads high"}
	hertzian       = modelError{0.10, 0.03, "smooth, aligned line contact without oil film"}
	dryFriction    = modelError{0.05, 0.02, "uniform wear; oil, drag and temperature left out"}
	springsOnly    = modelError{0.05, 0.02, "friction of seals and bushes left out"}
	hydraulics     = modelError{0.10, 0.03, "friction of seals and bending of the lever left out"}
	beam           = modelError{0.05, 0.01, "beam theory, elastic to the first yield, bearings as knife edges"}
	meanPressure   = modelError{0.20, 0.10, "a mean effective pressure of 10 bar is assumed until a torque curve is computed"}
	polytropicAir  = modelError{0.05, 0.02, "polytropic exponent 1.3, spring's own volume left out"}
	movesReference = modelError{0.005, 0, "a standard's formula, used where it holds"}
)

// fixed lists the figures that every machine has, room by room.
var fixed = concat(engineFigures, valvetrainFigures, drivelineFigures, chassisFigures, suspensionFigures, brakeFigures, axleFigures, tyreFigures)

func concat(lists ...[]definition) (all []definition) {
	for _, list := range lists {
		all = append(all, list...)
	}
	return all
}

// A machine with three wheels or four goes over its front end where a bike would stand on its front wheel.
const (
	stoppieLimit = "chassis.stoppie_limit"
	noseOver     = "Nose-over limit"
)

// definitions are the figures that a build has: the fixed ones that apply, and one road speed for each gear.
func definitions(b *machine.Build) []definition {
	list := make([]definition, 0, len(fixed)+6)
	for _, d := range fixed {
		if !applies(d.id, b) {
			continue
		}
		if d.id == stoppieLimit && b.Text("layout") != "bike" {
			d.title = noseOver
		}
		list = append(list, d)
		if d.id == lastBeforeSpeeds {
			for gear := range b.Len("driveline.gears") {
				list = append(list, speedInGear(gear))
			}
		}
	}
	for i := range b.Len("fits") {
		list = append(list, fit(i, b.Text(entry("fits", i, "what"))))
	}
	return list
}

// Described is a figure's definition for the generated list of figures.
type Described struct {
	ID, Title, SI, Shown, Formula, Source, Theory string
	ModelError                                    float64 // [-] half-width that holds 95 %, as a share of the value
	ModelNote                                     string
	Detail                                        bool // stands behind a rule or another figure
}

// Describe lists the definitions of all figures in order; driveline.speed.N stands for one per gear.
func Describe() []Described {
	var list []Described
	add := func(d definition, id string) {
		unit := quantity.MustUnit(d.unit)
		list = append(list, Described{id, d.title, unit.Kind.SI(), unit.Symbol, d.formula, d.source, d.theory, d.model.share, d.model.note, details[d.id]})
	}
	for _, d := range fixed {
		add(d, d.id)
		if d.id == stoppieLimit {
			list[len(list)-1].Title += " (bike); " + noseOver + " (three or four wheels)"
		}
		if d.id == lastBeforeSpeeds {
			speed := speedInGear(0)
			speed.title = "Road speed in gear N at redline"
			add(speed, "driveline.speed.N")
		}
	}
	add(fit(0, "one for each entry of fits"), "fit.N")
	return list
}
