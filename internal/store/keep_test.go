package store

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

var keep = flag.Bool("keep", false, "write testdata/version-N.shakedown for this version, when it is not there yet")

// A file of this version stays in testdata, for the programs to come.
func TestMain(m *testing.M) {
	flag.Parse()
	if *keep {
		if err := keepVersion(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

func keepVersion() error {
	name := fmt.Sprintf("testdata/version-%d.shakedown", len(migrations))
	if _, err := os.Stat(name); err == nil {
		return fmt.Errorf("%s is there; a file of a released version is never written again", name)
	}
	folder, err := os.MkdirTemp("", "keep")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	ctx := context.Background()
	w, err := Open(ctx, filepath.Join(folder, "w.shakedown"), clock)
	if err != nil {
		return err
	}

	r, err := w.Add(ctx, "Fenmoor", []byte("sheet: 1\n"), "begun")
	if err != nil {
		return err
	}
	if _, err := w.Save(ctx, r.Machine, 1, "Fenmoor", []byte("sheet: 1 # second\n"), "second"); err != nil {
		return err
	}
	if _, err := w.Undo(ctx, r.Machine); err != nil {
		return err
	}
	if _, err := w.Redo(ctx, r.Machine); err != nil {
		return err
	}
	if err := w.KeepDraft(ctx, r.Machine, 4, []byte("sheet: 1 # thi")); err != nil {
		return err
	}
	if err := w.KeepRecording(ctx, r.Machine, "saturday.gpx", []byte("<gpx/>")); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	if err := os.MkdirAll("testdata", 0o755); err != nil {
		return err
	}
	return os.Rename(filepath.Join(folder, "w.shakedown"), name)
}
