package resource

import (
	"math"
	"slices"
)

// Sizes of the search for the distance.
const (
	distanceSortFrom = 2048    // fewer speeds are simply sorted
	distanceBins     = 1 << 16 // the most bins
	distancePerBin   = 8       // speeds a bin, on average
)

// distance is the Kolmogorov–Smirnov distance between w and the n speeds above zero, whose fastest is given: the largest
// gap between the two cumulative distributions. Large samples are not sorted as a whole. They are counted into narrow
// bins; the counts bound the gap in each bin from above and give it exactly at its edges; only the bins that may hold
// more than the largest gap at an edge are looked into, speed by speed. The result is the same.
func distance(w Weibull, speeds []float64, n int, fastest float64) float64 {
	if n < distanceSortFrom || fastest < cellsLow {
		sorted := make([]float64, 0, n)
		for _, v := range speeds {
			if v > 0 {
				sorted = append(sorted, v)
			}
		}
		slices.Sort(sorted)
		return sortedGap(w, sorted, 0, n)
	}
	bins := min(n/distancePerBin, distanceBins)
	perBin := float64(bins) / fastest // fastest·perBin may round to bins itself: one bin more than asked for
	counts := make([]int32, bins+1)
	for _, v := range speeds {
		if v > 0 {
			counts[int(v*perBin)]++
		}
	}
	atEdges, below := edgeGap(w, counts, perBin, n)
	return max(atEdges, insideGap(w, speeds, counts, below, perBin, n, atEdges))
}

// quickCDF is w.CDF for v above zero, right to 1e-15 absolutely and in half the time.
func quickCDF(w Weibull, v float64) float64 {
	return 1 - math.Exp(-math.Exp(w.Shape*math.Log(v/w.Scale)))
}

// sortedGap is the largest gap over speeds in rising order, of which before are slower, out of n.
func sortedGap(w Weibull, sorted []float64, before, n int) float64 {
	gap, each := 0.0, 1/float64(n)
	last, f := math.NaN(), 0.0
	for i, v := range sorted {
		if v != last {
			last, f = v, quickCDF(w, v)
		}
		gap = max(gap, float64(before+i+1)*each-f, f-float64(before+i)*each)
	}
	return gap
}

// edgeGap is the largest gap at the bins' edges, and for each bin the upper bound of the gap within it.
func edgeGap(w Weibull, counts []int32, perBin float64, n int) (gap float64, bounds []float64) {
	bounds = make([]float64, len(counts))
	each := 1 / float64(n)
	slower, fLow := 0, 0.0
	for i, c := range counts {
		if c == 0 && i+1 < len(counts) && counts[i+1] == 0 {
			// Between two empty bins the step function is level and w rises: the gap is larger at one of the ends of the stretch. Of
			// speeds written to a decimal or two nearly all bins are empty.
			continue
		}
		fHigh := quickCDF(w, float64(i+1)/perBin)
		low := float64(slower) * each
		slower += int(c)
		high := float64(slower) * each
		bounds[i] = max(high-fLow, fHigh-low)
		gap = max(gap, math.Abs(high-fHigh))
		fLow = fHigh
	}
	return gap, bounds
}

// insideGap is the largest gap within the bins whose bound is above a gap already found.
func insideGap(w Weibull, speeds []float64, counts []int32, bounds []float64, perBin float64, n int, found float64) float64 {
	const slack = 1e-12 // bins' edges are rounded
	starts := make([]int32, len(counts))
	total := int32(0)
	for i, c := range counts {
		starts[i] = -1
		if bounds[i] > found-slack && c > 0 {
			starts[i] = total
			total += c
		}
	}
	inside := make([]float64, total)
	for _, v := range speeds {
		if v <= 0 {
			continue
		}
		if i := int(v * perBin); starts[i] >= 0 {
			inside[starts[i]] = v
			starts[i]++
		}
	}
	gap, slower := 0.0, 0
	for i, c := range counts {
		if end := starts[i]; end >= 0 {
			bin := inside[end-c : end]
			slices.Sort(bin)
			gap = max(gap, sortedGap(w, bin, slower, n))
		}
		slower += int(c)
	}
	return gap
}

// binnedDistance is the largest gap at the histogram's edges, calms left out.
func binnedDistance(w Weibull, h Histogram) float64 {
	blowing := 0.0
	for _, share := range h.Shares {
		blowing += share
	}
	gap := w.CDF(h.Edges[0])
	sum := 0.0
	for i, share := range h.Shares {
		sum += share
		gap = max(gap, math.Abs(sum/blowing-w.CDF(h.Edges[i+1])))
	}
	return gap
}
