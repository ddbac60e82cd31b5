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

// Copy writes a consistent copy of the whole file while it is in use. An existing file is not overwritten.
func (w *Workshop) Copy(ctx context.Context, file string) error {
	w.copies.Lock()
	defer w.copies.Unlock()
	if _, err := os.Lstat(file); err == nil {
		return fmt.Errorf("%s is there already; give a name that is free", file)
	}
	half := file + ".half"
	os.Remove(half) // of a copy that was cut short
	if _, err := w.db.ExecContext(ctx, "VACUUM INTO ?", half); err != nil {
		os.Remove(half)
		return fmt.Errorf("the copy %s could not be written: %w", file, w.explain(err))
	}
	if err := flush(half); err != nil {
		return err
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

// CopyDaily keeps today's copy beside the file, when there is none yet, and the last fourteen of such copies. It gives the
// name of a copy it made, else "".
func (w *Workshop) CopyDaily(ctx context.Context) (string, error) {
	folder := copiesFolder(w.path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("no daily copy can be kept: %w", err)
	}
	name := filepath.Join(folder, w.now().Format(time.DateOnly)+".shakedown")
	if _, err := os.Stat(name); err == nil {
		return "", nil
	}
	if err := w.Copy(ctx, name); err != nil {
		return "", err
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return name, err
	}
	var dated []string
	for _, e := range entries {
		if day, ok := strings.CutSuffix(e.Name(), ".shakedown"); ok {
			if _, err := time.Parse(time.DateOnly, day); err == nil {
				dated = append(dated, e.Name())
			}
		}
	}
	slices.Sort(dated)
	for _, old := range dated[:max(0, len(dated)-copiesKept)] {
		if err := os.Remove(filepath.Join(folder, old)); err != nil {
			return name, err
		}
	}
	return name, nil
}
