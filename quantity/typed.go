package quantity

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// alias is a unit as catalogues and people write it.
type alias struct {
	kind  Kind
	names []string
	unit  Unit
}

// Two units that the grammar has no symbol for, and that catalogues use. SP 811 (2008) appendix B.8.
var (
	thou        = Unit{"thou", Length, inch / 1000, 0}
	perSquareCM = Unit{"kgf/cm2", Pressure, StandardGravity * 1e4, 0}
)

// aliases are other names of units, by what is measured: a spring's "kg" is a force, and a chain's "lbs" a mass.
// Common practice of the trade's catalogues and manuals.
var aliases = []alias{
	{Length, []string{"\"", "\u2033", "\u201d", "''", "inch", "inches", "in."}, MustUnit("in")},
	{Length, []string{"'", "\u2032", "feet", "foot", "ft."}, MustUnit("ft")},
	{Length, []string{"mm.", "millimetre", "millimetres", "millimeter", "millimeters", "MM"}, MustUnit("mm")},
	{Length, []string{"thou"}, thou},
	{Area, []string{"mm\u00b2", "sq.mm", "sq mm"}, MustUnit("mm2")}, {Area, []string{"cm\u00b2", "sq.cm", "sq cm"}, MustUnit("cm2")},
	{Area, []string{"m\u00b2"}, MustUnit("m2")}, {Area, []string{"in\u00b2", "sq.in", "sq in"}, MustUnit("in2")},
	{Volume, []string{"cm3", "cm\u00b3", "ccm", "CC", "cc."}, MustUnit("cc")},
	{Volume, []string{"mL", "ML"}, MustUnit("ml")},
	{Volume, []string{"L", "litre", "litres", "liter", "liters", "ltr"}, MustUnit("l")},
	{Volume, []string{"in\u00b3", "cu.in", "cu in", "cu.in.", "ci", "cid", "CID"}, MustUnit("in3")},
	{Mass, []string{"lbs", "lbs.", "lb.", "pound", "pounds", "LB", "LBS"}, MustUnit("lb")},
	{Mass, []string{"kgs", "kg.", "kilo", "kilos", "KG", "Kg"}, MustUnit("kg")},
	{Mass, []string{"gram", "grams", "gm", "g."}, MustUnit("g")},
	{Mass, []string{"oz.", "ounce", "ounces"}, MustUnit("oz")},
	{Force, []string{"lb", "lbs", "lbs.", "lb.", "pounds"}, MustUnit("lbf")}, {Force, []string{"kg", "kgs", "kp"}, MustUnit("kgf")},
	{Rate, []string{"kg/mm", "kp/mm"}, MustUnit("kgf/mm")},
	{Rate, []string{"lb/in", "lbs/in", "lb/in.", "lbs/in.", "lbs./in.", "#/in"}, MustUnit("lbf/in")},
	{Torque, []string{"N.m", "N\u00b7m", "N-m", "nm"}, MustUnit("Nm")},
	{Torque, []string{"kg.m", "kg\u00b7m", "kg-m", "kgm", "kgf-m", "kgf\u00b7m", "mkg"}, MustUnit("kgf.m")},
	{Torque, []string{"ft-lb", "ft-lbs", "lb-ft", "lbs-ft", "ft.lb", "ft.lbs", "ft\u00b7lb", "ft lb", "ft lbs", "lb ft", "lbs ft", "lbf-ft", "ft-lbf", "lbf\u00b7ft"}, MustUnit("lbf.ft")},
	{Pressure, []string{"PSI", "lb/in2", "lbs/in2"}, MustUnit("psi")},
	{Pressure, []string{"kg/cm2", "kg/cm\u00b2", "kgf/cm2", "kgf/cm\u00b2"}, perSquareCM},
	{Angle, []string{"\u00b0", "degree", "degrees", "deg."}, MustUnit("deg")},
	{AngularSpeed, []string{"RPM", "r/min", "rev/min", "1/min"}, MustUnit("rpm")},
	{Speed, []string{"kph", "kmh", "km/hr", "KPH"}, MustUnit("km/h")}, {Speed, []string{"MPH"}, MustUnit("mph")},
	{Power, []string{"HP", "bhp", "BHP", "Hp"}, MustUnit("hp")}, {Power, []string{"ps", "Ps"}, MustUnit("PS")}, {Power, []string{"kw", "KW"}, MustUnit("kW")},
	{Temperature, []string{"\u00b0C", "degC", "deg C"}, MustUnit("C")}, {Temperature, []string{"\u00b0F", "degF", "deg F"}, MustUnit("F")},
	{Flow, []string{"CFM", "ft3/min"}, MustUnit("cfm")},
}

// Names are the names by which a unit of the kind is read: its symbols, and what catalogues write for them.
func Names(k Kind) []string {
	list := symbolList(k)
	for _, a := range aliases {
		if a.kind == k {
			list = append(list, a.names...)
		}
	}
	return list
}

// aliased is the unit of the kind that catalogues call by a name.
func aliased(k Kind, name string) (Unit, bool) {
	for _, a := range aliases {
		if a.kind == k && slices.Contains(a.names, name) {
			return a.unit, true
		}
	}
	return Unit{}, false
}

// unitFor is the unit of the kind by a symbol or a name; a unit of another kind where the kind has none of that name.
func unitFor(k Kind, name string) (Unit, bool) {
	unit, ok := UnitNamed(name)
	if ok && unit.Kind == k {
		return unit, true
	}
	if other, found := aliased(k, name); found {
		return other, true
	}
	if !ok {
		for _, a := range aliases {
			if slices.Contains(a.names, name) {
				return a.unit, true
			}
		}
	}
	return unit, ok
}

// unitWord is the name of a unit where p stands: one word, or two of a name that has two, as "cu in".
func (p *reader) unitWord() (string, int) {
	word, at := p.word()
	end := p.at
	if next, _ := p.word(); next != "" {
		if _, ok := aliased(p.spec.Kind, word+" "+next); ok {
			return word + " " + next, at
		}
	}
	p.at = end
	return word, at
}

// Digits reads digits with points and commas as one number, written with a point. A comma stands for a point where the
// digits leave no doubt: "41,5", "0,250", "1250,75"; between groups of three it is left out: "1,250.5", "1.250,5",
// "1,250,000". Of "1,250" nobody can say which it is: doubt gives both readings.
func Digits(text string) (plain string, doubt [2]string, ok bool) {
	commas, points := strings.Count(text, ","), strings.Count(text, ".")
	switch {
	case commas == 0:
		return text, doubt, points <= 1
	case points > 0 && strings.LastIndex(text, ".") > strings.LastIndex(text, ","):
		whole, decimals, _ := strings.Cut(text, ".")
		return strings.ReplaceAll(whole, ",", "") + "." + decimals, doubt, points == 1 && grouped(whole, ",")
	case points > 0:
		whole, decimals, _ := strings.Cut(text, ",")
		return strings.ReplaceAll(whole, ".", "") + "." + decimals, doubt, commas == 1 && grouped(whole, ".")
	case commas > 1:
		return strings.ReplaceAll(text, ",", ""), doubt, grouped(text, ",")
	}
	whole, decimals, _ := strings.Cut(text, ",")
	if decimals == "" {
		return text, doubt, false
	}
	if grouped(text, ",") {
		return text, [2]string{whole + "." + decimals, whole + decimals}, false
	}
	return whole + "." + decimals, doubt, true
}

// grouped says that digits stand in groups of three behind the first, which has one to three and does not begin with
// 0.
func grouped(text, mark string) bool {
	groups := strings.Split(text, mark)
	for _, g := range groups[1:] {
		if len(g) != 3 {
			return false
		}
	}
	return len(groups) > 1 && groups[0] != "" && len(groups[0]) <= 3 && groups[0][0] != '0'
}

// vulgar are fractions that are one character.
var vulgar = map[rune]float64{'\u00bd': 0.5, '\u00bc': 0.25, '\u00be': 0.75, '\u215b': 0.125, '\u215c': 0.375, '\u215d': 0.625, '\u215e': 0.875}

// fraction reads what may stand behind whole digits that begin at a place: "/2" of "1/2", " 1/2" or "-1/2" of "1 1/2".
// It gives the number, and false where no fraction stands.
func (p *reader) fraction(from int) (float64, bool) {
	whole := p.text[from:p.at]
	if r, n := utf8.DecodeRuneInString(p.text[p.at:]); vulgar[r] > 0 {
		number, err := strconv.ParseFloat("0"+whole, 64)
		p.at += n
		return number + vulgar[r], err == nil
	}
	count, err := strconv.ParseUint(whole, 10, 31)
	if err != nil {
		return 0, false
	}
	over := func(at int) (top, bottom float64, end int, ok bool) {
		digits := func(at int) (float64, int) {
			end := at
			for end < len(p.text) && p.text[end] >= '0' && p.text[end] <= '9' {
				end++
			}
			number, err := strconv.ParseUint(p.text[at:end], 10, 31)
			if err != nil {
				return 0, at
			}
			return float64(number), end
		}
		top, end = digits(at)
		if end == at || end >= len(p.text) || p.text[end] != '/' {
			return 0, 0, 0, false
		}
		slash := end
		bottom, end = digits(slash + 1)
		return top, bottom, end, end > slash+1 && bottom > 0
	}
	if top, bottom, end, ok := over(from); ok {
		p.at = end
		return top / bottom, true
	}
	at := p.at
	for at < len(p.text) && (p.text[at] == ' ' || p.text[at] == '-') && at-p.at < 1 {
		at++
	}
	if top, bottom, end, ok := over(at); ok && at > p.at && top < bottom {
		p.at = end
		return float64(count) + top/bottom, true
	}
	return 0, false
}

// side reads on which side of a dead centre an angle lies, where the place in the sheet says so, and turns the sign of
// what lies on the other.
func (p *reader) side(from int, number *float64) error {
	if p.spec.Sides[0] == "" {
		return nil
	}
	before := p.at
	word, at := p.word()
	switch name := strings.ToUpper(word); {
	case name == "TDC" || name == "BDC" || !slices.Contains([]string{"BTDC", "ATDC", "BBDC", "ABDC"}, name):
		p.at = before
		return nil
	case *number < 0:
		return p.fail(from, p.at, fmt.Sprintf("a minus and %s", name), fmt.Sprintf("a number with %s or %s behind it, or a negative number for %s", p.spec.Sides[0], p.spec.Sides[1], p.spec.Sides[1]), "leave one of the two away")
	case name == p.spec.Sides[1]:
		*number = -*number
	case name != p.spec.Sides[0]:
		return p.fail(at, p.at, fmt.Sprintf("%s, where this is not counted from", name), AnyOf(p.spec.Sides[:]), "look at the cam card: which event is it?")
	}
	return nil
}
