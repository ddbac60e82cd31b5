package report

import (
	"os"
	"regexp"
	"testing"
)

// Every colour that the report's style uses is given, in light, dark and on paper: a line without one is not drawn.
func TestColoursAreGiven(t *testing.T) {
	text, err := os.ReadFile("page.html")
	if err != nil {
		t.Fatal(err)
	}
	given := map[string]int{}
	for _, m := range regexp.MustCompile(`(--[a-z0-9]+):`).FindAllSubmatch(text, -1) {
		given[string(m[1])]++
	}
	uses := regexp.MustCompile(`var\((--[a-z0-9]+)\)`).FindAllSubmatch(text, -1)
	if len(uses) < 20 {
		t.Fatalf("only %d uses of colours are found", len(uses))
	}
	for _, m := range uses {
		if name := string(m[1]); given[name] < 2 {
			t.Errorf("%s is used and given %d times; light and dark want one each", name, given[name])
		}
	}
}
