package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/forecast/torque"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/engine"
)

// A build with one engine part more than its baseline: what it does alone, what it does last and what all do together
// are one and the same; and together is what the two curves say.
func TestTorqueOfOnePart(t *testing.T) {
	w := openWorkshop(t)
	id := fenmoor(t, w).Machine
	if _, err := w.AddBuild(t.Context(), id, "piped", "club"); err != nil {
		t.Fatal(err)
	}
	if _, err := w.SwitchPart(t.Context(), id, "piped", "head-pipe", true); err != nil {
		t.Fatal(err)
	}
	a, _, err := w.Ask(t.Context(), id, asked.Question{Build: "piped", Against: "club"})
	if err != nil {
		t.Fatal(err)
	}
	c := engine.Begun(a)
	if there, err := w.TorqueOfPartsKept(t.Context(), a, c, "test"); there || c.Parts != nil || err != nil {
		t.Fatalf("before it was worked out: %+v, %v", c.Parts, err)
	}
	told := 0
	if err := w.TorqueOfParts(t.Context(), a, "test", func(ready, total int) { told = ready }); err != nil {
		t.Fatal(err)
	}
	there, err := w.TorqueOfPartsKept(t.Context(), a, c, "test")
	k := c.Parts
	if err != nil || !there || k == nil || len(k.Parts) != 1 || told == 0 {
		t.Fatalf("%+v, %v, %d told", k, err, told)
	}
	p := k.Parts[0]
	if p.Part != "head-pipe" || p.Alone != p.Last || p.Alone != k.Whole || k.Sum() != k.Whole || p.Alone.Mean == 0 {
		t.Errorf("one part gives %+v, together %+v", p, k.Whole)
	}
	before, err := torque.ComputeCurve(t.Context(), a.Baseline, nil)
	if err != nil {
		t.Fatal(err)
	}
	after, err := torque.ComputeCurve(t.Context(), a.Build, nil)
	if err != nil {
		t.Fatal(err)
	}
	if want := after.Power.Value - before.Power.Value; k.Whole.Power != want {
		t.Errorf("peak power changes by %g kW, the curves by %g", k.Whole.Power, want)
	}
	if text := k.Answer().Lead; !strings.Contains(text, "head-pipe does most alone") || !strings.Contains(text, "not worked out here") {
		t.Errorf("it says %q", text)
	}
	var read struct {
		Parts []struct {
			Part string
			Mean *float64 `json:"alone_mean_torque_nm"`
		}
	}
	var text bytes.Buffer
	if err := k.Answer().WriteJSON(&text, "test"); err != nil || json.Unmarshal(text.Bytes(), &read) != nil || len(read.Parts) != 1 || read.Parts[0].Mean == nil || math.Abs(*read.Parts[0].Mean-p.Alone.Mean) > 1e-9 {
		t.Errorf("as JSON %s, %v", &text, err)
	}
	var table bytes.Buffer
	if err := k.Answer().WriteText(&table); err != nil || !strings.Contains(table.String(), "sum of each alone") || !strings.Contains(table.String(), "together") {
		t.Errorf("%v\n%s", err, &table)
	}
}

// What the engine does not see changes nothing, and is said to.
func TestTorqueOfPartsThatDoNothing(t *testing.T) {
	w := openWorkshop(t)
	a, _, err := w.Ask(t.Context(), fenmoor(t, w).Machine, asked.Question{Build: "club", Against: "as-found"})
	if err != nil {
		t.Fatal(err)
	}
	k, err := engine.PartsOf(t.Context(), a, NewResults(), nil)
	if err != nil || len(k.Parts) != 0 || !strings.HasPrefix(k.Answer().Lead, "No part that build \"club\" has") {
		t.Fatalf("%+v, %v", k, err)
	}
}

// Work that is stopped says so and nothing else.
func TestTorqueOfPartsStops(t *testing.T) {
	w := openWorkshop(t)
	a, _, err := w.Ask(t.Context(), fenmoor(t, w).Machine, asked.Question{Build: "full", Against: "as-found"})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	began := time.Now()
	var first time.Duration // until the first of many curves was ready
	var once sync.Once
	_, err = engine.PartsOf(ctx, a, NewResults(), func(ready, total int) {
		once.Do(func() { first = time.Since(began); stop() })
	})
	if took := time.Since(began) - first; !errors.Is(err, context.Canceled) || took > max(5*time.Second, 3*first) {
		t.Errorf("%v, %v after it was stopped; the first curve took %v", err, took, first)
	}
}
