package asked

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
	return ReadRide(context.Background(), filepath.Base(path), text)
}

// ReadRide makes a course of the text of a recording, and a key that changes with it.
func ReadRide(ctx context.Context, name string, text []byte) (*track.Ride, string, error) {
	ride, err := track.ReadRide(ctx, name, bytes.NewReader(text))
	if err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(text)
	return ride, hex.EncodeToString(sum[:8]), nil
}

// Along is the recorded course that an answer's laps go along, if any.
type Along struct {
	Ride *track.Ride // nil for the sheet's sections
	Key  string      // changes with what is in the recording
	Err  error       // why it cannot be ridden; faults.Mendable
}

// Along is the recorded course that the answer's laps go along; nothing is read before it is asked for, and once only.
func (a *Answer) Along() Along { return a.along() }

// courseOf finds out what the laps of a question go along: the logged ride that it names; else the sheet's sections;
// else the sheet's recording. Nothing is read before a lap is wanted.
func courseOf(q Question, s *sheet.Sheet) (name string, get func() Along) {
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
		return "", func() Along { return Along{} }
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
	return name, sync.OnceValue(func() Along {
		ride, key, err := find(name)
		switch {
		case err == nil:
			return Along{ride, key, nil}
		case inSheet:
			return Along{Err: faults.Mendable(sheet.Errors{s.Diagnose(gpx.Origin, "the recorded course cannot be ridden: "+err.Error(), "a recording, GPX or a table, of a lap or more", "put the file beside the sheet, or give the course as sections")})}
		}
		return Along{Err: faults.Mendable(fmt.Errorf("%s: %w", filepath.Base(name), err))}
	})
}

// CourseName is a recording's name without its folder; "" for none.
func CourseName(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(path)
}
