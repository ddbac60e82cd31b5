package asked

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// BrokenBuild is the error for a build that physics forbids, although each entry of the sheet for itself could be. The
// other builds of the sheet can be looked at all the same.
type BrokenBuild struct {
	Build  string
	Faults sheet.Errors
	Answer *Answer // what is known without any figure: the sheet, the build's parts, cost and dates
}

// Error says what is wrong, with the places and the build.
func (b *BrokenBuild) Error() string {
	faults := slices.Clone(b.Faults)
	for i := range faults {
		faults[i].Problem = fmt.Sprintf("in %s: %s", machine.TheBuild(b.Build), faults[i].Problem)
	}
	return faults.Error()
}

// Unwrap gives the faults.
func (b *BrokenBuild) Unwrap() error { return b.Faults }

// Words say that it cannot be computed, for people who see the faults beside it.
func (b *BrokenBuild) Words() string {
	return fmt.Sprintf("Build %q cannot be computed: physics forbids what it adds up to. Nothing of it is lost: mend what is named here, or take the part out of the build.", b.Build)
}

// Judge looks at every build of the answer's sheet: those that physics forbids, in the order of the sheet.
func (a *Answer) Judge() []*BrokenBuild { return judge(a.Sheet) }

// judge looks at every build of a sheet that was read.
func judge(s *sheet.Sheet) (list []*BrokenBuild) {
	for _, name := range s.Project.BuildNames() {
		b, err := s.Project.Resolve(name)
		if err != nil {
			panic(err) // it is one of the names
		}
		if bad := forbidden(s, b, forecast.Values(b, nil)); len(bad) > 0 {
			list = append(list, &BrokenBuild{Build: name, Faults: bad})
		}
	}
	return list
}

// forbidden gathers what the entries of a build add up to and nothing can be computed with: only the resolved machine
// shows it.
func forbidden(s *sheet.Sheet, b *machine.Build, figures []figure.Figure) (bad sheet.Errors) {
	for _, sum := range b.Broken {
		field := machine.FieldAt(sum.Path)
		shown := quantity.Show(sum.Number, 0, field.Span.Unit)
		bad = append(bad, s.Diagnose(sum.Origin, fmt.Sprintf("with this, %s comes to %s, with which nothing can be computed", sum.Path, shown), "a sum "+field.Allowed(), "look at what the parts of this build add up to"))
	}
	for _, f := range figures {
		if f.ID == "engine.compression_ratio" && f.State == figure.Cannot && !strings.HasPrefix(f.Why, "needs ") {
			for _, at := range suspects(b, "engine.chamber.") {
				bad = append(bad, s.Diagnose(at, f.Why, "a compression ratio above 1", "look for a slip in one of the volumes or its unit"))
			}
		}
	}
	return bad
}

// suspects are where the inputs of a group were written that make something impossible of a build: the one that is not
// usual, or every line of the group when all are, or several not.
func suspects(b *machine.Build, group string) (list []figure.Origin) {
	var odd []figure.Origin
	for _, path := range slices.Sorted(maps.Keys(b.Values)) {
		v := b.Values[path]
		at := largestOf(b, path)
		if !strings.HasPrefix(path, group) || v.Field.Shape != machine.Number || at.Line == 0 {
			continue
		}
		if !v.Field.IsUsual(b.Text("layout"), b.Project.Number(v)) {
			odd = append(odd, at)
		}
		if !slices.ContainsFunc(list, func(o figure.Origin) bool { return o.File == at.File && o.Line == at.Line }) {
			list = append(list, at)
		}
	}
	if len(odd) == 1 {
		return odd
	}
	return list
}

// refused are the faults of builds that were not broken before, each with the builds that it stands in; nil when there
// are none.
func refused(now, before []*BrokenBuild, builds int) error {
	var bad sheet.Errors
	var in [][]string // names, beside bad
	for _, b := range now {
		if slices.ContainsFunc(before, func(old *BrokenBuild) bool { return old.Build == b.Build }) {
			continue // it was so already: the sheet must be free to be mended step by step
		}
		for _, fault := range b.Faults {
			i := slices.Index(bad, fault)
			if i < 0 {
				i = len(bad)
				bad, in = append(bad, fault), append(in, nil)
			}
			in[i] = append(in[i], fmt.Sprintf("%q", b.Build))
		}
	}
	if len(bad) == 0 {
		return nil
	}
	for i := range bad {
		switch {
		case len(in[i]) == builds:
		case len(in[i]) == 1:
			bad[i].Problem = "in build " + in[i][0] + ": " + bad[i].Problem
		default:
			bad[i].Problem = "in builds " + strings.Join(in[i], ", ") + ": " + bad[i].Problem
		}
	}
	return bad
}

// IsBroken is the broken build of an error, if that is what it tells of.
func IsBroken(err error) (*BrokenBuild, bool) { return errors.AsType[*BrokenBuild](err) }
