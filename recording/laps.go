package recording

import (
	"math"
	"slices"
)

// Lap is a piece of a ride from a line across the course back to it.
type Lap struct {
	Points []Point // the first and the last lie on the line
	Time   float64 // [s]; not a number without times
	Length float64 // [m]
}

// Of laps: how near the line is passed, at least how long they are, and how far from the usual one they may be.
const (
	passes   = 20.0  // [m]
	shortest = 100.0 // [m]
	unlike   = 0.15  // [-] of the middle length
	mostly   = 0.3   // [-] of the ride that its laps make up at least
)

// tries are the shares of the way at which a line is laid across the ride, the likeliest first.
var tries = []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8}

// Laps cuts a ride into its laps, in order, at the line that most laps cross of some that are laid across it. Laps whose length is unlike that of the
// others are left out: a way back to the pits, a short cut. A ride that never comes back to itself, or does so in passing, has none.
func Laps(points []Point) []Lap {
	if len(points) < 5 {
		return nil
	}
	way := make([]float64, len(points))
	for i := 1; i < len(points); i++ {
		way[i] = way[i-1] + math.Hypot(points[i].X-points[i-1].X, points[i].Y-points[i-1].Y)
	}
	var best []Lap
	for _, share := range tries {
		if laps := lapsAcross(points, way, share*way[len(way)-1]); len(laps) > len(best) {
			best = laps
		}
	}
	sum := 0.0
	for _, l := range best {
		sum += l.Length
	}
	if sum < mostly*way[len(way)-1] {
		return nil // a turn on the way, not a course that is lapped
	}
	return best
}

// lapsAcross cuts a ride at a line across it at so much of the way [m].
func lapsAcross(points []Point, way []float64, far float64) []Lap {
	middle := 0
	for way[middle] < far {
		middle++
	}
	at := points[middle]
	a, b := points[max(0, middle-1)], points[min(len(points)-1, middle+1)]
	ahead := math.Hypot(b.X-a.X, b.Y-a.Y)
	if ahead == 0 {
		return nil
	}
	east, north := (b.X-a.X)/ahead, (b.Y-a.Y)/ahead
	past := func(p Point) float64 { return (p.X-at.X)*east + (p.Y-at.Y)*north }
	type crossing struct {
		after int // index of the point after the line
		place Point
		way   float64
	}
	var lines []crossing
	for i := 1; i < len(points); i++ {
		p, q := points[i-1], points[i]
		before, after := past(p), past(q)
		if !(before <= 0 && after > 0) {
			continue
		}
		f := -before / (after - before)
		on := Point{p.X + f*(q.X-p.X), p.Y + f*(q.Y-p.Y), p.Z + f*(q.Z-p.Z), p.Time + f*(q.Time-p.Time)}
		if math.Hypot(on.X-at.X, on.Y-at.Y) > passes {
			continue
		}
		c := crossing{i, on, way[i-1] + f*(way[i]-way[i-1])}
		if len(lines) > 0 && c.way-lines[len(lines)-1].way < shortest {
			continue
		}
		lines = append(lines, c)
	}
	var laps []Lap
	var lengths []float64
	for i := 1; i < len(lines); i++ {
		from, to := lines[i-1], lines[i]
		l := Lap{Points: []Point{from.place}, Time: to.place.Time - from.place.Time, Length: to.way - from.way}
		if !(l.Time > 0) { // a clock that was set meanwhile
			l.Time = math.NaN()
		}
		l.Points = append(append(l.Points, points[from.after:to.after]...), to.place)
		laps, lengths = append(laps, l), append(lengths, l.Length)
	}
	if len(laps) == 0 {
		return nil
	}
	slices.Sort(lengths)
	usual := lengths[len(lengths)/2]
	return slices.DeleteFunc(laps, func(l Lap) bool { return math.Abs(l.Length-usual) > unlike*usual })
}

// Quickest is the lap of the least time, or the first when none is timed.
func Quickest(laps []Lap) Lap {
	best := laps[0]
	for _, l := range laps[1:] {
		if l.Time < best.Time || math.IsNaN(best.Time) && !math.IsNaN(l.Time) {
			best = l
		}
	}
	return best
}
