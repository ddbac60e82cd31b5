package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A stranger answers twelve questions, one of them wrong at first, and comes from nothing to a report.
func TestFromNothingToAReport(t *testing.T) {
	folder := t.TempDir()
	file, page := filepath.Join(folder, "mine.yaml"), filepath.Join(folder, "mine.html")
	s, out, errors := fixed()
	s.asks = true
	s.in = strings.NewReader("quad\nOld red\nliquid\n74 kg\n74 mm\n58 mm\n9.3\n1\n\ntrail\n\n\n\n362 lb\n0.48\n49 in\n31.1 in\n800 mm ± 5 mm\n21x7-10\n20x11-9\n31 mm\n\n13\n38\n\n168 lb\n")
	if code := run([]string{"new", file}, s); code != 0 {
		t.Fatalf("exit code %d: %s", code, errors)
	}
	if !strings.Contains(errors.String(), "did you mean") && !strings.Contains(errors.String(), "a length in mm") {
		t.Errorf("a wrong unit was not explained: %s", errors)
	}
	if !strings.Contains(out.String(), "shakedown check") {
		t.Errorf("it does not say what to do next: %s", out)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"layout: quad", "name: Old red", "bore: 74 mm measured", "dry: 362 lb measured", "track_rear: 800 mm ± 5 mm measured", "front: 13 ", "claimed_ratio: 9.3", "tuned_for: trail", "# redline:", "# liner_outer:", "$schema=shakedown.schema.json"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in the sheet", want)
		}
	}
	for _, args := range [][]string{{"check", file}, {"figures", file, "--quick"}, {"report", file, "--out", page}} {
		s, out, errors := fixed()
		if code := run(args, s); code == 2 || errors.Len() > 0 || out.Len() == 0 {
			t.Errorf("%v: exit code %d: %s", args, code, errors)
		}
	}
	if _, err := os.Stat(page); err != nil {
		t.Error(err)
	}

	again, _, errors := fixed()
	if code := run([]string{"new", file}, again); code != 2 || !strings.Contains(errors.String(), "never written over") {
		t.Errorf("it would write over a sheet: %d %s", code, errors)
	}
}

func TestNewByFlags(t *testing.T) {
	for _, layout := range []string{"three-wheeler", "quad", "bike"} {
		file := filepath.Join(t.TempDir(), "x.yaml")
		s, _, errors := fixed()
		if code := run([]string{"new", file, "--layout", layout, "--set", "engine.bore=72 mm ± 0.01 mm", "--set", "name=A: b"}, s); code != 0 {
			t.Fatalf("%s: %d %s", layout, code, errors)
		}
		s, out, errors := fixed()
		if code := run([]string{"check", file}, s); code == 2 {
			t.Errorf("%s: %s", layout, errors)
		}
		if !strings.Contains(out.String(), "A: b: build \"as-found\"") {
			t.Errorf("%s: %.200s", layout, out)
		}
	}
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"no such layout":     {[]string{"--layout", "sidecar"}, "three-wheeler, quad or bike"},
		"no such input":      {[]string{"--set", "engine.boar=72 mm"}, "engine.boar"},
		"a value refused":    {[]string{"--set", "engine.bore=72 kg"}, "engine.bore"},
		"no value":           {[]string{"--set", "engine.bore"}, "--set engine.bore='74 mm'"},
		"not of this layout": {[]string{"--layout", "bike", "--set", "geometry.track_rear=800 mm"}, "a bike has no geometry.track_rear"},
		"below zero":         {[]string{"--set", "engine.bore=-72 mm"}, "physics does not allow; expected from 20 to 150 mm; look at the unit and the digits: did you mean 72 mm?"},
	} {
		file := filepath.Join(t.TempDir(), "x.yaml")
		s, _, errors := fixed()
		if code := run(append([]string{"new", file}, c.args...), s); code != 2 || !strings.Contains(errors.String(), c.says) {
			t.Errorf("%s: %d %s", name, code, errors)
		}
		if _, err := os.Stat(file); err == nil {
			t.Errorf("%s: a sheet was written all the same", name)
		}
	}
}

func TestCompare(t *testing.T) {
	s, out, errors := fixed()
	if code := run([]string{"compare", example}, s); code != 1 || errors.Len() > 0 {
		t.Errorf("exit code %d %s", code, errors)
	}
	golden(t, "compare.txt", out.String())

	s, out, _ = fixed()
	if code := run([]string{"compare", "../../examples/brackwater-246.yaml", "--builds", "all-in", "--units", "us"}, s); code != 0 {
		t.Errorf("exit code %d", code)
	}
	golden(t, "compare-bike-us.txt", out.String())

	s, out, _ = fixed()
	run([]string{"compare", example, "--csv", "--builds", "full,club"}, s)
	rows, err := csv.NewReader(out).ReadAll()
	if err != nil || len(rows) < 100 || rows[0][0] != "id" || rows[1][3] != "as-found" || rows[2][3] != "full" || rows[3][3] != "club" {
		t.Errorf("%v %d rows", err, len(rows))
	}

	s, out, _ = fixed()
	run([]string{"compare", example, "--json"}, s)
	var got struct {
		Baseline string
		Builds   []struct {
			Build   string
			Figures []struct {
				ID    string
				Value *float64
			}
		}
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil || got.Baseline != "as-found" || len(got.Builds) != 4 {
		t.Fatalf("%v %+v", err, got)
	}
	one, single, _ := fixed()
	run([]string{"figures", example, "--json", "--quick"}, one)
	var full struct {
		Figures []struct {
			ID    string
			Value *float64
		}
	}
	if err := json.Unmarshal(single.Bytes(), &full); err != nil {
		t.Fatal(err)
	}
	compared := map[string]*float64{}
	for _, f := range got.Builds[3].Figures {
		compared[f.ID] = f.Value
	}
	if lap := compared["track.lap_time"]; lap == nil || *lap < 20 || len(full.Figures) < 60 {
		t.Errorf("%d figures, the lap is %v", len(full.Figures), lap)
	}
	for _, f := range full.Figures {
		if v := compared[f.ID]; f.Value == nil { // it waits
			continue
		} else if v == nil || *v != *f.Value {
			t.Errorf("%s: compare says %v, figures %g", f.ID, v, *f.Value)
		}
	}
	s, _, errors = fixed()
	if code := run([]string{"compare", example, "--builds", "ful"}, s); code != 2 || !strings.Contains(errors.String(), `no build "ful"`) {
		t.Errorf("%d %s", code, errors)
	}
}

func TestAddPartsCommand(t *testing.T) {
	folder := t.TempDir()
	file, list := filepath.Join(folder, "mine.yaml"), filepath.Join(folder, "list.csv")
	before, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write(file, string(before))
	write(list, "id,price,lead,sets\nbig-jet,4.50,3 days,engine.intake.carburettor.main_jet: 142\nwrong,1,2 days,engine.bore: 75\n")
	s, _, errors := fixed()
	if code := run([]string{"add-parts", file, list}, s); code != 2 || !strings.Contains(errors.String(), "list.csv:3: part wrong") {
		t.Errorf("%d %s", code, errors)
	}
	if now, _ := os.ReadFile(file); string(now) != string(before) {
		t.Error("the sheet was changed although the list is wrong")
	}
	write(list, "id,price,lead,sets\nbig-jet,4.50,3 days,engine.intake.carburettor.main_jet: 142\n")
	s, out, errors := fixed()
	if code := run([]string{"add-parts", file, list}, s); code != 0 || !strings.HasPrefix(out.String(), "1 added") {
		t.Errorf("%d %s%s", code, out, errors)
	}
	now, _ := os.ReadFile(file)
	if !strings.Contains(string(now), "  big-jet:\n    price: 4.50\n    lead: 3 days\n    sets:\n      engine.intake.carburettor.main_jet: 142\n") {
		t.Error("the part does not stand in the sheet as written")
	}
	s, out, _ = fixed()
	if code := run([]string{"figures", file, "--quick"}, s); code != 0 {
		t.Errorf("%s", out)
	}
}

func TestHelpTopics(t *testing.T) {
	for _, topic := range []string{"tolerances", "units", "figures", "rules", "inputs", "claims", "catalogue"} {
		s, out, _ := fixed()
		if code := run([]string{"help", topic}, s); code != 0 || strings.Count(out.String(), "\n") < 10 {
			t.Errorf("%s: %d\n%s", topic, code, out)
		}
		if topic == "tolerances" {
			golden(t, "help-tolerances.txt", out.String())
		}
	}
	s, _, errors := fixed()
	if code := run([]string{"help", "everything"}, s); code != 2 || !strings.Contains(errors.String(), "tolerances, units") {
		t.Errorf("%d %s", code, errors)
	}
}

func TestManAndCompletion(t *testing.T) {
	s, out, _ := fixed()
	if code := run([]string{"man"}, s); code != 0 || !strings.HasPrefix(out.String(), ".TH SHAKEDOWN 1") || strings.Count(out.String(), ".SS ") < 9 {
		t.Errorf("%d %.300s", code, out)
	}
	for shell, want := range map[string]string{"bash": "complete -o default -F _shakedown shakedown", "zsh": "bashcompinit", "fish": "complete -c shakedown -n __fish_use_subcommand -a check"} {
		s, out, _ := fixed()
		if code := run([]string{"completion", shell}, s); code != 0 || !strings.Contains(out.String(), want) || !strings.Contains(out.String(), "against") {
			t.Errorf("%s: %d\n%s", shell, code, out)
		}
	}
}

// A vendor's list is told by a flag, or asked about where somebody is there to answer.
func TestAddPartsOfAVendor(t *testing.T) {
	folder := t.TempDir()
	file, list := filepath.Join(folder, "mine.yaml"), filepath.Join(folder, "list.csv")
	for name, text := range map[string]string{file: "sheet: 1\ncurrency: USD\nbuilds:\n  a: []\n", list: "Item,No.,Cost\nBig jet,J-142,$4.50\n"} {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s, _, errors := fixed()
	if code := run([]string{"add-parts", file, list}, s); code != 2 || !strings.Contains(errors.String(), "#3   Cost                 $4.50") || !strings.Contains(errors.String(), "--columns") {
		t.Errorf("%d %s", code, errors)
	}
	const want = "  big-jet:\n    name: Big jet\n    price: $4.50\n"
	s, out, errors := fixed()
	if code := run([]string{"add-parts", file, list, "--columns", "name=Item,price=Cost", "--print"}, s); code != 0 || !strings.Contains(out.String(), want) {
		t.Errorf("%d %s%s", code, out, errors)
	}
	s, out, errors = fixed()
	s.in, s.asks = strings.NewReader("name\n\nprise\nprice\n"), true
	if code := run([]string{"add-parts", file, list, "--print"}, s); code != 0 || !strings.Contains(out.String(), want) || !strings.Contains(errors.String(), `There is no column "prise"`) || !strings.Contains(errors.String(), `"Cost", such as "$4.50"`) {
		t.Errorf("%d %s%s", code, out, errors)
	}
	s, _, errors = fixed()
	s.in, s.asks = strings.NewReader("name\n"), true
	if code := run([]string{"add-parts", file, list}, s); code != 2 || !strings.Contains(errors.String(), "nothing was added") {
		t.Errorf("%d %s", code, errors)
	}
}
