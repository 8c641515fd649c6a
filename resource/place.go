package resource

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
)

// DistanceKM is the great-circle distance between two places (longitude, latitude in degrees), km, on a sphere of the
// equator's radius, 6378.137 km: within 0.6 % of that on the ellipsoid. NaN gives NaN.
func DistanceKM(a, b orb.Point) float64 { return geo.DistanceHaversine(a, b) / 1000 }
