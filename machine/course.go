package machine

import (
	"maps"
	"slices"
	"strings"

	"shakedown/quantity"
)

// OwnCourse says that the course is the owner's: its sections are given, none of their numbers is typical, and they are
// not those of the template, which a new sheet begins with.
func (b *Build) OwnCourse() bool {
	own, any := false, false
	for _, path := range slices.Sorted(maps.Keys(b.Values)) {
		if !strings.HasPrefix(path, "track.sections[") {
			continue
		}
		any = true
		if b.IsTypical(path) {
			return false
		}
		own = own || !b.IsTemplate(path)
	}
	return any && own
}

// IsTemplate says that the value at the path is the template's, which a new sheet begins with.
func (b *Build) IsTemplate(path string) bool {
	text, v := Typical(b.Text("layout"), path), b.Values[path]
	if text == "" || v.Field == nil || v.Field.Shape != Number {
		return text == v.Text
	}
	q, err := quantity.Parse(text, v.Field.Spec)
	return err == nil && q.Value == b.Project.Number(v)
}

// IsTypical says that the number at the path, or a part of it, is a usual one, because nobody gave it.
func (b *Build) IsTypical(path string) bool {
	return guessed(b.Project, b.Values[path])
}
