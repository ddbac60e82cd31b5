package workshop

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"shakedown/internal/faults"
	"shakedown/internal/store"
	"shakedown/recording"
)

// Recording is a recorded course, kept with a machine.
type Recording = store.Recording

// Recordings lists the recorded courses of a machine.
func (w *Bench) Recordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.file.Recordings(ctx, machine)
}

// KeepRecording keeps a recorded course with a machine, when it can be read as one, and gives the name it has there:
// another of the same name stays.
func (w *Bench) KeepRecording(ctx context.Context, machine, name string, data []byte) (string, error) {
	if len(data) > recording.MaxBytes {
		return "", faults.TooLarge(fmt.Errorf("%s has more than %d MB; cut it", name, recording.MaxBytes>>20))
	}
	name = filepath.Base(filepath.ToSlash(name))
	if err := w.judge.Recording(ctx, name, data); err != nil {
		return "", faults.Mendable(fmt.Errorf("%s was not kept: %w", name, err))
	}
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for i := 2; ; i++ {
		err := w.file.KeepRecording(ctx, machine, name, data)
		if !errors.Is(err, store.ErrStale) {
			return name, err
		}
		if there, err := w.file.Recording(ctx, machine, name); err == nil && bytes.Equal(there.Data, data) {
			return name, nil
		}
		name = fmt.Sprintf("%s-%d%s", base, i, ext)
	}
}

// RecordingFile is a recorded course as it came. ErrNothing when there is none of that name.
func (w *Bench) RecordingFile(ctx context.Context, machine, name string) ([]byte, error) {
	r, err := w.file.Recording(ctx, machine, name)
	return r.Data, err
}

// DroppedRecordings lists the recorded courses of a machine that were taken out and can be put back, the last one
// first.
func (w *Bench) DroppedRecordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.file.DroppedRecordings(ctx, machine)
}

// RestoreRecording puts a recorded course back that was taken out. ErrNothing when there is none of that name.
func (w *Bench) RestoreRecording(ctx context.Context, machine, name string) error {
	return w.file.RestoreRecording(ctx, machine, name)
}

// DropRecording takes a recorded course from a machine; RestoreRecording puts it back. ErrNothing when there is none of
// that name.
func (w *Bench) DropRecording(ctx context.Context, machine, name string) error {
	return w.file.DropRecording(ctx, machine, name)
}
