package workshop

import (
	"context"
	"fmt"
	"sync"
	"time"

	"shakedown/internal/store"
)

// elsewhere is how often, while somebody watches, it is looked whether another program has changed the file.
const elsewhere = 2 * time.Second

// watch knows who watches which machine. A save of this program wakes them with its number. For another program that
// has the same file open, one look for all of them asks the file every now and then whether it was changed at all, and
// only then for the numbers of the newest revisions. No text is read, and nothing while nobody watches.
type watch struct {
	newest  func(ctx context.Context) (map[string]int, error)
	changes func(ctx context.Context) (changed func(ctx context.Context) (bool, error), end func() error, err error)

	mu      sync.Mutex
	of      map[string]map[*watcher]bool // by machine
	stop    context.CancelFunc           // ends the look; nil while nobody watches
	looking sync.WaitGroup
}

// watcher is one who watches a machine.
type watcher struct {
	newest int           // revision that it is to be told of
	word   chan struct{} // that there is one
}

func newWatch(file *store.File) *watch {
	return &watch{newest: file.Newest, changes: file.Changes, of: map[string]map[*watcher]bool{}}
}

// told tells those who watch the machine of a new revision.
func (w *Bench) told(r Revision, err error) (Revision, error) {
	if err == nil {
		w.watch.tell(map[string]int{r.Machine: r.Number})
	}
	return r, err
}

// tell wakes those who watch machines of which there are newer revisions.
func (w *watch) tell(newest map[string]int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for id, number := range newest {
		for one := range w.of[id] {
			one.wake(number)
		}
	}
}

// wake leaves word of a revision unless it is known. The watch is locked.
func (o *watcher) wake(number int) {
	if number <= o.newest {
		return
	}
	o.newest = number
	select {
	case o.word <- struct{}{}:
	default: // one word is waiting already
	}
}

// Newest is the number of a machine's newest revision; ErrNothing when there is no such machine.
func (w *Bench) Newest(ctx context.Context, id string) (int, error) {
	list, err := w.watch.newest(ctx)
	if err != nil {
		return 0, err
	}
	number, ok := list[id]
	if !ok {
		return 0, fmt.Errorf("machine %s: %w", id, ErrNothing)
	}
	return number, nil
}

// Watch calls seen with the number of each newer revision of a machine until the context ends, or seen has an error.
func (w *Bench) Watch(ctx context.Context, id string, from int, seen func(number int) error) error {
	me := &watcher{newest: from, word: make(chan struct{}, 1)}
	if err := w.watch.join(id, me); err != nil {
		return err
	}
	defer w.watch.leave(id, me)
	number, err := w.Newest(ctx, id) // what came between the page and this
	if err != nil {
		return err
	}
	w.watch.tell(map[string]int{id: number})
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-me.word:
		}
		w.watch.mu.Lock()
		number := me.newest
		w.watch.mu.Unlock()
		if err := seen(number); err != nil {
			return err
		}
	}
}

// join adds a watcher; the first one begins the look for other programs.
func (w *watch) join(id string, one *watcher) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.stop == nil {
		ctx, stop := context.WithCancel(context.Background())
		changed, end, err := w.changes(ctx)
		if err != nil {
			stop()
			return err
		}
		w.stop = stop
		w.looking.Go(func() {
			defer end()
			w.look(ctx, changed)
		})
	}
	if w.of[id] == nil {
		w.of[id] = map[*watcher]bool{}
	}
	w.of[id][one] = true
	return nil
}

// leave takes a watcher away; the last one ends the look.
func (w *watch) leave(id string, one *watcher) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if delete(w.of[id], one); len(w.of[id]) == 0 {
		delete(w.of, id)
	}
	if len(w.of) == 0 {
		w.stop()
		w.stop = nil
	}
}

// look tells of what another program has changed until the context ends. What cannot be read now is asked for again.
func (w *watch) look(ctx context.Context, changed func(ctx context.Context) (bool, error)) {
	tick := time.NewTicker(elsewhere)
	defer tick.Stop()
	late := false // it was changed, and the numbers could not be read
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if is, err := changed(ctx); err != nil || !is && !late {
			continue
		}
		newest, err := w.newest(ctx)
		if late = err != nil; !late {
			w.tell(newest)
		}
	}
}

// close ends the look, if there is one, and waits until its connection is given back.
func (w *watch) close() {
	w.mu.Lock()
	if w.stop != nil {
		w.stop()
	}
	w.mu.Unlock()
	w.looking.Wait()
}
