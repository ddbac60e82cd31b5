package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"shakedown/forecast"
)

const docs = "../../docs"

func TestPagesAreWritten(t *testing.T) {
	for name, want := range pages() {
		got, err := os.ReadFile(filepath.Join(docs, name))
		if err != nil || strings.ReplaceAll(string(got), "\r\n", "\n") != want {
			t.Errorf("docs/%s is not what the code says (%v); run make lists and look at the difference", name, err)
		}
	}
}

// Every figure points at a heading of a theory page that is there.
func TestTheoryHasTheHeadings(t *testing.T) {
	heading := regexp.MustCompile(`(?m)^#+ (.+)$`)
	for _, f := range forecast.Describe() {
		page, anchor, ok := strings.Cut(strings.TrimPrefix(f.Theory, "docs/"), "#")
		text, err := os.ReadFile(filepath.Join(docs, page))
		if err != nil || !ok {
			t.Errorf("%s: no theory page %q: %v", f.ID, f.Theory, err)
			continue
		}
		found := false
		for _, m := range heading.FindAllStringSubmatch(string(text), -1) {
			found = found || strings.ReplaceAll(strings.ToLower(strings.TrimSpace(m[1])), " ", "-") == anchor
		}
		if !found {
			t.Errorf("%s: docs/%s has no heading for #%s", f.ID, page, anchor)
		}
	}
}
