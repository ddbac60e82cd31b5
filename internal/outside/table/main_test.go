package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func folder(t *testing.T, lines string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.jsonl"), []byte(lines), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestPage(t *testing.T) {
	var out bytes.Buffer
	err := run(folder(t, `{"Package":"b","ID":"x 2.10","Name":"late","Unit":"mm","Source":"S","Got":1.00001,"Want":1,"Tol":0.01,"Pass":true,"Known":["seen"]}
{"Package":"b","ID":"x 2.9","Name":"a|b","Unit":"1","Source":"S","Got":2,"Want":2,"Tol":0,"Pass":true,"Known":["memory","computed"]}
{"Package":"b","ID":"x 2.9","Name":"a|b","Unit":"1","Source":"S","Got":2,"Want":2,"Tol":0,"Pass":true,"Known":["memory"]}
{"Package":"a","ID":"t","Name":"trap","Unit":"N","Source":"T","Got":5,"Want":7,"Tol":1,"Trap":true,"Pass":true,"Known":["seen"]}
`), &out)
	if err != nil {
		t.Fatal(err)
	}
	page := out.String()
	for _, want := range []string{"3 checks from 2 sources", "| late | 1 mm | 1 | 0.01 mm | S | seen |", `| a\|b | 2  | 2 | exact | S | memory, computed |`, "trap: must differ"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in\n%s", want, page)
		}
	}
	if strings.Index(page, `a\|b`) > strings.Index(page, "late") || strings.Index(page, "## a") > strings.Index(page, "## b") {
		t.Error("the order is not natural")
	}
}

func TestFailuresStopThePage(t *testing.T) {
	for name, lines := range map[string]string{
		"a failed check": `{"Package":"b","ID":"x","Name":"n","Pass":false}`,
		"no check":       "",
		"broken line":    "{",
	} {
		var out bytes.Buffer
		if err := run(folder(t, lines), &out); err == nil || out.Len() > 0 {
			t.Errorf("%s: a page was made: %q", name, out.String())
		}
	}
}
