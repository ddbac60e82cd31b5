package recording

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"shakedown/internal/outside"
)

func open(t *testing.T, name string, change ...string) []Fix {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(outside.Folder(t), "data", name))
	if err != nil {
		t.Fatal(err)
	}
	log, err := Read(name, strings.NewReader(strings.NewReplacer(change...).Replace(string(text))))
	if err != nil {
		t.Fatal(err)
	}
	return log.Fixes
}

func TestOutsideRecordings(t *testing.T) {
	computed := []outside.Known{outside.Computed}
	const source = "open recordings; lengths worked out with GeographicLib"
	for _, row := range []struct {
		name             string
		length, duration float64
	}{{"gpx_car_visnjan.gpx", 2736.001, 514}, {"gpx_bicycle_central_park_1hz.gpx", 9789.684, 1814}, {"gpx_car_netherlands_1hz.gpx", 37516.226, 3541}, {"gpx_car_camera_1hz.gpx", 1714.999, 144}} {
		fixes := open(t, row.name)
		outside.Check{ID: "planning P25", Name: row.name + ", length", Unit: "m", Got: length(fixes), Want: row.length, Tol: 1e-2, Source: source, Known: computed}.Run(t)
		outside.Check{ID: "planning P25", Name: row.name + ", duration", Unit: "s", Got: fixes[len(fixes)-1].Time, Want: row.duration, Tol: 0.6, Source: source + "; whole seconds", Known: computed}.Run(t)
	}
	jumps := open(t, "gpx_car_netherlands_1hz.gpx")
	outside.Check{ID: "planning P26", Name: "fastest from fix to fix, a receiver that jumps", Unit: "m/s", Got: fastest(jumps), Want: 54.72, Tol: 0.01, Source: source, Known: computed}.Run(t)
	believed := 0.0 // where a place is held and then makes up for it, it is left out; the greatest speed logged by another way is 28.02 m/s
	for _, p := range cleaned(jumps).pieces {
		for i := 1; i < len(p); i++ {
			believed = math.Max(believed, math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y)/(p[i].t-p[i-1].t))
		}
	}
	outside.Check{ID: "planning P26", Name: "fastest between places that are believed", Unit: "m/s", Got: believed, Want: 28.02, Tol: 0.5, Source: "open recording; greatest speed logged by Doppler", Known: computed}.Run(t)
	car := open(t, "csv_car_imu50hz_gps10hz_2014-03-26.csv", "yaw,speed,course", "yaw,speed_km_h,course")
	outside.Check{ID: "planning P27", Name: "way of a car by its fixes", Unit: "m", Got: length(car), Want: 1763.35, Tol: 0.01, Source: source, Known: computed}.Run(t)
	along, across := radii(45)
	outside.Check{ID: "planning P2", Name: "radius along the meridian at 45 degrees", Unit: "m", Got: along, Want: 6367381.8156, Tol: 1e-3, Source: "WGS 84, NGA.STND.0036", Known: computed}.Run(t)
	outside.Check{ID: "planning P2", Name: "radius across it", Unit: "m", Got: across, Want: 6388838.2901, Tol: 1e-3, Source: "WGS 84, NGA.STND.0036", Known: computed}.Run(t)
	east, north := Step(Fix{Lat: 45, Lon: 7}, Fix{Lat: 45.005, Lon: 7.008})
	outside.Check{ID: "planning P12", Name: "flat step, whole, against the geodesic", Unit: "m", Got: math.Hypot(east, north), Want: 840.594529, Tol: 1e-2, Source: "GeographicLib", Known: computed}.Run(t)
}

// told says whether a note holds some words.
func told(notes []string, words string) bool {
	return strings.Contains(strings.Join(notes, "\n"), words)
}

func TestBadRecordings(t *testing.T) {
	const head = `<gpx version="1.1"><trk><trkseg>`
	for name, c := range map[string]struct{ file, text, want string }{
		"neither":      {"x.doc", "", "ends neither"},
		"empty":        {"x.gpx", "", "0 places"},
		"cut off":      {"x.gpx", head + `<trkpt lat="45" lon="7"><ele>3`, "line 1"},
		"north of it":  {"x.gpx", head + `<trkpt lat="95" lon="7"/></trkseg></trk></gpx>`, "up to 90"},
		"no number":    {"x.gpx", head + `<trkpt lat="NaN" lon="7"/></trkseg></trk></gpx>`, "up to 90"},
		"endless":      {"x.gpx", head + `<trkpt lat="Inf" lon="7"/></trkseg></trk></gpx>`, "up to 90"},
		"two places":   {"x.gpx", head + `<trkpt lat="45" lon="7"/><trkpt lat="45.1" lon="7"/></trkseg></trk></gpx>`, "2 places"},
		"no columns":   {"x.csv", "a,b\n1,2\n", "latitude and longitude"},
		"empty table":  {"x.csv", "", "latitude and longitude"},
		"a quote":      {"x.csv", "lat,lon\n\"45,7\n", "line 2"},
		"not a number": {"x.csv", "lat,lon\n45,east\n", "line 2"},
		"mostly bad":   {"x.csv", "lat,lon\n45,7\n45.1,7\n45.2,7\n45.3,7\nx,7\ny,7\n", "line 6"},
	} {
		if _, err := Read(c.file, strings.NewReader(c.text)); !errors.Is(err, ErrRecording) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Files as they come are read to the same four fixes.
func TestFilesAsTheyCome(t *testing.T) {
	utf16 := func(text string, order unicode.Endianness, mark unicode.BOMPolicy) string {
		b, err := unicode.UTF16(order, mark).NewEncoder().Bytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	latin, err := charmap.ISO8859_1.NewEncoder().Bytes([]byte("Rennstrecke: Grüner Hügel\nlatitude;longitude;time (s);speed (km/h);Höhe\n47,1;9,1;0;36,0;500\n47,1001;9,1;1;36,0;501\n47,1002;9,1;2;36,0;502\n47,1003;9,1;3;36,0;503\n"))
	if err != nil {
		t.Fatal(err)
	}
	const plain = "lat,lon,time_s,speed_km_h,ele\n47.1,9.1,0,36,500\n47.1001,9.1,1,36,501\n47.1002,9.1,2,36,502\n47.1003,9.1,3,36,503\n"
	gpx := `<?xml version="1.0" encoding="ISO-8859-1"?><gpx version="1.0"><trk><name>H` + "\xfc" + `gel</name><trkseg>`
	for i := range 4 {
		gpx += fmt.Sprintf(`<trkpt lat="47.100%d" lon="9.1"><ele>%d</ele><time>2026-05-03T10:00:0%dZ</time><speed>10</speed></trkpt>`, i, 500+i, i)
	}
	whole := gpx + `</trkseg></trk></gpx>`
	route := strings.NewReplacer("trkseg>", "x>", "trkpt", "rtept", "trk>", "rte>", "<x>", "", "</x>", "").Replace(whole)
	for name, c := range map[string]struct{ file, text, note string }{
		"plain":                      {"x.csv", plain, ""},
		"byte order mark":            {"x.csv", "\ufeff" + plain, ""},
		"latitude (deg)":             {"x.csv", strings.Replace(plain, "lat,lon,time_s,speed_km_h,ele", "Latitude (deg),Longitude (deg),Time (s),Speed (km/h),Altitude (m)", 1), ""},
		"semicolons, decimal commas": {"x.csv", strings.ReplaceAll(strings.ReplaceAll(plain, ",", ";"), ".", ","), ""},
		"tabulators":                 {"x.tsv", strings.ReplaceAll(plain, ",", "\t"), ""},
		"comments before":            {"x.csv", "# a logger, 10 Hz\n# venue,unknown\n\n" + plain, ""},
		"heading in a comment":       {"x.csv", "# " + plain, ""},
		"carriage returns":           {"x.csv", strings.ReplaceAll(plain, "\n", "\r\n"), ""},
		"carriage returns alone":     {"x.csv", strings.ReplaceAll(plain, "\n", "\r"), ""},
		"quoted":                     {"x.csv", strings.ReplaceAll(strings.ReplaceAll("\""+plain, ",", "\",\""), "\n", "\"\n\"") + "\"", ""},
		"ISO-8859-1":                 {"x.csv", string(latin), ""},
		"UTF-16 marked":              {"x.csv", utf16(plain, unicode.LittleEndian, unicode.UseBOM), ""},
		"UTF-16 big end first":       {"x.csv", utf16(plain, unicode.BigEndian, unicode.UseBOM), ""},
		"UTF-16 unmarked":            {"x.csv", utf16(plain, unicode.LittleEndian, unicode.IgnoreBOM), ""},
		"thousandths since 1970":     {"x.csv", strings.NewReplacer("time_s", "timestamp", ",0,", ",1777802400000,", ",1,", ",1777802401000,", ",2,", ",1777802402000,", ",3,", ",1777802403000,").Replace(plain), ""},
		"times of day":               {"x.csv", strings.NewReplacer("time_s", "time", ",0,", ",23:59:59,", ",1,", ",00:00:00,", ",2,", ",00:00:01,", ",3,", ",00:00:02,").Replace(plain), "no zone"},
		"dates without a zone":       {"x.csv", strings.NewReplacer("time_s", "time", ",0,", ",2026-05-03 10:00:00.0,", ",1,", ",2026-05-03 10:00:01.0,", ",2,", ",2026-05-03 10:00:02.0,", ",3,", ",2026-05-03 10:00:03.0,").Replace(plain), "no zone"},
		"one line spoilt":            {"x.csv", plain + "4\x004,9.1\n" + strings.Repeat("\n", 3), "1 line could not be read"},
		"gpx":                        {"x.gpx", whole, ""},
		"gpx in UTF-16":              {"x.gpx", utf16(strings.ReplaceAll(strings.ReplaceAll(whole, "\xfc", "ü"), "ISO-8859-1", "UTF-16"), unicode.LittleEndian, unicode.UseBOM), ""},
		"gpx cut off":                {"x.gpx", gpx + `<trkpt lat="47.1004" lon="9.`, "4 whole places before that are used"},
		"gpx with nought bytes":      {"x.gpx", gpx + "\x00\x00\x00\x00", "breaks off"},
		"gpx without zones":          {"x.gpx", strings.ReplaceAll(whole, "Z</time>", "</time>"), "no zone"},
		"gpx with a route":           {"x.gpx", route, "a route and no track"},
	} {
		log, err := Read(c.file, strings.NewReader(c.text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(log.Fixes) != 4 {
			t.Errorf("%s: %d fixes", name, len(log.Fixes))
			continue
		}
		for i, f := range log.Fixes {
			if math.Abs(f.Lat-47.1-1e-4*float64(i)) > 1e-9 || f.Lon != 9.1 || math.Abs(f.Time-float64(i)) > 1e-9 || math.Abs(f.Speed-10) > 1e-9 || f.Height != float64(500+i) {
				t.Errorf("%s: fix %d is %+v", name, i, f)
			}
		}
		if c.note == "" && len(log.Notes) > 0 || c.note != "" && !told(log.Notes, c.note) {
			t.Errorf("%s: notes %q", name, log.Notes)
		}
	}
}

// Heights, speeds and times that are endless or beyond the earth were not logged.
func TestNumbersThatCannotBe(t *testing.T) {
	log, err := Read("x.csv", strings.NewReader("lat,lon,ele,speed_m_s,time_s\n47,9,Inf,NaN,0\n47.1,9,-Inf,Inf,1\n47.2,9,1e300,-3,2\n47.3,9,NaN,1e9,Inf\n47.4,9,1e999,1e999,1e300\n"))
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range log.Fixes {
		if !math.IsNaN(f.Height) || !math.IsNaN(f.Speed) || i < 3 == math.IsNaN(f.Time) {
			t.Errorf("fix %d: %+v", i, f)
		}
	}
}

// Speeds in an unknown unit are not used, and that is said.
func TestSpeedWithoutUnit(t *testing.T) {
	log, err := Read("x.csv", strings.NewReader("lat,lon,speed\n47,9,3\n47.1,9,4\n47.2,9,5\n"))
	if err != nil || !math.IsNaN(log.Fixes[0].Speed) || !told(log.Notes, "unit of its speeds") {
		t.Errorf("%+v, %v", log, err)
	}
}

// Whatever is read: an error, or fixes that are on the earth.
func FuzzRead(f *testing.F) {
	f.Add(true, `<gpx version="1.1"><trk><trkseg><trkpt lat="45" lon="7"><ele>3</ele><time>2020-01-01T00:00:00Z</time></trkpt><trkpt lat="45.1" lon="7"/><trkpt lat="45.2" lon="7"/></trkseg></trk></gpx>`)
	f.Add(false, "lat,lon,elevation.m,timer.s\n45,7,3,0\n45.1,7,3,1\n45.2,7,,2\n")
	f.Add(false, "\ufeff# x\nLatitude (deg);Longitude (deg);time\n45,1;7;2026-05-03 10:00:00\n45,2;7;10:00:01\n45,3;7;\n")
	f.Fuzz(func(t *testing.T, xml bool, text string) {
		name := "x.csv"
		if xml {
			name = "x.gpx"
		}
		log, err := Read(name, strings.NewReader(text))
		if err != nil {
			if !errors.Is(err, ErrRecording) {
				t.Errorf("%v", err)
			}
			return
		}
		for _, p := range log.Fixes {
			if !(math.Abs(p.Lat) <= 90 && math.Abs(p.Lon) <= 180) || math.IsInf(p.Height, 0) || math.IsInf(p.Speed, 0) || math.IsInf(p.Time, 0) {
				t.Errorf("a fix %+v", p)
			}
		}
		if n := length(log.Fixes); !(n >= 0) || math.IsInf(n, 0) {
			t.Errorf("a way of %g m", n)
		}
	})
}

// length is the way along all fixes [m], noise and all.
func length(fixes []Fix) float64 {
	sum := 0.0
	for i := 1; i < len(fixes); i++ {
		sum += apart(fixes[i-1], fixes[i])
	}
	return sum
}

// fastest is the greatest speed from fix to fix [m/s]; 0 without times.
func fastest(fixes []Fix) float64 {
	v := 0.0
	for i := 1; i < len(fixes); i++ {
		if dt := fixes[i].Time - fixes[i-1].Time; dt > 0 {
			v = math.Max(v, apart(fixes[i-1], fixes[i])/dt)
		}
	}
	return v
}
