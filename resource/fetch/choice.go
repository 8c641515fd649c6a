package fetch

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// Choice is one source that has wind for a place.
type Choice struct {
	Source       Source
	Data         string    // what it is, in words
	Years        Years     // what there is
	HeightsM     []float64 // of the wind above ground
	Station      *Station  // nil: a cell of a reanalysis
	DistanceKM   float64   // of the station; 0 for a cell, which the place is in
	ResolutionKM float64   // longer side of the cell; NaN for a station
	Sun          bool      // with irradiance
	Licence      string
	Reason       string // why it stands where it stands
}

// Sizes of the choice.
const (
	stationsListed   = 5
	enoughYears      = 3  // of a station, to stand before a reanalysis
	currentYears     = 10 // a station that stopped longer ago is not listed
	stationClose     = "it measured wind, close by, for some years"
	stationElsewhere = "it measured wind, but not close enough to be the site's own"
)

// Available lists what there is for a place, in the order in which an estimate would use it: stations no further than
// 30 km, not much above or below the site, with three years or more, the nearest first; then the reanalyses, the finer
// grid first; then other stations. ERA5 before MERRA-2 is also what comparisons with turbines' output found
// (Olauson 2018; from memory).
//
// The reanalyses are listed without asking anybody. The stations come from the list in the cache, of whatever age; the
// service is asked for it only when there is none and Options.Offline is not set. If it cannot be had, a warning says so
// and the rest is listed. The one error is ErrPlace, beside the context's.
func (c *Client) Available(ctx context.Context, place Place) ([]Choice, []resource.Warning, error) {
	if err := place.check(); err != nil {
		return nil, nil, err
	}
	var near, cells, far []Choice
	for i := range archives {
		if a := &archives[i]; !a.name.stations() {
			cells = append(cells, c.cell(a, place))
		}
	}
	slices.SortStableFunc(cells, func(a, b Choice) int { return cmp.Compare(a.ResolutionKM, b.ResolutionKM) })
	stations, notes, err := c.listed(ctx, place)
	if ctx.Err() != nil {
		return nil, nil, ctx.Err()
	}
	if err != nil {
		notes = append(notes, warn("stations_unknown", "Which weather stations are near is not known: %v.", err))
	}
	for i := range stations {
		choice := stationChoice(&stations[i])
		if s := choice.Station; s.DistanceKM <= farStationKM && !(math.Abs(s.ElevationDifferenceM) > farElevationM) && choice.Years.To-choice.Years.From+1 >= enoughYears {
			choice.Reason = stationClose
			near = append(near, choice)
		} else {
			choice.Reason = stationElsewhere
			far = append(far, choice)
		}
	}
	return slices.Concat(near, cells, far), notes, nil
}

func (c *Client) cell(a *archive, place Place) Choice {
	north, east := a.cellKM(place.Lat)
	return Choice{Source: Source{Archive: a.name}, Data: a.source, Years: Years{a.first, lastYear(a, c.o.Now())}, HeightsM: slices.Clone(a.heightsM),
		ResolutionKM: max(north, east), Sun: true, Licence: a.licence,
		Reason: fmt.Sprintf("without gaps anywhere on earth, but the mean of a cell of %.0f km by %.0f km", north, east)}
}

func stationChoice(s *Station) Choice {
	a, _ := archiveNamed(ISDLite)
	return Choice{Source: Source{Archive: a.name, Station: s.ID}, Data: a.source, Years: Years{s.From.Year(), s.To.Year()}, HeightsM: slices.Clone(a.heightsM),
		Station: s, DistanceKM: s.DistanceKM, ResolutionKM: math.NaN(), Licence: a.licence}
}

// listed are the nearest stations that observed lately, from the cached list if there is one.
func (c *Client) listed(ctx context.Context, place Place) ([]Station, []note, error) {
	now := c.o.Now().UTC().Year()
	lately := func(s *Station) bool { return s.To.Year() >= now-currentYears && s.From.Year() <= now }
	q := c.listQuery()
	var notes []note
	cached, err := c.cache.Lookup(ctx, q.key)
	if err == nil {
		err = c.roster.read(&cached)
	}
	if err != nil {
		if _, notes, err = c.nearest(ctx, place, Years{}, 1); err != nil {
			return nil, notes, err
		}
	}
	near := c.roster.nearest(place, stationsListed, lately)
	for i := range near {
		if near[i].DistanceKM > c.o.MaxStationKM {
			return near[:i], notes, nil
		}
	}
	return near, notes, nil
}
