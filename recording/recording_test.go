package recording

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"shakedown/internal/outside"
)

func open(t *testing.T, name string, change ...string) []Fix {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(outside.Folder(t), "data", name))
	if err != nil {
		t.Fatal(err)
	}
	fixes, err := Read(name, strings.NewReader(strings.NewReplacer(change...).Replace(string(text))))
	if err != nil {
		t.Fatal(err)
	}
	return fixes
}

func TestOutsideRecordings(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	const source = "open recordings; lengths worked out with GeographicLib"
	for _, row := range []struct {
		name             string
		length, duration float64
	}{{"gpx_car_visnjan.gpx", 2736.001, 514}, {"gpx_bicycle_central_park_1hz.gpx", 9789.684, 1814}, {"gpx_car_netherlands_1hz.gpx", 37516.226, 3541}, {"gpx_car_camera_1hz.gpx", 1714.999, 144}} {
		fixes := open(t, row.name)
		outside.Check{ID: "planning P25", Name: row.name + ", length", Unit: "m", Got: Length(fixes), Want: row.length, Tol: 1e-2, Source: source, Known: computed}.Run(t)
		outside.Check{ID: "planning P25", Name: row.name + ", duration", Unit: "s", Got: fixes[len(fixes)-1].Time, Want: row.duration, Tol: 0.6, Source: source + "; whole seconds", Known: computed}.Run(t)
	}
	jumps := open(t, "gpx_car_netherlands_1hz.gpx")
	outside.Check{ID: "planning P26", Name: "fastest from fix to fix, a receiver that jumps", Unit: "m/s", Got: Fastest(jumps), Want: 54.72, Tol: 0.01, Source: source, Known: computed}.Run(t)
	if _, jumped := Plane(jumps, 20); jumped == 0 {
		t.Error("nothing that is faster than 20 m/s is left out")
	}
	car := open(t, "csv_car_imu50hz_gps10hz_2014-03-26.csv", "yaw,speed,course", "yaw,speed_km_h,course")
	outside.Check{ID: "planning P27", Name: "way of a car by its fixes", Unit: "m", Got: Length(car), Want: 1763.35, Tol: 0.01, Source: source, Known: computed}.Run(t)
	along, across := radii(45)
	outside.Check{ID: "planning P2", Name: "radius along the meridian at 45 degrees", Unit: "m", Got: along, Want: 6367381.8156, Tol: 1e-3, Source: "WGS 84, NGA.STND.0036", Known: computed}.Run(t)
	outside.Check{ID: "planning P2", Name: "radius across it", Unit: "m", Got: across, Want: 6388838.2901, Tol: 1e-3, Source: "WGS 84, NGA.STND.0036", Known: computed}.Run(t)
	east, north := Step(Fix{Lat: 45, Lon: 7}, Fix{Lat: 45.005, Lon: 7.008})
	outside.Check{ID: "planning P12", Name: "flat step, whole, against the geodesic", Unit: "m", Got: math.Hypot(east, north), Want: 840.594529, Tol: 1e-2, Source: "GeographicLib", Known: computed}.Run(t)
}

func TestBadRecordings(t *testing.T) {
	const head = `<gpx version="1.1"><trk><trkseg>`
	for name, c := range map[string]struct{ file, text, want string }{
		"neither":      {"x.txt", "", "ends neither"},
		"empty":        {"x.gpx", "", "0 places"},
		"cut off":      {"x.gpx", head + `<trkpt lat="45" lon="7"><ele>3`, "line 1"},
		"north of it":  {"x.gpx", head + `<trkpt lat="95" lon="7"/></trkseg></trk></gpx>`, "up to 90"},
		"no number":    {"x.gpx", head + `<trkpt lat="NaN" lon="7"/></trkseg></trk></gpx>`, "up to 90"},
		"two places":   {"x.gpx", head + `<trkpt lat="45" lon="7"/><trkpt lat="45.1" lon="7"/></trkseg></trk></gpx>`, "2 places"},
		"no columns":   {"x.csv", "a,b\n1,2\n", "latitude and longitude"},
		"empty table":  {"x.csv", "", "no head"},
		"a quote":      {"x.csv", "lat,lon\n\"45,7\n", "line 2"},
		"not a number": {"x.csv", "lat,lon\n45,east\n", "line 2"},
	} {
		if _, err := Read(c.file, strings.NewReader(c.text)); !errors.Is(err, ErrRecording) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A receiver that finds its height late does not make a cliff.
func TestHeightThatComesLate(t *testing.T) {
	fixes, err := Read("x.csv", strings.NewReader("lat,lon,altitude\n45,7,\n45.0001,7,\n45.0002,7,240\n45.0003,7,241\n"))
	if err != nil {
		t.Fatal(err)
	}
	points, _ := Plane(fixes, 60)
	for i, want := range []float64{240, 240, 240, 241} {
		if points[i].Z != want {
			t.Errorf("place %d lies at %g m, %g wanted", i, points[i].Z, want)
		}
	}
}

// Whatever is read: an error, or fixes that are on the earth.
func FuzzRead(f *testing.F) {
	f.Add(true, `<gpx version="1.1"><trk><trkseg><trkpt lat="45" lon="7"><ele>3</ele><time>2020-01-01T00:00:00Z</time></trkpt><trkpt lat="45.1" lon="7"/><trkpt lat="45.2" lon="7"/></trkseg></trk></gpx>`)
	f.Add(false, "lat,lon,elevation.m,timer.s\n45,7,3,0\n45.1,7,3,1\n45.2,7,,2\n")
	f.Fuzz(func(t *testing.T, xml bool, text string) {
		name := "x.csv"
		if xml {
			name = "x.gpx"
		}
		fixes, err := Read(name, strings.NewReader(text))
		if err != nil {
			if !errors.Is(err, ErrRecording) {
				t.Errorf("%v", err)
			}
			return
		}
		for _, p := range fixes {
			if !(math.Abs(p.Lat) <= 90 && math.Abs(p.Lon) <= 180) {
				t.Errorf("a place at %g, %g", p.Lat, p.Lon)
			}
		}
		if n := Length(fixes); !(n >= 0) || math.IsInf(n, 0) {
			t.Errorf("a way of %g m", n)
		}
	})
}

// A receiver that stands wanders; what it logs then is no way, unless its speeds are all nought.
func TestStandingStill(t *testing.T) {
	var fixes []Fix
	for i := range 60 {
		fixes = append(fixes, Fix{Lat: 45 + 1e-5*math.Sin(float64(i)), Lon: 7 + 1e-5*math.Cos(float64(i)), Time: float64(i), Speed: 0.1})
	}
	for i := range 40 {
		fixes = append(fixes, Fix{Lat: 45 + 1e-4*float64(i+1), Lon: 7, Time: 60 + float64(i), Speed: 11})
	}
	points, jumped := Plane(fixes, 60)
	if len(points) != 41 || jumped != 0 {
		t.Errorf("%d places, %d jumps", len(points), jumped)
	}
	for i := range fixes {
		fixes[i].Speed = 0
	}
	if points, _ := Plane(fixes, 60); len(points) != 100 {
		t.Errorf("without speeds %d places", len(points))
	}
}
