// Package recording reads a ride that a satellite receiver has logged, GPX or CSV, and lays it on a plane.
//
// Text goes in; fixes, then metres east and north of the first of them, come out. It knows no machine and no course.
package recording

import (
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Fix is one place of a recording.
type Fix struct {
	Lat, Lon float64 // [deg] WGS 84
	Height   float64 // [m]; not a number when it was not logged
	Time     float64 // [s] since the first fix; not a number when it was not logged
	Speed    float64 // [m/s]; not a number when it was not logged, or in an unknown unit
}

// ErrRecording says what of a recording cannot be read.
var ErrRecording = errors.New("the ride cannot be read")

// most is how many fixes are read.
const most = 500000

// Read reads a recording by its name's ending, .gpx or .csv. The error is ErrRecording, with the place.
func Read(name string, r io.Reader) ([]Fix, error) {
	var fixes []Fix
	var err error
	switch lower := strings.ToLower(name); {
	case strings.HasSuffix(lower, ".gpx"):
		fixes, err = gpx(r)
	case strings.HasSuffix(lower, ".csv"):
		fixes, err = table(r)
	default:
		return nil, fmt.Errorf("%w: %s ends neither in .gpx nor in .csv", ErrRecording, name)
	}
	if err != nil {
		return nil, err
	}
	places := 0
	for i := range fixes {
		if i == 0 || fixes[i].Lat != fixes[i-1].Lat || fixes[i].Lon != fixes[i-1].Lon {
			places++
		}
	}
	if places < 3 {
		return nil, fmt.Errorf("%w: %s holds %d places; a course wants three at least", ErrRecording, name, places)
	}
	return fixes, nil
}

// place checks the numbers of a fix.
func place(lat, lon string) (Fix, error) {
	a, err1 := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	b, err2 := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	if err1 != nil || err2 != nil || !(math.Abs(a) <= 90) || !(math.Abs(b) <= 180) {
		return Fix{}, fmt.Errorf("latitude %.20q and longitude %.20q; degrees up to 90 and 180 are expected", lat, lon)
	}
	return Fix{Lat: a, Lon: b, Height: math.NaN(), Time: math.NaN(), Speed: math.NaN()}, nil
}

// gpx reads the track points of a GPX 1.0 or 1.1 file, all tracks and segments one after the other. Source: topografix GPX 1.1 schema.
func gpx(r io.Reader) ([]Fix, error) {
	d := xml.NewDecoder(r)
	d.Strict = true
	bad := func(what string) error {
		line, column := d.InputPos()
		return fmt.Errorf("%w: line %d, column %d: %s", ErrRecording, line, column, what)
	}
	var fixes []Fix
	var first time.Time
	for {
		token, err := d.Token()
		if err == io.EOF {
			return fixes, nil
		}
		if err != nil {
			return nil, bad(err.Error())
		}
		start, ok := token.(xml.StartElement)
		if !ok || start.Name.Local != "trkpt" {
			continue
		}
		if len(fixes) >= most {
			return nil, bad(fmt.Sprintf("more than %d points; cut it", most))
		}
		var p struct {
			Lat   string `xml:"lat,attr"`
			Lon   string `xml:"lon,attr"`
			Ele   string `xml:"ele"`
			Time  string `xml:"time"`
			Speed string `xml:"speed"`
		}
		if err := d.DecodeElement(&p, &start); err != nil {
			return nil, bad(err.Error())
		}
		f, err := place(p.Lat, p.Lon)
		if err != nil {
			return nil, bad(err.Error())
		}
		if v, err := strconv.ParseFloat(strings.TrimSpace(p.Ele), 64); err == nil {
			f.Height = v
		}
		if v, err := strconv.ParseFloat(strings.TrimSpace(p.Speed), 64); err == nil { // GPX 1.0, m/s
			f.Speed = v
		}
		if at, err := time.Parse(time.RFC3339, strings.TrimSpace(p.Time)); err == nil {
			if first.IsZero() {
				first = at
			}
			f.Time = at.Sub(first).Seconds()
		}
		fixes = append(fixes, f)
	}
}

// column finds a column by one of its usual names.
func column(heads []string, names ...string) int {
	for _, name := range names {
		for i, h := range heads {
			if strings.EqualFold(strings.TrimSpace(h), name) {
				return i
			}
		}
	}
	return -1
}

// table reads a CSV with a head: latitude and longitude, and height, time and speed where they are named with their units.
func table(r io.Reader) ([]Fix, error) {
	in := csv.NewReader(r)
	in.FieldsPerRecord = -1
	heads, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%w: no head of columns: %w", ErrRecording, err)
	}
	lat, lon := column(heads, "lat", "latitude", "locationLatitude"), column(heads, "lon", "lng", "longitude", "locationLongitude")
	if lat < 0 || lon < 0 {
		return nil, fmt.Errorf("%w: the columns are %.80q; latitude and longitude are expected", ErrRecording, strings.Join(heads, ", "))
	}
	height := column(heads, "ele", "elevation", "elevation.m", "altitude", "locationAltitude", "height_m")
	seconds, millis := column(heads, "timer.s", "time_s", "seconds"), column(heads, "millis", "time_ms")
	fast, kmh := column(heads, "speed_m_s", "locationSpeed"), column(heads, "speed.kmh", "speed_km_h")
	var fixes []Fix
	first := math.NaN()
	for {
		row, err := in.Read()
		if err == io.EOF {
			return fixes, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRecording, err)
		}
		line, _ := in.FieldPos(0)
		cell := func(i int) string {
			if i < 0 || i >= len(row) {
				return ""
			}
			return strings.TrimSpace(row[i])
		}
		if cell(lat) == "" && cell(lon) == "" { // other sensors log more often
			continue
		}
		if len(fixes) >= most {
			return nil, fmt.Errorf("%w: line %d: more than %d places; cut it", ErrRecording, line, most)
		}
		f, err := place(cell(lat), cell(lon))
		if err != nil {
			return nil, fmt.Errorf("%w: line %d: %w", ErrRecording, line, err)
		}
		number := func(i int, factor float64) float64 {
			v, err := strconv.ParseFloat(cell(i), 64)
			if err != nil {
				return math.NaN()
			}
			return v * factor
		}
		f.Height = number(height, 1)
		if f.Speed = number(fast, 1); math.IsNaN(f.Speed) {
			f.Speed = number(kmh, 1/3.6)
		}
		if f.Time = number(seconds, 1); math.IsNaN(f.Time) {
			f.Time = number(millis, 1e-3)
		}
		if math.IsNaN(first) {
			first = f.Time
		}
		f.Time -= first
		fixes = append(fixes, f)
	}
}

// Figure of the earth. Source: NGA.STND.0036, WGS 84.
const (
	axis       = 6378137.0         // [m]
	flattening = 1 / 298.257223563 // [-]
)

// radii are those of curvature at a latitude [deg], along the meridian and across it [m].
func radii(lat float64) (along, across float64) {
	e2 := flattening * (2 - flattening)
	s := math.Sin(lat * math.Pi / 180)
	w := math.Sqrt(1 - e2*s*s)
	return axis * (1 - e2) / (w * w * w), axis / w
}

// Step is east and north [m] from one fix to the next, at no height: within a kilometre a few centimetres from the geodesic.
func Step(a, b Fix) (east, north float64) {
	middle := (a.Lat + b.Lat) / 2
	along, across := radii(middle)
	const degree = math.Pi / 180
	turn := math.Mod(b.Lon-a.Lon+540, 360) - 180
	return across * math.Cos(middle*degree) * turn * degree, along * (b.Lat - a.Lat) * degree
}

// Length is the way along all fixes [m].
func Length(fixes []Fix) float64 {
	sum := 0.0
	for i := 1; i < len(fixes); i++ {
		sum += math.Hypot(Step(fixes[i-1], fixes[i]))
	}
	return sum
}

// Fastest is the greatest speed from fix to fix [m/s]; 0 without times.
func Fastest(fixes []Fix) float64 {
	v := 0.0
	for i := 1; i < len(fixes); i++ {
		if dt := fixes[i].Time - fixes[i-1].Time; dt > 0 {
			v = math.Max(v, math.Hypot(Step(fixes[i-1], fixes[i]))/dt)
		}
	}
	return v
}

// Point is a place on the plane.
type Point struct {
	X, Y, Z float64 // [m] east, north of the first fix, and its height, 0 where none was logged
	Time    float64 // [s] since the first fix; not a number when it was not logged
}

// stands is a logged speed below which a receiver only wanders about its place [m/s].
const stands = 0.3

// Plane lays the fixes on a plane through the first. Fixes that could only be reached faster than a speed [m/s] from the last good one
// are left out, for receivers jump; it says how many. Without times none can be told. Fixes of a receiver that stands are left out too.
func Plane(fixes []Fix, fastest float64) (points []Point, jumped int) {
	last := fixes[0]
	x, y, height := 0.0, 0.0, 0.0
	for _, f := range fixes { // places before the first height are taken to lie as high, not at none
		if !math.IsNaN(f.Height) {
			height = f.Height
			break
		}
	}
	add := func(f Fix) {
		if !math.IsNaN(f.Height) {
			height = f.Height
		}
		points = append(points, Point{x, y, height, f.Time})
	}
	moving := slices.ContainsFunc(fixes, func(f Fix) bool { return f.Speed >= stands }) // else the logger does not know speeds
	add(last)
	for _, f := range fixes[1:] {
		east, north := Step(last, f)
		if east == 0 && north == 0 || moving && f.Speed < stands {
			continue
		}
		if dt := f.Time - last.Time; dt > 0 && math.Hypot(east, north) > fastest*dt {
			jumped++
			continue
		}
		x, y, last = x+east, y+north, f
		add(f)
	}
	return points, jumped
}
