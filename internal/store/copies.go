package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// copiesKept is how many daily copies stay.
const copiesKept = 14

func copiesFolder(path string) string { return path + ".copies" }

// copiesOf says which copies of a workshop file there are.
func copiesOf(path string) string {
	days := daysOf(path)
	if len(days) == 0 {
		return "There is no copy beside it, in " + copiesFolder(path)
	}
	newest := filepath.Join(copiesFolder(path), days[len(days)-1])
	if len(days) == 1 {
		return fmt.Sprintf("There is a copy: %s; put it in its place, or open it with --workshop", newest)
	}
	return fmt.Sprintf("There are %d copies, the newest %s; put that in its place, or open it with --workshop", len(days), newest)
}

// daysOf are the names of the daily copies of a workshop file, oldest first.
func daysOf(path string) []string {
	entries, _ := os.ReadDir(copiesFolder(path)) // none when there is no such folder
	var days []string
	for _, e := range entries {
		if day, ok := strings.CutSuffix(e.Name(), copyEnd); ok {
			if _, err := time.Parse(time.DateOnly, day); err == nil {
				days = append(days, e.Name())
			}
		}
	}
	slices.Sort(days)
	return days
}

const copyEnd = ".shakedown"

// halfCopies are the beginning of the names of copies that are being written.
const halfCopies = ".shakedown-half-"

// Copy writes a consistent copy of the whole file while it is in use. An existing file is not overwritten.
func (w *File) Copy(ctx context.Context, file string) error {
	w.copies.Lock()
	defer w.copies.Unlock()
	taken := fmt.Errorf("%s is there already; give a name that is free", file)
	if _, err := os.Lstat(file); err == nil {
		return taken
	}
	// SQLite writes into an empty file, so that this one is nobody else's.
	f, err := os.CreateTemp(filepath.Dir(file), halfCopies+"*")
	if err != nil {
		return fmt.Errorf("the copy %s cannot be written there: %w", file, err)
	}
	half := f.Name()
	defer os.Remove(half) // nothing is left of it after the rename
	if err := f.Close(); err != nil {
		return err
	}
	if _, err := w.db.ExecContext(ctx, "VACUUM INTO ?", half); err != nil {
		return fmt.Errorf("the copy %s could not be written: %w", file, w.explain(err))
	}
	if err := flush(half); err != nil {
		return err
	}
	if _, err := os.Lstat(file); err == nil {
		return taken
	}
	return os.Rename(half, file)
}

// flush brings a written file to the disk.
func flush(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// CopyDaily keeps today's copy beside the file, when there is none yet, and the last fourteen of such copies. It gives
// the name of a copy it made, else "".
func (w *File) CopyDaily(ctx context.Context) (string, error) {
	folder := copiesFolder(w.path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("no daily copy can be kept: %w", err)
	}
	name := filepath.Join(folder, w.now().Format(time.DateOnly)+copyEnd)
	if _, err := os.Stat(name); err == nil {
		return "", nil
	}
	halves, _ := filepath.Glob(filepath.Join(folder, halfCopies+"*")) // of copies that were cut short
	for _, half := range halves {
		if info, err := os.Lstat(half); err == nil && w.now().Sub(info.ModTime()) > 24*time.Hour {
			os.Remove(half)
		}
	}
	if err := w.Copy(ctx, name); err != nil {
		return "", err
	}
	days := daysOf(w.path)
	for _, old := range days[:max(0, len(days)-copiesKept)] {
		if err := os.Remove(filepath.Join(folder, old)); err != nil {
			return name, err
		}
	}
	return name, nil
}
