package torque

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"shakedown/engine"
	"shakedown/forecast/ranges"
	"shakedown/machine"
)

// standIn is the doubt that stands in for all others of a torque curve until its spread is worked out.
var standIn = ranges.NewDoubt("the torque on a dynamometer")

// Until a curve's spread is known its torque may be off by trusted, as a share of itself with 95 %: no model of this
// kind is trusted further before a dynamometer has measured the engine; of that, trustedApart is what two builds do not
// share, and trustedSpeed how far off the speed of a peak may be, for a stand-in that scales all torque leaves peaks
// where they are: what was worked out for the invented examples (speeds 2 to 9 %). All by judgement.
const (
	trusted      = 0.10
	trustedApart = 0.04
	trustedSpeed = 0.08
)

// modelDoubts are those of the engine's model, by name.
var modelDoubts = func() map[string]ranges.Doubt {
	list := map[string]ranges.Doubt{}
	for _, name := range slices.Sorted(maps.Keys(engine.Doubts())) {
		list[name] = ranges.NewDoubt(name)
	}
	return list
}()

// Sure is the torque curve of a build with what is known of how sure it is. With its inputs moved it is value + slopes
// x moves, so that one range runs through the curve, its peaks and all that is computed with it.
type Sure struct {
	Curve *Curve
	rough bool // its spread is not known: the stand-in is moved
	terms []sureTerm
}

// sureTerm is what one standard uncertainty of an atom moves the torque by, at each point of the curve.
type sureTerm struct {
	atom   int
	doubt  ranges.Doubt
	model  bool
	torque []float64 // [Nm]
}

// NewSure is for a curve of a build and its spread; nil when that is not known.
func NewSure(b *machine.Build, c *Curve, s *Spread) *Sure {
	if c == nil {
		return nil
	}
	out := &Sure{Curve: c, rough: s == nil}
	if s == nil {
		return out
	}
	byKey := map[string]int{}
	for i := range b.Project.Atoms {
		a := &b.Project.Atoms[i]
		if a.Q.Half > 0 {
			byKey[atomKey(a)] = i
		}
	}
	for _, t := range s.Terms {
		term := sureTerm{torque: make([]float64, len(c.Points))}
		if doubt, ok := modelDoubts[t.Name]; ok && t.Key == modelKey(t.Name) {
			term.doubt, term.model = doubt, true
		} else if term.atom, ok = byKey[t.Key]; !ok {
			continue // another sheet's
		}
		for i, p := range c.Points {
			term.torque[i] = s.at(p.Speed, func(k int) float64 {
				if k < len(t.Torque) {
					return t.Torque[k]
				}
				return 0
			})
		}
		out.terms = append(out.terms, term)
	}
	return out
}

// Apart is how far two rough curves may be off on their own, beside what they share, as a share of the torque [-] with
// 95 %; 0 for one whose spread is known.
func (s *Sure) Apart() float64 {
	if s.rough {
		return trustedApart
	}
	return 0
}

// ApartSpeed is how far off the speed of a rough curve's peak may be, as a share of it [-] with 95 %; 0 for one whose
// spread is known.
func (s *Sure) ApartSpeed() float64 {
	if s.rough {
		return trustedSpeed
	}
	return 0
}

// Of is the curve with the inputs moved. What moves it is noted as read.
func (s *Sure) Of(in *ranges.Inputs) *Curve {
	if s == nil {
		return nil
	}
	if s.rough {
		half := trusted
		if s.Curve.Template {
			half = s.Curve.Half
		}
		if moved := in.Doubt(standIn); moved != 0 {
			return s.Curve.scaled(1 + moved*half/ranges.Coverage)
		}
		return s.Curve
	}
	var by []float64
	for i := range s.terms {
		t := &s.terms[i]
		var moved float64
		if t.model {
			moved = in.Doubt(t.doubt)
		} else {
			moved = in.Move(t.atom)
		}
		if moved == 0 {
			continue
		}
		if by == nil {
			by = make([]float64, len(s.Curve.Points))
		}
		for k, d := range t.torque {
			by[k] += moved * d
		}
	}
	if by == nil {
		return s.Curve
	}
	return s.Curve.plus(by)
}

// Peaked is the curve with the inputs moved and its peaks found again.
func (s *Sure) Peaked(in *ranges.Inputs) *Curve {
	c := s.Of(in)
	if c != s.Curve {
		c.peaks()
	}
	return c
}

// Scaled is the curve with its torque times a factor, with the same doubts.
func (s *Sure) Scaled(factor float64) *Sure {
	k := *s
	k.Curve = s.Curve.scaled(factor)
	return &k
}

// scaled is the curve with its torque times a factor; losses and fuel stay.
func (c *Curve) scaled(factor float64) *Curve {
	by := make([]float64, len(c.Points))
	for i, p := range c.Points {
		by[i] = (factor - 1) * p.Torque
	}
	return c.plus(by)
}

// plus is the curve with torque added at each point [Nm]; losses, fuel and the peaks told of it stay.
func (c *Curve) plus(by []float64) *Curve {
	k := *c
	k.Points = slices.Clone(c.Points)
	for i := range k.Points {
		p := &k.Points[i]
		p.Torque += by[i]
		p.Power = p.Torque * p.Speed * RPM / 1000
	}
	return &k
}

// peaks finds the peaks of the points, and the speeds between which it pulls.
func (c *Curve) peaks() {
	if len(c.Points) == 0 {
		return
	}
	points := make([]engine.Point, len(c.Points))
	for i, p := range c.Points {
		points[i] = engine.Point{Speed: p.Speed * RPM, Torque: p.Torque, Power: 1000 * p.Power, Converged: p.Converged}
	}
	torque, power := engine.Peaks(points)
	c.Torque = Peak{torque.Speed / RPM, torque.Torque, endOf(c.Points, torque.Speed/RPM)}
	c.Power = Peak{power.Speed / RPM, power.Power / 1000, endOf(c.Points, power.Speed/RPM)}
	c.From, c.To = span(c.Points, 0.9*c.Torque.Value, math.Abs(c.Torque.Speed))
}

// atomKey is the same in two builds when it is the same number that somebody wrote; modelKey that of a doubt of the
// model.
func atomKey(a *machine.Atom) string {
	return fmt.Sprintf("%s %x %x %s", a.Path, math.Float64bits(a.Q.Value), math.Float64bits(a.Q.Half), a.Origin.Part)
}

func modelKey(name string) string { return "model " + name }
