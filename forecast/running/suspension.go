package running

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/vehicle/axle"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/suspension"
)

const (
	suspensionTheory = "docs/theory/suspension.md#"
	forkFormula      = "fork: legs x (rate (s + preload) + air column), brought to the vertical by the rake"
	shockFormula     = "shocks: count x (rate (stroke used + preload) + gas x shaft area) / leverage ratio"
)

var suspensionFigures = slices.Concat(FrontWheel.suspension(forkFormula+"; "+shockFormula), RearWheel.suspension(shockFormula), []ranges.Definition{
	{ID: "suspension.front.air_pressure", Only: withFork, Detail: true, Title: "Air pressure in the fork at full travel", Unit: "bar", Formula: "polytropic air column, exponent 1.3, above the air outside", Source: "polytropic gas", Theory: suspensionTheory + "fork", Model: polytropicAir,
		Compute: func(in *ranges.Inputs) (float64, error) {
			f, err := Fork(in)
			if err != nil {
				return 0, err
			}
			return f.AirPressureGauge(f.Travel)
		}},
	{ID: "suspension.front.bend_load", Only: ranges.Both(withFork, ranges.Given("suspension.front.tube_yield")), Detail: true, Title: "Load at the front wheel that bends the fork tubes", Unit: "N", Formula: "legs x yield x section modulus of a tube / (axle to clamp x sin rake)", Source: beamTheory, Theory: suspensionTheory + "fork-tubes", Model: ranges.Beam,
		Compute: func(in *ranges.Inputs) (float64, error) {
			strength := axle.SectionStrength(in.Num("suspension.front.tube_outer"), in.Num("suspension.front.tube_bore"), in.Num("suspension.front.tube_yield"))
			arm := in.Num("suspension.front.axle_to_clamp") * math.Sin(rake(in))
			return in.Num("suspension.front.legs") * strength / arm, nil
		}},
})

func (w Wheel) suspension(formula string) []ranges.Definition {
	source := "statics; polytropic gas; " + "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16"
	title := func(text string) string { return fmt.Sprintf("%s, %s", text, string(w)) }
	return []ranges.Definition{
		{ID: w.Path("suspension.%s.wheel_rate"), Only: w.isSprung, Title: title("Wheel rate at rider sag"), Unit: "N/mm", Formula: "slope of the vertical force at rider sag; " + formula, Source: source, Theory: suspensionTheory + "wheel-rate", Model: springsOnly, Compute: w.wheelRate},
		{ID: w.Path("suspension.%s.rider_sag"), Only: w.isSprung, Title: title("Rider sag"), Unit: "mm", Formula: "travel from full extension at which the springs carry axle load - unsprung weight; " + formula, Source: source, Theory: suspensionTheory + "sag", Model: springsOnly,
			Compute: func(in *ranges.Inputs) (float64, error) { return w.sagOf(in, Laden(in)) }},
		{ID: w.Path("suspension.%s.free_sag"), Only: w.isSprung, Title: title("Free sag"), Unit: "mm", Formula: "as rider sag, without rider, tank full", Source: source, Theory: suspensionTheory + "sag", Model: springsOnly,
			Compute: func(in *ranges.Inputs) (float64, error) { return w.sagOf(in, Fuelled(in)) }},
		{ID: w.Path("suspension.%s.frequency"), Only: w.isSprung, Title: title("Natural frequency with rider"), Unit: "Hz", Formula: "(1/2 pi) sqrt(wheel rate / sprung mass of the axle)", Source: "single mass on a spring", Theory: suspensionTheory + "frequency", Model: springsOnly,
			Compute: func(in *ranges.Inputs) (float64, error) {
				rate, err := w.wheelRate(in)
				if err != nil {
					return 0, err
				}
				return suspension.Frequency(rate, w.SprungLoad(in, Laden(in))/chassis.Gravity), nil
			}},
		{ID: w.Path("suspension.%s.rate_for_sag"), Only: w.isSprung, Detail: true, Title: title("Rate of one spring for the usual sag"), Unit: "N/mm", Formula: "rider sag in the middle of its usual range with the preload there is; when free sag would leave its range, spring and preload that give both, the preload no less than nothing; one spring", Source: source, Theory: suspensionTheory + "sag", Model: springsOnly,
			Compute: func(in *ranges.Inputs) (float64, error) { rate, _, err := w.springForSag(in); return rate, err }},
		{ID: w.Path("suspension.%s.preload_for_sag"), Only: w.isSprung, Detail: true, Title: title("Preload for the usual sag"), Unit: "mm", Formula: "rider sag in the middle of its usual range with the preload there is; when free sag would leave its range, spring and preload that give both, the preload no less than nothing; one spring", Source: source, Theory: suspensionTheory + "sag", Model: springsOnly,
			Compute: func(in *ranges.Inputs) (float64, error) { _, preload, err := w.springForSag(in); return preload, err }},
		{ID: w.Path("suspension.%s.stroke_needed"), Only: w.strokeMatters, Detail: true, Title: title("Shock stroke that the full travel needs"), Unit: "mm", Formula: "integral of dz/ratio over the travel", Source: torque.DefinitionOnly, Theory: suspensionTheory + "shock", Model: ranges.Definitional,
			Compute: func(in *ranges.Inputs) (float64, error) {
				s, err := w.shock(in)
				if err != nil || len(in.Missing) > 0 {
					return 0, err
				}
				return s.Stroke(s.Travel), nil
			}},
		{ID: w.Path("suspension.%s.spring_left"), Only: w.isSprung, Detail: true, Title: title("Left before the spring goes solid"), Unit: "mm", Formula: "free - solid - preload - stroke", Source: torque.DefinitionOnly, Theory: suspensionTheory + "spring-left", Model: ranges.Definitional, Compute: w.springLeft},
	}
}

// SprungLoad is the vertical force that the springs of this end carry [N].
func (w Wheel) SprungLoad(in *ranges.Inputs, b chassis.Body) float64 {
	wheelbase := Wheelbase(in)
	front, rear := chassis.AxleLoads(b.Mass, b.X, wheelbase)
	unsprung := in.Num(w.Path("suspension.unsprung.%s"))
	for _, m := range in.Build.Masses {
		if atFront := in.Atom(m.X) > wheelbase/2; m.Unsprung && atFront == (w == FrontWheel) {
			unsprung += in.Atom(m.Mass)
		}
	}
	if w == FrontWheel {
		return front - unsprung*chassis.Gravity
	}
	return rear - unsprung*chassis.Gravity
}

// Springs are what carries this end; it is not to be asked of a solid one.
func (w Wheel) Springs(in *ranges.Inputs) (suspension.End, error) {
	if w.hasFork(in) {
		return Fork(in)
	}
	return w.shock(in)
}

// rises is how far a wheel of this end rises [m] over a travel as it is measured [m]: along the tubes of a fork.
func (w Wheel) rises(in *ranges.Inputs, travel float64) float64 {
	if w.hasFork(in) {
		return suspension.AlongFork(travel, rake(in))
	}
	return travel
}

// hasFork says that this end has a telescopic fork; else it has shocks on a leverage.
func (w Wheel) hasFork(in *ranges.Inputs) bool {
	return w == FrontWheel && in.Text("suspension.front.kind") == "telescopic fork"
}

func (w Wheel) sag(in *ranges.Inputs, b chassis.Body) (float64, error) {
	sag, err := w.stands(in, b)
	return sag.Travel, err
}

// stands is how this end stands on its springs.
func (w Wheel) stands(in *ranges.Inputs, b chassis.Body) (suspension.Sag, error) {
	s, err := w.Springs(in)
	if err != nil || len(in.Missing) > 0 {
		return suspension.Sag{}, err
	}
	return s.Sag(w.SprungLoad(in, b))
}

// sagOf is the sag as a figure [m], which says when an end of the travel cuts it off.
func (w Wheel) sagOf(in *ranges.Inputs, b chassis.Body) (float64, error) {
	sag, err := w.stands(in, b)
	if in.Trace != nil {
		switch {
		case sag.Topped:
			in.Trace.End = "topped out"
		case sag.Bottomed:
			in.Trace.End = "at its stop"
		}
	}
	return sag.Travel, err
}

func (w Wheel) wheelRate(in *ranges.Inputs) (float64, error) {
	sag, err := w.sag(in, Laden(in))
	if err != nil || len(in.Missing) > 0 {
		return 0, err
	}
	s, err := w.Springs(in)
	if err != nil {
		return 0, err
	}
	return s.WheelRate(sag), nil
}

// springForSag is the spring that a change would need. First the spring that gives the rider sag aimed at with the
// preload there is; when its free sag would be out of range, the spring and preload that give both at once. A spring
// cannot pull: where both would need a preload below nothing it is the spring without preload that gives the rider sag.
func (w Wheel) springForSag(in *ranges.Inputs) (rate, preload float64, err error) {
	with, without := w.SprungLoad(in, Laden(in)), w.SprungLoad(in, Fuelled(in))
	s, err := w.Springs(in)
	travel, present := in.Num(w.Path("suspension.%s.travel")), in.Num(w.Path("suspension.%s.preload"))
	if err != nil || len(in.Missing) > 0 {
		return 0, 0, err
	}
	target := w.sagIn(in)
	least, most := target.freeLeast()*travel, target.freeMost()*travel
	high := target.RiderAimed() * travel
	rate = s.SpringForceFor(with, high) / (s.Stroke(high) + present)
	free := travel
	for _, low := range []float64{least, most} {
		spring := rate * (s.Stroke(low) + present)
		switch needed := s.SpringForceFor(without, low); {
		case low == least && spring > needed, low == most && spring < needed:
			free = low
		}
	}
	preload = present
	if free != travel {
		rate, preload = suspension.SpringThrough(s.Stroke(free), s.SpringForceFor(without, free), s.Stroke(high), s.SpringForceFor(with, high))
		if rate <= 0 || preload < 0 {
			rate, preload = s.SpringForceFor(with, high)/s.Stroke(high), 0
		}
	}
	if rate <= 0 {
		return 0, 0, errNoSpring
	}
	return rate, preload, nil
}

// errNoSpring says that a spring has nothing left to carry.
var errNoSpring = errors.New("air or gas alone carries more than this end weighs at the usual sag: no spring gives that; lower the oil or the pressure")

func (w Wheel) springLeft(in *ranges.Inputs) (float64, error) {
	stroke := "suspension.front.travel"
	if !w.hasFork(in) {
		stroke = w.Path("suspension.%s.shock_stroke")
	}
	return in.Num(w.Path("suspension.%s.spring_free")) - in.Num(w.Path("suspension.%s.spring_solid")) - in.Num(w.Path("suspension.%s.preload")) - in.Num(stroke), nil
}

// Fork is the front suspension; its travel and sag are measured along the fork.
func Fork(in *ranges.Inputs) (suspension.Fork, error) {
	air, err := torque.Ambient(in)
	return suspension.Fork{
		Legs: in.Count("suspension.front.legs"), Rate: in.Num("suspension.front.spring_rate"), Preload: in.Num("suspension.front.preload"),
		Travel: in.Num("suspension.front.travel"), Bore: in.Num("suspension.front.tube_bore"), Outer: in.Num("suspension.front.tube_outer"),
		AirGap: in.Num("suspension.front.oil_air_gap"), Rake: rake(in), Atmosphere: air.Pressure,
	}, err
}

// shocks is how many shocks carry this end.
func (w Wheel) shocks(in *ranges.Inputs) int {
	switch {
	case w == FrontWheel:
		return in.Count("suspension.front.legs")
	case in.Text("suspension.rear.kind") == "twin shocks":
		return 2
	}
	return 1
}

// shock is a suspension with shocks; its travel and sag are vertical at the wheel.
func (w Wheel) shock(in *ranges.Inputs) (suspension.Shock, error) {
	list := w.Path("suspension.%s.leverage")
	points := make([]suspension.LeveragePoint, in.Build.Len(list))
	if len(points) == 0 {
		in.Miss(ranges.Entry(list, 0, "ratio"))
	}
	for i := range points {
		points[i] = suspension.LeveragePoint{Travel: in.Num(ranges.Entry(list, i, "travel")), Ratio: in.Num(ranges.Entry(list, i, "ratio"))}
	}
	s := suspension.Shock{
		Count: w.shocks(in), Rate: in.Num(w.Path("suspension.%s.spring_rate")), Preload: in.Num(w.Path("suspension.%s.preload")), GasPressure: in.Num(w.Path("suspension.%s.gas_pressure")),
		Shaft: in.Num(w.Path("suspension.%s.shaft")), Leverage: points, Travel: in.Num(w.Path("suspension.%s.travel")),
	}
	if len(in.Missing) > 0 {
		return s, nil
	}
	return s, s.Validate()
}

// How far the models of these figures may be off although all inputs are right; by judgement from the sources named.
var (
	springsOnly   = ranges.ModelError{Share: 0.05, Private: 0.02, Note: "friction of seals and bushes left out"}
	polytropicAir = ranges.ModelError{Share: 0.05, Private: 0.02, Note: "polytropic exponent 1.3, spring's own volume left out"}
)
