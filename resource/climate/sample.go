package climate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// Sorting goes by buckets: the bits of positive numbers rise as the numbers do, so the leading ones say where a speed
// belongs, and a bucket holds speeds that differ by 2⁻¹⁴ of themselves at most.
const (
	bucketShift = 52 - 14
	bucketsDown = 12 << 14 // what is slower than 2⁻¹² of the fastest shares the first bucket
)

// byInsertion is the longest bucket sorted by insertion.
const byInsertion = 48

// sortEntries sorts by speed; equals keep their order. The result is new.
func sortEntries(entries []entry) []entry {
	out := make([]entry, len(entries))
	if len(entries) == 0 {
		return out
	}
	slowest, fastest := math.Inf(1), 0.0
	for i := range entries {
		slowest, fastest = min(slowest, entries[i].v), max(fastest, entries[i].v)
	}
	top := int(math.Float64bits(fastest) >> bucketShift)
	base := max(int(math.Float64bits(slowest)>>bucketShift), top-bucketsDown)
	ends := make([]int32, top-base+2)
	for i := range entries {
		ends[max(int(math.Float64bits(entries[i].v)>>bucketShift)-base, 0)+1]++
	}
	for j := 1; j < len(ends); j++ {
		ends[j] += ends[j-1]
	}
	for i := range entries {
		j := max(int(math.Float64bits(entries[i].v)>>bucketShift)-base, 0)
		out[ends[j]] = entries[i]
		ends[j]++
	}
	begin := int32(0)
	for _, end := range ends[:len(ends)-1] {
		sortBucket(out[begin:end])
		begin = end
	}
	return out
}

func sortBucket(b []entry) {
	compare := func(a, b entry) int { return cmp.Compare(a.v, b.v) }
	if len(b) > byInsertion {
		if !slices.IsSortedFunc(b, compare) {
			slices.SortStableFunc(b, compare)
		}
		return
	}
	for i := 1; i < len(b); i++ {
		e, j := b[i], i
		for ; j > 0 && b[j-1].v > e.v; j-- {
			b[j] = b[j-1]
		}
		b[j] = e
	}
}

// point is a speed that occurs, and the sum of the weights of all its occurrences.
type point struct{ v, w float64 }

// sample is speeds above zero with weights, fit to be fitted.
type sample struct {
	points []point // rising
	n      int     // speeds
	calm   float64 // share of calms beside them, by weight
	weight float64 // sum of the weights
	// effective is the number of equally weighed speeds that tell as much, (Σw)²/Σw² (Kish 1965): n for equal weights.
	effective float64
	cells     cells
}

// newSample takes sorted entries, each with the weight of its month. Points are laid into scratch if they have room there.
func newSample(sorted []entry, weights *[12]float64, scratch []point) *sample {
	s := &sample{n: len(sorted), points: scratch[:0]}
	squares := 0.0
	for i := 0; i < len(sorted); {
		v, w := sorted[i].v, 0.0
		for ; i < len(sorted) && sorted[i].v == v; i++ {
			x := weights[sorted[i].month]
			w += x
			squares += x * x
		}
		s.weight += w
		s.points = append(s.points, point{v, w})
	}
	s.effective = s.weight * s.weight / squares
	return s
}

// check refuses what resource.FitSpeeds refuses.
func (s *sample) check() error {
	switch {
	case s.n < resource.FewestToFit:
		return fmt.Errorf("%w: %d are above zero; at least %d are needed", resource.ErrTooFew, s.n, resource.FewestToFit)
	case len(s.points) == 1:
		return fmt.Errorf("%w: all %d speeds above zero are %g m/s", resource.ErrConstant, s.n, s.points[0].v)
	case len(s.points) == 2:
		return fmt.Errorf("%w: the %d speeds above zero take only the values %g and %g m/s", resource.ErrConstant, s.n,
			s.points[0].v, s.points[1].v)
	}
	return nil
}

func (s *sample) fastest() float64 { return s.points[len(s.points)-1].v }

// moments are the weighed mean, standard deviation (with n−1 of the effective number) and mean cube.
func (s *sample) moments() (mean, sd, cube float64) {
	for _, p := range s.points {
		mean += p.w * p.v
		cube += p.w * p.v * p.v * p.v
	}
	mean /= s.weight
	for _, p := range s.points {
		sd += p.w * (p.v - mean) * (p.v - mean)
	}
	return mean, math.Sqrt(sd / s.weight * s.effective / (s.effective - 1)), cube / s.weight
}

// gapStride is how many points lie between those that bound the gap.
const gapStride = 32

// distance is the Kolmogorov–Smirnov distance between w and the weighed points: the largest gap between the two
// cumulative distributions. The gap is worked out at every 32nd point; what lies between two of them can only be larger
// where the rise of one distribution beyond the other's start allows it, and only there every point is looked at.
func (s *sample) distance(w resource.Weibull) float64 {
	gap, each := 0.0, 1/s.weight
	n := len(s.points)
	starts := make([]float64, 0, n/gapStride+2) // weight below each stride
	values := make([]float64, 0, n/gapStride+2) // w's CDF at its first point
	below := 0.0
	for i, p := range s.points {
		if i%gapStride == 0 {
			f := w.CDF(p.v)
			gap = max(gap, f-below*each, (below+p.w)*each-f)
			starts, values = append(starts, below), append(values, f)
		}
		below += p.w
	}
	starts, values = append(starts, below), append(values, 1)
	for j := range len(starts) - 1 {
		if max(values[j+1]-starts[j]*each, starts[j+1]*each-values[j]) <= gap {
			continue
		}
		below := starts[j]
		for _, p := range s.points[j*gapStride : min((j+1)*gapStride, n)] {
			f := w.CDF(p.v)
			gap = max(gap, f-below*each, (below+p.w)*each-f)
			below += p.w
		}
	}
	return gap
}
