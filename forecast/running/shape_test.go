package running

import (
	"math"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// What a drawing goes by, each number as it stands in the sheet or as worked out for the figures.
func TestShapeByHand(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       Shape
	}{
		{"three-wheeler", trike, Shape{
			Layout: "three-wheeler", Fork: true, Wheelbase: 1.2, ForkOffset: 0.05, Track: 0.8, Rake: 25 * math.Pi / 180, FrontRadius: 0.28, RearRadius: 0.25, FrontRim: 0.254, RearRim: 0.2286, FrontWide: 0.2032, RearWide: 0.2794,
			SeatX: 0.15, SeatZ: 0.7, PegX: 0.45, PegZ: 0.33, BarX: 0.75, BarZ: 0.95, TankX: 0.6, TankZ: 0.8, Clearance: 0.25, Stature: 1.8, HangsOff: 0.2, Shift: 0.074, // 74 x 0.2/200
			Machine: Point{61.2 / 126, 58.8 / 126}, Laden: Point{0.3985, 0.627},
		}},
		{"quad", quad, Shape{
			Layout: "quad", Wheelbase: 1.2, Track: 0.8, TrackFront: 0.9, Rake: 10 * math.Pi / 180, FrontRadius: 0.253365, RearRadius: 0.2413, FrontRim: 0.254, RearRim: 0.2286, FrontWide: 0.1778, RearWide: 0.254,
			SeatX: 0.2, SeatZ: 0.75, PegX: 0.5, PegZ: 0.33, BarX: 0.8, BarZ: 0.95, TankX: 0.7, TankZ: 0.75, Clearance: 0.24, Stature: 1.8, HangsOff: 0.15, Shift: 0.0564, // 94 x 0.15/250
			Machine: Point{94.2 / 156, 64.5 / 156}, Laden: Point{0.5272, 0.5588},
		}},
		{"bike", bike, Shape{
			Layout: "bike", Fork: true, Wheelbase: 1.4, ForkOffset: 0.06, Lean: math.Atan(0.5) + math.Asin(50*math.Sin(math.Atan(0.5))/758.3), Rake: 28 * math.Pi / 180, FrontRadius: 0.329365, RearRadius: 0.31217, FrontRim: 0.5334, RearRim: 0.4572, FrontWide: 0.08, RearWide: 0.1,
			SeatX: 0.4, SeatZ: 0.88, PegX: 0.52, PegZ: 0.34, BarX: 0.86, BarZ: 1.1, TankX: 0.77, TankZ: 0.9, Clearance: 0.3, Stature: 1.8, HangsOff: 0.15, Shift: 0.063, // 84 x 0.15/200
			Machine: Point{73.92 / 116, 65.9 / 116}, Laden: Point{0.5796, 0.8083},
		}},
	} {
		got := ShapeOf(byhand.Build(t, c.text, "as-found"))
		if got.Layout != c.want.Layout || got.Fork != c.want.Fork {
			t.Errorf("%s: %+v", c.name, got)
		}
		got.Layout, got.Fork, c.want.Layout, c.want.Fork = "", false, "", false
		numbers, wanted := ranges.Flat(got), ranges.Flat(c.want)
		for i := range wanted {
			if math.Abs(numbers[i]-wanted[i]) > 1e-9 {
				t.Errorf("%s: number %d is %.9g, by hand %.9g", c.name, i, numbers[i], wanted[i])
			}
		}
	}
	if got := ShapeOf(byhand.Build(t, trike, "as-found", ", ground_clearance: 250 mm", "")); got.Clearance != usualClearance {
		t.Errorf("a machine whose ground clearance nobody gave is drawn with %g m", got.Clearance)
	}
}

// What stands on one wheel, how many there are, and how many of them share the brakes of their end.
func TestWheelsOfAnEnd(t *testing.T) {
	for _, c := range []struct {
		name, text                   string
		frontLoad, rearLoad          float64 // [kg]
		front, rear, braked, brakedR float64
		changes                      []string
	}{
		{"three-wheeler", trike, 66.4166667, 66.7916667, 1, 2, 1, 1, nil},
		{"quad", quad, 54.9166667, 70.0833333, 2, 2, 2, 1, nil},
		{"quad with one disc", quad, 54.9166667, 70.0833333, 2, 2, 1, 1, []string{"kind: disc, count: 2", "kind: disc, count: 1"}},
		{"bike", bike, 82.8, 117.2, 1, 1, 1, 1, nil},
		{"bike with two discs on its wheel", bike, 82.8, 117.2, 1, 1, 1, 1, []string{"front: {kind: drum, ", "front: {kind: drum, count: 2, "}},
	} {
		in := &ranges.Inputs{Build: byhand.Build(t, c.text, "as-found", c.changes...)}
		for i, pair := range [][2]float64{
			{FrontWheel.WheelLoad(in), c.frontLoad}, {RearWheel.WheelLoad(in), c.rearLoad}, {FrontWheel.Count(in), c.front}, {RearWheel.Count(in), c.rear},
			{FrontWheel.BrakedWheels(in), c.braked}, {RearWheel.BrakedWheels(in), c.brakedR},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-6 {
				t.Errorf("%s: number %d is %.8g, by hand %.8g", c.name, i, pair[0], pair[1])
			}
		}
	}
}

// What 100 N at lever and pedal hold at the ground: what 0.3 g of the weight needs there, over the lever force of the
// figures. A brake that nobody described locks its wheels and is told.
func TestBrakeForcesByHand(t *testing.T) {
	for _, c := range []struct {
		name, text  string
		front, rear float64 // [N]
	}{
		{"three-wheeler", trike, 717.4300, 448}, // 2 x 0.4 x 0.09 x 5 (30/12.7)^2 x 100/0.28; 100 x 8 x 2 x 0.07/0.25
		{"quad", quad, 966.5816, 894.5695},      // 2 x 2 x 0.4 x 0.08 x 6 (25/14)^2 x 100/0.253365; 2 x 0.4 x 0.085 x 5 (32/12.7)^2 x 100/0.2413
		{"bike", bike, 789.3978, 747.4096},      // 100 x 20 x 2 x 0.065/0.329365; 2 x 0.4 x 0.1 x 6 (28/12.7)^2 x 100/0.31217
	} {
		in := &ranges.Inputs{Build: byhand.Build(t, c.text, "as-found")}
		front, err1 := FrontWheel.BrakeForce(in, 100, "the front brake")
		rear, err2 := RearWheel.BrakeForce(in, 100, "the rear brake")
		if err1 != nil || err2 != nil || len(in.Assumed) > 0 || math.Abs(front/c.front-1) > 1e-6 || math.Abs(rear/c.rear-1) > 1e-6 {
			t.Errorf("%s: %.7g and %.7g N, by hand %.7g and %.7g (%v %v %v)", c.name, front, rear, c.front, c.rear, err1, err2, in.Assumed)
		}
	}
	in := &ranges.Inputs{Build: byhand.Build(t, trike, "as-found", ", effective_radius: 90 mm", "")}
	if got, err := FrontWheel.BrakeForce(in, 100, "the front brake"); err != nil || got != locks || len(in.Missing) > 0 || len(in.Assumed) != 1 || in.Assumed[0] != "the front brake" {
		t.Errorf("a brake of unknown radius: %g N, missing %v, assumed %v (%v)", got, in.Missing, in.Assumed, err)
	}
}
