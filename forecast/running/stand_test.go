package running

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/sheet"
)

// A bike whose loaded radii are 0.95 of half the outside: 24 in both ends, 289.56 mm. Its numbers are round, rider and
// tank weigh next to nothing.
const stoodSheet = `sheet: 1
rider: {mass: 0.001 kg, kit: 0 kg, stature: 1800 mm}
machine:
  layout: three-wheeler
  mass: {dry: 100 kg, front_share: 0.40, cg_height: 500 mm}
  tank: {capacity: 0 l, x: 600 mm, z: 800 mm}
  geometry: {wheelbase: 1200 mm, track_rear: 800 mm, rake: 25 deg, fork_offset: 50 mm, ground_clearance: 250 mm, lowest_x: 600 mm, seat: {x: 150 mm, z: 700 mm}, peg: {x: 450 mm, z: 330 mm}, bar: {x: 750 mm, z: 950 mm}}
  wheels: {loaded_radius_share: 0.95, front: {tyre: "24x8-10"%s}, rear: {tyre: "24x11-9"}}
  suspension: {front: {kind: solid}, rear: {kind: solid}}
parts:
  low-front: {kind: tyre, sets: {wheels.front.tyre: "20x7-10"}}
  low-rear: {kind: tyre, sets: {wheels.rear.tyre: "20x11-9"}}
  low-kit: {kind: tyre, sets: {wheels.front.tyre: "20x7-10", geometry.rake: 22 deg, geometry.seat.z: 690 mm}, adds: {mass.dry: {mass: 10 kg, x: 1200 mm, z: 241 mm, unsprung: yes}}}
  low-seat: {kind: seat, sets: {geometry.seat.z: 670 mm}}
  plate: {kind: frame, adds: {mass.dry: {mass: 10 kg, x: 600 mm, z: 250 mm, unsprung: no}}}
builds:
  as-found: []
  both: [low-front, low-rear]
  front: [low-front]
  rear: [low-rear]
  seat: [low-front, low-rear, low-seat]
  plate: [low-front, low-rear, plate]
  kit: [low-kit]
`

func stood(t *testing.T, build, front string) (*machine.Build, map[string]float64, *ranges.Inputs) {
	t.Helper()
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: fmt.Appendf(nil, stoodSheet, front)})
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Project.Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	is := map[string]float64{}
	for _, d := range Figures {
		if f := ranges.NewEvaluator(b, nil).Quick(d); f.State == figure.Ready {
			is[d.ID] = f.Value
		}
	}
	return b, is, &ranges.Inputs{Build: b}
}

// Lower tyres lower the machine. By hand: from 24 to 20 in the loaded radius goes from 289.56 to 241.30 mm, 48.26 mm
// less.
//
//	Both ends: all heights 48.26 mm less, nothing turns: centre of gravity 500 - 48.26 = 451.74, seat 651.74,
//	clearance 201.74 mm, rake 25 deg;
//	trail (241.30 sin 25 - 50)/cos 25 = 57.35 mm, before (289.56 sin 25 - 50)/cos 25 = 79.86 mm.
//	The front only: asin(-48.26/1200) = -2.30486 deg, nose down; rake 22.69514 deg, trail (241.30 sin -
//	50)/cos = 46.73 mm. Centre of gravity at 480, 500: 480 ahead
//	of and 210.44 above the rear axle: 480 cos - 210.44 sin = 479.612 + 8.463 = 488.075 mm; 289.56 + 480 sin
//	+ 210.44 cos = 289.56 - 19.304 + 210.270 = 480.526 mm.
//	Seat at 150, 700: 149.879 + 16.506 = 166.385 mm; 289.56 - 6.0325 + 410.108 = 693.636 mm. Lowest point at
//	600, 250: 600 ahead of, 39.56 below:
//	289.56 - 24.130 - 39.528 = 225.902 mm. Wheelbase sqrt(1200^2 - 48.26^2) = 1199.029 mm.
//	The rear only: nose up by the same; rake 27.30486 deg, trail (289.56 sin - 50)/cos = 93.21 mm; centre of
//	gravity 479.612 - 8.463 = 471.149 mm, 241.30 + 19.304 + 210.270 = 470.874 mm.
func TestLowerTyresLowerTheMachine(t *testing.T) {
	type stands struct{ x, z, rake, trail, seatX, seatZ, clearance, wheelbase float64 }
	for build, want := range map[string]stands{
		"as-found": {480, 500, 25, 79.856, 150, 700, 250, 1200},
		"both":     {480, 451.74, 25, 57.352, 150, 651.74, 201.74, 1200},
		"front":    {488.075, 480.526, 22.69514, 46.727, 166.385, 693.636, 225.902, 1199.029},
		"rear":     {471.149, 470.874, 27.30486, 93.208, 133.373, 657.441, 225.902, 1199.029},
	} {
		_, is, in := stood(t, build, "")
		seatX, seatZ := placeOf(in, "geometry.seat")
		got := stands{is["chassis.cg_x"], is["chassis.cg_z"], is["chassis.rake"] * 180 / math.Pi / 1000, is["chassis.trail"], seatX, seatZ, is["chassis.clearance_at_sag"], Wheelbase(in)}
		for _, c := range []struct {
			name      string
			got, want float64
			tol       float64
		}{
			{"cg ahead", got.x, want.x, 0.02}, {"cg height", got.z, want.z, 0.02}, {"rake", got.rake, want.rake, 1e-4}, {"trail", got.trail, want.trail, 0.01}, {"seat ahead", got.seatX, want.seatX, 0.01},
			{"seat height", got.seatZ, want.seatZ, 0.01}, {"clearance", got.clearance, want.clearance, 0.01}, {"wheelbase", got.wheelbase, want.wheelbase, 0.001},
		} {
			if math.Abs(1000*c.got-c.want) > c.tol {
				t.Errorf("%s, %s: %.4f, by hand %.4f", build, c.name, 1000*c.got, c.want)
			}
		}
	}
}

// What a part changes is changed on the machine as found and comes down with it: a seat 30 mm lower is 670 - 48.26 =
// 621.74 mm, a mass added at 250 mm stands at 201.74 mm, so that the centre of gravity is (100 x 451.74 + 10 x
// 201.74)/110 = 429.013 mm. A part that brings the tyres says how it stands on them: rake 22 deg, seat 690 mm, its own
// mass at 241 mm; the rest turns: (100 x 480.526 + 10 x 241)/110 = 458.751 mm.
func TestPartsMoveWithTheMachine(t *testing.T) {
	_, _, in := stood(t, "seat", "")
	if _, z := placeOf(in, "geometry.seat"); math.Abs(1000*z-621.74) > 0.01 {
		t.Errorf("the low seat stands at %.3f mm, by hand 621.74", 1000*z)
	}
	if _, is, _ := stood(t, "plate", ""); math.Abs(1000*is["chassis.cg_z"]-429.013) > 0.02 {
		t.Errorf("centre of gravity with the plate %.3f mm, by hand 429.013", 1000*is["chassis.cg_z"])
	}
	_, is, in := stood(t, "kit", "")
	if _, z := placeOf(in, "geometry.seat"); math.Abs(1000*z-690) > 1e-9 || math.Abs(is["chassis.rake"]*180/math.Pi-22) > 1e-9 || math.Abs(1000*is["chassis.cg_z"]-458.751) > 0.02 {
		t.Errorf("on the kit's own tyres: seat %.3f mm, rake %.3f deg, centre of gravity %.3f mm; by hand 690, 22, 458.751", 1000*z, is["chassis.rake"]*180/math.Pi, 1000*is["chassis.cg_z"])
	}
}

// A loaded radius that was measured on the old tyre is as large a share of the new one: 280 mm of 24 in are 280 x 20/24
// = 233.333 mm of 20 in.
func TestMeasuredRadiusGoesWithTheTyre(t *testing.T) {
	_, _, in := stood(t, "front", ", loaded_radius: 280 mm")
	if r, err := LoadedRadius(in, FrontWheel); err != nil || math.Abs(1000*r-233.3333) > 1e-3 {
		t.Errorf("%.3f mm on the new tyre, by hand 233.333 (%v)", 1000*r, err)
	}
	if r, err := FrontWheel.foundRadius(in); err != nil || math.Abs(1000*r-280) > 1e-9 {
		t.Errorf("%.3f mm on the old one (%v)", 1000*r, err)
	}
}

// A tyre that nobody can read leaves what hangs on it uncomputed, with the reason; the ranges of the others hold what
// the radii do.
func TestUnreadableTyre(t *testing.T) {
	text := strings.Replace(fmt.Sprintf(stoodSheet, ""), `wheels.front.tyre: "20x7-10"}`, `wheels.front.tyre: "fat"}`, 1)
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Project.Resolve("front")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range Figures {
		f := ranges.NewEvaluator(b, nil).Figure(d)
		if f.ID == "chassis.cg_z" && (f.State != figure.Cannot || !strings.Contains(f.Why, "fat")) {
			t.Errorf("on a tyre of no size: %+v", f)
		}
	}
	b, is, _ := stood(t, "front", "")
	for _, d := range Figures {
		f := ranges.NewEvaluator(b, b.Project.Bare()).Figure(d)
		if f.ID == "chassis.cg_z" && (f.State != figure.Ready || f.Value != is[f.ID] || f.Low >= f.Value) {
			t.Errorf("%+v", f)
		}
	}
}
