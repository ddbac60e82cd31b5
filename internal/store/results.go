package store

import (
	"context"
	"database/sql"
	"errors"
)

// resultsKept is how many results stay; the oldest go first.
const resultsKept = 5000

// Result is what was kept under a key; ErrNothing when there is nothing.
func (w *File) Result(ctx context.Context, key string) ([]byte, error) {
	var value []byte
	err := w.db.QueryRowContext(ctx, `SELECT value FROM results WHERE key = ?`, key).Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrNothing
	}
	return value, w.explain(err)
}

// KeepResult keeps a result that took time. The key is a hash of all it follows from: the inputs of the room, the
// version of its model and of the program.
func (w *File) KeepResult(ctx context.Context, key string, value []byte) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `INSERT INTO results (key, found, value) VALUES (?, ?, ?) ON CONFLICT (key) DO UPDATE SET found = excluded.found, value = excluded.value`, key, stamp(w.now()), value); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `DELETE FROM results WHERE key IN (SELECT key FROM results ORDER BY found DESC, key LIMIT -1 OFFSET ?)`, resultsKept)
		return err
	})
}

// ForgetResults drops all of them. Nothing is lost: they are found again.
func (w *File) ForgetResults(ctx context.Context) error {
	return w.write(ctx, func(tx *sql.Tx) error { _, err := tx.ExecContext(ctx, `DELETE FROM results`); return err })
}
