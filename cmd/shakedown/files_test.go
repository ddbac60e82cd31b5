//go:build unix

package main

import (
	"bytes"
	"errors"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"shakedown/internal/app"
	"shakedown/internal/app/asked"
)

// command runs the program in a process of its own.
func command(args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), asProgram+"=yes")
	return c
}

// What is written through a symbolic link changes the file that it leads to; that keeps its mode, and the link stays.
func TestFilesAreWrittenWhereTheyAre(t *testing.T) {
	folder := t.TempDir()
	sheet, list, link := filepath.Join(folder, "real", "mine.yaml"), filepath.Join(folder, "list.csv"), filepath.Join(folder, "mine.yaml")
	os.Mkdir(filepath.Join(folder, "real"), 0o755)
	for name, text := range map[string]string{sheet: "sheet: 1\nmachine: {layout: bike}\nbuilds: {as-found: []}\n", list: "id,name\nseat,Seat\n"} {
		if err := os.WriteFile(name, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join("real", "mine.yaml"), link); err != nil {
		t.Fatal(err)
	}
	if out, err := command("add-parts", link, list).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if text, err := os.ReadFile(sheet); err != nil || !strings.Contains(string(text), "Seat") {
		t.Errorf("the sheet is %q, %v", text, err)
	}
	if to, err := os.Readlink(link); err != nil || to != filepath.Join("real", "mine.yaml") {
		t.Errorf("the link became %q, %v", to, err)
	}
	if info, err := os.Stat(sheet); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the mode became %v, %v", info.Mode(), err)
	}
	if left, _ := filepath.Glob(filepath.Join(folder, "*", ".shakedown-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Nothing that is no plain file is replaced.
func TestOnlyPlainFilesAreReplaced(t *testing.T) {
	folder := t.TempDir()
	pipe, nowhere, null := filepath.Join(folder, "pipe"), filepath.Join(folder, "nowhere"), filepath.Join(folder, "null")
	if err := errors.Join(syscall.Mkfifo(pipe, 0o600), os.Symlink("not there", nowhere), os.Symlink(os.DevNull, null)); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{pipe: "no plain file", nowhere: "a file that is not there", null: "no plain file", folder: "is a folder", filepath.Join(folder, "no folder", "x"): "another place"} {
		was, _ := os.Lstat(name)
		err := replaceFile(name, func(f *os.File) error { _, err := f.WriteString("x"); return err })
		if err == nil || asked.ExitOf(err) != asked.BadInput || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v; want %q", name, err, want)
		}
		if is, _ := os.Lstat(name); was != nil && (is == nil || is.Mode() != was.Mode()) {
			t.Errorf("%s was replaced", name)
		}
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		t.Error("the null device was replaced")
	}
	failed := errors.New("failed")
	old := filepath.Join(folder, "old")
	os.WriteFile(old, []byte("old"), 0o600)
	if err := replaceFile(old, func(f *os.File) error { f.WriteString("half"); return failed }); !errors.Is(err, failed) {
		t.Error(err)
	}
	if text, _ := os.ReadFile(old); string(text) != "old" {
		t.Errorf("half written: %q", text)
	}
}

// A file without an end, which does not say how long it is, is not read to its end: else this never ends.
func TestFilesWithoutEnd(t *testing.T) {
	const zero = "/dev/zero"
	if _, err := os.Stat(zero); err != nil {
		t.Skip("there is no file without an end here")
	}
	workshop := filepath.Join(t.TempDir(), "w.shakedown")
	for _, args := range [][]string{{"check", zero}, {"add-parts", zero, zero}, {"add-parts", "../../examples/sallow-q250.yaml", zero}, {"import", zero, "--workshop", workshop}, {"lap", "../../examples/sallow-q250.yaml", "--course", zero}} {
		var out bytes.Buffer
		if code := run(args, streams{out: io.Discard, err: &out, now: time.Now(), results: app.NewResults()}); code != asked.BadInput || !strings.Contains(out.String(), "more") {
			t.Errorf("%v: exit code %d: %s", args, code, &out)
		}
	}
}

// A place to listen at that is refused, or taken, leaves no file.
func TestRefusedListenLeavesNoFile(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	file := filepath.Join(t.TempDir(), "a", "w.shakedown")
	for _, address := range []string{"0.0.0.0:0", "192.0.2.1:80", taken.Addr().String(), "nonsense"} {
		var out bytes.Buffer
		if code := run([]string{"serve", "--no-browser", "--workshop", file, "--listen", address}, streams{out: io.Discard, err: &out, now: time.Now()}); code != asked.BadInput {
			t.Errorf("%s: exit code %d: %s", address, code, &out)
		}
		if _, err := os.Stat(filepath.Dir(file)); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s left a folder or file", address)
		}
	}
}

// A workshop file on a disk that cannot be written is exported and backed up.
func TestReadOnlyWorkshop(t *testing.T) {
	folder, out := t.TempDir(), t.TempDir()
	file := filepath.Join(folder, "w.shakedown")
	if b, err := command("import", "../../examples/brackwater-246.yaml", "--workshop", file).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	if os.Getuid() == 0 {
		if runtime.GOOS != "linux" || exec.Command("mount", "--bind", folder, folder).Run() != nil {
			t.Skip("nothing is read-only for root here")
		}
		t.Cleanup(func() { exec.Command("umount", "-l", folder).Run() })
		if err := exec.Command("mount", "-o", "remount,ro,bind", folder).Run(); err != nil {
			t.Fatal(err)
		}
	} else {
		os.Chmod(file, 0o400)
		os.Chmod(folder, 0o500)
		t.Cleanup(func() { os.Chmod(folder, 0o700) })
	}
	zip, copied := filepath.Join(out, "all.zip"), filepath.Join(out, "copy.shakedown")
	for _, args := range [][]string{{"export", zip}, {"backup", copied}} {
		if b, err := command(append(args, "--workshop", file)...).CombinedOutput(); err != nil {
			t.Errorf("%v: %v: %s", args, err, b)
		}
	}
	w, err := app.OpenWorkshop(t.Context(), copied, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if list, err := w.Machines(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%+v, %v", list, err)
	}
	if b, err := command("import", zip, "--workshop", filepath.Join(out, "other.shakedown")).CombinedOutput(); err != nil || !strings.Contains(string(b), "Brackwater") {
		t.Errorf("%v: %s", err, b)
	}
	if b, err := command("import", zip, "--workshop", file).CombinedOutput(); err == nil || !strings.Contains(string(b), "cannot be written") {
		t.Errorf("%v: %s", err, b)
	}
}

// Ctrl-C is told as what it is, with an exit code of its own, and leaves no half of a file.
func TestInterrupted(t *testing.T) {
	folder := t.TempDir()
	for _, args := range [][]string{{"value", "../../examples/fenmoor-t285.yaml"}, {"curve", "../../examples/fenmoor-t285.yaml", "--range"}, {"report", "../../examples/fenmoor-t285.yaml", "--range", "--lap", "--out", filepath.Join(folder, "r.html")}} {
		var out, errs bytes.Buffer
		var exit *exec.ExitError
		// It has to be at work and not done. On a busy machine it may not have begun: then it is only killed, and later
		// serves.
		for wait := 500 * time.Millisecond; ; wait *= 2 {
			c := command(args...)
			out, errs = bytes.Buffer{}, bytes.Buffer{}
			c.Stdout, c.Stderr = &out, &errs
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(wait)
			c.Process.Signal(os.Interrupt)
			began := time.Now()
			err := c.Wait()
			if errors.As(err, &exit); exit != nil && exit.ExitCode() == -1 && wait < time.Minute {
				exit = nil
				continue
			}
			if exit == nil || exit.ExitCode() != asked.Interrupted || !strings.HasPrefix(errs.String(), "Interrupted") || out.Len() > 0 {
				t.Errorf("%s: %v, %q, %q", args[0], err, &out, &errs)
			}
			if took := time.Since(began); took > max(5*time.Second, 10*wait) {
				t.Errorf("%s took %v to stop", args[0], took)
			}
			break
		}
	}
	if left, _ := os.ReadDir(folder); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	var help bytes.Buffer
	run([]string{"--help"}, streams{out: &help, err: io.Discard, now: time.Now()})
	if !strings.Contains(help.String(), "130 interrupted") {
		t.Error("the help does not tell the exit code")
	}
}

// At a terminal no text moves the cursor, colours, or turns what follows, however it is cut up on the way; the
// program's own marks come through.
func TestNothingMovesTheTerminal(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"plain\ttext\n", "plain\ttext\n"},
		{"\x1b[1;31mCONFLICT\x1b[0m ölkühler ≥ 3 µm\n", "\x1b[1;31mCONFLICT\x1b[0m ölkühler ≥ 3 µm\n"},
		{"\r\x1b[K3 of 5 worked out", "\r\x1b[K3 of 5 worked out"},
		{"a\x1b[2Jb\x07c\rd\x08e\x7ff", "a\ufffd[2Jb\ufffdc\ufffdd\ufffde\ufffdf"},
		{"\u009b31mred\u202etxt.exe\u2066x", "\ufffd31mred\ufffdtxt.exe\ufffdx"},
		{"a\xffb", "a\ufffdb"},
		{"\x1b]0;title\x07", "\ufffd]0;title\ufffd"},
	} {
		for size := 1; size <= len(c.in); size++ {
			var out bytes.Buffer
			h := &harmless{to: &out}
			for rest := c.in; rest != ""; {
				n := min(size, len(rest))
				if wrote, err := h.Write([]byte(rest[:n])); wrote != n || err != nil {
					t.Fatal(wrote, err)
				}
				rest = rest[n:]
			}
			if out.String() != c.want {
				t.Errorf("%q in pieces of %d comes out as %q", c.in, size, &out)
				break
			}
		}
	}
}
