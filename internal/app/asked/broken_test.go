package asked

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"shakedown/sheet"
)

// faultsOf are the errors in a sheet's text behind an error.
func faultsOf(err error) sheet.Errors {
	bad, _ := errors.AsType[sheet.Errors](err)
	return bad
}

// A chamber that the piston fills is refused where it is not as chambers are. A deck of -6.8 mm takes pi/4 x 7.55^2 x
// 0.68 = 30.4 cc under a piston of 75.5 mm and, with its dome of 8.6 cc, more than the 37.7 cc of head and gasket: the
// dome is as domes are, the deck is not. A dome of 29 cc in a chamber of 20 + 3.7 + 1.8 cc fills it too, and all are as
// usual: it may be any of them.
func TestAFilledChamberIsRefusedInItsPlace(t *testing.T) {
	whole, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	text := string(whole)
	for _, c := range []struct {
		slips []string // was, is
		at    []string // what stands on the lines that are named
	}{
		{[]string{"deck: 0.4 mm", "deck: -6.8 mm"}, []string{"-6.8 mm"}},
		{[]string{"head: 34.0 cc", "head: 20 cc", "dome: 8.6 cc", "dome: 29 cc"}, []string{"dome: 29 cc", "head: 20 cc"}},
	} {
		slipped := strings.NewReplacer(c.slips...).Replace(text)
		_, err := Ask(Question{Text: &sheet.File{Name: "x.yaml", Text: []byte(slipped)}, Now: time.Now()})
		faults := faultsOf(err)
		if len(faults) != len(c.at) {
			t.Fatalf("%v: %v", c.slips, err)
		}
		for _, at := range c.at {
			if !slices.ContainsFunc(faults, func(f sheet.Diagnostic) bool { return strings.Contains(f.Excerpt, at) }) {
				t.Errorf("%v: nothing at %q: %v", c.slips, at, err)
			}
		}
	}
}
