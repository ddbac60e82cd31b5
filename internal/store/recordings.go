package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Recording is a recording of a course, kept with a machine byte for byte.
type Recording struct {
	Name  string // of the file
	Saved time.Time
	Data  []byte // nil in Recordings
}

// Recordings lists the logged rides of a machine by name, without their data.
func (w *File) Recordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.listRides(ctx, `SELECT name, saved FROM rides WHERE machine = ? AND dropped = '' ORDER BY name`, machine)
}

// DroppedRecordings lists those that were taken out and can be put back, the last one first, without their data.
func (w *File) DroppedRecordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.listRides(ctx, `SELECT name, saved FROM rides WHERE machine = ? AND dropped <> '' ORDER BY dropped DESC, name`, machine)
}

func (w *File) listRides(ctx context.Context, query, machine string) ([]Recording, error) {
	rows, err := w.db.QueryContext(ctx, query, machine)
	if err != nil {
		return nil, w.explain(err)
	}
	defer rows.Close()
	var list []Recording
	for rows.Next() {
		var r Recording
		var saved string
		if err := rows.Scan(&r.Name, &saved); err != nil {
			return nil, w.explain(err)
		}
		if r.Saved, err = time.Parse(moment, saved); err != nil {
			return nil, w.damaged(err.Error())
		}
		list = append(list, r)
	}
	return list, w.explain(rows.Err())
}

// Recording is the logged ride of a machine under a name; ErrNothing when there is none.
func (w *File) Recording(ctx context.Context, machine, name string) (Recording, error) {
	r := Recording{Name: name}
	var saved string
	err := w.db.QueryRowContext(ctx, `SELECT saved, data FROM rides WHERE machine = ? AND name = ? AND dropped = ''`, machine, name).Scan(&saved, &r.Data)
	if errors.Is(err, sql.ErrNoRows) {
		return r, ErrNothing
	}
	if err != nil {
		return r, w.explain(err)
	}
	if r.Saved, err = time.Parse(moment, saved); err != nil {
		return r, w.damaged(err.Error())
	}
	return r, nil
}

// KeepRecording keeps a recording with a machine, or puts the same one back. ErrNothing when there is no such machine;
// ErrStale when another of that name is there, or was.
func (w *File) KeepRecording(ctx context.Context, machine, name string, data []byte) error {
	if _, err := w.Head(ctx, machine); err != nil {
		return err
	}
	return w.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO rides (machine, name, saved, data) VALUES (?, ?, ?, ?) ON CONFLICT (machine, name) DO UPDATE SET dropped = '' WHERE dropped <> '' AND data = excluded.data`, machine, name, stamp(w.now()), data)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, ErrStale)
		}
		return nil
	})
}

// DropRecording takes a recording from a machine; RestoreRide puts it back. ErrNothing when there is nothing to take or
// to put back.
func (w *File) DropRecording(ctx context.Context, machine, name string) error {
	return w.markRide(ctx, `UPDATE rides SET dropped = ?1 WHERE machine = ?2 AND name = ?3 AND dropped = ''`, machine, name)
}

// RestoreRecording puts a recording back that was taken out.
func (w *File) RestoreRecording(ctx context.Context, machine, name string) error {
	return w.markRide(ctx, `UPDATE rides SET dropped = '' WHERE machine = ?2 AND name = ?3 AND dropped <> ''`, machine, name)
}

func (w *File) markRide(ctx context.Context, query, machine, name string) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, query, stamp(w.now()), machine, name)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, ErrNothing)
		}
		return nil
	})
}
