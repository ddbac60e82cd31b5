// Command table makes docs/verification.md from what the checks against outside values left behind.
//
// The folder that SHAKEDOWN_VERIFICATION named while the tests ran goes in; the page comes out on standard output. It
// fails when a check failed or when there is none. It is run by make verification, never by a person.
package main

import (
	"bufio"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shakedown/internal/outside"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: table FOLDER")
		os.Exit(2)
	}
	if err := run(os.Args[1], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(folder string, w io.Writer) error {
	rows, err := read(folder)
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		return errors.New("no check has left a line; run the tests with SHAKEDOWN_VERIFICATION set")
	}
	for _, r := range rows {
		if !r.Pass {
			return fmt.Errorf("%s %s failed; mend it before the page is made", r.ID, r.Name)
		}
	}
	_, err = io.WriteString(w, page(rows))
	return err
}

// read gathers the lines of all files, each check once, sorted by room, id and name.
func read(folder string) ([]outside.Row, error) {
	names, err := filepath.Glob(filepath.Join(folder, "*.jsonl"))
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	var rows []outside.Row
	for _, name := range names {
		file, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		scanner := bufio.NewScanner(file)
		for scanner.Scan() {
			var r outside.Row
			if err := json.Unmarshal(scanner.Bytes(), &r); err != nil {
				file.Close()
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			if key := r.Package + r.ID + r.Name; !seen[key] {
				seen[key] = true
				rows = append(rows, r)
			}
		}
		if err := errors.Join(scanner.Err(), file.Close()); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(rows, func(a, b outside.Row) int {
		return cmp.Or(cmp.Compare(a.Package, b.Package), natural(a.ID, b.ID), natural(a.Name, b.Name))
	})
	return rows, nil
}

var digits = regexp.MustCompile(`\d+|\D+`)

// natural compares texts with runs of digits taken as numbers: 2.9 before 2.10.
func natural(a, b string) int {
	as, bs := digits.FindAllString(a, -1), digits.FindAllString(b, -1)
	for i := range min(len(as), len(bs)) {
		na, errA := strconv.Atoi(as[i])
		nb, errB := strconv.Atoi(bs[i])
		c := cmp.Compare(as[i], bs[i])
		if errA == nil && errB == nil {
			c = cmp.Compare(na, nb)
		}
		if c != 0 {
			return c
		}
	}
	return cmp.Compare(len(as), len(bs))
}

func page(rows []outside.Row) string {
	var b strings.Builder
	sources := map[string]bool{}
	misses := 0
	for _, r := range rows {
		sources[r.Source] = true
		if r.Miss > 0 {
			misses++
		}
	}
	missed := "all of them passed"
	if misses > 0 {
		missed = fmt.Sprintf("missed and marked so: %d, the others passed", misses)
	}
	fmt.Fprintf(&b, `# Verification

Made by `+"`make verification`"+` from the tests; never typed. Each line is a check of the program against something outside
it: a standard, a handbook example, an exact solution or a fact of the trade. %d checks from %d sources; %s.

"How known" says what the expected value rests on: *seen* was read in the source, *computed* was worked out apart from
this program, *memory* was recalled and not read again, *common practice* is a rule of the trade. A *trap* is a known
error that the program must not reproduce. Numbers are shortened to what the tolerance lets count.
`, len(rows), len(sources), missed)
	room := ""
	for _, r := range rows {
		if r.Package != room {
			room = r.Package
			fmt.Fprintf(&b, "\n## %s\n\n| check | expected | got | tolerance | source | how known |\n|---|---|---|---|---|---|\n", room)
		}
		width := r.Tol
		tolerance := strings.TrimSpace(short(r.Tol) + " " + unit(r.Unit))
		if r.Relative {
			width *= math.Abs(r.Want)
			tolerance = short(100*r.Tol) + " %"
		}
		if r.Tol == 0 {
			tolerance = "exact"
		}
		if r.Miss > 0 {
			tolerance = "**missed**, wanted within " + tolerance
		}
		if r.Trap {
			tolerance = "trap: must differ"
		}
		known := make([]string, len(r.Known))
		for i, k := range r.Known {
			known[i] = string(k)
		}
		fmt.Fprintf(&b, "| %s | %s %s | %s | %s | %s | %s |\n", cell(r.Name), rounded(r.Want, width), unit(r.Unit), rounded(r.Got, width), tolerance, cell(r.Source), strings.Join(known, ", "))
	}
	return b.String()
}

func cell(text string) string { return strings.ReplaceAll(text, "|", "\\|") }

func unit(u string) string {
	if u == "1" {
		return ""
	}
	return u
}

func short(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }

// rounded prints a number to a fifth of its tolerance, five digits at most, so that it is the same on every machine.
func rounded(v, width float64) string {
	if width > 0 {
		step := math.Pow(10, math.Floor(math.Log10(width)))
		v = math.Round(v/step) * step
	}
	if v == 0 {
		return "0" // never -0
	}
	return strconv.FormatFloat(v, 'g', 5, 64)
}
