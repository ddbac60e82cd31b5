package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var day = time.Date(2027, 5, 3, 8, 0, 0, 0, time.UTC)

func clock() time.Time { return day }

func open(t testing.TB, path string) *File {
	t.Helper()
	w, err := Open(t.Context(), path, clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	return w
}

func place(t testing.TB) string {
	return filepath.Join(t.TempDir(), "a folder", "workshop ä%20.shakedown")
}

// Saving, undoing and redoing follow the plain idea of them: a line of texts and a place on it. Each says which change
// it was.
func TestUndoAndRedoFollowALineOfTexts(t *testing.T) {
	w := open(t, place(t))
	rapid.Check(t, func(r *rapid.T) {
		ctx := context.Background()
		first, err := w.Add(ctx, "one", []byte("text 0"), "begun")
		if err != nil {
			r.Fatal(err)
		}
		id, line, at, saves := first.Machine, []string{"text 0"}, 0, 1
		for i := range rapid.IntRange(1, 25).Draw(r, "steps") {
			var err error
			says := ""
			switch rapid.SampledFrom([]string{"save", "undo", "redo"}).Draw(r, "step") {
			case "save":
				text := fmt.Sprintf("text %d", i+1)
				line, at = append(line[:at+1:at+1], text), at+1
				says = "changed to " + text
				_, err = w.Save(ctx, id, saves, "one", []byte(text), says)
			case "undo":
				if _, err = w.Undo(ctx, id); at == 0 {
					if !errors.Is(err, ErrNothing) {
						r.Fatalf("undo at the beginning: %v", err)
					}
					continue
				}
				says = "undone: changed to " + line[at]
				at--
			case "redo":
				if _, err = w.Redo(ctx, id); at == len(line)-1 {
					if !errors.Is(err, ErrNothing) {
						r.Fatalf("redo at the end: %v", err)
					}
					continue
				}
				at++
				says = "done again: changed to " + line[at]
			}
			if err != nil {
				r.Fatal(err)
			}
			saves++
			now, err := w.Head(ctx, id)
			if err != nil || string(now.Text) != line[at] || now.Number != saves || now.Summary != says {
				r.Fatalf("revision %d is %q, %q (%v), want %d, %q, %q", now.Number, now.Text, now.Summary, err, saves, line[at], says)
			}
		}
		history, err := w.History(ctx, id)
		if err != nil || len(history) != saves {
			r.Fatalf("%d revisions in the history (%v), want %d", len(history), err, saves)
		}
	})
}

func TestSavingOnAnOldRevisionIsRefused(t *testing.T) {
	w := open(t, place(t))
	r, err := w.Add(t.Context(), "one", []byte("a"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Save(t.Context(), r.Machine, 1, "one", []byte("b"), "b"); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Save(t.Context(), r.Machine, 1, "one", []byte("c"), "c"); !errors.Is(err, ErrStale) {
		t.Fatalf("a save on revision 1 when 2 is there: %v", err)
	}
	if _, err := w.Save(t.Context(), "nobody", 1, "one", []byte("c"), "c"); !errors.Is(err, ErrNothing) {
		t.Fatalf("a save on a machine that is not there: %v", err)
	}
	now, err := w.Head(t.Context(), r.Machine)
	if err != nil || string(now.Text) != "b" {
		t.Fatalf("%q, %v", now.Text, err)
	}
}

// Two programs with the same file open write at once; every acknowledged save is there, in one line of revisions.
func TestTwoWritersLoseNothing(t *testing.T) {
	path := place(t)
	a, b := open(t, path), open(t, path)
	r, err := a.Add(t.Context(), "one", []byte("begin\n"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	const each = 40
	var wait sync.WaitGroup
	failed := make(chan error, 2)
	for name, w := range map[string]*File{"a": a, "b": b} {
		wait.Go(func() {
			for i := 0; i < each; {
				now, err := w.Head(t.Context(), r.Machine)
				if err != nil {
					failed <- err
					return
				}
				line := fmt.Sprintf("%s %d\n", name, i)
				_, err = w.Save(t.Context(), r.Machine, now.Number, "one", append(slices.Clone(now.Text), line...), line)
				switch {
				case errors.Is(err, ErrStale):
					continue
				case err != nil:
					failed <- err
					return
				}
				i++
			}
		})
	}
	wait.Wait()
	close(failed)
	for err := range failed {
		t.Fatal(err)
	}
	now, err := a.Head(t.Context(), r.Machine)
	if err != nil || now.Number != 1+2*each {
		t.Fatalf("revision %d, %v", now.Number, err)
	}
	for _, name := range []string{"a", "b"} {
		for i := range each {
			if !bytes.Contains(now.Text, fmt.Appendf(nil, "\n%s %d\n", name, i)) {
				t.Fatalf("%s %d is lost", name, i)
			}
		}
	}
	if err := a.Check(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func TestDraftsAreKept(t *testing.T) {
	path := place(t)
	w := open(t, path)
	r, err := w.Add(t.Context(), "one", []byte("a"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"half", "half a line"} {
		if err := w.KeepDraft(t.Context(), r.Machine, 1, []byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	w = open(t, path)
	if d, err := w.Draft(t.Context(), r.Machine); err != nil || string(d.Text) != "half a line" || d.Base != 1 || !d.Saved.Equal(day) {
		t.Fatalf("%+v, %v", d, err)
	}
	if _, err := w.Save(t.Context(), r.Machine, 1, "one", []byte("half a line"), "typed"); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Draft(t.Context(), r.Machine); !errors.Is(err, ErrNothing) {
		t.Fatalf("the draft stays after it was saved: %v", err)
	}
}

// Files that cannot be used are told from each other, and left as they are to the byte.
func TestFilesThatCannotBeUsed(t *testing.T) {
	good := func(t *testing.T, path string) {
		w := open(t, path)
		for i := range 30 {
			if _, err := w.Add(t.Context(), fmt.Sprint("machine ", i), bytes.Repeat([]byte(fmt.Sprintf("line %d of the sheet\n", i)), 100), "begun"); err != nil {
				t.Fatal(err)
			}
		}
		w.Close()
	}
	for _, c := range []struct {
		name string
		make func(t *testing.T, path string)
		want string
	}{
		{"newer version", func(t *testing.T, path string) {
			good(t, path)
			patch(t, path, func(b []byte) { binary.BigEndian.PutUint32(b[60:], 99) })
		}, "newer shakedown (file version 99"},
		{"another program's database", func(t *testing.T, path string) {
			good(t, path)
			patch(t, path, func(b []byte) { binary.BigEndian.PutUint32(b[68:], 7) })
		}, "is no workshop file"},
		{"a text", func(t *testing.T, path string) {
			os.MkdirAll(filepath.Dir(path), 0o700)
			os.WriteFile(path, []byte("sheet: 1\n"), 0o600)
		}, "is no workshop file"},
		{"damaged in the middle", func(t *testing.T, path string) {
			good(t, path)
			patch(t, path, func(b []byte) {
				for i := 4096; i < min(len(b), 40000); i += 7 {
					b[i] ^= 0x5a
				}
			})
		}, "is damaged"},
		{"cut short", func(t *testing.T, path string) {
			good(t, path)
			info, _ := os.Stat(path)
			os.Truncate(path, info.Size()/2)
		}, "is damaged"},
		{"a folder", func(t *testing.T, path string) { os.MkdirAll(path, 0o700) }, "is a folder"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := place(t)
			c.make(t, path)
			before, _ := os.ReadFile(path)
			_, err := Open(t.Context(), path, clock)
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "--workshop") {
				t.Fatalf("%v; want %q and a way out", err, c.want)
			}
			after, _ := os.ReadFile(path)
			if !bytes.Equal(before, after) {
				t.Fatal("the file was changed")
			}
		})
	}
}

func patch(t *testing.T, path string, change func(b []byte)) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	change(b)
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// Without room a save says so and changes nothing; with room again it goes on. SQLite's own limit of pages stands for a
// full disk everywhere; where a small file system can be mounted, that is tried too.
func TestNoRoom(t *testing.T) {
	fill := func(t *testing.T, w *File, id string) (last Revision, err error) {
		t.Helper()
		for i := range 2000 {
			now, headErr := w.Head(t.Context(), id)
			if headErr != nil {
				t.Fatal(headErr)
			}
			text := []byte(strings.Repeat(fmt.Sprintf("line %d\n", i), 4000))
			if _, err := w.Save(t.Context(), id, now.Number, "one", text, "longer"); err != nil {
				return now, err
			}
		}
		t.Fatal("there is no end of room")
		return Revision{}, nil
	}
	check := func(t *testing.T, w *File, last Revision, err error) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), "the disk is full") || !strings.Contains(err.Error(), "nothing was saved") {
			t.Fatalf("%v", err)
		}
		now, err := w.Head(t.Context(), last.Machine)
		if err != nil || now.Number != last.Number {
			t.Fatalf("after a save without room the newest is %d (%v), want %d", now.Number, err, last.Number)
		}
		if err := w.Check(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("limit of pages", func(t *testing.T) {
		w := open(t, place(t))
		w.db.SetMaxOpenConns(1) // the limit is one connection's
		if _, err := w.db.ExecContext(t.Context(), "PRAGMA max_page_count = 400"); err != nil {
			t.Fatal(err)
		}
		r, err := w.Add(t.Context(), "one", []byte("a"), "begun")
		if err != nil {
			t.Fatal(err)
		}
		last, err := fill(t, w, r.Machine)
		check(t, w, last, err)
		if _, err := w.db.ExecContext(t.Context(), "PRAGMA max_page_count = 40000"); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Save(t.Context(), r.Machine, last.Number, "one", []byte("b"), "room again"); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("small file system", func(t *testing.T) {
		folder := t.TempDir()
		if runtime.GOOS != "linux" || exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder).Run() != nil {
			t.Skip("no file system can be mounted here; the limit of pages stands for it")
		}
		t.Cleanup(func() { exec.Command("umount", "-l", folder).Run() })
		w := open(t, filepath.Join(folder, "w.shakedown"))
		r, err := w.Add(t.Context(), "one", []byte("a"), "begun")
		if err != nil {
			t.Fatal(err)
		}
		last, err := fill(t, w, r.Machine)
		check(t, w, last, err)
	})
	t.Run("read-only file system", func(t *testing.T) {
		folder := t.TempDir()
		path := filepath.Join(folder, "w.shakedown")
		mounted := runtime.GOOS == "linux" && exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder).Run() == nil
		if mounted {
			t.Cleanup(func() { exec.Command("umount", "-l", folder).Run() })
		}
		w := open(t, path)
		if _, err := w.Add(t.Context(), "one", []byte("a"), "begun"); err != nil {
			t.Fatal(err)
		}
		w.Close()
		before, _ := os.ReadFile(path)
		if mounted {
			if err := exec.Command("mount", "-o", "remount,ro", folder).Run(); err != nil {
				t.Fatal(err)
			}
		} else {
			if os.Getuid() == 0 {
				t.Skip("nothing is read-only for root here")
			}
			os.Chmod(path, 0o400)
			os.Chmod(folder, 0o500)
			t.Cleanup(func() { os.Chmod(folder, 0o700) })
		}
		_, err := Open(t.Context(), path, clock)
		if err == nil || !strings.Contains(err.Error(), "cannot be written") {
			t.Fatalf("%v", err)
		}
		// It can be read, and copied, all the same; nothing is left of what it is read from.
		reading, err := OpenToRead(t.Context(), path, clock)
		if err != nil {
			t.Fatal(err)
		}
		list, err := reading.Machines(t.Context())
		if err != nil || len(list) != 1 || reading.Path() != path {
			t.Errorf("%+v, %v", list, err)
		}
		copied := filepath.Join(t.TempDir(), "copy.shakedown")
		if err := reading.Copy(t.Context(), copied); err != nil {
			t.Fatal(err)
		}
		if list, err := open(t, copied).Machines(t.Context()); err != nil || len(list) != 1 {
			t.Errorf("of the copy: %+v, %v", list, err)
		}
		if err := reading.Close(); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(reading.folder); reading.folder == "" || !errors.Is(err, os.ErrNotExist) {
			t.Errorf("left behind: %q, %v", reading.folder, err)
		}
		after, _ := os.ReadFile(path)
		if !bytes.Equal(before, after) {
			t.Fatal("the file was changed")
		}
	})
}

// A file of no bytes is no new workshop: the error tells of its copies. What stands in SQLite's log alone is not lost.
func TestAnEmptyFileTellsOfItsCopies(t *testing.T) {
	path := place(t)
	w := open(t, path)
	r, err := w.Add(t.Context(), "one", []byte("a"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	w.Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), path, clock); err == nil || !strings.Contains(err.Error(), "0 bytes") || !strings.Contains(err.Error(), "no copy beside it") {
		t.Errorf("%v", err)
	}
	folder := copiesFolder(path)
	os.MkdirAll(folder, 0o700)
	for _, day := range []string{"2027-05-01", "2027-05-02"} {
		if err := os.WriteFile(filepath.Join(folder, day+".shakedown"), whole, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := Open(t.Context(), path, clock); err == nil || !strings.Contains(err.Error(), filepath.Join(folder, "2027-05-02.shakedown")) || !strings.Contains(err.Error(), "2 copies") {
		t.Errorf("%v", err)
	}
	if info, err := os.Stat(path); err != nil || info.Size() != 0 {
		t.Error("the empty file was touched")
	}
	if got, err := open(t, filepath.Join(folder, "2027-05-02.shakedown")).Head(t.Context(), r.Machine); err != nil || string(got.Text) != "a" {
		t.Errorf("%q, %v", got.Text, err)
	}
}

// A text that is not the one that was saved is not shown as if it were; others are.
func TestADamagedTextIsFound(t *testing.T) {
	w := open(t, place(t))
	r, err := w.Add(t.Context(), "one", []byte("bore: 74 mm"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Save(t.Context(), r.Machine, 1, "one", []byte("bore: 75 mm"), "bored"); err != nil {
		t.Fatal(err)
	}
	if _, err := w.db.ExecContext(t.Context(), "UPDATE texts SET text = ? WHERE hash = ?", []byte("bore: 47 mm"), hashOf([]byte("bore: 74 mm"))); err != nil {
		t.Fatal(err)
	}
	if got, err := w.Revision(t.Context(), r.Machine, 1); err == nil || !strings.Contains(err.Error(), "is damaged") || !strings.Contains(err.Error(), "revision 1") || !strings.Contains(err.Error(), copiesFolder(w.path)) {
		t.Errorf("%q, %v", got.Text, err)
	}
	if _, err := w.Undo(t.Context(), r.Machine); err == nil {
		t.Error("undo goes back to a damaged text")
	}
	if got, err := w.Head(t.Context(), r.Machine); err != nil || string(got.Text) != "bore: 75 mm" {
		t.Errorf("%q, %v", got.Text, err)
	}
}

// A clock that shows no year of ours saves nothing that could not be read again.
func TestTimesThatCannotBeWritten(t *testing.T) {
	w := open(t, place(t))
	for _, year := range []int{-1, 0, 1968, 9999, 12027} {
		w.now = func() time.Time { return time.Date(year, 12, 31, 23, 0, 0, 0, time.FixedZone("west", -8*3600)) }
		if _, err := w.Add(t.Context(), "one", []byte("a"), "begun"); err == nil || !strings.Contains(err.Error(), "clock") {
			t.Errorf("saved in the year %d: %v", year, err)
		}
	}
	w.now = clock
	if _, err := w.Add(t.Context(), "one", []byte("a"), "begun"); err != nil {
		t.Error(err)
	}
	if list, err := w.Machines(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%+v, %v", list, err)
	}
}

// A file of every earlier version comes up to this one with all that was in it.
func TestEarlierVersionsAreBroughtUp(t *testing.T) {
	for version := 1; version <= len(migrations); version++ {
		t.Run(fmt.Sprint(version), func(t *testing.T) {
			b, err := os.ReadFile(fmt.Sprintf("testdata/version-%d.shakedown", version))
			if err != nil {
				t.Fatalf("%v; go test ./internal/store -run TestEarlier -keep makes that of this version", err)
			}
			if got := binary.BigEndian.Uint32(b[60:]); got != uint32(version) {
				t.Fatalf("the file is of version %d", got)
			}
			path := place(t)
			os.MkdirAll(filepath.Dir(path), 0o700)
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
			w := open(t, path)
			list, err := w.Machines(t.Context())
			if err != nil || len(list) != 1 || list[0].Name != "Fenmoor" || list[0].Head != 4 {
				t.Fatalf("%+v, %v", list, err)
			}
			for number, want := range map[int]string{1: "sheet: 1\n", 2: "sheet: 1 # second\n", 3: "sheet: 1\n", 4: "sheet: 1 # second\n"} {
				r, err := w.Revision(t.Context(), list[0].ID, number)
				if err != nil || string(r.Text) != want {
					t.Errorf("revision %d: %q, %v", number, r.Text, err)
				}
			}
			if d, err := w.Draft(t.Context(), list[0].ID); err != nil || string(d.Text) != "sheet: 1 # thi" {
				t.Errorf("draft %q, %v", d.Text, err)
			}
			if _, err := w.Undo(t.Context(), list[0].ID); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestCopies(t *testing.T) {
	path := place(t)
	now := day
	w, err := Open(t.Context(), path, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	r, err := w.Add(t.Context(), "one", []byte("kept"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	for range 20 {
		if name, err := w.CopyDaily(t.Context()); err != nil || name == "" {
			t.Fatalf("%q, %v", name, err)
		}
		if name, err := w.CopyDaily(t.Context()); err != nil || name != "" {
			t.Fatalf("a second copy of the same day: %q, %v", name, err)
		}
		now = now.AddDate(0, 0, 1)
	}
	copies, err := filepath.Glob(path + ".copies/*.shakedown")
	if err != nil || len(copies) != copiesKept {
		t.Fatalf("%d copies, %v", len(copies), err)
	}
	old := open(t, copies[0])
	if h, err := old.Head(t.Context(), r.Machine); err != nil || string(h.Text) != "kept" {
		t.Fatalf("%q, %v", h.Text, err)
	}
	if err := w.Copy(t.Context(), copies[0]); err == nil {
		t.Fatal("an existing file was written over")
	}
}

func BenchmarkSave(b *testing.B) {
	w := open(b, filepath.Join(b.TempDir(), "w.shakedown"))
	text := bytes.Repeat([]byte("a line of a sheet: 12 mm measured\n"), 600)
	r, err := w.Add(b.Context(), "one", text, "begun")
	if err != nil {
		b.Fatal(err)
	}
	number := 1
	for b.Loop() {
		text = append(text, 'x')
		if r, err = w.Save(b.Context(), r.Machine, number, "one", text, "longer"); err != nil {
			b.Fatal(err)
		}
		number = r.Number
	}
}

func TestResults(t *testing.T) {
	w := open(t, place(t))
	if _, err := w.Result(t.Context(), "k"); !errors.Is(err, ErrNothing) {
		t.Fatal(err)
	}
	for _, value := range []string{"one", "two"} {
		if err := w.KeepResult(t.Context(), "k", []byte(value)); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := w.Result(t.Context(), "k"); err != nil || string(got) != "two" {
		t.Fatalf("%q, %v", got, err)
	}
	if err := w.ForgetResults(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Result(t.Context(), "k"); !errors.Is(err, ErrNothing) {
		t.Fatal(err)
	}
}

func TestRides(t *testing.T) {
	w := open(t, place(t))
	r, err := w.Add(t.Context(), "one", []byte("sheet: 1\n"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	if err := w.KeepRecording(t.Context(), "nobody", "a.gpx", []byte("x")); !errors.Is(err, ErrNothing) {
		t.Errorf("a ride of no machine: %v", err)
	}
	for name, data := range map[string]string{"b.csv": "lat,lon\r\n", "a.gpx": "<gpx/>"} {
		if err := w.KeepRecording(t.Context(), r.Machine, name, []byte(data)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.KeepRecording(t.Context(), r.Machine, "a.gpx", []byte("other")); !errors.Is(err, ErrStale) {
		t.Errorf("a ride is written over: %v", err)
	}
	list, err := w.Recordings(t.Context(), r.Machine)
	if err != nil || len(list) != 2 || list[0].Name != "a.gpx" || list[1].Name != "b.csv" || list[0].Saved.IsZero() {
		t.Fatalf("%+v, %v", list, err)
	}
	if got, err := w.Recording(t.Context(), r.Machine, "b.csv"); err != nil || string(got.Data) != "lat,lon\r\n" {
		t.Errorf("%q, %v", got.Data, err)
	}
	if err := w.DropRecording(t.Context(), r.Machine, "b.csv"); err != nil {
		t.Fatal(err)
	}
	if list, err := w.DroppedRecordings(t.Context(), r.Machine); err != nil || len(list) != 1 || list[0].Name != "b.csv" {
		t.Errorf("taken out: %+v, %v", list, err)
	}
	for _, again := range []func() error{
		func() error { return w.RestoreRecording(t.Context(), r.Machine, "b.csv") },
		func() error { return w.KeepRecording(t.Context(), r.Machine, "b.csv", []byte("lat,lon\r\n")) },
	} {
		if err := again(); err != nil {
			t.Fatal(err)
		}
		if got, err := w.Recording(t.Context(), r.Machine, "b.csv"); err != nil || string(got.Data) != "lat,lon\r\n" {
			t.Errorf("put back: %+v, %v", got, err)
		}
		if err := w.RestoreRecording(t.Context(), r.Machine, "b.csv"); !errors.Is(err, ErrNothing) {
			t.Errorf("what is there is put back: %v", err)
		}
		if err := w.DropRecording(t.Context(), r.Machine, "b.csv"); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.KeepRecording(t.Context(), r.Machine, "b.csv", []byte("another")); !errors.Is(err, ErrStale) {
		t.Errorf("another writes over what can be put back: %v", err)
	}
	if err := w.DropRecording(t.Context(), r.Machine, "b.csv"); !errors.Is(err, ErrNothing) {
		t.Errorf("what was taken out is taken out: %v", err)
	}
	if _, err := w.Recording(t.Context(), r.Machine, "b.csv"); !errors.Is(err, ErrNothing) {
		t.Errorf("it is still there: %v", err)
	}
}

func TestPutAway(t *testing.T) {
	w := open(t, place(t))
	r, err := w.Add(t.Context(), "one", []byte("sheet: 1\n"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	for _, away := range []bool{true, true, false} {
		if err := w.PutAway(t.Context(), r.Machine, away); err != nil {
			t.Fatal(err)
		}
		list, err := w.Machines(t.Context())
		if err != nil || len(list) != 1 || list[0].Away != away {
			t.Errorf("%+v, %v", list, err)
		}
		if got, err := w.Head(t.Context(), r.Machine); err != nil || string(got.Text) != "sheet: 1\n" {
			t.Errorf("%q, %v", got.Text, err)
		}
	}
	if err := w.PutAway(t.Context(), "nobody", true); !errors.Is(err, ErrNothing) {
		t.Errorf("nobody is put away: %v", err)
	}
}

// A change of the file is seen once, whoever made it; what is only read is none.
func TestChangesAreSeen(t *testing.T) {
	path := place(t)
	w, other := open(t, path), open(t, path)
	changed, end, err := w.Changes(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ask := func(when string, want bool) {
		t.Helper()
		for _, want := range []bool{want, false} {
			if is, err := changed(t.Context()); err != nil || is != want {
				t.Errorf("%s: changed is %t, %v", when, is, err)
			}
		}
	}
	ask("at first", false)
	r, err := other.Add(t.Context(), "one", []byte("a"), "begun")
	if err != nil {
		t.Fatal(err)
	}
	ask("another program has saved", true)
	if list, err := w.Newest(t.Context()); err != nil || len(list) != 1 || list[r.Machine] != 1 {
		t.Errorf("%v, %v", list, err)
	}
	ask("the numbers were read", false)
	if _, err := w.Save(t.Context(), r.Machine, 1, "one", []byte("b"), "changed"); err != nil {
		t.Fatal(err)
	}
	ask("this program has saved", true)
	if list, err := other.Newest(t.Context()); err != nil || list[r.Machine] != 2 {
		t.Errorf("%v, %v", list, err)
	}
	if err := end(); err != nil {
		t.Error(err)
	}
}
