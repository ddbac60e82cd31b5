package main

import (
	"encoding/csv"
	"strings"
	"testing"
)

// Answers that are told in one table give that table to spreadsheets.
func TestTablesAsCSV(t *testing.T) {
	for _, c := range []struct{ command, head, row string }{
		{"tip-over", "ground", "loam (the sheet's)"},
		{"standing-start", "gear", "2"},
	} {
		s, out, errors := fixed()
		if code := run([]string{c.command, example, "--build", "full", "--csv"}, s); code != 0 {
			t.Fatalf("%s: exit code %d: %s", c.command, code, errors)
		}
		rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll() // as many fields in each line
		if err != nil || len(rows) < 3 || rows[0][0] != c.head {
			t.Fatalf("%s: %v, %v", c.command, err, rows)
		}
		found := false
		for _, r := range rows[1:] {
			found = found || r[0] == c.row
		}
		if !found {
			t.Errorf("%s: no row %q in %v", c.command, c.row, rows)
		}
	}
}
