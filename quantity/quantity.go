package quantity

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"
)

// Quantity is a value as the program uses it and as its owner wrote it.
type Quantity struct {
	Value float64 // [SI unit of Kind]
	Half  float64 // [SI unit of Kind] half-width that holds 95 %; standard uncertainty is half of it
	Kind  Kind
	Known Known
	Text  string // as typed
}

// Spec says what a place in the sheet takes.
type Spec struct {
	Kind    Kind
	Bare    string // when not empty, a bare number is wanted and means this unit (a key that is itself a unit)
	Exact   bool   // counts, teeth, ratios by teeth, settings: no default tolerance
	Whole   bool   // only whole numbers
	Default Known  // how it is known when the text does not say
	// Sides are the names of the two sides of a dead centre, such as BTDC and ATDC, that may stand behind an angle;
	// what lies on the second is negative. Empty for none.
	Sides [2]string
}

// Problem is what is wrong with a text, and where in it.
type Problem struct {
	Offset, Length int // bytes of the text
	What           string
	Expected       string
	Remedy         string
}

// Error makes a Problem an error.
func (p *Problem) Error() string {
	return p.What + "; expected " + p.Expected + "; " + p.Remedy
}

// Parse reads "NUMBER UNIT ± HALF-WIDTH [UNIT or %] KNOWN".
// The error, if any, is a *Problem with the place in the text.
func Parse(text string, spec Spec) (Quantity, error) {
	p := reader{text: text, spec: spec}
	return p.quantity()
}

// Typed is the number and the unit of a text as they were typed; ok is false for a text that Parse refuses before
// that.
func Typed(text string, spec Spec) (number float64, unit Unit, ok bool) {
	p := reader{text: text, spec: spec}
	number, from, err := p.number()
	if err != nil {
		return 0, Unit{}, false
	}
	if unit, _, _, err = p.unit(from); err == nil {
		err = p.side(from, &number)
	}
	return number, unit, err == nil
}

type reader struct {
	text string
	at   int
	spec Spec
}

func (p *reader) spaces() {
	for p.at < len(p.text) && (p.text[p.at] == ' ' || strings.HasPrefix(p.text[p.at:], "\u00a0") || strings.HasPrefix(p.text[p.at:], "\u202f")) {
		_, n := utf8.DecodeRuneInString(p.text[p.at:])
		p.at += n
	}
}

// clip keeps what a message quotes short.
func clip(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "…"
}

func (p *reader) fail(from, to int, what, expected, remedy string) error {
	return &Problem{Offset: from, Length: max(1, to-from), What: what, Expected: expected, Remedy: remedy}
}

// word is the run up to the next space or tolerance sign.
func (p *reader) word() (string, int) {
	p.spaces()
	from := p.at
	for p.at < len(p.text) && p.text[p.at] != ' ' && !p.sign() && !strings.HasPrefix(p.text[p.at:], "\u00a0") {
		p.at++
	}
	return p.text[from:p.at], from
}

func (p *reader) sign() bool {
	return strings.HasPrefix(p.text[p.at:], "±") || strings.HasPrefix(p.text[p.at:], "+-")
}

func (p *reader) example() string {
	switch {
	case p.spec.Kind == Ratio && p.spec.Whole:
		return "a whole number such as 2"
	case p.spec.Kind == Ratio:
		return "a plain number such as 0.85, or 85 %"
	case p.spec.Bare != "":
		return fmt.Sprintf("a bare number in %s, such as 1500", p.spec.Bare)
	}
	return fmt.Sprintf("a %s in %s", p.spec.Kind, Symbols(p.spec.Kind))
}

func (p *reader) number() (float64, int, error) {
	p.spaces()
	from := p.at
	digits := false
	if r, n := utf8.DecodeRuneInString(p.text[p.at:]); r == '-' || r == '+' || r == '\u2212' {
		if !p.sign() {
			p.at += n
		}
	}
scan:
	for p.at < len(p.text) {
		switch c := p.text[p.at]; {
		case c >= '0' && c <= '9':
			digits = true
		case c == '.', c == ',' && digits:
		case (c == 'e' || c == 'E') && digits && p.exponentFollows():
			p.at++
		default:
			break scan
		}
		p.at++
	}
	if !digits {
		if r, n := utf8.DecodeRuneInString(p.text[p.at:]); vulgar[r] > 0 && p.text[from:p.at] == "" {
			p.at += n
			return vulgar[r], from, nil
		}
		_, _ = p.word()
		found := clip(p.text[from:p.at])
		if strings.TrimSpace(p.text) == "" {
			return 0, from, p.fail(0, 1, "nothing is written here", p.example(), "fill it in, or delete the line to use the typical value")
		}
		return 0, from, p.fail(from, p.at, fmt.Sprintf("%q is no number", found), p.example(), "write the number first, then its unit")
	}
	start := from
	if r, n := utf8.DecodeRuneInString(p.text[from:]); r == '-' || r == '+' || r == '\u2212' {
		start += n
	}
	if value, ok := p.fraction(start); ok {
		if start > from && p.text[from] != '+' {
			value = -value
		}
		return value, from, nil
	}
	mantissa, exponent, _ := strings.Cut(strings.ReplaceAll(p.text[start:p.at], "E", "e"), "e")
	plain, doubt, ok := Digits(mantissa)
	switch {
	case doubt[0] != "":
		return 0, from, p.fail(from, p.at, fmt.Sprintf("%s can be read two ways", clip(p.text[from:p.at])), doubt[0]+" or "+doubt[1], fmt.Sprintf("write %s, or %s", doubt[0], doubt[1]))
	case !ok && strings.Contains(mantissa, ","):
		return 0, from, p.fail(from, p.at, fmt.Sprintf("the commas in %q", clip(p.text[from:p.at])), "a decimal point: 3.4", "write the number with a point and without marks between thousands")
	}
	if exponent != "" {
		plain += "e" + exponent
	}
	value, err := strconv.ParseFloat(strings.Replace(p.text[from:start], "\u2212", "-", 1)+plain, 64)
	if err != nil || math.IsInf(value, 0) || math.IsNaN(value) {
		return 0, from, p.fail(from, p.at, fmt.Sprintf("%q cannot be used as a number", clip(p.text[from:p.at])), p.example(), "write a plain decimal number that is not beyond all measure")
	}
	return value, from, nil
}

func (p *reader) exponentFollows() bool {
	rest := p.text[p.at+1:]
	rest = strings.TrimLeft(rest, "+-")
	return len(p.text)-p.at-1-len(rest) <= 1 && rest != "" && rest[0] >= '0' && rest[0] <= '9'
}

func (p *reader) quantity() (Quantity, error) {
	none := Quantity{}
	number, from, err := p.number()
	if err != nil {
		return none, err
	}
	if p.spec.Whole && number != math.Trunc(number) {
		return none, p.fail(from, p.at, fmt.Sprintf("%s is not whole", clip(p.text[from:p.at])), p.example(), "write a whole number")
	}
	unit, known, haveKnown, err := p.unit(from)
	if err != nil {
		return none, err
	}
	if err := p.side(from, &number); err != nil {
		return none, err
	}
	q := Quantity{Value: unit.ToSI(number), Kind: p.spec.Kind, Known: p.spec.Default, Text: p.text}
	if haveKnown {
		q.Known = known
	}
	half, given, err := p.tolerance(number, unit)
	if err != nil {
		return none, err
	}
	if !haveKnown {
		if err := p.known(&q); err != nil {
			return none, err
		}
	}
	if rest, at := p.word(); rest != "" || p.at < len(p.text) {
		p.at = len(p.text)
		return none, p.fail(at, p.at, fmt.Sprintf("%q after the end of the value", clip(p.text[at:])), "number, unit, tolerance, how known, in this order", "remove it, or put it in a comment after #")
	}
	switch {
	case given:
		q.Half = half
	case !p.spec.Exact:
		q.Half = DefaultHalf(q.Kind, q.Value, q.Known)
	}
	if math.IsInf(q.Value, 0) || math.IsInf(q.Half, 0) {
		return none, p.fail(from, p.at, "the value is beyond all measure", p.example(), "write a number of a size that can be real")
	}
	return q, nil
}

// unit reads the unit; a pure number may go straight on to how it is known.
func (p *reader) unit(from int) (unit Unit, known Known, haveKnown bool, err error) {
	kind := p.spec.Kind
	end := p.at
	word, at := p.unitWord()
	if k, ok := knownNamed(word); ok {
		known, haveKnown, word = k, true, ""
	}
	if p.spec.Bare != "" {
		if word != "" {
			return unit, 0, false, p.fail(at, p.at, fmt.Sprintf("a unit (%s) where the key already is one", clip(word)), p.example(), "leave the unit away")
		}
		return MustUnit(p.spec.Bare), known, haveKnown, nil
	}
	if word == "" {
		if kind == Ratio {
			return MustUnit("1"), known, haveKnown, nil
		}
		return unit, 0, false, p.fail(from, end, "a number without a unit", p.example(), fmt.Sprintf("write the unit after the number: %s %s", clip(strings.TrimSpace(p.text[from:end])), Units(kind)[0].Symbol))
	}
	unit, ok := unitFor(kind, word)
	if !ok || word == "1" {
		remedy := "write one of these units"
		if near := Nearest(word, symbolList(kind)); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		} else if near := Nearest(word, knownNames[:]); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		return unit, 0, false, p.fail(at, p.at, fmt.Sprintf("unknown unit %q", clip(word)), p.example(), remedy)
	}
	if unit.Kind != kind {
		remedy := fmt.Sprintf("give it in %s", Symbols(kind))
		if kind == Ratio {
			remedy = "leave the unit away"
		}
		return unit, 0, false, p.fail(at, p.at, fmt.Sprintf("%s measures a %s, not a %s", word, unit.Kind, kind), p.example(), remedy)
	}
	return unit, known, haveKnown, nil
}

func symbolList(k Kind) []string {
	var list []string
	for _, unit := range Units(k) {
		list = append(list, unit.Symbol)
	}
	return list
}

// tolerance reads "± number [unit or %]" and gives the half-width in SI.
func (p *reader) tolerance(number float64, unit Unit) (half float64, given bool, err error) {
	p.spaces()
	if !p.sign() {
		return 0, false, nil
	}
	_, size := utf8.DecodeRuneInString(p.text[p.at:])
	if p.text[p.at] == '+' {
		size = 2
	}
	p.at += size
	width, from, err := p.number()
	if err != nil {
		return 0, false, err
	}
	if width < 0 {
		return 0, false, p.fail(from, p.at, "a negative tolerance", "the half-width that holds 95 %, zero or more", "leave the minus away")
	}
	before := p.at
	word, at := p.unitWord()
	if _, ok := knownNamed(word); ok || word == "" {
		p.at = before
		return width * unit.Factor, true, nil
	}
	other, ok := unitFor(p.spec.Kind, word)
	switch {
	case ok && word == "%" && p.spec.Kind == Temperature:
		return 0, false, p.fail(at, p.at, "a tolerance in % on a temperature", "a difference in C, F or K", "write how many degrees it may be off")
	case ok && word == "%" && unit.Symbol == "%":
		return width * unit.Factor, true, nil
	case ok && word == "%":
		return math.Abs(unit.ToSI(number)) * width / 100, true, nil
	case ok && other.Kind == p.spec.Kind && word != "1":
		return width * other.Factor, true, nil
	}
	return 0, false, p.fail(at, p.at, fmt.Sprintf("%q is no unit for this tolerance", clip(word)), fmt.Sprintf("the unit of the value (%s), another unit of %s, or %%", unit.Symbol, p.spec.Kind), "use one of these")
}

func (p *reader) known(q *Quantity) error {
	before := p.at
	word, at := p.word()
	if word == "" {
		p.at = before
		return nil
	}
	k, ok := knownNamed(word)
	if !ok {
		remedy := "say how it is known with one of these words, or put a remark in a comment after #"
		if near := Nearest(word, knownNames[:]); near != "" {
			remedy = fmt.Sprintf("did you mean %q?", near)
		}
		return p.fail(at, p.at, fmt.Sprintf("%q does not say how the value is known", clip(word)), AnyOf(knownNames[:]), remedy)
	}
	q.Known = k
	return nil
}

// ParseAny reads a quantity in whatever unit stands there; a number without one is a Ratio. The error, if any, is a
// *Problem with the place in the text.
func ParseAny(text string) (Quantity, error) {
	p, kind := reader{text: text}, Ratio
	if _, _, err := p.number(); err == nil {
		word, at := p.word()
		unit, known := unitFor(kind, word)
		switch {
		case known:
			kind = unit.Kind
		case word != "" && !SaysKnown(word):
			var symbols []string
			for _, unit := range units {
				symbols = append(symbols, unit.Symbol)
			}
			remedy := "see shakedown help units"
			if near := Nearest(word, symbols); near != "" {
				remedy = fmt.Sprintf("did you mean %q?", near)
			}
			return Quantity{}, p.fail(at, p.at, fmt.Sprintf("unknown unit %q", clip(word)), "a number with its unit, such as 17 kW, or a plain number", remedy)
		}
	}
	return Parse(text, Spec{Kind: kind, Exact: true})
}

// BoltCircle is a pattern of wheel bolts: "3 x 110 mm".
type BoltCircle struct {
	Count    int
	Diameter float64 // [m]
}

// ParseBoltCircle reads "COUNT x DIAMETER".
func ParseBoltCircle(text string) (BoltCircle, error) {
	const expected, remedy = "a count on a bolt circle, such as 4 x 110 mm", "write the number of bolts, x, and the diameter of their circle"
	left, right, found := strings.Cut(text, "x")
	count, err := strconv.Atoi(strings.TrimSpace(left))
	if !found || err != nil || count < 2 || count > 12 {
		return BoltCircle{}, &Problem{0, max(1, len(text)), fmt.Sprintf("%q is no bolt circle", clip(text)), expected, remedy}
	}
	diameter, err := Parse(right, Spec{Kind: Length})
	if err != nil {
		problem := err.(*Problem)
		problem.Offset += len(left) + 1
		return BoltCircle{}, problem
	}
	if diameter.Value <= 0 {
		return BoltCircle{}, &Problem{0, len(text), "a bolt circle without size", expected, remedy}
	}
	return BoltCircle{count, diameter.Value}, nil
}

// SpanUnit is a unit of waiting time.
type SpanUnit uint8

// The units in which makers and shops give lead times.
const (
	Hours SpanUnit = iota
	Days
	WorkingDays
	Weeks
	Months
)

var spanNames = [...]string{Hours: "h", Days: "days", WorkingDays: "working days", Weeks: "weeks", Months: "months"}

// Span is a waiting time as makers and shops give it. Months are calendar months, so it is no number of seconds.
type Span struct {
	Count int // of a range its long end: a plan that counts on the short one is late as often as not
	Unit  SpanUnit
	Text  string // as typed
}

// spanWords are other words for the units, as shops write them.
var spanWords = map[string]SpanUnit{
	"hour": Hours, "hours": Hours, "hr": Hours, "hrs": Hours, "day": Days, "week": Weeks, "wk": Weeks, "wks": Weeks, "month": Months, "mth": Months, "mths": Months,
	"working day": WorkingDays, "business day": WorkingDays, "business days": WorkingDays,
}

// spanRange is a count, or two of them with a dash or a word between.
var spanRange = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(\d+)(?: *(?:-|\x{2013}|to) *(\d+))? *(.*)$`)
})

// ParseSpan reads "3 weeks", "10 working days", "1 month", "4 h" and a range such as "4-6 weeks".
func ParseSpan(text string) (Span, error) {
	const expected = "a whole number of h, days, working days, weeks or months, such as 3 weeks"
	const most = 10000
	text = strings.TrimSpace(text)
	refuse := func(what, expected, remedy string) (Span, error) {
		return Span{}, &Problem{0, max(1, len(text)), what, expected, remedy}
	}
	parts := spanRange().FindStringSubmatch(text)
	if parts == nil {
		return refuse(fmt.Sprintf("%q is no waiting time", clip(text)), expected, "write a whole number, then the unit")
	}
	count, err := strconv.Atoi(parts[1])
	if parts[2] != "" && err == nil {
		least := count
		if count, err = strconv.Atoi(parts[2]); err == nil && count < least {
			return refuse(fmt.Sprintf("%q goes from long to short", clip(text)), "a range such as 4-6 weeks", "write the short end first")
		}
	}
	word := strings.TrimSpace(parts[3])
	if err != nil || count > most || strings.HasPrefix(word, ".") || strings.HasPrefix(word, ",") || parts[2] == "" && strings.HasPrefix(word, "-") {
		return refuse(fmt.Sprintf("%q is no waiting time", clip(text)), expected, "write a whole number, then the unit")
	}
	if unit := slices.Index(spanNames[:], word); unit >= 0 {
		return Span{count, SpanUnit(unit), text}, nil
	}
	if unit, ok := spanWords[strings.ToLower(word)]; ok {
		return Span{count, unit, text}, nil
	}
	remedy := "use one of these units"
	if near := Nearest(word, spanNames[:]); near != "" {
		remedy = fmt.Sprintf("did you mean %q?", near)
	}
	return refuse(fmt.Sprintf("unknown unit of time %q", clip(word)), expected, remedy)
}
