package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"shakedown/figure"
	"shakedown/machine"
)

// Sheet is a sheet that was read: its files and what they say.
type Sheet struct {
	Files   []*File
	Project *machine.Project
}

// Read reads a file, or a folder of .yaml and .yml files that are merged. Errors in the text are Errors.
func Read(path string) (*Sheet, error) {
	info, err := os.Stat(path)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("there is no file or folder %q; give the path of a build sheet", path)
		}
		return nil, err
	}
	names := []string{path}
	if info.IsDir() {
		if names, err = filesIn(path); err != nil {
			return nil, err
		}
	}
	var files []*File
	for _, name := range names {
		shown := filepath.Base(name)
		if len(names) > 1 {
			shown = filepath.ToSlash(filepath.Join(filepath.Base(path), shown))
		}
		text, err := ReadBounded(name, MaxBytes)
		if errors.Is(err, ErrLarge) {
			return nil, Errors{(&File{Name: shown}).at(1, 1, 1, err.Error(), fmt.Sprintf("at most %d bytes", MaxBytes), "split the sheet into several files in one folder")}
		}
		if err != nil {
			return nil, err
		}
		files = append(files, &File{Name: shown, Text: text})
	}
	return Parse(files...)
}

// ErrLarge says that a file has more bytes than are read.
var ErrLarge = errors.New("the file has more bytes than are read")

// ReadBounded reads a file of at most so many bytes, also one that does not say how many it has, such as a pipe. The
// error wraps ErrLarge when it has more.
func ReadBounded(name string, most int64) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.Size() > most {
		return nil, fmt.Errorf("%w: %d", ErrLarge, info.Size())
	}
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(text)) > most {
		return nil, fmt.Errorf("%w: %d or more", ErrLarge, len(text))
	}
	return text, err
}

func filesIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, entry := range entries {
		if ext := filepath.Ext(entry.Name()); !entry.IsDir() && (ext == ".yaml" || ext == ".yml") {
			names = append(names, filepath.Join(folder, entry.Name()))
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("the folder %q holds no .yaml file; put the build sheet there", folder)
	}
	if len(names) > MaxFiles {
		return nil, fmt.Errorf("the folder %q holds %d .yaml files; at most %d are read as one sheet: keep each machine in a folder of its own", folder, len(names), MaxFiles)
	}
	return names, nil
}

// Parse reads the text of a sheet that is already in memory. Errors in the text are Errors.
func Parse(files ...*File) (*Sheet, error) {
	w := newWalker(files)
	trees := make([]ast.Node, len(files))
	for i, f := range files {
		f.line(1) // splits the text now: a sheet that was read is only read
		if bad := guard(f); bad != nil {
			w.errors = append(w.errors, bad...)
			continue
		}
		tree, bad := parse(f)
		if bad != nil {
			w.errors = append(w.errors, *bad)
			continue
		}
		trees[i] = tree
		w.file = f
		w.currencyFirst(tree)
	}
	for i, f := range files {
		if trees[i] != nil {
			w.file = f
			w.document(trees[i])
		}
	}
	if !slices.Contains(trees, nil) {
		w.finish(files[0])
	}
	if len(w.errors) > 0 {
		return nil, w.errors.few()
	}
	w.project.File = files[0].Name
	w.project.FillTypical()
	return &Sheet{Files: files, Project: w.project}, nil
}

// Diagnose makes an error at the place of an input, for what only a later room can see.
func (s *Sheet) Diagnose(o figure.Origin, problem, expected, remedy string) Diagnostic {
	for _, f := range s.Files {
		if f.Name == o.File {
			return f.at(max(1, o.Line), max(1, o.Column), 1, problem, expected, remedy)
		}
	}
	return s.Files[0].at(1, 1, 1, problem, expected, remedy)
}

// parse makes the syntax tree of a file. Duplicate keys are left in: the walker names both places.
func parse(f *File) (ast.Node, *Diagnostic) {
	// The library counts an empty line that ends as Windows ends it twice; lines and columns are the same without.
	tree, err := parser.ParseBytes(bytes.ReplaceAll(f.body(), []byte("\r\n"), []byte("\n")), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		d := f.syntax(err)
		return nil, &d
	}
	var body ast.Node
	for _, doc := range tree.Docs {
		if doc.Body == nil || doc.Body.Type() == ast.CommentType {
			continue
		}
		if body != nil {
			t := doc.Body.GetToken()
			d := f.at(t.Position.Line, t.Position.Column, 1, "a second document in one file", "one document", "remove the line of three dashes, or make it a file of its own")
			return nil, &d
		}
		body = doc.Body
	}
	if body == nil {
		d := f.at(1, 1, 1, "the file holds only comments", "a build sheet that begins with sheet: 1", "start from the example in the examples folder")
		return nil, &d
	}
	if d := f.unseen(body); d != nil {
		return nil, d
	}
	return body, nil
}

// unseen finds a character that an escape in quotes stands for and that nobody sees, but that moves a terminal's cursor
// or turns its text round.
func (f *File) unseen(body ast.Node) *Diagnostic {
	t := body.GetToken()
	for t.Prev != nil {
		t = t.Prev
	}
	for ; t != nil; t = t.Next {
		if t.Type == token.CommentType {
			continue
		}
		for _, r := range t.Value {
			if unicode.IsControl(r) && r != '\n' && r != '\t' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
				d := f.at(t.Position.Line, t.Position.Column, 1, fmt.Sprintf("the character U+%04X, which is no letter, in a text", r), "text that can be read", "write it without; most are put there by an escape such as \\x1b in double quotes")
				return &d
			}
		}
	}
	return nil
}

// yamlError is what the library's errors offer.
type yamlError interface {
	error
	GetToken() *token.Token
	GetMessage() string
}

// syntax words the library's error as ours.
func (f *File) syntax(err error) Diagnostic {
	line, column, message := 1, 1, err.Error()
	var located yamlError
	if errors.As(err, &located) {
		message = located.GetMessage()
		if t := located.GetToken(); t != nil && t.Position != nil {
			line, column = t.Position.Line, t.Position.Column
		}
	}
	message, _, _ = strings.Cut(message, "\n")
	remedy := "look for a missing colon, bracket or quote here or on the line above"
	if strings.Contains(message, "sequence end token") || strings.Contains(message, "mapping end token") || strings.Contains(message, "could not find") {
		remedy = "close the bracket or quote that was opened"
	}
	return f.at(line, column, 1, "this cannot be read as YAML: "+message, "key: value, one to a line, or {key: value} in brackets", remedy)
}

// entry is one key and value of a map.
type entry struct {
	key   *token.Token
	name  string
	value ast.Node
}

// entries lists a map's keys and values; ok is false when the node is no map.
func entries(n ast.Node) (list []entry, ok bool) {
	var pairs []*ast.MappingValueNode
	switch m := n.(type) {
	case *ast.MappingNode:
		pairs = m.Values
	case *ast.MappingValueNode:
		pairs = []*ast.MappingValueNode{m}
	default:
		return nil, false
	}
	list = make([]entry, 0, len(pairs))
	for _, pair := range pairs {
		t := pair.Key.GetToken()
		list = append(list, entry{t, t.Value, pair.Value})
	}
	return list, true
}

// scalar is the text of a plain or quoted value; ok is false for maps, lists and the like.
func scalar(n ast.Node) (text string, t *token.Token, ok bool) {
	switch s := n.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		t = s.GetToken()
		return t.Value, t, true
	case *ast.LiteralNode:
		return s.Value.Value, s.GetToken(), true
	case *ast.NullNode:
		t = s.GetToken()
		if t.Type == token.ImplicitNullType {
			return "", t, true
		}
		return t.Value, t, true
	}
	return "", n.GetToken(), false
}

func joinPath(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

var sheetKeys = []string{"sheet", "title", "currency", "today", "race_day", "air", "rider", "class_rules", "machine", "parts", "builds", "track", "measure"}

// outer are the keys of the schema that stand beside machine, not in it.
var outer = []string{"air", "rider", "class_rules", "track", "measure"}

// machineKeys are the keys of the schema that stand in machine.
var machineKeys = sync.OnceValue(func() []string {
	return slices.DeleteFunc(slices.Clone(machine.Top().Names()), func(name string) bool { return slices.Contains(outer, name) })
})
