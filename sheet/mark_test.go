package sheet

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// A byte order mark before a sheet says nothing and stays: places, values and edits are those of the sheet without it.
func TestByteOrderMark(t *testing.T) {
	example, err := os.ReadFile("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := bytes.Cut(example, []byte("\nsheet: 1"))
	for name, text := range map[string][]byte{"a comment first": example, "sheet: 1 first": append([]byte("sheet: 1"), rest...)} {
		marked := append([]byte("\ufeff"), text...)
		plain, err1 := Parse(&File{Name: "x", Text: text})
		with, err2 := Parse(&File{Name: "x", Text: marked})
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %v, %v", name, err1, err2)
		}
		if a, b := plain.Project.Base["engine.bore"].Origin, with.Project.Base["engine.bore"].Origin; a != b {
			t.Errorf("%s: the bore stands at %+v, with the mark at %+v", name, a, b)
		}
		bore, err := Get(text, "engine.bore")
		if err != nil {
			t.Fatal(err)
		}
		for what, change := range map[string]func(text []byte) ([]byte, error){
			"edit": func(text []byte) ([]byte, error) { return Edit(text, "engine.bore", bore, "71 mm") },
			"edit on the first line": func(text []byte) ([]byte, error) {
				if !strings.HasPrefix(strings.TrimPrefix(string(text), "\ufeff"), "sheet") {
					return text, nil
				}
				return Edit(text, "sheet", "1", "2")
			},
			"put": func(text []byte) ([]byte, error) { return Put(text, "class_rules.notes", "none") },
			"add parts": func(text []byte) ([]byte, error) {
				out, _, err := AddParts(text, "list.csv", []byte("\ufeffid,name\nnew-one,A new one\n"), nil)
				return out, err
			},
		} {
			a, err1 := change(text)
			b, err2 := change(marked)
			if (err1 == nil) != (err2 == nil) || !bytes.Equal(append([]byte("\ufeff"), a...), b) && err1 == nil {
				t.Errorf("%s, %s: with the mark it comes out otherwise (%v, %v)", name, what, err1, err2)
			}
		}
	}
	if _, err := Parse(&File{Name: "x", Text: []byte("\ufeff")}); err == nil || !strings.Contains(err.Error(), "empty") {
		t.Errorf("a mark alone: %v", err)
	}
}
