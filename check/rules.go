package check

import "shakedown/figure"

const practice = "common practice"

// rules is every goes-together rule. Cautions of the work come last.
var rules = []Rule{
	{"class-limits", "Displacement, width over tyres, race fuel and claimed sound against the class", "the sheet's class_rules", classLimits},
	{"gasket-over-bore", "Head gasket hole at least bore + 1 mm", practice, gasketOverBore},
	{"liner-left", "Liner wall after boring at least 2 mm", practice, linerLeft},
	{"ring-gap", "Top ring gap at least 0.0045 x bore, air-cooled racing use", practice, ringGap},
	{"piston-speed", "Mean piston speed above 20 m/s note, 22 caution, 24 conflict", "published ranges of racing engines; limits common practice", pistonSpeed},
	{"rod-load", "Inertia load on the rod up by more than 10 % on the baseline", practice, rodLoad},
	{"balance", "Piston, rings, pin and small-end share changed by more than 3 %", practice, balance},
	{"inlet-choke", "Inlet Mach index above 0.5 note, 0.6 caution", "Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6", inletChoke},
	{"piston-to-valve", "Least clearance over the overlap with the cam 2 deg off: intake 1.5 mm, exhaust 2.0 mm, less only where somebody signs for it; a value that was not measured clears nothing", "general minima, cam driven by a chain; common practice", pistonToValve},
	{"coil-bind", "1.0 mm left to coil bind at full lift", practice, coilBind},
	{"retainer", "1.0 mm left between retainer and seal at full lift", practice, retainer},
	{"compression-fuel", "Ratio from intake closing against the fuel: RON 95, air-cooled, 8.5 note, 9.5 caution, 11 conflict; one more per 5 octane, one more liquid-cooled", "common practice, rough; until the knock model", compressionFuel},
	{"valve-float", "Float speed below 1.1 x redline caution, below redline conflict", "force balance; margin common practice", valveFloat},
	{"lobe-readings", "Acceleration of a lobe that was read changes its sign twice", "kinematics of a cam: flank, nose, flank", lobeReadings},
	{"spring-follower", "Contact stress at the lobe nose against the follower's surface", "Hertz; limits Tribology Handbook B10 and Rothbart, Cam Design Handbook, from memory", springFollower},
	{"clutch", "Clutch capacity at least 1.3 x peak torque x primary; torque from the curve, from 10 bar of mean pressure without one", "Shigley, Mechanical Engineering Design, ch. 16; factor common practice", clutch},
	{"chain-fit", "Even pitches, axle inside the adjuster, wrap on the small sprocket at least 120 deg", "ISO 606 geometry; common practice", chainFit},
	{"chain-repeat", "Front teeth and chain pitches share a factor", "number theory", chainRepeat},
	{"tyre-rim", "Rim width in the tyre's usual range", "measuring rims of ETRTO and TRA; common practice", tyreRim},
	{"tyre-clearance", "Clearance at full bump less half the growth of the tyre at least 10 mm", practice, tyreClearance},
	{"wheel-pattern", "Bolt circle and count of wheel and hub", "the sheet", wheelPattern},
	{"axle-load", "Load at one wheel that bends the axle: below twice the weight caution, below the weight conflict", "beam theory; landing of twice the weight on one wheel, common practice", axleLoad},
	{"tips-before-slides", "Tip-over, less 12 % for compliance, below the grip: centred, hung off, braking", "statics; compliance from tilt-table tests of four-wheelers (10 to 15 %)", tipsBeforeSlides},
	{"sag", "Rider sag 25 to 35 %, free sag 5 to 20 % of travel; bikes 28 to 35 % and 5 to 15 %", practice, sag},
	{"spring-solid", "Free length - solid length - preload - stroke at least 3 mm", practice, springSolid},
	{"oil-air-gap", "Air in the fork at full travel above 3 bar", "polytropic gas; limit common practice, from memory", oilAirGap},
	{"fuel-range", "Fuel for the race at the pace of the lap, and a fifth more, in the tank", "Willans' line over the lap, within a quarter; the fifth common practice", fuelRange},
	{"brake-fluid", "Fluid at the front calliper below the boiling point of fluid with water in it, over the race", "Limpert, Brake Design and Safety; FMVSS 116; the fluid's share of the disc's heat by judgement", brakeFluid},
	{"drum-heat", "A drum that takes more than 0.5 kW over a lap", "common practice; limit by judgement", drumHeat},
	{"order-of-work", "Weld before coating, piston in hand before boring, balance after the piston's weight is known", practice, orderOfWork},
	{"pin-fit", "Gudgeon pin in the rod's small end: smaller, by 0.05 mm at most", practice, pinFit},
	{"deck-height", "Deck given against cylinder, rod and compression height, within 0.2 mm", "geometry; common practice", deckHeight},
	{"squish", "Squish gap 0.9 to 1.2 mm", practice, squish},
	{"spigot-fit", "Liner's spigot in the case's mouth with 0.1 mm to spare", practice, spigotFit},
	{"valve-to-valve", "Least gap between the valves' heads over the overlap at least 1.0 mm", "plane geometry; limit common practice", valvesApart},
	{"header-fit", "Head pipe not narrower than the port by 1 mm; gas at 60 to 105 m/s at the peak of the power by the curve, without one not wider than 1.25 of the port", "Smith, The Scientific Design of Exhaust and Intake Systems, from memory; common practice", headerFit},
	{"carburettor-size", "Carburettor 0.65 to 0.9 of the root of one cylinder's litres x speed of the peak of the power, in mm; by the curve, without one by the redline", "common practice, from memory, rough", carburettorSize},
	{"outlet-size", "Silencer's outlet at least half the head pipe's area", "common practice, rough", outletSize},
	{"filter-size", "Mean air speed through the filter at most 1.5 m/s", "common practice, from memory, rough", filterSize},
	{"jet-for-air", "Main jet against the density of the air, more than 1 % of its number", "orifice law", jetForAir},
	{"gearbox-load", "Torque at the clutch up by more than 10 % on the baseline, by the curves, without them by displacement", practice, gearboxLoad},
	{"sprocket-room", "3 mm around sprocket and chain", "ISO 606 geometry; common practice", sprocketFit},
	{"fluid-class", "Silicone and glycol brake fluid are not mixed", "FMVSS 116 classes; common practice", fluidClass},
	{"wheel-offset", "Track follows the wheels' offset", "geometry", wheelOffset},
	{"beadlock", "Rear tyre pressure below 14 kPa only with beadlocks", "common practice, from memory", beadlock},
	{"tyre-load", "Load on a wheel within its tyre's load index", "ETRTO load index", tyreLoad},
	{"fork-overlap", "Tube left in the slider at full extension at least two diameters", "common practice, from memory", forkOverlap},
	{"fork-bends", "Load that bends the fork tubes: below twice the weight caution, below the weight conflict", "beam theory; landing common practice", forkBends},
	{"shock-stroke", "Travel over leverage within the shock's stroke", "integral of the leverage", shockStroke},
	{"bearing-fit", "Axle and its bearings of one size", "the sheet", bearingFits},
	{"electrics", "Load at most 0.8 of the stator's power", practice, electrics},
	{"class-eligible", "Year and tether switch against the class", "the sheet's class_rules", classEligible},
	{"chain-slack", "Slack at rest enough for sprocket, pivot and axle in line", "plane geometry", chainSlack},
	{"heat", "Ratio from intake closing up by more than 1 on an air-cooled engine", "common practice; until heat is computed", heat},
	{"pad-on-disc", "Front pads within the disc's edge", "geometry", padOnDisc},
	{"moved-controls", "Pegs and bar that a part moves are tried before riding", practice, movedControls},
	{"tank-and-seat", "Tank and seat changed one without the other", practice, tankAndSeat},
	{"ignition-range", "Ignition advance given up to the redline", practice, ignitionRange},
	{"gaps", "5 mm between parts that move, from full droop to full bump and at full lock", "straight line through the readings; limit common practice", gaps},
	{"ground-clearance", "Lowest point above ground with both ends at full bump", "similar triangles", groundClearance},
	{"rider-fit", "Knee 65 to 125 deg, bar 22 to 40 % of the stature ahead of the seat", "Drillis and Contini for the limbs; ranges common practice, from memory", riderFit},
	{"two-stroke", "What is not computed for a two-stroke", "a two-stroke draws a charge in every turn of the crank, through ports", notForTwoStrokes},
	{"needs", "What a part needs is in the build", "the sheet", needs},
	{"excludes", "What a part excludes is not in the build", "the sheet", excludes},
	{"set-twice", "No input is set by two parts of a build", "the sheet", setTwice},
	{"unusual", "Inputs inside what the trade uses", practice, unusual},
	{"ride-height", "Tyres of another size: how the machine stands on them", "geometry", rideHeight},
	{"claims", "Makers' claims against the figures", "the sheet and the figures", claims},
	{"cautions", "What the work on this build can do to people", "published guidance of safety bodies where there is one, else common practice; each caution names its own", cautions},
}

// fourStrokeOnly are the rules that a two-stroke is not held against: valves and cam, and limits of the trade for one charge in two turns of the crank.
var fourStrokeOnly = map[string]bool{
	"inlet-choke": true, "piston-to-valve": true, "coil-bind": true, "retainer": true, "compression-fuel": true, "valve-float": true, "lobe-readings": true, "spring-follower": true, "clutch": true,
	"valve-to-valve": true, "header-fit": true, "carburettor-size": true, "outlet-size": true, "filter-size": true, "heat": true,
}

// stakes are what may be lost; rules that are not here cost money and time.
var stakes = map[string]figure.Stake{
	"wheel-pattern": figure.Rider, "axle-load": figure.Rider, "tips-before-slides": figure.Rider, "tyre-clearance": figure.Rider, "tyre-rim": figure.Rider, "tyre-load": figure.Rider, "beadlock": figure.Rider,
	"fluid-class": figure.Rider, "brake-fluid": figure.Rider, "drum-heat": figure.Rider, "fork-overlap": figure.Rider, "fork-bends": figure.Rider, "pad-on-disc": figure.Rider, "moved-controls": figure.Rider, "gaps": figure.Rider, "bearing-fit": figure.Rider,
	"spring-solid": figure.Rider, "wheel-offset": figure.Rider, "chain-slack": figure.Rider, "class-eligible": figure.Rider,
	"gasket-over-bore": figure.Machine, "liner-left": figure.Machine, "ring-gap": figure.Machine, "piston-speed": figure.Machine, "rod-load": figure.Machine, "balance": figure.Machine, "piston-to-valve": figure.Machine,
	"coil-bind": figure.Machine, "retainer": figure.Machine, "compression-fuel": figure.Machine, "valve-float": figure.Machine, "spring-follower": figure.Machine, "chain-fit": figure.Machine, "oil-air-gap": figure.Machine,
	"pin-fit": figure.Machine, "deck-height": figure.Machine, "squish": figure.Machine, "spigot-fit": figure.Machine, "valve-to-valve": figure.Machine, "jet-for-air": figure.Machine, "gearbox-load": figure.Machine,
	"sprocket-room": figure.Machine, "shock-stroke": figure.Machine, "heat": figure.Machine, "ignition-range": figure.Machine, "ground-clearance": figure.Machine, "excludes": figure.Machine,
}

// Stake is what may be lost when the rule's findings are not heeded.
func (rule *Rule) Stake() figure.Stake {
	if stake, ok := stakes[rule.ID]; ok {
		return stake
	}
	return figure.Money
}
