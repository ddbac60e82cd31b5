package running

import (
	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/vehicle/chassis"
)

// Shape is what a drawing of the machine needs, in metres and radians.
type Shape struct {
	Layout                                             string
	Fork                                               bool    // a telescopic fork in front
	Wheelbase, ForkOffset, Track                       float64 // [m]
	TrackFront                                         float64 // [m] 0 with one wheel in front
	Lean                                               float64 // [rad] of a bike in a turn of 0.5 g; 0 for other layouts
	Rake                                               float64 // [rad]
	FrontRadius, RearRadius, FrontRim, RearRim         float64 // [m] loaded radii, rim diameters
	FrontWide, RearWide                                float64 // [m] tyre widths
	SeatX, SeatZ, PegX, PegZ, BarX, BarZ, TankX, TankZ float64 // [m]
	Clearance, Stature                                 float64 // [m]
	HangsOff, Shift                                    float64 // [m] of the rider into the turn, and of the common centre of gravity with him
	Machine, Laden                                     Point   // centres of gravity: machine with fuel, and with rider
}

// Point is a point in the side view.
type Point struct {
	X, Z float64 // [m] ahead of the rear axle, above ground
}

// usualClearance stands in the drawing where no ground clearance is given [m].
const usualClearance = 0.20

// ShapeOf gathers the shape of a resolved machine. The template fills what the sheet leaves out.
func ShapeOf(b *machine.Build) Shape {
	in := &ranges.Inputs{Build: b}
	front, _ := TyreSize(in, FrontWheel)
	rear, _ := TyreSize(in, RearWheel)
	frontRadius, _ := LoadedRadius(in, FrontWheel)
	rearRadius, _ := LoadedRadius(in, RearWheel)
	without, with := Fuelled(in), Laden(in)
	clearance := usualClearance
	if in.Has("geometry.ground_clearance") {
		_, clearance = lowest(in)
	}
	s := Shape{Layout: in.Text("layout"), Fork: FrontWheel.hasFork(in),
		Wheelbase: Wheelbase(in), ForkOffset: in.Num("geometry.fork_offset"), Track: in.Num("geometry.track_rear"), Rake: rake(in),
		FrontRadius: frontRadius, RearRadius: rearRadius, FrontRim: front.Rim, RearRim: rear.Rim, FrontWide: front.Width, RearWide: rear.Width,
		Clearance: clearance, Stature: in.Num("rider.stature"), Machine: Point{without.X, without.Z}, Laden: Point{with.X, with.Z},
	}
	s.SeatX, s.SeatZ = placeOf(in, "geometry.seat")
	s.PegX, s.PegZ = placeOf(in, "geometry.peg")
	s.BarX, s.BarZ = placeOf(in, "geometry.bar")
	s.TankX, s.TankZ = placeOf(in, "tank")
	s.HangsOff = in.Num("rider.hangs_off")
	s.Shift = RiderMass(in) * s.HangsOff / Laden(in).Mass
	switch layoutOf(b) {
	case Quad:
		s.TrackFront = in.Num("geometry.track_front")
	case Bike:
		s.Track = 0
		s.Lean, _ = chassis.LeanAngle(leanShown, with.Z, rear.Width/2)
	}
	return s
}
