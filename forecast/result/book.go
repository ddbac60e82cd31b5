package result

import (
	"bytes"
	"context"
	"encoding/json"
	"hash/maphash"
	"sync"

	"shakedown/internal/jobs"
)

// Keeper keeps results for longer than the program runs.
type Keeper interface {
	Kept(ctx context.Context, key string) ([]byte, bool) // false for none
	Keep(ctx context.Context, key string, value []byte) error
}

// Progress is told how much of some work is ready.
type Progress func(ready, total int)

// Book holds what was computed by its key. The same key is computed once, however many wait for it at a time; it stops
// when nobody waits; what was cancelled or failed is not kept. It may be used from several goroutines. The zero value
// keeps in memory only.
type Book struct {
	Keeper Keeper // nil for none

	runs  jobs.Desk // computations that go on
	mu    sync.Mutex
	known map[string]any
}

// Has is the result of a key, and whether there is one. A kept one that does not fit what it is read as is none: it is
// computed again.
func Has[T any](ctx context.Context, b *Book, key string) (value T, ok bool) {
	b.mu.Lock()
	v, known := b.known[key]
	b.mu.Unlock()
	if known {
		value, ok = v.(T)
		return value, ok
	}
	if b.Keeper == nil {
		return value, false
	}
	text, kept := b.Keeper.Kept(ctx, key)
	if !kept || !read(text, &value) {
		var none T
		return none, false
	}
	return value, true
}

// Mark tells results under a key apart: 0 for none, an odd number for one, another for another.
func (b *Book) Mark(ctx context.Context, key string) uint64 {
	b.mu.Lock()
	_, known := b.known[key]
	b.mu.Unlock()
	if known {
		return 1
	}
	if b.Keeper == nil {
		return 0
	}
	text, kept := b.Keeper.Kept(ctx, key)
	if !kept {
		return 0
	}
	return maphash.Bytes(seed, text) | 1
}

var seed = maphash.MakeSeed()

// read is strict: a field too many or a rest behind it says that another program wrote it.
func read(text []byte, into any) bool {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	return dec.Decode(into) == nil && !dec.More()
}

// note holds a result: with the keeper, or in memory where there is none or it fails.
func (b *Book) note(ctx context.Context, key string, value any) {
	if b.Keeper != nil {
		if text, err := json.Marshal(value); err == nil && b.Keeper.Keep(ctx, key, text) == nil {
			return
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.known == nil {
		b.known = map[string]any{}
	}
	b.known[key] = value
}

// Of is the result of a key: known, kept, or computed now. Compute gets a context that ends when nobody waits any more.
// Done is told how much is ready, from this goroutine; nil for nobody. The error is compute's, a panic of it as an
// error, or the context's. Within a job of a desk the computation has the job's worker, and a job that waits for one
// that goes on already has none meanwhile.
func Of[T any](ctx context.Context, b *Book, key string, compute func(ctx context.Context, done Progress) (T, error), done Progress) (T, error) {
	var none T
	if v, ok := Has[T](ctx, b, key); ok {
		return v, nil
	}
	found, err := b.runs.Do(ctx, key, func(ctx context.Context, done func(ready, total int)) (any, error) {
		if v, ok := Has[T](ctx, b, key); ok { // another run ended just before this one began
			return v, nil
		}
		v, err := compute(ctx, done)
		if err == nil {
			err = ctx.Err()
		}
		if err == nil {
			b.note(ctx, key, v)
		}
		return v, err
	}, done)
	if err != nil {
		return none, err
	}
	v, ok := found.(T)
	if !ok {
		panic("result: one key for two kinds of result")
	}
	return v, nil
}
