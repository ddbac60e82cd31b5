package store

import (
	"context"
	"database/sql"
	"fmt"
)

// Newest are the numbers of the newest revisions of all machines, by machine. No text is read.
func (w *File) Newest(ctx context.Context) (map[string]int, error) {
	rows, err := w.db.QueryContext(ctx, `SELECT id, head FROM machines`)
	if err != nil {
		return nil, w.explain(err)
	}
	defer rows.Close()
	list := map[string]int{}
	for rows.Next() {
		var id string
		var number int
		if err := rows.Scan(&id, &number); err != nil {
			return nil, w.explain(err)
		}
		list[id] = number
	}
	return list, w.explain(rows.Err())
}

// Changes gives a function that says whether the file was changed since it was asked last, or since Changes: by this
// program or by another. It is for one goroutine, reads a number of the file's log and nothing of what is kept. End
// lets its connection go.
func (w *File) Changes(ctx context.Context) (changed func(ctx context.Context) (bool, error), end func() error, err error) {
	conn, err := w.db.Conn(ctx)
	if err != nil {
		return nil, nil, w.explain(err)
	}
	last, err := version(ctx, conn)
	if err != nil {
		conn.Close()
		return nil, nil, w.explain(err)
	}
	return func(ctx context.Context) (bool, error) {
		now, err := version(ctx, conn)
		if err != nil {
			return false, w.explain(err)
		}
		was := last
		last = now
		return now != was, nil
	}, conn.Close, nil
}

// version changes with each change of the file that another connection than this has made.
func version(ctx context.Context, conn *sql.Conn) (n int64, err error) {
	if err = conn.QueryRowContext(ctx, "PRAGMA data_version").Scan(&n); err != nil {
		err = fmt.Errorf("whether the workshop file was changed cannot be read: %w", err)
	}
	return n, err
}
