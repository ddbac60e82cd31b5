package lap

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Section is a piece of a course with one character.
type Section struct {
	Name   string
	Length float64 // [m] along the line; a jump's is its gap
	Turn   float64 // [rad] to the left above zero; 0 is straight
	Bank   float64 // [rad] into the corner above zero
	Climb  float64 // [-] rise over length
	Bend   float64 // [1/m] curvature of the ground along the line: above zero over a crest, below in a dip
	Whoops Whoops
	Jump   Jump
}

// Whoops are a row of humps; none without a pitch.
type Whoops struct {
	Pitch  float64 // [m] crest to crest
	Height float64 // [m] crest over trough
}

// Jump is a take-off and a landing; none without a take-off.
type Jump struct {
	TakeOff float64 // [rad] above level
	Landing float64 // [rad] below level
	Gap     float64 // [m] lip to where the landing begins, at the lip's height
}

// Course is a lap cut into steps, struct of arrays. It is only read once made, and may be shared.
type Course struct {
	Names     []string // of the sections
	length    float64  // [m]
	step      []float64
	curvature []float64 // [1/m] of each step, to the left above zero
	bank      []float64 // [rad] into the corner
	slope     []float64 // [rad] up above zero
	bend      []float64 // [1/m] over a crest above zero
	section   []int
	pitch     []float64 // [m] of whoops; 0 for none
	height    []float64 // [m] of whoops
	jump      []*Jump   // of a step that is flown, nil for most
	sharp     []float64 // [1/m] curvatures that occur, without sign, each once, rising
	places    []Place   // where each step begins, of a recorded course; nil where they follow from the curvature
}

// ErrCourse says that a course cannot be ridden as it is given.
var ErrCourse = errors.New("the course cannot be ridden")

// Limits of a course.
const (
	tightest = 1.0 // [m]
	mostStep = 20000
)

// NewCourse cuts sections into steps of about a length [m]. The error names the section and what is wrong.
func NewCourse(sections []Section, about float64) (*Course, error) {
	if !(about > 0) {
		return nil, fmt.Errorf("%w: steps of %g m", ErrCourse, about)
	}
	c := &Course{}
	for i, s := range sections {
		name := s.Name
		if name == "" {
			name = fmt.Sprintf("section %d", i+1)
		}
		if !(s.Length > 0) || math.IsInf(s.Length, 0) {
			return nil, fmt.Errorf("%w: %s has a length of %g m", ErrCourse, name, s.Length)
		}
		k := s.Turn / s.Length
		if math.Abs(k) > 1/tightest || math.IsNaN(k) {
			return nil, fmt.Errorf("%w: %s turns on a radius of %.2g m; %g m is the least", ErrCourse, name, math.Abs(1/k), tightest)
		}
		if !(math.Abs(s.Bend) <= 1/tightest) {
			return nil, fmt.Errorf("%w: %s has a crest or dip of a radius of %.2g m; %g m is the least", ErrCourse, name, math.Abs(1/s.Bend), tightest)
		}
		if math.Abs(s.Bank) > math.Pi/3 || math.Abs(s.Climb) > 1 {
			return nil, fmt.Errorf("%w: %s is too steep", ErrCourse, name)
		}
		n := max(1, int(math.Ceil(s.Length/about)))
		var jump *Jump
		if s.Jump.TakeOff > 0 {
			if n = 1; !(s.Jump.TakeOff < math.Pi/3 && s.Jump.Landing > 0 && s.Jump.Landing < math.Pi/3) {
				return nil, fmt.Errorf("%w: %s takes off at %.3g and lands at %.3g degrees; above 0 and below 60 can be flown", ErrCourse, name, s.Jump.TakeOff*180/math.Pi, s.Jump.Landing*180/math.Pi)
			}
			j := s.Jump
			j.Gap = s.Length
			jump = &j
		}
		if len(c.step)+n > mostStep {
			return nil, fmt.Errorf("%w: more than %d steps; take longer ones", ErrCourse, mostStep)
		}
		for range n {
			c.step, c.curvature, c.bank, c.slope = append(c.step, s.Length/float64(n)), append(c.curvature, k), append(c.bank, s.Bank), append(c.slope, math.Atan(s.Climb))
			c.bend = append(c.bend, s.Bend)
			c.section, c.pitch, c.height, c.jump = append(c.section, i), append(c.pitch, s.Whoops.Pitch), append(c.height, s.Whoops.Height), append(c.jump, jump)
		}
		c.Names = append(c.Names, name)
		c.length += s.Length
	}
	if len(c.step) < 2 {
		return nil, fmt.Errorf("%w: it has no sections", ErrCourse)
	}
	c.sharpen()
	return c, nil
}

// sharpen lists the curvatures that occur.
func (c *Course) sharpen() {
	for _, k := range c.curvature {
		c.sharp = append(c.sharp, math.Abs(k))
	}
	slices.Sort(c.sharp)
	c.sharp = slices.Compact(c.sharp)
}

// Length of the lap [m].
func (c *Course) Length() float64 { return c.length }

// Steps is how many there are.
func (c *Course) Steps() int { return len(c.step) }

// Place is where a step begins on the ground.
type Place struct {
	X, Y    float64 // [m] from the start, x the way it leaves
	Section int
}

// Line is the course as seen from above, a place for each step and one for the end.
func (c *Course) Line() []Place {
	if c.places != nil {
		return c.places
	}
	list := make([]Place, 0, len(c.step)+1)
	x, y, heading := 0.0, 0.0, 0.0
	for i, ds := range c.step {
		list = append(list, Place{x, y, c.section[i]})
		turn := c.curvature[i] * ds
		x += ds * math.Cos(heading+turn/2)
		y += ds * math.Sin(heading+turn/2)
		heading += turn
	}
	return append(list, Place{x, y, c.section[len(c.section)-1]})
}

// Closing is by how much a lap does not close: the turns of all corners [rad] less the nearest whole turn, and the
// climb [m].
func (c *Course) Closing() (turn, climb float64) {
	for i, ds := range c.step {
		turn += c.curvature[i] * ds
		climb += ds * math.Sin(c.slope[i])
	}
	whole := math.Round(turn / (2 * math.Pi))
	if whole == 0 {
		whole = math.Copysign(1, turn)
	}
	return turn - 2*math.Pi*whole, climb
}

// Gap is how far the end of a lap lies from its start, as seen from above [m].
func (c *Course) Gap() float64 {
	line := c.Line()
	end := line[len(line)-1]
	return math.Hypot(end.X-line[0].X, end.Y-line[0].Y)
}

// Step is the length of a step [m].
func (c *Course) Step(i int) float64 { return c.step[i] }
