package driveline

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

// How a sprocket is to be had, for pairs that the trade fits every day and for teeth that nobody keeps.
func TestOutsideSprocketsSold(t *testing.T) {
	practice := []outside.Known{outside.Practice}
	for _, k := range []struct {
		name string
		size string
		rear bool
		n    int
		want Sold
	}{
		{"13 in front", "520", false, 13, OnTheShelf}, {"40 behind", "520", true, 40, OnTheShelf}, {"52 behind, of a motocross bike", "520", true, 52, OnTheShelf},
		{"9 in front", "520", false, 9, SpecialOrder}, {"22 in front", "520", false, 22, NotMade}, {"60 behind", "520", true, 60, SpecialOrder}, {"80 behind", "520", true, 80, NotMade},
		{"15 in front", "428", false, 15, OnTheShelf}, {"50 behind", "428", true, 50, OnTheShelf}, {"15 in front", "420", false, 15, OnTheShelf}, {"37 behind", "420", true, 37, OnTheShelf},
		{"16 in front", "530", false, 16, OnTheShelf}, {"42 behind", "530", true, 42, OnTheShelf}, {"15 in front", "525", false, 15, OnTheShelf}, {"45 behind", "525", true, 45, OnTheShelf},
	} {
		chain, _ := ChainSize(k.size)
		made := chain.Front
		if k.rear {
			made = chain.Rear
		}
		outside.Check{ID: "trade: sprockets sold", Name: k.size + ", " + k.name + ": 2 usually sold, 1 special order, 0 not offered", Unit: "1", Got: float64(made.Of(k.n)), Want: float64(k.want), Source: "what dealers of off-road machines keep", Known: practice}.Run(t)
	}
}

// What is usual lies inside what is made to order, and every number of teeth is one of the three.
func TestSoldHangsTogether(t *testing.T) {
	for _, size := range []string{"420", "428", "520", "525", "530"} {
		chain, ok := ChainSize(size)
		if !ok {
			t.Fatal(size)
		}
		for _, m := range []Made{chain.Front, chain.Rear} {
			if !(m.Order.From <= m.Usual.From && m.Usual.From < m.Usual.To && m.Usual.To <= m.Order.To && m.Order.From >= 5) {
				t.Errorf("%s: %+v", size, m)
			}
			for _, teeth := range []int{-1, 0, m.Order.From - 1, m.Order.To + 1, math.MaxInt} {
				if m.Of(teeth) != NotMade || m.Of(teeth).OnShelf() {
					t.Errorf("%s: %d teeth are made", size, teeth)
				}
			}
		}
	}
	if OnTheShelf.String() != "usually sold" || SpecialOrder.String() != "special order" || NotMade.String() != "not offered" {
		t.Error("the words have moved")
	}
}

// The upper run over the pivot, by hand, arm of 500 mm level and without travel, sprocket 60 mm straight ahead of the
// pivot: with equal sprockets the run is level, a pitch radius up. With unequal ones its distance from a point of the
// line of centres goes straight from one radius to the other: r1 + (r2 - r1) 60/560.
func TestOutsideChainOverPivot(t *testing.T) {
	level := Swingarm{AheadX: 0.06, Arm: 0.5}
	radius := func(teeth int) float64 { return chain520 / math.Sin(math.Pi/float64(teeth)) / 2 }
	for _, k := range []struct {
		name        string
		front, rear int
		want        float64 // [m]
	}{
		{"equal sprockets of 20 teeth", 20, 20, radius(20)}, {"13 and 40 teeth", 13, 40, radius(13) + (radius(40)-radius(13))*60/560},
	} {
		got, err := level.OverPivot(chain520, k.front, k.rear)
		if err != nil {
			t.Fatal(err)
		}
		outside.Check{ID: "chain over the pivot", Name: "upper run over the pivot, " + k.name, Unit: "mm", Got: 1000 * got, Want: 1000 * (k.want - chain520/2), Tol: 1e-6, Relative: true, Source: "similar triangles; plates one pitch high, ISO 606", Known: c}.Run(t)
	}
}

// The run touches both pitch circles and has them on one side, wherever the arm stands; fewer teeth in front lower it.
func TestChainOverPivotIsATangent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Swingarm{
			AheadX: rapid.Float64Range(0.03, 0.12).Draw(t, "ahead"), AheadZ: rapid.Float64Range(-0.03, 0.03).Draw(t, "above"),
			Arm: rapid.Float64Range(0.4, 0.6).Draw(t, "arm"), Droop: rapid.Float64Range(0, 0.4).Draw(t, "droop"), Travel: rapid.Float64Range(0.05, 0.3).Draw(t, "travel"),
		}
		front, rear := rapid.IntRange(11, 17).Draw(t, "front"), rapid.IntRange(32, 54).Draw(t, "rear")
		got, err := s.OverPivot(chain520, front, rear)
		if err != nil {
			t.Skip("the arm is too short")
		}
		// By search: the line with the direction at which its offset from both centres is a radius.
		least := math.Inf(1)
		for k := range 201 {
			angle := math.Asin(math.Sin(s.Droop) - s.Travel/s.Arm*float64(k)/200)
			ax, az := -s.Arm*math.Cos(angle), -s.Arm*math.Sin(angle)
			r1, r2 := PitchDiameter(chain520, front)/2, PitchDiameter(chain520, rear)/2
			low, high := -math.Pi/2, math.Pi/2 // of the normal from upright, forwards above zero
			apart := func(lean float64) float64 {
				return (s.AheadX-ax)*math.Sin(lean) + (s.AheadZ-az)*math.Cos(lean) - (r2 - r1)
			}
			for range 60 {
				if middle := (low + high) / 2; apart(middle) < 0 {
					low = middle
				} else {
					high = middle
				}
			}
			least = math.Min(least, s.AheadX*math.Sin(low)+s.AheadZ*math.Cos(low)+r1-chain520/2)
		}
		if math.Abs(got-least) > 2e-5 {
			t.Fatalf("%g m over the pivot, by search %g", got, least)
		}
		if fewer, _ := s.OverPivot(chain520, front-1, rear); fewer >= got {
			t.Fatalf("a tooth fewer in front leaves %g m, more than %g", fewer, got)
		}
	})
	if _, err := (Swingarm{AheadX: 0.06, Arm: 0.1, Droop: 0.1, Travel: 0.3}).OverPivot(chain520, 13, 40); err == nil {
		t.Error("an arm of 100 mm makes a travel of 300 mm")
	}
	if got, err := (Swingarm{AheadX: 0.001, Arm: 0.05}).OverPivot(chain520, 12, 60); err == nil {
		t.Errorf("there is a run between a sprocket and one that it lies in: %g", got)
	}
}
