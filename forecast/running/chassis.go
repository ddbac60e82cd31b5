package running

import (
	"errors"
	"math"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
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

var chassisFigures = []ranges.Definition{
	{ID: "chassis.mass", Title: "Mass with rider and fuel", Unit: "kg", Formula: "dry + added + fuel + rider + kit", Source: torque.DefinitionOnly, Theory: chassisTheory + "mass-and-centre-of-gravity", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return Laden(in).Mass, nil }},
	{ID: "chassis.cg_x", Title: "Centre of gravity ahead of the rear axle", Unit: "mm", Formula: "sum of mass x distance over mass", Source: "statics", Theory: chassisTheory + "mass-and-centre-of-gravity", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return Laden(in).X, nil }},
	{ID: "chassis.cg_z", Title: "Centre of gravity above ground", Unit: "mm", Formula: "sum of mass x height over mass", Source: "statics", Theory: chassisTheory + "mass-and-centre-of-gravity", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return Laden(in).Z, nil }},
	{ID: "chassis.tip_lateral", Only: notBike, Title: "Tip-over, rider centred", Unit: "g0", Formula: "half the track under the centre of gravity / its height; one wheel in front: (T/2h)(a/L), a = centre of gravity behind the front contact", Source: tipSource, Theory: chassisTheory + "tip-over", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) { return Stance(in).TipLateral(0, 0) }},
	{ID: "chassis.tip_lateral_hung", Only: notBike, Title: "Tip-over, rider hung off", Unit: "g0", Formula: "(half the track under the centre of gravity + e)/h, e = rider's share of the mass x how far he hangs off", Source: tipSource, Theory: chassisTheory + "tip-over", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) {
			shift := RiderMass(in) * in.Num("rider.hangs_off") / Laden(in).Mass
			return Stance(in).TipLateral(shift, 0)
		}},
	{ID: "chassis.tip_lateral_braking", Only: notBike, Title: "Tip-over while braking at 0.3 g", Unit: "g0", Formula: "as centred, the centre of gravity 0.3 h further forward; one wheel in front: (T/2h)(a/L - 0.3 h/L)", Source: tipSource, Theory: chassisTheory + "tip-over", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) { return Stance(in).TipLateral(0, brakingInTurn) }},
	{ID: "chassis.tip_lateral_swaying", Only: ranges.Both(notBike, ranges.Given("wheels.rear.tyre_rate")), Title: "Tip-over, tyres and springs giving", Unit: "g0", Formula: "rider centred x (1 - W h/K), K = roll stiffness: tyres of both axles, springs between arms in series with theirs; a rear end on one swingarm sways on its tyres alone", Source: "statics of an inverted pendulum on a spring; Gillespie, Fundamentals of Vehicle Dynamics, ch. 9", Theory: chassisTheory + "swaying", Model: swaying, Compute: tipSwaying},
	{ID: "chassis.lean_at_half_g", Only: onlyBike, Title: "Lean for a turn of 0.5 g", Unit: "deg", Formula: "phi + asin(t sin(phi)/(h - t)), phi = atan 0.5, t half the rear tyre's width, h the height of the centre of gravity", Source: "Cossalter, Motorcycle Dynamics, ch. 4", Theory: chassisTheory + "lean", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) {
			size, err := TyreSize(in, RearWheel)
			if err != nil || len(in.Missing) > 0 {
				return 0, err
			}
			return chassis.LeanAngle(leanShown, Laden(in).Z, size.Width/2)
		}},
	{ID: "chassis.wheelie_limit", Title: "Wheelie limit", Unit: "g0", Formula: "centre of gravity ahead of the rear axle / its height", Source: cossalter, Theory: chassisTheory + "wheelie-and-stoppie", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) {
			b := Laden(in)
			return chassis.WheelieLimit(b.X, b.Z, 0), nil
		}},
	{ID: StoppieLimit, Title: "Stoppie limit", Unit: "g0", Formula: "centre of gravity behind the front contact / its height", Source: cossalter, Theory: chassisTheory + "wheelie-and-stoppie", Model: rigid,
		Compute: func(in *ranges.Inputs) (float64, error) {
			b := Laden(in)
			return chassis.StoppieLimit(Wheelbase(in)-b.X, b.Z), nil
		}},
	{ID: "chassis.clearance_at_sag", Only: ranges.Given("geometry.ground_clearance"), Title: "Ground clearance with rider, at rest", Unit: "mm", Formula: "clearance extended less what front and rear have come down, rider sag", Source: "similar triangles", Theory: chassisTheory + "clearance", Model: springsOnly,
		Compute: func(in *ranges.Inputs) (float64, error) { return clearance(in, Wheel.down) }},
	{ID: "chassis.clearance_at_bump", Only: ranges.Given("geometry.ground_clearance"), Detail: true, Title: "Ground clearance with both ends at full bump", Unit: "mm", Formula: "clearance extended less the full travels", Source: "similar triangles", Theory: chassisTheory + "clearance", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return clearance(in, Wheel.travelVertical) }},
	{ID: "chassis.break_over", Only: ranges.Given("geometry.ground_clearance"), Detail: true, Title: "Sharpest crest passed with rider, at rest", Unit: "deg", Formula: "2 atan(2 clearance at sag / wheelbase)", Source: "SAE J1100, from memory; tyres as points", Theory: chassisTheory + "clearance", Model: springsOnly,
		Compute: func(in *ranges.Inputs) (float64, error) {
			left, err := clearance(in, Wheel.down)
			return chassis.BreakOver(left, Wheelbase(in)), err
		}},
	{ID: "rider.knee_angle", Detail: true, Title: "Knee angle, seated", Unit: "deg", Formula: "law of cosines; hip 0.05 of the stature above the seat, thigh 0.245, lower leg and foot 0.285", Source: "Drillis and Contini (1966)", Theory: chassisTheory + "rider", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			stature := in.Num("rider.stature")
			seatX, seatZ := placeOf(in, "geometry.seat")
			pegX, pegZ := placeOf(in, "geometry.peg")
			return chassis.KneeAngle(stature, math.Hypot(pegX-seatX, seatZ+chassis.HipAbove(stature)-pegZ)), nil
		}},
	{ID: "rider.reach", Detail: true, Title: "Bar ahead of the seat, share of the stature", Unit: "1", Formula: "(bar - seat) / stature, along the machine", Source: "definition", Theory: chassisTheory + "rider", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			bar, _ := placeOf(in, "geometry.bar")
			seat, _ := placeOf(in, "geometry.seat")
			return (bar - seat) / in.Num("rider.stature"), nil
		}},
	{ID: "chassis.pitch_index", Only: ranges.Given("mass.pitch_inertia"), Detail: true, Title: "Dynamic index in pitch, with rider", Unit: "1", Formula: dynamicIndex, Source: olley, Theory: chassisTheory + "hanging", Model: pointBodies,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return index(in, "mass.pitch_inertia", func(b, centre chassis.Body) float64 { return math.Hypot(b.X-centre.X, b.Z-centre.Z) })
		}},
	{ID: "chassis.yaw_index", Only: ranges.Given("mass.yaw_inertia"), Detail: true, Title: "Dynamic index in yaw, with rider", Unit: "1", Formula: dynamicIndex, Source: olley, Theory: chassisTheory + "hanging", Model: pointBodies,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return index(in, "mass.yaw_inertia", func(b, centre chassis.Body) float64 { return b.X - centre.X })
		}},
	{ID: "chassis.rake", Title: "Rake", Unit: "deg", Formula: "as measured, turned with the machine on other tyres", Source: "plane geometry", Theory: chassisTheory + "trail", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) { return rake(in), nil }},
	{ID: "chassis.trail", Title: "Trail", Unit: "mm", Formula: "(R sin rake - offset) / cos rake, R the loaded front radius", Source: "Cossalter, Motorcycle Dynamics, ch. 1", Theory: chassisTheory + "trail", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			radius, err := LoadedRadius(in, FrontWheel)
			return chassis.Steering{Rake: rake(in), Offset: in.Num("geometry.fork_offset"), FrontRadius: radius}.Trail(), err
		}},
}

// tipSwaying is the tip-over on tyres and springs that give.
func tipSwaying(in *ranges.Inputs) (float64, error) {
	rigidly, err := Stance(in).TipLateral(0, 0)
	stiffness := chassis.RollStiffness(in.Num("wheels.rear.tyre_rate"), in.Num("geometry.track_rear"))
	if LayoutIn(in) == Quad {
		track := in.Num("geometry.track_front")
		front := chassis.RollStiffness(in.Num("wheels.front.tyre_rate"), track)
		if in.Text("suspension.front.kind") == "A-arms" {
			rate, rateErr := FrontWheel.wheelRate(in) // of both wheels together
			front, err = chassis.InSeries(front, chassis.RollStiffness(rate/2, track)), errors.Join(err, rateErr)
		}
		stiffness += front
	}
	if err != nil || len(in.Missing) > 0 {
		return 0, err
	}
	b := Laden(in)
	return chassis.TipSwaying(rigidly, b.Mass*chassis.Gravity, b.Z, stiffness)
}

// index is a dynamic index of machine, fuel and rider, from the dry machine's moment of inertia and the others as
// points at an arm from the common centre.
func index(in *ranges.Inputs, path string, arm func(b, centre chassis.Body) float64) (float64, error) {
	centre := Laden(in)
	inertia := in.Num(path)
	for _, b := range bodies(in) {
		inertia = chassis.ReferTo(inertia, b.Mass, arm(b, centre))
	}
	return chassis.DynamicIndex(inertia, centre.Mass, centre.X, Wheelbase(in)-centre.X), nil
}

// clearance is what is left under the lowest point when each end has come down by so much, vertical.
func clearance(in *ranges.Inputs, down func(w Wheel, in *ranges.Inputs) (float64, error)) (float64, error) {
	front, err1 := down(FrontWheel, in)
	rear, err2 := down(RearWheel, in)
	x, z := lowest(in)
	return chassis.ClearanceAt(z, x, Wheelbase(in), front, rear), errors.Join(err1, err2)
}

// lowest is where the lowest sprung point lies, springs out [m].
func lowest(in *ranges.Inputs) (x, z float64) {
	return standFor(in, in.Build.Values["geometry.ground_clearance"].Origin.Part).Place(in.Num("geometry.lowest_x"), in.Num("geometry.ground_clearance"))
}

// down is how far an end has come down at rider sag, vertical; nothing without springs.
func (w Wheel) down(in *ranges.Inputs) (float64, error) {
	if in.Text(w.Path("suspension.%s.kind")) == "solid" {
		return 0, nil
	}
	sag, err := w.sag(in, Laden(in))
	return w.rises(in, sag), err
}

// travelVertical is the full travel of an end, vertical.
func (w Wheel) travelVertical(in *ranges.Inputs) (float64, error) {
	if in.Text(w.Path("suspension.%s.kind")) == "solid" {
		return 0, nil
	}
	return w.rises(in, in.Num(w.Path("suspension.%s.travel"))), nil
}

// dry is the machine as weighed, without fuel.
func dry(in *ranges.Inputs) chassis.Body {
	b := chassis.Body{Mass: in.Num("mass.dry")}
	b.X, b.Z = standFor(in, in.Build.Values["mass.cg_height"].Origin.Part).Place(in.Num("mass.front_share")*in.Num("geometry.wheelbase"), in.Num("mass.cg_height"))
	return b
}

// added are the masses that parts add or take off.
func added(in *ranges.Inputs) []chassis.Body {
	bodies := make([]chassis.Body, len(in.Build.Masses))
	for i, m := range in.Build.Masses {
		bodies[i].Mass = in.Atom(m.Mass)
		bodies[i].X, bodies[i].Z = standFor(in, m.Part).Place(in.Atom(m.X), in.Atom(m.Z))
	}
	if in.Trace != nil && len(bodies) > 0 {
		atoms := make([]int, 0, 3*len(bodies))
		for _, m := range in.Build.Masses {
			atoms = append(atoms, m.Mass, m.X, m.Z)
		}
		in.Trace.Note(ranges.AddedMasses, atoms)
	}
	return bodies
}

func fuel(in *ranges.Inputs) chassis.Body {
	b := chassis.Body{Mass: in.Num("tank.capacity") * in.Num("engine.fuel.density")}
	b.X, b.Z = placeOf(in, "tank")
	return b
}

// Fuelled is the machine with what the parts add and a full tank, without rider.
func Fuelled(in *ranges.Inputs) chassis.Body {
	return chassis.Combine(append([]chassis.Body{dry(in), fuel(in)}, added(in)...)...)
}

// bodies are all that the machine with rider and fuel is made of.
func bodies(in *ranges.Inputs) []chassis.Body {
	return append(append(make([]chassis.Body, 0, 3+len(in.Build.Masses)), dry(in), fuel(in), rider(in)), added(in)...)
}

// RiderMass is the rider with kit [kg].
func RiderMass(in *ranges.Inputs) float64 { return in.Num("rider.mass") + in.Num("rider.kit") }

// rider is the seated rider with kit. Without a measured centre of gravity it is taken from the seat. He moves with the
// machine, that holds him by seat, pegs and bar.
func rider(in *ranges.Inputs) chassis.Body {
	var x, z float64
	if in.Has("rider.cg.x") {
		x = in.Num("rider.cg.x")
	} else {
		x = in.Num("geometry.seat.x") + in.Num("rider.seat_to_cg.x")
	}
	height := "rider.cg.z"
	if in.Has(height) {
		z = in.Num(height)
	} else {
		height = "geometry.seat.z"
		z = in.Num(height) + in.Num("rider.seat_to_cg.z")
	}
	b := chassis.Body{Mass: RiderMass(in)}
	b.X, b.Z = standFor(in, in.Build.Values[height].Origin.Part).Place(x, z)
	return b
}

// Laden is the machine with rider, kit and a full tank.
func Laden(in *ranges.Inputs) chassis.Body { return chassis.Combine(bodies(in)...) }

// Stance is how a build stands on its wheels for a sum of tip-over, rider aboard and tank full [m].
func Stance(in *ranges.Inputs) chassis.Stance {
	b := Laden(in)
	s := chassis.Stance{Wheelbase: Wheelbase(in), TrackRear: in.Num("geometry.track_rear"), Along: b.X, Height: b.Z}
	if LayoutIn(in) == Quad {
		s.TrackFront = in.Num("geometry.track_front")
	}
	return s
}

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	rigid       = ranges.ModelError{Share: 0, Private: 0, Note: "a rigid machine; tyres and springs bring the real tip-over 10 to 15 % earlier (tilt-table tests)"}
	swaying     = ranges.ModelError{Share: 0.05, Private: 0.02, Note: "roll about the ground, rates constant, no bending of frame and axle"}
	pointBodies = ranges.ModelError{Share: 0.03, Private: 0.01, Note: "rider, fuel and added parts as points"}
)

// A machine with three wheels or four goes over its front end where a bike would stand on its front wheel.
const (
	StoppieLimit = "chassis.stoppie_limit"
	NoseOver     = "Nose-over limit"
)
