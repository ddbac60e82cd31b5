package quantity

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Lower makes the first letter small, for words that go on behind a colon or inside a sentence. An abbreviation or a
// model's name keeps its letters: a first word with another capital or a digit in it, or a single letter before a
// hyphen.
func Lower(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 || first == utf8.RuneError {
		return text
	}
	for i, r := range text[size:] {
		if i == 0 && r == '-' || unicode.IsUpper(r) || unicode.IsDigit(r) {
			return text
		}
		if !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) {
			break
		}
	}
	return string(unicode.ToLower(first)) + text[size:]
}

// Signed is a number with so many decimals and its sign: a plus before what is above none.
func Signed(number float64, decimals int) string {
	text := Number(number, decimals)
	if number > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// Capital makes the first letter large, for the beginning of a sentence.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 || first == utf8.RuneError {
		return text
	}
	return string(unicode.ToTitle(first)) + text[size:]
}

// Plural is the word for so many: one for 1, many for any other number.
func Plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// Counted is a number of things, 0 or more, at the beginning of a sentence: in words up to ten.
func Counted(n int) string {
	words := []string{"No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

// Slug makes a file name of a name: its small Latin letters and digits, with hyphens between; "machine" when it has
// none.
func Slug(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if text := strings.Trim(b.String(), "-"); text != "" {
		return text
	}
	return "machine"
}

// Width is how many columns a text takes on a terminal [-]: marks that stand over a letter and what is not shown take
// none, the letters of East Asia two.
func Width(text string) int {
	columns := 0
	for _, r := range text {
		switch {
		case r != '\t' && unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf, unicode.Cc):
		case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul), r >= 0xff01 && r <= 0xff60, r >= 0x1f300 && r <= 0x1faff:
			columns += 2
		default:
			columns++
		}
	}
	return columns
}
