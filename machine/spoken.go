package machine

import "strings"

// Spoken is what an input is in an owner's words, for sentences: "cylinder bore" for engine.bore. A path that is no input is given back.
func Spoken(path string) string {
	field := FieldAt(path)
	if field == nil {
		return path
	}
	text := field.Doc
	for _, end := range []string{";", ":", ","} {
		text, _, _ = strings.Cut(text, end)
	}
	switch {
	case strings.HasPrefix(path, "wheels.front."), strings.HasPrefix(path, "suspension.front."), strings.HasPrefix(path, "brakes.front."):
		return ended(text, "front")
	case strings.HasPrefix(path, "wheels.rear."), strings.HasPrefix(path, "suspension.rear."), strings.HasPrefix(path, "brakes.rear."):
		return ended(text, "rear")
	}
	if _, rest, ok := strings.Cut(path, "valve_train."); ok {
		side, _, _ := strings.Cut(rest, ".")
		return ended(text, side)
	}
	return text
}

// ended adds the end of the machine, or the side of the head, to words that do not say it.
func ended(text, end string) string {
	if strings.Contains(text, end) {
		return text
	}
	return text + " (" + end + ")"
}

// beyondOwners are inputs that an owner has no means of measuring: properties of a material, and shares that stand for a model. The maker may know the
// first; the others stay as they are until a better model. Common practice.
var beyondOwners = map[string]bool{
	"wheels.axle.yield": true, "wheels.axle.weakest.stress_factor": true,
	"track.slip_at_peak": true, "track.slide_share": true, "track.axle_holds": true,
	"engine.cam.lobe_fullness": true, "engine.fuel.mon": true, "driveline.efficiency": true,
	"engine.head.intake_valve.seat_angle": true, "engine.head.exhaust_valve.seat_angle": true,
	"suspension.front.tube_yield": true,
}

// Measurable says that an owner can measure an input, or have it measured at a shop.
func Measurable(path string) bool { return FieldAt(path) != nil && !beyondOwners[path] }
