package result

import (
	"bytes"
	"context"
	"encoding/json"
	"sync"

	"shakedown/internal/faults"
)

// Keeper keeps results for longer than the program runs.
type Keeper interface {
	Kept(ctx context.Context, key string) ([]byte, bool) // false for none
	Keep(ctx context.Context, key string, value []byte) error
}

// Progress is told how much of some work is ready.
type Progress func(ready, total int)

// Book holds what was computed by its key. The same key is computed once, however many wait for it at a time; it stops when nobody waits; what was cancelled or failed is not
// kept. It may be used from several goroutines. The zero value keeps in memory only.
type Book struct {
	Keeper Keeper // nil for none

	mu      sync.Mutex
	known   map[string]any
	running map[string]*run
}

// run is one computation that goes on.
type run struct {
	cancel  context.CancelFunc
	ended   chan struct{}
	waiting int
	value   any
	err     error

	mu   sync.Mutex
	told []Progress
}

func (r *run) progress(ready, total int) {
	r.mu.Lock()
	list := r.told
	r.mu.Unlock()
	for _, tell := range list {
		tell(ready, total)
	}
}

// Has is the result of a key, and whether there is one. A kept one that does not fit what it is read as is none: it is computed again.
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

// Of is the result of a key: known, kept, or computed now. Compute gets a context that ends when nobody waits any more. Done is told how much is ready; nil for nobody. The
// error is compute's, a panic of it as an error, or the context's.
func Of[T any](ctx context.Context, b *Book, key string, compute func(ctx context.Context, done Progress) (T, error), done Progress) (T, error) {
	var none T
	if v, ok := Has[T](ctx, b, key); ok {
		return v, nil
	}
	r := b.join(ctx, key, func(ctx context.Context, done Progress) (any, error) { return compute(ctx, done) }, done)
	select {
	case <-r.ended:
		b.leave(key, r)
	case <-ctx.Done():
		b.leave(key, r)
		return none, ctx.Err()
	}
	if r.err != nil {
		return none, r.err
	}
	v, ok := r.value.(T)
	if !ok {
		panic("result: one key for two kinds of result")
	}
	return v, nil
}

// join waits for the computation of a key, and begins it when it does not go on.
func (b *Book) join(ctx context.Context, key string, compute func(context.Context, Progress) (any, error), done Progress) *run {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.running == nil {
		b.running = map[string]*run{}
	}
	r := b.running[key]
	if r == nil {
		own, cancel := context.WithCancel(context.WithoutCancel(ctx))
		r = &run{cancel: cancel, ended: make(chan struct{})}
		b.running[key] = r
		go b.work(own, key, r, compute)
	}
	r.waiting++
	if done != nil {
		r.mu.Lock()
		r.told = append(r.told, done)
		r.mu.Unlock()
	}
	return r
}

func (b *Book) work(ctx context.Context, key string, r *run, compute func(context.Context, Progress) (any, error)) {
	r.err = faults.Catch(func() (err error) {
		r.value, err = compute(ctx, r.progress)
		return err
	})
	if r.err == nil && ctx.Err() != nil {
		r.err = ctx.Err()
	}
	if r.err == nil {
		b.note(ctx, key, r.value)
	}
	b.mu.Lock()
	if b.running[key] == r {
		delete(b.running, key)
	}
	b.mu.Unlock()
	close(r.ended)
	r.cancel()
}

// leave ends the waiting of one; with the last the work ends, and whoever comes later begins it anew.
func (b *Book) leave(key string, r *run) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if r.waiting--; r.waiting > 0 {
		return
	}
	if b.running[key] == r {
		delete(b.running, key)
	}
	r.cancel()
}
