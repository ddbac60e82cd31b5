package asked

import (
	"slices"
	"sync"
	"time"

	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// How much is kept: a save reads the text that the next page shows, and several people look at several machines.
const (
	mostTexts   = 32
	mostAnswers = 4 * mostTexts // and figures
)

// Sheets holds the last few sheets that were read, and what was answered on them, so that nothing is worked out twice:
// neither for the judgement at a save and the page that follows, nor for all windows that show the same. It may be used
// from several goroutines.
type Sheets struct {
	mu      sync.Mutex
	texts   map[string]*sheet.Sheet // those that were read without an error
	judged  map[*sheet.Sheet]*once[[]*BrokenBuild]
	figures map[ofSheet]*once[[]figure.Figure]
	answers map[ofQuestion]*held
	asked   map[*sheet.Sheet][]Question // the last one of each build that had an answer, the last of all last

	forecast FiguresOf // forecast.Forecast but in tests
	answer   func(s *sheet.Sheet, q Question) (*Answer, error)
}

// NewSheets holds none yet.
func NewSheets() *Sheets {
	k := &Sheets{forecast: forecast.Forecast, answer: Of}
	k.forget()
	return k
}

// forget lets go of all.
func (k *Sheets) forget() {
	k.texts, k.judged, k.asked = map[string]*sheet.Sheet{}, map[*sheet.Sheet]*once[[]*BrokenBuild]{}, map[*sheet.Sheet][]Question{}
	k.figures, k.answers = map[ofSheet]*once[[]figure.Figure]{}, map[ofQuestion]*held{}
}

// ofSheet names the figures of a build against a baseline of a sheet that was read: only the sheet makes them.
type ofSheet struct {
	sheet           *sheet.Sheet
	build, baseline string
}

// ofQuestion names an answer: all that it follows from but the results that were there.
type ofQuestion struct {
	ofSheet
	system       quantity.System
	today        time.Time
	course, ride string // by name, and what is in it
	kept         string // whose results
}

// once is something that is made when it is asked for first; others who ask meanwhile wait for it.
type once[T any] struct {
	mu   sync.Mutex
	made bool
	is   T
}

func (o *once[T]) get(make func() T) T {
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.made {
		o.is = make()
		o.made = true
	}
	return o.is
}

// held is an answer that holds for as long as the results that it follows from are the same.
type held struct {
	mu     sync.Mutex
	answer *Answer // nil while there is none
	same   func() bool
}

// FiguresOf gives the figures of a sheet's builds.
func (k *Sheets) FiguresOf(s *sheet.Sheet) FiguresOf {
	return func(build, baseline *machine.Build) []figure.Figure {
		key := ofSheet{s, build.Name, baseline.Name}
		k.mu.Lock()
		if k.figures[key] == nil {
			if len(k.figures) >= mostAnswers {
				clear(k.figures)
			}
			k.figures[key] = &once[[]figure.Figure]{}
		}
		list := k.figures[key]
		k.mu.Unlock()
		return slices.Clone(list.get(func() []figure.Figure { return k.forecast(build, baseline) })) // an answer adds its own
	}
}

// Of is the answer to a question on a sheet that this has read, as the function Of gives it. One that goes by no
// results, or by kept ones, is made once; the same question has it again until other results are kept.
func (k *Sheets) Of(s *sheet.Sheet, q Question) (*Answer, error) {
	q.Figures = k.FiguresOf(s)
	course, along := courseOf(q, s)
	key := ofQuestion{ofSheet{s, pick(q.Build, s.Project, !q.First), pick(q.Against, s.Project, false)}, q.System, today(q, s.Project), course, "", ""}
	if course != "" {
		key.ride = along().Key
	}
	if q.Slow != nil || course != "" && along().Err != nil { // what may come out otherwise the next time
		return k.answer(s, q)
	}
	if q.Kept != nil {
		key.kept = "by " + q.Kept.Name
	}
	k.mu.Lock()
	if k.answers[key] == nil {
		if len(k.answers) >= mostAnswers {
			clear(k.answers)
		}
		k.answers[key] = &held{}
	}
	h := k.answers[key]
	k.mu.Unlock()
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.answer == nil || !h.same() {
		again, same := q, func() bool { return true }
		if q.Kept != nil {
			again.Slow, same = q.Kept.Slow()
			again.Kept = nil
		}
		a, err := k.answer(s, again)
		if err != nil {
			return nil, err
		}
		h.answer, h.same = a, same
	}
	k.mu.Lock()
	if k.judged[s] != nil {
		q.Build = key.build
		k.asked[s] = append(slices.DeleteFunc(k.asked[s], func(other Question) bool { return other.Build == q.Build }), q)
	}
	k.mu.Unlock()
	mine := *h.answer // who asked adds to it
	mine.Figures, mine.Findings = slices.Clone(mine.Figures), slices.Clone(mine.Findings)
	return &mine, nil
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
	if other := k.texts[string(text)]; other != nil { // somebody was quicker
		return other, nil
	}
	if len(k.texts) >= mostTexts {
		k.forget()
	}
	k.texts[string(text)] = s
	k.judged[s] = &once[[]*BrokenBuild]{}
	return s, nil
}

// Broken looks at every build of a sheet, once.
func (k *Sheets) Broken(s *sheet.Sheet) []*BrokenBuild {
	k.mu.Lock()
	list := k.judged[s]
	k.mu.Unlock()
	if list == nil { // forgotten meanwhile
		return judge(s)
	}
	return list.get(func() []*BrokenBuild { return judge(s) })
}

// next is the question that is asked next of a sheet that takes the place of another: of those asked of that one, the
// last about a build whose parts have changed, else the last.
func (k *Sheets) next(s, before *sheet.Sheet) (q Question, ok bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	list := k.asked[before]
	for _, q := range slices.Backward(list) {
		if !slices.Equal(partsOf(s, q.Build), partsOf(before, q.Build)) {
			return q, true
		}
	}
	if len(list) == 0 {
		return Question{}, false
	}
	return list[len(list)-1], true
}

// partsOf are the parts that a build of a sheet names.
func partsOf(s *sheet.Sheet, build string) (names []string) {
	for _, b := range s.Project.Builds {
		if b.Name == build {
			for _, part := range b.Parts {
				names = append(names, part.Name)
			}
		}
	}
	return names
}

// Save says why a sheet must not be saved: builds that physics forbids and that were not so in the sheet before, which
// is nil where there was none; or what no question would get an answer on. The question that the page which shows the
// save will ask is answered, and a fault that would end that page ends the save.
func (k *Sheets) Save(s, before *sheet.Sheet) error {
	var was []*BrokenBuild
	if before != nil {
		was = k.Broken(before)
	}
	if err := refused(k.Broken(s), was, len(s.Project.Builds)); err != nil {
		return err
	}
	q, asked := k.next(s, before)
	var err error
	if asked {
		_, err = begin(s, Question{Figures: func(build, _ *machine.Build) []figure.Figure { return forecast.Values(build, nil) }})
	} else {
		_, err = k.Of(s, Question{Now: time.Unix(0, 0)})
	}
	if _, broken := IsBroken(err); err != nil && !broken { // a broken one was so before
		return err
	}
	if asked {
		_, _ = k.Of(s, q) // the page says what is wrong
	}
	return nil
}
