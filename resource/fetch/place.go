package fetch

import (
	"fmt"
	"math"
	"time"

	"github.com/paulmach/orb"
)

// Place is where the wind is wanted.
type Place struct {
	Lat        float64  // degrees north, -90 to 90; the poles are places too
	Lon        float64  // degrees east, -180 to 180
	ElevationM *float64 // of the ground above sea level, m; nil: not known
}

func (p Place) check() error {
	switch {
	case !(p.Lat >= -90 && p.Lat <= 90): // so that NaN is caught
		return &Error{Kind: ErrPlace, Reason: fmt.Sprintf("%g is no latitude", p.Lat), Remedy: "it is -90 to 90 degrees, north positive"}
	case p.Lon > 180 && p.Lon <= 360:
		return &Error{Kind: ErrPlace, Reason: fmt.Sprintf("%g is no longitude", p.Lon), Remedy: fmt.Sprintf("it is -180 to 180 degrees, east positive: write %.10g", p.Lon-360)}
	case !(p.Lon >= -180 && p.Lon <= 180):
		return &Error{Kind: ErrPlace, Reason: fmt.Sprintf("%g is no longitude", p.Lon), Remedy: "it is -180 to 180 degrees, east positive"}
	case p.ElevationM != nil && !(*p.ElevationM >= -500 && *p.ElevationM <= 9000):
		return &Error{Kind: ErrPlace, Reason: fmt.Sprintf("%g m is no elevation of ground", *p.ElevationM), Remedy: "give metres above sea level, or leave it out"}
	}
	return nil
}

func (p Place) point() orb.Point { return orb.Point{p.Lon, p.Lat} }

// rounded is what a service is told: two decimals, about a kilometre. No archive resolves more, near places share their
// cached answers, and a backyard stays private.
func (p Place) rounded() (lat, lon float64) {
	const perDegree = 100
	return math.Round(p.Lat*perDegree)/perDegree + 0, math.Round(p.Lon*perDegree)/perDegree + 0 // + 0: no negative zero
}

// solarOffsetS is the time zone of the longitude, in whole hours, as seconds ahead of UTC.
func (p Place) solarOffsetS() int64 { return int64(math.Round(p.Lon/15)) * 3600 }

// Years are calendar years, first and last included.
type Years struct{ From, To int }

// String is such as "2014–2023", or one year alone.
func (y Years) String() string {
	if y.From == y.To {
		return fmt.Sprint(y.From)
	}
	return fmt.Sprintf("%d–%d", y.From, y.To)
}

// check holds the years against what an archive can have at a time.
func (y Years) check(a *archive, now time.Time) error {
	last := lastYear(a, now)
	fault := func(reason, remedy string) error {
		return &Error{Kind: ErrYears, Archive: a.name, Reason: reason, Remedy: remedy}
	}
	switch {
	case y.From > y.To:
		return fault(fmt.Sprintf("the years run from %d back to %d", y.From, y.To), "name the earlier year first")
	case y.From < a.first:
		return fault(fmt.Sprintf("%d is before the archive begins", y.From), fmt.Sprintf("it has %d to %d", a.first, last))
	case y.To > now.UTC().Year():
		return fault(fmt.Sprintf("%d is in the future", y.To), fmt.Sprintf("the archive has %d to %d", a.first, last))
	case y.To > last:
		return fault(fmt.Sprintf("%d has only just begun and is not in the archive yet", y.To), fmt.Sprintf("it has %d to %d", a.first, last))
	}
	return nil
}

// lastYear is the latest year of which an archive has anything.
func lastYear(a *archive, now time.Time) int { return lastDay(a, now).Year() }

// lastDay is the latest day that an archive should have whole.
func lastDay(a *archive, now time.Time) time.Time { return now.UTC().AddDate(0, 0, -a.lagDays) }

func newYear(year int) time.Time { return time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC) }
