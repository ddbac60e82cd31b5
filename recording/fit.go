package recording

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
	middle motion
	off    [5]float64
}

var (
	overGround = lately{motion{accel: 4, fades: 1, noise: 0.5, drift: 0.5, stays: 30}, [5]float64{1, 1, 3, 1.5, 1.5}}
	inHeight   = lately{motion{accel: 0.5, fades: 1, noise: 0.5, drift: 1, stays: 30}, [5]float64{0.7, 1, 3, 1.5, 1.5}}
)

// Limits of a motion that is tried: outside nothing can be told apart.
var least, greatest = [5]float64{1e-3, 0.05, leastNoise, 1e-3, 0.5}, [5]float64{100, 60, 100, 100, 3600}

// leastNoise is that of a receiver which writes seven decimals of a degree [m].
const leastNoise = 0.003

func (m motion) logs() [5]float64 {
	return [5]float64{math.Log(m.accel), math.Log(m.fades), math.Log(m.noise), math.Log(m.drift), math.Log(m.stays)}
}

func motionOf(u []float64) motion {
	return motion{math.Exp(u[0]), math.Exp(u[1]), math.Exp(u[2]), math.Exp(u[3]), math.Exp(u[4])}
}

// revisit is what laps show of the wandering: how far the line of one lies beside that of another, a time later.
type revisit struct {
	after  float64 // [s] between the two
	square float64 // [m2] mean square of the distance
	noise  float64 // [m2] what of that is not wandering
	worth  float64 // of how many independent distances
}

// evidence is what a motion is judged by.
type evidence struct {
	runs    []run
	before  lately
	revisit *revisit
}

// against is minus twice the logarithm of how likely a motion is after all that is known; endless outside the limits.
func (e *evidence) against(u []float64) float64 {
	for i, v := range u {
		if !(v >= math.Log(least[i])-1e-9 && v <= math.Log(greatest[i])+1e-9) {
			return math.Inf(1)
		}
	}
	m := motionOf(u)
	sum := 0.0
	keep := m.strides()
	for i := range e.runs {
		sum += m.unlikely(&e.runs[i], keep)
	}
	middle := e.before.middle.logs()
	for i, v := range u {
		d := (v - middle[i]) / e.before.off[i]
		sum += d * d
	}
	if r := e.revisit; r != nil { // the mean square of so many normal distances is distributed as chi squared
		mean := r.noise - 2*m.drift*m.drift*math.Expm1(-r.after/m.stays)
		sum += r.worth * (math.Log(mean) + r.square/mean)
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// tries is how often a motion is tried at most.
const tries = 400

// likeliest is the motion for which the fixes are the likeliest, from a first guess, by the simplex of Nelder and Mead
// (1965).
func (e *evidence) likeliest(from motion) motion {
	start := from.logs()
	for i := range start {
		start[i] = math.Min(math.Max(start[i], math.Log(least[i])), math.Log(greatest[i]))
	}
	r, err := optimize.Minimize(optimize.Problem{Func: e.against}, start[:], &optimize.Settings{FuncEvaluations: tries, Converger: &optimize.FunctionConverge{Absolute: 0.02, Iterations: 40}}, &optimize.NelderMead{SimplexSize: 0.7})
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

// likely are so many motions, drawn by how likely they are, from the likeliest on: a random walk that goes on where
// that is likely (Metropolis and others 1953), its steps fitted to where it went (Haario and others 2001).
func (e *evidence) likely(best motion, n int) []motion {
	const d = 5
	rnd := rand.New(rand.NewPCG(1, 2)) // the same ride makes the same course
	at := best.logs()
	f := e.against(at[:])
	var mean [d]float64
	var cov [d][d]float64
	seen := 0.0
	step := [d][d]float64{}
	for i := range d {
		step[i][i] = 0.15
	}
	var out []motion
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
		if g := e.against(to[:]); g <= f || rnd.Float64() < math.Exp((f-g)/2) {
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
