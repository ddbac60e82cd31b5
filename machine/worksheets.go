package machine

// Worksheet is a way of measuring what nobody can look up: readings go into the sheet under measure, an input comes
// out.
type Worksheet struct {
	Name  string   // of the group under measure
	Gives []string // inputs
	Sum   string   // how they follow from the readings
	Tools string
	Steps string // how to do it, in the order of the work
	Care  string // what it can do to people, and how it does not
	More  string // where in docs more is said of it; "" for nowhere
}

// MeasuringCares are the ids of the cautions that hold for measuring as a whole; each way has its own beside.
var MeasuringCares = []string{"brakes", "springs", "fuel", "running", "dynamometer", "chain", "coolant", "asbestos"}

const (
	heldUp  = "On a stand that cannot tip, tied down, engine off; fingers out of spokes and chain. Dust of old shoes and pads may hold asbestos: never blow or brush it dry."
	turned  = "Plug out, ignition off, turned by hand only; fingers away from chain and gears. Stop where it binds: never force it."
	hung    = "A second rope to the hoist in case one lets go; nobody under it. Tank drained, no flame near."
	onScale = "A helper holds the machine, the other wheels are blocked; never load a scale beyond what it is made for."
	pulled  = "On closed ground, engine off. Nobody beside the machine or in line with the rope, which snaps back."
)

// Worksheets are all of them, in the order in which they are computed: later ones may use what earlier ones give.
var Worksheets = []Worksheet{
	{"weights", []string{"mass.dry", "mass.front_share"}, "dry = front + rear; front share = front/dry", "one or two bathroom scales, blocks as high as the scales",
		"Drain the tank. Stand the machine level with a scale under each axle, or one scale and a block of its height under the other; roll it off and on and read three times. On two wheels at one axle, add their readings.",
		"Drain cold and outdoors, no flame near: an emptied tank can still explode. Two people; block the wheels.", ""},
	{"raised", []string{"mass.cg_height"}, "statics of the raised machine, exact for two sizes of wheel", "scale under the rear, blocks under the front, steel rule",
		"After weights: tie the suspension so that it cannot move, lift the front wheel on to a block of 300 mm or more, let the rear stand freely on the scale with its brake off, and read. The higher the block, the surer the height.",
		"Two people, and a strap from above: it can roll off. Tank drained.", "theory/chassis.md#weighing"},
	{"twisted", []string{"mass.yaw_inertia"}, "m g D^2 T^2/(16 pi^2 l)", "hoist, two equal wires or straps, tape, stopwatch",
		"Dry machine, level, on two wires from one beam, its centre of gravity midway between them. Twist by less than ten degrees, let go, time twenty swings.",
		hung, "theory/chassis.md#hanging"},
	{"swung", []string{"mass.pitch_inertia"}, "m g d T^2/(4 pi^2) - m d^2", "hoist, a bar across to swing on, tape, stopwatch",
		"Dry machine hung so that it swings fore and aft on a stiff bar above it, its centre of gravity at a known depth below the bar (after raised). Let it swing by less than ten degrees, time twenty swings. The nearer the bar, the surer the result.",
		hung, "theory/chassis.md#hanging"},
	{"chamber", []string{"engine.chamber.head"}, "head = filled - plug hole - gasket disc - deck disc + dome", "burette or syringe, thin oil with paraffin",
		"Engine assembled, piston at top dead centre on the firing stroke, plug hole straight up. Fill through the plug hole to the bottom of its thread and read how much went in. Fill the thread alone for the second reading. Turn the engine over by hand with the plug out until it is dry again.",
		"Paraffin burns: no flame, gloves on. " + turned, ""},
	{"dome", []string{"engine.chamber.dome"}, "dome = pi/4 bore^2 depth - filled", "burette, depth gauge, a clear plate with a hole, grease",
		"Piston sealed with a little grease in the bore, its edge lowered by the depth below the cylinder's top. Lay the plate on the cylinder and fill the space through the hole.",
		"Grip nothing in a vice by its bore; gloves on, no flame.", ""},
	{"fork", []string{"suspension.front.spring_rate"}, "(difference of load x g cos(rake)/legs - what the air takes more)/difference of travel", "bathroom scale, tape",
		"Front wheel on the scale, rider on for the heavy reading, fork free of friction (bounce, let settle, read; bounce the other way, take the mean). Read load and travel used once lightly and once heavily loaded, at least 40 mm apart.",
		onScale + " A spring alone goes on a spring tester or to a shop, never on a bathroom scale.", ""},
	{"flywheel", []string{"engine.flywheel_inertia"}, "m g R^2 T^2/(4 pi^2 l)", "three equal wires, scale, stopwatch",
		"Hang crank and rotor level on three wires on a circle about its centre, twist by less than ten degrees, time twenty swings.",
		"It is heavy: hang it low over something soft, feet and fingers clear.", "theory/chassis.md#hanging"},
	{"motored", []string{"engine.friction_factor"}, "4 pi pull arm/swept volume over the sum of the engine's parts at that speed, gas load left out", "electric motor that turns the crank, its body free to turn in bearings, arm, spring scale, rev counter",
		"Engine warm, oil at its level, plug out, throttle open, carburettor off or empty, in neutral. Let the motor turn the crank by its nut at a steady speed, the faster the better, and read the spring scale that holds the motor's body back by the arm. Take the mean of five readings.",
		"Ignition cut at the switch and the lead earthed, no fuel near: mist leaves the plug hole. Motor, arm and scale on a stand that cannot move, a guard round the shaft, no sleeves or gloves near it, a second person at the motor's switch. At a shop that has such a stand it is safer.", "theory/engine.md#torque-curve"},
	{"front_roll_out", []string{"wheels.front.loaded_radius"}, "distance/(2 pi turns)", "chalk, tape",
		"Rider on, tyre at racing pressure. Chalk tyre and ground, roll straight on for three turns or more, measure between the marks.",
		"On level, closed ground, engine off, a helper beside the machine.", ""},
	{"rear_roll_out", []string{"wheels.rear.loaded_radius"}, "distance/(2 pi turns)", "chalk, tape",
		"Rider on, tyres at racing pressure. Chalk tyre and ground, roll straight on for three turns or more, measure between the marks.",
		"On level, closed ground, engine off, a helper beside the machine.", ""},
	{"front_tyre", []string{"wheels.front.tyre_rate"}, "difference of load x g/difference of height", "bathroom scale, rule",
		"Wheel on the scale at racing pressure. Read load and axle height once lightly and once heavily loaded.",
		onScale, ""},
	{"rear_tyre", []string{"wheels.rear.tyre_rate"}, "difference of load x g/difference of height", "bathroom scale, rule",
		"One rear wheel on the scale at racing pressure. Read load and axle height once lightly and once heavily loaded.",
		onScale, ""},
	{"front_shoes", []string{"brakes.front.shoe_factor"}, "braked wheels x pull x radius/(lever x ratio x diameter/2)", "spring scale for the lever, spring scale or weights for the pull, tape",
		"Wheel off the ground. Hang a known force on the lever, pull at the tyre square to a radius until the wheel just turns; both ways round, take the mean. With two braked wheels in front, both off the ground and only one pulled: the sum counts the other.",
		heldUp, ""},
	{"rear_shoes", []string{"brakes.rear.shoe_factor"}, "pull x radius/(lever x ratio x diameter/2)", "spring scale for the pedal, spring scale or weights for the pull, tape",
		"Wheels off the ground. Hang a known force on the pedal, pull at the tyre square to a radius until the wheel just turns; both ways round, take the mean.",
		heldUp, ""},
	{"front_pads", []string{"brakes.front.pad_friction"}, "braked wheels x pull x radius/torque of the same lever force at a friction of 1", "spring scale for the lever, spring scale or weights for the pull, tape",
		"Wheel off the ground. Hang a known force on the lever, pull at the tyre square to a radius until the wheel just turns. With two braked wheels in front, both off the ground and only one pulled: the sum counts the other. Cold pads: hot ones bite more.",
		heldUp, ""},
	{"rear_pads", []string{"brakes.rear.pad_friction"}, "pull x radius/torque of the same lever force at a friction of 1", "spring scale for the pedal, spring scale or weights for the pull, tape",
		"Wheels off the ground. Hang a known force on the pedal, pull at the tyre square to a radius until the wheel just turns.",
		heldUp, ""},
	{"intake_lobe", []string{"engine.cam.intake.table"}, "smoothed to what a dial gauge reads to (0.01 mm)", "degree wheel on the crank, dial gauge on the retainer",
		"Take up the lash. Turn the crank one way only, read every five degrees from before the opening to after the closing. The lobe's centre lies midway between equal lifts.",
		turned, "theory/valvetrain.md#readings"},
	{"exhaust_lobe", []string{"engine.cam.exhaust.table"}, "smoothed to what a dial gauge reads to (0.01 mm)", "degree wheel on the crank, dial gauge on the retainer",
		"Take up the lash. Turn the crank one way only, read every five degrees from before the opening to after the closing. The lobe's centre lies midway between equal lifts.",
		turned, "theory/valvetrain.md#readings"},
	{"grip", []string{"track.peak_grip"}, "pull/(mass x g)", "spring scale, rope",
		"On the ground you race on, wheels locked by the brakes, pull the machine along until it begins to slide, then sideways; take the mean of the two and of several tries.",
		pulled, ""},
	{"rolling", []string{"track.rolling_resistance"}, "pull/(mass x g)", "spring scale, rope",
		"On the ground you race on, in neutral, pull at walking pace and read while it moves.",
		pulled, ""},
}
