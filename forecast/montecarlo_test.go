package forecast

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/stat"

	"shakedown/forecast/ranges"
	"shakedown/machine"
	"shakedown/sheet"
)

// resolved is a build of the example.
func resolved(t testing.TB, names ...string) []*machine.Build {
	t.Helper()
	s, err := sheet.Read("../examples/fenmoor-t285.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var list []*machine.Build
	for _, name := range names {
		b, err := s.Project.Resolve(name)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, b)
	}
	return list
}

// beyond is the share of a normal distribution past two standard deviations on one side [-].
const beyond = 0.02275

// Ranges by the first order or by 512 points, against plain sampling with 100,000 independent draws of every input: for
// the build, for the baseline and for the change, every edge within a tenth of the sampled range. The models' own
// errors are left out on both sides.
func TestHeavyRangesAgainstMonteCarlo(t *testing.T) {
	if os.Getenv("SHAKEDOWN_HEAVY") == "" {
		t.Skip("half a minute; make test-heavy runs it")
	}
	const draws = 100_000
	builds := resolved(t, "full", "as-found")
	full, found := builds[0], builds[1]
	atoms := full.Project.Atoms
	defs := definitions(full)

	// Every worker draws the same numbers from the same seed and takes the figures that are its own.
	type tried struct{ now, before, change []float64 }
	results := make([]tried, len(defs))
	const workers = 2
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			random := rand.New(rand.NewPCG(2027, 5))
			e := ranges.NewEvaluator(full, found)
			for range draws {
				for i := range atoms {
					e.Delta[i] = random.NormFloat64() * atoms[i].Q.Half / ranges.Coverage
				}
				for k := w; k < len(defs); k += workers {
					now, _, err := e.At(defs[k], full, nil)
					before, _, errBefore := e.At(defs[k], found, nil)
					r := &results[k]
					if err == nil {
						r.now = append(r.now, now)
					}
					if errBefore == nil {
						r.before = append(r.before, before)
					}
					if err == nil && errBefore == nil {
						r.change = append(r.change, now-before)
					}
				}
			}
		})
	}
	group.Wait()

	worst, worstID, compared := 0.0, "", 0
	compare := func(id string, low, high float64, drawn []float64) {
		if len(drawn) < draws*9/10 {
			t.Errorf("%s: only %d of %d draws led anywhere", id, len(drawn), draws)
			return
		}
		slices.Sort(drawn)
		from, to := stat.Quantile(beyond, stat.LinInterp, drawn, nil), stat.Quantile(1-beyond, stat.LinInterp, drawn, nil)
		if to-from <= 1e-9*math.Abs(to) { // nothing uncertain in it, or all of it cancels
			if high-low > 1e-6*math.Abs(to) {
				t.Errorf("%s: %g to %g, and the draws do not move it from %g", id, low, high, to)
			}
			return
		}
		compared++
		off := max(math.Abs(low-from), math.Abs(high-to)) / (to - from)
		if off > worst {
			worst, worstID = off, id
		}
		if off > 0.1 {
			t.Errorf("%s: range %g to %g, %d draws give %g to %g", id, low, high, draws, from, to)
		}
	}
	e := ranges.NewEvaluator(full, found)
	back := ranges.NewEvaluator(found, nil)
	sampled := 0
	for k, d := range defs {
		d.Model = ranges.ModelError{}
		f, before := e.Figure(d), back.Figure(d)
		if f.Basis.Sampled {
			sampled++
		}
		compare(d.ID+", full", f.Low, f.High, results[k].now)
		compare(d.ID+", as-found", before.Low, before.High, results[k].before)
		compare(d.ID+", change", f.Change.Low, f.Change.High, results[k].change)
	}
	if compared < 150 {
		t.Errorf("only %d ranges were compared", compared)
	}
	t.Logf("%d ranges of %d figures compared, %d figures sampled; the worst edge is off by %.1f %% of its range: %s", compared, len(defs), sampled, 100*worst, worstID)
}
