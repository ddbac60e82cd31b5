package asked

import (
	"slices"
	"sync"
	"time"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/sheet"
)

// mostTexts is how many read sheets are kept: a save reads the text that the next page shows, and several people look
// at several machines.
const mostTexts = 32

// Sheets holds the last few sheets that were read, their figures and their broken builds, so that none is worked out
// twice: only the text makes them. It may be used from several goroutines.
type Sheets struct {
	mu      sync.Mutex
	texts   map[string]*sheet.Sheet         // those that were read without an error
	figures map[ofSheet][]figure.Figure     // of those
	judged  map[*sheet.Sheet][]*BrokenBuild // builds of those that physics forbids
}

// NewSheets holds none yet.
func NewSheets() *Sheets {
	return &Sheets{texts: map[string]*sheet.Sheet{}, figures: map[ofSheet][]figure.Figure{}, judged: map[*sheet.Sheet][]*BrokenBuild{}}
}

// ofSheet names the figures of a build against a baseline of a sheet that was read.
type ofSheet struct {
	sheet           *sheet.Sheet
	build, baseline string
}

// FiguresOf gives the figures of a sheet's builds, worked out once for all pages that show them: only the sheet makes
// them.
func (k *Sheets) FiguresOf(s *sheet.Sheet) FiguresOf {
	return func(build, baseline *machine.Build) []figure.Figure {
		key := ofSheet{s, build.Name, baseline.Name}
		k.mu.Lock()
		list := k.figures[key]
		k.mu.Unlock()
		if list == nil {
			list = forecast.Forecast(build, baseline)
			k.mu.Lock()
			if len(k.figures) >= 4*mostTexts {
				clear(k.figures)
			}
			k.figures[key] = list
			k.mu.Unlock()
		}
		return slices.Clone(list) // an answer adds its own
	}
}

// Read is the sheet of a text, read once.
func (k *Sheets) Read(text []byte) (*sheet.Sheet, error) {
	k.mu.Lock()
	s := k.texts[string(text)]
	k.mu.Unlock()
	if s != nil {
		return s, nil
	}
	s, err := Read(Question{Text: &sheet.File{Name: "sheet", Text: text}})
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.texts) >= mostTexts {
		clear(k.texts)
		clear(k.figures)
		clear(k.judged)
	}
	k.texts[string(text)] = s
	return s, nil
}

// Broken looks at every build of a sheet, once.
func (k *Sheets) Broken(s *sheet.Sheet) []*BrokenBuild {
	k.mu.Lock()
	list, ok := k.judged[s]
	k.mu.Unlock()
	if !ok {
		list = judge(s)
		k.mu.Lock()
		k.judged[s] = list
		k.mu.Unlock()
	}
	return list
}

// Save says why a sheet must not be saved: builds that physics forbids and that were not so in the sheet before, which
// is nil where there was none; or what no question would get an answer on.
func (k *Sheets) Save(s, before *sheet.Sheet) error {
	var was []*BrokenBuild
	if before != nil {
		was = k.Broken(before)
	}
	if err := refused(k.Broken(s), was, len(s.Project.Builds)); err != nil {
		return err
	}
	if _, err := Of(s, Question{Now: time.Unix(0, 0), Figures: k.FiguresOf(s)}); err != nil {
		if _, broken := IsBroken(err); !broken { // it was so before
			return err
		}
	}
	return nil
}
