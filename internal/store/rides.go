package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Ride is a recording of a course, kept with a machine byte for byte.
type Ride struct {
	Name  string // of the file
	Saved time.Time
	Data  []byte // nil in Rides
}

// Rides lists the logged rides of a machine by name, without their data.
func (w *Workshop) Rides(ctx context.Context, machine string) ([]Ride, error) {
	rows, err := w.db.QueryContext(ctx, `SELECT name, saved FROM rides WHERE machine = ? ORDER BY name`, machine)
	if err != nil {
		return nil, w.explain(err)
	}
	defer rows.Close()
	var list []Ride
	for rows.Next() {
		var r Ride
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

// Ride is the logged ride of a machine under a name; ErrNothing when there is none.
func (w *Workshop) Ride(ctx context.Context, machine, name string) (Ride, error) {
	r := Ride{Name: name}
	var saved string
	err := w.db.QueryRowContext(ctx, `SELECT saved, data FROM rides WHERE machine = ? AND name = ?`, machine, name).Scan(&saved, &r.Data)
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

// KeepRide keeps a recording with a machine. ErrNothing when there is no such machine; ErrStale when another of that name is there.
func (w *Workshop) KeepRide(ctx context.Context, machine, name string, data []byte) error {
	if _, err := w.Head(ctx, machine); err != nil {
		return err
	}
	return w.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `INSERT INTO rides (machine, name, saved, data) VALUES (?, ?, ?, ?) ON CONFLICT (machine, name) DO NOTHING`, machine, name, stamp(w.now()), data)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, ErrStale)
		}
		return nil
	})
}

// DropRide takes a recording from a machine.
func (w *Workshop) DropRide(ctx context.Context, machine, name string) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM rides WHERE machine = ? AND name = ?`, machine, name)
		return err
	})
}
