package valvetrain

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Readings is a lobe as a dial gauge and a degree wheel gave it, smoothed.
type Readings struct {
	Lifts []float64 // [m] smoothed, at the angles of the readings
	Noise float64   // [m] root mean square of reading less smoothed lift
	Turns int       // changes of sign of the smoothed second derivative; a clean lobe has two
}

// SmoothReadings smooths the readings of a lobe: angles from its centre [rad, rising], lifts [m], each read to about so
// much [m, root mean square]. Of all curves that stay within that of the readings on the mean it takes the one whose
// third derivative is least, by penalised least squares with divided differences; it never leaves the readings by more
// than that on the mean. The errors are for fewer than eight readings and angles that do not rise. Source: Whittaker
// (1923) graduation with the discrepancy rule of Morozov (1966).
func SmoothReadings(angles, lifts []float64, reading float64) (Readings, error) {
	n := len(angles)
	if n < 8 || n != len(lifts) {
		return Readings{}, errors.New("a lobe needs eight readings or more of angle and lift")
	}
	for i := 1; i < n; i++ {
		if angles[i] <= angles[i-1] {
			return Readings{}, errors.New("the readings must rise in angle from line to line")
		}
	}
	penalty := thirdDifferences(angles)
	smooth := func(weight float64) ([]float64, float64) {
		a := mat.NewSymDense(n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				a.SetSym(i, j, weight*penalty.At(i, j))
			}
			a.SetSym(i, i, a.At(i, i)+1)
		}
		var factor mat.Cholesky
		out := mat.NewVecDense(n, nil)
		if !factor.Factorize(a) {
			return lifts, 0
		}
		if err := factor.SolveVecTo(out, mat.NewVecDense(n, lifts)); err != nil {
			return lifts, 0
		}
		sum := 0.0
		for i := range n {
			sum += math.Pow(out.AtVec(i)-lifts[i], 2)
		}
		return out.RawVector().Data, math.Sqrt(sum / float64(n))
	}
	// The noise taken out grows with the weight: bisection of its logarithm to where it is what the gauge reads to.
	low, high := -18.0, 12.0
	for range 40 {
		middle := (low + high) / 2
		if _, noise := smooth(math.Exp(middle)); noise < reading {
			low = middle
		} else {
			high = middle
		}
	}
	r := Readings{}
	r.Lifts, r.Noise = smooth(math.Exp(low))
	r.Turns = turns(angles, r.Lifts)
	return r, nil
}

// thirdDifferences is D'D of the third divided differences, scaled by the mean step so that the weight has no unit.
func thirdDifferences(angles []float64) *mat.SymDense {
	n := len(angles)
	step := (angles[n-1] - angles[0]) / float64(n-1)
	d := mat.NewDense(n-3, n, nil)
	for i := range n - 3 {
		for k := range 4 {
			product := 1.0
			for m := range 4 {
				if m != k {
					product *= (angles[i+k] - angles[i+m]) / step
				}
			}
			d.Set(i, i+k, 6/product)
		}
	}
	var square mat.SymDense
	square.SymOuterK(1, d.T())
	return &square
}

// turns counts the changes of sign of the second divided differences that are more than a hundredth of the greatest.
func turns(angles, lifts []float64) int {
	n := len(angles)
	second := make([]float64, 0, n-2)
	most := 0.0
	for i := 1; i < n-1; i++ {
		before, after := angles[i]-angles[i-1], angles[i+1]-angles[i]
		s := 2 * ((lifts[i+1]-lifts[i])/after - (lifts[i]-lifts[i-1])/before) / (before + after)
		second = append(second, s)
		most = math.Max(most, math.Abs(s))
	}
	count, sign := 0, 0.0
	for _, s := range second {
		if math.Abs(s) < 0.01*most {
			continue
		}
		if sign*s < 0 {
			count++
		}
		sign = s
	}
	return count
}
