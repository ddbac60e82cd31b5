// Package byhand holds the figures of small machines of round numbers against sums on paper.
//
// The text of a sheet and rows of figure, value and sum go in; what differs is told. Only tests use it.
package byhand

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"shakedown/figure"
	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// Row is a figure with its value as worked out on paper, and the sum.
type Row struct {
	ID   string
	Want float64 // [unit of the figure]
	Sum  string
}

// digits is how far a value worked out on paper may be off, of itself [-]: seven digits stand in the tables.
const digits = 1e-6

// Project is what a sheet says, with some of its text changed, old and new in turn. Each old text stands in it once.
func Project(t testing.TB, text string, changes ...string) *machine.Project {
	t.Helper()
	for i := 0; i < len(changes); i += 2 {
		if n := strings.Count(text, changes[i]); n != 1 {
			t.Fatalf("the sheet holds %q %d times", changes[i], n)
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	s, err := sheet.Parse(&sheet.File{Name: "x.yaml", Text: []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return s.Project
}

// Build is a build of a sheet, changed as for Project.
func Build(t testing.TB, text, build string, changes ...string) *machine.Build {
	t.Helper()
	b, err := Project(t, text, changes...).Resolve(build)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// NoParts ends a sheet that has no parts; WithParts puts some in its place.
const NoParts = "builds: {as-found: []}\n"

// WithParts is a build of a sheet that ends in NoParts with parts and builds, as lines of the sheet, in place of that.
func WithParts(t testing.TB, text, parts, builds, build string, changes ...string) *machine.Build {
	t.Helper()
	whole := "parts:\n" + parts + "builds: {as-found: [], " + builds + "}\n"
	return Build(t, text, build, append([]string{NoParts, whole}, changes...)...)
}

// Figures are the values of those definitions that a build has, each in the unit of its figure, and why there is none
// of the others.
func Figures(list []ranges.Definition, b *machine.Build) (values map[string]float64, why map[string]string) {
	values, why = map[string]float64{}, map[string]string{}
	for _, d := range list {
		if !d.Applies(b) {
			continue
		}
		f := ranges.NewEvaluator(b, nil).Quick(d)
		if f.State != figure.Ready {
			why[d.ID] = f.Why
			continue
		}
		values[d.ID] = f.Unit.FromSI(f.Value)
	}
	return values, why
}

// Holds compares the figures of a build with those worked out on paper. Rows are of any type like Row, so that a room
// can write them without names.
func Holds[R ~struct {
	ID   string
	Want float64 // [unit of the figure]
	Sum  string
}](t testing.TB, name string, list []ranges.Definition, b *machine.Build, rows []R) {
	t.Helper()
	values, why := Figures(list, b)
	for _, row := range rows {
		r := Row(row)
		got, ok := values[r.ID]
		switch {
		case !ok:
			t.Errorf("%s: no %s: %s", name, r.ID, why[r.ID])
		case !(math.Abs(got-r.Want) <= digits*math.Abs(r.Want)):
			t.Errorf("%s: %s is %.9g, by hand %.9g: %s", name, r.ID, got, r.Want, r.Sum)
		}
	}
}

// HasNot says that a build is without figures.
func HasNot(t testing.TB, name string, list []ranges.Definition, b *machine.Build, ids ...string) {
	t.Helper()
	values, why := Figures(list, b)
	for _, id := range ids {
		if !slices.ContainsFunc(list, func(d ranges.Definition) bool { return d.ID == id }) {
			t.Errorf("%s: there is no figure %s at all", name, id)
		}
		if _, ok := values[id]; ok || why[id] != "" {
			t.Errorf("%s has a figure %s", name, id)
		}
	}
}

// Same says that the figures of two builds are alike to a share [-], but for those that are named: they differ.
func Same(t testing.TB, name string, list []ranges.Definition, one, other *machine.Build, share float64, but ...string) {
	t.Helper()
	a, _ := Figures(list, one)
	b, why := Figures(list, other)
	if len(a) != len(b) {
		t.Errorf("%s: %d figures and %d: %v", name, len(a), len(b), why)
	}
	for id, v := range a {
		if alike := math.Abs(b[id]-v) <= share*math.Abs(v); alike == slices.Contains(but, id) {
			t.Errorf("%s: %s is %.10g and %.10g", name, id, v, b[id])
		}
	}
}

// customary are units and what stands in their place in the United States.
var customary = [][2]string{
	{"N/mm", "lbf/in"}, {"mm", "in"}, {"cm2", "in2"}, {"cc", "in3"}, {"kg", "lb"}, {"g", "oz"}, {"bar", "psi"},
	{"MPa", "psi"}, {"N", "lbf"}, {"l", "gal"}, {"C", "F"},
}

// USUnits is a sheet of flow mappings with its numbers in the units of the United States, to 17 digits.
func USUnits(text string) string {
	for _, pair := range customary {
		from, to := quantity.MustUnit(pair[0]), quantity.MustUnit(pair[1])
		var out strings.Builder
		for {
			i := strings.Index(text, " "+pair[0])
			if i < 0 {
				break
			}
			start, end := strings.LastIndexAny(text[:i], " [{")+1, text[i+1+len(pair[0]):]
			var number float64
			n, _ := fmt.Sscanf(text[start:i], "%g", &number)
			if n == 1 && (end == "" || strings.ContainsRune(",}] \n", rune(end[0]))) {
				fmt.Fprintf(&out, "%s%.17g %s", text[:start], to.FromSI(from.ToSI(number)), pair[1])
			} else {
				out.WriteString(text[:i+1+len(pair[0])])
			}
			text = end
		}
		text = out.String() + text
	}
	return text
}
