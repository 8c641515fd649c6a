package spread

import (
	"math"
	"sort"
)

// nodeSlopes are the slopes of the polynomial of degree four through the five nearest nodes, limited so that the cubics
// between the nodes do not overshoot (Hyman 1983, SIAM J. Sci. Stat. Comput. 4, from memory).
func nodeSlopes(x, y []float64) []float64 {
	const window = 5
	d := make([]float64, len(x))
	for i := range x {
		first := min(max(i-window/2, 0), len(x)-window)
		for j := first; j < first+window; j++ {
			if j == i {
				continue
			}
			weight := 1 / (x[j] - x[i])
			for k := first; k < first+window; k++ {
				if k != i && k != j {
					weight *= (x[i] - x[k]) / (x[j] - x[k])
				}
			}
			d[i] += weight * (y[j] - y[i])
		}
	}
	limitSlopes(x, y, d)
	return d
}

// limitSlopes holds each slope to three times the smaller of the neighbouring chords, with their sign where they agree: enough
// for cubics that rise where the nodes rise. Beside a smooth top that would flatten it, so there a slope need only lie between
// its two chords.
func limitSlopes(x, y, d []float64) {
	n := len(x)
	chords := make([]float64, n-1)
	for i := range chords {
		chords[i] = (y[i+1] - y[i]) / (x[i+1] - x[i])
	}
	for i := range d {
		before, after := chords[max(i-1, 0)], chords[min(i, n-2)]
		low, high := min(before, after), max(before, after)
		if !besideTop(chords, i) {
			bound := 3 * math.Min(math.Abs(before), math.Abs(after))
			low, high = -bound, bound
			if before > 0 && after > 0 {
				low = 0
			} else if before < 0 && after < 0 {
				high = 0
			}
		}
		d[i] = min(max(d[i], low), high)
	}
}

// besideTop reports whether the four chords around a node bend one way and change their sign.
func besideTop(chords []float64, node int) bool {
	if node < 2 || node+2 > len(chords) {
		return false
	}
	a, b, c, d := chords[node-2], chords[node-1], chords[node], chords[node+1]
	bends := a > b && b > c && c > d || a < b && b < c && c < d
	return bends && a*d < 0
}

// cubic is the Hermite cubic through nodes with slopes, and its slope, at a place within them.
func cubic(x, y, d []float64, at float64) (value, slope float64) {
	i := min(max(sort.SearchFloat64s(x, at)-1, 0), len(x)-2)
	step := x[i+1] - x[i]
	f := (at - x[i]) / step
	rise, a, b := y[i+1]-y[i], d[i]*step, d[i+1]*step
	c2, c3 := 3*rise-2*a-b, a+b-2*rise
	return y[i] + f*(a+f*(c2+f*c3)), (a + f*(2*c2+3*f*c3)) / step
}
