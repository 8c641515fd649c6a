package spread

import (
	"math"
	"slices"
)

// quantile is that of sorted values at a probability: straight between the values, the r-th of M standing for (r − ½)/M
// (JCGM 101, 7.5).
func quantile(sorted []float64, p float64) float64 {
	n := len(sorted)
	x := p*float64(n) - 0.5
	switch {
	case x <= 0:
		return sorted[0]
	case x >= float64(n-1):
		return sorted[n-1]
	}
	i := int(x)
	f := x - float64(i)
	if f == 0 || sorted[i] == sorted[i+1] { // also where both are infinite
		return sorted[i]
	}
	return sorted[i] + f*(sorted[i+1]-sorted[i])
}

// shortest is the narrowest interval of sorted values with a coverage probability (JCGM 101, 7.7.4).
func shortest(sorted []float64, p float64) Interval {
	n := len(sorted)
	q := min(int(p*float64(n)+0.5), n-1)
	best := Interval{sorted[0], sorted[q]}
	for r := 1; r+q < n; r++ {
		if sorted[r+q]-sorted[r] < best.High-best.Low {
			best = Interval{sorted[r], sorted[r+q]}
		}
	}
	return best
}

// moments are the mean and the standard deviation, by two passes.
func moments(values []float64) (mean, sd float64) {
	for _, v := range values {
		mean += v
	}
	mean /= float64(len(values))
	sum := 0.0
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sum / float64(len(values)))
}

// exceedance are the levels' probabilities.
var exceedance = [5]float64{0.50, 0.75, 0.90, 0.95, 0.99}

// spreadOf is the distribution of values drawn in blocks of a size. exceeded is for outputs of which more is better.
func spreadOf(by *sorter, values []float64, size int, exceeded bool) Spread {
	if math.IsNaN(values[0]) {
		return unknown()
	}
	blocks := len(values) / size
	sorted, parts := by.sort(values, size)
	means, sds := make([]float64, blocks), make([]float64, blocks)
	for b := range blocks {
		means[b], sds[b] = moments(parts[b*size : (b+1)*size])
	}
	var s Spread
	for i, to := range []*Level{&s.P50, &s.P75, &s.P90, &s.P95, &s.P99} {
		p := exceedance[i]
		if exceeded {
			p = 1 - p
		}
		to.Value = quantile(sorted, p)
		to.SamplingError = quantileError(parts, sorted, size, p, to.Value)
	}
	mean, sd := moments(sorted)
	s.Mean, s.SD = Level{mean, scatter(means)}, Level{sd, scatter(sds)}
	if math.IsInf(mean, 0) {
		s.Mean, s.SD = Level{math.NaN(), math.NaN()}, Level{math.NaN(), math.NaN()}
	}
	tail := (1 - CoverageProbability) / 2
	s.Symmetric = Interval{quantile(sorted, tail), quantile(sorted, 1-tail)}
	s.Shortest = shortest(sorted, CoverageProbability)
	return s
}

// quantileError is a quantile's standard error: that of the share of draws below it, from the blocks' scatter, over the density
// there (Woodruff 1952). The share is not told finer than half a draw. NaN where values nearby are not finite.
func quantileError(parts, sorted []float64, size int, p, value float64) float64 {
	n := float64(len(sorted))
	shares := make([]float64, len(parts)/size)
	for b := range shares {
		below, _ := slices.BinarySearch(parts[b*size:(b+1)*size], value)
		shares[b] = float64(below) / float64(size)
	}
	of := math.Hypot(scatter(shares), 0.5/n)
	reach := math.Sqrt(p * (1 - p) / n) // what plain sampling would leave open: wide enough to see the density
	low, high := max(0, p-reach), min(1, p+reach)
	out := of * (quantile(sorted, high) - quantile(sorted, low)) / (high - low)
	if math.IsInf(out, 0) {
		return math.NaN()
	}
	return out
}

// scatter is the standard error of the mean of independent values; NaN where some are not finite.
func scatter(values []float64) float64 {
	_, sd := moments(values)
	return sd / math.Sqrt(float64(len(values)-1))
}

// unknown is the spread of what is not known.
func unknown() Spread {
	nan := math.NaN()
	l, i := Level{nan, nan}, Interval{nan, nan}
	return Spread{Central: nan, P50: l, P75: l, P90: l, P95: l, P99: l, Mean: l, SD: l, Symmetric: i, Shortest: i, Together: nan}
}

// scaled is the spread times a factor; the shares stay.
func (s Spread) scaled(f float64) Spread {
	s.Central *= f
	for _, l := range []*Level{&s.P50, &s.P75, &s.P90, &s.P95, &s.P99, &s.Mean, &s.SD} {
		l.Value *= f
		l.SamplingError *= f
	}
	for _, i := range []*Interval{&s.Symmetric, &s.Shortest} {
		i.Low *= f
		i.High *= f
	}
	return s
}
