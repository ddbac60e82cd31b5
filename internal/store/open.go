package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/ncruces/go-sqlite3"
	_ "github.com/ncruces/go-sqlite3/driver" // registers itself with database/sql
)

// File is an open workshop file. Its methods may be called from several goroutines; other processes may have the same
// file open.
type File struct {
	db     *sql.DB
	path   string
	now    func() time.Time
	copies sync.Mutex // one copy at a time
	folder string     // of the copy that is read in place of a file that cannot be written; "" for none
}

// Open opens a workshop file, making it and its folder when they are not there, and brings it up to this program's
// version. A file that is newer, empty, damaged, read-only or no workshop at all is left as it is; the error says what
// to do.
func Open(ctx context.Context, path string, now func() time.Time) (*File, error) {
	fresh, err := inspect(path)
	if err != nil {
		return nil, err
	}
	if fresh {
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return nil, fmt.Errorf("the folder of the workshop file cannot be made: %w; give another place with --workshop", err)
		}
	}
	return attach(ctx, path, &File{path: path, now: now}, fresh)
}

// OpenToRead opens a workshop file of which nothing will be changed. One that cannot be written is read as a copy in a
// folder for temporary files, which Close takes away.
func OpenToRead(ctx context.Context, path string, now func() time.Time) (*File, error) {
	w, err := Open(ctx, path, now)
	if !errors.Is(err, sqlite3.READONLY) && !errors.Is(err, sqlite3.CANTOPEN) && !errors.Is(err, sqlite3.PERM) {
		return w, err
	}
	folder, err := os.MkdirTemp("", "shakedown-")
	if err != nil {
		return nil, fmt.Errorf("the workshop file cannot be written, and there is no room for a copy to read: %w", err)
	}
	file := filepath.Join(folder, "workshop")
	for _, end := range []string{"", logEnd} { // what was saved last may stand in the log only
		if err := copyFile(file+end, path+end); err != nil && !(end != "" && errors.Is(err, fs.ErrNotExist)) {
			os.RemoveAll(folder)
			return nil, fmt.Errorf("the workshop file cannot be written, and no copy of it can be made to read: %w", err)
		}
	}
	w, err = attach(ctx, file, &File{path: path, now: now, folder: folder}, false)
	if err != nil {
		os.RemoveAll(folder)
	}
	return w, err
}

// logEnd ends the name of the file in which SQLite keeps what is not in the file itself yet.
const logEnd = "-wal"

func copyFile(to, from string) error {
	r, err := os.Open(from)
	if err != nil {
		return err
	}
	defer r.Close()
	w, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if _, err := io.Copy(w, r); err != nil {
		w.Close()
		return err
	}
	return w.Close()
}

// attach opens the database of a workshop in a file.
func attach(ctx context.Context, file string, w *File, fresh bool) (*File, error) {
	db, err := sql.Open("sqlite3", source(file, "rwc"))
	if err != nil {
		return nil, err
	}
	w.db = db
	if err := w.begin(ctx, fresh); err != nil {
		db.Close()
		return nil, w.explain(err)
	}
	return w, nil
}

// source is the address under which the driver opens a file: what was acknowledged is on the disk, and another
// process's write is waited for.
func source(path, mode string) string {
	query := url.Values{"mode": {mode}, "_txlock": {"immediate"}}
	for _, pragma := range []string{"busy_timeout(10000)", "journal_mode(wal)", "synchronous(full)", "foreign_keys(on)"} {
		query.Add("_pragma", pragma)
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path), RawQuery: query.Encode()}).String()
}

// headerBytes is the length of the header of SQLite's file format.
const headerBytes = 100

// inspect reads the file's header without touching it. Fresh says that there is nothing yet.
func inspect(path string) (fresh bool, err error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err != nil {
		return false, fmt.Errorf("the workshop file cannot be read: %w", err)
	}
	defer f.Close()
	header := make([]byte, headerBytes)
	n, err := f.Read(header)
	if n == 0 {
		if info, statErr := f.Stat(); statErr == nil && info.IsDir() {
			return false, fmt.Errorf("%s is a folder; --workshop needs a file in it, such as %s", path, filepath.Join(path, "workshop.shakedown"))
		}
		if log, err := os.Stat(path + logEnd); err == nil && log.Size() > 0 {
			return false, nil // all of it stands in the log
		}
		return false, fmt.Errorf("%s is there, but empty: 0 bytes. It was left as it is. %s; to begin a new workshop, delete the empty file or give another name with --workshop", path, copiesOf(path))
	}
	const magic = "SQLite format 3\x00"
	if n < headerBytes || err != nil || string(header[:len(magic)]) != magic || binary.BigEndian.Uint32(header[68:]) != applicationID {
		return false, fmt.Errorf("%s is no workshop file, or its beginning is damaged; it was left as it is. Give another file with --workshop, or put back a copy from %s", path, copiesFolder(path))
	}
	if version := int(binary.BigEndian.Uint32(header[60:])); version > len(migrations) {
		return false, newer(path, version)
	}
	return false, nil
}

func newer(path string, version int) error {
	return fmt.Errorf("%s was written by a newer shakedown (file version %d, this one knows %d); it was left as it is. Use the newer program, or another file with --workshop", path, version, len(migrations))
}

// begin checks the file and brings it to this version.
func (w *File) begin(ctx context.Context, fresh bool) error {
	if !fresh {
		if err := w.Check(ctx); err != nil {
			return err
		}
	}
	tx, err := w.db.BeginTx(ctx, nil) // immediate: a file that cannot be written is found here
	if err != nil {
		return err
	}
	defer tx.Rollback() // nothing after Commit
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version > len(migrations) {
		return newer(w.path, version)
	}
	if version == len(migrations) {
		return nil
	}
	for _, migration := range migrations[version:] {
		if _, err := tx.ExecContext(ctx, migration); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", len(migrations), applicationID)); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	// The header of the file itself must tell an older program that this one is newer.
	_, err = w.db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
	return err
}

// Check looks through the whole file for damage.
func (w *File) Check(ctx context.Context) error {
	rows, err := w.db.QueryContext(ctx, "PRAGMA integrity_check(3)")
	if err != nil {
		return err
	}
	defer rows.Close()
	var found []string
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			found = append(found, line)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if len(found) > 0 {
		return w.damaged(strings.Join(found, "; "))
	}
	return nil
}

func (w *File) damaged(what string) error {
	return fmt.Errorf("the workshop file %s is damaged (%s); it was left as it is. Put back the newest copy from %s, or open that copy with --workshop", w.path, what, copiesFolder(w.path))
}

// explain words what SQLite says for the owner.
func (w *File) explain(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, sqlite3.FULL):
		return fmt.Errorf("the disk is full: nothing was saved, and nothing that was saved before is lost. Make room and try again: %w", err)
	case errors.Is(err, sqlite3.READONLY), errors.Is(err, sqlite3.CANTOPEN), errors.Is(err, sqlite3.PERM):
		return fmt.Errorf("the workshop file %s, or its folder, cannot be written; it was left as it is. Give yourself the right to write there, or another file with --workshop; shakedown export and shakedown backup read it all the same: %w", w.path, err)
	case errors.Is(err, sqlite3.CORRUPT), errors.Is(err, sqlite3.NOTADB), errors.Is(err, errDamaged):
		return w.damaged(err.Error())
	case errors.Is(err, sqlite3.BUSY), errors.Is(err, sqlite3.LOCKED):
		return fmt.Errorf("another program held the workshop file for longer than ten seconds: nothing was saved. Try again: %w", err)
	case errors.Is(err, sqlite3.IOERR):
		return fmt.Errorf("the disk is full or failing: nothing was saved, and nothing that was saved before is lost. Make room, look at the disk, try again: %w", err)
	}
	return err
}

// Close writes what is left and lets the file go.
func (w *File) Close() error {
	err := w.db.Close()
	if w.folder != "" {
		return errors.Join(err, os.RemoveAll(w.folder))
	}
	return err
}

// Path is where the file is.
func (w *File) Path() string { return w.path }
