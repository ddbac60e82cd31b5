package sheet

import (
	"os"
	"strings"
	"testing"
)

const listText = `id,name,kind,price,lead,time,sets,adds,needs,waits_for,keeps_busy
big-piston,"Piston, 76 mm",piston,189.00,2 weeks,,engine.bore: 76 mm; engine.piston_mass: 236 g claimed,engine.head.piston_to_valve.intake: -0.3 mm,bored,,
bored,Bored to 76 mm,shop work,85.5,,5 days,,,,big-piston,cylinder
lead-weight,Weight,weight,1,,,,"mass.dry: {mass: 2 kg, x: 0 mm, z: 200 mm}",,,
`

func exampleText(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestAddParts(t *testing.T) {
	text := exampleText(t)
	changed, n, err := AddParts([]byte(text), "list.csv", []byte(listText), nil)
	if err != nil || n != 3 {
		t.Fatal(n, err)
	}
	at := strings.Index(string(changed), "  big-piston:")
	if at < 0 {
		t.Fatal("it is not there")
	}
	end := strings.Index(string(changed), "\nbuilds:")
	if string(changed[:at])+strings.TrimPrefix(string(changed[end:]), "") != text[:at]+text[strings.Index(text, "\nbuilds:"):] {
		t.Error("something else in the sheet has changed")
	}
	s, err := Parse(&File{Name: "x", Text: changed})
	if err != nil {
		t.Fatal(err)
	}
	part := s.Project.Part("big-piston")
	if part == nil || part.Price != 18900 || part.Lead.Count != 2 || len(part.Sets) != 2 || len(part.Adds) != 1 || part.Needs[0].Name != "bored" {
		t.Errorf("%+v", part)
	}
	if weight := s.Project.Part("lead-weight"); len(weight.Masses) != 1 {
		t.Errorf("%+v", weight)
	}
	if _, _, err := AddParts(changed, "list.csv", []byte(listText), nil); err == nil || !strings.Contains(err.Error(), `list.csv:2: the sheet has a part "big-piston" already`) {
		t.Errorf("twice: %v", err)
	}
}

// A list as a spreadsheet on the Continent saves it; a sheet without parts, one with {} and one with a deeper indent.
func TestAddPartsForms(t *testing.T) {
	list := "\xef\xbb\xbfid;price;lead\r\nchain;48,50;4 days\r\n"
	for name, text := range map[string]string{
		"empty map":   "sheet: 1\nmachine: {name: a}\nparts: {}   # none yet\nbuilds:\n  a: []\n",
		"no parts":    "sheet: 1\nmachine: {name: a}\nbuilds:\n  a: []\n",
		"four blanks": "sheet: 1\nparts:\n    old:\n        price: 1\n\nbuilds:\n    a: []\n",
		"at the end":  "sheet: 1\nbuilds: {a: []}\nparts:\n  old: {price: 1}",
		"windows":     "sheet: 1\r\nparts:\r\n  old:\r\n    price: 1\r\nbuilds:\r\n  a: []\r\n",
	} {
		changed, _, err := AddParts([]byte(text), "list.csv", []byte(list), nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		s, err := Parse(&File{Name: name, Text: changed})
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, changed)
			continue
		}
		if part := s.Project.Part("chain"); part == nil || part.Price != 4850 {
			t.Errorf("%s: %+v\n%s", name, part, changed)
		}
		if strings.Contains(text, "old") && s.Project.Part("old") == nil {
			t.Errorf("%s: the old part is gone", name)
		}
		if strings.Contains(text, "\r\n") != strings.Contains(string(changed), "\r\n") {
			t.Errorf("%s: the ends of lines have changed", name)
		}
	}
}

func TestAddPartsRefusals(t *testing.T) {
	text := exampleText(t)
	for name, c := range map[string]struct{ list, says string }{
		"empty":           {"", "must name the columns"},
		"only a head":     {"id,price\n", "holds no parts"},
		"unknown column":  {"id,prise\na,1\n", `did you mean "price"?`},
		"no id column":    {"name,price\na,1\n", "no column id"},
		"empty id":        {"id,price\n,1\n", "list.csv:2: the cell under id is empty"},
		"bad id":          {"id,price\na b,1\n", "letters, digits and hyphens"},
		"twice":           {"id,price\na,1\na,2\n", "list.csv:3: the part \"a\" stands in line 2"},
		"wrong unit":      {"id,sets\nok,engine.bore: 75 mm\nbad,engine.bore: 75 kg\n", "list.csv:3: part bad: "},
		"unknown input":   {"id,sets\nbad,engine.boar: 75 mm\n", "list.csv:2: part bad: there is no input \"engine.boar\""},
		"no value":        {"id,sets\nbad,engine.bore\n", "write input: value"},
		"bad price":       {"id,price\nbad,cheap\n", "list.csv:2: part bad: "},
		"bad lead":        {"id,lead\nbad,soon\n", "list.csv:2: part bad: "},
		"unknown need":    {"id,needs\nbad,nothing\n", "there is no part \"nothing\""},
		"too few cells":   {"id,price,lead\na,1\n", "each line needs 3 cells"},
		"a line too many": {"id,name\na,\"x\ny\"\n", "more than one line"},
		"yaml in a name":  {"id,name\na,\"}: [evil\"\nb,\"ok\"\n", ""},
	} {
		changed, _, err := AddParts([]byte(text), "list.csv", []byte(c.list), nil)
		if c.says == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.says) || changed != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzAddParts(f *testing.F) {
	f.Add(listText)
	f.Add("id;price\na;1,5\n")
	f.Add("id,sets\na,engine.bore: 75 mm; engine.stroke: 66 mm\n")
	f.Add("id,name\na,\"}: [evil # x\"\n")
	const text = "sheet: 1\nparts:\n  old: {price: 1}\nbuilds:\n  a: []\n"
	f.Add("Item,Cost\nPiston,1\nPiston,2\n")
	f.Fuzz(func(t *testing.T, list string) {
		_, _, _ = AddParts([]byte(text), "list.csv", []byte(list), map[string]string{"name": "#1", "price": "Cost"})
		changed, n, err := AddParts([]byte(text), "list.csv", []byte(list), nil)
		if err != nil {
			return
		}
		s, err := Parse(&File{Name: "x", Text: changed})
		if err != nil || len(s.Project.Parts) != n+1 || s.Project.Part("old") == nil {
			t.Fatalf("%d parts said, %v:\n%s", n, err, changed)
		}
	})
}

const vendor = "Item;Part no.;Our price;Delivery\nForged piston, 75.5 mm;P-755;$214.00;2-3 weeks\nForged piston, 75.5 mm;P-756;on request;4 weeks\n"

// A vendor's list has its own headings; which is what is told, never guessed.
func TestVendorsLists(t *testing.T) {
	const text = "sheet: 1\ncurrency: USD\nbuilds:\n  a: []\n"
	_, _, err := AddParts([]byte(text), "list.csv", []byte(vendor), nil)
	u, ok := err.(*UnknownColumns)
	if !ok || len(u.Heads) != 4 || u.First[1] != "P-755" || !strings.Contains(err.Error(), "#3   Our price") || !strings.Contains(err.Error(), "$214.00") || !strings.Contains(err.Error(), "remedy:") {
		t.Fatalf("%v", err)
	}
	told, err := ParseColumns("name=Item, price = our price ,lead=#4")
	if err != nil {
		t.Fatal(err)
	}
	changed, n, err := AddParts([]byte(text), "list.csv", []byte(vendor), told)
	if err != nil || n != 2 {
		t.Fatal(n, err)
	}
	s, err := Parse(&File{Name: "x", Text: changed})
	if err != nil {
		t.Fatal(err)
	}
	first, second := s.Project.Part("forged-piston-75-5-mm"), s.Project.Part("forged-piston-75-5-mm-2")
	if first == nil || second == nil || first.Price != 21400 || second.Priced || first.Lead.Count != 3 || first.Name != "Forged piston, 75.5 mm" {
		t.Errorf("%+v %+v", first, second)
	}
	if told, _ = ParseColumns("id=Part no.,name=Item"); told == nil {
		t.Fatal("not told")
	}
	if changed, _, err = AddParts([]byte(text), "list.csv", []byte(vendor), told); err != nil || !strings.Contains(string(changed), "  P-755:\n    name: \"Forged piston, 75.5 mm\"\n  P-756:") {
		t.Errorf("%v\n%s", err, changed)
	}
	for columns, want := range map[string]string{"name=Thing": `no column "Thing" for name; the list has Item`, "name=Item,from=#1": "told to be name and from", "name=#9": "no column", "price=Our price": "no column id"} {
		told, err := ParseColumns(columns)
		if err != nil {
			t.Fatal(err)
		}
		if changed, _, err := AddParts([]byte(text), "list.csv", []byte(vendor), told); err == nil || !strings.Contains(err.Error(), want) || changed != nil {
			t.Errorf("%s: %v", columns, err)
		}
	}
	for columns, want := range map[string]string{"Item": "which column is what", "nam=Item": `did you mean "name"`, "name=": "which column", "name=a,name=b": "told twice"} {
		if _, err := ParseColumns(columns); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", columns, err)
		}
	}
}
