// Package ratio measures pieces of work against each other within one run, by turns, so that whatever else the machine is doing
// weighs on all of them alike.
package ratio

import (
	"math"
	"slices"
	"testing"
	"time"
)

// Report runs ours and theirs by turns, once each a loop of the benchmark, and reports how much faster ours was: 2 is twice as fast.
// It is the middle of the ratios turn by turn. What else a machine does comes and goes in patches longer than a turn, so that both of
// a turn see the same of it; the shortest time of each would be from different patches, and favours whichever is the shorter. Who goes
// first changes from turn to turn.
func Report(b *testing.B, unit string, ours, theirs func()) {
	b.Helper()
	ours()
	theirs() // once each without being measured, so that caches and connections are warm
	var ratios []float64
	for turn := 0; b.Loop(); turn++ {
		first, second := ours, theirs
		if turn%2 == 1 {
			first, second = theirs, ours
		}
		mine, other := took(first), took(second)
		if turn%2 == 1 {
			mine, other = other, mine
		}
		ratios = append(ratios, other.Seconds()/mine.Seconds())
	}
	b.ReportMetric(middle(ratios), unit)
}

// middle is the median; of an even number the mean of the two.
func middle(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// Growth runs works by turns, once each a loop of the benchmark, and reports the exponent by which their time grows with their
// sizes: 1 is linear, 0 does not grow. Times are the shortest of all turns.
func Growth(b *testing.B, unit string, sizes []float64, works []func()) {
	b.Helper()
	times := make([]float64, len(works))
	for i, work := range works {
		work()
		times[i] = math.Inf(1)
	}
	for b.Loop() {
		for i, work := range works {
			times[i] = min(times[i], took(work).Seconds())
		}
	}
	b.ReportMetric(Exponent(sizes, times), unit)
	b.ReportMetric(times[len(times)-1]/times[0], "x_the_time")
}

func took(work func()) time.Duration {
	began := time.Now()
	work()
	return time.Since(began)
}

// Exponent is the slope of the least-squares line through log(times) over log(sizes).
func Exponent(sizes, times []float64) float64 {
	var n, sx, sy, sxx, sxy float64
	for i := range sizes {
		x, y := math.Log(sizes[i]), math.Log(times[i])
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}
