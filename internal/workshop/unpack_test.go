package workshop

import (
	"archive/zip"
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"shakedown/internal/faults"
)

// zipOf packs entries, as tightly as it goes.
func zipOf(t *testing.T, entries map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, text := range entries {
		f, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// peak is how much the heap grew at most while do ran [bytes].
func peak(do func()) uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	before, most := m.HeapInuse, uint64(0)
	done, watched := make(chan bool), make(chan bool)
	go func() {
		defer close(watched)
		for {
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			most = max(most, m.HeapInuse)
			select {
			case <-done:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	do()
	close(done)
	<-watched
	return max(most, before) - before
}

// A small file that unpacks to gigabytes is refused, or what nobody lists in it is left packed, within little memory
// and time.
func TestBombs(t *testing.T) {
	const sheetText = "sheet: 1\nmachine: {layout: bike}\nbuilds: {as-found: []}\n"
	text := textName([]byte(sheetText))
	contents := func(revisions string) string {
		return fmt.Sprintf(`{"format":1,"machines":[{"id":"","name":"m","revisions":[%s]}]}`, revisions)
	}
	good := fmt.Sprintf(`{"number":1,"saved":"2027-05-03T09:00:00Z","summary":"s","text":%q}`, text)
	zeros := strings.Repeat("0", 20<<20)
	heavy := zeros + "0"
	unlisted := map[string]string{contentsName: contents(good), text: sheetText}
	for i := range 25 { // half a gigabyte in half a megabyte
		unlisted[fmt.Sprintf("texts/%d.yaml", i)] = zeros
	}
	for name, c := range map[string]struct {
		entries map[string]string
		want    string // of the error; "" for an import
	}{
		"entries that nobody lists":       {unlisted, ""},
		"a text of twenty megabytes":      {map[string]string{contentsName: contents(strings.Replace(good, text, textName([]byte(heavy)), 1)), textName([]byte(heavy)): heavy}, "unpacks to more than"},
		"a list of contents of blanks":    {map[string]string{contentsName: contents(good) + strings.Repeat(" ", 60<<20), text: sheetText}, "unpacks to more than"},
		"revisions without end":           {map[string]string{contentsName: contents(strings.Repeat("{},", 3<<20) + good), text: sheetText}, "unpacks to more than"},
		"a recording that is all zeros":   {map[string]string{contentsName: strings.Replace(contents(good), `]}]}`, fmt.Sprintf(`],"recordings":[{"name":"a.csv","data":%q}]}]}`, recordingName([]byte(zeros))), 1), text: sheetText, recordingName([]byte(zeros)): zeros}, "unpacks to more than"},
		"a list that is no object":        {map[string]string{contentsName: `[[[[]]]]`, text: sheetText}, "cannot be read"},
		"more behind the list":            {map[string]string{contentsName: contents(good) + "{}", text: sheetText}, "more follows"},
		"a list with what is not known":   {map[string]string{contentsName: strings.Replace(contents(good), `"format"`, `"weather":{"a":[1,{"b":2}]},"format"`, 1), text: sheetText}, ""},
		"a list of machines of nothing":   {map[string]string{contentsName: `{"format":1,"machines":[null]}`, text: sheetText}, "cannot be read"},
		"the year 9999 west of Greenwich": {map[string]string{contentsName: contents(strings.Replace(good, "2027-05-03T09:00:00Z", "9999-12-31T23:00:00-08:00", 1)), text: sheetText}, "no clock shows"},
		"the year before 0":               {map[string]string{contentsName: contents(strings.Replace(good, "2027-05-03T09:00:00Z", "0000-01-01T00:00:00+14:00", 1)), text: sheetText}, "no clock shows"},
	} {
		t.Run(name, func(t *testing.T) {
			file := zipOf(t, c.entries)
			w := openBench(t)
			var err error
			began := time.Now()
			grew := peak(func() { _, err = w.Import(t.Context(), "x.zip", file) })
			if c.want == "" && err != nil || c.want != "" && (err == nil || !faults.IsMendable(err) || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%v; want %q", err, c.want)
			}
			list, lost := w.Machines(t.Context())
			if want := map[bool]int{true: 1}[c.want == ""]; len(list) != want || lost != nil {
				t.Errorf("%d machines, %v", len(list), lost)
			}
			if grew > 100<<20 || time.Since(began) > 2*time.Minute {
				t.Errorf("%d kB took %d MB and %v", len(file)>>10, grew>>20, time.Since(began))
			}
		})
	}
}

// As many revisions as a workshop of many years has are read; more are not, and take no more memory.
func TestListsWithoutEnd(t *testing.T) {
	list := func(n int) []byte {
		return []byte(`{"format":1,"machines":[{"revisions":[` + strings.Repeat(`{"number":1},`, n-1) + `{"number":1}]}]}`)
	}
	x, err := readContents(list(mostRevisions))
	if err != nil || len(x.Machines) != 1 || len(x.Machines[0].Revisions) != mostRevisions {
		t.Fatalf("%d machines, %v", len(x.Machines), err)
	}
	long := list(20 * mostRevisions)
	if grew := peak(func() { _, err = readContents(long) }); err == nil || !strings.Contains(err.Error(), "more than 100000 revisions") || grew > 100<<20 {
		t.Errorf("%d MB, %v", grew>>20, err)
	}
	if _, err := readContents([]byte(`{"machines":[` + strings.Repeat(`{},`, mostMachines) + `{}]}`)); err == nil || !strings.Contains(err.Error(), "more than 2000 machines") {
		t.Error(err)
	}
}
