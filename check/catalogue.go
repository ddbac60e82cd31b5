package check

import (
	"shakedown/figure"
	"shakedown/machine"
	"shakedown/quantity"
)

// advertised says that a duration without its checking lift is not used.
func advertised(c *Context, r *report) {
	for _, side := range sides {
		path := "engine.cam." + side + ".advertised_duration"
		if !c.Build.Given(path) {
			continue
		}
		said, _ := c.input(r, path)
		r.add(figure.Note, "Ask the cam's maker for the duration at a lift, such as 1 mm or 0.050 in, and give it with engine.cam.checking_lift and engine.cam.measured_at.", []string{path},
			"The advertised duration of the %s, %s, is not used: nobody says at what lift it was taken, and that alone makes it longer or shorter by thirty degrees.", side, c.show(said, "deg"))
	}
}

// soldRatio says how the ratio of a piston's box is reckoned with.
func soldRatio(c *Context, r *report) {
	if known := c.knownOf(machine.PistonRatio); len(known) == 0 || known[0] != quantity.Claimed {
		return
	}
	ratio, _ := c.input(r, machine.PistonRatio)
	r.add(figure.Note, "Measure the dome with a burette and give engine.chamber.dome in place of it: shakedown help measuring, worksheet dome.", []string{machine.PistonRatio},
		"The piston is sold as %s to 1 and reckoned with as %s to 1 on the machine as found: head uncut, its own stroke, gasket and deck. On assembled engines the box's number is mostly a little high.", c.Build.Values[machine.PistonRatio].Text, quantity.Number(ratio, 2))
}

// regrind says what a smaller base circle moves.
func regrind(c *Context, r *report) {
	const path = "engine.cam.base_circle_radius"
	now, ok := c.number(path)
	if !ok || !c.Build.Values["engine.cam.reground"].Yes {
		return
	}
	was := c.Build.Project.Number(c.Build.Project.Base[path])
	if !less(now, was) {
		return
	}
	r.add(figure.Note, "See that the adjusters reach, that the rocker's pad meets the lobe in its middle, and that the nose was hardened again where the grinder went through its skin.", []string{path, "engine.cam.reground"},
		"The regrind takes %s off the radius of the base circle, so that followers and rockers sit that much lower.", c.show(was-now, "mm"))
}
