package fetch

import (
	"fmt"
	"math"
	"time"

	"mastworth/resource"
)

// Bounds beyond which a station is hardly the site's own wind (rules of thumb of this project).
const (
	farStationKM      = 30
	farElevationM     = 100
	enoughCoverage    = 0.95
	elevationDiffersM = 150 // of a cell's mean ground
)

// judge says how far the record may be trusted, and refuses one without any wind.
func (c *Client) judge(a *archive, place Place, s *resource.Series, f *Fetched) error {
	share, longest, from := coverage(s, f.Years, lastDay(a, c.o.Now()))
	f.Coverage = share
	if share == 0 {
		return &Error{Kind: ErrNoData, Archive: a.name, Reason: fmt.Sprintf("every wind speed of %s is missing", f.Years),
			Remedy: "ask for other years or another source"}
	}
	if s.Place != nil {
		f.DistanceKM = resource.DistanceKM(place.point(), s.Place.Point)
	}
	add := func(code, format string, args ...any) { f.Warnings = append(f.Warnings, warn(code, format, args...)) }
	for _, year := range f.Absent {
		add("year_absent", "The archive has no file of %d for this station.", year)
	}
	if share < enoughCoverage {
		add("fetched_incomplete", "Only %.1f %% of %s has a wind speed; the longest stretch without lasts %.1f days, from %s on.",
			100*share, f.Years, longest.Hours()/24, from.UTC().Format("2006-01-02 15:04 UTC"))
	}
	if a.name.stations() {
		c.judgeStation(f, add)
		return nil
	}
	add("reanalysis_cell", "The wind is that of a cell of %.0f km by %.0f km over smoothed ground (%s), not of the site: hills, woods and houses nearby are not in it. "+
		"A year on a mast, or a weather station's record, would say by how much it is off.", f.CellNorthKM, f.CellEastKM, a.source)
	c.judgeGround(place, s, add)
	return nil
}

func (c *Client) judgeStation(f *Fetched, add func(code, format string, args ...any)) {
	s := f.Station
	if s == nil {
		return
	}
	if s.DistanceKM > farStationKM {
		add("station_far", "The station, %s, is %.0f km away: its wind need not be the site's.", s.Name, s.DistanceKM)
	}
	if math.Abs(s.ElevationDifferenceM) > farElevationM {
		add("station_elevation", "The station, %s, lies %+.0f m against the site: its wind need not be the site's.", s.Name, s.ElevationDifferenceM)
	}
}

func (c *Client) judgeGround(place Place, s *resource.Series, add func(code, format string, args ...any)) {
	switch {
	case s.Place == nil || math.IsNaN(s.Place.ElevationM):
	case s.Place.ElevationM == 0:
		add("cell_at_sea_level", "The archive's ground is at 0 m here: the cell lies on the sea, or mostly so. Over land its wind is too strong.")
	case place.ElevationM != nil && math.Abs(*place.ElevationM-s.Place.ElevationM) > elevationDiffersM:
		add("cell_elevation", "The archive's ground is at %.0f m, the site at %.0f m: its wind and its pressure are for another height.",
			s.Place.ElevationM, *place.ElevationM)
	}
}

// coverage is the share of the years' time, as far as the archive can have it, in which some wind speed is usable, and
// the longest stretch without, its length and its beginning. Speeds at the height that has most are counted.
func coverage(s *resource.Series, years Years, last time.Time) (share float64, longest time.Duration, from time.Time) {
	begin, end := newYear(years.From).Unix(), newYear(years.To+1).Unix()
	end = min(end, last.Truncate(24*time.Hour).AddDate(0, 0, 1).Unix())
	if s.Len() == 0 || s.StepS <= 0 || end <= begin {
		return 0, 0, time.Time{}
	}
	begin -= modulo(begin-s.Times[0], s.StepS) // stamps need not be on the hour
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity != resource.Speed {
			continue
		}
		n, covered := 0, begin
		var gap, at int64
		for k, t := range s.Times {
			if t < begin || t >= end || !c.Usable(k) {
				continue
			}
			n++
			if t-covered > gap {
				gap, at = t-covered, covered
			}
			covered = t + s.StepS
		}
		if end-covered > gap {
			gap, at = end-covered, covered
		}
		if have := min(1, float64(n)*float64(s.StepS)/float64(end-begin)); have > share {
			share, longest, from = have, time.Duration(gap)*time.Second, time.Unix(at, 0)
		}
	}
	return share, longest, from
}

// modulo is the remainder, never negative.
func modulo(a, b int64) int64 { return (a%b + b) % b }
