package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shakedown/engine/valvetrain"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/quantity"
)

// Inputs of a cam card. Those of the events come in the order of camEvents.
const (
	checkingLift = "engine.cam.checking_lift"
	measuredAt   = "engine.cam.measured_at"
	separation   = "engine.cam.separation"
	advance      = "engine.cam.advance"
	rockerRatio  = "engine.cam.rocker_ratio"
	baseCircle   = "engine.cam.base_circle_radius"
	reground     = "engine.cam.reground"
)

var (
	camEvents = []string{"engine.cam.intake.opens", "engine.cam.intake.closes", "engine.cam.exhaust.opens", "engine.cam.exhaust.closes"}
	camCard   = []string{"engine.cam.intake.duration", "engine.cam.intake.centre", "engine.cam.exhaust.duration", "engine.cam.exhaust.centre", separation, advance}
)

var valves = []torque.Valve{torque.Intake, torque.Exhaust}

// none stands for an angle that nobody gives.
var none = math.NaN()

func given(angle float64) bool { return !math.IsNaN(angle) }

// lobeSide is what is said of one side of a camshaft [rad of the crank]; none for what is not.
type lobeSide struct {
	valve                           torque.Valve
	opens, closes, duration, centre float64
}

// timed is the side's duration and centre by its events; none where an event is missing.
func (s lobeSide) timed() (duration, centre float64) {
	duration = valvetrain.Duration(s.opens, s.closes)
	if s.valve == torque.Intake {
		return duration, valvetrain.IntakeCentre(s.opens, s.closes)
	}
	return duration, -valvetrain.ExhaustCentre(s.opens, s.closes)
}

// events are where a valve of that duration and centre opens and closes.
func (s lobeSide) events(duration, centre float64) (opens, closes float64) {
	if s.valve == torque.Intake {
		return valvetrain.IntakeEvents(duration, centre)
	}
	return valvetrain.ExhaustEvents(duration, centre)
}

// whole adds what follows of the side from one event beside a duration or a centre, and from both events.
func (s lobeSide) whole() lobeSide {
	switch {
	case given(s.opens) && given(s.closes):
	case given(s.duration) && given(s.opens):
		s.closes = s.duration - math.Pi - s.opens
	case given(s.duration) && given(s.closes):
		s.opens = s.duration - math.Pi - s.closes
	case given(s.centre) && (given(s.opens) || given(s.closes)):
		// The centre lies midway between the events: the one that is missing is as far from it as the other.
		opens, closes := s.events(0, s.centre)
		if half := s.opens - opens; given(s.opens) {
			s.closes = closes + half
		} else {
			s.opens = opens + s.closes - closes
		}
	}
	duration, centre := s.timed()
	if !given(s.duration) {
		s.duration = duration
	}
	if !given(s.centre) {
		s.centre = centre
	}
	return s
}

// readCam is what is said of both sides, of the inputs that are meant.
func readCam(in machine.Reading, meant func(path string) bool) (sides [2]lobeSide, lsa, ahead float64) {
	angle := func(path string) float64 {
		if number, ok := in.Number(path); ok && meant(path) {
			return number
		}
		return none
	}
	for i, v := range valves {
		sides[i] = lobeSide{v, angle(v.Path("engine.cam.%s.opens")), angle(v.Path("engine.cam.%s.closes")), angle(v.Path("engine.cam.%s.duration")), angle(v.Path("engine.cam.%s.centre"))}
	}
	return sides, angle(separation), angle(advance)
}

// eventsOf are the events of both sides by the card that counts; what it leaves open stays as it was.
func eventsOf(in machine.Reading) []float64 {
	said, lsa, ahead := readCam(in, in.Given)
	was, _, _ := readCam(in, func(path string) bool { return slices.Contains(camEvents, path) })
	var now [2]lobeSide
	for i := range said {
		said[i], now[i] = said[i].whole(), was[i].whole()
	}
	oldApart, oldAhead := (now[0].centre+now[1].centre)/2, (now[1].centre-now[0].centre)/2
	switch intake, exhaust := &said[0].centre, &said[1].centre; {
	case !given(lsa) && !given(ahead) || given(*intake) && given(*exhaust):
	case given(*intake) && given(lsa):
		*exhaust = 2*lsa - *intake
	case given(*intake):
		*exhaust = *intake + 2*ahead
	case given(*exhaust) && given(lsa):
		*intake = 2*lsa - *exhaust
	case given(*exhaust):
		*intake = *exhaust - 2*ahead
	default:
		if !given(lsa) {
			lsa = oldApart
		}
		if !given(ahead) {
			ahead = oldAhead
		}
		*intake, *exhaust = valvetrain.LobeCentres(lsa, ahead)
	}
	events := make([]float64, 0, 4)
	for i := range said {
		s := said[i].whole()
		opens, closes := s.opens, s.closes
		if !given(opens) && !given(closes) && (given(s.duration) || given(s.centre)) {
			if !given(s.duration) {
				s.duration = now[i].duration
			}
			if !given(s.centre) {
				s.centre = now[i].centre
			}
			opens, closes = s.events(s.duration, s.centre)
		}
		events = append(events, opens, closes)
	}
	return events
}

// cardOf is the card of a cam by its events, in the order of camCard.
func cardOf(in machine.Reading) []float64 {
	sides, _, _ := readCam(in, func(path string) bool { return slices.Contains(camEvents, path) })
	var card []float64
	for i := range sides {
		duration, centre := sides[i].timed()
		card = append(card, duration, centre)
	}
	return append(card, (card[1]+card[3])/2, (card[3]-card[1])/2)
}

// numberOr is the number of a reading, or none.
func numberOr(read func(string) (float64, bool), path string) float64 {
	if number, ok := read(path); ok {
		return number
	}
	return none
}

// lobeLift is the lift of a side's lobe: given, or that at the valve over the rocker ratio.
func lobeLift(read func(string) (float64, bool), v torque.Valve) float64 {
	if lift, ok := read(v.Path("engine.cam.%s.lobe_lift")); ok {
		return lift
	}
	return numberOr(read, v.Path("engine.cam.%s.lift")) / numberOr(read, rockerRatio)
}

// laws are those by which inputs follow from what catalogues and cards say in place of them.
func laws() []machine.Law {
	list := []machine.Law{{Gives: camEvents, From: camCard, Sum: eventsOf, Back: cardOf}}
	for _, v := range valves {
		lift, lobe := v.Path("engine.cam.%s.lift"), v.Path("engine.cam.%s.lobe_lift")
		list = append(list, machine.Law{Gives: []string{lift}, From: []string{lobe}, Beside: []string{rockerRatio}, Sum: func(in machine.Reading) []float64 {
			if in.Given(lift) {
				return []float64{none}
			}
			return []float64{numberOr(in.Number, lobe) * numberOr(in.Number, rockerRatio)}
		}})
	}
	return append(list,
		// A regrind leaves the nose where it was: what the lobe gains comes off the base circle.
		machine.Law{Gives: []string{baseCircle}, From: []string{reground}, Beside: []string{rockerRatio, "engine.cam.intake.lift", "engine.cam.exhaust.lift", "engine.cam.intake.lobe_lift", "engine.cam.exhaust.lobe_lift"}, Sum: func(in machine.Reading) []float64 {
			if !in.Yes(reground) || in.Given(baseCircle) {
				return []float64{none}
			}
			gained := 0.0
			for _, v := range valves {
				gained = math.Max(gained, lobeLift(in.Number, v)-lobeLift(in.Found, v))
			}
			return []float64{numberOr(in.Found, baseCircle) - gained}
		}},
		machine.Law{Gives: []string{checkingLift}, From: []string{measuredAt}, Beside: []string{rockerRatio, "engine.head.intake_valve.lash", "engine.head.exhaust_valve.lash"}, Last: true, Sum: func(in machine.Reading) []float64 {
			lift := numberOr(in.Number, checkingLift)
			switch in.Text(measuredAt) {
			case "lobe":
				return []float64{lift * numberOr(in.Number, rockerRatio)}
			case "valve with lash": // the lift law knows no clearance; a sheet has one checking lift for both sides
				return []float64{lift + (numberOr(in.Number, "engine.head.intake_valve.lash")+numberOr(in.Number, "engine.head.exhaust_valve.lash"))/2}
			}
			return []float64{none}
		}},
		pistonLaw)
}

// cardSlack is by how much a card and events may differ, which are printed in whole degrees [rad], with a little for
// rounding.
const cardSlack = 1.01 * math.Pi / 180

// misread are the cards of a project that say two things, or too little: of the machine and of each part.
func misread(p *machine.Project) []Mismeasured {
	bad := misreadIn(p, p.Base, func(path string) bool { return p.Base[path].Origin.Line > 0 })
	for i := range p.Parts {
		part := &p.Parts[i]
		sets := map[string]machine.Value{}
		for _, e := range part.Sets {
			sets[e.Path] = e.Value
		}
		bad = append(bad, misreadIn(p, sets, func(path string) bool { _, ok := sets[path]; return ok })...)
	}
	return bad
}

func misreadIn(p *machine.Project, values map[string]machine.Value, said func(path string) bool) (bad []Mismeasured) {
	if !slices.ContainsFunc(camCard, said) && !slices.ContainsFunc(lobeLifts, said) {
		return nil
	}
	fail := func(path, what, expected, remedy string) {
		bad = append(bad, Mismeasured{values[path].Origin, what, expected, remedy})
	}
	in := machine.Reading{Number: func(path string) (float64, bool) {
		v, ok := values[path]
		return p.Number(v), ok && said(path)
	}}
	raw, lsa, ahead := readCam(in, said)
	var whole [2]lobeSide
	for i, s := range raw {
		name, length := string(s.valve), s.valve.Path("engine.cam.%s.duration")
		whole[i] = s.whole()
		duration, centre := lobeSide{s.valve, whole[i].opens, whole[i].closes, none, none}.timed()
		if given(s.duration) && apart(s.duration, duration) {
			fail(length, fmt.Sprintf("the %s is open for %s by its duration and for %s by its events", name, degrees(s.duration), degrees(duration)), "duration = opens + 180 deg + closes, within a degree", "look at the card again, or take the duration or the events out")
		}
		if given(s.centre) && apart(s.centre, centre) {
			fail(s.valve.Path("engine.cam.%s.centre"), fmt.Sprintf("the %s lobe's centre stands at %s by itself and at %s by what else is said", name, degrees(s.centre), degrees(centre)), "the centre midway between the events, within a degree", "look at the card again, or take one of them out")
		}
		if other := raw[1-i]; said(checkingLift) && given(s.duration) && !given(other.duration) && !given(other.opens) {
			fail(length, fmt.Sprintf("the checking lift is that of both sides, and nothing is said of the %s at it", string(other.valve)), other.valve.Path("engine.cam.%s.duration")+" or its events beside it", "give both sides at the same lift, as they stand on the card")
		}
		if given(s.duration) && !said(checkingLift) {
			fail(length, fmt.Sprintf("the %s's duration is given without the lift at which it was taken", name), checkingLift+" beside it, such as 1 mm or 0.050 in", fmt.Sprintf("add the checking lift and, where it is at the lobe, %s: lobe; a duration of which nobody says the lift is %s", measuredAt, s.valve.Path("engine.cam.%s.advertised_duration")))
		}
	}
	intake, exhaust := whole[0].centre, whole[1].centre
	switch {
	case given(lsa) && given(intake) && given(exhaust) && apart(lsa, (intake+exhaust)/2):
		fail(separation, fmt.Sprintf("the lobes stand %s apart by the separation and %s by their centres", degrees(lsa), degrees((intake+exhaust)/2)), "separation, in degrees of the cam, = (intake centre + exhaust centre)/2, within a degree", "look at the card again, or take one of them out")
	case given(lsa) && !given(intake) && !given(exhaust) && !given(ahead):
		fail(separation, "the separation alone does not say how the cam stands", "engine.cam.intake.centre or "+advance+" beside it", "read the intake centre off the card; "+advance+": 0 deg where it stands straight up")
	}
	if given(ahead) {
		by := none
		switch {
		case given(intake) && given(exhaust):
			by = (exhaust - intake) / 2
		case given(lsa) && given(intake):
			by = lsa - intake
		case given(lsa) && given(exhaust):
			by = exhaust - lsa
		}
		if apart(ahead, by) {
			fail(advance, fmt.Sprintf("the cam is advanced by %s by itself and by %s by what else is said", degrees(ahead), degrees(by)), "advance = separation - intake centre, within a degree", "look at the card again, or take one of them out")
		}
	}
	for _, v := range valves {
		lift, lobe, ratio := values[v.Path("engine.cam.%s.lift")], values[v.Path("engine.cam.%s.lobe_lift")], p.Base[rockerRatio]
		if own, ok := values[rockerRatio]; ok {
			ratio = own
		}
		if !said(v.Path("engine.cam.%s.lift")) || !said(v.Path("engine.cam.%s.lobe_lift")) {
			continue
		}
		at, by := p.Number(lift), p.Number(lobe)*p.Number(ratio)
		room := p.Half(lift) + by*(p.Half(lobe)/p.Number(lobe)+p.Half(ratio)/p.Number(ratio))
		if math.Abs(at-by) > room {
			fail(v.Path("engine.cam.%s.lobe_lift"), fmt.Sprintf("the %s lifts %s by the lift at the valve and %s by the lobe and the rocker ratio", string(v), millimetres(at), millimetres(by)), "lift at the valve = lobe lift x rocker ratio", "look at the card again, or take one of them out")
		}
	}
	return bad
}

var lobeLifts = []string{"engine.cam.intake.lobe_lift", "engine.cam.exhaust.lobe_lift"}

// apart says that two angles that are both given differ by more than a card's rounding.
func apart(a, b float64) bool { return math.Abs(a-b) > cardSlack }

func degrees(angle float64) string {
	return strings.TrimSuffix(quantity.Number(angle*180/math.Pi, 1), ".0") + "°"
}

func millimetres(lift float64) string { return quantity.Show(lift, 0.01e-3, quantity.MustUnit("mm")) }
