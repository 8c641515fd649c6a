package shelter

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
	"pgregory.net/rapid"
)

var mast = orb.Point{-1.25, 52.5}

// plain is what a test's shapes are like.
var plain = Properties{Name: "thing", HeightM: 10, Porosity: 0.4, GrowthMPerYear: 0.2}

// at is a place by bearing and distance from the mast, by orb.
func at(bearing, distance float64) orb.Point {
	return geo.PointAtBearingAndDistance(mast, bearing, distance)
}

func seen(t reporter, g orb.Geometry, p Properties) []Obstacle {
	t.Helper()
	o, err := FromGeometry(mast, g, p)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestPlane holds the plane to orb's great circles, and to the lengths of a degree on the WGS84 ellipsoid at 0, 45 and
// 60° of latitude (from memory): orb's sphere is within 0.7 % of it.
func TestPlane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := orb.Point{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-75, 75).Draw(t, "lat")}
		b := geo.PointAtBearingAndDistance(a, rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(1, 5000).Draw(t, "distance"))
		v, d := onPlane(a, b), geo.DistanceHaversine(a, b)
		near(t, "distance", v.length(), d, -1e-9)
		if off := math.Remainder(v.bearing()-geo.Bearing(a, b), 360); math.Abs(off) > 1e-6 {
			t.Fatalf("bearing off by %g", off)
		}
	})
	for _, c := range []struct{ lat, north, east float64 }{{0, 110574, 111320}, {45, 111132, 78847}, {60, 111412, 55800}} {
		here := orb.Point{10, c.lat}
		near(t, "north", onPlane(here, orb.Point{10, c.lat + 0.009}).n, 0.009*c.north, -0.007)
		near(t, "east", onPlane(here, orb.Point{10.009, c.lat}).e, 0.009*c.east, -0.007)
	}
}

// TestPoint: a tree's face is half its crown before it; by default the crown is half as wide as the tree is high.
func TestPoint(t *testing.T) {
	o := seen(t, at(250, 60), plain)[0]
	near(t, "bearing", o.BearingDeg, 250, 1e-6)
	near(t, "distance", o.DistanceM, 57.5, 1e-6)
	near(t, "width", o.WidthM, 5, 0)
	if o.Name != "thing" || o.HeightM != 10 || o.Porosity != 0.4 || o.GrowthMPerYear != 0.2 {
		t.Errorf("%+v", o)
	}
	p := plain
	p.WidthM, p.GrowthMPerYear = 8, math.NaN()
	if o := seen(t, orb.MultiPoint{at(1, 60), at(2, 1000)}, p); len(o) != 2 || math.Abs(o[1].DistanceM-996) > 1 || o[1].GrowthMPerYear != 0 {
		t.Errorf("%+v", o)
	}
}

// TestLine: a hedge that passes 20 m north of the mast, 200 m long. By hand: it fills 2·atan(100/20) = 157.38°, in 16
// pieces; where it is 20/cos b away at the bearing b, the piece from b on is too.
func TestLine(t *testing.T) {
	end := degrees(math.Atan(5))
	o := seen(t, orb.LineString{at(360-end, math.Hypot(100, 20)), at(end, math.Hypot(100, 20))}, plain)
	if len(o) != 16 {
		t.Fatalf("%d pieces", len(o))
	}
	arc := 2 * end / 16
	for i, piece := range o {
		from := -end + arc*float64(i)
		nearer := math.Min(math.Abs(from), math.Abs(from+arc))
		near(t, "distance", piece.DistanceM, 20/math.Cos(radians(nearer)), 1e-3)
		near(t, "bearing", piece.BearingDeg, turn(from+arc/2), 1e-3)
		near(t, "width", piece.WidthM, 2*piece.DistanceM*math.Tan(radians(arc/2)), 1e-6)
	}
	// Cut up by whoever drew it, it is the same; beyond a bend that hides behind it, there is nothing more.
	bent := seen(t, orb.LineString{at(360-end, math.Hypot(100, 20)), at(0, 20), at(end, math.Hypot(100, 20)), at(end-1, 400)}, plain)
	for i := range bent {
		near(t, "bent", bent[i].DistanceM, o[i].DistanceM, 1e-3)
	}
}

// TestLineEndOn: a hedge that runs straight away from the mast is as wide as it is thick.
func TestLineEndOn(t *testing.T) {
	p := plain
	p.WidthM = 1.5
	o := seen(t, orb.LineString{at(90, 40), at(90, 140)}, p)
	if len(o) != 1 {
		t.Fatalf("%d pieces", len(o))
	}
	near(t, "distance", o[0].DistanceM, 40, 1e-6)
	near(t, "bearing", o[0].BearingDeg, 90, 1e-4)
	near(t, "width", o[0].WidthM, 1.5, 1e-3)
}

// square is a square by its middle as seen from the mast, its sides along the line of sight and across it.
func square(bearing, distance, half float64) orb.Ring {
	var ring orb.Ring
	for _, c := range [][2]float64{{-1, -1}, {-1, 1}, {1, 1}, {1, -1}, {-1, -1}} {
		forward, aside := distance+half*c[0], half*c[1]
		ring = append(ring, at(bearing+degrees(math.Atan2(aside, forward)), math.Hypot(forward, aside)))
	}
	return ring
}

// TestPolygon: a building of 10 m by 10 m with its middle 65 m away shows a face of 10 m at 60 m.
func TestPolygon(t *testing.T) {
	for _, bearing := range []float64{0, 45, 179, 358} {
		o := seen(t, orb.Polygon{square(bearing, 65, 5)}, plain)
		if len(o) != 1 {
			t.Fatalf("%d pieces", len(o))
		}
		near(t, "distance", o[0].DistanceM, 60, 1e-3)
		near(t, "width", o[0].WidthM, 10, 1e-3)
		if off := math.Remainder(o[0].BearingDeg-bearing, 360); math.Abs(off) > 1e-3 {
			t.Errorf("bearing %g, not %g", o[0].BearingDeg, bearing)
		}
	}
	// 200 m wide it fills 2·atan(100/60) = 118.07° in 12 pieces, without its hole.
	o := seen(t, orb.Polygon{square(300, 160, 100), square(300, 160, 20)}, plain)
	if len(o) != 12 {
		t.Fatalf("%d pieces", len(o))
	}
	sum := 0.0
	for _, piece := range o {
		from, to := piece.Extent()
		sum += turn(to - from)
	}
	near(t, "filled", sum, 2*degrees(math.Atan(100.0/60)), 1e-3)
}

// TestClearing: in a clearing its edge is seen all round.
func TestClearing(t *testing.T) {
	around := func(half float64) orb.Ring { return square(0, 0, half) }
	o := seen(t, orb.Polygon{around(300), around(50)}, plain)
	if len(o) != 36 {
		t.Fatalf("%d pieces", len(o))
	}
	nearest, furthest := math.Inf(1), 0.0
	for _, piece := range o {
		nearest, furthest = math.Min(nearest, piece.DistanceM), math.Max(furthest, piece.DistanceM)
	}
	near(t, "nearest", nearest, 50, 0.01)
	if furthest < 60 || furthest > 50*math.Sqrt2 {
		t.Errorf("furthest %g", furthest)
	}
}

// TestDateLine: a shape on the other side of it is near.
func TestDateLine(t *testing.T) {
	here := orb.Point{179.9995, -17}
	o, err := FromGeometry(here, orb.LineString{{-179.9995, -16.9997}, {-179.9995, -17.0003}}, plain)
	if err != nil {
		t.Fatal(err)
	}
	mid := o[len(o)/2]
	near(t, "distance", mid.DistanceM, 111319.5*0.001*math.Cos(radians(17)), 0.01) // of a degree on orb's sphere
	if mid.BearingDeg < 70 || mid.BearingDeg > 110 {
		t.Errorf("%+v", mid)
	}
	p := orb.Polygon{{{179.9999, -16.9999}, {-179.9990, -16.9999}, {-179.9990, -17.0001}, {179.9999, -17.0001}, {179.9999, -16.9999}}}
	if o, err := FromGeometry(here, p, plain); err != nil || math.Abs(o[0].DistanceM-42.5) > 1 {
		t.Errorf("%+v, %v", o, err)
	}
}

// TestGeometryFaults: each is named, with what would mend it.
func TestGeometryFaults(t *testing.T) {
	tall := plain
	for _, c := range []struct {
		name, field, says string
		g                 orb.Geometry
		p                 func(p *Properties)
	}{
		{"mast inside", "geometry", "stands inside", orb.Polygon{square(0, 10, 30)}, nil},
		{"mast in the wood beside the clearing", "geometry", "stands inside", orb.Polygon{square(0, 10, 300), square(0, 200, 30)}, nil},
		{"at the wall", "geometry", "own foot", orb.Polygon{square(0, 10.2, 10)}, nil},
		{"at the hedge", "geometry", "own foot", orb.LineString{at(0, 10), at(180, 10)}, nil},
		{"under the tree", "geometry", "stands under it", at(0, 2), nil},
		{"bow tie", "geometry", "crosses or touches itself", orb.Polygon{{at(0, 100), at(10, 110), at(10, 100), at(0, 110), at(0, 100)}}, nil},
		{"folded", "geometry", "crosses or touches itself", orb.Polygon{{at(0, 100), at(0, 200), at(0, 150), at(5, 150), at(0, 100)}}, nil},
		{"two squares at a corner", "geometry", "crosses or touches itself", orb.Polygon{{
			{-1.2, 52.5}, {-1.19, 52.5}, {-1.19, 52.51}, {-1.18, 52.51}, {-1.18, 52.52}, {-1.19, 52.52}, {-1.19, 52.51}, {-1.2, 52.51}, {-1.2, 52.5}}}, nil},
		{"open", "geometry", "repeat the first", orb.Polygon{{at(0, 100), at(10, 110), at(10, 100), at(0, 110)}}, nil},
		{"two corners", "geometry", "4 or more", orb.Polygon{{at(0, 100), at(10, 110), at(0, 100)}}, nil},
		{"no area", "geometry", "no area", orb.Polygon{{at(0, 100), at(0, 100), at(10, 110), at(0, 100)}}, nil},
		{"one end", "geometry", "give it two", orb.LineString{at(0, 100), at(0, 100)}, nil},
		{"nothing", "geometry", "empty", nil, nil},
		{"empty", "geometry", "empty", orb.Collection{orb.MultiPolygon{}, orb.LineString{}}, nil},
		{"latitude first", "geometry", "longitude comes before", orb.Point{52.501, -1.251}, nil},
		{"off the globe", "geometry", "longitude, then latitude", orb.Point{1, 91}, nil},
		{"NaN", "geometry", "longitude, then latitude", orb.LineString{{1, 51}, {math.NaN(), 51}}, nil},
		{"porosity", "porosity", "1.2", at(0, 100), func(p *Properties) { p.Porosity = 1.2 }},
		{"height", "height_m", "above 0", at(0, 100), func(p *Properties) { p.HeightM = math.NaN() }},
		{"growth", "growth_m_per_year", "write 0", at(0, 100), func(p *Properties) { p.GrowthMPerYear = -1 }},
		{"width", "width_m", "above 0", at(0, 100), func(p *Properties) { p.WidthM = -1 }},
	} {
		p := tall
		if c.p != nil {
			c.p(&p)
		}
		o, err := FromGeometry(mast, c.g, p)
		var f *Fault
		if !errors.As(err, &f) || f.Field != c.field || !strings.Contains(f.Reason, c.says) || o != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	long := make(orb.LineString, VerticesMost+1)
	for i := range long {
		long[i] = at(float64(i)/100, 100)
	}
	if _, err := FromGeometry(mast, long, plain); err == nil || !strings.Contains(err.Error(), "simplify") {
		t.Error(err)
	}
}

// TestOutlineLaws: whatever star is drawn beside the mast or round it, pieces do not overlap, every one is as near as the
// nearest corner or nearer, none is nearer than the whole, and the arcs meet the outermost corners.
func TestOutlineLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bearing := rapid.Float64Range(0, 360).Draw(t, "bearing")
		size := rapid.Float64Range(5, 80).Draw(t, "size")
		distance := size + rapid.Float64Range(3, 300).Draw(t, "distance")
		n := rapid.IntRange(3, 40).Draw(t, "corners")
		middle := at(bearing, distance)
		var ring orb.Ring
		for i := range n {
			r := size * rapid.Float64Range(0.3, 1).Draw(t, "reach")
			ring = append(ring, geo.PointAtBearingAndDistance(middle, 360*float64(i)/float64(n), r))
		}
		ring = append(ring, ring[0])
		pieces := seen(t, orb.Polygon{ring}, plain)
		least, left, right := math.Inf(1), 0.0, 0.0
		for _, p := range ring {
			least = math.Min(least, geo.DistanceHaversine(mast, p))
			off := math.Remainder(geo.Bearing(mast, p)-bearing, 360)
			left, right = math.Min(left, off), math.Max(right, off)
		}
		nearest, sum := math.Inf(1), 0.0
		for i, p := range pieces {
			nearest = math.Min(nearest, p.DistanceM)
			from, to := p.Extent()
			sum += turn(to - from)
			if i > 0 {
				_, before := pieces[i-1].Extent()
				if math.Abs(math.Remainder(from-before, 360)) > 1e-6 {
					t.Fatalf("piece %d begins at %g, after %g", i, from, before)
				}
			}
		}
		if nearest > least+1e-6 || nearest < distance-size-1e-6 {
			t.Fatalf("nearest %g, nearest corner %g", nearest, least)
		}
		if left < 0 && right > 0 {
			near(t, "arc", sum, right-left, 1e-6)
		}
	})
}

// TestAnyOutline: whatever is drawn around the mast is either refused or gives valid obstacles.
func TestAnyOutline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) orb.Point {
			return orb.Point{mast[0] + 0.001*float64(rapid.IntRange(-5, 5).Draw(t, "lon")), mast[1] + 0.001*float64(rapid.IntRange(-5, 5).Draw(t, "lat"))}
		}), 1, 9).Draw(t, "points")
		for _, g := range []orb.Geometry{orb.LineString(points), orb.MultiPoint(points), orb.Polygon{append(points, points[0])}} {
			obstacles, err := FromGeometry(mast, g, plain)
			if (err == nil) == (obstacles == nil) {
				t.Fatalf("%v, %v", obstacles, err)
			}
			for _, o := range obstacles {
				if err := o.Validate(); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
