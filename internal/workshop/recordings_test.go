package workshop

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"shakedown/internal/faults"
	"shakedown/recording"
)

// ridden is an invented ride straight north at one speed [m/s], a place each second.
func ridden(speed float64) []byte {
	var b bytes.Buffer
	b.WriteString("time_s,lat,lon\n")
	for i := range 60 {
		fmt.Fprintf(&b, "%d,%.7f,7.0\n", i, 45+speed*float64(i)/111131)
	}
	return b.Bytes()
}

// Recordings stay with a machine, come back to the byte, travel with an export, and are never written over.
func TestRecordingsOfAMachine(t *testing.T) {
	w := openBench(t)
	id := fenmoor(t, w).Machine
	data := ridden(12)
	name, err := w.KeepRecording(t.Context(), id, `C:\rides\saturday.csv`, data)
	if err != nil || !strings.HasSuffix(name, "saturday.csv") {
		t.Fatalf("%q, %v", name, err)
	}
	again, err := w.KeepRecording(t.Context(), id, name, data)
	if err != nil || again != name {
		t.Errorf("the same once more is kept as %q (%v)", again, err)
	}
	other, err := w.KeepRecording(t.Context(), id, name, ridden(13))
	if err != nil || other == name {
		t.Errorf("another of that name is kept as %q (%v)", other, err)
	}
	for what, bad := range map[string][]byte{"text.gpx": []byte("hello"), "picture.png": {1, 2, 3}, "empty.csv": nil, "huge.gpx": make([]byte, recording.MaxBytes+1)} {
		if _, err := w.KeepRecording(t.Context(), id, what, bad); err == nil || !faults.IsMendable(err) || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if got, err := w.RecordingFile(t.Context(), id, name); err != nil || !bytes.Equal(got, data) {
		t.Errorf("it comes back changed (%v)", err)
	}
	var file bytes.Buffer
	if err := w.Export(t.Context(), &file, "test", id); err != nil {
		t.Fatal(err)
	}
	elsewhere := openBench(t)
	if _, err := elsewhere.Import(t.Context(), "x.zip", file.Bytes()); err != nil {
		t.Fatal(err)
	}
	list, err := elsewhere.Recordings(t.Context(), id)
	if err != nil || len(list) != 2 {
		t.Fatalf("%+v, %v", list, err)
	}
	if got, err := elsewhere.RecordingFile(t.Context(), id, name); err != nil || !bytes.Equal(got, data) {
		t.Errorf("it does not travel (%v)", err)
	}
	if _, err := elsewhere.Import(t.Context(), "x.zip", file.Bytes()); err != nil {
		t.Errorf("twice: %v", err)
	}
	// Bringing one again that is put away brings it back into sight.
	if err := elsewhere.PutAway(t.Context(), id, true); err != nil {
		t.Fatal(err)
	}
	if _, err := elsewhere.Import(t.Context(), "x.zip", file.Bytes()); err != nil {
		t.Errorf("one that is put away: %v", err)
	}
	if list, err := elsewhere.Machines(t.Context()); err != nil || len(list) != 1 || list[0].Away {
		t.Errorf("it is not back: %+v, %v", list, err)
	}
	if err := w.DropRecording(t.Context(), id, name); err != nil {
		t.Fatal(err)
	}
	if _, err := w.RecordingFile(t.Context(), id, name); !errors.Is(err, ErrNothing) {
		t.Errorf("it is still there: %v", err)
	}
	if out, err := w.DroppedRecordings(t.Context(), id); err != nil || len(out) != 1 || out[0].Name != name {
		t.Errorf("taken out: %+v, %v", out, err)
	}
	if err := w.RestoreRecording(t.Context(), id, name); err != nil {
		t.Fatal(err)
	}
	if got, err := w.RecordingFile(t.Context(), id, name); err != nil || !bytes.Equal(got, data) {
		t.Errorf("it does not come back (%v)", err)
	}
}
