package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"shakedown/internal/app/asked"
	"shakedown/internal/app/worth"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// effectsModel changes when an effect is told in another way than the figures alone would show.
const effectsModel = "2"

// Effects finds what each part does alone against a baseline. Done is called, from one goroutine at a time, with each
// part when it is known; the order is that of the sheet whatever the number of cores. What is known of the same text
// already comes from the workshop file.
func (w *Workshop) Effects(ctx context.Context, r workshop.Revision, against, program string, system quantity.System, done func(e worth.Effect, known, total int)) error {
	q := asked.Question{Now: w.Now(), System: system, Against: against}
	s, err := w.sheets.Read(r.Text)
	if err != nil {
		return faults.Mendable(err)
	}
	before, err := asked.Of(s, asked.Question{Build: against, Against: against, Now: q.Now, System: system, First: true})
	if err != nil {
		return err
	}
	parts := s.Project.Parts
	found := make([]*worth.Effect, len(parts))
	var mu sync.Mutex
	told := 0
	work, each := errgroup.WithContext(ctx)
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i := range parts {
		work.Go(func() error {
			return faults.Catch(func() error {
				if each.Err() != nil {
					return each.Err()
				}
				e := w.effect(each, s, r, before, &parts[i], program, q)
				mu.Lock()
				defer mu.Unlock()
				found[i] = &e
				for told < len(found) && found[told] != nil {
					told++
					done(*found[told-1], told, len(found))
				}
				return nil
			})
		})
	}
	if err := work.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}

// effect is what a part does, from the file or newly found.
func (w *Workshop) effect(ctx context.Context, s *sheet.Sheet, r workshop.Revision, before *asked.Answer, part *machine.Part, program string, q asked.Question) worth.Effect {
	sum := sha256.Sum256([]byte(strings.Join([]string{"effect", effectsModel, program, string(rune('0' + q.System)), q.Now.Format("2006-01-02"), before.Baseline.Name, part.ID, string(r.Text)}, "\x00")))
	key := hex.EncodeToString(sum[:])
	if e := workshop.ResultAt[worth.Effect](ctx, w.Bench, key); e != nil {
		return *e
	}
	e := worth.EffectOf(s, before, part, q)
	if ctx.Err() == nil {
		_ = w.KeepResult(ctx, key, e) // found again when it could not be kept
	}
	return e
}
