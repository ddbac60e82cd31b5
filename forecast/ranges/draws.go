package ranges

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat"

	"shakedown/internal/faults"
	"shakedown/machine"
)

// UsualSeed is that of all draws but those of tests that look at what others would give.
const UsualSeed = 1

// Drawn is what comes out at each of the points at which ranges are sampled, over all processors, for what comes out
// with nothing moved: for each of the numbers that At gives a sample. A point at which nothing does is taken from the
// other side, turned round; where nothing does there either it is not a number. At is called with the atoms moved, from
// several goroutines, each with a delta of its own.
func Drawn(ctx context.Context, p *machine.Project, atoms []int, seed uint64, straight []float64, at func(delta []float64) ([]float64, error)) ([][]float64, error) {
	columns := drawOrders(p, atoms, seed)
	out := make([][]float64, len(straight))
	for k := range out {
		out[k] = make([]float64, Samples)
	}
	work, each := errgroup.WithContext(ctx)
	parts := runtime.GOMAXPROCS(0)
	for part := range parts {
		work.Go(func() error {
			return faults.Catch(func() error {
				delta := Moves(p)
				for n := part; n < Samples; n += parts {
					if each.Err() != nil {
						return each.Err()
					}
					move := func(sign float64) {
						for i, atom := range atoms {
							delta[atom] = sign * scores[columns[i][n]] * AtomOf(p, atom).Q.Half / Coverage
						}
					}
					move(1)
					v, err := at(delta)
					turned := err != nil
					if turned {
						move(-1)
						v, err = at(delta)
					}
					for k := range out {
						switch {
						case err != nil:
							out[k][n] = math.NaN()
						case turned:
							out[k][n] = 2*straight[k] - v[k]
						default:
							out[k][n] = v[k]
						}
					}
				}
				return nil
			})
		})
	}
	return out, work.Wait()
}

// drawOrders are the orders in which the equally likely values of atoms are drawn. They go by what an atom says, not by
// where it stands: a part more in the sheet leaves the laps of others as they were, and two parts that are alike are
// worth the same.
func drawOrders(p *machine.Project, atoms []int, seed uint64) [][]int {
	orders := make([][]int, len(atoms))
	again := map[string]int{}
	for i, atom := range atoms {
		a := AtomOf(p, atom)
		says := fmt.Sprint(a.Path, " ", a.Q.Value, " ", a.Q.Half)
		h := fnv.New64a()
		fmt.Fprint(h, says, " ", again[says])
		again[says]++
		orders[i] = rand.New(rand.NewPCG(seed, h.Sum64())).Perm(Samples)
	}
	return orders
}

// FewLost is how many of a sample do not matter when they cannot be computed.
const FewLost = Samples / 100

// HalfOf is half of how far apart a number lies when something is moved up and down; when one of the two is not a
// number, how far the other lies from what it is unmoved. It is not ok when neither is a number.
func HalfOf(straight, up, down float64) (half float64, ok bool) {
	switch {
	case math.IsNaN(up) && math.IsNaN(down):
		return 0, false
	case math.IsNaN(up):
		return math.Abs(down - straight), true
	case math.IsNaN(down):
		return math.Abs(up - straight), true
	}
	return math.Abs(up-down) / 2, true
}

// Computed are the numbers of a sample.
func Computed(draws []float64) []float64 { return slices.DeleteFunc(slices.Clone(draws), math.IsNaN) }

// SampledReach is how far a sample goes below and above a value with 95 %. Where fewer than half could be computed
// nothing is sure.
func SampledReach(value float64, draws []float64) Reach {
	got := Computed(draws)
	if len(got) < Samples/2 {
		return Reach{math.Abs(value), math.Abs(value)}
	}
	slices.Sort(got)
	return Reach{math.Max(0, value-quantile(got, tail)), math.Max(0, quantile(got, 1-tail)-value)}
}

// leastShare is a share of the variance that a sample of this size cannot tell from nothing [-].
const leastShare = 0.01

// DrawnShares is each atom's share of the variance of what was drawn [-]: the square of its correlation.
func DrawnShares(p *machine.Project, atoms []int, seed uint64, draws []float64) map[int]float64 {
	list := make(map[int]float64, len(atoms))
	columns := drawOrders(p, atoms, seed)
	for i, atom := range atoms {
		column := columns[i]
		var x, y []float64
		for n, d := range draws {
			if !math.IsNaN(d) {
				x, y = append(x, scores[column[n]]), append(y, d)
			}
		}
		if c := stat.Correlation(x, y, nil); c*c > leastShare {
			list[atom] = c * c
		}
	}
	return list
}
