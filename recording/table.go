package recording

import (
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Of tables.
const (
	headWithin = 200 // lines in which the heading is looked for
	spoilt     = 0.1 // share of lines without a place that is borne [-]
)

// A column is known by its name in small letters without signs; the unit stands in brackets behind it, or is part of
// the name.
var (
	latNames    = []string{"lat", "latitude", "locationlatitude", "gpslatitude", "gpslat", "positionlat", "poslat", "latdeg", "latitudedeg", "breitengrad", "breite"}
	lonNames    = []string{"lon", "lng", "long", "longitude", "locationlongitude", "gpslongitude", "gpslon", "gpslong", "positionlong", "positionlon", "poslon", "londeg", "longitudedeg", "längengrad", "länge"}
	heightNames = []string{"ele", "elevation", "altitude", "alt", "height", "locationaltitude", "gpsaltitude", "gpsheight", "elevationm", "altitudem", "heightm", "höhe"}
	timeNames   = []string{"times", "timers", "seconds", "timesec", "timeseconds", "elapsedtimes", "millis", "timems", "milliseconds", "time", "timestamp", "utctime", "utc", "datetime", "gpstime", "elapsedtime", "locationtimestampsince1970", "zeit"}
	speedNames  = []string{"speedms", "speedkmh", "speedkph", "speedmph", "speedkn", "locationspeed", "speed", "gpsspeed", "velocity", "groundspeed", "geschwindigkeit"}
)

// Units by what stands in brackets or at the end of a name, as factors to SI.
var (
	lengthUnits = map[string]float64{"": 1, "m": 1, "meter": 1, "metre": 1, "meters": 1, "metres": 1, "ft": 0.3048, "feet": 0.3048}
	timeUnits   = map[string]float64{"s": 1, "sec": 1, "seconds": 1, "ms": 1e-3, "millis": 1e-3, "milliseconds": 1e-3, "min": 60}
	speedUnits  = map[string]float64{"m/s": 1, "ms": 1, "mps": 1, "km/h": 1 / 3.6, "kmh": 1 / 3.6, "kph": 1 / 3.6, "mph": 0.44704, "kn": 1852.0 / 3600, "knots": 1852.0 / 3600, "kt": 1852.0 / 3600}
)

// column is one of a table: where it stands and its unit as the heading gives it.
type column struct {
	at   int // -1 when there is none
	name string
	unit string
}

// named splits a heading into its name, small letters and digits only, and its unit.
func named(heading string) (name, unit string) {
	heading = strings.ToLower(strings.TrimSpace(heading))
	for _, pair := range []string{"()", "[]"} {
		if a, b := strings.IndexByte(heading, pair[0]), strings.LastIndexByte(heading, pair[1]); a >= 0 && b > a {
			unit = strings.TrimSpace(heading[a+1 : b])
			heading = heading[:a] + heading[b+1:]
		}
	}
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 0x7f {
			return r
		}
		return -1
	}, heading), unit
}

// find looks a column up by the first of its names that occurs.
func find(headings []string, names []string) column {
	for _, want := range names {
		for i, h := range headings {
			if name, unit := named(h); name == want {
				return column{i, name, unit}
			}
		}
	}
	return column{at: -1}
}

// cell is the text of a row in a column; "" where there is none.
func (c column) cell(row []string) string {
	if c.at < 0 || c.at >= len(row) {
		return ""
	}
	return strings.TrimSpace(row[c.at])
}

// factor is that of the column's unit, from its brackets or the end of its name; 0 for an unknown one.
func (c column) factor(units map[string]float64, stems ...string) float64 {
	if c.unit != "" {
		return units[c.unit]
	}
	for _, stem := range stems {
		if rest, ok := strings.CutPrefix(c.name, stem); ok {
			if f, ok := units[rest]; ok {
				return f
			}
		}
	}
	return units[""]
}

// cells splits a line; with a semicolon or a tabulator a comma may be that of a number.
func cells(line string, separator rune) ([]string, error) {
	in := csv.NewReader(strings.NewReader(line))
	in.Comma, in.FieldsPerRecord, in.LazyQuotes = separator, -1, true
	return in.Read()
}

// table reads a table with a heading: latitude and longitude, and height, time and speed where they are named with
// their units. Lines before the heading are passed over. Separators are the comma, the semicolon and the tabulator.
func (l *Log) table(text string) error {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	if len(lines) == 1 {
		lines = strings.Split(text, "\r")
	}
	var headings []string
	var separator rune
	var lat, lon column
	head := -1
	for i, line := range lines[:min(len(lines), headWithin)] {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "//") { // a heading may stand in a comment
			line = strings.TrimLeft(line, "#/ ")
		}
		for _, s := range "\t;," {
			if row, err := cells(line, s); err == nil {
				if a, b := find(row, latNames), find(row, lonNames); a.at >= 0 && b.at >= 0 {
					head, headings, separator, lat, lon = i, row, s, a, b
					break
				}
			}
		}
		if head >= 0 {
			break
		}
	}
	if head < 0 {
		first := ""
		if len(lines) > 0 {
			first = lines[0]
		}
		return fmt.Errorf("%w: no line names columns for latitude and longitude, which are expected; the first is %.80q", ErrRecording, first)
	}
	height, tick, fast := find(headings, heightNames), find(headings, timeNames), find(headings, speedNames)
	high := height.factor(lengthUnits, "elevation", "altitude", "height")
	per := tick.factor(timeUnits, "time", "timer", "elapsedtime", "")
	pace := fast.factor(speedUnits, "speed")
	if fast.name == "locationspeed" {
		pace = 1
	}
	if fast.at >= 0 && pace == 0 {
		l.note("the unit of its speeds is not known, so they are not used: call the column speed (km/h) or speed (m/s)")
	}
	var times clock
	var first error
	bad, read := 0, 0
	for i := head + 1; i < len(lines); i++ {
		line := strings.TrimRight(lines[i], "\r")
		if strings.TrimSpace(line) == "" || line[0] == '#' {
			continue
		}
		row, err := cells(line, separator)
		if err == nil && lat.cell(row) == "" && lon.cell(row) == "" { // other sensors log more often
			continue
		}
		read++
		var f Fix
		if err == nil {
			f, err = place(lat.cell(row), lon.cell(row))
		}
		if err != nil {
			if bad++; first == nil {
				first = fmt.Errorf("%w: line %d: %w", ErrRecording, i+1, err)
			}
			continue
		}
		if len(l.Fixes) >= most {
			return fmt.Errorf("%w: line %d: more than %d places; cut the file, or log fewer places a second", ErrRecording, i+1, most)
		}
		f.Height = within(number(height.cell(row))*high, lowest, highest)
		if pace > 0 {
			f.Speed = within(number(fast.cell(row))*pace, 0, quickest)
		}
		if v := number(tick.cell(row)); !math.IsNaN(v) {
			f.Time = within(v, -longestClock/1e-3, longestClock/1e-3)
		} else {
			f.Time = times.read(tick.cell(row))
		}
		l.Fixes = append(l.Fixes, f)
	}
	if first != nil && (float64(bad) > spoilt*float64(read) && bad > 1 || len(l.Fixes) < leastPlaces) {
		return first
	}
	if bad > 0 {
		l.note("%s could not be read and left out", count(bad, "line", "lines"))
	}
	if times.zoneless {
		l.note("its times have no zone: only their differences are used")
	}
	l.scaleTimes(per)
	return nil
}

// scaleTimes counts seconds from the first time on. Where the heading does not give the unit, numbers that are too
// large for seconds since 1970 are thousandths.
func (l *Log) scaleTimes(per float64) {
	at := slices.IndexFunc(l.Fixes, func(f Fix) bool { return !math.IsNaN(f.Time) })
	if at < 0 {
		return
	}
	begin := l.Fixes[at].Time
	if per == 0 {
		if per = 1; math.Abs(begin) > longestClock {
			per = 1e-3
		}
	}
	for i := range l.Fixes {
		l.Fixes[i].Time = (l.Fixes[i].Time - begin) * per
	}
}
