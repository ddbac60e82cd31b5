package machine

import q "shakedown/quantity"

// The helpers below keep the table short; each makes one Field.

func num(path string, kind q.Kind, bound Bound, doc, how string) Field {
	return Field{Path: path, Spec: q.Spec{Kind: kind, Default: q.Estimated}, Bound: bound, Doc: doc, How: how}
}

// reading is a number of a worksheet: measured, unless the sheet says otherwise.
func reading(path string, kind q.Kind, bound Bound, doc, how string) Field {
	f := num(path, kind, bound, doc, how)
	f.Spec.Default = q.Measured
	return f
}

func usual(low, high float64, unit string, f Field) Field {
	u := q.MustUnit(unit)
	f.Usual = [2]float64{u.ToSI(low), u.ToSI(high)}
	return f
}

// exact is for settings and limits the owner chooses, counts, teeth and ratios by teeth.
func exact(f Field) Field { f.Spec.Exact = true; return f }

func count(path, doc string) Field {
	f := exact(num(path, q.Ratio, Positive, doc, "count it"))
	f.Spec.Whole = true
	return f
}

func bare(unit string, f Field) Field { f.Spec.Bare = unit; return f }

func word(path, doc string) Field { return Field{Path: path, Shape: Word, Doc: doc} }

func yes(path, doc string) Field { return Field{Path: path, Shape: YesNo, Doc: doc} }

func choice(path, doc string, words ...string) Field {
	return Field{Path: path, Shape: Choice, Words: words, Doc: doc}
}

// Ways of measuring that many inputs share.
const (
	byRule     = "measure with a steel rule or tape"
	byCalliper = "measure with a vernier calliper or micrometer"
	byScale    = "weigh on a kitchen or bathroom scale"
	byMaker    = "ask the maker or read it off the part"
	byBurette  = "fill with thin oil from a burette under a clear plate"
	byPress    = "press on a scale with a rule beside it"

	byLeverage = "move the wheel 20 mm, measure how far the shock moves"
	byGasShop  = "the shop that charges it can say"
	bySpring   = "spring scale"
	byPull     = "pull the braked wheel round with a spring scale"
)

// Surfaces are the follower surfaces that the valve train room has limits for.
var surfaces = []string{"chilled iron", "case-hardened steel", "hard-faced", "nitrided", "DLC"}

// fields is the schema: every input of a sheet but the parts and builds.
// Ranges that the trade uses ("usual") are common practice, from memory; outside them a note is made, not an error.
var fields = []Field{
	num("air.temperature", q.Temperature, Positive, "air temperature", "read a thermometer in the shade"),
	num("air.humidity", q.Ratio, Share, "relative humidity of the air", "read a hygrometer"),
	num("air.altitude", q.Length, Any, "height above the sea", "read it off a map"),
	num("air.pressure", q.Pressure, Positive, "station pressure; replaces altitude", "read a barometer not corrected to sea level"),

	num("rider.mass", q.Mass, Positive, "rider without kit", byScale),
	num("rider.kit", q.Mass, NotNegative, "helmet, boots, protection", byScale),
	num("rider.stature", q.Length, Positive, "height of the rider", byRule),
	num("rider.hangs_off", q.Length, NotNegative, "how far the rider moves his weight into a turn", "sit on the machine, hang off, measure how far the breastbone moves sideways"),
	num("rider.drag_area", q.Area, Positive, "drag coefficient times frontal area", "coast down on a level road"),
	num("rider.cg.x", q.Length, Any, "centre of gravity of the seated rider ahead of the rear axle", "weigh the machine at each wheel with and without the rider"),
	num("rider.cg.z", q.Length, Positive, "centre of gravity of the seated rider above ground", "weigh with the front raised, with and without the rider"),
	num("rider.seat_to_cg.x", q.Length, Any, "seated rider's centre of gravity ahead of the seat point; used when rider.cg is not given", "give rider.cg instead"),
	num("rider.seat_to_cg.z", q.Length, Any, "seated rider's centre of gravity above the seat point; used when rider.cg is not given", "give rider.cg instead"),

	exact(num("class_rules.max_displacement", q.Volume, Positive, "largest displacement the class allows", "read the rules")),
	exact(num("class_rules.max_width", q.Length, Positive, "largest width over the tyres", "read the rules")),
	exact(num("class_rules.max_sound", q.Sound, Positive, "loudest static test", "read the rules")),
	yes("class_rules.race_fuel", "race fuel is allowed"),
	exact(num("class_rules.race_time", q.Time, Positive, "length of the race", "read the rules")),
	word("class_rules.frame", "what the class says of the frame; shown, not judged"),

	word("name", "what the machine is called"),
	choice("layout", "where the wheels are", "three-wheeler", "quad", "bike"),
	usual(40, 300, "kg", num("mass.dry", q.Mass, Positive, "machine without fuel and rider", "weigh each wheel and add")),
	num("mass.front_share", q.Ratio, Share, "share of the dry weight on the front", "weigh the front wheel with the machine level, divide by the whole"),
	usual(300, 700, "mm", num("mass.cg_height", q.Length, Positive, "centre of gravity of the dry machine above ground", "weigh the rear with the front raised by a known height")),
	num("tank.capacity", q.Volume, NotNegative, "fuel when full", "fill from a measuring can"),
	num("tank.x", q.Length, Any, "middle of the tank ahead of the rear axle", byRule),
	num("tank.z", q.Length, Positive, "middle of the tank above ground", byRule),

	usual(900, 1600, "mm", num("geometry.wheelbase", q.Length, Positive, "from axle to axle", byRule)),
	usual(600, 1300, "mm", num("geometry.track_rear", q.Length, Positive, "rear track, centre to centre of the tyres", byRule)),
	num("geometry.track_front", q.Length, Positive, "front track, centre to centre of the tyres; quads", byRule),
	usual(3, 35, "deg", num("geometry.rake", q.Angle, Positive, "steering axis from the vertical", "hold a level with an angle scale against the fork tube")),
	num("geometry.fork_offset", q.Length, Any, "steering axis to front axle, square to the axis: clamps plus axle lead", byRule),
	num("geometry.ground_clearance", q.Length, Positive, "lowest sprung point above ground, suspension fully extended", byRule),
	num("geometry.seat.x", q.Length, Any, "where the rider sits ahead of the rear axle, unladen", byRule),
	num("geometry.seat.z", q.Length, Positive, "where the rider sits above ground, unladen", byRule),
	num("geometry.peg.x", q.Length, Any, "footpeg ahead of the rear axle", byRule),
	num("geometry.peg.z", q.Length, Positive, "footpeg above ground", byRule),
	num("geometry.bar.x", q.Length, Any, "handlebar grip ahead of the rear axle", byRule),
	num("geometry.bar.z", q.Length, Positive, "handlebar grip above ground", byRule),

	choice("engine.cycle", "working cycle", "four-stroke", "two-stroke"),
	choice("engine.cooling", "what carries the heat away", "air", "liquid"),
	count("engine.cylinders", "number of cylinders"),
	usual(35, 105, "mm", num("engine.bore", q.Length, Positive, "cylinder bore", "measure with a bore gauge, across and along the pin")),
	usual(35, 100, "mm", num("engine.stroke", q.Length, Positive, "stroke", "measure piston travel with a dial gauge")),
	num("engine.rod_length", q.Length, Positive, "connecting rod, eye to eye", byCalliper),
	num("engine.liner_outer", q.Length, Positive, "outside diameter of the liner where it is thinnest", byCalliper),
	num("engine.chamber.head", q.Volume, Positive, "combustion chamber in the head, plug and valves in", byBurette),
	num("engine.chamber.gasket_bore", q.Length, Positive, "hole of the head gasket", byCalliper),
	num("engine.chamber.gasket_thickness", q.Length, NotNegative, "head gasket when tightened", "measure a used one"),
	num("engine.chamber.deck", q.Length, Any, "piston crown edge below the cylinder top at top dead centre", "measure with a depth gauge"),
	num("engine.chamber.dome", q.Volume, Any, "piston dome, a dish negative", "fill above the piston with a burette at a known depth"),
	num("engine.piston_mass", q.Mass, Positive, "piston alone", byScale),
	num("engine.ring_mass", q.Mass, NotNegative, "set of rings", byScale),
	num("engine.pin_mass", q.Mass, Positive, "gudgeon pin", byScale),
	num("engine.rod_mass.total", q.Mass, Positive, "connecting rod with bearings", byScale),
	num("engine.rod_mass.small_end_share", q.Ratio, Share, "share of the rod's mass carried by the small end, rod level", "weigh the small end with the big end held level"),
	num("engine.flywheel_inertia", q.Inertia, Positive, "crank, flywheel and rotor", "hang it on wires and time the swing"),
	exact(num("engine.redline", q.AngularSpeed, Positive, "highest speed the owner will use", "choose it; the maker's manual is the start")),
	bare("rpm", exact(num("engine.ignition_advance[].rpm", q.AngularSpeed, NotNegative, "engine speed", "read it off the maker's curve"))),
	bare("deg", exact(num("engine.ignition_advance[].deg", q.Angle, Any, "spark before top dead centre", "set with a timing lamp"))),
	word("engine.fuel.name", "what is in the tank"),
	exact(num("engine.fuel.ron", q.Ratio, Positive, "research octane number", "read it off the pump")),
	exact(num("engine.fuel.mon", q.Ratio, Positive, "motor octane number", "ask the maker of the fuel")),
	num("engine.fuel.density", q.Density, Positive, "density of the fuel", "weigh a litre"),
	num("engine.fuel.lambda", q.Ratio, Positive, "air over stoichiometric air at full throttle", "read a wide-band probe"),
	yes("engine.fuel.race", "it counts as race fuel for the class"),

	num("engine.head.included_valve_angle", q.Angle, NotNegative, "angle between the valve stems", "read it off the stems with an angle scale"),
	count("engine.head.intake_valve.count", "intake valves of one cylinder"),
	num("engine.head.intake_valve.head", q.Length, Positive, "head diameter of one intake valve", byCalliper),
	num("engine.head.intake_valve.stem", q.Length, Positive, "stem diameter", byCalliper),
	num("engine.head.intake_valve.seat_angle", q.Angle, Positive, "seat angle from the plane of the head", byMaker),
	exact(num("engine.head.intake_valve.lash", q.Length, NotNegative, "running clearance at the valve", "set with a feeler gauge")),
	count("engine.head.exhaust_valve.count", "exhaust valves of one cylinder"),
	num("engine.head.exhaust_valve.head", q.Length, Positive, "head diameter of one exhaust valve", byCalliper),
	num("engine.head.exhaust_valve.stem", q.Length, Positive, "stem diameter", byCalliper),
	num("engine.head.exhaust_valve.seat_angle", q.Angle, Positive, "seat angle from the plane of the head", byMaker),
	exact(num("engine.head.exhaust_valve.lash", q.Length, NotNegative, "running clearance at the valve", "set with a feeler gauge")),
	exact(num("engine.head.flow.intake[].lift", q.Length, NotNegative, "lift at which the port was flowed", "set with a dial gauge")),
	bare("cfm", num("engine.head.flow.intake[].cfm", q.Flow, Positive, "or the bench's reading: flow through all intake valves of one cylinder", "flow the port")),
	bare("inH2O", exact(num("engine.head.flow.intake[].inches_water", q.Pressure, Positive, "at this depression", "read the bench's gauge"))),
	num("engine.head.flow.intake[].cd", q.Ratio, Positive, "discharge coefficient on the curtain area", "flow the port"),
	exact(num("engine.head.flow.exhaust[].lift", q.Length, NotNegative, "lift at which the port was flowed", "set with a dial gauge")),
	bare("cfm", num("engine.head.flow.exhaust[].cfm", q.Flow, Positive, "or the bench's reading: flow through all exhaust valves of one cylinder", "flow the port")),
	bare("inH2O", exact(num("engine.head.flow.exhaust[].inches_water", q.Pressure, Positive, "at this pressure", "read the bench's gauge"))),
	num("engine.head.flow.exhaust[].cd", q.Ratio, Positive, "discharge coefficient on the curtain area", "flow the port"),
	num("engine.head.piston_to_valve.intake", q.Length, Any, "clearance along the intake valve, piston at top dead centre, valve shut", "press the valve down on to the piston with a light spring and a dial gauge"),
	num("engine.head.piston_to_valve.exhaust", q.Length, Any, "clearance along the exhaust valve, piston at top dead centre, valve shut", "press the valve down on to the piston with a light spring and a dial gauge"),

	exact(num("engine.cam.checking_lift", q.Length, NotNegative, "lift at which the events are given", byMaker)),
	num("engine.cam.intake.opens", q.Angle, Any, "intake opens before top dead centre, degrees of the crank", "degree wheel and dial gauge"),
	num("engine.cam.intake.closes", q.Angle, Any, "intake closes after bottom dead centre", "degree wheel and dial gauge"),
	num("engine.cam.intake.lift", q.Length, Positive, "greatest intake lift at the valve", "dial gauge on the retainer"),
	num("engine.cam.exhaust.opens", q.Angle, Any, "exhaust opens before bottom dead centre", "degree wheel and dial gauge"),
	num("engine.cam.exhaust.closes", q.Angle, Any, "exhaust closes after top dead centre", "degree wheel and dial gauge"),
	num("engine.cam.exhaust.lift", q.Length, Positive, "greatest exhaust lift at the valve", "dial gauge on the retainer"),
	bare("deg", exact(num("engine.cam.intake.table[].angle", q.Angle, Any, "crank angle from the lobe centre", "degree wheel"))),
	exact(num("engine.cam.intake.table[].lift", q.Length, NotNegative, "lift at the valve", "dial gauge")),
	bare("deg", exact(num("engine.cam.exhaust.table[].angle", q.Angle, Any, "crank angle from the lobe centre", "degree wheel"))),
	exact(num("engine.cam.exhaust.table[].lift", q.Length, NotNegative, "lift at the valve", "dial gauge")),
	usual(0.33, 0.63, "1", num("engine.cam.lobe_fullness", q.Ratio, Positive, "1/n of the lobe law lift = L (1 - (angle/w)^2)^n, used where no table is given: 0.33 pointed, 0.63 full flanks", "measure a table of angle and lift")),
	num("engine.cam.rocker_ratio", q.Ratio, Positive, "valve lift over lobe lift", "two dial gauges"),
	num("engine.cam.base_circle_radius", q.Length, Positive, "base circle radius of the lobe", byCalliper),
	num("engine.cam.lobe_width", q.Length, Positive, "width of the lobe that the follower runs on", byCalliper),
	num("engine.cam.follower.radius", q.Length, Positive, "radius of the follower's face", "try radius gauges"),
	choice("engine.cam.follower.surface", "what the follower's face is made of", surfaces...),

	num("engine.valve_train.intake.moving_mass", q.Mass, Positive, "moving mass at the valve: valve, retainer, collets, a third of the spring, rocker brought to the valve", byScale),
	num("engine.valve_train.intake.spring_rate", q.Rate, Positive, "valve spring rate, all springs of one valve", byPress),
	num("engine.valve_train.intake.seat_load", q.Force, Positive, "spring load with the valve shut", byPress),
	num("engine.valve_train.intake.coil_bind_lift", q.Length, Positive, "lift at which the spring goes solid", "press the fitted spring solid in a vice with soft jaws"),
	num("engine.valve_train.intake.retainer_to_seal", q.Length, Positive, "travel until the retainer meets the seal or guide", byCalliper),
	num("engine.valve_train.exhaust.moving_mass", q.Mass, Positive, "moving mass at the valve", byScale),
	num("engine.valve_train.exhaust.spring_rate", q.Rate, Positive, "valve spring rate, all springs of one valve", byPress),
	num("engine.valve_train.exhaust.seat_load", q.Force, Positive, "spring load with the valve shut", byPress),
	num("engine.valve_train.exhaust.coil_bind_lift", q.Length, Positive, "lift at which the spring goes solid", "press the fitted spring solid in a vice with soft jaws"),
	num("engine.valve_train.exhaust.retainer_to_seal", q.Length, Positive, "travel until the retainer meets the seal or guide", byCalliper),

	num("engine.intake.port_length", q.Length, Positive, "intake port, valve to flange", byRule),
	num("engine.intake.port_diameter", q.Length, Positive, "intake port", byCalliper),
	num("engine.intake.runner_length", q.Length, Positive, "flange to carburettor mouth", byRule),
	count("engine.intake.carburettor.count", "carburettors of the engine"),
	num("engine.intake.carburettor.venturi", q.Length, Positive, "carburettor bore", byCalliper),
	exact(num("engine.intake.carburettor.main_jet", q.Ratio, Positive, "number on the main jet", "read it off the jet")),
	yes("engine.intake.carburettor.accelerator_pump", "the carburettor has an accelerator pump"),
	num("engine.intake.airbox_volume", q.Volume, Positive, "air box", "fill with water"),
	num("engine.intake.filter_area", q.Area, Positive, "filter area", byRule),
	num("engine.exhaust.port_length", q.Length, Positive, "exhaust port, valve to flange", byRule),
	num("engine.exhaust.port_diameter", q.Length, Positive, "exhaust port", byCalliper),
	num("engine.exhaust.header[].length", q.Length, Positive, "length of this piece of head pipe", byRule),
	num("engine.exhaust.header[].bore", q.Length, Positive, "inside diameter of this piece of head pipe", byCalliper),
	num("engine.exhaust.silencer.volume", q.Volume, Positive, "inside volume of the silencer", "fill with water"),
	num("engine.exhaust.silencer.outlet_bore", q.Length, Positive, "bore of the silencer's outlet", byCalliper),
	num("engine.exhaust.silencer.sound", q.Sound, Positive, "static test, SAE J1287", "sound meter at 0.5 m and 45 degrees"),
	num("engine.clearances.piston", q.Length, Positive, "piston in the bore, on the diameter", byCalliper),
	num("engine.clearances.ring_gap", q.Length, Positive, "top ring end gap in the bore", "feeler gauge, ring pushed in square"),
	num("engine.clearances.squish", q.Length, Positive, "piston edge to head at top dead centre", "turn the engine over soft solder wire"),

	exact(num("driveline.primary", q.Ratio, Positive, "primary reduction", "count the teeth")),
	exact(num("driveline.gears[]", q.Ratio, Positive, "ratio of each gear, first gear first", "count the teeth")),
	count("driveline.sprockets.front", "teeth of the front sprocket"),
	count("driveline.sprockets.rear", "teeth of the rear sprocket"),
	choice("driveline.chain.size", "size of the drive chain", "420", "428", "520", "525", "530"),
	count("driveline.chain.pitches", "pitches of the chain"),
	yes("driveline.chain.oring", "the chain has O-rings"),
	num("driveline.sprocket_centres.shortest", q.Length, Positive, "sprocket centres with the adjuster fully in", byRule),
	num("driveline.sprocket_centres.longest", q.Length, Positive, "sprocket centres with the adjuster fully out", byRule),
	count("driveline.clutch.friction_faces", "friction faces: two for each friction plate"),
	num("driveline.clutch.outer_diameter", q.Length, Positive, "outside diameter of the friction faces", byCalliper),
	num("driveline.clutch.inner_diameter", q.Length, Positive, "inside diameter of the friction faces", byCalliper),
	num("driveline.clutch.spring_force_total", q.Force, Positive, "all clutch springs together, fitted", byPress),
	num("driveline.clutch.friction", q.Ratio, Positive, "friction of the faces in oil", "pull test on the fitted clutch with a torque wrench"),
	num("driveline.efficiency", q.Ratio, Share, "power at the wheels over power at the crank", "a roller dynamometer and a known engine"),

	num("wheels.loaded_radius_share", q.Ratio, Positive, "loaded radius over half the outside diameter, where no loaded radius is given", "measure both loaded radii instead"),
	word("wheels.front.tyre", "size of the front tyre as moulded on it"),
	num("wheels.front.rim_width", q.Length, Positive, "between the flanges of the front rim", byCalliper),
	num("wheels.front.pressure", q.Pressure, Positive, "front tyre pressure", "low-pressure gauge"),
	num("wheels.front.mass", q.Mass, Positive, "front wheel with tyre", byScale),
	{Path: "wheels.front.bolt_circle", Shape: Bolts, Doc: "bolt circle of the front wheel", How: byCalliper},
	{Path: "wheels.front.hub", Shape: Bolts, Doc: "bolt circle of the front hub", How: byCalliper},
	num("wheels.front.clearance", q.Length, Any, "nearest fixed part to the front tyre at full bump", "take the spring out, push to full bump, measure"),
	num("wheels.front.tyre_rate", q.Rate, Positive, "load on the front tyre over how far it gives", "measure.front_tyre: load and axle height, twice"),
	num("wheels.front.loaded_radius", q.Length, Positive, "front axle above ground with the rider on", byRule),
	word("wheels.rear.tyre", "size of the rear tyres as moulded on them"),
	num("wheels.rear.rim_width", q.Length, Positive, "between the flanges of a rear rim", byCalliper),
	num("wheels.rear.pressure", q.Pressure, Positive, "rear tyre pressure", "low-pressure gauge"),
	num("wheels.rear.mass", q.Mass, Positive, "one rear wheel with tyre", byScale),
	{Path: "wheels.rear.bolt_circle", Shape: Bolts, Doc: "bolt circle of the rear wheels", How: byCalliper},
	{Path: "wheels.rear.hub", Shape: Bolts, Doc: "bolt circle of the rear hubs", How: byCalliper},
	num("wheels.rear.offset", q.Length, Any, "rim centre outside the mounting face", byRule),
	yes("wheels.rear.beadlock", "the rear rims clamp the bead"),
	num("wheels.rear.clearance", q.Length, Any, "nearest fixed part to a rear tyre at full bump", "take the spring out, push to full bump, measure"),
	num("wheels.rear.tyre_rate", q.Rate, Positive, "load on one rear tyre over how far it gives", "measure.rear_tyre: load and axle height, twice"),
	num("wheels.rear.loaded_radius", q.Length, Positive, "rear axle above ground with the rider on", byRule),
	num("wheels.axle.diameter", q.Length, Positive, "rear axle at the bearings", byCalliper),
	num("wheels.axle.bore", q.Length, NotNegative, "hole through the rear axle; 0 mm when solid", byCalliper),
	usual(250, 1800, "MPa", num("wheels.axle.yield", q.Pressure, Positive, "yield strength of the axle's steel", byMaker)),
	num("wheels.axle.bearing_spacing", q.Length, Positive, "middle to middle of the axle bearings", byRule),
	word("wheels.axle.weakest.kind", "what the weakest section is: groove, spline, thread"),
	num("wheels.axle.weakest.from_centre", q.Length, NotNegative, "weakest section from the machine's centre line", byRule),
	num("wheels.axle.weakest.diameter", q.Length, Positive, "solid diameter left at the weakest section", byCalliper),
	num("wheels.axle.weakest.stress_factor", q.Ratio, Positive, "how much the notch raises the stress", "read it from a chart of stress concentration by radius and depth"),

	choice("suspension.front.kind", "front suspension; solid: the tyre alone", "telescopic fork", "A-arms", "solid"),
	count("suspension.front.legs", "legs, or shocks, with a spring"),
	num("suspension.front.travel", q.Length, Positive, "travel along the fork; vertical at the wheel for A-arms", "take the springs out and push the suspension through its travel"),
	num("suspension.front.tube_outer", q.Length, Positive, "outside diameter of the fork tube", byCalliper),
	num("suspension.front.tube_bore", q.Length, Positive, "bore of the fork tube", byCalliper),
	num("suspension.front.spring_rate", q.Rate, Positive, "rate of one front spring", byPress),
	num("suspension.front.preload", q.Length, NotNegative, "squash of the spring with the suspension fully extended", "free length less room for the spring"),
	num("suspension.front.spring_free", q.Length, Positive, "free length of a front spring", byRule),
	num("suspension.front.spring_solid", q.Length, Positive, "length of a front spring pressed solid", "coils times wire, or press it"),
	num("suspension.front.oil_air_gap", q.Length, Positive, "fork oil below the upper edge of the tube, spring out, fork bottomed", "rule or depth gauge down the tube"),
	num("suspension.front.oil.viscosity_40c", q.Viscosity, Positive, "kinematic viscosity of the fork oil at 40 C", "read the maker's data sheet, not the label's weight"),
	num("suspension.front.oil.viscosity_100c", q.Viscosity, Positive, "kinematic viscosity of the fork oil at 100 C", "read the maker's data sheet"),
	choice("suspension.front.damper.kind", "how the fork is damped", "damping rod", "cartridge", "emulator"),
	count("suspension.front.damper.compression_holes.count", "compression holes of one damping rod"),
	num("suspension.front.damper.compression_holes.diameter", q.Length, Positive, "diameter of a compression hole", "try drill shanks"),
	exact(num("suspension.front.leverage[].travel", q.Length, NotNegative, "wheel travel; A-arms", byRule)),
	num("suspension.front.leverage[].ratio", q.Ratio, Positive, "wheel travel over shock travel; A-arms", byLeverage),
	num("suspension.front.shock_stroke", q.Length, Positive, "full stroke of a front shock; A-arms", byRule),
	num("suspension.front.shaft", q.Length, Positive, "diameter of a front shock's shaft; A-arms", byCalliper),
	num("suspension.front.gas_pressure", q.Pressure, NotNegative, "gas pressure above the air, shock extended; 0 bar without; A-arms", byGasShop),
	count("suspension.front.damper.rebound_holes.count", "rebound holes of one damping rod"),
	num("suspension.front.damper.rebound_holes.diameter", q.Length, Positive, "diameter of a rebound hole", "try drill shanks"),
	choice("suspension.rear.kind", "rear suspension; solid: the tyre alone", "single shock", "twin shocks", "solid"),
	choice("suspension.rear.linkage", "what moves the shock", "none", "rising rate"),
	num("suspension.rear.travel", q.Length, Positive, "vertical travel at the wheel", "take the spring out and lift the axle through its travel"),
	exact(num("suspension.rear.leverage[].travel", q.Length, NotNegative, "wheel travel", byRule)),
	num("suspension.rear.leverage[].ratio", q.Ratio, Positive, "wheel travel over shock travel", byLeverage),
	num("suspension.rear.shock_stroke", q.Length, Positive, "full stroke of the shock", byRule),
	num("suspension.rear.spring_rate", q.Rate, Positive, "rate of one shock spring", byPress),
	num("suspension.rear.preload", q.Length, NotNegative, "squash of the spring with the shock fully extended", "free length less fitted length"),
	num("suspension.rear.spring_free", q.Length, Positive, "free length of a shock spring", byRule),
	num("suspension.rear.spring_solid", q.Length, Positive, "length of a shock spring pressed solid", "coils times wire"),
	num("suspension.rear.shaft", q.Length, Positive, "diameter of the shock shaft", byCalliper),
	num("suspension.rear.body_bore", q.Length, Positive, "bore of the shock body", byMaker),
	num("suspension.rear.gas_pressure", q.Pressure, NotNegative, "gas pressure above the air, shock extended; 0 bar without", byGasShop),
	num("suspension.unsprung.front", q.Mass, Positive, "front mass below the springs", byScale),
	num("suspension.unsprung.rear", q.Mass, Positive, "rear mass below the springs", byScale),

	choice("brakes.front.kind", "front brake", "disc", "drum"),
	count("brakes.front.count", "brakes in front: one for each wheel that has one"),
	num("brakes.front.diameter", q.Length, Positive, "inside diameter of the drum", byCalliper),
	num("brakes.front.shoe_factor", q.Ratio, Positive, "drag of the shoes over the force that spreads them", byPull),
	num("brakes.front.effective_radius", q.Length, Positive, "axle to the middle of the pad", byRule),
	choice("brakes.front.calliper.type", "floating: pistons on one side; fixed: on both", "floating", "fixed"),
	count("brakes.front.calliper.pistons", "pistons of the calliper, all of them"),
	num("brakes.front.calliper.diameter", q.Length, Positive, "diameter of a calliper piston", byCalliper),
	num("brakes.front.master", q.Length, Positive, "diameter of the master cylinder", "read the casting, or measure the piston"),
	num("brakes.front.lever_ratio", q.Ratio, Positive, "hand force at the finger's middle to force on the master piston, or at the shoes of a drum", byRule),
	num("brakes.front.pad_friction", q.Ratio, Positive, "friction of pad on disc", byPull),
	num("brakes.front.disc_mass", q.Mass, Positive, "the swept ring of the disc", byScale),
	choice("brakes.front.fluid", "fluid class", "DOT 3", "DOT 4", "DOT 5", "DOT 5.1"),
	choice("brakes.front.hose.kind", "kind of hose", "rubber", "braided"),
	num("brakes.front.hose.length", q.Length, Positive, "length of the hose", byRule),
	choice("brakes.rear.kind", "rear brake", "drum", "disc"),
	num("brakes.rear.diameter", q.Length, Positive, "inside diameter of the drum", byCalliper),
	num("brakes.rear.shoe_factor", q.Ratio, Positive, "drag of the shoes over the force that spreads them", byPull),
	num("brakes.rear.lever_ratio", q.Ratio, Positive, "foot or hand force to force at the shoes, or on the master piston of a disc", byRule),
	num("brakes.rear.effective_radius", q.Length, Positive, "axle to the middle of the pad", byRule),
	choice("brakes.rear.calliper.type", "floating: pistons on one side; fixed: on both", "floating", "fixed"),
	count("brakes.rear.calliper.pistons", "pistons of the calliper, all of them"),
	num("brakes.rear.calliper.diameter", q.Length, Positive, "diameter of a calliper piston", byCalliper),
	num("brakes.rear.master", q.Length, Positive, "diameter of the master cylinder", "read the casting, or measure the piston"),
	num("brakes.rear.pad_friction", q.Ratio, Positive, "friction of pad on disc", byPull),

	word("track.name", "what the course is called"),
	word("track.surface", "what the ground is"),
	word("track.gpx", "recording of the course"),
	num("track.peak_grip", q.Ratio, Positive, "greatest grip of the tyres on this ground", "pull the machine sideways and along with a spring scale, wheels locked"),
	num("track.rolling_resistance", q.Ratio, NotNegative, "rolling drag over weight", "pull the machine at walking pace with a spring scale"),
	word("track.sections[].name", "what the section is called"),
	exact(num("track.sections[].straight", q.Length, Positive, "length of a straight", "measuring wheel")),
	exact(num("track.sections[].climb", q.Ratio, Any, "rise over length", "level and tape")),
	choice("track.sections[].corner", "which way the corner goes", "left", "right"),
	exact(num("track.sections[].radius", q.Length, Positive, "radius of the corner's line", "measuring tape from the middle")),
	exact(num("track.sections[].angle", q.Angle, Positive, "how far the corner turns", "compass")),
	exact(num("track.sections[].bank", q.Angle, Any, "bank into the corner", "level with an angle scale")),
	exact(num("track.sections[].whoops", q.Length, Positive, "length of the whoops", "measuring wheel")),
	exact(num("track.sections[].pitch", q.Length, Positive, "crest to crest of the whoops", "measuring tape")),
	exact(num("track.sections[].height", q.Length, Positive, "crest over trough of the whoops", "measuring tape")),
	exact(num("track.sections[].jump.take_off", q.Angle, Positive, "angle of the take-off", "level with an angle scale")),
	exact(num("track.sections[].jump.height", q.Length, Positive, "height of the lip", "measuring tape")),
	exact(num("track.sections[].jump.gap", q.Length, Positive, "lip to landing", "measuring tape")),
	exact(num("track.sections[].jump.landing", q.Angle, Positive, "angle of the landing", "level with an angle scale")),

	reading("measure.weights.front", q.Mass, Positive, "reading under the front, tank empty", "scale under the front"),
	reading("measure.weights.rear", q.Mass, Positive, "reading under the rear, tank empty", "scale under the rear"),
	reading("measure.raised.rear", q.Mass, Positive, "reading under the rear with the front raised", "scale under the rear"),
	reading("measure.raised.lift", q.Length, Positive, "by how much the front wheel was raised", byRule),
	reading("measure.raised.front_radius", q.Length, Positive, "front axle above what its wheel stands on", byRule),
	reading("measure.raised.rear_radius", q.Length, Positive, "rear axle above ground", byRule),
	reading("measure.chamber.filled", q.Volume, Positive, "what went in, piston at top dead centre, to the bottom of the plug's thread", "burette"),
	reading("measure.chamber.plug_hole", q.Volume, NotNegative, "what of it stands in the plug hole", "burette"),
	reading("measure.dome.filled", q.Volume, Positive, "what the space over the lowered piston takes", "burette"),
	reading("measure.dome.depth", q.Length, Positive, "piston's edge below the cylinder's top", "depth gauge"),
	reading("measure.fork.light", q.Mass, Positive, "reading under the front wheel, lightly loaded", "scale under the front"),
	reading("measure.fork.light_travel", q.Length, NotNegative, "travel used then, along the fork", byRule),
	reading("measure.fork.heavy", q.Mass, Positive, "reading under the front wheel, heavily loaded", "scale under the front"),
	reading("measure.fork.heavy_travel", q.Length, Positive, "travel used then, along the fork", byRule),
	reading("measure.flywheel.mass", q.Mass, Positive, "what hangs on the wires", byScale),
	reading("measure.flywheel.circle", q.Length, Positive, "wires from the middle", byRule),
	reading("measure.flywheel.wires", q.Length, Positive, "length of the wires", byRule),
	reading("measure.flywheel.period", q.Time, Positive, "one whole swing", "time twenty, divide by twenty"),
	reading("measure.front_roll_out.distance", q.Length, Positive, "between the marks", byRule),
	count("measure.front_roll_out.turns", "turns of the wheel"),
	reading("measure.rear_roll_out.distance", q.Length, Positive, "between the marks", byRule),
	count("measure.rear_roll_out.turns", "turns of the wheel"),
	reading("measure.front_tyre.light", q.Mass, Positive, "load on the wheel, light", byScale),
	reading("measure.front_tyre.light_axle", q.Length, Positive, "axle above the scale then", byRule),
	reading("measure.front_tyre.heavy", q.Mass, Positive, "load on the wheel, heavy", byScale),
	reading("measure.front_tyre.heavy_axle", q.Length, Positive, "axle above the scale then", byRule),
	reading("measure.rear_tyre.light", q.Mass, Positive, "load on one wheel, light", byScale),
	reading("measure.rear_tyre.light_axle", q.Length, Positive, "axle above the scale then", byRule),
	reading("measure.rear_tyre.heavy", q.Mass, Positive, "load on one wheel, heavy", byScale),
	reading("measure.rear_tyre.heavy_axle", q.Length, Positive, "axle above the scale then", byRule),
	reading("measure.front_shoes.lever", q.Force, Positive, "force hung on the lever", bySpring),
	reading("measure.front_shoes.pull", q.Force, Positive, "force at the tyre that just turns the wheel", bySpring),
	reading("measure.front_shoes.at", q.Length, Positive, "radius at which it pulls", byRule),
	reading("measure.rear_shoes.lever", q.Force, Positive, "force hung on the pedal", bySpring),
	reading("measure.rear_shoes.pull", q.Force, Positive, "force at the tyre that just turns the wheel", bySpring),
	reading("measure.rear_shoes.at", q.Length, Positive, "radius at which it pulls", byRule),
	reading("measure.front_pads.lever", q.Force, Positive, "force hung on the lever", bySpring),
	reading("measure.front_pads.pull", q.Force, Positive, "force at the tyre that just turns the wheel", bySpring),
	reading("measure.front_pads.at", q.Length, Positive, "radius at which it pulls", byRule),
	reading("measure.rear_pads.lever", q.Force, Positive, "force hung on the pedal", bySpring),
	reading("measure.rear_pads.pull", q.Force, Positive, "force at the tyre that just turns the wheel", bySpring),
	reading("measure.rear_pads.at", q.Length, Positive, "radius at which it pulls", byRule),
	reading("measure.grip.pull", q.Force, Positive, "pull at which it begins to slide", bySpring),
	reading("measure.grip.mass", q.Mass, Positive, "mass of what is pulled, rider included if he sits on it", byScale),
	reading("measure.rolling.pull", q.Force, Positive, "pull at walking pace", bySpring),
	reading("measure.rolling.mass", q.Mass, Positive, "mass of what is pulled, rider included if he sits on it", byScale),
}
