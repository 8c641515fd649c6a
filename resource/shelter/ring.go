package shelter

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// VerticesMost is the most positions an outline may have.
const VerticesMost = 2000

// CheckPolygon finds what makes a polygon (longitude, latitude in degrees) useless as an outline of an obstacle or of
// ground, with its holes: a *Fault of the field "geometry" that names the place, or nil.
func CheckPolygon(p orb.Polygon) error {
	if len(p) == 0 {
		return fault("geometry", "the polygon has no outline")
	}
	for i, r := range p {
		if err := checkRing(ringName(i), r); err != nil {
			return err
		}
	}
	return nil
}

func ringName(i int) string {
	if i == 0 {
		return "the outline"
	}
	return fmt.Sprintf("hole %d", i)
}

func checkRing(name string, r orb.Ring) error {
	if err := checkPositions(name, r); err != nil {
		return err
	}
	switch {
	case len(r) < 4:
		return fault("geometry", "%s has %d positions; a closed outline needs 4 or more, the last as the first", name, len(r))
	case r[0] != r[len(r)-1]:
		return fault("geometry", "%s is not closed: it begins at %s and ends at %s; repeat the first position at the end",
			name, place(r[0]), place(r[len(r)-1]))
	}
	corners := slices.Compact(slices.Clone(r))
	if len(corners) < 4 {
		return fault("geometry", "%s has no area: its positions are %d different ones", name, len(corners)-1)
	}
	if at, ok := crossing(corners); ok {
		return fault("geometry", "%s crosses or touches itself near %s; draw it so that it goes round once", name, place(at))
	}
	return nil
}

// checkPositions wants positions on the globe, and not too many.
func checkPositions(name string, points []orb.Point) error {
	if n := len(points); n > VerticesMost {
		return fault("geometry", "%s has %d positions; %d are enough for any: simplify it", name, n, VerticesMost)
	}
	for _, p := range points {
		if !(math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90) {
			return fault("geometry", "%s has a position of %g, %g; positions are longitude, then latitude, in degrees (WGS84)",
				name, p[0], p[1])
		}
	}
	return nil
}

func place(p orb.Point) string { return fmt.Sprintf("longitude %.6f, latitude %.6f", p[0], p[1]) }

// crossing finds two stretches of a closed outline that meet other than one after the other end to end.
func crossing(ring []orb.Point) (at orb.Point, found bool) {
	flat := make([]vector, len(ring)) // degrees do: stretching the plane makes no crossing, and keeps the digits as given
	for i, p := range ring {
		flat[i] = vector{math.Remainder(p[0]-ring[0][0], 360), p[1] - ring[0][1]}
	}
	n := len(flat) - 1
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	west := func(i int) float64 { return math.Min(flat[i].e, flat[i+1].e) }
	slices.SortFunc(order, func(a, b int) int {
		switch x, y := west(a), west(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a - b
	})
	for k, i := range order {
		east := math.Max(flat[i].e, flat[i+1].e)
		for _, j := range order[k+1:] {
			if west(j) > east {
				break
			}
			if meet(flat, n, min(i, j), max(i, j)) {
				return ring[j], true
			}
		}
	}
	return at, false
}

// meet reports whether stretches i < j of n have a point in common that they should not.
func meet(flat []vector, n, i, j int) bool {
	a, b, c, d := flat[i], flat[i+1], flat[j], flat[j+1]
	switch {
	case j == i+1:
		return foldsBack(a, b, d)
	case i == 0 && j == n-1:
		return foldsBack(c, d, b)
	}
	ab, cd := b.minus(a), d.minus(c)
	ca, cb := ab.right(c.minus(a)), ab.right(d.minus(a))
	ac, bc := cd.right(a.minus(c)), cd.right(b.minus(c))
	if ca*cb < 0 && ac*bc < 0 {
		return true
	}
	return ca == 0 && between(a, b, c) || cb == 0 && between(a, b, d) || ac == 0 && between(c, d, a) || bc == 0 && between(c, d, b)
}

// foldsBack reports whether an outline turns back over itself at b, to within 1e-9 of a radian.
func foldsBack(a, b, c vector) bool {
	back, on := a.minus(b), c.minus(b)
	return back.dot(on) > 0 && math.Abs(back.right(on)) <= 1e-9*back.length()*on.length()
}

// between reports whether p, on the line through a and b, is between them.
func between(a, b, p vector) bool { return p.minus(a).dot(p.minus(b)) <= 0 }
