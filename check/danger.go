package check

import (
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/quantity"
)

// dangers are the rules by what is lost when their findings are not heeded, the most dangerous first. Findings of one
// severity are told in this order. Rules that stand nowhere here cost money and time and come last. The order is by
// judgement.
var dangers = [...][]string{
	figure.Rider: {
		"condition", "wheel-pattern", "axle-load", "fork-bends", "brake-fluid", "fluid-class", "pad-on-disc", "drum-heat", "bearing-fit", "beadlock", "tyre-load", "tyre-rim", "tyre-clearance",
		"fork-overlap", "spring-solid", "chain-slack", "gaps", "moved-controls", "wheel-offset", "tips-before-slides", "class-eligible",
	},
	figure.Machine: {
		"piston-to-valve", "not-read", "valve-to-valve", "coil-bind", "retainer", "squish", "deck-height", "rod-load", "piston-speed", "valve-float", "ring-gap", "pin-fit", "gasket-over-bore", "liner-left",
		"piston-clearance", "cam-late", "leak-down", "cranking",
		"compression-fuel", "heat", "ignition-range", "jet-for-air", "balance", "spigot-fit", "spring-follower", "gearbox-load", "chain-fit", "sprocket-room", "sprocket-ground", "chain-on-arm", "shock-stroke", "oil-air-gap",
		"ground-clearance", "excludes",
	},
}

// place is what a rule's findings put at stake, and how far down the list of dangers it stands.
func (rule *Rule) place() (figure.Stake, int) {
	before := 0
	for stake, ids := range dangers {
		if i := slices.Index(ids, rule.ID); i >= 0 {
			return figure.Stake(stake), before + i
		}
		before += len(ids)
	}
	return figure.Money, before + slices.IndexFunc(rules, func(r Rule) bool { return r.ID == rule.ID })
}

// Stake is what may be lost when the rule's findings are not heeded.
func (rule *Rule) Stake() figure.Stake {
	stake, _ := rule.place()
	return stake
}

// movers say which inputs move what a rule judges: when a part of the build changes one of them and the rule cannot be
// judged, nobody knows whether the part breaks something. Paths end where whatever stands below counts too.
var movers = map[string][]string{
	"piston-to-valve": valveMovers, "not-read": valveMovers,
	"coil-bind": {"engine.cam.intake.", "engine.cam.exhaust.", "engine.valve_train."}, "retainer": {"engine.cam.intake.", "engine.cam.exhaust.", "engine.valve_train."},
	"valve-to-valve": {"engine.cam.intake.", "engine.cam.exhaust.", "engine.head.intake_valve.", "engine.head.exhaust_valve."},
	"valve-float":    {"engine.cam.", "engine.valve_train.", "engine.redline"}, "spring-follower": {"engine.cam.", "engine.valve_train."},
	"ring-gap": {"engine.bore", "engine.ring_mass", "engine.piston_mass"}, "gasket-over-bore": {"engine.bore", "engine.chamber.gasket_bore"}, "liner-left": {"engine.bore"},
	"compression-fuel": {"engine.bore", "engine.stroke", "engine.chamber."}, "pin-fit": {"engine.pin_diameter"},
	"wheel-pattern": {"wheels.front.bolt_circle", "wheels.front.hub", "wheels.rear.bolt_circle", "wheels.rear.hub", "wheels.front.tyre", "wheels.rear.tyre"},
	"axle-load":     {"wheels.axle.", "geometry.track_rear"}, "tyre-clearance": {"wheels.front.tyre", "wheels.rear.tyre", "wheels.front.clearance", "wheels.rear.clearance"},
	"tyre-rim": {"wheels.front.tyre", "wheels.rear.tyre", "wheels.front.rim_width", "wheels.rear.rim_width"}, "spring-solid": {"suspension.front.spring_rate", "suspension.rear.spring_rate"},
	"chain-fit": {"driveline.sprockets.", "driveline.chain."},
}

// valveMovers move the valves against the piston.
var valveMovers = []string{"engine.cam.intake.", "engine.cam.exhaust.", "engine.chamber.deck", "engine.chamber.gasket_thickness", "engine.chamber.dome", "engine.stroke", "engine.rod_length",
	"engine.compression_height", "engine.cylinder_height", "engine.piston_mass", "engine.head.intake_valve.head", "engine.head.exhaust_valve.head", "engine.head.included_valve_angle"}

// before says what must not be done before a rule could be judged.
func before(rule string) string {
	switch rule {
	case "piston-to-valve", "not-read", "coil-bind", "retainer", "valve-to-valve":
		return "turn this engine over"
	case "valve-float", "spring-follower", "ring-gap", "gasket-over-bore", "liner-left", "compression-fuel", "pin-fit":
		return "start this engine"
	}
	return "ride it"
}

// changedNames are what a person calls what a part changes, by the inputs that it sets; the first that fits names it.
var changedNames = []struct{ under, name string }{
	{"engine.cam.", "the cam"}, {"engine.piston_mass", "the piston"}, {"engine.chamber.dome", "the piston"}, {"engine.compression_height", "the piston"}, {"engine.chamber.deck", "the deck"},
	{"engine.chamber.gasket_thickness", "the head gasket"}, {"engine.chamber.", "the combustion chamber"}, {"engine.valve_train.", "the valve springs"}, {"engine.head.", "the valves"}, {"engine.stroke", "the stroke"},
	{"engine.rod_length", "the rod"}, {"engine.bore", "the bore"}, {"engine.redline", "the redline"}, {"engine.pin_diameter", "the gudgeon pin"}, {"engine.", "the engine"},
	{"wheels.axle.", "the axle"}, {"wheels.front.", "the front wheel"}, {"wheels.rear.", "the rear wheels"}, {"geometry.track_rear", "the axle"},
	{"suspension.front.", "the front springs"}, {"suspension.rear.", "the rear springs"}, {"driveline.", "the gearing"},
}

// changed names what a part of the build changes among the inputs that move a rule; "" for nothing.
func (c *Context) changed(rule string) string {
	for _, n := range changedNames {
		for _, under := range movers[rule] {
			if !strings.HasPrefix(under, n.under) && !strings.HasPrefix(n.under, under) {
				continue
			}
			for path, v := range c.Build.Values {
				if strings.HasPrefix(path, under) && strings.HasPrefix(path, n.under) && v.Origin.Part != "" {
					return n.name
				}
			}
		}
	}
	return ""
}

// unread marks what could not be judged although a part of the build moves it.
func (c *Context) unread(rule *Rule, findings []figure.Finding) {
	for i := range findings {
		f := &findings[i]
		if f.Severity == figure.NotComputed && f.Stake != figure.Money {
			if f.Changes = c.changed(rule.ID); f.Changes != "" {
				f.Before = before(rule.ID)
			}
		}
	}
}

// conditions are the inputs that say whether what holds and stops the machine was looked at, with what each is in a
// sentence.
var conditions = []struct{ path, name, remedy string }{
	{"condition.brakes", "the brakes", "Renew pads, shoes, fluid and hoses or cables before it moves again, by the maker's procedure"},
	{"condition.throttle_return", "the throttle's return", "Free or renew cable, spring and slide until it snaps shut at both locks, before the engine is started"},
	{"condition.steering_head", "the steering head", "Renew its bearings and set them before it is ridden"},
	{"condition.axle_nut", "the axle and wheel nuts", "Renew nuts and studs, tighten to the maker's figure and secure them before it is ridden"},
	{"condition.bearings", "the bearings of axle, wheels and swingarm", "Renew them before it is ridden"},
	{"condition.tyres", "the tyres", "Renew them before it is ridden"},
	{"condition.chain", "the chain and sprockets", "Renew chain and sprockets together, and fit the guard, before it is ridden"},
}

func condition(c *Context, r *report) {
	var unknown, paths []string
	for _, k := range conditions {
		v, ok := c.Build.Values[k.path]
		switch {
		case ok && v.Text == "worn":
			verb := "is"
			if strings.HasSuffix(k.name, "s") && !strings.HasSuffix(k.name, "'s return") || strings.Contains(k.name, " and ") {
				verb = "are"
			}
			r.add(figure.Conflict, k.remedy+".", []string{k.path}, "%s %s worn.", "T"+k.name[1:], verb)
		case !ok:
			unknown, paths = append(unknown, k.name), append(paths, k.path)
		}
	}
	if len(unknown) == 0 {
		return
	}
	r.cannot("the sheet does not say that "+quantity.AllOf(unknown)+" were looked at and are sound", paths, paths...)
	f := &r.findings[len(r.findings)-1]
	f.Before, f.Changes = "ride it", ""
}

// notRead is about piston-to-valve that is given, but not read off this engine, where the build changes what it hangs
// on.
func notRead(c *Context, r *report) {
	if c.changed(r.rule.ID) == "" {
		return
	}
	var paths []string
	for _, side := range sides {
		if _, given := c.Build.Values["engine.head.piston_to_valve."+side]; given { // that it is missing is said where the clearance is judged
			paths = append(paths, c.unreadClearance(side)...)
		}
	}
	if len(paths) > 0 {
		r.cannot("it rests on what nobody has read off this engine", paths, paths...)
	}
}
