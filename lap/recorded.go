package lap

import (
	"fmt"
	"math"
)

// Recorded is a course as a ride was smoothed: in the middle of each of its steps, which are equally long.
type Recorded struct {
	Length    float64   // [m]
	X, Y      []float64 // [m] places
	Curvature []float64 // [1/m] to the left above zero
	Slope     []float64 // [-] rise over way
	Closed    bool      // it ends where it began
}

// sectors into which a recorded course is told.
const sectors = 10

// NewRecordedCourse makes a course of a smoothed ride. The error is ErrCourse.
func NewRecordedCourse(r Recorded) (*Course, error) {
	n := len(r.Curvature)
	if n < 2 || len(r.X) != n || len(r.Y) != n || len(r.Slope) != n || !(r.Length > 0) || math.IsInf(r.Length, 0) {
		return nil, fmt.Errorf("%w: %d steps over %g m", ErrCourse, n, r.Length)
	}
	if n > mostStep {
		return nil, fmt.Errorf("%w: %d steps; %d at most, take longer ones", ErrCourse, n, mostStep)
	}
	c := &Course{length: r.Length}
	for i := range sectors {
		c.Names = append(c.Names, fmt.Sprintf("%.0f to %.0f m", r.Length*float64(i)/sectors, r.Length*float64(i+1)/sectors))
	}
	ds := r.Length / float64(n)
	dx, dy := 0.0, 0.0
	if r.Closed { // what is left between end and start is spread over the lap, so that the drawing closes
		dx, dy = (2*r.X[n-1]-r.X[n-2]-r.X[0])/float64(n), (2*r.Y[n-1]-r.Y[n-2]-r.Y[0])/float64(n)
	}
	for i := range n {
		k, slope := r.Curvature[i], r.Slope[i]
		if !(math.Abs(k) <= 1/tightest) || !(math.Abs(slope) < math.Inf(1)) {
			return nil, fmt.Errorf("%w: %.0f m from its start it turns by %g 1/m on a slope of %g", ErrCourse, ds*float64(i), k, slope)
		}
		section := i * sectors / n
		c.step, c.curvature, c.bank, c.slope = append(c.step, ds), append(c.curvature, k), append(c.bank, 0), append(c.slope, math.Atan(slope))
		c.bend, c.section, c.pitch = append(c.bend, 0), append(c.section, section), append(c.pitch, 0)
		c.height, c.jump = append(c.height, 0), append(c.jump, nil)
		c.places = append(c.places, Place{r.X[i] - dx*float64(i), r.Y[i] - dy*float64(i), section})
	}
	end := c.places[n-1]
	if r.Closed {
		end.X, end.Y = c.places[0].X, c.places[0].Y
	}
	c.places = append(c.places, end)
	c.sharpen()
	return c, nil
}
