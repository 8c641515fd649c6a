package fetch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// nearestTried is how many stations are tried in turn when none is named and the nearest have no file for the years.
const nearestTried = 5

// Fetch brings the years of a source for a place and joins them into one record, in SI units, its stamps in UTC, its
// local standard time the zone of the longitude in whole hours.
//
// It is resumed by asking again: what came before an error is in the cache. A year that a station's archive does not
// have is in Fetched.Absent and in the warnings; if it has none of them the error is ErrNoData. The errors are *Error,
// of every kind, *ingest.ReadError wrapped in one where an answer cannot be read, and the context's own.
func (c *Client) Fetch(ctx context.Context, place Place, years Years, source Source) (*resource.Series, ingest.Report, Fetched, error) {
	fail := func(err error) (*resource.Series, ingest.Report, Fetched, error) {
		return nil, ingest.Report{}, Fetched{}, err
	}
	a, err := archiveNamed(source.Archive)
	if err != nil {
		return fail(err)
	}
	if err := errors.Join(place.check(), years.check(a, c.o.Now())); err != nil {
		return fail(err)
	}
	if !a.name.stations() {
		return c.take(ctx, a, place, years, Source{Archive: a.name}, nil, nil)
	}
	if source.Station != "" {
		return c.named(ctx, a, place, years, source)
	}
	near, notes, err := c.candidates(ctx, a, place, years)
	if err != nil {
		return fail(err)
	}
	var last error
	for i := range near {
		s := &near[i]
		series, report, fetched, err := c.take(ctx, a, place, years, Source{Archive: a.name, Station: s.idFor(a.name)}, s, notes)
		if !errors.Is(err, ErrNoData) {
			return series, report, fetched, err
		}
		notes = append(notes, warn("station_without_data", "%s (%s), %.0f km away, has no wind in %s, so the next station was taken.", s.Name, s.ID, s.DistanceKM, years))
		last = err
	}
	return fail(&Error{Kind: ErrNoData, Archive: a.name, Reason: fmt.Sprintf("none of the %d nearest stations has wind in %s", len(near), years),
		Remedy: "ask for other years, or take a reanalysis", Cause: last})
}

// named fetches from the station the caller names, which need not be in the list.
func (c *Client) named(ctx context.Context, a *archive, place Place, years Years, source Source) (*resource.Series, ingest.Report, Fetched, error) {
	if !goodID(source.Station) {
		return nil, ingest.Report{}, Fetched{}, &Error{Kind: ErrSource, Archive: a.name, Reason: fmt.Sprintf("%.40q is no name of a station", source.Station),
			Remedy: "it is made of letters, digits and hyphens, such as 725030-14732"}
	}
	_, notes, err := c.nearest(ctx, place, Years{}, 1) // reads the list
	switch {
	case err == nil:
	case ctx.Err() != nil:
		return nil, ingest.Report{}, Fetched{}, ctx.Err()
	default:
		notes = append(notes, warn("station_place_unknown", "How far station %s is from the place is not known, for the list of stations could not be had (%v).", source.Station, err))
		return c.take(ctx, a, place, years, source, nil, notes)
	}
	s, ok := c.roster.named(a.name, source.Station)
	if !ok {
		notes = append(notes, warn("station_place_unknown", "Station %s is not in the list of stations, so how far it is from the place is not known.", source.Station))
		return c.take(ctx, a, place, years, source, nil, notes)
	}
	s.seenFrom(place)
	return c.take(ctx, a, place, years, source, &s, notes)
}

// candidates are the nearest stations that the archive can have for the years.
func (c *Client) candidates(ctx context.Context, a *archive, place Place, years Years) ([]Station, []note, error) {
	_, notes, err := c.nearest(ctx, place, years, 1)
	if err != nil {
		return nil, notes, err
	}
	near := c.roster.nearest(place, nearestTried, func(s *Station) bool { return s.during(years) && s.idFor(a.name) != "" })
	reason := fmt.Sprintf("no station of this archive observed in %s", years)
	if len(near) > 0 {
		reason = fmt.Sprintf("the nearest station that observed in %s, %s (%s), is %.0f km away, more than %.0f km", years, near[0].Name, near[0].ID,
			near[0].DistanceKM, c.o.MaxStationKM)
	}
	for i := range near {
		if near[i].DistanceKM > c.o.MaxStationKM {
			near = near[:i]
			break
		}
	}
	if len(near) == 0 {
		return nil, notes, &Error{Kind: ErrNoStation, Archive: a.name, Reason: reason, Remedy: "take a reanalysis, other years, or name the station yourself"}
	}
	return near, notes, nil
}

// take fetches the years one by one from one source and makes the record.
func (c *Client) take(ctx context.Context, a *archive, place Place, years Years, source Source, station *Station, notes []note) (*resource.Series, ingest.Report, Fetched, error) {
	fetched := Fetched{Source: source, Station: station, Years: years, FromCache: true, Attribution: a.attribution, Licence: a.licence, Data: a.source,
		DistanceKM: math.NaN(), Warnings: notes}
	fetched.CellNorthKM, fetched.CellEastKM = a.cellKM(place.Lat)
	fetched.ResolutionKM = max(fetched.CellNorthKM, fetched.CellEastKM)
	fail := func(err error) (*resource.Series, ingest.Report, Fetched, error) {
		return nil, ingest.Report{}, fetched, err
	}
	progress := Progress{Archive: a.name, Total: years.To - years.From + 1}
	var parts []part
	for year := years.From; year <= years.To; year++ {
		progress.Year = year
		var p *part
		q := c.yearQuery(a, place, source.Station, year, progress)
		q.use = func(got *Answer) (err error) {
			p, err = read(a, place, year, got)
			return err
		}
		f, err := c.answer(ctx, q)
		fetched.Warnings = append(fetched.Warnings, f.notes...)
		if err != nil {
			return fail(err)
		}
		fetched.Requests = append(fetched.Requests, f.request(year))
		fetched.FromCache = fetched.FromCache && f.fromCache
		if p == nil {
			fetched.Absent = append(fetched.Absent, year)
		} else {
			parts = append(parts, *p)
		}
		progress.Done++
		progress.Bytes += int64(len(f.Body))
		progress.FromCache = f.fromCache
		c.tell(progress)
	}
	if len(parts) == 0 {
		return fail(&Error{Kind: ErrNoData, Archive: a.name, Reason: fmt.Sprintf("the archive has nothing of %s for this", years), Remedy: "ask for other years or another source"})
	}
	series, seams := join(parts, place.solarOffsetS())
	fetched.Warnings = append(fetched.Warnings, seams...)
	report := joinReports(parts, series)
	report.Assumptions = append(report.Assumptions, fmt.Sprintf("local standard time is taken to be UTC%+d h, the zone of the longitude", place.solarOffsetS()/3600))
	series.Attribution = a.attribution
	if station != nil {
		series.Place = &resource.Place{Point: orb.Point{station.Lon, station.Lat}, ElevationM: station.ElevationM}
	}
	if err := c.judge(a, place, series, &fetched); err != nil {
		return nil, report, fetched, err
	}
	if err := c.addSun(ctx, place, series, &fetched); err != nil {
		return fail(err)
	}
	return series, report, fetched, nil
}

func (c *Client) tell(p Progress) {
	if c.o.Progress != nil {
		c.o.Progress(p)
	}
}

// yearQuery asks for a year as far as it has come. The answer is kept under the address for the whole year, so that a
// running year takes one place in the cache.
func (c *Client) yearQuery(a *archive, place Place, station string, year int, p Progress) *query {
	q := &ask{station: station, year: year, from: newYear(year), to: newYear(year+1).AddDate(0, 0, -1)}
	q.lat, q.lon = place.rounded()
	if a.extraDay {
		q.to = q.to.AddDate(0, 0, 1)
	}
	base := strings.TrimRight(a.base(&c.o.Sources), "/")
	key := a.address(base, q)
	if last := lastDay(a, c.o.Now()); q.to.After(last) {
		q.to = last
	}
	return &query{archive: a.name, year: year, url: a.address(base, q), key: key, looks: a.looks,
		tell: func(wait time.Duration, reason string) {
			p.Waiting, p.Reason = wait, reason
			c.tell(p)
		}}
}

// read hands an answer to the reader; nil means that the archive has nothing of the year.
func read(a *archive, place Place, year int, f *Answer) (*part, error) {
	if f.Status == http.StatusNotFound || a.name.stations() && a.name != ISDLite && noRows(f.Body) {
		return nil, nil
	}
	fault := func(kind error, reason string, cause error) error {
		return &Error{Kind: kind, Archive: a.name, Year: year, Reason: reason, Cause: cause, Remedy: "ask for other years or another source"}
	}
	series, report, err := ingest.Read(bytes.NewReader(f.Body), ingest.Options{Format: a.format, SizeHint: int64(len(f.Body))})
	if err != nil {
		return nil, fault(ErrNotData, "the answer cannot be read: "+err.Error(), err)
	}
	if _, cut := report.CutRow(); cut {
		return nil, fault(ErrNotData, "the answer ends in the middle of a row", nil)
	}
	p := &part{year: year, series: series, report: report}
	// A reader's local time may shift a year's edges by up to a day; more than that is another year.
	const day = 24 * 3600
	from, to := newYear(year).Unix(), newYear(year+1).Unix()
	if a.extraDay {
		p.cut(from-day, to)
	} else {
		p.cut(from-day, to+day)
	}
	if series.Len() == 0 {
		return nil, fault(ErrNotData, "the answer holds none of the year's hours", nil)
	}
	if !a.name.stations() {
		if err := elsewhere(a.name, year, place, series.Place); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// noRows says whether a table is its line of names alone, comments aside.
func noRows(body []byte) bool {
	n := 0
	for line := range bytes.Lines(body) {
		if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
			if n++; n > 1 {
				return false
			}
		}
	}
	return true
}
