package forecast

import (
	"errors"
	"math"

	"shakedown/vehicle/chassis"
)

const (
	chassisTheory = "docs/theory/chassis.md#"
	tipSource     = "statics of the line from the front to the rear contact of the outer side; scope of Huston, Graves and Johnson, SAE 820139 (1982)"
	dynamicIndex  = "I/(m a b), I = dry machine as measured + mass x distance^2 of added parts, fuel and rider"
	olley         = "Olley's k^2/ab; Milliken and Milliken, Race Car Vehicle Dynamics; Steiner's theorem"
	cossalter     = "Cossalter, Motorcycle Dynamics, ch. 3"
)

// brakingInTurn is the deceleration at which the tip-over while braking is stated [g0].
const brakingInTurn = 0.3

// leanShown is the lateral acceleration at which a bike's lean is stated [g0].
const leanShown = 0.5

var chassisFigures = []definition{
	{id: "chassis.mass", title: "Mass with rider and fuel", unit: "kg", formula: "dry + added + fuel + rider + kit", source: definitionOnly, theory: chassisTheory + "mass-and-centre-of-gravity", model: definitional,
		compute: func(in *inputs) (float64, error) { return laden(in).Mass, nil }},
	{id: "chassis.cg_x", title: "Centre of gravity ahead of the rear axle", unit: "mm", formula: "sum of mass x distance over mass", source: "statics", theory: chassisTheory + "mass-and-centre-of-gravity", model: definitional,
		compute: func(in *inputs) (float64, error) { return laden(in).X, nil }},
	{id: "chassis.cg_z", title: "Centre of gravity above ground", unit: "mm", formula: "sum of mass x height over mass", source: "statics", theory: chassisTheory + "mass-and-centre-of-gravity", model: definitional,
		compute: func(in *inputs) (float64, error) { return laden(in).Z, nil }},
	{id: "chassis.tip_lateral", only: notBike, title: "Tip-over, rider centred", unit: "g0", formula: "half the track under the centre of gravity / its height; one wheel in front: (T/2h)(a/L), a = centre of gravity behind the front contact", source: tipSource, theory: chassisTheory + "tip-over", model: rigid,
		compute: func(in *inputs) (float64, error) { return stance(in).TipLateral(0, 0) }},
	{id: "chassis.tip_lateral_hung", only: notBike, title: "Tip-over, rider hung off", unit: "g0", formula: "(half the track under the centre of gravity + e)/h, e = rider's share of the mass x how far he hangs off", source: tipSource, theory: chassisTheory + "tip-over", model: rigid,
		compute: func(in *inputs) (float64, error) {
			shift := riderMass(in) * in.num("rider.hangs_off") / laden(in).Mass
			return stance(in).TipLateral(shift, 0)
		}},
	{id: "chassis.tip_lateral_braking", only: notBike, title: "Tip-over while braking at 0.3 g", unit: "g0", formula: "as centred, the centre of gravity 0.3 h further forward; one wheel in front: (T/2h)(a/L - 0.3 h/L)", source: tipSource, theory: chassisTheory + "tip-over", model: rigid,
		compute: func(in *inputs) (float64, error) { return stance(in).TipLateral(0, brakingInTurn) }},
	{id: "chassis.tip_lateral_swaying", only: both(notBike, given("wheels.rear.tyre_rate")), title: "Tip-over, tyres and springs giving", unit: "g0", formula: "rider centred x (1 - W h/K), K = roll stiffness: tyres of both axles, springs between arms in series with theirs; a rear end on one swingarm sways on its tyres alone", source: "statics of an inverted pendulum on a spring; Gillespie, Fundamentals of Vehicle Dynamics, ch. 9", theory: chassisTheory + "swaying", model: swaying, compute: tipSwaying},
	{id: "chassis.lean_at_half_g", only: onlyBike, title: "Lean for a turn of 0.5 g", unit: "deg", formula: "phi + asin(t sin(phi)/(h - t)), phi = atan 0.5, t half the rear tyre's width, h the height of the centre of gravity", source: "Cossalter, Motorcycle Dynamics, ch. 4", theory: chassisTheory + "lean", model: rigid,
		compute: func(in *inputs) (float64, error) {
			size, err := tyreSize(in, rearWheel)
			if err != nil || len(in.missing) > 0 {
				return 0, err
			}
			return chassis.LeanAngle(leanShown, laden(in).Z, size.Width/2)
		}},
	{id: "chassis.wheelie_limit", title: "Wheelie limit", unit: "g0", formula: "centre of gravity ahead of the rear axle / its height", source: cossalter, theory: chassisTheory + "wheelie-and-stoppie", model: rigid,
		compute: func(in *inputs) (float64, error) { b := laden(in); return chassis.WheelieLimit(b.X, b.Z, 0), nil }},
	{id: stoppieLimit, title: "Stoppie limit", unit: "g0", formula: "centre of gravity behind the front contact / its height", source: cossalter, theory: chassisTheory + "wheelie-and-stoppie", model: rigid,
		compute: func(in *inputs) (float64, error) {
			b := laden(in)
			return chassis.StoppieLimit(wheelbase(in)-b.X, b.Z), nil
		}},
	{id: "chassis.clearance_at_sag", only: given("geometry.ground_clearance"), title: "Ground clearance with rider, at rest", unit: "mm", formula: "clearance extended less what front and rear have come down, rider sag", source: "similar triangles", theory: chassisTheory + "clearance", model: springsOnly,
		compute: func(in *inputs) (float64, error) { return clearance(in, wheel.down) }},
	{id: "chassis.clearance_at_bump", only: given("geometry.ground_clearance"), detail: true, title: "Ground clearance with both ends at full bump", unit: "mm", formula: "clearance extended less the full travels", source: "similar triangles", theory: chassisTheory + "clearance", model: definitional,
		compute: func(in *inputs) (float64, error) { return clearance(in, wheel.travelVertical) }},
	{id: "chassis.break_over", only: given("geometry.ground_clearance"), detail: true, title: "Sharpest crest passed with rider, at rest", unit: "deg", formula: "2 atan(2 clearance at sag / wheelbase)", source: "SAE J1100, from memory; tyres as points", theory: chassisTheory + "clearance", model: springsOnly,
		compute: func(in *inputs) (float64, error) {
			left, err := clearance(in, wheel.down)
			return chassis.BreakOver(left, wheelbase(in)), err
		}},
	{id: "rider.knee_angle", detail: true, title: "Knee angle, seated", unit: "deg", formula: "law of cosines; hip 0.05 of the stature above the seat, thigh 0.245, lower leg and foot 0.285", source: "Drillis and Contini (1966)", theory: chassisTheory + "rider", model: definitional,
		compute: func(in *inputs) (float64, error) {
			stature := in.num("rider.stature")
			seatX, seatZ := placeOf(in, "geometry.seat")
			pegX, pegZ := placeOf(in, "geometry.peg")
			return chassis.KneeAngle(stature, math.Hypot(pegX-seatX, seatZ+chassis.HipAbove(stature)-pegZ)), nil
		}},
	{id: "rider.reach", detail: true, title: "Bar ahead of the seat, share of the stature", unit: "1", formula: "(bar - seat) / stature, along the machine", source: "definition", theory: chassisTheory + "rider", model: definitional,
		compute: func(in *inputs) (float64, error) {
			bar, _ := placeOf(in, "geometry.bar")
			seat, _ := placeOf(in, "geometry.seat")
			return (bar - seat) / in.num("rider.stature"), nil
		}},
	{id: "chassis.pitch_index", only: given("mass.pitch_inertia"), detail: true, title: "Dynamic index in pitch, with rider", unit: "1", formula: dynamicIndex, source: olley, theory: chassisTheory + "hanging", model: pointBodies,
		compute: func(in *inputs) (float64, error) {
			return index(in, "mass.pitch_inertia", func(b, centre chassis.Body) float64 { return math.Hypot(b.X-centre.X, b.Z-centre.Z) })
		}},
	{id: "chassis.yaw_index", only: given("mass.yaw_inertia"), detail: true, title: "Dynamic index in yaw, with rider", unit: "1", formula: dynamicIndex, source: olley, theory: chassisTheory + "hanging", model: pointBodies,
		compute: func(in *inputs) (float64, error) {
			return index(in, "mass.yaw_inertia", func(b, centre chassis.Body) float64 { return b.X - centre.X })
		}},
	{id: "chassis.rake", title: "Rake", unit: "deg", formula: "as measured, turned with the machine on other tyres", source: "plane geometry", theory: chassisTheory + "trail", model: definitional,
		compute: func(in *inputs) (float64, error) { return rake(in), nil }},
	{id: "chassis.trail", title: "Trail", unit: "mm", formula: "(R sin rake - offset) / cos rake, R the loaded front radius", source: "Cossalter, Motorcycle Dynamics, ch. 1", theory: chassisTheory + "trail", model: definitional,
		compute: func(in *inputs) (float64, error) {
			radius, err := loadedRadius(in, frontWheel)
			return chassis.Steering{Rake: rake(in), Offset: in.num("geometry.fork_offset"), FrontRadius: radius}.Trail(), err
		}},
}

// tipSwaying is the tip-over on tyres and springs that give.
func tipSwaying(in *inputs) (float64, error) {
	rigidly, err := stance(in).TipLateral(0, 0)
	stiffness := chassis.RollStiffness(in.num("wheels.rear.tyre_rate"), in.num("geometry.track_rear"))
	if layoutIn(in) == quad {
		track := in.num("geometry.track_front")
		front := chassis.RollStiffness(in.num("wheels.front.tyre_rate"), track)
		if in.text("suspension.front.kind") == "A-arms" {
			rate, rateErr := frontWheel.wheelRate(in) // of both wheels together
			front, err = chassis.InSeries(front, chassis.RollStiffness(rate/2, track)), errors.Join(err, rateErr)
		}
		stiffness += front
	}
	if err != nil || len(in.missing) > 0 {
		return 0, err
	}
	b := laden(in)
	return chassis.TipSwaying(rigidly, b.Mass*chassis.Gravity, b.Z, stiffness)
}

// index is a dynamic index of machine, fuel and rider, from the dry machine's moment of inertia and the others as points at
// an arm from the common centre.
func index(in *inputs, path string, arm func(b, centre chassis.Body) float64) (float64, error) {
	centre := laden(in)
	inertia := in.num(path)
	for _, b := range bodies(in) {
		inertia = chassis.ReferTo(inertia, b.Mass, arm(b, centre))
	}
	return chassis.DynamicIndex(inertia, centre.Mass, centre.X, wheelbase(in)-centre.X), nil
}

// clearance is what is left under the lowest point when each end has come down by so much, vertical.
func clearance(in *inputs, down func(w wheel, in *inputs) (float64, error)) (float64, error) {
	front, err1 := down(frontWheel, in)
	rear, err2 := down(rearWheel, in)
	x, z := lowest(in)
	return chassis.ClearanceAt(z, x, wheelbase(in), front, rear), errors.Join(err1, err2)
}

// lowest is where the lowest sprung point lies, springs out [m].
func lowest(in *inputs) (x, z float64) {
	return standFor(in, in.build.Values["geometry.ground_clearance"].Origin.Part).Place(in.num("geometry.lowest_x"), in.num("geometry.ground_clearance"))
}

// down is how far an end has come down at rider sag, vertical; nothing without springs.
func (w wheel) down(in *inputs) (float64, error) {
	if in.text(w.path("suspension.%s.kind")) == "solid" {
		return 0, nil
	}
	sag, err := w.sag(in, laden(in))
	return w.rises(in, sag), err
}

// travelVertical is the full travel of an end, vertical.
func (w wheel) travelVertical(in *inputs) (float64, error) {
	if in.text(w.path("suspension.%s.kind")) == "solid" {
		return 0, nil
	}
	return w.rises(in, in.num(w.path("suspension.%s.travel"))), nil
}

// dry is the machine as weighed, without fuel.
func dry(in *inputs) chassis.Body {
	b := chassis.Body{Mass: in.num("mass.dry")}
	b.X, b.Z = standFor(in, in.build.Values["mass.cg_height"].Origin.Part).Place(in.num("mass.front_share")*in.num("geometry.wheelbase"), in.num("mass.cg_height"))
	return b
}

// added are the masses that parts add or take off.
func added(in *inputs) []chassis.Body {
	bodies := make([]chassis.Body, len(in.build.Masses))
	for i, m := range in.build.Masses {
		bodies[i].Mass = in.atom(m.Mass)
		bodies[i].X, bodies[i].Z = standFor(in, m.Part).Place(in.atom(m.X), in.atom(m.Z))
	}
	if in.trace != nil && len(bodies) > 0 {
		atoms := make([]int, 0, 3*len(bodies))
		for _, m := range in.build.Masses {
			atoms = append(atoms, m.Mass, m.X, m.Z)
		}
		in.trace.note(addedMasses, atoms)
	}
	return bodies
}

func fuel(in *inputs) chassis.Body {
	b := chassis.Body{Mass: in.num("tank.capacity") * in.num("engine.fuel.density")}
	b.X, b.Z = placeOf(in, "tank")
	return b
}

// fuelled is the machine with what the parts add and a full tank, without rider.
func fuelled(in *inputs) chassis.Body {
	return chassis.Combine(append([]chassis.Body{dry(in), fuel(in)}, added(in)...)...)
}

// bodies are all that the machine with rider and fuel is made of.
func bodies(in *inputs) []chassis.Body {
	return append([]chassis.Body{dry(in), fuel(in), rider(in)}, added(in)...)
}

func riderMass(in *inputs) float64 { return in.num("rider.mass") + in.num("rider.kit") }

// rider is the seated rider with kit. Without a measured centre of gravity it is taken from the seat. He moves with the machine, that holds him by seat, pegs and bar.
func rider(in *inputs) chassis.Body {
	var x, z float64
	if in.has("rider.cg.x") {
		x = in.num("rider.cg.x")
	} else {
		x = in.num("geometry.seat.x") + in.num("rider.seat_to_cg.x")
	}
	height := "rider.cg.z"
	if in.has(height) {
		z = in.num(height)
	} else {
		height = "geometry.seat.z"
		z = in.num(height) + in.num("rider.seat_to_cg.z")
	}
	b := chassis.Body{Mass: riderMass(in)}
	b.X, b.Z = standFor(in, in.build.Values[height].Origin.Part).Place(x, z)
	return b
}

// laden is the machine with rider, kit and a full tank.
func laden(in *inputs) chassis.Body { return chassis.Combine(bodies(in)...) }

func stance(in *inputs) chassis.Stance {
	b := laden(in)
	s := chassis.Stance{Wheelbase: wheelbase(in), TrackRear: in.num("geometry.track_rear"), Along: b.X, Height: b.Z}
	if layoutIn(in) == quad {
		s.TrackFront = in.num("geometry.track_front")
	}
	return s
}
