package climate

import (
	"math"
	"slices"
)

// Ranks of many values are looked for in buckets: counting them costs less than comparing.
const (
	rankBuckets  = 1024
	bucketedFrom = 2 * rankBuckets
)

// quantile is the p-quantile of finite values, between ranks by straight line (type 7 of Hyndman & Fan 1996); NaN for none.
// It reorders them.
func quantile(values []float64, p float64) float64 {
	n := len(values)
	if n == 0 {
		return math.NaN()
	}
	at := p * float64(n-1)
	k := int(at)
	low, high := ranked(values, k)
	return low + (at-float64(k))*(high-low)
}

// ranked gives the values of rank k, counted from 0, and k+1 (k again where it is the last). It reorders them.
func ranked(values []float64, k int) (low, high float64) {
	if len(values) >= bucketedFrom {
		values, k = around(values, k)
	}
	selectRank(values, k)
	if k+1 == len(values) {
		return values[k], values[k]
	}
	return values[k], slices.Min(values[k+1:])
}

// around keeps only the values in the buckets of rank k and k+1, copied, and gives the new rank.
func around(values []float64, k int) (kept []float64, rank int) {
	lowest, highest := values[0], values[0]
	for _, v := range values {
		lowest, highest = min(lowest, v), max(highest, v)
	}
	scale := (rankBuckets - 1) / (highest - lowest)
	if !(scale > 0 && scale <= math.MaxFloat64) { // all alike, or too far apart for a difference
		return values, k
	}
	var counts [rankBuckets + 1]int // rounding may reach one beyond
	for _, v := range values {
		counts[int((v-lowest)*scale)]++
	}
	first, below := 0, 0
	for below+counts[first] <= k {
		below += counts[first]
		first++
	}
	last := first
	for upTo := below + counts[first]; upTo <= k+1 && last < rankBuckets; {
		last++
		upTo += counts[last]
	}
	size := 0
	for _, n := range counts[first : last+1] {
		size += n
	}
	kept = make([]float64, 0, size)
	for _, v := range values {
		if b := int((v - lowest) * scale); b >= first && b <= last {
			kept = append(kept, v)
		}
	}
	return kept, k - below
}

// selectRank reorders values so that the one of rank k, counted from 0, stands at k, none larger before it and none
// smaller after it (Hoare 1961). What a bad choice of pivots leaves after many rounds is sorted.
func selectRank(values []float64, k int) {
	const rounds, short = 64, 16
	lo, hi := 0, len(values)-1
	for round := 0; round < rounds && hi-lo > short; round++ {
		a, b, c := values[lo], values[(lo+hi)/2], values[hi]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := lo, hi
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
	slices.Sort(values[lo : hi+1])
}
