package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"strings"
	"time"
)

// Machine is one machine of the workshop.
type Machine struct {
	ID      string
	Name    string
	Created time.Time
	Head    int       // number of the newest revision
	Saved   time.Time // when that was
	Away    bool      // put away: it is in the file, and out of sight
}

// Revision is one save of a machine's sheet.
type Revision struct {
	Machine string
	Number  int // from 1
	Saved   time.Time
	Summary string
	Text    []byte // nil in History
	Undo    int    // revision that undo goes back to; 0 for none
	Redo    int    // revision that redo brings back; 0 for none
}

// ErrStale says that the machine has a newer revision than the one a change was made from.
var ErrStale = errors.New("the machine was changed meanwhile")

// ErrNothing says that there is no such machine or revision, or nothing to undo or redo.
var ErrNothing = errors.New("there is no such thing in this workshop")

// Machines lists the machines, the last saved first, those that are put away among them.
func (w *File) Machines(ctx context.Context) ([]Machine, error) {
	rows, err := w.db.QueryContext(ctx, `SELECT m.id, m.name, m.created, m.head, r.saved, m.away FROM machines m JOIN revisions r ON r.machine = m.id AND r.number = m.head ORDER BY r.saved DESC, m.id`)
	if err != nil {
		return nil, w.explain(err)
	}
	defer rows.Close()
	var list []Machine
	for rows.Next() {
		var m Machine
		var created, saved string
		if err := rows.Scan(&m.ID, &m.Name, &created, &m.Head, &saved, &m.Away); err != nil {
			return nil, w.explain(err)
		}
		if m.Created, err = time.Parse(moment, created); err != nil {
			return nil, w.damaged(err.Error())
		}
		if m.Saved, err = time.Parse(moment, saved); err != nil {
			return nil, w.damaged(err.Error())
		}
		list = append(list, m)
	}
	return list, w.explain(rows.Err())
}

// PutAway puts a machine out of sight, or back. ErrNothing when there is no such machine.
func (w *File) PutAway(ctx context.Context, id string, away bool) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		done, err := tx.ExecContext(ctx, `UPDATE machines SET away = ? WHERE id = ?`, away, id)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, ErrNothing)
		}
		return nil
	})
}

// Add puts a machine into the workshop with its first revision.
func (w *File) Add(ctx context.Context, name string, text []byte, summary string) (Revision, error) {
	return w.Bring(ctx, NewID(), name, func(yield func(Revision, error) bool) {
		yield(Revision{Saved: w.now(), Summary: summary, Text: text}, nil)
	})
}

// NewID is an id for a machine that no other has.
func NewID() string {
	var b [8]byte
	rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// Bring puts a machine into the workshop with its revisions, oldest first, numbered from 1 as they come, and gives the
// newest. Undo and redo of each must point at earlier ones. An error that comes with a revision ends it, and nothing is
// brought.
func (w *File) Bring(ctx context.Context, id, name string, revisions iter.Seq2[Revision, error]) (Revision, error) {
	var last Revision
	err := w.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `INSERT INTO machines (id, name, created) VALUES (?, ?, ?)`, id, name, stamp(w.now())); err != nil {
			return err
		}
		for r, err := range revisions {
			if err != nil {
				return err
			}
			r.Machine, r.Number = id, last.Number+1
			if r.Undo >= r.Number || r.Redo >= r.Number {
				return fmt.Errorf("revision %d of %s points forwards", r.Number, name)
			}
			if err := insert(ctx, tx, r); err != nil {
				return err
			}
			last = r
		}
		return nil
	})
	return last, err
}

// Head is the newest revision of a machine, text included.
func (w *File) Head(ctx context.Context, id string) (Revision, error) {
	r, err := head(ctx, w.db, id)
	return r, w.explain(err)
}

// Revision is one revision of a machine, text included.
func (w *File) Revision(ctx context.Context, id string, number int) (Revision, error) {
	r, err := revision(ctx, w.db, id, number)
	return r, w.explain(err)
}

// History lists a machine's revisions, the newest first, without their texts.
func (w *File) History(ctx context.Context, id string) ([]Revision, error) {
	rows, err := w.db.QueryContext(ctx, `SELECT number, saved, summary, undo, redo FROM revisions WHERE machine = ? ORDER BY number DESC`, id)
	if err != nil {
		return nil, w.explain(err)
	}
	defer rows.Close()
	var list []Revision
	for rows.Next() {
		r := Revision{Machine: id}
		var saved string
		if err := rows.Scan(&r.Number, &saved, &r.Summary, &r.Undo, &r.Redo); err != nil {
			return nil, w.explain(err)
		}
		if r.Saved, err = time.Parse(moment, saved); err != nil {
			return nil, w.damaged(err.Error())
		}
		list = append(list, r)
	}
	if err := rows.Err(); err != nil {
		return nil, w.explain(err)
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("machine %s: %w", id, ErrNothing)
	}
	return list, nil
}

// Save makes a text the newest revision of a machine when its newest is still base; else the error is ErrStale. A draft
// is done with. The name is what the machine is called from now on.
func (w *File) Save(ctx context.Context, id string, base int, name string, text []byte, summary string) (Revision, error) {
	var saved Revision
	err := w.write(ctx, func(tx *sql.Tx) error {
		now, err := head(ctx, tx, id)
		if err != nil {
			return err
		}
		if now.Number != base {
			return ErrStale
		}
		saved = Revision{Machine: id, Number: base + 1, Saved: w.now(), Summary: summary, Text: text, Undo: base}
		if _, err := tx.ExecContext(ctx, `UPDATE machines SET name = ? WHERE id = ?`, name, id); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM drafts WHERE machine = ?`, id); err != nil {
			return err
		}
		return insert(ctx, tx, saved)
	})
	return saved, err
}

// Undo makes the text before the newest change the newest revision; Redo can bring it back.
func (w *File) Undo(ctx context.Context, id string) (Revision, error) {
	return w.step(ctx, id, func(now Revision) int { return now.Undo }, undone, func(now, to Revision) Revision {
		return Revision{Undo: to.Undo, Redo: now.Number}
	})
}

// Redo brings back what the newest Undo took away.
func (w *File) Redo(ctx context.Context, id string) (Revision, error) {
	return w.step(ctx, id, func(now Revision) int { return now.Redo }, doneAgain, func(now, to Revision) Revision {
		return Revision{Undo: to.Undo, Redo: to.Redo}
	})
}

// step adds a revision with the text of an earlier one. Nothing is taken out of the history.
func (w *File) step(ctx context.Context, id string, target func(now Revision) int, word string, links func(now, to Revision) Revision) (Revision, error) {
	var saved Revision
	err := w.write(ctx, func(tx *sql.Tx) error {
		now, err := head(ctx, tx, id)
		if err != nil {
			return err
		}
		number := target(now)
		if number == 0 {
			return ErrNothing
		}
		to, err := revision(ctx, tx, id, number)
		if err != nil {
			return err
		}
		what := now // undone is what was there; done again what comes back
		if number == now.Redo {
			what = to
		}
		change, err := changeOf(ctx, tx, what)
		if err != nil {
			return err
		}
		saved = links(now, to)
		saved.Machine, saved.Number, saved.Saved, saved.Text, saved.Summary = id, now.Number+1, w.now(), to.Text, word+change
		return insert(ctx, tx, saved)
	})
	return saved, err
}

// The words before a change that was taken back or brought back.
const (
	undone    = "undone: "
	doneAgain = "done again: "
)

// changeOf says which change a revision's text ends with. A revision that Undo made has the text of an earlier one, and
// ends with that one's change.
func changeOf(ctx context.Context, tx *sql.Tx, r Revision) (string, error) {
	for r.Redo > 0 && r.Redo == r.Number-1 { // Undo made it: only that points at the revision just before
		before, err := revision(ctx, tx, r.Machine, r.Redo)
		if err != nil {
			return "", err
		}
		if before.Undo == 0 { // an export of another program may say so
			break
		}
		if r, err = revision(ctx, tx, r.Machine, before.Undo); err != nil {
			return "", err
		}
	}
	for strings.HasPrefix(r.Summary, undone) || strings.HasPrefix(r.Summary, doneAgain) {
		_, r.Summary, _ = strings.Cut(r.Summary, ": ")
	}
	return r.Summary, nil
}

// Draft is text of a sheet that is not saved as a revision.
type Draft struct {
	Base  int // revision it was begun from
	Saved time.Time
	Text  []byte
}

// KeepDraft keeps a draft of a machine's sheet in place of an older one.
func (w *File) KeepDraft(ctx context.Context, id string, base int, text []byte) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO drafts (machine, base, saved, text) VALUES (?, ?, ?, ?) ON CONFLICT (machine) DO UPDATE SET base = excluded.base, saved = excluded.saved, text = excluded.text`, id, base, stamp(w.now()), text)
		return err
	})
}

// Draft is the draft of a machine; ErrNothing when there is none.
func (w *File) Draft(ctx context.Context, id string) (Draft, error) {
	var d Draft
	var saved string
	err := w.db.QueryRowContext(ctx, `SELECT base, saved, text FROM drafts WHERE machine = ?`, id).Scan(&d.Base, &saved, &d.Text)
	if errors.Is(err, sql.ErrNoRows) {
		return d, ErrNothing
	}
	if err != nil {
		return d, w.explain(err)
	}
	if d.Saved, err = time.Parse(moment, saved); err != nil {
		return d, w.damaged(err.Error())
	}
	return d, nil
}

// DropDraft throws a machine's draft away.
func (w *File) DropDraft(ctx context.Context, id string) error {
	return w.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM drafts WHERE machine = ?`, id)
		return err
	})
}

// write runs one transaction, whole or not at all.
func (w *File) write(ctx context.Context, do func(tx *sql.Tx) error) error {
	tx, err := w.db.BeginTx(ctx, nil)
	if err != nil {
		return w.explain(err)
	}
	defer tx.Rollback() // nothing after Commit
	if err := do(tx); err != nil {
		return w.explain(err)
	}
	return w.explain(tx.Commit())
}

// querier is what database and transaction have in common.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

const revisionColumns = `SELECT r.number, r.saved, r.summary, t.text, r.undo, r.redo, r.hash FROM revisions r JOIN texts t ON t.hash = r.hash `

func head(ctx context.Context, q querier, id string) (Revision, error) {
	return scan(q.QueryRowContext(ctx, revisionColumns+`JOIN machines m ON m.id = r.machine AND m.head = r.number WHERE m.id = ?`, id), id)
}

func revision(ctx context.Context, q querier, id string, number int) (Revision, error) {
	return scan(q.QueryRowContext(ctx, revisionColumns+`WHERE r.machine = ? AND r.number = ?`, id, number), id)
}

// errDamaged says that a text is not the one that was saved; explain has the words.
var errDamaged = errors.New("it is not the text that was saved")

func scan(row *sql.Row, id string) (Revision, error) {
	r := Revision{Machine: id}
	var saved, hash string
	err := row.Scan(&r.Number, &saved, &r.Summary, &r.Text, &r.Undo, &r.Redo, &hash)
	if errors.Is(err, sql.ErrNoRows) {
		return r, fmt.Errorf("machine %s: %w", id, ErrNothing)
	}
	if err != nil {
		return r, err
	}
	if hashOf(r.Text) != hash {
		return r, fmt.Errorf("revision %d of machine %s: %w", r.Number, id, errDamaged)
	}
	if r.Saved, err = time.Parse(moment, saved); err != nil {
		return r, fmt.Errorf("revision %d of machine %s: %w: %w", r.Number, id, errDamaged, err)
	}
	return r, nil
}

// hashOf is what a text is kept under.
func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// insert writes a revision and makes it the machine's newest.
func insert(ctx context.Context, tx *sql.Tx, r Revision) error {
	if !Datable(r.Saved) {
		return fmt.Errorf("revision %d cannot be saved at %s: the clock must stand between the years %d and %d", r.Number, r.Saved.Format(time.RFC3339), firstYear, lastYear)
	}
	hash := hashOf(r.Text)
	if _, err := tx.ExecContext(ctx, `INSERT INTO texts (hash, text) VALUES (?, ?) ON CONFLICT DO NOTHING`, hash, r.Text); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO revisions (machine, number, saved, summary, hash, undo, redo) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		r.Machine, r.Number, stamp(r.Saved), r.Summary, hash, r.Undo, r.Redo); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `UPDATE machines SET head = ? WHERE id = ?`, r.Number, r.Machine)
	return err
}

// moment is how times are written: RFC 3339 with all digits, so that they sort as text.
const moment = "2006-01-02T15:04:05.000000000Z"

func stamp(t time.Time) string { return t.UTC().Format(moment) }

// Years that a revision can be of: what is written stays four digits, in every zone of time.
const (
	firstYear = 1970
	lastYear  = 9000
)

// Datable says whether a revision can be saved at that time.
func Datable(t time.Time) bool { return t.UTC().Year() >= firstYear && t.UTC().Year() <= lastYear }
