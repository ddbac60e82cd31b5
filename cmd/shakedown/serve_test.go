package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"shakedown/internal/app"
)

// asProgram makes the test's own binary the program: what stands behind it are its arguments.
const asProgram = "SHAKEDOWN_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// serving is a running shakedown serve.
type serving struct {
	t       testing.TB
	command *exec.Cmd
	address string
	rest    io.Reader // of its output
	errors  *bytes.Buffer
}

// serve starts the program and waits for the one line with its address.
func serve(t testing.TB, args ...string) *serving {
	t.Helper()
	c := exec.Command(os.Args[0], append([]string{"serve", "--no-browser"}, args...)...)
	c.Env = append(os.Environ(), asProgram+"=yes")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	s := &serving{t: t, command: c, errors: &bytes.Buffer{}}
	c.Stderr = s.errors
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	lines := bufio.NewReader(out)
	line, err := lines.ReadString('\n')
	if err != nil {
		c.Wait()
		t.Fatalf("no address: %v\n%s", err, s.errors)
	}
	s.address, s.rest = strings.TrimSpace(line), lines
	if u, err := url.Parse(s.address); err != nil || u.Scheme != "http" || u.Hostname() != "127.0.0.1" || u.Port() == "" {
		t.Fatalf("the line is %q", line)
	}
	return s
}

func TestServePrintsOneLineAndStopsWhenTold(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows knows no SIGTERM")
	}
	file := filepath.Join(t.TempDir(), "w.shakedown")
	s := serve(t, "--workshop", file, "--listen", "127.0.0.1:0", "--log-level", "info")
	r, err := http.PostForm(s.address+"example", url.Values{"name": {"fenmoor-t285.yaml"}})
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	id := strings.Split(r.Request.URL.Path, "/")[2]
	stream, err := http.Get(s.address + "m/" + id + "/events") // a page that stays open
	if err != nil {
		t.Fatal(err)
	}
	defer stream.Body.Close()
	if r, err = http.PostForm(s.address+"m/"+id+"/switch", url.Values{"part": {"wide-axle"}, "in": {"full"}}); err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	began := time.Now()
	if err := s.command.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	rest, _ := io.ReadAll(s.rest)
	if err := s.command.Wait(); err != nil {
		t.Fatalf("it ended with %v\n%s", err, s.errors)
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("it took %s to stop", took)
	}
	if len(rest) > 0 {
		t.Errorf("more than one line: %q", rest)
	}
	if log := s.errors.String(); !strings.Contains(log, "level=INFO msg=saved") || !strings.Contains(log, `what="wide-axle out of build \"full\""`) {
		t.Errorf("the log is\n%s", log)
	}
	w, err := app.OpenWorkshop(t.Context(), file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if head, err := w.Head(t.Context(), id); err != nil || head.Number != 2 {
		t.Errorf("revision %d, %v", head.Number, err)
	}
	if left, _ := filepath.Glob(file + "-wal"); len(left) > 0 {
		if info, err := os.Stat(left[0]); err == nil && info.Size() > 0 {
			t.Error("the log of the file was left behind")
		}
	}
}

// The program is killed at random moments under edits: every edit it acknowledged is there, and the file is sound.
func kills(t *testing.T, rounds int) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows knows no SIGKILL")
	}
	file := filepath.Join(t.TempDir(), "w.shakedown")
	w, err := app.OpenWorkshop(t.Context(), file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	first, err := w.AddExample(t.Context(), "brackwater-246.yaml")
	if err != nil {
		t.Fatal(err)
	}
	w.Close()
	random := rand.New(rand.NewPCG(1, 2))
	redlines := map[int]string{} // acknowledged, by revision
	acknowledged := 1
	value := "" // that stands in the sheet as far as is known
	for round := range rounds {
		s := serve(t, "--workshop", file)
		var editing sync.WaitGroup
		stop := make(chan struct{})
		started := make(chan struct{}) // closed with the first acknowledged edit, or when there will be none
		editing.Go(func() {
			begun := sync.OnceFunc(func() { close(started) })
			defer begun()
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				default:
				}
				next := fmt.Sprintf("%d rpm", 4000+round*50+i%50) // all within what an engine is computed with
				r, err := http.PostForm(s.address+"m/"+first.Machine+"/set", url.Values{"path": {"engine.redline"}, "old": {value}, "value": {next}, "back": {"history"}})
				if err != nil {
					return // killed
				}
				text, err := io.ReadAll(r.Body)
				r.Body.Close()
				if err != nil || r.StatusCode != http.StatusOK {
					if err == nil && r.StatusCode == http.StatusConflict || value == "" {
						return
					}
					if err == nil {
						t.Errorf("round %d: %d", round, r.StatusCode)
					}
					return
				}
				value = next
				if n := revisionOn(text); n > 0 {
					acknowledged, redlines[n] = n, next
				}
				begun()
			}
		})
		if round%2 == 1 { // on a busy machine a round can end before its first edit; every other one has at least one
			<-started
		}
		time.Sleep(time.Duration(random.IntN(150)) * time.Millisecond)
		s.command.Process.Kill()
		close(stop)
		editing.Wait()
		s.command.Wait()
		w, err := app.OpenWorkshop(context.Background(), file, time.Now) // looks through the whole file
		if err != nil {
			t.Fatalf("after kill %d: %v", round, err)
		}
		head, err := w.Head(context.Background(), first.Machine)
		if err != nil || head.Number < acknowledged {
			t.Fatalf("after kill %d the newest revision is %d (%v), acknowledged was %d", round, head.Number, err, acknowledged)
		}
		for n, want := range redlines {
			r, err := w.Revision(context.Background(), first.Machine, n)
			if err != nil || !bytes.Contains(r.Text, []byte("redline: "+want)) {
				t.Fatalf("after kill %d revision %d has not the redline %s (%v)", round, n, want, err)
			}
		}
		value = redlineIn(head.Text)
		w.Close()
	}
	if len(redlines) < rounds/2 {
		t.Errorf("only %d edits in %d rounds were acknowledged: the test tried nothing", len(redlines), rounds)
	}
	t.Logf("%d kills, %d acknowledged edits, all there", rounds, len(redlines))
}

// revisionOn is the revision that a page shows.
func revisionOn(page []byte) (n int) {
	_, rest, _ := bytes.Cut(page, []byte(`data-revision="`))
	fmt.Sscanf(string(rest[:min(12, len(rest))]), "%d", &n)
	return n
}

func redlineIn(text []byte) string {
	_, rest, _ := bytes.Cut(text, []byte("redline: "))
	line, _, _ := bytes.Cut(rest, []byte("\n"))
	line, _, _ = bytes.Cut(line, []byte("   #"))
	return strings.TrimSpace(string(line))
}

func TestKilled(t *testing.T)      { kills(t, 8) }
func TestKilledHeavy(t *testing.T) { heavy(t); kills(t, 200) }

func heavy(t *testing.T) {
	t.Helper()
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("make test-heavy runs this")
	}
}

// Two programs over one file: both write, nothing is lost.
func TestTwoPrograms(t *testing.T) {
	file := filepath.Join(t.TempDir(), "w.shakedown")
	a := serve(t, "--workshop", file)
	b := serve(t, "--workshop", file)
	r, err := http.PostForm(a.address+"example", url.Values{"name": {"fenmoor-t285.yaml"}})
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	id := strings.Split(r.Request.URL.Path, "/")[2]
	var both sync.WaitGroup
	for i, s := range []*serving{a, b} {
		both.Go(func() {
			for n := range 10 {
				r, err := http.PostForm(s.address+"m/"+id+"/builds", url.Values{"name": {fmt.Sprintf("b%d-%d", i, n)}, "like": {"club"}})
				if err != nil {
					t.Error(err)
					return
				}
				r.Body.Close()
				if r.StatusCode != http.StatusOK {
					t.Errorf("program %d, build %d: %d", i, n, r.StatusCode)
				}
			}
		})
	}
	both.Wait()
	w, err := app.OpenWorkshop(t.Context(), file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	head, err := w.Head(t.Context(), id)
	if err != nil || head.Number != 21 {
		t.Fatalf("revision %d, %v", head.Number, err)
	}
	for i := range 2 {
		for n := range 10 {
			if !bytes.Contains(head.Text, fmt.Appendf(nil, "\n  b%d-%d: ", i, n)) {
				t.Errorf("build b%d-%d is lost", i, n)
			}
		}
	}
}

// The commands about workshop files, from nothing.
func TestWorkshopCommands(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	step := func(want int, contains string, args ...string) {
		t.Helper()
		s, printed, errs := fixed()
		code, out := run(args, s), printed.String()
		if code != want || !strings.Contains(out+errs.String(), contains) {
			t.Fatalf("shakedown %s: %d, want %d with %q\n%s%s", strings.Join(args, " "), code, want, contains, out, errs)
		}
	}
	step(2, "there is no workshop file", "export", at("x.zip"), "--workshop", at("w.shakedown"))
	step(0, "Fenmoor T285, 1983: begun from fenmoor-t285.yaml", "import", example, "--workshop", at("w.shakedown"))
	step(0, at("x.zip"), "export", at("x.zip"), "--workshop", at("w.shakedown"))
	step(0, at("copy.shakedown"), "backup", at("copy.shakedown"), "--workshop", at("w.shakedown"))
	step(2, "there already", "backup", at("copy.shakedown"), "--workshop", at("w.shakedown"))
	step(0, "1 revision", "import", at("x.zip"), "--workshop", at("other.shakedown"))
	step(0, "is here already", "import", at("x.zip"), "--workshop", at("copy.shakedown"))
	step(2, "is a folder", "import", folder, "--workshop", at("w.shakedown"))
	step(2, "no such file", "import", at("nothing.yaml"), "--workshop", at("w.shakedown"))
	step(2, "is no workshop file", "serve", "--no-browser", "--workshop", at("x.zip"))
	step(2, "can be reached from other machines", "serve", "--no-browser", "--workshop", at("w.shakedown"), "--listen", "0.0.0.0:0")
	step(2, "cannot be listened at", "serve", "--no-browser", "--workshop", at("w.shakedown"), "--listen", "127.0.0.1:999999")
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	w, err := app.OpenWorkshop(t.Context(), at("other.shakedown"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	list, err := w.Machines(t.Context())
	if err != nil || len(list) != 1 {
		t.Fatalf("%v, %v", list, err)
	}
	if head, err := w.Head(t.Context(), list[0].ID); err != nil || !bytes.Equal(head.Text, text) {
		t.Fatalf("the sheet came back changed: %v", err)
	}
}
