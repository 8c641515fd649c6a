package shelter

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// band is a band around the mast, as a square with a square hole.
func band(from, to float64) orb.Polygon {
	return orb.Polygon{square(0, 0, to), square(0, 0, from)}
}

// TestCoverSectors: by hand, squares around a mast and beside it. A square of half width a is a/cos(b) away at the
// bearing b, up to 45°.
func TestCoverSectors(t *testing.T) {
	lawn := CoverPolygon{orb.Polygon{square(0, 0, 100)}, 3}
	wood := CoverPolygon{band(100, 2000), 7}
	lake := CoverPolygon{orb.Polygon{square(90, 1000, 400)}, 5}
	for d, s := range CoverSectors(mast, []CoverPolygon{lawn, wood}) {
		b := math.Abs(math.Remainder(10*float64(d), 90))
		if s.At != 3 || s.Then != 7 {
			t.Fatalf("%d: %+v", d, s)
		}
		near(t, "the edge of the lawn", s.ChangeAtM, 100/math.Cos(radians(b)), 1e-3)
	}
	s := CoverSectors(mast, []CoverPolygon{lake})
	if e := s[9]; e.At != General || e.Then != 5 || math.Abs(e.ChangeAtM-600) > 0.01 {
		t.Errorf("east: %+v", e)
	}
	if w := s[27]; w.At != General || w.Then != General || !math.IsNaN(w.ChangeAtM) {
		t.Errorf("west: %+v", w)
	}
	if s := CoverSectors(mast, nil); s[0].At != General || !math.IsNaN(s[0].ChangeAtM) {
		t.Errorf("nothing: %+v", s[0])
	}
}

// TestCoverStrips: a road is passed over, a hole is not of its polygon, and where outlines overlap the first one counts.
func TestCoverStrips(t *testing.T) {
	road, wood := CoverPolygon{band(40, 46), 1}, CoverPolygon{band(300, 900), 2}
	s := CoverSectors(mast, []CoverPolygon{road, wood})[0]
	if s.At != General || s.Then != 2 || math.Abs(s.ChangeAtM-300) > 0.01 {
		t.Errorf("beyond the road: %+v", s)
	}
	field := CoverPolygon{orb.Polygon{square(0, 0, 3000)}, 0}
	s = CoverSectors(mast, []CoverPolygon{wood, field})[18]
	if s.At != 0 || s.Then != 2 || math.Abs(s.ChangeAtM-300) > 0.01 {
		t.Errorf("a wood in a field: %+v", s)
	}
	s = CoverSectors(mast, []CoverPolygon{field, wood})[18]
	if s.At != 0 || s.Then != General || math.Abs(s.ChangeAtM-3000) > 0.5 {
		t.Errorf("a field over a wood: %+v", s)
	}
	far := CoverPolygon{band(21000, 40000), 2}
	if s := CoverSectors(mast, []CoverPolygon{far})[3]; s.Then != General {
		t.Errorf("out of reach: %+v", s)
	}
}

// TestCoverTurns: turned by 30 degrees, everything is three directions on.
func TestCoverTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "polygons")
		numbers := make([][3]float64, n)
		for i := range numbers {
			numbers[i] = [3]float64{rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(20, 3000).Draw(t, "distance"),
				rapid.Float64Range(10, 1500).Draw(t, "half")}
		}
		draw := func(turned float64) (out []CoverPolygon) {
			for i, v := range numbers {
				out = append(out, CoverPolygon{orb.Polygon{square(v[0]+turned, v[1], v[2])}, i})
			}
			return out
		}
		a, b := CoverSectors(mast, draw(0)), CoverSectors(mast, draw(30))
		for d := range a {
			x, y := a[d], b[(d+3)%DirectionCount]
			same := math.IsNaN(x.ChangeAtM) && math.IsNaN(y.ChangeAtM) || math.Abs(x.ChangeAtM-y.ChangeAtM) < 1e-3
			if x.At != y.At || x.Then != y.Then || !same {
				t.Fatalf("%d: %+v, turned %+v", d, x, y)
			}
		}
	})
}

func TestCheckPolygon(t *testing.T) {
	if err := CheckPolygon(band(10, 20)); err != nil {
		t.Error(err)
	}
	bow := orb.Ring{at(0, 100), at(10, 110), at(10, 100), at(0, 110), at(0, 100)}
	for name, p := range map[string]orb.Polygon{"none": nil, "bow tie": {bow}, "hole": {square(0, 0, 500), bow}} {
		if CheckPolygon(p) == nil {
			t.Errorf("%s: no fault", name)
		}
	}
}
