package forecast

import (
	"shakedown/machine"
	"shakedown/quantity"
)

// definition says what a figure is and how it is computed.
type definition struct {
	id, title  string
	fourStroke bool                      // its sum holds for a four-stroke only: a two-stroke is without it
	only       func(*machine.Build) bool // the builds that have it; nil for all
	detail     bool                      // it stands behind a rule or another figure; tables for people leave it out
	unit       string                    // in which people read it in metric
	formula    string
	source     string
	theory     string
	model      modelError
	compute    func(in *inputs) (float64, error) // [SI unit of the figure]
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
	definitional   = modelError{share: 0, private: 0, note: "follows from the definition; only the inputs are uncertain"}
	rigid          = modelError{share: 0, private: 0, note: "a rigid machine; tyres and springs bring the real tip-over 10 to 15 % earlier (tilt-table tests)"}
	swaying        = modelError{share: 0.05, private: 0.02, note: "roll about the ground, rates constant, no bending of frame and axle"}
	pointBodies    = modelError{share: 0.03, private: 0.01, note: "rider, fuel and added parts as points"}
	byDesignation  = modelError{share: 0.03, private: 0.01, note: "real tyres are within 3 % of the size moulded on them"}
	meanFlow       = modelError{share: 0.05, private: 0.02, note: "steady-flow coefficients used for unsteady flow"}
	meanGas        = modelError{share: 0.20, private: 0.03, note: "volumetric efficiency 0.85 and exhaust at 1000 K are assumed"}
	twoMassRod     = modelError{share: 0.02, private: 0.005, note: "the rod is replaced by two masses"}
	rigidTrain     = modelError{share: 0.08, private: 0.03, note: "rigid valve train without spring surge: reads high"}
	hertzian       = modelError{share: 0.10, private: 0.03, note: "smooth, aligned line contact without oil film"}
	dryFriction    = modelError{share: 0.05, private: 0.02, note: "uniform wear; oil, drag and temperature left out"}
	springsOnly    = modelError{share: 0.05, private: 0.02, note: "friction of seals and bushes left out"}
	hydraulics     = modelError{share: 0.10, private: 0.03, note: "friction of seals and bending of the lever left out"}
	beam           = modelError{share: 0.05, private: 0.01, note: "beam theory, elastic to the first yield, bearings as knife edges"}
	meanPressure   = modelError{share: 0.20, private: 0.10, note: "a mean effective pressure of 10 bar is assumed until a torque curve is computed"}
	polytropicAir  = modelError{share: 0.05, private: 0.02, note: "polytropic exponent 1.3, spring's own volume left out"}
	movesReference = modelError{share: 0.005, private: 0, note: "a standard's formula, used where it holds"}
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
		if !d.applies(b) {
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
		list = append(list, Described{id, d.title, unit.Kind.SI(), unit.Symbol, d.formula, d.source, d.theory, d.model.share, d.model.note, d.detail})
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
