package check

import (
	"fmt"
	"math"
	"strings"

	"shakedown/figure"
	"shakedown/forecast/running"
	"shakedown/forecast/track"
	"shakedown/quantity"
)

// Limits of the rules for driveline, wheels, chassis and suspension. Common practice.
const (
	clearanceLeast = 10e-3 // [m] around a tyre at full bump
	solidLeast     = 3e-3  // [m] left before a spring goes solid
	airMost        = 3e5   // [Pa] above the air outside, in a fork
	landing        = 2     // weights on one wheel, a landing
	tyreMoves      = 5e-3  // [m] of loaded radius that is worth a word
)

var ends = []string{"front", "rear"}

func chainFit(c *Context, r *report) {
	pitches, ok := c.input(r, "driveline.chain.pitches")
	if !ok {
		return
	}
	if math.Mod(pitches, 2) != 0 {
		r.add(figure.Conflict, fmt.Sprintf("Use %s or %s pitches.", quantity.Number(pitches-1, 0), quantity.Number(pitches+1, 0)), []string{"driveline.chain.pitches"},
			"A chain of %s pitches closes only with a cranked link, which is its weakest.", quantity.Number(pitches, 0))
	}
	centres, ok := c.figure(r, "driveline.chain_centres")
	shortest, ok1 := c.input(r, "driveline.sprocket_centres.shortest")
	longest, ok2 := c.input(r, "driveline.sprocket_centres.longest")
	if !ok || !ok1 || !ok2 {
		return
	}
	if less(centres.Value, shortest) || less(longest, centres.Value) {
		wanted, _ := c.figure(r, "driveline.chain_pitches")
		even := quantity.Number(2*math.Round(wanted.Value/2), 0)
		r.add(figure.Conflict, fmt.Sprintf("The middle of the adjuster needs %s pitches: try %s.", quantity.Number(wanted.Value, 1), even), []string{"driveline.chain.pitches", centres.ID},
			"With these sprockets and %s pitches the centres are %s; the adjuster goes from %s to %s.", quantity.Number(pitches, 0), c.shown(centres), c.show(shortest, "mm"), c.show(longest, "mm"))
	}
	if wrap, ok := c.figure(r, "driveline.chain_wrap"); ok && less(wrap.Value, track.WrapLeast) {
		r.add(figure.Caution, "Use a larger front or smaller rear sprocket, or longer centres.", []string{wrap.ID},
			"The chain wraps the small sprocket by only %s; %s is needed.", c.shown(wrap), c.show(track.WrapLeast, "deg"))
	}
}

func chainRepeat(c *Context, r *report) {
	pitches, ok := c.input(r, "driveline.chain.pitches")
	front, ok1 := c.input(r, "driveline.sprockets.front")
	rear, ok2 := c.input(r, "driveline.sprockets.rear")
	if !ok || !ok1 || !ok2 {
		return
	}
	shared := gcd(int(front), int(pitches))
	if shared < 2 {
		return
	}
	var better []string
	for _, teeth := range []int{int(front) - 1, int(front) + 1} {
		if gcd(teeth, int(pitches)) == 1 {
			better = append(better, fmt.Sprintf("%d teeth share no factor (gearing %s)", teeth, signedPercent(front/float64(teeth)-1)))
		}
	}
	remedy := "Leave it so, or change chain and sprockets together."
	if len(better) > 0 {
		remedy = quantity.Capital(strings.Join(better, "; ")) + "."
	}
	text := fmt.Sprintf("%d teeth and %d pitches share the factor %d: a front tooth meets only every %s link.", int(front), int(pitches), shared, ordinal(shared))
	if also := gcd(int(rear), int(pitches)); also > 1 {
		text += fmt.Sprintf(" The rear's %d teeth share the factor %d.", int(rear), also)
	}
	r.add(figure.Note, remedy, []string{"driveline.sprockets.front", "driveline.chain.pitches"}, "%s", text)
}

// sprocketLow is the height of the rear sprocket over the ground below which a word is due [m]; common practice.
const sprocketLow = 100e-3

// sprocketSold says which sprockets of the build no dealer keeps.
func sprocketSold(c *Context, r *report) {
	on, ok := track.SprocketsOn(c.Build)
	if !ok {
		return // the sheet does not know them; nothing is judged by their teeth alone
	}
	for i, end := range ends {
		s := on[i]
		where := []string{"driveline.sprockets." + end, "driveline.chain.size"}
		size, usual, order := c.Build.Text("driveline.chain.size"), s.Made.Usual, s.Made.Order
		switch {
		case s.How.OnShelf():
		case order.Has(s.Teeth):
			r.add(figure.Note, fmt.Sprintf("Ask price and days before you plan with it, or take %d to %d teeth.", usual.From, usual.To), where,
				"A %s sprocket of %d teeth for a %s chain is %s: %d to %d are usually sold.", end, s.Teeth, size, s.How, usual.From, usual.To)
		default:
			r.add(figure.Caution, fmt.Sprintf("Count the teeth and read the chain's size again; take %d to %d, or %d to %d to special order.", usual.From, usual.To, order.From, order.To), where,
				"A %s sprocket of %d teeth is %s for a %s chain.", end, s.Teeth, s.How, size)
		}
	}
}

// sprocketGround looks at what hangs lowest behind on small tyres.
func sprocketGround(c *Context, r *report) {
	left, ok := c.figure(r, "driveline.rear_sprocket_clearance")
	if !ok || !less(left.Value, sprocketLow) {
		return
	}
	severity := figure.Note
	if less(left.Value, track.SprocketClears) {
		severity = figure.Caution
	}
	teeth, _ := c.number("driveline.sprockets.rear")
	r.add(severity, "Fewer teeth on both sprockets keep the ratio; larger tyres lift it, and a guard under it takes the blows.", []string{left.ID, "driveline.sprockets.rear", "wheels.rear.tyre"},
		"With %d teeth the rear sprocket and its chain are %s above the ground with the rider on; stones and ruts reach them below %s.", int(teeth), c.shown(left), c.show(sprocketLow, "mm"))
}

// chainOnArm looks at the chain over the swingarm where the owner has measured the slider.
func chainOnArm(c *Context, r *report) {
	over, ok := c.figure(r, "driveline.chain_over_pivot")
	face, given := c.number("driveline.slider_face")
	if !ok || !given || !less(over.Value, face) {
		return
	}
	severity, remedy := figure.Note, "Look at the slider before each race and renew it before the chain reaches the arm."
	if less(track.SliderWears, face-over.Value) {
		severity, remedy = figure.Caution, "Use more teeth in front, and behind to keep the ratio; look at slider and arm for a groove before it is ridden."
	}
	teeth, _ := c.number("driveline.sprockets.front")
	r.add(severity, remedy, []string{over.ID, "driveline.slider_face", "driveline.sprockets.front"},
		"With %d teeth in front the chain's upper run comes down to %s above the swingarm's pivot in its travel, and the slider's face is at %s: it presses on it by %s.", int(teeth), c.shown(over), c.show(face, "mm"), c.show(face-over.Value, "mm"))
}

// topGear says that the engine revs out in top gear on this course.
func topGear(c *Context, r *report) {
	held, ok := c.raced(r, track.RevvedOut, track.RevvedOut, "driveline.sprockets.front", "driveline.gears")
	if !ok || !less(track.RevvedMost, held.Value) {
		return
	}
	remedy := "Ride a lap with other sprockets before you buy any: a taller top gear costs thrust out of the corners."
	if front, ok := c.number("driveline.sprockets.front"); ok {
		remedy = fmt.Sprintf("%d teeth in front bring the redline in top gear %s farther. ", int(front)+1, percent(1/front)) + remedy
	}
	r.add(figure.Note, remedy, []string{held.ID, "driveline.sprockets.front"}, "Geared too short: revved out in top gear for %s s a lap.", quantity.Number(held.Value, 1))
}

func ordinal(n int) string {
	switch n {
	case 2:
		return "second"
	case 3:
		return "third"
	}
	return fmt.Sprintf("%dth", n)
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func tyreRim(c *Context, r *report) {
	for _, end := range ends {
		rim, ok := c.input(r, "wheels."+end+".rim_width")
		low, ok1 := c.figure(r, "tyres."+end+".rim_narrowest")
		high, ok2 := c.figure(r, "tyres."+end+".rim_widest")
		if !ok || !ok1 || !ok2 || !less(rim, low.Value) && !less(high.Value, rim) {
			continue
		}
		r.add(figure.Caution, fmt.Sprintf("Use a rim of %s to %s, or ask the tyre's maker.", c.show(low.Value, "in"), c.show(high.Value, "in")),
			[]string{"wheels." + end + ".rim_width", "wheels." + end + ".tyre"},
			"The %s tyre %s is usually fitted to rims of %s to %s; this rim has %s.", end, c.Build.Text("wheels."+end+".tyre"), c.show(low.Value, "in"), c.show(high.Value, "in"), c.show(rim, "in"))
	}
}

func tyreClearance(c *Context, r *report) {
	for _, end := range ends {
		left, ok := c.figure(r, "tyres."+end+".clearance_left")
		if !ok || !less(left.Value, clearanceLeast) {
			continue
		}
		r.add(figure.Conflict, fmt.Sprintf("Find %s more room, or a tyre %s smaller in diameter.", c.show(clearanceLeast-left.Value, "mm"), c.show(2*(clearanceLeast-left.Value), "mm")),
			[]string{left.ID, "wheels." + end + ".tyre"}, "At full bump the %s tyre keeps %s from the nearest fixed part; %s is needed.", end, c.shown(left), c.show(clearanceLeast, "mm"))
	}
}

func wheelPattern(c *Context, r *report) {
	for _, end := range ends {
		wheel, ok1 := c.Build.Values["wheels."+end+".bolt_circle"]
		hub, ok2 := c.Build.Values["wheels."+end+".hub"]
		if !ok1 && !ok2 && c.Build.Text("layout") == "bike" {
			continue // spoked to its hub
		}
		if !ok1 || !ok2 {
			both := []string{"wheels." + end + ".bolt_circle", "wheels." + end + ".hub"}
			r.cannot("it needs the bolt circle of "+end+" wheel and hub", both, both...)
			continue
		}
		if wheel.Bolts.Count == hub.Bolts.Count && math.Abs(wheel.Bolts.Diameter-hub.Bolts.Diameter) < 0.5e-3 {
			continue
		}
		r.add(figure.Conflict, "Change the hub with the wheel, or order the wheel drilled for this hub.", []string{"wheels." + end + ".bolt_circle", "wheels." + end + ".hub"},
			"The %s wheel is drilled %s, the hub %s.", end, wheel.Text, hub.Text)
	}
}

func axleLoad(c *Context, r *report) {
	load, ok := c.figure(r, "axle.yield_load")
	mass, ok1 := c.figure(r, "chassis.mass")
	if !ok || !ok1 {
		return
	}
	weight := mass.Value * quantity.StandardGravity
	severity, bends := bendsLanding(load.Value, weight)
	if !bends {
		return
	}
	notch := ""
	if factor, ok := c.number("wheels.axle.weakest.stress_factor"); ok {
		notch = fmt.Sprintf(" The %s raises the stress %s times; such places fail by fatigue first: look for cracks at every strip.", c.Build.Text("wheels.axle.weakest.kind"), quantity.Number(factor, 1))
	}
	diameter, _ := c.number("wheels.axle.weakest.diameter")
	if diameter == 0 {
		diameter, _ = c.number("wheels.axle.diameter")
	}
	r.add(severity, fmt.Sprintf("At this width and steel the weakest section would need %s, or the same section a stronger steel; do not land on one wheel.", c.show(diameter*math.Cbrt(landing*weight/load.Value), "mm")),
		[]string{load.ID, "geometry.track_rear", "wheels.axle.diameter"},
		"One rear wheel bends the axle at %s; a landing of twice the weight on one wheel is %s.%s", c.shown(load), c.show(landing*weight, "N"), notch)
}

// bendsLanding judges a load that bends something against a landing on it alone: below the landing's load a caution,
// below the weight at rest a conflict. All in N.
func bendsLanding(load, weight float64) (severity figure.Severity, bends bool) {
	switch {
	case less(load, weight):
		return figure.Conflict, true
	case less(load, landing*weight):
		return figure.Caution, true
	}
	return figure.Note, false
}

// tipsBeforeSlides asks what the Track page asks: what comes first on the sheet's own ground, ridden in each of the
// usual ways.
func tipsBeforeSlides(c *Context, r *report) {
	if _, ok := c.input(r, "track.peak_grip"); !ok || c.Build.Text("layout") == "bike" {
		return
	}
	where := []string{"chassis.tip_lateral", "track.peak_grip"}
	ground, err := track.OwnGroundMargin(c.Build)
	if err != nil {
		if _, ok := c.figure(r, "chassis.tip_lateral"); ok { // which says why it has none
			r.cannot(err.Error(), nil, where...)
		}
		return
	}
	var tips, may []string
	severity, wider := figure.Note, 0.0 // how much wider a track slides first
	for i, l := range track.Leanings {
		way := fmt.Sprintf("at %s %s (it slides at %s)", c.show(ground.Tips[i], "g0"), l.Words, c.show(ground.Slides[i], "g0"))
		switch ground.First(i) {
		case track.TipsFirst:
			tips = append(tips, way)
		case track.Either:
			may = append(may, way)
		default:
			continue
		}
		if ground.Margin[i] < 0 {
			severity, wider = figure.Caution, math.Max(wider, ground.Slides[i]/ground.Tips[i])
		}
	}
	var text []string
	if len(tips) > 0 {
		text = append(text, "It tips before it slides: "+strings.Join(tips, "; ")+".")
	}
	if len(may) > 0 {
		also := ""
		if len(tips) > 0 {
			also = " also"
		}
		text = append(text, fmt.Sprintf("It may%s tip before it slides, within what is known of the grip: %s.", also, strings.Join(may, "; ")))
	}
	if len(text) == 0 {
		return
	}
	remedy := "Measure the grip, brake upright and hang off early"
	if severity == figure.Caution {
		remedy = "Brake upright, hang off early, and lower the weight or widen the track"
		if track, ok := c.number("geometry.track_rear"); ok {
			remedy += fmt.Sprintf("; to slide first in all of these it needs a track of about %s", c.show(track*wider, "mm"))
			if most, ok := c.number("class_rules.max_width"); ok && less(most, track*wider) {
				remedy += ", wider than the class allows, so it is up to the rider"
			}
		}
	}
	r.add(severity, remedy+".", where, "%s This ground grips %s ± %s, and %s of the tip-over is taken off for tyres and springs.", strings.Join(text, " "), quantity.Number(ground.Grip, 2), quantity.Number(ground.Half, 2), percent(track.Compliance))
}

// sag looks at rider and free sag together: one right and the other wrong means the spring, not the preload. Of an end
// without springs it looks at the tyre, which is the only one.
func sag(c *Context, r *report) {
	for i, end := range ends {
		wheel := []running.Wheel{running.FrontWheel, running.RearWheel}[i]
		if c.Build.Text("suspension."+end+".kind") == "solid" {
			tyreGives(c, r, end)
			continue
		}
		rider, ok := c.figure(r, "suspension."+end+".rider_sag")
		free, ok1 := c.figure(r, "suspension."+end+".free_sag")
		if !ok || !ok1 {
			continue
		}
		limits, use := wheel.SagFor(c.Build)
		travel, _ := c.number("suspension." + end + ".travel") // the sags are computed with it
		riderShare, freeShare := rider.Value/travel, free.Value/travel
		riderWrong := outside(riderShare, limits.RiderLow, limits.RiderHigh)
		freeWrong := outside(freeShare, limits.FreeLow, limits.FreeHigh)
		if riderWrong == 0 && freeWrong == 0 {
			continue
		}
		preload, _ := c.number("suspension." + end + ".preload")
		remedy, setting := sagRemedy(riderWrong, freeWrong, preload, c.show(preload, "mm"))
		r.add(figure.Caution, remedy+c.springWanted(end, limits), []string{rider.ID, free.ID},
			"At the %s rider sag is %s of the travel%s (usual for %s %s to %s) and free sag %s%s (usual %s to %s).", end,
			tenths(riderShare), atEnd(rider), use, percent(limits.RiderLow), percent(limits.RiderHigh), tenths(freeShare), atEnd(free), percent(limits.FreeLow), percent(limits.FreeHigh))
		if setting {
			r.setting("suspension." + end + ".preload")
		}
	}
}

// sagRemedy words what to do about sags that are above or below their ranges, -1 to 1 each, with so much preload [m],
// and says whether that is a matter of the preload alone. No spring has less than none.
func sagRemedy(rider, free int, preload float64, shown string) (remedy string, setting bool) {
	switch {
	case rider != free && rider*free != 0:
		return "One is too much and the other too little: it is the spring, not the preload. ", false
	case rider != free:
		return "One is right and the other wrong: it is the spring, not the preload. ", false
	case rider > 0:
		return "Both are too much: try more preload first. ", true
	case preload > 0:
		return "Both are too little: try less preload first; " + shown + " is there to take off. ", true
	}
	return "Both are too little and there is no preload to take off: it is the spring, not the preload. ", false
}

// tyreGives looks at a tyre that is the only spring of its end.
func tyreGives(c *Context, r *report, end string) {
	gives, ok := c.figure(r, "tyres."+end+".give")
	if !ok {
		return
	}
	_, rated := c.number("wheels." + end + ".tyre_rate")
	if _, stood := c.number("wheels." + end + ".loaded_radius"); !rated && !stood {
		return // a usual share of the tyre's outside says nothing of its pressure
	}
	remedy := "Take some pressure out, within what the tyre's maker allows, or fit a softer carcass."
	switch outside(gives.Value, running.GiveLeast, running.GiveMost) {
	case 0:
		return
	case 1:
		remedy = "Put some pressure in before a rim is dented, within what is moulded on the tyre."
	}
	r.add(figure.Caution, remedy, []string{gives.ID, "wheels." + end + ".pressure"},
		"The %s has no springs but its tyre, which gives %s of its sidewall with the rider on (usual %s to %s).", end, tenths(gives.Value), percent(running.GiveLeast), percent(running.GiveMost))
}

// atEnd says behind a sag that the suspension stands at an end of its travel; "" for one that does not.
func atEnd(f figure.Figure) string {
	if f.End == "" {
		return ""
	}
	return ", " + f.End
}

// springWanted words the spring, each of its end, and the preload that would bring the sags into their ranges.
func (c *Context) springWanted(end string, limits running.SagTarget) string {
	rate, preload := c.Figures["suspension."+end+".rate_for_sag"], c.Figures["suspension."+end+".preload_for_sag"]
	present, _ := c.number("suspension." + end + ".spring_rate")
	if rate.State != figure.Ready || preload.State != figure.Ready {
		return "Go up or down one spring and measure again."
	}
	text := fmt.Sprintf("A spring of about %s%s (now %s) with %s of preload would give a rider sag of %s.", c.shown(rate), c.each(end), c.show(present, "N/mm"), c.shown(preload), tenths(limits.RiderAimed()))
	if preload.Value <= 0 {
		text += " No spring gives both sags on this travel: free sag is what that one leaves."
	}
	return text
}

// each says whose rate a spring's is: of one leg, or one shock, where an end has several; "" for the only one.
func (c *Context) each(end string) string {
	legs, _ := c.number("suspension.front.legs")
	switch kind := c.Build.Text("suspension." + end + ".kind"); {
	case kind == "telescopic fork" && legs > 1:
		return " in each leg"
	case kind == "A-arms" && legs > 1, kind == "twin shocks":
		return " on each shock"
	}
	return ""
}

func tenths(share float64) string { return quantity.Number(100*share, 1) + " %" }

// outside is -1 below the range, 1 above it, 0 inside.
func outside(value, low, high float64) int {
	switch {
	case less(value, low):
		return -1
	case less(high, value):
		return 1
	}
	return 0
}

func springSolid(c *Context, r *report) {
	for _, end := range ends {
		left, ok := c.figure(r, "suspension."+end+".spring_left")
		if !ok || !less(left.Value, solidLeast) {
			continue
		}
		short := solidLeast - left.Value
		remedy := fmt.Sprintf("Take %s off the preload, or fit a spring with that much more room.", c.show(short, "mm"))
		if preload, _ := c.number("suspension." + end + ".preload"); less(preload, short) { // none has less than none
			remedy = fmt.Sprintf("Fit a spring with %s more room: its %s of preload is too little to take that off.", c.show(short, "mm"), c.show(preload, "mm"))
		}
		r.add(figure.Conflict, remedy, []string{left.ID},
			"The %s spring has %s left at full travel before it goes solid; %s is needed.", end, c.shown(left), c.show(solidLeast, "mm"))
	}
}

func oilAirGap(c *Context, r *report) {
	pressure, ok := c.figure(r, "suspension.front.air_pressure")
	if !ok || !less(airMost, pressure.Value) {
		return
	}
	gap, _ := c.number("suspension.front.oil_air_gap") // the pressure is computed with it
	r.add(figure.Caution, fmt.Sprintf("Lower the oil: set it more than %s below the upper edge of the tube, a step of %s at a time.", c.show(gap, "mm"), c.show(10e-3, "mm")),
		[]string{pressure.ID, "suspension.front.oil_air_gap"},
		"With the oil %s below the upper edge of the tube the air reaches %s at full travel; above %s seals weep and the last of the travel goes hard.", c.show(gap, "mm"), c.shown(pressure), c.show(airMost, "bar"))
	r.setting("suspension.front.oil_air_gap")
}

// raced is a figure of the lap; without it the rule is reported as not computed.
func (c *Context) raced(r *report, id string, where ...string) (figure.Figure, bool) {
	f, ok := c.Figures[id]
	switch {
	case !ok:
		return f, false // this machine has none
	case f.State == figure.Waiting:
		r.cannot("not computed until there is a lap", nil, where...)
	case f.State != figure.Ready && len(f.Missing) > 0:
		r.cannot(f.Why, f.Missing, where...)
	case f.State != figure.Ready:
		r.cannot("not computed, because there is no lap: "+f.Why, nil, where...)
	default:
		return f, true
	}
	return f, false
}

// fuelMore is how much more fuel than the race burns is wanted [-].
const fuelMore = 0.2

func fuelRange(c *Context, r *report) {
	where := []string{"tank.capacity", "class_rules.race_time"}
	used, ok := c.raced(r, "track.fuel_used", where...)
	if !ok {
		return
	}
	lap, ok := c.raced(r, "track.lap_time", where...)
	if !ok {
		return
	}
	time, ok1 := c.input(r, "class_rules.race_time")
	tank, ok2 := c.input(r, "tank.capacity")
	if !ok1 || !ok2 {
		return
	}
	laps := time / lap.Value
	burnt := used.Value * laps
	fuel := func(volume float64) string { return c.show(volume, quantity.FuelUnit(c.System).Symbol) }
	race := fmt.Sprintf("A race of %s at the pace of the computed lap burns %s, within a quarter", c.show(time, "min"), fuel(burnt))
	switch {
	case less(tank, burnt):
		r.add(figure.Conflict, fmt.Sprintf("Fit a tank of %s or more, or plan a stop after %.0f laps.", fuel(burnt*(1+fuelMore)), math.Floor(tank/burnt*laps)), where, "%s; the tank holds %s.", race, fuel(tank))
	case less(tank, burnt*(1+fuelMore)):
		r.add(figure.Caution, fmt.Sprintf("Measure what a practice of ten minutes burns; %s would do surely.", fuel(burnt*(1+fuelMore))), where, "%s; the tank holds %s, less than a fifth more.", race, fuel(tank))
	}
}

// drumWarm is the braking power over a lap from which on a drum's heat is told [W]; by judgement.
const drumWarm = 500.0

func brakeFluid(c *Context, r *report) {
	where := []string{"brakes.front.fluid", "brakes.front.disc_mass"}
	if c.Build.Text("brakes.front.kind") != "disc" || c.Build.Text("brakes.front.fluid") == "" {
		return
	}
	disc, ok1 := c.raced(r, "brakes.front.disc_temperature", where...)
	reaches, ok2 := c.raced(r, "brakes.front.fluid_temperature", where...)
	boils, ok3 := c.figure(r, "brakes.front.fluid_boils")
	if !ok1 || !ok2 || !ok3 {
		return
	}
	air, _ := c.number("air.temperature")
	warm := func(kelvin float64) string { return c.show(kelvin, "C") }
	text := fmt.Sprintf("Braked as hard as in the computed lap all through the race, the front disc runs at about %s and the fluid at the calliper at %s (%s to %s, rough); %s that has taken up water boils from %s.", warm(disc.Value), warm(reaches.Value), warm(math.Max(air, reaches.Low)), warm(reaches.High), c.Build.Text("brakes.front.fluid"), warm(boils.Value))
	remedy := "Change the fluid before the race and once a season, use a fresh tin, and stop when the lever grows long."
	switch {
	case less(boils.Value, reaches.Value):
		r.add(figure.Caution, remedy+" A heavier or larger disc, or fluid of a higher class that suits the seals, gives margin.", where, "%s", text)
	case less(boils.Value, reaches.High):
		r.add(figure.Note, remedy, where, "%s", text)
	}
}

func drumHeat(c *Context, r *report) {
	if c.Build.Text("brakes.front.kind") != "drum" && c.Build.Text("brakes.rear.kind") != "drum" {
		return
	}
	for _, end := range ends {
		if c.Build.Text("brakes."+end+".kind") != "drum" {
			continue
		}
		power, ok := c.raced(r, "brakes."+end+".power", "brakes.front.kind", "brakes.rear.kind")
		if !ok || !less(drumWarm, power.Value) {
			continue
		}
		r.add(figure.Note, "Try it hot, with room, before you trust it; look at shoes and drum, and brake with the other end too.", []string{"brakes." + end + ".kind"},
			"In the computed lap the %s drum takes %.1f kW on average. Drums lose bite when hot, and how much is not computed.", end, power.Value/1000)
	}
}

// rideHeight says that the machine stands otherwise on tyres of another size.
func rideHeight(c *Context, r *report) {
	for _, end := range ends {
		tyre, ok := c.figure(r, "tyres."+end+".diameter")
		if !ok || tyre.Change == nil || math.Abs(tyre.Change.Value)/2 < tyreMoves {
			continue
		}
		way := "higher"
		if tyre.Change.Value < 0 {
			way = "lower"
		}
		r.add(figure.Note, "Measure rake and clearance again when they are on, and enter them with the part that brings the tyres.", []string{tyre.ID, "mass.cg_height", "geometry.rake"},
			"The %s stands about %s %s on these tyres. Centre of gravity, seat, pegs, bar, clearance, rake and trail are computed for that, as of a rigid machine.", end, c.show(math.Abs(tyre.Change.Value)/2, "mm"), way)
	}
}
