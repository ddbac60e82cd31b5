package forecast

import (
	"fmt"
	"math"

	"shakedown/engine"
	"shakedown/vehicle/driveline"
	"shakedown/vehicle/tyre"
)

const drivelineTheory = "docs/theory/driveline.md#"

// lastBeforeSpeeds is the figure after which the road speeds stand, one for each gear.
const lastBeforeSpeeds = "driveline.overall_top"

var drivelineFigures = []definition{
	{lastBeforeSpeeds, "Engine turns for one of the wheel, top gear", "1", "primary x top gear x rear teeth / front teeth", definitionOnly, drivelineTheory + "road-speed", definitional,
		func(in *inputs) (float64, error) {
			top := in.build.Len("driveline.gears")
			if top == 0 {
				in.miss(gearPath(0))
				return 0, nil
			}
			return in.num("driveline.primary") * in.num(gearPath(top-1)) * final(in), nil
		}},
	{"driveline.chain_pitches", "Chain pitches at the middle of the adjuster", "1", "tangent spans on the pitch circles and wrap, exact", "ISO 606 geometry", drivelineTheory + "chain-length", definitional,
		func(in *inputs) (float64, error) {
			front, rear := in.count("driveline.sprockets.front"), in.count("driveline.sprockets.rear")
			middle := (in.num("driveline.sprocket_centres.shortest") + in.num("driveline.sprocket_centres.longest")) / 2
			return driveline.ChainPitches(middle, pitch(in), front, rear), nil
		}},
	{"driveline.chain_centres", "Sprocket centres with this chain, straight", "mm", "chain length solved for the centres", "ISO 606 geometry", drivelineTheory + "chain-length", definitional, chainCentres},
	{"driveline.adjuster_left", "Adjuster left for wear", "mm", "longest centres - centres with this chain", "ISO 606 geometry", drivelineTheory + "chain-length", definitional,
		func(in *inputs) (float64, error) {
			centres, err := chainCentres(in)
			return in.num("driveline.sprocket_centres.longest") - centres, err
		}},
	{"driveline.chain_wrap", "Chain wrap on the small sprocket", "deg", "pi - 2 asin(difference of pitch radii / centres)", "ISO 606 geometry", drivelineTheory + "chain-length", definitional,
		func(in *inputs) (float64, error) {
			centres, err := chainCentres(in)
			if err != nil {
				return 0, err
			}
			return driveline.Wrap(centres, pitch(in), in.count("driveline.sprockets.front"), in.count("driveline.sprockets.rear")), nil
		}},
	{"driveline.chain_slack", "Play that the chain needs, wheel hanging", "mm", "so that the centres can grow to where sprocket, pivot and axle stand in line", "plane geometry", drivelineTheory + "chain-slack", definitional,
		func(in *inputs) (float64, error) {
			arm, err := swingarm(in)
			if err != nil || len(in.missing) > 0 {
				return 0, err
			}
			growth, hanging, err := arm.Growth()
			if err != nil {
				return 0, err
			}
			return driveline.SlackFor(hanging, growth), nil
		}},
	sprocketRoom("front"), sprocketRoom("rear"),
	{"driveline.clutch_capacity", "Clutch capacity", "Nm", "faces x friction x spring force x (outer + inner radius)/2, uniform wear", "Shigley, Mechanical Engineering Design, ch. 16", drivelineTheory + "clutch", dryFriction,
		func(in *inputs) (float64, error) {
			return driveline.ClutchCapacity(in.count("driveline.clutch.friction_faces"), in.num("driveline.clutch.friction"), in.num("driveline.clutch.spring_force_total"),
				in.num("driveline.clutch.outer_diameter")/2, in.num("driveline.clutch.inner_diameter")/2), nil
		}},
	{"driveline.clutch_torque", "Torque at the clutch from 10 bar", "Nm", "10 bar x swept / (4 pi) x primary", heywood + " eq. 2.20; 10 bar assumed until a torque curve is computed", drivelineTheory + "clutch", meanPressure,
		func(in *inputs) (float64, error) {
			swept, err := sweptVolume(in)
			return engine.TorqueFromMeanEffectivePressure(assumedMeanPressure, swept) * in.num("driveline.primary"), err
		}},
}

// swingarm is the rear suspension as the chain sees it. Pivot and sprocket were measured with the tyres that the machine
// had; the axle hung at their unloaded radius, and keeps its place to the pivot when others go on.
func swingarm(in *inputs) (driveline.Swingarm, error) {
	size, err := tyre.ParseSize(in.build.Project.Base["wheels.rear.tyre"].Text)
	if err != nil {
		return driveline.Swingarm{}, err
	}
	px, pz := in.num("geometry.pivot.x"), in.num("geometry.pivot.z")-size.Outside/2
	return driveline.Swingarm{
		AheadX: in.num("geometry.sprocket.x") - px, AheadZ: in.num("geometry.sprocket.z") - in.num("geometry.pivot.z"),
		Arm: math.Hypot(px, pz), Droop: math.Atan2(pz, px), Travel: in.num("suspension.rear.travel"),
	}, nil
}

// sprocketRoom is what is left around a sprocket with its chain.
func sprocketRoom(end string) definition {
	return definition{"driveline." + end + "_sprocket_room", "Room left around the " + end + " sprocket and its chain", "mm", "room given - (pitch radius + half a pitch)", "ISO 606 geometry", drivelineTheory + "chain-length", definitional,
		func(in *inputs) (float64, error) {
			return in.num("driveline.sprockets."+end+"_room") - driveline.TipRadius(pitch(in), in.count("driveline.sprockets."+end)), nil
		}}
}

// assumedMeanPressure stands for the brake mean effective pressure at peak torque until a curve is computed [Pa].
const assumedMeanPressure = 10e5

func gearPath(gear int) string { return entry("driveline.gears", gear, "") }

// final is the final reduction.
func final(in *inputs) float64 {
	return in.num("driveline.sprockets.rear") / in.num("driveline.sprockets.front")
}

// pitch of the chain; the sizes are a choice of the sheet, so an unknown one is a mistake of the program.
func pitch(in *inputs) float64 {
	chain, ok := driveline.ChainSize(in.text("driveline.chain.size"))
	if !ok && len(in.missing) == 0 {
		panic("forecast: no chain " + in.text("driveline.chain.size"))
	}
	return chain.Pitch
}

func chainCentres(in *inputs) (float64, error) {
	pitches, front, rear, p := in.num("driveline.chain.pitches"), in.count("driveline.sprockets.front"), in.count("driveline.sprockets.rear"), pitch(in)
	if len(in.missing) > 0 {
		return 0, nil
	}
	return driveline.CentresForPitches(pitches, p, front, rear)
}

// speedInGear is the road speed in a gear, counted from 0.
func speedInGear(gear int) definition {
	return definition{fmt.Sprintf("driveline.speed.%d", gear+1), fmt.Sprintf("Road speed in gear %d at redline", gear+1), "km/h", "redline / (primary x gear x final) x loaded radius", "kinematics", drivelineTheory + "road-speed", definitional,
		func(in *inputs) (float64, error) {
			radius, err := loadedRadius(in, rearWheel)
			return driveline.RoadSpeed(in.num("engine.redline"), in.num("driveline.primary"), in.num(gearPath(gear)), final(in), radius), err
		}}
}
