package sheet

import (
	"fmt"
	"regexp"
	"strings"
	"sync"

	"shakedown/machine"
	"shakedown/quantity"
)

// bore is the input that oversizes are of.
const bore = "engine.bore"

// oversized finds an oversize: "+1 mm", "0.020 over", "0.50 mm oversize", "20 thou o/s".
var oversized = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(?:\+ *(.+?)|(.+?) *(?:over|oversize|o/s))$`)
})

// thousandths are the oversizes that are named without a unit: three decimals below an eighth of an inch are inches.
// Oversizes in millimetres go by quarters and have two. Common practice.
var thousandths = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^0?\.(0\d\d|1[0-2]\d)$`) })

// oversize reads what a part sets the bore to as an oversize on the machine's own bore. Meant is false for what is
// none. The error says what is wrong with one.
func oversize(path, text string, spec quantity.Spec) (q quantity.Quantity, meant bool, err error) {
	found := oversized().FindStringSubmatch(strings.TrimSpace(text))
	if path != bore || found == nil {
		return q, false, nil
	}
	size := strings.TrimSpace(found[1] + found[2])
	if thousandths().MatchString(size) {
		size += " in"
	} else if strings.Trim(size, "0123456789.,") == "" {
		return q, true, &quantity.Problem{Offset: 0, Length: len(text), What: fmt.Sprintf("the oversize %q has no unit", clip(text)), Expected: "an oversize such as +1 mm, 0.50 mm over or 0.020 over, which is inches", Remedy: "write mm or in behind the number"}
	}
	if q, err = quantity.Parse(size, spec); err != nil {
		if p, ok := err.(*quantity.Problem); ok {
			p.Offset, p.Length = 0, len(text)
		}
		return q, true, err
	}
	const most = 0.010 // [m]
	if q.Value <= 0 || q.Value > most {
		return q, true, &quantity.Problem{Offset: 0, Length: len(text), What: fmt.Sprintf("%q is no oversize", clip(text)), Expected: "an oversize above zero and up to 10 mm on the machine's bore", Remedy: "write the whole bore without a sign, such as 75.5 mm, or look at the digits"}
	}
	q.Text = text
	return q, true, nil
}

// over reads an oversize that a part sets; meant is false for what is none.
func (w *walker) over(part *machine.Part, e entry) (meant bool) {
	text, t, ok := scalar(e.value)
	if !ok {
		return false
	}
	field := machine.FieldAt(e.name)
	spec := field.Spec
	spec.Default = quantity.Claimed
	q, meant, err := oversize(e.name, text, spec)
	if err != nil {
		w.problem(err, t)
		return true
	}
	if !meant {
		return false
	}
	origin := w.origin(t)
	atom := w.project.AddAtom(machine.Atom{Path: e.name, Q: q, Origin: origin})
	part.Sets = append(part.Sets, machine.Entry{Path: e.name, Value: machine.Value{Field: field, Text: text, Terms: []int{atom}, Over: true, Origin: origin}})
	return true
}
