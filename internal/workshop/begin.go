package workshop

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"shakedown/internal/faults"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// FirstQuestion is a question that a new owner can answer with a rule, a bathroom scale and what is printed on the
// machine.
type FirstQuestion struct {
	Path    string
	Words   string // the question
	Example string
}

// Questions are those for a layout, in the order in which an owner walks round the machine.
func Questions(layout string) []FirstQuestion {
	list := []FirstQuestion{
		{"name", "What is it called?", "Fenmoor T285, 1983"},
		{"engine.cooling", "Is it cooled by air or liquid?", "air"},
		{"engine.bore", "Bore (handbook, or measured)", "74 mm"},
		{"engine.stroke", "Stroke", "66.3 mm"},
		{"engine.claimed_ratio", "Compression ratio (handbook)", "9.3"},
		{"engine.head.intake_valve.count", "How many intake valves has a cylinder?", "1"},
		{"engine.intake.carburettor.venturi", "Bore of the carburettor (handbook, or the number cast on it)", "28 mm"},
		{"engine.tuned_for", "What did its maker tune the engine for: utility, trail or race?", "trail"},
		{"engine.claimed_power", "Greatest power (handbook)", "15 kW"},
		{"engine.claimed_power_speed", "Engine speed of that power (handbook)", "8000 rpm"},
		{"engine.redline", "Highest engine speed you will use", "8500 rpm"},
		{"mass.dry", "Weight of the machine without fuel: weigh each wheel on a bathroom scale and add", "131 kg"},
		{"mass.front_share", "Share of that on the front: weight on the front divided by the whole", "0.33"},
		{"geometry.wheelbase", "Wheelbase, axle to axle", "1240 mm"},
		{"geometry.track_front", "Front track, middle to middle of the tyres", "790 mm"},
		{"geometry.track_rear", "Rear track, middle to middle of the tyres", "790 mm"},
		{"wheels.front.tyre", "Size moulded on the front tyre", machine.Typical(layout, "wheels.front.tyre")},
		{"wheels.rear.tyre", "Size moulded on the rear tyre", machine.Typical(layout, "wheels.rear.tyre")},
		{"wheels.axle.diameter", "Rear axle's diameter at the bearings", "25 mm"},
		{"wheels.axle.bearing_spacing", "Middle to middle of the axle's bearings", "180 mm"},
		{"driveline.sprockets.front", "Teeth of the front sprocket", "12"},
		{"driveline.sprockets.rear", "Teeth of the rear sprocket", "42"},
		{"driveline.chain.pitches", "Pitches of the chain", "92"},
		{"rider.mass", "Your weight without kit", "74 kg"},
	}
	return slices.DeleteFunc(list, func(a FirstQuestion) bool { return !machine.Fits(layout, a.Path) })
}

// Acceptable says what is wrong with an answer to a question; nil when it can stand in a sheet.
func Acceptable(path, answer string) error {
	field := machine.FieldAt(path)
	if field == nil {
		return faults.Mendable(fmt.Errorf("there is no input %q; docs/inputs.md lists them", path))
	}
	switch field.Shape {
	case machine.Number:
		q, err := quantity.Parse(answer, field.Spec)
		if fault := field.Fault(q); err == nil && fault != nil {
			err = fmt.Errorf("%s %s; expected %s; %s", path, fault.What, fault.Expected, fault.Remedy)
		}
		if err != nil {
			return faults.Mendable(err)
		}
	case machine.Choice:
		if path == "layout" && !slices.Contains(field.Words, answer) {
			return faults.Mendable(noLayout(answer))
		}
		if !slices.Contains(field.Words, answer) {
			return faults.Mendable(fmt.Errorf("%q is not one of %s", answer, quantity.AnyOf(field.Words)))
		}
	}
	return nil
}

// Layouts are where the wheels of a machine may be.
func Layouts() []string { return slices.Clone(machine.Layouts) }

// Unacceptable are the answers to the questions for a new machine that cannot stand in a sheet, each with the reason.
func Unacceptable(answers map[string]string) map[string]error {
	bad := map[string]error{}
	for path, answer := range answers {
		written, err := Setting{Path: path, New: answer}.Written()
		if err == nil {
			err = Acceptable(path, written.New)
		}
		if err != nil {
			bad[path] = err
			continue
		}
		answers[path] = written.New
	}
	return bad
}

// noLayout says what layouts there are, and which was meant.
func noLayout(word string) error {
	hint := ""
	if meant := machine.Meant(word); meant != "" {
		hint = fmt.Sprintf("; did you mean %s?", meant)
	}
	return fmt.Errorf("%q is no layout; there are %s%s", word, quantity.AnyOf(machine.Layouts), hint)
}

// NewSheet is the text of a new sheet for a layout. Answers are texts by input path; a number without a word of how it
// is known counts as measured. The text is read once before it is handed out, so it can be trusted to be read again.
func NewSheet(layout string, answers map[string]string, day time.Time) ([]byte, error) {
	if !slices.Contains(machine.Layouts, layout) {
		return nil, faults.Mendable(noLayout(layout))
	}
	whole := map[string]string{"layout": layout}
	for _, path := range slices.Sorted(maps.Keys(answers)) {
		answer := strings.TrimSpace(answers[path])
		if err := Acceptable(path, answer); err != nil {
			return nil, faults.Mendable(fmt.Errorf("%s: %w", path, err))
		}
		field := machine.FieldAt(path)
		if field.Shape == machine.Number && !field.Spec.Exact && !quantity.SaysKnown(answer) {
			answer += " measured"
		}
		whole[path] = answer
	}
	text, err := sheet.New(layout, whole, day.Format(time.DateOnly))
	if err != nil {
		return nil, faults.Mendable(err)
	}
	if _, err := sheet.Parse(&sheet.File{Name: "new sheet", Text: text}); err != nil {
		return nil, err
	}
	return text, nil
}
