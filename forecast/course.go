package forecast

import (
	"fmt"
	"io"
	"math"

	"shakedown/lap"
	"shakedown/recording"
)

// Ride is a course that somebody has ridden and logged.
type Ride struct {
	course *lap.Course
	doubt  []*lap.Course // the same, smoothed over less and over more
	notes  []string
	Laps   []float64 // [s] that the laps of the logged ride took; empty without times or for one lap only
	Taken  float64   // [s] that the lap took which the course is made of; 0 without times
	Way    []float64 // [m] along that lap, and
	Speed  []float64 // [m/s] ridden there; empty without times
}

// fastestRide is a speed that no off-road machine reaches [m/s]: places that could only be reached faster are jumps of the receiver.
const fastestRide = 60.0

// smoothed is over how much less and more of the way a ride is smoothed to see how much that matters [-].
var smoothed = [2]float64{2.0 / 3, 1.5}

// ReadRide reads a recording, GPX or CSV by its name's ending, and makes a course of it: of the quickest of its laps, or of all of it when it never
// comes back. The error is recording.ErrRecording or ErrNoLap.
func ReadRide(name string, r io.Reader) (*Ride, error) {
	fixes, err := recording.Read(name, r)
	if err != nil {
		return nil, err
	}
	points, jumped := recording.Plane(fixes, fastestRide)
	ride := &Ride{}
	if laps := recording.Laps(points); len(laps) > 0 {
		best := recording.Quickest(laps)
		points = best.Points
		for _, l := range laps {
			if l.Time > 0 {
				ride.Laps = append(ride.Laps, l.Time)
			}
		}
		words := "the first is ridden"
		if best.Time > 0 {
			words = fmt.Sprintf("the quickest, of %.2f s, is ridden", best.Time)
		}
		ride.notes = append(ride.notes, fmt.Sprintf("the logged ride holds %d whole laps; %s", len(laps), words))
	}
	var x, y, z []float64
	for _, p := range points {
		x, y, z = append(x, p.X), append(y, p.Y), append(z, p.Z)
	}
	var of *lap.Recorded
	if ride.course, of, err = lap.NewRecordedCourse(x, y, z, courseStep, lap.Smooths); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoLap, err)
	}
	for _, share := range smoothed {
		if c, _, err := lap.NewRecordedCourse(x, y, z, courseStep, share*lap.Smooths); err == nil {
			ride.doubt = append(ride.doubt, c)
		}
	}
	ride.pace(points)
	if !of.Closed {
		ride.notes = append(ride.notes, fmt.Sprintf("the ride ends %.0f m from where it begins: it is ridden as if its end led into its start", of.Gap))
	}
	if jumped > 0 {
		ride.notes = append(ride.notes, fmt.Sprintf("%d places were left out: the receiver jumped", jumped))
	}
	ride.notes = append(ride.notes, fmt.Sprintf("the places scatter by %.1f m about the smooth line, so curvatures are sure to ±%.3f 1/m (95 %%): corners wider than %.0f m are hardly told from straights; banks, whoops and jumps are not in a recording", of.Noise, 2*of.Unsure, 1/math.Max(1e-4, 2*of.Unsure)))
	return ride, nil
}

// paceOver is over how much of the way to either side a ridden speed is taken [m].
const paceOver = 8.0

// pace works out how fast the points were ridden.
func (r *Ride) pace(points []recording.Point) {
	n := len(points)
	way := make([]float64, n)
	for i := range points {
		if !(points[i].Time >= 0) {
			return
		}
		if i > 0 {
			way[i] = way[i-1] + math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y)
		}
	}
	r.Taken = points[n-1].Time - points[0].Time
	a, b := 0, 0
	for i := range points {
		for a < i && way[i]-way[a+1] >= paceOver {
			a++
		}
		for b < n-1 && (b <= i || way[b]-way[i] < paceOver) {
			b++
		}
		if dt := points[b].Time - points[a].Time; dt > 0 {
			r.Way, r.Speed = append(r.Way, way[i]), append(r.Speed, (way[b]-way[a])/dt)
		}
	}
}

// of is the ride's course; nil for the sheet's.
func (r *Ride) of() *lap.Course {
	if r == nil {
		return nil
	}
	return r.course
}

// courseOf is the sheet's course.
func courseOf(in *inputs) (*lap.Course, error) {
	list := sectionsOf(in)
	if len(in.missing) > 0 {
		return nil, nil
	}
	return lap.NewCourse(list, courseStep)
}

// sectionsOf are the sections of the sheet's course.
func sectionsOf(in *inputs) []lap.Section {
	var list []lap.Section
	n := in.build.Len("track.sections")
	if n == 0 {
		in.miss("track.sections[0].straight")
	}
	for i := range n {
		at := func(name string) string { return entry("track.sections", i, name) }
		given := func(name string) bool { _, ok := in.build.Values[at(name)]; return ok }
		var s lap.Section
		if given("name") {
			s.Name = in.text(at("name"))
		}
		switch {
		case given("corner"):
			angle := in.num(at("angle"))
			s.Length, s.Turn = in.num(at("radius"))*angle, angle
			if in.text(at("corner")) == "right" {
				s.Turn = -angle
			}
		case given("whoops"):
			s.Length, s.Whoops = in.num(at("whoops")), lap.Whoops{Pitch: in.num(at("pitch")), Height: in.num(at("height"))}
		case given("jump.take_off"):
			s.Length = in.num(at("jump.gap"))
			s.Jump = lap.Jump{TakeOff: in.num(at("jump.take_off")), Landing: in.num(at("jump.landing"))}
		default:
			s.Length = in.num(at("straight"))
		}
		if given("bank") {
			s.Bank = in.num(at("bank"))
		}
		if given("climb") {
			s.Climb = in.num(at("climb"))
		}
		if given("crest") {
			s.Bend = 1 / in.num(at("crest"))
		}
		if given("dip") {
			s.Bend = -1 / in.num(at("dip"))
		}
		if s.Name == "" {
			s.Name = fmt.Sprintf("%d %s", i+1, kindOf(s, in.build.Text(at("corner"))))
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
