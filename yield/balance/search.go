package balance

import (
	"cmp"
	"math"
	"slices"
)

// vanishing is the share of the rotor's moments below which an imbalance counts as none: what floating point leaves of a sum
// that is zero on paper.
const vanishing = 1e-13

// search looks through the orders of a set of moments. A rotor may be turned and looked at from behind, so the first blade
// keeps its place and the second stays in one half: 11!/2 orders of 12 blades, and most of those are cut off early.
type search struct {
	n          int
	cos, sin   [MaxBlades]float64 // of the places
	deviations [MaxBlades]float64 // moments less their median, the largest first: an even moment all round cancels out
	rest       [MaxBlades + 1]float64
	free       uint32 // places not yet taken, a bit each
	place      [MaxBlades]int
	bestPlace  [MaxBlades]int
	best       float64 // smallest imbalance found
	enough     float64 // an imbalance this small cannot be bettered
}

// bestOrder is the order of moments, by index and clockwise, with the least imbalance. It starts with moment 0 and goes round
// the way that puts the lower of its two neighbours second.
func bestOrder(moments []float64) []int {
	n := len(moments)
	byWeight := make([]int, n)
	sorted := slices.Clone(moments)
	slices.Sort(sorted)
	centre := sorted[n/2]
	sum := 0.0
	for i := range byWeight {
		byWeight[i] = i
		sum += moments[i]
	}
	slices.SortFunc(byWeight, func(a, b int) int {
		da, db := moments[a]-centre, moments[b]-centre
		return cmp.Or(cmp.Compare(math.Abs(db), math.Abs(da)), cmp.Compare(db, da), cmp.Compare(a, b))
	})
	s := search{n: n, best: math.Inf(1), enough: vanishing * sum, free: 1<<n - 2}
	for k, i := range byWeight {
		s.sin[k], s.cos[k] = math.Sincos(2 * math.Pi * float64(k) / float64(n))
		s.deviations[k] = moments[i] - centre
	}
	for k := n - 1; k >= 0; k-- {
		s.rest[k] = s.rest[k+1] + math.Abs(s.deviations[k])
	}
	s.put(1, s.deviations[0], 0)

	order := make([]int, n)
	for k, i := range byWeight {
		order[s.bestPlace[k]] = i
	}
	return turned(order)
}

// put tries blade k, counted by weight, in every place that is free; x and y are the sum of the blades placed before.
func (s *search) put(k int, x, y float64) {
	d := s.deviations[k]
	from, to := 1, s.n-1
	if k == 1 {
		to = s.n / 2 // the other half is this one in a mirror
	}
	if s.deviations[k-1] == d {
		from = s.place[k-1] + 1 // twins need not change places
	}
	rest := s.rest[k+1]
	for p := from; p <= to; p++ {
		if s.free&(1<<p) == 0 {
			continue
		}
		x, y := x+d*s.cos[p], y+d*s.sin[p]
		// What is left can at most point straight back.
		if reach := s.best + rest; x*x+y*y >= reach*reach {
			continue
		}
		s.place[k] = p
		if k == s.n-1 {
			s.best, s.bestPlace = math.Hypot(x, y), s.place
			return // the last blade has one place
		}
		s.free &^= 1 << p
		s.put(k+1, x, y)
		s.free |= 1 << p
		if s.best <= s.enough {
			return
		}
	}
}

// turned writes one order of a ring in one way: moment 0 first, then the lower of its neighbours.
func turned(order []int) []int {
	n := len(order)
	first := slices.Index(order, 0)
	step := 1
	if order[(first+1)%n] > order[(first+n-1)%n] {
		step = n - 1
	}
	out := make([]int, n)
	for k := range out {
		out[k] = order[(first+k*step)%n]
	}
	return out
}

// vector is the imbalance of moments in an order: its size and the angle of its heavy side in degrees clockwise from the
// first place, NaN where there is none.
func vector(moments []float64, order []int) (size, angleDeg float64) {
	n := float64(len(order))
	sum := 0.0
	for _, i := range order {
		sum += moments[i]
	}
	mean := sum / n
	x, y := 0.0, 0.0
	for k, i := range order {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
		x += (moments[i] - mean) * cos
		y += (moments[i] - mean) * sin
	}
	if size = math.Hypot(x, y); size <= vanishing*sum {
		return 0, math.NaN()
	}
	return size, degrees(math.Atan2(y, x))
}

// degrees is an angle in [0, 360).
func degrees(radians float64) float64 {
	d := math.Mod(radians*180/math.Pi, 360)
	if d < 0 {
		d += 360
	}
	if d >= 360 {
		return 0
	}
	return d
}
