package report

import (
	"slices"
	"strings"
	"testing"
)

// The key of the map uses the words in which the sections are told, and only those of what limits on this course.
func TestKeyOfTheMap(t *testing.T) {
	power, hand := CourseLimit{"power", 0}, CourseLimit{"brake at the hand's limit", 3}
	grip := []CourseLimit{{"drive grip", 1}, {"corner grip", 1}, {"braking grip", 1}}
	balance := []CourseLimit{{"tipping", 2}, {"tipping under braking", 2}, {"wheelie", 2}, {"stoppie", 2}, {"nose-over", 2}}
	ground := []CourseLimit{{"whoops", 4}, {"jump", 4}}
	places := func(limits ...CourseLimit) CourseMap {
		m := CourseMap{Title: "course", Limits: limits}
		for i, limit := range limits {
			m.Places = append(m.Places, CoursePlace{X: float64(10 * i), Y: float64(i % 2), Section: i, Limit: limit})
		}
		m.Places = append(m.Places, CoursePlace{X: 200})
		return m
	}
	few := string(places(power, grip[1], balance[0], ground[1]).SVG())
	for _, want := range []string{">power<", ">corner grip<", ">tipping<", ">jump<"} {
		if !strings.Contains(few, want) {
			t.Errorf("the key lacks %s", want)
		}
	}
	for _, not := range []string{"balance", "whoops", "wheelie", "hand"} {
		if strings.Contains(few, not) {
			t.Errorf("the key has %q, which nothing on this course is told by", not)
		}
	}
	// With all that there is, it takes more than one line and stays inside the picture.
	m := places(slices.Concat([]CourseLimit{power}, grip, balance, []CourseLimit{hand}, ground)...)
	var b strings.Builder
	if last := m.key(&b, 100, 520); last < 100+keyRow || !strings.Contains(b.String(), ">drive grip, corner grip, braking grip<") {
		t.Errorf("the key ends at %v:\n%s", last, b.String())
	}
}
