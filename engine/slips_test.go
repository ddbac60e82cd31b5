package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"
	"time"

	"shakedown/internal/faults"
)

// finite says that every number of a point is one.
func finite(p Point) bool {
	v := reflect.ValueOf(p)
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Float64 && (math.IsNaN(f.Float()) || math.IsInf(f.Float(), 0)) {
			return false
		}
	}
	return !math.IsNaN(p.Friction.Total()) && !math.IsInf(p.Friction.Total(), 0)
}

// slipped runs an engine at three speeds: each must come out finite, or with an error in words.
func slipped(t *testing.T, name string, b Breathing) (ran, refused int) {
	t.Helper()
	err := faults.Catch(func() error {
		points, failed, err := Curve(context.Background(), b, speedsOf(2400, 9000, 3), nil)
		for i, p := range points {
			switch {
			case failed[i] != nil:
				refused++
			case !p.Converged || !finite(p):
				t.Errorf("%s at %.0f rpm: %+v without a word", name, p.Speed*30/math.Pi, p)
			default:
				ran++
			}
		}
		return err
	})
	if fault, ok := err.(*faults.Fault); ok {
		t.Errorf("%s: %v\n%s", name, fault, fault.Trace)
	} else if err != nil {
		refused += 3
	}
	return ran, refused
}

// A digit that slips must not stop the program: strokes and bores that somebody typed.
func TestSlippedDigitsOfBoreAndStroke(t *testing.T) {
	for _, c := range []struct {
		bore, stroke, chamber float64 // [mm] [mm] [cm3]
		refused               bool
	}{
		{74, 6.63, 36.6, true}, {74, 15, 36.6, true}, {7.4, 66.3, 36.6, true}, // 1.78, 2.76 and 1.08 : 1
		{74, 20, 36.6, false}, {74, 6.63, 3.66, false}, {7.4, 66.3, 0.366, false}, // 3.35 to 8.79 : 1
	} {
		b := single(t)
		b.Bore, b.Crank.Stroke, b.Clearance = c.bore/1000, c.stroke/1000, c.chamber*1e-6
		name := fmt.Sprintf("bore %g mm, stroke %g mm, chamber %g cm3", c.bore, c.stroke, c.chamber)
		if ran, refused := slipped(t, name, b); c.refused && (ran > 0 || refused == 0) {
			t.Errorf("%s: %d speeds ran", name, ran)
		}
	}
}

// Every number of an engine scaled by a thousandth to a thousand, one to three at a time.
func TestSlippedDigits(t *testing.T) { slipDigits(t, 6) }

func TestSlippedDigitsHeavy(t *testing.T) {
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("takes minutes; set SHAKEDOWN_HEAVY")
	}
	slipDigits(t, shareOf(1000, 10))
}

func slipDigits(t *testing.T, n int) {
	random := rand.New(rand.NewPCG(3, 3))
	ran, refused := 0, 0
	for range n {
		b := single(t)
		b.Header = append([]Bore{}, b.Header...)
		numbers := map[string]*float64{
			"bore": &b.Bore, "stroke": &b.Crank.Stroke, "rod": &b.Crank.Rod, "clearance": &b.Clearance, "intake valve": &b.Intake.Head, "exhaust valve": &b.Exhaust.Head, "intake lash": &b.Intake.Lash, "exhaust lash": &b.Exhaust.Lash,
			"intake centre": &b.Intake.Centre, "exhaust centre": &b.Exhaust.Centre, "intake port": &b.PortIn.Diameter, "intake port's length": &b.PortIn.Length, "exhaust port": &b.PortOut.Diameter, "exhaust port's length": &b.PortOut.Length,
			"runner": &b.Runner, "venturi": &b.Venturi, "airbox": &b.Airbox, "filter": &b.FilterArea, "header": &b.Header[0].Diameter, "header's length": &b.Header[0].Length, "silencer": &b.Silencer, "outlet": &b.Outlet,
			"pressure": &b.Ambient.Pressure, "temperature": &b.Ambient.Temperature,
		}
		names := make([]string, 0, len(numbers))
		for name := range numbers {
			names = append(names, name)
		}
		slices.Sort(names)
		what := ""
		for range 1 + random.IntN(3) {
			name := names[random.IntN(len(names))]
			factor := math.Pow(10, 6*random.Float64()-3)
			if random.IntN(2) == 0 {
				factor = math.Pow(10, float64(random.IntN(7)-3))
			}
			*numbers[name] *= factor
			what += fmt.Sprintf(" %s %.4g", name, *numbers[name])
		}
		r, f := slipped(t, what, b)
		ran, refused = ran+r, refused+f
	}
	t.Logf("%d speeds ran, %d were refused", ran, refused)
	if ran == 0 || refused == 0 {
		t.Errorf("%d ran and %d were refused: it tries nothing", ran, refused)
	}
}

// Who is told how much is ready may fail: the curve ends with the fault, and no other speed waits for ever behind it.
func TestAFailingListenerEndsTheCurve(t *testing.T) {
	ended := make(chan error, 1)
	go func() {
		var speeds []float64
		for i := range 4 * chainLength {
			speeds = append(speeds, 200+40*float64(i))
		}
		_, _, err := Curve(t.Context(), single(t), speeds, func(int, int) { panic("nobody listens") })
		ended <- err
	}()
	select {
	case err := <-ended:
		var fault *faults.Fault
		if !errors.As(err, &fault) {
			t.Errorf("%v", err)
		}
	case <-time.After(2 * time.Minute):
		t.Fatal("it waits for ever")
	}
}

// shareOf is how many of so many a heavy run takes: all of them with SHAKEDOWN_HEAVY=all, which takes long, else a
// part.
func shareOf(all, part int) int {
	if os.Getenv("SHAKEDOWN_HEAVY") == "all" {
		return all
	}
	return part
}
