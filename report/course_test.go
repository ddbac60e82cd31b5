package report

import (
	"strings"
	"testing"
)

// The key of the map uses the words in which the sections are told, and only those of what limits on this course.
func TestKeyOfTheMap(t *testing.T) {
	places := func(limits ...string) CourseMap {
		m := CourseMap{Title: "course"}
		for i, limit := range limits {
			m.Places = append(m.Places, CoursePlace{X: float64(10 * i), Y: float64(i % 2), Section: i, Limit: limit})
		}
		m.Places = append(m.Places, CoursePlace{X: 200})
		return m
	}
	few := string(places("power", "tipping", "jump", "corner grip").SVG())
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
	var all []string
	for _, k := range limitKinds {
		all = append(all, k.limits...)
	}
	m := places(all...)
	var b strings.Builder
	if last := m.key(&b, 100, 520); last < 100+keyRow || !strings.Contains(b.String(), ">drive grip, corner grip, braking grip<") {
		t.Errorf("the key ends at %v:\n%s", last, b.String())
	}
}
