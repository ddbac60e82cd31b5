package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the README shows is what the program prints: the lines of each block, in order; "..." stands for lines left out.
func TestReadmeShowsRealOutput(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```\n\\$ shakedown ([^\n]+)\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	if len(blocks) < 3 {
		t.Fatalf("%d blocks of output", len(blocks))
	}
	for _, block := range blocks {
		args := strings.Fields(block[1])
		for i := range args {
			if strings.HasPrefix(args[i], "examples/") {
				args[i] = "../../" + args[i]
			}
		}
		s, out, errors := fixed()
		run(args, s)
		if errors.Len() > 0 {
			t.Errorf("%s: %s", block[1], errors)
		}
		rest := out.String()
		for _, line := range strings.Split(strings.TrimSuffix(block[2], "\n"), "\n") {
			if line == "..." {
				continue
			}
			_, after, found := strings.Cut(rest, line+"\n")
			if !found {
				t.Errorf("shakedown %s does not print, from there on: %q", block[1], line)
				break
			}
			rest = after
		}
	}
}

// The sheets that the format page shows are read as they stand.
func TestFormatPageIsRead(t *testing.T) {
	text, err := os.ReadFile("../../docs/sheet-format.md")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(string(text), -1)
	if len(blocks) != 3 {
		t.Fatalf("%d sheets on the page", len(blocks))
	}
	smallest, parts := blocks[0][1], blocks[1][1]
	whole := "currency: EUR\n" + strings.Replace(smallest, "parts: {}\n", parts, 1) + "  piston: [high-piston, rebore]\n"
	card := strings.Replace(smallest, "parts: {}\n", "parts:\n  "+strings.ReplaceAll(strings.TrimSuffix(blocks[2][1], "\n"), "\n", "\n  ")+"\n", 1) + "  cam: [race-cam]\n"
	for name, sheet := range map[string]string{"smallest": smallest, "with parts": whole, "with a cam card": card} {
		file := filepath.Join(t.TempDir(), "sheet.yaml")
		if err := os.WriteFile(file, []byte(sheet), 0o644); err != nil {
			t.Fatal(err)
		}
		s, out, errors := fixed()
		if code := run([]string{"check", file}, s); code == 2 || errors.Len() > 0 {
			t.Errorf("%s: exit code %d: %s", name, code, errors)
		}
		if !strings.Contains(out.String(), "How sure") {
			t.Errorf("%s: no advice:\n%s", name, out)
		}
	}
}

// Links in the pages lead to files that are there.
func TestLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#]+)(#[^)]*)?\)`)
	pages, err := filepath.Glob("../../docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	theory, err := filepath.Glob("../../docs/theory/*.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, page := range append(append(pages, theory...), "../../README.md", "../../ARCHITECTURE.md", "../../CONTRIBUTING.md") {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(page), m[1])); err != nil {
				t.Errorf("%s: the link %s leads nowhere", page, m[1])
			}
		}
	}
}
