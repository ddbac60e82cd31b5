package forecast

import (
	"fmt"
	"math"

	"shakedown/vehicle/axle"
	"shakedown/vehicle/chassis"
	"shakedown/vehicle/suspension"
)

const (
	suspensionTheory = "docs/theory/suspension.md#"
	forkFormula      = "fork: legs x (rate (s + preload) + air column), brought to the vertical by the rake"
	shockFormula     = "shocks: count x (rate (stroke used + preload) + gas x shaft area) / leverage ratio"
)

var suspensionFigures = concat(frontWheel.suspension(forkFormula+"; "+shockFormula), rearWheel.suspension(shockFormula), []definition{
	{id: "suspension.front.air_pressure", only: withFork, detail: true, title: "Air pressure in the fork at full travel", unit: "bar", formula: "polytropic air column, exponent 1.3, above the air outside", source: "polytropic gas", theory: suspensionTheory + "fork", model: polytropicAir,
		compute: func(in *inputs) (float64, error) {
			f, err := fork(in)
			if err != nil {
				return 0, err
			}
			return f.AirPressureGauge(f.Travel)
		}},
	{id: "suspension.front.bend_load", only: both(withFork, given("suspension.front.tube_yield")), detail: true, title: "Load at the front wheel that bends the fork tubes", unit: "N", formula: "legs x yield x section modulus of a tube / (axle to clamp x sin rake)", source: beamTheory, theory: suspensionTheory + "fork-tubes", model: beam,
		compute: func(in *inputs) (float64, error) {
			strength := axle.SectionStrength(in.num("suspension.front.tube_outer"), in.num("suspension.front.tube_bore"), in.num("suspension.front.tube_yield"))
			arm := in.num("suspension.front.axle_to_clamp") * math.Sin(rake(in))
			return in.num("suspension.front.legs") * strength / arm, nil
		}},
})

func (w wheel) suspension(formula string) []definition {
	source := "statics; polytropic gas; " + "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16"
	title := func(text string) string { return fmt.Sprintf("%s, %s", text, string(w)) }
	return []definition{
		{id: w.path("suspension.%s.wheel_rate"), only: w.isSprung, title: title("Wheel rate at rider sag"), unit: "N/mm", formula: "slope of the vertical force at rider sag; " + formula, source: source, theory: suspensionTheory + "wheel-rate", model: springsOnly, compute: w.wheelRate},
		{id: w.path("suspension.%s.rider_sag"), only: w.isSprung, title: title("Rider sag"), unit: "mm", formula: "travel from full extension at which the springs carry axle load - unsprung weight; " + formula, source: source, theory: suspensionTheory + "sag", model: springsOnly,
			compute: func(in *inputs) (float64, error) { return w.sagOf(in, laden(in)) }},
		{id: w.path("suspension.%s.free_sag"), only: w.isSprung, title: title("Free sag"), unit: "mm", formula: "as rider sag, without rider, tank full", source: source, theory: suspensionTheory + "sag", model: springsOnly,
			compute: func(in *inputs) (float64, error) { return w.sagOf(in, fuelled(in)) }},
		{id: w.path("suspension.%s.frequency"), only: w.isSprung, title: title("Natural frequency with rider"), unit: "Hz", formula: "(1/2 pi) sqrt(wheel rate / sprung mass of the axle)", source: "single mass on a spring", theory: suspensionTheory + "frequency", model: springsOnly,
			compute: func(in *inputs) (float64, error) {
				rate, err := w.wheelRate(in)
				if err != nil {
					return 0, err
				}
				return suspension.Frequency(rate, w.sprungLoad(in, laden(in))/chassis.Gravity), nil
			}},
		{id: w.path("suspension.%s.rate_for_sag"), only: w.isSprung, detail: true, title: title("Spring rate for 30 % rider sag"), unit: "N/mm", formula: "rider sag 30 % of travel with the preload there is; when free sag would leave 7 to 18 %, spring and preload that give both", source: source, theory: suspensionTheory + "sag", model: springsOnly,
			compute: func(in *inputs) (float64, error) { rate, _, err := w.springForSag(in); return rate, err }},
		{id: w.path("suspension.%s.preload_for_sag"), only: w.isSprung, detail: true, title: title("Preload for 30 % rider sag"), unit: "mm", formula: "rider sag 30 % of travel with the preload there is; when free sag would leave 7 to 18 %, spring and preload that give both", source: source, theory: suspensionTheory + "sag", model: springsOnly,
			compute: func(in *inputs) (float64, error) { _, preload, err := w.springForSag(in); return preload, err }},
		{id: w.path("suspension.%s.stroke_needed"), only: w.strokeMatters, detail: true, title: title("Shock stroke that the full travel needs"), unit: "mm", formula: "integral of dz/ratio over the travel", source: definitionOnly, theory: suspensionTheory + "shock", model: definitional,
			compute: func(in *inputs) (float64, error) {
				s, err := w.shock(in)
				if err != nil || len(in.missing) > 0 {
					return 0, err
				}
				return s.Stroke(s.Travel), nil
			}},
		{id: w.path("suspension.%s.spring_left"), only: w.isSprung, detail: true, title: title("Left before the spring goes solid"), unit: "mm", formula: "free - solid - preload - stroke", source: definitionOnly, theory: suspensionTheory + "spring-left", model: definitional, compute: w.springLeft},
	}
}

// sprungLoad is the vertical force that the springs of this end carry [N].
func (w wheel) sprungLoad(in *inputs, b chassis.Body) float64 {
	wheelbase := wheelbase(in)
	front, rear := chassis.AxleLoads(b.Mass, b.X, wheelbase)
	unsprung := in.num(w.path("suspension.unsprung.%s"))
	for i, m := range in.build.Masses {
		if atFront := in.atom(m.X) > wheelbase/2; m.Unsprung && atFront == (w == frontWheel) {
			unsprung += added(in)[i].Mass
		}
	}
	if w == frontWheel {
		return front - unsprung*chassis.Gravity
	}
	return rear - unsprung*chassis.Gravity
}

// springs are what carries this end; it is not to be asked of a solid one.
func (w wheel) springs(in *inputs) (suspension.End, error) {
	if w.hasFork(in) {
		return fork(in)
	}
	return w.shock(in)
}

// rises is how far a wheel of this end rises [m] over a travel as it is measured [m]: along the tubes of a fork.
func (w wheel) rises(in *inputs, travel float64) float64 {
	if w.hasFork(in) {
		return suspension.AlongFork(travel, rake(in))
	}
	return travel
}

// hasFork says that this end has a telescopic fork; else it has shocks on a leverage.
func (w wheel) hasFork(in *inputs) bool {
	return w == frontWheel && in.text("suspension.front.kind") == "telescopic fork"
}

func (w wheel) sag(in *inputs, b chassis.Body) (float64, error) {
	sag, err := w.stands(in, b)
	return sag.Travel, err
}

// stands is how this end stands on its springs.
func (w wheel) stands(in *inputs, b chassis.Body) (suspension.Sag, error) {
	s, err := w.springs(in)
	if err != nil || len(in.missing) > 0 {
		return suspension.Sag{}, err
	}
	return s.Sag(w.sprungLoad(in, b))
}

// sagOf is the sag as a figure [m], which says when an end of the travel cuts it off.
func (w wheel) sagOf(in *inputs, b chassis.Body) (float64, error) {
	sag, err := w.stands(in, b)
	if in.trace != nil {
		switch {
		case sag.Topped:
			in.trace.end = "topped out"
		case sag.Bottomed:
			in.trace.end = "at its stop"
		}
	}
	return sag.Travel, err
}

func (w wheel) wheelRate(in *inputs) (float64, error) {
	sag, err := w.sag(in, laden(in))
	if err != nil || len(in.missing) > 0 {
		return 0, err
	}
	s, err := w.springs(in)
	if err != nil {
		return 0, err
	}
	return s.WheelRate(sag), nil
}

// The sags that a spring is chosen for, as shares of the travel.
const (
	riderSagAimed = 0.30
	freeSagLeast  = 0.07
	freeSagMost   = 0.18
)

// springForSag is the spring that a change would need. First the spring that gives the rider sag aimed at with the
// preload there is; when its free sag would be out of range, the spring and preload that give both at once.
func (w wheel) springForSag(in *inputs) (rate, preload float64, err error) {
	with, without := w.sprungLoad(in, laden(in)), w.sprungLoad(in, fuelled(in))
	s, err := w.springs(in)
	travel, present := in.num(w.path("suspension.%s.travel")), in.num(w.path("suspension.%s.preload"))
	if err != nil || len(in.missing) > 0 {
		return 0, 0, err
	}
	high := riderSagAimed * travel
	rate = s.SpringForceFor(with, high) / (s.Stroke(high) + present)
	free := travel
	for _, low := range []float64{freeSagLeast * travel, freeSagMost * travel} {
		spring := rate * (s.Stroke(low) + present)
		switch needed := s.SpringForceFor(without, low); {
		case low == freeSagLeast*travel && spring > needed, low == freeSagMost*travel && spring < needed:
			free = low
		}
	}
	if free == travel {
		return rate, present, nil
	}
	rate, preload = suspension.SpringThrough(s.Stroke(free), s.SpringForceFor(without, free), s.Stroke(high), s.SpringForceFor(with, high))
	return rate, preload, nil
}

func (w wheel) springLeft(in *inputs) (float64, error) {
	stroke := "suspension.front.travel"
	if !w.hasFork(in) {
		stroke = w.path("suspension.%s.shock_stroke")
	}
	return in.num(w.path("suspension.%s.spring_free")) - in.num(w.path("suspension.%s.spring_solid")) - in.num(w.path("suspension.%s.preload")) - in.num(stroke), nil
}

// fork is the front suspension; its travel and sag are measured along the fork.
func fork(in *inputs) (suspension.Fork, error) {
	air, err := ambient(in)
	return suspension.Fork{
		Legs: in.count("suspension.front.legs"), Rate: in.num("suspension.front.spring_rate"), Preload: in.num("suspension.front.preload"),
		Travel: in.num("suspension.front.travel"), Bore: in.num("suspension.front.tube_bore"), Outer: in.num("suspension.front.tube_outer"),
		AirGap: in.num("suspension.front.oil_air_gap"), Rake: rake(in), Atmosphere: air.pressure,
	}, err
}

// shocks is how many shocks carry this end.
func (w wheel) shocks(in *inputs) int {
	switch {
	case w == frontWheel:
		return in.count("suspension.front.legs")
	case in.text("suspension.rear.kind") == "twin shocks":
		return 2
	}
	return 1
}

// shock is a suspension with shocks; its travel and sag are vertical at the wheel.
func (w wheel) shock(in *inputs) (suspension.Shock, error) {
	list := w.path("suspension.%s.leverage")
	points := make([]suspension.LeveragePoint, in.build.Len(list))
	if len(points) == 0 {
		in.miss(entry(list, 0, "ratio"))
	}
	for i := range points {
		points[i] = suspension.LeveragePoint{Travel: in.num(entry(list, i, "travel")), Ratio: in.num(entry(list, i, "ratio"))}
	}
	s := suspension.Shock{
		Count: w.shocks(in), Rate: in.num(w.path("suspension.%s.spring_rate")), Preload: in.num(w.path("suspension.%s.preload")), GasPressure: in.num(w.path("suspension.%s.gas_pressure")),
		Shaft: in.num(w.path("suspension.%s.shaft")), Leverage: points, Travel: in.num(w.path("suspension.%s.travel")),
	}
	if len(in.missing) > 0 {
		return s, nil
	}
	return s, s.Validate()
}
