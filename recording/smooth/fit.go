package smooth

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
)

// lately is what is known of a motion before the ride is looked at: for each of its numbers the middle, and by how much
// its logarithm may be off. By judgement: machines on rough ground accelerate by some tenths of g for about a second;
// receivers scatter by a metre or less from fix to fix, and wander by as much within a minute or so (Strawn and others,
// Sensors 20 (2020) 6050: an error that fades fits the noise of receivers better than white noise does).
type lately struct {
	Middle Motion
	off    [5]float64
}

// Where the search for a motion begins, over ground and in height, and how sure that is.
var (
	OverGround = lately{Motion{Accel: 4, Fades: 1, Noise: 0.5, Drift: 0.5, Stays: 30}, [5]float64{1, 1, 3, 1.5, 1.5}}
	InHeight   = lately{Motion{Accel: 0.5, Fades: 1, Noise: 0.5, Drift: 1, Stays: 30}, [5]float64{0.7, 1, 3, 1.5, 1.5}}
)

// Limits of a motion that is tried: outside nothing can be told apart.
var least, greatest = [5]float64{1e-3, 0.05, leastNoise, 1e-3, 0.5}, [5]float64{100, 60, 100, 100, 3600}

// leastNoise is that of a receiver which writes seven decimals of a degree [m].
const leastNoise = 0.003

// Logs are the logarithms of its five numbers, in which it is searched.
func (m Motion) Logs() [5]float64 {
	return [5]float64{math.Log(m.Accel), math.Log(m.Fades), math.Log(m.Noise), math.Log(m.Drift), math.Log(m.Stays)}
}

func motionOf(u []float64) Motion {
	return Motion{math.Exp(u[0]), math.Exp(u[1]), math.Exp(u[2]), math.Exp(u[3]), math.Exp(u[4])}
}

// Revisit is what laps show of the wandering: how far the line of one lies beside that of another, a time later.
type Revisit struct {
	After  float64 // [s] between the two
	Square float64 // [m2] mean square of the distance
	Noise  float64 // [m2] what of that is not wandering
	Worth  float64 // [-] of how many independent distances
}

// Evidence is what a motion is judged by.
type Evidence struct {
	Runs    []Run
	Before  lately
	Revisit *Revisit
}

// Against is minus twice the logarithm of how likely a motion is after all that is known; endless outside the limits.
func (e *Evidence) Against(u []float64) float64 {
	for i, v := range u {
		if !(v >= math.Log(least[i])-1e-9 && v <= math.Log(greatest[i])+1e-9) {
			return math.Inf(1)
		}
	}
	m := motionOf(u)
	sum := 0.0
	keep := m.Strides()
	for i := range e.Runs {
		sum += m.Unlikely(&e.Runs[i], keep)
	}
	middle := e.Before.Middle.Logs()
	for i, v := range u {
		d := (v - middle[i]) / e.Before.off[i]
		sum += d * d
	}
	if r := e.Revisit; r != nil { // the mean square of so many normal distances is distributed as chi squared
		mean := r.Noise - 2*m.Drift*m.Drift*math.Expm1(-r.After/m.Stays)
		sum += r.Worth * (math.Log(mean) + r.Square/mean)
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// tries is how often a motion is tried at most.
const tries = 400

// Likeliest is the motion for which the fixes are the likeliest, from a first guess, by the simplex of Nelder and Mead
// (1965).
func (e *Evidence) Likeliest(from Motion) Motion {
	start := from.Logs()
	for i := range start {
		start[i] = math.Min(math.Max(start[i], math.Log(least[i])), math.Log(greatest[i]))
	}
	r, err := optimize.Minimize(optimize.Problem{Func: e.Against}, start[:], &optimize.Settings{FuncEvaluations: tries, Converger: &optimize.FunctionConverge{Absolute: 0.02, Iterations: 40}}, &optimize.NelderMead{SimplexSize: 0.7})
	if r == nil || err != nil && len(r.X) != len(start) || math.IsInf(r.F, 0) {
		return from
	}
	return motionOf(r.X)
}

// Of the walk among the motions that are likely.
const (
	strolls = 500 // steps, of which
	settles = 200 // are left out, while the steps are fitted
)

// Likely are so many motions, drawn by how likely they are, from the likeliest on: a random walk that goes on where
// that is likely (Metropolis and others 1953), its steps fitted to where it went (Haario and others 2001).
func (e *Evidence) Likely(best Motion, n int) []Motion {
	const d = 5
	rnd := rand.New(rand.NewPCG(1, 2)) // the same ride makes the same course
	at := best.Logs()
	f := e.Against(at[:])
	var mean [d]float64
	var cov [d][d]float64
	seen := 0.0
	step := [d][d]float64{}
	for i := range d {
		step[i][i] = 0.15
	}
	var out []Motion
	for k := range strolls {
		if k >= 40 && k <= settles && k%20 == 0 {
			sym := mat.NewSymDense(d, nil)
			for i := range d {
				for j := i; j < d; j++ {
					sym.SetSym(i, j, 2.38*2.38/d*cov[i][j]/seen)
				}
				sym.SetSym(i, i, sym.At(i, i)+1e-4)
			}
			var chol mat.Cholesky
			if chol.Factorize(sym) {
				var l mat.TriDense
				chol.LTo(&l)
				for i := range d {
					for j := range i + 1 {
						step[i][j] = l.At(i, j)
					}
				}
			}
		}
		to := at
		var z [d]float64
		for i := range d {
			z[i] = rnd.NormFloat64()
		}
		for i := range d {
			for j := range i + 1 {
				to[i] += step[i][j] * z[j]
			}
		}
		if g := e.Against(to[:]); g <= f || rnd.Float64() < math.Exp((f-g)/2) {
			at, f = to, g
		}
		seen++
		var from [d]float64
		for i := range d {
			from[i] = at[i] - mean[i]
			mean[i] += from[i] / seen
		}
		for i := range d {
			for j := range d {
				cov[i][j] += from[i] * (at[j] - mean[j])
			}
		}
		if k >= settles && (k-settles)*n/(strolls-settles) >= len(out) {
			out = append(out, motionOf(at[:]))
		}
	}
	return out
}
