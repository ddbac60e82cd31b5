package track

import (
	"context"
	"fmt"
	"io"
	"math"

	"shakedown/forecast/ranges"
	"shakedown/lap"
	"shakedown/recording"
)

// Ride is a course that somebody has ridden and logged.
type Ride struct {
	course *lap.Course
	doubt  [][2]*lap.Course // pairs of others that would fit the recording as well, one to either side
	notes  []string
	OneWay bool      // it never comes back to where it began
	Laps   []float64 // [s] that the laps of the logged ride took; empty without times or for one lap only
	Taken  float64   // [s] that the lap took which the course is made of; 0 without times
	Way    []float64 // [m] along that lap, and
	Speed  []float64 // [m/s] ridden there; empty without times
}

// longestCourse is the most steps that a recorded course has: a longer one has longer steps.
const longestCourse = 20000

// ReadRide reads a recording, GPX or a table by its name's ending, and makes a course of it: of the quickest of its
// laps, or of all of it when it never comes back. The error is recording.ErrRecording, recording.ErrRough,
// recording.ErrLong, ErrNoLap or the context's.
func ReadRide(ctx context.Context, name string, r io.Reader) (*Ride, error) {
	log, err := recording.Read(name, r)
	if err != nil {
		return nil, err
	}
	line, err := recording.Course(ctx, log, courseStep, longestCourse)
	if err != nil {
		return nil, err
	}
	ride := &Ride{OneWay: !line.Closed}
	of := lap.Recorded{Length: line.Length, X: line.X, Y: line.Y, Curvature: line.Curvature, Slope: line.Slope, Closed: line.Closed}
	if ride.course, err = lap.NewRecordedCourse(of); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	for _, d := range line.Drawn {
		var pair [2]*lap.Course
		for side, sign := range [2]float64{1, -1} {
			other := lap.Recorded{Length: line.Length + sign*(d.Length-line.Length), X: line.X, Y: line.Y, Closed: line.Closed}
			for i := range d.Curvature {
				other.Curvature = append(other.Curvature, within(line.Curvature[i]+sign*(d.Curvature[i]-line.Curvature[i]), recording.Tightest))
				other.Slope = append(other.Slope, within(line.Slope[i]+sign*(d.Slope[i]-line.Slope[i]), recording.Steepest))
			}
			pair[side], _ = lap.NewRecordedCourse(other)
		}
		if pair[0] != nil && pair[1] != nil {
			ride.doubt = append(ride.doubt, pair)
		}
	}
	for _, l := range line.Laps {
		if l.Time > 0 {
			ride.Laps = append(ride.Laps, l.Time)
		}
	}
	if line.Taken > 0 {
		ride.Taken = line.Taken
		for i, v := range line.Speed {
			ride.Way, ride.Speed = append(ride.Way, line.Length*(float64(i)+0.5)/float64(len(line.Speed))), append(ride.Speed, v)
		}
	}
	ride.notes = line.Words()
	return ride, nil
}

// within is a number cut to a size.
func within(v, most float64) float64 { return math.Max(-most, math.Min(most, v)) }

// of is the ride's course; nil for the sheet's.
func (r *Ride) of() *lap.Course {
	if r == nil {
		return nil
	}
	return r.course
}

// courseOf is the sheet's course.
func courseOf(in *ranges.Inputs) (*lap.Course, error) {
	list := sectionsOf(in)
	if len(in.Missing) > 0 {
		return nil, nil
	}
	return lap.NewCourse(list, courseStep)
}

// sectionsOf are the sections of the sheet's course.
func sectionsOf(in *ranges.Inputs) []lap.Section {
	var list []lap.Section
	n := in.Build.Len("track.sections")
	if n == 0 {
		in.Miss("track.sections[0].straight")
	}
	for i := range n {
		at := func(name string) string { return ranges.Entry("track.sections", i, name) }
		given := func(name string) bool { _, ok := in.Build.Values[at(name)]; return ok }
		var s lap.Section
		if given("name") {
			s.Name = in.Text(at("name"))
		}
		switch {
		case given("corner"):
			angle := in.Num(at("angle"))
			s.Length, s.Turn = in.Num(at("radius"))*angle, angle
			if in.Text(at("corner")) == "right" {
				s.Turn = -angle
			}
		case given("whoops"):
			s.Length, s.Whoops = in.Num(at("whoops")), lap.Whoops{Pitch: in.Num(at("pitch")), Height: in.Num(at("height"))}
		case given("jump.take_off"):
			s.Length = in.Num(at("jump.gap"))
			s.Jump = lap.Jump{TakeOff: in.Num(at("jump.take_off")), Landing: in.Num(at("jump.landing"))}
		default:
			s.Length = in.Num(at("straight"))
		}
		if given("bank") {
			s.Bank = in.Num(at("bank"))
		}
		if given("climb") {
			s.Climb = in.Num(at("climb"))
		}
		if given("crest") {
			s.Bend = 1 / in.Num(at("crest"))
		}
		if given("dip") {
			s.Bend = -1 / in.Num(at("dip"))
		}
		if s.Name == "" {
			s.Name = fmt.Sprintf("%d %s", i+1, kindOf(s, in.Build.Text(at("corner"))))
		}
		list = append(list, s)
	}
	return list
}

func kindOf(s lap.Section, corner string) string {
	switch {
	case s.Turn != 0:
		return corner
	case s.Whoops.Pitch > 0:
		return "whoops"
	case s.Jump.TakeOff > 0:
		return "jump"
	}
	return "straight"
}
