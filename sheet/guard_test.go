package sheet

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// sheetOf is a sheet with so many parts and builds.
func sheetOf(parts, builds int) string {
	var b strings.Builder
	b.WriteString("sheet: 1\nmachine: {name: x}\nparts:\n")
	for i := range parts {
		fmt.Fprintf(&b, "  p%d: {price: 10}\n", i)
	}
	b.WriteString("builds:\n")
	for i := range builds {
		fmt.Fprintf(&b, "  b%d: [p%d]\n", i, parts-1)
	}
	return b.String()
}

// Parts and builds are counted over all files; the first too many is told at its place, once, and nothing that follows
// from it.
func TestPartsAndBuildsAreBounded(t *testing.T) {
	s, err := Parse(&File{Name: "a.yaml", Text: []byte(sheetOf(MaxParts, MaxBuilds))})
	if err != nil || len(s.Project.Parts) != MaxParts || len(s.Project.Builds) != MaxBuilds {
		t.Fatalf("as many as may be: %v", err)
	}
	extra := &File{Name: "b.yaml", Text: []byte("parts:\n  again: {needs: [nothing]}\n")}
	for _, c := range []struct {
		name  string
		files []*File
		file  string
		line  int
		what  string
	}{
		{"parts", []*File{{Name: "a.yaml", Text: []byte(sheetOf(MaxParts+3, 1))}}, "a.yaml", 4 + MaxParts, "2000 parts"},
		{"builds", []*File{{Name: "a.yaml", Text: []byte(sheetOf(1, MaxBuilds+3))}}, "a.yaml", 6 + MaxBuilds, "200 builds"},
		{"parts of two files", []*File{{Name: "a.yaml", Text: []byte(sheetOf(MaxParts, 1))}, extra}, "b.yaml", 2, "2000 parts"},
	} {
		_, err := Parse(c.files...)
		var list Errors
		if !errors.As(err, &list) || len(list) != 1 {
			t.Errorf("%s: one error wanted: %v", c.name, err)
			continue
		}
		d := list[0]
		if d.File != c.file || d.Line != c.line || !strings.Contains(d.Problem, "more than "+c.what) || !strings.Contains(d.Expected, "at most "+c.what) || d.Remedy == "" {
			t.Errorf("%s: %+v", c.name, d)
		}
	}
}

// A list of names, and the files of a folder, are bounded too.
func TestNamesAndFilesAreBounded(t *testing.T) {
	_, err := Parse(&File{Name: "a.yaml", Text: []byte("sheet: 1\nmachine: {name: x}\nparts: {p: {price: 1}}\nbuilds: {b: [" + strings.Repeat("p, ", MaxParts+1) + "p]}\n")})
	if err == nil || !strings.Contains(err.Error(), "a.yaml:4:") || !strings.Contains(err.Error(), "at most 2000 names") {
		t.Errorf("too many names: %v", err)
	}
	folder := t.TempDir()
	for i := range MaxFiles + 1 {
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%d.yaml", i)), []byte("sheet: 1\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := Read(folder); err == nil || !strings.Contains(err.Error(), "41 .yaml files; at most 40") {
		t.Errorf("too many files: %v", err)
	}
}

// A file has its lines bounded: the library takes long over very many.
func TestLinesAreBounded(t *testing.T) {
	for lines, refused := range map[int]bool{MaxLines: false, MaxLines + 1: true} {
		text := "sheet: 1\nmachine: {name: x}\nbuilds: {b: []}\n" + strings.Repeat("#\n", lines-4)
		_, err := Parse(&File{Name: "a.yaml", Text: []byte(text)})
		if (err != nil) != refused || refused && !strings.Contains(err.Error(), "a.yaml:20001:1: the file has 20001 lines") {
			t.Errorf("%d lines: %v", lines, err)
		}
	}
}

// Two hundred errors are told one by one; what follows is counted.
func TestErrorsAreBounded(t *testing.T) {
	text := func(n int) []byte {
		return []byte("sheet: 1\nmachine:\n" + strings.Repeat("  wheel: 1\n", n) + "builds: {b: []}\n")
	}
	for n, told := range map[int]int{maxErrors: maxErrors, maxErrors + 30: maxErrors + 1} {
		_, err := Parse(&File{Name: "a.yaml", Text: text(n)})
		var list Errors
		if !errors.As(err, &list) || len(list) != told {
			t.Fatalf("%d errors: %d are told, want %d", n, len(list), told)
		}
		last := list[len(list)-1]
		if last.Line != 2+told || told > maxErrors != strings.Contains(last.Problem, "and 30 more errors") {
			t.Errorf("%d errors: the last is %+v", n, last)
		}
	}
}

// Many names that no part has are all told; the nearest part is looked up for the first of them only.
func TestManyUnknownNames(t *testing.T) {
	var b strings.Builder
	b.WriteString("sheet: 1\nmachine: {name: x}\nparts: {wide-axle: {price: 1}}\nbuilds:\n  b:\n")
	for range maxNear + 20 {
		b.WriteString("    - wide-axel\n")
	}
	_, err := Parse(&File{Name: "a.yaml", Text: []byte(b.String())})
	var list Errors
	if !errors.As(err, &list) || len(list) != maxNear+20 {
		t.Fatalf("%d errors wanted: %v", maxNear+20, err)
	}
	if first, last := list[0].Remedy, list[len(list)-1].Remedy; first != `did you mean "wide-axle"?` || !strings.Contains(last, "add it under parts") {
		t.Errorf("remedies %q and %q", first, last)
	}
}
