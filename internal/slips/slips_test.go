package slips

import (
	"slices"
	"strings"
	"testing"
)

const few = `sheet: 1
title: Fenmoor T285 # of 1983
today: 2027-05-03
tyre: "22x8-10"
oil: {viscosity_40c: 32 cSt, drop: -0.5 mm ± 0.05}
parts: [b-15, m.6]
`

func TestNumbersOfASheet(t *testing.T) {
	s := Of(few)
	var got []string
	for _, span := range s.spans {
		got = append(got, few[span[0]:span[1]])
	}
	if want := "1 2027 05 03 22 10 32 -0.5 0.05"; strings.Join(got, " ") != want {
		t.Errorf("%q, want %q", got, want)
	}
	for _, c := range []struct {
		slip     Slip
		was, now string
	}{
		{Slip{0, 0}, "sheet: 1", "sheet: 0"},
		{Slip{6, 1000}, "32 cSt", "32000 cSt"},
		{Slip{6, 0.001}, "32 cSt", "0.032 cSt"},
		{Slip{7, -10}, "drop: -0.5 mm", "drop: 5 mm"},
		{Slip{8, 1. / 3}, "0.05}", "0.0166667}"},
	} {
		if text, what, _ := s.With(c.slip); text != strings.Replace(few, c.was, c.now, 1) || what == "" {
			t.Errorf("%v: %s\n%s", c.slip, what, text)
		}
	}
	if text, what, lines := s.With(Slip{6, 10}, Slip{0, 2}, Slip{6, 100}); !slices.Equal(lines, []int{1, 5}) || text != strings.NewReplacer("sheet: 1", "sheet: 2", "32 cSt", "320 cSt").Replace(few) || strings.Count(what, "line") != 2 {
		t.Errorf("%s\n%s", what, text)
	}
}

// The first slip goes through all numbers of all sheets, and a text is the same whenever it is asked for.
func TestEveryNumberSlips(t *testing.T) {
	sheets := []*Sheet{Of(few), Of("a: 1\nb: 2 mm\n")}
	seen := map[int]int{}
	changed := 0
	for n := range 11 {
		i, text, what, _ := Nth(n, sheets)
		if _, again, _, _ := Nth(n, sheets); again != text || what == "" {
			t.Errorf("%d is another text the second time", n)
		}
		if text != sheets[i].Text {
			changed++
		}
		seen[i]++
	}
	if seen[0] != 9 || seen[1] != 2 || changed < 10 {
		t.Errorf("%v, %d changed", seen, changed)
	}
}
