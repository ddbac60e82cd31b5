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

	"shakedown/forecast/track"
	"shakedown/internal/faults"
	"shakedown/internal/workshop"
	"shakedown/recording"
	"shakedown/sheet"
)

// RideOf finds a recorded course by the name of its file, and a key that changes with what is in it.
type RideOf func(name string) (ride *track.Ride, key string, err error)

// recordingFile reads a recorded course from a file.
func recordingFile(path string) (*track.Ride, string, error) {
	text, err := sheet.ReadBounded(path, recording.MaxBytes)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "", fmt.Errorf("there is no file %q; give the path of a recording, GPX or a table", path)
	case errors.Is(err, sheet.ErrLarge):
		return nil, "", fmt.Errorf("%s has more than %d MB; cut it", path, recording.MaxBytes>>20)
	case err != nil:
		return nil, "", err
	}
	return readRide(context.Background(), filepath.Base(path), text)
}

func readRide(ctx context.Context, name string, text []byte) (*track.Ride, string, error) {
	ride, err := track.ReadRide(ctx, name, bytes.NewReader(text))
	if err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(text)
	return ride, hex.EncodeToString(sum[:8]), nil
}

// along is the recorded course that an answer's laps go along, if any.
type along struct {
	ride *track.Ride
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
		find = func(name string) (*track.Ride, string, error) {
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

// DropRecording takes a recorded course from a machine; RestoreRecording puts it back. ErrNothing when there is none of that name.
func (w *Workshop) DropRecording(ctx context.Context, machine, name string) error {
	err := w.Bench.DropRecording(ctx, machine, name)
	w.mu.Lock()
	delete(w.rides, machine+"/"+name)
	w.mu.Unlock()
	return err
}

// rideOf finds the recorded courses of a machine in the workshop file; the last few stay as they were read.
func (w *Workshop) rideOf(ctx context.Context, machine string) RideOf {
	return func(name string) (*track.Ride, string, error) {
		at := machine + "/" + name
		w.mu.Lock()
		known, ok := w.rides[at]
		w.mu.Unlock()
		if ok {
			return known.ride, known.key, nil
		}
		data, err := w.RecordingFile(ctx, machine, name)
		if errors.Is(err, workshop.ErrNothing) {
			return nil, "", fmt.Errorf("there is no recording %q with this machine; bring it in on the Track page", name)
		}
		if err != nil {
			return nil, "", err
		}
		ride, key, err := readRide(ctx, name, data)
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
