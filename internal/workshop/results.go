package workshop

import (
	"context"
	"encoding/json"
)

// KeepResult puts a result that took time into the workshop file. The key names all that it follows from.
func (w *Bench) KeepResult(ctx context.Context, key string, result any) error {
	text, err := json.Marshal(result)
	if err != nil {
		return err
	}
	return w.file.KeepResult(ctx, key, text)
}

// ResultAt is the result of the workshop file under a key; nil for none.
func ResultAt[T any](ctx context.Context, w *Bench, key string) *T {
	text, err := w.file.Result(ctx, key)
	var v T
	if err != nil || json.Unmarshal(text, &v) != nil {
		return nil
	}
	return &v
}

// ForgetResults drops all results. Nothing is lost: they are found again.
func (w *Bench) ForgetResults(ctx context.Context) error { return w.file.ForgetResults(ctx) }
