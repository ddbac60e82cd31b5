package torque

import (
	"errors"
	"math"
	"strings"
	"testing"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
)

// cored is the silencer of the sheet with a core through it.
const cored = "silencer: {volume: 2 l, outlet_bore: 25 mm, core_length: 300 mm, core_bore: 40 mm, core_open: 0.3}"

// Each field of what the torque curve follows from, in the units of the room, for one cylinder and for two. What two
// cylinders share is shared by volume and by area: each has half of the airbox, of the filter, of the silencer and of
// the holes in its core, and openings whose diameter is root(1/2) = 0.7071068 of the whole one's. Of a carburettor of
// its own each has all; of one for both half of its area; a cylinder with two breathes through both. The pipe of a core
// that is narrower by root(1/2) has as much less wall, so that half of the holes are 0.7071068 of the open share.
func TestBreathingByHand(t *testing.T) {
	const half = 0.7071067811865476
	const two, carburettors = "cylinders: 2", "carburettor: {count: 2"
	const silencer = "silencer: {volume: 2 l, outlet_bore: 25 mm}"
	bore, one := "cylinders: 1", "carburettor: {count: 1"
	chambers := "silencer: {volume: 2 l, outlet_bore: 25 mm, chambers: 2, passage_bore: 20 mm}"
	type shared struct {
		cylinders                                  int
		venturi, airbox, filter, volume, outlet    float64
		chambers                                   int
		passage, coreLength, coreBore, coreOpen    float64
		silencerHoles, silencerOutlet, venturiArea float64 // [m2] of the whole engine, on which it must not depend how many share it
	}
	disc := func(d float64) float64 { return math.Pi / 4 * d * d }
	for _, c := range []struct {
		name    string
		changes []string
		want    shared
	}{
		{"one cylinder", nil, shared{1, 0.030, 0.004, 0.015, 0.002, 0.025, 0, 0, 0, 0, 0, 0, disc(0.025), disc(0.030)}},
		{"two on one carburettor", []string{bore, two}, shared{2, 0.030 * half, 0.002, 0.0075, 0.001, 0.025 * half, 0, 0, 0, 0, 0, 0, disc(0.025), disc(0.030)}},
		{"two on two", []string{bore, two, one, carburettors}, shared{2, 0.030, 0.002, 0.0075, 0.001, 0.025 * half, 0, 0, 0, 0, 0, 0, disc(0.025), 2 * disc(0.030)}},
		{"one on two", []string{one, carburettors}, shared{1, 0.030 / half, 0.004, 0.015, 0.002, 0.025, 0, 0, 0, 0, 0, 0, disc(0.025), 2 * disc(0.030)}},
		{"a core", []string{silencer, cored}, shared{1, 0.030, 0.004, 0.015, 0.002, 0.025, 0, 0, 0.3, 0.040, 0.3, 0.3 * math.Pi * 0.040 * 0.3, disc(0.025), disc(0.030)}},
		{"two and a core", []string{bore, two, one, carburettors, silencer, cored}, shared{2, 0.030, 0.002, 0.0075, 0.001, 0.025 * half, 0, 0, 0.3, 0.040 * half, 0.3 * half, 0.3 * math.Pi * 0.040 * 0.3, disc(0.025), 2 * disc(0.030)}},
		{"chambers", []string{silencer, chambers}, shared{1, 0.030, 0.004, 0.015, 0.002, 0.025, 2, 0.020, 0, 0, 0, 0, disc(0.025), disc(0.030)}},
		{"two and chambers", []string{bore, two, silencer, chambers}, shared{2, 0.030 * half, 0.002, 0.0075, 0.001, 0.025 * half, 2, 0.020 * half, 0, 0, 0, 0, disc(0.025), disc(0.030)}},
		{"one chamber", []string{silencer, "silencer: {volume: 2 l, outlet_bore: 25 mm, chambers: 1}"}, shared{1, 0.030, 0.004, 0.015, 0.002, 0.025, 1, 0, 0, 0, 0, 0, disc(0.025), disc(0.030)}},
		{"open pipe, no airbox", []string{silencer, "silencer: {volume: 0 l, outlet_bore: 26 mm}", "airbox_volume: 4 l", "airbox_volume: 0 l"}, shared{1, 0.030, 0, 0.015, 0, 0.026, 0, 0, 0, 0, 0, 0, disc(0.026), disc(0.030)}},
	} {
		b, m, err := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", c.changes...)})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		n := float64(b.Cylinders)
		got := shared{b.Cylinders, b.Venturi, b.Airbox, b.FilterArea, b.Silencer, b.Outlet, b.Chambers, b.Passage, b.Core.Length, b.Core.Diameter, b.CoreOpen,
			n * b.CoreOpen * math.Pi * b.Core.Diameter * b.Core.Length, n * disc(b.Outlet), n * disc(b.Venturi)}
		numbers, wanted := ranges.Flat(got), ranges.Flat(c.want)
		for i := range wanted {
			if math.Abs(numbers[i]-wanted[i]) > 1e-12 {
				t.Errorf("%s: number %d is %.9g, by hand %.9g", c.name, i, numbers[i], wanted[i])
			}
		}
		if m.lambda != 0.9 || m.fuel.Name == "" || m.vapour != 0 || b.Flame != engine.GasolineFlame {
			t.Errorf("%s: filled with %+v, flame %v", c.name, m, b.Flame)
		}
		rest := engine.Breathing{
			Bore: 0.080, Crank: engine.Crank{Stroke: 0.060, Rod: 0.120}, Clearance: 35.7942913655e-6, // as for the compression ratio
			PortIn: engine.Bore{Length: 0.080, Diameter: 0.032}, PortOut: engine.Bore{Length: 0.050, Diameter: 0.031}, Runner: 0.060,
			Header: []engine.Bore{{Length: 0.5, Diameter: 0.035}, {Length: 0.1, Diameter: 0.038}}, Ambient: engine.Air{Pressure: 1e5, Temperature: 288.15},
		}
		if d := b.Clearance - rest.Clearance; math.Abs(d) > 1e-13 {
			t.Errorf("%s: the chamber is %.12g m3", c.name, b.Clearance)
		}
		b.Clearance = rest.Clearance
		for i, pair := range [][2]any{{b.Bore, rest.Bore}, {b.Crank, rest.Crank}, {b.PortIn, rest.PortIn}, {b.PortOut, rest.PortOut}, {b.Runner, rest.Runner}, {b.Header, rest.Header}, {b.Ambient, rest.Ambient}} {
			one, other := ranges.Flat(pair[0]), ranges.Flat(pair[1])
			for k := range other {
				if math.Abs(one[k]-other[k]) > 1e-12 {
					t.Errorf("%s: field %d is %+v, by hand %+v", c.name, i, pair[0], pair[1])
					break
				}
			}
		}
	}
}

// The valves of both sides: count, heads, lash, centres of 105 and -110 degrees, the lobes' half widths of 140.8457
// degrees, and the readings of the flow bench. Readings in cfm are the same coefficients: 0.5 on the curtain of 36 mm
// at 2 mm in air of 1.209489 kg/m3 at 28 inches of water, root(2 x 28 x 249.08891/1.209489) = 107.3916 m/s, lets 0.5 x
// pi x 36 x 2 mm2 x 107.3916 m/s = 12.14570 l/s = 25.73528 cfm pass; two valves pass twice that.
func TestValvesByHand(t *testing.T) {
	for name, c := range map[string]struct {
		changes []string
		count   int
	}{
		"coefficients": {nil, 1},
		"one in cfm":   {[]string{"intake: [{lift: 2 mm, cd: 0.5}]", "intake: [{lift: 2 mm, cfm: 25.73528, inches_water: 28}]"}, 1},
		"two in cfm":   {[]string{"intake: [{lift: 2 mm, cd: 0.5}]", "intake: [{lift: 2 mm, cfm: 51.47057, inches_water: 28}]", "intake_valve: {count: 1", "intake_valve: {count: 2"}, 2},
	} {
		b, _, err := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", c.changes...)})
		if err != nil {
			t.Fatal(err)
		}
		for i, pair := range [][2]float64{
			{float64(b.Intake.Count), float64(c.count)}, {b.Intake.Head, 0.036}, {b.Intake.Lash, 0.0001}, {b.Intake.Centre * 180 / math.Pi, 105}, {b.Intake.Lobe.HalfWidth, 2.45822051}, {b.Intake.Lobe.MaxLift, 0.009},
			{float64(len(b.Intake.Flow)), 1}, {b.Intake.Flow[0].Lift, 0.002}, {b.Intake.Flow[0].Coefficient, 0.5},
			{float64(b.Exhaust.Count), 1}, {b.Exhaust.Head, 0.030}, {b.Exhaust.Lash, 0.0002}, {b.Exhaust.Centre * 180 / math.Pi, -110}, {b.Exhaust.Lobe.HalfWidth, 2.45822051}, {b.Exhaust.Lobe.MaxLift, 0.009},
			{float64(len(b.Exhaust.Flow)), 2}, {b.Exhaust.Flow[0].Coefficient, 0.6}, {b.Exhaust.Flow[1].Lift, 0.008}, {b.Exhaust.Flow[1].Coefficient, 0.5},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-6*math.Abs(pair[1]) {
				t.Errorf("%s: number %d is %.9g, by hand %.9g", name, i, pair[0], pair[1])
			}
		}
	}
	b, _, err := unfilled(&ranges.Inputs{Build: tabled(t)})
	if err != nil || math.Abs(b.Intake.Lobe.Lift(0)-0.009) > 1e-9 || math.Abs(b.Intake.Lobe.Lift(65*math.Pi/180)-0.0045) > 1e-6 {
		t.Errorf("a table's lobe: %g and %g m (%v)", b.Intake.Lobe.Lift(0), b.Intake.Lobe.Lift(65*math.Pi/180), err)
	}
}

// What the charge is: air of 30 % at 25 C and 1000 hPa holds 0.3 x 1.00411 x 3169.757/100000 of vapour; fuels go by
// their names, alcohols with the flame of methanol.
func TestMixtureByHand(t *testing.T) {
	for name, c := range map[string]struct {
		change, fuel string
		flame        engine.FlameFuel
	}{
		"petrol":   {"name: pump 95", "petrol, as iso-octane and toluene", engine.GasolineFlame},
		"methanol": {"name: methanol", "methanol", engine.MethanolFlame},
		"ethanol":  {"name: ethanol", "ethanol", engine.MethanolFlame},
	} {
		b, m, err := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", "name: pump 95", c.change, "temperature: 15 C, humidity: 0, pressure: 1 bar", "temperature: 25 C, humidity: 30 %, pressure: 1000 hPa")})
		if err != nil || m.fuel.Name != c.fuel || b.Flame != c.flame || m.lambda != 0.9 || math.Abs(m.vapour-0.3*1.00411*3169.757/1e5) > 1e-8 {
			t.Errorf("%s: %s, lambda %g, vapour %.8f (%v)", name, m.fuel.Name, m.lambda, m.vapour, err)
		}
	}
}

// What a curve cannot be computed of says why.
func TestNoBreathing(t *testing.T) {
	for name, c := range map[string]struct {
		changes []string
		says    string
	}{
		"two-stroke":        {[]string{"cycle: four-stroke", "cycle: two-stroke"}, "of a two-stroke yet"},
		"no rod":            {[]string{"rod_length: 120 mm", "rod_length: 30 mm"}, "longer than half the stroke"},
		"late and short":    {[]string{"intake: {opens: 10 deg, closes: 40 deg", "intake: {opens: -100 deg, closes: -90 deg"}, "the cam is not possible"},
		"core and chambers": {[]string{"outlet_bore: 25 mm}", "outlet_bore: 25 mm, chambers: 2, passage_bore: 20 mm, core_length: 300 mm, core_bore: 40 mm, core_open: 0.3}"}, "this one has both"},
		"core too large":    {[]string{"outlet_bore: 25 mm}", "outlet_bore: 25 mm, core_length: 900 mm, core_bore: 60 mm, core_open: 0.3}"}, "larger than the silencer"},
		"half a core":       {[]string{"outlet_bore: 25 mm}", "outlet_bore: 25 mm, core_bore: 40 mm}"}, "length of a perforated core"},
		"lean beyond all":   {[]string{"lambda: 0.9", "lambda: 1.7"}, "does not burn as engines do"},
		"no ratio at all":   {[]string{"head: 30 cc", "head: 200 cc"}, "does not run on petrol"},
	} {
		_, _, err := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", c.changes...)})
		if !errors.Is(err, ErrNoCurve) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Two cylinders that share twice of all, and openings of twice the area, breathe each as one alone does: field by
// field.
func TestTwoCylindersOfTwiceAll(t *testing.T) {
	silencer := "silencer: {volume: 2 l, outlet_bore: 25 mm}"
	for name, c := range map[string][2]string{
		"a core":   {cored, "silencer: {volume: 4 l, outlet_bore: 35.35533905932738 mm, core_length: 300 mm, core_bore: 56.568542494923804 mm, core_open: 0.4242640687119285}"},
		"chambers": {"silencer: {volume: 2 l, outlet_bore: 25 mm, chambers: 3, passage_bore: 20 mm}", "silencer: {volume: 4 l, outlet_bore: 35.35533905932738 mm, chambers: 3, passage_bore: 28.284271247461902 mm}"},
	} {
		one, _, err1 := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", silencer, c[0])})
		two, _, err2 := unfilled(&ranges.Inputs{Build: byhand.Build(t, single, "as-found", silencer, c[1], "cylinders: 1", "cylinders: 2", "count: 1, venturi", "count: 2, venturi", "airbox_volume: 4 l", "airbox_volume: 8 l", "filter_area: 150 cm2", "filter_area: 300 cm2")})
		if err1 != nil || err2 != nil || two.Cylinders != 2 {
			t.Fatal(name, err1, err2)
		}
		two.Cylinders = 1
		a, b := ranges.Flat(one), ranges.Flat(two)
		if len(a) != len(b) {
			t.Fatalf("%s: %d and %d numbers", name, len(a), len(b))
		}
		for i := range a {
			if math.Abs(a[i]-b[i]) > 1e-12*math.Abs(a[i]) {
				t.Errorf("%s: number %d is %.15g for one, %.15g for each of two", name, i, a[i], b[i])
			}
		}
	}
}
