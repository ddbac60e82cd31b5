// Package outside holds the tests' checks against something outside the project:
// standards, handbook examples, exact solutions, facts of the trade.
//
// Every check names its source and how that source is known. A check without either fails. When the
// environment variable SHAKEDOWN_VERIFICATION names a folder, each check also leaves a line there, from which
// docs/verification.md is made (make verification). Only tests import this package.
package outside

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// Known says how a check value is known.
type Known string

// The four ways in which a check value can be known.
const (
	Seen     Known = "seen"            // read in the source named
	Computed Known = "computed"        // worked out independently of this program from the formula named
	Memory   Known = "memory"          // recalled; not read again when the row was written
	Practice Known = "common practice" // a rule of the trade without a published source
)

// Check is one value held against something outside.
type Check struct {
	ID       string  // a short name, which orders the rows of one room; the page does not show it
	Name     string  // what is compared, in words
	Got      float64 // [Unit] what the program says
	Want     float64 // [Unit] what the source says
	Tol      float64 // [Unit] largest difference allowed; a share of Want if Relative
	Relative bool
	Unit     string // as printed in the table; "1" for a pure number
	Source   string
	Known    []Known
	Miss     float64 // [Unit] the program misses Want, is known to, and by no more than this; 0 for no such miss
	Trap     bool    // Want is an error in circulation that the program must not reproduce within Tol
}

// Run makes the check and records it for the verification table.
func (c Check) Run(t testing.TB) {
	t.Helper()
	if c.ID == "" || c.Name == "" || c.Unit == "" {
		t.Fatalf("outside: a check needs an id, a name and a unit: %+v", c)
	}
	if strings.TrimSpace(c.Source) == "" || len(c.Known) == 0 {
		t.Fatalf("outside: %s (%s) names no source, or not how it is known", c.ID, c.Name)
	}
	if c.Tol <= 0 && !(c.Tol == 0 && c.Got == math.Trunc(c.Got)) {
		t.Fatalf("outside: %s (%s): a tolerance of %g can only hold for whole numbers", c.ID, c.Name, c.Tol)
	}
	width := c.Tol
	if c.Relative {
		width = c.Tol * math.Abs(c.Want)
	}
	near := math.Abs(c.Got-c.Want) <= width // false for NaN
	pass := near
	if c.Miss > 0 { // reported, and looked at again when it has gone
		pass = !near && math.Abs(c.Got-c.Want) <= c.Miss
	}
	if c.Trap {
		pass = !near && !math.IsNaN(c.Got)
	}
	c.record(t, pass)
	switch {
	case !pass && c.Trap:
		t.Errorf("%s %s: got %.8g %s, which is the known error %.8g (%s)", c.ID, c.Name, c.Got, c.Unit, c.Want, c.Source)
	case !pass && c.Miss > 0 && near:
		t.Errorf("%s %s: got %.8g %s, which is right by now: take the mark of a miss off", c.ID, c.Name, c.Got, c.Unit)
	case !pass && c.Miss > 0:
		t.Errorf("%s %s: got %.8g %s, want %.8g; that is further off than the miss of %.3g that is known", c.ID, c.Name, c.Got, c.Unit, c.Want, c.Miss)
	case !pass:
		t.Errorf("%s %s: got %.8g %s, want %.8g within %.3g (%s)", c.ID, c.Name, c.Got, c.Unit, c.Want, width, c.Source)
	}
}

// Row is one line of the verification table, as left by Run.
type Row struct {
	Package, Test, ID, Name, Unit, Source string
	Got, Want, Tol, Miss                  float64 // [-] each in Unit; limited to the digits printed
	Relative, Trap, Pass                  bool
	Known                                 []Known
}

var recording sync.Mutex

func (c Check) record(t testing.TB, pass bool) {
	t.Helper()
	folder := os.Getenv("SHAKEDOWN_VERIFICATION")
	if folder == "" {
		return
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	line, err := json.Marshal(Row{
		Package: filepath.Base(here), Test: t.Name(), ID: c.ID, Name: c.Name, Unit: c.Unit, Source: c.Source,
		Got: c.Got, Want: c.Want, Tol: c.Tol, Miss: c.Miss, Relative: c.Relative, Trap: c.Trap, Pass: pass, Known: c.Known,
	})
	if err != nil {
		t.Fatalf("outside: %s: %v", c.ID, err)
	}
	recording.Lock()
	defer recording.Unlock()
	name := filepath.Join(folder, strings.ReplaceAll(strings.Trim(filepath.ToSlash(here), "/"), "/", "_")+".jsonl")
	file, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fmt.Fprintf(file, "%s\n", line); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
}

// Folder is where the reference files lie that are read in place and never copied into the project.
// It fails the test when SHAKEDOWN_REFERENCES names a folder that is not there, and skips it when the variable is
// not set.
func Folder(t testing.TB) string {
	t.Helper()
	folder := os.Getenv("SHAKEDOWN_REFERENCES")
	if folder == "" {
		t.Skip("SHAKEDOWN_REFERENCES is not set: the reference files are not here, so this check is left out")
	}
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		t.Fatalf("SHAKEDOWN_REFERENCES names %q, which is no folder", folder)
	}
	return folder
}
