package workshop

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"shakedown/internal/faults"
	"shakedown/sheet"
)

// What is read from an export: more than a workshop of many years holds, and little enough for a small computer.
const (
	MaxImport     = 64 << 20  // bytes of a file
	mostUnpacked  = 512 << 20 // bytes of all texts and recordings, each once
	mostContents  = 32 << 20  // bytes of the list of contents
	mostEntries   = 200_000
	mostMachines  = 2000
	mostRevisions = 100_000 // of all machines
	mostRides     = 5000    // of all machines
	// A text of a person shrinks to a fifth, a recording to a tenth; what shrinks more than a hundred times was made to
	// fill a memory.
	mostShrunk = 100
	smallEntry = 64 << 10 // bytes below which that is not asked
)

// ReadImport reads a file that is to be imported.
func ReadImport(name string) ([]byte, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return nil, faults.Mendable(fmt.Errorf("%s is a folder; a machine of the workshop has its sheet in one file: put the files of the folder together first", name))
	}
	file, err := sheet.ReadBounded(name, MaxImport)
	if errors.Is(err, sheet.ErrLarge) {
		return nil, faults.TooLarge(fmt.Errorf("%s has more than %d MB", name, MaxImport>>20))
	}
	if err != nil {
		return nil, faults.Mendable(fmt.Errorf("%s cannot be read: %w", name, err))
	}
	return file, nil
}

// archive is a zip file in memory. What is read is unpacked then, and not kept; no name in it ever reaches the file
// system.
type archive struct {
	entries map[string]*zip.File
	counted int64
}

func openArchive(name string, file []byte) (*archive, error) {
	r, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read as a zip file: %w", name, err)
	}
	if len(r.File) > mostEntries {
		return nil, fmt.Errorf("%s has %d entries; at most %d are read", name, len(r.File), mostEntries)
	}
	z := &archive{entries: make(map[string]*zip.File, len(r.File))}
	for _, f := range r.File {
		if !(f.Name == path.Clean(f.Name) && !strings.HasPrefix(f.Name, "../") && f.Name != ".." && !path.IsAbs(f.Name) && !strings.ContainsAny(f.Name, "\\:\x00")) {
			return nil, fmt.Errorf("%s holds an entry named %q, which no export has; nothing was imported", name, f.Name)
		}
		z.entries[f.Name] = f
	}
	return z, nil
}

func (z *archive) has(entry string) bool { return z.entries[entry] != nil }

// read unpacks an entry of at most so many bytes.
func (z *archive) read(entry string, most int64) ([]byte, error) {
	f := z.entries[entry]
	if f == nil {
		return nil, fmt.Errorf("%s is missing", entry)
	}
	if shrunk := int64(f.CompressedSize64) * mostShrunk; shrunk < most { // what it claims to be unpacked is no more than a claim
		most = max(smallEntry, shrunk)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", entry, err)
	}
	defer r.Close()
	text, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", entry, err)
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("%s unpacks to more than %d kB, which nothing of a workshop does", entry, most>>10)
	}
	return text, nil
}

// count adds what was unpacked to the whole.
func (z *archive) count(bytes int) error {
	if z.counted += int64(bytes); z.counted > mostUnpacked {
		return fmt.Errorf("it unpacks to more than %d MB", mostUnpacked>>20)
	}
	return nil
}

// readContents reads the list of contents entry by entry, so that a list without end takes no memory.
func readContents(list []byte) (exchange, error) {
	var x exchange
	revisions, rides := 0, 0
	dec := json.NewDecoder(bytes.NewReader(list))
	machine := func() error {
		if len(x.Machines) == mostMachines {
			return fmt.Errorf("it lists more than %d machines", mostMachines)
		}
		var m exchangeMachine
		err := eachMember(dec, func(key string) error {
			switch key {
			case "id":
				return dec.Decode(&m.ID)
			case "name":
				return dec.Decode(&m.Name)
			case "sheet":
				return dec.Decode(&m.Sheet)
			case "revisions":
				return eachElement(dec, func() error {
					if revisions++; revisions > mostRevisions {
						return fmt.Errorf("it lists more than %d revisions", mostRevisions)
					}
					var r exchangeRevision
					err := dec.Decode(&r)
					m.Revisions = append(m.Revisions, r)
					return err
				})
			case "recordings":
				return eachElement(dec, func() error {
					if rides++; rides > mostRides {
						return fmt.Errorf("it lists more than %d recordings", mostRides)
					}
					var r exchangeRide
					err := dec.Decode(&r)
					m.Rides = append(m.Rides, r)
					return err
				})
			}
			return dec.Decode(&json.RawMessage{})
		})
		x.Machines = append(x.Machines, m)
		return err
	}
	err := eachMember(dec, func(key string) error {
		switch key {
		case "format":
			return dec.Decode(&x.Format)
		case "program":
			return dec.Decode(&x.Program)
		case "made":
			return dec.Decode(&x.Made)
		case "machines":
			return eachElement(dec, machine)
		}
		return dec.Decode(&json.RawMessage{})
	})
	if err == nil {
		if _, err := dec.Token(); !errors.Is(err, io.EOF) {
			return x, errors.New("more follows its end")
		}
	}
	return x, err
}

// eachMember goes through an object; do reads the value of each key.
func eachMember(dec *json.Decoder, do func(key string) error) error {
	if err := opening(dec, '{'); err != nil {
		return err
	}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return err
		}
		key, _ := token.(string)
		if err := do(key); err != nil {
			return err
		}
	}
	_, err := dec.Token()
	return err
}

// eachElement goes through an array; do reads each element.
func eachElement(dec *json.Decoder, do func() error) error {
	if err := opening(dec, '['); err != nil {
		return err
	}
	for dec.More() {
		if err := do(); err != nil {
			return err
		}
	}
	_, err := dec.Token()
	return err
}

func opening(dec *json.Decoder, want json.Delim) error {
	token, err := dec.Token()
	if err != nil {
		return err
	}
	if token != want {
		return fmt.Errorf("%v stands where %v is expected", token, want)
	}
	return nil
}
