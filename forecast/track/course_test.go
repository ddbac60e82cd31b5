package track

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"shakedown/lap"
	"shakedown/recording"
)

// Whatever a recording holds, it becomes a course whose numbers are numbers, or is refused.
func FuzzReadRide(f *testing.F) {
	var round strings.Builder
	round.WriteString("lat,lon,time_s,ele\n")
	for i := range 240 {
		a := float64(i) * math.Pi / 40
		round.WriteString(strings.Join([]string{strconv.FormatFloat(45+4e-4*math.Sin(a), 'f', 7, 64), strconv.FormatFloat(7+5e-4*math.Cos(a), 'f', 7, 64), strconv.FormatFloat(float64(i), 'f', 7, 64), strconv.FormatFloat(100+math.Sin(a), 'f', 7, 64)}, ",") + "\n")
	}
	for name, text := range map[string]string{
		"a.csv": round.String(), "b.csv": "lat,lon\n45,7\n45.001,7\n45.002,7\n45.001,7\n45,7\n", "c.csv": "lat,lon,time_s,speed_m_s\n45,7,0,0\n45,7.001,9,11\n45,7,1,0.1\n46,8,2,3\n",
		"d.gpx": `<gpx><trk><trkseg><trkpt lat="0" lon="180"/><trkpt lat="0" lon="-179.999"/><trkpt lat="0.001" lon="-179.998"/><trkpt lat="90" lon="0"/></trkseg></trk></gpx>`,
	} {
		f.Add(strings.HasSuffix(name, ".gpx"), text)
	}
	f.Fuzz(func(t *testing.T, gpx bool, text string) {
		if len(text) > 20000 {
			return
		}
		name := "x.csv"
		if gpx {
			name = "x.gpx"
		}
		r, err := ReadRide(t.Context(), name, strings.NewReader(text))
		if err != nil {
			return
		}
		sane(t, r)
	})
}

// sane fails where a ride holds what is no number, or was ridden faster than anything can be.
func sane(t *testing.T, r *Ride) {
	t.Helper()
	courses := []*lap.Course{r.course}
	for _, pair := range r.doubt {
		courses = append(courses, pair[0], pair[1])
	}
	for _, c := range courses {
		if !(c.Length() > 0) || math.IsInf(c.Length(), 0) {
			t.Fatalf("a course of %g m", c.Length())
		}
		for i, p := range c.Line() {
			if math.IsNaN(p.X) || math.IsNaN(p.Y) || math.IsInf(p.X, 0) || math.IsInf(p.Y, 0) {
				t.Fatalf("place %d is %+v", i, p)
			}
		}
		if turn, climb := c.Closing(); math.IsNaN(turn) || math.IsNaN(climb) {
			t.Fatalf("it turns by %g and climbs by %g", turn, climb)
		}
	}
	for i, v := range r.Speed {
		if !(v >= 0) || math.IsInf(v, 0) {
			t.Fatalf("ridden at %g m/s at %g m", v, r.Way[i])
		}
	}
	for _, l := range append(slices.Clone(r.Laps), r.Taken) {
		if l != 0 && !(l > r.course.Length()/61) || math.IsInf(l, 0) {
			t.Fatalf("a lap of %g m in %g s", r.course.Length(), l)
		}
	}
}

// Whatever numbers stand in a recording of two laps, one of them or a whole column off by any factor or set to
// anything, it becomes a course whose numbers are numbers, or is refused with words.
func FuzzRideNumbers(f *testing.F) {
	f.Add(uint8(0), uint16(3), 1e3, 0.0, 5.0, 0.3, false)
	f.Add(uint8(2), uint16(100), 0.0, 1e300, 10.0, 1.0, true)
	f.Add(uint8(3), uint16(60), -1.0, 0.0, 1.0, 0.0, true)
	f.Add(uint8(4), uint16(9), 0.001, 1e9, 25.0, 30.0, false)
	f.Add(uint8(1), uint16(0), 0.0, 0.0, 2.0, 0.1, false)
	f.Fuzz(func(t *testing.T, column uint8, row uint16, factor, plus, rate, noise float64, whole bool) {
		if !(rate >= 0.1 && rate <= 25) || !(noise >= 0 && noise <= 100) {
			return
		}
		rnd := rand.New(rand.NewPCG(uint64(row), 1))
		n := int(40 * rate)
		var text strings.Builder
		text.WriteString("lat,lon,time_s,ele,speed_m_s\n")
		for i := range n {
			a := float64(i) / rate / 20 * 2 * math.Pi // a lap takes 20 s
			cells := []float64{47 + (40*math.Sin(a)+noise*rnd.NormFloat64())/111e3, 9 + (60*math.Cos(a)+noise*rnd.NormFloat64())/76e3, float64(i) / rate, 500 + 3*math.Sin(a) + noise*rnd.NormFloat64(), 15 + rnd.NormFloat64()}
			if whole || i == int(row)%n {
				c := int(column) % len(cells)
				cells[c] = cells[c]*factor + plus
			}
			for k, v := range cells {
				if k > 0 {
					text.WriteString(",")
				}
				text.WriteString(strconv.FormatFloat(v, 'g', -1, 64))
			}
			text.WriteString("\n")
		}
		r, err := ReadRide(t.Context(), "x.csv", strings.NewReader(text.String()))
		if err != nil {
			if !errors.Is(err, recording.ErrRecording) && !errors.Is(err, recording.ErrRough) && !errors.Is(err, recording.ErrLong) && !errors.Is(err, ErrNoLap) {
				t.Errorf("%v", err)
			}
			return
		}
		sane(t, r)
	})
}
