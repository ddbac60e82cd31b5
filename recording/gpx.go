package recording

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
)

// point is a place of a GPX file. Source: topografix GPX 1.0 and 1.1 schemas; 1.1 has no speed.
type point struct {
	Lat   string `xml:"lat,attr"`
	Lon   string `xml:"lon,attr"`
	Ele   string `xml:"ele"`
	Time  string `xml:"time"`
	Speed string `xml:"speed"` // [m/s] GPX 1.0
}

// gpx reads the points of all tracks of a GPX file, one after the other, or those of its routes where there is no
// track. A file that breaks off keeps its whole points.
func (l *Log) gpx(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil } // it is UTF-8 by now, whatever its head says
	at := func(what string) error {
		line, column := d.InputPos()
		return fmt.Errorf("%w: line %d, column %d: %s", ErrRecording, line, column, what)
	}
	var route []Fix
	var times clock
	var broke error
	ended := false
	for broke == nil {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			broke = at(err.Error())
			break
		}
		if end, ok := token.(xml.EndElement); ok && end.Name.Local == "gpx" {
			ended = true
			continue
		}
		start, ok := token.(xml.StartElement)
		if !ok || start.Name.Local != "trkpt" && start.Name.Local != "rtept" {
			continue
		}
		if len(l.Fixes)+len(route) >= most {
			return at(fmt.Sprintf("more than %d places; cut the file, or log fewer places a second", most))
		}
		var p point
		if err := d.DecodeElement(&p, &start); err != nil {
			broke = at(err.Error())
			break
		}
		f, err := place(p.Lat, p.Lon)
		if err != nil {
			return at(err.Error())
		}
		f.Height = within(number(p.Ele), lowest, highest)
		f.Speed = within(number(p.Speed), 0, quickest)
		f.Time = times.read(p.Time)
		if start.Name.Local == "rtept" {
			route = append(route, f)
		} else {
			l.Fixes = append(l.Fixes, f)
		}
	}
	if len(l.Fixes) == 0 && len(route) > 0 {
		l.Fixes = route
		l.note("the file holds a route and no track: its places may have been planned, not ridden")
	}
	if broke != nil && !ended {
		if l.places() < leastPlaces {
			return broke
		}
		line, _ := d.InputPos()
		l.note("the file breaks off in line %d, as when a battery runs empty: the %d whole places before that are used", line, len(l.Fixes))
	}
	if times.zoneless {
		l.note("its times have no zone: only their differences are used")
	}
	return nil
}
