//go:build unix

package web

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"shakedown/sheet"
)

// Fifty people at once, on ten machines: each looks at a page for some seconds with its work behind it (what the parts
// are worth, how sure the curve is, laps), goes to another, and now and then changes a value. Pages answer, work ends
// or waits in turn, and nothing is left when they go. A quarter of a minute of it, three minutes in make test-all.
func TestFiftyClientsAtOnce(t *testing.T) {
	const clients, machines = 50, 10
	long := 15 * time.Second
	if os.Getenv("SHAKEDOWN_HEAVY") != "" {
		long = 3 * time.Minute
	}
	b := open(t)
	var addresses []string
	for i := range machines {
		name := []string{"fenmoor-t285.yaml", "sallow-q250.yaml", "brackwater-246.yaml"}[i%3]
		addresses = append(addresses, b.example(name))
	}
	heap := func() float64 { // [MB] in use once the garbage is gone
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapInuse) / (1 << 20)
	}
	processors := func() time.Duration { // time that this process has had of them
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			t.Fatal(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	before, spent := heap(), processors()

	ctx, stop := context.WithTimeout(t.Context(), long)
	defer stop()
	client := &http.Client{Transport: &http.Transport{MaxConnsPerHost: 0, MaxIdleConnsPerHost: clients}}
	defer client.CloseIdleConnections()
	var mu sync.Mutex
	var took []time.Duration
	var told, ended, waited, saved, most atomic.Int64
	ask := func(method, address string, form url.Values) {
		r, err := http.NewRequestWithContext(ctx, method, address, strings.NewReader(form.Encode()))
		if err != nil {
			t.Error(err)
			return
		}
		if method == http.MethodPost {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		began := time.Now()
		answer, err := client.Do(r)
		if err == nil {
			_, err = io.Copy(io.Discard, answer.Body)
			answer.Body.Close()
		}
		if ctx.Err() != nil {
			return
		}
		if err != nil || answer.StatusCode >= 500 {
			t.Errorf("%s %s: %v %v", method, address, answer, err)
			return
		}
		mu.Lock()
		took = append(took, time.Since(began))
		mu.Unlock()
	}
	// watch keeps the stream of a page's work open while it is looked at.
	watch := func(machine, work string, until time.Duration) {
		looking, away := context.WithTimeout(ctx, until)
		defer away()
		r, err := http.NewRequestWithContext(looking, http.MethodGet, machine+"/events?work="+work, nil)
		if err != nil {
			t.Error(err)
			return
		}
		answer, err := client.Do(r)
		if err != nil {
			return
		}
		defer answer.Body.Close()
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			switch line := lines.Text(); {
			case strings.HasPrefix(line, "data: waiting"):
				waited.Add(1)
			case line == "data: ended":
				ended.Add(1)
			case line == "event: work":
				told.Add(1)
			case line == "event: failed":
				t.Errorf("work failed on %s", machine)
			}
		}
		<-looking.Done()
	}
	watching := make(chan bool)
	go func() { // the desk, from above
		defer close(watching)
		for ctx.Err() == nil {
			running, waiting := b.server.desk.Load()
			if running > 2 {
				t.Errorf("%d pieces of work run at once", running)
			}
			most.Store(max(most.Load(), int64(waiting)))
			time.Sleep(20 * time.Millisecond)
		}
	}()
	pages := [][2]string{{"/build", laterValue}, {"/track", "value"}, {"/engine", "range"}, {"/compare", "laps"}, {"/track", "lap"}, {"/engine", "curve"}, {"/machine", ""}, {"/parts", "effects"}, {"/history", ""}}
	var all sync.WaitGroup
	for i := range clients {
		all.Go(func() {
			random := rand.New(rand.NewPCG(1, uint64(i)))
			machine := addresses[i%machines]
			id := strings.TrimPrefix(machine, b.URL+"/m/")
			builds := []string{"", "?build=as-found"}
			for ctx.Err() == nil {
				page, look := pages[random.IntN(len(pages))], time.Duration(2000+random.IntN(6000))*time.Millisecond
				ask(http.MethodGet, machine+page[0]+builds[random.IntN(2)], nil)
				if random.IntN(4) == 0 {
					head, err := b.Workshop.Head(ctx, id)
					if err == nil {
						if old, _ := sheet.Get(head.Text, "engine.redline"); old != "" {
							ask(http.MethodPost, machine+"/set", url.Values{"path": {"engine.redline"}, "old": {old}, "value": {fmt.Sprintf("%d rpm", 7600+random.IntN(400))}, "back": {"machine"}})
							saved.Add(1)
						}
					}
				}
				if page[1] == "" {
					select {
					case <-ctx.Done():
					case <-time.After(look):
					}
					continue
				}
				watch(machine, page[1], look)
			}
		})
	}
	peak := 0.0
	for ctx.Err() == nil {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak = max(peak, float64(m.HeapInuse)/(1<<20))
		time.Sleep(100 * time.Millisecond)
	}
	all.Wait()
	<-watching
	had := (processors() - spent).Seconds() / long.Seconds()
	gone := time.Now()
	for running, waiting := b.server.desk.Load(); running+waiting > 0; running, waiting = b.server.desk.Load() {
		if time.Since(gone) > 2*time.Minute {
			t.Fatalf("two minutes after the last has gone %d pieces of work run and %d wait", running, waiting)
		}
		time.Sleep(20 * time.Millisecond)
	}
	stopped := time.Since(gone)
	client.CloseIdleConnections()
	after := heap()
	slices.Sort(took)
	if len(took) < clients {
		t.Fatalf("%d answers", len(took))
	}
	share := func(s float64) time.Duration {
		return took[int(s*float64(len(took)-1))].Round(time.Millisecond)
	}
	t.Logf("%.2f of %d processors; %d answers in %v: median %v, 95 %% within %v, the slowest %v; %d saves; work: %d words of progress, %d pieces ended, %d told to wait, %d in turn at most, all gone %v after the last client; heap %.0f MB before, %.0f at most, %.0f after",
		had, runtime.GOMAXPROCS(0), len(took), long, share(0.5), share(0.95), share(1), saved.Load(), told.Load(), ended.Load(), waited.Load(), most.Load(), stopped.Round(time.Millisecond), before, peak, after)
	if waited.Load() == 0 || saved.Load() == 0 {
		t.Error("nobody waited or nothing was saved: this is no load")
	}
	// The work in turn takes all that there is of the processors. Where other programs have most of them, how long a
	// page takes is theirs.
	if had < 0.7*float64(runtime.GOMAXPROCS(0)) {
		t.Log("other programs had the processors: how long pages take is not judged")
	} else if share(0.5) > time.Second || ended.Load() == 0 {
		t.Errorf("half of the pages took longer than %v; %d pieces of work ended", share(0.5), ended.Load())
	}
	if after > before+100 {
		t.Errorf("%.0f MB stay in use, %.0f before", after, before)
	}
	if peak > 1000 {
		t.Errorf("%.0f MB were in use", peak)
	}
}
