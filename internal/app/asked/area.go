package asked

import (
	"slices"
	"strings"

	"shakedown/machine"
)

// InArea is what there is to show of the parts of one area of the machine.
type InArea[T any] struct {
	Area  string
	Parts []T
}

// ByArea gathers what a function makes of parts, without those that it leaves out, area by area.
func ByArea[T any](parts []machine.Part, of func(part *machine.Part) (T, bool)) []InArea[T] {
	var groups []InArea[T]
	for i := range parts {
		one, in := of(&parts[i])
		if !in {
			continue
		}
		area := areaOf(&parts[i])
		g := slices.IndexFunc(groups, func(g InArea[T]) bool { return g.Area == area })
		if g < 0 {
			g = len(groups)
			groups = append(groups, InArea[T]{Area: area})
		}
		groups[g].Parts = append(groups[g].Parts, one)
	}
	slices.SortStableFunc(groups, func(a, b InArea[T]) int { return areaRank(a.Area) - areaRank(b.Area) })
	return groups
}

// areas are where on the machine a part belongs, by the first step of what it sets or adds to, in the order of showing.
var areas = []struct{ first, name string }{{"engine", "Engine"}, {"driveline", "Driveline"}, {"geometry", "Chassis"}, {"rider", "Chassis"}, {"tank", "Chassis"}, {"mass", "Chassis"},
	{"wheels", "Wheels and axle"}, {"suspension", "Suspension"}, {"brakes", "Brakes"}, {"", "Work and the rest"}}

func areaOf(part *machine.Part) string {
	for _, list := range [][]machine.Entry{part.Sets, part.Adds} {
		for _, e := range list {
			first, _, _ := strings.Cut(e.Path, ".")
			for _, a := range areas {
				if a.first == first {
					return a.name
				}
			}
		}
	}
	if len(part.Masses) > 0 {
		return "Chassis"
	}
	return areas[len(areas)-1].name
}

func areaRank(name string) int {
	for i, a := range areas {
		if a.name == name {
			return i
		}
	}
	return len(areas)
}
