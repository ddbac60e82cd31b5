package torque

import (
	"testing"

	"shakedown/internal/byhand"
)

// byHand is a row of package byhand, written without names.
type byHand struct {
	ID   string
	Want float64 // [unit of the figure]
	Sum  string
}

// single is an engine of round numbers. Both lobes open at 1 mm for 10 + 180 + 40 = 45 + 180 + 5 = 230 degrees of the
// crank, and lift 9 mm: root(1/9) = 1/3, so w = 115/root(2/3) = 140.8457 deg = 2.458221 rad; their centres lie
// 115 - 10 = 105 after and 115 - 5 = 110 before top dead centre.
const single = `sheet: 1
air: {temperature: 15 C, humidity: 0, pressure: 1 bar}
machine:
  layout: three-wheeler
  engine:
    cycle: four-stroke
    cylinders: 1
    bore: 80 mm
    stroke: 60 mm
    rod_length: 120 mm
    liner_outer: 90 mm
    compression_height: 30 mm
    cylinder_height: 180.6 mm
    chamber: {head: 30 cc, gasket_bore: 82 mm, gasket_thickness: 1 mm, deck: 0.5 mm, dome: 2 cc}
    piston_mass: 250 g
    ring_mass: 15 g
    pin_mass: 60 g
    rod_mass: {total: 300 g, small_end_share: 0.3}
    redline: 6000 rpm
    fuel: {name: pump 95, density: 750 kg/m3, lambda: 0.9}
    head:
      included_valve_angle: 60 deg
      valve_gap: 3 mm
      intake_valve: {count: 1, head: 36 mm, lash: 0.1 mm}
      exhaust_valve: {count: 1, head: 30 mm, lash: 0.2 mm}
      flow: {intake: [{lift: 2 mm, cd: 0.5}], exhaust: [{lift: 2 mm, cd: 0.6}, {lift: 8 mm, cd: 0.5}]}
      piston_to_valve: {intake: 4 mm, exhaust: 5 mm}
    cam:
      checking_lift: 1 mm
      intake: {opens: 10 deg, closes: 40 deg, lift: 9 mm}
      exhaust: {opens: 45 deg, closes: 5 deg, lift: 9 mm}
      lobe_fullness: 0.5
      rocker_ratio: 1.5
      base_circle_radius: 15 mm
      lobe_width: 12 mm
      follower: {radius: 40 mm, surface: case-hardened steel}
    valve_train:
      intake: {moving_mass: 100 g, spring_rate: 30 N/mm, seat_load: 200 N, coil_bind_lift: 11 mm, retainer_to_seal: 12 mm}
      exhaust: {moving_mass: 90 g, spring_rate: 30 N/mm, seat_load: 200 N, coil_bind_lift: 10.5 mm, retainer_to_seal: 9.5 mm}
    intake: {port_length: 80 mm, port_diameter: 32 mm, runner_length: 60 mm, carburettor: {count: 1, venturi: 30 mm, main_jet: 120, jetted_density: 1.2 kg/m3}, airbox_volume: 4 l, filter_area: 150 cm2}
    exhaust: {port_length: 50 mm, port_diameter: 31 mm, header: [{length: 500 mm, bore: 35 mm}, {length: 100 mm, bore: 38 mm}], silencer: {volume: 2 l, outlet_bore: 25 mm}}
builds: {as-found: []}
`

var singleByHand = []byHand{
	{"engine.swept_volume", 301.5929, "pi/4 x 8^2 x 6"},
	{"engine.compression_ratio", 9.425726, "30 + pi/4 8.2^2 x 0.1 + pi/4 8^2 x 0.05 - 2 = 35.79429; (301.5929 + 35.79429)/35.79429"},
	{"engine.trapped_compression_ratio", 8.659108, "220 deg: 30 (1 - cos) + 120 (1 - root(1 - sin^2/16)) = 54.54088 mm; (pi/4 8^2 x 5.454088 + 35.79429)/35.79429"},
	{"engine.mean_piston_speed", 12, "2 x 0.06 x 100"},
	{"engine.peak_piston_acceleration", 14804.41, "0.03 (200 pi)^2 (1 + 30/120)"},
	{"engine.reciprocating_mass", 415, "250 + 15 + 60 + 0.3 x 300"},
	{"engine.rod_inertia_load", 6.143829, "0.415 x 14804.41"},
	{"engine.liner_wall", 5, "(90 - 80)/2"},
	{"engine.inlet_mach_index", 0.5404414, "C = 0.5 x 4 x 9/36 x (1 - 2/3 x 2/3 + 1/5 x 4/9) = 0.3222222; (80/36)^2 x 12/(C root(1.4 x 287.05 x 288.15))"},
	{"engine.carburettor_speed", 18.13333, "0.85 x 0.3015929 l x 50/(pi/4 x 30^2)"},
	{"engine.header_speed", 49.77961, "0.85 x 1.209489 x 0.3015929 g (1 + 1/(14.57443 x 0.9)) x 50/s x 287.05 x 1000 K/1 bar /(pi/4 x 35^2)"},
	{"engine.carburettor_root", 42.53889, "root(0.3015929 l x 6000 rpm)"},
	{"engine.deck_from_parts", 0.6, "180.6 - 30 - 120 - 30"},
	{"engine.filter_speed", 0.8545132, "0.85 x 0.3015929 l x 50/150 cm2"},
	{"engine.jet_for_air", 120.2365, "120 (1.209489/1.2)^(1/4)"},
	{"engine.air_density", 1.209489, "CIPM-2007, dry, 15 C, 1 bar: Z = 0.9995975"},
	{"engine.power_correction", 0.9684321, "1.18 x 990/1000 x root(288/298) - 0.18"},

	{"engine.piston_to_valve.intake", 2.027470, "at 6.982 deg: 4 + drop/cos 30 - (9 (1 - ((6.982 - 105)/140.8457)^2)^2 - 0.1)"},
	{"engine.piston_to_valve.exhaust", 3.573741, "at -6.58 deg: 5 + drop/cos 30 - (9 (1 - ((110 - 6.58)/140.8457)^2)^2 - 0.2)"},
	{"engine.piston_to_valve_mistimed.intake", 1.842344, "the same about 103"},
	{"engine.piston_to_valve_mistimed.exhaust", 3.398409, "the same about -108"},
	{"engine.valve_float.intake", 8481.837, "at the nose: root(470/(0.1 x 4 x 9/2.458221^2 mm))"},
	{"engine.valve_float.exhaust", 8940.640, "8481.837 root(100/90)"},
	{"engine.nose_stress.intake", 389.1088, "s'' = -4 x 5.957456/1.5 = -15.88655, nose 61^2/76.88655 - 40 = 8.395982, 1/R = 1/8.395982 + 1/40; F = 1.5 (470 - 0.1 (200 pi)^2 x 5.957456 mm) = 352.2136; E* = 206/2/(1 - 0.29^2); root(F E*/(pi x 12 R))"},
	{"engine.nose_stress.exhaust", 408.1309, "F = 1.5 (470 - 0.09 (200 pi)^2 x 5.957456 mm) = 387.4923"},
	{"engine.nose_stress_slow.intake", 550.5066, "F = 1.5 x 470"},
	{"engine.nose_stress_slow.exhaust", 550.5066, "F = 1.5 x 470"},
	{"engine.valve_to_valve", 1.581499, "at -3 deg lifts of 1.427864 and 1.409301, lash off: 3 - 2.837165 sin 30, and 0.018563 cos 30 apart in height"},
	{"engine.coil_bind_left.intake", 2, "11 - 9"},
	{"engine.coil_bind_left.exhaust", 1.5, "10.5 - 9"},
	{"engine.retainer_left.intake", 3, "12 - 9"},
	{"engine.retainer_left.exhaust", 0.5, "9.5 - 9"},
}

// Every figure of this room but the turns of a lobe and the leak-down that were read, and the cranking pressure, has a
// value worked out on paper; those are below.
func TestSingleByHand(t *testing.T) {
	b := byhand.Build(t, single, "as-found")
	byhand.Holds(t, "single", Figures, b, singleByHand)
	byhand.HasNot(t, "single", Figures, b, "engine.lobe_turns.intake", "engine.lobe_turns.exhaust", "engine.leak_area")
	values, why := byhand.Figures(Figures, b)
	if len(values) != len(singleByHand)+1 || len(why) > 0 || len(values)+3 != len(Figures) {
		t.Errorf("%d figures of %d, %d of them worked out: %v", len(values), len(Figures), len(singleByHand), why)
	}
	us, why := byhand.Figures(Figures, byhand.Build(t, byhand.USUnits(single), "as-found"))
	for id, v := range values {
		if d := us[id]/v - 1; !(d < 1e-9 && d > -1e-9) {
			t.Errorf("%s is %.12g, in the other units %.12g %s", id, v, us[id], why[id])
		}
	}
}

// What is left out, or is otherwise, of the same engine.
func TestSingleOtherwise(t *testing.T) {
	for _, c := range []struct {
		name    string
		changes []string
		rows    []byHand
	}{
		{"two cylinders, one carburettor", []string{"cylinders: 1", "cylinders: 2"}, []byHand{
			{"engine.swept_volume", 603.1858, "twice"}, {"engine.compression_ratio", 9.425726, "of each"}, {"engine.trapped_compression_ratio", 8.659108, "of each"},
			{"engine.carburettor_speed", 36.26667, "twice"}, {"engine.filter_speed", 1.709026, "twice"}, {"engine.header_speed", 49.77961, "each has its own"}, {"engine.inlet_mach_index", 0.5404414, "of each"},
		}},
		{"two cylinders, two carburettors", []string{"cylinders: 1", "cylinders: 2", "carburettor: {count: 1", "carburettor: {count: 2"}, []byHand{
			{"engine.carburettor_speed", 18.13333, "as one"}, {"engine.filter_speed", 1.709026, "they share it"},
		}},
		{"one cylinder, two carburettors", []string{"carburettor: {count: 1", "carburettor: {count: 2"}, []byHand{{"engine.carburettor_speed", 9.066667, "half"}}},
		{"on methanol", []string{"name: pump 95", "name: methanol"}, []byHand{{"engine.header_speed", 54.19277, "1 + 1/(6.473133 x 0.9) in place of 1 + 1/(14.57443 x 0.9)"}}},
		{"a leak-down of 20 %", []string{"redline: 6000 rpm", "redline: 6000 rpm\n    leak_down: {lost: 20 %}"}, []byHand{
			{"engine.leak_area", 0.6498270, "0.040 in, 100 psi: 0.85 x pi/4 1.016^2 = 0.6891222; 7.894757 bar before, 6.515806 inside: 0.5329067 and choked 0.6847315; 0.6891222 x 7.894757 x 0.5329067/(6.515806 x 0.6847315)"},
		}},
		{"cranked, tight, the intake shut at 179.8 deg", []string{"redline: 6000 rpm", "redline: 6000 rpm\n    leak_down: {lost: 0 %}\n    cranking: {hose_volume: 0.20571 cc}", "intake: {opens: 10 deg, closes: 40 deg", "intake: {opens: 76 deg, closes: -26 deg"}, []byHand{
			{"engine.cranking_pressure", 15.41019, "1 bar ((301.5929/(35.79429 + 0.20571) + 1)^1.25 - 1)"}, {"engine.leak_area", 0, "tight"},
		}},
		{"the cam 4 deg late", []string{"checking_lift: 1 mm", "checking_lift: 1 mm\n      late: 4 deg"}, []byHand{
			{"engine.trapped_compression_ratio", 8.499403, "224 deg: 53.40361 mm"},
		}},
		{"two intake valves", []string{"intake_valve: {count: 1", "intake_valve: {count: 2"}, []byHand{{"engine.inlet_mach_index", 0.2702207, "half"}}},
		{"altitude, no pressure", []string{"pressure: 1 bar", "altitude: 1000 m"}, []byHand{
			{"engine.air_density", 1.086979, "CIPM-2007 at 89874.56 Pa: Z = 0.9996381"}, {"engine.power_correction", 1.097817, "1.18 x 990/898.7456 x root(288/298) - 0.18"},
		}},
		{"a piston above the deck, with a dish", []string{"deck: 0.5 mm, dome: 2 cc", "deck: -0.5 mm, dome: -2 cc"}, []byHand{{"engine.compression_ratio", 9.674503, "30 + 5.281017 - 2.513274 + 2 = 34.76774"}}},
		{"a cam that opens late", []string{"intake: {opens: 10 deg, closes: 40 deg", "intake: {opens: -10 deg, closes: 60 deg"}, []byHand{
			{"engine.trapped_compression_ratio", 7.718991, "the piston 47.84625 mm down at 240 deg"},
		}},
		{"an iron follower", []string{"surface: case-hardened steel", "surface: chilled iron"}, []byHand{{"engine.nose_stress.intake", 322.7777, "1/E* = (1 - 0.29^2)/206 + (1 - 0.26^2)/110"}}},
		{"more cam than springs", []string{"redline: 6000 rpm", "redline: 9000 rpm"}, []byHand{{"engine.nose_stress.intake", 0, "it floats from 8482 rpm"}, {"engine.mean_piston_speed", 18, "1.5 x 12"}}},
	} {
		byhand.Holds(t, c.name, Figures, byhand.Build(t, single, "as-found", c.changes...), c.rows)
	}
}
