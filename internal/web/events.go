package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"time"

	"shakedown/internal/app/worth"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/quantity"
)

// events streams what happens to a machine while a page shows it: newer revisions, and how far the work on the page is.
func (s *Server) events(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	newest, err := s.Workshop.Newest(r.Context(), q.id)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	stream := http.NewResponseController(w)
	var mu sync.Mutex
	send := func(event, data string) error {
		mu.Lock()
		defer mu.Unlock()
		if err := stream.SetWriteDeadline(time.Now().Add(10 * time.Second)); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(w, "event: %s\ndata: %s\n\n", event, data); err != nil {
			return err
		}
		return stream.Flush()
	}
	if err := send("revision", strconv.Itoa(newest)); err != nil {
		return nil
	}
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	if what := r.URL.Query().Get("work"); what != "" {
		var work sync.WaitGroup
		work.Go(func() {
			err := faults.Catch(func() error {
				switch what {
				case "curve", "range", "parts":
					s.workOutCurve(ctx, r, q, send)
				case "lap", "value", "line", laterValue:
					s.workOutTrack(ctx, r, q, send)
				case "laps":
					s.workOutLaps(ctx, r, q, send)
				default:
					s.workOutEffects(ctx, q, r.URL.Query().Get("against"), send)
				}
				return nil
			})
			if fault, ok := errors.AsType[*faults.Fault](err); ok {
				s.Log.Error("a fault ended a stream", "work", what, "error", fault, "trace", fault.Trace)
				_ = send("failed", fault.Error())
			}
		})
		defer work.Wait()
		defer cancel()
	}
	_ = s.Workshop.Watch(ctx, q.id, newest, func(number int) error { return send("revision", strconv.Itoa(number)) })
	return nil
}

// effects is what is known of the effects of a revision's parts.
type effects struct {
	list  []worth.Effect
	total int
	whole bool
}

func (e effects) of(part string) *worth.Effect {
	for i := range e.list {
		if e.list[i].Part == part {
			return &e.list[i]
		}
	}
	return nil
}

// board keeps the effects that were found, of the last few revisions that were asked for.
type board struct {
	mu    sync.Mutex
	found map[string]effects
	order []string
}

// boardKept is how many revisions' effects are kept in memory; the workshop file keeps more.
const boardKept = 16

func (b *board) get(key string) effects {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.found[key]
}

func (b *board) put(key string, change func(e *effects)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.found == nil {
		b.found = map[string]effects{}
	}
	e, known := b.found[key]
	if !known {
		b.order = append(b.order, key)
		if len(b.order) > boardKept {
			delete(b.found, b.order[0])
			b.order = b.order[1:]
		}
	}
	change(&e)
	b.found[key] = e
}

func effectsKey(head workshop.Revision, system quantity.System, against string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d\x00%s\x00%s", system, against, head.Text))
	return hex.EncodeToString(sum[:])
}

func (s *Server) effectsKnown(key string) effects { return s.board.get(key) }

// workOutEffects waits for the effects of a revision's parts, or works them out when nobody does, and tells how far it
// is.
func (s *Server) workOutEffects(ctx context.Context, q asking, against string, send func(event, data string) error) {
	head, err := s.Workshop.Head(ctx, q.id)
	if err != nil {
		return
	}
	key := effectsKey(head, q.question.System, against)
	if s.board.get(key).whole {
		return
	}
	job := s.desk.Join(key, func(ctx context.Context, progress func(done, total int)) error {
		s.board.put(key, func(e *effects) { *e = effects{} })
		err := s.Workshop.Effects(ctx, head, against, s.Program, q.question.System, func(e worth.Effect, known, total int) {
			s.board.put(key, func(have *effects) {
				have.list = append(have.list[:len(have.list):len(have.list)], e)
				have.total = total
			})
			progress(known, total)
		})
		if err == nil {
			s.board.put(key, func(e *effects) { e.whole = true })
		}
		return err
	})
	defer job.Leave()
	s.follow(ctx, job, send)
}

func (s *Server) stopEffects(w http.ResponseWriter, r *http.Request) error {
	q := askingOf(r)
	head, err := s.Workshop.Head(r.Context(), q.id)
	if err != nil {
		return err
	}
	s.desk.Cancel(effectsKey(head, q.question.System, q.question.Against))
	return s.turn(w, r, (&bar{ID: q.id, Build: q.question.Build, Against: q.question.Against}).At("parts"), "")
}
