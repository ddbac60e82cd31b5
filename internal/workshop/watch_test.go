package workshop

import (
	"context"
	"database/sql"
	"path/filepath"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// counted counts what the watching of a bench asks of its file.
func counted(w *Bench) (asked, read *atomic.Int64) {
	asked, read = new(atomic.Int64), new(atomic.Int64)
	newest, changes := w.watch.newest, w.watch.changes
	w.watch.newest = func(ctx context.Context) (map[string]int, error) {
		read.Add(1)
		return newest(ctx)
	}
	w.watch.changes = func(ctx context.Context) (func(ctx context.Context) (bool, error), func() error, error) {
		changed, end, err := changes(ctx)
		return func(ctx context.Context) (bool, error) {
			asked.Add(1)
			return changed(ctx)
		}, end, err
	}
	return asked, read
}

// windows open a number of windows on a machine at its first revision; what they are told comes out.
func windows(t *testing.T, w *Bench, id string, n int) (seen chan int, closeAll func()) {
	seen = make(chan int, 100)
	ctx, cancel := context.WithCancel(t.Context())
	for range n {
		go func() { _ = w.Watch(ctx, id, 1, func(number int) error { seen <- number; return nil }) }()
	}
	synctest.Wait()
	return seen, func() { cancel(); synctest.Wait() }
}

// told is what open windows were told so far.
func told(seen chan int) (list []int) {
	synctest.Wait()
	for len(seen) > 0 {
		list = append(list, <-seen)
	}
	return list
}

// The file is asked whether it was changed thirty times in a minute, however many windows are open, and not at all when
// none is. Nothing else is read while nobody changes anything, and never a text: each window read that thirty times a
// minute once.
func TestOpenWindowsReadNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := openBench(t)
		defer w.Close()
		id := fenmoor(t, w).Machine
		asked, read := counted(w)
		for _, open := range []int{1, 5} {
			asked.Store(0)
			read.Store(0)
			seen, closeAll := windows(t, w, id, open)
			if read.Load() != int64(open) {
				t.Errorf("%d windows open: the numbers were read %d times", open, read.Load())
			}
			time.Sleep(time.Minute)
			closeAll()
			t.Logf("%d windows for a minute: the file was asked %d times, the numbers were read %d times", open, asked.Load(), read.Load()-int64(open))
			if asked.Load() != 30 || read.Load() != int64(open) || len(seen) != 0 {
				t.Errorf("%d windows for a minute: asked %d times, read %d times, told %d times", open, asked.Load(), read.Load(), len(seen))
			}
		}
		time.Sleep(time.Minute)
		if asked.Load() != 30 {
			t.Errorf("with no window the file was asked %d times", asked.Load()-30)
		}
	})
}

// A save is told in the moment in which it is made, to all windows of the machine and to no other.
func TestASaveWakesTheWindows(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := openBench(t)
		defer w.Close()
		id, other := fenmoor(t, w).Machine, fenmoor(t, w).Machine
		seen, closeAll := windows(t, w, id, 3)
		defer closeAll()
		others, closeOther := windows(t, w, other, 1)
		defer closeOther()
		began := time.Now()
		for number := 2; number < 4; number++ {
			r, err := w.SwitchPart(t.Context(), id, "club", "wide-axle", number == 3)
			if err != nil || r.Number != number {
				t.Fatalf("%d, %v", r.Number, err)
			}
			if list := told(seen); len(list) != 3 || list[0] != number || list[2] != number {
				t.Errorf("told %v, want three times %d", list, number)
			}
		}
		if _, err := w.Undo(t.Context(), id); err != nil {
			t.Fatal(err)
		}
		if list := told(seen); len(list) != 3 || list[0] != 4 {
			t.Errorf("told %v, want three times 4", list)
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("it took %v", took)
		}
		time.Sleep(time.Minute)
		if list := append(told(seen), told(others)...); len(list) != 0 {
			t.Errorf("told %v once more, or of another machine", list)
		}
	})
}

// What another program saves in the same file is told within two seconds, and one that opens a window in between is
// told at once. No text is read for it: one that is damaged is not noticed.
func TestAnotherProgramSaves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := openBench(t)
		defer w.Close()
		id := fenmoor(t, w).Machine
		seen, closeAll := windows(t, w, id, 2)
		defer closeAll()
		other, err := Open(t.Context(), w.Path(), w.now, w.judge)
		if err != nil {
			t.Fatal(err)
		}
		defer other.Close()
		if _, err := other.SwitchPart(t.Context(), id, "club", "wide-axle", false); err != nil {
			t.Fatal(err)
		}
		if list := told(seen); len(list) != 0 {
			t.Errorf("told %v before it was looked for", list)
		}
		late, closeLate := windows(t, w, id, 1)
		defer closeLate()
		if list := append(told(late), told(seen)...); len(list) != 3 || list[0] != 2 {
			t.Errorf("with a new window told %v, want three times 2", list)
		}
		if _, err := other.SwitchPart(t.Context(), id, "club", "wide-axle", true); err != nil {
			t.Fatal(err)
		}
		db, err := sql.Open("sqlite3", "file:"+filepath.ToSlash(w.Path()))
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.ExecContext(t.Context(), `UPDATE texts SET text = x'00'`); err != nil {
			t.Fatal(err)
		}
		time.Sleep(elsewhere)
		if list := append(told(late), told(seen)...); len(list) != 3 || list[0] != 3 {
			t.Errorf("told %v, want three times 3", list)
		}
		if _, err := w.Head(t.Context(), id); err == nil {
			t.Error("the damage is not seen by who reads the text")
		}
	})
}

// A window on a machine that is not there is closed with that.
func TestWatchNothing(t *testing.T) {
	w := openBench(t)
	if err := w.Watch(t.Context(), "none", 0, func(int) error { return nil }); err == nil || w.watch.stop != nil {
		t.Errorf("%v", err)
	}
}
