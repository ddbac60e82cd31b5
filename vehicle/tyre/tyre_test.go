package tyre

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"shakedown/internal/outside"
)

func TestOutsideSizes(t *testing.T) {
	const etrto = "ETRTO and UN R75 design rule: rim and twice the width times the ratio"
	mc := []outside.Known{outside.Memory, outside.Computed}
	checks := []outside.Check{}
	outsideOf := func(text string) float64 {
		s, err := ParseSize(text)
		if err != nil {
			t.Fatal(err)
		}
		return 1000 * s.Outside
	}
	for text, want := range map[string]float64{"80/100-21": 693.4, "90/90-21": 695.4, "100/90-19": 662.6, "110/90-19": 680.6, "120/80-19": 674.6} {
		checks = append(checks, outside.Check{ID: "chassis 5.01", Name: "outside diameter of " + text, Unit: "mm", Got: outsideOf(text), Want: want, Tol: 0.1, Source: etrto, Known: mc})
	}
	for text, want := range map[string]float64{"100/100-18": 657.2, "120/90-18": 673.2, "140/80-18": 681.2} {
		checks = append(checks, outside.Check{ID: "chassis 5.02", Name: "outside diameter of " + text, Unit: "mm", Got: outsideOf(text), Want: want, Tol: 0.1, Source: etrto, Known: []outside.Known{outside.Computed}})
	}
	for text, want := range map[string]float64{"AT22x7-10": 558.8, "20x11-9": 508.0, "25x8-12": 635.0, "25x8.00-12": 635.0} {
		checks = append(checks, outside.Check{ID: "chassis 5.03", Name: "outside diameter of " + text, Unit: "mm", Got: outsideOf(text), Want: want, Tol: 0.1, Source: "Tire and Rim Association, designation of ATV tyres: the first number is the outside diameter in inches", Known: mc})
	}
	low := outsideOf("5.10-18")
	practice := []outside.Known{outside.Practice}
	checks = append(checks,
		outside.Check{ID: "chassis 5.04", Name: "outside diameter of 3.00-21", Unit: "mm", Got: outsideOf("3.00-21"), Want: 685.8, Tol: 0.1, Source: "ETRTO code designation: height equal to the width", Known: []outside.Known{outside.Memory}},
		outside.Check{ID: "chassis 5.05", Name: "outside diameter of 5.10-18, middle of 664 to 690 mm", Unit: "mm", Got: low, Want: 677, Tol: 13, Source: "ETRTO code designation, low section: height 0.8 to 0.9 of the width", Known: mc},
		outside.Check{ID: "trade: tyre in front", Name: "23.5x8-11 is a size in use on three-wheelers", Unit: "mm", Got: outsideOf("23.5x8-11"), Want: 597, Tol: 0.5, Source: "size in use", Known: practice})
	for _, row := range []struct {
		text      string
		low, high float64 // in
	}{{"22x7-10", 5, 5.5}, {"22x11-9", 8, 9}} {
		s, err := ParseSize(row.text)
		if err != nil {
			t.Fatal(err)
		}
		from, to := RimRange(s)
		const source = "ETRTO and TRA measuring rims as the trade quotes them"
		checks = append(checks,
			outside.Check{ID: "chassis 5.09", Name: "narrowest usual rim for " + row.text, Unit: "in", Got: from / inch, Want: row.low, Tol: 1e-9, Source: source, Known: practice},
			outside.Check{ID: "chassis 5.09", Name: "widest usual rim for " + row.text, Unit: "in", Got: to / inch, Want: row.high, Tol: 1e-9, Source: source, Known: practice})
	}
	// Another size of the same machines, by its designation; it needs no row.
	if rear, err := ParseSize("18x9.5-8"); err != nil || math.Abs(1000*rear.Outside-457.2) > 0.1 || math.Abs(rear.Rim/inch-8) > 1e-9 {
		t.Errorf("18x9.5-8: %+v (%v)", rear, err)
	}
	for _, k := range checks {
		k.Run(t)
	}
}

// Usual rims of motorcycle sizes lie inside the range given for them.
func TestUsualRimsAreInside(t *testing.T) {
	for text, rim := range map[string]float64{"80/100-21": 1.60, "100/90-19": 1.85, "110/90-19": 2.15} {
		s, err := ParseSize(text)
		if err != nil {
			t.Fatal(err)
		}
		if low, high := RimRange(s); rim*inch < low || rim*inch > high {
			t.Errorf("%s: a rim of %g in is outside %g to %g", text, rim, low/inch, high/inch)
		}
	}
}

func TestForbiddenSizes(t *testing.T) {
	for _, text := range []string{"", "x", "22", "22x11", "x11-9", "22x-9", "22x11-", "9x11-22", "22x11-9-9", "0/90-21", "80/0-21", "NaNx8-10", "22xNaN-10", "1e9x8-10", "-22x8-10", "22/8-10-", "3.00", "99.00-18"} {
		if s, err := ParseSize(text); err == nil {
			t.Errorf("%q is a size: %+v", text, s)
		}
	}
}

func TestSizesAreSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		s, err := ParseSize(text)
		if err != nil {
			return
		}
		if !(s.Outside > s.Rim && s.Rim > 0 && s.Width > 0) || math.IsInf(s.Outside, 0) {
			t.Fatalf("%q is %+v", text, s)
		}
	})
}

func FuzzParseSize(f *testing.F) {
	for _, seed := range []string{"22x11-9", "AT23.5x8-11", "80/100-21", "3.00-21", "5.10-18", "1e2x3-4", "x", "-"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if s, err := ParseSize(text); err == nil && !(s.Outside > s.Rim && s.Width > 0 && s.Outside < 5) {
			t.Fatalf("%q is %+v", text, s)
		}
	})
}

// Load indices against the printed table; the formula of its numbers is within 2 % of every entry.
func TestLoadIndexAgainstOutside(t *testing.T) {
	table := map[int]float64{30: 106, 31: 109, 33: 115, 35: 121, 37: 128, 39: 136, 40: 140, 41: 145, 42: 150, 43: 155, 44: 160, 45: 165, 46: 170, 47: 175, 48: 180, 49: 185, 50: 190, 51: 195, 52: 200, 53: 206,
		54: 212, 55: 218, 56: 224, 57: 230, 58: 236, 59: 243, 60: 250, 61: 257, 62: 265, 63: 272, 64: 280, 65: 290, 66: 300, 68: 315, 70: 335, 72: 355, 75: 387, 80: 450}
	for index, load := range table {
		outside.Check{ID: "chassis 5.10", Name: fmt.Sprintf("load index %d", index), Got: LoadOf(float64(index)), Want: load, Tol: 0.02, Relative: true, Unit: "kg",
			Source: "UN R75, load capacity indices; R80 series of ISO 3", Known: []outside.Known{outside.Memory, outside.Computed}}.Run(t)
	}
}

func TestRollingRadius(t *testing.T) {
	outside.Check{ID: "chassis 5.07", Name: "rolling circumference 3.05 of the diameter of 80/100-21 (radial tyres): radius over outside diameter", Got: RollingRadius(3.05*0.6934, 1) / 0.6934, Want: 0.485, Tol: 0.001, Unit: "1",
		Source: "UN R30 and R54, rolling-circumference factor", Known: []outside.Known{outside.Memory, outside.Computed}}.Run(t)
}
