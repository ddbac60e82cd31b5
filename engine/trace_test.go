package engine

import (
	"context"
	"errors"
	"math"
	"testing"
)

// What a trace shows is the cycle that the point was made of: its loop encloses the work, its flows are what the valves
// passed.
func TestTraceAgreesWithItsPoint(t *testing.T) {
	b := single(t)
	for _, speed := range speedsOf(2800, 8600, 3) {
		c, err := Look(context.Background(), b, speed)
		if err != nil {
			t.Fatal(err)
		}
		n := len(c.Angle)
		if n < 480 || n > 1441 || math.Abs(c.Angle[n-1]-4*math.Pi) > 1e-9 {
			t.Errorf("%d samples up to %.4g rad; wanted about one a degree up to 4 pi", n, c.Angle[n-1])
		}
		work, in, out, peak := 0.0, 0.0, 0.0, 0.0
		for i := range n {
			k := (i + n - 1) % n // the cycle is periodic
			work += 0.5 * (c.Pressure[i] + c.Pressure[k]) * (c.Volume[i] - c.Volume[k])
			turn := c.Angle[i]
			if i > 0 {
				turn -= c.Angle[i-1]
			}
			in += c.FlowIn[i] * turn / speed
			out += c.FlowOut[i] * turn / speed
			peak = math.Max(peak, c.Pressure[i])
			if len(c.Intake[i]) != len(c.Intake[0]) || len(c.Exhaust[i]) != len(c.Exhaust[0]) {
				t.Fatal("the pipes have not the same cells throughout")
			}
		}
		want := (c.Point.Indicated + c.Point.Pumping) * b.Swept()
		if math.Abs(work/want-1) > 0.01 {
			t.Errorf("%.0f rpm: the loop encloses %.5g J, the cycle gave %.5g J", speed*30/math.Pi, work, want)
		}
		if in *= 1 - c.Point.Past; math.Abs(in/out-1) > 0.004 { // what leaks past the rings goes elsewhere
			t.Errorf("%.0f rpm: %.6g kg went in and %.6g kg out", speed*30/math.Pi, in, out)
		}
		if !(c.Point.Unburnt > 0.02 && c.Point.Unburnt < 0.05) { // Heywood 1988 ch. 4, from memory
			t.Errorf("%.0f rpm: %.4f of the fuel leaves unburnt; 2 to 5 %% is usual of petrol engines", speed*30/math.Pi, c.Point.Unburnt)
		}
		if math.Abs(peak/c.Point.Peak-1) > 0.005 {
			t.Errorf("%.0f rpm: the trace's peak is %.6g Pa, the point's %.6g Pa", speed*30/math.Pi, peak, c.Point.Peak)
		}
	}
}

// Valves move at their times: the intake opens before the overlap's top dead centre is past and shuts after bottom dead
// centre.
func TestTraceLifts(t *testing.T) {
	c, err := Look(context.Background(), single(t), 500)
	if err != nil {
		t.Fatal(err)
	}
	for i, a := range c.Angle {
		degrees := a * 180 / math.Pi
		if open := degrees < 105+125 || degrees > 720+105-125; !open && c.LiftIn[i] > 1e-3 {
			t.Errorf("the intake is open at %.0f degrees", degrees)
		}
		if open := degrees > 720-107-125 || degrees < 125-107; !open && c.LiftOut[i] > 1e-3 {
			t.Errorf("the exhaust is open at %.0f degrees", degrees)
		}
		if i > 0 && c.LiftIn[i-1] == 0 && c.LiftIn[i] == 0 && c.FlowIn[i] != 0 {
			t.Errorf("gas passes the shut intake at %.0f degrees", degrees)
		}
	}
}

func TestLookRefuses(t *testing.T) {
	b := single(t)
	if _, err := Look(context.Background(), b, math.NaN()); err == nil {
		t.Error("no speed at all was taken")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Look(ctx, b, 500); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped before it began, it gave %v", err)
	}
	b.Venturi = 0
	if _, err := Look(context.Background(), b, 500); err == nil {
		t.Error("an engine without a carburettor was taken")
	}
}

func BenchmarkLook(b *testing.B) {
	s := single(b)
	for b.Loop() {
		if _, err := Look(context.Background(), s, 580); err != nil {
			b.Fatal(err)
		}
	}
}
