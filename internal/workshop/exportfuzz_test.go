package workshop

import (
	"fmt"
	"testing"

	"shakedown/internal/faults"
)

// Numbers of an export, each anything, and one byte of the file: it is refused as bad input, or what was brought in has
// a history and takes a change.
func FuzzExport(f *testing.F) {
	f.Add(1, 1, 2027, 5, 3, 0, 0, 0, 0, uint8(0))
	f.Add(1, 1, 9999, 12, 31, -480, 0, 0, 0, uint8(0))
	f.Add(1, 1, -1, 1, 1, 840, 0, 0, 0, uint8(0))
	f.Add(1, -5, 2027, 5, 3, 0, 7, -7, 40, uint8(255))
	f.Add(2, 1<<62, 0, 0, 0, 6000, 1<<40, 3, 3, uint8(1))
	f.Fuzz(func(t *testing.T, format, number, year, month, day, offset, undo, redo, at int, flip uint8) {
		const sheetText = "sheet: 1\nmachine: {layout: bike, name: Old}\nbuilds: {as-found: []}\n"
		sign := '+'
		if offset < 0 {
			sign, offset = '-', -offset
		}
		saved := fmt.Sprintf("%04d-%02d-%02dT09:00:00%c%02d:%02d", year, month, day, sign, offset/60, offset%60)
		text := textName([]byte(sheetText))
		file := zipOf(t, map[string]string{text: sheetText, contentsName: fmt.Sprintf(`{"format":%d,"machines":[{"id":"","name":"m","revisions":[{"number":%d,"saved":%q,"summary":"s","undo":%d,"redo":%d,"text":%q}]}]}`,
			format, number, saved, undo, redo, text)})
		if at >= 0 {
			file[at%len(file)] ^= flip
		}
		w := openBench(t)
		list, err := w.Import(t.Context(), "x.zip", file)
		if err != nil {
			if !faults.IsMendable(err) || format == 1 && number == 1 && saved == "2027-05-03T09:00:00+00:00" && undo == 0 && redo == 0 && flip == 0 {
				t.Fatalf("format %d, number %d, %s, byte %d: %v", format, number, saved, at, err)
			}
			if left, _ := w.Machines(t.Context()); len(left) != 0 {
				t.Fatalf("refused, and %d machines are there", len(left))
			}
			return
		}
		for _, m := range list {
			if _, err := w.History(t.Context(), m.Machine); err != nil {
				t.Fatalf("format %d, number %d, %s: no history: %v", format, number, saved, err)
			}
			if _, err := w.Set(t.Context(), m.Machine, Setting{Path: "machine.name", Old: "Old", New: "New"}); err != nil {
				t.Fatalf("format %d, number %d, %s: it takes no change: %v", format, number, saved, err)
			}
		}
	})
}
