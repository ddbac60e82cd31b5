package web

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"shakedown/examples"
	"shakedown/internal/app"
	"shakedown/internal/app/asked"
	"shakedown/internal/slips"
	"shakedown/machine"
	"shakedown/sheet"
)

// longestPage is how long one page may take, or muchLonger than the slowest page of an example on this machine as busy
// as it is, if that is more.
const (
	longestPage = 5 * time.Second
	muchLonger  = 20
)

var (
	noNumber = regexp.MustCompile(`(?:^|[^A-Za-z])(NaN|[-+−]?Inf)(?:[^A-Za-z]|$)`) // a number that is none, as it is printed
	located  = regexp.MustCompile(`data-line="[1-9][0-9]*">line [1-9]`)            // an error of a sheet with its place
)

// spoiler saves spoilt sheets on the Sheet page and opens the pages that show them.
type spoiler struct {
	t       testing.TB
	w       *app.Workshop
	handler http.Handler
	sheets  []*slips.Sheet

	mu    sync.Mutex
	count map[string]int
	most  time.Duration // of a page
	usual time.Duration // of the slowest page of an example; 0 while that is measured
	where string
}

const spoilersHost = "127.0.0.1:4711"

func newSpoiler(t testing.TB) *spoiler {
	t.Helper()
	w, err := app.OpenWorkshop(t.Context(), filepath.Join(t.TempDir(), "w.shakedown"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.Close() })
	server := &Server{Workshop: w, Program: "shakedown test", Log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	handler, err := server.Handler(spoilersHost)
	if err != nil {
		t.Fatal(err)
	}
	s := &spoiler{t: t, w: w, handler: handler, count: map[string]int{}}
	for _, e := range examples.List {
		text, err := examples.Text(e.Name)
		if err != nil {
			t.Fatal(err)
		}
		s.sheets = append(s.sheets, slips.Of(string(text)))
	}
	return s
}

func (s *spoiler) add(what string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.count[what]++
}

func (s *spoiler) String() string {
	var out strings.Builder
	for _, what := range slices.Sorted(maps.Keys(s.count)) {
		fmt.Fprintf(&out, "\n%6d %s", s.count[what], what)
	}
	fmt.Fprintf(&out, "\nlongest: %v, %s", s.most.Round(time.Millisecond), s.where)
	return out.String()
}

// ask makes one request and looks for what no page may show.
func (s *spoiler) ask(name, method, address string, form url.Values, want ...int) (int, string) {
	r := httptest.NewRequest(method, "http://"+spoilersHost+address, strings.NewReader(form.Encode()))
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	answer := httptest.NewRecorder()
	began := time.Now()
	s.handler.ServeHTTP(answer, r)
	took := time.Since(began)
	if s.usual > 0 && took > max(longestPage, muchLonger*s.usual) {
		s.t.Errorf("%s: %s took %v, of an example %v at most", name, address, took, s.usual)
	}
	s.mu.Lock()
	if took > s.most {
		s.most, s.where = took, address
	}
	s.mu.Unlock()
	body := answer.Body.Bytes()
	if !slices.Contains(want, answer.Code) {
		s.t.Errorf("%s: %s is answered with %d: %.2000s", name, address, answer.Code, body)
	}
	if bytes.Contains(body, []byte("NaN")) || bytes.Contains(body, []byte("Inf")) {
		if at := noNumber.FindIndex(body); at != nil {
			s.t.Errorf("%s: %s says %q", name, address, body[max(0, at[0]-80):min(len(body), at[1]+20)])
		}
	}
	return answer.Code, string(body)
}

// spoiltPages are the pages on which a slip shows.
var spoiltPages = []string{"machine", "engine", "track", "compare", "report/page"}

// spoil saves a sheet in which numbers have slipped, over what the machine was before, and opens pages when it is
// taken.
func (s *spoiler) spoil(ids []string, n int, pages []string) {
	i, text, what, _ := slips.Nth(n, s.sheets)
	name, id := fmt.Sprintf("%d, %s, %s", n, examples.List[i].Name, what), ids[i]
	head, err := s.w.Head(context.Background(), id)
	if err != nil {
		s.t.Error(err)
		return
	}
	status, body := s.ask(name, http.MethodPost, "/m/"+id+"/sheet", url.Values{"base": {strconv.Itoa(head.Number)}, "text": {text}}, http.StatusSeeOther, http.StatusUnprocessableEntity)
	if status != http.StatusSeeOther {
		s.add("sheets refused, with the place")
		if !located.MatchString(body) {
			s.t.Errorf("%s: a refusal without a place: %.3000s", name, body)
		}
		return
	}
	s.add("sheets saved")
	for _, page := range pages {
		s.ask(name, http.MethodGet, "/m/"+id+"/"+page, nil, http.StatusOK)
		s.add("opened: " + page)
	}
}

// try looks at a value that has slipped without saving it, as a hand on the drawing or a trial of an input does.
func (s *spoiler) try(id string, n int) {
	text := s.sheets[0].Text
	fields := machine.Fields()
	for k := range fields {
		f := fields[(n+k)%len(fields)]
		value, err := sheet.Get([]byte(text), f.Path)
		if err != nil || f.Shape != machine.Number || slips.Of(value).Len() == 0 {
			continue
		}
		_, spoilt, what, _ := slips.Nth(n, []*slips.Sheet{slips.Of(value)})
		s.ask(f.Path+" "+what, http.MethodGet, "/m/"+id+"/build?try="+url.QueryEscape(f.Path)+"&value="+url.QueryEscape(spoilt), nil, http.StatusOK, http.StatusUnprocessableEntity)
		s.add("values tried")
		return
	}
}

// run spoils many sheets on all processors, each processor on machines of its own.
func (s *spoiler) run(count int, pages func(n int) []string) {
	first, err := s.w.AddExample(s.t.Context(), examples.List[0].Name)
	if err != nil {
		s.t.Fatal(err)
	}
	for _, page := range append([]string{"build?all=yes"}, spoiltPages...) {
		s.ask("as it is", http.MethodGet, "/m/"+first.Machine+"/"+page, nil, http.StatusOK)
	}
	s.usual = s.most
	next := make(chan int)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		var ids []string
		for _, e := range examples.List {
			r, err := s.w.AddExample(s.t.Context(), e.Name)
			if err != nil {
				s.t.Fatal(err)
			}
			ids = append(ids, r.Machine)
		}
		r, err := s.w.AddExample(s.t.Context(), examples.List[0].Name)
		if err != nil {
			s.t.Fatal(err)
		}
		workers.Go(func() {
			for n := range next {
				s.spoil(ids, n, pages(n))
				if n%8 == 0 {
					s.try(r.Machine, n/8)
				}
			}
		})
	}
	for n := range count {
		next <- n
	}
	close(next)
	workers.Wait()
	s.t.Logf("%d sheets:%v", count, s)
}

// Numbers of the examples that slip, through the pages: none fails, none takes long, none shows a number that is none,
// and every refusal says where.
func TestSlippedNumbersOnPages(t *testing.T) {
	newSpoiler(t).run(100, func(n int) []string { return []string{"build?all=yes", spoiltPages[n%len(spoiltPages)]} })
}

func TestSlippedNumbersOnPagesHeavy(t *testing.T) {
	heavy(t)
	s := newSpoiler(t)
	s.computeCurves()
	s.run(shareOf(10000, 150), func(n int) []string {
		if n%20 == 0 {
			return append([]string{"build?all=yes"}, spoiltPages...)
		}
		return []string{"build?all=yes", spoiltPages[n%len(spoiltPages)]}
	})
}

// computeCurves puts the torque curves of the examples into the workshop, so that the pages of all that have the same
// engines show laps.
func (s *spoiler) computeCurves() {
	for _, e := range examples.List {
		r, err := s.w.AddExample(s.t.Context(), e.Name)
		if err != nil {
			s.t.Fatal(err)
		}
		a, _, err := s.w.Ask(s.t.Context(), r.Machine, asked.Question{})
		if err != nil {
			s.t.Fatal(err)
		}
		for _, build := range a.Sheet.Project.BuildNames() {
			if a, _, err = s.w.Ask(s.t.Context(), r.Machine, asked.Question{Build: build}); err == nil {
				_, err = s.w.Curve(s.t.Context(), a, "shakedown test", func(int, int) {})
			}
			if err != nil {
				s.t.Fatal(err)
			}
		}
	}
}

// shareOf is how many of so many a heavy run takes: all of them with SHAKEDOWN_HEAVY=all, which takes long, else a
// part.
func shareOf(all, part int) int {
	if os.Getenv("SHAKEDOWN_HEAVY") == "all" {
		return all
	}
	return part
}
