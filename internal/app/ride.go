package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"shakedown/forecast"
	"shakedown/internal/faults"
	"shakedown/internal/store"
	"shakedown/sheet"
)

// Recording is a recorded course, kept with a machine.
type Recording = store.Ride

// RideOf finds a recorded course by the name of its file, and a key that changes with what is in it.
type RideOf func(name string) (ride *forecast.Ride, key string, err error)

// MaxRecording is the largest recording that is read [bytes].
const MaxRecording = 48 << 20

// recordingFile reads a recorded course from a file.
func recordingFile(path string) (*forecast.Ride, string, error) {
	text, err := sheet.ReadBounded(path, MaxRecording)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "", fmt.Errorf("there is no file %q; give the path of a recording, GPX or a table", path)
	case errors.Is(err, sheet.ErrLarge):
		return nil, "", fmt.Errorf("%s has more than %d MB; cut it", path, MaxRecording>>20)
	case err != nil:
		return nil, "", err
	}
	return readRide(context.Background(), filepath.Base(path), text)
}

func readRide(ctx context.Context, name string, text []byte) (*forecast.Ride, string, error) {
	ride, err := forecast.ReadRide(ctx, name, bytes.NewReader(text))
	if err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(text)
	return ride, hex.EncodeToString(sum[:8]), nil
}

// along is the recorded course that an answer's laps go along, if any.
type along struct {
	ride *forecast.Ride
	key  string
	err  error // faults.Mendable
}

// courseOf finds out what the laps of a question go along: the logged ride that it names; else the sheet's sections; else the sheet's recording.
// Nothing is read before a lap is wanted.
func courseOf(q Question, s *sheet.Sheet) (name string, get func() along) {
	own := false
	for path, v := range s.Project.Base {
		own = own || strings.HasPrefix(path, "track.sections") && v.Origin.Line > 0
	}
	find := q.Rides
	gpx := s.Project.Base["track.gpx"]
	inSheet := q.Course == "" && gpx.Text != "" && !own
	switch {
	case q.Course != "":
		name = q.Course
	case inSheet:
		name = gpx.Text
	default:
		return "", func() along { return along{} }
	}
	if find == nil {
		find = func(name string) (*forecast.Ride, string, error) {
			if !inSheet {
				return recordingFile(name)
			}
			if !filepath.IsLocal(name) || q.Path == "" {
				return nil, "", fmt.Errorf("%q is not a file beside the sheet", name)
			}
			folder := q.Path
			if info, err := os.Stat(folder); err == nil && !info.IsDir() {
				folder = filepath.Dir(folder)
			}
			return recordingFile(filepath.Join(folder, name))
		}
	}
	return name, sync.OnceValue(func() along {
		ride, key, err := find(name)
		switch {
		case err == nil:
			return along{ride, key, nil}
		case inSheet:
			return along{err: faults.Mendable(sheet.Errors{s.Diagnose(gpx.Origin, "the recorded course cannot be ridden: "+err.Error(), "a recording, GPX or a table, of a lap or more", "put the file beside the sheet, or give the course as sections")})}
		}
		return along{err: faults.Mendable(fmt.Errorf("%s: %w", filepath.Base(name), err))}
	})
}

// Recordings lists the recorded courses of a machine.
func (w *Workshop) Recordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.file.Rides(ctx, machine)
}

// KeepRecording keeps a recorded course with a machine, when it can be read as one, and gives the name it has there: another of the same name stays.
func (w *Workshop) KeepRecording(ctx context.Context, machine, name string, data []byte) (string, error) {
	if len(data) > MaxRecording {
		return "", faults.TooLarge(fmt.Errorf("%s has more than %d MB; cut it", name, MaxRecording>>20))
	}
	name = filepath.Base(filepath.ToSlash(name))
	if _, _, err := readRide(ctx, name, data); err != nil {
		return "", faults.Mendable(fmt.Errorf("%s was not kept: %w", name, err))
	}
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	for i := 2; ; i++ {
		err := w.file.KeepRide(ctx, machine, name, data)
		if !errors.Is(err, store.ErrStale) {
			return name, err
		}
		if there, err := w.file.Ride(ctx, machine, name); err == nil && bytes.Equal(there.Data, data) {
			return name, nil
		}
		name = fmt.Sprintf("%s-%d%s", base, i, ext)
	}
}

// RecordingFile is a recorded course as it came. ErrNothing when there is none of that name.
func (w *Workshop) RecordingFile(ctx context.Context, machine, name string) ([]byte, error) {
	r, err := w.file.Ride(ctx, machine, name)
	return r.Data, err
}

// DroppedRecordings lists the recorded courses of a machine that were taken out and can be put back, the last one first.
func (w *Workshop) DroppedRecordings(ctx context.Context, machine string) ([]Recording, error) {
	return w.file.DroppedRides(ctx, machine)
}

// RestoreRecording puts a recorded course back that was taken out. ErrNothing when there is none of that name.
func (w *Workshop) RestoreRecording(ctx context.Context, machine, name string) error {
	return w.file.RestoreRide(ctx, machine, name)
}

// DropRecording takes a recorded course from a machine; RestoreRecording puts it back. ErrNothing when there is none of that name.
func (w *Workshop) DropRecording(ctx context.Context, machine, name string) error {
	err := w.file.DropRide(ctx, machine, name)
	w.mu.Lock()
	delete(w.rides, machine+"/"+name)
	w.mu.Unlock()
	return err
}

// rideOf finds the recorded courses of a machine in the workshop file; the last few stay as they were read.
func (w *Workshop) rideOf(ctx context.Context, machine string) RideOf {
	return func(name string) (*forecast.Ride, string, error) {
		at := machine + "/" + name
		w.mu.Lock()
		known, ok := w.rides[at]
		w.mu.Unlock()
		if ok {
			return known.ride, known.key, nil
		}
		r, err := w.file.Ride(ctx, machine, name)
		if errors.Is(err, ErrNothing) {
			return nil, "", fmt.Errorf("there is no recording %q with this machine; bring it in on the Track page", name)
		}
		if err != nil {
			return nil, "", err
		}
		ride, key, err := readRide(ctx, name, r.Data)
		if err != nil {
			return nil, "", err
		}
		w.mu.Lock()
		defer w.mu.Unlock()
		if len(w.rides) >= textsKept {
			clear(w.rides)
		}
		w.rides[at] = along{ride: ride, key: key}
		return ride, key, nil
	}
}

// courseName is a recording's name without its folder; "" for none.
func courseName(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(path)
}
