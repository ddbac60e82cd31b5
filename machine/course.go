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
		v := b.Values[path]
		any = true
		if slices.ContainsFunc(v.Terms, func(i int) bool { return b.Project.Atoms[i].Q.Known == quantity.Typical }) {
			return false
		}
		own = own || !b.templates(path, v)
	}
	return any && own
}

// templates says that a value is the template's.
func (b *Build) templates(path string, v Value) bool {
	text := Typical(b.Text("layout"), path)
	if text == "" || v.Field.Shape != Number {
		return text == v.Text
	}
	q, err := quantity.Parse(text, v.Field.Spec)
	return err == nil && q.Value == b.Project.Number(v)
}
