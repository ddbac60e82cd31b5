package forecast

import (
	"math"
	"strconv"
	"strings"
	"testing"
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
		r, err := ReadRide(name, strings.NewReader(text))
		if err != nil {
			return
		}
		if !(r.course.Length() > 0) || math.IsInf(r.course.Length(), 0) {
			t.Fatalf("a course of %g m", r.course.Length())
		}
		for i, p := range r.course.Line() {
			if math.IsNaN(p.X) || math.IsNaN(p.Y) || math.IsInf(p.X, 0) || math.IsInf(p.Y, 0) {
				t.Fatalf("place %d is %+v", i, p)
			}
		}
		if turn, climb := r.course.Closing(); math.IsNaN(turn) || math.IsNaN(climb) {
			t.Fatalf("it turns by %g and climbs by %g", turn, climb)
		}
		for i, v := range r.Speed {
			if !(v >= 0) {
				t.Fatalf("ridden at %g m/s at %g m", v, r.Way[i])
			}
		}
	})
}
