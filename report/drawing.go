package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"shakedown/quantity"
)

// Drawing is what the side, rear and top view are drawn from, all in metres and radians; ISO 8855 axes with the origin
// on the ground below the rear axle.
type Drawing struct {
	Wheelbase, Rake, ForkOffset            float64 // [m] [rad] [m]
	FrontRadius, RearRadius                float64 // [m] loaded
	FrontRim, RearRim, FrontWide, RearWide float64 // [m] rim diameters and tyre widths
	Layout                                 string  // three-wheeler, quad or bike
	Fork                                   bool    // a telescopic fork in front
	Track, TrackBefore                     float64 // [m] centre to centre of the rear tyres; 0 for a bike
	TrackFront, TrackFrontBefore           float64 // [m] of the front tyres; 0 with one wheel in front
	Lean, LeanBefore                       float64 // [rad] of a bike in a turn of 0.5 g
	SeatX, SeatZ, PegX, PegZ, BarX, BarZ   float64 // [m]
	TankX, TankZ, Clearance, Stature       float64 // [m] Clearance of the lowest sprung point
	Machine, Laden, LadenBefore            Point   // centres of gravity
	WheelbaseBefore                        float64 // [m]
	FrontWideBefore, FrontRadiusBefore     float64 // [m]
	RearWideBefore, RearRadiusBefore       float64 // [m]
	HangsOff, Shift                        float64 // [m] how far the rider moves into the turn, and the common centre of gravity with him
	Handles                                bool    // what can be moved has handles: the rear track and the rider
	System                                 quantity.System
	Build, Baseline                        string
}

// Point is a place in the side view.
type Point struct {
	X, Z float64 // [m] ahead of the rear axle, above ground
}

// Sizes of one view in pixels, and how much room is left around the machine.
const (
	viewWidth = 470.0
	edge      = 30.0
	below     = 66.0
	above     = 22.0
)

// View is one view of the drawing. All views are equally wide and to one scale.
type View struct {
	Name string
	SVG  template.HTML
}

// Views draws side view, rear view and the view from above, with dimension lines.
func (d Drawing) Views() []View {
	headroom := math.Max(d.SeatZ+0.60*d.Stature, d.BarZ+0.2)
	half := math.Max(d.overTyres(), d.before().overTyres()) / 2
	half = math.Max(half, 0.42)
	if lean := math.Max(d.Lean, d.LeanBefore); lean > 0 {
		half = math.Max(half, 1.15*d.Laden.Z*math.Sin(lean)+0.05)
	}
	scale := (viewWidth - 2*edge) / math.Max(d.Wheelbase+d.FrontRadius+d.RearRadius+0.12, 2*half+0.08)
	ground := above + headroom*scale
	above := math.Max(math.Max(d.overTyres(), d.before().overTyres()), 0.84)
	view := func(name string, height, origin, ground float64, draw func(p *pen)) View {
		p := &pen{scale: scale, ground: ground, origin: origin}
		role := `role="img"`
		if d.Handles {
			role = `role="group"` // what can be pressed stands in it
		}
		fmt.Fprintf(&p.b, `<svg viewBox="0 0 %.0f %.0f" %s aria-label="%s" class="drawing" data-scale="%.3f">`, viewWidth, height, role, name, scale)
		draw(p)
		p.b.WriteString(`</svg>`)
		return View{name, template.HTML(p.b.String())} // numbers, and text that was escaped
	}
	return []View{
		view("Side view", ground+below, edge+(d.RearRadius+0.06)*scale, ground, d.side),
		view("Rear view", ground+below, viewWidth/2, ground, func(p *pen) { d.rear(p, half) }),
		view("View from above", above*scale+2*edge, edge+(d.RearRadius+0.06)*scale, edge+above/2*scale, func(p *pen) {
			d.top(p)
			bar := 0.5 // [m] half a metre, or twenty inches
			if d.System == quantity.US {
				bar = 0.508
			}
			right, y := p.origin+(d.Wheelbase+d.FrontRadius)*scale, p.ground+above/2*scale+18
			fmt.Fprintf(&p.b, `<g class="dim"><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><text x="%.1f" y="%.1f" text-anchor="end">%s</text></g>`,
				right-bar*scale, y, right, y, right, y-5, d.length(bar)+", one scale for all views")
		}),
	}
}

// before is the baseline's outline, as far as it is drawn.
func (d Drawing) before() Drawing {
	return Drawing{
		Wheelbase: d.WheelbaseBefore, Track: d.TrackBefore, TrackFront: d.TrackFrontBefore, FrontWide: d.FrontWideBefore, FrontRadius: d.FrontRadiusBefore,
		RearWide: d.RearWideBefore, RearRadius: d.RearRadiusBefore, Laden: d.LadenBefore, Lean: d.LeanBefore, Layout: d.Layout,
	}
}

// overTyres is the width over the tyres [m].
func (d Drawing) overTyres() float64 {
	return math.Max(d.Track+d.RearWide, d.TrackFront+d.FrontWide)
}

// sameWheels says that two outlines have their tyres in the same places.
func (d Drawing) sameWheels(o Drawing) bool {
	return d.Track == o.Track && d.TrackFront == o.TrackFront && d.RearWide == o.RearWide && d.RearRadius == o.RearRadius &&
		d.FrontWide == o.FrontWide && d.FrontRadius == o.FrontRadius && d.Wheelbase == o.Wheelbase
}

// length prints a length in the reader's units.
func (d Drawing) length(m float64) string {
	unit := quantity.MustUnit("mm").In(d.System)
	decimals := 0
	if d.System == quantity.US {
		decimals = 1
	}
	return quantity.WithUnit(quantity.Number(unit.FromSI(m), decimals), unit)
}

// pen draws in metres: x to the right from origin, z up from the ground.
type pen struct {
	b              strings.Builder
	scale          float64 // [px/m]
	ground, origin float64 // [px]
}

func (p *pen) at(q Point) (float64, float64) { return p.origin + q.X*p.scale, p.ground - q.Z*p.scale }

func (p *pen) line(class string, points ...Point) {
	p.b.WriteString(`<polyline class="` + class + `" points="`)
	for i, q := range points {
		x, y := p.at(q)
		if i > 0 {
			p.b.WriteByte(' ')
		}
		fmt.Fprintf(&p.b, "%.1f,%.1f", x, y)
	}
	p.b.WriteString(`"/>`)
}

func (p *pen) circle(class string, centre Point, radius float64) {
	x, y := p.at(centre)
	fmt.Fprintf(&p.b, `<circle class="%s" cx="%.1f" cy="%.1f" r="%.1f"/>`, class, x, y, radius*p.scale)
}

func (p *pen) box(class string, left, right, bottom, top, corner float64) {
	x, y := p.at(Point{left, top})
	fmt.Fprintf(&p.b, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f" rx="%.1f"/>`, class, x, y, (right-left)*p.scale, (top-bottom)*p.scale, corner*p.scale)
}

// centre draws the sign for a centre of gravity with its label on one side.
func (p *pen) centre(q Point, label string, left bool) {
	x, y := p.at(q)
	dx, anchor := 10, "start"
	if left {
		dx, anchor = -10, "end"
	}
	fmt.Fprintf(&p.b, `<g class="cg" transform="translate(%.1f,%.1f)"><circle r="6"/><path d="M0 0 L6 0 A6 6 0 0 1 0 6 Z"/><path d="M0 0 L-6 0 A6 6 0 0 1 0 -6 Z"/><text x="%d" y="4" text-anchor="%s">%s</text></g>`,
		x, y, dx, anchor, template.HTMLEscapeString(label))
}

// dimension draws a horizontal dimension line with ticks and its text below the ground.
func (p *pen) dimension(from, to, down float64, label string) {
	x1, _ := p.at(Point{from, 0})
	x2, _ := p.at(Point{to, 0})
	y := p.ground + down
	fmt.Fprintf(&p.b, `<g class="dim"><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><text x="%.1f" y="%.1f" text-anchor="middle">%s</text></g>`,
		x1, y, x2, y, x1, y-6, x1, y+6, x2, y-6, x2, y+6, (x1+x2)/2, y-5, template.HTMLEscapeString(label))
}

// height draws a vertical dimension line from the ground, its text above it.
func (p *pen) height(x, z float64, label string) {
	px, top := p.at(Point{x, z})
	fmt.Fprintf(&p.b, `<g class="dim"><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/><text x="%.1f" y="%.1f" text-anchor="middle">%s</text></g>`,
		px, p.ground, px, top, px-5, top, px+5, top, px, top-5, template.HTMLEscapeString(label))
}

func (p *pen) floor(from, to float64) {
	x1, y := p.at(Point{from, 0})
	x2, _ := p.at(Point{to, 0})
	fmt.Fprintf(&p.b, `<line class="ground" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x1, y, x2, y)
}

// side is the view from the left: the machine runs to the right.
func (d Drawing) side(p *pen) {
	p.b.WriteString(`<g aria-label="Side view">`)
	p.floor(-d.RearRadius-0.06, d.Wheelbase+d.FrontRadius+0.06)
	front, rear := Point{d.Wheelbase, d.FrontRadius}, Point{0, d.RearRadius}
	p.circle("part", rear, d.RearRadius)
	p.circle("thin", rear, d.RearRim/2)
	p.circle("part", front, d.FrontRadius)
	p.circle("thin", front, d.FrontRim/2)

	// The steering axis runs ForkOffset behind the front axle; the fork leg is parallel to it through the axle.
	up := Point{-math.Sin(d.Rake), math.Cos(d.Rake)}
	forward := Point{math.Cos(d.Rake), math.Sin(d.Rake)}
	along := func(from Point, s float64) Point { return Point{from.X + s*up.X, from.Z + s*up.Z} }
	leg := (d.BarZ - 0.10 - front.Z) / up.Z
	axis := Point{front.X - d.ForkOffset*forward.X, front.Z - d.ForkOffset*forward.Z}
	headLow, headTop := along(axis, leg-0.22), along(axis, leg-0.04)
	if d.Fork {
		p.line("part heavy", front, along(front, leg))
		p.line("part heavy", headLow, headTop)
	} else { // a steering column, and arms from the frame to the axle
		p.line("thin", along(front, 0.10), along(front, leg))
		p.line("part heavy", Point{headLow.X - 0.18, front.Z - 0.03}, front)
	}
	p.line("part", along(front, leg), Point{d.BarX + 0.05, d.BarZ - 0.03}, Point{d.BarX, d.BarZ})

	low := math.Max(0.12, d.Clearance)
	pivot := Point{0.36 * d.Wheelbase, low + 0.07}
	nose := Point{headLow.X - 0.20, low}
	p.line("part", headLow, Point{nose.X + 0.04, nose.Z + 0.10}, nose, Point{pivot.X - 0.02, low}, pivot, Point{pivot.X - 0.03, d.SeatZ - 0.13})
	p.line("part", headTop, Point{pivot.X - 0.03, d.SeatZ - 0.13}, Point{d.SeatX - 0.24, d.SeatZ - 0.05})
	p.line("thin", headLow, Point{pivot.X - 0.03, d.SeatZ - 0.13})
	p.line("part heavy", pivot, rear)
	p.line("spring", Point{0.62 * pivot.X, rear.Z + 0.62*(pivot.Z-rear.Z) + 0.02}, Point{pivot.X - 0.03, d.SeatZ - 0.16})
	p.box("thin", pivot.X+0.05, nose.X-0.02, low+0.02, low+0.20, 0.02)                     // crankcase
	p.line("thin", Point{nose.X - 0.20, low + 0.20}, Point{nose.X - 0.17, d.TankZ - 0.17}, // cylinder, leaning forward
		Point{nose.X - 0.04, d.TankZ - 0.19}, Point{nose.X - 0.06, low + 0.20})
	p.line("part", Point{d.SeatX - 0.30, d.SeatZ + 0.02}, Point{d.SeatX - 0.20, d.SeatZ - 0.02}, Point{d.SeatX + 0.12, d.SeatZ - 0.01}, Point{d.TankX - 0.16, d.TankZ + 0.01}) // seat
	p.line("part", Point{d.TankX - 0.17, d.TankZ - 0.06}, Point{d.TankX - 0.16, d.TankZ + 0.03}, Point{d.TankX, d.TankZ + 0.09}, Point{d.TankX + 0.12, d.TankZ + 0.05}, Point{d.TankX + 0.14, d.TankZ - 0.05}, Point{d.TankX - 0.17, d.TankZ - 0.06})
	p.line("part", Point{d.PegX - 0.05, d.PegZ}, Point{d.PegX + 0.05, d.PegZ})
	d.rider(p)
	p.centre(d.Machine, "machine and fuel", false)
	p.centre(d.Laden, "with rider", false)
	p.dimension(0, d.Wheelbase, 26, "wheelbase "+d.length(d.Wheelbase))
	p.dimension(0, d.Laden.X, 50, d.length(d.Laden.X))
	p.height(d.Wheelbase+d.FrontRadius+0.02, d.Laden.Z, d.length(d.Laden.Z))
	p.b.WriteString(`</g>`)
}

// rider sits on the seat with a hand on the bar and a foot on the peg. Limb lengths are shares of the stature after
// Drillis and Contini (1966), as printed in Winter, Biomechanics of Human Movement.
func (d Drawing) rider(p *pen) {
	h := d.Stature
	hip := Point{d.SeatX, d.SeatZ + 0.05*h}
	reach := math.Hypot(d.BarX-hip.X, d.BarZ-hip.Z)
	lean := math.Min(0.5, math.Max(0.08, (reach-0.30*h)/h))
	shoulder := Point{hip.X + 0.288*h*math.Sin(lean), hip.Z + 0.288*h*math.Cos(lean)}
	head := Point{shoulder.X + 0.04*h, shoulder.Z + 0.13*h}
	p.b.WriteString(`<g class="rider">`)
	p.circle("", head, 0.065*h)
	knee := joint(hip, Point{d.PegX, d.PegZ + 0.04}, 0.245*h, 0.285*h, 1)
	elbow := joint(shoulder, Point{d.BarX, d.BarZ}, 0.186*h, 0.200*h, -1)
	p.line("", Point{shoulder.X + 0.02*h, shoulder.Z + 0.06*h}, shoulder, hip, knee, Point{d.PegX, d.PegZ + 0.04}, Point{d.PegX + 0.10, d.PegZ + 0.02})
	p.line("", shoulder, elbow, Point{d.BarX, d.BarZ})
	p.b.WriteString(`</g>`)
}

// joint is the knee or elbow between two ends; side 1 puts it forward and up, -1 down.
func joint(from, to Point, first, second, side float64) Point {
	dx, dz := to.X-from.X, to.Z-from.Z
	span := math.Min(math.Hypot(dx, dz), (first+second)*0.999)
	along := (span*span + first*first - second*second) / (2 * span)
	across := math.Sqrt(math.Max(0, first*first-along*along))
	length := math.Hypot(dx, dz)
	ux, uz := dx/length, dz/length
	return Point{from.X + along*ux - side*across*uz, from.Z + along*uz + side*across*ux}
}

// rear is the view from behind with the tip-over lines: from the centre of gravity to where the line between the front
// and the outer rear contact passes below it. A bike shows its lean in a turn of 0.5 g instead.
func (d Drawing) rear(p *pen, half float64) {
	p.b.WriteString(`<g aria-label="Rear view">`)
	p.floor(-half-0.04, half+0.04)
	before := d.before()
	if !d.sameWheels(before) {
		before.tyres(p, "ghost", before.Track, before.RearWide, before.RearRadius)
	}
	if d.TrackFront > 0 {
		d.tyres(p, "thin", d.TrackFront, d.FrontWide, d.FrontRadius)
	}
	d.tyres(p, "part", d.Track, d.RearWide, d.RearRadius)
	if d.Track > 0 {
		p.line("part heavy", Point{-d.Track / 2, d.RearRadius}, Point{d.Track / 2, d.RearRadius})
	}
	p.box("thin", -0.085, 0.085, math.Max(0.12, d.Clearance), d.SeatZ-0.02, 0.02)
	p.line("part", Point{-0.16, d.SeatZ}, Point{-0.13, d.SeatZ + 0.03}, Point{0.13, d.SeatZ + 0.03}, Point{0.16, d.SeatZ})
	p.line("part", Point{-0.40, d.BarZ}, Point{-0.12, d.BarZ - 0.05}, Point{0.12, d.BarZ - 0.05}, Point{0.40, d.BarZ})
	d.riderBehind(p)
	if d.Baseline != d.Build {
		before.limit(p, "tip ghost")
	}
	d.limit(p, "tip")
	p.centre(Point{0, d.Machine.Z}, "machine and fuel", true)
	p.centre(Point{0, d.Laden.Z}, "with rider", true)
	if d.Track > 0 {
		label := "track " + d.length(d.Track)
		if d.TrackBefore != d.Track {
			label += " (was " + d.length(d.TrackBefore) + ")"
		}
		p.dimension(-d.Track/2, d.Track/2, 26, label)
	}
	if d.Handles && d.Layout != "bike" {
		d.handles(p)
	}
	p.b.WriteString(`</g>`)
}

// handles draws what can be moved by hand or by arrow keys: the right rear tyre, out and in, and the rider, into the
// turn to the left. A page reads path, place and factor from them: a move of one metre changes the input by so much.
func (d Drawing) handles(p *pen) {
	grip := func(id, path, name, now string, at Point, value, low, high, factor float64) {
		x, y := p.at(at)
		fmt.Fprintf(&p.b, `<g class="handle" id="%s" tabindex="0" role="slider" aria-label="%s" aria-valuenow="%.4f" aria-valuetext="%s" aria-valuemin="%g" aria-valuemax="%g" data-path="%s" data-factor="%g" transform="translate(%.1f,%.1f)"><circle r="13" class="reach"/><circle r="7"/><path d="M-4 0H4M-4 0l2.5 -2.5M-4 0l2.5 2.5M4 0l-2.5 -2.5M4 0l-2.5 2.5"/></g>`,
			id, template.HTMLEscapeString(name), value, template.HTMLEscapeString(now), low, high, path, factor, x, y)
	}
	shoulder := d.SeatZ + 0.05*d.Stature + 0.27*d.Stature
	head := Point{-d.HangsOff, shoulder + 0.13*d.Stature}
	p.circle("ghost", head, 0.065*d.Stature)
	p.line("ghost", Point{-d.HangsOff, shoulder + 0.06*d.Stature}, Point{-0.7 * d.HangsOff, d.SeatZ + 0.05*d.Stature}, Point{0, d.SeatZ + 0.03})
	p.line("tip hung", Point{-d.Shift, d.Laden.Z}, Point{d.halfUnder(), 0})
	x, y := p.at(Point{-d.HangsOff, head.Z + 0.10*d.Stature})
	fmt.Fprintf(&p.b, `<g class="dim"><text x="%.1f" y="%.1f" text-anchor="middle">hung off %s</text></g>`, x-6, y, d.length(d.HangsOff))
	grip("move-track", "geometry.track_rear", "Rear track", d.length(d.Track), Point{d.Track / 2, 0.5 * d.RearRadius}, d.Track, 0.3, 2, 2)
	grip("move-rider", "rider.hangs_off", "How far the rider hangs off", d.length(d.HangsOff), head, d.HangsOff, 0, 0.6, -1)
}

// tyres draws the tyres of an axle from behind; one in the middle when it has no track.
func (d Drawing) tyres(p *pen, class string, track, wide, radius float64) {
	sides := []float64{-1, 1}
	if track == 0 {
		sides = []float64{0}
	}
	for _, side := range sides {
		centre := side * track / 2
		p.box(class, centre-wide/2, centre+wide/2, 0, 2*radius, math.Min(0.05, 0.45*wide))
	}
}

// limit is the tip-over line in the plane of the centre of gravity, or a bike's lean.
func (d Drawing) limit(p *pen, class string) {
	if d.Layout == "bike" {
		reach := 1.15 * d.Laden.Z
		p.line(class, Point{0, 0}, Point{reach * math.Sin(d.Lean), reach * math.Cos(d.Lean)})
		return
	}
	p.line(class, Point{0, d.Laden.Z}, Point{d.halfUnder(), 0})
}

// halfUnder is half the width between the tipping axes under the centre of gravity [m].
func (d Drawing) halfUnder() float64 {
	return (d.Track + (d.TrackFront-d.Track)*d.Laden.X/d.Wheelbase) / 2
}

// top is the view from above; the second coordinate runs to the left of the machine: the wheels, the axes over which it
// tips, and the centre of gravity.
func (d Drawing) top(p *pen) {
	p.b.WriteString(`<g aria-label="View from above">`)
	before := d.before()
	if !d.sameWheels(before) {
		before.wheelsAbove(p, "ghost")
	}
	d.wheelsAbove(p, "part")
	axle := math.Max(d.Track, 0.12) / 2
	p.line("part heavy", Point{0, -axle}, Point{0, axle})
	front := math.Max(d.TrackFront, 0.12) / 2
	p.line("part heavy", Point{d.Wheelbase, -front}, Point{d.Wheelbase, front})
	p.line("part", Point{0, 0}, Point{0.36 * d.Wheelbase, 0}, Point{d.Wheelbase, 0})
	p.line("part", Point{d.BarX - 0.06, -0.40}, Point{d.BarX + 0.04, -0.10}, Point{d.BarX + 0.04, 0.10}, Point{d.BarX - 0.06, 0.40})
	p.line("part", Point{d.SeatX - 0.30, -0.10}, Point{d.SeatX + 0.12, -0.13}, Point{d.TankX - 0.16, -0.08}, Point{d.TankX - 0.16, 0.08}, Point{d.SeatX + 0.12, 0.13}, Point{d.SeatX - 0.30, 0.10}, Point{d.SeatX - 0.30, -0.10})
	if d.Layout != "bike" {
		if d.Baseline != d.Build {
			before.axes(p, "tip ghost")
		}
		d.axes(p, "tip")
		p.line("tip", Point{d.Laden.X, 0}, Point{d.Laden.X, -d.halfUnder()})
	}
	p.centre(Point{d.Laden.X, 0}, "with rider", false)
	p.b.WriteString(`</g>`)
}

// wheelsAbove draws the tyres from above.
func (d Drawing) wheelsAbove(p *pen, class string) {
	for _, axle := range []struct{ x, track, wide, radius float64 }{{0, d.Track, d.RearWide, d.RearRadius}, {d.Wheelbase, d.TrackFront, d.FrontWide, d.FrontRadius}} {
		sides := []float64{-1, 1}
		if axle.track == 0 {
			sides = []float64{0}
		}
		for _, side := range sides {
			y := side * axle.track / 2
			p.box(class, axle.x-axle.radius, axle.x+axle.radius, y-axle.wide/2, y+axle.wide/2, math.Min(0.05, 0.45*axle.wide))
		}
	}
}

// axes are the lines on the ground over which it tips.
func (d Drawing) axes(p *pen, class string) {
	for _, side := range []float64{-1, 1} {
		p.line(class, Point{0, side * d.Track / 2}, Point{d.Wheelbase, side * d.TrackFront / 2})
	}
}

func (d Drawing) riderBehind(p *pen) {
	h := d.Stature
	hip := d.SeatZ + 0.05*h
	shoulder := hip + 0.27*h
	p.b.WriteString(`<g class="rider">`)
	p.circle("", Point{0, shoulder + 0.13*h}, 0.065*h)
	p.line("", Point{0, shoulder + 0.06*h}, Point{0, hip})
	p.line("", Point{-0.40, d.BarZ}, Point{-0.27, shoulder - 0.16*h}, Point{-0.11 * h, shoulder}, Point{0.11 * h, shoulder}, Point{0.27, shoulder - 0.16*h}, Point{0.40, d.BarZ})
	p.line("", Point{0, hip}, Point{-0.21, d.SeatZ - 0.04}, Point{-0.19, d.PegZ})
	p.line("", Point{0, hip}, Point{0.21, d.SeatZ - 0.04}, Point{0.19, d.PegZ})
	p.b.WriteString(`</g>`)
}
