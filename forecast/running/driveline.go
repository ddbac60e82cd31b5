package running

import (
	"fmt"
	"math"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/tyre"
)

const drivelineTheory = "docs/theory/driveline.md#"

// LastBeforeSpeeds is the figure after which the road speeds stand, one for each gear.
const LastBeforeSpeeds = "driveline.overall_top"

var drivelineFigures = []ranges.Definition{
	{ID: LastBeforeSpeeds, Detail: true, Title: "Engine turns for one of the wheel, top gear", Unit: "1", Formula: "primary x top gear x rear teeth / front teeth", Source: torque.DefinitionOnly, Theory: drivelineTheory + "road-speed", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			top := in.Build.Len("driveline.gears")
			if top == 0 {
				in.Miss(GearPath(0))
				return 0, nil
			}
			return in.Num("driveline.primary") * in.Num(GearPath(top-1)) * Final(in), nil
		}},
	{ID: "driveline.chain_pitches", Title: "Chain pitches at the middle of the adjuster", Unit: "1", Formula: "tangent spans on the pitch circles and wrap, exact", Source: "ISO 606 geometry", Theory: drivelineTheory + "chain-length", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			front, rear := in.Count("driveline.sprockets.front"), in.Count("driveline.sprockets.rear")
			middle := (in.Num("driveline.sprocket_centres.shortest") + in.Num("driveline.sprocket_centres.longest")) / 2
			return driveline.ChainPitches(middle, Pitch(in), front, rear), nil
		}},
	{ID: "driveline.chain_centres", Detail: true, Title: "Sprocket centres with this chain, straight", Unit: "mm", Formula: "chain length solved for the centres", Source: "ISO 606 geometry", Theory: drivelineTheory + "chain-length", Model: ranges.Definitional, Compute: chainCentres},
	{ID: "driveline.adjuster_left", Title: "Adjuster left for wear", Unit: "mm", Formula: "longest centres - centres with this chain", Source: "ISO 606 geometry", Theory: drivelineTheory + "chain-length", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			centres, err := chainCentres(in)
			return in.Num("driveline.sprocket_centres.longest") - centres, err
		}},
	{ID: "driveline.chain_wrap", Detail: true, Title: "Chain wrap on the small sprocket", Unit: "deg", Formula: "pi - 2 asin(difference of pitch radii / centres)", Source: "ISO 606 geometry", Theory: drivelineTheory + "chain-length", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			centres, err := chainCentres(in)
			if err != nil {
				return 0, err
			}
			return driveline.Wrap(centres, Pitch(in), in.Count("driveline.sprockets.front"), in.Count("driveline.sprockets.rear")), nil
		}},
	{ID: "driveline.chain_slack", Only: ranges.Given("geometry.pivot.x"), Detail: true, Title: "Play that the chain needs, wheel hanging", Unit: "mm", Formula: "so that the centres can grow to where sprocket, pivot and axle stand in line", Source: "plane geometry", Theory: drivelineTheory + "chain-slack", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			arm, err := swingarm(in)
			if err != nil || len(in.Missing) > 0 {
				return 0, err
			}
			growth, hanging, err := arm.Growth()
			if err != nil {
				return 0, err
			}
			return driveline.SlackFor(hanging, growth), nil
		}},
	{ID: "driveline.chain_over_pivot", Only: ranges.Both(ranges.Given("geometry.pivot.x"), RearWheel.isSprung), Detail: true, Title: "Chain's upper run over the swingarm's pivot, least", Unit: "mm", Formula: "tangent of both pitch circles less half a pitch, from the pivot", Source: "plane geometry; ISO 606", Theory: drivelineTheory + "chain-over-the-swingarm", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return OverPivot(in, in.Count("driveline.sprockets.front"), in.Count("driveline.sprockets.rear"))
		}},
	sprocketRoom("front"), sprocketRoom("rear"),
	{ID: "driveline.rear_sprocket_clearance", Detail: true, Title: "Rear sprocket and its chain above the ground, with rider", Unit: "mm", Formula: "loaded rear radius - (pitch radius + half a pitch)", Source: "ISO 606 geometry", Theory: drivelineTheory + "sprocket-above-the-ground", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return SprocketAboveGround(in, in.Count("driveline.sprockets.rear"))
		}},
	{ID: "driveline.clutch_capacity", Title: "Clutch capacity", Unit: "Nm", Formula: "faces x friction x spring force x (outer + inner radius)/2, uniform wear", Source: "Shigley, Mechanical Engineering Design, ch. 16", Theory: drivelineTheory + "clutch", Model: dryFriction,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return driveline.ClutchCapacity(in.Count("driveline.clutch.friction_faces"), in.Num("driveline.clutch.friction"), in.Num("driveline.clutch.spring_force_total"),
				in.Num("driveline.clutch.outer_diameter")/2, in.Num("driveline.clutch.inner_diameter")/2), nil
		}},
	{ID: "driveline.clutch_torque", FourStroke: true, Detail: true, Title: "Torque at the clutch from 10 bar", Unit: "Nm", Formula: "10 bar x swept / (4 pi) x primary", Source: torque.Heywood + " eq. 2.20; 10 bar assumed until a torque curve is computed", Theory: drivelineTheory + "clutch", Model: meanPressure,
		Compute: func(in *ranges.Inputs) (float64, error) {
			swept, err := torque.SweptVolume(in)
			return engine.TorqueFromMeanEffectivePressure(assumedMeanPressure, swept) * in.Num("driveline.primary"), err
		}},
}

// SprocketAboveGround is how far a rear sprocket of so many teeth, chain on it, stays above the ground [m]: the axle
// stands on the tyres, so springs do not move it.
func SprocketAboveGround(in *ranges.Inputs, teeth int) (float64, error) {
	radius, err := LoadedRadius(in, RearWheel)
	return radius - driveline.TipRadius(Pitch(in), teeth), err
}

// OverPivot is the least distance of the chain's upper run above the swingarm's pivot [m] with so many teeth.
func OverPivot(in *ranges.Inputs, front, rear int) (float64, error) {
	arm, err := swingarm(in)
	pitch := Pitch(in)
	if err != nil || len(in.Missing) > 0 {
		return 0, err
	}
	return arm.OverPivot(pitch, front, rear)
}

// swingarm is the rear suspension as the chain sees it. Pivot and sprocket were measured with the tyres that the
// machine had; the axle hung at their unloaded radius, and keeps its place to the pivot when others go on.
func swingarm(in *ranges.Inputs) (driveline.Swingarm, error) {
	size, err := tyre.ParseSize(in.Build.Project.Base["wheels.rear.tyre"].Text)
	if err != nil {
		return driveline.Swingarm{}, err
	}
	px, pz := in.Num("geometry.pivot.x"), in.Num("geometry.pivot.z")-size.Outside/2
	return driveline.Swingarm{
		AheadX: in.Num("geometry.sprocket.x") - px, AheadZ: in.Num("geometry.sprocket.z") - in.Num("geometry.pivot.z"),
		Arm: math.Hypot(px, pz), Droop: math.Atan2(pz, px), Travel: in.Num("suspension.rear.travel"),
	}, nil
}

// sprocketRoom is what is left around a sprocket with its chain.
func sprocketRoom(end string) ranges.Definition {
	return ranges.Definition{ID: "driveline." + end + "_sprocket_room", Only: ranges.Given("driveline.sprockets." + end + "_room"), Detail: true, Title: "Room left around the " + end + " sprocket and its chain", Unit: "mm", Formula: "room given - (pitch radius + half a pitch)", Source: "ISO 606 geometry", Theory: drivelineTheory + "chain-length", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			return in.Num("driveline.sprockets."+end+"_room") - driveline.TipRadius(Pitch(in), in.Count("driveline.sprockets."+end)), nil
		}}
}

// assumedMeanPressure stands for the brake mean effective pressure at peak torque until a curve is computed [Pa].
const assumedMeanPressure = 10e5

// GearPath is the path of a gear ratio, counted from 0.
func GearPath(gear int) string { return ranges.Entry("driveline.gears", gear, "") }

// Final is the final reduction.
func Final(in *ranges.Inputs) float64 {
	return in.Num("driveline.sprockets.rear") / in.Num("driveline.sprockets.front")
}

// Pitch of the chain [m].
func Pitch(in *ranges.Inputs) float64 { return Chain(in).Pitch }

// Chain is the size of the chain; the sizes are a choice of the sheet, so an unknown one is a mistake of the program.
func Chain(in *ranges.Inputs) driveline.Chain {
	chain, ok := driveline.ChainSize(in.Text("driveline.chain.size"))
	if !ok && len(in.Missing) == 0 {
		panic("forecast: no chain " + in.Text("driveline.chain.size"))
	}
	return chain
}

func chainCentres(in *ranges.Inputs) (float64, error) {
	pitches, front, rear, p := in.Num("driveline.chain.pitches"), in.Count("driveline.sprockets.front"), in.Count("driveline.sprockets.rear"), Pitch(in)
	if len(in.Missing) > 0 {
		return 0, nil
	}
	return driveline.CentresForPitches(pitches, p, front, rear)
}

// SpeedInGear is the road speed in a gear, counted from 0.
func SpeedInGear(gear int) ranges.Definition {
	return ranges.Definition{ID: fmt.Sprintf("driveline.speed.%d", gear+1), Title: fmt.Sprintf("Road speed in gear %d at redline", gear+1), Unit: "km/h", Formula: "redline / (primary x gear x final) x loaded radius", Source: "kinematics", Theory: drivelineTheory + "road-speed", Model: ranges.Definitional,
		Compute: func(in *ranges.Inputs) (float64, error) {
			radius, err := LoadedRadius(in, RearWheel)
			return driveline.RoadSpeed(in.Num("engine.redline"), in.Num("driveline.primary"), in.Num(GearPath(gear)), Final(in), radius), err
		}}
}

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	dryFriction  = ranges.ModelError{Share: 0.05, Private: 0.02, Note: "uniform wear; oil, drag and temperature left out"}
	meanPressure = ranges.ModelError{Share: 0.20, Private: 0.10, Note: "a mean effective pressure of 10 bar is assumed until a torque curve is computed"}
)
