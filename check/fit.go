package check

import (
	"fmt"
	"math"

	"shakedown/figure"
	"shakedown/quantity"
)

// Limits of the rules of fit: parts against one another, and against the rider. Common practice, from memory, unless
// the rule's basis says otherwise. Rules about inputs that the owner has not given keep silent: nothing is asked where
// he does not care.
const (
	pinFitMost       = 0.05e-3 // [m] pin and rod's bore apart
	deckDiffers      = 0.2e-3  // [m] deck given and deck from the parts
	squishLeast      = 0.9e-3  // [m]
	squishMost       = 1.2e-3  // [m]
	spigotRoom       = 0.1e-3  // [m] liner in the case's mouth
	valveToValve     = 1.0e-3  // [m]
	headerBelowPort  = 1e-3    // [m] a step into the gas
	headerOverPort   = 1.25    // bore of the header over the port's
	headerSlowest    = 60.0    // [m/s] gas speed in the head pipe at the peak of the power, as piston speed x (bore/pipe)^2
	headerFastest    = 125.0   // [m/s]
	carburettorLeast = 0.58    // bore [mm] over the root of one cylinder's litres x speed of the peak of the power [rpm]
	carburettorMost  = 0.76
	carburettorSlack = 0.05    // [-] of either before anything is said: the rule is rough
	outletOverHeader = 0.5     // area of the silencer's outlet over the header's
	filterFastest    = 1.5     // [m/s] mean
	jetMoves         = 0.01    // of the jet's number
	gearboxRise      = 0.10    // of the torque at the clutch
	sprocketRoom     = 3e-3    // [m] around chain and sprocket
	bearingFit       = 0.05e-3 // [m] axle and bearing apart
	beadlockBelow    = 14e3    // [Pa] rear tyre pressure
	overlapDiameters = 2       // of the fork tube inside the slider
	strokeOver       = 0.5e-3  // [m] travel asks more than the shock has
	statorShare      = 0.8     // of the stator's power
	heatRise         = 1.0     // of the ratio from intake closing, air-cooled
	gapLeast         = 5e-3    // [m] between parts that move
	kneeLeast        = 65 * math.Pi / 180
	kneeMost         = 125 * math.Pi / 180
	reachLeast       = 0.22
	reachMost        = 0.40
)

func pinFit(c *Context, r *report) {
	pin, ok1 := c.number("engine.pin_diameter")
	bore, ok2 := c.number("engine.rod_pin_bore")
	if !ok1 || !ok2 {
		return
	}
	where := []string{"engine.pin_diameter", "engine.rod_pin_bore"}
	switch {
	case !less(pin, bore):
		r.add(figure.Conflict, "Find the piston with the rod's pin, or have the rod bushed or honed.", where, "The pin of %s does not go into the rod's small end of %s.", c.show(pin, "mm"), c.show(bore, "mm"))
	case less(pin+pinFitMost, bore):
		r.add(figure.Conflict, "Have the small end bushed to the pin.", where, "The rod's small end of %s leaves %s around the pin of %s; it would knock.", c.show(bore, "mm"), c.show(bore-pin, "mm"), c.show(pin, "mm"))
	}
}

func deckHeight(c *Context, r *report) {
	deck, given := c.number("engine.chamber.deck")
	made, ok := c.figure(r, "engine.deck_from_parts")
	if !ok || !given || !less(deckDiffers, math.Abs(made.Value-deck)) {
		return
	}
	r.add(figure.Caution, "Measure the deck with this piston, and set it in the part that brings the piston: compression and clearances follow it.", []string{made.ID, "engine.chamber.deck"},
		"Cylinder, rod and this piston's compression height make a deck of %s; the sheet has %s.", c.shown(made), c.show(deck, "mm"))
}

func squish(c *Context, r *report) {
	gap, ok := c.number("engine.clearances.squish")
	if !ok {
		return
	}
	switch {
	case less(gap, squishLeast):
		r.add(figure.Caution, fmt.Sprintf("A gasket %s thicker brings it to %s.", c.show(squishLeast-gap, "mm"), c.show(squishLeast, "mm")), []string{"engine.clearances.squish"},
			"The squish gap of %s is less than %s; rod stretch and carbon can make the piston touch.", c.show(gap, "mm"), c.show(squishLeast, "mm"))
	case less(squishMost, gap):
		r.add(figure.Note, fmt.Sprintf("Taking %s off the gasket or the cylinder brings it to %s; look at compression and valve clearance first.", c.show(gap-squishMost, "mm"), c.show(squishMost, "mm")), []string{"engine.clearances.squish"},
			"The squish gap of %s is more than %s; it no longer stirs the charge and the edge can knock.", c.show(gap, "mm"), c.show(squishMost, "mm"))
	}
}

func spigotFit(c *Context, r *report) {
	spigot, ok1 := c.number("engine.liner_spigot")
	mouth, ok2 := c.number("engine.case_mouth")
	if !ok1 || !ok2 || !less(mouth, spigot+spigotRoom) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf("Have the case bored to %s: the engine must be taken apart for it.", c.show(spigot+spigotRoom, "mm")), []string{"engine.liner_spigot", "engine.case_mouth"},
		"The liner's spigot of %s does not go into the case's mouth of %s with room to spare.", c.show(spigot, "mm"), c.show(mouth, "mm"))
}

func valvesApart(c *Context, r *report) {
	f, ok := c.figure(r, "engine.valve_to_valve")
	if !ok || !less(f.Value, valveToValve) {
		return
	}
	verb := "come within " + c.shown(f)
	if f.Value <= 0 {
		verb = "meet"
	}
	r.add(figure.Conflict, "Use less lift, a cam with less overlap, or smaller heads; measure with both valves held open.", []string{f.ID, "engine.head.valve_gap"},
		"Intake and exhaust valve %s over the overlap; %s is needed.", verb, c.show(valveToValve, "mm"))
}

func headerFit(c *Context, r *report) {
	port, ok1 := c.number("engine.exhaust.port_diameter")
	header, ok2 := c.number("engine.exhaust.header[0].bore")
	if !ok1 || !ok2 {
		return
	}
	where := []string{"engine.exhaust.header[0].bore", "engine.exhaust.port_diameter"}
	switch {
	case less(header, port-headerBelowPort):
		r.add(figure.Caution, fmt.Sprintf("Use a pipe of %s or more, or have a cone made.", c.show(port, "mm")), where, "The head pipe of %s is narrower than the port of %s: a step into the gas.", c.show(header, "mm"), c.show(port, "mm"))
	case c.ready(peakTorque):
		c.headerSpeed(r, header)
	case less(headerOverPort*port, header):
		r.add(figure.Note, "It suits power at the top; for pull from low down stay nearer to the port.", where, "The head pipe of %s is %s wider than the port of %s.", c.show(header, "mm"), percent(header/port-1), c.show(port, "mm"))
	}
}

// headerSpeed judges the bore of the head pipe by the gas at the peak of the power.
func (c *Context) headerSpeed(r *report, header float64) {
	peak, ok := c.figure(r, "engine.header_speed_at_peak")
	if !ok || !c.powerPeak(r, "engine.exhaust.header[0].bore") {
		return
	}
	speed := peak.Value
	fits := func(limit float64) string { return c.show(header*math.Sqrt(speed/limit), "mm") }
	where := []string{"engine.exhaust.header[0].bore"}
	at := fmt.Sprintf("%s at the peak of the power, %s", c.show(speed, "m/s"), c.round(c.Figures[peakPowerSpeed]))
	switch {
	case less(speed, headerSlowest):
		r.add(figure.Note, fmt.Sprintf("Up to %s is usual for this engine; compute the curve with it before you buy.", fits(headerSlowest)), where, "The head pipe of %s is wide for this engine: by piston speed and bores the gas runs at %s; %s to %s is usual.", c.show(header, "mm"), at, c.show(headerSlowest, "m/s"), c.show(headerFastest, "m/s"))
	case less(headerFastest, speed):
		r.add(figure.Note, fmt.Sprintf("From %s on is usual for this engine; compute the curve with it before you buy.", fits(headerFastest)), where, "The head pipe of %s is narrow for this engine: by piston speed and bores the gas runs at %s; %s to %s is usual.", c.show(header, "mm"), at, c.show(headerSlowest, "m/s"), c.show(headerFastest, "m/s"))
	}
}

// powerPeak says whether the curve's power has a peak to judge by; where it has none the rule is reported as not
// judged.
func (c *Context) powerPeak(r *report, where ...string) bool {
	f, ok := c.peak(peakPowerSpeed)
	if !ok && f.State == figure.Ready {
		r.cannot(fmt.Sprintf("the power is %s, %s", f.End, c.round(f)), nil, where...)
	}
	return ok
}

func carburettorSize(c *Context, r *report) {
	bore, ok := c.number("engine.intake.carburettor.venturi")
	if !ok {
		return
	}
	id, speed, from := "engine.carburettor_root", "", "its redline, which stands for the peak of the power until a curve is computed"
	if c.ready(peakTorque) {
		if !c.powerPeak(r, "engine.intake.carburettor.venturi") {
			return
		}
		id, from = "engine.carburettor_root_at_peak", "the peak of its power"
		speed = c.round(c.Figures[peakPowerSpeed])
	} else if redline, ok := c.number("engine.redline"); ok {
		speed = c.round(figure.Figure{Value: redline})
	} else {
		return
	}
	root, ok := c.figure(r, id)
	if !ok {
		return
	}
	one := root.Value
	where := []string{"engine.intake.carburettor.venturi"}
	usual := fmt.Sprintf("%s to %s is usual for this engine at %s, %s", c.show(carburettorLeast*one, "mm"), c.show(carburettorMost*one, "mm"), speed, from)
	switch {
	case less(bore, (1-carburettorSlack)*carburettorLeast*one):
		r.add(figure.Note, "The torque curve says what a larger one gives at the top.", where, "The carburettor of %s is small: %s. It holds the top back.", c.show(bore, "mm"), usual)
	case less((1+carburettorSlack)*carburettorMost*one, bore):
		r.add(figure.Note, "Ride it at low speed before you decide; an accelerator pump helps.", where, "The carburettor of %s is large: %s. Its signal is weak at low speed and the fuel mixes badly, which the torque curve does not show.", c.show(bore, "mm"), usual)
	}
}

func outletSize(c *Context, r *report) {
	outlet, ok1 := c.number("engine.exhaust.silencer.outlet_bore")
	header, ok2 := c.number("engine.exhaust.header[0].bore")
	if !ok1 || !ok2 || !less(outlet*outlet, outletOverHeader*header*header) {
		return
	}
	r.add(figure.Note, fmt.Sprintf("About %s would match the pipe; look at the class's sound limit first. The rule is rough.", c.show(header*math.Sqrt(outletOverHeader), "mm")), []string{"engine.exhaust.silencer.outlet_bore", "engine.exhaust.header[0].bore"},
		"The silencer's outlet of %s has %s of the head pipe's area; it will hold back what the pipe lets through.", c.show(outlet, "mm"), percent(outlet*outlet/(header*header)))
}

func filterSize(c *Context, r *report) {
	speed, ok := c.figure(r, "engine.filter_speed")
	if !ok || !less(filterFastest, speed.Value) {
		return
	}
	area, _ := c.number("engine.intake.filter_area")
	r.add(figure.Note, fmt.Sprintf("A filter of about %s would do; oil and clean it before every race.", c.show(area*speed.Value/filterFastest, "cm2")), []string{speed.ID, "engine.intake.filter_area"},
		"Air goes through the filter at %s on the mean at redline; above %s it costs power and lets dust through.", c.shown(speed), c.show(filterFastest, "m/s"))
}

func jetForAir(c *Context, r *report) {
	jet, ok := c.figure(r, "engine.jet_for_air")
	fitted, given := c.number("engine.intake.carburettor.main_jet")
	if !ok || !given || !less(jetMoves*fitted, math.Abs(jet.Value-fitted)) {
		return
	}
	way := "thinner"
	if jet.Value > fitted {
		way = "denser"
	}
	r.add(figure.Note, fmt.Sprintf("Try a main jet of about %s in place of %s, and read the plug.", quantity.Number(jet.Value, 0), quantity.Number(fitted, 0)), []string{jet.ID, "air.temperature", "air.altitude"},
		"The air of the sheet is %s than that in which the main jet was found right.", way)
	r.setting("engine.intake.carburettor.main_jet")
}

func gearboxLoad(c *Context, r *report) {
	share, by, where := 0.0, "by the peaks of the torque curves", "engine.bore"
	if peak, was, ok := c.peaks(); ok {
		share = peak.Value/was - 1
		if _, known := c.peak(peakTorqueSpeed); !known {
			by = "by the largest torque in the sweeps, of which not both have a peak"
		}
	} else {
		id := "driveline.clutch_torque"
		if c.Build.TwoStroke() {
			id = "engine.swept_volume"
		}
		torque, ok := c.figure(r, id)
		rises, changed := rise(torque)
		if !ok || !changed {
			return
		}
		share, by, where = rises, "by displacement alone", torque.ID
	}
	if !less(gearboxRise, share) {
		return
	}
	r.add(figure.Caution, "Change the oil often, look at gear dogs and primary teeth at every strip, and do not shift without the clutch.", []string{where},
		"Primary and gearbox carry %s more torque than the baseline's, %s.", percent(share), by)
}

func sprocketFit(c *Context, r *report) {
	for _, end := range ends {
		left, ok := c.figure(r, "driveline."+end+"_sprocket_room")
		if !ok || !less(left.Value, sprocketRoom) {
			continue
		}
		r.add(figure.Conflict, fmt.Sprintf("Find %s more room, or take fewer teeth.", c.show(sprocketRoom-left.Value, "mm")), []string{left.ID, "driveline.sprockets." + end},
			"Around the %s sprocket and its chain %s is left; %s is needed.", end, c.shown(left), c.show(sprocketRoom, "mm"))
	}
}

// fluidClass looks for silicone fluid where there was glycol, or the other way round.
func fluidClass(c *Context, r *report) {
	now, before := c.Build.Text("brakes.front.fluid"), c.Baseline.Text("brakes.front.fluid")
	if now == "" || before == "" || (now == "DOT 5") == (before == "DOT 5") {
		return
	}
	r.add(figure.Caution, "Strip it, clean it with brake cleaner as its maker says, change all seals, then fill; or stay with the class that was in it.", []string{"brakes.front.fluid"},
		"%s does not mix with the %s that was in the brake: one of the two is silicone.", now, before)
}

func wheelOffset(c *Context, r *report) {
	offset, ok := c.number("wheels.rear.offset")
	was := c.Baseline.Project.Number(c.Baseline.Values["wheels.rear.offset"])
	track, ok1 := c.number("geometry.track_rear")
	trackWas := c.Baseline.Project.Number(c.Baseline.Values["geometry.track_rear"])
	if !ok || !ok1 || !c.Baseline.Given("wheels.rear.offset") || math.Abs(offset-was) < 1e-4 || math.Abs(track-trackWas) > 1e-4 {
		return
	}
	r.add(figure.Caution, fmt.Sprintf("Set the rear track to about %s in the same part, or measure it with the wheels on.", c.show(trackWas+2*(offset-was), "mm")), []string{"wheels.rear.offset", "geometry.track_rear"},
		"The rear wheels' offset changes from %s to %s, and the track in the sheet does not follow.", c.show(was, "mm"), c.show(offset, "mm"))
}

func beadlock(c *Context, r *report) {
	pressure, ok := c.number("wheels.rear.pressure")
	locked, given := c.Build.Values["wheels.rear.beadlock"]
	if !ok || !given || locked.Yes || !less(pressure, beadlockBelow) {
		return
	}
	r.add(figure.Caution, fmt.Sprintf("Ride with %s or more, or fit rims that clamp the bead.", c.show(beadlockBelow, "kPa")), []string{"wheels.rear.pressure", "wheels.rear.beadlock"},
		"At %s a rear tyre can come off a rim that does not clamp its bead.", c.show(pressure, "kPa"))
	r.setting("wheels.rear.pressure")
}

func tyreLoad(c *Context, r *report) {
	for _, end := range ends {
		share, ok := c.figure(r, "tyres."+end+".load_share")
		if !ok || !less(1, share.Value) {
			continue
		}
		r.add(figure.Conflict, "Fit a tyre of a higher load index.", []string{share.ID, "wheels." + end + ".load_index"},
			"A %s wheel carries %s of what its tyre may.", end, percent(share.Value))
	}
}

func forkOverlap(c *Context, r *report) {
	overlap, ok1 := c.number("suspension.front.overlap")
	outer, ok2 := c.number("suspension.front.tube_outer")
	if !ok1 || !ok2 || !less(overlap, overlapDiameters*outer) {
		return
	}
	r.add(figure.Caution, "Do not lengthen the travel by this much, or use longer tubes.", []string{"suspension.front.overlap", "suspension.front.tube_outer"},
		"Fully extended only %s of tube is left in the slider; %s, two diameters, is needed to guide it.", c.show(overlap, "mm"), c.show(overlapDiameters*outer, "mm"))
}

func forkBends(c *Context, r *report) {
	load, ok := c.figure(r, "suspension.front.bend_load")
	mass, ok1 := c.figure(r, "chassis.mass")
	if !ok || !ok1 {
		return
	}
	weight := mass.Value * quantity.StandardGravity
	severity, bends := bendsLanding(load.Value, weight)
	if !bends {
		return
	}
	r.add(severity, "Stiffer tubes, a shorter reach below the clamp, or land on the rear wheels.", []string{load.ID, "suspension.front.tube_outer"},
		"The fork tubes bend at %s on the front wheel; a landing of twice the weight is %s.", c.shown(load), c.show(landing*weight, "N"))
}

func shockStroke(c *Context, r *report) {
	for _, end := range ends {
		needed, ok := c.figure(r, "suspension."+end+".stroke_needed")
		stroke, given := c.number("suspension." + end + ".shock_stroke")
		if !ok || !given || !less(stroke+strokeOver, needed.Value) {
			continue
		}
		travel, _ := c.number("suspension." + end + ".travel")
		r.add(figure.Conflict, fmt.Sprintf("It stops the wheel at about %s: take that as the travel, or find a longer shock.", c.show(travel*stroke/needed.Value, "mm")), []string{needed.ID, "suspension." + end + ".shock_stroke"},
			"The %s travel of %s needs %s of shock stroke; the shock has %s.", end, c.show(travel, "mm"), c.shown(needed), c.show(stroke, "mm"))
	}
}

func bearingFits(c *Context, r *report) {
	bearing, ok1 := c.number("wheels.axle.bearing_bore")
	axle, ok2 := c.number("wheels.axle.diameter")
	if !ok1 || !ok2 || !less(bearingFit, math.Abs(bearing-axle)) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf("Order bearings, seals and carrier for %s with the axle.", c.show(axle, "mm")), []string{"wheels.axle.bearing_bore", "wheels.axle.diameter"},
		"The axle has %s at the bearings, which are bored %s.", c.show(axle, "mm"), c.show(bearing, "mm"))
}

func electrics(c *Context, r *report) {
	power, ok1 := c.number("electrics.stator_power")
	load, ok2 := c.number("electrics.load")
	if !ok1 || !ok2 || !less(statorShare*power, load) {
		return
	}
	r.add(figure.Caution, fmt.Sprintf("Take %s off, or have the stator rewound.", c.show(load-statorShare*power, "W")), []string{"electrics.stator_power", "electrics.load"},
		"Lamps, ignition and pumps take %s of the stator's %s; %s is as much as it keeps up.", c.show(load, "W"), c.show(power, "W"), percent(statorShare))
}

// classEligible looks at what makes a machine eligible at all.
func classEligible(c *Context, r *report) {
	before, ok1 := c.number("class_rules.built_before")
	year, ok2 := c.number("year")
	if ok1 && ok2 && !less(year, before) {
		r.add(figure.Conflict, "Enter the next class, or ask the organiser.", []string{"year", "class_rules.built_before"},
			"The machine is of %s; the class takes those built before %s.", quantity.Number(year, 0), quantity.Number(before, 0))
	}
	if asked := c.Build.Values["class_rules.tether"]; asked.Yes && !c.Build.Values["electrics.tether"].Yes {
		r.add(figure.Conflict, "Fit one and try it: the engine must stop at once.", []string{"class_rules.tether", "electrics.tether"},
			"The class requires a tether switch, and the machine has none.")
	}
}

func chainSlack(c *Context, r *report) {
	needed, ok := c.figure(r, "driveline.chain_slack")
	slack, given := c.number("driveline.chain.slack")
	if !ok || !given || !less(slack, needed.Value) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf("Set it to %s or more with the wheel hanging, then push the rear down and feel that it never goes tight.", c.show(needed.Value, "mm")), []string{needed.ID, "driveline.chain.slack"},
		"With %s of play the chain goes tight where sprocket, pivot and axle stand in line: it needs %s with the wheel hanging.", c.show(slack, "mm"), c.shown(needed))
}

func groundClearance(c *Context, r *report) {
	left, ok := c.figure(r, "chassis.clearance_at_bump")
	if !ok || !less(left.Value, 0) {
		return
	}
	r.add(figure.Caution, fmt.Sprintf("A skid plate, and stiffer springs or %s less travel.", c.show(-left.Value, "mm")), []string{left.ID, "geometry.ground_clearance"},
		"With both ends at full bump the lowest point is %s below the ground: it strikes before the springs are used up.", c.show(-left.Value, "mm"))
}

func riderFit(c *Context, r *report) {
	knee, ok := c.figure(r, "rider.knee_angle")
	if ok && (less(knee.Value, kneeLeast) || less(kneeMost, knee.Value)) {
		r.add(figure.Note, "Sit on it with boots on before you pay for seat or pegs.", []string{knee.ID, "geometry.seat.z", "geometry.peg.z"},
			"Seated, the rider's knee is bent to %s; %s to %s is usual.", c.shown(knee), c.show(kneeLeast, "deg"), c.show(kneeMost, "deg"))
	}
	reach, ok := c.figure(r, "rider.reach")
	if ok && (less(reach.Value, reachLeast) || less(reachMost, reach.Value)) {
		r.add(figure.Note, "Sit on it and turn the bar from lock to lock before you pay for bar or seat.", []string{reach.ID, "geometry.bar.x", "geometry.seat.x"},
			"The bar is %s of the rider's stature ahead of the seat; %s to %s is usual.", percent(reach.Value), percent(reachLeast), percent(reachMost))
	}
}

// gaps looks at every entry of fits.
func gaps(c *Context, r *report) {
	for i := range c.Build.Len("fits") {
		f, ok := c.figure(r, fmt.Sprintf("fit.%d", i+1))
		if !ok || !less(f.Value, gapLeast) {
			continue
		}
		what := c.Build.Text(fmt.Sprintf("fits[%d].what", i))
		text := "comes within " + c.shown(f)
		if f.Value <= 0 {
			text = "touches"
		}
		r.add(figure.Conflict, fmt.Sprintf("Move or trim one of the two by %s, or limit the travel.", c.show(gapLeast-f.Value, "mm")), []string{f.ID, fmt.Sprintf("fits[%d]", i)},
			"%s: it %s somewhere between full droop, full bump and full lock; %s is needed.", what, text, c.show(gapLeast, "mm"))
	}
}

// heat says what more compression does to an air-cooled engine, until heat is computed.
func heat(c *Context, r *report) {
	ratio, ok := c.figure(r, "engine.trapped_compression_ratio")
	if !ok || ratio.Change == nil || c.Build.Text("engine.cooling") != "air" || !less(heatRise, ratio.Change.Value) {
		return
	}
	r.add(figure.Note, "Keep fins and oil clean, fit a larger sump or a cooler, read the plug and feel for a change after hot laps.", []string{ratio.ID},
		"The ratio from intake closing rises by %s on an air-cooled engine: head and oil run hotter, by how much is not computed.", quantity.Number(ratio.Change.Value, 1))
}

func padOnDisc(c *Context, r *report) {
	radius, ok1 := c.number("brakes.front.effective_radius")
	height, ok2 := c.number("brakes.front.pad_height")
	disc, ok3 := c.number("brakes.front.disc_diameter")
	if !ok1 || !ok2 || !ok3 || !less(disc, 2*radius+height) {
		return
	}
	r.add(figure.Conflict, fmt.Sprintf("Move the calliper in by %s, or use a larger disc.", c.show(radius+height/2-disc/2, "mm")), []string{"brakes.front.pad_height", "brakes.front.disc_diameter", "brakes.front.effective_radius"},
		"The front pads reach %s from the axle, beyond the disc's edge at %s.", c.show(radius+height/2, "mm"), c.show(disc/2, "mm"))
}

// movedControls asks for a test of what the rider stands and pulls on.
func movedControls(c *Context, r *report) {
	rider, _ := c.number("rider.mass")
	kit, _ := c.number("rider.kit")
	for _, part := range c.Build.Parts {
		for _, path := range []string{"geometry.peg.x", "geometry.peg.z", "geometry.bar.x", "geometry.bar.z"} {
			if !setsInput(part, path) {
				continue
			}
			r.add(figure.Note, fmt.Sprintf("Block the machine, load each peg and each end of the bar with %s, twice the rider, and look for anything that stays bent.", c.show(2*(rider+kit), "kg")), []string{"parts." + part.ID},
				"%s (%s) moves pegs or bar; their strength is not computed.", part.Name, part.ID)
			break
		}
	}
}

// tankAndSeat calls for a trial where only one of the two changes.
func tankAndSeat(c *Context, r *report) {
	changed := func(list string) bool {
		for _, part := range c.Build.Parts {
			if isWork(part.Kind+" "+part.Name+" "+part.ID, []string{list}) {
				return true
			}
		}
		return false
	}
	tank, seat := changed("tank"), changed("seat")
	if tank == seat {
		return
	}
	fresh, old := "seat", "tank"
	if tank {
		fresh, old = "tank", "seat"
	}
	r.add(figure.Note, "Try the two together, with the rider on, before anything is painted or covered.", []string{"tank.x", "geometry.seat.x"},
		"The %s is new and the %s is not: whether they meet is not computed.", fresh, old)
}

// ignitionRange looks whether the advance is given up to the redline.
func ignitionRange(c *Context, r *report) {
	n := c.Build.Len("engine.ignition_advance")
	redline, ok := c.number("engine.redline")
	if n == 0 || !ok {
		return
	}
	highest := 0.0
	for i := range n {
		speed, _ := c.number(fmt.Sprintf("engine.ignition_advance[%d].rpm", i))
		highest = math.Max(highest, speed)
	}
	if !less(highest, redline) {
		return
	}
	r.add(figure.Note, fmt.Sprintf("Read the advance up to %s with a timing lamp, outdoors, hands and cables clear of chain, fan and hot pipe.", c.show(redline, "rpm")), []string{"engine.ignition_advance[0].rpm", "engine.redline"},
		"The ignition advance is given up to %s, and the redline is %s.", c.show(highest, "rpm"), c.show(redline, "rpm"))
}
