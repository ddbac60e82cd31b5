package house

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Words that owners stumble over, and what stands for them.
var worstWords = regexp.MustCompile(`(?i)\b(wants?|wanted|asks|dynos?|pulled in|inside its range|with 95 %|workbench|free movement)\b`)

// roomsWithoutOwners hold no sentence that an owner reads.
var roomsWithoutOwners = []string{"internal/outside", "internal/outside/table", "internal/house", "internal/browser", "internal/lists", "internal/store"}

// worst lists the literals of a file with more than one word that hold one of the worst words.
func worst(file *ast.File) []string {
	var list []string
	ast.Inspect(file, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			return x.Tag == nil || strings.Contains(x.Tag.Value, "help:")
		case *ast.BasicLit:
			if x.Kind != token.STRING {
				return true
			}
			text, err := strconv.Unquote(x.Value)
			if err == nil && strings.Contains(strings.TrimSpace(text), " ") && worstWords.MatchString(text) {
				list = append(list, text)
			}
		}
		return true
	})
	return list
}

func TestWordsForOwners(t *testing.T) {
	for _, r := range rooms(t) {
		if slices.Contains(roomsWithoutOwners, r.path) {
			continue
		}
		for name, file := range r.files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			for _, text := range worst(file) {
				t.Errorf("%s/%s: %q in %q", r.path, name, worstWords.FindString(text), text)
			}
		}
	}
	pages, err := filepath.Glob(filepath.Join(root(t), "internal", "web", "templates", "*.html"))
	if err != nil || len(pages) < 10 {
		t.Fatalf("%d templates, %v", len(pages), err)
	}
	docs, err := filepath.Glob(filepath.Join(root(t), "docs", "*.md"))
	if err != nil || len(docs) < 8 {
		t.Fatalf("%d pages of docs, %v", len(docs), err)
	}
	markup := regexp.MustCompile(`(?s)\{\{.*?\}\}|<[^>]*>`)
	theory, err := filepath.Glob(filepath.Join(root(t), "docs", "theory", "*.md"))
	if err != nil || len(theory) < 8 {
		t.Fatalf("%d pages of theory, %v", len(theory), err)
	}
	for _, name := range append(append(append(pages, docs...), theory...), filepath.Join(root(t), "report", "page.html"), filepath.Join(root(t), "README.md")) {
		if filepath.Base(name) == "verification.md" { // names of checks
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(markup.ReplaceAllString(string(text), " "), "\n") {
			if found := worstWords.FindString(line); found != "" {
				t.Errorf("%s:%d: %q in %q", filepath.Base(name), i+1, found, strings.TrimSpace(line))
			}
		}
	}
}

func TestWorstWordsAreFound(t *testing.T) {
	file := parse(t, "package x\nimport \"a wants\"\nvar _ = []string{`it wants more`, \"wants\", \"it needs more\", \"a dyno run\", \"it is inside its range\"}\ntype c struct{ A int `help:\"What it asks for.\"` }\n")
	if got := worst(file); len(got) != 4 {
		t.Errorf("found %q", got)
	}
}
