package house

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// room is one package of the tree.
type room struct {
	path  string // from the module's root
	files map[string]*ast.File
}

// root is the folder of go.mod.
func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		if filepath.Dir(dir) == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = filepath.Dir(dir)
	}
}

// rooms parses all Go files; tests are kept apart by their names.
func rooms(t *testing.T) []room {
	t.Helper()
	top := root(t)
	byPath := map[string]*room{}
	set := token.NewFileSet()
	err := filepath.WalkDir(top, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (strings.HasPrefix(entry.Name(), ".") && name != top || entry.Name() == "testdata" || entry.Name() == "out" || entry.Name() == "dist") {
			return filepath.SkipDir
		}
		if entry.IsDir() || filepath.Ext(name) != ".go" {
			return nil
		}
		file, err := parser.ParseFile(set, name, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, filepath.Dir(name))
		if err != nil {
			return err
		}
		at := filepath.ToSlash(rel)
		if byPath[at] == nil {
			byPath[at] = &room{at, map[string]*ast.File{}}
		}
		byPath[at].files[filepath.Base(name)] = file
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var list []room
	for _, r := range byPath {
		list = append(list, *r)
	}
	slices.SortFunc(list, func(a, b room) int { return strings.Compare(a.path, b.path) })
	if len(list) < 15 {
		t.Fatalf("only %d packages found", len(list))
	}
	return list
}

// imports lists the project's packages that a room imports outside its tests.
func (r room) imports() []string {
	var list []string
	for name, file := range r.files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		for _, spec := range file.Imports {
			if at, ok := strings.CutPrefix(strings.Trim(spec.Path.Value, `"`), "shakedown/"); ok && !slices.Contains(list, at) {
				list = append(list, at)
			}
		}
	}
	slices.Sort(list)
	return list
}

// importRule says which rooms of the project a room may import.
type importRule struct {
	room   string // path.Match pattern
	may    []string
	reason string
}

var importRules = []importRule{
	{"quantity", nil, "a number with its unit is a leaf: everything speaks of it"},
	{"figure", []string{"quantity"}, "what all rooms speak of must not know any of them"},
	{"money", []string{"quantity"}, "sums of money know nothing of parts; digits are read as those of quantities are"},
	{"plan", nil, "dates know nothing of parts, prices or machines"},
	{"machine", []string{"quantity", "figure"}, "the nouns solve nothing and read no text"},
	{"sheet", []string{"machine", "quantity", "figure", "money"}, "text to machine, and no further"},
	{"engine", []string{"engine/gas", "engine/flow", "engine/valvetrain", "internal/faults"}, "physics knows SI numbers, not sheets, machines or pages"},
	{"engine/flow/flowtest", nil, "what judges the scheme must not know it"},
	{"engine/*", nil, "siblings do not know each other; physics knows SI numbers only"},
	{"vehicle/*", nil, "siblings do not know each other; physics knows SI numbers only"},
	{"lap", []string{"vehicle/tyre"}, "a machine as numbers round a course as numbers: it takes the form of the grip from the tyres' room and knows no other"},
	{"recording", []string{"recording/smooth"}, "what a receiver logged, as places on a plane: it knows no machine and no course"},
	{"recording/smooth", nil, "a smoother of places on a plane: it knows no files and no laps"},
	{"forecast", []string{"forecast/ranges", "forecast/result", "forecast/running", "forecast/torque", "forecast/track", "machine", "figure", "quantity", "internal/faults"}, "it lists the figures and computes them; how is said in its inner rooms"},
	{"forecast/ranges", []string{"machine", "figure", "quantity", "internal/faults"}, "how a figure reads a build and how sure it is: no physics"},
	{"forecast/result", []string{"internal/jobs"}, "it holds what was computed and does not know what it is"},
	{"forecast/torque", []string{"forecast/ranges", "forecast/result", "machine", "figure", "quantity", "engine", "engine/*", "internal/faults"}, "the engine's adapters know nothing of chassis and course"},
	{"forecast/running", []string{"forecast/ranges", "forecast/torque", "machine", "figure", "quantity", "engine", "engine/*", "vehicle/*"}, "the running gear's adapters take air and displacement from the engine's, and know no course"},
	{"forecast/track", []string{"forecast/ranges", "forecast/result", "forecast/torque", "forecast/running", "machine", "figure", "quantity", "lap", "recording", "engine/gas", "vehicle/*", "internal/faults"}, "a build with its torque round a course"},
	{"forecast/measure", []string{"forecast/ranges", "forecast/torque", "forecast/running", "machine", "figure", "quantity", "engine", "engine/valvetrain", "vehicle/*"}, "worksheets to inputs: it knows no course"},
	{"check", []string{"machine", "quantity", "figure", "forecast", "forecast/*"}, "rules judge figures; a second copy of the physics must not grow here"},
	{"advise", []string{"machine", "quantity", "figure", "money"}, "it words what is known and computes no figure: neither physics nor rules"},
	{"report", []string{"figure", "quantity", "plan", "check", "machine"}, "it prints what is already computed, in the words that the inputs have"},
	{"internal/app", []string{"internal/app/*", "advise", "check", "figure", "forecast", "forecast/*", "machine", "money", "quantity", "report", "sheet", "internal/workshop", "internal/faults"}, "it wires the rooms and computes nothing: no physics"},
	{"internal/app/asked", []string{"advise", "check", "figure", "forecast", "forecast/*", "machine", "money", "plan", "quantity", "recording", "report", "sheet", "internal/faults"}, "the quick answer on a sheet, below all that takes long: it knows no workshop file"},
	{"internal/app/engine", []string{"internal/app/asked", "figure", "forecast", "forecast/*", "machine", "quantity", "report", "internal/faults"}, "what takes long of the engine, above the quick answer: it knows neither the course nor what parts are worth"},
	{"internal/app/course", []string{"internal/app/asked", "advise", "figure", "forecast", "forecast/*", "machine", "quantity", "report", "internal/faults"}, "what a build does on its course, beside the engine: it does not know what parts are worth"},
	{"internal/app/worth", []string{"internal/app/asked", "internal/app/course", "advise", "check", "figure", "forecast", "forecast/*", "machine", "money", "quantity", "report", "sheet", "internal/faults"}, "what parts give, above the course and below the workshop"},
	{"internal/workshop", []string{"machine", "quantity", "recording", "sheet", "examples", "internal/store", "internal/faults"}, "it keeps texts and changes them by span, and knows nothing of what they come to: the room above tells it whether one may be saved"},
	{"examples", nil, "texts only"},
	{"internal/web", []string{"internal/app", "internal/app/*", "internal/workshop", "internal/jobs", "internal/faults", "report", "quantity"}, "pages have package workshop change what is kept, ask package app, and show what package report words: no arithmetic, no sheet, no file"},
	{"internal/jobs", []string{"internal/faults"}, "it runs work and does not know what the work is"},
	{"internal/faults", nil, "a panic made an error knows nothing of the work"},
	{"internal/store", nil, "it keeps texts and knows nothing of what they say"},
	{"internal/outside", nil, "only tests use it"},
	{"internal/byhand", []string{"figure", "forecast/ranges", "machine", "quantity", "sheet"}, "only tests use it: figures against sums on paper"},
	{"internal/outside/table", []string{"internal/outside"}, "it reads what the checks left behind"},
	{"internal/browser", nil, "only tests use it"},
	{"internal/slips", nil, "only tests use it, and it does not know what a number means"},
	{"internal/lists", []string{"check", "forecast", "forecast/*", "machine", "quantity"}, "it writes the generated lists"},
	{"internal/house", nil, "only tests about the tree"},
	{"cmd/shakedown", []string{"internal/app", "internal/app/*", "internal/workshop", "internal/web", "internal/faults", "report", "quantity"}, "the command line parses flags, asks, prints: no arithmetic, no physics"},
}

// breaches lists what breaks the import rules.
func breaches(rules []importRule, imports map[string][]string) []string {
	var list []string
	used := map[int]bool{}
	for at, targets := range imports {
		i := slices.IndexFunc(rules, func(r importRule) bool { ok, _ := path.Match(r.room, at); return ok })
		if i < 0 {
			list = append(list, fmt.Sprintf("%s has no import rule; say in importRules what it may know, and why", at))
			continue
		}
		used[i] = true
		for _, target := range targets {
			if !slices.ContainsFunc(rules[i].may, func(p string) bool { ok, _ := path.Match(p, target); return ok }) {
				list = append(list, fmt.Sprintf("%s imports %s: %s", at, target, rules[i].reason))
			}
		}
	}
	for i, r := range rules {
		if !used[i] {
			list = append(list, fmt.Sprintf("there is no room %s; take its rule away", r.room))
		}
	}
	slices.Sort(list)
	return list
}

func TestImports(t *testing.T) {
	imports := map[string][]string{}
	for _, r := range rooms(t) {
		imports[r.path] = r.imports()
	}
	for _, breach := range breaches(importRules, imports) {
		t.Error(breach)
	}
}

func TestImportRulesCanFail(t *testing.T) {
	rules := []importRule{{"a", []string{"b"}, "because"}, {"b", nil, "leaf"}, {"gone", nil, "x"}}
	got := breaches(rules, map[string][]string{"a": {"b", "c"}, "b": {"a"}, "c": nil})
	if len(got) != 4 {
		t.Errorf("four breaches wanted: %q", got)
	}
}

func TestPackagesSayWhatTheyAreFor(t *testing.T) {
	for _, r := range rooms(t) {
		doc := ""
		for _, file := range r.files {
			if text := file.Doc.Text(); len(text) > len(doc) {
				doc = text
			}
		}
		if len(doc) < 80 {
			t.Errorf("%s: the package comment has %d characters; say in three sentences what goes in, what comes out and what it does not know", r.path, len(doc))
		}
	}
}

var unitInBrackets = regexp.MustCompile(`\[[^\]]+\]`)

// unitless lists the exported float fields of exported structs without a unit in their comment.
func unitless(file *ast.File) []string {
	var list []string
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.TypeSpec)
		if !ok || !spec.Name.IsExported() {
			return true
		}
		s, ok := spec.Type.(*ast.StructType)
		if !ok {
			return true
		}
		for _, field := range s.Fields.List {
			kind := field.Type
			for {
				if array, ok := kind.(*ast.ArrayType); ok {
					kind = array.Elt
					continue
				}
				break
			}
			if id, ok := kind.(*ast.Ident); !ok || id.Name != "float64" {
				continue
			}
			if unitInBrackets.MatchString(field.Comment.Text() + field.Doc.Text()) {
				continue
			}
			for _, name := range field.Names {
				if name.IsExported() {
					list = append(list, spec.Name.Name+"."+name.Name)
				}
			}
		}
		return true
	})
	return list
}

// undocumented lists exported top-level names without a comment.
func undocumented(file *ast.File) []string {
	var list []string
	for _, decl := range file.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			exported := d.Name.IsExported()
			if d.Recv != nil {
				kind := d.Recv.List[0].Type
				if star, ok := kind.(*ast.StarExpr); ok {
					kind = star.X
				}
				id, ok := kind.(*ast.Ident)
				exported = exported && ok && id.IsExported()
			}
			if exported && d.Doc.Text() == "" {
				list = append(list, d.Name.Name)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				var names []*ast.Ident
				text := d.Doc.Text()
				switch s := spec.(type) {
				case *ast.TypeSpec:
					names, text = []*ast.Ident{s.Name}, text+s.Doc.Text()
				case *ast.ValueSpec:
					names, text = s.Names, text+s.Doc.Text()+s.Comment.Text()
				}
				for _, name := range names {
					if name.IsExported() && text == "" {
						list = append(list, name.Name)
					}
				}
			}
		}
	}
	return list
}

func TestUnitsAndComments(t *testing.T) {
	for _, r := range rooms(t) {
		for name, file := range r.files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			for _, field := range unitless(file) {
				t.Errorf("%s/%s: %s has no unit; write it in brackets, [m] or [-]", r.path, name, field)
			}
			for _, id := range undocumented(file) {
				t.Errorf("%s/%s: %s has no comment", r.path, name, id)
			}
		}
	}
}

// sourceless lists the outside checks of a test file that leave id, source or how known empty where they are written.
func sourceless(file *ast.File) []string {
	var list []string
	ast.Inspect(file, func(n ast.Node) bool {
		literal, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		kind := literal.Type
		if kind == nil || !isCheck(kind) {
			if array, ok := kind.(*ast.ArrayType); ok && isCheck(array.Elt) {
				for _, element := range literal.Elts {
					if row, ok := element.(*ast.CompositeLit); ok {
						list = append(list, emptyKeys(row)...)
					}
				}
			}
			return true
		}
		list = append(list, emptyKeys(literal)...)
		return true
	})
	return list
}

func isCheck(kind ast.Expr) bool {
	selector, ok := kind.(*ast.SelectorExpr)
	return ok && selector.Sel.Name == "Check" && fmt.Sprint(selector.X) == "outside"
}

func emptyKeys(row *ast.CompositeLit) []string {
	found := map[string]bool{}
	name := "a check"
	for _, element := range row.Elts {
		pair, ok := element.(*ast.KeyValueExpr)
		if !ok {
			return []string{"a check without the names of its fields"}
		}
		key := fmt.Sprint(pair.Key)
		text, isText := pair.Value.(*ast.BasicLit)
		found[key] = !isText || strings.Trim(text.Value, "\"` ") != ""
		if key == "Name" && isText {
			name = text.Value
		}
	}
	var list []string
	for _, key := range []string{"ID", "Name", "Unit", "Got", "Want", "Source", "Known"} {
		if !found[key] {
			list = append(list, name+" without "+key)
		}
	}
	return list
}

func TestChecksNameTheirSource(t *testing.T) {
	checks := 0
	for _, r := range rooms(t) {
		for name, file := range r.files {
			if !strings.HasSuffix(name, "_test.go") || r.path == "internal/outside" || r.path == "internal/house" {
				continue
			}
			for _, missing := range sourceless(file) {
				t.Errorf("%s/%s: %s", r.path, name, missing)
			}
			ast.Inspect(file, func(n ast.Node) bool {
				if kind, ok := n.(*ast.SelectorExpr); ok && isCheck(kind) {
					checks++
				}
				return true
			})
		}
	}
	if checks < 20 {
		t.Errorf("only %d places with outside checks were found", checks)
	}
}

func parse(t *testing.T, text string) *ast.File {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "x.go", text, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestTheRulesCanFail(t *testing.T) {
	file := parse(t, `package x
type T struct {
	A float64 // [m] fine
	B, C float64 // no unit
	// D has it above [kg].
	D []float64
	E [3]float64
	f float64
}
type u struct{ A float64 }
func F() {}
func (T) G() {}
// H is described.
func H() {}
const K = 1
`)
	if got := unitless(file); !slices.Equal(got, []string{"T.B", "T.C", "T.E"}) {
		t.Errorf("without units: %q", got)
	}
	if got := undocumented(file); !slices.Equal(got, []string{"T", "F", "G", "K"}) {
		t.Errorf("without comments: %q", got)
	}
	tests := parse(t, `package x
import "shakedown/internal/outside"
var _ = []outside.Check{{ID: "a", Name: "n", Unit: "m", Got: 1, Want: 1, Source: "", Known: nil}, {"a"}}
var _ = outside.Check{ID: "a", Name: "n", Unit: "m", Got: 1, Want: 1, Source: "s"}
`)
	if got := sourceless(tests); len(got) != 3 {
		t.Errorf("without source: %q", got)
	}
}

func TestTheoryAndDecisions(t *testing.T) {
	top := root(t)
	for _, r := range rooms(t) {
		physics := r.path == "engine" || strings.HasPrefix(r.path, "engine/") || strings.HasPrefix(r.path, "vehicle/")
		if !physics || path.Base(r.path) == "flowtest" { // answers that judge a room
			continue
		}
		name := filepath.Join(top, "docs", "theory", path.Base(r.path)+".md")
		if info, err := os.Stat(name); err != nil || info.Size() < 500 {
			t.Errorf("%s has no theory page %s", r.path, name)
		}
	}
	entries, err := os.ReadDir(filepath.Join(top, "docs", "decisions"))
	if err != nil || len(entries) == 0 {
		t.Fatalf("no decision records: %v", err)
	}
	for i, entry := range entries {
		if want := fmt.Sprintf("%04d-", i+1); !strings.HasPrefix(entry.Name(), want) {
			t.Errorf("the decision %s is not numbered %s", entry.Name(), want)
		}
	}
}

func TestSizesAndNames(t *testing.T) {
	for _, r := range rooms(t) {
		if slices.Contains([]string{"common", "util", "utils", "helpers", "types", "models", "core"}, path.Base(r.path)) {
			t.Errorf("%s is no room but a drawer", r.path)
		}
		for name := range r.files {
			text, err := os.ReadFile(filepath.Join(root(t), filepath.FromSlash(r.path), name))
			if err != nil {
				t.Fatal(err)
			}
			if lines := strings.Count(string(text), "\n"); lines > 900 {
				t.Errorf("%s/%s has %d lines; it holds more than one idea", r.path, name, lines)
			}
		}
	}
}

// longComments are the lines of a file that hold a comment alone and have more than 120 columns, a tab counted as four; a line
// without a space to break it at, such as an address, is none.
func longComments(text string) (lines []int) {
	raw := false
	for i, line := range strings.Split(text, "\n") {
		comment, ok := strings.CutPrefix(strings.TrimLeft(line, "\t"), "//")
		if !ok || raw {
			raw = raw != (strings.Count(line, "`")%2 == 1)
			continue
		}
		if utf8.RuneCountInString(strings.ReplaceAll(line, "\t", "    ")) > 120 && strings.Contains(strings.TrimSpace(comment), " ") {
			lines = append(lines, i+1)
		}
	}
	return lines
}

func TestCommentsAreWrapped(t *testing.T) {
	for _, r := range rooms(t) {
		for name := range r.files {
			text, err := os.ReadFile(filepath.Join(root(t), filepath.FromSlash(r.path), name))
			if err != nil {
				t.Fatal(err)
			}
			for _, line := range longComments(string(text)) {
				t.Errorf("%s/%s:%d: the comment has more than 120 columns", r.path, name, line)
			}
		}
	}
	words := strings.Repeat("word ", 23) // 114 of them are 121 columns behind a tab and the slashes, 117 without the tab
	long := "package x\n\n\t// " + words[:114] + "\n// " + words[:114] + "\n// " + strings.Repeat("x", 130) + "\nvar x = `\n// " + words + words + "\n`\n// " + words + "end\n"
	if got := longComments(long); !slices.Equal(got, []int{3, 9}) {
		t.Errorf("too long are the lines %v", got)
	}
}

// The report needs nothing from elsewhere.
func TestReportIsSelfContained(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root(t), "report", "page.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"http://", "https://", " src=", "@import", "url(", "<link", "<script"} {
		if strings.Contains(string(text), bad) {
			t.Errorf("the report's page holds %q", bad)
		}
	}
}

// Nothing that is published names a place on somebody's machine.
func TestNoPlacesOfThisMachine(t *testing.T) {
	places := regexp.MustCompile(`(^|[^\w./])/(home|root|Users|tmp)/\w|[A-Z]:\\`)
	for _, folder := range []string{"docs", "examples"} {
		err := filepath.WalkDir(filepath.Join(root(t), folder), func(name string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			text, err := os.ReadFile(name)
			if found := places.Find(text); found != nil {
				t.Errorf("%s names the place %q", name, found)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
