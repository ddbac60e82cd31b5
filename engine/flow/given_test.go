package flow

// What the tests of this package need and the program does not.

// Ideal is a gas of one kind with a constant ratio of heats and gas constant [J/(kg K)], as problems with known answers
// use.
func Ideal(ratio, constant float64) *Gas {
	g := &Gas{From: 0, Step: 100}
	for kind := range Kinds {
		g.Constant[kind] = constant
		for k := range tableCells + 1 {
			g.Energy[kind][k] = constant / (ratio - 1) * float64(k) * g.Step
		}
	}
	g.Ready()
	return g
}

// Endless ends the pipe as if it went on for ever with a gas at rest at a pressure [Pa]: no wave comes back.
func (p *Pipe) Endless(s Side, rest float64) {
	v := p.look(s)
	pressure := 0.5 * (v.p + rest + v.z*v.out)
	out := 0.5 * (v.out + (v.p-rest)/v.z)
	density, inner := v.along(pressure)
	p.set(s, v.sign, pressure, out, density, inner, v.y1, v.y2)
}

// Take takes in what flowed out of a pipe's end in its last step.
func (v *Volume) Take(p *Pipe, s Side) error {
	f := &p.ends[s].through
	return v.Add(-f.mass, -f.ene, -f.m1, -f.m2)
}
