package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What people read, and the exit codes. Look at the differences before you accept them with -update.
func TestCommands(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		code int
		file string // golden file of stdout, "" for none
	}{
		{"check the best build", []string{"check", example}, 0, "check-full.txt"},
		{"check with conflicts", []string{"check", example, "--build", "overdone"}, 1, "check-overdone.txt"},
		{"check as found", []string{"check", example, "--build", "as-found"}, 0, "check-as-found.txt"},
		{"check, US units", []string{"check", example, "--build", "overdone", "--units", "us"}, 1, "check-overdone-us.txt"},
		{"figures", []string{"figures", example}, 0, "figures-full.txt"},
		{"figures against another", []string{"figures", example, "--against", "club", "--quick"}, 0, "figures-full-club.txt"},
		{"figures, US units", []string{"figures", example, "--units", "us", "--all"}, 0, "figures-full-us-all.txt"},
		{"figures with conflicts", []string{"figures", example, "--build", "overdone", "--quick"}, 1, ""},
		{"explain", []string{"figures", example, "--explain", "chassis.tip_lateral", "--quick"}, 0, "explain-tip.txt"},
		{"explain a sampled one", []string{"figures", example, "--explain", "suspension.rear.free_sag", "--quick"}, 0, "explain-free-sag.txt"},
		{"help", []string{"--help"}, 0, "help.txt"},
		{"help check", []string{"check", "--help"}, 0, "help-check.txt"},
		{"help figures", []string{"figures", "--help"}, 0, "help-figures.txt"},
		{"help report", []string{"report", "--help"}, 0, "help-report.txt"},
		{"another day", []string{"check", example, "--build", "club", "--today", "2027-09-01"}, 0, "check-club-late.txt"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, out, errors := fixed()
			if code := run(c.args, s); code != c.code {
				t.Errorf("exit code %d, want %d\n%s", code, c.code, errors)
			}
			if errors.Len() > 0 {
				t.Errorf("on stderr: %s", errors)
			}
			if strings.Contains(out.String(), "\x1b") {
				t.Error("colour without a terminal")
			}
			if c.file != "" {
				golden(t, c.file, out.String())
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name string
		args []string
		says []string // on stderr
	}{
		{"no command", nil, []string{"check", "Try: shakedown --help"}},
		{"unknown command", []string{"chek", example}, []string{"chek", "Try: shakedown --help"}},
		{"an old name", []string{"tips", example, "--build", "full"}, []string{"shakedown tips is now called: shakedown tip-over\n"}},
		{"another old name", []string{"start", example}, []string{"shakedown start is now called: shakedown standing-start\n"}},
		{"unknown flag", []string{"check", example, "--buid", "full"}, []string{"--buid"}},
		{"no such file", []string{"check", "nowhere.yaml"}, []string{"nowhere.yaml", "give the path"}},
		{"an empty folder", []string{"check", t.TempDir()}, []string{"holds no .yaml"}},
		{"unknown build", []string{"check", example, "--build", "ful"}, []string{"no build \"ful\"", "as-found, club, overdone, full"}},
		{"unknown baseline", []string{"check", example, "--against", "x"}, []string{"no build \"x\""}},
		{"unknown units", []string{"check", example, "--units", "imperial"}, []string{"metric", "us"}},
		{"no date", []string{"check", example, "--today", "tomorrow"}, []string{"2027-05-03"}},
		{"unknown figure", []string{"figures", example, "--explain", "chassis.tip_latral", "--quick"}, []string{"did you mean \"chassis.tip_lateral\""}},
		{"report nowhere", []string{"report", example, "--quick", "--out", filepath.Join(t.TempDir(), "no", "such", "folder", "x.html")}, []string{"folder"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, out, errors := fixed()
			if code := run(c.args, s); code != 2 {
				t.Errorf("exit code %d, want 2", code)
			}
			if out.Len() > 0 {
				t.Errorf("on stdout: %s", out)
			}
			for _, want := range c.says {
				if !strings.Contains(errors.String(), want) {
					t.Errorf("no %q in %q", want, errors)
				}
			}
		})
	}
}

func TestCannotCompute(t *testing.T) {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "short.yaml")
	if err := os.WriteFile(file, []byte(strings.Replace(string(text), "bearing_spacing: 180 mm measured, ", "", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	s, out, _ := fixed()
	if code := run([]string{"figures", file, "--build", "as-found", "--quick"}, s); code != 3 {
		t.Errorf("exit code %d, want 3", code)
	}
	if !strings.Contains(out.String(), "needs the spacing of the axle bearings [wheels.axle.bearing_spacing]") {
		t.Errorf("it does not say what is missing:\n%s", out)
	}
	s, out, _ = fixed()
	run([]string{"figures", file, "--build", "as-found", "--explain", "axle.yield_load", "--quick"}, s)
	if !strings.Contains(out.String(), "needs the spacing of the axle bearings (measure with") {
		t.Errorf("explain does not say how to get it:\n%s", out)
	}
}

func TestJSONIsOneObject(t *testing.T) {
	for _, command := range []string{"check", "figures"} {
		s, out, _ := fixed()
		if code := run([]string{command, example, "--json", "--build", "overdone"}, s); code != 1 {
			t.Errorf("%s: exit code %d", command, code)
		}
		var any map[string]any
		if err := json.Unmarshal(out.Bytes(), &any); err != nil {
			t.Errorf("%s: %v", command, err)
		}
		if any["program"] != version || any["build"] != "overdone" {
			t.Errorf("%s: %v %v", command, any["program"], any["build"])
		}
	}
}

func TestColour(t *testing.T) {
	s, out, _ := fixed()
	s.colour = true
	run([]string{"check", example, "--build", "overdone"}, s)
	if !strings.Contains(out.String(), "\x1b[") {
		t.Error("no colour on a terminal")
	}
	t.Setenv("NO_COLOR", "1")
	if colourWanted(os.Stdout) {
		t.Error("NO_COLOR is not respected")
	}
}

func TestVersion(t *testing.T) {
	s, out, _ := fixed()
	if code := run([]string{"version"}, s); code != 0 || !regexp.MustCompile(`^shakedown \d+\.\d+\.\d+\ncommit \S+.*\ngo\S+ \w+/\w+\n$`).MatchString(out.String()) {
		t.Errorf("exit %d: %q", code, out)
	}
}

// A folder is read as one sheet: the builds in a file of their own.
func TestFolder(t *testing.T) {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	head, builds, ok := strings.Cut(string(text), "\nbuilds:")
	if !ok {
		t.Fatal("no builds in the example")
	}
	folder := t.TempDir()
	for name, part := range map[string]string{"machine.yaml": head + "\n", "z-builds.yaml": "sheet: 1\nbuilds:" + builds} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(part), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	one, out, _ := fixed()
	two, both, errors := fixed()
	if run([]string{"figures", example}, one) != 0 || run([]string{"figures", folder}, two) != 0 {
		t.Fatal(errors)
	}
	if out.String() != both.String() {
		t.Error("a sheet in two files gives other figures")
	}
}
