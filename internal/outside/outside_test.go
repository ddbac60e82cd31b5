package outside

import (
	"fmt"
	"math"
	"os"
	"testing"
)

// spy is a testing.TB that notes failures in place of failing.
type spy struct {
	testing.TB
	failed, fatal, skipped bool
}

func (s *spy) Helper()                   {}
func (s *spy) Name() string              { return "spy" }
func (s *spy) Errorf(string, ...any)     { s.failed = true }
func (s *spy) Fatalf(f string, a ...any) { s.fatal = true; panic(fmt.Sprintf(f, a...)) }
func (s *spy) Skip(...any)               { s.skipped = true; panic("skip") }

func try(f func(*spy)) *spy {
	s := &spy{}
	func() {
		defer func() { _ = recover() }()
		f(s)
	}()
	return s
}

// A check must be able to fail.
func TestChecksCanFail(t *testing.T) {
	t.Setenv("SHAKEDOWN_VERIFICATION", "")
	good := Check{ID: "x", Name: "n", Unit: "1", Got: 1, Want: 1, Tol: 0.1, Source: "s", Known: []Known{Seen}}
	vary := func(change func(*Check)) Check { c := good; change(&c); return c }
	for name, c := range map[string]struct {
		check         Check
		failed, fatal bool
	}{
		"good":            {good, false, false},
		"off":             {vary(func(c *Check) { c.Got = 1.2 }), true, false},
		"off, relative":   {vary(func(c *Check) { c.Got, c.Want, c.Relative = 120, 100, true }), true, false},
		"NaN":             {vary(func(c *Check) { c.Got = math.NaN() }), true, false},
		"trap met":        {vary(func(c *Check) { c.Trap = true }), true, false},
		"trap avoided":    {vary(func(c *Check) { c.Trap, c.Got = true, 2 }), false, false},
		"trap with NaN":   {vary(func(c *Check) { c.Trap, c.Got = true, math.NaN() }), true, false},
		"known miss":      {vary(func(c *Check) { c.Got, c.Miss = 1.3, 0.4 }), false, false},
		"larger miss":     {vary(func(c *Check) { c.Got, c.Miss = 1.5, 0.4 }), true, false},
		"miss that went":  {vary(func(c *Check) { c.Miss = 0.4 }), true, false},
		"miss with NaN":   {vary(func(c *Check) { c.Got, c.Miss = math.NaN(), 0.4 }), true, false},
		"no source":       {vary(func(c *Check) { c.Source = " " }), false, true},
		"not known how":   {vary(func(c *Check) { c.Known = nil }), false, true},
		"no id":           {vary(func(c *Check) { c.ID = "" }), false, true},
		"no tolerance":    {vary(func(c *Check) { c.Tol, c.Got, c.Want = 0, 1.5, 1.5 }), false, true},
		"whole, exact":    {vary(func(c *Check) { c.Tol = 0 }), false, false},
		"whole, not same": {vary(func(c *Check) { c.Tol, c.Got = 0, 2 }), true, false},
	} {
		s := try(func(s *spy) { c.check.Run(s) })
		if s.failed != c.failed || s.fatal != c.fatal {
			t.Errorf("%s: failed %v, fatal %v", name, s.failed, s.fatal)
		}
	}
}

func TestReferenceFolder(t *testing.T) {
	t.Setenv("SHAKEDOWN_REFERENCES", "")
	if s := try(func(s *spy) { Folder(s) }); !s.skipped {
		t.Error("not set, and not skipped")
	}
	t.Setenv("SHAKEDOWN_REFERENCES", "/there/is/no/such/folder")
	if s := try(func(s *spy) { Folder(s) }); !s.fatal {
		t.Error("set and missing, and not failed")
	}
	dir := t.TempDir()
	t.Setenv("SHAKEDOWN_REFERENCES", dir)
	if s := try(func(s *spy) {
		if Folder(s) != dir {
			t.Error("another folder")
		}
	}); s.fatal || s.skipped {
		t.Error("set and there, and not used")
	}
}

// Where the reference files are at hand, the ledgers that the rows quote are among them.
func TestOutsideReferencesAreThere(t *testing.T) {
	folder := Folder(t)
	for _, name := range []string{"chassis.md", "engine.md", "planning.md"} {
		if info, err := os.Stat(folder + "/" + name); err != nil || info.Size() < 1000 {
			t.Errorf("%s is missing in the reference folder: %v", name, err)
		}
	}
}
