package machine

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"shakedown/figure"
	"shakedown/quantity"
)

// Relation is how a typical value follows from other inputs of the machine as found. It is evaluated when the sheet
// leaves the input out; what a part sets does not move it.
type Relation struct {
	Path    string
	From    []string // inputs that it follows from, as far as they are there
	Formula string   // for people; B bore, S stroke, V litres of one cylinder, n speed of the peak of the power in 1/min
	Spread  string   // half-width that holds 95 %
	Source  string
	find    func(g guess) (value, half float64) // [SI unit of the input]
}

// carried is the input that the doubts of its own inputs move too, so that the printed ratio stays what it is.
const carried = "engine.chamber.head"

// guess reads the machine as found for a relation.
type guess struct {
	project *Project
	moved   int     // atom that is moved; -1 for none
	by      float64 // [SI]
}

// num is a number of the machine as found [SI].
func (g guess) num(path string) float64 {
	v := g.project.Base[path]
	sum := g.project.Number(v)
	for k, i := range v.Terms {
		if i == g.moved {
			sum += v.Weight(k) * g.by
		}
	}
	return sum
}

func (g guess) has(path string) bool    { _, ok := g.project.Base[path]; return ok }
func (g guess) text(path string) string { return g.project.Base[path].Text }

// Uses of an engine, as its maker tuned it.
const (
	utility = "utility"
	trail   = "trail"
	race    = "race"
)

// Tunings are what an engine may be tuned for, the mildest first.
var Tunings = []string{utility, trail, race}

// tuned picks by what the engine is tuned for.
func (g guess) tuned(forUtility, forTrail, forRace float64) float64 {
	switch g.text("engine.tuned_for") {
	case utility:
		return forUtility
	case race:
		return forRace
	}
	return forTrail
}

const (
	rpm    = 2 * math.Pi / 60 // [rad/s]
	mm     = 1e-3
	degree = math.Pi / 180
)

// litres are those of one cylinder.
func (g guess) litres() float64 {
	bore := g.num("engine.bore")
	return math.Pi / 4 * bore * bore * g.num("engine.stroke") * 1e3
}

// peakSpeed is the speed of the peak of the power for which carburettor, filter, pipes and silencer are sized [1/min]:
// as printed; else from the mean piston speed that is usual, with half a say for a given redline, so that the engine
// does not follow a redline that its owner only wishes for.
func (g guess) peakSpeed() float64 {
	if g.has("engine.claimed_power_speed") {
		return g.num("engine.claimed_power_speed") / rpm
	}
	usual := 30 * g.tuned(13.5, 16, 18.5) / g.num("engine.stroke")
	if v, ok := g.project.Base["engine.redline"]; ok && !guessed(g.project, v) {
		usual = math.Sqrt(usual * g.num("engine.redline") / rpm / redlineOverPeak)
	}
	return usual
}

// redlineOverPeak is the redline over the speed of the peak of the power [-].
const redlineOverPeak = 1.10

// flowRoot is the root of one cylinder's litres times the speed of the peak [root of l/min], by which the trade sizes
// what the gas passes through.
func (g guess) flowRoot() float64 { return math.Sqrt(g.litres() * g.peakSpeed()) }

// intakeValves is how many intake valves a cylinder has.
func (g guess) intakeValves() float64 { return g.num("engine.head.intake_valve.count") }

// byIntakeValves picks by the intake valves of a cylinder: one, two, three or more.
func (g guess) byIntakeValves(one, two, three float64) float64 {
	switch n := g.intakeValves(); {
	case n < 1.5:
		return one
	case n < 2.5:
		return two
	}
	return three
}

// share is a relation in proportion to another input.
func share(of string, by, half float64) func(guess) (float64, float64) {
	return func(g guess) (float64, float64) { v := g.num(of); return by * v, half * v }
}

// movingMass is what moves at a valve [kg]: valve, retainer, a third of the spring, its part of a rocker.
func movingMass(head string) func(guess) (float64, float64) {
	return func(g guess) (float64, float64) {
		v := 0.120 * math.Pow(g.num(head)/(36*mm), 1.8)
		return v, 0.35 * v
	}
}

// Where the lobes' middles stand from the top dead centre of the overlap, and how long a valve is open at the checking
// lift of 1 mm [rad of the crank].
func (g guess) intakeCentre() float64  { return g.tuned(106, 107, 109) * degree }
func (g guess) exhaustCentre() float64 { return g.tuned(106, 107, 110) * degree }
func (g guess) duration() float64      { return g.tuned(210, 226, 242) * degree }

// swept is that of one cylinder [m3]; others of the chamber follow.
func (g guess) swept() float64 { return g.litres() * 1e-3 }

// headFromRatio is the chamber in the head [m3] that gives a compression ratio with gasket, deck and dome as they are.
func (g guess) headFromRatio(ratio float64) float64 {
	disc := func(path string) float64 { d := g.num(path); return math.Pi / 4 * d * d }
	return g.swept()/(ratio-1) - disc("engine.chamber.gasket_bore")*g.num("engine.chamber.gasket_thickness") - disc("engine.bore")*g.num("engine.chamber.deck") + g.num("engine.chamber.dome")
}

const (
	heads      = "Heywood 1988 table 6.1, from memory; heads printed in makers' manuals, 47 to 101 mm of bore"
	cams       = "timing at 1 mm printed by makers of singles; small utility engines from memory"
	fromMemory = memory
)

// relations are in an order in which each finds what it follows from.
var relations = []Relation{
	{"engine.claimed_ratio", []string{"engine.tuned_for", "engine.head.intake_valve.count"}, "8.5 utility, 9.2 trail, 10.5 race; 0.5 more with more than one intake valve", "0.9", fromMemory,
		func(g guess) (float64, float64) { return g.tuned(8.5, 9.2, 10.5) + g.byIntakeValves(0, 0.5, 0.5), 0.9 }},
	{"engine.redline", []string{"engine.claimed_power_speed", "engine.tuned_for", "engine.stroke"}, "1.10 of the printed speed of the peak of the power, else 60/(2 S) x 15 m/s utility, 18 trail, 20.5 race", "none: the owner chooses it", "mean piston speeds of the trade, from memory",
		func(g guess) (float64, float64) {
			if g.has("engine.claimed_power_speed") {
				return redlineOverPeak * g.num("engine.claimed_power_speed"), 0
			}
			return 30 * g.tuned(15, 18, 20.5) / g.num("engine.stroke") * rpm, 0
		}},
	{"engine.rod_length", []string{"engine.stroke"}, "1.87 S", "0.13 S", fromMemory, share("engine.stroke", 1.87, 0.13)},
	{"engine.piston_mass", []string{"engine.bore", "engine.tuned_for"}, "260 g (B/74 mm)^2.2, race 0.85 of it", "25 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 0.260 * math.Pow(g.num("engine.bore")/(74*mm), 2.2) * g.tuned(1, 1, 0.85)
			return v, 0.25 * v
		}},
	{"engine.ring_mass", []string{"engine.bore"}, "14 g (B/74 mm)^2", "30 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 0.014 * math.Pow(g.num("engine.bore")/(74*mm), 2)
			return v, 0.3 * v
		}},
	{"engine.pin_mass", []string{"engine.piston_mass"}, "0.28 of the piston", "30 %", fromMemory, share("engine.piston_mass", 0.28, 0.084)},
	{"engine.rod_mass.total", []string{"engine.bore"}, "350 g (B/74 mm)^1.8", "30 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 0.350 * math.Pow(g.num("engine.bore")/(74*mm), 1.8)
			return v, 0.3 * v
		}},
	{"engine.flywheel_inertia", []string{"engine.bore", "engine.stroke", "engine.tuned_for"}, "0.006 kg m2 V/0.25; utility 1.2, race 0.7 of it", "40 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 0.006 * g.litres() / 0.25 * g.tuned(1.2, 1, 0.7)
			return v, 0.4 * v
		}},
	{"engine.chamber.gasket_bore", []string{"engine.bore"}, "B + 2 mm", "0.8 mm", "common practice: 1 to 3 mm over the bore",
		func(g guess) (float64, float64) { return g.num("engine.bore") + 2*mm, 0.8 * mm }},
	{"engine.chamber.dome", []string{"engine.bore", "engine.stroke"}, "0.01 V", "0.012 V", fromMemory,
		func(g guess) (float64, float64) { return 0.01 * g.swept(), 0.012 * g.swept() }},
	{carried, []string{"engine.claimed_ratio", "engine.bore", "engine.stroke", "engine.chamber.gasket_bore", "engine.chamber.gasket_thickness", "engine.chamber.deck", "engine.chamber.dome"},
		"V/(ratio - 1) - gasket - deck + dome", "what 0.5 of the ratio does, and what it follows from", "definition of the ratio; a maker prints his ratio ± 0.5",
		func(g guess) (float64, float64) {
			r := g.num("engine.claimed_ratio")
			return g.headFromRatio(r), 0.5 * g.swept() / (r - 1) / (r - 1)
		}},
	{"engine.head.exhaust_valve.count", []string{"engine.head.intake_valve.count"}, "as many as intake valves, two at most", "none", "common practice",
		func(g guess) (float64, float64) { return math.Min(2, g.intakeValves()), 0 }},
	{"engine.head.intake_valve.head", []string{"engine.bore", "engine.head.intake_valve.count", "engine.tuned_for"}, "one valve 0.47 B utility, 0.50 trail, 0.535 race; two 0.38, race 0.40; three 0.29", "0.035 B", heads,
		func(g guess) (float64, float64) {
			b := g.num("engine.bore")
			return b * g.byIntakeValves(g.tuned(0.47, 0.50, 0.535), g.tuned(0.38, 0.38, 0.40), 0.29), 0.035 * b
		}},
	{"engine.head.exhaust_valve.head", []string{"engine.head.intake_valve.head", "engine.head.intake_valve.count"}, "0.845 of the intake valve's head; with three intake valves 1.05", "0.045 of it", heads,
		func(g guess) (float64, float64) {
			d := g.num("engine.head.intake_valve.head")
			return d * g.byIntakeValves(0.845, 0.845, 1.05), 0.045 * d
		}},
	{"engine.cam.intake.lift", []string{"engine.head.intake_valve.head", "engine.head.intake_valve.count", "engine.tuned_for"}, "one valve 0.215 of the head utility, 0.235 trail, 0.25 race; more 0.24, 0.26, 0.30", "0.035 of the head", "lobes and heads printed in makers' manuals; from memory",
		func(g guess) (float64, float64) {
			d := g.num("engine.head.intake_valve.head")
			many := g.tuned(0.24, 0.26, 0.30)
			return d * g.byIntakeValves(g.tuned(0.215, 0.235, 0.25), many, many), 0.035 * d
		}},
	{"engine.cam.exhaust.lift", []string{"engine.cam.intake.lift"}, "0.97 of the intake's", "0.08 of it", fromMemory, share("engine.cam.intake.lift", 0.97, 0.08)},
	{"engine.cam.intake.opens", []string{"engine.tuned_for", "engine.cam.intake.closes"}, "open for 210 deg utility, 226 trail, 242 race at 1 mm about 106, 107, 109 deg", "10 deg", cams,
		func(g guess) (float64, float64) {
			if g.has("engine.cam.intake.closes") {
				return g.num("engine.cam.intake.closes") + math.Pi - 2*g.intakeCentre(), 10 * degree
			}
			return g.duration()/2 - g.intakeCentre(), 10 * degree
		}},
	{"engine.cam.intake.closes", []string{"engine.cam.intake.opens", "engine.tuned_for"}, "as far from the lobe's centre as the opening", "10 deg", cams,
		func(g guess) (float64, float64) {
			return g.num("engine.cam.intake.opens") + 2*g.intakeCentre() - math.Pi, 10 * degree
		}},
	{"engine.cam.exhaust.opens", []string{"engine.tuned_for", "engine.cam.exhaust.closes"}, "open as long as the intake about 106, 107, 110 deg before top dead centre", "10 deg", cams,
		func(g guess) (float64, float64) {
			if g.has("engine.cam.exhaust.closes") {
				return g.num("engine.cam.exhaust.closes") + 2*g.exhaustCentre() - math.Pi, 10 * degree
			}
			return g.duration()/2 + g.exhaustCentre() - math.Pi, 10 * degree
		}},
	{"engine.cam.exhaust.closes", []string{"engine.cam.exhaust.opens", "engine.tuned_for"}, "as far from the lobe's centre as the opening", "10 deg", cams,
		func(g guess) (float64, float64) {
			return g.num("engine.cam.exhaust.opens") + math.Pi - 2*g.exhaustCentre(), 10 * degree
		}},
	{"engine.valve_train.intake.moving_mass", []string{"engine.head.intake_valve.head"}, "120 g (head/36 mm)^1.8, a rocker's part in it", "35 %", fromMemory, movingMass("engine.head.intake_valve.head")},
	{"engine.valve_train.exhaust.moving_mass", []string{"engine.head.exhaust_valve.head"}, "120 g (head/36 mm)^1.8, a rocker's part in it", "35 %", fromMemory, movingMass("engine.head.exhaust_valve.head")},
	{"engine.cam.base_circle_radius", []string{"engine.cam.intake.lift"}, "1.85 of the lift", "25 %", fromMemory, share("engine.cam.intake.lift", 1.85, 0.46)},
	{"engine.cam.follower.radius", []string{"engine.bore"}, "0.57 B", "30 %", fromMemory, share("engine.bore", 0.57, 0.17)},
	{"engine.cam.lobe_width", []string{"engine.bore"}, "0.19 B", "25 %", fromMemory, share("engine.bore", 0.19, 0.048)},
	{"engine.intake.port_diameter", []string{"engine.head.intake_valve.head", "engine.head.intake_valve.count"}, "0.84 of the head; of two or more joined 0.81 x their root", "0.055 of it", "common practice, from memory",
		func(g guess) (float64, float64) {
			v := g.num("engine.head.intake_valve.head") * math.Sqrt(g.intakeValves())
			return g.byIntakeValves(0.84, 0.81, 0.81) * v, 0.055 * v
		}},
	{"engine.intake.port_length", []string{"engine.bore", "engine.head.intake_valve.count"}, "0.85 B, with two intake valves or more 0.95 B", "0.2 B", fromMemory,
		func(g guess) (float64, float64) {
			b := g.num("engine.bore")
			return g.byIntakeValves(0.85, 0.95, 0.95) * b, 0.2 * b
		}},
	{"engine.exhaust.port_length", []string{"engine.bore"}, "0.75 B", "0.2 B", fromMemory, share("engine.bore", 0.75, 0.2)},
	{"engine.intake.runner_length", []string{"engine.bore"}, "1.95 B - 80 mm, 15 mm at least: valve to the carburettor's mouth 2.8 B", "0.35 B", fromMemory,
		func(g guess) (float64, float64) {
			b := g.num("engine.bore")
			return math.Max(15*mm, 1.95*b-80*mm), math.Min(0.35*b, 0.6*math.Max(15*mm, 1.95*b-80*mm))
		}},
	{"engine.intake.carburettor.venturi", []string{"engine.bore", "engine.stroke", "engine.tuned_for", "engine.claimed_power_speed", "engine.redline", "engine.intake.carburettor.count"},
		"0.59 root(V n) mm utility, 0.63 trail, 0.66 race; over the root of the carburettors of a cylinder", "10 %", "the trade's rule with carburettors printed in data sheets; from memory",
		func(g guess) (float64, float64) {
			v := g.tuned(0.59, 0.63, 0.66) * g.flowRoot() * mm * math.Sqrt(g.num("engine.cylinders")/g.num("engine.intake.carburettor.count"))
			return v, 0.1 * v
		}},
	{"engine.intake.airbox_volume", []string{"engine.bore", "engine.stroke"}, "4 l (V/0.25)^0.6", "50 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 4e-3 * math.Pow(g.litres()/0.25, 0.6)
			return v, 0.5 * v
		}},
	{"engine.intake.filter_area", []string{"engine.bore", "engine.stroke", "engine.claimed_power_speed", "engine.redline"}, "0.1 cm2 V n", "40 %", fromMemory,
		func(g guess) (float64, float64) {
			v := 0.1e-4 * g.litres() * g.peakSpeed()
			return v, 0.4 * v
		}},
	{"engine.exhaust.header[0].bore", []string{"engine.bore", "engine.stroke", "engine.tuned_for", "engine.claimed_power_speed", "engine.redline"}, "0.61 root(V n) mm utility, 0.64 trail, 0.67 race: mean piston speed x (B/bore)^2 of 115, 105, 95 m/s", "11 %", "the trade's rule, with pipes from memory",
		func(g guess) (float64, float64) {
			v := g.tuned(0.61, 0.64, 0.67) * g.flowRoot() * mm
			return v, 0.11 * v
		}},
	{"engine.exhaust.port_diameter", []string{"engine.head.exhaust_valve.head", "engine.head.exhaust_valve.count", "engine.exhaust.header[0].bore"}, "0.95 of the head; of two joined 0.88 x their root; not wider than the head pipe", "0.07 of it", "common practice, from memory",
		func(g guess) (float64, float64) {
			v := g.num("engine.head.exhaust_valve.head") * g.byIntakeValves(0.95, 0.88, 0.88) * math.Sqrt(g.num("engine.head.exhaust_valve.count"))
			if pipe := g.num("engine.exhaust.header[0].bore"); pipe > 0 {
				v = math.Min(v, pipe)
			}
			return v, 0.07 * v
		}},
	{"engine.exhaust.header[0].length", []string{"engine.tuned_for", "engine.stroke", "engine.claimed_power_speed", "engine.redline"}, "race 5600 m/n - 76 mm, trail 0.70 m, utility 0.65 m", "25 %, race 15 %", "Bell, Four-Stroke Performance Tuning, 260 deg from the valve's opening to the end of the exhaust stroke, for race; others by how they are laid, from memory",
		func(g guess) (float64, float64) {
			v := g.tuned(0.65, 0.70, math.Max(0.2, 5600/g.peakSpeed()-0.076))
			return v, g.tuned(0.25, 0.25, 0.15) * v
		}},
	{"engine.exhaust.silencer.volume", []string{"engine.bore", "engine.stroke", "engine.tuned_for"}, "2.5 l (V/0.25)^0.75, race 3.3 l", "45 %", fromMemory,
		func(g guess) (float64, float64) {
			v := g.tuned(2.5e-3, 2.5e-3, 3.3e-3) * math.Pow(g.litres()/0.25, 0.75)
			return v, 0.45 * v
		}},
	{"engine.exhaust.silencer.outlet_bore", []string{"engine.exhaust.silencer.kind", "engine.bore", "engine.stroke", "engine.tuned_for", "engine.claimed_power_speed", "engine.redline"}, "0.50 root(V n) mm utility, 0.56 trail, 0.66 race; of a straight core the head pipe's bore", "12 %", fromMemory,
		func(g guess) (float64, float64) {
			v := g.tuned(0.50, 0.56, 0.66) * g.flowRoot() * mm
			if g.text("engine.exhaust.silencer.kind") == straightCore {
				v = g.num("engine.exhaust.header[0].bore")
			}
			return v, 0.12 * v
		}},
}

// straightCore is the kind of silencer whose core goes straight through; chambered the one with walls across.
const (
	straightCore = "straight core"
	chambered    = "chambers"
)

// silencerKind is the kind that is usual for what the engine is tuned for. Common practice.
func (g guess) silencerKind() string {
	if g.text("engine.tuned_for") == race {
		return straightCore
	}
	return chambered
}

// SilencerKinds are what a silencer may be inside: one box, several one behind the other, one around a core.
var SilencerKinds = []string{"box", chambered, straightCore}

// ofKind are relations that hold for a silencer of one kind only.
var ofKind = map[string][]Relation{
	chambered: {
		{"engine.exhaust.silencer.chambers", []string{"engine.exhaust.silencer.kind"}, "two", "none", fromMemory, func(guess) (float64, float64) { return 2, 0 }},
		{"engine.exhaust.silencer.passage_bore", []string{"engine.exhaust.silencer.outlet_bore"}, "1.15 of the outlet", "0.15 of it", fromMemory, share("engine.exhaust.silencer.outlet_bore", 1.15, 0.15)},
	},
	straightCore: {
		{"engine.exhaust.silencer.core_length", []string{"engine.bore", "engine.stroke"}, "300 mm (V/0.25)^(1/3)", "25 %", fromMemory,
			func(g guess) (float64, float64) { v := 0.3 * math.Cbrt(g.litres()/0.25); return v, 0.25 * v }},
		{"engine.exhaust.silencer.core_bore", []string{"engine.exhaust.silencer.outlet_bore"}, "as the outlet", "0.06 of it", fromMemory, share("engine.exhaust.silencer.outlet_bore", 1, 0.06)},
		{"engine.exhaust.silencer.core_open", []string{"engine.exhaust.silencer.kind"}, "0.35", "0.1", fromMemory, func(guess) (float64, float64) { return 0.35, 0.1 }},
	},
}

// flowShares are the discharge coefficients of a port on the curtain area by lift over the diameter of the head.
var flowShares = []struct{ lift, intake, exhaust, half float64 }{
	{0.05, 0.67, 0.70, 0.10}, {0.10, 0.66, 0.70, 0.08}, {0.15, 0.63, 0.67, 0.07}, {0.20, 0.58, 0.61, 0.07}, {0.25, 0.525, 0.55, 0.06}, {0.30, 0.47, 0.49, 0.06},
}

// flowRelations are the readings of a flow bench that a head usually gives.
var flowRelations = sync.OnceValue(func() (list []Relation) {
	for _, side := range []string{"intake", "exhaust"} {
		head := "engine.head." + side + "_valve.head"
		for i, s := range flowShares {
			cd := s.intake
			if side == "exhaust" {
				cd = s.exhaust
			}
			entry := fmt.Sprintf("engine.head.flow.%s[%d].", side, i)
			list = append(list,
				Relation{entry + "lift", []string{head}, strconv.FormatFloat(s.lift, 'g', -1, 64) + " of the head", "none: a place of the table", "common practice", share(head, s.lift, 0)},
				Relation{entry + "cd", []string{head}, strconv.FormatFloat(cd, 'g', -1, 64), strconv.FormatFloat(s.half, 'g', -1, 64), "Heywood 1988 section 6.3.2; Annand and Roe 1974; from memory", func(guess) (float64, float64) { return cd, s.half }})
		}
	}
	return list
})

// allRelations are made when the first sheet is read.
var allRelations = sync.OnceValue(func() []Relation {
	return slices.Concat(relations, ofKind[chambered], ofKind[straightCore], flowRelations())
})

// Relations are all of them, in the order in which they are evaluated.
func Relations() []Relation { return slices.Clone(allRelations()) }

// Follows is how a typical value of the input follows from others; nil for one that does not.
func Follows(path string) *Relation {
	path = strings.ReplaceAll(path, "[]", "[0]")
	if i := slices.IndexFunc(allRelations(), func(r Relation) bool { return r.Path == path }); i >= 0 {
		return &allRelations()[i]
	}
	return nil
}

// fillRelated adds what follows from the inputs that are there. Lists that the sheet gives stay as they are.
func (p *Project) fillRelated(lists map[string]bool) {
	fill := func(list []Relation) {
		for i := range list {
			r := &list[i]
			name, _, isList := strings.Cut(r.Path, "[")
			if _, given := p.Base[r.Path]; !given && !(isList && lists[name]) && !p.replaced(r.Path, lists) {
				p.relate(r)
			}
		}
	}
	const kind, volume = "engine.exhaust.silencer.kind", "engine.exhaust.silencer.volume"
	_, sized := p.Base[volume]
	if _, said := p.Base[kind]; !said && !sized {
		p.Base[kind] = p.typicalValue(kind, guess{project: p}.silencerKind())
		p.Typical++
	}
	fill(relations)
	fill(ofKind[p.Base[kind].Text])
	fill(flowRelations())
}

// Relate evaluates all relations again, after an input of the machine as found was put in: typical values that follow
// from others follow from it now.
func (p *Project) Relate() {
	for _, r := range allRelations() {
		if v, ok := p.Base[r.Path]; ok && v.Origin == (figure.Origin{}) && guessed(p, v) {
			delete(p.Base, r.Path)
			p.Typical--
		}
	}
	p.fillRelated(p.lists())
}

// lists are the lists of which an entry is there.
func (p *Project) lists() map[string]bool {
	lists := map[string]bool{}
	for path := range p.Base {
		if list, _, ok := strings.Cut(path, "["); ok {
			lists[list] = true
		}
	}
	return lists
}

// relate evaluates a relation. What it gives lies within what is computed with: a machine of a slipped input is told
// so by that input and not by what follows from it. The spread holds what typical inputs that it follows from may be
// off.
func (p *Project) relate(r *Relation) {
	field := FieldAt(r.Path)
	value, half := r.find(guess{project: p, moved: -1})
	if math.IsNaN(value) {
		return
	}
	value = math.Min(math.Max(value, field.Span.Least), field.Span.Most)
	if r.Path != carried {
		for _, f := range p.slopes(r, quantity.Typical) {
			half = math.Hypot(half, f.by*p.Atoms[f.atom].Q.Half)
		}
	}
	unit := field.Span.Unit
	text := withUnit(rounded(unit.FromSI(value)), unit)
	if half > 0 {
		text += " ± " + withUnit(rounded2(unit.Difference(half)), unit)
	}
	v := p.typicalValue(r.Path, text)
	if r.Path == carried {
		for _, f := range p.slopes(r) {
			v = v.plus(Value{Terms: []int{f.atom}, Weights: []float64{f.by}, Offset: -f.by * p.Atoms[f.atom].Q.Value})
		}
	}
	p.Base[r.Path] = v
	p.Typical++
}

// slope is how far a relation's value is moved by a number that it follows from.
type slope struct {
	atom int
	by   float64 // [SI unit of the value over that of the atom]
}

// slopes are how far each doubtful number that a relation follows from moves it; those that are known otherwise are
// left out.
func (p *Project) slopes(r *Relation, among ...quantity.Known) (list []slope) {
	for _, path := range r.From {
		for _, i := range p.Base[path].Terms {
			a := &p.Atoms[i]
			done := slices.ContainsFunc(list, func(s slope) bool { return s.atom == i })
			if done || a.Q.Half <= 0 || len(among) > 0 && !slices.Contains(among, a.Q.Known) {
				continue
			}
			step := a.Q.Half / 2
			up, _ := r.find(guess{p, i, step})
			down, _ := r.find(guess{p, i, -step})
			if by := (up - down) / (2 * step); !math.IsNaN(by) && !math.IsInf(by, 0) {
				list = append(list, slope{i, by})
			}
		}
	}
	return list
}

// rounded is a number to four digits: what is shown is what is computed with.
func rounded(number float64) float64  { return toDigits(number, 4) }
func rounded2(number float64) float64 { return toDigits(number, 2) }

func toDigits(number float64, digits int) float64 {
	if number == 0 {
		return 0
	}
	scale := math.Pow(10, float64(digits-1)-math.Floor(math.Log10(math.Abs(number))))
	return math.Round(number*scale) / scale
}

// guessed says that a value, or a part of it, is typical.
func guessed(p *Project, v Value) bool {
	return slices.ContainsFunc(v.Terms, func(i int) bool { return p.Atoms[i].Q.Known == quantity.Typical })
}
