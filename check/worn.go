package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/quantity"
)

// Where makers take worn parts out, beside what new ones have. The makers' manuals named differ, so the lower of two is
// a note and the higher a caution; the machine's own manual wins.
const (
	ringGapUsed    = 0.5e-3 // [m] top ring: 0.39 to 0.6 mm on bores of 58 to 98 mm, new 0.10 to 0.35
	ringGapWorn    = 0.6e-3
	pistonUsed     = 1.35e-3 // [-] of the bore: the most that a new piston gets, forged for racing; cast ones 0.2 to 0.8
	pistonWorn     = 2.3e-3  // [-] the highest used limit; most lie from 1.1
	leakUsed       = 0.43e-6 // [m2] like 10 % through a restrictor of 0.040 in
	leakWorn       = 0.72e-6 // [m2] like 25 %
	camLateUsed    = 2 * math.Pi / 180
	camLateWorn    = 6 * math.Pi / 180
	printedRingGap = "makers fit top rings with 0.10 to 0.35 mm and take them out at 0.39 to 0.6 mm"
)

// wornRing judges a top ring's gap [m] that is wide; the gap that the bore needs is never too wide.
func wornRing(c *Context, r *report, gap, needed float64) {
	severity := figure.Note
	switch {
	case less(math.Max(ringGapWorn, needed), gap):
		severity = figure.Caution
	case less(math.Max(ringGapUsed, needed), gap):
	default:
		return
	}
	counts := "The torque curve takes usual gaps: read the leak-down, and the curve goes by it."
	if c.Build.Given("engine.leak_down.lost") {
		counts = "The leak-down counts what it lets by; the gap is not added."
	}
	r.add(severity, "Look at ring and bore, and at the machine's manual. "+counts, []string{"engine.clearances.ring_gap"},
		"The top ring's gap of %s is wide: %s.", c.show(gap, "mm"), printedRingGap)
}

func pistonClearance(c *Context, r *report) {
	gap, ok1 := c.number("engine.clearances.piston")
	bore, ok2 := c.number("engine.bore")
	if !ok1 || !ok2 {
		return
	}
	severity, limit := figure.Note, "more than a new piston gets"
	switch {
	case less(pistonWorn*bore, gap):
		severity, limit = figure.Caution, "beyond every maker's used limit"
	case less(pistonUsed*bore, gap):
	default:
		return
	}
	r.add(severity, fmt.Sprintf("Rebore for the next piston, or fit one that leaves less than %s.", c.show(pistonUsed*bore, "mm")), []string{"engine.clearances.piston", "engine.bore"},
		"The piston's clearance of %s is %s (new up to %s, used limits up to %s in this bore). It costs next to no torque; it rattles, wears the rings' faces and breaks skirts.", c.show(gap, "mm"), limit, c.show(pistonUsed*bore, "mm"), c.show(pistonWorn*bore, "mm"))
}

func leakDown(c *Context, r *report) {
	area, ok := c.figure(r, "engine.leak_area")
	if !ok {
		return
	}
	const lost = "engine.leak_down.lost"
	share, _ := c.number(lost)
	if slices.ContainsFunc([]string{"engine.bore", "engine.clearances.ring_gap", "engine.clearances.piston"}, c.Build.Changed) && !c.Build.Changed(lost) {
		r.add(figure.Caution, "Set "+lost+" in the part that brings piston and rings: 5 % until it is read again.", []string{lost, area.ID},
			"The leak-down of %s was read before bore, piston or rings were changed; the torque curve of this build still goes by it.", percent(share))
	}
	severity, means := figure.Note, "new engines show up to 5 %, used ones 10 to 20 %"
	switch {
	case less(leakWorn, area.Value):
		severity, means = figure.Caution, "beyond 25 % an engine is taken apart"
	case less(leakUsed, area.Value):
	default:
		return
	}
	r.add(severity, "Listen where it leaves: at the exhaust the exhaust valve, at the carburettor the intake valve, at the breather the rings; bubbles in the coolant, the gasket.", []string{lost, area.ID},
		"The leak-down of %s is a hole of %s; through a restrictor of 0.040 in, %s.", percent(share), c.shown(area), means)
}

func camLate(c *Context, r *report) {
	const path = "engine.cam.late"
	late, ok := c.number(path)
	if !ok || late == 0 {
		return
	}
	if slices.ContainsFunc([]string{"engine.cam.intake.opens", "engine.cam.intake.closes", "engine.cam.exhaust.opens", "engine.cam.exhaust.closes"}, c.measured) {
		r.add(figure.Caution, "Take "+path+" out, or give the events that the cam's maker prints.", []string{path},
			"Events that were read with a degree wheel on this engine hold what the cam is late; it is counted twice.")
	}
	severity, means, way := figure.Note, "a stretched chain makes 2 to 6 deg", "late"
	switch {
	case less(camLateWorn, math.Abs(late)):
		severity, means = figure.Caution, "a stretched chain makes 2 to 6 deg; more is often a tooth of the sprocket"
	case less(camLateUsed, math.Abs(late)):
	default:
		return
	}
	if late < 0 {
		way, means = "early", "a chain does not make that; look for a tooth of the sprocket"
	}
	r.add(severity, "Look at chain, tensioner and timing marks, then read the events again.", []string{path}, "The cam stands %s of the crank %s: %s.", c.show(math.Abs(late), "deg"), way, means)
}

// measured says that the owner's measurement stands behind an input.
func (c *Context) measured(path string) bool {
	return slices.ContainsFunc(c.Build.Values[path].Terms, func(i int) bool { return c.Build.Project.Atoms[i].Q.Known == quantity.Measured })
}

func crankingGauge(c *Context, r *report) {
	const path = "engine.cranking.measured"
	read, ok := c.number(path)
	if !ok {
		return
	}
	f, ok := c.figure(r, "engine.cranking_pressure")
	if !ok || !c.Build.Changed(path) && f.Change != nil && f.Change.Value != 0 {
		return // it was read on the engine as found, and this build is another
	}
	span := c.show(f.Low, f.Unit.Symbol) + " to " + c.show(f.High, f.Unit.Symbol)
	switch {
	case less(read, f.Low):
		causes := []string{"throttle not held open", "a decompressor at work", "less cranking speed or thinner air than given", "intake valve clearance set too tight"}
		if !c.Build.Given("engine.leak_down.lost") {
			causes = append(causes, "a leak: read the leak-down")
		}
		if !c.Build.Given("engine.cam.late") {
			causes = append(causes, "a cam that is late: check it with a degree wheel")
		}
		r.add(figure.Caution, "It may be: "+strings.Join(causes, "; ")+". A few drops of oil on the piston that raise it point to the rings.", []string{path, f.ID},
			"The gauge showed %s; this engine as described shows %s. A low reading is a sign and is not counted as a leak of its own.", c.show(read, f.Unit.Symbol), span)
	case less(f.High, read):
		r.add(figure.Note, "Measure the chamber and the deck: a skimmed head or cylinder, a thinner gasket, carbon, or oil in the cylinder raise it.", []string{path, f.ID},
			"The gauge showed %s; this engine as described shows %s.", c.show(read, f.Unit.Symbol), span)
	}
}
