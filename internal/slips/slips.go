// Package slips puts into the text of a sheet what a person does who slips with a number: a decimal point too far to
// the left or to the right, a wrong sign, a nought.
//
// A text goes in, and which of its numbers become how many times as much; the same text with these numbers comes out,
// units and all else as they were. It does not know what the numbers mean. Only tests use it.
package slips

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Sheet is a text with the places of its numbers.
type Sheet struct {
	Text  string
	spans [][2]int // bytes of each number, sign included
}

// number is one that stands for itself: no digits of a word such as T285 or viscosity_40c, no name such as tyre-22.
var (
	number  = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)
	comment = regexp.MustCompile(`(^|\s)#.*`)
	inWord  = regexp.MustCompile(`[A-Za-z_.]-?$`)
	signed  = regexp.MustCompile(`(^|[\s\[{,:])[-+]$`)
)

// Of finds the numbers of a sheet's text outside its comments.
func Of(text string) *Sheet {
	s := &Sheet{Text: text}
	at := 0
	for line := range strings.Lines(text) {
		code := comment.ReplaceAllString(line, "")
		for _, span := range number.FindAllStringIndex(code, -1) {
			before := code[:span[0]]
			if inWord.MatchString(before) {
				continue
			}
			if signed.MatchString(before) {
				span[0]--
			}
			s.spans = append(s.spans, [2]int{at + span[0], at + span[1]})
		}
		at += len(line)
	}
	return s
}

// Len is how many numbers the sheet has.
func (s *Sheet) Len() int { return len(s.spans) }

// Slip makes one number of a sheet so many times as much.
type Slip struct {
	Number int     // 0 to Len()-1
	Times  float64 // [-]
}

// With is the text after some slips, what they were, for people, and their lines.
func (s *Sheet) With(list ...Slip) (text, what string, lines []int) {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b Slip) int { return a.Number - b.Number })
	var out strings.Builder
	var words []string
	at := 0
	for _, slip := range list {
		span := s.spans[slip.Number]
		if span[0] < at {
			continue // the same number twice
		}
		was := s.Text[span[0]:span[1]]
		value, err := strconv.ParseFloat(was, 64)
		if err != nil {
			panic("slips: " + err.Error()) // the pattern takes nothing else
		}
		now := decimal(value * slip.Times)
		out.WriteString(s.Text[at:span[0]] + now)
		at = span[1]
		lines = append(lines, 1+strings.Count(s.Text[:span[0]], "\n"))
		words = append(words, fmt.Sprintf("line %d: %s for %s in %q", lines[len(lines)-1], now, was, around(s.Text, span)))
	}
	out.WriteString(s.Text[at:])
	return out.String(), strings.Join(words, "; "), lines
}

// around is what stands about a number, for people to find it.
func around(text string, span [2]int) string {
	from, to := max(0, span[0]-24), min(len(text), span[1]+8)
	if i := strings.LastIndexByte(text[from:span[0]], '\n'); i >= 0 {
		from += i + 1
	}
	if i := strings.IndexByte(text[span[1]:to], '\n'); i >= 0 {
		to = span[1] + i
	}
	return strings.TrimSpace(text[from:to])
}

// decimal writes a number as people do, with six digits that count.
func decimal(v float64) string {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		short = v
	}
	return strconv.FormatFloat(short, 'f', -1, 64)
}

// Nth is one of many spoilt texts, always the same for its number: one to three numbers slip, the first of them one
// after the other through all sheets. It gives the index of the sheet too.
func Nth(n int, sheets []*Sheet) (sheet int, text, what string, lines []int) {
	random := rand.New(rand.NewPCG(2027, uint64(n)))
	total := 0
	for _, s := range sheets {
		total += s.Len()
	}
	first := n % total
	for first >= sheets[sheet].Len() {
		first -= sheets[sheet].Len()
		sheet++
	}
	s := sheets[sheet]
	list := []Slip{{first, times(random)}}
	for range random.IntN(3) {
		list = append(list, Slip{random.IntN(s.Len()), times(random)})
	}
	text, what, lines = s.With(list...)
	return sheet, text, what, lines
}

// times draws what a slip makes of a number: mostly a thousandth to a thousand times as much, every other time by whole
// places of the decimal point; now and then the other sign, or nought.
func times(random *rand.Rand) float64 {
	kind := random.IntN(16)
	if kind == 0 {
		return 0
	}
	places := 6*random.Float64() - 3
	if random.IntN(2) == 0 {
		places = float64([]int{-3, -2, -1, 1, 2, 3}[random.IntN(6)])
	}
	by := math.Pow(10, places)
	if kind <= 2 {
		return -by
	}
	return by
}
