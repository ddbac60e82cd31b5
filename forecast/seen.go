package forecast

import (
	"context"
	"sync"

	"shakedown/forecast/result"
)

// Seen is which results somebody looked for, and what stood there: who keeps what was made of them can tell whether it
// would come out the same. It may be used from several goroutines.
type Seen struct {
	book  *result.Book
	mu    sync.Mutex
	marks map[string]uint64
}

// Noted is Only, and notes what is looked for in it, and in what is made of it.
func (r *Results) Noted() (*Results, *Seen) {
	k := *r
	k.only, k.seen = true, &Seen{book: r.book, marks: map[string]uint64{}}
	return &k, k.seen
}

// note notes what stands under a key. Nil notes nothing.
func (s *Seen) note(ctx context.Context, key string) {
	if s == nil {
		return
	}
	mark := s.book.Mark(ctx, key)
	s.mu.Lock()
	defer s.mu.Unlock()
	if was, ok := s.marks[key]; ok && was != mark { // it came, or went, in between: nothing that stands there is it
		mark = mixed
	}
	s.marks[key] = mark
}

// mixed is no result's mark.
const mixed = 2

// Same says that all that was looked for is there as it was, and that what was not there is not.
func (s *Seen) Same(ctx context.Context) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for key, mark := range s.marks {
		if s.book.Mark(ctx, key) != mark {
			return false
		}
	}
	return true
}
