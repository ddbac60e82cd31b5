package machine

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"shakedown/quantity"
)

// Span says where an input usually lies, and within what the program computes with it at all.
type Span struct {
	Unit        quantity.Unit // in which people are told
	Least, Most float64       // [SI unit of the input] beyond these a value is refused; both zero where nothing is said
	Source      string        // of the usual
	usual       map[string][2]float64
}

// Usual is where the input usually lies on machines of a layout [SI unit of the input]; of an unknown layout, on any.
func (s Span) Usual(layout string) (low, high float64) {
	if !slices.Contains(Layouts, layout) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, l := range Layouts {
			a, b := s.Usual(l)
			low, high = min(low, a), max(high, b)
		}
		return low, high
	}
	ends, ok := s.usual[layout]
	if !ok {
		ends = s.usual[""]
	}
	return ends[0], ends[1]
}

// SameUsual says that the layouts do not differ in what is usual.
func (s Span) SameUsual() bool { return len(s.usual) == 1 }

func (s Span) given() bool { return s.Most > s.Least }

// slack is by how much a value may be beyond an end and still count as on it: what rounding does between units.
const slack = 1e-9

func within(number, low, high float64) bool {
	margin := slack * math.Max(math.Abs(low), math.Abs(high))
	return number >= low-margin && number <= high+margin
}

// IsUsual says whether the value [SI unit of the input] is where the input usually lies. Nothing, where the input may
// be nothing, is.
func (f *Field) IsUsual(layout string, number float64) bool {
	if !f.Span.given() || number == 0 && f.Bound == NotNegative {
		return true
	}
	low, high := f.Span.Usual(layout)
	return within(number, low, high)
}

// Allows says whether physics allows the number [SI unit of the field], and the program computes with it.
func (f *Field) Allows(number float64) bool {
	return f.possible(number) && (!f.Span.given() || within(number, f.Span.Least, f.Span.Most))
}

// possible says whether physics allows the number.
func (f *Field) possible(number float64) bool {
	switch f.Bound {
	case Positive:
		return number > 0
	case NotNegative:
		return number >= 0
	case Share:
		return number >= 0 && number <= 1
	}
	return !math.IsNaN(number)
}

// Allowed says in words what is allowed.
func (f *Field) Allowed() string {
	if f.Span.given() {
		return "from " + f.Span.inWords(f.Span.Least, f.Span.Most)
	}
	switch f.Bound {
	case Positive:
		return "above zero"
	case NotNegative:
		return "zero or more"
	case Share:
		return "from 0 to 1"
	}
	return "any number"
}

// inWords is "20 to 150 mm".
func (s Span) inWords(low, high float64) string {
	return fmt.Sprintf("%s to %s", plain(s.Unit.FromSI(low)), withUnit(s.Unit.FromSI(high), s.Unit))
}

// UsualInWords is where the input usually lies, for people.
func (s Span) UsualInWords(layout string) string {
	low, high := s.Usual(layout)
	return s.inWords(low, high)
}

// Fault is what is wrong with a number for an input.
type Fault struct{ What, Expected, Remedy string }

// Fault says what is wrong with a quantity as the value of the input: physics forbids it, the program does not compute
// with it, or its tolerance is no tolerance; nil when it can stand. It is worded to follow the input's name.
func (f *Field) Fault(q quantity.Quantity) *Fault {
	switch {
	case !f.Allows(q.Value):
		what := "is " + clip(q.Text) + ", with which nothing can be computed"
		if !f.possible(q.Value) {
			what = "is " + clip(q.Text) + ", which physics does not allow"
		}
		remedy := "look for a wrong sign, digit or unit"
		if likely := f.Readings("", q); len(likely) > 0 {
			remedy = "look at the unit and the digits: did you mean " + quantity.AnyOf(likely) + "?"
		}
		return &Fault{what, f.Allowed(), remedy}
	case !f.Span.given():
		return nil
	case q.Half > f.Span.Most-f.Span.Least:
		return &Fault{"has a tolerance that is wider than all that it can be", "a half-width of at most " + withUnit(f.Span.Unit.Difference(f.Span.Most-f.Span.Least), f.Span.Unit), "look at the tolerance's digits and unit; leave it out for the usual one"}
	case f.Bound == Positive && q.Half > q.Value && q.Half != quantity.DefaultHalf(q.Kind, q.Value, q.Known):
		return &Fault{"has a tolerance larger than itself, so it could be less than nothing", "a half-width of at most " + withUnit(f.Span.Unit.FromSI(q.Value), f.Span.Unit), "look at the tolerance's digits and unit; leave it out for the usual one"}
	}
	return nil
}

// AddedFault says what is wrong with a quantity that a part adds to the input; nil when it can be added.
func (f *Field) AddedFault(q quantity.Quantity) *Fault {
	room := f.Span.Most - f.Span.Least
	if !f.Span.given() || math.Abs(q.Value) <= room && q.Half <= room {
		return nil
	}
	return &Fault{"is changed by " + clip(q.Text) + ", more than all that it can be", "at most " + withUnit(f.Span.Unit.Difference(room), f.Span.Unit), "look at the unit and the digits"}
}

// Readings are what a value that is not usual may have been meant to be, the likeliest first, as people would write it:
// the same number in another unit, without its sign, the rate of a pair of springs, a diameter for a radius, a slipped
// point. With each of them it is usual on machines of the layout.
func (f *Field) Readings(layout string, q quantity.Quantity) (texts []string) {
	if !f.Span.given() {
		return nil
	}
	number, unit, ok := quantity.Typed(q.Text, f.Spec)
	if !ok {
		number, unit = f.Span.Unit.FromSI(q.Value), f.Span.Unit
	}
	var seen []float64 // [SI]
	usual := func(value float64) bool {
		low, high := f.Span.Usual(layout)
		if value == 0 || !within(value, low, high) || slices.ContainsFunc(seen, func(s float64) bool { return within(value, s, s) }) {
			return false
		}
		seen = append(seen, value)
		return true
	}
	if f.Spec.Bare == "" {
		for _, other := range quantity.Units(f.Spec.Kind) {
			if other.Symbol != unit.Symbol && !rare[other.Symbol] && usual(other.ToSI(number)) {
				texts = append(texts, withUnit(number, other))
			}
		}
	}
	value := unit.ToSI(number)
	switch {
	case number < 0 && usual(unit.ToSI(-number)):
		texts = append(texts, withUnit(-number, unit))
	case f.Path == "suspension.front.spring_rate" && usual(value/2):
		texts = append(texts, withUnit(number/2, unit)+" for each, if that is the rate of both together")
	case strings.HasSuffix(f.Path, "radius") && usual(value/2):
		texts = append(texts, withUnit(number/2, unit)+", if that is the diameter")
	}
	for _, digits := range []float64{1e-1, 1e1, 1e-2, 1e2, 1e-3, 1e3} {
		if usual(unit.ToSI(number * digits)) {
			texts = append(texts, withUnit(number*digits, unit))
			break
		}
	}
	return texts
}

// rare are units that nobody takes for another by mistake.
var rare = map[string]bool{"cm": true, "km": true, "ft": true, "mm2": true, "ft2": true, "m3": true, "gal": true, "ml": true, "hPa": true, "Pa": true, "N/m": true, "kN": true, "rad/s": true, "inH2O": true, "K": true, "days": true, "weeks": true}

// clip keeps what a message quotes short.
func clip(text string) string {
	if runes := []rune(text); len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return text
}

// plain prints a number to six digits without zeros behind it.
func plain(number float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(number, 'g', 6, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

func withUnit(number float64, unit quantity.Unit) string {
	if unit.Symbol == "1" {
		return plain(number)
	}
	return plain(number) + " " + unit.Symbol
}

// FromUse is the source of a span of what the trade knows and no book says; from memory.
const FromUse = "common practice"

// span is a low and a high end, in the unit of its line.
type span [2]float64

// byLayout is what is usual on layouts that differ.
type byLayout map[string]span

// spanLine is one line of the table.
type spanLine struct {
	path, unit string
	usual      span // outside it a caution asks for unit and digits
	differs    byLayout
	computes   span // outside it the value is refused
	source     string
}

// spans is the one table of both: every input that is a number has a line. What is usual is wide enough for any machine
// of its kind that runs; what is computed with is wider still, so that a machine of another kind can be tried, and
// narrow enough for the models to hold together.
func spans() []spanLine {
	return []spanLine{
		{"air.temperature", "C", span{-10, 45}, nil, span{-40, 60}, FromUse},
		{"air.humidity", "1", span{0, 1}, nil, span{0, 1}, FromUse},
		{"air.altitude", "m", span{-50, 3500}, nil, span{-430, 5000}, "ISO 2533"},
		{"air.pressure", "kPa", span{65, 106}, nil, span{40, 110}, "ISO 2533"},
		{"rider.mass", "kg", span{40, 130}, nil, span{0.001, 250}, FromUse},
		{"rider.kit", "kg", span{3, 16}, nil, span{0, 50}, FromUse},
		{"rider.stature", "mm", span{1400, 2050}, nil, span{1000, 2300}, FromUse},
		{"rider.hangs_off", "mm", span{40, 350}, nil, span{0, 700}, FromUse},
		{"rider.drag_area", "m2", span{0.3, 1.0}, nil, span{0.05, 3}, FromUse},
		{"rider.cg.x", "mm", span{50, 600}, byLayout{"bike": {200, 900}}, span{-500, 2500}, FromUse},
		{"rider.cg.z", "mm", span{700, 1300}, byLayout{"bike": {850, 1450}}, span{200, 2500}, FromUse},
		{"rider.seat_to_cg.x", "mm", span{-50, 250}, nil, span{-500, 1000}, FromUse},
		{"rider.seat_to_cg.z", "mm", span{150, 400}, nil, span{20, 1000}, FromUse},
		{"class_rules.max_displacement", "cc", span{40, 1000}, nil, span{10, 5000}, FromUse},
		{"class_rules.max_width", "mm", span{900, 1500}, nil, span{300, 4000}, FromUse},
		{"class_rules.max_sound", "dB", span{70, 115}, nil, span{40, 150}, FromUse},
		{"class_rules.race_time", "min", span{2, 300}, nil, span{0.1, 2880}, FromUse},
		{"class_rules.built_before", "1", span{1950, 2040}, nil, span{1900, 2200}, FromUse},
		{"year", "1", span{1950, 2040}, nil, span{1900, 2200}, FromUse},
		{"mass.dry", "kg", span{70, 200}, byLayout{"quad": {85, 280}, "bike": {65, 190}}, span{20, 1000}, FromUse},
		{"mass.front_share", "1", span{0.25, 0.45}, byLayout{"quad": {0.38, 0.58}, "bike": {0.4, 0.56}}, span{0.02, 0.98}, FromUse},
		{"mass.pitch_inertia", "kg.m2", span{5, 60}, nil, span{0.5, 500}, FromUse},
		{"mass.yaw_inertia", "kg.m2", span{5, 60}, nil, span{0.5, 500}, FromUse},
		{"mass.cg_height", "mm", span{350, 600}, byLayout{"quad": {330, 600}, "bike": {430, 700}}, span{100, 1500}, FromUse},
		{"tank.capacity", "l", span{2, 20}, nil, span{0, 100}, FromUse},
		{"tank.x", "mm", span{200, 1000}, nil, span{-500, 3000}, FromUse},
		{"tank.z", "mm", span{500, 1100}, nil, span{50, 2500}, FromUse},
		{"geometry.wheelbase", "mm", span{1000, 1400}, byLayout{"quad": {1000, 1450}, "bike": {1100, 1600}}, span{400, 3000}, FromUse},
		{"geometry.track_rear", "mm", span{650, 1200}, nil, span{200, 3000}, FromUse},
		{"geometry.track_front", "mm", span{600, 1250}, nil, span{200, 3000}, FromUse},
		{"geometry.rake", "deg", span{15, 35}, byLayout{"quad": {0.5, 20}, "bike": {20, 36}}, span{0.1, 60}, FromUse},
		{"geometry.fork_offset", "mm", span{0, 110}, byLayout{"quad": {-30, 60}, "bike": {20, 110}}, span{-200, 300}, FromUse},
		{"geometry.ground_clearance", "mm", span{90, 400}, byLayout{"bike": {180, 430}}, span{10, 1000}, FromUse},
		{"geometry.lowest_x", "mm", span{200, 1000}, nil, span{-1000, 3000}, FromUse},
		{"geometry.pivot.x", "mm", span{250, 750}, nil, span{50, 2000}, FromUse},
		{"geometry.pivot.z", "mm", span{200, 600}, nil, span{20, 1500}, FromUse},
		{"geometry.sprocket.x", "mm", span{300, 900}, nil, span{50, 2000}, FromUse},
		{"geometry.sprocket.z", "mm", span{200, 600}, nil, span{20, 1500}, FromUse},
		{"geometry.seat.x", "mm", span{-100, 600}, nil, span{-1000, 3000}, FromUse},
		{"geometry.seat.z", "mm", span{500, 850}, byLayout{"quad": {550, 900}, "bike": {650, 1050}}, span{100, 2000}, FromUse},
		{"geometry.peg.x", "mm", span{250, 800}, nil, span{-1000, 3000}, FromUse},
		{"geometry.peg.z", "mm", span{150, 450}, nil, span{20, 1500}, FromUse},
		{"geometry.bar.x", "mm", span{500, 1150}, nil, span{-1000, 3000}, FromUse},
		{"geometry.bar.z", "mm", span{750, 1150}, byLayout{"bike": {900, 1350}}, span{200, 2500}, FromUse},
		{"engine.cylinders", "1", span{1, 2}, nil, span{1, 6}, FromUse},
		{"engine.friction_factor", "1", span{0.6, 1.8}, nil, span{0.2, 5}, FromUse},
		{"engine.claimed_ratio", "1", span{7, 13.5}, nil, span{3, 25}, FromUse},
		{"engine.claimed_power", "kW", span{2, 50}, nil, span{0.3, 200}, FromUse},
		{"engine.claimed_power_speed", "rpm", span{4000, 13000}, nil, span{1000, 20000}, FromUse},
		{"engine.bore", "mm", span{35, 105}, nil, span{20, 150}, FromUse},
		{"engine.stroke", "mm", span{35, 100}, nil, span{20, 150}, FromUse},
		{"engine.rod_length", "mm", span{70, 200}, nil, span{30, 400}, FromUse},
		{"engine.liner_spigot", "mm", span{38, 130}, nil, span{15, 250}, FromUse},
		{"engine.case_mouth", "mm", span{38, 130}, nil, span{15, 250}, FromUse},
		{"engine.liner_outer", "mm", span{38, 130}, nil, span{15, 250}, FromUse},
		{"engine.chamber.head", "cc", span{4, 100}, nil, span{1, 500}, FromUse},
		{"engine.chamber.gasket_bore", "mm", span{36, 115}, nil, span{15, 200}, FromUse},
		{"engine.chamber.gasket_thickness", "mm", span{0.2, 2.5}, nil, span{0, 10}, FromUse},
		{"engine.chamber.deck", "mm", span{-2, 3}, nil, span{-15, 15}, FromUse},
		{"engine.chamber.dome", "cc", span{-20, 30}, nil, span{-100, 100}, FromUse},
		{PistonRatio, "1", span{6, 15}, nil, span{2, 30}, FromUse},
		{"engine.piston_mass", "g", span{60, 600}, nil, span{20, 3000}, FromUse},
		{"engine.pin_diameter", "mm", span{9, 26}, nil, span{4, 60}, FromUse},
		{"engine.rod_pin_bore", "mm", span{9, 32}, nil, span{4, 80}, FromUse},
		{"engine.compression_height", "mm", span{18, 60}, nil, span{5, 150}, FromUse},
		{"engine.cylinder_height", "mm", span{100, 320}, nil, span{30, 800}, FromUse},
		{"engine.ring_mass", "g", span{2, 40}, nil, span{0, 300}, FromUse},
		{"engine.pin_mass", "g", span{10, 150}, nil, span{3, 800}, FromUse},
		{"engine.rod_mass.total", "g", span{80, 700}, nil, span{20, 4000}, FromUse},
		{"engine.rod_mass.small_end_share", "1", span{0.2, 0.45}, nil, span{0.05, 0.8}, FromUse},
		{"engine.flywheel_inertia", "kg.m2", span{0.0008, 0.02}, nil, span{0.0001, 0.5}, FromUse},
		{"engine.redline", "rpm", span{4500, 14000}, nil, span{500, 20000}, FromUse},
		{"engine.ignition_advance[].rpm", "rpm", span{500, 15000}, nil, span{0, 25000}, FromUse},
		{"engine.ignition_advance[].deg", "deg", span{-5, 50}, nil, span{-60, 90}, FromUse},
		{"engine.fuel.ron", "1", span{80, 120}, nil, span{30, 150}, "EN 228 and race fuels"},
		{"engine.fuel.mon", "1", span{75, 115}, nil, span{30, 150}, "EN 228 and race fuels"},
		{"engine.fuel.density", "kg/m3", span{690, 800}, nil, span{500, 1500}, "EN 228: 720 to 775 kg/m3; race fuels lie beside it"},
		{"engine.fuel.lambda", "1", span{0.7, 1.1}, nil, span{0.4, 2}, FromUse},
		{"engine.head.included_valve_angle", "deg", span{5, 95}, nil, span{0, 150}, FromUse},
		{"engine.head.intake_valve.count", "1", span{1, 3}, nil, span{1, 5}, FromUse},
		{"engine.head.intake_valve.head", "mm", span{15, 55}, nil, span{5, 100}, FromUse},
		{"engine.head.intake_valve.stem", "mm", span{3.5, 9}, nil, span{2, 20}, FromUse},
		{"engine.head.intake_valve.seat_angle", "deg", span{28, 62}, nil, span{10, 80}, FromUse},
		{"engine.head.intake_valve.lash", "mm", span{0.02, 0.4}, nil, span{0, 2}, FromUse},
		{"engine.head.exhaust_valve.count", "1", span{1, 2}, nil, span{1, 5}, FromUse},
		{"engine.head.exhaust_valve.head", "mm", span{13, 48}, nil, span{5, 100}, FromUse},
		{"engine.head.exhaust_valve.stem", "mm", span{3.5, 9}, nil, span{2, 20}, FromUse},
		{"engine.head.exhaust_valve.seat_angle", "deg", span{28, 62}, nil, span{10, 80}, FromUse},
		{"engine.head.exhaust_valve.lash", "mm", span{0.02, 0.4}, nil, span{0, 2}, FromUse},
		{"engine.head.flow.intake[].lift", "mm", span{0.5, 18}, nil, span{0, 40}, FromUse},
		{"engine.head.flow.intake[].cfm", "cfm", span{5, 400}, nil, span{0.1, 2000}, FromUse},
		{"engine.head.flow.intake[].inches_water", "inH2O", span{1, 60}, nil, span{0.1, 400}, FromUse},
		{"engine.head.flow.intake[].cd", "1", span{0.2, 0.9}, nil, span{0.01, 1.5}, FromUse},
		{"engine.head.flow.exhaust[].lift", "mm", span{0.5, 18}, nil, span{0, 40}, FromUse},
		{"engine.head.flow.exhaust[].cfm", "cfm", span{5, 400}, nil, span{0.1, 2000}, FromUse},
		{"engine.head.flow.exhaust[].inches_water", "inH2O", span{1, 60}, nil, span{0.1, 400}, FromUse},
		{"engine.head.flow.exhaust[].cd", "1", span{0.2, 0.9}, nil, span{0.01, 1.5}, FromUse},
		{"engine.head.valve_gap", "mm", span{0.3, 15}, nil, span{-20, 50}, FromUse},
		{"engine.head.piston_to_valve.intake", "mm", span{0.8, 9}, nil, span{-20, 40}, FromUse},
		{"engine.head.piston_to_valve.exhaust", "mm", span{0.8, 9}, nil, span{-20, 40}, FromUse},
		{"engine.cam.checking_lift", "mm", span{0.1, 1.6}, nil, span{0, 5}, FromUse},
		{"engine.cam.late", "deg", span{-2, 8}, nil, span{-60, 60}, FromUse},
		{"engine.cam.intake.duration", "deg", span{190, 330}, nil, span{60, 500}, FromUse},
		{"engine.cam.intake.centre", "deg", span{90, 125}, nil, span{40, 180}, FromUse},
		{"engine.cam.exhaust.duration", "deg", span{190, 330}, nil, span{60, 500}, FromUse},
		{"engine.cam.exhaust.centre", "deg", span{90, 125}, nil, span{40, 180}, FromUse},
		{"engine.cam.separation", "deg", span{95, 118}, nil, span{60, 160}, FromUse},
		{"engine.cam.advance", "deg", span{-12, 12}, nil, span{-60, 60}, FromUse},
		{"engine.cam.intake.advertised_duration", "deg", span{210, 340}, nil, span{60, 500}, FromUse},
		{"engine.cam.exhaust.advertised_duration", "deg", span{210, 340}, nil, span{60, 500}, FromUse},
		{"engine.cam.intake.lobe_lift", "mm", span{3, 12}, nil, span{0.3, 30}, FromUse},
		{"engine.cam.exhaust.lobe_lift", "mm", span{3, 12}, nil, span{0.3, 30}, FromUse},
		{"engine.cam.intake.opens", "deg", span{-20, 60}, nil, span{-120, 180}, FromUse},
		{"engine.cam.intake.closes", "deg", span{10, 95}, nil, span{-90, 180}, FromUse},
		{"engine.cam.intake.lift", "mm", span{4, 14}, nil, span{0.5, 30}, FromUse},
		{"engine.cam.exhaust.opens", "deg", span{15, 95}, nil, span{-90, 180}, FromUse},
		{"engine.cam.exhaust.closes", "deg", span{-20, 60}, nil, span{-120, 180}, FromUse},
		{"engine.cam.exhaust.lift", "mm", span{4, 14}, nil, span{0.5, 30}, FromUse},
		{"engine.cam.intake.table[].angle", "deg", span{-180, 180}, nil, span{-360, 360}, FromUse},
		{"engine.cam.intake.table[].lift", "mm", span{0.01, 15}, nil, span{0, 30}, FromUse},
		{"engine.cam.exhaust.table[].angle", "deg", span{-180, 180}, nil, span{-360, 360}, FromUse},
		{"engine.cam.exhaust.table[].lift", "mm", span{0.01, 15}, nil, span{0, 30}, FromUse},
		{"engine.cam.lobe_fullness", "1", span{0.33, 0.63}, nil, span{0.1, 0.95}, FromUse},
		{"engine.cam.rocker_ratio", "1", span{0.9, 1.8}, nil, span{0.3, 4}, FromUse},
		{"engine.cam.base_circle_radius", "mm", span{8, 25}, nil, span{2, 80}, FromUse},
		{"engine.cam.lobe_width", "mm", span{6, 25}, nil, span{1, 80}, FromUse},
		{"engine.cam.follower.radius", "mm", span{8, 150}, nil, span{1, 10000}, FromUse},
		{"engine.valve_train.intake.moving_mass", "g", span{25, 250}, nil, span{3, 2000}, FromUse},
		{"engine.valve_train.intake.spring_rate", "N/mm", span{12, 80}, nil, span{1, 400}, FromUse},
		{"engine.valve_train.intake.seat_load", "N", span{60, 600}, nil, span{1, 4000}, FromUse},
		{"engine.valve_train.intake.coil_bind_lift", "mm", span{6, 20}, nil, span{1, 60}, FromUse},
		{"engine.valve_train.intake.retainer_to_seal", "mm", span{5, 20}, nil, span{1, 60}, FromUse},
		{"engine.valve_train.exhaust.moving_mass", "g", span{25, 250}, nil, span{3, 2000}, FromUse},
		{"engine.valve_train.exhaust.spring_rate", "N/mm", span{12, 80}, nil, span{1, 400}, FromUse},
		{"engine.valve_train.exhaust.seat_load", "N", span{60, 600}, nil, span{1, 4000}, FromUse},
		{"engine.valve_train.exhaust.coil_bind_lift", "mm", span{6, 20}, nil, span{1, 60}, FromUse},
		{"engine.valve_train.exhaust.retainer_to_seal", "mm", span{5, 20}, nil, span{1, 60}, FromUse},
		{"engine.intake.port_length", "mm", span{25, 160}, nil, span{5, 1000}, FromUse},
		{"engine.intake.port_diameter", "mm", span{15, 50}, nil, span{5, 120}, FromUse},
		{"engine.intake.runner_length", "mm", span{10, 300}, nil, span{1, 2000}, FromUse},
		{"engine.intake.carburettor.count", "1", span{1, 2}, nil, span{1, 6}, FromUse},
		{"engine.intake.carburettor.venturi", "mm", span{12, 48}, nil, span{5, 120}, FromUse},
		{"engine.intake.carburettor.main_jet", "1", span{50, 600}, nil, span{5, 3000}, FromUse},
		{"engine.intake.carburettor.jetted_density", "kg/m3", span{0.8, 1.45}, nil, span{0.3, 2.5}, FromUse},
		{"engine.intake.airbox_volume", "l", span{0.5, 15}, nil, span{0, 100}, FromUse},
		{"engine.intake.filter_area", "cm2", span{30, 1000}, nil, span{1, 10000}, FromUse},
		{"engine.exhaust.port_length", "mm", span{20, 150}, nil, span{5, 1000}, FromUse},
		{"engine.exhaust.port_diameter", "mm", span{15, 55}, nil, span{5, 120}, FromUse},
		{"engine.exhaust.header[].length", "mm", span{20, 1500}, nil, span{5, 5000}, FromUse},
		{"engine.exhaust.header[].bore", "mm", span{16, 60}, nil, span{5, 150}, FromUse},
		{"engine.exhaust.silencer.volume", "l", span{0.3, 8}, nil, span{0, 50}, FromUse},
		{"engine.exhaust.silencer.outlet_bore", "mm", span{10, 60}, nil, span{3, 150}, FromUse},
		{"engine.exhaust.silencer.chambers", "1", span{1, 4}, nil, span{1, 10}, FromUse},
		{"engine.exhaust.silencer.passage_bore", "mm", span{8, 60}, nil, span{3, 150}, FromUse},
		{"engine.exhaust.silencer.core_length", "mm", span{80, 600}, nil, span{10, 2000}, FromUse},
		{"engine.exhaust.silencer.core_bore", "mm", span{15, 65}, nil, span{5, 150}, FromUse},
		{"engine.exhaust.silencer.core_open", "1", span{0.1, 0.6}, nil, span{0.001, 1}, FromUse},
		{"engine.exhaust.silencer.sound", "dB", span{75, 115}, nil, span{40, 150}, FromUse},
		{"engine.clearances.piston", "mm", span{0.02, 0.15}, nil, span{0.001, 3}, FromUse},
		{"engine.clearances.ring_gap", "mm", span{0.1, 0.9}, nil, span{0.01, 10}, FromUse},
		{"engine.leak_down.lost", "1", span{0.01, 0.4}, nil, span{0, 0.9}, FromUse},
		{"engine.leak_down.restrictor", "mm", span{0.8, 1.6}, nil, span{0.1, 6}, "FAA AC 43.13-1B ch. 8: 0.040 and 0.060 in; 1.0 mm common practice"},
		{"engine.leak_down.supply", "psi", span{60, 110}, nil, span{5, 250}, "FAA AC 43.13-1B ch. 8: 80 psi; 100 psi common practice"},
		{"engine.cranking.measured", "psi", span{60, 260}, nil, span{5, 600}, FromUse},
		{"engine.cranking.speed", "rpm", span{250, 900}, nil, span{50, 2000}, FromUse},
		{"engine.cranking.hose_volume", "cc", span{0.2, 12}, nil, span{0, 100}, FromUse},
		{"engine.clearances.squish", "mm", span{0.5, 2.5}, nil, span{0.05, 15}, FromUse},
		{"driveline.primary", "1", span{1.5, 5}, nil, span{0.5, 15}, FromUse},
		{"driveline.gears[]", "1", span{0.5, 4.5}, nil, span{0.1, 20}, FromUse},
		{"driveline.sprockets.front", "1", span{9, 20}, nil, span{5, 60}, FromUse},
		{"driveline.sprockets.rear", "1", span{24, 70}, nil, span{8, 150}, FromUse},
		{"driveline.sprockets.front_room", "mm", span{25, 90}, nil, span{5, 400}, FromUse},
		{"driveline.sprockets.rear_room", "mm", span{60, 200}, nil, span{10, 600}, FromUse},
		{"driveline.chain.pitches", "1", span{60, 150}, nil, span{20, 400}, FromUse},
		{"driveline.chain.slack", "mm", span{8, 70}, nil, span{0, 300}, FromUse},
		{"driveline.sprocket_centres.shortest", "mm", span{350, 800}, nil, span{100, 2000}, FromUse},
		{"driveline.sprocket_centres.longest", "mm", span{350, 800}, nil, span{100, 2000}, FromUse},
		{"driveline.clutch.friction_faces", "1", span{4, 20}, nil, span{1, 60}, FromUse},
		{"driveline.clutch.outer_diameter", "mm", span{80, 180}, nil, span{20, 500}, FromUse},
		{"driveline.clutch.inner_diameter", "mm", span{50, 150}, nil, span{10, 480}, FromUse},
		{"driveline.clutch.spring_force_total", "N", span{300, 3500}, nil, span{10, 30000}, FromUse},
		{"driveline.clutch.friction", "1", span{0.06, 0.2}, nil, span{0.01, 1}, FromUse},
		{"driveline.efficiency", "1", span{0.75, 0.98}, nil, span{0.2, 1}, FromUse},
		{"driveline.slider_face", "mm", span{15, 60}, nil, span{2, 200}, FromUse},
		{"wheels.loaded_radius_share", "1", span{0.85, 1}, nil, span{0.4, 1.2}, FromUse},
		{"wheels.front.rim_width", "in", span{3.5, 10}, byLayout{"quad": {4, 9}, "bike": {1.2, 2.6}}, span{0.5, 20}, "measuring rims of ETRTO and TRA"},
		{"wheels.front.pressure", "kPa", span{10, 70}, byLayout{"bike": {60, 150}}, span{1, 600}, "what makers of balloon and of off-road motorcycle tyres print on them; common practice"},
		{"wheels.front.load_index", "1", span{10, 80}, nil, span{1, 200}, "ETRTO load index"},
		{"wheels.front.mass", "kg", span{3, 15}, byLayout{"bike": {5, 20}}, span{0.5, 80}, FromUse},
		{"wheels.front.clearance", "mm", span{5, 150}, nil, span{-100, 600}, FromUse},
		{"wheels.front.tyre_rate", "N/mm", span{15, 150}, byLayout{"bike": {50, 300}}, span{1, 2000}, FromUse},
		{"wheels.front.loaded_radius", "mm", span{180, 340}, byLayout{"bike": {230, 380}}, span{60, 700}, FromUse},
		{"wheels.rear.rim_width", "in", span{5, 11}, byLayout{"bike": {1.4, 4.5}}, span{0.5, 20}, "measuring rims of ETRTO and TRA"},
		{"wheels.rear.pressure", "kPa", span{10, 70}, byLayout{"bike": {60, 150}}, span{1, 600}, "what makers of balloon and of off-road motorcycle tyres print on them; common practice"},
		{"wheels.rear.load_index", "1", span{10, 80}, nil, span{1, 200}, "ETRTO load index"},
		{"wheels.rear.mass", "kg", span{3, 18}, byLayout{"bike": {5, 25}}, span{0.5, 80}, FromUse},
		{"wheels.rear.offset", "mm", span{-130, 130}, nil, span{-400, 400}, FromUse},
		{"wheels.rear.clearance", "mm", span{5, 150}, nil, span{-100, 600}, FromUse},
		{"wheels.rear.tyre_rate", "N/mm", span{15, 150}, byLayout{"bike": {50, 300}}, span{1, 2000}, FromUse},
		{"wheels.rear.loaded_radius", "mm", span{180, 340}, byLayout{"bike": {220, 370}}, span{60, 700}, FromUse},
		{"wheels.axle.diameter", "mm", span{18, 50}, nil, span{5, 120}, FromUse},
		{"wheels.axle.bore", "mm", span{4, 40}, nil, span{0, 110}, FromUse},
		{"wheels.axle.yield", "MPa", span{250, 1800}, nil, span{50, 3000}, FromUse},
		{"wheels.axle.bearing_bore", "mm", span{15, 60}, nil, span{4, 150}, FromUse},
		{"wheels.axle.bearing_spacing", "mm", span{80, 400}, nil, span{10, 1500}, FromUse},
		{"wheels.axle.weakest.from_centre", "mm", span{20, 600}, nil, span{0, 1500}, FromUse},
		{"wheels.axle.weakest.diameter", "mm", span{12, 50}, nil, span{3, 120}, FromUse},
		{"wheels.axle.weakest.stress_factor", "1", span{1, 5}, nil, span{0.5, 20}, FromUse},
		{"suspension.front.legs", "1", span{1, 2}, nil, span{1, 4}, FromUse},
		{"suspension.front.travel", "mm", span{50, 300}, byLayout{"quad": {60, 340}, "bike": {80, 340}}, span{1, 700}, FromUse},
		{"suspension.front.tube_outer", "mm", span{22, 60}, nil, span{8, 120}, FromUse},
		{"suspension.front.tube_bore", "mm", span{16, 56}, nil, span{4, 115}, FromUse},
		{"suspension.front.overlap", "mm", span{60, 400}, nil, span{5, 1000}, FromUse},
		{"suspension.front.axle_to_clamp", "mm", span{250, 900}, nil, span{50, 2000}, FromUse},
		{"suspension.front.tube_yield", "MPa", span{250, 1800}, nil, span{50, 3000}, FromUse},
		{"suspension.front.spring_rate", "N/mm", span{1.2, 6.5}, byLayout{"quad": {5, 70}, "bike": {1.8, 6.5}}, span{0.1, 1000}, FromUse},
		{"suspension.front.preload", "mm", span{1, 60}, nil, span{0, 300}, FromUse},
		{"suspension.front.spring_free", "mm", span{150, 650}, nil, span{20, 1500}, FromUse},
		{"suspension.front.spring_solid", "mm", span{60, 450}, nil, span{10, 1200}, FromUse},
		{"suspension.front.oil_air_gap", "mm", span{50, 250}, nil, span{5, 800}, FromUse},
		{"suspension.front.oil.viscosity_40c", "cSt", span{5, 150}, nil, span{0.5, 5000}, FromUse},
		{"suspension.front.oil.viscosity_100c", "cSt", span{1.5, 30}, nil, span{0.3, 1000}, FromUse},
		{"suspension.front.damper.compression_holes.count", "1", span{1, 10}, nil, span{1, 40}, FromUse},
		{"suspension.front.damper.compression_holes.diameter", "mm", span{0.8, 12}, nil, span{0.1, 40}, FromUse},
		{"suspension.front.leverage[].travel", "mm", span{1, 350}, nil, span{0, 700}, FromUse},
		{"suspension.front.leverage[].ratio", "1", span{1, 4}, nil, span{0.2, 15}, FromUse},
		{"suspension.front.shock_stroke", "mm", span{40, 180}, nil, span{2, 500}, FromUse},
		{"suspension.front.shaft", "mm", span{8, 20}, nil, span{3, 60}, FromUse},
		{"suspension.front.gas_pressure", "bar", span{1, 22}, nil, span{0, 80}, FromUse},
		{"suspension.front.damper.rebound_holes.count", "1", span{1, 10}, nil, span{1, 40}, FromUse},
		{"suspension.front.damper.rebound_holes.diameter", "mm", span{0.8, 12}, nil, span{0.1, 40}, FromUse},
		{"suspension.rear.travel", "mm", span{40, 300}, byLayout{"quad": {50, 340}, "bike": {60, 350}}, span{1, 700}, FromUse},
		{"suspension.rear.leverage[].travel", "mm", span{1, 350}, nil, span{0, 700}, FromUse},
		{"suspension.rear.leverage[].ratio", "1", span{1, 4}, nil, span{0.2, 15}, FromUse},
		{"suspension.rear.shock_stroke", "mm", span{30, 160}, nil, span{2, 500}, FromUse},
		{"suspension.rear.spring_rate", "N/mm", span{20, 300}, byLayout{"quad": {20, 250}, "bike": {8, 250}}, span{0.5, 2000}, FromUse},
		{"suspension.rear.preload", "mm", span{1, 60}, nil, span{0, 300}, FromUse},
		{"suspension.rear.spring_free", "mm", span{100, 450}, nil, span{20, 1500}, FromUse},
		{"suspension.rear.spring_solid", "mm", span{50, 300}, nil, span{10, 1200}, FromUse},
		{"suspension.rear.shaft", "mm", span{8, 20}, nil, span{3, 60}, FromUse},
		{"suspension.rear.body_bore", "mm", span{20, 60}, nil, span{5, 150}, FromUse},
		{"suspension.rear.gas_pressure", "bar", span{1, 22}, nil, span{0, 80}, FromUse},
		{"suspension.unsprung.front", "kg", span{6, 26}, byLayout{"quad": {14, 60}, "bike": {8, 30}}, span{0.5, 300}, FromUse},
		{"suspension.unsprung.rear", "kg", span{14, 65}, byLayout{"quad": {16, 75}, "bike": {9, 40}}, span{0.5, 300}, FromUse},
		{"brakes.front.count", "1", span{1, 2}, nil, span{1, 4}, FromUse},
		{"brakes.front.diameter", "mm", span{90, 230}, nil, span{30, 500}, FromUse},
		{"brakes.front.shoe_factor", "1", span{0.8, 4}, nil, span{0.1, 20}, FromUse},
		{"brakes.front.effective_radius", "mm", span{45, 160}, nil, span{10, 300}, FromUse},
		{"brakes.front.calliper.pistons", "1", span{1, 4}, nil, span{1, 12}, FromUse},
		{"brakes.front.calliper.diameter", "mm", span{18, 48}, nil, span{5, 100}, FromUse},
		{"brakes.front.master", "mm", span{8, 20}, nil, span{3, 50}, FromUse},
		{"brakes.front.lever_ratio", "1", span{3, 30}, nil, span{0.5, 100}, FromUse},
		{"brakes.front.pad_friction", "1", span{0.2, 0.6}, nil, span{0.02, 1.5}, FromUse},
		{"brakes.front.pad_height", "mm", span{12, 60}, nil, span{3, 150}, FromUse},
		{"brakes.front.disc_diameter", "mm", span{110, 340}, nil, span{30, 600}, FromUse},
		{"brakes.front.disc_mass", "kg", span{0.15, 3}, nil, span{0.02, 20}, FromUse},
		{"brakes.front.hose.length", "mm", span{200, 2000}, nil, span{30, 5000}, FromUse},
		{"brakes.rear.diameter", "mm", span{90, 230}, nil, span{30, 500}, FromUse},
		{"brakes.rear.shoe_factor", "1", span{0.8, 4}, nil, span{0.1, 20}, FromUse},
		{"brakes.rear.lever_ratio", "1", span{3, 30}, nil, span{0.5, 100}, FromUse},
		{"brakes.rear.effective_radius", "mm", span{45, 160}, nil, span{10, 300}, FromUse},
		{"brakes.rear.calliper.pistons", "1", span{1, 4}, nil, span{1, 12}, FromUse},
		{"brakes.rear.calliper.diameter", "mm", span{18, 48}, nil, span{5, 100}, FromUse},
		{"brakes.rear.master", "mm", span{8, 20}, nil, span{3, 50}, FromUse},
		{"brakes.rear.pad_friction", "1", span{0.2, 0.6}, nil, span{0.02, 1.5}, FromUse},
		{"fits[].gap", "mm", span{-5, 200}, nil, span{-300, 1500}, FromUse},
		{"fits[].at", "mm", span{1, 350}, nil, span{0, 700}, FromUse},
		{"fits[].second_gap", "mm", span{-5, 200}, nil, span{-300, 1500}, FromUse},
		{"fits[].second_at", "mm", span{1, 350}, nil, span{0, 700}, FromUse},
		{"electrics.stator_power", "W", span{20, 700}, nil, span{1, 10000}, FromUse},
		{"electrics.load", "W", span{3, 700}, nil, span{0, 10000}, FromUse},
		{"track.peak_grip", "1", span{0.25, 1.1}, nil, span{0.02, 3}, FromUse},
		{"track.rolling_resistance", "1", span{0.01, 0.25}, nil, span{0, 1}, FromUse},
		{"track.slip_at_peak", "1", span{0.05, 0.4}, nil, span{0.005, 1}, FromUse},
		{"track.slide_share", "1", span{0.5, 1}, nil, span{0.05, 1}, FromUse},
		{"track.axle_holds", "1", span{0, 1}, nil, span{0, 1}, FromUse},
		{"track.sections[].straight", "m", span{2, 1500}, nil, span{0.1, 20000}, FromUse},
		{"track.sections[].climb", "1", span{-0.4, 0.4}, nil, span{-1, 1}, FromUse},
		{"track.sections[].crest", "m", span{3, 1000}, nil, span{0.5, 100000}, FromUse},
		{"track.sections[].dip", "m", span{3, 1000}, nil, span{0.5, 100000}, FromUse},
		{"track.sections[].radius", "m", span{2.5, 300}, nil, span{0.5, 5000}, FromUse},
		{"track.sections[].angle", "deg", span{3, 360}, nil, span{0.1, 1080}, FromUse},
		{"track.sections[].bank", "deg", span{-15, 45}, nil, span{-60, 75}, FromUse},
		{"track.sections[].whoops", "m", span{4, 400}, nil, span{0.5, 5000}, FromUse},
		{"track.sections[].pitch", "m", span{1, 12}, nil, span{0.1, 100}, FromUse},
		{"track.sections[].height", "m", span{0.04, 1.5}, nil, span{0.002, 10}, FromUse},
		{"track.sections[].jump.take_off", "deg", span{3, 50}, nil, span{0.5, 80}, FromUse},
		{"track.sections[].jump.height", "m", span{0.15, 6}, nil, span{0.01, 40}, FromUse},
		{"track.sections[].jump.gap", "m", span{0.5, 40}, nil, span{0.05, 200}, FromUse},
		{"track.sections[].jump.landing", "deg", span{2, 50}, nil, span{0.5, 80}, FromUse},
		{"measure.weights.front", "kg", span{15, 180}, nil, span{1, 1000}, FromUse},
		{"measure.weights.rear", "kg", span{20, 200}, nil, span{1, 1000}, FromUse},
		{"measure.raised.rear", "kg", span{20, 250}, nil, span{1, 1000}, FromUse},
		{"measure.raised.lift", "mm", span{100, 1200}, nil, span{10, 3000}, FromUse},
		{"measure.raised.front_radius", "mm", span{170, 380}, nil, span{30, 800}, FromUse},
		{"measure.raised.rear_radius", "mm", span{170, 380}, nil, span{30, 800}, FromUse},
		{"measure.twisted.apart", "m", span{0.2, 3}, nil, span{0.02, 20}, FromUse},
		{"measure.twisted.wires", "m", span{0.5, 6}, nil, span{0.05, 30}, FromUse},
		{"measure.twisted.period", "s", span{0.5, 15}, nil, span{0.05, 200}, FromUse},
		{"measure.swung.above", "m", span{0.1, 3}, nil, span{0.01, 20}, FromUse},
		{"measure.swung.period", "s", span{0.5, 6}, nil, span{0.05, 200}, FromUse},
		{"measure.chamber.filled", "cc", span{4, 150}, nil, span{0.5, 1000}, FromUse},
		{"measure.chamber.plug_hole", "cc", span{0.2, 8}, nil, span{0, 50}, FromUse},
		{"measure.dome.filled", "cc", span{3, 200}, nil, span{0.5, 1000}, FromUse},
		{"measure.dome.depth", "mm", span{2, 40}, nil, span{0.1, 200}, FromUse},
		{"measure.fork.light", "kg", span{5, 150}, nil, span{0.5, 1000}, FromUse},
		{"measure.fork.light_travel", "mm", span{1, 250}, nil, span{0, 700}, FromUse},
		{"measure.fork.heavy", "kg", span{10, 250}, nil, span{0.5, 1000}, FromUse},
		{"measure.fork.heavy_travel", "mm", span{10, 320}, nil, span{1, 700}, FromUse},
		{"measure.motored.pull", "N", span{2, 300}, nil, span{0.1, 5000}, FromUse},
		{"measure.motored.arm", "mm", span{80, 1000}, nil, span{10, 5000}, FromUse},
		{"measure.motored.speed", "rpm", span{200, 4000}, nil, span{50, 15000}, FromUse},
		{"measure.flywheel.mass", "kg", span{1.5, 20}, nil, span{0.1, 200}, FromUse},
		{"measure.flywheel.circle", "mm", span{30, 250}, nil, span{5, 2000}, FromUse},
		{"measure.flywheel.wires", "m", span{0.3, 3}, nil, span{0.02, 30}, FromUse},
		{"measure.flywheel.period", "s", span{0.2, 6}, nil, span{0.02, 200}, FromUse},
		{"measure.front_roll_out.distance", "m", span{1, 60}, nil, span{0.1, 1000}, FromUse},
		{"measure.front_roll_out.turns", "1", span{1, 30}, nil, span{1, 1000}, FromUse},
		{"measure.rear_roll_out.distance", "m", span{1, 60}, nil, span{0.1, 1000}, FromUse},
		{"measure.rear_roll_out.turns", "1", span{1, 30}, nil, span{1, 1000}, FromUse},
		{"measure.front_tyre.light", "kg", span{5, 150}, nil, span{0.5, 1000}, FromUse},
		{"measure.front_tyre.light_axle", "mm", span{170, 380}, nil, span{30, 800}, FromUse},
		{"measure.front_tyre.heavy", "kg", span{15, 250}, nil, span{0.5, 1000}, FromUse},
		{"measure.front_tyre.heavy_axle", "mm", span{160, 380}, nil, span{30, 800}, FromUse},
		{"measure.rear_tyre.light", "kg", span{5, 150}, nil, span{0.5, 1000}, FromUse},
		{"measure.rear_tyre.light_axle", "mm", span{170, 380}, nil, span{30, 800}, FromUse},
		{"measure.rear_tyre.heavy", "kg", span{15, 250}, nil, span{0.5, 1000}, FromUse},
		{"measure.rear_tyre.heavy_axle", "mm", span{160, 380}, nil, span{30, 800}, FromUse},
		{"measure.front_shoes.lever", "N", span{10, 600}, nil, span{0.5, 10000}, FromUse},
		{"measure.front_shoes.pull", "N", span{10, 2500}, nil, span{0.5, 50000}, FromUse},
		{"measure.front_shoes.at", "mm", span{150, 420}, nil, span{10, 2000}, FromUse},
		{"measure.rear_shoes.lever", "N", span{10, 800}, nil, span{0.5, 10000}, FromUse},
		{"measure.rear_shoes.pull", "N", span{10, 3500}, nil, span{0.5, 50000}, FromUse},
		{"measure.rear_shoes.at", "mm", span{150, 420}, nil, span{10, 2000}, FromUse},
		{"measure.front_pads.lever", "N", span{10, 600}, nil, span{0.5, 10000}, FromUse},
		{"measure.front_pads.pull", "N", span{10, 2500}, nil, span{0.5, 50000}, FromUse},
		{"measure.front_pads.at", "mm", span{150, 420}, nil, span{10, 2000}, FromUse},
		{"measure.rear_pads.lever", "N", span{10, 800}, nil, span{0.5, 10000}, FromUse},
		{"measure.rear_pads.pull", "N", span{10, 3500}, nil, span{0.5, 50000}, FromUse},
		{"measure.rear_pads.at", "mm", span{150, 420}, nil, span{10, 2000}, FromUse},
		{"measure.intake_lobe[].angle", "deg", span{-180, 180}, nil, span{-360, 360}, FromUse},
		{"measure.intake_lobe[].lift", "mm", span{-0.1, 15}, nil, span{-5, 30}, FromUse},
		{"measure.exhaust_lobe[].angle", "deg", span{-180, 180}, nil, span{-360, 360}, FromUse},
		{"measure.exhaust_lobe[].lift", "mm", span{-0.1, 15}, nil, span{-5, 30}, FromUse},
		{"measure.grip.pull", "N", span{50, 4000}, nil, span{1, 50000}, FromUse},
		{"measure.grip.mass", "kg", span{10, 450}, nil, span{1, 3000}, FromUse},
		{"measure.rolling.pull", "N", span{2, 800}, nil, span{0.1, 20000}, FromUse},
		{"measure.rolling.mass", "kg", span{10, 450}, nil, span{1, 3000}, FromUse},

		// of a mass that a part adds
		{"adds.mass", "kg", span{-60, 60}, nil, span{-500, 500}, FromUse},
		{"adds.x", "mm", span{-500, 2000}, nil, span{-2000, 4000}, FromUse},
		{"adds.z", "mm", span{0, 1500}, nil, span{-500, 3000}, FromUse},
	}
}

// spanOf is the span of an input by its path in the schema.
var spanOf = sync.OnceValue(func() map[string]Span {
	lines := spans()
	byPath := make(map[string]Span, len(lines))
	for _, line := range lines {
		unit := quantity.MustUnit(line.unit)
		si := func(s span) [2]float64 { return [2]float64{unit.ToSI(s[0]), unit.ToSI(s[1])} }
		s := Span{Unit: unit, Least: unit.ToSI(line.computes[0]), Most: unit.ToSI(line.computes[1]), Source: line.source, usual: map[string][2]float64{"": si(line.usual)}}
		for layout, ends := range line.differs {
			s.usual[layout] = si(ends)
		}
		byPath[line.path] = s
	}
	return byPath
})

// AddedMassSpan is the span of a mass that a part adds: of its "mass", "x" or "z".
func AddedMassSpan(name string) Span { return spanOf()["adds."+name] }
