package shelter

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// CoverPolygon is an outline of ground (longitude, latitude in degrees) and the caller's number for it, 0 or more.
type CoverPolygon struct {
	Polygon orb.Polygon
	Index   int
}

// General is the index of ground that no polygon covers.
const General = -1

// CoverReachM is how far from the mast a change of ground is looked for, m.
const CoverReachM = 20000

// changeHolds is up to how many times its distance a change of ground must hold to count.
const changeHolds = 4

// Seen is the ground that wind from one direction blows over.
type Seen struct {
	At        int     // index of the polygon around the mast; General for none
	ChangeAtM float64 // how far from the mast the ground changes, m; NaN where it does not
	Then      int     // what lies beyond; At where it does not change
}

// CoverSectors says what ground the wind crosses on its way to the mast, along the middle of each of 36 directions, as
// one change at most. Holes are not of their polygon. Where polygons overlap, the one listed first counts.
//
// Taken is the nearest change after which other ground holds for most of the way on to four times as far, each spot
// counting by the inverse of its distance; narrower strips, such as a road, are passed over. Polygons must pass
// CheckPolygon.
func CoverSectors(mast orb.Point, polygons []CoverPolygon) [DirectionCount]Seen {
	outlines := make([][][]vector, len(polygons))
	for i, c := range polygons {
		for _, ring := range c.Polygon {
			outlines[i] = append(outlines[i], flatten(mast, ring))
		}
	}
	var seen [DirectionCount]Seen
	var r ray
	for d := range seen {
		sin, cos := math.Sincos(radians(step * float64(d)))
		r.cast(vector{sin, cos}, outlines, polygons)
		seen[d] = r.change()
	}
	return seen
}

// ray is the ground along a line from the mast: from marks[i].at to the next mark it is marks[i].index.
type ray struct {
	crossed []crossed
	inside  []bool
	marks   []mark
}

type crossed struct {
	at      float64
	polygon int
}

type mark struct {
	at    float64
	index int
}

// cast finds where a line in the direction of a unit vector crosses outlines.
func (r *ray) cast(along vector, outlines [][][]vector, polygons []CoverPolygon) {
	r.crossed, r.marks = r.crossed[:0], r.marks[:0]
	r.inside = append(r.inside[:0], make([]bool, len(outlines))...)
	for i, rings := range outlines {
		for _, ring := range rings {
			for k := 1; k < len(ring); k++ {
				a, b := ring[k-1], ring[k]
				u, v := along.right(a), along.right(b)
				if (u > 0) == (v > 0) { // an end on the line counts as left of it, once
					continue
				}
				t := u / (u - v)
				if at := along.dot(a) + t*along.dot(b.minus(a)); at > 0 {
					r.crossed = append(r.crossed, crossed{at, i})
					r.inside[i] = !r.inside[i] // an odd number of crossings: the mast is inside
				}
			}
		}
	}
	slices.SortFunc(r.crossed, func(a, b crossed) int { return cmp.Compare(a.at, b.at) })
	r.marks = append(r.marks, mark{0, r.ground(polygons)})
	for _, c := range r.crossed {
		r.inside[c.polygon] = !r.inside[c.polygon]
		if now := r.ground(polygons); now != r.marks[len(r.marks)-1].index {
			r.marks = append(r.marks, mark{c.at, now})
		}
	}
}

func (r *ray) ground(polygons []CoverPolygon) int {
	for i, in := range r.inside {
		if in {
			return polygons[i].Index
		}
	}
	return General
}

// change boils the ground along the line down to one change.
func (r *ray) change() Seen {
	here := r.marks[0].index
	for i, m := range r.marks[1:] {
		if m.at > CoverReachM {
			break
		}
		if m.index == here {
			continue
		}
		if then := r.most(i+1, m.at, changeHolds*m.at); then != here {
			return Seen{At: here, ChangeAtM: m.at, Then: then}
		}
	}
	return Seen{At: here, ChangeAtM: math.NaN(), Then: here}
}

// most is the ground that covers most from one distance to another, by logarithm; of equals the nearer. It begins at the
// mark first.
func (r *ray) most(first int, from, to float64) int {
	best, most := r.marks[first].index, 0.0
	for i := first; i < len(r.marks) && r.marks[i].at < to; i++ {
		index, sum := r.marks[i].index, 0.0
		for k := first; k < len(r.marks); k++ {
			if r.marks[k].index != index {
				continue
			}
			lo, hi := math.Max(from, r.marks[k].at), to
			if k+1 < len(r.marks) {
				hi = math.Min(to, r.marks[k+1].at)
			}
			if hi > lo {
				sum += math.Log(hi / lo)
			}
		}
		if sum > most*(1+1e-9) {
			best, most = index, sum
		}
	}
	return best
}
