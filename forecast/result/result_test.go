package result

import (
	"context"
	"errors"
	"math"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
)

type shelf struct {
	mu   sync.Mutex
	text map[string][]byte
}

func (s *shelf) Kept(_ context.Context, key string) ([]byte, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v, ok := s.text[key]
	return v, ok
}

func (s *shelf) Keep(_ context.Context, key string, value []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.text[key] = value
	return nil
}

type answer struct{ N int }

// Ten who wait for one key make one computation; progress reaches all of them; what came out is known and kept.
func TestOneComputationForAll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &shelf{text: map[string][]byte{}}
		b := &Book{Keeper: s}
		var runs, told atomic.Int64
		hold := make(chan struct{})
		for range 10 {
			go func() {
				v, err := Of(t.Context(), b, "k", func(_ context.Context, done Progress) (answer, error) {
					runs.Add(1)
					<-hold
					done(1, 2)
					return answer{7}, nil
				}, func(ready, total int) { told.Add(1) })
				if err != nil || v.N != 7 {
					t.Error(v, err)
				}
			}()
		}
		synctest.Wait()
		close(hold)
		synctest.Wait()
		if runs.Load() != 1 || told.Load() != 10 {
			t.Errorf("%d runs, %d told", runs.Load(), told.Load())
		}
		if string(s.text["k"]) != `{"N":7}` {
			t.Errorf("kept %s", s.text["k"])
		}
		if v, ok := Has[answer](t.Context(), &Book{Keeper: s}, "k"); !ok || v.N != 7 {
			t.Error("another run of the program does not find it")
		}
	})
}

// slowShelf answers who asks first only once something was kept, with what it had before.
type slowShelf struct {
	shelf
	asked atomic.Bool
	kept  chan struct{}
}

func (s *slowShelf) Kept(ctx context.Context, key string) ([]byte, bool) {
	text, ok := s.shelf.Kept(ctx, key)
	if !s.asked.Swap(true) {
		<-s.kept
	}
	return text, ok
}

func (s *slowShelf) Keep(ctx context.Context, key string, value []byte) error {
	defer close(s.kept)
	return s.shelf.Keep(ctx, key, value)
}

// One who found nothing, and comes to compute it when the computation of another has just ended, computes nothing.
func TestFoundMeanwhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &Book{Keeper: &slowShelf{shelf: shelf{text: map[string][]byte{}}, kept: make(chan struct{})}}
		runs := 0
		get := func() {
			v, err := Of(t.Context(), b, "k", func(context.Context, Progress) (answer, error) { runs++; return answer{7}, nil }, nil)
			if err != nil || v.N != 7 {
				t.Error(v, err)
			}
		}
		go get()
		synctest.Wait() // it looks into the shelf
		get()
		synctest.Wait()
		if runs != 1 {
			t.Errorf("%d runs", runs)
		}
	})
}

// Work stops when nobody waits, is not kept, and whoever comes later gets it computed anew.
func TestWorkStopsWhenNobodyWaits(t *testing.T) {
	b := &Book{}
	began, stopped := make(chan struct{}), make(chan struct{})
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		<-began
		cancel()
	}()
	_, err := Of(ctx, b, "k", func(ctx context.Context, _ Progress) (answer, error) {
		close(began)
		<-ctx.Done()
		close(stopped)
		return answer{1}, nil
	}, nil)
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	<-stopped
	v, err := Of(t.Context(), b, "k", func(context.Context, Progress) (answer, error) { return answer{2}, nil }, nil)
	if err != nil || v.N != 2 {
		t.Errorf("%v %v", v, err)
	}
}

// One who leaves does not stop the work for the other.
func TestOneOfTwoLeaves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &Book{}
		hold := make(chan struct{})
		compute := func(ctx context.Context, _ Progress) (answer, error) {
			select {
			case <-hold:
				return answer{3}, nil
			case <-ctx.Done():
				return answer{}, ctx.Err()
			}
		}
		ctx, cancel := context.WithCancel(t.Context())
		left := make(chan error)
		go func() { _, err := Of(ctx, b, "k", compute, nil); left <- err }()
		synctest.Wait()
		got := make(chan answer)
		go func() { v, _ := Of(t.Context(), b, "k", compute, nil); got <- v }()
		synctest.Wait()
		cancel()
		if err := <-left; !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
		close(hold)
		if v := <-got; v.N != 3 {
			t.Error(v)
		}
	})
}

// A panic is an error that names it; it is not kept.
func TestAPanicIsAnError(t *testing.T) {
	b := &Book{}
	_, err := Of(t.Context(), b, "k", func(context.Context, Progress) (answer, error) { panic("index out of range") }, nil)
	if err == nil || !strings.Contains(err.Error(), "index out of range") {
		t.Error(err)
	}
	if _, ok := Has[answer](t.Context(), b, "k"); ok {
		t.Error("it is kept")
	}
}

// What was kept by another program and does not fit is computed again; so is a half-written one.
func TestKeptThatDoesNotFit(t *testing.T) {
	for _, text := range []string{`{"N":7,"M":1}`, `{"N":"seven"}`, `{"N":7`, `{"N":7}{}`, ``} {
		b := &Book{Keeper: &shelf{text: map[string][]byte{"k": []byte(text)}}}
		v, err := Of(t.Context(), b, "k", func(context.Context, Progress) (answer, error) { return answer{9}, nil }, nil)
		if err != nil || v.N != 9 {
			t.Errorf("%s: %v %v", text, v, err)
		}
	}
}

// A key follows from every number that is given, and from nothing else.
func TestKey(t *testing.T) {
	type pipe struct {
		long, wide float64
		bends      []float64
		next       *pipe
		kind       any
	}
	base := pipe{1, 2, []float64{3}, &pipe{long: 4}, 5.0}
	key := Key("a", "1", base)
	same := pipe{1, 2, []float64{3}, &pipe{long: 4}, 5.0}
	if Key("a", "1", same) != key {
		t.Error("equal structs, two keys")
	}
	seen := map[string]string{key: "base"}
	for what, k := range map[string]string{
		"name": Key("b", "1", base), "version": Key("a", "2", base), "more": Key("a", "1", base, 1), "number": Key("a", "1", pipe{1, math.Nextafter(2, 3), []float64{3}, &pipe{long: 4}, 5.0}),
		"list": Key("a", "1", pipe{1, 2, []float64{3, 0}, &pipe{long: 4}, 5.0}), "behind a pointer": Key("a", "1", pipe{1, 2, []float64{3}, &pipe{long: 5}, 5.0}),
		"no pointer": Key("a", "1", pipe{1, 2, []float64{3}, nil, 5.0}), "another kind": Key("a", "1", pipe{1, 2, []float64{3}, &pipe{long: 4}, float32(5)}),
		"moved from field to field": Key("a", "1", pipe{2, 1, []float64{3}, &pipe{long: 4}, 5.0}),
	} {
		if was, ok := seen[k]; ok {
			t.Errorf("%s has the key of %s", what, was)
		}
		seen[k] = what
	}
	defer func() {
		if recover() == nil {
			t.Error("a key of a func")
		}
	}()
	Key("a", "1", func() {})
}
