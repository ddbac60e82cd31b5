package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// built is a program built as for a release.
func built(t *testing.T, folder string) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "program.exe")
	build := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", program, ".")
	build.Dir = folder
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return program
}

// Programs are timed against an empty one, turn by turn, so that a slow or busy machine slows both. On a quiet one a
// start takes less than three times that of the empty program; the bounds leave room for what a busy one does.
func TestStartIsQuick(t *testing.T) {
	if testing.Short() {
		t.Skip("builds two programs")
	}
	folder := t.TempDir()
	for name, text := range map[string]string{"go.mod": "module empty\n", "main.go": "package main\n\nfunc main() {}\n"} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	program := built(t, ".")
	runs := []struct {
		name  string
		args  []string
		most  float64 // times the empty program
		times []time.Duration
	}{
		{"an empty program", []string{built(t, folder)}, 1, nil},
		{"shakedown version", []string{program, "version"}, 5, nil},
		{"shakedown figures --quick", []string{program, "figures", example, "--quick"}, 70, nil},
	}
	for range 21 {
		for i := range runs {
			c := exec.Command(runs[i].args[0], runs[i].args[1:]...)
			if err := c.Run(); err != nil {
				t.Fatalf("%s: %v", runs[i].name, err)
			}
			runs[i].times = append(runs[i].times, c.ProcessState.UserTime()+c.ProcessState.SystemTime())
		}
	}
	median := func(times []time.Duration) float64 {
		slices.Sort(times)
		return times[len(times)/2].Seconds()
	}
	empty := median(runs[0].times)
	if empty == 0 {
		t.Skip("this system does not tell so short times")
	}
	for _, r := range runs {
		share := median(r.times) / empty
		t.Logf("%s: %.1f times an empty program's processor time", r.name, share)
		if share > r.most {
			t.Errorf("%s takes %.1f times the processor time of an empty program, no more than %g are wanted", r.name, share, r.most)
		}
	}
}
