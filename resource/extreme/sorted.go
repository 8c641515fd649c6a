package extreme

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// sorted are maxima, the smallest first.
type sorted []float64

func newSorted(maxima []float64) (sorted, error) {
	if len(maxima) < 2 {
		return nil, fmt.Errorf("%w: %d; at least 2 are needed", ErrTooFew, len(maxima))
	}
	for i, v := range maxima {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: number %d is %g", ErrNotFinite, i+1, v)
		}
	}
	s := slices.Clone(maxima)
	slices.Sort(s)
	if s[0] == s[len(s)-1] {
		return nil, fmt.Errorf("%w: %d of %g", ErrConstant, len(s), s[0])
	}
	return s, nil
}

func (s sorted) mean() float64 { return stat.Mean(s, nil) }

// sd is the standard deviation with n − 1.
func (s sorted) sd() float64 { return stat.StdDev(s, nil) }

// line fits the maxima to a + b·variate(plotting position), by least squares.
func (s sorted) line(variate func(p float64) float64) (a, b float64) {
	x := make([]float64, len(s))
	n := float64(len(s))
	for i := range x {
		x[i] = variate((float64(i+1) - 0.44) / (n + 0.12))
	}
	return stat.LinearRegression(x, s, nil, false)
}

// likeliest solves the Gumbel distribution's likelihood equations: with weights w = exp(−x/β),
//
//	β = mean − Σxw/Σw,  μ = −β·ln(Σw/n)
//
// The first has one root, as its right side falls with β and its left side rises, below the mean's distance from the smallest.
func (s sorted) likeliest() (scale, mode float64) {
	mean := s.mean()
	excess := func(beta float64) (f, logMeanWeight float64) {
		var sum, weighted float64
		for _, x := range s {
			w := math.Exp(-(x - s[0]) / beta)
			sum += w
			weighted += (x - s[0]) * w
		}
		return beta - (mean - s[0]) + weighted/sum, math.Log(sum / float64(len(s)))
	}
	low, high := 0.0, mean-s[0]
	for range 200 {
		scale = low + (high-low)/2
		if scale == low || scale == high {
			break
		}
		if f, _ := excess(scale); f < 0 {
			low = scale
		} else {
			high = scale
		}
	}
	_, logMean := excess(scale)
	return scale, s[0] - scale*logMean
}
