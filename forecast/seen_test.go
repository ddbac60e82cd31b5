package forecast

import (
	"context"
	"errors"
	"sync"
	"testing"

	"shakedown/forecast/ranges"
	"shakedown/forecast/torque"
	"shakedown/machine"
	"shakedown/sheet"
)

// drawer keeps results.
type drawer struct{ sync.Map }

func (d *drawer) Kept(_ context.Context, key string) ([]byte, bool) {
	v, ok := d.Load(key)
	if !ok {
		return nil, false
	}
	return v.([]byte), true
}

func (d *drawer) Keep(_ context.Context, key string, value []byte) error {
	d.Store(key, value)
	return nil
}

// What was looked for is the same until it comes, goes or is another; what nobody has looked for does not matter.
func TestSeenResults(t *testing.T) {
	s, err := sheet.Read("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	resolve := func(name string) *machine.Build {
		b, err := s.Project.Resolve(name)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	full, other := resolve("full"), resolve("as-found")
	d := &drawer{}
	known, seen := NewResults(d).Noted()
	if !seen.Same(t.Context()) {
		t.Error("nothing was looked for, and it is not the same")
	}
	if _, err := known.Curve(t.Context(), full, nil); !errors.Is(err, ranges.ErrWaiting) {
		t.Fatal(err)
	}
	d.Store(torque.CurveKey(other), []byte(`{}`))
	if !seen.Same(t.Context()) {
		t.Error("a curve that nobody has looked for has come, and it is not the same")
	}
	for _, text := range []string{`{"From":1}`, `{"From":2}`, ``} {
		d.Store(torque.CurveKey(full), []byte(text))
		if seen.Same(t.Context()) {
			t.Errorf("%q has come, and it is the same", text)
		}
		known, seen = NewResults(d).Noted()
		_, _ = known.Usual().Curve(t.Context(), full, nil) // looks for nothing
		_, _ = known.Together(t.Context(), full).Curve(t.Context(), full, nil)
		if !seen.Same(t.Context()) {
			t.Errorf("%q is there still, and it is not the same", text)
		}
	}
	d.Delete(torque.CurveKey(full))
	if seen.Same(t.Context()) {
		t.Error("it has gone, and it is the same")
	}
}
