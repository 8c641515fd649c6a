package shelter

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
)

// vector is a place on the plane that touches the globe at the mast: m east, m north.
type vector struct{ e, n float64 }

// onPlane keeps a place's great-circle distance and bearing from the mast, so that both are those of the globe.
func onPlane(mast, p orb.Point) vector {
	d := geo.DistanceHaversine(mast, p)
	sin, cos := math.Sincos(radians(geo.Bearing(mast, p)))
	return vector{d * sin, d * cos}
}

func flatten[P ~[]orb.Point](mast orb.Point, points P) []vector {
	flat := make([]vector, len(points))
	for i, p := range points {
		flat[i] = onPlane(mast, p)
	}
	return flat
}

func (a vector) minus(b vector) vector   { return vector{a.e - b.e, a.n - b.n} }
func (a vector) dot(b vector) float64    { return a.e*b.e + a.n*b.n }
func (a vector) length() float64         { return math.Hypot(a.e, a.n) }
func (a vector) bearing() float64        { return degrees(math.Atan2(a.e, a.n)) }
func (a vector) right(b vector) float64  { return b.e*a.n - b.n*a.e } // above 0 where b is clockwise of a
func (a vector) turnTo(b vector) float64 { return degrees(math.Atan2(a.right(b), a.dot(b))) }

// nearest is the distance of the stretch a to b from the mast.
func nearest(a, b vector) float64 {
	along := b.minus(a)
	t := 0.0
	if l := along.dot(along); l > 0 {
		t = math.Max(0, math.Min(1, -a.dot(along)/l))
	}
	return vector{a.e + t*along.e, a.n + t*along.n}.length()
}

// sight is one stretch of an outline as seen from the mast: it fills the bearings from lo to hi, degrees, unwound, so
// that they go on beyond a full turn. Its line is foot m away at the bearing middle, or runs straight away from the mast.
type sight struct {
	lo, hi           float64
	atLo, atHi, foot float64 // distances, m
	middle           float64
}

// sights unwinds an outline; lo and hi are the outermost bearings of all of it.
func sights(outline []vector) (seen []sight, lo, hi float64) {
	at := outline[0].bearing()
	lo, hi = at, at
	for i := 1; i < len(outline); i++ {
		a, b := outline[i-1], outline[i]
		by := a.turnTo(b)
		s := sight{lo: at, hi: at + by, atLo: a.length(), atHi: b.length()}
		if by < 0 {
			s = sight{lo: at + by, hi: at, atLo: b.length(), atHi: a.length()}
		}
		along := b.minus(a)
		s.foot = math.Abs(a.right(along)) / along.length()
		t := -a.dot(along) / along.dot(along)
		s.middle = at + a.turnTo(vector{a.e + t*along.e, a.n + t*along.n})
		seen = append(seen, s)
		at += by
		lo, hi = math.Min(lo, at), math.Max(hi, at)
	}
	return seen, lo, hi
}

// within is the least distance of the stretch between two bearings; +Inf where it has none there.
func (s *sight) within(lo, hi float64) float64 {
	if hi < s.lo || lo > s.hi {
		return math.Inf(1)
	}
	lo, hi = math.Max(lo, s.lo), math.Min(hi, s.hi)
	if s.middle >= lo && s.middle <= hi && s.foot > 0 {
		return s.foot
	}
	return math.Min(s.along(lo), s.along(hi))
}

// along is the distance of the line at a bearing inside the stretch.
func (s *sight) along(bearing float64) float64 {
	switch {
	case bearing <= s.lo:
		if s.lo == s.hi {
			return math.Min(s.atLo, s.atHi)
		}
		return s.atLo
	case bearing >= s.hi:
		return s.atHi
	}
	d := s.foot / math.Cos(radians(bearing-s.middle))
	if near := math.Min(s.atLo, s.atHi); !(d >= s.foot) || math.IsInf(d, 1) {
		return near // a stretch that runs nearly straight at the mast
	}
	return math.Min(d, math.Max(s.atLo, s.atHi))
}

// winding is how often the closed outline goes round the mast, clockwise.
func winding(outline []vector) int {
	turned := 0.0
	for i := 1; i < len(outline); i++ {
		turned += outline[i-1].turnTo(outline[i])
	}
	return int(math.Round(turned / 360))
}
