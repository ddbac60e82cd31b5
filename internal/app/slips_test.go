package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/examples"
	"shakedown/figure"
	"shakedown/forecast"
	"shakedown/forecast/torque"
	"shakedown/forecast/track"
	"shakedown/internal/app/asked"
	"shakedown/internal/app/course"
	"shakedown/internal/app/engine"
	"shakedown/internal/app/worth"
	"shakedown/internal/faults"
	"shakedown/internal/slips"
	"shakedown/internal/workshop"
	"shakedown/machine"
	"shakedown/quantity"
	"shakedown/sheet"
)

// longest is how long one question may take. What takes seconds on an example that was not spoilt, as the worth of its
// parts, may take much longer than there: it is made of hundreds of laps.
const (
	longest    = 5 * time.Second
	muchLonger = 4
)

// yardsticks are how long the steps take on the examples, on this machine as busy as it is.
type yardsticks map[string]time.Duration

func (y yardsticks) limit(step string) time.Duration { return max(longest, muchLonger*y[step]) }

// noNumber is what a number that is none is printed as.
var noNumber = regexp.MustCompile(`(?:^|[^A-Za-z])(NaN|[-+−]?Inf)(?:[^A-Za-z]|$)`)

// noNumberIn is where a text prints a number that is none; "" for nowhere.
func noNumberIn(text []byte) string {
	if !bytes.Contains(text, []byte("NaN")) && !bytes.Contains(text, []byte("Inf")) { // a tenth of the time
		return ""
	}
	at := noNumber.FindIndex(text)
	if at == nil {
		return ""
	}
	return string(text[max(0, at[0]-60):min(len(text), at[1]+20)])
}

func exampleTexts(t testing.TB) (list []*slips.Sheet) {
	t.Helper()
	for _, e := range examples.List {
		text, err := examples.Text(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, slips.Of(string(text)))
	}
	return list
}

// tally counts what became of many sheets, and how long each step took at most.
type tally struct {
	mu    sync.Mutex
	count map[string]int
	most  yardsticks
	usual yardsticks // nil while these are measured
	asked int        // accepted sheets
}

func (c *tally) add(what string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.count == nil {
		c.count = map[string]int{}
	}
	c.count[what]++
}

// took notes how long a step took, and says whether that was too long.
func (c *tally) took(step string, d time.Duration) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.most == nil {
		c.most = yardsticks{}
	}
	c.most[step] = max(c.most[step], d)
	return c.usual != nil && d > c.usual.limit(step)
}

// next counts the accepted sheets from 0.
func (c *tally) next() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.asked++
	return c.asked - 1
}

func (c *tally) String() string {
	var out strings.Builder
	for _, what := range slices.Sorted(maps.Keys(c.count)) {
		fmt.Fprintf(&out, "\n%6d %s", c.count[what], what)
	}
	for _, step := range slices.Sorted(maps.Keys(c.most)) {
		fmt.Fprintf(&out, "\n%s took %v at most", step, c.most[step].Round(time.Millisecond))
	}
	return out.String()
}

// depth is how much is asked of a sheet beside what takes a few hundredths of a second.
type depth struct {
	ranges bool // how sure the lap is, sprockets and start: two seconds
	value  bool // what the parts are worth: six seconds
}

// slipped asks everything of one text, with curves from a source; it gives what is wrong with the answers. A refusal
// must be on one of the lines.
func slipped(text string, lines []int, system quantity.System, known *Results, deep func(accepted int) depth, c *tally) (wrong []string) {
	ctx := context.Background()
	bad := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	began, step := time.Now(), ""
	next := func(what string) {
		if d := time.Since(began); step != "" && c.took(step, d) {
			bad("%s took %v", step, d)
		}
		began, step = time.Now(), what
	}
	var out bytes.Buffer
	write := func(what string, err error) {
		if err != nil {
			bad("%s: %v", what, err)
		}
		if text := noNumberIn(out.Bytes()); text != "" {
			bad("%s says %q", what, text)
		}
		out.Reset()
	}
	err := faults.Catch(func() error {
		next("check")
		a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet.yaml", Text: []byte(text)}, Now: time.Now(), System: system, Slow: func(b, baseline *machine.Build, on forecast.Course) ([]figure.Figure, error) {
			for _, of := range []*machine.Build{b, baseline} { // curves that are there serve; usual ones stand in for others, which take a second
				if _, err := known.Only().Curve(ctx, of, nil); err != nil {
					known = known.Usual()
				}
			}
			return slowOf(ctx, known)(b, baseline, on)
		}})
		if err != nil {
			next("")
			if fault := placed(err, lines); fault != "" {
				bad("%s: %v", fault, err)
			}
			c.add("refused, with the place")
			return nil
		}
		c.add("accepted")
		ask := deep(c.next())
		for _, f := range a.Figures {
			if path := infinite(reflect.ValueOf(f)); path != "" {
				bad("%s has no number in %s", f.ID, path)
			}
			if f.State == figure.Ready && (f.Low > f.Value || f.High < f.Value) {
				bad("%s is %g in %g to %g", f.ID, f.Value, f.Low, f.High)
			}
			if f.State == figure.Cannot && f.Why == "" {
				bad("%s does not say why", f.ID)
			}
		}
		switch a.Exit() {
		case asked.ConflictsFound:
			c.add("accepted: conflicts")
		case asked.CannotCompute:
			c.add("accepted: a figure cannot be computed")
		default:
			c.add("accepted: fine")
		}
		write("JSON", a.WriteJSON(&out, "test"))
		var done Computed
		next("lap")
		if done.Lap, err = course.LapOf(ctx, a, known); err != nil {
			done.Lap = nil
			c.add("no lap, with the reason")
			if !errors.Is(err, track.ErrNoLap) && !errors.Is(err, torque.ErrNoCurve) {
				bad("lap: %v", err)
			}
		} else {
			c.add("a lap")
			if ask.ranges {
				next("range of the lap")
				if done.Lap.Range, err = course.RangeOf(ctx, a, known); err != nil {
					bad("range of the lap: %v", err)
				}
				c.add("a lap with its range")
			}
			write("lap", done.Lap.Answer().WriteText(&out))
			write("lap in JSON", done.Lap.Answer().WriteJSON(&out, "test"))
			write("lap in CSV", done.Lap.Answer().WriteCSV(&out))
			if ask.value {
				next("value")
				if done.Value, err = worth.ValueOf(ctx, a, "500", known, nil); err != nil {
					bad("value: %v", err)
				} else {
					write("value", done.Value.Answer().WriteText(&out))
					write("value in JSON", done.Value.Answer().WriteJSON(&out, "test"))
				}
				c.add("worth of the parts")
			}
		}
		if ask.ranges {
			next("sprockets and start")
			if done.Line, err = course.LineOf(ctx, a, known, nil); err != nil {
				bad("sprockets and start: %v", err)
			}
			if g := done.Line.Gearing; g != nil {
				c.add("sprockets")
				write("gearing", g.Answer().WriteText(&out))
				write("gearing in JSON", g.Answer().WriteJSON(&out, "test"))
			}
			if s := done.Line.Start; s != nil {
				c.add("a start")
				write("standing-start", s.Answer().WriteText(&out))
				write("standing-start in JSON", s.Answer().WriteJSON(&out, "test"))
			}
		}
		next("tip-over")
		if tips, err := course.TipsOf(a); err == nil {
			write("tip-over", tips.Answer().WriteText(&out))
			write("tip-over in JSON", tips.Answer().WriteJSON(&out, "test"))
		}
		next("report")
		write("report", WriteReport(&out, a, "test", done))
		next("")
		return nil
	})
	if fault, ok := errors.AsType[*faults.Fault](err); ok {
		bad("%s: %v\n%s", step, fault, fault.Trace)
	}
	return wrong
}

// placed says what a refusal lacks: each needs a place in the sheet, one of them on the lines when these are given,
// what was expected and what to do.
func placed(err error, lines []int) string {
	list, ok := errors.AsType[sheet.Errors](err)
	if !ok || len(list) == 0 {
		return "a refusal without a place"
	}
	for _, d := range list {
		if d.Line < 1 || d.Problem == "" || d.Expected == "" || d.Remedy == "" {
			return fmt.Sprintf("a refusal with line %d, expected %q, remedy %q", d.Line, d.Expected, d.Remedy)
		}
	}
	if lines != nil && !slices.ContainsFunc(list, func(d sheet.Diagnostic) bool { return slices.Contains(lines, d.Line) }) {
		return fmt.Sprintf("a refusal of line %d", list[0].Line)
	}
	return ""
}

// infinite is where a value holds a number that is none; "" for nowhere.
func infinite(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			return "it"
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return infinite(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if path := infinite(v.Field(i)); path != "" {
				return v.Type().Field(i).Name + " " + path
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if path := infinite(v.Index(i)); path != "" {
				return fmt.Sprintf("[%d] %s", i, path)
			}
		}
	}
	return ""
}

// spoilt is a sheet in which something has slipped.
type spoilt struct {
	text, what string
	lines      []int // on which something has slipped; nil for no matter
}

// many asks everything of many sheets, on all processors: nothing panics or hangs, nothing that is no number comes out,
// every refusal says where.
func many(t *testing.T, count int, known *Results, deep func(accepted int) depth, nth func(n int) spoilt) {
	t.Helper()
	c := tally{usual: yardsticks{}}
	if deep(0).ranges {
		usual := tally{}
		for _, s := range exampleTexts(t) {
			for _, w := range slipped(s.Text, nil, quantity.Metric, known, always, &usual) {
				t.Errorf("an example: %s", w)
			}
		}
		c.usual = usual.most
	}
	next := make(chan int)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for n := range next {
				s := nth(n)
				for _, w := range slipped(s.text, s.lines, []quantity.System{quantity.Metric, quantity.US}[n%2], known, deep, &c) {
					t.Errorf("%d, %s: %s", n, s.what, w)
				}
			}
		})
	}
	for n := range count {
		next <- n
	}
	close(next)
	workers.Wait()
	t.Logf("%d sheets:%v", count, &c)
}

// deepEvery is how often, among the accepted sheets, what takes long is asked for.
func deepEvery(ranges, value int) func(accepted int) depth {
	return func(accepted int) depth { return depth{accepted%ranges == 0, accepted%value == 0} }
}

func never(int) depth  { return depth{} }
func always(int) depth { return depth{true, true} }

func slipsOf(t testing.TB) func(n int) spoilt {
	sheets := exampleTexts(t)
	return func(n int) spoilt {
		i, text, what, lines := slips.Nth(n, sheets)
		return spoilt{text, examples.List[i].Name + ", " + what, lines}
	}
}

// Numbers of the examples that slip, one to three at a time.
func TestSlippedNumbers(t *testing.T) { many(t, 400, NewResults().Usual(), never, slipsOf(t)) }

func TestSlippedNumbersHeavy(t *testing.T) {
	heavy(t)
	many(t, shareOf(10000, 150), curvesOfExamples(t), deepEvery(60, 400), slipsOf(t))
}

// Numbers of the examples as far out as the program computes with them.
func TestNumbersAtTheEnds(t *testing.T) { many(t, 80, NewResults().Usual(), never, endsOf(t)) }

func TestNumbersAtTheEndsHeavy(t *testing.T) {
	heavy(t)
	many(t, shareOf(2000, 40), curvesOfExamples(t), deepEvery(60, 400), endsOf(t))
}

func heavy(t *testing.T) {
	t.Helper()
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("takes minutes; make test-heavy runs it")
	}
}

func examplesAnswered(t testing.TB) (list []*asked.Answer) {
	t.Helper()
	for _, s := range exampleTexts(t) {
		a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet.yaml", Text: []byte(s.Text)}, Now: time.Now()})
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, a)
	}
	return list
}

// curvesOfExamples holds the computed curves of the examples.
func curvesOfExamples(t testing.TB) *Results {
	t.Helper()
	known := lapCurves
	for _, a := range examplesAnswered(t) {
		for _, b := range []*machine.Build{a.Build, a.Baseline} {
			if _, err := known.Curve(t.Context(), b, nil); err != nil {
				t.Fatal(err)
			}
		}
	}
	return known
}

// endsOf gives examples in which one to three inputs lie at an end of what the program computes with, the first of them
// one after the other at either end.
func endsOf(t testing.TB) func(n int) spoilt {
	sheets := exampleTexts(t)
	var paths [][]string
	var fields []map[string]machine.Value
	for _, s := range sheets {
		read, err := sheet.Parse(&sheet.File{Name: "sheet.yaml", Text: []byte(s.Text)})
		if err != nil {
			t.Fatal(err)
		}
		var list []string
		for path, v := range read.Project.Base {
			if v.Field.Shape == machine.Number && v.Origin.Line > 0 {
				list = append(list, path)
			}
		}
		slices.Sort(list)
		paths, fields = append(paths, list), append(fields, read.Project.Base)
	}
	return func(n int) spoilt {
		random := rand.New(rand.NewPCG(15, uint64(n)))
		i, k := n%len(sheets), n/len(sheets)
		chosen := []string{paths[i][k/2%len(paths[i])]}
		for range random.IntN(3) {
			if path := paths[i][random.IntN(len(paths[i]))]; !slices.Contains(chosen, path) {
				chosen = append(chosen, path)
			}
		}
		text, what := []byte(sheets[i].Text), examples.List[i].Name
		for j, path := range chosen {
			f, end := fields[i][path].Field, random.IntN(2)
			if j == 0 {
				end = k % 2
			}
			value := strconv.FormatFloat(f.Span.Unit.FromSI([]float64{f.Span.Least, f.Span.Most}[end]), 'f', -1, 64)
			if f.Spec.Bare == "" && f.Span.Unit.Symbol != "1" {
				value += " " + f.Span.Unit.Symbol
			}
			old, err := sheet.Get(text, path)
			if err == nil {
				text, err = workshop.Setting{Path: path, Old: old, New: value}.In(text)
			}
			if err != nil {
				t.Errorf("%s: %v", path, err)
			}
			what += ", " + path + ": " + value
		}
		return spoilt{string(text), what, nil}
	}
}

// Two numbers of an example, each made any number of times as much.
func FuzzNumbers(f *testing.F) {
	f.Add(uint8(0), uint16(34), 0.1, uint16(0), 1.0)
	f.Add(uint8(0), uint16(80), 1e12, uint16(81), -1.0)
	f.Add(uint8(1), uint16(20), math.Inf(1), uint16(300), math.NaN())
	f.Add(uint8(2), uint16(50), 0.0, uint16(51), 1e-300)
	sheets := exampleTexts(f)
	f.Fuzz(func(t *testing.T, which uint8, first uint16, times float64, second uint16, timesToo float64) {
		s := sheets[int(which)%len(sheets)]
		text, what, lines := s.With(slips.Slip{Number: int(first) % s.Len(), Times: times}, slips.Slip{Number: int(second) % s.Len(), Times: timesToo})
		for _, n := range lines {
			if line := strings.Split(text, "\n")[n-1]; strings.Contains(line, "name:") && noNumberIn([]byte(line)) != "" {
				t.Skip("a name is the owner's word, whatever it says")
			}
		}
		for _, w := range slipped(text, lines, quantity.Metric, NewResults().Usual(), never, &tally{usual: yardsticks{}}) {
			t.Errorf("%s: %s", what, w)
		}
	})
}

// Torque curves, computed, of machines of which an input of the engine has slipped.
func TestSlippedCurves(t *testing.T) { slippedCurves(t, 3) }

func TestSlippedCurvesHeavy(t *testing.T) { heavy(t); slippedCurves(t, shareOf(200, 4)) }

func slippedCurves(t *testing.T, count int) {
	own := map[string]bool{}
	for _, a := range examplesAnswered(t) {
		own[CurveKey(a)] = true
	}
	nth := slipsOf(t)
	c := tally{usual: yardsticks{}}
	for n := 0; c.count["tried"] < count; n += 7 { // not one input of the engine after the other
		s := nth(n)
		a, err := asked.Ask(asked.Question{Text: &sheet.File{Name: "sheet.yaml", Text: []byte(s.text)}, Now: time.Now()})
		if err != nil || torque.CanCurve(a.Build) != nil || own[CurveKey(a)] {
			continue
		}
		c.add("tried")
		began := time.Now()
		err = faults.Catch(func() error { return soundCurve(t.Context(), a, &c) })
		if d := time.Since(began); c.took("curve", d) {
			t.Errorf("%d, %s: took %v", n, s.what, d)
		}
		if err != nil {
			t.Errorf("%d, %s: %v", n, s.what, err)
		}
		if fault, ok := errors.AsType[*faults.Fault](err); ok {
			t.Error(fault.Trace)
		}
	}
	t.Logf("%v", &c)
}

// soundCurve computes the curve of an answer's build; the error says what is wrong with it. One that cannot be computed
// says why.
func soundCurve(ctx context.Context, a *asked.Answer, c *tally) error {
	k, err := engine.CurveOf(ctx, a, NewResults(), false, nil)
	if errors.Is(err, torque.ErrNoCurve) {
		c.add("no curve, with the reason")
		return nil
	}
	if err != nil {
		return err
	}
	whole := true
	for _, p := range k.Curve.Points {
		whole = whole && p.Converged
		if path := infinite(reflect.ValueOf(p)); path != "" && p.Converged {
			return fmt.Errorf("at %.0f rpm there is no number in %s", p.Speed, path)
		}
	}
	if whole {
		c.add("a curve")
	} else {
		c.add("a curve with speeds missing")
	}
	var out bytes.Buffer
	if err := errors.Join(k.Answer().WriteText(&out), k.Answer().WriteJSON(&out, "test"), k.Answer().WriteCSV(&out)); err != nil {
		return err
	}
	if text := noNumberIn(out.Bytes()); text != "" {
		return fmt.Errorf("it says %q", text)
	}
	return nil
}

// shareOf is how many of so many a heavy run takes: all of them with SHAKEDOWN_HEAVY=all, which takes long, else a
// part.
func shareOf(all, part int) int {
	if os.Getenv("SHAKEDOWN_HEAVY") == "all" {
		return all
	}
	return part
}
