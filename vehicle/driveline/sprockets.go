package driveline

import (
	"errors"
	"math"
)

// Counts are numbers of teeth, both ends included.
type Counts struct{ From, To int }

// Has says whether a number of teeth is one of them.
func (c Counts) Has(teeth int) bool { return teeth >= c.From && teeth <= c.To }

// Made are the sprockets of one end that are made for a size of chain. Usual ones lie on the shelf for off-road
// machines; those of Order are cut to order, or sold for a few models only.
type Made struct{ Usual, Order Counts }

// Sold says how a sprocket is to be had.
type Sold uint8

// How a sprocket is to be had.
const (
	NotMade Sold = iota
	SpecialOrder
	OnTheShelf
)

// String says it as the trade does.
func (s Sold) String() string {
	return [...]string{NotMade: "not offered", SpecialOrder: "special order", OnTheShelf: "usually sold"}[s]
}

// OnShelf says that any dealer has it.
func (s Sold) OnShelf() bool { return s == OnTheShelf }

// Of says how a sprocket of so many teeth is to be had.
func (m Made) Of(teeth int) Sold {
	switch {
	case m.Usual.Has(teeth):
		return OnTheShelf
	case m.Order.Has(teeth):
		return SpecialOrder
	}
	return NotMade
}

// OverPivot is the least distance of the chain's upper run from the swingarm's pivot over the travel [m]: from the
// pivot's centre up to the inner side of the plates, half a pitch inside the pins. Negative where the run passes below
// the pivot. The run is the straight tangent of both pitch circles. The error is that of Growth, or that one sprocket
// lies inside the other. Source: plane geometry; plates one pitch high, ISO 606.
func (s Swingarm) OverPivot(pitch float64, front, rear int) (float64, error) {
	if _, _, err := s.Growth(); err != nil {
		return 0, err
	}
	r1, r2 := PitchDiameter(pitch, front)/2, PitchDiameter(pitch, rear)/2
	low := math.Asin(math.Sin(s.Droop) - s.Travel/s.Arm)
	least := math.Inf(1)
	for i := range pivotSteps + 1 {
		angle := low + (s.Droop-low)*float64(i)/pivotSteps
		c := s.centres(angle)
		sin, cos := math.Sincos(angle)
		ux, uz := (s.AheadX+s.Arm*cos)/c, (s.AheadZ+s.Arm*sin)/c // axle to sprocket
		rise := (r2 - r1) / c                                    // the upper tangent's normal leans forwards by this
		if math.Abs(rise) > 1 {
			return 0, errInside
		}
		flat := math.Sqrt(1 - rise*rise)
		nx, nz := rise*ux-flat*uz, rise*uz+flat*ux
		least = math.Min(least, nx*s.AheadX+nz*s.AheadZ+r1-pitch/2)
	}
	return least, nil
}

// errInside says that there is no run.
var errInside = errors.New("one sprocket lies inside the other; look at pivot, front sprocket and teeth")

// pivotSteps are the places of the travel at which the run is looked at: between them it moves by a hair.
const pivotSteps = 64
