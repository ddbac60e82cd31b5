package quantity

import (
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestLettersNotBytes(t *testing.T) {
	for text, want := range map[string]string{
		"Ölkühler fehlt": "ölkühler fehlt", "The rear wheel": "the rear wheel", "A rear tyre": "a rear tyre", "RON 95 is needed": "RON 95 is needed", "T285": "T285", "X-ring chain": "X-ring chain",
		"DOT 4": "DOT 4", "Émile's hub": "émile's hub", "O\u0308l": "o\u0308l", "": "", "12 teeth": "12 teeth", "Ø 12 mm": "ø 12 mm", "\xc3": "\xc3",
	} {
		if got := Lower(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"ölkühler": "Ölkühler", "the axle": "The axle", "": "", "12 teeth": "12 teeth", "\xc3": "\xc3", `"full"`: `"full"`} {
		if got := Capital(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
	// Columns counted by hand: eight letters; one letter with a mark over it; two letters of two columns each; a joiner
	// that is not shown.
	for text, want := range map[string]int{"ölkühler": 8, "o\u0308l": 2, "車輪": 4, "a\u200db": 2, "": 0} {
		if got := Width(text); got != want {
			t.Errorf("%q takes %d columns, want %d", text, got, want)
		}
	}
}

func TestNumbersOfThings(t *testing.T) {
	for n, want := range map[int]string{0: "No parts", 1: "One part", 10: "Ten parts", 11: "11 parts"} {
		if got := Counted(n) + " " + Plural(n, "part", "parts"); got != want {
			t.Errorf("%d is %q, want %q", n, got, want)
		}
	}
}

func TestNoLetterIsCut(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.String().Draw(r, "text")
		if !utf8.ValidString(Lower(text)) || !utf8.ValidString(Capital(text)) {
			r.Fatalf("%q is cut: %q, %q", text, Lower(text), Capital(text))
		}
	})
}
