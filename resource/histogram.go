package resource

import (
	"errors"
	"fmt"
	"math"
)

// Histogram is a frequency distribution of wind speed. Bin i holds the speeds from Edges[i] up to but not including
// Edges[i+1]; calms, speeds of exactly zero, stand apart where they are known.
type Histogram struct {
	Edges  []float64 // m/s, rising, at least 0; one more than there are bins
	Shares []float64 // of all time, one a bin; they and Calm add up to 1
	Means  []float64 // mean speed of each bin, m/s; nil where only the edges are known, and middles serve
	Calm   float64   // share of all time that is calm; 0 where calms are in the first bin
	Count  int       // how many speeds, calms included, it was counted from; 0 where unknown
}

// ErrHistogram says that a histogram contradicts itself.
var ErrHistogram = errors.New("not a frequency distribution")

// binsEvenly is how many bins of equal width NewHistogram makes at most; what is faster shares one last bin.
const binsEvenly = 400

// NewHistogram counts speeds, m/s, into bins of a width, m/s, from zero to the fastest. It is exact: a speed is compared
// with the very numbers in Edges. Means holds each bin's mean (the middle of an empty bin). Anything that is not a speed,
// that is NaN, infinite or negative, is missing: it is in no bin and not in Count. Above 400 bins' width all speeds share
// one wide last bin, so that a single absurd value costs no memory. Without any speed there are no bins.
// It panics for a width that is not above zero.
func NewHistogram(speeds []float64, width float64) Histogram {
	if !(width > 0) || math.IsInf(width, 1) {
		panic("resource: histogram width must be above zero")
	}
	var counts [binsEvenly + 1]int
	var sums [binsEvenly + 1]float64
	calm, n, fastest := 0, 0, 0.0
	inverse := 1 / width
	for _, v := range speeds {
		if !(v >= 0 && v <= math.MaxFloat64) {
			continue
		}
		n++
		if v == 0 {
			calm++
			continue
		}
		i := binOf(v, width, inverse)
		counts[i]++
		sums[i] += v
		fastest = max(fastest, v)
	}
	if n == 0 {
		return Histogram{}
	}
	bins := binOf(fastest, width, inverse) + 1
	h := Histogram{
		Edges:  make([]float64, bins+1),
		Shares: make([]float64, bins),
		Means:  make([]float64, bins),
		Calm:   float64(calm) / float64(n),
		Count:  n,
	}
	for i := range bins {
		h.Edges[i+1] = float64(i+1) * width
		h.Shares[i] = float64(counts[i]) / float64(n)
		h.Means[i] = (float64(i) + 0.5) * width
		if counts[i] > 0 {
			h.Means[i] = sums[i] / float64(counts[i])
		}
	}
	if bins > binsEvenly {
		h.Edges[bins] = math.Nextafter(fastest, math.Inf(1))
	}
	return h
}

// binOf is the bin whose edges, as NewHistogram writes them, hold v.
func binOf(v, width, inverse float64) int {
	if v >= binsEvenly*width {
		return binsEvenly
	}
	i := int(v * inverse)
	if v < float64(i)*width {
		return i - 1
	}
	if v >= float64(i+1)*width {
		return i + 1
	}
	return i
}

// Validate reports the first contradiction, wrapping ErrHistogram: no bins, edges that do not rise or fall below zero,
// shares that are negative, not finite or do not add up to 1 within 1e-6, means outside their bins.
func (h Histogram) Validate() error {
	if len(h.Shares) == 0 {
		return fmt.Errorf("%w: it has no bins", ErrHistogram)
	}
	if len(h.Edges) != len(h.Shares)+1 {
		return fmt.Errorf("%w: %d bins need %d edges, not %d", ErrHistogram, len(h.Shares), len(h.Shares)+1, len(h.Edges))
	}
	if h.Means != nil && len(h.Means) != len(h.Shares) {
		return fmt.Errorf("%w: %d bins need as many means, not %d", ErrHistogram, len(h.Shares), len(h.Means))
	}
	if !(h.Edges[0] >= 0) {
		return fmt.Errorf("%w: it begins at %g m/s; speeds begin at 0", ErrHistogram, h.Edges[0])
	}
	if !(h.Calm >= 0 && h.Calm <= 1) {
		return fmt.Errorf("%w: the share of calms is %g; it must lie between 0 and 1", ErrHistogram, h.Calm)
	}
	sum := h.Calm
	for i, share := range h.Shares {
		lo, hi := h.Edges[i], h.Edges[i+1]
		switch {
		case !(hi > lo) || math.IsInf(hi, 1):
			return fmt.Errorf("%w: bin %d runs from %g to %g m/s; its end must be above its beginning", ErrHistogram, i+1, lo, hi)
		case !(share >= 0 && share <= 1):
			return fmt.Errorf("%w: bin %d (%g to %g m/s) has a share of %g; it must lie between 0 and 1", ErrHistogram, i+1, lo, hi, share)
		case h.Means != nil && !(h.Means[i] >= lo && h.Means[i] <= hi):
			return fmt.Errorf("%w: bin %d (%g to %g m/s) has a mean of %g m/s", ErrHistogram, i+1, lo, hi, h.Means[i])
		}
		sum += share
	}
	if !(math.Abs(sum-1) <= 1e-6) {
		return fmt.Errorf("%w: the shares add up to %g instead of 1", ErrHistogram, sum)
	}
	return nil
}

// speed is the speed bin i stands for, m/s.
func (h Histogram) speed(i int) float64 {
	if h.Means != nil {
		return h.Means[i]
	}
	return (h.Edges[i] + h.Edges[i+1]) / 2
}

// Scaled is the histogram of all speeds times f, f above 0.
func (h Histogram) Scaled(f float64) Histogram {
	scaled := func(in []float64) []float64 {
		if in == nil {
			return nil
		}
		out := make([]float64, len(in))
		for i, v := range in {
			out[i] = v * f
		}
		return out
	}
	h.Edges, h.Means = scaled(h.Edges), scaled(h.Means)
	return h
}

// Mean is the mean speed over all time, calms included, m/s: exact with Means, else from the bins' middles. NaN without
// bins.
func (h Histogram) Mean() float64 {
	if len(h.Shares) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for i, share := range h.Shares {
		sum += share * h.speed(i)
	}
	return sum
}

// MeanCube is the mean of the cubed speed over all time, calms included, m³/s³; NaN without bins. With Means the spread
// of speeds within a bin, width²/12, is added to its mean: m³ + m·width²/4. Middles need no such addition, for taking a
// smooth distribution at the bins' middles already spreads it, by as much (Sheppard's correction).
func (h Histogram) MeanCube() float64 {
	if len(h.Shares) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for i, share := range h.Shares {
		v := h.speed(i)
		cube := v * v * v
		if w := h.Edges[i+1] - h.Edges[i]; h.Means != nil {
			cube += v * w * w / 4
		}
		sum += share * cube
	}
	return sum
}
