package resource

import (
	"fmt"
	"math"
	"slices"
)

// LeastSquaresWeight is the weight of a point of the distribution with cumulative share F between 0 and 1 in the
// LeastSquares fit, (1−F)·ln²(1−F)/F: the inverse of the variance that ln(−ln(1−F)) has from counting, to a constant.
// It is largest at F = 0.80 and falls to 0 at both ends, where a few values settle a point.
func LeastSquaresWeight(f float64) float64 {
	l := math.Log1p(-f)
	return (1 - f) * l * l / f
}

// line gathers weighed points (x, y) for a straight line.
type line struct{ w, x, y, xx, xy float64 }

// add puts in the point of speed v and cumulative share f.
func (l *line) add(v, f, weight float64) {
	x, y := math.Log(v), math.Log(-math.Log1p(-f))
	l.w += weight
	l.x += weight * x
	l.y += weight * y
	l.xx += weight * x * x
	l.xy += weight * x * y
}

// weibull reads the distribution off the line y = k·x − k·ln A.
func (l *line) weibull() (Weibull, error) {
	mx, my := l.x/l.w, l.y/l.w
	k := (l.xy/l.w - mx*my) / (l.xx/l.w - mx*mx)
	switch {
	case k > largestShape:
		return Weibull{}, errSteady()
	case !(k >= smallestShape):
		return Weibull{}, errWild()
	}
	return Weibull{Shape: k, Scale: math.Exp(mx - my/k)}, nil
}

// leastSquaresSpeeds takes one point for each different speed, at the middle of its ranks, with the weight of all of
// them. It sorts a copy.
func leastSquaresSpeeds(speeds []float64, n int) (Weibull, error) {
	sorted := make([]float64, 0, n)
	for _, v := range speeds {
		if v > 0 {
			sorted = append(sorted, v)
		}
	}
	slices.Sort(sorted)
	var l line
	for i := 0; i < n; {
		j := i + 1
		for j < n && sorted[j] == sorted[i] {
			j++
		}
		f := float64(i+j) / 2 / float64(n)
		l.add(sorted[i], f, float64(j-i)*LeastSquaresWeight(f))
		i = j
	}
	return l.weibull()
}

// leastSquaresHistogram takes one point at each upper edge, weighed by weight.
func leastSquaresHistogram(h Histogram, weight func(f float64) float64) (Weibull, error) {
	var l line
	blowing := 0.0
	for _, share := range h.Shares {
		blowing += share
	}
	sum, points := 0.0, 0
	for i, share := range h.Shares {
		sum += share
		// The last edge, where F is 1 but for rounding, has no place on the graph.
		if f := sum / blowing; f > 0 && f < 1-1e-12 {
			l.add(h.Edges[i+1], f, weight(f))
			points++
		}
	}
	if points < 2 {
		return Weibull{}, fmt.Errorf("%w: the histogram has %d edges with speeds on both sides; a line needs 2", ErrConstant, points)
	}
	return l.weibull()
}

// Graphical fits by the classical graph: the straight line of least squares through ln(−ln(1−F)) over ln v at the upper
// edges of a histogram's bins, every point counting the same. It is here to compare with published fits made that way.
// The few speeds in the fastest bins pull it as hard as all others together: LeastSquares weighs. Its errors are those
// of FitHistogram.
func Graphical(h Histogram) (Weibull, error) {
	if err := h.Validate(); err != nil {
		return Weibull{}, err
	}
	if _, err := binnedOf(h); err != nil {
		return Weibull{}, err
	}
	return leastSquaresHistogram(h, func(float64) float64 { return 1 })
}
