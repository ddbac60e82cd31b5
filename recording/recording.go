// Package recording reads a ride that a satellite receiver has logged, GPX or a table, and makes of it the smoothed
// line that was ridden, with its laps and with how sure length, curvature and slope are.
//
// Text goes in. Fixes come out, those left out that cannot be, then the line on a plane in metres. It knows no machine
// and no course.
package recording

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Fix is one place of a recording.
type Fix struct {
	Lat, Lon float64 // [deg] WGS 84
	Height   float64 // [m]; not a number when it was not logged
	Time     float64 // [s] since the first fix that has one; not a number when it was not logged
	Speed    float64 // [m/s]; not a number when it was not logged, or in an unknown unit
}

// Log is a recording as it was read.
type Log struct {
	Fixes []Fix
	Notes []string // what was found about the file, for the owner
}

// ErrRecording says what of a recording cannot be read.
var ErrRecording = errors.New("the ride cannot be read")

// MaxBytes is how large a recording is at most that the rooms above read [bytes].
const MaxBytes = 48 << 20

// most is how many fixes are read.
const most = 1_000_000

// leastPlaces are needed for a course.
const leastPlaces = 3

// What is believed of a fix.
const (
	lowest, highest = -500.0, 9000.0 // [m] the shores of the Dead Sea and the highest mountain, rounded outwards
	quickest        = 150.0          // [m/s] logged speed
	longestClock    = 1e11           // [s] seconds since 1970 of any date, rounded up
)

// Read reads a recording by its name's ending: .gpx, or .csv, .tsv or .txt for a table. The text may be UTF-8, UTF-16
// or ISO-8859-1. The error is ErrRecording, with the place.
func Read(name string, r io.Reader) (*Log, error) {
	lower := strings.ToLower(name)
	isGPX := strings.HasSuffix(lower, ".gpx")
	if !isGPX && !strings.HasSuffix(lower, ".csv") && !strings.HasSuffix(lower, ".tsv") && !strings.HasSuffix(lower, ".txt") {
		return nil, fmt.Errorf("%w: %s ends neither in .gpx nor in .csv, .tsv or .txt; let the logger's program write one of these", ErrRecording, name)
	}
	raw, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRecording, err)
	}
	text, err := decoded(raw)
	if err != nil {
		return nil, err
	}
	log := &Log{}
	if isGPX {
		err = log.gpx(text)
	} else {
		err = log.table(text)
	}
	if err != nil {
		return nil, err
	}
	if n := log.places(); n < leastPlaces {
		return nil, fmt.Errorf("%w: %s holds %s; a course needs three places at least", ErrRecording, name, count(n, "place", "places"))
	}
	return log, nil
}

// places counts those that differ from the one before.
func (l *Log) places() int {
	n := 0
	for i, f := range l.Fixes {
		if i == 0 || f.Lat != l.Fixes[i-1].Lat || f.Lon != l.Fixes[i-1].Lon {
			n++
		}
	}
	return n
}

// note keeps what is to be told.
func (l *Log) note(format string, values ...any) {
	l.Notes = append(l.Notes, fmt.Sprintf(format, values...))
}

// count words a number of things.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// unknown is what was not logged.
var unknown = math.NaN()

// within gives a value that lies between two others, and otherwise none.
func within(v, low, high float64) float64 {
	if v >= low && v <= high {
		return v
	}
	return unknown
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

// Step is east and north [m] from one fix to the next, at no height: within a kilometre a few centimetres from the
// geodesic.
func Step(a, b Fix) (east, north float64) {
	middle := (a.Lat + b.Lat) / 2
	along, across := radii(middle)
	const degree = math.Pi / 180
	turn := math.Mod(b.Lon-a.Lon+540, 360) - 180
	return across * math.Cos(middle*degree) * turn * degree, along * (b.Lat - a.Lat) * degree
}

// apart is how far two fixes lie from each other [m].
func apart(a, b Fix) float64 { return math.Hypot(Step(a, b)) }
