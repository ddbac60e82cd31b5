package chassis

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

const deg = math.Pi / 180

const (
	milliken = "Milliken and Milliken, Race Car Vehicle Dynamics, SAE 1995, ch. 18"
	tip      = "statics; geometry of Huston, Graves, Johnson, SAE 820139 (1982)"
	wheelies = "Cossalter, Motorcycle Dynamics, ch. 3; Foale, Motorcycle Handling and Chassis Design"
	steering = "Cossalter, Motorcycle Dynamics, ch. 1"
	planar   = "exact planar geometry"
	kst      = "US CPSC 1988 ATV consent decree and off-highway vehicle work (lateral stability coefficient)"
	svia     = "ANSI/SVIA 1, pitch stability"
	nhtsa    = "NHTSA rollover rule, ch. 5"
	weighed  = "weighing with one axle raised; rigid-body statics"
	loose    = "a form in circulation for weighing with one axle raised"
)

var (
	c  = []outside.Known{outside.Computed}
	mc = []outside.Known{outside.Memory, outside.Computed}
	sc = []outside.Known{outside.Seen, outside.Computed}
)

func must(t *testing.T) func(float64, error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func TestOutsideWeighing(t *testing.T) {
	ok := must(t)
	a, b := Along(1.2, 620, 780)
	raised := Raised{Wheelbase: 1.2, FrontRadius: 0.28, RearRadius: 0.28, FrontLoad: 620, RearLoad: 780, RearRaised: 852.296, Lift: 0.3}
	height := ok(raised.Height())
	angle := ok(raised.Angle())
	unequal := Raised{Wheelbase: 1.25, FrontRadius: 0.345, RearRadius: 0.28, FrontLoad: 550, RearLoad: 850, RearRaised: 933.167, Lift: 0.3}
	theta := ok(unequal.Angle())
	au, bu := Along(1.25, 550, 850)
	textbook := 0.345*bu/1.25 + 0.28*au/1.25 + (933.167-850)*1.25/(1400*math.Tan(theta))
	laden := Combine(Body{130, -0.74, 0.42}, Body{75, -0.80, 0.95}) // along counted from the front contact, backwards
	for _, k := range []outside.Check{
		{ID: "chassis 1.01", Name: "centre of gravity behind the front contact", Unit: "m", Got: a, Want: 0.66857, Tol: 5e-6, Source: milliken, Known: mc},
		{ID: "chassis 1.01", Name: "centre of gravity ahead of the rear contact", Unit: "m", Got: b, Want: 0.53143, Tol: 5e-6, Source: milliken, Known: mc},
		{ID: "chassis 1.02", Name: "angle, front raised 0.3 m", Unit: "deg", Got: angle / deg, Want: 14.4775, Tol: 5e-5, Source: weighed, Known: c},
		{ID: "chassis 1.02", Name: "height of the centre of gravity", Unit: "m", Got: height, Want: 0.5200, Tol: 1e-4, Source: weighed, Known: c},
		{ID: "chassis 1.03", Name: "its height above the axle line, exact", Unit: "m", Got: height - 0.28, Want: 0.2400, Tol: 1e-4, Source: weighed, Known: c},
		{ID: "chassis 1.03", Name: "the small-angle form is not used", Unit: "m", Got: height - 0.28, Want: 0.2479, Tol: 0.01, Relative: true, Trap: true, Source: loose, Known: sc},
		{ID: "chassis 1.04", Name: "the form with H/L for the tangent is not used", Unit: "m", Got: height - 0.28, Want: 0.24 * 1.033, Tol: 0.01, Relative: true, Trap: true, Source: loose, Known: sc},
		{ID: "chassis 1.05", Name: "angle, unequal wheels", Unit: "deg", Got: theta / deg, Want: 13.9774, Tol: 5e-5, Source: "rigid-body statics", Known: c},
		{ID: "chassis 1.05", Name: "height, unequal wheels, exact", Unit: "m", Got: ok(unequal.Height()), Want: 0.6000, Tol: 1e-4, Source: "rigid-body statics", Known: c},
		{ID: "chassis 1.06", Name: "height, unequal wheels, textbook form worked in the test", Unit: "m", Got: textbook, Want: 0.6039, Tol: 5e-4, Source: milliken, Known: mc},
		{ID: "chassis 1.06", Name: "the program is exact, not the textbook form", Unit: "m", Got: ok(unequal.Height()), Want: 0.6039, Tol: 5e-4, Trap: true, Source: milliken, Known: mc},
		{ID: "chassis 1.08", Name: "height of machine and rider", Unit: "m", Got: laden.Z, Want: 0.6139, Tol: 1e-4, Source: "statics", Known: c},
		{ID: "chassis 1.08", Name: "distance behind the front of machine and rider", Unit: "m", Got: -laden.X, Want: 0.7620, Tol: 1e-4, Source: "statics", Known: c},
	} {
		k.Run(t)
	}
}

// innerLoad is what the inner rear wheel carries [N] in a turn of a lateral acceleration [g0], one wheel in front:
// statics of moments.
func innerLoad(s Stance, mass, lateral float64) float64 {
	_, rear := AxleLoads(mass, s.Along, s.Wheelbase)
	return rear/2 - mass*Gravity*lateral*s.Height/s.TrackRear
}

func TestOutsideTipOver(t *testing.T) {
	ok := must(t)
	three := Stance{Wheelbase: 1.2, TrackRear: 0.9, Along: 1.2 - 0.72, Height: 0.55}
	at := ok(three.TipLateral(0, 0))
	inner := innerLoad(three, 205, at)
	hung := ok(three.TipLateral(75*0.20/205, 0))
	hungInner := innerLoad(three, 205, hung) + 205*Gravity*(75*0.20/205)/0.9 // the rider's weight moved inwards loads the inner wheel
	wide := Stance{Wheelbase: 1.2, TrackFront: 0.78, TrackRear: 0.9, Along: 0.48, Height: 0.55}
	square := wide
	square.TrackFront = 0.9
	for _, k := range []outside.Check{
		{ID: "chassis 2.01", Name: "static stability factor", Unit: "1", Got: ok(square.TipLateral(0, 0)), Want: 0.81818, Tol: 1e-5, Source: nhtsa, Known: sc},
		{ID: "chassis 2.02", Name: "angle of the tilt table", Unit: "deg", Got: math.Atan(ok(square.TipLateral(0, 0))) / deg, Want: 39.29, Tol: 0.005, Source: nhtsa, Known: sc},
		{ID: "chassis 2.04", Name: "three-wheeler, one in front", Unit: "g", Got: at, Want: 0.49091, Tol: 1e-5, Source: tip, Known: sc},
		{ID: "chassis 2.04", Name: "the same as a slope", Unit: "deg", Got: math.Atan(at) / deg, Want: 26.147, Tol: 5e-4, Source: tip, Known: sc},
		{ID: "chassis 2.05", Name: "inner rear load as it tips", Unit: "N", Got: inner, Want: 0, Tol: 1e-3, Source: "3x3 statics solve", Known: c},
		{ID: "chassis 2.06", Name: "lateral stability coefficient, two tracks", Unit: "1", Got: ok(wide.TipLateral(0, 0)), Want: 0.77455, Tol: 1e-5, Source: kst, Known: mc},
		{ID: "chassis 2.06", Name: "with no front track", Unit: "1", Got: ok(three.TipLateral(0, 0)), Want: 0.49091, Tol: 1e-5, Source: kst, Known: mc},
		{ID: "chassis 2.06", Name: "with equal tracks", Unit: "1", Got: ok(square.TipLateral(0, 0)), Want: 0.81818, Tol: 1e-5, Source: kst, Known: mc},
		{ID: "chassis 2.07", Name: "braking at 0.3 g in the turn", Unit: "g", Got: ok(three.TipLateral(0, 0.3)), Want: 0.37841, Tol: 1e-5, Source: tip, Known: sc},
		{ID: "chassis 2.08", Name: "driving at 0.3 g in the turn", Unit: "g", Got: ok(three.TipLateral(0, -0.3)), Want: 0.60341, Tol: 1e-5, Source: tip, Known: c},
		{ID: "chassis 2.09", Name: "rider moved 0.2 m inside", Unit: "g", Got: hung, Want: 0.62395, Tol: 1e-5, Source: "statics", Known: c},
		{ID: "chassis 2.09", Name: "inner load then", Unit: "N", Got: hungInner, Want: 0, Tol: 1e-3, Source: "statics", Known: c},
		{ID: "chassis 2.11", Name: "pitch stability coefficient is the wheelie limit", Unit: "1", Got: WheelieLimit(0.48, 0.68277, 0), Want: 0.70302, Tol: 1e-5, Source: svia, Known: mc},
		{ID: "chassis 2.23", Name: "wheelie limit", Unit: "g", Got: WheelieLimit(0.55, 0.75, 0), Want: 0.73333, Tol: 1e-5, Source: wheelies, Known: mc},
		{ID: "chassis 2.23", Name: "wheelie limit uphill, 20 deg", Unit: "g", Got: WheelieLimit(0.55, 0.75, 20*deg), Want: 0.34709, Tol: 1e-5, Source: wheelies, Known: mc},
		{ID: "chassis 2.24", Name: "stoppie limit", Unit: "g", Got: StoppieLimit(0.85, 0.75), Want: 1.13333, Tol: 1e-5, Source: wheelies, Known: mc},
		{ID: "chassis 2.26", Name: "the wheelie formula (Dh - Dv)/Dv is not used", Unit: "g", Got: WheelieLimit(0.55, 0.75, 0), Want: (0.55 - 0.75) / 0.75, Tol: 1e-3, Trap: true, Source: "a reworded text on wheelies in circulation", Known: sc},
	} {
		k.Run(t)
	}
	wider := three
	wider.TrackRear += 4 * 0.0254
	later := ok(wider.TipLateral(0, 0))
	outside.Check{ID: "trade: wide axle", Name: "four inches more axle: tip-over rises in proportion to the track", Unit: "g", Got: later, Want: at * (0.9 + 0.1016) / 0.9, Tol: 1e-9,
		Source: "four inches more axle width is a usual change, made so that it tips later", Known: []outside.Known{outside.Practice}}.Run(t)
	if later <= at {
		t.Error("a wider axle does not tip later")
	}
}

func TestOutsideTrail(t *testing.T) {
	s := Steering{Rake: 27 * deg, Offset: 0.055, FrontRadius: 0.345}
	clamps := s
	clamps.Offset = 0.022
	steep := s
	steep.Rake = 25 * deg
	checks := []outside.Check{
		{ID: "chassis 3.01", Name: "normal trail", Unit: "mm", Got: 1000 * s.NormalTrail(), Want: 101.63, Tol: 0.01, Source: steering, Known: mc},
		{ID: "chassis 3.01", Name: "trail", Unit: "mm", Got: 1000 * s.Trail(), Want: 114.06, Tol: 0.01, Source: steering, Known: mc},
		{ID: "chassis 3.02", Name: "the clamps' offset alone is not enough", Unit: "mm", Got: 1000 * s.Trail(), Want: 151.10, Tol: 0.01, Trap: true, Source: steering, Known: c},
		{ID: "chassis 3.02", Name: "what the clamps' offset alone would give", Unit: "mm", Got: 1000 * clamps.Trail(), Want: 151.10, Tol: 0.01, Source: steering, Known: c},
		{ID: "chassis 3.03", Name: "trail at 25 deg", Unit: "mm", Got: 1000 * steep.Trail(), Want: 100.19, Tol: 0.01, Source: steering, Known: c},
	}
	for radius, want := range map[float64]float64{0.350: 116.61, 0.340: 111.51} {
		tyre := s
		tyre.FrontRadius = radius
		checks = append(checks, outside.Check{ID: "chassis 3.04", Name: fmt.Sprintf("trail on a radius of %g m", radius), Unit: "mm", Got: 1000 * tyre.Trail(), Want: want, Tol: 0.01, Source: steering, Known: c})
	}
	after, err := StandOn(1.480, Wheels{0.345, 0.330}, Wheels{0.350, 0.330})
	if err != nil {
		t.Fatal(err)
	}
	higher := Steering{Rake: after.Rake(s.Rake), Offset: s.Offset, FrontRadius: 0.350}
	const how = " on a front wheel 5 mm larger"
	checks = append(checks,
		outside.Check{ID: "chassis 3.07", Name: "rake" + how, Unit: "deg", Got: higher.Rake / deg, Want: 27.194, Tol: 0.005, Source: planar, Known: c},
		outside.Check{ID: "chassis 3.07", Name: "trail" + how, Unit: "mm", Got: 1000 * higher.Trail(), Want: 117.99, Tol: 0.01, Source: planar, Known: c},
		outside.Check{ID: "chassis 3.07", Name: "wheelbase" + how, Unit: "mm", Got: 1000 * after.Wheelbase, Want: 1479.94, Tol: 0.01, Source: planar, Known: c})
	for _, k := range checks {
		k.Run(t)
	}
}

func bodies() *rapid.Generator[Body] {
	return rapid.Custom(func(t *rapid.T) Body {
		return Body{rapid.Float64Range(0.1, 200).Draw(t, "mass"), rapid.Float64Range(-1, 2).Draw(t, "x"), rapid.Float64Range(0.1, 1.5).Draw(t, "z")}
	})
}

func TestCombineIsAddition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := bodies().Draw(t, "a"), bodies().Draw(t, "b"), bodies().Draw(t, "c")
		one, other := Combine(a, b, c), Combine(c, Combine(b, a))
		if math.Abs(one.Mass-other.Mass) > 1e-9 || math.Abs(one.X-other.X) > 1e-9 || math.Abs(one.Z-other.Z) > 1e-9 {
			t.Fatalf("the order counts: %+v, %+v", one, other)
		}
		off := b
		off.Mass = -b.Mass
		if back := Combine(a, b, off); math.Abs(back.Mass-a.Mass) > 1e-9 || math.Abs(back.X-a.X) > 1e-7 || math.Abs(back.Z-a.Z) > 1e-7 {
			t.Fatalf("taking off what was put on leaves %+v of %+v", back, a)
		}
	})
	if Combine() != (Body{}) {
		t.Error("nothing has a centre")
	}
}

func stances() *rapid.Generator[Stance] {
	return rapid.Custom(func(t *rapid.T) Stance {
		s := Stance{Wheelbase: rapid.Float64Range(0.9, 1.6).Draw(t, "wheelbase"), TrackRear: rapid.Float64Range(0.6, 1.3).Draw(t, "track"), Height: rapid.Float64Range(0.3, 0.9).Draw(t, "height")}
		s.Along = s.Wheelbase * rapid.Float64Range(0.1, 0.7).Draw(t, "along")
		return s
	})
}

func TestTipOverBehaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := stances().Draw(t, "stance")
		at := func(s Stance, shift, braking float64) float64 {
			v, err := s.TipLateral(shift, braking)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		base := at(s, 0, 0)
		wider, higher, forward := s, s, s
		wider.TrackRear *= 1.1
		higher.Height *= 1.1
		forward.Along += 0.01
		if at(wider, 0, 0) <= base || at(higher, 0, 0) >= base || at(forward, 0, 0) >= base || at(s, 0.02, 0) <= base || at(s, 0, 0.05) >= base {
			t.Fatal("tip-over does not rise with track and lean, and fall with height, weight forward and braking")
		}
		mass := rapid.Float64Range(100, 400).Draw(t, "mass")
		if inner := innerLoad(s, mass, base); math.Abs(inner) > 1e-6 {
			t.Fatalf("the inner wheel carries %g N as it tips", inner)
		}
	})
}

// On the wheels that it has a machine stands as it stood.
func TestSteeringStandsStill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		on, wheelbase := Wheels{rapid.Float64Range(0.2, 0.36).Draw(t, "front"), rapid.Float64Range(0.2, 0.36).Draw(t, "rear")}, rapid.Float64Range(0.9, 1.6).Draw(t, "wheelbase")
		rake := rapid.Float64Range(15, 35).Draw(t, "rake") * deg
		same, err := StandOn(wheelbase, on, on)
		if err != nil || math.Abs(same.Rake(rake)-rake) > 1e-12 || math.Abs(same.Wheelbase-wheelbase) > 1e-12 {
			t.Fatalf("nothing was changed, and it stands as %+v (%v)", same, err)
		}
	})
}

// A machine on lower wheels, by hand. Wheelbase 1200 mm, both wheels 300 mm.
//
//	Both 25 mm less: all heights 25 mm less, nothing turns.
//	The front 40 mm less: the front axle stands 40 mm below the rear one, 1200 mm from it; asin(-40/1200) =
//	-1.9102 deg, nose down. A seat at 150, 700 is 150 ahead of and 400 above the rear axle: 150 cos - 400 sin =
//	149.917 + 13.333 = 163.250 mm; 300 + 150 sin + 400 cos = 300 - 5 + 399.778 = 694.778 mm. Rake 25 - 1.9102 =
//	23.0898 deg. Wheelbase sqrt(1200^2 - 40^2) = 1199.333 mm.
//	The rear 40 mm less: nose up by the same; the seat: 149.917 - 13.333 = 136.583 and 260 + 5 + 399.778 =
//	664.778 mm; rake 26.9102 deg.
func TestStandOnOtherWheels(t *testing.T) {
	was := Wheels{0.300, 0.300}
	for _, c := range []struct {
		name                  string
		now                   Wheels
		x, z, rake, wheelbase float64 // [mm] [deg]
	}{
		{"as measured", was, 150, 700, 25, 1200}, {"both lower", Wheels{0.275, 0.275}, 150, 675, 25, 1200},
		{"front lower", Wheels{0.260, 0.300}, 163.250, 694.778, 23.0898, 1199.333}, {"rear lower", Wheels{0.300, 0.260}, 136.583, 664.778, 26.9102, 1199.333},
	} {
		s, err := StandOn(1.2, was, c.now)
		if err != nil {
			t.Fatal(err)
		}
		x, z := s.Place(0.150, 0.700)
		if math.Abs(1000*x-c.x) > 1e-3 || math.Abs(1000*z-c.z) > 1e-3 || math.Abs(s.Rake(25*deg)/deg-c.rake) > 1e-4 || math.Abs(1000*s.Wheelbase-c.wheelbase) > 1e-3 {
			t.Errorf("%s: seat at %.3f, %.3f mm, rake %.4f deg, wheelbase %.3f mm; by hand %.3f, %.3f, %.4f, %.3f", c.name, 1000*x, 1000*z, s.Rake(25*deg)/deg, 1000*s.Wheelbase, c.x, c.z, c.rake, c.wheelbase)
		}
	}
}

// Both ways round the machine comes back, and the axles stand on their wheels.
func TestStandKeepsItsShape(t *testing.T) {
	wheel := rapid.Float64Range(0.2, 0.36)
	rapid.Check(t, func(t *rapid.T) {
		was, now := Wheels{wheel.Draw(t, "front"), wheel.Draw(t, "rear")}, Wheels{wheel.Draw(t, "front now"), wheel.Draw(t, "rear now")}
		wheelbase, x, z := rapid.Float64Range(0.9, 1.6).Draw(t, "wheelbase"), rapid.Float64Range(-0.3, 1.8).Draw(t, "x"), rapid.Float64Range(0.1, 1.2).Draw(t, "z")
		there, err := StandOn(wheelbase, was, now)
		if err != nil {
			t.Fatal(err)
		}
		back, err := StandOn(there.Wheelbase, now, was)
		if err != nil {
			t.Fatal(err)
		}
		if bx, bz := back.Place(there.Place(x, z)); math.Abs(bx-x) > 1e-9 || math.Abs(bz-z) > 1e-9 || math.Abs(back.Wheelbase-wheelbase) > 1e-9 {
			t.Fatalf("%g, %g came back as %g, %g", x, z, bx, bz)
		}
		if fx, fz := there.Place(wheelbase, was.Front); math.Abs(fx-there.Wheelbase) > 1e-9 || math.Abs(fz-now.Front) > 1e-9 {
			t.Fatalf("the front axle stands at %g, %g; wheelbase %g, wheel %g", fx, fz, there.Wheelbase, now.Front)
		}
	})
}

func TestForbiddenChassis(t *testing.T) {
	if _, err := (Stance{Wheelbase: 1.2, TrackRear: 0.9, Along: 0.4}).TipLateral(0, 0); err == nil {
		t.Error("a machine without height tips")
	}
	if _, err := (Stance{Wheelbase: 1.2, TrackRear: 0.9, Along: 0.4, Height: 0.6}).TipLateral(0, 2); err == nil {
		t.Error("a machine on its nose tips sideways")
	}
	for _, lift := range []float64{0, -1, 2} {
		if _, err := (Raised{Wheelbase: 1.2, FrontRadius: 0.28, RearRadius: 0.28, FrontLoad: 1, RearLoad: 1, Lift: lift}).Height(); err == nil {
			t.Errorf("a lift of %g m is taken", lift)
		}
	}
	if _, err := (Raised{Wheelbase: 1.2, FrontRadius: 0.28, RearRadius: 0.28, Lift: 0.3}).Height(); err == nil {
		t.Error("no load is taken")
	}
	if _, err := StandOn(1.2, Wheels{0.3, 0.3}, Wheels{2, 0.3}); err == nil {
		t.Error("a machine stands on a front wheel of 2 m radius")
	}
	if _, err := StandOn(1.2, Wheels{0.3, 0.3}, Wheels{0.3, math.NaN()}); err == nil {
		t.Error("a machine stands on a wheel of no size")
	}
}
