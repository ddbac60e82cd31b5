package workshop

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"shakedown/internal/faults"
	"shakedown/internal/store"
	"shakedown/quantity"
	"shakedown/recording"
	"shakedown/sheet"
)

const (
	exchangeFormat = 1
	contentsName   = "workshop.json"
)

// exchange is the list of contents of an export.
type exchange struct {
	Format   int               `json:"format"`
	Program  string            `json:"program"`
	Made     time.Time         `json:"made"`
	Machines []exchangeMachine `json:"machines"`
}

type exchangeMachine struct {
	ID        string             `json:"id"`
	Name      string             `json:"name"`
	Sheet     string             `json:"sheet"` // the newest text, under a name for people
	Revisions []exchangeRevision `json:"revisions"`
	Rides     []exchangeRide     `json:"recordings,omitempty"`
}

// exchangeRide is a recorded course, byte for byte as it came.
type exchangeRide struct {
	Name string `json:"name"`
	Data string `json:"data"` // recordings/SHA-256
}

type exchangeRevision struct {
	Number  int       `json:"number"`
	Saved   time.Time `json:"saved"`
	Summary string    `json:"summary"`
	Undo    int       `json:"undo,omitempty"`
	Redo    int       `json:"redo,omitempty"`
	Text    string    `json:"text"` // texts/SHA-256.yaml
}

// Export writes machines with their whole histories as one zip file: the list of contents, every text once, byte for
// byte, and the newest sheet of each machine under its name. No ids means all machines.
func (w *Bench) Export(ctx context.Context, out io.Writer, program string, ids ...string) error {
	machines, err := w.file.Machines(ctx)
	if err != nil {
		return err
	}
	z := zip.NewWriter(out)
	contents := exchange{Format: exchangeFormat, Program: program, Made: w.now().UTC(), Machines: []exchangeMachine{}}
	written := map[string]bool{}
	put := func(name string, text []byte) error {
		if written[name] {
			return nil
		}
		written[name] = true
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: w.now()})
		if err != nil {
			return err
		}
		_, err = f.Write(text)
		return err
	}
	for _, m := range machines {
		if len(ids) > 0 && !slices.Contains(ids, m.ID) {
			continue
		}
		x, err := w.exportMachine(ctx, m, put, written)
		if err != nil {
			return err
		}
		contents.Machines = append(contents.Machines, x)
	}
	if len(contents.Machines) == 0 {
		return faults.Mendable(errors.New("there is no machine to export in this workshop"))
	}
	list, err := json.MarshalIndent(contents, "", "  ")
	if err != nil {
		return err
	}
	if err := put(contentsName, list); err != nil {
		return err
	}
	return z.Close()
}

func (w *Bench) exportMachine(ctx context.Context, m Machine, put func(name string, text []byte) error, written map[string]bool) (exchangeMachine, error) {
	x := exchangeMachine{ID: m.ID, Name: m.Name}
	history, err := w.file.History(ctx, m.ID)
	if err != nil {
		return x, err
	}
	rides, err := w.file.Recordings(ctx, m.ID)
	if err != nil {
		return x, err
	}
	for _, k := range rides {
		r, err := w.file.Recording(ctx, m.ID, k.Name)
		if err != nil {
			return x, err
		}
		name := recordingName(r.Data)
		if err := put(name, r.Data); err != nil {
			return x, err
		}
		x.Rides = append(x.Rides, exchangeRide{r.Name, name})
	}
	slices.Reverse(history)
	for _, h := range history {
		r, err := w.file.Revision(ctx, m.ID, h.Number)
		if err != nil {
			return x, err
		}
		name := textName(r.Text)
		if err := put(name, r.Text); err != nil {
			return x, err
		}
		x.Revisions = append(x.Revisions, exchangeRevision{r.Number, r.Saved, r.Summary, r.Undo, r.Redo, name})
		if r.Number == m.Head {
			x.Sheet = "sheets/" + quantity.Slug(m.Name) + ".yaml"
			for i := 2; written[x.Sheet]; i++ {
				x.Sheet = fmt.Sprintf("sheets/%s-%d.yaml", quantity.Slug(m.Name), i)
			}
			if err := put(x.Sheet, r.Text); err != nil {
				return x, err
			}
		}
	}
	return x, nil
}

// textName is where an export holds the text of a sheet.
func textName(text []byte) string {
	sum := sha256.Sum256(text)
	return "texts/" + hex.EncodeToString(sum[:]) + ".yaml"
}

// recordingName is where an export holds a recording.
func recordingName(data []byte) string {
	sum := sha256.Sum256(data)
	return "recordings/" + hex.EncodeToString(sum[:])
}

// Imported is what an import did with a machine.
type Imported struct {
	Machine string // id in this workshop
	Name    string
	Words   string
}

// Import puts what a file holds into the workshop: a sheet, or the machines of an export with their histories. Nothing
// is written over: a machine that is here already in another state comes in beside it. When anything is wrong with the
// file, nothing is imported.
func (w *Bench) Import(ctx context.Context, name string, file []byte) ([]Imported, error) {
	if len(file) > MaxImport {
		return nil, faults.TooLarge(fmt.Errorf("%s has more than %d MB", name, MaxImport>>20))
	}
	if !bytes.HasPrefix(file, []byte("PK\x03\x04")) {
		if len(file) > sheet.MaxBytes {
			return nil, faults.TooLarge(fmt.Errorf("%s has %d kB; a sheet has at most %d kB: split it into several files in one folder", name, len(file)>>10, sheet.MaxBytes/1000))
		}
		r, err := w.AddSheet(ctx, name, file)
		if err != nil {
			return nil, err
		}
		m := Imported{Machine: r.Machine, Words: "begun from " + name}
		if m.Name, err = w.named(file); err != nil {
			return nil, err
		}
		return []Imported{m}, nil
	}
	z, contents, err := w.unpack(name, file)
	if err != nil {
		return nil, faults.Mendable(err)
	}
	return w.bring(ctx, z, contents)
}

// unpack looks through an export: everything that it lists is there, whole, and can be what it is said to be. Nothing
// else in it is unpacked.
func (w *Bench) unpack(name string, file []byte) (*archive, exchange, error) {
	var contents exchange
	z, err := openArchive(name, file)
	if err != nil {
		return nil, contents, err
	}
	if !z.has(contentsName) {
		return nil, contents, fmt.Errorf("%s is no export of a workshop: it has no %s. A sheet is imported as the file it is, unpacked", name, contentsName)
	}
	list, err := z.read(contentsName, mostContents)
	if err != nil {
		return nil, contents, fmt.Errorf("%s: %w", name, err)
	}
	if contents, err = readContents(list); err != nil {
		return nil, contents, fmt.Errorf("%s: its list of contents cannot be read: %w", name, err)
	}
	if contents.Format > exchangeFormat {
		return nil, contents, fmt.Errorf("%s was made by a newer program (format %d, this one reads %d); use that one", name, contents.Format, exchangeFormat)
	}
	whole := map[string]bool{} // texts that were looked at
	for _, m := range contents.Machines {
		if err := w.lookThrough(z, m, whole); err != nil {
			return nil, contents, fmt.Errorf("%s: %w; nothing was imported", name, err)
		}
	}
	return z, contents, nil
}

// lookThrough checks one machine of an export.
func (w *Bench) lookThrough(z *archive, m exchangeMachine, whole map[string]bool) error {
	if len(m.Revisions) == 0 {
		return fmt.Errorf("machine %q has no revision", m.Name)
	}
	for i, r := range m.Revisions {
		switch {
		case r.Number != i+1 || r.Undo < 0 || r.Undo > i || r.Redo < 0 || r.Redo > i:
			return fmt.Errorf("the revisions of %q are not in order at %d", m.Name, r.Number)
		case !store.Datable(r.Saved):
			return fmt.Errorf("revision %d of %q is said to be saved at %s, which no clock shows", r.Number, m.Name, r.Saved.Format(time.RFC3339))
		case whole[r.Text]:
			continue
		case !z.has(r.Text):
			return fmt.Errorf("the text of revision %d of %q is missing", r.Number, m.Name)
		}
		text, err := z.read(r.Text, sheet.MaxBytes)
		if err != nil {
			return err
		}
		if r.Text != textName(text) {
			return fmt.Errorf("the text of revision %d of %q is damaged", r.Number, m.Name)
		}
		whole[r.Text] = true
		if err := z.count(len(text)); err != nil {
			return err
		}
	}
	for _, r := range m.Rides {
		if !z.has(r.Data) {
			return fmt.Errorf("the logged ride %q of %q is missing or damaged", r.Name, m.Name)
		}
		data, err := z.read(r.Data, recording.MaxBytes)
		if err != nil {
			return err
		}
		if r.Data != recordingName(data) {
			return fmt.Errorf("the logged ride %q of %q is missing or damaged", r.Name, m.Name)
		}
		if err := z.count(len(data)); err != nil {
			return err
		}
		if _, err := recording.Read(r.Name, bytes.NewReader(data)); err != nil { // whether a course can be made of it is said when it is ridden
			return fmt.Errorf("%s: %w", r.Name, err)
		}
	}
	newest, err := z.read(m.Revisions[len(m.Revisions)-1].Text, sheet.MaxBytes)
	if err != nil {
		return err
	}
	if _, err := w.named(newest); err != nil {
		return fmt.Errorf("the newest sheet of %q has errors:\n%w", m.Name, err)
	}
	return nil
}

// bring puts the machines of an export that was looked through into the workshop.
func (w *Bench) bring(ctx context.Context, z *archive, contents exchange) ([]Imported, error) {
	var list []Imported
	for _, m := range contents.Machines {
		last := m.Revisions[len(m.Revisions)-1]
		newest, err := z.read(last.Text, sheet.MaxBytes)
		if err != nil {
			return list, err
		}
		name, err := w.named(newest)
		if err != nil {
			return list, err
		}
		id, words := m.ID, fmt.Sprintf("%d %s", len(m.Revisions), quantity.Plural(len(m.Revisions), "revision", "revisions"))
		there, err := w.file.Head(ctx, id)
		switch {
		case errors.Is(err, ErrNothing):
			if len(id) != len(store.NewID()) || strings.Trim(id, "0123456789abcdef") != "" {
				id = store.NewID()
			}
		case err != nil:
			return list, err
		case there.Number == len(m.Revisions) && bytes.Equal(there.Text, newest):
			if err := errors.Join(w.bringRides(ctx, id, m.Rides, z), w.file.PutAway(ctx, id, false)); err != nil {
				return list, err
			}
			list = append(list, Imported{id, name, "is here already"})
			continue
		default:
			id, words = store.NewID(), words+", beside the one that is here"
		}
		revisions := func(yield func(Revision, error) bool) {
			for _, r := range m.Revisions {
				text, err := z.read(r.Text, sheet.MaxBytes)
				if !yield(Revision{Saved: r.Saved, Summary: r.Summary, Text: text, Undo: r.Undo, Redo: r.Redo}, err) {
					return
				}
			}
		}
		if _, err := w.file.Bring(ctx, id, name, revisions); err != nil {
			return list, err
		}
		if err := w.bringRides(ctx, id, m.Rides, z); err != nil {
			return list, err
		}
		list = append(list, Imported{id, name, words})
	}
	return list, nil
}

// bringRides keeps the logged rides of an export with a machine; those that are there stay.
func (w *Bench) bringRides(ctx context.Context, machine string, rides []exchangeRide, z *archive) error {
	for _, r := range rides {
		data, err := z.read(r.Data, recording.MaxBytes)
		if err != nil {
			return err
		}
		if _, err := w.KeepRecording(ctx, machine, r.Name, data); err != nil {
			return err
		}
	}
	return nil
}
