package running

import (
	"fmt"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/internal/byhand"
	"shakedown/internal/outside"
	"shakedown/machine"
)

// Every layout and use that a sheet may name has ranges for both ends, and none is empty or beyond the travel.
func TestSagTargetsAreWhole(t *testing.T) {
	uses := append([]string{""}, machine.FieldAt("suspension.use").Words...)
	for _, layout := range machine.Layouts {
		for _, use := range uses {
			change := ""
			if use != "" {
				change = "\n    use: " + use
			}
			b := byhand.Build(t, trike, "as-found", "layout: three-wheeler", "layout: "+layout, "  suspension:", "  suspension:"+change)
			for _, w := range []Wheel{FrontWheel, RearWheel} {
				s, named := w.SagFor(b)
				if !(0 < s.FreeLow && s.FreeLow < s.FreeHigh && s.FreeHigh < s.RiderHigh && s.FreeLow < s.RiderLow && s.RiderLow < s.RiderHigh && s.RiderHigh < 0.5) {
					t.Errorf("%s, %s, %s: %+v", layout, use, w, s)
				}
				if use != "" && named != use || use == "" && named != UsualUse {
					t.Errorf("%q is named %q", use, named)
				}
			}
		}
	}
}

// What riders set their machines to.
func TestOutsideSagTargets(t *testing.T) {
	memory := []outside.Known{outside.Practice, outside.Memory}
	trikes, _ := FrontWheel.SagFor(byhand.Build(t, trike, "as-found"))
	trikesRear, _ := RearWheel.SagFor(byhand.Build(t, trike, "as-found"))
	bikes, _ := FrontWheel.SagFor(byhand.Build(t, bike, "as-found"))
	bikesRear, _ := RearWheel.SagFor(byhand.Build(t, bike, "as-found"))
	for _, k := range []struct {
		name      string
		got, want float64
	}{
		{"least rider sag in front", trikes.RiderLow, 0.12}, {"most rider sag in front", trikes.RiderHigh, 0.25}, {"least rider sag behind", trikesRear.RiderLow, 0.20}, {"most rider sag behind", trikesRear.RiderHigh, 0.33},
		{"least free sag", trikes.FreeLow, 0.03}, {"most free sag", trikes.FreeHigh, 0.12},
	} {
		outside.Check{ID: "trade: sag", Name: "three-wheelers for motocross: " + k.name, Unit: "1", Got: k.got, Want: k.want, Tol: 1e-9, Source: "what riders of three-wheelers set", Known: memory}.Run(t)
	}
	const long = "machines of motocross travel, rider sag 20 to 25 % in front, 30 to 35 % behind, free sag behind 8 to 15 %"
	for _, k := range []struct {
		name           string
		low, high, mid float64 // mid lies in the band named
	}{{"front", bikes.RiderLow, bikes.RiderHigh, 0.225}, {"rear", bikesRear.RiderLow, bikesRear.RiderHigh, 0.325}, {"free, rear", bikesRear.FreeLow, bikesRear.FreeHigh, 0.115}} {
		inside := 0.0
		if k.low <= k.mid && k.mid <= k.high {
			inside = 1
		}
		outside.Check{ID: "trade: sag", Name: "bikes: the middle of what is set lies inside, " + k.name, Unit: "1", Got: inside, Want: 1, Source: long, Known: memory}.Run(t)
	}
}

// A spring of 0.52 kgf/mm, 5.1 N/mm in each leg, is a racer's choice in the fork of a three-wheeler. By hand, without
// the air, which makes it less: 62.2 kg on the springs, rake 25 deg, preload 10 mm, 200 mm of travel: 62.2 g cos 25/2 =
// 276.5 N on one spring, 276.5/5.1 - 10 = 44.2 mm, 22 %. One of 2.4 N/mm would stand 105 mm in, 53 %.
func TestOutsideRacersForkSpring(t *testing.T) {
	const front = "spring_rate: 4 N/mm, preload: 20 mm"
	sag := func(rate string) float64 {
		values, _ := figuresOf(byhand.Build(t, trike, "as-found", front, "spring_rate: "+rate+", preload: 10 mm", "dry: 120 kg, front_share: 0.40", "dry: 140 kg, front_share: 0.42"))
		return values["suspension.front.rider_sag"] / 200
	}
	practice := []outside.Known{outside.Practice}
	target, _ := FrontWheel.SagFor(byhand.Build(t, trike, "as-found"))
	inside := 0.0
	if share := sag("5.1 N/mm"); share >= target.RiderLow && share <= target.RiderHigh {
		inside = 1
	}
	outside.Check{ID: "trade: fork springs", Name: "a spring of 0.52 kgf/mm in each leg of a three-wheeler's fork: 1 sags as usual, 0 does not", Unit: "1", Got: inside, Want: 1, Source: "it is a racer's choice on such a machine", Known: practice}.Run(t)
	if share := sag("2.4 N/mm"); share <= target.RiderHigh {
		t.Errorf("a spring of 2.4 N/mm sags %g of the travel, as usual", share)
	}
}

// Whatever the rider weighs and the preload is, no spring is asked to pull: the preload named is never below nothing
// and the rate never is, and where both sags would need that the spring without preload gives the rider sag alone.
func TestNoNegativePreload(t *testing.T) {
	clamped := 0
	for _, text := range []string{trike, quad, bike} {
		for _, rider := range []string{"20 kg", "64 kg", "120 kg", "240 kg"} {
			for _, preload := range []string{"0 mm", "10 mm", "60 mm"} {
				b := byhand.Build(t, text, "as-found")
				in := &ranges.Inputs{Build: b, Delta: ranges.Moves(b.Project)}
				set := func(path string, si float64) {
					v := b.Values[path]
					in.Delta[v.Terms[0]] = si - b.Project.Number(v)
				}
				var kg, mm float64
				fmt.Sscan(rider, &kg)
				fmt.Sscan(preload, &mm)
				set("rider.mass", kg)
				for _, w := range []Wheel{FrontWheel, RearWheel} {
					set(w.Path("suspension.%s.preload"), mm/1000)
					rate, spring, err := w.springForSag(in)
					switch {
					case err != nil:
						t.Errorf("%s, %s: %v", rider, preload, err)
					case !(rate > 0) || !(spring >= 0):
						t.Errorf("%s, %s, %s: %g N/m with %g m", w, rider, preload, rate, spring)
					case spring == 0 && mm > 0:
						clamped++
					}
				}
			}
		}
	}
	if clamped == 0 {
		t.Error("no machine needed the preload to stop at nothing")
	}
}
