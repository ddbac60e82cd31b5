package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/torque"
	"shakedown/quantity"
)

// Limits of the engine rules. Common practice unless the rule's basis names a source.
const (
	gasketMargin     = 1e-3   // [m] gasket hole over bore
	linerLeast       = 2e-3   // [m]
	ringGapShare     = 0.0045 // of the bore, air-cooled racing use
	loadRise         = 0.10   // inertia load over the baseline's
	balanceChange    = 0.03   // reciprocating mass against the baseline's
	liftLeft         = 1e-3   // [m] to coil bind, to the seal
	clutchMargin     = 1.3    // capacity over peak torque
	chokedEarly      = 0.9    // peak of the power over redline, below which the inlet is cautioned about
	floatMargin      = 1.1    // float speed over redline
	intakeClearance  = 1.5e-3 // [m] piston to valve; cams driven by a chain, which wears and lets the timing go late
	exhaustClearance = 2.0e-3 // [m]
	cleanTurns       = 2      // changes of sign of a lobe's acceleration
)

var sides = []string{"intake", "exhaust"}

func gasketOverBore(c *Context, r *report) {
	gasket, ok1 := c.input(r, "engine.chamber.gasket_bore")
	bore, ok2 := c.input(r, "engine.bore")
	if !ok1 || !ok2 || !less(gasket, bore+gasketMargin) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf("Fit a gasket with a hole of %s or more.", c.show(bore+gasketMargin, "mm")),
		[]string{"engine.chamber.gasket_bore", "engine.bore"},
		"The head gasket's hole of %s leaves only %s to the %s bore; its edge would stand in the flame.", c.show(gasket, "mm"), c.show(gasket-bore, "mm"), c.show(bore, "mm"))
}

func linerLeft(c *Context, r *report) {
	wall, ok := c.figure(r, "engine.liner_wall")
	if !ok || !less(wall.Value, linerLeast) {
		return
	}
	outer, _ := c.number("engine.liner_outer")
	r.add(figure.Conflict, fmt.Sprintf("Stay at a bore of %s or less, or fit a liner of %s outside.", c.show(outer-2*linerLeast, "mm"), c.show(outer-2*wall.Value+2*linerLeast, "mm")),
		[]string{"engine.liner_outer", "engine.bore", "engine.liner_wall"},
		"The bore leaves %s of liner; %s is needed.", c.shown(wall), c.show(linerLeast, "mm"))
}

func ringGap(c *Context, r *report) {
	read, needed := c.number, 0.0
	air := c.Build.Text("engine.cooling") == "air"
	if air { // only there is the gap needed to judge
		read = func(path string) (float64, bool) { return c.input(r, path) }
	}
	gap, ok1 := read("engine.clearances.ring_gap")
	bore, ok2 := read("engine.bore")
	if !ok1 || !ok2 {
		return
	}
	if air {
		needed = ringGapShare * bore
	}
	if least := c.show(needed, "mm"); less(gap, needed) {
		r.add(figure.Conflict, fmt.Sprintf("File the top ring to %s before it goes in.", least), []string{"engine.clearances.ring_gap", "engine.bore"},
			"The top ring's gap of %s is less than the %s that an air-cooled racing engine of this bore needs; its ends would meet when hot.", c.show(gap, "mm"), least)
	}
	wornRing(c, r, gap, needed)
}

func pistonSpeed(c *Context, r *report) {
	speed, ok := c.figure(r, "engine.mean_piston_speed")
	if !ok {
		return
	}
	severity := figure.Note
	switch {
	case speed.Value > 24:
		severity = figure.Conflict
	case speed.Value > 22:
		severity = figure.Caution
	case speed.Value > 20:
	default:
		return
	}
	redline, _ := c.number("engine.redline")
	r.add(severity, fmt.Sprintf("20 m/s would be a redline of %s.", c.show(redline*20/speed.Value, "rpm")), []string{"engine.mean_piston_speed", "engine.redline", "engine.stroke"},
		"The mean piston speed at redline is %s; above 20 m/s an old engine wears fast, above 24 m/s it soon fails.", c.shown(speed))
}

// rise is a figure's change over the baseline's value; ok is false without a change.
func rise(f figure.Figure) (share float64, ok bool) {
	if f.Change == nil || f.Value == f.Change.Value {
		return 0, false
	}
	return f.Change.Value / (f.Value - f.Change.Value), true
}

func rodLoad(c *Context, r *report) {
	load, ok := c.figure(r, "engine.rod_inertia_load")
	share, changed := rise(load)
	if !ok || !changed || !less(loadRise, share) {
		return
	}
	redline, _ := c.number("engine.redline")
	r.add(figure.Caution, fmt.Sprintf("Use a lighter piston and pin, or keep below %s, where the load is as before.", c.show(redline/math.Sqrt(1+share), "rpm")),
		[]string{"engine.rod_inertia_load"}, "The rod's inertia load at redline rises by %s to %s.", percent(share), c.shown(load))
}

func balance(c *Context, r *report) {
	mass, ok := c.figure(r, "engine.reciprocating_mass")
	share, changed := rise(mass)
	if !ok || !changed || !less(balanceChange, math.Abs(share)) || c.hasWork(balancing) {
		return
	}
	r.add(figure.Caution, fmt.Sprintf("Have the crank balanced for the new %s, or find a piston and pin within %s of the old.", c.shown(mass), percent(balanceChange)),
		[]string{"engine.reciprocating_mass"}, "Piston, rings, pin and small end change by %s to %s: the crank is no longer balanced for them.", signedPercent(share), c.shown(mass))
}

func signedPercent(share float64) string {
	if share > 0 {
		return "+" + percent(share)
	}
	return percent(share)
}

func inletChoke(c *Context, r *report) {
	z, ok := c.figure(r, "engine.inlet_mach_index")
	if !ok || z.Value <= 0.5 {
		return
	}
	redline, _ := c.number("engine.redline")
	if c.ready(peakTorque) {
		c.chokeOnCurve(r, z, redline)
		return
	}
	severity := figure.Note
	if z.Value > 0.6 {
		severity = figure.Caution
	}
	r.add(severity, fmt.Sprintf("Expect no more power above %s, or fit a larger inlet valve or a better port.", c.show(redline*0.5/z.Value, "rpm")),
		[]string{"engine.inlet_mach_index"}, "The inlet Mach index at redline is %s; above 0.5 to 0.6 the cylinder no longer fills.", quantity.Number(z.Value, 2))
}

// signedBy is the input that names who answers for less clearance.
const signedBy = "engine.head.piston_to_valve.signed_by"

func pistonToValve(c *Context, r *report) {
	for _, side := range sides {
		least := map[string]float64{"intake": intakeClearance, "exhaust": exhaustClearance}[side]
		f, ok := c.figure(r, "engine.piston_to_valve_mistimed."+side)
		if !ok {
			continue
		}
		given := "engine.head.piston_to_valve." + side
		if len(c.unreadClearance(side)) > 0 && c.changed("not-read") == "" { // where the build changes it, not-read says so
			r.add(figure.Caution, "Do not turn this engine over before you have measured it: a strip of soft wire or modelling clay on the crown, turned by hand.", []string{f.ID, given},
				"The %s valve's clearance to the piston is computed as %s, but from a value that nobody measured on this engine. Measure this first.", side, c.shown(f))
		}
		if !less(f.Value, least) {
			continue
		}
		if who := c.signature(f); who != "" && f.Value > 0 {
			r.add(figure.Caution, "Measure it again with a strip of soft wire each time the head, the cam or its chain is changed.", []string{f.ID, given, signedBy},
				"The %s valve comes within %s of the piston with the cam 2° off, less than the usual %s. %s has signed for it.", side, c.shown(f), c.show(least, "mm"), who)
			continue
		}
		verb, remedy := "comes within "+c.shown(f)+" of", "; or have whoever cuts the pockets sign for less."
		if f.Value <= 0 {
			verb, remedy = "hits", "."
		}
		r.add(figure.Conflict, fmt.Sprintf("Have the %s valve pocket cut deeper by %s, or use less lift or %s; then measure with a strip of soft wire"+remedy,
			side, c.show(least-f.Value, "mm"), map[string]string{"intake": "a later opening", "exhaust": "an earlier closing"}[side]),
			[]string{f.ID, given}, "The %s valve %s the piston with the cam 2° off; it needs %s.", side, verb, c.show(least, "mm"))
	}
}

// unreadClearance are the inputs that the piston-to-valve clearance rests on and that nobody read: the clearance
// itself, and the cam where it is the usual one and not somebody's.
func (c *Context) unreadClearance(side string) (paths []string) {
	path := "engine.head.piston_to_valve." + side
	known := c.knownOf(path)
	if len(known) == 0 || (known[0] != quantity.Measured && known[0] != quantity.Fitted) || slices.Contains(known, quantity.Typical) {
		paths = append(paths, path)
	}
	if c.Build.Len("engine.cam."+side+".table") > 0 {
		return paths
	}
	for _, name := range []string{"lift", "opens", "closes"} {
		if path := "engine.cam." + side + "." + name; slices.Contains(c.knownOf(path), quantity.Typical) {
			paths = append(paths, path)
		}
	}
	return paths
}

// knownOf is how each number that an input is made of is known: the first as set, then what parts add to it.
func (c *Context) knownOf(path string) []quantity.Known {
	v := c.Build.Values[path]
	known := make([]quantity.Known, len(v.Terms))
	for i, atom := range v.Terms {
		known[i] = c.Build.Project.Atoms[atom].Q.Known
	}
	return known
}

// signature is who answers for the clearance; "" for nobody. A signature on the machine is for the machine as it is:
// when a part of the build changes what the clearance is made of, a part of the build has to bring it.
func (c *Context) signature(f figure.Figure) string {
	who := c.Build.Values[signedBy]
	fromPart := func(in figure.Input) bool { return in.Origin.Part != "" }
	if who.Origin.Part == "" && slices.ContainsFunc(f.Basis.Inputs, fromPart) {
		return ""
	}
	return who.Text
}

func coilBind(c *Context, r *report) {
	for _, side := range sides {
		c.leftAtLift(r, "engine.coil_bind_left."+side, side, "to coil bind", "Fit a spring that binds later, shims removed, or a cam with %s less lift.")
	}
}

func retainer(c *Context, r *report) {
	for _, side := range sides {
		c.leftAtLift(r, "engine.retainer_left."+side, side, "between retainer and seal", "Shorten the guide by %s, or use a cam with that much less lift.")
	}
}

func (c *Context) leftAtLift(r *report, id, side, where, remedy string) {
	f, ok := c.figure(r, id)
	if !ok || !less(f.Value, liftLeft) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf(remedy, c.show(liftLeft-f.Value, "mm")), []string{id, "engine.cam." + side + ".lift"},
		"At full lift the %s side has %s left %s; %s is needed.", side, c.shown(f), where, c.show(liftLeft, "mm"))
}

// compressionFuel is rough and says so: the knock model will replace it.
func compressionFuel(c *Context, r *report) {
	trapped, ok1 := c.figure(r, "engine.trapped_compression_ratio")
	ron, ok2 := c.input(r, "engine.fuel.ron")
	if !ok1 || !ok2 {
		return
	}
	allowance := (ron - 95) / 5
	if c.Build.Text("engine.cooling") == "liquid" {
		allowance++
	}
	severity := figure.Note
	switch over := trapped.Value - allowance; {
	case less(11, over):
		severity = figure.Conflict
	case less(9.5, over):
		severity = figure.Caution
	case less(8.5, over):
	default:
		return
	}
	need := 95 + 5*(trapped.Value-9.5-(allowance-(ron-95)/5))
	remedy := "Set the ignition with care, watch the plug, and back off at the first ring of knock."
	if severity != figure.Note {
		remedy = fmt.Sprintf("By this rule it needs about RON %s, or a lower dome, a later closing intake or less advance. The rule is rough.", quantity.Number(math.Ceil(need), 0))
	}
	r.add(severity, remedy, []string{"engine.trapped_compression_ratio", "engine.fuel.ron"},
		"The ratio from intake closing is %s : 1 on fuel of RON %s; the rough limits for this engine are %s (note), %s (caution) and %s (conflict).",
		c.shown(trapped), quantity.Number(ron, 0), quantity.Number(8.5+allowance, 1), quantity.Number(9.5+allowance, 1), quantity.Number(11+allowance, 1))
}

// printedSlack is by how much a maker says that a built engine may be off the ratio that he prints [-].
const printedSlack = 0.5

// printedRatio is silent where a part changes what the ratio follows from, and where the chamber follows from it.
func printedRatio(c *Context, r *report) {
	printed, ok := c.number("engine.claimed_ratio")
	if !ok || c.Build.IsTypical("engine.claimed_ratio") || c.Build.IsTypical("engine.chamber.head") {
		return
	}
	f, ok := c.figure(r, "engine.compression_ratio")
	if !ok || slices.ContainsFunc(f.Basis.Inputs, func(in figure.Input) bool { return in.Origin.Part != "" }) || !less(f.Half()+printedSlack, math.Abs(f.Value-printed)) {
		return
	}
	r.add(figure.Caution, "Measure chamber, deck and gasket again; a skimmed head, another piston or a thicker gasket explain it too.", []string{f.ID, "engine.claimed_ratio", "engine.chamber.head"},
		"What you have measured makes %s : 1, the data sheet says %s.", c.shown(f), quantity.Number(printed, 1))
}

func valveFloat(c *Context, r *report) {
	redline, ok := c.input(r, "engine.redline")
	if !ok {
		return
	}
	for _, side := range sides {
		f, ok := c.figure(r, "engine.valve_float."+side)
		if !ok || !less(f.Value, floatMargin*redline) {
			continue
		}
		severity, text := figure.Caution, "within %[4]s of"
		if less(f.Value, redline) {
			severity, text = figure.Conflict, "below"
		}
		r.add(severity, fmt.Sprintf("Fit springs about %s firmer, or keep below %s.", percent(math.Pow(floatMargin*redline/f.Value, 2)-1), c.show(f.Value/floatMargin, "rpm")),
			[]string{f.ID, "engine.redline"}, "The %[1]s valve floats at %[2]s, "+text+" the redline of %[3]s.", side, c.shown(f), c.show(redline, "rpm"), percent(floatMargin-1))
	}
}

func springFollower(c *Context, r *report) {
	surface := c.Build.Text("engine.cam.follower.surface")
	limits := torque.FollowerLimits()
	for _, side := range sides {
		fast, ok1 := c.figure(r, "engine.nose_stress."+side)
		slow, ok2 := c.figure(r, "engine.nose_stress_slow."+side)
		if !ok1 || !ok2 {
			continue
		}
		worst, when := fast, "at redline"
		if slow.Value > fast.Value {
			worst, when = slow, "turned slowly, when no inertia helps"
		}
		for _, limit := range limits {
			if limit.Surface != surface || !less(limit.Low, worst.Value) {
				continue
			}
			severity := figure.Caution
			if less(limit.High, worst.Value) {
				severity = figure.Conflict
			}
			r.add(severity, standing(limits, worst.Value), []string{worst.ID, "engine.cam.follower.surface"},
				"The %s lobe presses its %s follower with %s at the nose %s; that surface stands %s to %s.", side, surface, c.shown(worst), when, c.show(limit.Low, "MPa"), c.show(limit.High, "MPa"))
		}
	}
}

// standing names the surfaces that stand the stress with care.
func standing(limits []torque.FollowerLimit, stress float64) string {
	var names []string
	for _, limit := range limits {
		if limit.Low >= stress {
			names = append(names, limit.Surface)
		}
	}
	if len(names) == 0 {
		return "No surface in the table stands this with care: softer springs, a wider lobe or a larger follower radius."
	}
	return "Have the follower made " + quantity.AnyOf(names) + ", or fit softer springs."
}

func clutch(c *Context, r *report) {
	capacity, ok1 := c.figure(r, "driveline.clutch_capacity")
	torque, from, where, ok2 := c.clutchTorque(r)
	if !ok1 || !ok2 || !less(capacity.Value, clutchMargin*torque) {
		return
	}
	faces, _ := c.number("driveline.clutch.friction_faces")
	need := clutchMargin * torque / capacity.Value
	r.add(figure.Conflict, fmt.Sprintf("Clutch springs %s firmer, or %s faces in place of %s.", percent(need-1), quantity.Number(2*math.Ceil(faces*need/2-1e-9), 0), quantity.Number(faces, 0)),
		[]string{capacity.ID, where}, "The clutch holds %s; with a margin of %s this engine needs %s. The torque is %s.",
		c.shown(capacity), percent(clutchMargin-1), c.show(clutchMargin*torque, "Nm"), from)
}

// chokeOnCurve judges the inlet by where the power of the torque curve goes over its peak, below the redline [rad/s]:
// the curve knows what the index only hints at. Power that still rises at the end of the sweep is not choked.
func (c *Context) chokeOnCurve(r *report, z figure.Figure, redline float64) {
	f, ok := c.peak(peakPowerSpeed)
	if !ok || !less(f.Value, redline) {
		return
	}
	peak := f.Value
	severity := figure.Note
	if less(peak, chokedEarly*redline) {
		severity = figure.Caution
	}
	r.add(severity, "Expect no more power above that. A larger inlet valve or a better port may move it; compute the curve with it before you buy.", []string{z.ID, peakPowerSpeed},
		"By the torque curve the power goes over its peak at %s, below the redline of %s; the inlet Mach index at redline is %s, and above 0.5 to 0.6 the cylinder no longer fills.", c.show(peak, "rpm"), c.show(redline, "rpm"), quantity.Number(z.Value, 2))
}

// clutchTorque is the greatest torque at the clutch [Nm], what it is taken from, and where that is given: the largest
// of the torque curve when there is one, the rough figure otherwise, never both.
func (c *Context) clutchTorque(r *report) (torque float64, from, where string, ok bool) {
	if !c.ready(peakTorque) {
		f, ok := c.figure(r, "driveline.clutch_torque")
		return f.Value, "taken from 10 bar of mean pressure until a curve is computed", f.ID, ok
	}
	primary, ok := c.input(r, "driveline.primary")
	peak := c.Figures[peakTorque]
	if at, known := c.peak(peakTorqueSpeed); known {
		from = fmt.Sprintf("the peak of the torque curve, %s at %s at the crank", c.shown(peak), c.round(at))
	} else {
		from = fmt.Sprintf("the largest of the torque curve, %s at %s at the crank, the end of the sweep: there may be more beyond it", c.shown(peak), c.round(at))
	}
	return peak.Value * primary, from, peakTorque, ok
}

// notForTwoStrokes says in one line what a two-stroke is not told.
func notForTwoStrokes(c *Context, r *report) {
	if !c.Build.TwoStroke() {
		return
	}
	r.add(figure.NotComputed, "", []string{"engine.cycle"}, "This engine is a two-stroke, for which these are not computed yet: torque, what clutch and fuel it needs, and the gas speeds in carburettor, filter and exhaust. It has no valves or cam to judge. All else is computed and judged.")
}

// The kinds of shop work that the rules know by their words.
var (
	welding   = []string{"weld", "gusset", "braz"}
	coating   = []string{"coat", "paint", "powder", "plating"}
	boring    = []string{"rebore", "boring", "bored"}
	balancing = []string{"balanc"}
)

// hasWork says that a part of the build is work of that kind.
func (c *Context) hasWork(words []string) bool {
	for _, part := range c.Build.Parts {
		if isWork(part.Kind+" "+part.Name+" "+part.ID, words) {
			return true
		}
	}
	return false
}

func isWork(text string, words []string) bool {
	text = strings.ToLower(text)
	for _, word := range words {
		if strings.Contains(text, word) {
			return true
		}
	}
	return false
}

func lobeReadings(c *Context, r *report) {
	for _, side := range sides {
		f, ok := c.figure(r, "engine.lobe_turns."+side)
		if !ok || f.Value <= cleanTurns {
			continue
		}
		r.add(figure.Note, "Look for a mistake in the readings, turn the crank one way only, and read that part again; it may also be wear of the lobe.", []string{f.ID, "measure." + side + "_lobe[0].lift"},
			"The acceleration of the %s lobe as read changes its sign %s times; a clean lobe does so twice.", side, quantity.Number(f.Value, 0))
	}
}
