package app

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
	"path"
	"slices"
	"strings"
	"time"

	"shakedown/forecast"
	"shakedown/internal/store"
)

// Limits of what is read from an export.
const (
	MaxImport      = 64 << 20 // bytes of a file
	mostUnpacked   = 512 << 20
	mostEntries    = 200_000
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

// Export writes machines with their whole histories as one zip file: the list of contents, every text once, byte for byte,
// and the newest sheet of each machine under its name. No ids means all machines.
func (w *Workshop) Export(ctx context.Context, out io.Writer, program string, ids ...string) error {
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
		return InputError(errors.New("there is no machine to export in this workshop"))
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

func (w *Workshop) exportMachine(ctx context.Context, m Machine, put func(name string, text []byte) error, written map[string]bool) (exchangeMachine, error) {
	x := exchangeMachine{ID: m.ID, Name: m.Name}
	history, err := w.file.History(ctx, m.ID)
	if err != nil {
		return x, err
	}
	rides, err := w.file.Rides(ctx, m.ID)
	if err != nil {
		return x, err
	}
	for _, k := range rides {
		r, err := w.file.Ride(ctx, m.ID, k.Name)
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
		sum := sha256.Sum256(r.Text)
		name := "texts/" + hex.EncodeToString(sum[:]) + ".yaml"
		if err := put(name, r.Text); err != nil {
			return x, err
		}
		x.Revisions = append(x.Revisions, exchangeRevision{r.Number, r.Saved, r.Summary, r.Undo, r.Redo, name})
		if r.Number == m.Head {
			x.Sheet = "sheets/" + slug(m.Name) + ".yaml"
			for i := 2; written[x.Sheet]; i++ {
				x.Sheet = fmt.Sprintf("sheets/%s-%d.yaml", slug(m.Name), i)
			}
			if err := put(x.Sheet, r.Text); err != nil {
				return x, err
			}
		}
	}
	return x, nil
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

// Import puts what a file holds into the workshop: a sheet, or the machines of an export with their histories. Nothing is
// written over: a machine that is here already in another state comes in beside it. When anything is wrong with the file,
// nothing is imported.
func (w *Workshop) Import(ctx context.Context, name string, file []byte) ([]Imported, error) {
	if len(file) > MaxImport {
		return nil, InputError(fmt.Errorf("%s has more than %d MB", name, MaxImport>>20))
	}
	if !bytes.HasPrefix(file, []byte("PK\x03\x04")) {
		r, err := w.AddSheet(ctx, name, file)
		if err != nil {
			return nil, err
		}
		m := Imported{Machine: r.Machine, Words: "begun from " + name}
		if m.Name, err = w.trusted(file); err != nil {
			return nil, err
		}
		return []Imported{m}, nil
	}
	contents, texts, err := w.unpack(name, file)
	if err != nil {
		return nil, InputError(err)
	}
	return w.bring(ctx, contents, texts)
}

// unpack reads an export into memory. No name in it ever reaches the file system.
func (w *Workshop) unpack(name string, file []byte) (exchange, map[string][]byte, error) {
	var contents exchange
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return contents, nil, fmt.Errorf("%s cannot be read as a zip file: %w", name, err)
	}
	if len(z.File) > mostEntries {
		return contents, nil, fmt.Errorf("%s has %d entries; at most %d are read", name, len(z.File), mostEntries)
	}
	texts := map[string][]byte{}
	left := int64(mostUnpacked)
	for _, f := range z.File {
		if !(f.Name == path.Clean(f.Name) && !strings.HasPrefix(f.Name, "../") && f.Name != ".." && !path.IsAbs(f.Name) && !strings.ContainsAny(f.Name, "\\:\x00")) {
			return contents, nil, fmt.Errorf("%s holds an entry named %q, which no export has; nothing was imported", name, f.Name)
		}
		r, err := f.Open()
		if err != nil {
			return contents, nil, fmt.Errorf("%s: %s cannot be read: %w", name, f.Name, err)
		}
		text, err := io.ReadAll(io.LimitReader(r, left+1))
		r.Close()
		if err != nil {
			return contents, nil, fmt.Errorf("%s: %s cannot be read: %w", name, f.Name, err)
		}
		if left -= int64(len(text)); left < 0 {
			return contents, nil, fmt.Errorf("%s unpacks to more than %d MB; nothing was imported", name, mostUnpacked>>20)
		}
		texts[f.Name] = text
	}
	list, ok := texts[contentsName]
	if !ok {
		return contents, nil, fmt.Errorf("%s is no export of a workshop: it has no %s. A sheet is imported as the file it is, unpacked", name, contentsName)
	}
	if err := json.Unmarshal(list, &contents); err != nil {
		return contents, nil, fmt.Errorf("%s: its list of contents cannot be read: %w", name, err)
	}
	if contents.Format > exchangeFormat {
		return contents, nil, fmt.Errorf("%s was made by a newer program (format %d, this one reads %d); use that one", name, contents.Format, exchangeFormat)
	}
	for _, m := range contents.Machines {
		if len(m.Revisions) == 0 {
			return contents, nil, fmt.Errorf("%s: machine %q has no revision", name, m.Name)
		}
		for i, r := range m.Revisions {
			text, ok := texts[r.Text]
			sum := sha256.Sum256(text)
			switch {
			case !ok:
				return contents, nil, fmt.Errorf("%s: the text of revision %d of %q is missing", name, r.Number, m.Name)
			case r.Text != "texts/"+hex.EncodeToString(sum[:])+".yaml":
				return contents, nil, fmt.Errorf("%s: the text of revision %d of %q is damaged", name, r.Number, m.Name)
			case r.Number != i+1 || r.Undo < 0 || r.Undo > i || r.Redo < 0 || r.Redo > i:
				return contents, nil, fmt.Errorf("%s: the revisions of %q are not in order at %d", name, m.Name, r.Number)
			}
		}
		for _, r := range m.Rides {
			data, ok := texts[r.Data]
			if !ok || r.Data != recordingName(data) {
				return contents, nil, fmt.Errorf("%s: the logged ride %q of %q is missing or damaged", name, r.Name, m.Name)
			}
			if err := forecast.CheckRide(r.Name, bytes.NewReader(data)); err != nil { // whether a course can be made of it is said when it is ridden
				return contents, nil, fmt.Errorf("%s: %s: %w", name, r.Name, err)
			}
		}
		if _, err := w.trusted(texts[m.Revisions[len(m.Revisions)-1].Text]); err != nil {
			return contents, nil, fmt.Errorf("%s: the newest sheet of %q has errors:\n%w", name, m.Name, err)
		}
	}
	return contents, texts, nil
}

func (w *Workshop) bring(ctx context.Context, contents exchange, texts map[string][]byte) ([]Imported, error) {
	var list []Imported
	for _, m := range contents.Machines {
		revisions := make([]Revision, len(m.Revisions))
		for i, r := range m.Revisions {
			revisions[i] = Revision{Saved: r.Saved, Summary: r.Summary, Text: texts[r.Text], Undo: r.Undo, Redo: r.Redo}
		}
		name, err := w.trusted(revisions[len(revisions)-1].Text)
		if err != nil {
			return list, err
		}
		id, words := m.ID, fmt.Sprintf("%d %s", len(revisions), plural(len(revisions), "revision", "revisions"))
		there, err := w.file.Head(ctx, id)
		switch {
		case errors.Is(err, ErrNothing):
			if len(id) != len(store.NewID()) || strings.Trim(id, "0123456789abcdef") != "" {
				id = store.NewID()
			}
		case err != nil:
			return list, err
		case there.Number == len(revisions) && bytes.Equal(there.Text, revisions[len(revisions)-1].Text):
			if err := errors.Join(w.bringRides(ctx, id, m.Rides, texts), w.file.PutAway(ctx, id, false)); err != nil {
				return list, err
			}
			list = append(list, Imported{id, name, "is here already"})
			continue
		default:
			id, words = store.NewID(), words+", beside the one that is here"
		}
		if _, err := w.file.Bring(ctx, id, name, revisions); err != nil {
			return list, err
		}
		if err := w.bringRides(ctx, id, m.Rides, texts); err != nil {
			return list, err
		}
		list = append(list, Imported{id, name, words})
	}
	return list, nil
}

// bringRides keeps the logged rides of an export with a machine; those that are there stay.
func (w *Workshop) bringRides(ctx context.Context, machine string, rides []exchangeRide, texts map[string][]byte) error {
	for _, r := range rides {
		if _, err := w.KeepRecording(ctx, machine, r.Name, texts[r.Data]); err != nil {
			return err
		}
	}
	return nil
}
