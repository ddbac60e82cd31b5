package workshop

import (
	"context"
	"time"
)

// told tells those who watch the machine of a new revision.
func (w *Bench) told(r Revision, err error) (Revision, error) {
	if err != nil {
		return r, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for c := range w.watchers[r.Machine] {
		select {
		case c <- struct{}{}:
		default: // one word is waiting already
		}
	}
	return r, nil
}

// elsewhere is how often a watcher looks for what another program saved in the same file.
const elsewhere = 2 * time.Second

// Watch calls seen with the number of each newer revision of a machine until the context ends.
func (w *Bench) Watch(ctx context.Context, id string, from int, seen func(number int) error) error {
	word := make(chan struct{}, 1)
	w.mu.Lock()
	if w.watchers[id] == nil {
		w.watchers[id] = map[chan struct{}]bool{}
	}
	w.watchers[id][word] = true
	w.mu.Unlock()
	defer func() {
		w.mu.Lock()
		delete(w.watchers[id], word)
		w.mu.Unlock()
	}()
	tick := time.NewTicker(elsewhere)
	defer tick.Stop()
	for {
		now, err := w.file.Head(ctx, id)
		if err != nil {
			return err
		}
		if now.Number > from {
			from = now.Number
			if err := seen(from); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-word:
		case <-tick.C:
		}
	}
}
