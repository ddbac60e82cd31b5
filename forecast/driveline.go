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
	{id: lastBeforeSpeeds, detail: true, title: "Engine turns for one of the wheel, top gear", unit: "1", formula: "primary x top gear x rear teeth / front teeth", source: definitionOnly, theory: drivelineTheory + "road-speed", model: definitional,
		compute: func(in *inputs) (float64, error) {
			top := in.build.Len("driveline.gears")
			if top == 0 {
				in.miss(gearPath(0))
				return 0, nil
			}
			return in.num("driveline.primary") * in.num(gearPath(top-1)) * final(in), nil
		}},
	{id: "driveline.chain_pitches", title: "Chain pitches at the middle of the adjuster", unit: "1", formula: "tangent spans on the pitch circles and wrap, exact", source: "ISO 606 geometry", theory: drivelineTheory + "chain-length", model: definitional,
		compute: func(in *inputs) (float64, error) {
			front, rear := in.count("driveline.sprockets.front"), in.count("driveline.sprockets.rear")
			middle := (in.num("driveline.sprocket_centres.shortest") + in.num("driveline.sprocket_centres.longest")) / 2
			return driveline.ChainPitches(middle, pitch(in), front, rear), nil
		}},
	{id: "driveline.chain_centres", detail: true, title: "Sprocket centres with this chain, straight", unit: "mm", formula: "chain length solved for the centres", source: "ISO 606 geometry", theory: drivelineTheory + "chain-length", model: definitional, compute: chainCentres},
	{id: "driveline.adjuster_left", title: "Adjuster left for wear", unit: "mm", formula: "longest centres - centres with this chain", source: "ISO 606 geometry", theory: drivelineTheory + "chain-length", model: definitional,
		compute: func(in *inputs) (float64, error) {
			centres, err := chainCentres(in)
			return in.num("driveline.sprocket_centres.longest") - centres, err
		}},
	{id: "driveline.chain_wrap", detail: true, title: "Chain wrap on the small sprocket", unit: "deg", formula: "pi - 2 asin(difference of pitch radii / centres)", source: "ISO 606 geometry", theory: drivelineTheory + "chain-length", model: definitional,
		compute: func(in *inputs) (float64, error) {
			centres, err := chainCentres(in)
			if err != nil {
				return 0, err
			}
			return driveline.Wrap(centres, pitch(in), in.count("driveline.sprockets.front"), in.count("driveline.sprockets.rear")), nil
		}},
	{id: "driveline.chain_slack", only: given("geometry.pivot.x"), detail: true, title: "Play that the chain needs, wheel hanging", unit: "mm", formula: "so that the centres can grow to where sprocket, pivot and axle stand in line", source: "plane geometry", theory: drivelineTheory + "chain-slack", model: definitional,
		compute: func(in *inputs) (float64, error) {
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
	{id: "driveline.clutch_capacity", title: "Clutch capacity", unit: "Nm", formula: "faces x friction x spring force x (outer + inner radius)/2, uniform wear", source: "Shigley, Mechanical Engineering Design, ch. 16", theory: drivelineTheory + "clutch", model: dryFriction,
		compute: func(in *inputs) (float64, error) {
			return driveline.ClutchCapacity(in.count("driveline.clutch.friction_faces"), in.num("driveline.clutch.friction"), in.num("driveline.clutch.spring_force_total"),
				in.num("driveline.clutch.outer_diameter")/2, in.num("driveline.clutch.inner_diameter")/2), nil
		}},
	{id: "driveline.clutch_torque", fourStroke: true, detail: true, title: "Torque at the clutch from 10 bar", unit: "Nm", formula: "10 bar x swept / (4 pi) x primary", source: heywood + " eq. 2.20; 10 bar assumed until a torque curve is computed", theory: drivelineTheory + "clutch", model: meanPressure,
		compute: func(in *inputs) (float64, error) {
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
	return definition{id: "driveline." + end + "_sprocket_room", only: given("driveline.sprockets." + end + "_room"), detail: true, title: "Room left around the " + end + " sprocket and its chain", unit: "mm", formula: "room given - (pitch radius + half a pitch)", source: "ISO 606 geometry", theory: drivelineTheory + "chain-length", model: definitional,
		compute: func(in *inputs) (float64, error) {
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
	return definition{id: fmt.Sprintf("driveline.speed.%d", gear+1), title: fmt.Sprintf("Road speed in gear %d at redline", gear+1), unit: "km/h", formula: "redline / (primary x gear x final) x loaded radius", source: "kinematics", theory: drivelineTheory + "road-speed", model: definitional,
		compute: func(in *inputs) (float64, error) {
			radius, err := loadedRadius(in, rearWheel)
			return driveline.RoadSpeed(in.num("engine.redline"), in.num("driveline.primary"), in.num(gearPath(gear)), final(in), radius), err
		}}
}
