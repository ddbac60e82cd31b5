package app

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
)

// ovalGPX is an invented ride of some laps round two straights of 80 m and two half circles of 15 m at one speed [m/s],
// at 5 Hz.
func ovalGPX(laps int, speed float64) []byte {
	const straight, radius = 80.0, 15.0
	lap := 2*straight + 2*math.Pi*radius
	var b bytes.Buffer
	b.WriteString(`<gpx version="1.1" creator="invented"><trk><trkseg>`)
	for i, way := 0, 0.0; way < lap*float64(laps); i, way = i+1, way+speed/5 {
		s := math.Mod(way, lap)
		x, y := s, 0.0
		switch a := (s - straight) / radius; {
		case s < straight:
		case s < straight+math.Pi*radius:
			x, y = straight+radius*math.Sin(a), radius-radius*math.Cos(a)
		case s < 2*straight+math.Pi*radius:
			x, y = straight-(s-straight-math.Pi*radius), 2*radius
		default:
			a = (s - 2*straight - math.Pi*radius) / radius
			x, y = -radius*math.Sin(a), radius+radius*math.Cos(a)
		}
		fmt.Fprintf(&b, `<trkpt lat="%.8f" lon="%.8f"><ele>100</ele><time>2026-05-03T10:%02d:%02d.%d00Z</time></trkpt>`, 45+y/111131.0, 7+x/78847.0, i/5/60, i/5%60, i%5*2)
	}
	b.WriteString(`</trkseg></trk></gpx>`)
	return b.Bytes()
}

// onTrack is the example with another course.
func onTrack(t *testing.T, track string) []byte {
	t.Helper()
	text, err := os.ReadFile("../../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, _, ok := bytes.Cut(text, []byte("\ntrack:\n"))
	if !ok {
		t.Fatal("the example has no track")
	}
	return append(before, "\ntrack:\n  surface: loam\n"+track...)
}

// A sheet that names a recording and gives no sections of its own is ridden along the logged ride; one with sections
// keeps to them.
func TestSheetsRecording(t *testing.T) {
	folder := t.TempDir()
	write := func(name string, text []byte) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, text, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	write("round.gpx", ovalGPX(4, 11))
	along := write("along.yaml", onTrack(t, "  gpx: round.gpx\n"))
	curves := NewResults()
	l, err := Lap(context.Background(), asked.Question{Path: along}, curves, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	whole := 160 + 30*math.Pi
	if l.Course != "round.gpx" || math.Abs(l.Lap.Length/whole-1) > 0.01 || l.Lap.Ridden == nil || math.Abs(l.Lap.Ridden.Taken-whole/11) > 0.2 {
		t.Errorf("%q, %g m, %+v", l.Course, l.Lap.Length, l.Lap.Ridden)
	}
	notes := strings.Join(notesOf(l.Answer()), "\n")
	for _, want := range []string{"3 whole laps", "On the logged ride the lap took", "all laps:"} {
		if !strings.Contains(notes, want) {
			t.Errorf("the notes lack %q:\n%s", want, notes)
		}
	}
	// The same oval as sections laps alike: smoothing rounds where straight and corner meet.
	sections := write("sections.yaml", onTrack(t, "  gpx: nowhere.gpx\n  sections: [{straight: 80 m}, {corner: left, radius: 15 m, angle: 180 deg}, {straight: 80 m}, {corner: left, radius: 15 m, angle: 180 deg}]\n"))
	s, err := Lap(context.Background(), asked.Question{Path: sections}, curves, true, nil)
	if err != nil || s.Course != "" || math.Abs(s.Lap.Time/l.Lap.Time-1) > 0.03 {
		t.Errorf("sections lap in %g s, the logged ride in %g (%v)", s.Lap.Time, l.Lap.Time, err)
	}
	// A recording that is not there, or beside the folder, is said with its place in the sheet.
	for _, gpx := range []string{"nowhere.gpx", "../round.gpx"} {
		path := write("bad.yaml", onTrack(t, "  gpx: "+gpx+"\n"))
		_, err := Lap(context.Background(), asked.Question{Path: path}, curves, true, nil)
		if err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), "bad.yaml:3") {
			t.Errorf("%s: %v", gpx, err)
		}
		if _, err := asked.Ask(asked.Question{Path: path}); err != nil {
			t.Errorf("%s: nothing but the lap wants the logged ride: %v", gpx, err)
		}
	}
	if _, err := StartTo(context.Background(), asked.Question{Path: along}, curves); err == nil || !strings.Contains(err.Error(), "starting line") {
		t.Errorf("a start from a recording: %v", err)
	}
}

// Of builds side by side the baseline goes along the sheet's recording like the others: it was looked for nowhere.
func TestTheBaselineGoesAlongTheRecording(t *testing.T) {
	folder := t.TempDir()
	for name, text := range map[string][]byte{"round.gpx": ovalGPX(4, 11), "sheet.yaml": onTrack(t, "  gpx: round.gpx\n")} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	c, err := Compare(asked.Question{Path: filepath.Join(folder, "sheet.yaml")}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range c.Answers {
		if on := a.Along(); a.Course != "round.gpx" || on.Err != nil || on.Ride == nil {
			t.Errorf("%s: along %q, %v", a.Build.Name, a.Course, on.Err)
		}
	}
}

// A machine's recordings are ridden along by their names; one that was taken out is not, though it was read before.
func TestRecordingsOfAMachine(t *testing.T) {
	w := openWorkshop(t)
	id := fenmoor(t, w).Machine
	name, err := w.KeepRecording(t.Context(), id, "saturday.gpx", ovalGPX(3, 12))
	if err != nil {
		t.Fatal(err)
	}
	other, err := w.KeepRecording(t.Context(), id, name, ovalGPX(3, 13))
	if err != nil || other == name {
		t.Errorf("another of that name is kept as %q (%v)", other, err)
	}
	for what, bad := range map[string][]byte{"text.gpx": []byte("hello"), "picture.png": {1, 2, 3}, "empty.csv": nil} {
		if _, err := w.KeepRecording(t.Context(), id, what, bad); err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
	a, _, err := w.Ask(t.Context(), id, asked.Question{Course: name})
	if err != nil {
		t.Fatal(err)
	}
	l, err := course.LapOf(t.Context(), a, lapCurves)
	if err != nil || l.Course != name || math.Abs(l.Lap.Length-254.2) > 3 {
		t.Errorf("%v, %+v", err, l)
	}
	b, _, err := w.Ask(t.Context(), id, asked.Question{Course: other})
	if err != nil || lapKey("lap", "p", a, "") == lapKey("lap", "p", b, "") {
		t.Errorf("two recordings share what is kept of them (%v)", err)
	}
	if err := w.DropRecording(t.Context(), id, name); err != nil {
		t.Fatal(err)
	}
	if a, _, err = w.Ask(t.Context(), id, asked.Question{Course: name}); err != nil {
		t.Fatal(err)
	}
	if _, err := course.LapOf(t.Context(), a, lapCurves); err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), "no recording") {
		t.Errorf("a lap along what was taken out: %v", err)
	}
}
